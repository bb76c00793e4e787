package words

import (
	"fmt"
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
		// The library says what would do after a semicolon.
		what, say, _ := strings.Cut(e.What, "; ")
		return Fault{Told{Summary: "--" + e.Flag + ": " + what, Hint: say}, true}
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
