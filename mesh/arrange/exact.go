package arrange

import (
	"math"
	"math/big"
	"math/bits"
	"sync"

	"moldtally/mesh"
)

// scratch is numbers to reckon with, kept from one use to the next: nothing of
// them outlives a call.
type scratch struct {
	i [6]big.Int
	f [4]big.Float
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}

// units turns coordinates into whole numbers: a coordinate is a whole multiple
// of 2 to the power exp.
type units struct{ exp int }

// unitsOf returns the coarsest units in which all points are whole, and how many
// bits the largest coordinate takes in them.
func unitsOf(each func(yield func(v mesh.Vec) bool)) (u units, width int) {
	low, high := math.MaxInt, math.MinInt
	each(func(v mesh.Vec) bool {
		for _, x := range v.Array() {
			if x == 0 {
				continue
			}
			f, e := math.Frexp(x)
			m := int64(math.Abs(f) * (1 << 53))
			low = min(low, e-53+bits.TrailingZeros64(uint64(m)))
			high = max(high, e)
		}
		return true
	})
	if low > high {
		return units{}, 0
	}
	return units{low}, high - low
}

// whole is x in units.
func (u units) whole(x float64) *big.Int {
	z := new(big.Int)
	if x == 0 {
		return z
	}
	f, e := math.Frexp(x)
	z.SetInt64(int64(f * (1 << 53)))
	if s := e - 53 - u.exp; s >= 0 {
		z.Lsh(z, uint(s))
	} else {
		z.Rsh(z, uint(-s)) // zeros only
	}
	return z
}

// whole3 is a place in units.
func (u units) whole3(v mesh.Vec) [3]*big.Int {
	return [3]*big.Int{u.whole(v.X), u.whole(v.Y), u.whole(v.Z)}
}

// point is a place known exactly: at[k]/w units along axis k. A corner of the
// source has w nil, for 1.
type point struct {
	hi [3]float64 // the nearest numbers, mm
	lo [3]float64 // what is left, to the nearest number: 0 for a corner
	at [3]*big.Int
	w  *big.Int // positive, or nil for 1

	vert int32    // the vertex of the source that it is, or -1
	side [2]int32 // the side of a source face that it was cut from, smaller vertex first; -1, -1 = none
	id   int32    // its vertex in the arranged surface, -1 = none yet
}

// corner is a vertex of the source.
func (u units) corner(v mesh.Vec, vert int32) *point {
	return &point{hi: v.Array(), at: u.whole3(v), vert: vert, side: [2]int32{-1, -1}, id: -1}
}

// fraction is the point at/w.
func (u units) fraction(at [3]*big.Int, w *big.Int) *point {
	if w.Sign() < 0 {
		w.Neg(w)
		for k := range at {
			at[k].Neg(at[k])
		}
	}
	p := &point{at: at, w: w, vert: -1, side: [2]int32{-1, -1}, id: -1}
	// So many bits that the second number is right to its last.
	const prec = 192
	z := scratches.Get().(*scratch)
	defer scratches.Put(z)
	d, n, q, h := &z.f[0], &z.f[1], &z.f[2], &z.f[3]
	d.SetPrec(0).SetInt(w)
	q.SetPrec(prec)
	for k, x := range at {
		q.Quo(n.SetPrec(0).SetInt(x), d)
		q.SetMantExp(q, u.exp)
		p.hi[k], _ = q.Float64()
		q.Sub(q, h.SetFloat64(p.hi[k]))
		p.lo[k], _ = q.Float64()
	}
	return p
}

// same reports whether two points are one.
func (p *point) same(q *point) bool {
	if p == q {
		return true
	}
	if p.hi != q.hi || p.lo != q.lo {
		return false
	}
	if p.w == nil && q.w == nil {
		return true
	}
	for k := range 3 {
		if compare(p.at[k], p.w, q.at[k], q.w) != 0 {
			return false
		}
	}
	return true
}

// compare compares a/b with c/d; b and d are positive or nil for 1.
func compare(a, b, c, d *big.Int) int {
	z := scratches.Get().(*scratch)
	defer scratches.Put(z)
	if d != nil {
		a = z.i[0].Mul(a, d)
	}
	if b != nil {
		c = z.i[1].Mul(c, b)
	}
	return a.Cmp(c)
}

