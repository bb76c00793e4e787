package section

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
)

// Hull is mesh.Hull2 for the many points of a section: the same monotone chain
// with plain determinants. It reorders p. A corner lost to rounding moves the
// perimeter by less than the rounding of the points themselves.
func Hull(p []mesh.Vec2) []mesh.Vec2 {
	if len(p) < 8 {
		return mesh.Hull2(p)
	}
	p = outer(p)
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

// outer drops points that lie well inside the octagon of the outermost along the axes
// and between them: they are no corners (S. G. Akl and G. T. Toussaint, "A fast convex
// hull algorithm", Information Processing Letters 7 (1978) 219, from memory).
func outer(p []mesh.Vec2) []mesh.Vec2 {
	if len(p) < 64 {
		return p
	}
	var out [8]mesh.Vec2 // counterclockwise from the one farthest along x
	var far [8]float64
	for k := range far {
		far[k] = math.Inf(-1)
	}
	for _, v := range p {
		for k, d := range [4]float64{v.X, v.X + v.Y, v.Y, v.Y - v.X} {
			if d > far[k] {
				far[k], out[k] = d, v
			}
			if -d > far[k+4] {
				far[k+4], out[k+4] = -d, v
			}
		}
	}
	if far[0] == -far[4] && far[2] == -far[6] {
		return p // all are one
	}
	var side [8]mesh.Vec2 // inward, from each of them to the next
	var least [8]float64
	for k, a := range out {
		e := out[(k+1)%len(out)].Sub(a)
		side[k] = mesh.Vec2{X: -e.Y, Y: e.X}
		least[k] = side[k].Dot(a) + 1e-9*(math.Abs(e.X)+math.Abs(e.Y))*(far[0]+far[4]+far[2]+far[6]+math.Abs(a.X)+math.Abs(a.Y))
		if e == (mesh.Vec2{}) {
			least[k] = math.Inf(-1) // two of them are one
		}
	}
	n := 0
	for i, v := range p {
		inside := true
		for k, s := range side {
			if !(s.Dot(v) > least[k]) && !math.IsInf(least[k], -1) {
				inside = false
				break
			}
		}
		if !inside {
			p[i], p[n] = p[n], v
			n++
		}
	}
	return p[:n]
}

// maxCorners is how many corners Coarse keeps. Leaving out corners of a round
// hull of n costs it 5/n² of its perimeter: under 1e-4 here.
const maxCorners = 256

// Coarse drops the flattest corners of a hull with very many; the hull of
// several coarse hulls is within 1e-4 of that of the whole ones. The result is
// the caller's own.
func Coarse(h []mesh.Vec2) []mesh.Vec2 {
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

// Center is the centroid of a convex polygon, or the mean of the corners of one
// without area.
func Center(h []mesh.Vec2) mesh.Vec2 {
	var c mesh.Vec2
	var w float64
	for i := 2; i < len(h); i++ {
		a := h[i-1].Sub(h[0]).Cross(h[i].Sub(h[0]))
		c = c.Add(h[0].Add(h[i-1]).Add(h[i]).Mul(a / 3))
		w += a
	}
	if w > 0 {
		return c.Mul(1 / w)
	}
	c = mesh.Vec2{}
	for _, p := range h {
		c = c.Add(p.Mul(1 / float64(len(h))))
	}
	return c
}
