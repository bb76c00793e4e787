package estimate

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/casting"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// method is one way reckoned to the end: what holds the pour, the rubber, the
// castings, labor and price, and what speaks against it. It knows nothing of the
// other ways.
type method struct {
	*trial
	fit     *boxfit.Fit
	others  []*boxfit.Fit // containers that were weighed against fit
	lip     float64       // how thick the rubber is where a flap bends, mm; 0 = not known
	need    rubber.Range
	shape   rubber.Shape // what is asked of the rubber, in its container
	chosen  rubber.Chosen
	mix     *mixing
	rubber  *Rubber
	casting *Casting
	// massFrom is why the pattern's mass is not known; nil = it is.
	massFrom *MassFrom
	findings finding.List
	weight
}

// evaluate reckons a way to the end: where the stock that was chosen is too little for
// it, in what there is enough of; and a coat slit, where its rubber asks for that.
func (k *known) evaluate(ctx context.Context, t *trial) (*method, error) {
	m, err := k.enough(ctx, t)
	if err != nil || !t.way.Mold.Coated() || m.serves() {
		return m, err
	}
	// Its shell holds a slit shut, so a coat is slit sooner than stretched in a rubber
	// that is too firm to be peeled off whole.
	slit := *t
	if !slit.slitCoat() {
		return m, nil
	}
	if s, err := k.enough(ctx, &slit); err != nil || s.serves() {
		return s, err
	}
	return m, nil
}

// serves reports whether the rubber that was chosen is as soft and as firm as a mold
// that comes off whole asks.
func (m *method) serves() bool {
	shore, ok := m.chosen.Hardness()
	if !ok || m.need.Low == nil || m.need.High == nil || !m.verdict.Answer.Whole() {
		return true
	}
	return m.need.Conflict == nil && shore >= *m.need.Low-misfit && shore <= *m.need.High+misfit && !(m.verdict.Answer == ComesOutSoft && shore > firmEnough)
}

// enough reckons a way in a rubber of which there is enough, if any serves.
func (k *known) enough(ctx context.Context, t *trial) (*method, error) {
	m, err := k.evaluateFor(ctx, t, 0)
	if err != nil || len(k.job.shop.Rubbers) < 2 || !k.job.Rubber.Auto() || k.job.Rubber.Have != nil || k.job.short(m.mix, m.casting) == 0 {
		return m, err
	}
	return k.evaluateFor(ctx, t, m.rubber.VolumeHigh*float64(moldsOf(m.casting)))
}

// evaluateFor reckons a way for which some volume of rubber is wanted, mm³; 0 = not
// known. Pressures go by the rubber's gravity, so the rubber is
// chosen before the container is known; how thick it is where a flap bends is
// known only with the container, and what is told of the hardness goes by that.
func (k *known) evaluateFor(ctx context.Context, t *trial, volume float64) (*method, error) {
	j, m := k.job, &method{trial: t}
	var err error
	if m.chosen, m.shape, err = j.chooseRubber(t.asked(j.Copies), t.way.Mold, volume); err != nil {
		return nil, err
	}
	body := k.body()
	mass, how := PatternMass(j.Job, body)
	if mass == nil && !j.Fixed && t.way.Mold != demold.Brushed { // brushed rubber floats nothing
		m.massFrom = &how
	}
	q := k.request(t.way.Mold, &m.chosen, mass)
	if least := j.leastWall(); j.Wall == nil && !t.way.Mold.Coated() && t.wall < least {
		// What is cast hot asks for it; the flange of two halves is wider.
		if q.Over, q.Under = cmp.Or(q.Over, &least), cmp.Or(q.Under, &least); t.way.Mold != demold.TwoPart {
			q.Wall = &least
		}
	}
	if m.fit, m.others, err = k.contain(ctx, t, q); err != nil {
		return nil, err
	}
	fit := m.fit
	j.feed(fit, t.report, k.pattern.DisplacedVolume)
	if t.way.Mold == demold.TwoPart && t.report.Parting != nil {
		fit.PlaceKeys(orNone(t.report.Parting.Length), k.longest())
	}
	m.findings = append(append(append(m.findings, massDoubt(j.Job, body)...), fit.Findings...), k.openTop(t.pose, fit.Rubber, unit.Density(m.chosen.Density))...)
	if m.shape.Flap {
		m.lip = flapWall(fit, t.report.Flap)
		m.shape.There = m.lip
	}
	m.shape.Beside = k.beside(fit, t.pose)
	m.need = rubber.Suggest(m.shape, j.cast)

	m.mix = j.mixFor(m.chosen, k.room(m))
	hard, strained := j.hardness(&m.chosen, m.need, m.shape, t.inHalves(m.shape))
	alone := j.alone(hard, &m.chosen, fit, t.pose.Height)
	var told finding.List
	m.rubber, told = j.rubber(m.mix, m.need.Conflict, t.report.Stretch)
	m.rubber.Hardness, m.rubber.Needed = hard, m.need.Needed.Value
	m.findings = append(append(append(m.findings, told...), strained...), alone...)
	if err := k.castings(ctx, m); err != nil {
		return nil, err
	}
	m.weight = k.weightOf(m)
	m.casting.wear(m.weight)
	return m, nil
}

