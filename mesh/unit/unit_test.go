package unit

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func close9(got, want float64) bool { return math.Abs(got-want) <= 1e-9*math.Abs(want) }

func TestConstants(t *testing.T) {
	// NIST SP 811 (2008), Appendix B, and NIST Handbook 44, Appendix C.
	for _, c := range []struct {
		name      string
		got, want float64
		rel       float64 // 0: exact
	}{
		{"in", float64(Inch), 25.4, 0},
		{"ft in m", Foot.In(M), 0.3048, 1e-15},
		{"in²", float64(Inch2), 25.4 * 25.4, 1e-15},
		{"in³ in cm³", Inch3.In(CM3), 16.387064, 0},
		{"US gallon in in³", USGallon.In(Inch3), 231, 1e-15},
		{"US gallon in cm³", USGallon.In(CM3), 3785.411784, 0},
		{"US fl oz in cm³", FluidOz.In(CM3), 29.5735295625, 0},
		{"US fl oz × 128", float64(FluidOz * 128), float64(USGallon), 0},
		{"US fl oz in in³", FluidOz.In(Inch3), 1.8046875, 1e-15},
		{"ft³ in in³", Foot3.In(Inch3), 1728, 1e-15},
		{"lb", float64(Pound), 453.59237, 0},
		{"oz × 16", float64(Ounce * 16), float64(Pound), 0},
		{"lbf", float64(LbForce), 4.4482216152605, 0},
		{"lbf from lb", 0.45359237 * 9.80665, float64(LbForce), 1e-15},
		{"kgf", float64(KgForce), 9.80665, 0},
		{"psi in Pa", float64(PSI) * 1000, 6894.757293168, 1e-15},
		{"psi from lbf/in²", float64(LbForce) / float64(Inch2) * 1000, float64(PSI), 1e-12},
		{"inHg in Pa", float64(InHg) * 1000, 3386.389, 1e-15},
		{"atm in inHg", Pressure(101.325).In(InHg), 29.92126, 3e-7},
		{"lb/in³", float64(LbPerInch3), 27.67990471, 1e-9},
		{"32 °F", float64(Fahrenheit(32)), 0, 0},
		{"212 °F", float64(Fahrenheit(212)), 100, 1e-15},
		{"−40 °F", float64(Fahrenheit(-40)), -40, 1e-15},
		{"23 °C in °F", Temperature(23).Fahrenheit(), 73.4, 1e-15},
		{"16 fl oz at 1.107", float64(Density(1.107).Mass(16 * FluidOz)), 523.8, 1e-4},
		{"a 25.4 mm cube read in inches", math.Pow(float64(Inch), 3), 16387.064, 1e-12},
	} {
		if math.Abs(c.got-c.want) > c.rel*math.Abs(c.want) {
			t.Errorf("%s: got %.13g, want %.13g", c.name, c.got, c.want)
		}
	}
}

func TestSpecificVolume(t *testing.T) {
	for id, c := range map[string][2]float64{ // in³/lb, g/cm³
		"T1.1a": {20, 1.383995}, "T1.1b": {22, 1.258177}, "T1.1c": {23, 1.203474}, "T1.1d": {24, 1.153329},
		"T1.1e": {25, 1.107196}, "T1.1f": {26, 1.064612}, "T1.1g": {27, 1.025182}, "T1.1h": {27.68, 0.9999966},
	} {
		if got := FromIn3PerLb(c[0]); math.Abs(float64(got)-c[1]) > 5.1e-7 {
			t.Errorf("%s: %g in³/lb: got %.7f g/cm³, want %.7f", id, c[0], got, c[1])
		}
	}
	for id, c := range map[string][4]float64{ // SG, in³/lb, lb/US gal, oz/in³
		"T1.2a": {1.00, 27.6799, 8.3454, 0.5780}, "T1.2b": {1.02, 27.1372, 8.5123, 0.5896}, "T1.2c": {1.07, 25.8691, 8.9296, 0.6185},
		"T1.2d": {1.10, 25.1635, 9.1799, 0.6358}, "T1.2e": {1.18, 23.4575, 9.8476, 0.6821}, "T1.2f": {1.30, 21.2922, 10.8490, 0.7514},
	} {
		d := Density(c[0])
		for i, got := range []float64{float64(LbPerInch3 / d), d.Mass(USGallon).In(Pound), d.Mass(Inch3).In(Ounce)} {
			if math.Abs(got-c[i+1]) > 5.1e-5 {
				t.Errorf("%s: SG %g, column %d: got %.4f, want %.4f", id, c[0], i+1, got, c[i+1])
			}
		}
	}
	// T1.3: the worked block mold.
	v := Volume(6 * 4 * 1.5 * Inch3)
	m := FromIn3PerLb(25).Mass(v)
	for name, c := range map[string][2]float64{
		"T1.3a cm³": {v.In(CM3), 589.9343}, "T1.3b lb": {m.In(Pound), 1.44}, "T1.3c g": {float64(m), 653.1730}, "T1.3e g": {float64(m) * 1.08, 705.4269},
	} {
		if math.Abs(c[0]-c[1]) > 5.1e-5 {
			t.Errorf("%s: got %.5f, want %.5f", name, c[0], c[1])
		}
	}
	if got := Density(1.2).Volume(Density(1.2).Mass(12345)); !close9(float64(got), 12345) {
		t.Errorf("volume of a mass: got %g, want 12345", got)
	}
}

