package figure

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"moldtally/mesh/unit"
)

func spaced(s string) string { return strings.ReplaceAll(s, NBSP, " ") }

func TestNumbers(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Fixed(9999, 0), "9999"}, {Fixed(10000, 0), "10 000"}, {Fixed(-1234567.891, 2), "-1 234 567.89"},
		{Fixed(-0.004, 2), "0.00"}, {Fixed(999999.5, 0), "1 000 000"}, {Fixed(math.NaN(), 1), "-"},
		{Stepped(412.3, 1), "412"}, {Stepped(1234, 10), "1230"}, {Stepped(0.04567, 0.001), "0.046"}, {Stepped(15500, 1000), "16 000"},
		{Grams(355), "355"}, {Grams(5.5), "5.5"}, {Grams(0.1 + 0.2), "0.3"}, {Grams(4.800000000000001), "4.8"}, {Grams(0.05), "0.05"}, {Grams(12000), "12 000"},
		{Inches(0, 16), "0"}, {Inches(25.4, 16), "1"}, {Inches(133.35, 16), "5 1/4"}, {Inches(6.35, 16), "1/4"}, {Inches(1.5875, 16), "1/16"},
		{Inches(0.7, 16), "0"}, {Inches(0.8, 16), "1/16"}, {Inches(25, 16), "1"}, {Inches(-133.35, 16), "-5 1/4"}, {Inches(150, 0), "5 7/8"}, {Inches(150, 32), "5 29/32"},
		{Inches(25.39, 16), "1"}, {Inches(304800, 16), "12 000"},
		{Money(1234.5, "EUR"), "EUR 1234.50"}, {Money(12345.678, ""), "12 345.68"},
		{UnitPrice(31), "31.00"}, {UnitPrice(0.0125), "0.0125"}, {UnitPrice(1.0 / 3), "0.333333"},
		{Duration(0), "0 min"}, {Duration(0.5), "30 s"}, {Duration(25), "25 min"}, {Duration(60), "1 h"}, {Duration(90), "1 h 30 min"}, {Duration(599.7), "10 h"},
		{Duration(1440), "24 h"}, {Duration(3120), "2 d 4 h"}, {Duration(2880), "2 d"},
		{Count(1, "piece", "pieces"), "1 piece"}, {Count(41230, "triangle", "triangles"), "41 230 triangles"},
	} {
		if got := spaced(c.got); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestStepFor(t *testing.T) {
	for _, c := range []struct{ low, value, high, want float64 }{
		{409, 412, 416, 1}, // bounds of 3.5: whole units
		{411.9, 412.3, 412.6, 0.1},
		{412, 412, 412, 0.1}, // exact: four digits
		{100, 412, 900, 10},  // hopeless: two digits are left
		{0.0011, 0.0012, 0.0013, 0.0001},
		{-1, 0, 1, 1},
	} {
		if got := stepFor(c.low, c.value, c.high); math.Abs(got/c.want-1) > 1e-9 {
			t.Errorf("stepFor(%v, %v, %v) = %v, want %v", c.low, c.value, c.high, got, c.want)
		}
	}
}

// What is printed must lie within the bounds it came from, give or take the
// half of its last digit, and the bounds printed must hold the true ones.
func TestRoundingHolds(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		v := math.Exp(rnd.Float64()*16 - 2)
		low, high := v*(1-0.05*rnd.Float64()), v*(1+0.05*rnd.Float64())
		step := stepFor(low, v, high)
		if err := math.Abs(math.Round(v/step)*step - v); err > max((high-low)/2, v*0.0006)+1e-12 {
			t.Fatalf("%v within [%v, %v] is printed to %v: off by %v", v, low, high, step, err)
		}
	}
}

