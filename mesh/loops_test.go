package mesh_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// checkLoops proves that loops are simple, follow boundary edges, and use each
// of them once.
func checkLoops(m *mesh.Mesh, skip []bool, loops []mesh.Loop) error {
	type edge [2]int32
	count := map[edge]int{}
	for t, c := range m.Triangles() {
		if m.Collapsed(t) || skip != nil && skip[t] {
			continue
		}
		for k := range 3 {
			a, b := c[k], c[(k+1)%3]
			count[edge{min(a, b), max(a, b)}]++
		}
	}
	boundary, odd := 0, 0
	for _, n := range count {
		if n == 1 {
			boundary++
		} else if n%2 == 1 {
			odd++
		}
	}
	for i, l := range loops {
		n := len(l.Verts)
		if !l.Closed {
			n--
			if odd == 0 {
				return fmt.Errorf("loop %d is open, though no edge has three triangles", i)
			}
		}
		if len(l.Tris) != n {
			return fmt.Errorf("loop %d: %d triangles for %d edges", i, len(l.Tris), n)
		}
		seen := map[int32]bool{}
		for _, v := range l.Verts {
			if seen[v] {
				return fmt.Errorf("loop %d passes vertex %d twice", i, v)
			}
			seen[v] = true
		}
		length, turned := 0.0, 0
		for k := range n {
			a, b := l.Verts[k], l.Verts[(k+1)%len(l.Verts)]
			e := edge{min(a, b), max(a, b)}
			if count[e] != 1 {
				return fmt.Errorf("loop %d: edge %v is no boundary or was used before", i, e)
			}
			count[e] = 0
			boundary--
			length += m.Vertices()[a].Sub(m.Vertices()[b]).Len()
			c := m.Triangles()[l.Tris[k]]
			with, against := false, false
			for j := range 3 {
				with = with || c[j] == a && c[(j+1)%3] == b
				against = against || c[j] == b && c[(j+1)%3] == a
			}
			if !with && !against {
				return fmt.Errorf("loop %d: triangle %d is not on edge %v", i, l.Tris[k], e)
			}
			if against {
				turned++
			}
		}
		if turned != l.Turned {
			return fmt.Errorf("loop %d: turned %d, want %d", i, l.Turned, turned)
		}
		if math.Abs(length-l.Length) > 1e-12*length {
			return fmt.Errorf("loop %d: length %g, want %g", i, l.Length, length)
		}
		if i > 0 && loops[i-1].Length < l.Length {
			return fmt.Errorf("loop %d is longer than the one before", i)
		}
	}
	if boundary != 0 {
		return fmt.Errorf("%d boundary edges are in no loop", boundary)
	}
	return nil
}

// sheet is a flat n×n grid of squares in the plane z = 0, counterclockwise seen
// from above, but for the squares in holes.
func sheet(n int, holes ...[2]int) *mesh.Mesh {
	var vs []mesh.Vec
	for i := range n + 1 {
		for j := range n + 1 {
			vs = append(vs, mesh.V(float64(i), float64(j), 0))
		}
	}
	var ts [][3]int32
	for i := range n {
		for j := range n {
			if slices.Contains(holes, [2]int{i, j}) {
				continue
			}
			a := int32(i*(n+1) + j)
			b := a + int32(n) + 1
			ts = append(ts, [3]int32{a, b, b + 1}, [3]int32{a, b + 1, a + 1})
		}
	}
	return mesh.New(vs, ts)
}

