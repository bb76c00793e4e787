package arrange

import (
	"errors"
	"math"
	"slices"
)

// errTangled means that a decision contradicted another, which exact ones do
// not: it guards against mistakes of this program.
var errTangled = errors.New("arrange: the surface could not be cut")

// triangulation is a triangulation of some points of a plane, all seen in one
// view and turning counterclockwise in it. It grows by points and is then made
// to have given edges.
type triangulation struct {
	view view
	pts  []*point
	tri  []cornered
	at   []int32 // per point: a triangle that it is a corner of, -1 = not in yet
	last int32   // where the next search begins
	todo []int32
}

// cornered is a triangle: its corners, and across the side opposite to each the
// triangle there, -1 = none.
type cornered struct {
	v [3]int32
	n [3]int32
}

// place is the place of a corner in a triangle.
func (c *cornered) place(v int32) int {
	switch v {
	case c.v[0]:
		return 0
	case c.v[1]:
		return 1
	}
	return 2
}

// across is the place of the corner opposite to neighbour n.
func (c *cornered) across(n int32) int {
	switch n {
	case c.n[0]:
		return 0
	case c.n[1]:
		return 1
	}
	return 2
}

func (t *triangulation) turn(a, b, c int32) int {
	return t.view.turn(t.pts[a], t.pts[b], t.pts[c])
}

// begin starts with the triangle of three points.
func (t *triangulation) begin(a, b, c int32) {
	t.at = make([]int32, len(t.pts))
	for k := range t.at {
		t.at[k] = -1
	}
	t.tri = append(t.tri[:0], cornered{[3]int32{a, b, c}, [3]int32{-1, -1, -1}})
	t.at[a], t.at[b], t.at[c] = 0, 0, 0
	t.last = 0
}

// locate walks to the triangle that holds p: side is -1 inside, else the place
// opposite to which p lies on the side.
func (t *triangulation) locate(p int32) (tri int32, side int, err error) {
	at, from := t.last, int32(-1)
	for step := 0; step < 4*len(t.tri)+16; step++ {
		c := &t.tri[at]
		on, zero := -1, 0
		moved := false
		for i := range 3 {
			k := (i + step) % 3 // turned about, so that no walk goes in a circle for ever
			if c.n[k] == from && from >= 0 {
				continue
			}
			s := t.turn(c.v[(k+1)%3], c.v[(k+2)%3], p)
			if s < 0 {
				if c.n[k] < 0 {
					return 0, 0, errTangled
				}
				from, at, moved = at, c.n[k], true
				break
			}
			if s == 0 {
				on = k
				zero++
			}
		}
		if moved {
			continue
		}
		if zero > 1 {
			return 0, 0, errTangled // a corner: points are distinct
		}
		return at, on, nil
	}
	for at := range t.tri {
		c := &t.tri[at]
		var s [3]int
		for k := range 3 {
			s[k] = t.turn(c.v[(k+1)%3], c.v[(k+2)%3], p)
		}
		if min(s[0], s[1], s[2]) >= 0 {
			for k := range 3 {
				if s[k] == 0 {
					return int32(at), k, nil
				}
			}
			return int32(at), -1, nil
		}
	}
	return 0, 0, errTangled
}

// set writes triangle at and tells its corners and neighbours.
func (t *triangulation) set(at int32, v, n [3]int32) {
	t.tri[at] = cornered{v, n}
	for _, x := range v {
		t.at[x] = at
	}
}

// relink makes what neighbour n had as old to be across new.
func (t *triangulation) relink(n, old, new int32) {
	if n >= 0 {
		c := &t.tri[n]
		c.n[c.across(old)] = new
	}
}

func (t *triangulation) grow(n int) int32 {
	at := int32(len(t.tri))
	for range n {
		t.tri = append(t.tri, cornered{})
	}
	return at
}

// insert puts point p in.
func (t *triangulation) insert(p int32) error {
	at, side, err := t.locate(p)
	if err != nil {
		return err
	}
	if side < 0 {
		t.splitInside(at, p)
	} else {
		t.splitSide(at, side, p)
	}
	t.last = t.at[p]
	t.legalize(p)
	return nil
}

// splitInside makes three triangles of one.
func (t *triangulation) splitInside(at, p int32) {
	c := t.tri[at]
	b := t.grow(2)
	d := b + 1
	t.set(at, [3]int32{p, c.v[1], c.v[2]}, [3]int32{c.n[0], b, d})
	t.set(b, [3]int32{p, c.v[2], c.v[0]}, [3]int32{c.n[1], d, at})
	t.set(d, [3]int32{p, c.v[0], c.v[1]}, [3]int32{c.n[2], at, b})
	t.relink(c.n[1], at, b)
	t.relink(c.n[2], at, d)
	t.todo = append(t.todo[:0], at, b, d)
}

