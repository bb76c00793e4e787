package boxfit

import (
	"errors"
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
	// not stand on the baseboard. nil = CoverRule. For a blanket Wall is its
	// thickness.
	Wall, Over, Under *float64

	Step  float64 // the shop's step: inside sizes are rounded up to it; 0 = not rounded
	Board string  // a name of Boards; "" = DefaultBoard
	Tube  string  // stock (or ""), exact
	// OwnTubes are the user's, taken into the stock beside Tubes. Name and
	// Bore are needed; a Wall of 0 is unknown.
	OwnTubes []TubeStock
	Sides    int // boards of a polygon; 0 = chosen

	RubberSG    float64  // specific gravity of the liquid rubber; 0 = DefaultSG
	PatternMass *float64 // g; nil = unknown
	Contact     float64  // the pattern's contact with the board, mm²; 0 = unknown
	LiftExtra   float64  // further mass that is lifted with the mold, g

	// Displaced is the pattern's volume as measured by dunking; it wins over
	// the mesh's.
	Displaced *unit.Bounded[unit.Volume]

	Progress func(stage string, done, total int)
}

// DefaultSG is the specific gravity that pressures are figured with where no
// rubber is named: the middle of the usual 1.05 to 1.25 of platinum-cure
// silicone (from memory, unverified).
const DefaultSG = 1.15

// Bounds of CoverRule, mm, and its share of the size (common practice, no
// source).
const (
	coverShare = 0.10
	coverLeast = 8
	coverMost  = 25
)

// blanketMost is the thickest blanket planned without being asked for, mm:
// poured blankets run 8 to 12 mm on small and 12 to 20 mm on large patterns
// (common practice, no source).
const blanketMost = 20

// CoverRule returns the rubber wanted round a pattern whose outline's least
// rectangle is length × width, mm: a tenth of √(length × width), at least 8 and
// at most 25 mm (common practice, no source). Past 25 mm the kind of mold
// should change, not its wall.
func CoverRule(length, width float64) float64 {
	return min(coverMost, max(coverLeast, coverShare*math.Sqrt(length*width)))
}

// BlanketRule returns the thickness of a blanket, mm: as CoverRule, and at most
// 20 mm (common practice, no source).
func BlanketRule(length, width float64) float64 { return min(CoverRule(length, width), blanketMost) }

// ErrRequest is wrapped by every error about a request that makes no sense.
var ErrRequest = errors.New("boxfit: the request makes no sense")

// check refuses what no container can be.
func (r *Request) check() error {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("%w: %s", ErrRequest, fmt.Sprintf(format, a...))
	}
	switch r.Mold {
	case "", demold.Block, demold.TwoPart, demold.Cut, demold.Blanket:
	default:
		return bad("no mold of kind %q", r.Mold)
	}
	switch r.Container {
	case "", Box, Polygon, Sleeve:
	default:
		return bad("no container of kind %q", r.Container)
	}
	switch r.Tube {
	case "", "stock", "exact":
	default:
		return bad("tube is %q, not stock or exact", r.Tube)
	}
	if r.Inside != nil && r.InsideTube != nil {
		return bad("an own box and an own tube at once")
	}
	positive := func(what string, v float64) error {
		if !(v > 0) || math.IsInf(v, 0) {
			return bad("%s must be more than 0 mm, not %v", what, v)
		}
		return nil
	}
	if r.Inside != nil {
		for i, n := range [3]string{"length", "width", "height"} {
			if err := positive("the box's "+n, r.Inside[i]); err != nil {
				return err
			}
		}
	}
	if r.InsideTube != nil {
		for i, n := range [2]string{"bore", "height"} {
			if err := positive("the tube's "+n, r.InsideTube[i]); err != nil {
				return err
			}
		}
	}
	for _, p := range []struct {
		what string
		v    *float64
	}{{"wall", r.Wall}, {"over", r.Over}, {"under", r.Under}} {
		if p.v != nil && (!(*p.v >= 0) || math.IsInf(*p.v, 0)) {
			return bad("%s must be 0 mm or more, not %v", p.what, *p.v)
		}
	}
	if r.Mold == demold.Blanket && r.Wall != nil {
		if err := positive("a blanket", *r.Wall); err != nil {
			return err
		}
	}
	for _, p := range []struct {
		what string
		v    float64
	}{{"step", r.Step}, {"the rubber's specific gravity", r.RubberSG}, {"the extra mass", r.LiftExtra}, {"the contact", r.Contact}} {
		if !(p.v >= 0) || math.IsInf(p.v, 0) {
			return bad("%s must be 0 or more, not %v", p.what, p.v)
		}
	}
	if r.PatternMass != nil && (!(*r.PatternMass >= 0) || math.IsInf(*r.PatternMass, 0)) {
		return bad("the pattern's mass must be 0 g or more, not %v", *r.PatternMass)
	}
	if d := r.Displaced; d != nil && !(d.Low >= 0 && d.Low <= d.Value && d.Value <= d.High && !math.IsInf(float64(d.High), 0)) {
		return bad("the displaced volume must lie within its bounds, not %v", *d)
	}
	if r.Sides != 0 && (r.Sides < 3 || r.Sides > maxSides) {
		return bad("a polygon has 3 to %d sides, not %d", maxSides, r.Sides)
	}
	return nil
}
