package tunnel_test

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid/solidtest"
)

// TestPlaces: on a scan with more openings than are measured, what is listed
// lies within the pattern, and no more than was counted.
func TestPlaces(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole scan; the full run has it")
	}
	m := solidtest.Read(t, real.File(t, "the places of a scan's tunnels", "lion_statue_holes.obj"))
	sc, err := scene.New(ctx, solidtest.Rough(t, m), mesh.V(0, 0, 1), scene.Options{})
	if err != nil {
		t.Fatal(err)
	}
	n, err := tunnel.Count(ctx, sc)
	if err != nil {
		t.Fatal(err)
	}
	list, err := tunnel.List(ctx, sc, n)
	if err != nil {
		t.Fatal(err)
	}
	if n < len(list) || len(list) == 0 {
		t.Errorf("counted %d, listed %d", n, len(list))
	}
	lo, hi := mesh.V(math.Inf(1), math.Inf(1), math.Inf(1)), mesh.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	for _, v := range m.Vertices() {
		lo, hi = lo.Min(v), hi.Max(v)
	}
	for _, g := range list {
		for _, p := range [2][3]float64{g.At, g.WebAt} {
			q := mesh.V(p[0], p[1], p[2])
			if d := q.Sub(q.Max(lo).Min(hi)).Len(); d > sc.Size/50 {
				t.Errorf("tunnel %d: %v lies %g outside the pattern", g.ID, p, d)
			}
		}
	}
}
