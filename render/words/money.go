package words

import (
	"slices"

	"moldtally/estimate"
	"moldtally/estimate/labor"
	"moldtally/mesh/unit"
)

var moneyRemarks = []saying{
	says(func(v voice, b estimate.Bought) string { return v.bought(b) }),
	says(func(v voice, u estimate.Unpriced) string { return of(u.Of, v.bought(u.What)) }),
	says(func(v voice, u estimate.Unsettled) string { return of(Several(u.Of), v.unsettled(u)) }),
	says(func(v voice, p estimate.Pays) string { return v.pays(p) }),
	says(func(v voice, _ estimate.Rounding) string {
		return "each line to the smallest coin, half up; nothing is converted"
	}),
}

// of puts before something which pattern it is about; "" = there is but one.
func of(pattern, what string) string {
	if pattern == "" {
		return what
	}
	return pattern + ": " + what
}

// mostNamed is how many patterns are named before the rest are counted. Judgement of
// this program.
const mostNamed = 3

// Several names some patterns, three at most, or else the first and how many more.
func Several(files []string) string {
	if len(files) <= mostNamed {
		return list(files, "and")
	}
	return files[0] + " and " + count(len(files)-1, "more pattern")
}

// boughtNames are the lines of a cost that have no more to their name.
var boughtNames = map[estimate.BoughtKind]string{
	estimate.Sundries:       "release, sealer, cups, gloves",
	estimate.LaborPreparing: "labor: preparing the pattern",
	estimate.LaborHolding:   "labor: box, or mother mold",
	estimate.LaborFilling:   "labor: mixing, and pouring or brushing",
	estimate.LaborOpening:   "labor: opening",
	estimate.LaborCasting:   "labor: casting",
	estimate.Finishing:      "finishing of castings",
	estimate.LaborFinishing: "labor: finishing castings",
}

// boughtKinds stand before the name of what is bought.
var boughtKinds = map[estimate.BoughtKind]string{
	estimate.BoughtRubber:    "rubber: ",
	estimate.ShelfRubber:     "rubber from the shelf: ",
	estimate.BoughtKit:       "rubber: ",
	estimate.UsedOfKits:      "rubber used of the kits: ",
	estimate.BoughtPigment:   "pigment: ",
	estimate.BoughtThinner:   "thinner: ",
	estimate.BoughtThickener: "thickener: ",
	estimate.BoughtBoard:     "board: ",
	estimate.BoughtTube:      "tube: ",
	estimate.BoughtShell:     "mother mold: ",
	estimate.CastMaterial:    "casting material: ",
}

// bought names a line of the cost.
func (v voice) bought(b estimate.Bought) string {
	switch {
	case b.Tasks != 0:
		if b.Kind == estimate.LaborCasting {
			return "labor: filling and taking out castings (usual hours)"
		}
		return "labor: " + list(tasksDone(b.Tasks), "and") + " (usual hours)"
	case b.Kind == estimate.BoughtKit:
		return boughtKinds[b.Kind] + b.Name + ", kit of " + v.grams(b.Size, sig(-1))
	}
	return boughtNames[b.Kind] + boughtKinds[b.Kind] + b.Name
}

// taskNames are what is done, as a bill names it.
var taskNames = map[labor.Task]string{
	labor.Planning: "planning", labor.Sealing: "sealing", labor.Fixing: "fixing with a clay edge", labor.Boxing: "box", labor.Pouring: "mixing and pouring",
	labor.Bedding: "clay bed and keys", labor.Turning: "turning over", labor.Claying: "clay coat", labor.Shelling: "mother mold", labor.Clearing: "clearing the clay",
	labor.Coating: "brushing", labor.Cutting: "cutting open", labor.Demolding: "demolding", labor.Trying: "trial casting", labor.OwnTime: "the shop's own hours",
}

// tasksDone are the names of tasks.
func tasksDone(t estimate.Tasks) (out []string) {
	for x := labor.Planning; x <= labor.OwnTime; x++ {
		if t.Has(x) {
			out = append(out, taskNames[x])
		}
	}
	return out
}

// Lacking names in short what has no price, each sort once: labor, rubber, boards.
func Lacking(lines []estimate.Unpriced) string {
	var out []string
	for _, l := range lines {
		if s := inShort(l.What); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return list(out, "and")
}

// inShort is a line of a cost in a word or two.
func inShort(b estimate.Bought) string {
	switch b.Kind {
	case estimate.BoughtRubber, estimate.ShelfRubber, estimate.BoughtKit, estimate.UsedOfKits:
		return "rubber"
	case estimate.BoughtPigment:
		return "pigment"
	case estimate.BoughtThinner:
		return "thinner"
	case estimate.BoughtThickener:
		return "thickener"
	case estimate.BoughtBoard:
		return "boards"
	case estimate.BoughtTube:
		return "the tube"
	case estimate.BoughtShell:
		return "the mother mold"
	case estimate.Sundries:
		return "release and sundries"
	case estimate.CastMaterial:
		return "the castings' material"
	case estimate.LaborCasting, estimate.LaborFinishing:
		return "the castings' labor"
	case estimate.Finishing:
		return "finishing"
	}
	return "labor"
}

// unsettled is why a quote is a draft.
func (v voice) unsettled(u estimate.Unsettled) string {
	switch u.Why {
	case estimate.DraftUnits:
		if u.Size == ([3]float64{}) {
			return "the file states no unit; its numbers are taken as millimetres"
		}
		return "the file states no unit; its size is taken as " + v.sizes(u.Size)
	case estimate.DraftSize, estimate.DraftStop:
		if u.Found == nil {
			return "its size is doubtful; its plan says why"
		}
		return v.tell(*u.Found).Summary
	case estimate.DraftWithout:
		lines := make([]estimate.Unpriced, len(u.Lines))
		for i, b := range u.Lines {
			lines[i].What = b
		}
		return "no price is known for " + Lacking(lines)
	case estimate.DraftStock:
		if u.Rubber == "" {
			return "the rubber is not in the shop's stock"
		}
		return "the rubber, " + u.Rubber + ", is not in the shop's stock"
	case estimate.DraftExamples:
		return "prices are the examples that a new shop file comes with, not the shop's own"
	case estimate.DraftLabor:
		return "labor has no price"
	}
	return "castings are wanted, and not all of what they take has a price"
}

// sizes writes a size along x, y and z.
func (v voice) sizes(mm [3]float64) string {
	one := func(l float64) string {
		if v.us {
			return digits(unit.Length(l).In(unit.Inch), 3)
		}
		return fixed(1)(l)
	}
	s := one(mm[0]) + " × " + one(mm[1]) + " × " + one(mm[2])
	if v.us {
		return s + " in"
	}
	return s + " mm"
}

// pays is from how many castings on something else would pay.
func (v voice) pays(p estimate.Pays) string {
	from := "from " + count(p.From, "casting") + " on "
	switch p.What {
	case estimate.OtherMethod:
		return from + MethodName(p.Way.Mold, p.Way.Slit) + " would cost less"
	case estimate.OtherRubber:
		// A client knows no catalogue.
		s := from + p.Rubber
		if p.Family != "" {
			s = from + p.Family.Words()
		}
		if p.ShoreA != nil {
			s += ", Shore A " + fixed(0)(*p.ShoreA) + ","
		}
		return s + " would be taken for the mold"
	}
	return from + "one more mold is needed, and the price goes up by a step"
}
