package shape

import (
	"fmt"
	"math"

	"moldtally/mesh"
)

// Prism raises a simple polygon, in either direction of travel, from z = 0 to
// h. Its volume is |PolygonArea|·h.
func Prism(poly [][2]float64, h float64) *mesh.Mesh {
	p := counterClockwise(poly)
	var s soup
	at := func(i int, z float64) mesh.Vec { q := p[i%len(p)]; return mesh.Vec{X: q[0], Y: q[1], Z: z} }
	for i := range p {
		s.quad(at(i, 0), at(i+1, 0), at(i+1, h), at(i, h))
	}
	for _, t := range earClip(p) {
		s.tri(at(t[0], h), at(t[1], h), at(t[2], h))
		s.tri(at(t[0], 0), at(t[2], 0), at(t[1], 0))
	}
	return s.mesh()
}

// PolygonArea is the signed area of a polygon, positive counter-clockwise.
func PolygonArea(p [][2]float64) float64 {
	sum := 0.0
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a[0]*b[1] - b[0]*a[1]
	}
	return sum / 2
}

func counterClockwise(p [][2]float64) [][2]float64 {
	if len(p) < 3 || PolygonArea(p) == 0 {
		panic(fmt.Sprintf("shape: a polygon of %d corners without area", len(p)))
	}
	q := append([][2]float64(nil), p...)
	if PolygonArea(p) < 0 {
		for i := range p {
			q[len(p)-1-i] = p[i]
		}
	}
	return q
}

