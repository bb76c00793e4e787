package demold

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/disjoint"
)

// cut is one height at which the surface is sliced. A vertex at h, to within
// the slicer's eps, lies below the cut where above is set and above it where
// it is not: the section just above, or just below, the height. So a flat shelf
// has two sections, also where turning or 32-bit numbers have roughened it, and
// no triangle ever lies in a cut.
type cut struct {
	h     float64
	above bool
}

// before orders cuts from low to high.
func (c cut) before(d cut) bool {
	return c.h < d.h || c.h == d.h && !c.above && d.above
}

// holds reports whether a vertex at height z lies above the cut.
func (c cut) holds(z, eps float64) bool {
	if c.above {
		return z > c.h+eps
	}
	return z >= c.h-eps
}

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

// section is all rings of one cut.
type section struct {
	cut
	rings []ring
}

// slicer cuts a surface across u.
type slicer struct {
	m     *mesh.Mesh
	live  func(t int) bool
	out   func(t int) bool // is the triangle wound outward? nil = all are
	f     *dexel.Field
	spans *forest // may be nil: rings are not placed
	gaps  *forest // may be nil
	eps   float64 // mm: heights closer than this are one
	nudge float64 // mm: how far from a cut its side is looked up in the field
}

// maxListed bounds the list of (cut, triangle) pairs held at a time: 4 bytes
// each.
const maxListed = 4 << 20

// sliceBlock is how many triangles a worker takes between two looks at the
// context.
const sliceBlock = 1 << 15

// slice returns the sections at the given cuts, which must be in order. only
// lists the triangles to look at; nil takes all.
func (s *slicer) slice(ctx context.Context, cuts []cut, only []int32) ([]section, error) {
	out := make([]section, len(cuts))
	for k := range cuts {
		out[k].cut = cuts[k]
	}
	if len(cuts) == 0 {
		return out, nil
	}
	if len(cuts) >= math.MaxUint16 {
		return nil, fmt.Errorf("demold: %d cuts are too many", len(cuts))
	}
	verts, tris := s.m.Vertices(), s.m.Triangles()
	u := s.f.U
	n := len(tris)
	if only != nil {
		n = len(only)
	}
	tri := func(q int) int {
		if only != nil {
			return int(only[q])
		}
		return q
	}
	// above[v] is the number of cuts that vertex v lies above.
	levels := newLevelFinder(cuts, s.eps)
	var above []uint16
	if only == nil {
		above = make([]uint16, len(verts))
		err := blocks(ctx, len(verts), sliceBlock, func(_, from, to int) {
			for v := from; v < to; v++ {
				above[v] = levels.below(verts[v].Dot(u))
			}
		})
		if err != nil {
			return nil, err
		}
	}
	reach := func(t int) (lo, hi uint16) {
		i := tris[t]
		if above != nil {
			a, b, c := above[i[0]], above[i[1]], above[i[2]]
			return min(a, b, c), max(a, b, c)
		}
		a, b, c := levels.below(verts[i[0]].Dot(u)), levels.below(verts[i[1]].Dot(u)), levels.below(verts[i[2]].Dot(u))
		return min(a, b, c), max(a, b, c)
	}
	// Count, per cut and block of triangles, so that the lists can be filled
	// in parallel and still come out in the order of the triangles.
	nb := (n + sliceBlock - 1) / sliceBlock
	nc := len(cuts)
	counts := make([]int32, nb*nc)
	err := blocks(ctx, n, sliceBlock, func(_, from, to int) {
		c := counts[from/sliceBlock*nc:][:nc]
		for q := from; q < to; q++ {
			t := tri(q)
			lo, hi := reach(t)
			if lo == hi || !s.live(t) {
				continue
			}
			for k := lo; k < hi; k++ {
				c[k]++
			}
		}
	})
	if err != nil {
		return nil, err
	}
	total := make([]int, nc)
	for b := range nb {
		for k := range nc {
			total[k] += int(counts[b*nc+k])
		}
	}
	workers := runtime.GOMAXPROCS(0)
	scratch := make([]*sliceScratch, workers)
	for from := 0; from < nc; {
		to, sum := from, 0
		for to < nc && (to == from || sum+total[to] <= maxListed) {
			sum += total[to]
			to++
		}
		list := make([]int32, sum)
		start := make([]int32, to-from+1)
		for k := from; k < to; k++ {
			start[k-from+1] = start[k-from] + int32(total[k])
		}
		// Where each block writes.
		next := make([]int32, nb*(to-from))
		at := slices.Clone(start[:to-from])
		for b := range nb {
			for k := from; k < to; k++ {
				next[b*(to-from)+k-from] = at[k-from]
				at[k-from] += counts[b*nc+k]
			}
		}
		err := blocks(ctx, n, sliceBlock, func(_, lo, hi int) {
			w := next[lo/sliceBlock*(to-from):][:to-from]
			for q := lo; q < hi; q++ {
				t := tri(q)
				a, b := reach(t)
				a, b = max(a, uint16(from)), min(b, uint16(to))
				if a >= b || !s.live(t) {
					continue
				}
				for k := int(a) - from; k < int(b)-from; k++ {
					list[w[k]] = int32(t)
					w[k]++
				}
			}
		})
		if err != nil {
			return nil, err
		}
		err = blocks(ctx, to-from, 1, func(w, k, _ int) {
			if scratch[w] == nil {
				scratch[w] = &sliceScratch{}
			}
			out[from+k].rings = s.rings(cuts[from+k], list[start[k]:start[k+1]], scratch[w])
		})
		if err != nil {
			return nil, err
		}
		from = to
	}
	return out, nil
}

