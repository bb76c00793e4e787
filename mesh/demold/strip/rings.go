package strip

import (
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/section"
)

// ring is a connected part of the surface's section: one closed line where
// the mesh is sound.
type ring struct {
	hull      []mesh.Vec2 // convex hull; coarse where it has very many corners
	perimeter float64     // of the full hull, mm
	area      float64     // enclosed by the line: negative round a hole in S, mm²
	length    float64     // of the line itself, mm
	span      int32       // the forest root that it bounds, -1 = none found
	also      []int32     // more roots that it surely belongs to
	gap       int32       // the root, in the forest of gaps, of the rubber it bounds; -1 = inside S
}

// ballot counts how often a ring's segments found a root.
type ballot struct{ root, n int32 }

// ballots are a ring's: spans on its back (the inside by winding) and front,
// gaps on its back and front.
type ballots struct {
	span, gap [2][]ballot
	inside    [2]int32 // segments that found S there
	segs      int32
	nearest   int32 // for rings that no column saw
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
func (c *side) rings(sec *section.Section) []ring {
	votes := c.poll(sec)
	rings := make([]ring, sec.NumLoops)
	for k, l := range sec.Loops(mesh.Vec2{X: c.f.X0, Y: c.f.Y0}) {
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

// poll asks the column field, on both sides of every segment, what lies there,
// and counts the answers per ring.
func (c *side) poll(sec *section.Section) []ballots {
	votes := make([]ballots, sec.NumLoops)
	for k := range votes {
		votes[k].nearest = -1
	}
	h := sec.Beside(c.nudge)
	ask := asker{side: c, h: h, span: -1, gap: -1}
	d := probe * c.f.Cell
	for _, e := range sec.Segments {
		v := &votes[sec.LoopOf[e.A]]
		v.segs++
		a, b := sec.Places[e.A], sec.Places[e.B]
		var n mesh.Vec2 // away from the inside
		if t := b.Sub(a); t.Len() > 0 {
			n = mesh.Vec2{X: t.Y / t.Len(), Y: -t.X / t.Len()}
		}
		m := a.Add(b).Mul(0.5)
		ask.at(v, 0, m.Sub(n.Mul(d)))
		ask.at(v, 1, m.Add(n.Mul(d)))
	}
	// Rings thinner than a cell may have met no span: take the nearest.
	for _, e := range sec.Segments {
		v := &votes[sec.LoopOf[e.A]]
		if v.nearest < 0 && len(v.span[0]) == 0 && len(v.span[1]) == 0 {
			v.nearest = c.nearest(sec.Places[e.A], h)
		}
	}
	return votes
}

// asker looks up what stands at places of a height, and remembers the last
// roots.
type asker struct {
	*side
	h                 float64
	span, gap         int32 // nodes
	spanRoot, gapRoot int32 // their roots
}

// at counts what is at q for one side of a ring.
func (k *asker) at(v *ballots, side int, q mesh.Vec2) {
	f := k.f
	i, j := int(math.Floor((q.X-f.X0)/f.Cell)), int(math.Floor((q.Y-f.Y0)/f.Cell))
	if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
		v.gap[side] = vote(v.gap[side], k.gaps.root(k.gaps.wall, k.gaps.key(k.h)))
		return
	}
	n, in := dexel.At(f.Column(i, j), k.h)
	if in {
		v.inside[side]++
		if node := int32(f.Offset(i, j) + n); node != k.span {
			k.span, k.spanRoot = node, k.spans.root(node, k.spans.key(k.h))
		}
		v.span[side] = vote(v.span[side], k.spanRoot)
		return
	}
	if node := int32(f.Offset(i, j) + j*f.NX + i + n); node != k.gap {
		k.gap, k.gapRoot = node, k.gaps.root(node, k.gaps.key(k.h))
	}
	v.gap[side] = vote(v.gap[side], k.gapRoot)
}

// nearest is the root of the span nearest to a point of the surface among
// those within two columns that reach beyond height h; -1 if there is none.
func (c *side) nearest(p mesh.Vec2, h float64) int32 {
	f := c.f
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
	return c.spans.root(node, c.spans.key(h))
}

// sureVotes is how many segments must have met a second component for a ring
// to join the two; a few may have looked past a thin wall or slot.
const sureVotes = 4

// settle turns a ring's ballots into its place.
func (v *ballots) settle(l section.Loop) ring {
	r := ring{gap: -1, area: l.Area, length: l.Length}
	// The side by winding is right unless the columns say otherwise.
	back, front := 0, 1
	if v.inside[1] > v.inside[0] {
		back, front = 1, 0
		r.area = -r.area
	}
	spans := v.span[back]
	if len(spans) == 0 {
		spans = v.span[front]
	}
	r.span = most(spans).root
	for _, b := range spans {
		if b.root != r.span && b.n >= sureVotes && 10*b.n >= v.segs {
			r.also = append(r.also, b.root)
		}
	}
	slices.Sort(r.also)
	if r.span < 0 {
		r.span = v.nearest
	}
	// Where nearly all of the front is S too, the ring runs inside S.
	if g := most(v.gap[front]); 4*g.n >= v.segs {
		r.gap = g.root
	}
	return r
}

// most is the root with the most votes, of equals the smallest; root -1 where
// there are none.
func most(b []ballot) ballot {
	t := ballot{-1, 0}
	for _, x := range b {
		if x.n > t.n || x.n == t.n && x.root < t.root {
			t = x
		}
	}
	return t
}