// splitSide makes two triangles of each at a side.
func (t *triangulation) splitSide(at int32, side int, p int32) {
	c := t.tri[at]
	a, u, v := c.v[side], c.v[(side+1)%3], c.v[(side+2)%3]
	nu, nv := c.n[(side+1)%3], c.n[(side+2)%3] // across from u and from v
	o := c.n[side]
	b := t.grow(1)
	if o < 0 {
		t.set(at, [3]int32{p, a, u}, [3]int32{nv, -1, b})
		t.set(b, [3]int32{p, v, a}, [3]int32{nu, at, -1})
		t.relink(nu, at, b)
		t.todo = append(t.todo[:0], at, b)
		return
	}
	e := t.tri[o]
	k := e.across(at)
	w := e.v[k] // e runs w, v, u
	eu, ev := e.n[(k+2)%3], e.n[(k+1)%3]
	d := t.grow(1)
	// Round p: a u | u w | w v | v a.
	t.set(at, [3]int32{p, a, u}, [3]int32{nv, o, b})
	t.set(o, [3]int32{p, u, w}, [3]int32{ev, d, at})
	t.set(d, [3]int32{p, w, v}, [3]int32{eu, b, o})
	t.set(b, [3]int32{p, v, a}, [3]int32{nu, at, d})
	t.relink(nu, at, b)
	t.relink(eu, o, d)
	t.todo = append(t.todo[:0], at, o, d, b)
}

// mostFlips bounds the flips after one point: they only make better triangles,
// and rounding must not make them go round for ever (judgement of this program).
const mostFlips = 256

// legalize flips sides opposite to the new point p until no far corner lies in
// a circle, as far as plain arithmetic tells (C. L. Lawson, "Software for C1
// surface interpolation", 1977, from memory).
func (t *triangulation) legalize(p int32) {
	for flips := 0; len(t.todo) > 0 && flips < mostFlips; {
		at := t.todo[len(t.todo)-1]
		t.todo = t.todo[:len(t.todo)-1]
		c := &t.tri[at]
		k := c.place(p)
		o := c.n[k]
		if o < 0 || c.v[k] != p {
			continue
		}
		e := &t.tri[o]
		w := e.v[e.across(at)]
		u, v := c.v[(k+1)%3], c.v[(k+2)%3]
		if !t.inCircle(p, u, v, w) || t.turn(p, u, w) <= 0 || t.turn(p, w, v) <= 0 {
			continue
		}
		t.flip(at, k)
		flips++
		t.todo = append(t.todo, at, o)
	}
}

// inCircle tells, roughly, whether w lies clearly in the circle through p, u
// and v.
func (t *triangulation) inCircle(p, u, v, w int32) bool {
	o := t.view.flat2(t.pts[w].hi)
	at := func(i int32) (x, y, q float64) {
		a := t.view.flat2(t.pts[i].hi)
		x, y = a.X-o.X, a.Y-o.Y
		return x, y, float64(x*x) + float64(y*y)
	}
	ax, ay, aq := at(p)
	bx, by, bq := at(u)
	cx, cy, cq := at(v)
	l := float64(aq * (float64(bx*cy) - float64(by*cx)))
	m := float64(bq * (float64(cx*ay) - float64(cy*ax)))
	n := float64(cq * (float64(ax*by) - float64(ay*bx)))
	return l+m+n > 1e-9*(math.Abs(l)+math.Abs(m)+math.Abs(n))
}

// flip turns the side opposite to corner k of triangle at: corner k and the one
// across are then joined. The triangle keeps corner k in place 0.
func (t *triangulation) flip(at int32, k int) {
	c := t.tri[at]
	o := c.n[k]
	e := t.tri[o]
	j := e.across(at)
	p, u, v, w := c.v[k], c.v[(k+1)%3], c.v[(k+2)%3], e.v[j]
	nu, nv := c.n[(k+1)%3], c.n[(k+2)%3]       // across from u: side v p; from v: side p u
	eu, ev := e.n[e.place(u)], e.n[e.place(v)] // across from u: side w v; from v: side u w
	t.set(at, [3]int32{p, u, w}, [3]int32{ev, o, nv})
	t.set(o, [3]int32{p, w, v}, [3]int32{eu, nu, at})
	t.relink(ev, o, at)
	t.relink(nu, at, o)
}

// around calls each with the triangles that p is a corner of and its place
// there, until it returns false.
func (t *triangulation) around(p int32, each func(at int32, k int) bool) {
	first := t.at[p]
	at := first
	for {
		k := t.tri[at].place(p)
		if !each(at, k) {
			return
		}
		at = t.tri[at].n[(k+1)%3]
		if at == first {
			return
		}
		if at < 0 {
			break
		}
	}
	for at = first; ; {
		k := t.tri[at].place(p)
		at = t.tri[at].n[(k+2)%3]
		if at < 0 || !each(at, t.tri[at].place(p)) {
			return
		}
	}
}

