package arrange

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
)

// flat is one face, or several in one plane that overlap or touch, and what of
// other faces lies in them.
type flat struct {
	faces     []*face
	stretches []stretch
	dots      []*point

	view view
	own  *table // its points

	// What came of it: triangles, counterclockwise in the view, and for each the
	// faces that it is a part of; over is nil where there is one face only.
	out  [][3]int32
	over [][]*face
}

// stretch is a piece of a line in a flat, from a to b: a side of a face, or where
// another plane cuts it.
type stretch struct {
	a, b   *point
	side   [2]int32 // the vertices of the side; -1, -1 = none
	plane  *plane   // of the other face, nil for a side
	along  line
	lo, hi mesh.Vec2 // its box in the view
	i, j   int32     // its ends among the points
	on     []int32   // the points on it
}

// shares reports whether a point is known to lie on the stretch's line.
func (s *stretch) shares(p *point) bool {
	return p == s.a || p == s.b || s.side[0] >= 0 && p.side == s.side
}

// prepare numbers the points and boxes the stretches.
func (f *flat) prepare() {
	f.view = f.faces[0].view
	found := f.stretches
	n := 3*len(f.faces) + len(found)
	f.own = newTable(n + len(f.dots))
	f.stretches = make([]stretch, 0, n)
	var seen map[[2]*point]bool // looked up, never ranged over
	if n > fewPoints {
		seen = make(map[[2]*point]bool, n)
	}
	for _, g := range f.faces {
		for k := range 3 {
			a, b := k, (k+1)%3
			if g.v[a] > g.v[b] {
				a, b = b, a
			}
			f.put(stretch{a: g.c[a], b: g.c[b], side: [2]int32{g.v[a], g.v[b]}}, seen)
		}
	}
	for _, s := range found {
		f.put(s, seen)
	}
}

// put adds a stretch that is not there yet. seen has the ends of those that are,
// nil where they are few.
func (f *flat) put(s stretch, seen map[[2]*point]bool) {
	if seen == nil {
		for k := range f.stretches {
			if o := &f.stretches[k]; o.a == s.a && o.b == s.b || o.a == s.b && o.b == s.a {
				return
			}
		}
	} else if seen[[2]*point{s.a, s.b}] || seen[[2]*point{s.b, s.a}] {
		return
	} else {
		seen[[2]*point{s.a, s.b}] = true
	}
	s.i, s.j = f.own.add(s.a), f.own.add(s.b)
	p, q := f.view.flat2(s.a.hi), f.view.flat2(s.b.hi)
	s.lo = mesh.Vec2{X: min(p.X, q.X), Y: min(p.Y, q.Y)}
	s.hi = mesh.Vec2{X: max(p.X, q.X), Y: max(p.Y, q.Y)}
	s.on = append(make([]int32, 0, 6), s.i, s.j)
	f.stretches = append(f.stretches, s)
}

// line is the stretch's line in the view.
func (s *stretch) line(f *flat) line {
	if s.along[0] == nil {
		switch {
		case s.a.w == nil && s.b.w == nil:
			s.along = f.view.lineThrough(s.a, s.b)
		default:
			s.along = f.view.lineOf(f.faces[0].plane, s.plane)
		}
	}
	return s.along
}

// cross cuts the stretches at each other and at the dots.
func (f *flat) cross(ctx context.Context, u units) error {
	order := make([]int, len(f.stretches))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(f.stretches[a].lo.X, f.stretches[b].lo.X) })
	for n, k := range order {
		if n%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		s := &f.stretches[k]
		for _, l := range order[n+1:] {
			o := &f.stretches[l]
			if o.lo.X > s.hi.X {
				break
			}
			if o.lo.Y <= s.hi.Y && s.lo.Y <= o.hi.Y {
				f.cut(u, s, o)
			}
		}
		for _, p := range f.dots {
			if q := f.view.flat2(p.hi); q.X >= s.lo.X && q.X <= s.hi.X && q.Y >= s.lo.Y && q.Y <= s.hi.Y {
				if f.turn(s, p) == 0 && f.between(s, p) {
					s.on = append(s.on, f.own.add(p))
				}
			}
		}
	}
	for _, p := range f.dots {
		f.own.add(p)
	}
	return nil
}

