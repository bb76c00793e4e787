package demold

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// bodyCuts slices a closed mesh that does not cross itself: its field is the
// even-odd one, cell is 1/cells of the largest size across u.
func bodyCuts(tb testing.TB, m *mesh.Mesh, u mesh.Vec, cells int, clay float64) *cutSet {
	tb.Helper()
	f, base, top := bodyField(tb, m, u, cells)
	c := &cutSet{sl: slicer{m: m, live: func(t int) bool { return !m.Collapsed(t) }, f: f}}
	if err := c.fill(context.Background(), base+clay, top); err != nil {
		tb.Fatal(err)
	}
	return c
}

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
