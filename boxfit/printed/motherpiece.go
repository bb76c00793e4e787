package printed

import (
	"math"

	"moldtally/mesh"
)

// piece lays out the lattice of piece k: that of its face, as far as its flange reaches,
// and the lines that its feet begin and end at.
func (s *shell) piece(k int) *piece {
	f := &s.form.Faces[k]
	x := &piece{shell: s, k: k, face: f}
	out := math.Ceil((s.wall+s.flange+2*f.Cell)/f.Cell) * f.Cell
	x0, y0 := f.X0-out, f.Y0-out
	if s.form.Sideways {
		at := []float64{s.board + s.thick, s.board + s.thick + step, s.end - s.thick - step, s.end - s.thick}
		var across []float64
		for _, w := range x.screws() {
			across = append(across, w.low-step, w.low, w.high, w.high+step)
		}
		x.graph = newGraph(nodes(x0, -x0, f.Cell, across...), nodes(s.board, s.end, f.Cell, at...))
	} else {
		c := s.middle(k)
		cross := func(c float64) []float64 {
			return []float64{c - s.thick/2 - step, c - s.thick/2, c + s.thick/2, c + s.thick/2 + step}
		}
		x.graph = newGraph(nodes(x0, -x0, f.Cell, cross(c.X)...), nodes(y0, -y0, f.Cell, cross(c.Y)...))
	}
	x.from, x.inner = make([]float64, len(x.in)), make([]float64, len(x.in))
	x.each(func(n int, px, _ float64) { x.from[n] = s.stands(k, px) })
	return x
}

// step is over how much a height jumps, mm.
const step = 0.1

// stands is where piece k begins: at the board, or where it parts from others.
func (s *shell) stands(k int, x float64) float64 {
	if len(s.form.Faces) == 1 {
		return s.board
	}
	return s.form.Faces[k].Parts(x)
}

// blanket is how far the blanket of face k reaches at a place of it.
func (s *shell) blanket(k int, x, y float64) float64 {
	if s.form.Sideways {
		y = max(y, 0) // and down to the board
	}
	return s.form.Faces[k].At(x, y)
}

// beside are the face whose surface the one of face k parts from at a place, and that
// place of it.
func (s *shell) beside(k int, x, y float64) (int, float64, float64) {
	n := len(s.form.Faces)
	switch {
	case !s.form.Sideways:
		return (k + 1) % n, x, -y
	case x >= 0:
		return (k + 1) % n, -x, y
	}
	return (k + n - 1) % n, -x, y
}

// middle is the middle of a face's blanket where it stands.
func (s *shell) middle(k int) (c mesh.Vec2) {
	f, n := &s.form.Faces[k], 0.0
	for j := range f.NY {
		for i := range f.NX {
			p := mesh.Vec2{X: f.X0 + float64(float64(i)*f.Cell), Y: f.Y0 + float64(float64(j)*f.Cell)}
			if f.Reach[j*f.NX+i] > s.stands(k, p.X) {
				c, n = c.Add(p), n+1
			}
		}
	}
	return c.Mul(1 / max(1, n))
}

// highest is how far a face's blanket reaches: upward where pieces are drawn level, else
// along its draw.
func (s *shell) highest() (top float64) {
	for k := range s.form.Faces {
		f := &s.form.Faces[k]
		for n, v := range f.Reach {
			x, y := f.X0+float64(float64(n%f.NX)*f.Cell), f.Y0+float64(float64(n/f.NX)*f.Cell)
			switch {
			case v <= s.stands(k, x):
			case s.form.Sideways:
				top = max(top, y)
			default:
				top = max(top, v)
			}
		}
	}
	return top
}

// reaches is how far blanket and pipes reach at a place of face k.
func (s *shell) reaches(k int, x, y float64) float64 {
	z := s.blanket(k, x, y)
	if !s.form.Sideways {
		return z
	}
	for _, p := range s.rises {
		// A pipe stands in the surface between two pieces, half in each.
		q := p.at
		switch other, ox, _ := s.beside(p.face, p.at.X, p.at.Y); {
		case p.face == k:
		case other == k || len(s.form.Faces) > 1 && q.X == 0:
			q.X = ox
		default:
			continue
		}
		r := p.bore / 2
		if d := x - q.X; math.Abs(d) < r && y > p.top-r {
			z = max(z, s.stands(k, q.X)+math.Sqrt(r*r-d*d))
		}
	}
	return z
}

