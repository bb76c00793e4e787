package boxfit

import (
	"math"
	"sort"

	"moldtally/mesh"
)

// walls are the sides of a container seen from above, clear inside.
type walls struct {
	kind   Kind
	center mesh.Vec2
	axis   mesh.Vec2 // unit, along length; across a polygon's first side
	length float64   // box: mm, length >= width
	width  float64
	radius float64 // sleeve: half the bore; polygon: apothem
	sides  int     // polygon
	// Of a sleeve: its wall, mm, 0 = unknown, and the wall's modulus, MPa.
	thick, elastic float64
}

// MaxSides is the most boards a polygon is made of; beyond a dozen a tube is
// less work (common practice, no source).
const MaxSides = 12

// face is a flat side: the inside is where p·n <= d.
type face struct {
	n mesh.Vec2
	d float64
}

// faces are the flat sides of a box or polygon.
func (w *walls) faces() []face {
	var list []face
	add := func(n mesh.Vec2, r float64) { list = append(list, face{n, n.Dot(w.center) + r}) }
	switch w.kind {
	case Box:
		q := w.axis.Perp()
		add(w.axis, w.length/2)
		add(q, w.width/2)
		add(w.axis.Mul(-1), w.length/2)
		add(q.Mul(-1), w.width/2)
	case Polygon:
		for i := range w.sides {
			a := 2 * math.Pi * float64(i) / float64(w.sides)
			c, n := math.Cos(a), math.Sin(a)
			add(mesh.Vec2{X: w.axis.X*c - w.axis.Y*n, Y: w.axis.X*n + w.axis.Y*c}, w.radius)
		}
	}
	return list
}

// side is the length of a polygon's side, mm.
func (w *walls) side() float64 { return 2 * w.radius * math.Tan(math.Pi/float64(w.sides)) }

// area is the clear area, mm².
func (w *walls) area() float64 {
	switch w.kind {
	case Box:
		return w.length * w.width
	case Polygon:
		return float64(w.sides) * w.radius * w.radius * math.Tan(math.Pi/float64(w.sides))
	}
	return math.Pi * w.radius * w.radius
}

// perimeter is the length round the inside, mm.
func (w *walls) perimeter() float64 {
	switch w.kind {
	case Box:
		return 2 * (w.length + w.width)
	case Polygon:
		return float64(w.sides) * w.side()
	}
	return 2 * math.Pi * w.radius
}

// widest is the longest side that liquid pushes on, mm; for a tube its bore,
// across which the two halves are pushed apart.
func (w *walls) widest() float64 {
	switch w.kind {
	case Box:
		return w.length
	case Polygon:
		return w.side()
	}
	return 2 * w.radius
}

// clearance returns the least distance from the outline to the sides, which is
// negative where it does not fit, and a function of plane position that is
// largest at the place.
func (w *walls) clearance(hull []mesh.Vec2) (float64, func(mesh.Vec2) float64) {
	if w.kind == Sleeve {
		f := func(p mesh.Vec2) float64 { return p.Sub(w.center).Len() }
		far := 0.0
		for _, p := range hull {
			far = max(far, f(p))
		}
		return w.radius - far, f
	}
	best := math.Inf(1)
	var at func(mesh.Vec2) float64
	for _, s := range w.faces() {
		far := math.Inf(-1)
		for _, p := range hull {
			far = max(far, p.Dot(s.n))
		}
		// Equal distances up to rounding: the first side is named.
		if c := s.d - far; c < best-1e-9*(1+math.Abs(best)) || at == nil {
			n := s.n
			best, at = c, func(p mesh.Vec2) float64 { return p.Dot(n) }
		}
	}
	return best, at
}

// boxWalls is the box for the pattern: of least area, unless it runs along the axes.
func (p *planner) boxWalls() walls {
	if !p.r.Along {
		return boxWalls(p.s.hull, p.wall, p.r.Step)
	}
	lo, hi := p.s.hull[0], p.s.hull[0]
	for _, v := range p.s.hull {
		lo, hi = mesh.Vec2{X: min(lo.X, v.X), Y: min(lo.Y, v.Y)}, mesh.Vec2{X: max(hi.X, v.X), Y: max(hi.Y, v.Y)}
	}
	side := func(x float64) float64 {
		if x += 2 * p.wall; p.r.Step > 0 {
			return math.Ceil(x/p.r.Step-1e-6) * p.r.Step
		}
		return x
	}
	w := walls{kind: Box, center: lo.Add(hi).Mul(0.5), axis: mesh.Vec2{X: 1}, length: side(hi.X - lo.X), width: side(hi.Y - lo.Y)}
	if w.width > w.length {
		w.length, w.width, w.axis = w.width, w.length, mesh.Vec2{Y: 1}
	}
	return w
}

// boxWalls is the box of least area with the wall all round, its sides rounded
// up to the step.
func boxWalls(hull []mesh.Vec2, wall, step float64) walls {
	r := mesh.MinRectGrown(hull, wall, step)
	return walls{kind: Box, center: r.Center, axis: r.Axis, length: r.Length, width: r.Width}
}

// sleeveWalls is a tube of the given bore over the least circle.
func sleeveWalls(c mesh.Circle, bore float64) walls {
	return walls{kind: Sleeve, center: c.Center, axis: mesh.Vec2{X: 1}, radius: bore / 2}
}

// polygonTurns is how many turns of a polygon are tried before the best few
// are refined; between two, the apothem changes by less than 0.1 % of the size.
const polygonTurns = 180

