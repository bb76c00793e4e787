package mesh

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync/atomic"

	"moldtally/mesh/par"
)

// maxCrossings and maxCrossingTriangles bound what SelfCrossings counts and
// lists: beyond them a mesh is hopeless anyway. Common practice, no source.
const (
	maxCrossings         = 5_000_000
	maxCrossingTriangles = 1_000_000
)

// Crossings tells where a mesh runs through itself.
type Crossings struct {
	// Pairs counts pairs of triangles that have a point in common which they
	// should not. Where More is set counting stopped there.
	Pairs int
	More  bool

	First     *Vec    // near one of them, mm; nil where there is none
	Triangles []int32 // the triangles involved, ascending, at most a million; nil where More is set
}

// SelfCrossings counts the pairs of triangles that meet otherwise than they
// should: two that share an edge may have only that edge in common (they must
// not fold onto each other), two that share a vertex only that vertex, others
// nothing; to touch is to cross. Two triangles with the same corners cross.
// Every decision is exact for the coordinates as they are, so none at all
// means that the surface is embedded.
//
// Triangles with skip[t] are left out, and collapsed ones; skip may be nil.
// progress may be nil. The result does not depend on the number of cores. It
// needs some 12 bytes per triangle. The only error is a cancelled ctx.
func SelfCrossings(ctx context.Context, m *Mesh, skip []bool, progress func(stage string, done, total int)) (Crossings, error) {
	r, _, err := CrossingPairs(ctx, m, skip, 0, progress)
	return r, err
}

// CrossingPairs is SelfCrossings and lists the pairs too, in a fixed order, 8
// bytes each, unless there are more than most of them: then, and only then, pairs is
// nil.
func CrossingPairs(ctx context.Context, m *Mesh, skip []bool, most int, progress func(stage string, done, total int)) (r Crossings, pairs [][2]int32, err error) {
	const stage = "crossings"
	report := func(done, total int) {
		if progress != nil {
			progress(stage, done, total)
		}
	}
	report(0, 100)
	tree, err := newBoxTree(ctx, m, skip)
	if err != nil {
		return Crossings{}, nil, fmt.Errorf("mesh: crossings: %w", err)
	}
	leaves := tree.leaves()
	const chunk = 64 // leaves
	chunks := (leaves + chunk - 1) / chunk
	var count atomic.Int64
	var found atomic.Int64 // the first chunk with a crossing so far
	found.Store(math.MaxInt64)
	first := make([]*Vec, chunks)
	list := make([][][2]int32, chunks)
	involved := make(triBits, (len(m.tris)+31)/32)
	var team par.Team[selfSearch]

	const parts = 20 // so that progress can be told between them
	for part := range parts {
		from, to := chunks*part/parts, chunks*(part+1)/parts
		err := team.Each(ctx, to-from, func(s *selfSearch, i int) {
			c := from + i
			s.tree = tree
			for leaf := c * chunk; leaf < min(leaves, (c+1)*chunk); leaf++ {
				// Enough is enough, but the place shown must not depend on
				// who came first: a chunk before all that found one goes on.
				if ctx.Err() != nil || count.Load() > maxCrossings && found.Load() <= int64(c) {
					return
				}
				s.leaf(ctx, leaf, func(x, y *corners3) bool {
					involved.set(x.t)
					involved.set(y.t)
					if most > 0 && count.Load() <= int64(most) {
						list[c] = append(list[c], [2]int32{x.t, y.t})
					}
					if first[c] == nil {
						lo, hi := x.lo.Max(y.lo), x.hi.Min(y.hi)
						first[c] = new(lo.Mul(0.5).Add(hi.Mul(0.5)))
						for old := found.Load(); old > int64(c) && !found.CompareAndSwap(old, int64(c)); old = found.Load() {
						}
					}
					return count.Add(1) <= maxCrossings || found.Load() > int64(c)
				})
			}
		})
		if err != nil {
			return Crossings{}, nil, fmt.Errorf("mesh: crossings: %w", err)
		}
		report(100*(part+1)/parts, 100)
	}
	r = Crossings{Pairs: int(count.Load())}
	for _, v := range first {
		if v != nil {
			r.First = v
			break
		}
	}
	if r.Pairs > maxCrossings {
		r.Pairs, r.More = maxCrossings, true
	} else if r.Pairs > 0 {
		r.Triangles = involved.list(maxCrossingTriangles)
	}
	if r.Pairs <= most {
		pairs = append([][2]int32{}, slices.Concat(list...)...)
	}
	return r, pairs, nil
}

