package estimate

import (
	"math"
	"strings"
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
)

// How thick rubber is beyond the edge of a flap, in a box and in a tube.
func TestFlapWall(t *testing.T) {
	at := func(v float64) *float64 { return &v }
	box := &boxfit.Fit{Interior: &[3]float64{100, 60, 80}, FillHeight: 70, Center: [3]float64{10, 0, 0}, LongAxis: [3]float64{1, 0, 0}, Up: [3]float64{0, 0, 1}, Thinnest: 8}
	turned := &boxfit.Fit{Interior: box.Interior, FillHeight: 70, Center: box.Center, LongAxis: [3]float64{0, 1, 0}, Up: [3]float64{0, 0, 1}, Thinnest: 8}
	tube := &boxfit.Fit{Diameter: at(100), FillHeight: 70, LongAxis: [3]float64{1, 0, 0}, Up: [3]float64{0, 0, 1}, Thinnest: 8}
	for _, tt := range []struct {
		name  string
		f     *boxfit.Fit
		flap  undercut.Flap
		thick float64
	}{
		{"box, along", box, undercut.Flap{Swing: 5, At: [3]float64{10, 0, 30}, Out: [3]float64{1, 0, 0}}, 45},
		{"box, across", box, undercut.Flap{Swing: 5, At: [3]float64{10, 10, 30}, Out: [3]float64{0, -1, 0}}, 35},
		{"box, down", box, undercut.Flap{Swing: 5, At: [3]float64{10, 10, 30}, Out: [3]float64{0, 0, -1}}, 25},
		{"box, up to the fill", box, undercut.Flap{Swing: 5, At: [3]float64{10, 10, 30}, Out: [3]float64{0, 0, 1}}, 35},
		{"box, turned", turned, undercut.Flap{Swing: 5, At: [3]float64{10, 0, 30}, Out: [3]float64{1, 0, 0}}, 25},
		{"box, askew", box, undercut.Flap{Swing: 0, At: [3]float64{10, 0, 30}, Out: [3]float64{0.6, 0.8, 0}}, 37.5},
		{"tube", tube, undercut.Flap{Swing: 10, At: [3]float64{0, 20, 30}, Out: [3]float64{0, 1, 0}}, 20},
		{"tube, askew", tube, undercut.Flap{Swing: 0, At: [3]float64{30, 0, 30}, Out: [3]float64{0, 1, 0}}, 40},
		{"never thinner than the thinnest", box, undercut.Flap{Swing: 48, At: [3]float64{10, 0, 30}, Out: [3]float64{1, 0, 0}}, 8},
		{"no container", nil, undercut.Flap{}, 0},
	} {
		if got := flapWall(tt.f, &tt.flap); math.Abs(got-tt.thick) > 1e-9 {
			t.Errorf("%s: got %.3f want %.3f", tt.name, got, tt.thick)
		}
	}
}

// A ball in two halves parted below its equator: the flap that lets go of it
// bends to the ball's own radius, and the strain is that of a strip of its
// thickness bent so: t/(2R), 0.2 for 12 mm at 30 mm.
func TestFlapStrain(t *testing.T) {
	p := 30 - math.Sqrt(30*30-24*24) // 24 high, to an arc of 30
	s := rubber.Shape{Path: &p, Stretch: new(float64), Gap: 24, Flap: true, Wall: 12}
	if got := s.Strip(); math.Abs(*got.Value-0.2) > 1e-12 || got.Why.By != rubber.FlapBending {
		t.Errorf("strain %v, want 0.2", got)
	}
	s.There = 6 // where it bends it is thinner
	if got := s.Strip(); math.Abs(*got.Value-0.1) > 1e-12 {
		t.Errorf("strain %v, want 0.1", *got.Value)
	}
	if a, b := s.Held().Hands().In(20), (rubber.Shape{Path: &p, Gap: 24, Wall: 6, Slit: true}).Held().Hands().In(20); a != b || a <= 0 {
		t.Errorf("force %g, want %g", a, b)
	}
}

// A reel, cut open along its axis: nothing is left, and the verdict says where
// the knife goes.
func TestSeamInTheVerdict(t *testing.T) {
	if testing.Short() {
		t.Skip("plans whole bodies; TestTallyVerdicts plans two in the short run")
	}
	reel := shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: 30, Z: 0}, {R: 30, Z: 10}, {R: 10, Z: 10}, {R: 10, Z: 30}, {R: 30, Z: 30}, {R: 30, Z: 40}, {R: 0, Z: 40}}, 48)
	s := tallyOf(t, reel, Job{Up: up(0, 0, 1), Mold: "cut", Resolution: 2})
	v := s.Plan.Verdict
	if v.Answer != SlitIt || !strings.Contains(said(v.Because[0]), "cut it open along its") || !strings.Contains(said(v.Because[0]), "200 mm of cut") ||
		!strings.Contains(said(v.Because[0]), "lets go of undercut 1; nothing is left undercut") {
		t.Errorf("%+v", v)
	}
	if n := s.Plan.Rubber.Needed; n == nil || *n > 0.02 {
		t.Errorf("strain %v, want none", n)
	}
	// A blind hole in the side: leaves that part along it draw its tongue out.
	s = tallyOf(t, shape.CrossHoleCube(40, 10, 30), Job{Up: up(0, 0, 1), Mold: "cut", Resolution: 2})
	if v := s.Plan.Verdict; v.Answer != SlitIt || !strings.Contains(said(v.Because[0]), "square to +x") {
		t.Errorf("%+v", v)
	}
}
