package words

import (
	"strings"

	"moldtally/estimate"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
)

var workRemarks = []saying{
	says(func(v voice, p rubber.Practice) string { return v.practice(p) }),
	says(func(v voice, s schedule.Task) string { return v.task(s) }),
	says(func(v voice, c schedule.Coating) string { return v.coating(c) }),
	says(func(v voice, l rubber.Loss) string {
		if l.Share == 0 {
			return "what clings to the cups, which is more than the percentage"
		}
		s := sig(3)(100*l.Share) + " % for what stays in cups and is spilled"
		if l.Pours > 0 {
			s += ", from " + whole(l.Pours) + " of your pours, instead of " + sig(3)(100*l.Instead) + " %"
		}
		return s
	}),
	says(func(v voice, c estimate.Safety) string { return v.safety(c) }),
	says(func(v voice, n estimate.NotChecked) string { return v.notChecked(n) }),
}

// practice says how a step of mixing is done.
func (v voice) practice(p rubber.Practice) string {
	switch p.Step {
	case rubber.LetStand:
		parts := "A, B"
		if p.OnePart {
			parts = "the rubber"
		}
		return "the day before, put " + parts + ", the pattern and the box where they are to be used, so that all of them stand at " + v.celsius(p.Temp, sig(3))
	case rubber.StirCans:
		if p.OnePart {
			return "stir the can through before taking from it"
		}
		return "stir A down to the bottom of its can, and shake or stir B: what they are filled with settles"
	case rubber.StirAdditives:
		var names []string
		for _, k := range p.Added {
			names = append(names, string(k))
		}
		what := "stir the " + strings.Join(names, ", then the ")
		if p.OnePart {
			return what + " into the rubber until no streak is left"
		}
		return what + " into part A until no streak is left, before B goes in"
	case rubber.Stir, rubber.StirByVolume:
		how := "weigh A, set the scale to zero, weigh B into the same cup"
		if p.Step == rubber.StirByVolume {
			how = "weigh A and B as given here, which allows for a ratio by volume already, or measure them by volume in two equal cups"
		}
		return how + "; stir for " + sig(3)(p.Stir) + " min, slowly, and scrape the sides, the bottom and the stick as you go"
	case rubber.PourOver:
		return "pour it over into a second, clean cup and stir again: what clings to the first cup is badly mixed, so do not scrape that into the mold"
	case rubber.Degas:
		return "under vacuum it rises to three to five times its height, then falls: hold it one to three minutes longer, then let the air in slowly"
	case rubber.BrushOn:
		return "brush on a thin first coat and work it into every corner; the next when the last is tacky"
	case rubber.PourThin:
		return "brush a thin coat over fine detail; then pour from high up, a stream as thin as a pencil, into the lowest corner away from the pattern, and let it rise over it"
	case rubber.MindChemistry:
		switch p.Family {
		case material.Platinum:
			return "cups, sticks and brushes that have met tin-cure silicone, sulfur or latex stop it: keep tools apart, and wear vinyl or nitrile gloves"
		case material.Tin:
			return "it takes moisture from the air to cure: 40 to 60 % humidity, and not sealed up; more catalyst than the ratio makes it brittle; above " + v.degrees(40, 50) + ", shut in, it can turn soft again"
		}
		return "water makes it foam: dry cups, wooden sticks and pattern, and cans closed at once after use"
	case rubber.KeepCup:
		return "keep the cup with the last of the mix beside the mold: open the mold only when that is firm and dry and a fingernail leaves no mark; where the cup is firm and the mold's face sticky, the pattern has stopped the cure"
	}
	return "do not hurry it with heat while it is on the pattern: silicone cured at " + v.celsius(p.Cured, fixed(0)) + " is about " + fixed(1)(100*p.Shrinks) + " % smaller at " + v.celsius(p.Temp, sig(3))
}

// unchecked has the words of what is not looked at.
var unchecked = map[estimate.Unchecked]string{
	estimate.OnlyFile:       "whether it comes out of rubber, its container and the rubber it takes: this looks at the file alone",
	estimate.OnlyDemolding:  "the container, the rubber, whether it cures against the pattern, and whether the pattern floats: this looks at how it comes out alone",
	estimate.OnlyContainers: "whether the rubber cures against the pattern, whether the pattern floats, castings, the order of work and cost: this looks at containers alone, and is told neither what the pattern is made of nor what is cast",
	estimate.WallsUnknown:   "whether the walls of your own container bear the liquid rubber: what they are made of is not given (--board)",
	estimate.CureUnknown:    "whether the rubber cures against the pattern: its material is not given (--pattern-material)",
	estimate.RubberUnknown:  "chemistry, times and heat: nothing but its data sheet's weights is known of this rubber",
	estimate.NoMesh:         "whether the pattern comes out, how thin the rubber gets, whether air is trapped, and whether the walls bear the liquid rubber: there is no mesh",
	estimate.CastUnknown:    "heat, wear and shrinkage of castings: what is cast is not given (--cast)",
	estimate.PotLifeUnknown: "pot life: the shop file gives none for this rubber",
	estimate.NoPrices:       "cost: no price is given (--price-per-kg, or prices in the shop file)",
	estimate.EachBatch:      "the rubber's shelf life, moisture and contamination: test each batch in a cup, and keep the cup",
}

// notChecked says what a plan has not looked at.
func (v voice) notChecked(n estimate.NotChecked) string {
	switch n.What {
	case estimate.FloatUnknown:
		if n.Mass == nil {
			return "whether the pattern floats"
		}
		return "whether the pattern floats: its mass is " + v.patternMass(*n.Mass)
	}
	return unchecked[n.What]
}

// patternMass says how a pattern's mass was had, or why it is not known.
func (v voice) patternMass(h estimate.MassFrom) string {
	switch h.How {
	case estimate.AsWeighed:
		return "as weighed"
	case estimate.NothingGiven:
		return "not known: neither its mass (--pattern-mass) nor its material is given"
	case estimate.NoVolume:
		return "not known: the mesh encloses no volume"
	case estimate.DensityVague:
		return "not known: " + h.Material + " weighs anything from " + v.densities(h.Low, h.High) + "; weigh it"
	case estimate.InfillUnknown:
		return "not known: a print weighs what its infill makes it; give --infill, or weigh it (" + h.Material + ")"
	}
	s := h.Material + " at " + v.gravity(h.Low, sig(-1))
	if h.How == estimate.ByInfill {
		return s + ", " + percent(h.Solid) + " solid by " + sig(-1)(h.Infill) + " % infill and a shell of " + v.mm(h.Shell, sig(-1))
	}
	return s + ", solid"
}
