package demold

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/section"
)

// sliceBlock is how many triangles a worker takes between two looks at the
// context.
const sliceBlock = 1 << 15

// ring is a connected part of the surface's section: one closed line where
// the mesh is sound.
type ring struct {
	hull      []mesh.Vec2 // convex hull; thinned where it has very many corners
	perimeter float64     // of the full hull, mm
	area      float64     // enclosed by the line, by the winding of its triangles: negative round a hole in S, mm²
	length    float64     // of the line itself, mm
	span      int32       // the forest root that it bounds, -1 = none found
	also      []int32     // more roots that it surely belongs to
	gap       int32       // the root, in the forest of gaps, of the rubber it bounds; -1 = inside S
}

// placed is all rings of one level.
type placed struct {
	section.Level
	rings []ring
}

// slicer cuts a surface across u and places the rings.
type slicer struct {
	section.Slicer
	f     *dexel.Field
	spans *forest // may be nil: rings are not placed
	gaps  *forest // may be nil
	nudge float64 // mm: how far from a level its side is looked up in the field
}

// newSlicer cuts a surface across the field's columns.
func newSlicer(m *mesh.Mesh, live, outward func(t int) bool, f *dexel.Field) slicer {
	size := m.Size()
	eps := mesh.TouchShare * max(size.X, size.Y, size.Z)
	return slicer{
		Slicer: section.Slicer{Mesh: m, Live: live, Outward: outward, U: f.U, E1: f.E1, E2: f.E2, Eps: eps},
		f:      f, nudge: 2 * eps,
	}
}

// slice returns the placed sections at the given levels, which must be in
// order. only lists the triangles to look at; nil takes all.
func (s *slicer) slice(ctx context.Context, levels []section.Level, only []int32) ([]placed, error) {
	out := make([]placed, len(levels))
	for k, l := range levels {
		out[k].Level = l
	}
	err := s.Each(ctx, levels, only, func(k int, sec *section.Section) { out[k].rings = s.rings(sec) })
	if err != nil {
		return nil, fmt.Errorf("demold: %w", err)
	}
	return out, nil
}

// ballot counts how often a ring's segments found a root.
type ballot struct{ root, n int32 }

// ballots are a ring's: spans on its back (the inside by winding) and front,
// gaps on its back and front.
type ballots struct {
	span, gap       [2][]ballot
	segs            int32
	nearest         int32 // for rings that no column saw
	solidBk, solidF int32
}

func vote(b []ballot, root int32) []ballot {
	for i := range b {
		if b[i].root == root {
			b[i].n++
			return b
		}
	}
	return append(b, ballot{root, 1})
}

// rings places the loops of a section.
func (s *slicer) rings(sec *section.Section) []ring {
	votes := s.place(sec)
	loops := sec.Loops(mesh.Vec2{X: s.f.X0, Y: s.f.Y0})
	rings := make([]ring, len(loops))
	for k, l := range loops {
		rings[k] = votes[k].settle(l)
		hull := sec.Hull(k)
		rings[k].perimeter = mesh.PerimeterOf(hull)
		rings[k].hull = section.Coarse(hull)
	}
	return rings
}

// probe is how far to the side of a segment the field is asked what is there,
// in cells: far enough to leave the segment's own rounding, near enough not to
// jump a wall of a cell.
const probe = 0.5