// levelFinder finds how many of a sorted row of cuts lie below a height.
type levelFinder struct {
	cuts  []cut
	eps   float64
	lo    float64
	scale float64
	first []uint16 // per slab of equal height: cuts surely below it
}

func newLevelFinder(cuts []cut, eps float64) *levelFinder {
	const slabs = 4096
	l := &levelFinder{cuts: cuts, eps: eps, lo: cuts[0].h - 2*eps, first: make([]uint16, slabs)}
	if d := cuts[len(cuts)-1].h + 2*eps - l.lo; d > 0 {
		l.scale = slabs / d
	}
	k := 0
	for b := range l.first {
		// One slab of slack swallows the rounding of below.
		for k < len(cuts) && (cuts[k].h+eps-l.lo)*l.scale < float64(b-1) {
			k++
		}
		l.first[b] = uint16(k)
	}
	return l
}

func (l *levelFinder) below(z float64) uint16 {
	if z < l.lo {
		return 0
	}
	b := min((z-l.lo)*l.scale, float64(len(l.first)-1))
	k := int(l.first[int(b)])
	for k < len(l.cuts) && l.cuts[k].holds(z, l.eps) {
		k++
	}
	return uint16(k)
}

// sliceScratch is what a worker reuses from cut to cut.
type sliceScratch struct {
	table  []int32  // hash of edges: point + 1, 0 = free
	keys   []uint64 // per point: the edge it lies on
	pts    []mesh.Vec2
	join   disjoint.Sets // of points
	segs   []seg
	ringOf []int32 // per point: its ring
	start  []int32
	order  []mesh.Vec2
	votes  []ballots
}

// seg is one triangle's part of a section.
type seg struct {
	a, b   int32     // points
	n      mesh.Vec2 // unit, away from the triangle's inside by its winding
	length float64
}

// ballot counts how often a ring's segments found a root.
type ballot struct{ root, n int32 }

