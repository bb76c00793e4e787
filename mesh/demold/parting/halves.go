package parting

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// Plumb is the draft angle within which a wall counts as plumb, radians: it may belong
// to either half. One degree is the least draft that mold makers call draft.
// Common practice, no source.
const Plumb = math.Pi / 180

// Halves says what the two halves of a mold that parts have to do with the
// pattern. Upper and Lower are the surface that the one or the other half alone
// lets go of by a straight pull: it looks that way, and nothing of the pattern
// is in the way. Either is plumb wall with nothing above or below it, so the
// parting may run anywhere across; Trapped is surface that neither half lets go
// of wherever they part.
//
// The undercuts are of the flat parting: surface above it that the upper half
// does not let go of by a straight pull, and the same below. The volumes are
// the pattern's above and below the flat parting.
type Halves struct {
	Upper         float64 `json:"upper_mm2"`
	Lower         float64 `json:"lower_mm2"`
	Either        float64 `json:"either_mm2"`
	Trapped       float64 `json:"trapped_mm2"`
	UpperUndercut float64 `json:"upper_undercut_mm2"`
	LowerUndercut float64 `json:"lower_undercut_mm2"`
	UpperVolume   float64 `json:"upper_volume_mm3"`
	LowerVolume   float64 `json:"lower_volume_mm3"`
}

// Half is the half of a mold that a place on the pattern's surface belongs to.
type Half int8

// The halves. NoHalf is surface inside the pattern, or of a mold that does not
// part.
const (
	NoHalf Half = iota
	UpperHalf
	LowerHalf
	EitherHalf
	TrappedHalf
)

// InHalves finds the halves of a mold that parts at a height, along the scene's
// pull, and the half that each vertex of the solid's surface belongs to.
func InHalves(ctx context.Context, c *scene.Scene, height float64) (*Halves, []Half, error) {
	a := flat{c, height}
	m := a.Solid.Surface()
	const block = 1 << 13
	parts := make([]Halves, (m.NumTriangles()+block-1)/block)
	err := par.Blocks(ctx, m.NumTriangles(), block, func(from, to int) {
		for t := from; t < to; t++ {
			if a.Solid.Live(t) {
				a.halve(t, &parts[from/block])
			}
		}
	})
	if err != nil {
		return nil, nil, err
	}
	h := &Halves{}
	for _, p := range parts {
		h.Upper += p.Upper
		h.Lower += p.Lower
		h.Either += p.Either
		h.Trapped += p.Trapped
		h.UpperUndercut += p.UpperUndercut
		h.LowerUndercut += p.LowerUndercut
	}
	h.LowerVolume = a.below(ctx)
	h.UpperVolume = max(0, float64(a.Solid.Displaced.Value)-h.LowerVolume)
	of, err := a.vertexHalves(ctx)
	return h, of, err
}

// halfOf says which half lets go of the surface at p with outward unit normal n.
func (a flat) halfOf(p, n mesh.Vec) Half {
	f := a.Field
	c := n.Dot(a.Up)
	for _, step := range [2]float64{0.75, 1.6} {
		x, y, z := f.Plane(p.Add(n.Mul(step * f.Cell)))
		i, j := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
		above, below := true, true
		if i >= 0 && j >= 0 && i < f.NX && j < f.NY {
			col := f.Column(i, j)
			k := 0
			for k < len(col) && col[k].Top <= z {
				k++
			}
			if k < len(col) && z > col[k].Bottom {
				// Inside a span. Beside a slope the gap may still be the right
				// one.
				slack := step * f.Cell / 2
				switch {
				case c > 0 && col[k].Top-z < slack:
					k++
				case c < 0 && z-col[k].Bottom < slack:
				default:
					continue
				}
			}
			above, below = k == len(col), k == 0
		}
		switch {
		case c > math.Sin(Plumb):
			below = false
		case c < -math.Sin(Plumb):
			above = false
		}
		switch {
		case above && below:
			return EitherHalf
		case above:
			return UpperHalf
		case below:
			return LowerHalf
		}
		return TrappedHalf
	}
	return NoHalf
}

// halve adds a triangle to the halves.
func (a flat) halve(t int, h *Halves) {
	p, q, r := a.Solid.Surface().Corners(t)
	n := q.Sub(p).Cross(r.Sub(p)).Unit()
	if n == (mesh.Vec{}) {
		return
	}
	if !a.Solid.Outward(t) {
		n = n.Neg()
	}
	z := [3]float64{p.Dot(a.Up), q.Dot(a.Up), r.Dot(a.Up)}
	for _, above := range [2]bool{true, false} {
		poly, k := section.Clip([3]mesh.Vec{p, q, r}, z, a.height, above)
		for e := 2; e < k; e++ {
			a.halvePiece(poly[0], poly[e-1], poly[e], n, above, h, 0)
		}
	}
}