// order compares two points along axis k.
func (p *point) order(q *point, k int) int {
	switch {
	case p == q:
		return 0
	case p.hi[k] < q.hi[k]:
		return -1
	case p.hi[k] > q.hi[k]:
		return 1
	case p.lo[k] < q.lo[k]: // both are rounded from the same difference
		return -1
	case p.lo[k] > q.lo[k]:
		return 1
	case p.w == nil && q.w == nil:
		return 0
	}
	return compare(p.at[k], p.w, q.at[k], q.w)
}

// view is a plane seen along the axis that it is most square to: x is axis
// (k+1)%3 and y axis (k+2)%3, so that what turns counterclockwise there turns so
// about the plane's normal, taken with a positive share of axis k.
type view int

func (k view) axes() (x, y int) { return (int(k) + 1) % 3, (int(k) + 2) % 3 }

// flat2 is a point of doubles in the view.
func (k view) flat2(v [3]float64) mesh.Vec2 {
	x, y := k.axes()
	return mesh.Vec2{X: v[x], Y: v[y]}
}

// turnErr bounds the rounding error of the plain determinant in turn, relative
// to its two products: two differences of pairs of numbers (three roundings
// each), a product and a difference: 8 units of 2⁻⁵³, taken twice
// (judgement of this program). tailErr bounds, relative to the largest coordinate,
// what a point's two numbers leave out: 2⁻¹⁰⁶ each, taken eight times. Below
// turnFloor numbers underflow and the exact way is taken.
const (
	turnErr   = 16 * 0x1p-53
	tailErr   = 0x1p-103
	turnFloor = 0x1p-900
)

// turn returns +1 where a, b and c turn counterclockwise in the view, -1 where
// clockwise, 0 where they lie on one line: exactly.
func (k view) turn(a, b, c *point) int {
	if a == b || b == c || c == a {
		return 0
	}
	if a.w == nil && b.w == nil && c.w == nil {
		return mesh.Orient2(k.flat2(a.hi), k.flat2(b.hi), k.flat2(c.hi))
	}
	x, y := k.axes()
	ax, ay := (a.hi[x]-c.hi[x])+(a.lo[x]-c.lo[x]), (a.hi[y]-c.hi[y])+(a.lo[y]-c.lo[y])
	bx, by := (b.hi[x]-c.hi[x])+(b.lo[x]-c.lo[x]), (b.hi[y]-c.hi[y])+(b.lo[y]-c.lo[y])
	l, r := float64(ax*by), float64(ay*bx)
	m := max(math.Abs(a.hi[x]), math.Abs(a.hi[y]), math.Abs(b.hi[x]), math.Abs(b.hi[y]), math.Abs(c.hi[x]), math.Abs(c.hi[y]))
	bound := float64(turnErr*(math.Abs(l)+math.Abs(r))) +
		float64(float64(tailErr*m)*(math.Abs(ax)+math.Abs(ay)+math.Abs(bx)+math.Abs(by))) + turnFloor
	if det := l - r; det > bound {
		return 1
	} else if -det > bound {
		return -1
	}
	return turnExact(a, b, c, x, y)
}

// turnExact is turn without a filter.
func turnExact(a, b, c *point, x, y int) int {
	z := scratches.Get().(*scratch)
	defer scratches.Put(z)
	det, p, q, t := &z.i[0], &z.i[1], &z.i[2], &z.i[3]
	det.SetInt64(0)
	add := func(u, v, w *point, sign int) {
		// u.x·v.y·w.w
		p.Mul(u.at[x], v.at[y])
		q.Mul(u.at[y], v.at[x])
		p.Sub(p, q)
		if w.w != nil {
			t.Mul(p, w.w)
		} else {
			t.Set(p)
		}
		if sign > 0 {
			det.Add(det, t)
		} else {
			det.Sub(det, t)
		}
	}
	add(b, c, a, 1)
	add(a, c, b, -1)
	add(a, b, c, 1)
	return det.Sign()
}

// plane is n·x = d in units, of three corners.
type plane struct {
	n [3]*big.Int
	d *big.Int
}

func newPlane(a, b, c *point) *plane {
	var u, v [3]big.Int
	for k := range 3 {
		u[k].Sub(b.at[k], a.at[k])
		v[k].Sub(c.at[k], a.at[k])
	}
	p := &plane{d: new(big.Int)}
	var t big.Int
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		p.n[k] = new(big.Int).Mul(&u[i], &v[j])
		p.n[k].Sub(p.n[k], t.Mul(&u[j], &v[i]))
	}
	for k := range 3 {
		p.d.Add(p.d, t.Mul(p.n[k], a.at[k]))
	}
	return p
}