// ballots are a ring's: spans on its back (the inside by winding) and front,
// gaps on its back and front.
type ballots struct {
	span, gap       [2][]ballot
	segs            int32
	nearest         int32 // for rings that no column saw
	area, length    float64
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

// rings joins the triangles' segments into rings and places each.
func (s *slicer) rings(c cut, list []int32, w *sliceScratch) []ring {
	if len(list) == 0 {
		return nil
	}
	size := 16
	for size < 4*len(list) {
		size *= 2
	}
	if len(w.table) < size {
		w.table = make([]int32, size)
	}
	table := w.table[:size]
	clear(table)
	mask := uint64(size - 1)
	w.keys, w.pts, w.join, w.segs = w.keys[:0], w.pts[:0], w.join[:0], w.segs[:0]

	verts, tris := s.m.Vertices(), s.m.Triangles()
	g := &s.f.Grid
	point := func(i, j int32, a, b mesh.Vec, za, zb float64) int32 {
		if i > j {
			i, j, a, b, za, zb = j, i, b, a, zb, za
		}
		key := uint64(i)<<32 | uint64(uint32(j))
		h := key * 0x9E3779B97F4A7C15
		h ^= h >> 29
		for h &= mask; ; h = (h + 1) & mask {
			k := table[h]
			if k == 0 {
				break
			}
			if w.keys[k-1] == key {
				return k - 1
			}
		}
		t := (c.h - za) / (zb - za)
		t = min(max(t, 0), 1)
		ax, ay := a.Dot(g.E1), a.Dot(g.E2)
		bx, by := b.Dot(g.E1), b.Dot(g.E2)
		p := int32(len(w.pts))
		w.pts = append(w.pts, mesh.Vec2{X: ax + float64((bx-ax)*t), Y: ay + float64((by-ay)*t)})
		w.keys = append(w.keys, key)
		w.join.Add()
		table[h] = p + 1
		return p
	}
	for _, t := range list {
		i := tris[t]
		v := [3]mesh.Vec{verts[i[0]], verts[i[1]], verts[i[2]]}
		z := [3]float64{v[0].Dot(g.U), v[1].Dot(g.U), v[2].Dot(g.U)}
		up := [3]bool{c.holds(z[0], s.eps), c.holds(z[1], s.eps), c.holds(z[2], s.eps)}
		// k is the corner alone on its side.
		k := 0
		switch {
		case up[0] == up[1] && up[1] == up[2]:
			continue
		case up[0] == up[1]:
			k = 2
		case up[0] == up[2]:
			k = 1
		}
		l, r := (k+1)%3, (k+2)%3
		p := point(i[k], i[l], v[k], v[l], z[k], z[l])
		q := point(i[k], i[r], v[k], v[r], z[k], z[r])
		// Seen from outside a triangle runs counterclockwise, so with its
		// lone corner up its section runs with the inside on the left.
		if up[k] == (s.out != nil && !s.out(int(t))) {
			p, q = q, p
		}
		w.join.Join(p, q)
		d := w.pts[q].Sub(w.pts[p])
		e := seg{a: p, b: q, length: d.Len()}
		if e.length > 0 {
			e.n = mesh.Vec2{X: d.Y / e.length, Y: -d.X / e.length}
		}
		w.segs = append(w.segs, e)
	}
	// Number the rings by their first point.
	n := 0
	w.ringOf = w.ringOf[:0]
	for p := range w.join {
		r := w.join.Find(int32(p))
		if int(r) == p {
			w.ringOf = append(w.ringOf, int32(n))
			n++
		} else {
			w.ringOf = append(w.ringOf, w.ringOf[r])
		}
	}
	w.votes = slices.Grow(w.votes[:0], n)[:n]
	clear(w.votes)
	s.place(c, w)

	// Gather each ring's points.
	w.start = slices.Grow(w.start[:0], n+2)[:n+2]
	clear(w.start)
	for _, r := range w.ringOf {
		w.start[r+2]++
	}
	for k := 2; k < len(w.start); k++ {
		w.start[k] += w.start[k-1]
	}
	w.order = slices.Grow(w.order[:0], len(w.pts))[:len(w.pts)]
	for p, r := range w.ringOf {
		w.order[w.start[r+1]] = w.pts[p]
		w.start[r+1]++
	}
	rings := make([]ring, n)
	for k := range rings {
		hull := quickHull(w.order[w.start[k]:w.start[k+1]])
		rings[k] = w.votes[k].settle()
		rings[k].perimeter = mesh.PerimeterOf(hull)
		rings[k].hull = thin(hull)
	}
	return rings
}

// probe is how far to the side of a segment the field is asked what is there,
// in cells: far enough to leave the segment's own rounding, near enough not to
// jump a wall of a cell.
const probe = 0.5

// place asks the column field, on both sides of every segment, what lies
// there, and counts the answers per ring.
func (s *slicer) place(c cut, w *sliceScratch) {
	h := c.h - s.nudge
	if c.above {
		h = c.h + s.nudge
	}
	f := s.f
	d := probe * f.Cell
	o := mesh.Vec2{X: f.X0, Y: f.Y0} // areas are summed about a point nearby
	type memo struct{ node, root int32 }
	var ms, mg memo
	ms.node, mg.node = -1, -1
	for _, e := range w.segs {
		v := &w.votes[w.ringOf[e.a]]
		a, b := w.pts[e.a], w.pts[e.b]
		v.area += a.Sub(o).Cross(b.Sub(o)) / 2
		v.length += e.length
		if v.segs == 0 {
			v.nearest = -1
		}
		v.segs++
		if s.spans == nil && s.gaps == nil {
			continue
		}
		m := a.Add(b).Mul(0.5)
		for side := range 2 {
			q := m.Sub(e.n.Mul(d))
			if side == 1 {
				q = m.Add(e.n.Mul(d))
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
		return
	}
	// Rings thinner than a cell may have met no span: take the nearest.
	for _, e := range w.segs {
		v := &w.votes[w.ringOf[e.a]]
		if v.nearest < 0 && len(v.span[0]) == 0 && len(v.span[1]) == 0 {
			v.nearest = s.nearest(w.pts[e.a], h)
		}
	}
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
func (v *ballots) settle() ring {
	r := ring{span: -1, gap: -1, area: v.area, length: v.length}
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

// quickHull is mesh.Hull2 for many points: a plain sort, plain determinants.
// It reorders pts. A corner lost to rounding moves the perimeter by less than
// the rounding of the points themselves.
func quickHull(p []mesh.Vec2) []mesh.Vec2 {
	if len(p) < 8 {
		return mesh.Hull2(p)
	}
	slices.SortFunc(p, func(a, b mesh.Vec2) int {
		if a.X != b.X {
			return cmp.Compare(a.X, b.X)
		}
		return cmp.Compare(a.Y, b.Y)
	})
	h := make([]mesh.Vec2, 0, 32)
	push := func(low int, v mesh.Vec2) {
		for len(h) >= low && h[len(h)-1].Sub(h[len(h)-2]).Cross(v.Sub(h[len(h)-2])) <= 0 {
			h = h[:len(h)-1]
		}
		h = append(h, v)
	}
	for _, v := range p {
		push(2, v)
	}
	low := len(h) + 1
	for i := len(p) - 2; i >= 0; i-- {
		push(low, p[i])
	}
	if len(h) > 1 {
		h = h[:len(h)-1]
	}
	return h
}

// maxCorners is how many corners of a ring's hull are kept for joining it with
// others. Leaving out corners of a round hull of n costs it 5/n² of its
// perimeter: under 1e-4 here.
const maxCorners = 256

// thin drops the flattest corners of a hull with very many.
func thin(h []mesh.Vec2) []mesh.Vec2 {
	if len(h) <= maxCorners {
		return slices.Clone(h)
	}
	per := mesh.PerimeterOf(h)
	out := make([]mesh.Vec2, 0, maxCorners+1)
	out = append(out, h[0])
	var run float64
	for i := 1; i < len(h); i++ {
		run += h[i].Sub(h[i-1]).Len()
		// Keep the last corner of each share of the way round, and both ends
		// of every long side.
		long := per / maxCorners
		if run >= long || i+1 < len(h) && h[i+1].Sub(h[i]).Len() >= long {
			out = append(out, h[i])
			run = 0
		}
	}
	return out
}

// blocks runs f over [0, n) in fixed blocks on all cores and looks at the
// context before each. worker tells the goroutines apart.
func blocks(ctx context.Context, n, size int, f func(worker, from, to int)) error {
	nb := (n + size - 1) / size
	workers := min(runtime.GOMAXPROCS(0), nb)
	if workers <= 1 {
		for b := range nb {
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("demold: %w", err)
			}
			f(0, b*size, min((b+1)*size, n))
		}
		return nil
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for ctx.Err() == nil {
				b := int(next.Add(1)) - 1
				if b >= nb {
					return
				}
				f(w, b*size, min((b+1)*size, n))
			}
		})
	}
	wg.Wait()
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("demold: %w", err)
	}
	return nil
}
