package scene

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// Half is the rubber on one side of a parting, or that of a whole mold, in
// columns along the way in which it lifts off.
type Half struct {
	Up    mesh.Vec
	Field *dexel.Field // columns along Up
	Space *Space       // in that field
	Floor float64      // height along Up at which the rubber begins: clay line or parting, mm
}

// Halves is the rubber of a mold whose halves part at a height along c.Up, mm:
// the upper half and the lower one. On a board it is the whole mold's.
func (c *Scene) Halves(parting float64) []Half {
	if c.OnBoard() {
		return []Half{{c.Up, c.Field, c.Space(), c.ClayLine()}}
	}
	lower := c.lower()
	lower.Floor = -parting
	return []Half{{c.Up, c.Field, c.Space(), parting}, lower}
}

// lowerHalf looks at the columns from below.
func (c *Scene) lowerHalf() Half {
	f, none := FromBelow(c.Field), math.Inf(-1)
	return Half{Up: c.Up.Neg(), Field: f, Space: NewSpace(f, none, none, c.Eps, nil)}
}

// FromBelow is a field as seen along −U in the same columns, so that of two
// halves the same column has the same number.
func FromBelow(f *dexel.Field) *dexel.Field {
	g := f.Grid
	g.U = g.U.Neg() // left-handed now; only places are asked of it
	off := make([]int32, f.NX*f.NY+1)
	spans := make([]dexel.Span, f.NumSpans())
	for j := range f.NY {
		for i := range f.NX {
			o := f.Offset(i, j)
			col := f.Column(i, j)
			off[j*f.NX+i+1] = int32(o + len(col))
			for k, s := range col {
				spans[o+len(col)-1-k] = dexel.Span{Bottom: -s.Top, Top: -s.Bottom, BottomTri: s.TopTri, TopTri: s.BottomTri}
			}
		}
	}
	return dexel.New(g, off, spans)
}

// OverBoard is another scene of the same solid, whose pull runs along c's board,
// with the board in it: nothing below c's clay line is rubber, nor are pockets.
// Without a board it is that scene itself.
func (c *Scene) OverBoard(x *Scene) *Scene {
	if !c.OnBoard() {
		return x
	}
	f := x.Field
	off := make([]int32, 1, f.NX*f.NY+1)
	var spans []dexel.Span
	for j := range f.NY {
		for i := range f.NX {
			px, py := f.Center(i, j)
			if f.Point(px, py, x.Base).Dot(c.Up) < c.ClayLine() {
				spans = append(spans, dexel.Span{Bottom: x.Base, Top: x.Top})
			} else {
				for k, s := range f.Column(i, j) {
					if n := len(spans) - 1; k > 0 && !c.rubberAt(f.Point(px, py, (spans[n].Top+s.Bottom)/2)) {
						spans[n].Top, spans[n].TopTri = s.Top, s.TopTri
						continue
					}
					spans = append(spans, s)
				}
			}
			off = append(off, int32(len(spans)))
		}
	}
	return x.In(dexel.New(f.Grid, off, spans))
}

// rubberAt reports whether there may be rubber at a place: it is not in a pocket
// or in clay.
func (c *Scene) rubberAt(p mesh.Vec) bool {
	f, sp := c.Field, c.Space()
	x, y, z := f.Plane(p)
	i, j := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
	if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
		return true
	}
	for k, s := range f.Column(i, j) {
		if z < s.Bottom {
			fill := sp.Fill[f.Offset(i, j)+k]
			return fill == Rubber || fill == Nothing
		}
	}
	return true
}
