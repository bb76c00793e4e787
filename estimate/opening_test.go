package estimate_test

import (
	"context"
	"math"
	"testing"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
)

// A bowl scanned on its outside only: a stop until the user has chosen, with
// both masses; turned over, its open side is the bottom and no question.
func TestSheetOpenAtTheTop(t *testing.T) {
	if testing.Short() {
		t.Skip("plans whole bodies; TestTallyVerdicts plans two in the short run")
	}
	var prof []shape.RZ
	for k := 0; k <= 24; k++ {
		a := math.Pi / 2 * float64(k) / 24
		prof = append(prof, shape.RZ{R: 30 * math.Sin(a), Z: 30 - 30*math.Cos(a)})
	}
	closed := shape.Revolve(append(prof, shape.RZ{R: 0, Z: 30}), 48)
	sheet := shape.Without(closed, func(_ int, c mesh.Vec) bool { return c.Z > 29.999 })
	inside := shape.Volume(closed)
	tally := func(up mesh.Vec, opening string) *estimate.Plan {
		job := estimate.Job{Source: estimate.Source{File: "bowl.stl", Format: "STL", Units: "mm", UnitsFrom: "flag"}, Opening: opening, Mold: "block", Resolution: 1}
		job.Up.Dir = up
		s, err := estimate.Tally(context.Background(), sheet, job, estimate.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return s.Plan
	}
	up, down := mesh.V(0, 0, 1), mesh.V(0, 0, -1)
	asked := tally(up, "")
	if !asked.Warnings.Has(estimate.CodeOpenTop) {
		t.Error("an open top raises no stop")
	}
	if w, _ := asked.Warnings.Worst(); w != finding.Stop {
		t.Errorf("the worst finding is a %v, want a stop", w)
	}
	lid, vessel := tally(up, "closed"), tally(up, "open")
	for what, p := range map[string]*estimate.Plan{"closed": lid, "open": vessel, "turned over": tally(down, "")} {
		if p.Warnings.Has(estimate.CodeOpenTop) {
			t.Errorf("%s: the question is still asked", what)
		}
	}
	if got := *lid.Pattern.DisplacedVolume; math.Abs(got/inside-1) > 1e-6 {
		t.Errorf("closed: displaces %.6g mm³, want %.6g", got, inside)
	}
	// The vessel takes what the bowl holds more, less its own wall.
	more := vessel.Rubber.Volume - lid.Rubber.Volume
	if wall := *vessel.Pattern.DisplacedVolume; math.Abs(more/(inside-wall)-1) > 0.02 {
		t.Errorf("as a vessel it takes %.6g mm³ more rubber, want %.6g", more, inside-wall)
	}
	if vessel.Demold.Squeeze > 0.05 {
		t.Errorf("the core in an open bowl is squeezed by %g", vessel.Demold.Squeeze)
	}
}