// triBits is a set of triangles, filled from several goroutines.
type triBits []uint32

func (b triBits) set(t int32) {
	w, bit := &b[t>>5], uint32(1)<<(t&31)
	if atomic.LoadUint32(w)&bit == 0 {
		atomic.OrUint32(w, bit)
	}
}

func (b triBits) list(most int) []int32 {
	var l []int32
	for i, w := range b {
		for k := int32(0); w != 0; k, w = k+1, w>>1 {
			if w&1 != 0 {
				if len(l) == most {
					return l
				}
				l = append(l, int32(i)*32+k)
			}
		}
	}
	return l
}

// corners3 is a triangle at hand.
type corners3 struct {
	t      int32
	v      [3]int32
	p      [3]Vec
	lo, hi Vec

	// The plane: normal and, for its error, the same sums of absolute values.
	known bool
	n, e  Vec
}

// load fetches triangle t.
func (x *corners3) load(m *Mesh, t int32) {
	x.t, x.v, x.known = t, m.tris[t], false
	a, b, c := m.verts[x.v[0]], m.verts[x.v[1]], m.verts[x.v[2]]
	x.p = [3]Vec{a, b, c}
	x.lo.X, x.hi.X = span3(a.X, b.X, c.X)
	x.lo.Y, x.hi.Y = span3(a.Y, b.Y, c.Y)
	x.lo.Z, x.hi.Z = span3(a.Z, b.Z, c.Z)
}

// span3 returns the least and the largest of three finite numbers (the
// built-in min and max pay for numbers that are not).
func span3(a, b, c float64) (lo, hi float64) {
	if a > b {
		a, b = b, a
	}
	if c < a {
		return c, b
	}
	if c > b {
		return a, c
	}
	return a, b
}

// quick is Orient3 of the triangle's corners and d where plain arithmetic can
// tell, else 0. The plane is kept for the next.
func (x *corners3) quick(d *Vec) int {
	a := &x.p[0]
	if !x.known {
		x.plane()
	}
	dx, dy, dz := d.X-a.X, d.Y-a.Y, d.Z-a.Z
	det := float64(dx*x.n.X) + float64(dy*x.n.Y) + float64(dz*x.n.Z)
	bound := float64(math.Abs(dx)*x.e.X) + float64(math.Abs(dy)*x.e.Y) + float64(math.Abs(dz)*x.e.Z)
	bound = float64(bound*orient3Err) + detFloor
	if det > bound {
		return 1
	}
	if -det > bound {
		return -1
	}
	return 0
}

// plane fills in n and e.
func (x *corners3) plane() {
	a := x.p[0]
	b, c := x.p[1].Sub(a), x.p[2].Sub(a)
	x1, x2 := float64(b.Y*c.Z), float64(b.Z*c.Y)
	y1, y2 := float64(b.Z*c.X), float64(b.X*c.Z)
	z1, z2 := float64(b.X*c.Y), float64(b.Y*c.X)
	x.n = Vec{x1 - x2, y1 - y2, z1 - z2}
	x.e = Vec{
		math.Abs(x1) + math.Abs(x2) + minorFloor,
		math.Abs(y1) + math.Abs(y2) + minorFloor,
		math.Abs(z1) + math.Abs(z2) + minorFloor,
	}
	x.known = true
}

// along is the projection in which the triangle shows the largest area.
func (x *corners3) along() along {
	a, b, c := math.Abs(x.n.X), math.Abs(x.n.Y), math.Abs(x.n.Z)
	switch {
	case c >= a && c >= b:
		return 2
	case b >= a:
		return 1
	}
	return 0
}

// sharing finds the corners that two triangles have in common: how many, and
// where: the places of the shared corner, or, of two, of the corner that is
// not shared.
func sharing(x, y *corners3) (n, i, j int) {
	mx, my := 0, 0
	for a := range 3 {
		for b := range 3 {
			if x.v[a] == y.v[b] {
				n++
				mx |= 1 << a
				my |= 1 << b
			}
		}
	}
	switch n {
	case 1:
		i, j = mx>>1, my>>1 // bits 1, 2, 4 to places 0, 1, 2
	case 2:
		i, j = (7^mx)>>1, (7^my)>>1
	}
	return n, i, j
}