// earClip triangulates a counter-clockwise simple polygon (G. H. Meisters,
// "Polygons have ears", 1975). Quadratic to cubic: for small polygons.
func earClip(p [][2]float64) [][3]int {
	left := make([]int, len(p))
	for i := range left {
		left[i] = i
	}
	turn := func(a, b, c [2]float64) float64 {
		return (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
	}
	var out [][3]int
	for len(left) > 3 {
		cut := -1
		for i := range left {
			ia, ib, ic := left[(i+len(left)-1)%len(left)], left[i], left[(i+1)%len(left)]
			a, b, c := p[ia], p[ib], p[ic]
			if turn(a, b, c) <= 0 {
				continue
			}
			ear := true
			for _, k := range left {
				if k != ia && k != ib && k != ic && turn(a, b, p[k]) >= 0 && turn(b, c, p[k]) >= 0 && turn(c, a, p[k]) >= 0 {
					ear = false
					break
				}
			}
			if ear {
				cut = i
				out = append(out, [3]int{ia, ib, ic})
				break
			}
		}
		if cut < 0 {
			panic("shape: the polygon crosses itself")
		}
		left = append(left[:cut], left[cut+1:]...)
	}
	return append(out, [3]int{left[0], left[1], left[2]})
}

// Ngon is a regular polygon of circumradius r.
func Ngon(r float64, n int) [][2]float64 {
	cos, sin := circle(n)
	p := make([][2]float64, n)
	for i := range p {
		p[i] = [2]float64{r * cos[i], r * sin[i]}
	}
	return p
}

// Dovetail is a tongue along Y: root wide at the board, head wide at the top,
// head > root, height h, length l. Standing on the board it is undercut by
// (head−root)/2 on both long sides; pulled along Y it is a plain prism.
// Volume (root+head)/2·h·l.
func Dovetail(root, head, h, l float64) *mesh.Mesh {
	p := Prism([][2]float64{{-root / 2, 0}, {root / 2, 0}, {head / 2, h}, {-head / 2, h}}, l)
	// The polygon's y becomes z and the prism's z becomes −y.
	return Map(p, func(v mesh.Vec) mesh.Vec { return mesh.Vec{X: v.X, Y: l/2 - v.Z, Z: v.Y} })
}

// Hook is a flat hook of thickness t along Y: a post with an arm that ends in
// a tip hanging down, all of square section a, reach wide and h high, the tip
// drop long. Volume (a·(h−a) + reach·a + a·drop)·t.
func Hook(a, reach, h, drop, t float64) *mesh.Mesh {
	p := Prism([][2]float64{{0, 0}, {a, 0}, {a, h - a}, {reach - a, h - a}, {reach - a, h - a - drop}, {reach, h - a - drop}, {reach, h}, {0, h}}, t)
	return Map(p, func(v mesh.Vec) mesh.Vec { return mesh.Vec{X: v.X, Y: t/2 - v.Z, Z: v.Y} })
}

// Tube sweeps a regular n-gon of radius r(i) along a path and closes both
// ends. The path must bend gently against the radius or the skin crosses
// itself. A radius of 0 at an end makes a tip.
func Tube(path []mesh.Vec, radius func(i int) float64, n int) *mesh.Mesh {
	if len(path) < 2 {
		panic("shape: a tube needs two points")
	}
	cos, sin := circle(n)
	rings := make([][]mesh.Vec, len(path))
	var e1 mesh.Vec
	for i, c := range path {
		a, b := path[max(i-1, 0)], path[min(i+1, len(path)-1)]
		t := b.Sub(a).Unit()
		if i == 0 {
			e1, _ = mesh.Basis(t)
		} else { // carry the frame along, without twist
			e1 = e1.Sub(t.Mul(t.Dot(e1))).Unit()
		}
		e2 := t.Cross(e1)
		rings[i] = make([]mesh.Vec, n)
		for k := range n {
			rings[i][k] = c.Add(e1.Mul(radius(i) * cos[k])).Add(e2.Mul(radius(i) * sin[k]))
		}
	}
	var s soup
	for i := range len(path) - 1 {
		for k := range n {
			l := (k + 1) % n
			s.quad(rings[i][k], rings[i][l], rings[i+1][l], rings[i+1][k])
		}
	}
	first, last := rings[0], rings[len(path)-1]
	for k := range n {
		l := (k + 1) % n
		s.tri(path[0], first[l], first[k])
		s.tri(path[len(path)-1], last[k], last[l])
	}
	return s.mesh()
}

// Horn is a curved horn: a quarter circle of radius bend from the board, base
// radius r tapering to a tip, in m steps of n facets.
func Horn(bend, r float64, m, n int) *mesh.Mesh {
	path := make([]mesh.Vec, m+1)
	for i := range path {
		s, c := math.Sincos(math.Pi / 2 * float64(i) / float64(m))
		path[i] = mesh.Vec{X: bend * (1 - c), Z: bend * s}
	}
	return Tube(path, func(i int) float64 { return r * float64(m-i) / float64(m) }, n)
}

// Mug is a cup with a handle on its +X side: outer radius r, height h, wall
// and floor t, n facets (even, at least 8). The handle is a bent bar that
// grows out of two facets of the wall and stands off by reach. Genus 1.
func Mug(r, h, t, reach float64, n int) *mesh.Mesh {
	if n < 8 || n%2 != 0 {
		panic("shape: a mug needs an even number of facets, at least 8")
	}
	zs := []float64{0, h * 0.2, h * 0.35, h * 0.65, h * 0.8, h}
	cos, sin := make([]float64, n), make([]float64, n)
	for k := range n { // half a step on, so that a facet faces +X
		sin[k], cos[k] = math.Sincos(2 * math.Pi * (float64(k) - 0.5) / float64(n))
	}
	at := func(r, z float64, k int) mesh.Vec {
		k = (k + n) % n
		return mesh.Vec{X: r * cos[k], Y: r * sin[k], Z: z}
	}
	var s soup
	for k := range n {
		s.tri(mesh.Vec{}, at(r, 0, k+1), at(r, 0, k))
		for i := range len(zs) - 1 {
			if k == 0 && (i == 1 || i == 3) {
				continue // the handle's feet
			}
			s.quad(at(r, zs[i], k), at(r, zs[i], k+1), at(r, zs[i+1], k+1), at(r, zs[i+1], k))
		}
		s.quad(at(r, h, k), at(r, h, k+1), at(r-t, h, k+1), at(r-t, h, k))
		s.quad(at(r-t, h, k), at(r-t, h, k+1), at(r-t, t, k+1), at(r-t, t, k))
		s.tri(mesh.Vec{Z: t}, at(r-t, t, k), at(r-t, t, k+1))
	}
	// The handle's sections, from the lower foot round to the upper one; each
	// is the pair (lower/outer edge, upper/inner edge) of the bar.
	y0, y1 := r*sin[0], r*sin[1]
	x := r * cos[0]
	type edge struct{ x, z float64 }
	bar := h * 0.15
	outer := []edge{{x, zs[1]}, {x + reach, zs[1]}, {x + reach + bar, zs[1] + bar}, {x + reach + bar, zs[4] - bar}, {x + reach, zs[4]}, {x, zs[4]}}
	inner := []edge{{x, zs[2]}, {x + reach, zs[2]}, {x + reach, zs[2]}, {x + reach, zs[3]}, {x + reach, zs[3]}, {x, zs[3]}}
	p := func(e edge, y float64) mesh.Vec { return mesh.Vec{X: e.x, Y: y, Z: e.z} }
	for i := range len(outer) - 1 {
		o, q, v, w := outer[i], outer[i+1], inner[i], inner[i+1]
		s.quad(p(o, y1), p(q, y1), p(q, y0), p(o, y0))
		s.quad(p(v, y0), p(w, y0), p(w, y1), p(v, y1))
		s.quad(p(o, y0), p(q, y0), p(w, y0), p(v, y0))
		s.quad(p(o, y1), p(v, y1), p(w, y1), p(q, y1))
	}
	return s.mesh()
}