// halvePiece adds a piece of surface, in parts of a few cells.
func (a flat) halvePiece(p, q, r, n mesh.Vec, above bool, h *Halves, depth int) {
	lp, lq, lr := r.Sub(q).Len(), p.Sub(r).Len(), q.Sub(p).Len()
	if l := max(lp, lq, lr); l > 4*a.Field.Cell && depth < 24 {
		for l != lp { // turn until the longest side faces p
			p, q, r = q, r, p
			lp, lq, lr = lq, lr, lp
		}
		m := q.Add(r).Mul(0.5)
		a.halvePiece(p, q, m, n, above, h, depth+1)
		a.halvePiece(p, m, r, n, above, h, depth+1)
		return
	}
	area := q.Sub(p).Cross(r.Sub(p)).Len() / 2
	half := a.halfOf(p.Add(q).Add(r).Mul(1.0/3), n)
	switch half {
	case UpperHalf:
		h.Upper += area
	case LowerHalf:
		h.Lower += area
	case EitherHalf:
		h.Either += area
	case TrappedHalf:
		h.Trapped += area
	}
	switch {
	case above && (half == LowerHalf || half == TrappedHalf):
		h.UpperUndercut += area
	case !above && (half == UpperHalf || half == TrappedHalf):
		h.LowerUndercut += area
	}
}

// below is the volume of S under the flat parting, mm³. Where the surface
// nowhere meets itself it is exact, from the clipped triangles; else the
// columns' share of the displaced volume.
func (a flat) below(ctx context.Context) float64 {
	total := float64(a.Solid.Displaced.Value)
	if a.Solid.Embedded() && a.Solid.Exact() {
		if v, all := a.clippedVolume(); math.Abs(all-total) <= 1e-6*total {
			return min(max(v, 0), total)
		}
	}
	var under, all float64
	for j := range a.Field.NY {
		for i := range a.Field.NX {
			for _, s := range a.Field.Column(i, j) {
				all += s.Top - s.Bottom
				under += max(0, min(s.Top, a.height)-s.Bottom)
			}
		}
	}
	if all == 0 || ctx.Err() != nil {
		return 0
	}
	return total * under / all
}

// clippedVolume is the volume under the flat parting and the whole, of the
// pieces that lie inside no other, by the divergence theorem from a point on
// the parting: so the cut itself adds nothing.
func (a flat) clippedVolume() (under, all float64) {
	m := a.Solid.Surface()
	o := a.Up.Mul(a.height)
	var lo, hi mesh.Sum
	for t := range m.NumTriangles() {
		if !a.Solid.Live(t) || a.Solid.Nested(a.Solid.Piece(t)) {
			continue
		}
		p, q, r := m.Corners(t)
		v := [3]mesh.Vec{p.Sub(o), q.Sub(o), r.Sub(o)}
		z := [3]float64{v[0].Dot(a.Up), v[1].Dot(a.Up), v[2].Dot(a.Up)}
		for _, above := range [2]bool{true, false} {
			poly, n := section.Clip(v, z, 0, above)
			for e := 2; e < n; e++ {
				x := poly[0].Dot(poly[e-1].Cross(poly[e])) / 6
				if !a.Solid.Outward(t) {
					x = -x
				}
				if above {
					hi.Add(x)
				} else {
					lo.Add(x)
				}
			}
		}
	}
	return lo.Value(), lo.Value() + hi.Value()
}

// Trapped is the volume between spans, mm³: the pattern is above and below it,
// so neither half lets go of it wherever they part.
func Trapped(c *scene.Scene) float64 {
	f := c.Field
	var sum float64
	for j := range f.NY {
		var row float64
		for i := range f.NX {
			col := f.Column(i, j)
			for k := 1; k < len(col); k++ {
				if d := col[k].Bottom - col[k-1].Top; d > c.Eps {
					row += d
				}
			}
		}
		sum += row
	}
	return sum * f.Cell * f.Cell
}

// vertexHalves says which half each vertex belongs to.
func (a flat) vertexHalves(ctx context.Context) ([]Half, error) {
	m := a.Solid.Surface()
	verts := m.Vertices()
	normal := make([]mesh.Vec, len(verts))
	for t, tri := range m.Triangles() {
		if t&(1<<16-1) == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !a.Solid.Live(t) {
			continue
		}
		n := verts[tri[1]].Sub(verts[tri[0]]).Cross(verts[tri[2]].Sub(verts[tri[0]]))
		if !a.Solid.Outward(t) {
			n = n.Neg()
		}
		for _, v := range tri {
			normal[v] = normal[v].Add(n)
		}
	}
	out := make([]Half, len(verts))
	const block = 1 << 13
	err := par.Blocks(ctx, len(verts), block, func(from, to int) {
		for v := from; v < to; v++ {
			if n := normal[v].Unit(); n != (mesh.Vec{}) {
				out[v] = a.halfOf(verts[v], n)
			}
		}
	})
	return out, err
}