// finish is the plan of the method that was chosen: what is bought, what the
// shelf lacks, the order of work, and the other ways beside it.
func (k *known) finish(ctx context.Context, c *choice) (*Plan, error) {
	j, m := k.job, c.method
	p := &Plan{Container: m.fit, Rubber: m.rubber, Verdict: c.told()}
	findings := append(slices.Clip(m.findings), c.unfit()...)
	slit, err := k.slitOf(ctx, m)
	if err != nil {
		return nil, err
	}
	findings = append(findings, j.tellSlit(p.Verdict, slit)...)
	list, err := options(c, j.Rubber)
	if err != nil {
		return nil, err
	}
	p.Options, m.fit.Options = &list, list
	m.fit.Nest(j.shop.saw())
	m.fit.Fillers = fillersOf(k.solid, m.fit)
	if j.Parts.StopAfter != ThroughContainer {
		saved, err := k.saves(ctx, m, j.short(m.mix, m.casting))
		if err != nil {
			return nil, err
		}
		p.Casting = m.casting
		told, err := j.work(p, m.mix, saved, &m.work, k.chores(m, slit))
		if err != nil {
			return nil, err
		}
		if findings = append(findings, told...); p.Cost != nil {
			p.Cost.Pays = k.pays(c, p.priced.run)
		}
	}
	p.NotChecked = j.notChecked(&m.chosen, p.Cost, m.fit, m.massFrom)
	p.Cautions = j.safety(work{Chosen: &m.chosen, Mold: m.way.Mold, Fit: m.fit, Lift: m.fit.LiftMass, Knife: m.verdict.Answer == SlitIt})
	p.Pattern, p.Pose, p.Demold = k.pattern, m.pose, m.report
	p.Verdict.inHand(m.rubber)
	p.Methods, p.Choice = c.methods(), &finding.Remark{Facts: c.why}
	return finished(p, k.o.Version, j.Source, c.spared(), k.findings, m.reported(), findings), nil
}

// reported is what the pull was found to do, as far as it is about this way: no air
// is caught by rubber that is brushed on.
func (t *trial) reported() finding.List {
	return slices.DeleteFunc(slices.Clone(t.report.Findings), func(f finding.Finding) bool {
		switch f.Code {
		case air.CodeRubber:
			return t.way.Mold == demold.Brushed
		case strip.CodeMouth: // a slit opens it, and no ring of it stretches
			return t.verdict.Answer == SlitIt && (t.way.Slit || t.way.Mold.Coated())
		}
		return false
	})
}