func TestParseLength(t *testing.T) {
	for s, want := range map[string]float64{
		"12mm": 12, "1.2cm": 12, "0.5in": 12.7, "1/2in": 12.7, "5 1/4in": 133.35, "5-1/4in": 133.35, "2ft": 609.6,
		"7": 7, " 7 ": 7, "0": 0, "1.5": 1.5, ".5in": 12.7, "1m": 1000, "1e2mm": 100, "3/8": 0.375,
		"12 mm": 12, "12MM": 12, `5 1/4"`: 133.35, "5¼in": 133.35, "5 ¼ in": 133.35, "½ in": 12.7, "2 inches": 50.8, "1 inch": 25.4, "1in.": 25.4,
		`5' 3"`: 63 * 25.4, `5'3"`: 63 * 25.4, "5ft 3in": 63 * 25.4, "5 ft 3-1/2 in": 63.5 * 25.4, `5′ 3½″`: 63.5 * 25.4, "1 foot": 304.8, "1 1/2 ft": 457.2,
		"10 centimetres": 100, "1 meter": 1000,
	} {
		if got, err := ParseLength(s); err != nil || !(got == Length(want) || close9(float64(got), want)) {
			t.Errorf("%q: got %v, %v; want %v mm", s, got, err, want)
		}
	}
	for s, reason := range map[string]string{
		"": "empty", "abc": "begin with a number", "-3mm": "negative", "−3mm": "negative", "NaN": "begin with a number", "inf": "begin with a number",
		"12 furlongs": "no unit of length", "1/0in": "nothing below", "1,5mm": "comma", "1.5/2in": "whole numbers", "1.5 1/2in": "decimal and a fraction",
		"5 5/4in": "not below 1", "1e999mm": "too large", "1e308m": "too large", "5in 3ft": "may follow", "5mm 3mm": "left over", "5ft 3": "may follow", "5 3": "no unit|left over", "3g": "no unit of length",
		"1.2.3mm": "not a number", "5 1/2 1/4in": "left over|no unit", "12mm)": "no unit", "1/2/3": "no unit", "0x10": "no unit|left over", "1_000": "no unit|left over", "5--1/4in": "no unit|left over",
	} {
		got, err := ParseLength(s)
		var pe *ParseError
		if !errors.As(err, &pe) {
			t.Errorf("%q: got %v, want an error about %q", s, got, reason)
			continue
		}
		if ok := func() bool {
			for _, r := range strings.Split(reason, "|") {
				if strings.Contains(pe.Reason, r) {
					return true
				}
			}
			return false
		}(); !ok {
			t.Errorf("%q: reason got %q, want %q", s, pe.Reason, reason)
		}
		if !strings.Contains(err.Error(), "12mm 1.2cm") || got != 0 {
			t.Errorf("%q: error must say what is accepted and the value be 0: got %v, %v", s, got, err)
		}
	}
}

