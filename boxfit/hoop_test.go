package boxfit

import (
	"testing"

	"moldtally/mesh/shape"
)

func TestHoop(t *testing.T) {
	// A pipe of 100 mm bore and 25 mm wall, the classic example: 2.6, 1.6, thin 2.
	h := hoop{1, 50, 75}
	if in, out := h.thick(); !near(in, 2.6, 1e-12) || !near(out, 1.6, 1e-12) || !near(h.thin(), 2, 1e-12) {
		t.Errorf("thick %v, %v, thin %v; want 2.6, 1.6, 2", in, out, h.thin())
	}
	// A drain pipe full of rubber, 300 mm deep.
	p := headPressure(1.12, 300) / 1000
	h = hoop{p, 51.8, 55}
	in, out := h.thick()
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"pressure, Pa", p * 1e6, 3295.03},
		{"thin", h.thin(), 0.05334},
		{"inside", in, 0.05504},
		{"outside", out, 0.05174},
		{"bands, N", bands(1.12, 300, 103.6), 25.602},
		{"growth, µm", 1000 * h.growth(3000, 0.38), 0.972},
	} {
		if !near(c.got, c.want, 5e-4) {
			t.Errorf("%s %v, want %v", c.name, c.got, c.want)
		}
	}
}

func TestTubeDoesNotBow(t *testing.T) {
	s := sceneOf(t, shape.Cylinder(35, 279.4, 24), upZ) // needs a bore of 90: schedule 40 of 4 in has 101.5
	f, _ := mustSearch(t, s, Request{Container: Sleeve, Wall: at(10.0), Over: at(20.6), RubberSG: 1.12})
	if f.BoardBow != nil || f.Brace != nil || f.Findings.Has(CodeBow) {
		t.Errorf("a tube bows: %v, %v, %v", f.BoardBow, f.Brace, f.Findings)
	}
	if f.Hoop == nil || !near(f.FloorPressure, 3.29503, 1e-5) {
		t.Fatalf("hoop %v at %v kPa", f.Hoop, f.FloorPressure)
	}
	tube := f.Boards[0] // its outside and its wall
	if want := f.FloorPressure / 1000 * *f.Diameter / 2 / tube.Thickness; !near(*f.Hoop, want, 1e-12) {
		t.Errorf("hoop %v MPa, want %v", *f.Hoop, want)
	}
	if g := *f.TubeGrowth; g < 1e-4 || g > 0.01 {
		t.Errorf("the tube grows by %v mm", g)
	}
	// Of the user's own the wall is not known.
	if f, _ := mustSearch(t, s, Request{InsideTube: &[2]float64{110, 320}}); f.Hoop != nil || f.BoardBow != nil {
		t.Errorf("own tube: hoop %v, bow %v", f.Hoop, f.BoardBow)
	}
	if f, _ := mustSearch(t, s, Request{Container: Box}); f.Hoop != nil {
		t.Errorf("a box has a hoop: %v", *f.Hoop)
	}
}