// turn tells on which hand of a stretch a point lies.
func (f *flat) turn(s *stretch, p *point) int {
	if s.shares(p) {
		return 0
	}
	return f.view.turn(s.a, s.b, p)
}

// less compares two points of the view by x, then y.
func (f *flat) less(p, q *point) int {
	x, y := f.view.axes()
	if c := p.order(q, x); c != 0 {
		return c
	}
	return p.order(q, y)
}

// between reports whether a point on the line of a stretch lies on the stretch.
func (f *flat) between(s *stretch, p *point) bool {
	return f.less(s.a, p)*f.less(p, s.b) >= 0
}

// cut cuts two stretches at each other.
func (f *flat) cut(u units, s, o *stretch) {
	sa, sb := f.turn(s, o.a), f.turn(s, o.b)
	if sa*sb > 0 {
		return
	}
	oa, ob := f.turn(o, s.a), f.turn(o, s.b)
	if oa*ob > 0 {
		return
	}
	if sa*sb < 0 && oa*ob < 0 {
		p := u.meet(f.view, f.faces[0].plane, s.line(f), o.line(f))
		if p.side = s.side; s.side[0] < 0 {
			p.side = o.side
		}
		n := f.own.add(p)
		s.on, o.on = append(s.on, n), append(o.on, n)
		return
	}
	if sa == 0 && f.between(s, o.a) {
		s.on = append(s.on, o.i)
	}
	if sb == 0 && f.between(s, o.b) {
		s.on = append(s.on, o.j)
	}
	if oa == 0 && f.between(o, s.a) {
		o.on = append(o.on, s.i)
	}
	if ob == 0 && f.between(o, s.b) {
		o.on = append(o.on, s.j)
	}
}

// steps sorts the points on each stretch and drops those named twice.
func (f *flat) steps() {
	for k := range f.stretches {
		s := &f.stretches[k]
		slices.SortFunc(s.on, func(a, b int32) int {
			if a == b {
				return 0
			}
			return f.less(f.own.pts[a], f.own.pts[b])
		})
		s.on = slices.Compact(s.on)
	}
}

// triangulate cuts the flat along its stretches.
func (f *flat) triangulate(ctx context.Context, u units) error {
	f.prepare()
	if err := f.cross(ctx, u); err != nil {
		return err
	}
	f.steps()
	t := &triangulation{view: f.view, pts: f.own.pts}
	n := int32(len(t.pts))
	if len(f.faces) == 1 {
		g := f.faces[0]
		c := [3]int32{f.own.add(g.c[0]), f.own.add(g.c[1]), f.own.add(g.c[2])}
		if g.ccw < 0 {
			c[1], c[2] = c[2], c[1]
		}
		t.begin(c[0], c[1], c[2])
	} else {
		a, b, c := f.around(u)
		t.pts = append(slices.Clone(t.pts), a, b, c)
		t.begin(n, n+1, n+2)
	}
	for p := range n {
		if p%256 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if t.at[p] < 0 {
			if err := t.insert(p); err != nil {
				return err
			}
		}
	}
	for k := range f.stretches {
		on := f.stretches[k].on
		for i := 1; i < len(on); i++ {
			if err := t.edge(on[i-1], on[i]); err != nil {
				return err
			}
		}
	}
	err := f.collect(t)
	f.stretches, f.dots, f.own.find, f.own.next = nil, nil, nil, nil
	return err
}