func TestVolumeWords(t *testing.T) {
	for _, c := range []struct {
		got  Quantity
		want string
	}{
		{Volume(409120, 412310, 415890), "412 cm³ = 25.2 in³"},
		{Exactly(589934.304), "589.9 cm³ = 36.00 in³"}, // 6 x 4 x 1 1/2 in
		{Exactly(35), "35 mm³ = 0.0021 in³"},
		{Exactly(0.3), "under 1 mm³ = under 0.001 in³"},
		{Exactly(12.346e6), "12.35 L = 753.4 in³"},
		{Exactly(0), "0 cm³ = 0 in³"},
		{Mass(653.17, 653.173, 653.18), "653.2 g = 1.440 lb"}, // 1.44 lb
		{Mass(12000, 12000, 12000), "12.00 kg = 26.46 lb"},
		{Weighed(355), "355 g = 12.5 oz"},
		{Weighed(5.5), "5.5 g = 0.194 oz"},
		{Weighed(14.0037), "14.0 g = 0.494 oz"}, // pigment, which is a share and not rounded
		{Weighed(0), "0 g = 0 oz"},
		{Weighed(1.7), "1.7 g = 0.06 oz"},
		{Weighed(510), "510 g = 1 lb 2 oz"},
		{Weighed(70.5), "70.5 g = 2.48 oz"},
		{Weighed(900), "900 g = 1 lb 15.7 oz"},
		{Weighed(453.59237), "453.6 g = 1 lb 0 oz"},         // an ounce is 28.349523125 g
		{Weighed(28.349523125 * 12.3), "348.7 g = 12.3 oz"}, // a scale of 0.1 oz
		{Clear(118.6), "119 mm = 4 11/16 in"},
		{Clear(117.4), "118 mm = 4 5/8 in"}, // 4.622 in
		{Clear(37.7), "38 mm = 1 1/2 in"},
		{Clear(25.4), "25.5 mm = 1 in"},
		{Ruled(133.36), "133.4 mm = 5 1/4 in"},
		{Length(14.72, 0.1), "14.7 mm = 0.58 in"},
		{Area(38214.7), "382 cm² = 59.2 in²"},
		{Force(3.66769), "3.7 N = 0.82 lb"},          // published: 0.82453 lbf
		{Pressure(1.098345), "1.10 kPa = 0.159 psi"}, // 0.159301 psi
	} {
		if got := spaced(c.got.Metric() + " = " + c.got.US()); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

func TestNiceScale(t *testing.T) {
	for _, c := range []struct{ v, top, step float64 }{
		{18.5, 20, 5}, {10, 10, 2}, {9.2, 10, 2}, {0.31, 0.4, 0.1}, {1, 1, 0.2}, {100, 100, 20}, {47, 50, 10}, {0, 1, 0.2}, {math.Inf(1), 1, 0.2},
	} {
		if top, step := NiceScale(c.v); math.Abs(top-c.top) > 1e-9 || math.Abs(step-c.step) > 1e-9 {
			t.Errorf("NiceScale(%v) = %v by %v, want %v by %v", c.v, top, step, c.top, c.step)
		}
	}
}

// A bound is not rounded up past what there is: a box that holds 648.9 cm³ takes no
// 650.
func TestVolumeWithin(t *testing.T) {
	u := Units{System: unit.Metric}
	if got, want := u.VolumeRange(610.4e3, 630e3, 648.7e3), "between 610 and 650"+NBSP+"cm³"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := u.VolumeWithin(610.4e3, 630e3, 648.7e3, 648.9e3), "between 610.4 and 648.7"+NBSP+"cm³"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// What a scale in ounces shows is on its step, and keeps the ratio of a mix that is
// within 1 % in grams to within 2 %.
func TestOuncesKeepTheMix(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 5000 {
		a := 5 * math.Ceil(math.Exp(rnd.Float64()*8)/5)
		b := a * []float64{1, 0.1, 0.05, 0.03, 0.45}[rnd.IntN(5)]
		for _, s := range []float64{5, 1, 0.5, 0.1} {
			if r := math.Round(b/s) * s; math.Abs(r/b-1) <= 0.01 {
				b = r
				break
			}
		}
		shown := func(g float64) float64 { s := OunceStep(g); return math.Round(g/float64(unit.Ounce)/s) * s }
		if off := shown(b)/shown(a)/(b/a) - 1; math.Abs(off) > 0.011 && b > 3 {
			t.Fatalf("A %v g, B %v g: in ounces the ratio is off by %.3f more", a, b, off)
		}
	}
}

// A sum of what went on the scale is the sum of what it showed, in grams and ounces.
func TestWeighedInAll(t *testing.T) {
	for _, c := range []struct {
		each []float64
		want Quantity
	}{
		{[]float64{70.5, 70}, Quantity{"140.5", "g", "4.94", "oz"}},
		{[]float64{900}, Weighed(900)},
		{[]float64{91, 91, 91, 91, 91, 91, 25.5, 25.5}, Quantity{"597", "g", "1\u00a0lb 5", "oz"}}, // six times 3.2 oz, twice 0.9
	} {
		if got := WeighedInAll(c.each); got != c.want {
			t.Errorf("%v: %+v, want %+v", c.each, got, c.want)
		}
	}
}