func TestParseOthers(t *testing.T) {
	check := func(what, s string, got float64, err error, want float64) {
		t.Helper()
		if math.IsNaN(want) {
			if err == nil || got != 0 {
				t.Errorf("%s %q: got %v, %v; want an error", what, s, got, err)
			}
		} else if err != nil || !(got == want || close9(got, want)) {
			t.Errorf("%s %q: got %v, %v; want %v", what, s, got, err, want)
		}
	}
	bad := math.NaN()
	for s, want := range map[string]float64{
		"250g": 250, "250": 250, "1.5kg": 1500, "12oz": 12 * 28.349523125, "2lb": 907.18474, "1/2 lb": 226.796185, "1lb 7oz": 23 * 28.349523125, "2 lbs": 907.18474, "500mg": 0.5,
		"16floz": bad, "": bad, "-1g": bad, "3mm": bad, "7oz 1lb": bad, "1e400g": bad, "g": bad,
	} {
		got, err := ParseMass(s)
		check("mass", s, float64(got), err, want)
	}
	for s, want := range map[string]float64{
		"400ml": 4e5, "0.4l": 4e5, "400cm3": 4e5, "400 cm³": 4e5, "400cc": 4e5, "400 cm^3": 4e5, "36in3": 36 * 16387.064, "36 cu in": 36 * 16387.064, "16floz": 16 * 29573.5295625, "16 fl oz": 16 * 29573.5295625,
		"1gal": 3785411.784, "1/2gal": 1892705.892, "2 1/2 in3": 2.5 * 16387.064, "1000mm3": 1000, "2ft3": 2 * 28316846.592, "0ml": 0, "400ML": 4e5,
		"400": bad, "16oz": bad, "": bad, "-1ml": bad, "3in": bad, "1ml 2ml": bad, "5in33": bad,
	} {
		got, err := ParseVolume(s)
		check("volume", s, float64(got), err, want)
	}
	for s, want := range map[string]float64{
		"23": 23, "23C": 23, "23 °C": 23, "73.4F": 23, "73.4 °f": 23, "-10C": -10, "+5": 5, "−4F": -20, "-40F": -40, "0": 0,
		"23K": bad, "": bad, "-274": bad, "-460F": bad, "warm": bad, "nan": bad, "--5": bad,
	} {
		got, err := ParseTemperature(s)
		check("temperature", s, float64(got), err, want)
	}
	for s, want := range map[string]float64{"8": 8, "8%": 8, "12.5 %": 12.5, "0": 0, "-1": bad, "8%%": bad, "x": bad, "": bad, "1e999": bad} {
		got, err := ParsePercent(s)
		check("percent", s, got, err, want)
	}
	for s, want := range map[string]float64{"1.07": 1.07, "1/2": 0.5, "25": 25, "-1": bad, "1x": bad, "NaN": bad, "Inf": bad, "+Inf": bad} {
		got, err := ParseNumber(s)
		check("number", s, got, err, want)
	}
}

