// Package dexel holds the column field: for a direction, a grid of columns,
// each with the sorted spans of solid on its axis. It is the one structure
// behind displacement, undercuts, reach and shadows.
//
// A field is made by scan-converting triangles, not by casting rays: vertices
// are snapped once to a fixed-point lattice in the plane across the direction,
// so that every column of a closed mesh sees as many entries as exits, whatever
// edge or vertex it passes through.
package dexel

import "moldtally/mesh"

// Grid places the columns. Heights are measured along U from the file's
// origin: height(p) = p·U. In the plane across U, x = p·E1 and y = p·E2, mm.
// Column (i, j) stands at its cell's centre, x = X0 + (i+½)·Cell,
// y = Y0 + (j+½)·Cell.
type Grid struct {
	U, E1, E2 mesh.Vec // right-handed orthonormal frame
	X0, Y0    float64  // lower corner of cell (0,0), mm
	Cell      float64  // mm
	NX, NY    int
}

// Center returns the position of column (i, j) in the grid's plane, mm.
func (g *Grid) Center(i, j int) (x, y float64) {
	return g.X0 + (float64(i)+0.5)*g.Cell, g.Y0 + (float64(j)+0.5)*g.Cell
}

// Point returns the point of the file's frame at plane position (x, y) and
// height z.
func (g *Grid) Point(x, y, z float64) mesh.Vec {
	return g.E1.Mul(x).Add(g.E2.Mul(y)).Add(g.U.Mul(z))
}

// Plane returns plane position and height of a point of the file's frame.
func (g *Grid) Plane(p mesh.Vec) (x, y, z float64) {
	return p.Dot(g.E1), p.Dot(g.E2), p.Dot(g.U)
}

// Span is a stretch of solid along a column: heights of its two ends, mm, and
// the triangles (indices into the surface that was cast) it enters and leaves
// through.
type Span struct {
	Bottom, Top       float64
	BottomTri, TopTri int32
}

// Field is a grid of columns with their solid spans, lowest first, disjoint,
// each with Bottom < Top. Columns lie in one flat slice, row by row
// (index j*NX + i). It is immutable and safe for concurrent use.
type Field struct {
	Grid
	off   []int32
	spans []Span
}

// Column returns the spans of column (i, j). The slice is borrowed: read it,
// do not keep it.
func (f *Field) Column(i, j int) []Span {
	k := j*f.NX + i
	return f.spans[f.off[k]:f.off[k+1]]
}

// NumSpans is the number of spans in all columns.
func (f *Field) NumSpans() int { return len(f.spans) }

// Offset returns the index, in the order of all spans, of the first span of
// column (i, j); callers use it to keep a value per span in a flat slice.
func (f *Field) Offset(i, j int) int { return int(f.off[j*f.NX+i]) }

// Offsets returns Offset of every column, and NumSpans after them. The slice is
// borrowed: read it only.
func (f *Field) Offsets() []int32 { return f.off }

// At returns the first span of a column that reaches height h or above, and
// whether h lies in it.
func At(col []Span, h float64) (k int, in bool) {
	for k < len(col) && col[k].Top < h {
		k++
	}
	return k, k < len(col) && col[k].Bottom <= h
}

// UpsideDown is the same field seen along −U.
func (f *Field) UpsideDown() *Field {
	g := f.Grid
	g.U, g.E2 = g.U.Neg(), g.E2.Neg()
	g.Y0 = -(f.Y0 + float64(f.NY)*f.Cell)
	off := make([]int32, 1, f.NX*f.NY+1)
	spans := make([]Span, 0, f.NumSpans())
	for j := f.NY - 1; j >= 0; j-- {
		for i := range f.NX {
			col := f.Column(i, j)
			for k := len(col) - 1; k >= 0; k-- {
				s := col[k]
				spans = append(spans, Span{Bottom: -s.Top, Top: -s.Bottom, BottomTri: s.TopTri, TopTri: s.BottomTri})
			}
			off = append(off, int32(len(spans)))
		}
	}
	return New(g, off, spans)
}

// New returns a field over spans that the caller has sorted; off has one entry
// more than there are columns. It takes the slices over.
func New(g Grid, off []int32, spans []Span) *Field { return &Field{g, off, spans} }

// Volume is the sum of the span lengths times the cell area, mm³.
func (f *Field) Volume() float64 {
	var v float64
	for j := 0; j < f.NY; j++ {
		var row float64
		for k := f.off[j*f.NX]; k < f.off[(j+1)*f.NX]; k++ {
			row += f.spans[k].Top - f.spans[k].Bottom
		}
		v += row
	}
	return v * f.Cell * f.Cell
}