// widen reckons how far the blanket reaches over the nodes, and how far each is away
// from where there is some, on this side of the surface that pieces part at or beyond.
func (x *piece) widen() {
	over := make([]float64, len(x.in)) // of the blanket over that surface
	x.each(func(n int, px, py float64) {
		x.inner[n] = x.reaches(x.k, px, py)
		over[n] = x.inner[n] - x.from[n]
		if len(x.form.Faces) > 1 {
			k, ox, oy := x.beside(x.k, px, py)
			over[n] = max(over[n], x.reaches(k, ox, oy)-x.stands(k, ox))
		}
	})
	x.away = make([]float64, len(x.in))
	far := x.wall + x.flange + 4*x.face.Cell
	for n, v := range over {
		if v <= 0 {
			x.away[n] = far
		}
	}
	nx := len(x.xs)
	seed := func(n, m int) {
		if (over[n] > 0) == (over[m] > 0) {
			return
		}
		if over[n] <= 0 {
			n, m = m, n
		}
		w := over[n] / (over[n] - over[m])
		p, q := mesh.Vec2{X: x.xs[n%nx], Y: x.ys[n/nx]}, mesh.Vec2{X: x.xs[m%nx], Y: x.ys[m/nx]}
		p = p.Add(q.Sub(p).Mul(w))
		x.near(p.X, p.Y, far, func(k int, dx, dy float64) {
			x.away[k] = min(x.away[k], math.Hypot(dx/x.sin, dy))
		})
	}
	for n := range over {
		x.ways(n, func(m int) { seed(n, m) })
	}
}

// shape makes the piece's heights, and where it is.
func (x *piece) shape() {
	thick := x.thick / x.sin
	for n := range x.in {
		x.in[n] = x.wall + x.flange - x.away[n]
		x.bottom[n] = x.from[n]
		if len(x.form.Faces) > 1 {
			x.bottom[n] += clear / 2
		}
		x.top[n] = x.from[n] + thick
		x.bottom[n] = max(x.bottom[n], x.inner[n])
	}
	x.cover(x.wall, func(int) bool { return true })
	if x.form.Sideways {
		x.foot()
		x.stand()
	} else {
		x.chimneys()
		x.frame()
	}
	x.join()
	x.register()
	x.drill()
	for n := range x.top {
		x.top[n] = max(x.top[n], x.bottom[n]+x.wall/2)
	}
}

// cover raises the top to what is within r of the blanket, over the nodes that are
// asked for.
func (x *piece) cover(r float64, at func(k int) bool) {
	nx := len(x.xs)
	for n, z := range x.inner {
		if z <= x.from[n] {
			continue
		}
		x.near(x.xs[n%nx], x.ys[n/nx], r, func(k int, dx, dy float64) {
			if at(k) {
				x.top[k] = max(x.top[k], z+math.Sqrt(max(0, r*r-dx*dx-dy*dy)))
			}
		})
	}
}

// join makes one body of what hangs apart, as shells of several legs do: all that lies
// within the outline round them is flange.
func (x *piece) join() {
	label, size := x.parts()
	if len(size) < 2 {
		return
	}
	nx := len(x.xs)
	var pts []mesh.Vec2
	for n, l := range label {
		if l >= 0 && x.away[n] == 0 {
			pts = append(pts, mesh.Vec2{X: x.xs[n%nx], Y: x.ys[n/nx]})
		}
	}
	hull := mesh.Hull2(pts)
	x.each(func(n int, px, py float64) {
		x.in[n] = max(x.in[n], x.wall+x.flange-outsideOf(hull, mesh.Vec2{X: px, Y: py}))
	})
}

// outsideOf is how far a place is outside a convex outline, counted anticlockwise; within
// it, below 0, how far from its nearest side.
func outsideOf(hull []mesh.Vec2, p mesh.Vec2) float64 {
	in, out := math.Inf(-1), math.Inf(1)
	for i, a := range hull {
		v := hull[(i+1)%len(hull)].Sub(a)
		l := v.Dot(v)
		if l == 0 {
			continue
		}
		q := p.Sub(a)
		in = max(in, -v.Cross(q)/math.Sqrt(l))
		out = min(out, q.Sub(v.Mul(min(1, max(0, q.Dot(v)/l)))).Len())
	}
	if in <= 0 {
		return in
	}
	return out
}

// body is the piece as it lies on the bed.
func (x *piece) body() (*mesh.Mesh, error) {
	g := x.graph
	if label, size := x.parts(); len(size) > 1 {
		g = x.only(label, 0)
	}
	m, err := g.mesh(func(px, py, pz float64) mesh.Vec { return mesh.V(px, py, pz) })
	if err != nil {
		return nil, err
	}
	return laid(m)
}