func TestParseLists(t *testing.T) {
	if got, err := ParseTriple("6in,4in,1 1/2in"); err != nil || got != [3]Length{6 * Inch, 4 * Inch, 1.5 * Inch} {
		t.Errorf("triple: got %v, %v", got, err)
	}
	if got, err := ParseTriple("60, 40mm ,1cm"); err != nil || got != [3]Length{60, 40, 10} {
		t.Errorf("triple: got %v, %v", got, err)
	}
	if got, err := ParsePair("4in,200"); err != nil || got != [2]Length{4 * Inch, 200} {
		t.Errorf("pair: got %v, %v", got, err)
	}
	for _, s := range []string{"", "1,2", "1,2,3,4", "1,2,x", "1,-2,3", "1,,3"} {
		if got, err := ParseTriple(s); err == nil {
			t.Errorf("triple %q: got %v, want an error", s, got)
		}
	}
	for s, want := range map[string][3]float64{
		"+x": {1, 0, 0}, "-x": {-1, 0, 0}, "+y": {0, 1, 0}, "-y": {0, -1, 0}, "+z": {0, 0, 1}, "-z": {0, 0, -1}, "Z": {0, 0, 1}, "−Z": {0, 0, -1},
		"0,0,2": {0, 0, 1}, "3,0,-4": {0.6, 0, -0.8}, "1e300,0,0": {1, 0, 0}, "0, -1e-300, 0": {0, -1, 0}, "+1,0,0": {1, 0, 0},
	} {
		got, err := ParseDirection(s)
		for i := range got {
			if err != nil || math.Abs(got[i]-want[i]) > 1e-15 {
				t.Errorf("direction %q: got %v, %v; want %v", s, got, err, want)
				break
			}
		}
	}
	for _, s := range []string{"", "up", "0,0,0", "1,2", "1,2,3,4", "1,2,z", "nan,0,0", "inf,0,0", "+-x", "1mm,0,0"} {
		if got, err := ParseDirection(s); err == nil {
			t.Errorf("direction %q: got %v, want an error", s, got)
		}
	}
	for s, want := range map[string][2]float64{"1:1": {1, 1}, "10:1": {10, 1}, "100:3": {100, 3}, " 100 : 2.5 ": {100, 2.5}} {
		if got, err := ParseRatio(s); err != nil || got != want {
			t.Errorf("ratio %q: got %v, %v; want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "1", "1:", ":1", "1:0", "0:1", "1:2:3", "-1:1", "a:b", "1:1g", "1:inf"} {
		if got, err := ParseRatio(s); err == nil {
			t.Errorf("ratio %q: got %v, want an error", s, got)
		}
	}
}

func TestInchFraction(t *testing.T) {
	for _, c := range []struct {
		l     Length
		denom int
		want  string
	}{
		{0, 16, "0"}, {25.4, 16, "1"}, {133.35, 16, "5 1/4"}, {12.7, 16, "1/2"}, {9.525, 16, "3/8"}, {1, 16, "1/16"}, {0.5, 16, "0"}, {100, 16, "3 15/16"}, {100, 32, "3 15/16"}, {100, 64, "3 15/16"},
		{101.5, 16, "4"}, {101.5, 64, "4"}, {-38.1, 16, "-1 1/2"}, {-0.1, 16, "0"}, {304.8, 1, "12"}, {25.4 / 32, 16, "1/16"},
	} {
		if got := InchFraction(c.l, c.denom); got != c.want {
			t.Errorf("%v mm in 1/%d: got %q, want %q", c.l, c.denom, got, c.want)
		}
	}
	// What is printed reads back to within half a step.
	for l := Length(0.7); l < 2000; l *= 1.13 {
		for d := 1; d <= 128; d *= 2 {
			back, err := ParseLength(InchFraction(l, d) + "in")
			if err != nil || math.Abs(float64(back-l)) > 12.7/float64(d)+1e-9 {
				t.Errorf("%v mm in 1/%d: %q reads back as %v, %v", l, d, InchFraction(l, d), back, err)
			}
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"12mm", "5 1/4in", `5' 3"`, "5¼″", "1lb 7oz", "36in3", "16 fl oz", "73F", "−40", "6in,4in,1 1/2in", "+x", "0,1,0.5", "100:3", "8%", "1e308m", "", "5-1/4 in.", "1.2.3", "/", "½½"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		fine := func(v float64, err error, least float64) {
			t.Helper()
			if err != nil {
				var pe *ParseError
				if !errors.As(err, &pe) || pe.Reason == "" || pe.Accept == "" {
					t.Errorf("%q: an error without its parts: %v", s, err)
				}
				if v != 0 {
					t.Errorf("%q: %v beside an error", s, v)
				}
			} else if math.IsNaN(v) || math.IsInf(v, 0) || v < least {
				t.Errorf("%q: reads as %v", s, v)
			}
		}
		l, err := ParseLength(s)
		fine(float64(l), err, 0)
		m, err := ParseMass(s)
		fine(float64(m), err, 0)
		v, err := ParseVolume(s)
		fine(float64(v), err, 0)
		c, err := ParseTemperature(s)
		fine(float64(c), err, float64(AbsoluteZero))
		n, err := ParseNumber(s)
		fine(n, err, 0)
		n, err = ParsePercent(s)
		fine(n, err, 0)
		if d, err := ParseDirection(s); err == nil && math.Abs(math.Sqrt(d[0]*d[0]+d[1]*d[1]+d[2]*d[2])-1) > 1e-12 {
			t.Errorf("%q: direction %v has not length 1", s, d)
		}
		if r, err := ParseRatio(s); err == nil && !(r[0] > 0 && r[1] > 0) {
			t.Errorf("%q: ratio %v", s, r)
		}
		ParseTriple(s)
		ParsePair(s)
	})
}
