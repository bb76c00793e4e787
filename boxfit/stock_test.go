package boxfit

import (
	"math"
	"strings"
	"testing"
)

// ASTM D1785 schedule 40: average bores in inches and mm, and what they hold.
func TestScheduleForty(t *testing.T) {
	want := []struct {
		nps                string
		in, mm, in3, cm3cm float64
	}{
		{"1", 1.029, 26.1, 0.832, 5.37}, {"1-1/4", 1.360, 34.5, 1.453, 9.37}, {"1-1/2", 1.590, 40.4, 1.986, 12.81},
		{"2", 2.047, 52.0, 3.291, 21.23}, {"2-1/2", 2.445, 62.1, 4.695, 30.29}, {"3", 3.042, 77.3, 7.268, 46.89},
		{"3-1/2", 3.521, 89.4, 9.737, 62.82}, {"4", 3.998, 101.5, 12.554, 80.99}, {"5", 5.016, 127.4, 19.761, 127.49},
		{"6", 6.031, 153.2, 28.567, 184.30}, {"8", 7.942, 201.7, 49.539, 319.61}, {"10", 9.976, 253.4, 78.163, 504.28},
		{"12", 11.889, 302.0, 111.015, 716.22},
	}
	by := map[string]TubeStock{}
	for _, s := range Tubes() {
		by[s.Name] = s
	}
	for _, w := range want {
		s, ok := by["NPS "+w.nps+" schedule 40"]
		if !ok {
			t.Errorf("no NPS %s", w.nps)
			continue
		}
		area := math.Pi / 4 * s.Bore * s.Bore
		if math.Abs(s.Bore/25.4-w.in) > 5e-4+1e-9 || math.Abs(s.Bore-w.mm) > 0.051 ||
			math.Abs(area/645.16-w.in3) > 6e-4 || math.Abs(area/100-w.cm3cm) > 6e-3 {
			t.Errorf("NPS %s: bore %.4f in, %.2f mm, %.4f in³/in, %.3f cm³/cm; want %v, %v, %v, %v",
				w.nps, s.Bore/25.4, s.Bore, area/645.16, area/100, w.in, w.mm, w.in3, w.cm3cm)
		}
	}
	for od, id := range map[string]float64{"32": 28.4, "40": 36.2, "50": 46, "75": 71, "90": 86, "110": 103.6, "125": 118.6, "160": 152, "200": 190.2, "250": 237.6, "315": 299.6} {
		if s := by["DN "+od+" drain"]; math.Abs(s.Bore-id) > 1e-9 {
			t.Errorf("drain %s: bore %v, want %v", od, s.Bore, id)
		}
	}
	if len(by) != 24 {
		t.Errorf("%d tubes, want 24", len(by))
	}
	last := 0.0
	for _, s := range Tubes() {
		if s.Bore < last {
			t.Errorf("%s is out of order", s.Name)
		}
		last = s.Bore
	}
}

func TestBoards(t *testing.T) {
	seen := map[string]bool{}
	for _, b := range Boards() {
		if seen[b.Name] {
			t.Errorf("two boards named %s", b.Name)
		}
		seen[b.Name] = true
		if b.Thickness <= 0 || b.ELow <= 0 || b.EHigh < b.ELow || b.SG <= 0 || b.Creep < 1 || b.Material == "" {
			t.Errorf("%s: figures make no sense: %+v", b.Name, b)
		}
		for _, s := range []string{b.ThicknessSource, b.ESource, b.SGSource, b.CreepSource} {
			if len(s) < 5 {
				t.Errorf("%s: a figure has no source", b.Name)
			}
		}
	}
	// PS 1 performance categories are thinner than their names.
	for name, in := range map[string]float64{"plywood-3/8in": 11.0 / 32, "plywood-1/2in": 15.0 / 32, "plywood-5/8in": 19.0 / 32, "plywood-3/4in": 23.0 / 32} {
		b, err := BoardNamed(name)
		if err != nil || math.Abs(b.Thickness-in*25.4) > 6e-4 {
			t.Errorf("%s: %v mm (%v), want %v", name, b.Thickness, err, in*25.4)
		}
	}
	if b, err := BoardNamed("MDF-12"); err != nil || b.Thickness != 12 || b.ELow != 3.59 {
		t.Errorf("MDF-12: %+v, %v", b, err)
	}
	if _, err := BoardNamed(DefaultBoard); err != nil {
		t.Error(err)
	}
	if _, err := BoardNamed("cheese"); err == nil || !strings.Contains(err.Error(), "melamine-16") {
		t.Errorf("an unknown board must say which are known, got %v", err)
	}
	for _, bad := range []string{"name\tmaterial\nx", "name\tunit\nx\t", "name\n"} {
		if l, err := parseBoards(bad); err == nil && len(l) > 0 {
			t.Errorf("%q was read as boards", bad)
		}
	}
}
