package words

import (
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/unit"
)

func TestVoice(t *testing.T) {
	metric, us := newVoice(unit.Metric), newVoice(unit.US)
	for _, c := range []struct{ what, got, want string }{
		{"length", metric.mm(14.25, sig(3)), "14.2 mm"},
		{"length", us.mm(14.25, sig(3)), "9/16 in"},
		{"short length", us.mm(0.5, rule), "0.02 in"},
		{"no length", us.mm(0, rule), "0 in"},
		{"two lengths", us.span(25.4, " to ", 50.8, rule), "1 to 2 in"},
		{"rounded up", metric.mmUp(25.01), "26 mm"},
		{"rounded up", us.mmUp(25.41), "1 1/16 in"},
		{"area", us.cm2(64516, sig(3)), "100 in²"},
		{"volume", metric.cm3(412345, sig(4)), "412.3 cm³"},
		{"volume", us.cm3(16387064, sig(4)), "1000 in³"},
		{"mass", metric.mass(1234), "1.23 kg"},
		{"mass", us.mass(100), "3.53 oz"},
		{"mass", us.mass(1234567), "2720 lb"},
		{"force", us.newtons(44.48, fixed(0)), "10 lb"},
		{"pressure", us.kPa(3.4, upTo(1)), "0.49 psi"},
		{"temperature", us.celsius(23, sig(3)), "73 °F"},
		{"place", us.place(mesh.V(12, -4, 88.04)), "x 12.0, y -4.0, z 88.0 mm"},
		{"list", list([]string{"a", "b", "c"}, "and"), "a, b and c"},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %q, want %q", c.what, c.got, c.want)
		}
	}
}

// TestSig: figures are rounded to their digits, and never in scientific form.
func TestSig(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		want string
	}{{1543.2, "1540"}, {11700, "11700"}, {0.00001234, "0.0000123"}, {2.5, "2.5"}, {99.96, "100"}, {999.6, "1000"}, {-4321, "-4320"}, {1e300, "over 1000000000000"}, {0, "0"}} {
		if got := sig(3)(tt.v); got != tt.want {
			t.Errorf("%g: got %s, want %s", tt.v, got, tt.want)
		}
	}
}
