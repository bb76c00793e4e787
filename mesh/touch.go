package mesh

import (
	"context"
	"math"
	"sync/atomic"

	"moldtally/mesh/par"
)

// touchingPieces tells which of the small pieces touch another piece: share a
// vertex with it, cross it, or come closer than TouchShare of the mesh's
// largest size.
func touchingPieces(ctx context.Context, m *Mesh, s *Survey, small []int32) ([]bool, error) {
	tree, err := newBoxTree(ctx, m, nil)
	if err != nil {
		return nil, err
	}
	tol := TouchShare * largest(s.Size)
	at := make([]int32, len(s.Pieces)) // per piece: its place in small + 1
	for k, p := range small {
		at[p] = int32(k) + 1
	}
	touch := make([]atomic.Bool, len(small))
	type scratch struct {
		stack []treeNode
		x, y  corners3
	}
	var team par.Team[scratch]
	const block = 1 << 12
	grow := Vec{tol, tol, tol}
	err = team.Blocks(ctx, len(m.tris), block, func(z *scratch, from, to int) {
		for t := from; t < to; t++ {
			p := s.PieceOf[t]
			if p < 0 || at[p] == 0 || touch[at[p]-1].Load() {
				continue
			}
			z.x.load(m, int32(t))
			lo, hi := z.x.lo.Sub(grow), z.x.hi.Add(grow)
			q := tree.box(lo, hi)
			tree.search(&z.stack, &q, 0, func(l int) bool {
				for _, key := range tree.leaf(l) {
					o := triangleOf(key)
					if s.PieceOf[o] == p {
						continue
					}
					z.y.load(m, o)
					if boxesMeet(lo, hi, z.y.lo, z.y.hi) && close3(&z.x, &z.y, tol) {
						touch[at[p]-1].Store(true)
						if k := at[s.PieceOf[o]]; k > 0 {
							touch[k-1].Store(true)
						}
						return false
					}
				}
				return ctx.Err() == nil
			})
		}
	})
	if err != nil {
		return nil, err
	}
	r := make([]bool, len(small))
	for k := range touch {
		r[k] = touch[k].Load()
	}
	return r, nil
}

// close3 reports whether two triangles share a corner, meet, or come closer
// than tol.
func close3(x, y *corners3, tol float64) bool {
	if n, _, _ := sharing(x, y); n > 0 {
		return true
	}
	// Apart, the least distance is between two sides or a corner and a face.
	tol *= tol
	for i := range 3 {
		for j := range 3 {
			if segmentDistance2(x.p[i], x.p[(i+1)%3], y.p[j], y.p[(j+1)%3]) <= tol {
				return true
			}
		}
	}
	for i := range 3 {
		if faceDistance2(x.p[i], &y.p) <= tol || faceDistance2(y.p[i], &x.p) <= tol {
			return true
		}
	}
	return cross(x, y)
}

// segmentDistance2 is the square of the distance between segments pq and rs.
func segmentDistance2(p, q, r, s Vec) float64 {
	d, e, f := q.Sub(p), s.Sub(r), p.Sub(r)
	a, b, c := d.Dot(d), d.Dot(e), e.Dot(e)
	g, h := d.Dot(f), e.Dot(f)
	clamp := func(x float64) float64 { return min(max(x, 0), 1) }
	// The ends first: right also where the segments are parallel or points.
	best := math.Inf(1)
	at := func(t, u float64) {
		v := f.Add(d.Mul(t)).Sub(e.Mul(u))
		best = min(best, v.Dot(v))
	}
	if c > 0 {
		at(0, clamp(h/c))
		at(1, clamp((h+b)/c))
	}
	if a > 0 {
		at(clamp(-g/a), 0)
		at(clamp((b-g)/a), 1)
	}
	if det := float64(a*c) - float64(b*b); det > 0 {
		if t, u := (float64(b*h)-float64(c*g))/det, (float64(a*h)-float64(b*g))/det; t > 0 && t < 1 && u > 0 && u < 1 {
			at(t, u)
		}
	}
	return best
}

// faceDistance2 is the square of the distance of p from the triangle's plane
// where its foot lies in the triangle; else infinite (a side is nearer).
func faceDistance2(p Vec, y *[3]Vec) float64 {
	a, b, c := y[0], y[1], y[2]
	n := b.Sub(a).Cross(c.Sub(a))
	nn := n.Dot(n)
	if nn == 0 {
		return math.Inf(1)
	}
	for k := range 3 {
		if y[(k+1)%3].Sub(y[k]).Cross(p.Sub(y[k])).Dot(n) < 0 {
			return math.Inf(1)
		}
	}
	h := p.Sub(a).Dot(n)
	return h * h / nn
}
