package estimate

import (
	"context"
	"fmt"

	"moldtally/boxfit"
	"moldtally/estimate/casting"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// method is one way reckoned to the end: what holds the pour, the rubber, the
// castings, the money and the order of work.
type method struct {
	fit        *boxfit.Fit // nil for a pour without a mesh
	lip        float64     // how thick the rubber is where a flap bends, mm; 0 = not known
	options    []boxfit.Option
	rubber     *Rubber
	casting    *Casting
	cost       *Cost
	schedule   *Schedule
	notChecked []NotChecked
	cautions   []Safety
	findings   finding.List
}

// evaluate reckons the way that was chosen. Pressures go by the rubber's gravity,
// so the rubber is chosen before the container is known; how thick it is where a
// flap bends is known only with the container, and what is told of the hardness
// goes by that.
func (k *known) evaluate(ctx context.Context, c *choice) (*method, error) {
	j, out := k.job, &method{}
	chosen, shape, err := j.chooseRubber(c.asked(j.Copies), c.way.Mold)
	if err != nil {
		return nil, err
	}
	body := k.body()
	mass, how := PatternMass(j.Job, body)
	q := k.request(c.way.Mold, chosen.Density, mass)
	fit, others, err := k.contain(ctx, c.trial, q)
	if err != nil {
		return nil, err
	}
	beside, err := k.beside(ctx, c, fit, q)
	if err != nil {
		return nil, err
	}
	out.fit = fit
	j.feed(fit, c.report, k.pattern.DisplacedVolume)
	out.findings = append(append(massDoubt(j.Job, body), fit.Findings...), k.openTop(c.pose, fit.Rubber, unit.Density(chosen.Density))...)
	if shape.Flap {
		out.lip = flapWall(fit, c.report.Flap)
		shape.There = out.lip
	}
	shape.Beside = clearance(fit, c.pose)
	need := rubber.Suggest(shape, j.cast)

	mix := j.mixFor(chosen, spaceOf(fit))
	hard, strained := j.hardness(&chosen, need, shape, c.inHalves(shape))
	alone := j.alone(hard, &chosen, fit, c.pose.Height)
	var told finding.List
	out.rubber, told = j.rubber(mix, need.Conflict, c.report.Stretch)
	out.rubber.Hardness, out.rubber.Needed = hard, need.Needed.Value
	out.findings = append(append(append(out.findings, told...), strained...), alone...)
	if out.options, err = options(append(append([]*boxfit.Fit{fit}, others...), beside...), j.Rubber, mix); err != nil {
		return nil, err
	}
	fit.Options = out.options

	if j.Parts.StopAfter != ThroughContainer {
		if err := k.castings(ctx, c, &chosen, need, out); err != nil {
			return nil, err
		}
		saved, err := k.saves(ctx, c, fit, j.short(mix, out.casting))
		if err != nil {
			return nil, err
		}
		var flatness *float64
		if c.report.Parting != nil {
			flatness = c.report.Parting.Flatness
		}
		w := j.laborOf(fit, c.answer == SlitIt, chosen.Family, k.longest(), flatness)
		if err := j.work(out, mix, saved, &w); err != nil {
			return nil, err
		}
	}
	unknown := &how
	if mass != nil || j.Fixed {
		unknown = nil
	}
	out.notChecked = j.notChecked(&chosen, out.cost, true, unknown)
	out.cautions = j.safety(work{Chosen: &chosen, Mold: c.way.Mold, Fit: fit, Lift: fit.LiftMass, Knife: c.answer == SlitIt})
	return out, nil
}

// chooseRubber picks the rubber for a mold of a kind before its container is
// known; where it is of a family that stands more or less than silicone, the
// range is reckoned anew for it and the choice with it. The shape comes back with
// the family that its range is reckoned for.
func (j *resolved) chooseRubber(s rubber.Shape, mold demold.Mold) (rubber.Chosen, rubber.Shape, error) {
	choose := func(r rubber.Range) (rubber.Chosen, error) {
		return rubber.Choose(j.Rubber, rubber.Needs{Own: j.shop.Rubbers, Range: r, Pattern: j.pattern, Cast: j.cast, Copies: j.Copies,
			Cut: mold == demold.Cut, Brushed: mold == demold.Brushed, AddedSG: j.shop.Additives.densities()})
	}
	r := rubber.Suggest(s, j.cast)
	first, err := choose(r)
	if err != nil || first.Family == "" {
		return first, s, err
	}
	of := s
	of.Family = first.Family
	again := rubber.Suggest(of, j.cast)
	if *again.Low == *r.Low && *again.High == *r.High {
		return first, of, nil
	}
	second, err := choose(again)
	if err != nil {
		return second, s, err
	}
	if second.Family != first.Family {
		return first, s, nil
	}
	return second, of, nil
}

// inHalves is what two halves would ask of the rubber, with the castings and the
// family of a shape; nil where that was not looked at, or they lock.
func (c *choice) inHalves(s rubber.Shape) *rubber.Shape {
	if c.two == nil || c.two.report.UndercutPath == nil {
		return nil
	}
	two := shapeOf(c.two.report, demold.TwoPart, c.wall, s.Longest, s.Angular)
	two.Copies, two.Head, two.Family = s.Copies, s.Head, s.Family
	return &two
}

// rubber is the rubber as it is mixed, and what to know of it before it meets
// the pattern. conflict is what its hardness could not settle, stretch what taking
// the pattern out asks of it; nil = not known.
func (j *resolved) rubber(m *mixing, conflict *rubber.Conflict, stretch *float64) (*Rubber, finding.List) {
	c, mold := &m.chosen, m.room.Mold
	out := m.told(j.temp)
	out.Have, out.Owned = j.left(c), c.Own
	out.Lot, out.Opened, out.UseBy = c.Stock.Lot, c.Stock.Opened.String(), c.Stock.UseBy.String()
	if conflict != nil {
		out.Reasons = append(out.Reasons, finding.Remark{Facts: *conflict})
	}
	findings := append(m.findings, m.bulk(j.temp)...)
	vacuum, gauge := m.vacuum(j.shop.Workshop)
	out.Vacuum = vacuum
	findings = append(append(append(findings, gauge...), j.meets(c, mold)...), j.shop.Workshop.chambers(m.room)...)
	if j.Irreplaceable {
		out.Risks = j.risks(c.Family, mold, stretch)
		findings.Add(finding.Finding{Code: CodeOriginal, Severity: finding.Caution, Facts: Original{harming(out.Risks)}})
	}
	if !mold.Coated() && c.Family == material.Latex {
		out.Reasons = append(out.Reasons, finding.Remark{Facts: LatexShrinks{}})
	}
	return out, findings
}

// body is what the pattern's mass goes by; one that was dunked is as much more or
// less material than the mesh says as it displaces more or less.
func (k *known) body() Body {
	b := Body{Material: k.pattern.MaterialVolume, Displaced: k.pattern.DisplacedVolume, Area: k.pattern.Area}
	if k.job.Displaced != nil && b.Material != nil {
		b.Material = new(max(0, *b.Material+*k.job.Displaced-float64(k.solid.Displaced.Value)))
	}
	return b
}

// castArea is the surface that a casting goes by, mm². Of a cold casting that is
// the face that shows: what rubber meets, without the mouth of a mold that stood on
// a board, where no rubber is.
func (k *known) castArea(ctx context.Context, c *choice) (float64, error) {
	if k.job.cast == nil || k.job.cast.Kind != material.ColdCast {
		return k.pattern.Area, nil
	}
	area, err := k.solid.MetArea(ctx)
	if err != nil {
		return 0, fmt.Errorf("estimate: %w", err)
	}
	if c.way.Mold.OnBoard() {
		area = max(0, area-c.report.Mouth.Area)
	}
	return area, nil
}

// castings adds what is cast to a method.
func (k *known) castings(ctx context.Context, c *choice, chosen *rubber.Chosen, need rubber.Range, out *method) error {
	j, pose, rep := k.job, c.pose, c.report
	// Foam lifts what closes the mold: the lid on the mouth, or the other half.
	on := faces{Lid: pose.Rect[0] * pose.Rect[1], Side: pose.Rect[0] * pose.Height}
	if c.way.Mold.OnBoard() && rep.Mouth.Area > 0 {
		on.Lid = rep.Mouth.Area
	}
	foam := j.foam(&on)
	out.findings = append(out.findings, j.suits(chosen, foam)...)
	if k.pattern.DisplacedVolume == nil {
		return nil
	}
	hard := need.Needed.Value == nil
	if shore, ok := chosen.Hardness(); ok && !hard {
		comfortable, _ := rubber.Stands(shore, chosen.Family, 0)
		hard = *need.Needed.Value > comfortable/2
	}
	hollow, err := j.shellOf(ctx, rep.Cavity)
	if err != nil {
		return err
	}
	area, err := k.castArea(ctx, c)
	if err != nil {
		return err
	}
	cast, told := j.castingOf(chosen, *k.pattern.DisplacedVolume, area, !c.way.Mold.OnBoard(), hard, hollow)
	if cast == nil {
		return nil
	}
	up := c.up().Neg().Array()
	if p := castPour(rep); p != nil {
		up = p.Up
	}
	cast.PourUp, cast.Foam = &up, foam
	out.casting = cast
	out.findings = append(out.findings, told...)
	return nil
}

// castPour is the casting's pour; nil where none was looked at.
func castPour(r *demold.Report) *air.Pour {
	if n := len(r.Air); n > 0 {
		return &r.Air[n-1]
	}
	return nil
}

// leastBore is the narrowest sprue that is made, mm, where there is room for no
// wider one. Judgement of this program.
const leastBore = 3

// feed puts sprue and vents into a mold for castings of a volume, mm³ (nil = not
// known): as wide as the material asks, or as there is room for.
func (j *resolved) feed(fit *boxfit.Fit, r *demold.Report, volume *float64) {
	p := castPour(r)
	if p == nil || volume == nil {
		return
	}
	var kind material.CastKind
	if j.cast != nil {
		kind = j.cast.Kind
	}
	var sprue *boxfit.Channel
	if p.SprueAt != nil {
		bore := casting.SprueBore(*volume, kind)
		sprue = &boxfit.Channel{At: *p.SprueAt, Diameter: min(bore, max(leastBore, p.SprueWide)), Joins: [][3]float64{}}
	}
	vents := []boxfit.Channel{}
	for _, v := range p.Led {
		c := boxfit.Channel{At: v.At.Array(), Diameter: casting.VentBore(kind), Joins: [][3]float64{}}
		for _, q := range v.Joins {
			c.Joins = append(c.Joins, q.Array())
		}
		vents = append(vents, c)
	}
	fit.Feed(mesh.V(p.Up[0], p.Up[1], p.Up[2]), sprue, vents)
}

// work adds to a method what is bought, what the shelf lacks, and the order of
// work. s and the labor of the mold may be nil: nothing is known of it but its
// volume.
func (j *resolved) work(out *method, m *mixing, s *savings, w *labor.Work) error {
	told := j.shelf(out.rubber, m, out.casting, s)
	out.findings = append(out.findings, told...)
	cost, bought, err := j.cost(m, out.fit, out.casting, w)
	if err != nil {
		return err
	}
	out.cost = cost
	out.rubber.Cost, out.rubber.LeftOver = bought.cost, bought.left
	*out.rubber.Kits = append(*out.rubber.Kits, bought.kits...)
	out.schedule = m.schedule(j.temp, out.casting)
	return nil
}
