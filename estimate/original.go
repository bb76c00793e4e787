package estimate

import (
	"moldtally/estimate/material"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

// Risk is one step of the work, what it could do to a pattern that cannot be
// replaced, and how to guard against it.
type Risk struct {
	Step  RiskStep  `json:"step"`
	Harm  RiskHarm  `json:"risk"`
	Guard RiskGuard `json:"guard"`
}

// RiskStep is a step of the work.
type RiskStep int

// The steps, in the order of the work.
const (
	BeforeAnything RiskStep = iota
	FixingDown
	Sealing
	ReleaseAndRubber
	UnderVacuum
	Curing
	TakingOut
	Afterwards
)

// RiskHarm is what a step could do, and RiskGuard what guards against it.
type (
	RiskHarm  RiskFacts
	RiskGuard RiskFacts
)

// RiskFacts are what the words of a risk rest on.
type RiskFacts struct {
	Step    RiskStep
	Case    RiskCase
	Pattern string // what it is made of; "" = not known, or it does not matter
	Family  material.Family
	Softens unit.Temperature // 0 = not known
	Stretch float64          // of taking it out; 0 = not worth a word
	Mold    demold.Mold
}

// RiskCase is why a step is risky.
type RiskCase int

// The cases; PlainRisk is for every pattern.
const (
	PlainRisk RiskCase = iota
	Creeps             // oil and glue creep into it
	NeedsSealer
	Delicate
	NoCure
	SiliconeStains
	GripsFace
	Softening
)

// risk is a step with its case.
func risk(f RiskFacts) Risk { return Risk{f.Step, RiskHarm(f), RiskGuard(f)} }

// worthStretch is the stretch from which taking a pattern out is a risk of its
// own; a judgement.
const worthStretch = 0.05

// risks are what each step could do to a pattern that cannot be replaced, in the
// order of the work. stretch is what taking it out asks of the rubber; nil = no
// finite figure, or not looked at.
func (j *resolved) risks(f material.Family, mold demold.Mold, stretch *float64) []Risk {
	p := j.pattern
	var known material.Pattern
	var cure material.Cure
	if p != nil {
		known = *p
		cure, _ = p.Against(f)
	}
	out := []Risk{risk(RiskFacts{Step: BeforeAnything})}
	fixing := RiskFacts{Step: FixingDown, Pattern: known.What}
	if known.Stain || known.Porous {
		fixing.Case = Creeps
	}
	out = append(out, risk(fixing))
	switch sealing := (RiskFacts{Step: Sealing, Pattern: known.What}); {
	case p == nil:
		out = append(out, risk(sealing))
	case cure.Seal || known.Porous:
		sealing.Case = NeedsSealer
		out = append(out, risk(sealing))
	case known.Delicate:
		sealing.Case = Delicate
		out = append(out, risk(sealing))
	}
	release := RiskFacts{Step: ReleaseAndRubber, Pattern: known.What, Family: f}
	switch {
	case cure.No:
		release.Case = NoCure
	case f.Silicone() && (p == nil || known.Stain || known.Porous):
		release.Case = SiliconeStains
	case f == material.Polyurethane:
		release.Case = GripsFace
	}
	out = append(out, risk(release))
	if w := j.shop.Workshop; w.Vacuum != nil && *w.Vacuum > 0 {
		out = append(out, risk(RiskFacts{Step: UnderVacuum}))
	}
	curing := RiskFacts{Step: Curing}
	if known.SoftensC != nil {
		curing.Case, curing.Softens = Softening, unit.Temperature(known.SoftensC.Value)
	}
	peel := RiskFacts{Step: TakingOut, Mold: mold}
	if stretch != nil && *stretch > worthStretch {
		peel.Stretch = *stretch
	}
	return append(out, risk(curing), risk(peel), risk(RiskFacts{Step: Afterwards}))
}

// harming are the steps that can harm an original.
func harming(risks []Risk) (steps []RiskStep) {
	for _, r := range risks[1:] {
		steps = append(steps, r.Step)
	}
	return steps
}
