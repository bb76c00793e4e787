package mesh

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// Vec2 is a point or direction in a plane, mm (or unitless, for a direction).
type Vec2 struct{ X, Y float64 }

// Add returns a + b.
func (a Vec2) Add(b Vec2) Vec2 { return Vec2{a.X + b.X, a.Y + b.Y} }

// Sub returns a - b.
func (a Vec2) Sub(b Vec2) Vec2 { return Vec2{a.X - b.X, a.Y - b.Y} }

// Mul returns a scaled by k.
func (a Vec2) Mul(k float64) Vec2 { return Vec2{a.X * k, a.Y * k} }

// Dot returns the scalar product.
func (a Vec2) Dot(b Vec2) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

// Cross returns the third coordinate of the vector product.
func (a Vec2) Cross(b Vec2) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }

// Len returns the Euclidean length.
func (a Vec2) Len() float64 { return math.Sqrt(a.Dot(a)) }

// Perp returns a turned a quarter turn counterclockwise.
func (a Vec2) Perp() Vec2 { return Vec2{-a.Y, a.X} }

// orient2Err bounds the relative rounding error of the plain determinant in
// Orient2: (3 + 16ε)ε with ε = 2⁻⁵³. J. R. Shewchuk, "Adaptive Precision
// Floating-Point Arithmetic and Fast Robust Geometric Predicates", Discrete &
// Computational Geometry 18 (1997), section 4.3 (constant recalled).
const orient2Err = (3 + 16*0x1p-53) * 0x1p-53

// Orient2 returns +1 when a, b, c turn counterclockwise, -1 when they turn
// clockwise and 0 when they lie on one line: exactly, for all finite
// coordinates.
func Orient2(a, b, c Vec2) int {
	l := float64((a.X - c.X) * (b.Y - c.Y))
	r := float64((a.Y - c.Y) * (b.X - c.X))
	det := l - r
	if bound := float64(orient2Err*(math.Abs(l)+math.Abs(r))) + detFloor; det > bound || -det > bound {
		if det > 0 {
			return 1
		}
		return -1
	}
	return orient2Exact(a, b, c)
}

