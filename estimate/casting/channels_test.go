package casting

import (
	"math"
	"testing"

	"moldtally/estimate/material"
)

// TestSprueBore: the steps of practice, between them a power, and what is gritty
// or rises asks for more.
func TestSprueBore(t *testing.T) {
	for _, c := range []struct {
		cm3  float64
		kind material.CastKind
		want float64
	}{
		{1, material.TwoPart, 5}, {20, material.TwoPart, 5}, {100, material.TwoPart, 8}, {500, "", 12}, {2000, material.Poured, 18}, {10000, material.ColdCast, 28},
		{math.Sqrt(20 * 100), material.TwoPart, math.Sqrt(5 * 8)}, {20000, material.TwoPart, 28 * math.Pow(2, math.Log(28.0/18)/math.Log(5))},
		{100, material.Gypsum, 12}, {100, material.Cement, 12}, {500, material.FoamKind, 24},
	} {
		if got := SprueBore(c.cm3*1000, c.kind); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("%g cm³ of %q: got %g mm, want %g", c.cm3, c.kind, got, c.want)
		}
	}
	for kind, want := range map[material.CastKind]float64{material.TwoPart: 2, material.ColdCast: 3.5, material.Gypsum: 3.5, material.Poured: 3.5, material.Cement: 6} {
		if got := VentBore(kind); got != want {
			t.Errorf("vent for %q: got %g mm, want %g", kind, got, want)
		}
	}
}