// place asks the column field, on both sides of every segment, what lies
// there, and counts the answers per ring.
func (s *slicer) place(sec *section.Section) []ballots {
	votes := make([]ballots, sec.NumLoops)
	h := sec.Beside(s.nudge)
	f := s.f
	d := probe * f.Cell
	type memo struct{ node, root int32 }
	var ms, mg memo
	ms.node, mg.node = -1, -1
	for _, e := range sec.Segments {
		v := &votes[sec.LoopOf[e.A]]
		a, b := sec.Places[e.A], sec.Places[e.B]
		if v.segs == 0 {
			v.nearest = -1
		}
		v.segs++
		if s.spans == nil && s.gaps == nil {
			continue
		}
		var n mesh.Vec2 // away from the inside
		if t := b.Sub(a); t.Len() > 0 {
			n = mesh.Vec2{X: t.Y / t.Len(), Y: -t.X / t.Len()}
		}
		m := a.Add(b).Mul(0.5)
		for side := range 2 {
			q := m.Sub(n.Mul(d))
			if side == 1 {
				q = m.Add(n.Mul(d))
			}
			i, j := int(math.Floor((q.X-f.X0)/f.Cell)), int(math.Floor((q.Y-f.Y0)/f.Cell))
			if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
				if s.gaps != nil {
					v.gap[side] = vote(v.gap[side], s.gaps.root(s.gaps.wall, s.gaps.key(h)))
				}
				continue
			}
			k, in := spanAt(f.Column(i, j), h)
			if in {
				if side == 0 {
					v.solidBk++
				} else {
					v.solidF++
				}
				if s.spans != nil {
					node := int32(f.Offset(i, j) + k)
					if node != ms.node {
						ms = memo{node, s.spans.root(node, s.spans.key(h))}
					}
					v.span[side] = vote(v.span[side], ms.root)
				}
			} else if s.gaps != nil {
				node := int32(f.Offset(i, j) + j*f.NX + i + k)
				if node != mg.node {
					mg = memo{node, s.gaps.root(node, s.gaps.key(h))}
				}
				v.gap[side] = vote(v.gap[side], mg.root)
			}
		}
	}
	if s.spans == nil {
		return votes
	}
	// Rings thinner than a cell may have met no span: take the nearest.
	for _, e := range sec.Segments {
		v := &votes[sec.LoopOf[e.A]]
		if v.nearest < 0 && len(v.span[0]) == 0 && len(v.span[1]) == 0 {
			v.nearest = s.nearest(sec.Places[e.A], h)
		}
	}
	return votes
}

// nearest is the root of the span nearest to a point of the surface among
// those within two columns that reach beyond height h; -1 if there is none.
func (s *slicer) nearest(p mesh.Vec2, h float64) int32 {
	f := s.f
	ci, cj := int(math.Floor((p.X-f.X0)/f.Cell)), int(math.Floor((p.Y-f.Y0)/f.Cell))
	best, node := math.Inf(1), int32(-1)
	for j := max(0, cj-2); j <= min(f.NY-1, cj+2); j++ {
		for i := max(0, ci-2); i <= min(f.NX-1, ci+2); i++ {
			x, y := f.Center(i, j)
			flat := math.Hypot(x-p.X, y-p.Y)
			for k, sp := range f.Column(i, j) {
				if sp.Top < h {
					continue
				}
				if d := flat + max(0, sp.Bottom-h); d < best {
					best, node = d, int32(f.Offset(i, j)+k)
				}
			}
		}
	}
	if node < 0 {
		return -1
	}
	return s.spans.root(node, s.spans.key(h))
}

// sureVotes is how many segments must have met a second component for a ring
// to join the two; a few may have looked past a thin wall or slot.
const sureVotes = 4

// settle turns a ring's ballots into its place.
func (v *ballots) settle(l section.Loop) ring {
	r := ring{span: -1, gap: -1, area: l.Area, length: l.Length}
	// The side by winding is right unless the columns say otherwise.
	back, front := 0, 1
	if v.solidF > v.solidBk {
		back, front = 1, 0
		r.area = -r.area
	}
	top := func(b []ballot) ballot {
		t := ballot{-1, 0}
		for _, x := range b {
			if x.n > t.n || x.n == t.n && x.root < t.root {
				t = x
			}
		}
		return t
	}
	spans := v.span[back]
	if len(spans) == 0 {
		spans = v.span[front]
	}
	t := top(spans)
	r.span = t.root
	for _, b := range spans {
		if b.root != t.root && b.n >= sureVotes && 10*b.n >= v.segs {
			r.also = append(r.also, b.root)
		}
	}
	slices.Sort(r.also)
	if r.span < 0 {
		r.span = v.nearest
	}
	// Where nearly all of the front is S too, the ring runs inside S.
	if g := top(v.gap[front]); 4*g.n >= v.segs {
		r.gap = g.root
	}
	return r
}
