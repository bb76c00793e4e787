package words

import (
	"strings"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

// unserved says what speaks against a rubber in stock.
var unserved = map[rubber.Against]string{
	rubber.DoesNotCure:      "does not cure against this pattern, or harms it",
	rubber.NotForHeat:       "does not stand the heat",
	rubber.NotForFood:       "is not declared for food",
	rubber.NotForCasting:    "is not what this is cast in",
	rubber.WornOut:          "wears out before the castings wanted",
	rubber.OtherHardness:    "is too soft or too firm",
	rubber.NotForBrush:      "is brushed on, not poured",
	rubber.HardnessNotKnown: "is of unknown hardness or chemistry",
}

func tellNotOwned(_ voice, f rubber.NotOwned) Told {
	t := Told{f.Name + " is not in your stock", "it has to be bought, and its figures here are those of its class", "put the data sheet of the one you buy into the shop file; the weights change with it"}
	if f.Asked {
		return t
	}
	var why []string
	for _, c := range f.Closer {
		why = append(why, c.Name+" "+unserved[c.By])
	}
	if len(why) > 0 {
		t.Summary += "; of what is, " + strings.Join(why, ", ")
	}
	return t
}

func tellWhich(v voice, f rubber.WhichLeftover) Told {
	t := Told{v.grams(f.Have, fixed(0)) + " on the shelf, and which rubber that is was not said", "whether it cures here, and whether it is enough, is not known", "name it with --rubber"}
	if len(f.Stock) > 0 {
		t.Hint += ": " + strings.Join(f.Stock, ", ")
	} else {
		t.Hint += ", or put it into the shop file"
	}
	return t
}

func tellTestCup(v voice, f rubber.OldStock) Told {
	what := f.Name
	if f.Lot != "" {
		what += ", lot " + f.Lot + ","
	}
	var said []string
	if d := f.Opened.String(); d != "" {
		said = append(said, "was opened on "+d)
	}
	if d := f.UseBy.String(); d != "" {
		said = append(said, "is to be used by "+d)
	}
	if len(said) == 0 {
		said = []string{"is a rest from the shelf"}
	}
	t := Told{what + " " + strings.Join(said, " and "), "old rubber may cure slowly, too soft, or not at all", ""}
	switch {
	case f.Past:
		t.Summary += ": that has passed"
	case f.Stale:
		t.Summary += ": open for more than three months, it has drawn moisture"
		t.Effect = "it foams, cures too soft, or not at all"
	}
	cup := "20 g"
	if v.us {
		cup = "two thirds of an ounce"
	}
	t.Hint = "first cure a test cup of " + cup
	if f.Cured > 0 {
		t.Hint += ": it is good if it is hard within " + sig(2)(f.Cured/60) + " h"
		if f.Shore > 0 {
			t.Hint += " and within 5 A of " + shore(f.Shore)
		}
	}
	t.Hint += "; one lot for the face, and never two rubbers in one batch"
	if f.Family == material.Polyurethane {
		t.Hint += "; fill opened cans with dry gas"
	}
	return t
}
