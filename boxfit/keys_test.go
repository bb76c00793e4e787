package boxfit

import "testing"

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
