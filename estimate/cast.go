package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/estimate/casting"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// shell is the wall of a hollow casting by the true inner offset: its volume,
// mm³, and the edge of the lattice it was found on, mm.
type shell struct{ Volume, Lattice float64 }

// shellOf finds the wall of a hollow casting in what it fills, open at the mouth;
// nil where the casting is solid, or nothing was measured.
func (j *resolved) shellOf(ctx context.Context, c air.Cavity) (*shell, error) {
	if j.CastWall == nil || j.cast == nil || c.Field == nil {
		return nil, nil
	}
	v, lattice, err := casting.ShellOf(ctx, c.Field, c.Open, *j.CastWall)
	if err != nil {
		return nil, fmt.Errorf("estimate: %w", err)
	}
	return &shell{v, lattice}, nil
}

// castingOf is one casting of a pattern of a volume, mm³, and a surface, mm², and
// how many molds of a rubber a run takes; nil where nothing is cast. closed says that the mold is shut all round,
// hard that stripping takes over half of what the rubber stands for long.
func (j *resolved) castingOf(c *rubber.Chosen, volume, area float64, closed, hard bool, hollow *shell) (*Casting, finding.List) {
	if j.cast == nil {
		return nil, nil
	}
	var out finding.List
	q := casting.Job{Material: *j.cast, Volume: volume, Area: area, Closed: closed, Copies: j.Copies, Family: c.Family, Hard: hard}
	if j.CastWall != nil {
		q.Wall = *j.CastWall
		if hollow != nil {
			q.Shell = &hollow.Volume
		}
		out.Add(hollowCasting(q.Wall, hollow))
	}
	if r, err := rubber.ParseRatio(j.cast.Mix); err == nil {
		q.Ratio = [2]float64{r.A, r.B}
	}
	if j.own != nil {
		q.OwnPulls = j.own.Pulls
		if j.own.Face != nil {
			q.Face = *j.own.Face
		}
	}
	worn, known := j.Log.Wear(j.cast.Name, string(c.Family))
	if known {
		q.Worn = &casting.Worn{Low: worn.Low, Mid: worn.Mid, High: worn.High}
	}
	if s := c.Shrinkage; s != nil {
		q.Mold = s.Value / 100
	}
	r := casting.Reckon(q)
	step := rubber.DefaultWeighTo
	if w := j.Rubber.WeighTo; w != nil {
		step = *w
	}
	weighUp(&r, q.Ratio, step)
	p := &Casting{Material: j.cast.Name, Volume: r.Volume, Mass: &r.Mass, PartA: r.A, PartB: r.B, Powder: r.Powder, PullsPerMold: r.Pulls, MoldsNeeded: r.Molds,
		MassToMix: &r.ToMix, Sprue: r.Sprue, Water: r.Water, PullsLow: r.Low, PullsHigh: r.High, HottestC: &r.Hottest, Note: j.cast.Note}
	p.PullsUsual, p.OwnMolds, p.Copies, p.Cavities = r.Usual, worn.Of, j.Copies, j.cavities()
	if j.shared.cavities > 0 {
		p.Copies = j.wanted(j.shared.copies)
	}
	pct := 100 * r.Shrinkage
	p.Shrinkage, p.ResizeTo = &pct, &r.Resize
	after := j.cast.Demold.Value
	lo, hi := j.cast.Demold.Range()
	if j.own != nil && j.own.Demold != nil {
		after = *j.own.Demold
		lo, hi = after, after
	}
	p.DemoldAfter, p.DemoldLow, p.DemoldHigh = &after, &lo, &hi
	if s, one := j.cast.SlowFrom, r.Mass/float64(j.cavities()); s != nil && j.CastWall == nil && one > s.Value {
		out.Add(finding.Finding{Code: CodeFast, Severity: finding.Caution, Facts: FastAndThick{j.cast.What, unit.Mass(one), unit.Mass(s.Value)}})
	}
	if j.cast.Kind == material.ColdCast {
		thick := casting.FaceMM
		if q.Face > 0 {
			thick = q.Face
		}
		p.Face = &ColdFace{Thickness: thick, Area: r.FaceArea, Volume: r.FaceVolume, Resin: r.FaceResin, Powder: r.FacePowder, Backing: r.Backing,
			Dust: r.Dust, DustLow: r.DustLow, DustHigh: r.DustHigh, Share: r.Phi}
		out = append(out, stiffPowder(j.cast, r.Phi)...)
	}
	return p, out
}

// weighUp rounds what one casting takes to weights that a scale of a step shows:
// parts like rubber, the smaller follows the larger.
func weighUp(r *casting.Result, mix [2]float64, step float64) {
	switch {
	case r.Water != nil:
		w := rubber.Weigh(*r.Powder+*r.Water, rubber.Ratio{A: *r.Powder, B: *r.Water}, step)
		r.Powder, r.Water = &w.A, &w.B
	case r.Powder != nil:
		r.Powder = new(scaleUp(*r.Powder, step))
	}
	if r.A != nil {
		w := rubber.Weigh(*r.A+*r.B, rubber.Ratio{A: mix[0], B: mix[1]}, step)
		r.A, r.B = &w.A, &w.B
	}
}

// scaleUp rounds a mass up to the coarsest of 5, 1, 0.5 and 0.1 g, not above the
// scale's step, that is no more than a hundredth of it.
func scaleUp(g, step float64) float64 {
	at := min(step, 0.1)
	for _, s := range []float64{5, 1, 0.5} {
		if s <= step && s <= g/100 {
			at = s
			break
		}
	}
	return math.Ceil(g/at-1e-9) * at
}

