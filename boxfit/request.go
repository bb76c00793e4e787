package boxfit

import (
	"fmt"
	"math"

	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

// Request says what is wanted of a container. Lengths mm, volumes mm³, masses
// g. The zero value is the documented default; a nil pointer is "not given".
type Request struct {
	Mold      demold.Mold // "" = block
	Container Kind        // Box, Polygon or Sleeve; "" = chosen; a blanket has its own

	Inside     *[3]float64 // the user's own box: clear length, width, height
	InsideTube *[2]float64 // the user's own tube: bore, height

	// Least rubber at the sides, above the pattern, and below it where it does
	// not stand on the baseboard. nil = CoverRule.
	Wall, Over, Under *float64
	Coat              *float64 // thickness of a blanket's rubber, poured or brushed; nil = CoatRule

	Step  float64 // the shop's step: inside sizes are rounded up to it; 0 = not rounded
	Board string  // a name of Boards; "" = DefaultBoard
	Tube  string  // stock (or ""), exact
	// OwnTubes are the user's, taken into the stock beside Tubes. Name and
	// Bore are needed; a Wall of 0 is unknown.
	OwnTubes []TubeStock
	Sides    int // boards of a polygon; 0 = chosen
	Saw      Saw // sheets that boards are cut from, and its kerf

	// Bodies is how many patterns the solid is of, which stand together; 0 = one. Along
	// says that the sides of a box run along mesh.Basis of up, as they were laid out for,
	// even where another turn would save a hair.
	Bodies int
	Along  bool

	// Prices that containers are weighed by: of rubber for a kilogram, of work for an
	// hour; nil = nominal ones.
	RubberPrice, LaborRate *float64

	RubberSG    float64  // specific gravity of the liquid rubber; 0 = DefaultSG
	PatternMass *float64 // g; nil = unknown
	Fixed       bool     // the pattern is screwed, glued or weighted down, as the user says
	// Irreplaceable says that no screw, glue or weight may come on the pattern.
	Irreplaceable bool
	Contact       float64 // the pattern's contact with the board, mm²; 0 = unknown
	Longest       float64 // the pattern's largest size, mm; 0 = as it stands
	CastSG        float64 // specific gravity of what is cast, for the shell; 0 = unknown
	Copies        int     // castings wanted, for the shell
	LiftExtra     float64 // further mass that is lifted with the mold, g

	// Displaced is the pattern's volume as measured by dunking; it wins over
	// the mesh's.
	Displaced *unit.Bounded[unit.Volume]

	// Coats are those that were reckoned of the same solid before, and where new ones
	// are kept; nil = none.
	Coats *Coats

	Progress func(stage string, done, total int)
}

// DefaultSG is the specific gravity that pressures are figured with where no
// rubber is named: the middle of the usual 1.05 to 1.25 of platinum-cure
// silicone (from memory, unverified).
const DefaultSG = 1.15

// CoverMost is the thickest rubber that CoverRule asks for, mm; coverLeast the
// thinnest, coverShare its share of the size (common practice, no source).
const (
	CoverMost  = 25
	coverLeast = 8
	coverShare = 0.10
)

// A pattern of less than a share of its width in height is a low relief, and reliefOver
// is the most rubber over it that CoverRule is followed to, mm: the least of the 15 to
// 20 that are usual over a large block (common practice, no source). What a
// relief's mold needs to keep its shape is its board, not its thickness.
const (
	lowRelief  = 0.2
	reliefOver = 15
)

// CoverRule returns the rubber wanted round a pattern whose outline's least
// rectangle is length × width, mm: a tenth of its CoverSize, at least 8 and at most
// 25 mm (common practice, no source). Past 25 mm the kind of mold should change,
// not its wall.
func CoverRule(length, width float64) float64 {
	return min(CoverMost, max(coverLeast, CoverWanted(length, width)))
}

// CoverWanted is CoverRule before it is held to its bounds, mm.
func CoverWanted(length, width float64) float64 { return coverShare * CoverSize(length, width) }

// BadRequest is a request that makes no sense.
type BadRequest struct {
	Input Input
	Value any // as given
}

// Error names what was given.
func (e *BadRequest) Error() string {
	return fmt.Sprintf("boxfit: the request makes no sense: input %d is %v", e.Input, e.Value)
}

// Input is what of a request makes no sense.
type Input int

// The inputs.
const (
	InputUp Input = iota
	InputMold
	InputContainer
	InputTube
	InputOwn // a box and a tube at once
	InputBoxLength
	InputBoxWidth
	InputBoxHeight
	InputBore
	InputTubeHeight
	InputWall
	InputOver
	InputUnder
	InputBlanket
	InputStep
	InputSG
	InputLiftExtra
	InputContact
	InputPatternMass
	InputDisplaced
	InputSides
	InputRubberPrice
	InputLaborRate
)

// check refuses what no container can be.
func (r *Request) check() error {
	switch r.Mold {
	case "", demold.Block, demold.TwoPart, demold.Cut, demold.Blanket, demold.Brushed:
	default:
		return &BadRequest{InputMold, r.Mold}
	}
	switch r.Container {
	case "", Box, Polygon, Sleeve:
	default:
		return &BadRequest{InputContainer, r.Container}
	}
	switch r.Tube {
	case "", "stock", "exact":
	default:
		return &BadRequest{InputTube, r.Tube}
	}
	if r.Inside != nil && r.InsideTube != nil {
		return &BadRequest{Input: InputOwn}
	}
	over0 := func(v float64) bool { return v > 0 && !math.IsInf(v, 0) }
	from0 := func(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
	type figure struct {
		in Input
		v  float64
	}
	var above, least []figure
	if in := r.Inside; in != nil {
		above = append(above, figure{InputBoxLength, in[0]}, figure{InputBoxWidth, in[1]}, figure{InputBoxHeight, in[2]})
	}
	if in := r.InsideTube; in != nil {
		above = append(above, figure{InputBore, in[0]}, figure{InputTubeHeight, in[1]})
	}
	if r.Coat != nil {
		above = append(above, figure{InputBlanket, *r.Coat})
	}
	for _, f := range above {
		if !over0(f.v) {
			return &BadRequest{f.in, f.v}
		}
	}
	given := func(in Input, v *float64) {
		if v != nil {
			least = append(least, figure{in, *v})
		}
	}
	given(InputWall, r.Wall)
	given(InputOver, r.Over)
	given(InputUnder, r.Under)
	least = append(least, figure{InputStep, r.Step}, figure{InputSG, r.RubberSG}, figure{InputLiftExtra, r.LiftExtra}, figure{InputContact, r.Contact})
	given(InputPatternMass, r.PatternMass)
	given(InputRubberPrice, r.RubberPrice)
	given(InputLaborRate, r.LaborRate)
	for _, f := range least {
		if !from0(f.v) {
			return &BadRequest{f.in, f.v}
		}
	}
	if d := r.Displaced; d != nil && !(d.Low >= 0 && d.Low <= d.Value && d.Value <= d.High && !math.IsInf(float64(d.High), 0)) {
		return &BadRequest{InputDisplaced, *d}
	}
	if r.Sides != 0 && (r.Sides < 3 || r.Sides > MaxSides) {
		return &BadRequest{InputSides, r.Sides}
	}
	return nil
}