// cross reports whether two triangles meet otherwise than in the corners and
// edge that they share.
//
// Plain arithmetic settles nearly all: one triangle lies on one side of the
// other's plane, or (neighbours in a flat face) a line parts them as seen
// along an axis. Whatever is left is decided exactly.
func cross(x, y *corners3) bool {
	n, i, j := sharing(x, y)
	switch n {
	case 0:
		if s := x.quick(&y.p[0]); s != 0 && s == x.quick(&y.p[1]) && s == x.quick(&y.p[2]) {
			return false
		}
		if s := y.quick(&x.p[0]); s != 0 && s == y.quick(&x.p[1]) && s == y.quick(&x.p[2]) {
			return false
		}
		if k := x.along(); k.parted(&x.p, &y.p) || k.parted(&y.p, &x.p) {
			return false
		}
		return crossApart(&x.p, &y.p)
	case 1:
		v := &x.p[i]
		a, b := &x.p[(i+1)%3], &x.p[(i+2)%3]
		c, d := &y.p[(j+1)%3], &y.p[(j+2)%3]
		if x.quick(c)*x.quick(d) > 0 || y.quick(a)*y.quick(b) > 0 {
			return false
		}
		if k := x.along(); k.partedAt(v, a, b, c, d) || k.partedAt(v, c, d, a, b) {
			return false
		}
		return crossAtVertex(*v, *a, *b, *c, *d)
	case 2:
		u, v, a, b := &x.p[(i+1)%3], &x.p[(i+2)%3], &x.p[i], &y.p[j]
		if x.quick(b) != 0 {
			return false
		}
		// Seen along the axis x keeps its area, so that no other point of it
		// lies before or behind one of the edge.
		if k := x.along(); k.quick(u, v, a)*k.quick(u, v, b) < 0 {
			return false
		}
		return Orient3(*u, *v, *a, *b) == 0 && crossAtEdge(*u, *v, *a, *b)
	}
	return true
}

// quick is the turn of three points in the projection where plain arithmetic
// can tell, else 0.
func (k along) quick(a, b, c *Vec) int {
	var p, q, r Vec2
	switch k {
	case 0:
		p, q, r = Vec2{a.Y, a.Z}, Vec2{b.Y, b.Z}, Vec2{c.Y, c.Z}
	case 1:
		p, q, r = Vec2{a.Z, a.X}, Vec2{b.Z, b.X}, Vec2{c.Z, c.X}
	default:
		p, q, r = Vec2{a.X, a.Y}, Vec2{b.X, b.Y}, Vec2{c.X, c.Y}
	}
	l := float64((p.X - r.X) * (q.Y - r.Y))
	m := float64((p.Y - r.Y) * (q.X - r.X))
	bound := float64(orient2Err*(math.Abs(l)+math.Abs(m))) + detFloor
	if det := l - m; det > bound {
		return 1
	} else if -det > bound {
		return -1
	}
	return 0
}

// parted reports whether a side of triangle x, seen in the projection, has x
// on one hand and all of y strictly on the other: then they do not meet.
func (k along) parted(x, y *[3]Vec) bool {
	o := k.quick(&x[0], &x[1], &x[2])
	if o == 0 {
		return false
	}
	for i := range 3 {
		p, q := &x[i], &x[(i+1)%3]
		if k.quick(p, q, &y[0]) == -o && k.quick(p, q, &y[1]) == -o && k.quick(p, q, &y[2]) == -o {
			return true
		}
	}
	return false
}

// partedAt is parted for triangles vab and vcd: they meet in v only, since the
// first shows an area and so no other point of it lies before or behind v.
func (k along) partedAt(v, a, b, c, d *Vec) bool {
	o := k.quick(v, a, b)
	return o != 0 &&
		(k.quick(v, a, c) == -o && k.quick(v, a, d) == -o ||
			k.quick(v, b, c) == o && k.quick(v, b, d) == o)
}

