package solid

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// GridAlong returns a grid across the unit vector u that covers the solid with
// two empty cells on every side.
func (s *Solid) GridAlong(u mesh.Vec, cell float64) dexel.Grid {
	return dexel.GridAlong(s.surface, u, cell, 0, 2, s.skipFunc())
}

// skipFunc leaves out what is not live; nil when everything is.
func (s *Solid) skipFunc() func(t int) bool {
	if s.allLive {
		return nil
	}
	return func(t int) bool { return s.piece[t] < 0 }
}

// Field returns the spans of S in the columns of g. The inside rule: a point
// is in S where the winding number of any piece, each turned outward, is not
// zero (for a piece that cannot be wound, where its crossings are odd), or
// where it lies in a pocket that the pieces enclose together.
func (s *Solid) Field(ctx context.Context, g dexel.Grid) (*dexel.Field, error) {
	var in inPocket
	if l := s.pockets; l != nil {
		in = func(i, j int, z0, z1 float64) bool {
			x, y := g.Center(i, j)
			return l.covers(&g, x, y, z0, z1)
		}
	}
	c, err := dexel.Cast(ctx, s.surface, g, dexel.Options{Skip: s.skipFunc()})
	if err != nil {
		return nil, err
	}
	type rowOut struct {
		spans []dexel.Span
		count []int32
	}
	rows := make([]rowOut, g.NY)
	err = s.eachRow(ctx, c, func(j int, row *rowSpans) {
		// A span has two crossings.
		r := rowOut{make([]dexel.Span, 0, c.RowLen(j)/2), make([]int32, g.NX)}
		for i := range g.NX {
			before := len(r.spans)
			r.spans, _ = row.spans(s, c, i, j, in, r.spans)
			r.count[i] = int32(len(r.spans) - before)
		}
		rows[j] = r
	})
	if err != nil {
		return nil, err
	}
	total := 0
	for j := range rows {
		total += len(rows[j].spans)
	}
	off := make([]int32, g.NX*g.NY+1)
	spans := make([]dexel.Span, 0, total)
	for j := range rows {
		for i, n := range rows[j].count {
			off[j*g.NX+i+1] = off[j*g.NX+i] + n
		}
		spans = append(spans, rows[j].spans...)
		rows[j].spans = nil
	}
	return dexel.New(g, off, spans), nil
}

// disputed is what S has in the columns of g less the sum of the signed volumes
// of the wound pieces (overlaps make it negative, pockets positive), mm³.
func (s *Solid) disputed(ctx context.Context, g dexel.Grid, in inPocket) (float64, error) {
	c, err := dexel.Cast(ctx, s.surface, g, dexel.Options{Skip: s.skipFunc()})
	if err != nil {
		return 0, err
	}
	rows := make([]float64, g.NY)
	err = s.eachRow(ctx, c, func(j int, row *rowSpans) {
		for i := range g.NX {
			var d float64
			row.scratch, d = row.spans(s, c, i, j, in, row.scratch[:0])
			rows[j] += d
		}
	})
	var sum float64
	for _, d := range rows {
		sum += d
	}
	return sum * g.Cell * g.Cell, err
}

// inPocket says of a stretch of column (i, j) that no piece fills whether it
// lies in a pocket; it is called from several goroutines.
type inPocket func(i, j int, z0, z1 float64) bool

// rowSpans is what one core needs to turn rows of crossings into spans.
type rowSpans struct {
	winding []int32 // per piece; zero between columns
	scratch []dexel.Span
}

// eachRow calls do for the rows of a cast, on all cores.
func (s *Solid) eachRow(ctx context.Context, c *dexel.Crossings, do func(j int, row *rowSpans)) error {
	var team par.Team[rowSpans]
	err := team.Each(ctx, c.NY, func(row *rowSpans, j int) {
		if row.winding == nil {
			row.winding = make([]int32, s.pieces)
		}
		do(j, row)
	})
	if err != nil {
		return fmt.Errorf("solid: %w", err)
	}
	return nil
}

