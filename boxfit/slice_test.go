package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// A box of 80 × 50 × 30 under 8 mm of rubber, cut along its middle: the coat is itself,
// a stripe on three sides, and a quarter of a disc at two corners; the shell is 12 thick
// over it, and its flange on the board 15 thick and 25 wide, held by two bolts.
func TestSlice(t *testing.T) {
	f, _, err := Search(t.Context(), solidtest.Of(t, shape.Box(80, 50, 30)), mesh.V(0, 0, 1), nil, Request{Mold: demold.Blanket})
	if err != nil {
		t.Fatal(err)
	}
	s, err := f.Slice(t.Context(), vec(f.Center), f.Across(), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	area := 0.0
	for _, v := range s.Coat {
		if v > 0 {
			area += s.Step * s.Step
		}
	}
	if want := 80*30 + 2*30*8 + 80*8 + math.Pi*64/2; math.Abs(area/want-1) > 0.01 {
		t.Errorf("coat and box take %.0f mm², by hand %.0f", area, want)
	}
	at := func(of []float64, x, z float64) bool {
		return of[int((z-s.Z0)/s.Step+0.5)*s.NX+int((x-s.X0)/s.Step+0.5)] > 0
	}
	edge := 48 + 30*math.Tan(drawPlaster) // of what is filled, on the board: no less than that
	for _, c := range []struct {
		x, z          float64
		filled, shell bool
	}{
		{0, 37, true, false}, {0, 39, false, true}, {0, 49, false, true}, {0, 51, false, false},
		{47, 1, true, false}, {edge - 0.6, 1, true, false}, {edge + 5, 1, false, true}, {edge + 33, 14, false, true}, {edge + 33, 16, false, false}, {edge + 41, 1, false, false},
	} {
		if at(s.Filled, c.x, c.z) != c.filled || at(s.Shell, c.x, c.z) != c.shell {
			t.Errorf("at %g, %g: filled %v, shell %v", c.x, c.z, at(s.Filled, c.x, c.z), at(s.Shell, c.x, c.z))
		}
	}
	if len(s.Bolts) != 2 || s.Bolts[0].To.Y-s.Bolts[0].From.Y != 15 {
		t.Errorf("bolts %v", s.Bolts)
	}
}
