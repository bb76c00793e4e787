package mesh

import (
	"cmp"
	"math"
	"slices"
)

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
