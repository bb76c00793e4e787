package casting

import (
	"math"
	"testing"

	"moldtally/estimate/material"
)

func near(got, want, rel float64) bool { return math.Abs(got-want) <= rel*math.Abs(want) }

func TestGypsum(t *testing.T) {
	for c, want := range map[float64][2]float64{30: {1.96102, 1.78927}, 40: {1.83457, 1.55433}, 60: {1.66058, 1.23105}, 70: {1.59816, 1.11508}, 100: {1.46593, 0.86940}} {
		if wet, dry := Slurry(c); !near(wet, want[0], 3e-5) || !near(dry, want[1], 3e-5) {
			t.Errorf("%g parts of water: got %.5f wet, %.5f dry, want %v", c, wet, dry, want)
		}
	}
	if p, w := GypsumFor(1000, 70); !near(p, 940.0956, 1e-6) || !near(w, 658.0669, 1e-6) {
		t.Errorf("1 l at 70: got %.4f + %.4f g", p, w)
	}
}

func TestPowder(t *testing.T) {
	for _, c := range []struct{ r, rho, sg, phi float64 }{{1, 8.8, 1.876142, 0.106599}, {2, 8.8, 2.543119, 0.192661}, {3, 8.8, 3.092887, 0.263598}, {1.5, 7.87, 2.187268, 0.166755}, {2, 2.70, 1.771875, 0.437500}, {2, 8.96, 2.551899, 0.189873}} {
		if sg, phi := PowderMix(c.r, c.rho, 1.05); !near(sg, c.sg, 1e-6) || !near(phi, c.phi, 5e-6) {
			t.Errorf("%g of powder at %g: got %.6f, φ %.6f", c.r, c.rho, sg, phi)
		}
	}
	sg, _ := PowderMix(2, 8.8, 1.05)
	if got := 400 * 0.2 * sg; !near(got, 203.4495, 1e-6) {
		t.Errorf("face coat: got %g g", got)
	}
	// The catalogue's gravities follow from its own ratios.
	for _, m := range material.Castings() {
		if m.Kind != "cold-cast" {
			continue
		}
		want, phi := PowderMix(m.PowderRatio.Value, m.PowderDensity.Value, ResinSG)
		if !near(m.SG.Value, want, 1e-3) || phi > PourablePhi {
			t.Errorf("%s: gravity %g, by its ratio %g, φ %g", m.Name, m.SG.Value, want, phi)
		}
	}
	for _, m := range material.Castings() {
		if m.Kind == "gypsum" {
			var a, b float64
			for i, p := range []*float64{&a, &b} {
				*p = []float64{100, map[string]float64{"plaster": 70, "gypsum-cement": 40}[m.Name]}[i]
			}
			if wet, _ := Slurry(b); !near(m.SG.Value, wet, 1e-3) {
				t.Errorf("%s: gravity %g, by its water %g", m.Name, m.SG.Value, wet)
			}
		}
	}
}

func TestFoamAndResin(t *testing.T) {
	if got := FoamFill(2000, 0.0800923, 0.10); !near(got, 176.203, 1e-5) {
		t.Errorf("foam: got %g g, want 176.203", got)
	}
	m, _ := material.FindCasting("resin")
	// 120 cm³ at 1.05 with 5 % over is 132.3 g.
	r := Reckon(Job{Material: withoutShrink(m), Ratio: [2]float64{1, 1}, Volume: 120000, Family: material.Platinum, Copies: 100})
	if !near(r.ToMix, 132.3, 1e-9) || !near(*r.A, 66.15, 1e-9) || !near(r.Mass, 126, 1e-9) {
		t.Errorf("resin: got %g g to mix, %g A, casting %g g", r.ToMix, *r.A, r.Mass)
	}
	// The fewest a mold gives are 40, so a hundred take three; stripped hard 20, five.
	if *r.Pulls != 63 || *r.Molds != 3 || *r.Low != 40 || *r.High != 100 {
		t.Errorf("100 copies: got %d pulls, %d molds", *r.Pulls, *r.Molds)
	}
	r = Reckon(Job{Material: withoutShrink(m), Ratio: [2]float64{1, 1}, Volume: 120000, Closed: true, Hard: true, Family: material.Platinum, Copies: 100})
	if !near(r.ToMix, 132.3*1.05, 1e-9) || *r.Pulls != 31 || *r.Molds != 5 {
		t.Errorf("closed, stripped hard: got %g g, %d pulls, %d molds", r.ToMix, *r.Pulls, *r.Molds)
	}
}

