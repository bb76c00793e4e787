package mesh

import (
	"context"
	"math"

	"moldtally/mesh/par"
)

// outlineBlock is how many vertices one worker takes at a time; fixed, so that
// the work is cut the same way for any number of cores. (The hull of a set of
// points is unique in any case.)
const outlineBlock = 1 << 16

// OutlinePoints returns the convex hull, as Hull2 does, of the vertices of all
// triangles not skipped, seen along u: point p stands at (p·e1, p·e2) with
// (e1, e2) = Basis(u). u must be a unit vector. skip has one entry per triangle
// and may be nil: then every vertex counts.
//
// Nearly all vertices of a dense mesh lie well inside the outline. The hull of
// a sample gives, for each of a row of slabs, a stretch that is inside for
// sure; only the vertices outside it reach the exact hull.
func OutlinePoints(m *Mesh, skip []bool, u Vec) []Vec2 {
	e1, e2 := Basis(u)
	verts := m.Vertices()
	var used []uint64 // a bit per vertex
	if skip != nil {
		all := true
		for _, s := range skip {
			if s {
				all = false
				break
			}
		}
		if !all {
			used = make([]uint64, (len(verts)+63)/64)
			for t, tri := range m.Triangles() {
				if t < len(skip) && skip[t] {
					continue
				}
				for _, k := range tri {
					used[k>>6] |= 1 << (k & 63)
				}
			}
		}
	}
	in := func(k int) bool { return used == nil || used[k>>6]>>(k&63)&1 != 0 }
	project := func(p Vec) Vec2 { return Vec2{p.Dot(e1), p.Dot(e2)} }

	stride := max(1, len(verts)/4096)
	sample := make([]Vec2, 0, len(verts)/stride+1)
	for k := 0; k < len(verts); k += stride {
		if in(k) {
			sample = append(sample, project(verts[k]))
		}
	}
	rough := hull2InPlace(sample)
	if stride == 1 {
		return rough
	}
	inner := newSlabs(rough)

	blocks := (len(verts) + outlineBlock - 1) / outlineBlock
	hulls := make([][]Vec2, blocks)
	var team par.Team[[]Vec2]
	_ = team.Each(context.Background(), blocks, func(scratch *[]Vec2, b int) {
		keep := (*scratch)[:0]
		own := inner
		full := 4096
		lo := b * outlineBlock
		for k, p := range verts[lo:min(lo+outlineBlock, len(verts))] {
			if used != nil && !in(lo+k) {
				continue
			}
			q := project(p)
			if own.inside(q) {
				continue
			}
			keep = append(keep, q)
			if len(keep) >= full {
				// Many points near the rim: sharpen the slabs with
				// what was found.
				h := hull2InPlace(keep)
				keep = append(keep[:0], h...)
				own = newSlabs(hull2InPlace(append(h, rough...)))
				full = 2*len(keep) + 4096
			}
		}
		hulls[b] = hull2InPlace(keep)
		*scratch = keep
	})
	pts := append([]Vec2(nil), rough...)
	for _, h := range hulls {
		pts = append(pts, h...)
	}
	return hull2InPlace(pts)
}

// slabs says cheaply of most points that they lie strictly inside a convex
// polygon: for each slab of X, the stretch of Y that is inside over the whole
// slab.
type slabs struct {
	x0, scale float64
	lo, hi    [slabCount]float64
}

const slabCount = 256

func newSlabs(h []Vec2) *slabs {
	s := &slabs{}
	for i := range s.lo {
		s.lo[i], s.hi[i] = math.Inf(1), math.Inf(-1)
	}
	if len(h) < 3 {
		return s
	}
	x0, x1 := h[0].X, h[0].X
	size := 0.0
	for _, p := range h {
		x0, x1 = min(x0, p.X), max(x1, p.X)
		size = max(size, math.Abs(p.X), math.Abs(p.Y))
	}
	s.x0, s.scale = x0, slabCount/(x1-x0)
	// A chain's value at the slab borders; a concave chain is least, and a
	// convex one greatest, at one of a slab's two borders.
	var low, high [slabCount + 1]float64
	for i := range low {
		low[i], high[i] = math.Inf(1), math.Inf(-1)
	}
	for i, a := range h {
		b := h[(i+1)%len(h)]
		lower := b.X > a.X
		if b.X < a.X {
			a, b = b, a
		}
		if a.X == b.X {
			continue // upright: the slabs end here anyway
		}
		from := max(0, int(math.Ceil((a.X-x0)*s.scale)))
		for k := from; k <= slabCount; k++ {
			x := x0 + float64(k)/s.scale
			if x > b.X {
				break
			}
			y := a.Y + (b.Y-a.Y)*((x-a.X)/(b.X-a.X))
			if lower {
				low[k] = y
			} else {
				high[k] = y
			}
		}
	}
	// The margin keeps the rounding of the lines above, and of the slab that a
	// point is put into, on the safe side; steep edges are safe through the
	// neighbour slabs taken in.
	eps := 1e-9 * size
	for k := range s.lo {
		if k == 0 || k == slabCount-1 {
			continue
		}
		s.lo[k] = max(low[k-1], low[k], low[k+1], low[min(k+2, slabCount)]) + eps
		s.hi[k] = min(high[k-1], high[k], high[k+1], high[min(k+2, slabCount)]) - eps
	}
	return s
}

func (s *slabs) inside(p Vec2) bool {
	k := int((p.X - s.x0) * s.scale)
	return uint(k) < slabCount && p.Y > s.lo[k] && p.Y < s.hi[k]
}
