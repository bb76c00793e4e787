package estimate

import (
	"bytes"
	"context"
	"encoding/json"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// What is asked of a study gives the same plan as the same job alone, whatever was
// asked before it, and the solid is made once.
func TestStudyIsTally(t *testing.T) {
	ctx := context.Background()
	m := shape.Frustum(20, 14, 25, 8)
	s := NewStudy(m)
	wall, height, source := 18.0, 40.0, Source{File: "cap.stl", Units: "mm", UnitsFrom: UnitsSaid, Resized: 1}
	jobs := []Job{{}, {Wall: &wall, Mold: demold.Brushed, Cast: "resin"}, {Height: &height}, {}}
	var solids []*solid.Solid
	for n, job := range jobs {
		job.Source, job.Up, job.Resolution = source, Up{Dir: mesh.V(0, 0, 1)}, 4 // no search for the side up
		got, err := s.Tally(ctx, job, Options{})
		if err != nil {
			t.Fatal(err)
		}
		want, err := Tally(ctx, m, job, Options{})
		if err != nil {
			t.Fatal(err)
		}
		a, errA := json.Marshal(got.Plan)
		b, errB := json.Marshal(want.Plan)
		if errA != nil || errB != nil || !bytes.Equal(a, b) {
			t.Errorf("job %d: of a study\n%.900s\nalone\n%.900s (%v, %v)", n, a, b, errA, errB)
		}
		solids = append(solids, got.Solid)
	}
	for _, n := range []int{1, 3} {
		if solids[n] != solids[0] {
			t.Errorf("job %d has a solid of its own", n)
		}
	}
	if solids[2] == solids[0] {
		t.Error("another size has the same solid")
	}
}

// What was asked for last is kept, and the rest goes.
func TestRecent(t *testing.T) {
	r := recent[string, int]{most: 2}
	r.put("a", 1)
	r.put("b", 2)
	r.get("a")
	r.put("c", 3)
	if _, ok := r.get("b"); ok {
		t.Error("b is kept, which was asked for longest ago")
	}
	if v, ok := r.get("a"); !ok || v != 1 {
		t.Errorf("a: %d, %v", v, ok)
	}
}