// spans is Solid.spans for column (i, j).
func (r *rowSpans) spans(s *Solid, c *dexel.Crossings, i, j int, in inPocket, out []dexel.Span) ([]dexel.Span, float64) {
	var here func(z0, z1 float64) bool
	if in != nil {
		here = func(z0, z1 float64) bool { return in(i, j, z0, z1) }
	}
	return s.spans(c.Column(i, j), r.winding, here, out)
}

// spans turns a column's crossings into spans of S, appended to out, and
// returns the length that S has over the sum of the winding numbers. Between
// two crossings the axis is in S where some piece winds round it, or where in
// says that the stretch lies in a pocket (in may be nil). w is scratch, one
// counter per piece, zero on entry and on return.
func (s *Solid) spans(col []dexel.Crossing, w []int32, in func(z0, z1 float64) bool, out []dexel.Span) ([]dexel.Span, float64) {
	first := len(out)
	inside := 0 // pieces that the axis is inside of
	sum := int32(0)
	open := false
	var dispute float64
	for k := range col {
		x := &col[k]
		p := s.piece[x.Tri]
		switch {
		case s.walls && int(p) == s.pieces-1:
			// A wall only parts what lies on its two sides.
		case s.odd != nil && s.odd[p]:
			w[p] ^= 1
			inside += 2*int(w[p]) - 1
		default:
			sign := x.Sign
			if s.turnTri != nil && s.turnTri[x.Tri] {
				sign = -sign
			}
			if s.flip[p] {
				sign = -sign
			}
			if w[p] == 0 {
				inside++
			}
			w[p] += sign
			sum += sign
			if w[p] == 0 {
				inside--
			}
		}
		if k+1 == len(col) {
			if open {
				out[len(out)-1].Top, out[len(out)-1].TopTri = x.Z, x.Tri
			}
			break
		}
		d := col[k+1].Z - x.Z
		if !(d > 0) {
			continue
		}
		solid := inside > 0
		if !solid && in != nil {
			solid = in(x.Z, col[k+1].Z)
		}
		if solid {
			dispute += d
		}
		dispute -= float64(sum) * d
		switch {
		case solid && !open:
			out = append(out, dexel.Span{Bottom: x.Z, BottomTri: x.Tri})
			open = true
		case !solid && open:
			out[len(out)-1].Top, out[len(out)-1].TopTri = x.Z, x.Tri
			open = false
		}
	}
	for k := range col {
		w[s.piece[col[k].Tri]] = 0
	}
	// A stretch that ends where it began has no length.
	n := first
	for k := first; k < len(out); k++ {
		if out[k].Top > out[k].Bottom {
			out[n] = out[k]
			n++
		}
	}
	return out[:n], dispute
}

// turned frames: rotations by angles that no edge of a drawn part shares, so
// that no face of it lines up with a row of columns.
func turnedFrame(k int) (a, b, c mesh.Vec) {
	ang := [...][3]float64{{0.3927, 0.6435, 0.2187}, {1.1071, 0.4205, 0.8961}, {0.7297, 1.2490, 0.5317}, {0.1651, 0.9273, 1.3734}}[k%4]
	rot := func(v mesh.Vec) mesh.Vec {
		s, c := math.Sincos(ang[0])
		v = mesh.V(v.X*c-v.Y*s, v.X*s+v.Y*c, v.Z)
		s, c = math.Sincos(ang[1])
		v = mesh.V(v.X, v.Y*c-v.Z*s, v.Y*s+v.Z*c)
		s, c = math.Sincos(ang[2])
		return mesh.V(v.X*c-v.Y*s, v.X*s+v.Y*c, v.Z)
	}
	return rot(mesh.V(1, 0, 0)).Unit(), rot(mesh.V(0, 1, 0)).Unit(), rot(mesh.V(0, 0, 1)).Unit()
}
