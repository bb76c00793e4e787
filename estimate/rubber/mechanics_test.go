package rubber

import (
	"math"
	"testing"
)

func TestGent(t *testing.T) {
	for s, want := range map[float64]float64{5: 0.2783, 10: 0.4127, 15: 0.5629, 20: 0.7319, 25: 0.9235, 30: 1.1424, 35: 1.3950,
		40: 1.6896, 45: 2.0379, 50: 2.4558, 60: 3.6051, 70: 5.5205, 80: 9.3514, 90: 20.8440} {
		got, err := Young(s)
		if err != nil || !near(got, want, 1.5e-4) {
			t.Errorf("%g A: got %.4f MPa, %v, want %.4f", s, got, err, want)
		}
		if back := ShoreA(got); !near(back, s, 1e-12) {
			t.Errorf("%g A comes back as %g", s, back)
		}
	}
	for e, want := range map[float64]float64{0.5: 12.9753, 1: 26.8274, 2: 44.4967, 5: 67.8134} {
		if got := ShoreA(e); !near(got, want, 5e-6) {
			t.Errorf("%g MPa: got %.4f A, want %.4f", e, got, want)
		}
	}
	for _, s := range []float64{0, 4.9, 95.1, math.NaN()} {
		if e, err := Young(s); err == nil {
			t.Errorf("%g A: got %g MPa, want an error", s, e)
		}
	}
}

func TestRing(t *testing.T) {
	for _, c := range []struct{ l, ring, band, wr, wb float64 }{
		{1.10, 0.091185, 0.116228, 0.004697, 0.006074}, {1.25, 0.203333, 0.246000, 0.027083, 0.033750},
		{1.50, 0.351852, 0.401235, 0.097222, 0.115741}, {2.00, 0.583333, 0.625000, 0.333333, 0.375000}, {3.00, 0.962963, 0.987654, 1.111111, 1.185185},
	} {
		for _, p := range []struct {
			name      string
			got, want float64
		}{{"ring", RingStress(c.l), c.ring}, {"band", BandStress(c.l), c.band}, {"ring energy", RingEnergy(c.l), c.wr}, {"band energy", BandEnergy(c.l), c.wb}} {
			if !near(p.got, p.want, 1.1e-4) {
				t.Errorf("λ %g, %s: got %.6f, want %.6f", c.l, p.name, p.got, p.want)
			}
		}
	}
	// 20 A, 6 by 10 mm, λ 1.5: 15.4517 N round the ring, 97.0858 N in all.
	if got := RingStress(1.5) * 0.7319 * 6 * 10; !near(got, 15.4517, 1e-4) {
		t.Errorf("thin ring: got %g N", got)
	}
	for l, want := range map[float64][2]float64{1.5: {2.376005, 0.462001}, 2: {2.029396, 1.352931}} {
		k := TearFactor(l)
		if !near(k, want[0], 1e-6) || !near(2*k*RingEnergy(l), want[1], 1e-6) {
			t.Errorf("tear at λ %g: got k %g", l, k)
		}
	}
}

func TestThickTube(t *testing.T) {
	for _, c := range []struct{ a, b, l, a1, b1, p, outer float64 }{
		{20, 32, 1.5, 30, 39.038443, 0.320390, 1.219951}, {20, 26, 1.5, 30, 34.292856, 0.193817, 1.318956},
		{20, 32, 1.25, 25, 35.341194, 0.213758, 1.104412}, {15, 45, 1.3, 19.5, 46.693147, 0.393968, 1.037626},
	} {
		tube := Tube{c.a, c.b, c.l}
		a, b := tube.Stretched()
		if !near(a, c.a1, 1e-7) || !near(b, c.b1, 1e-7) || !near(tube.Pressure(), c.p, 2e-6) || !near(b/c.b, c.outer, 1e-6) {
			t.Errorf("%+v: got %g, %g, p/G %g, outer %g", tube, a, b, tube.Pressure(), b/c.b)
		}
	}
	e, _ := Young(20)
	n := Tube{20, 32, 1.5}.BoreForce(e, 10)
	if !near(n, 147.3409, 1e-5) {
		t.Errorf("bore force: got %g N, want 147.3409", n)
	}
	for _, c := range []struct{ deg, mu, want float64 }{{30, 0, 85.0673}, {30, 0.5, 223.1579}, {45, 0.3, 273.6331}} {
		if got, ok := PullOff(n, c.deg*math.Pi/180, c.mu); !ok || !near(got, c.want, 1e-5) {
			t.Errorf("pull over %g° at μ %g: got %g N, want %g", c.deg, c.mu, got, c.want)
		}
	}
	if got, ok := PullOff(n, math.Pi/2, 0.3); ok {
		t.Errorf("a square shoulder has a pull of %g N, want no number", got)
	}
}

func TestWalls(t *testing.T) {
	for _, c := range []struct {
		s, thick, h, want float64
		stands            bool
	}{{20, 12, 100, 25.5874, false}, {20, 20, 100, 5.5269, true}, {30, 12, 50, 0.5123, true}, {30, 20, 100, 3.5411, true}, {45, 20, 100, 1.9850, true}, {60, 20, 100, 1.1221, true}} {
		got, ok := WallLean(young(c.s), c.thick, c.h, 1.1)
		if !near(got, c.want, 1e-4) || ok != c.stands {
			t.Errorf("%g A, %g thick, %g high: got %.4f mm, %v, want %.4f, %v", c.s, c.thick, c.h, got, ok, c.want, c.stands)
		}
	}
	for s, want := range map[float64]float64{20: 45.5186, 30: 49.7574, 45: 55.8640} {
		if got := TallestWall(young(s), 12, 0.5, 1.1); !near(got, want, 1e-5) {
			t.Errorf("%g A: got %.4f mm, want %.4f", s, got, want)
		}
	}
	for r, want := range map[float64]float64{0.25: 1.1109e-3, 0.5: 2.9605e-3, 2. / 3: 3.8100e-3, 1: 4.4549e-3, 1.5: 4.0954e-3} {
		if got := rimFactor(r, 0.5); !near(got, want, 2e-4) {
			t.Errorf("plate %g: got %.5g, want %.5g", r, got, want)
		}
	}
	// A stiffer Poisson's ratio, from a published kind of table: three sides held, rim free.
	for r, want := range map[float64]float64{0.25: 8.1637e-4, 0.5: 2.2939e-3, 1: 3.6792e-3} {
		if got := rimFactor(r, 0.3); !near(got, want, 2e-4) {
			t.Errorf("plate %g, ν 0.3: got %.5g, want %.5g", r, got, want)
		}
	}
	if got, _ := BoxWallBow(young(30), 150, 100, 15, 1.1); !near(got, 4.8570, 2e-4) {
		t.Errorf("box wall: got %.4f mm, want 4.8570", got)
	}
}