// polygonWalls is the least regular prism of n boards with the wall all round,
// the length of its sides rounded up to the step. It is turned and placed for
// the least apothem, and so for the least area and rubber.
func polygonWalls(hull []mesh.Vec2, n int, wall, step float64) walls {
	// Support of the hull from a point inside, so that no digits are lost.
	o := mesh.MinCircle(hull).Center
	rel := make([]mesh.Vec2, len(hull))
	for i, p := range hull {
		rel[i] = p.Sub(o)
	}
	sup := newSupport(rel)
	at := func(turn float64) (float64, mesh.Vec2) {
		var ns [MaxSides]mesh.Vec2
		var h [MaxSides]float64
		for i := range n {
			a := turn + 2*math.Pi*float64(i)/float64(n)
			ns[i] = mesh.Vec2{X: math.Cos(a), Y: math.Sin(a)}
			h[i] = sup.at(a, ns[i])
		}
		return apothem(ns[:n], h[:n])
	}
	span := 2 * math.Pi / float64(n)
	best, turn := math.Inf(1), 0.0
	for i := range polygonTurns {
		t := span * float64(i) / polygonTurns
		if r, _ := at(t); r < best*(1-1e-12) {
			best, turn = r, t
		}
	}
	lo, hi := turn-span/polygonTurns, turn+span/polygonTurns
	const g = 0.6180339887498949
	for range 40 {
		a, b := hi-g*(hi-lo), lo+g*(hi-lo)
		ra, _ := at(a)
		rb, _ := at(b)
		if ra < rb {
			hi = b
		} else {
			lo = a
		}
	}
	if r, _ := at((lo + hi) / 2); r < best*(1-1e-12) {
		turn = (lo + hi) / 2
	}
	r, c := at(turn)
	w := walls{kind: Polygon, center: o.Add(c), axis: mesh.Vec2{X: math.Cos(turn), Y: math.Sin(turn)}, radius: r + wall, sides: n}
	if step > 0 {
		w.radius = math.Ceil(w.side()/step-1e-6) * step / 2 / math.Tan(math.Pi/float64(n))
	}
	return w
}

// support finds the corner of a convex hull that is farthest in a direction, by
// its angle: O(log n) each.
type support struct {
	hull  []mesh.Vec2
	angle []float64 // of the edge that leaves each corner, rising through a turn
}

func newSupport(hull []mesh.Vec2) *support {
	s := &support{hull, make([]float64, len(hull))}
	for i, a := range hull {
		v := hull[(i+1)%len(hull)].Sub(a)
		s.angle[i] = math.Atan2(v.Y, v.X)
		if i > 0 {
			for s.angle[i] < s.angle[i-1]-math.Pi {
				s.angle[i] += 2 * math.Pi
			}
			s.angle[i] = max(s.angle[i], s.angle[i-1]) // rounding of short edges
		}
	}
	return s
}

// at returns the largest p·d over the hull, d the unit vector at angle a.
func (s *support) at(a float64, d mesh.Vec2) float64 {
	// The farthest corner is where the edges' angle passes a quarter turn
	// past a. A tie, or a rounded angle, is met by looking at both sides too.
	n := len(s.hull)
	a += math.Pi / 2
	for a < s.angle[0] {
		a += 2 * math.Pi
	}
	for a >= s.angle[0]+2*math.Pi {
		a -= 2 * math.Pi
	}
	k := sort.SearchFloat64s(s.angle, a)
	best := math.Inf(-1)
	for i := k + n - 1; i <= k+n+1; i++ {
		best = max(best, s.hull[i%n].Dot(d))
	}
	return best
}

// apothem returns the least r, and the place c, with h[i] - c·n[i] <= r for
// all sides: a linear program in three unknowns, whose solution touches three
// sides. n is at most MaxSides, so all triples are tried: for a triple whose
// normals hold each other (λ1 n1 + λ2 n2 + λ3 n3 = 0, λ >= 0, Σλ = 1) no r
// below Σ λi hi will do, and the greatest such bound is the answer. Two
// opposite sides are a triple with one λ = 0; they leave the place free along
// a stretch, so of all triples with the greatest bound the one is taken whose
// place does best by the other sides.
func apothem(n []mesh.Vec2, h []float64) (float64, mesh.Vec2) {
	const tie = 1e-12
	best, over := math.Inf(-1), math.Inf(1)
	var c mesh.Vec2
	for i := range n {
		for j := range i {
			for k := range j {
				a, b, g := n[j].Cross(n[k]), n[k].Cross(n[i]), n[i].Cross(n[j])
				s := a + b + g
				if math.Abs(s) < tie {
					continue
				}
				if a/s < -tie || b/s < -tie || g/s < -tie {
					continue
				}
				r := (a*h[i] + b*h[j] + g*h[k]) / s
				if r < best-tie*math.Abs(best) {
					continue
				}
				// c·n = h - r on all three; solve with the two least parallel.
				p, q := i, j
				if math.Abs(b) > math.Abs(g) && math.Abs(b) > math.Abs(a) {
					p, q = i, k
				} else if math.Abs(a) > math.Abs(g) {
					p, q = j, k
				}
				d := n[p].Cross(n[q])
				hp, hq := h[p]-r, h[q]-r
				v := mesh.Vec2{X: (hp*n[q].Y - hq*n[p].Y) / d, Y: (hq*n[p].X - hp*n[q].X) / d}
				o := 0.0
				for m := range n {
					o = max(o, h[m]-v.Dot(n[m])-r)
				}
				if r > best+tie*math.Abs(best) || o < over {
					best, over, c = r, o, v
				}
			}
		}
	}
	return best, c
}
