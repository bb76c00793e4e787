package estimate

import (
	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// jobOf is a method's job as labor prices it.
func (k *known) jobOf(m *method) labor.Job {
	j := k.job
	of := labor.Job{Work: k.laborOf(m), Rubber: m.mix.weighed(), Shell: m.shellMass(), Copies: j.Copies, PerCasting: j.shop.Prices.HoursPerCasting}
	if j.shared.cavities > 0 {
		of.Copies = j.shared.poured(j.wanted(j.shared.copies))
	}
	p := j.shop.Prices
	of.Prices.Labor = floatOf(p.LaborPerHour)
	of.Prices.Rubber = j.perKg(m.mix)
	if p.Sundries != nil {
		of.Sundries = p.Sundries.Float()
	}
	for _, n := range j.walls(m.fit) {
		if n.Price != nil {
			of.Container += n.Quantity * n.Price.Float()
		}
	}
	if c := m.casting; c != nil {
		if c.PullsLow != nil {
			of.Life = *c.PullsLow
		}
		if c.DemoldAfter != nil {
			of.Cure = *c.DemoldAfter
		}
		if own := j.own; own != nil && own.PricePerKg != nil && c.MassToMix != nil {
			of.Material = *c.weighed() / 1000 / float64(j.cavities()) * own.PricePerKg.Float()
		}
	} else {
		of.Copies = 0 // what is cast is not said: castings cost nothing
	}
	return of
}

// weightOf is what a method is weighed by: the work, what all molds of the run and
// their castings cost, and what it fails by.
func (k *known) weightOf(m *method) weight {
	of := k.jobOf(m)
	w := weight{Cost: labor.Price(of), work: of.Work, job: of}
	of.Copies = 0
	w.once = labor.Price(of).Total
	w.fails = k.gates(m, w.Reckoned)
	w.risks = hazards(w.Reckoned)
	return w
}

// wear is what the method makes of the castings that a mold gives.
func (c *Casting) wear(w weight) {
	if c == nil || c.PullsPerMold == nil {
		return
	}
	for _, n := range []**int{&c.PullsPerMold, &c.PullsLow, &c.PullsHigh, &c.PullsUsual} {
		if *n != nil {
			*n = new(labor.Shortened(**n, w.Reckoned.Life))
		}
	}
	if c.MoldsNeeded != nil {
		c.MoldsNeeded = &w.Molds
	}
}

// floatOf is an amount of money as a number; nil stays nil.
func floatOf(a *money.Amount) *float64 {
	if a == nil {
		return nil
	}
	return new(a.Float())
}

// shellMass is the mass of a method's mother mold, g; 0 = it has none.
func (m *method) shellMass() float64 {
	if s := m.fit.Shell; s != nil {
		return s.Mass
	}
	return 0
}

// laborOf is a method as labor counts it.
func (k *known) laborOf(m *method) labor.Work {
	j := k.job
	parts, small := m.judged.made(m.verdict.Answer)
	w := labor.Work{Method: m.labors(), Longest: k.longest(), Cavities: j.cavities(), Whole: m.verdict.Answer.Whole(), Parts: 2 + parts, Loose: small, Pores: len(m.judged.freed(m.verdict.Answer).Pores),
		Irreplaceable: j.Irreplaceable, Fin: j.Irreplaceable,
		Sealer: j.pattern != nil && j.pattern.Porous, Weak: j.pattern != nil && j.pattern.Delicate,
		Own: j.shop.Prices.hours()}
	if p := m.report.Parting; p != nil && p.Flatness != nil {
		w.Flatness = *p.Flatness
	}
	if w.Coats = m.mix.coats(); w.Coats > 0 {
		w.Brushed = m.mix.hands()
	} else {
		w.Stirred = m.mix.hands()
	}
	if s := m.fit.Shell; s != nil {
		w.Pieces, w.Laminate = len(s.Pieces), s.Material == boxfit.Laminate
	}
	switch m.fit.Kind {
	case boxfit.Polygon:
		w.Walls = labor.Polygon
		if m.fit.Sides != nil {
			w.Boards = *m.fit.Sides
		}
	case boxfit.Sleeve:
		w.Walls = labor.Tube
	}
	if m.fit.Own {
		w.Walls = labor.OwnBox
	}
	switch m.chosen.Family {
	case material.Tin:
		w.Cure, w.Airing = labor.Overnight, j.resins()
	case material.Polyurethane:
		w.Cure = labor.OneOrTwoNights
	}
	return w
}

// labors is a method's kind as labor tells them apart.
func (m *method) labors() labor.Method {
	parts, _ := m.judged.made(m.verdict.Answer)
	switch {
	case m.way.Slit:
		return labor.Slit
	case m.way.Mold == demold.Cut:
		return labor.CutOpen
	case m.way.Mold == demold.TwoPart && parts > 0:
		return labor.Parts
	case m.way.Mold == demold.TwoPart:
		return labor.TwoPart
	case m.way.Mold == demold.Blanket && m.coatHalves():
		return labor.PouredHalves
	case m.way.Mold == demold.Blanket:
		return labor.Poured
	case m.way.Mold == demold.Brushed && m.coatHalves():
		return labor.BrushedHalves
	case m.way.Mold == demold.Brushed:
		return labor.Brushed
	case m.pose.BaseContact > flatBack*m.pose.Rect[0]*m.pose.Rect[1] && m.report.UndercutVolume == 0:
		return labor.OpenFaced
	}
	return labor.Block
}

// flatBack is the share of the outline's rectangle that lies flat on the board of
// what is molded open-faced. Judgement of this program.
const flatBack = 0.6

// perKg is what a kilogram of rubber costs as it is bought for one mold; nil where
// no price is known.
func (j *resolved) perKg(m *mixing) *float64 {
	if p := j.rubberPerKg(m); p != nil {
		return floatOf(p)
	}
	buys, total := money.Cheapest(m.chosen.Kits, m.weighed())
	if buys == nil {
		return nil
	}
	g := m.weighed()
	if j.shop.Prices.ChargeUsed {
		g = 0
		for _, b := range buys {
			g += float64(b.Count) * b.Kit.SizeG
		}
	}
	return new(total.Float() / g * 1000)
}

// Hazard is a risk of a method to the pattern, and what its castings show.
type Hazard struct {
	Risk labor.Risk
	Seam labor.Seam
}

// hazards are the risks of a method.
func hazards(w labor.Reckoned) (out []finding.Remark) {
	if w.Risk > labor.NoRisk || w.Seam > labor.NoSeam {
		out = append(out, finding.Remark{Facts: Hazard{w.Risk, w.Seam}})
	}
	return out
}
