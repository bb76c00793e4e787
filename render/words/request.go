package words

import (
	"fmt"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
)

var requestFaults = []fault{
	faults(func(v voice, e *boxfit.BadRequest) Fault {
		return Fault{Told{Summary: badRequest(e), Hint: "see moldtally plan --help"}, true}
	}),
	faults(func(v voice, e *rubber.BadInput) Fault {
		what, hint := v.wrong(e)
		return Fault{Told{Summary: "--" + inputFlags[e.Input] + ": " + what, Hint: hint}, true}
	}),
	faults(func(v voice, e *unit.ParseError) Fault {
		return Fault{Told{Summary: fmt.Sprintf("%q is not %s: %s", e.Text, e.What, e.Reason), Hint: "write it like " + e.Accept}, true}
	}),
}

// requestInputs are the figures of a request for a container, with what they
// must be.
var requestInputs = map[boxfit.Input]string{
	boxfit.InputBoxLength:   "the box's length must be more than 0 mm",
	boxfit.InputBoxWidth:    "the box's width must be more than 0 mm",
	boxfit.InputBoxHeight:   "the box's height must be more than 0 mm",
	boxfit.InputBore:        "the tube's bore must be more than 0 mm",
	boxfit.InputTubeHeight:  "the tube's height must be more than 0 mm",
	boxfit.InputBlanket:     "a blanket must be more than 0 mm",
	boxfit.InputWall:        "wall must be 0 mm or more",
	boxfit.InputOver:        "over must be 0 mm or more",
	boxfit.InputUnder:       "under must be 0 mm or more",
	boxfit.InputStep:        "step must be 0 or more",
	boxfit.InputSG:          "the rubber's specific gravity must be 0 or more",
	boxfit.InputLiftExtra:   "the extra mass must be 0 or more",
	boxfit.InputContact:     "the contact must be 0 or more",
	boxfit.InputPatternMass: "the pattern's mass must be 0 g or more",
	boxfit.InputRubberPrice: "the price of rubber must be 0 or more",
	boxfit.InputLaborRate:   "the price of work must be 0 or more",
	boxfit.InputDisplaced:   "the displaced volume must lie within its bounds",
}

func badRequest(e *boxfit.BadRequest) string {
	switch e.Input {
	case boxfit.InputUp:
		return "no direction is up"
	case boxfit.InputMold:
		return fmt.Sprintf("no mold of kind %q", e.Value)
	case boxfit.InputContainer:
		return fmt.Sprintf("no container of kind %q", e.Value)
	case boxfit.InputTube:
		return fmt.Sprintf("tube is %q, not stock or exact", e.Value)
	case boxfit.InputOwn:
		return "an own box and an own tube at once"
	case boxfit.InputSides:
		return fmt.Sprintf("a polygon has 3 to %d sides, not %v", boxfit.MaxSides, e.Value)
	}
	return fmt.Sprintf("%s, not %v", requestInputs[e.Input], e.Value)
}

// inputFlags are the flags by which inputs are given.
var inputFlags = map[rubber.Input]string{
	rubber.InputRubber: "rubber", rubber.InputSG: "sg", rubber.InputIn3PerLb: "in3-per-lb", rubber.InputSGA: "sg-a", rubber.InputSGB: "sg-b",
	rubber.InputMix: "mix", rubber.InputMixBy: "mix-by", rubber.InputExtra: "extra", rubber.InputWeighTo: "weigh-to", rubber.InputPrice: "price-per-kg",
	rubber.InputPigment: "pigment", rubber.InputThinner: "thinner", rubber.InputThickener: "thickener", rubber.InputHave: "have",
	rubber.InputMold: "mold", rubber.InputTemp: "temp", rubber.InputMass: "pattern-mass", rubber.InputInfill: "infill", rubber.InputCastWall: "cast-wall",
	rubber.InputDisplaced: "displaced", rubber.InputCopies: "copies", rubber.InputPattern: "pattern-material", rubber.InputRelease: "release",
	rubber.InputCast: "cast", rubber.InputBox: "box", rubber.InputSleeve: "sleeve", rubber.InputFrustum: "frustum",
}

// namedInputs are what a name of each table stands for.
var namedInputs = map[rubber.Input]string{
	rubber.InputRubber: "rubber", rubber.InputPattern: "material", rubber.InputRelease: "release or sealer", rubber.InputCast: "casting material",
}

// wrong says what is wrong with an input, and what would do.
func (v voice) wrong(e *rubber.BadInput) (what, hint string) {
	one := sig(-1)
	switch e.Wrong {
	case rubber.NoSuchFigure:
		return one(e.Value) + " is no figure a mold rubber can have", "it lies between " + one(e.Low) + " and " + one(e.High)
	case rubber.NotOffered:
		offers := map[rubber.Input]string{rubber.InputMixBy: "say weight or volume", rubber.InputMold: "say auto, block, two-part, cut, blanket or brushed"}
		return strconv.Quote(e.Text), offers[e.Input]
	case rubber.NotKnown:
		hint = "known are " + strings.Join(e.Known, ", ")
		if near := Nearest(e.Text, e.Known); near != "" {
			hint = "did you mean " + near + "?"
		}
		return "no " + namedInputs[e.Input] + " is called " + strconv.Quote(e.Text), hint
	case rubber.Disagrees:
		return one(e.Value) + " in³/lb is a gravity of " + sig(4)(e.Low) + ", not the " + one(e.High) + " given by --sg", "give one of them"
	case rubber.NotPositive:
		return "both parts must be over zero, such as 1:1 or 100:10", ""
	case rubber.Negative:
		things := map[rubber.Input]string{rubber.InputPrice: "a price", rubber.InputHave: "a mass", rubber.InputDisplaced: "a volume"}
		return things[e.Input] + " is zero or more", ""
	case rubber.NoScaleHasIt:
		return v.grams(unit.Mass(e.Value), one) + " is no step a scale has", ""
	case rubber.TooMuchStirred:
		return "pigment, thinner and thickener together are " + one(e.Value) + " % of the mix", "at most " + one(e.High) + " % is taken"
	case rubber.NoWorkshop:
		return v.celsius(unit.Temperature(e.Value), one) + " is no workshop", ""
	case rubber.NoCount:
		return "say how many, 1 or more", ""
	case rubber.NoMeasure:
		return v.mm(unit.Length(e.Value), one) + " is no inside measurement", ""
	case rubber.NotOne:
		return "give the inside as one of --box L,W,H, --sleeve D,H and --frustum D1,D2,H", ""
	case rubber.NoRoomLeft:
		return "the pattern displaces " + v.cm3(unit.Volume(e.Value), sig(6)) + " and the inside holds " + v.cm3(unit.Volume(e.High), sig(6)) + ": no room is left for rubber", ""
	}
	switch e.Input {
	case rubber.InputExtra:
		return one(e.Value) + " %", "say 0 to " + one(e.High)
	case rubber.InputPigment, rubber.InputThinner, rubber.InputThickener:
		return one(e.Value) + " %", "say 0 to " + one(e.High) + ", of the finished mix by weight"
	}
	return one(e.Value) + " is out of range", ""
}
