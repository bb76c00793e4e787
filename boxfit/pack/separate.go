package pack

import (
	"math"

	"moldtally/mesh"
)

// Limits of driving overlaps out. Judgements of this program.
const (
	memory    = 6   // steps that the shape of the sum is guessed from
	mostSteps = 120 // of one separation
)

// overlap sums the squares of how deep outlines stand in each other and outside the
// room, and its slope into g: two figures for each outline. x are their middles.
func (s *search) overlap(of []int, r *room, x, g []float64) float64 {
	clear(g)
	sum := 0.0
	at := func(i int) mesh.Vec2 { return mesh.Vec2{X: x[2*i], Y: x[2*i+1]} }
	push := func(i int, v mesh.Vec2) { g[2*i], g[2*i+1] = g[2*i]+v.X, g[2*i+1]+v.Y }
	for i, u := range of {
		p := at(i)
		for j := i + 1; j < len(of); j++ {
			if d, n := s.between(fine, u, of[j]).depth(at(j).Sub(p), s.pad); d > 0 {
				sum += float64(d * d)
				push(j, n.Mul(-2*d))
				push(i, n.Mul(2*d))
			}
		}
		sum += r.outside(&s.variants[u], p, func(v mesh.Vec2) { push(i, v) })
	}
	return sum
}

// outside is by how much a variant lies outside, squared, and its slope.
func (r *room) outside(w *variant, p mesh.Vec2, push func(mesh.Vec2)) (sum float64) {
	if r.radius > 0 {
		if p.Len()+w.reach <= r.radius {
			return 0
		}
		far, way := 0.0, mesh.Vec2{}
		for _, q := range w.pts[fine] {
			if v := q.Add(p); v.Len() > far {
				far, way = v.Len(), v
			}
		}
		if d := far - r.radius; d > 0 {
			push(way.Mul(2 * d / far))
			return float64(d * d)
		}
		return 0
	}
	for _, c := range [4]struct {
		d float64
		n mesh.Vec2
	}{{-p.X - w.lo.X, mesh.Vec2{X: -1}}, {p.X + w.hi.X - r.x, mesh.Vec2{X: 1}}, {-p.Y - w.lo.Y, mesh.Vec2{Y: -1}}, {p.Y + w.hi.Y - r.y, mesh.Vec2{Y: 1}}} {
		if c.d > 0 {
			sum += float64(c.d * c.d)
			push(c.n.Mul(2 * c.d))
		}
	}
	return sum
}

// separate moves outlines until none stands in another nor outside the room by more
// than the search's pad, which is put on the gap here; and reports whether it got there. The
// sum is minimised by the method of D. C. Liu, J. Nocedal, "On the limited memory BFGS
// method for large scale optimization", 1989.
func (s *search) separate(a *arrangement, r *room) bool {
	n := 2 * len(a.at)
	m := &s.lbfgs
	m.grow(n)
	for i, p := range a.at {
		m.x[2*i], m.x[2*i+1] = p.X, p.Y
	}
	enough := float64(s.pad * s.pad)
	f := s.overlap(a.of, r, m.x, m.g)
	for step := 0; step < mostSteps && f > enough; step++ {
		m.direction()
		slope := dot(m.dir, m.g)
		if !(slope < 0) {
			m.kept = 0
			for i := range m.dir {
				m.dir[i] = -m.g[i]
			}
			slope = dot(m.dir, m.g)
		}
		if slope > -1e-6*enough {
			break
		}
		t, was, ok := 1.0, f, false
		if m.kept == 0 {
			t = 0.25 // of two that overlap each goes half of its depth
		}
		for range 20 {
			for i := range m.x {
				m.y[i] = m.x[i] + float64(t*m.dir[i])
			}
			if f = s.overlap(a.of, r, m.y, m.h); f <= was+float64(1e-4*t*slope) {
				ok = true
				break
			}
			t /= 2
		}
		if !ok {
			f = was
			break
		}
		m.step()
		if was-f < 1e-4*was && f > 100*enough {
			break // stuck
		}
	}
	for i := range a.at {
		a.at[i] = mesh.Vec2{X: m.x[2*i], Y: m.x[2*i+1]}
	}
	return f <= enough
}

// lbfgs is the state of a minimisation.
type lbfgs struct {
	x, g, y, h, dir []float64
	ds, dg          [memory][]float64
	rho             [memory]float64
	kept, next      int
}

func (m *lbfgs) grow(n int) {
	m.kept, m.next = 0, 0
	if len(m.x) == n {
		return
	}
	for _, v := range []*[]float64{&m.x, &m.g, &m.y, &m.h, &m.dir} {
		*v = make([]float64, n)
	}
	for k := range m.ds {
		m.ds[k], m.dg[k] = make([]float64, n), make([]float64, n)
	}
}

// direction is the two-loop recursion.
func (m *lbfgs) direction() {
	copy(m.dir, m.g)
	var alpha [memory]float64
	for q := range m.kept {
		k := (m.next - 1 - q + 2*memory) % memory
		alpha[k] = m.rho[k] * dot(m.ds[k], m.dir)
		add(m.dir, m.dg[k], -alpha[k])
	}
	if m.kept > 0 {
		k := (m.next - 1 + memory) % memory
		scale := 1 / (m.rho[k] * dot(m.dg[k], m.dg[k]))
		for i := range m.dir {
			m.dir[i] *= scale
		}
	}
	for q := m.kept - 1; q >= 0; q-- {
		k := (m.next - 1 - q + 2*memory) % memory
		add(m.dir, m.ds[k], alpha[k]-float64(m.rho[k]*dot(m.dg[k], m.dir)))
	}
	for i := range m.dir {
		m.dir[i] = -m.dir[i]
	}
}

// step goes to y, whose slope is h, and keeps what that shows of the sum's shape.
func (m *lbfgs) step() {
	k := m.next
	for i := range m.x {
		m.ds[k][i], m.dg[k][i] = m.y[i]-m.x[i], m.h[i]-m.g[i]
	}
	if c := dot(m.ds[k], m.dg[k]); c > 1e-12*dot(m.dg[k], m.dg[k]) {
		m.rho[k] = 1 / c
		m.next, m.kept = (k+1)%memory, min(m.kept+1, memory)
	}
	m.x, m.y, m.g, m.h = m.y, m.x, m.h, m.g
}

func dot(a, b []float64) (sum float64) {
	for i, x := range a {
		sum += float64(x * b[i])
	}
	return sum
}

func add(a, b []float64, k float64) {
	for i, x := range b {
		a[i] += float64(k * x)
	}
}

// worst is the outline of an arrangement with the most overlap.
func (s *search) worst(a *arrangement, r *room) int {
	n := len(a.at)
	sum := make([]float64, n)
	for i, u := range a.of {
		for j := i + 1; j < n; j++ {
			if d, _ := s.between(fine, u, a.of[j]).depth(a.at[j].Sub(a.at[i]), s.pad); d > 0 {
				sum[i], sum[j] = sum[i]+float64(d*d), sum[j]+float64(d*d)
			}
		}
		sum[i] += r.outside(&s.variants[u], a.at[i], func(mesh.Vec2) {})
	}
	k, most := 0, math.Inf(-1)
	for i, v := range sum {
		if v > most {
			k, most = i, v
		}
	}
	return k
}