// crossApart decides for triangles without a common corner. A triangle whose
// corners lie on one line is the union of its sides.
func crossApart(x, y *[3]Vec) bool {
	_, xok := flatOf(x[0], x[1], x[2])
	_, yok := flatOf(y[0], y[1], y[2])
	if yok {
		for k := range 3 {
			if segmentMeets(x[k], x[(k+1)%3], y[0], y[1], y[2]) {
				return true
			}
		}
	}
	if xok {
		for k := range 3 {
			if segmentMeets(y[k], y[(k+1)%3], x[0], x[1], x[2]) {
				return true
			}
		}
	}
	if xok || yok {
		return false
	}
	for i := range 3 {
		for j := range 3 {
			if segmentsMeet3(x[i], x[(i+1)%3], y[j], y[(j+1)%3]) {
				return true
			}
		}
	}
	return false
}

// crossAtVertex decides for the triangles vab and vcd. What they have in
// common is convex and holds v; if it holds more, a ray from v runs in both,
// and leaves the first of them through ab or cd.
func crossAtVertex(v, a, b, c, d Vec) bool {
	_, xok := flatOf(v, a, b)
	_, yok := flatOf(v, c, d)
	switch {
	case xok && yok:
		return segmentMeets(a, b, v, c, d) || segmentMeets(c, d, v, a, b)
	case yok:
		return rayEnters(v, a, c, d) || rayEnters(v, b, c, d)
	case xok:
		return rayEnters(v, c, a, b) || rayEnters(v, d, a, b)
	}
	return sameRay(v, a, c) || sameRay(v, a, d) || sameRay(v, b, c) || sameRay(v, b, d)
}

// crossAtEdge decides for the triangles uva and uvb that lie in one plane.
func crossAtEdge(u, v, a, b Vec) bool {
	k, xok := flatOf(u, v, a)
	_, yok := flatOf(u, v, b)
	switch {
	case xok && yok:
		return k.turn(u, v, a) == k.turn(u, v, b) // folded onto each other
	case xok || yok:
		return false // one is no more than a part of the line through uv
	}
	// All four on one line: they overlap beyond uv if a and b lie beyond the
	// same end of it.
	return beyond(u, v, a) && beyond(u, v, b) || beyond(v, u, a) && beyond(v, u, b)
}

// beyond reports whether p, on the line uv, lies past v as seen from u.
func beyond(u, v, p Vec) bool {
	a, b, c := u.Array(), v.Array(), p.Array()
	for k := range 3 {
		if a[k] < b[k] {
			return c[k] > b[k]
		}
		if a[k] > b[k] {
			return c[k] < b[k]
		}
	}
	return false
}

// selfSearch looks for crossings among the triangles of a tree.
type selfSearch struct {
	tree  *boxTree
	stack []treeNode
	query [leafSize]corners3
	other corners3
}

// leaf compares the triangles of a leaf with each other and with those of all
// later leaves, and calls hit for every pair that crosses until it returns
// false.
func (s *selfSearch) leaf(ctx context.Context, leaf int, hit func(x, y *corners3) bool) {
	tree := s.tree
	q := s.query[:0]
	var lo, hi Vec
	for _, key := range tree.leaf(leaf) {
		q = q[:len(q)+1]
		x := &q[len(q)-1]
		x.load(tree.m, triangleOf(key))
		if len(q) == 1 {
			lo, hi = x.lo, x.hi
		} else {
			lo, hi = lo.Min(x.lo), hi.Max(x.hi)
		}
	}
	for i := range q {
		for j := range i {
			x, y := &q[i], &q[j]
			if boxesMeet(x.lo, x.hi, y.lo, y.hi) && cross(x, y) && !hit(x, y) {
				return
			}
		}
	}
	box := tree.level[0][leaf]
	y := &s.other
	steps := 0
	tree.search(&s.stack, &box, leaf+1, func(l int) bool {
		if steps++; steps%1024 == 0 && ctx.Err() != nil {
			return false
		}
		for _, key := range tree.leaf(l) {
			y.load(tree.m, triangleOf(key))
			if !boxesMeet(lo, hi, y.lo, y.hi) {
				continue
			}
			for i := range q {
				x := &q[i]
				if boxesMeet(x.lo, x.hi, y.lo, y.hi) && cross(x, y) && !hit(x, y) {
					return false
				}
			}
		}
		return true
	})
}
