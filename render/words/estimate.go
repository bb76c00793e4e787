package words

import (
	"strings"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

var estimateRemarks = []saying{
	says(func(v voice, d estimate.Dunked) string {
		return "as measured by dunking; the mesh displaces " + v.mm3(d.Mesh, sig(6)) + " (" + v.say(remark(d.Measured)) + ")"
	}),
	says(func(v voice, s estimate.RiskStep) string { return riskSteps[s] }),
	says(func(v voice, h estimate.RiskHarm) string { return v.harm(h) }),
	says(func(v voice, g estimate.RiskGuard) string { return guard(g) }),
}

// tellUpright says that +z was taken for the top.
func tellUpright(v voice, u estimate.UprightAssumed) Told {
	t := Told{Hint: "look at the picture; --upright +y (or another side) says which side is its top"}
	switch {
	case u.Use == estimate.UprightStands:
		t.Summary, t.Effect = "nothing says which side of the object is its top: +z is taken, and the pattern stands in the mold that way", "if it stands otherwise in the world, the mold is cut along another line than a maker would choose"
	case u.Looks != mesh.Vec{}:
		side := Side(u.Looks)
		t.Summary = "the finished height is measured along +z, but the object looks as if it stood with " + side + " up; the file does not say which side is its top"
		t.Effect = "if it does, the pattern is made the wrong size, and the rubber with it; along " + side + " it is now " + v.mm(u.Tall, sig(3)) + " tall, and not the " + v.mm(u.Asked, sig(3)) + " asked for"
		t.Hint = "look at the picture; where it stands with " + side + " up, say so with --upright " + side + ", else --upright +z"
	default:
		t.Summary, t.Effect = "nothing says which side of the object is its top: +z is taken, and the finished height is measured along it", "if it stands otherwise in the world, the pattern is made too large or too small, and the rubber with it"
	}
	return t
}

var estimateFindings = findings{
	estimate.CodeUnitAssumed:  tells(tellUnit),
	estimate.CodeUpright:      tells(tellUpright),
	estimate.CodeUnitDoubtful: tells(tellUnit),
	estimate.CodeOpenTop: tells(func(v voice, o estimate.OpenTop) Told {
		t := Told{
			"the pattern is a sheet that is open at the top, " + v.mm(o.Width, sig(3)) + " across: a lid or a vessel is a choice, and the lid was taken",
			"as a vessel it takes about " + v.grams(o.More, sig(3)) + " more rubber (at " + v.gravity(o.Density, fixed(2)) + ") than closed with a lid",
			"say --opening closed or --opening open; or turn the open side down with --up if it is the side that was not scanned",
		}
		if o.Closed > 0 {
			t.Effect = "closed with a lid the mold takes " + v.grams(o.Closed, sig(4)) + " of rubber; as a vessel that rubber fills, about " + v.grams(o.Closed+o.More, sig(4)) + ", and the core must come out of it"
		}
		return t
	}),
	estimate.CodeDunked: tells(func(v voice, d estimate.DunkedDiffers) Told {
		return Told{
			"dunked, the pattern displaces " + v.cm3(d.Dunked, sig(4)) + "; the mesh says " + v.cm3(d.Mesh, sig(4)) + ": " + signed(0)(100*(float64(d.Dunked/d.Mesh)-1)) + " %",
			"the dunked volume is used; a large difference means that unit, size or file are not the pattern's",
			"measure one length of the pattern against size_mm, and dunk it again without air",
		}
	}),
	estimate.CodeMass: tells(func(v voice, h estimate.TooHeavy) Told {
		most := sig(3)(float64(h.Most))
		return Told{
			v.grams(h.Mass, fixed(0)) + " over the pattern's volume is " + v.gravity(h.Density, fixed(2)) + ", heavier than " + h.Material + " (" + most + " at most)",
			"either the unit of the file or the mass is wrong, and with it the hold-down or the rubber",
			"check --units against a measured length, and weigh the pattern again",
		}
	}),
	estimate.CodeSoftens: tells(func(v voice, s estimate.Softens) Told {
		return Told{s.Pattern + " softens at " + v.degrees(s.Low, s.High), "a fast polyurethane warms itself in bulk and may dent or bend the pattern", "take a slow rubber, pour in layers, and cure nothing warm"}
	}),
	estimate.CodeOriginal: tells(func(v voice, o estimate.Original) Told {
		var steps []string
		for _, s := range o.Steps {
			steps = append(steps, riskSteps[s])
		}
		return Told{"the pattern cannot be replaced, and each step can harm it: " + strings.Join(steps, ", "), "a failed pour can cost the original", "read what each step could do to it, at the head of this sheet, before anything else"}
	}),
}

func tellUnit(v voice, u estimate.Unit) Told {
	const effect = "a wrong unit makes the rubber wrong a thousandfold"
	if u.Stated != "" {
		return Told{"by the unit the file states (" + u.Stated + ") the pattern is " + v.mm(u.Longest, sig(4)) + " at its longest", effect, "measure it; --units overrides what the file states"}
	}
	const silent = "; the file does not say its unit"
	read := "read as mm the pattern is " + v.bothLengths(u.Longest) + " at its longest"
	what := map[estimate.UnitDoubt]string{
		estimate.TooSmall:       "did you mean --units in, or m?",
		estimate.MaybeCM:        "a size like that is as often cm as mm (--units cm)",
		estimate.TooLargeToMold: "too large for most molds; is it a scan in thousandths of a mm?",
	}[u.Doubt]
	if what == "" {
		return Told{read + silent, "if that is not its size, nothing below is right, and a quote is only a draft", "check one length; --units mm confirms it"}
	}
	return Told{read + ": " + what + silent, effect, "measure the pattern and say --units mm, cm, m or in; or give its finished size with --height or --longest"}
}

// bothLengths writes a length in millimetres and inches for a reader of metric
// units, since its unit is in doubt.
func (v voice) bothLengths(l unit.Length) string {
	if v.us {
		return sig(3)(l.In(unit.Inch)) + " in"
	}
	return v.mm(l, sig(4)) + " (" + sig(3)(l.In(unit.Inch)) + " in)"
}

var riskSteps = map[estimate.RiskStep]string{
	estimate.BeforeAnything: "before anything", estimate.FixingDown: "fixing it down", estimate.Sealing: "sealing", estimate.ReleaseAndRubber: "release and rubber",
	estimate.UnderVacuum: "vacuum", estimate.Curing: "cure", estimate.TakingOut: "taking it out", estimate.Afterwards: "afterwards",
}

// harm says what a step could do to a pattern.
func (v voice) harm(h estimate.RiskHarm) string {
	switch h.Case {
	case estimate.Creeps:
		return "clay oil and glue creep into " + h.Pattern + " and stay"
	case estimate.NeedsSealer:
		return h.Pattern + " needs a sealer, which may darken it and may not come off"
	case estimate.Delicate:
		return "moisture, sealer or solvent may harm " + h.Pattern
	case estimate.NoCure:
		return family(h.Family) + " does not cure against " + h.Pattern + ": liquid rubber stays on it"
	case estimate.SiliconeStains:
		what := "porous stone, plaster, wood and bone take"
		if h.Pattern != "" {
			what = h.Pattern + " takes"
		}
		return what + " up oil from silicone and from petroleum jelly: a stain that stays"
	case estimate.GripsFace:
		return "polyurethane grips whatever it gets into, and takes the face along"
	case estimate.Softening:
		return "it softens at " + v.celsius(h.Softens, fixed(0)) + ", and oil creeps in deeper when warm"
	}
	switch h.Step {
	case estimate.BeforeAnything:
		return "a failed pour can cost the original"
	case estimate.FixingDown:
		return "clay, glue or screws mark its underside; oil of clay creeps into it"
	case estimate.Sealing:
		return "its material is not known here; a sealer may darken it, dissolve old paint, and not come off again"
	case estimate.ReleaseAndRubber:
		return "a face on which the rubber does not cure stays sticky, and the solvents that clean it off harm it"
	case estimate.UnderVacuum:
		return "air in a hollow or porous original swells, lifts its skin and foams the rubber"
	case estimate.Curing:
		return "heat drives oil in deeper, softens wax and glue and opens old repairs"
	case estimate.TakingOut:
		s := "peeling pulls: thin parts break, paint, gilding and old repairs lift off"
		if h.Stretch > 0 {
			s += "; here the rubber has to stretch by " + percent(h.Stretch)
		}
		if h.Mold == demold.Cut {
			s = "the knife scratches it; " + s
		}
		return s
	}
	return "oil goes on creeping, and a release left on it gathers dust"
}

// caseGuards and stepGuards have the words of what guards a pattern: in a case
// of its own, else in a step.
var (
	caseGuards = map[estimate.RiskCase]string{
		estimate.NeedsSealer:    "one that can be taken off again, such as wax or methyl cellulose; try it and take it off on a hidden spot",
		estimate.Delicate:       "try each on a hidden spot and wait a day",
		estimate.NoCure:         "another chemistry; see the stop",
		estimate.SiliconeStains: "a barrier film that comes off again, tried first, and never the bare rubber; no petroleum jelly or silicone oil on it; a patch of cured rubber left on a hidden spot for a day shows the stain",
		estimate.GripsFace:      "no polyurethane on an original: a soft platinum-cure silicone; see the stop",
	}
	stepGuards = map[estimate.RiskStep]string{
		estimate.BeforeAnything:   "photograph and measure it; consider a scan and a print to mold from instead; its owner's leave in writing; a test on a hidden spot for the whole cure, looked at again after a week",
		estimate.FixingDown:       "bed it in a cradle on film or foil, or mold it where it stands: no screw, glue or hot-melt, and no weight on it",
		estimate.Sealing:          "try the sealer on a hidden spot and take it off again, before the whole",
		estimate.ReleaseAndRubber: "patch test on a hidden spot, left for the full demold time",
		estimate.UnderVacuum:      "vacuum the rubber in its cup, never with the original in it",
		estimate.Curing:           "let it cure at room temperature, and no longer than it needs: open it as soon as the cup is firm",
		estimate.Afterwards:       "clean it at once as its keeper says, and look at it again after a week; keep the first casting to mold from the next time",
	}
)

// guard says what guards a pattern in a step.
func guard(g estimate.RiskGuard) string {
	if s, ok := caseGuards[g.Case]; ok {
		return s
	}
	if g.Step != estimate.TakingOut {
		return stepGuards[g.Step]
	}
	switch g.Mold {
	case demold.TwoPart:
		return "open the halves evenly, without levers"
	case demold.Cut:
		return "no knife near the original: stand a strip of card or film on it before the pour, not quite to the outside, or make it in two parts"
	}
	return "fill undercuts with a filler that comes out again; a softer rubber; no blade; peel slowly from one edge, low and back on itself; support thin parts"
}

var estimateFaults = []fault{
	faults(func(v voice, e *estimate.SizeError) Fault {
		if e.Factor == 0 {
			return Fault{Told: Told{e.File + " has no height along the side that is taken for its top", "it cannot be brought to a height", "say which side is its top with --upright, or give --longest"}}
		}
		return Fault{Told: Told{"made " + sig(-1)(e.Factor) + " times as big, the pattern is too large to reckon with", "nothing was worked out", "look at the size asked for and at --units"}}
	}),
}