// edge makes the triangulation have the edge pq, on which no other point lies:
// the triangles that it crosses go, and the two polygons that they leave, left
// and right of it, are filled.
func (t *triangulation) edge(p, q int32) error {
	have := false
	start, place := int32(-1), 0
	t.around(p, func(at int32, k int) bool {
		u, v := t.tri[at].v[(k+1)%3], t.tri[at].v[(k+2)%3]
		if u == q || v == q {
			have = true
			return false
		}
		if t.turn(p, u, q) > 0 && t.turn(p, v, q) < 0 {
			start, place = at, k
			return false
		}
		return true
	})
	if have {
		return nil
	}
	if start < 0 {
		return errTangled
	}
	c := channel{t: t}
	if err := c.walk(p, q, start, place); err != nil {
		return err
	}
	slices.Reverse(c.right)
	c.fill(p, q, c.left)
	c.fill(q, p, c.right)
	return c.put()
}

// channel is what an edge to be put in runs through.
type channel struct {
	t           *triangulation
	gone        []int32
	left, right []int32 // corners on either hand, in order along the edge
	in          [][3]int32
}

// walk collects the triangles that pq crosses, from triangle at on, of which p is
// corner k.
func (c *channel) walk(p, q, at int32, k int) error {
	t := c.t
	c.gone = append(c.gone, at)
	c.right = append(c.right, t.tri[at].v[(k+1)%3])
	c.left = append(c.left, t.tri[at].v[(k+2)%3])
	for range len(t.tri) {
		o := t.tri[at].n[k]
		if o < 0 {
			return errTangled
		}
		e := &t.tri[o]
		w := e.v[e.across(at)]
		c.gone = append(c.gone, o)
		if w == q {
			return nil
		}
		// On through the side that parts q from the corner behind.
		switch s := t.turn(p, q, w); {
		case s > 0:
			k = e.place(c.left[len(c.left)-1])
			c.left = append(c.left, w)
		case s < 0:
			k = e.place(c.right[len(c.right)-1])
			c.right = append(c.right, w)
		default:
			return errTangled
		}
		at = o
	}
	return errTangled
}

// fill makes triangles of the polygon between the edge ab and a chain of corners
// on its left, from a to b. Each corner was seen from the edge, so one whose
// triangle with the edge holds no other is seen from all of it (after M. V.
// Anglada, "An improved incremental algorithm for constructing restricted
// Delaunay triangulations", Computers & Graphics 21 (1997) 215, from memory).
func (c *channel) fill(a, b int32, chain []int32) {
	if len(chain) == 0 {
		return
	}
	t, best := c.t, 0
	for k := 1; k < len(chain); k++ {
		if d := chain[k]; t.turn(b, chain[best], d) >= 0 && t.turn(chain[best], a, d) >= 0 {
			best = k
		}
	}
	d := chain[best]
	c.in = append(c.in, [3]int32{a, b, d})
	c.fill(a, d, chain[:best])
	c.fill(d, b, chain[best+1:])
}

// put puts the new triangles in place of those that went.
func (c *channel) put() error {
	t := c.t
	if len(c.in) != len(c.gone) {
		return errTangled
	}
	beyond := make(map[[2]int32]int32, 3*len(c.gone)) // what lies across a side; looked up, never ranged over
	for _, at := range c.gone {
		e := &t.tri[at]
		for k := range 3 {
			beyond[[2]int32{e.v[(k+1)%3], e.v[(k+2)%3]}] = e.n[k]
		}
	}
	own := make(map[[2]int32]int32, 3*len(c.in)) // looked up, never ranged over
	for n, v := range c.in {
		for k := range 3 {
			own[[2]int32{v[(k+1)%3], v[(k+2)%3]}] = c.gone[n]
		}
	}
	for n, v := range c.in {
		at := c.gone[n]
		var across [3]int32
		for k := range 3 {
			p, q := v[(k+1)%3], v[(k+2)%3]
			o, mine := own[[2]int32{q, p}]
			if !mine {
				var had bool
				if o, had = beyond[[2]int32{p, q}]; !had {
					return errTangled
				}
				if o >= 0 {
					e := &t.tri[o]
					for i := range 3 {
						if e.v[(i+1)%3] == q && e.v[(i+2)%3] == p {
							e.n[i] = at
						}
					}
				}
			}
			across[k] = o
		}
		t.set(at, v, across)
	}
	return nil
}

// find returns a triangle that has the side uv, and the place opposite to it;
// -1 where there is none.
func (t *triangulation) find(u, v int32) (at int32, place int) {
	at = -1
	t.around(u, func(x int32, k int) bool {
		switch v {
		case t.tri[x].v[(k+1)%3]:
			at, place = x, (k+2)%3
			return false
		case t.tri[x].v[(k+2)%3]:
			at, place = x, (k+1)%3
			return false
		}
		return true
	})
	return at, place
}