// around is a triangle round all points of the flat, in its view: its corners are
// whole in the units.
func (f *flat) around(u units) (a, b, c *point) {
	lo, hi := f.stretches[0].lo, f.stretches[0].hi
	for k := range f.stretches {
		s := &f.stretches[k]
		lo.X, lo.Y = min(lo.X, s.lo.X), min(lo.Y, s.lo.Y)
		hi.X, hi.Y = max(hi.X, s.hi.X), max(hi.Y, s.hi.Y)
	}
	_, e := math.Frexp(max(hi.X-lo.X, hi.Y-lo.Y))
	size := math.Ldexp(1, max(e, u.exp))
	x0, y0 := math.Floor(lo.X/size)*size, math.Floor(lo.Y/size)*size
	x, y := f.view.axes()
	at := func(px, py float64) *point {
		var v [3]float64
		v[x], v[y] = px, py
		p := u.corner(mesh.V(v[0], v[1], v[2]), -1)
		return p
	}
	return at(x0-size, y0-size), at(x0+6*size, y0-size), at(x0-size, y0+6*size)
}

// collect takes the triangles that lie in some face, each with the faces it is
// part of.
func (f *flat) collect(t *triangulation) error {
	if len(f.faces) == 1 {
		f.out = make([][3]int32, len(t.tri))
		for k := range t.tri {
			f.out[k] = t.tri[k].v
		}
		return nil
	}
	side := make(map[[2]int32]*stretch, len(f.stretches)) // looked up, never ranged over
	for k := range f.stretches {
		if s := &f.stretches[k]; s.side[0] >= 0 {
			side[s.side] = s
		}
	}
	over := make([][]*face, len(t.tri))
	seen := make([]int, len(t.tri))
	var stack []int32
	for n, g := range f.faces {
		wall, first := g.outline(side)
		at, err := f.start(g, t, first)
		if err != nil {
			return err
		}
		// All that is reached without crossing the outline.
		stack = append(stack[:0], at)
		seen[at] = n + 1
		for len(stack) > 0 {
			at := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			over[at] = append(over[at], g)
			c := &t.tri[at]
			for k := range 3 {
				o, p, q := c.n[k], c.v[(k+1)%3], c.v[(k+2)%3]
				if o < 0 || seen[o] == n+1 || wall[[2]int32{min(p, q), max(p, q)}] {
					continue
				}
				seen[o] = n + 1
				stack = append(stack, o)
			}
		}
	}
	for k := range t.tri {
		if over[k] != nil {
			f.out = append(f.out, t.tri[k].v)
			f.over = append(f.over, over[k])
		}
	}
	return nil
}

// outline is the set of steps of a face's sides, each with its smaller point
// first, and one of them.
func (g *face) outline(side map[[2]int32]*stretch) (wall map[[2]int32]bool, one [2]int32) {
	wall = make(map[[2]int32]bool) // looked up, never ranged over
	for k := range 3 {
		a, b := g.v[k], g.v[(k+1)%3]
		on := side[[2]int32{min(a, b), max(a, b)}].on
		for i := 1; i < len(on); i++ {
			p, q := on[i-1], on[i]
			one = [2]int32{min(p, q), max(p, q)}
			wall[one] = true
		}
	}
	return wall, one
}

// start is the triangle at a step of a face's outline that lies in the face.
func (f *flat) start(g *face, t *triangulation, step [2]int32) (int32, error) {
	at, k := t.find(step[0], step[1])
	if at < 0 {
		return 0, errTangled
	}
	if f.inside(g, t, at, step) {
		return at, nil
	}
	if at = t.tri[at].n[k]; at < 0 || !f.inside(g, t, at, step) {
		return 0, errTangled
	}
	return at, nil
}

// inside reports whether triangle at, which stands on a step of the outline of g,
// lies on the same hand of it as g.
func (f *flat) inside(g *face, t *triangulation, at int32, step [2]int32) bool {
	c := &t.tri[at]
	apex := int32(-1)
	for _, v := range c.v {
		if v != step[0] && v != step[1] {
			apex = v
		}
	}
	p := t.pts[apex]
	for k := range 3 {
		if f.view.turn(g.c[k], g.c[(k+1)%3], p)*g.ccw < 0 {
			return false
		}
	}
	return true
}