func TestBoundaryLoops(t *testing.T) {
	cube := shape.Cube(10)
	vase := shape.OpenVase(20, 40, 15, 100, 32)
	spike := shape.WithTriangles(sheet(2), [3]int32{0, 4, 2}) // on a diagonal edge: three triangles there
	tests := []struct {
		name  string
		m     *mesh.Mesh
		sizes []int // edges of the loops, longest loop first
	}{
		{"closed", cube, nil},
		{"one triangle", mesh.New([]mesh.Vec{{}, {X: 3}, {Y: 4}}, [][3]int32{{0, 1, 2}}), []int{3}},
		{"cube less a triangle", shape.WithoutNumbers(cube, 5), []int{3}},
		{"cube less a face", shape.WithoutNumbers(cube, 0, 1), []int{4}},
		{"vase without a bottom or lid", vase, []int{32}},
		{"sheet", sheet(6), []int{24}},
		{"sheet with a hole", sheet(6, [2]int{2, 2}), []int{24, 4}},
		{"two holes corner to corner", sheet(6, [2]int{2, 2}, [2]int{3, 3}), []int{24, 4, 4}},
		{"the other diagonal", sheet(6, [2]int{2, 3}, [2]int{3, 2}), []int{24, 4, 4}},
		{"four holes round a square", sheet(7, [2]int{2, 3}, [2]int{3, 2}, [2]int{3, 4}, [2]int{4, 3}), []int{28, 4, 4, 4, 4}},
		{"chequered", sheet(6, [2]int{1, 1}, [2]int{2, 2}, [2]int{3, 3}, [2]int{1, 3}, [2]int{3, 1}), []int{24, 4, 4, 4, 4, 4}},
		{"holes that touch at two corners", // a ring of eight holes' worth: two L-shapes corner to corner twice
			sheet(6, [2]int{1, 2}, [2]int{1, 3}, [2]int{2, 3}, [2]int{2, 1}, [2]int{3, 1}, [2]int{3, 2}), []int{24, 8, 8}},
		{"two sheets tip to tip", mesh.New([]mesh.Vec{{}, {X: 1}, {X: 1, Y: 1}, {X: -1}, {X: -1, Y: -1}}, [][3]int32{{0, 1, 2}, {0, 3, 4}}), []int{3, 3}},
		{"half of it turned over", shape.FlipSome(sheet(4), func(t int) bool { return t < 16 }), []int{16}},
		{"a fin on a sheet", spike, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			loops := mesh.BoundaryLoops(tt.m, nil)
			if err := checkLoops(tt.m, nil, loops); err != nil {
				t.Fatal(err)
			}
			var sizes []int
			for _, l := range loops {
				sizes = append(sizes, len(l.Tris))
			}
			if tt.sizes != nil && !slices.Equal(sizes, tt.sizes) || len(sizes) > 0 && tt.name == "closed" {
				t.Errorf("got loops of %v edges, want %v", sizes, tt.sizes)
			}
		})
	}
}

// TestBoundaryLoopsWinding: the outer rim of a sheet seen from above runs
// counterclockwise, holes clockwise.
func TestBoundaryLoopsWinding(t *testing.T) {
	m := sheet(6, [2]int{1, 1}, [2]int{2, 2}, [2]int{4, 3})
	for i, l := range mesh.BoundaryLoops(m, nil) {
		area := 0.0
		for k := range l.Verts {
			p, q := m.Vertices()[l.Verts[k]], m.Vertices()[l.Verts[(k+1)%len(l.Verts)]]
			area += (p.X*q.Y - p.Y*q.X) / 2
		}
		want := -1.0
		if i == 0 {
			want = 36
		}
		if area != want || l.Turned != 0 || !l.Closed {
			t.Errorf("loop %d encloses %g, want %g (turned %d, closed %t)", i, area, want, l.Turned, l.Closed)
		}
	}
}

func TestBoundaryLoopsRandom(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 0))
	rounds := 2000
	if testing.Short() {
		rounds = 200
	}
	for i := range rounds {
		m := soup(r, 3+r.IntN(12), 1+r.IntN(30))
		if i%2 == 0 { // a sound body with triangles missing
			m = shape.Icosphere(10, 2)
		}
		skip := make([]bool, m.NumTriangles())
		for t := range skip {
			skip[t] = r.IntN(4) == 0
		}
		if err := checkLoops(m, skip, mesh.BoundaryLoops(m, skip)); err != nil {
			t.Fatalf("seed %d, mesh %d: %v\n%v", seed, i, err, m.Triangles())
		}
	}
}