// orient2Exact sums the six products of the determinant
// ax·by - ax·cy - cx·by - ay·bx + ay·cx + cy·bx as an expansion: twelve
// numbers that add up without error. The sign of an expansion whose members do
// not overlap is the sign of its largest member.
func orient2Exact(a, b, c Vec2) int {
	for _, x := range [6]float64{a.X, a.Y, b.X, b.Y, c.X, c.Y} {
		if !plainRange(x) {
			return orient2Big(a, b, c)
		}
	}
	var e [12]float64
	n := 0
	add := func(x float64) {
		// Grow the expansion by x (Shewchuk 1997, section 2.4), dropping
		// zeros.
		k := 0
		for i := 0; i < n; i++ {
			s := x + e[i]
			bv := s - x
			t := (x - (s - bv)) + (e[i] - bv)
			if t != 0 {
				e[k] = t
				k++
			}
			x = s
		}
		if x != 0 || k == 0 {
			e[k] = x
			k++
		}
		n = k
	}
	mul := func(x, y float64) {
		p := float64(x * y)
		add(math.FMA(x, y, -p))
		add(p)
	}
	mul(a.X, b.Y)
	mul(-a.X, c.Y)
	mul(-c.X, b.Y)
	mul(-a.Y, b.X)
	mul(a.Y, c.X)
	mul(c.Y, b.X)
	switch x := e[n-1]; {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

func compare2(a, b Vec2) int {
	if a.X != b.X {
		return cmp.Compare(a.X, b.X)
	}
	return cmp.Compare(a.Y, b.Y)
}

// Hull2 returns the corners of the convex hull of the points,
// counterclockwise, from the one with the least X (of those, the least Y).
// Corners only: no point on an edge, no point twice. The decision is exact, so
// the same set of points gives the same hull in any order. Fewer than three
// corners mean that all points lie on one line. pts is not changed.
func Hull2(pts []Vec2) []Vec2 {
	return hull2InPlace(append([]Vec2(nil), pts...))
}

// hull2InPlace is Hull2 that reorders its argument and returns a fresh slice.
// It is the monotone chain of A. M. Andrew, "Another efficient algorithm for
// convex hulls in two dimensions", Information Processing Letters 9 (1979).
func hull2InPlace(p []Vec2) []Vec2 {
	slices.SortFunc(p, compare2)
	n := 0
	for i, v := range p {
		if i == 0 || v != p[n-1] {
			p[n] = v
			n++
		}
	}
	p = p[:n]
	if n < 3 {
		return append([]Vec2(nil), p...)
	}
	h := make([]Vec2, 0, 64)
	for _, v := range p {
		for len(h) >= 2 && Orient2(h[len(h)-2], h[len(h)-1], v) <= 0 {
			h = h[:len(h)-1]
		}
		h = append(h, v)
	}
	low := len(h) + 1
	for i := n - 2; i >= 0; i-- {
		v := p[i]
		for len(h) >= low && Orient2(h[len(h)-2], h[len(h)-1], v) <= 0 {
			h = h[:len(h)-1]
		}
		h = append(h, v)
	}
	return h[:len(h)-1]
}

// PerimeterOf returns the length round a closed polygon, mm. Two corners count
// the way there and back, as a stretched band round them would.
func PerimeterOf(hull []Vec2) float64 {
	var s float64
	for i, a := range hull {
		s += hull[(i+1)%len(hull)].Sub(a).Len()
	}
	return s
}

// AreaOf returns the area of a closed polygon, mm², positive when it runs
// counterclockwise.
func AreaOf(hull []Vec2) float64 {
	var s float64
	for i := 2; i < len(hull); i++ {
		s += hull[i-1].Sub(hull[0]).Cross(hull[i].Sub(hull[0]))
	}
	return s / 2
}

// Rect is a rectangle in a plane; Axis is a unit vector along Length, and
// Length >= Width. The other side runs along Axis.Perp().
type Rect struct {
	Center        Vec2
	Axis          Vec2
	Length, Width float64 // mm
}

// Area returns Length × Width, mm².
func (r Rect) Area() float64 { return r.Length * r.Width }

// Corners returns the four corners, counterclockwise.
func (r Rect) Corners() [4]Vec2 {
	a, b := r.Axis.Mul(r.Length/2), r.Axis.Perp().Mul(r.Width/2)
	return [4]Vec2{
		r.Center.Sub(a).Sub(b), r.Center.Add(a).Sub(b),
		r.Center.Add(a).Add(b), r.Center.Sub(a).Add(b),
	}
}

// extent is what the calipers read at one angle: the hull's four extreme
// corners along d and along d.Perp().
type extent struct{ loX, hiX, loY, hiY int }

// calipers walks a direction round a hull. Each of the four pointers only ever
// goes forward, so a whole turn costs O(n) (M. I. Shamos, "Computational
// Geometry", 1978; H. Freeman & R. Shapira, "Determining the minimum-area
// encasing rectangle for an arbitrary closed curve", CACM 18 (1975), for the
// flush edge).
type calipers struct {
	h []Vec2
	extent
}

// newCalipers starts at direction d.
func newCalipers(h []Vec2, d Vec2) *calipers {
	c := &calipers{h: h}
	q := d.Perp()
	o := h[0]
	for i, p := range h {
		v := p.Sub(o)
		if v.Dot(d) < h[c.loX].Sub(o).Dot(d) {
			c.loX = i
		}
		if v.Dot(d) > h[c.hiX].Sub(o).Dot(d) {
			c.hiX = i
		}
		if v.Dot(q) < h[c.loY].Sub(o).Dot(q) {
			c.loY = i
		}
		if v.Dot(q) > h[c.hiY].Sub(o).Dot(q) {
			c.hiY = i
		}
	}
	return c
}

// turn moves the pointers to direction d, which must not be behind the last
// one. Edge vectors are compared, not positions, so that short edges keep
// their digits.
func (c *calipers) turn(d Vec2) {
	step := func(i *int, d Vec2) {
		for k := 0; k < len(c.h); k++ {
			j := (*i + 1) % len(c.h)
			if c.h[j].Sub(c.h[*i]).Dot(d) <= 0 {
				return
			}
			*i = j
		}
	}
	q := d.Perp()
	step(&c.hiX, d)
	step(&c.hiY, q)
	step(&c.loX, d.Mul(-1))
	step(&c.loY, q.Mul(-1))
}

// rect is the rectangle at unit direction d.
func (c *calipers) rect(d Vec2) Rect {
	q := d.Perp()
	o := c.h[c.loX]
	w := c.h[c.hiX].Sub(o).Dot(d)
	lo := c.h[c.loY].Sub(o).Dot(q)
	hi := c.h[c.hiY].Sub(o).Dot(q)
	r := Rect{
		Center: o.Add(d.Mul(w / 2)).Add(q.Mul((lo + hi) / 2)),
		Axis:   d, Length: w, Width: hi - lo,
	}
	return r.canonical()
}

// canonical puts the longer side first and the axis into the right half-plane.
func (r Rect) canonical() Rect {
	if r.Width > r.Length {
		r.Length, r.Width, r.Axis = r.Width, r.Length, r.Axis.Perp()
	}
	if r.Axis.X < 0 || r.Axis.X == 0 && r.Axis.Y < 0 {
		r.Axis = r.Axis.Mul(-1)
	}
	r.Axis.X, r.Axis.Y = r.Axis.X+0, r.Axis.Y+0
	return r
}

// skew says how far a rectangle stands from the plane's axes: 0 when it is
// square to them. Among equal rectangles the least skew wins, so that a round
// or regular outline gives a rectangle a person would have drawn.
func (r Rect) skew() float64 { return min(math.Abs(r.Axis.X), math.Abs(r.Axis.Y)) }

// rectTie is how near two areas must be, relatively, to be called equal.
// It is far above rounding and far below anything a saw can cut.
const rectTie = 1e-10

// flatRect is the rectangle of a hull with fewer than three corners.
func flatRect(h []Vec2) Rect {
	switch len(h) {
	case 0:
		return Rect{Axis: Vec2{1, 0}}
	case 1:
		return Rect{Center: h[0], Axis: Vec2{1, 0}}
	}
	v := h[1].Sub(h[0])
	l := v.Len()
	return Rect{Center: h[0].Add(v.Mul(0.5)), Axis: v.Mul(1 / l), Length: l}.canonical()
}

// flush returns the directions, folded into the first quadrant and sorted by
// angle, at which a rectangle's side lies along a hull edge.
func flush(h []Vec2) []Vec2 {
	ds := make([]Vec2, 0, len(h))
	for i, a := range h {
		v := h[(i+1)%len(h)].Sub(a)
		for v.X <= 0 || v.Y < 0 {
			v = v.Perp()
		}
		l := v.Len()
		if l == 0 {
			continue
		}
		ds = append(ds, Vec2{v.X / l, v.Y / l})
	}
	sort.Slice(ds, func(i, j int) bool {
		if ds[i].Y != ds[j].Y {
			return ds[i].Y < ds[j].Y
		}
		return ds[i].X > ds[j].X
	})
	return ds
}

// MinRect returns the rectangle of least area round a convex hull as Hull2
// returns it. The least rectangle has a side flush with a hull edge (Freeman &
// Shapira 1975), so trying each edge is exact; O(n log n). Among equal ones
// the one squarest to the plane's axes is taken.
func MinRect(hull []Vec2) Rect { return MinRectGrown(hull, 0, 0) }

// MinRectGrown returns the rectangle of least area that keeps a distance of
// grow from the hull on all four sides, each side's length then rounded up to
// a whole number of steps (0 = not rounded), mm. The outline stands in its
// middle; Length and Width are the grown, rounded ones.
//
// Without rounding a flush edge is still best: between two flush angles the
// two widths are arcs of cosines, so they and their sums with a constant are
// concave, the logarithm of the product is concave, and a concave function is
// least at an end. The least grown rectangle may be flush with another edge
// than the least bare one, though.
//
// With rounding the area is a step function of the angle, and its least value
// may be reached only between two flush angles, where one side has just
// dropped to a whole step and the other has not yet left one. It changes only
// where a side passes a whole step; so besides the flush angles all those
// crossings are tried, in each interval whose ends, unrounded, do not already
// rule it out (by the concavity above the unrounded ends bound the interval
// from below). Among equal areas the least unrounded one is taken, then the
// squarest to the axes.
func MinRectGrown(hull []Vec2, grow, step float64) Rect {
	if len(hull) < 3 {
		r := flatRect(hull)
		r.Length = roundUp(r.Length+2*grow, step)
		r.Width = roundUp(r.Width+2*grow, step)
		return r
	}
	s := rectSearch{grow: grow, step: step}
	ds := flush(hull)
	c := newCalipers(hull, ds[0])
	ext := make([]extent, len(ds)) // the corners touched at ds[i]
	low := make([]float64, len(ds))
	for i, d := range ds {
		c.turn(d)
		ext[i] = c.extent
		r := c.rect(d)
		s.try(r, r.Length+2*grow, r.Width+2*grow)
		low[i] = (r.Length + 2*grow) * (r.Width + 2*grow)
	}
	if step > 0 {
		for i, d := range ds {
			// The interval after the last flush angle runs to the first one
			// turned by a quarter.
			j := (i + 1) % len(ds)
			e := ds[j]
			if j == 0 {
				e = e.Perp()
			}
			if min(low[i], low[j]) >= s.area*(1-rectTie) {
				continue
			}
			// Just after d the sides may rest on other corners than at d; half
			// way along the interval they rest on those of all of it.
			c.extent = ext[i]
			c.turn(d.Add(e))
			s.between(c, d, e)
		}
	}
	return s.best
}

// roundUp rounds x up to a whole number of steps. A length that is over a
// whole step by less than a millionth of a step counts as that step: it is
// rounding, not size.
func roundUp(x, step float64) float64 {
	if step <= 0 {
		return x
	}
	return math.Ceil(x/step-1e-6) * step
}

// rectSearch keeps the best rectangle so far.
type rectSearch struct {
	grow, step float64
	any        bool
	best       Rect
	area, raw  float64 // of best: rounded, unrounded
}

// try offers a rectangle whose sides, grown, are l and w.
func (s *rectSearch) try(r Rect, l, w float64) {
	raw := l * w
	r.Length, r.Width = roundUp(l, s.step), roundUp(w, s.step)
	r = r.canonical()
	area := r.Area()
	better := !s.any || area < s.area*(1-rectTie)
	if !better && area <= s.area*(1+rectTie) {
		better = raw < s.raw*(1-rectTie) || raw <= s.raw*(1+rectTie) && r.skew() < s.best.skew()-1e-9
	}
	if better {
		s.any, s.best, s.area, s.raw = true, r, area, raw
	}
}

// between tries all angles strictly between directions d and e at which one of
// the sides, grown, is a whole number of steps. c stands on the corners touched
// throughout the interval.
func (s *rectSearch) between(c *calipers, d, e Vec2) {
	vx := c.h[c.hiX].Sub(c.h[c.loX])
	vy := c.h[c.hiY].Sub(c.h[c.loY])
	// At direction t the sides are vx·t and vy·t.Perp() = -vy.Perp()·t: both
	// of the form |v| cos(angle from v).
	for _, v := range [2]Vec2{vx, vy.Perp().Mul(-1)} {
		l := v.Len()
		if l == 0 {
			continue
		}
		a, b := v.Dot(d), v.Dot(e)
		top := max(a, b)
		if f := v.Mul(1 / l); d.Cross(f) > 0 && f.Cross(e) > 0 {
			top = l // the arc's crest lies inside
		}
		lo := math.Ceil((min(a, b) + 2*s.grow) / s.step)
		hi := math.Floor((top + 2*s.grow) / s.step)
		for k := lo; k <= hi; k++ {
			side := k*s.step - 2*s.grow
			if side <= 0 || side > l {
				continue
			}
			cos := side / l
			sin := math.Sqrt(max(0, 1-cos*cos))
			for _, sg := range [2]float64{1, -1} {
				f, q := v.Mul(cos/l), v.Perp().Mul(sg*sin/l)
				t := f.Add(q)
				if d.Cross(t) < 0 || t.Cross(e) < 0 {
					continue
				}
				r := c.rectAt(t)
				s.try(r, r.Length+2*s.grow, r.Width+2*s.grow)
			}
		}
	}
}

// rectAt is rect without the calipers' promise that d is a flush direction.
func (c *calipers) rectAt(d Vec2) Rect {
	l := d.Len()
	return c.rect(d.Mul(1 / l))
}

// Circle is a circle in a plane, mm.
type Circle struct {
	Center Vec2
	Radius float64
}

// MinCircle returns the least circle round the points. Like E. Welzl's
// ("Smallest enclosing disks", 1991) it keeps a basis of at most three points;
// instead of a random order it takes in the point farthest outside, so that it
// is deterministic and needs a handful of passes. The radius is that of the
// farthest point from the centre, so every point is inside.
func MinCircle(pts []Vec2) Circle {
	if len(pts) == 0 {
		return Circle{}
	}
	// Work from the middle of the points: far from the origin the squares
	// would eat the digits.
	lo, hi := pts[0], pts[0]
	for _, p := range pts {
		lo = Vec2{min(lo.X, p.X), min(lo.Y, p.Y)}
		hi = Vec2{max(hi.X, p.X), max(hi.Y, p.Y)}
	}
	o := lo.Add(hi).Mul(0.5)
	far := func(c Vec2) (int, float64) {
		k, d := 0, -1.0
		for i, p := range pts {
			v := p.Sub(o).Sub(c)
			if q := v.Dot(v); q > d {
				k, d = i, q
			}
		}
		return k, math.Sqrt(d)
	}
	k, _ := far(Vec2{})
	basis := []Vec2{pts[k].Sub(o)}
	c := Circle{Center: basis[0]}
	for {
		k, d := far(c.Center)
		if d <= c.Radius*(1+1e-14) {
			break
		}
		nb, nc := circleWith(basis, pts[k].Sub(o))
		if nc.Radius <= c.Radius {
			break // only rounding is left
		}
		basis, c = nb, nc
	}
	_, c.Radius = far(c.Center)
	c.Center = c.Center.Add(o)
	return c
}

// circleWith returns the least circle round the basis (at most three points)
// and p, which lies outside the basis' own circle and therefore on the new
// one, with the points that hold it.
func circleWith(basis []Vec2, p Vec2) ([]Vec2, Circle) {
	holds := func(c Circle) bool {
		for _, b := range basis {
			if b.Sub(c.Center).Len() > c.Radius*(1+1e-13) {
				return false
			}
		}
		return true
	}
	var best Circle
	var set []Vec2
	for _, b := range basis {
		c := Circle{p.Add(b).Mul(0.5), p.Sub(b).Len() / 2}
		if holds(c) && (set == nil || c.Radius < best.Radius) {
			best, set = c, []Vec2{p, b}
		}
	}
	if set != nil {
		return set, best
	}
	for i := range basis {
		for j := i + 1; j < len(basis); j++ {
			c, ok := through(p, basis[i], basis[j])
			if ok && holds(c) && (set == nil || c.Radius < best.Radius) {
				best, set = c, []Vec2{p, basis[i], basis[j]}
			}
		}
	}
	return set, best
}

// through returns the circle through three points.
func through(a, b, c Vec2) (Circle, bool) {
	u, v := b.Sub(a), c.Sub(a)
	d := 2 * u.Cross(v)
	if d == 0 {
		return Circle{}, false
	}
	uu, vv := u.Dot(u), v.Dot(v)
	m := Vec2{(v.Y*uu - u.Y*vv) / d, (u.X*vv - v.X*uu) / d}
	return Circle{a.Add(m), m.Len()}, true
}

// MaxClearance turns and places a convex hull in a rectangle of the given
// sides so that the least distance to the four sides is as large as it can be.
// It returns the rectangle as it then lies round the hull and that distance,
// which is negative when the hull fits no way round: then it says by how much
// each of the two tightest sides must move.
//
// Between two flush angles each side's clearance is a constant less an arc of
// a cosine, which is convex; so the lesser of the two is greatest at a flush
// angle or where both are equal, and all of those are tried. Among equal turns
// the squarest to the axes is taken.
func MaxClearance(hull []Vec2, length, width float64) (Rect, float64) {
	if width > length {
		length, width = width, length
	}
	best, gap := Rect{}, math.Inf(-1)
	try := func(r Rect, alongAxis bool) {
		c := min(length-r.Length, width-r.Width) / 2
		if !alongAxis {
			c = min(length-r.Width, width-r.Length) / 2
			r.Axis = r.Axis.Perp()
		}
		r.Length, r.Width = length, width
		r = r.canonical()
		tie := 1e-9 * (length + width)
		if c > gap+tie || c > gap-tie && r.skew() < best.skew()-1e-9 {
			best, gap = r, c
		}
	}
	if len(hull) < 3 {
		r := flatRect(hull)
		try(r, true)
		if len(hull) == 2 { // a line also fits along the diagonal
			for _, c := range diagonal(r.Length, length, width) {
				a := r
				a.Axis = Vec2{r.Axis.X*c.X + r.Axis.Y*c.Y, r.Axis.Y*c.X - r.Axis.X*c.Y}
				a.Length, a.Width = r.Length*c.X, r.Length*math.Abs(c.Y)
				try(a, true)
			}
		}
		return best, gap
	}
	ds := flush(hull)
	c := newCalipers(hull, ds[0])
	for i, d := range ds {
		c.turn(d)
		r := c.rect(d)
		try(r, true)
		try(r, false)
		e := ds[(i+1)%len(ds)]
		if i == len(ds)-1 {
			e = e.Perp()
		}
		at := c.extent
		c.turn(d.Add(e))
		vx := c.h[c.hiX].Sub(c.h[c.loX])
		vp := c.h[c.hiY].Sub(c.h[c.loY]).Perp().Mul(-1)
		for _, v := range [2]Vec2{vx.Sub(vp), vp.Sub(vx)} {
			l := v.Len()
			if l == 0 || length-width > l {
				continue
			}
			cos := (length - width) / l
			sin := math.Sqrt(max(0, 1-cos*cos))
			for _, s := range [2]float64{sin, -sin} {
				t := v.Mul(cos / l).Add(v.Perp().Mul(s / l))
				if d.Cross(t) > 0 && t.Cross(e) > 0 {
					r := c.rectAt(t)
					try(r, true)
					try(r, false)
				}
			}
		}
		c.extent = at
	}
	return best, gap
}

// diagonal returns the directions (relative to a line of length s) of a
// rectangle's long axis at which both clearances are equal.
func diagonal(s, length, width float64) []Vec2 {
	// length - s·cos = width - s·sin
	k := (length - width) / (s * math.Sqrt2)
	if math.Abs(k) > 1 {
		return nil
	}
	var out []Vec2
	for _, a := range []float64{math.Acos(k) - math.Pi/4, -math.Acos(k) - math.Pi/4} {
		if c, n := math.Cos(a), math.Sin(a); c >= 0 && n >= 0 {
			out = append(out, Vec2{c, n}, Vec2{c, -n})
		}
	}
	return out
}
