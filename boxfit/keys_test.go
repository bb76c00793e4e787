package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh"
)

// Worked out by hand from the rule: a parting of 680 mm round a pattern of 250 mm,
// a key each 70 mm: 10; the flange of a wall of 20 mm is 24 mm wide, half of which,
// and what is left by 6 mm to both sides, is 12 mm.
func TestKeys(t *testing.T) {
	for _, c := range []struct {
		outline, wall, longest float64
		want                   Keys
	}{
		{680, 20, 250, Keys{10, 12, 6}},
		{120, 8, 40, Keys{4, 8, 4}},
		{250, 8, 100, Keys{5, 8, 4}},
		{1500, 25, 500, Keys{15, 15, 7.5}},
	} {
		if got := KeysFor(c.outline, FlangeOf(c.wall), c.longest); got != c.want {
			t.Errorf("%g mm by %g mm: %+v, want %+v", c.outline, c.wall, got, c.want)
		}
	}
}

// Round a pattern of 200 × 100 mm in a box with a flange of 24 mm the keys stand 12 mm
// off the outline, evenly, clear of walls and of the sprue that leaves at one side.
func TestPlaceKeys(t *testing.T) {
	f := &Fit{Kind: Box, Interior: &[3]float64{248, 148, 80}, Wall: 24, RubberBelow: new(1e6), FillHeight: 70,
		Up: [3]float64{0, 0, 1}, LongAxis: [3]float64{1, 0, 0}, Center: [3]float64{0, 0, 0}}
	for _, p := range [][2]float64{{-100, -50}, {100, -50}, {100, 50}, {-100, 50}} {
		f.Outline = append(f.Outline, mesh.V(p[0], p[1], 30))
	}
	f.Sprue = &Channel{At: [3]float64{100, 0, 30}, Diameter: 8, End: &[3]float64{124, 0, 30}}
	f.PlaceKeys(600, 200)
	if len(f.Keys) != 9 { // 600 at 70
		t.Fatalf("%d keys, want 9: %v", len(f.Keys), f.Keys)
	}
	for i, k := range f.Keys {
		x, y := math.Abs(k.At[0]), math.Abs(k.At[1])
		off := math.Hypot(max(0, x-100), max(0, y-50))
		if k.Diameter != 12 || math.Abs(off-12) > 1e-9 || k.At[2] != 30 || f.beside(vec(k.At)) < 12-1e-9 {
			t.Errorf("key %d of %g mm stands at %v, %g mm off the pattern", i+1, k.Diameter, k.At, off)
		}
		if k.At[0] > 100 && y < 4+10+6 {
			t.Errorf("key %d at %v is too close to the sprue", i+1, k.At)
		}
		for _, o := range f.Keys[:i] {
			if vec(o.At).Sub(vec(k.At)).Len() < 30 {
				t.Errorf("keys at %v and %v are too close", o.At, k.At)
			}
		}
	}
	f.Interior[1] = 110 // no room at two sides
	f.PlaceKeys(600, 200)
	for _, k := range f.Keys {
		if f.beside(vec(k.At)) < 12-1e-9 {
			t.Errorf("a key at %v where the flange is too narrow", k.At)
		}
	}
	if n := len(f.Keys); n == 0 || n >= 9 {
		t.Errorf("%d keys in a box that is too narrow for some", n)
	}
	f.RubberBelow = nil
	if f.PlaceKeys(600, 200); len(f.Keys) != 0 {
		t.Errorf("keys in one piece: %v", f.Keys)
	}
}