// hollowCasting says how a hollow casting is reckoned.
func hollowCasting(wall float64, hollow *shell) finding.Finding {
	f := finding.Finding{Code: CodeHollow, Severity: finding.Note, Facts: Hollow{Wall: unit.Length(wall)}}
	if hollow == nil || hollow.Lattice > wall/2 {
		f.Severity, f.Facts = finding.Caution, Hollow{unit.Length(wall), true}
	}
	return f
}

// stiffPowder tells of a cold-cast face with so much powder, phi of its volume,
// that it hardly pours.
func stiffPowder(c *material.Casting, phi float64) (out finding.List) {
	if phi < casting.PourablePhi {
		return nil
	}
	most := casting.PourablePhi / (1 - casting.PourablePhi) * c.PowderDensity.Value / casting.ResinSG
	out.Add(finding.Finding{Code: CodeStiff, Severity: finding.Caution, Facts: StiffPowder{c.PowderRatio.Value, phi, math.Floor(most*10) / 10}})
	return out
}

// faces are what expanding foam presses on, mm²: the lid, or the other half, and
// the largest side.
type faces struct{ Lid, Side float64 }

// foam is what expanding foam presses with; nil for what does not expand, or
// where nothing is cast. on may be nil: not known.
func (j *resolved) foam(on *faces) *Foam {
	if j.cast == nil || j.cast.Pressure == nil {
		return nil
	}
	f := &Foam{Pack: casting.FoamPack}
	f.Low, f.High = j.cast.Pressure.Range()
	if on != nil {
		of := func(kPa, area float64) *float64 { v := kPa * 1e-3 * area; return &v } // kPa·mm² = mN
		f.LidArea = &on.Lid
		f.LidLow, f.LidHigh, f.SideHigh = of(f.Low, on.Lid), of(f.High, on.Lid), of(f.High, on.Side)
	}
	return f
}

// suits judges what is cast against the rubber: heat, chemistry, food, and what
// foam presses with (nil = no foam).
func (j *resolved) suits(c *rubber.Chosen, foam *Foam) (out finding.List) {
	if j.cast == nil {
		return nil
	}
	out = append(j.heat(c), chemistry(j.cast, c, j.Copies)...)
	if foam != nil {
		f := FoamPresses{Low: unit.Pressure(foam.Low), High: unit.Pressure(foam.High), Pack: foam.Pack}
		if foam.LidHigh != nil {
			f.LidLow, f.LidHigh, f.Side = unit.Force(*foam.LidLow), unit.Force(*foam.LidHigh), unit.Force(*foam.SideHigh)
		}
		out.Add(finding.Finding{Code: CodeFoam, Severity: finding.Caution, Facts: f})
	}
	return out
}

// leastWall is the least rubber, mm, round what is cast; 0 = as for any casting.
func (j *resolved) leastWall() float64 {
	if j.cast == nil || j.cast.LeastWall == nil {
		return 0
	}
	return j.cast.LeastWall.Value
}

// thinWall tells of rubber that is too thin for what is cast in it; wall in mm.
func (j *resolved) thinWall(wall float64) (out finding.List) {
	if j.cast == nil || j.cast.LeastWall == nil || wall <= 0 || wall >= j.cast.LeastWall.Value {
		return nil
	}
	out.Add(finding.Finding{Code: CodeThinWall, Severity: finding.Caution, Facts: ThinForHeat{j.cast.What, unit.Length(wall), unit.Length(j.cast.LeastWall.Value)}})
	return out
}

// nearHeat is the share of a rubber's heat limit from which its skin ages early;
// a judgement.
const nearHeat = 0.8

// heat tells of a casting that may get hotter than the rubber stands, or nearly:
// by the top of its range, since a thick casting runs the hottest.
func (j *resolved) heat(c *rubber.Chosen) (out finding.List) {
	lo, hi := j.cast.HottestC.Range()
	h := Hot{Cast: j.cast.What, Low: unit.Temperature(lo), High: unit.Temperature(hi), Rubber: c.Name, Limit: rubber.MostHeat(j.shop.Rubbers), Most: true}
	if c.HeatLimit != nil {
		h.Limit, h.Most = unit.Temperature(c.HeatLimit.Value), false
	}
	if r, ok := rubber.Standing(j.shop.Rubbers, lo, hi); ok && r.Name != c.Name {
		h.Instead, h.Stands = r.Name, unit.Temperature(r.HeatLimit.Value)
	}
	switch {
	case h.High > h.Limit:
		out.Add(finding.Finding{Code: CodeTooHot, Severity: finding.Stop, Facts: h})
	case h.High > nearHeat*h.Limit && !h.Most:
		out.Add(finding.Finding{Code: CodeNearHot, Severity: finding.Caution, Facts: h})
	}
	return out
}

// chemistry tells of a casting in a rubber that does not suit it, and of food.
// copies are the castings wanted; 0 = not said.
func chemistry(m *material.Casting, c *rubber.Chosen, copies int) (out finding.List) {
	if c.Family != "" && !slices.Contains(m.Families, c.Family) && len(m.Families) > 0 {
		out.Add(finding.Finding{Code: CodeFamily, Severity: finding.Caution, Facts: Unusual{Cast: m.What, Usual: m.Families, Family: c.Family}})
	}
	if most := m.MostCopies(c.Family); most > 0 && copies > most {
		out.Add(finding.Finding{Code: CodeFamily, Severity: finding.Caution, Facts: Unusual{m.What, m.Families, c.Family, most, copies}})
	}
	if m.Trigger(material.Food) {
		e := Eaten{Cast: m.What, Family: c.Family}
		severity := finding.Stop
		if c.Food {
			e.Declared, e.Owned, severity = c.Name, c.Own, finding.Note
		}
		out.Add(finding.Finding{Code: CodeFood, Severity: severity, Facts: e})
	}
	return out
}