// beyond sets z to n·a - d of a corner: how far beyond the plane it is; t is
// scratch.
func (p *plane) beyond(a *point, z, t *big.Int) *big.Int {
	z.Neg(p.d)
	for k := range 3 {
		z.Add(z, t.Mul(p.n[k], a.at[k]))
	}
	return z
}

// through is where the line through corners a and b meets the plane, which
// parts them.
func (u units) through(p *plane, a, b *point) *point {
	z := scratches.Get().(*scratch)
	defer scratches.Put(z)
	t := &z.i[0]
	da, db := p.beyond(a, &z.i[1], t), p.beyond(b, &z.i[2], t)
	var at [3]*big.Int
	for k := range 3 {
		at[k] = new(big.Int).Mul(b.at[k], da)
		at[k].Sub(at[k], t.Mul(a.at[k], db))
	}
	return u.fraction(at, new(big.Int).Sub(da, db))
}

// line is l[0]·x + l[1]·y = l[2] in a view.
type line [3]*big.Int

// lineThrough is the line through two corners.
func (k view) lineThrough(a, b *point) line {
	x, y := k.axes()
	l := line{new(big.Int).Sub(a.at[y], b.at[y]), new(big.Int).Sub(b.at[x], a.at[x]), new(big.Int)}
	var t big.Int
	l[2].Mul(l[0], a.at[x])
	l[2].Add(l[2], t.Mul(l[1], a.at[y]))
	return l
}

// lineOf is the line in which planes p and q meet.
func (k view) lineOf(p, q *plane) line {
	x, y := k.axes()
	var l line
	var t big.Int
	for i, c := range [3][2]*big.Int{{p.n[x], q.n[x]}, {p.n[y], q.n[y]}, {p.d, q.d}} {
		l[i] = new(big.Int).Mul(c[0], q.n[k])
		l[i].Sub(l[i], t.Mul(c[1], p.n[k]))
	}
	return l
}

// meet is where two lines in the plane p meet; they are not parallel in the
// view.
func (u units) meet(k view, p *plane, l, m line) *point {
	x, y := k.axes()
	cross := func(i, j int) *big.Int {
		var t big.Int
		z := new(big.Int).Mul(l[i], m[j])
		return z.Sub(z, t.Mul(l[j], m[i]))
	}
	w := cross(0, 1)
	px, py := cross(2, 1), cross(0, 2)
	// The third from the plane: nk·z = d·w - nx·x - ny·y.
	var t big.Int
	z := new(big.Int).Mul(p.d, w)
	z.Sub(z, t.Mul(p.n[x], px))
	z.Sub(z, t.Mul(p.n[y], py))
	var at [3]*big.Int
	at[x], at[y], at[k] = px.Mul(px, p.n[k]), py.Mul(py, p.n[k]), z
	return u.fraction(at, w.Mul(w, p.n[k]))
}

// table numbers points: equal ones once.
type table struct {
	pts  []*point
	find map[[3]float64]int32 // nil while there are few
	next []int32              // the one before with the same nearest numbers, -1 = none
}

// fewPoints are looked through one by one.
const fewPoints = 24

func newTable(n int) *table {
	t := &table{pts: make([]*point, 0, n)}
	if n > fewPoints {
		t.next = make([]int32, 0, n)
		t.find = make(map[[3]float64]int32, n)
	}
	return t
}

// add returns the number of p, its own or that of the equal one before it.
func (t *table) add(p *point) int32 {
	if t.find == nil {
		for i, q := range t.pts {
			if q.same(p) {
				return int32(i)
			}
		}
		if len(t.pts) < fewPoints {
			t.pts = append(t.pts, p)
			return int32(len(t.pts) - 1)
		}
		t.find = make(map[[3]float64]int32, 4*fewPoints)
		for i, q := range t.pts {
			t.enter(q, int32(i))
		}
	}
	for i := t.last(p); i >= 0; i = t.next[i] {
		if t.pts[i].same(p) {
			return i
		}
	}
	n := int32(len(t.pts))
	t.pts = append(t.pts, p)
	t.enter(p, n)
	return n
}

// last is the last point with the same nearest numbers as p, -1 where there is
// none.
func (t *table) last(p *point) int32 {
	if i, ok := t.find[p.key()]; ok {
		return i
	}
	return -1
}

func (t *table) enter(p *point, n int32) {
	t.next = append(t.next, t.last(p))
	t.find[p.key()] = n
}

// key is the nearest numbers, without -0.
func (p *point) key() [3]float64 { return [3]float64{p.hi[0] + 0, p.hi[1] + 0, p.hi[2] + 0} }
