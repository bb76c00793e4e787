package estimate

import (
	"fmt"
	"strings"

	"moldtally/estimate/material"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// risks are what each step could do to a pattern that cannot be replaced, in the
// order of the work. stretch is what taking it out asks of the rubber; nil = no
// finite figure, or not looked at.
func (j *resolved) risks(f material.Family, mold demold.Mold, stretch *float64) []Risk {
	p := j.pattern
	out := []Risk{
		{"before anything", "a failed pour can cost the original", "photograph and measure it; consider a scan and a print to mold from instead; ask whoever it belongs to"},
		fixingRisk(p),
	}
	var cure material.Cure
	if p != nil {
		cure, _ = p.Against(f)
	}
	if r, ok := sealingRisk(p, cure); ok {
		out = append(out, r)
	}
	out = append(out, rubberRisk(p, cure, f))
	if w := j.shop.Workshop; w.Vacuum != nil && *w.Vacuum > 0 {
		out = append(out, Risk{"vacuum", "air in a hollow or porous original swells, lifts its skin and foams the rubber", "vacuum the rubber in its cup, never with the original in it"})
	}
	heat := "heat drives oil in deeper, softens wax and glue and opens old repairs"
	if p != nil && p.SoftensC != nil {
		heat = fmt.Sprintf("it softens at %.0f °C, and oil creeps in deeper when warm", p.SoftensC.Value)
	}
	return append(out,
		Risk{"cure", heat, "let it cure at room temperature, and no longer than it needs: open it as soon as the cup is firm"},
		peelRisk(mold, stretch),
		Risk{"afterwards", "oil goes on creeping, and a release left on it gathers dust", "clean it at once as its keeper says, and look at it again after a week"})
}

func fixingRisk(p *material.Pattern) Risk {
	risk := "clay, glue or screws mark its underside; oil of clay creeps into it"
	if p != nil && (p.Stain || p.Porous) {
		risk = fmt.Sprintf("clay oil and glue creep into %s and stay", p.What)
	}
	return Risk{"fixing it down", risk, "set it on film or foil; hold it from above with a padded bar instead of glue"}
}

func sealingRisk(p *material.Pattern, cure material.Cure) (Risk, bool) {
	switch {
	case p == nil:
		return Risk{"sealing", "its material is not known here; a sealer may darken it, dissolve old paint, and not come off again", "try the sealer on a hidden spot and take it off again, before the whole"}, true
	case cure.Seal || p.Porous:
		return Risk{"sealing", fmt.Sprintf("%s needs a sealer, which may darken it and may not come off", p.What), "one that can be taken off again, such as wax or methyl cellulose; try it and take it off on a hidden spot"}, true
	case p.Delicate:
		return Risk{"sealing", fmt.Sprintf("moisture, sealer or solvent may harm %s", p.What), "try each on a hidden spot and wait a day"}, true
	}
	return Risk{}, false
}

func rubberRisk(p *material.Pattern, cure material.Cure, f material.Family) Risk {
	const step = "release and rubber"
	switch {
	case p != nil && cure.No:
		return Risk{step, fmt.Sprintf("%s does not cure against %s: liquid rubber stays on it", f.Words(), p.What), "another chemistry; see the stop"}
	case f.Silicone() && (p == nil || p.Stain || p.Porous):
		what := "porous stone, plaster, wood and bone take"
		if p != nil {
			what = p.What + " takes"
		}
		return Risk{step, what + " up oil from silicone and from petroleum jelly: a stain that stays", "seal it first; no petroleum jelly or silicone oil on it; a patch of cured rubber left on a hidden spot for a day shows the stain"}
	case f == material.Polyurethane:
		return Risk{step, "polyurethane grips whatever it gets into, and takes the face along", "sealer and release, twice; silicone is the gentler rubber for an original"}
	}
	return Risk{step, "a face on which the rubber does not cure stays sticky, and the solvents that clean it off harm it", "patch test on a hidden spot, left for the full demold time"}
}

func peelRisk(mold demold.Mold, stretch *float64) Risk {
	peel := "peeling pulls: thin parts break, paint, gilding and old repairs lift off"
	if stretch != nil && *stretch > 0.05 {
		peel += fmt.Sprintf("; here the rubber has to stretch by %.0f %%", 100**stretch)
	}
	guard := "a softer rubber; peel slowly from one edge, low and back on itself; support thin parts"
	switch mold {
	case demold.TwoPart:
		guard = "open the halves evenly, without levers"
	case demold.Cut:
		guard = "no knife toward the original: cut against a wire or strip laid on it before the pour, or make it in two parts"
		peel = "the knife scratches it; " + peel
	}
	return Risk{"taking it out", peel, guard}
}

// cannotBeReplaced says which steps can harm an original.
func cannotBeReplaced(risks []Risk) finding.Finding {
	var steps []string
	for _, r := range risks[1:] {
		steps = append(steps, r.Step)
	}
	return finding.Finding{Code: finding.PatternIrreplaceable, Severity: finding.Caution,
		Summary: "the pattern cannot be replaced, and each step can harm it: " + strings.Join(steps, ", "),
		Effect:  "a failed pour can cost the original",
		Hint:    "read what each step could do to it, at the head of this sheet, before anything else"}
}
