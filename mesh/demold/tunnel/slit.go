package tunnel

import (
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
)

// Walled is the field with the webs filled in, walls two columns thick: rubber
// on either side of a web that is slit has to leave by its own mouth, so the web
// stands in the way like the pattern itself. Webs that lie flat are left out. It is
// for molds on a board.
func Walled(s *scene.Scene, list []Passage) *dexel.Field {
	f := s.Field
	off := make([]int32, 1, f.NX*f.NY+1)
	spans := make([]dexel.Span, 0, f.NumSpans()+f.NX)
	thick := 0.75 * f.Cell // to either side
	for j := range f.NY {
		for i := range f.NX {
			first := len(spans)
			spans = append(spans, f.Column(i, j)...)
			x, y := f.Center(i, j)
			for _, t := range list {
				if t.web != nil && math.Abs(t.web.n.Dot(s.Up)) <= 0.7 {
					spans = t.web.wall(spans, first, f, x, y, thick, s.ClayLine())
				}
			}
			off = append(off, int32(len(spans)))
		}
	}
	return dexel.New(f.Grid, off, spans)
}

// wall adds to the spans of a column, from first on, what of the web's wall
// crosses it.
func (c *crossSection) wall(spans []dexel.Span, first int, f *dexel.Field, x, y, thick, floor float64) []dexel.Span {
	// Heights at which the column is within thick of the plane: a slope.
	p := f.Point(x, y, 0)
	d, slope := p.Sub(c.o).Dot(c.n), f.U.Dot(c.n) // distance = d + z·slope
	zlo, zhi := math.Inf(-1), math.Inf(1)
	if math.Abs(slope) < 1e-9 {
		if math.Abs(d) > thick {
			return spans
		}
	} else {
		zlo, zhi = (-thick-d)/slope, (thick-d)/slope
		if zlo > zhi {
			zlo, zhi = zhi, zlo
		}
	}
	// Only gaps that lie in the web are filled.
	for k := first; k < len(spans); k++ {
		lo, hi := floor, spans[k].Bottom
		if k > first {
			lo = max(lo, spans[k-1].Top)
		}
		lo, hi = max(lo, zlo), min(hi, zhi)
		if hi <= lo {
			continue
		}
		q := p.Add(f.U.Mul((lo + hi) / 2)).Sub(c.o)
		if !c.holds(mesh.Vec2{X: q.Dot(c.e1), Y: q.Dot(c.e2)}, 1.5*f.Cell) {
			continue
		}
		spans = slices.Insert(spans, k, dexel.Span{Bottom: lo, Top: hi, BottomTri: spans[k].BottomTri, TopTri: spans[k].BottomTri})
		k++
		if spans[k].Bottom <= spans[k-1].Top {
			spans[k].Bottom = spans[k-1].Bottom
			spans = slices.Delete(spans, k-1, k)
			k--
		}
		if k > first && spans[k].Bottom <= spans[k-1].Top {
			spans[k].Bottom, spans[k].BottomTri = spans[k-1].Bottom, spans[k-1].BottomTri
			spans = slices.Delete(spans, k-1, k)
			k--
		}
	}
	return spans
}
