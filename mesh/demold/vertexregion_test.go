package demold

import (
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// TestVertexRegion: two mushrooms apart, one with a cap 20 mm over its stem,
// one with a cap 8 mm over: each stem is of its own region, the deeper one
// first, and what lets go is of none.
func TestVertexRegion(t *testing.T) {
	const n = 96
	m := shape.Merge(shape.Mushroom(18, 10, 10, 40, n), shape.Translate(shape.Mushroom(30, 10, 10, 40, n), mesh.V(80, 0, 0)))
	r := analyze(t, m, up, Options{Clay: ptr(0)})
	if len(r.Regions) != 2 {
		t.Fatalf("got %d regions, want 2", len(r.Regions))
	}
	if len(r.VertexRegion) != len(r.VertexPath) {
		t.Fatalf("got %d regions of vertices for %d paths", len(r.VertexRegion), len(r.VertexPath))
	}
	var most [3]float64
	for v, p := range m.Vertices() {
		id := r.VertexRegion[v]
		if (id == 0) != (r.VertexPath[v] == 0) {
			t.Fatalf("vertex %v: region %d with path %g", p, id, r.VertexPath[v])
		}
		if id == 0 {
			continue
		}
		if want := map[bool]int32{true: 1, false: 2}[p.X > 30]; id != want {
			t.Fatalf("vertex %v: got region %d, want %d", p, id, want)
		}
		most[id] = max(most[id], float64(r.VertexPath[v]))
	}
	for _, g := range r.Regions {
		if math.Abs(most[g.ID]-*g.Path) > r.Uncertainty {
			t.Errorf("region %d: the deepest vertex has %g, the region %g", g.ID, most[g.ID], *g.Path)
		}
	}
	// Under the noise all is one region, the minor one.
	r = analyze(t, shape.Mushroom(10.25, 10, 10, 40, n), up, Options{Clay: ptr(0), Ignore: ptr(0.1), Resolution: 0.4})
	if len(r.Regions) != 1 || r.Regions[0].Kind != "minor" {
		t.Fatalf("got %+v, want one minor region", r.Regions)
	}
	if !slices.Contains(r.VertexRegion, 1) {
		t.Error("no vertex is of the minor region")
	}
}
