package boxfit

import (
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// tallHead is the depth of rubber, mm, past which a box made with glue or tape
// is likely to leak or part (judgement, no source): 3.4 kPa at the floor.
const tallHead = 300

// judge adds what a maker must be told about a finished fit.
func (p *planner) judge(f *Fit, side, rim float64) {
	s := p.s
	at := f.ThinnestAt
	if f.Own {
		p.judgeOwn(f, side, rim)
	}
	if f.Own || !p.mold.Coated() && (p.r.Wall != nil || p.r.Over != nil || p.r.Under != nil) {
		// Less rubber than the rule, whether there was no more room or it was
		// asked for.
		if f.Thinnest < coverLeast-1e-9 && f.Thinnest > 0 && !f.Findings.Has(CodeSmall) && !f.Findings.Has(CodeThin) {
			f.Findings.Add(finding.Finding{Code: CodeThin, Severity: finding.Caution, At: at, Facts: Thin{Thinnest: unit.Length(f.Thinnest), Usual: unit.Length(p.rule)}})
		}
	}
	most := float64(CoverMost)
	if p.mold == demold.TwoPart && p.r.Wall == nil {
		most = FlangeOf(CoverMost) // it is that wide for its keys
	}
	if !p.mold.Coated() && p.wall > most+1e-9 {
		f.Findings.Add(finding.Finding{Code: CodeThick, Severity: finding.Caution, Facts: Thick{Asked: unit.Length(p.wall), Most: CoverMost}})
	} else if !p.mold.Coated() && f.CoverWanted > CoverMost && p.r.Wall == nil {
		f.Findings.Add(finding.Finding{Code: CodeThick, Severity: finding.Note,
			Facts: Thick{Length: unit.Length(s.rect.Length), Width: unit.Length(s.rect.Width), Mold: p.mold, Rubber: unit.Volume(f.Rubber)}})
	}
	if head, _ := p.poured(f); head > tallHead && p.mold != demold.Brushed {
		f.Findings.Add(finding.Finding{Code: CodeHead, Severity: finding.Caution,
			Facts: Head{unit.Length(head), unit.Pressure(f.FloorPressure), unit.Force(f.WallForce), f.Kind == Mother}})
	}
	p.judgeFloat(f)
	p.judgeLift(f)
	p.judgeSheets(f)
}

// judgeLift tells how heavy the filled container is.
func (p *planner) judgeLift(f *Fit) {
	m := p.knownLift(f)
	if f.LiftMass != nil {
		m = *f.LiftMass
	}
	if unit.Mass(m) <= LiftNote {
		return
	}
	sev := finding.Note
	hands := Hands(unit.Mass(m))
	if hands != 1 {
		sev = finding.Caution
	}
	f.Findings.Add(finding.Finding{Code: CodeHeavy, Severity: sev, Facts: Heavy{Mass: unit.Mass(m), AtLeast: f.LiftMass == nil, Hands: hands, Shell: f.Kind == Mother, Brushed: p.mold == demold.Brushed}})
}

// judgeOwn tells whether the pattern fits the user's own container.
func (p *planner) judgeOwn(f *Fit, side, rim float64) {
	x := TooSmall{Kind: Box, Need: p.leastInside(f.Kind)}
	if f.Kind == Sleeve {
		x.Kind = Sleeve
	}
	if side < -1e-9 {
		x.Side = unit.Length(-2 * side)
	}
	if room := rim - p.s.height(); room < -1e-9 {
		x.Height = unit.Length(-room)
	}
	if x.Side > 0 || x.Height > 0 {
		f.Findings.Add(finding.Finding{Code: CodeSmall, Severity: finding.Stop, At: f.ThinnestAt, Facts: x})
		return
	}
	thin := OwnThin{Kind: x.Kind, Need: x.Need, Skin: f.Thinnest < skin}
	narrow := side < p.wall-1e-6
	switch {
	case f.Over >= p.over-1e-6 && f.Under >= p.under-1e-6 && !narrow:
		return
	case narrow && (side <= min(f.Over, p.over) || f.Over >= p.over-1e-6 && f.Under >= p.under-1e-6):
		thin.Have, thin.Want = unit.Length(side), unit.Length(p.wall)
	default:
		thin.Where, thin.Have, thin.Want = OverPattern, unit.Length(f.Over), unit.Length(p.over)
		if p.under > 0 {
			thin.Where, thin.HaveUnder, thin.WantUnder = OverAndUnder, unit.Length(f.Under), unit.Length(p.under)
		}
	}
	sev := finding.Caution
	if thin.Skin {
		sev = finding.Stop
	}
	f.Findings.Add(finding.Finding{Code: CodeThin, Severity: sev, At: f.ThinnestAt, Facts: Thin{Own: &thin}})
}

// skin is the thickness, mm, below which rubber is a skin and no wall
// (judgement, no source): a glove mold is 3 mm at its thinnest.
const skin = 3

// leastInside says how large a container of the kind must be inside.
func (p *planner) leastInside(k Kind) Inside {
	h := unit.Length(p.under + p.s.height() + p.over)
	if k == Sleeve {
		return Inside{Diameter: unit.Length(2 * (p.s.circle.Radius + p.wall)), Height: h}
	}
	w := p.boxWalls()
	return Inside{Length: unit.Length(w.length), Width: unit.Length(w.width), Height: h}
}

// noStockTube tells that the pattern is too wide for any tube in stock.
func (p *planner) noStockTube(need float64) finding.Finding {
	t := Tubes()
	last := t[len(t)-1]
	return finding.Finding{Code: CodeTube, Severity: finding.Caution, Facts: NoTube{unit.Length(need), last.Name, unit.Length(last.Bore)}}
}

// shellLifts tells that a closed mother mold wants to rise while it is filled.
func (p *planner) shellLifts(up float64) finding.Finding {
	return finding.Finding{Code: CodeShell, Severity: finding.Caution,
		Facts: ShellLifts{unit.Force(up), Riser, unit.Mass(MarginScrews * max(0, up) / unit.G * 1000)}}
}
