package words

import (
	"fmt"
	"strconv"
	"strings"

	"moldtally/estimate"
	"moldtally/estimate/conf"
	"moldtally/estimate/record"
)

var shopFaults = []fault{
	faults(func(v voice, m conf.Mistake) Fault {
		s := "line " + whole(m.Line) + ": "
		if m.Key != "" {
			s += m.Key + ": "
		}
		return Fault{Told: Told{Summary: s + v.say(m.What)}}
	}),
	faults(func(_ voice, f *record.Fault) Fault { return Fault{Told: Told{Summary: logFault(f)}} }),
}

var shopRemarks = []saying{
	says(func(_ voice, u conf.Unread) string {
		if u.Text == "" {
			return "not understood"
		}
		return u.Text
	}),
	says(func(_ voice, t conf.Twice) string {
		if t.Table == "" {
			return "given a second time; the first is on line " + whole(t.First)
		}
		return "[" + t.Table + "] stands here a second time; the first is on line " + whole(t.First)
	}),
	says(func(_ voice, f estimate.ShopFault) string { return shopFault(f) }),
}

// logFault says what is wrong with a log of pours.
func logFault(f *record.Fault) string {
	at := "line " + whole(f.Line) + ": "
	if f.Column != "" {
		at += f.Column + ": "
	}
	switch f.Wrong {
	case record.NoHeading:
		return at + "its heading is not that of a log of pours"
	case record.NoNumber:
		return at + strconv.Quote(f.Text) + " is no number that can be meant"
	case record.NoAnswer:
		return at + strconv.Quote(f.Text) + " is neither yes nor no"
	case record.TooLong:
		return "it is larger than any log of pours"
	}
	return at + f.Text
}

// shopFault says what is wrong with a shop file.
func shopFault(f estimate.ShopFault) string {
	given := fmt.Sprint(f.Given)
	shown := given
	if _, text := f.Given.(string); text {
		shown = strconv.Quote(given)
	}
	switch f.Wrong {
	case estimate.NoSuchTable:
		return "no table is called that" + meant(given, f.Known)
	case estimate.NoSuchKey:
		return "no key is called that" + meant(given, f.Known)
	case estimate.NoSuchCasting:
		return "no casting material is called " + shown + meant(given, f.Known)
	case estimate.NoSuchRubber:
		return "no rubber is called " + shown + meant(given, f.Known)
	case estimate.NoSuchBoard:
		return "no board is called " + shown + meant(given, f.Known)
	case estimate.Unnamed:
		return "every " + given + " needs a name"
	case estimate.SameName:
		return shown + " is also on line " + whole(f.First)
	case estimate.NoNumber:
		return shown + " is no number"
	case estimate.NotBetween:
		one := sig(-1)
		return one(f.Given.(float64)) + " is out of range; it lies between " + one(f.Low) + " and " + one(f.High)
	case estimate.NeitherTrueNorFalse:
		return shown + " is neither true nor false"
	case estimate.NoRatio:
		return shown + ` is no mixing ratio; write it like "1:1" or "100:10"`
	case estimate.NoPrice:
		return shown + " is no price"
	case estimate.NoName:
		return shown + " is no name"
	case estimate.Unquoted:
		return shown + " must stand in quotes"
	case estimate.NoneOfThese:
		return shown + "; say " + strings.Join(f.Known, ", ")
	}
	s := shopNeeds[f.Wrong]
	if f.Kit > 0 {
		s = "kit " + whole(f.Kit) + s + "; " + kitForm
	}
	return s
}

// kitForm is how kits are written.
const kitForm = "write kits = [ { size_g = 1000, price = 30 } ]"

// shopNeeds are the mistakes that rest on nothing; of a kit, after its number.
var shopNeeds = map[estimate.ShopWrong]string{
	estimate.BeforeTables:    "stands before the first [table]; put it under one",
	estimate.NamedAuto:       `"auto" means that moldtally chooses; take another name`,
	estimate.NoKits:          kitForm,
	estimate.KitSize:         ": size_g must be 1 g or more",
	estimate.KitPrice:        ": price must be zero or more",
	estimate.KitMore:         " has more than size_g and price",
	estimate.NoBore:          "a tube needs its inside diameter",
	estimate.NoMix:           `how it mixes is missing; write mix = "1:1"`,
	estimate.NoGravity:       "its gravity is missing; give sg, in3_per_lb or cm3_per_kg",
	estimate.TwoGravities:    "give only one of sg, in3_per_lb and cm3_per_kg",
	estimate.TwoScales:       "give the hardness on one scale, shore_a or shore_00",
	estimate.NoSheet:         "is no size of a sheet; write it like [2440, 1220]",
	estimate.MarkupAndMargin: "markup_pct is of the cost and margin_pct of the price; give one of them",
	estimate.NoDay:           "is no day; write it like 2026-03-09",
	estimate.NoPartGravities: "mixing by volume needs sg_a and sg_b, or no weight can be given",
}

// meant suggests the nearest of a list, or else names them all.
func meant(name string, known []string) string {
	if at := Nearest(name, known); at != "" {
		return "; did you mean " + at + "?"
	}
	return "; known are " + strings.Join(known, ", ")
}
