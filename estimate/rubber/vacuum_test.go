package rubber

import (
	"math"
	"testing"
)

func TestVacuum(t *testing.T) {
	// Gauge at sea level against absolute pressure and the size of a bubble,
	// reckoned by hand from 101.325 kPa and 3.386389 kPa to the inch.
	for _, c := range []struct{ gauge, kPa, torr, ratio float64 }{
		{25, 16.66528, 125.000, 6.0800}, {28, 6.506118, 48.7999, 15.5738}, {29, 3.119729, 23.3999, 32.4788},
	} {
		p := Absolute(c.gauge, 0)
		if !near(p, c.kPa, 5e-6) || !near(p/KPaPerTorr, c.torr, 5e-6) || !near(BubbleTimes(0, p), c.ratio, 5e-6) {
			t.Errorf("%g inHg: got %g kPa, %g Torr, bubbles ×%g; want %g, %g, ×%g", c.gauge, p, p/KPaPerTorr, BubbleTimes(0, p), c.kPa, c.torr, c.ratio)
		}
	}
	for z, want := range map[float64]float64{0: 29.92, 1000: 26.54, 1500: 24.97, 2000: 23.47} {
		if got := GaugeMost(z); math.Abs(got-want) > 0.0051 {
			t.Errorf("at %g m: a gauge shows at most %g inHg, want %g", z, got, want)
		}
	}
	if got := LidLoad(300, 0); !near(got, 7162.24, 1e-6) {
		t.Errorf("lid of 300 mm: got %g N, want 7162.24", got)
	}
	if Absolute(40, 0) != 0 {
		t.Error("a pressure under nothing")
	}
}