func withoutShrink(m material.Casting) material.Casting {
	m.Shrinkage.Value = 0
	m.SG.Value = 1.05
	return m
}

func TestShrinkage(t *testing.T) {
	if got := 150 * PatternFactor(0.003, 0.004); !near(got, 151.0556, 1e-6) {
		t.Errorf("got %g, want 151.0556", got)
	}
	if got := 150 * PatternFactor(0.002, 0); !near(got, 150.3006, 1e-6) {
		t.Errorf("got %g, want 150.3006", got)
	}
}

func TestHollow(t *testing.T) {
	if got := ShellVolume(6*50*50, 3, 125000); got != 45000 {
		t.Errorf("got %g", got)
	}
	if got := ShellVolume(600, 30, 1000); got != 1000 {
		t.Errorf("a wall thicker than the casting: got %g", got)
	}
	p, _ := material.FindCasting("plaster")
	r := Reckon(Job{Material: p, Ratio: [2]float64{100, 70}, Volume: 1e6, Family: material.Tin})
	if r.Powder == nil || !near(*r.Water / *r.Powder, 0.7, 1e-9) {
		t.Errorf("plaster: %+v", r)
	}
	c, _ := material.FindCasting("cold-cast-bronze")
	r = Reckon(Job{Material: c, Ratio: [2]float64{1, 1}, Volume: 200000, Area: 25000, Family: material.Platinum})
	if r.Powder == nil || r.A == nil || !near(*r.Powder+*r.A+*r.B, r.ToMix, 1e-9) {
		t.Errorf("bronze: %+v", r)
	}
}

// The face of a cold casting by its area and thickness: 400 cm² at 2 mm are 80
// cm³ and 203.4495 g of two to one bronze.
func TestColdFace(t *testing.T) {
	c, _ := material.FindCasting("cold-cast-bronze")
	c.Shrinkage.Value = 0
	r := Reckon(Job{Material: c, Ratio: [2]float64{1, 1}, Volume: 500000, Area: 40000, Family: material.Platinum})
	if !near(r.FaceVolume, 80000, 1e-9) || !near(r.FacePowder+r.FaceResin, 203.4495*(1+Loss), 1e-6) || !near(r.FacePowder, 2*r.FaceResin, 1e-9) {
		t.Errorf("face: got %g mm³, %g g of powder in %g g of resin", r.FaceVolume, r.FacePowder, r.FaceResin)
	}
	if !near(r.Dust, 8, 1e-9) || !near(r.DustLow, 4, 1e-9) || !near(r.DustHigh, 12, 1e-9) {
		t.Errorf("dusting 400 cm²: got %g g, %g to %g, want 8, 4 to 12", r.Dust, r.DustLow, r.DustHigh)
	}
	if !near(r.Backing, 420*ResinSG*(1+Loss), 1e-9) || !near(*r.A+*r.B, r.FaceResin+r.Backing, 1e-9) || !near(*r.Powder, r.FacePowder+r.Dust*(1+Loss), 1e-9) {
		t.Errorf("backing %g g, A and B %g g, powder %g g", r.Backing, *r.A+*r.B, *r.Powder)
	}
	r = Reckon(Job{Material: c, Ratio: [2]float64{1, 1}, Volume: 500000, Area: 40000, Face: 3, Family: material.Platinum})
	if !near(r.FaceVolume, 120000, 1e-9) {
		t.Errorf("a face of 3 mm: got %g mm³", r.FaceVolume)
	}
}

// What is mixed fills the mold before it shrinks: a casting that shrinks by 2 %
// in length takes 1/0.98³ of its own volume.
func TestFillsTheMold(t *testing.T) {
	m, _ := material.FindCasting("resin")
	m.SG.Value, m.Shrinkage.Value = 1, 2
	r := Reckon(Job{Material: m, Ratio: [2]float64{1, 1}, Volume: 1e6, Family: material.Platinum})
	if !near(r.Volume, 1e6*0.98*0.98*0.98, 1e-12) || !near(r.ToMix, 1000*(1+Loss), 1e-12) {
		t.Errorf("got a casting of %g mm³ from %g g", r.Volume, r.ToMix)
	}
}