// chooseRubber picks the rubber for a mold of a kind before its container is
// known; where it is of a family that stands more or less than silicone, the
// range is reckoned anew for it and the choice with it. The shape comes back with
// the family that its range is reckoned for. volume is what is wanted, mm³; 0 = not
// known yet.
func (j *resolved) chooseRubber(s rubber.Shape, mold demold.Mold, volume float64) (rubber.Chosen, rubber.Shape, error) {
	choose := func(r rubber.Range) (rubber.Chosen, error) {
		return rubber.Choose(j.Rubber, rubber.Needs{Own: j.shop.Rubbers, Range: r, Pattern: j.pattern, Cast: j.cast, Copies: j.Copies, Original: j.Irreplaceable, Volume: volume,
			Cut: mold == demold.Cut, Brushed: mold == demold.Brushed, AddedSG: j.shop.Additives.densities()})
	}
	s.Original = j.Irreplaceable
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
func (t *trial) inHalves(s rubber.Shape) *rubber.Shape {
	if t.way.Mold == demold.TwoPart || t.coatHalves() || t.two == nil || t.two.Locks() {
		return nil
	}
	two := shapeOf(t.two, demold.TwoPart, t.wall, s.Longest, s.Angular)
	two.Copies, two.Head, two.Family, two.Original = s.Copies, s.Head, s.Family, s.Original
	return &two
}

// rubber is the rubber as it is mixed, and what to know of it before it meets
// the pattern. conflict is what its hardness could not settle, stretch what taking
// the pattern out asks of it; nil = not known.
func (j *resolved) rubber(m *mixing, conflict *rubber.Conflict, stretch *float64) (*Rubber, finding.List) {
	c, mold := &m.chosen, m.room.Mold
	out := m.told(j.temp)
	out.Have, out.Owned = j.left(c), c.Own || j.Rubber.Have != nil && !j.Rubber.Auto()
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
func (k *known) castArea(ctx context.Context, t *trial) (float64, error) {
	if k.job.cast == nil || k.job.cast.Kind != material.ColdCast {
		return k.pattern.Area, nil
	}
	area, err := k.solid.MetArea(ctx)
	if err != nil {
		return 0, fmt.Errorf("estimate: %w", err)
	}
	if t.onBoard() {
		area = max(0, area-t.report.Mouth.Area)
	}
	return area, nil
}

// castings adds what is cast to a method.
func (k *known) castings(ctx context.Context, m *method) error {
	j, pose, rep, chosen := k.job, m.pose, m.report, &m.chosen
	// Foam lifts what closes the mold: the lid on the mouth, or the other half.
	on := faces{Lid: pose.Rect[0] * pose.Rect[1], Side: pose.Rect[0] * pose.Height}
	if m.onBoard() && rep.Mouth.Area > 0 {
		on.Lid = rep.Mouth.Area
	}
	foam := j.foam(&on)
	m.findings = append(append(m.findings, j.suits(chosen, foam)...), j.thinWall(m.fit.Wall)...)
	if k.pattern.DisplacedVolume == nil {
		return nil
	}
	hard := m.need.Needed.Value == nil
	if shore, ok := chosen.Hardness(); ok && !hard {
		comfortable, _ := rubber.Stands(shore, chosen.Family, 0)
		hard = *m.need.Needed.Value > comfortable/2
	}
	hollow, err := j.shellOf(ctx, rep.Cavity)
	if err != nil {
		return err
	}
	area, err := k.castArea(ctx, m.trial)
	if err != nil {
		return err
	}
	cast, told := j.castingOf(chosen, *k.pattern.DisplacedVolume, area, !m.onBoard(), hard, hollow)
	if cast == nil {
		return nil
	}
	up := m.up().Neg().Array()
	if p := castPour(rep); p != nil {
		up = p.Up
	}
	cast.PourUp, cast.Foam = &up, foam
	m.casting = cast
	m.findings = append(m.findings, told...)
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

// work adds to a plan what is bought, what the shelf lacks, and the order of
// work. s and the labor of the mold may be nil: nothing is known of it but its
// volume.
func (j *resolved) work(p *Plan, m *mixing, s *savings, w *labor.Work, with chores) (finding.List, error) {
	told := j.shelf(p.Rubber, m, p.Casting, s)
	cost, bought, priced, err := j.cost(j.runOf(m, p.Container, p.Casting, w))
	if err != nil {
		return nil, err
	}
	p.Cost, p.priced, p.Letter = cost, priced, j.letter()
	p.Rubber.Cost, p.Rubber.LeftOver = bought.cost, bought.left
	*p.Rubber.Kits = append(*p.Rubber.Kits, bought.kits...)
	p.Schedule = m.schedule(j.temp, p.Casting, w, with)
	return told, nil
}
