package mesh

import (
	"math"
)

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
