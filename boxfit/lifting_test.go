package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh/unit"
)

// The recommended weight limit of NIOSH 94-110, worked out by hand: 23 kg · 25/40 ·
// 1 · (0.82 + 4.5/30) = 13.94 kg, by 1 − 0.0032·45 with the trunk turned 11.94 kg;
// and in the position that its constants stand for, all 23 kg.
func TestLiftMost(t *testing.T) {
	for _, c := range []struct {
		lift Lift
		kg   float64
	}{
		{Lift{Reach: 250, Height: 750, Travel: 250}, 23},
		{Lift{Reach: 400, Height: 750, Travel: 300}, 13.94375},
		{Lift{Reach: 400, Height: 750, Travel: 300, Twist: 45}, 11.93585},
		{Lift{Reach: 400, Height: 750, Travel: 300, Often: 0.5, Grip: 0.9}, 6.2746875},
		{Lift{Reach: 100, Height: 750, Travel: 100}, 23}, // no closer than the body lets
		{Lift{Reach: 400, Height: 0, Travel: 300}, 10.8064},
	} {
		if got := c.lift.Most().In(unit.Kilogram); math.Abs(got-c.kg) > 5e-4 {
			t.Errorf("%+v: %.4f kg, want %.4f", c.lift, got, c.kg)
		}
	}
}

// Two people lift 2/3 of 46 kg, three half of 69 kg (HSE L23).
func TestHands(t *testing.T) {
	for kg, want := range map[float64]int{5: 1, 23: 1, 23.1: 2, 30.6: 2, 30.7: 3, 34.5: 3, 34.6: 0} {
		if got := Hands(unit.Mass(kg) * unit.Kilogram); got != want {
			t.Errorf("%g kg: %d people, want %d", kg, got, want)
		}
	}
}
