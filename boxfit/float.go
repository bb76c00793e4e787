package boxfit

import (
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// MarginScrews and MarginGlue multiply the buoyancy to what a fixing is made
// for: screws, a bar across the top or a weight hold as they are made; glue, tape
// and clay creep and soften over the hours of a cure, and the pour pushes on the
// pattern (judgement, no source).
const (
	MarginScrews = 2
	MarginGlue   = 4
)

// ClayHolds is the force with margin, N, below which nothing has to be settled, as
// the clay round the pattern's edge holds that much; up to floatMuch a caution is
// enough (judgement of this program).
const (
	ClayHolds = 1
	floatMuch = 5
)

// gluePeel is what hot glue or a glue ring bears where it peels, MPa: peel, not
// shear, is what breaks it (judgement, no source).
const gluePeel = 0.05

// Holding is what a pattern of some weight needs so that it stays where it is.
type Holding int

// The ways, the heaviest pattern first.
const (
	Stands   Holding = iota // its weight holds it; its edge is sealed
	Tacked                  // it sinks, but the stream moves it
	Glued                   // a ring of glue
	Anchored                // a screw from below, a rod, a bridge or a weight
)

// Mean densities of a pattern, as a share of the rubber's, from which its weight
// holds it against the stream too, from which it sinks, and from which glue is
// enough (judgement, no source).
const (
	standsFrom = 1.25
	sinksFrom  = 1.0
	gluedFrom  = 0.8
)

// holding is how a pattern is held whose mean density is that share of the
// rubber's.
func holding(ratio float64) Holding {
	switch {
	case ratio >= standsFrom:
		return Stands
	case ratio >= sinksFrom:
		return Tacked
	case ratio >= gluedFrom:
		return Glued
	}
	return Anchored
}

// float works out what holds the pattern down that displaces a volume, mm³, of
// liquid rubber.
func (p *planner) float(f *Fit, sunk float64) {
	m := p.r.PatternMass
	if m == nil {
		return
	}
	up := buoyancy(p.sg, sunk, *m)
	margin := MarginScrews * max(0, up)
	f.HoldDown, f.HoldDownMargin = &up, &margin
	if whole := float64(unit.Density(p.sg).Mass(p.s.displaced.Value)); whole > 0 {
		f.Holding = new(holding(*m / whole))
	}
}

// judgeFloat tells what holds the pattern down, where that is still open: not
// where it is fixed, and not where the clay edge holds it.
func (p *planner) judgeFloat(f *Fit) {
	if p.r.Fixed || f.Findings.Has(CodeSmall) {
		return
	}
	_, displaced := p.poured(f)
	if f.HoldDown == nil {
		worst := buoyancy(p.sg, displaced, 0)
		if load := MarginScrews * worst; load >= ClayHolds {
			f.Findings.Add(finding.Finding{Code: CodeFloatUnknown, Severity: finding.Caution,
				Facts: MayFloat{unit.Mass(p.sg * displaced / 1000), unit.Force(worst), weightOf(load), p.r.Bodies}})
		}
		return
	}
	up, margin := *f.HoldDown, *f.HoldDownMargin
	if margin < ClayHolds {
		return
	}
	sev := finding.Caution
	if margin > floatMuch {
		sev = finding.Stop
	}
	m := *p.r.PatternMass
	x := Floats{
		Mass: unit.Mass(m), Displaces: unit.Mass(m + up/unit.G*1000), Up: unit.Force(up),
		Screws: unit.Force(margin), Load: weightOf(margin), Glue: unit.Force(MarginGlue * up),
		OnBoard: p.mold.OnBoard(), Sealed: p.foot(f, displaced, up), Original: p.r.Irreplaceable, Bodies: p.r.Bodies,
	}
	if f.Holding != nil && *f.Holding == Glued && x.OnBoard && !x.Original {
		x.Ring = unit.Area(MarginGlue * up / gluePeel)
	}
	f.Findings.Add(finding.Finding{Code: CodeFloat, Severity: sev, Facts: x})
}

// weightOf is the mass that weighs a force, N.
func weightOf(force float64) unit.Mass { return unit.Mass(force / unit.G * 1000) }

// foot is what the best case would do, in which no rubber gets under a foot.
func (p *planner) foot(f *Fit, displaced, up float64) Foot {
	if p.r.Contact <= 0 || !p.mold.OnBoard() {
		return FootNoHelp
	}
	switch v := sealedLift(p.sg, displaced, p.r.Contact, f.FillHeight) - *p.r.PatternMass/1000*unit.G; {
	case v <= 0:
		return FootHolds
	case v < up:
		return FootLess
	}
	return FootNoHelp
}
