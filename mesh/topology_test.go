package mesh_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// TestEdges compares the adjacency with a walk over all sides of all triangles.
func TestEdges(t *testing.T) {
	const seed = 5
	r := rand.New(rand.NewPCG(seed, 0))
	old := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(old)
	rounds := 300
	if testing.Short() {
		rounds = 60
	}
	for i := range rounds {
		m := soup(r, 3+r.IntN(12), 1+r.IntN(40))
		if i%50 == 0 {
			m = shape.Torus(40, 10, 200, 100) // more than one worker's share
		}
		runtime.GOMAXPROCS(1 + i%5)
		skip := make([]bool, m.NumTriangles())
		for k := range skip {
			skip[k] = r.IntN(5) == 0
		}
		a, err := mesh.Edges(context.Background(), m, skip)
		if err != nil {
			t.Fatal(err)
		}
		want := map[[2]int32][]mesh.Use{}
		around := make([][]int32, m.NumVertices())
		for tri, c := range m.Triangles() {
			if m.Collapsed(tri) || skip[tri] {
				continue
			}
			for k := range 3 {
				x, y := c[k], c[(k+1)%3]
				e := [2]int32{min(x, y), max(x, y)}
				want[e] = append(want[e], mesh.Use{Tri: int32(tri), Side: int8(k), Forward: x < y})
				around[x] = append(around[x], int32(tri))
			}
		}
		var buf []mesh.Use
		for e, uses := range want {
			for _, p := range [2][2]int32{e, {e[1], e[0]}} {
				if buf = a.Uses(p[0], p[1], buf); !slices.Equal(buf, uses) {
					t.Fatalf("seed %d, mesh %d: Uses%v: got %v, want %v", seed, i, p, buf, uses)
				}
			}
		}
		for v := range around {
			if !slices.Equal(a.Around(int32(v)), around[v]) {
				t.Fatalf("seed %d, mesh %d: around %d: got %v, want %v", seed, i, v, a.Around(int32(v)), around[v])
			}
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := mesh.Edges(ctx, shape.Cube(1), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
}

// TestCrumbs: loose flecks are crumbs; what touches, or is not small, is not.
func TestCrumbs(t *testing.T) {
	body := shape.Cube(200) // crumbs are under 2 mm
	at := func(m *mesh.Mesh, x, y, z float64) *mesh.Mesh { return shape.Translate(m, mesh.V(x, y, z)) }
	fleck := shape.Icosahedron(0.8) // 1.5 mm across
	tiny := shape.Cube(1)
	open := shape.WithoutNumbers(tiny, 0)
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		want int
	}{
		{"alone", body, 0},
		{"a fleck", shape.Merge(body, at(fleck, 150, 0, 0)), 1},
		{"three flecks, one open", shape.Merge(body, at(fleck, 150, 0, 0), at(open, 0, 150, 0), at(tiny, 0, 0, 250)), 3},
		{"just too large", shape.Merge(body, at(shape.Cube(2.6), 150, 0, 0)), 0},
		{"a fleck that is the whole pattern", fleck, 0},
		{"bodies far apart", shape.Merge(tiny, at(tiny, 900, 0, 0), at(tiny, 0, 1200, 0), at(shape.Cube(0.009), 5, 0, 0)), 1},
		{"half sunk in", shape.Merge(body, at(tiny, 100, 0, 100)), 0},
		{"standing on it", shape.Merge(body, at(tiny, 10, 20, 200)), 0},
		{"standing on it but for rounding", shape.Merge(body, at(tiny, 10, 20, 200.0015)), 0},
		{"just above it", shape.Merge(body, at(tiny, 10, 20, 200.003)), 1},
		{"corner to corner", shape.Merge(body, at(tiny, 100.5, 100.5, 200)), 0},
		{"corner near corner", shape.Merge(body, at(tiny, 100.502, 100.502, 200.002)), 1},
		{"over the rim, turned", shape.Merge(body, at(shape.Rotate(tiny, mesh.V(0, 0, 1), 0.7), 100.3, 0, 200.001)), 0},
		{"over the rim, turned and lifted", shape.Merge(body, at(shape.Rotate(tiny, mesh.V(0, 0, 1), 0.7), 100.3, 0, 200.003)), 1},
		{"two flecks that touch each other", shape.Merge(body, at(tiny, 150, 0, 0), at(tiny, 151, 0.3, 0.2)), 0},
		{"two flecks joined by a face", shape.Merge(body, at(shape.Box(0.5, 1, 1), 150, 0, 0), at(shape.Box(0.5, 1, 1), 150.5, 0, 0)), 1},
		{"inside", shape.Merge(body, at(fleck, 0, 0, 100)), 1},
		{"over the slope of a large triangle, inside its box", shape.Merge(shape.Cone(100, 200, 4), at(tiny, 60, 60, 100)), 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := inspect(t, tt.m)
			marked := 0
			for _, p := range s.Pieces {
				if p.Crumb {
					marked++
				}
			}
			if s.Crumbs != tt.want || marked != tt.want {
				t.Errorf("got %d crumbs, %d marked, want %d", s.Crumbs, marked, tt.want)
			}
		})
	}
}

func BenchmarkEdges(b *testing.B) {
	m := shape.Torus(40, 10, 1024, 512)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := mesh.Edges(context.Background(), m, nil); err != nil {
			b.Fatal(err)
		}
	}
}
