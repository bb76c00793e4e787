package strip

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/shape"
)

// bodyField is the even-odd field of a closed mesh that does not cross itself;
// cell is 1/cells of the largest size across u.
func bodyField(tb testing.TB, m *mesh.Mesh, u mesh.Vec, cells int) (f *dexel.Field, base, top float64) {
	tb.Helper()
	size := m.Size()
	g := dexel.GridAlong(m, u, max(size.X, size.Y, size.Z)/float64(cells), 0, 2, nil)
	cr, err := dexel.Cast(context.Background(), m, g, dexel.Options{})
	if err != nil {
		tb.Fatal(err)
	}
	off := make([]int32, 1, g.NX*g.NY+1)
	var spans []dexel.Span
	for j := range g.NY {
		for i := range g.NX {
			col := cr.Column(i, j)
			if len(col)%2 != 0 {
				tb.Fatalf("column %d,%d has %d crossings", i, j, len(col))
			}
			for k := 0; k < len(col); k += 2 {
				if col[k].Z < col[k+1].Z {
					spans = append(spans, dexel.Span{Bottom: col[k].Z, Top: col[k+1].Z, BottomTri: col[k].Tri, TopTri: col[k+1].Tri})
				}
			}
			off = append(off, int32(len(spans)))
		}
	}
	base, top = math.Inf(1), math.Inf(-1)
	for _, v := range m.Vertices() {
		base, top = min(base, v.Dot(u)), max(top, v.Dot(u))
	}
	return dexel.New(g, off, spans), base, top
}

// TestForestAgainstSlowTwin floods the columns above (or below) a height the
// plain way and compares what hangs together.
func TestForestAgainstSlowTwin(t *testing.T) {
	m := shape.Merge(shape.Mug(40, 90, 4, 30, 32), shape.Translate(shape.Torus(30, 8, 32, 16), mesh.V(150, 0, 8)),
		shape.Translate(shape.Table(60, 40, 8, 10), mesh.V(0, 150, 0)))
	f, base, top := bodyField(t, m, mesh.V(0, 0, 1), 60)
	spans, gaps := spanForest(f, 1e-6), gapForest(f, base)
	for n := range 23 {
		h := base + (top-base)*(float64(n)+0.37)/23
		compare := func(name string, forest *forest, node func(i, j, k int) int32, pieces func(i, j int) [][2]float64) {
			// Plain flood over pieces cut off at h.
			type cell struct{ i, j, k int }
			seen := map[cell]int{}
			count := 0
			for j := range f.NY {
				for i := range f.NX {
					for k, p := range pieces(i, j) {
						if p[0] >= p[1] || seen[cell{i, j, k}] != 0 {
							continue
						}
						count++
						stack := []cell{{i, j, k}}
						seen[stack[0]] = count
						for len(stack) > 0 {
							c := stack[len(stack)-1]
							stack = stack[:len(stack)-1]
							own := pieces(c.i, c.j)[c.k]
							for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
								x, y := c.i+d[0], c.j+d[1]
								if x < 0 || y < 0 || x >= f.NX || y >= f.NY {
									continue
								}
								for q, o := range pieces(x, y) {
									to := cell{x, y, q}
									if o[0] < o[1] && seen[to] == 0 && min(own[1], o[1])-max(own[0], o[0]) > 1e-9 {
										seen[to] = count
										stack = append(stack, to)
									}
								}
							}
						}
					}
				}
			}
			// One root per flood and one flood per root.
			rootOf, floodOf := map[int]int32{}, map[int32]int{}
			for j := range f.NY {
				for i := range f.NX {
					for k := range pieces(i, j) {
						id := seen[cell{i, j, k}]
						if id == 0 {
							continue
						}
						r := forest.root(node(i, j, k), forest.key(h))
						if old, ok := rootOf[id]; ok && old != r {
							t.Fatalf("%s at %g: column %d,%d piece %d has root %d, its neighbours %d", name, h, i, j, k, r, old)
						}
						if old, ok := floodOf[r]; ok && old != id {
							t.Fatalf("%s at %g: root %d stands for two floods", name, h, r)
						}
						rootOf[id], floodOf[r] = r, id
					}
				}
			}
			if len(rootOf) == 0 {
				t.Errorf("%s at %g: nothing to compare", name, h)
			}
		}
		compare("spans", spans, func(i, j, k int) int32 { return int32(f.Offset(i, j) + k) }, func(i, j int) [][2]float64 {
			var out [][2]float64
			for _, s := range f.Column(i, j) {
				out = append(out, [2]float64{max(s.Bottom, h), s.Top})
			}
			return out
		})
		compare("gaps", gaps, func(i, j, k int) int32 { return int32(f.Offset(i, j) + j*f.NX + i + k) }, func(i, j int) [][2]float64 {
			col := f.Column(i, j)
			var out [][2]float64
			for k := 0; k <= len(col); k++ {
				lo, hi := base, h
				if k > 0 {
					lo = max(lo, col[k-1].Top)
				}
				if k < len(col) {
					hi = min(hi, col[k].Bottom)
					if col[k].Bottom-lo <= slitCells*f.Cell {
						hi = lo // too low a gap for the plain flood
					}
				}
				out = append(out, [2]float64{lo, hi})
			}
			return out
		})
	}
}
