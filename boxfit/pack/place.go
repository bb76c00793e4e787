package pack

import (
	"math"

	"moldtally/mesh"
)

// arrangement is where the middles of variants stand.
type arrangement struct {
	of []int // variant of each
	at []mesh.Vec2
}

func (a *arrangement) clone() *arrangement {
	return &arrangement{append([]int(nil), a.of...), append([]mesh.Vec2(nil), a.at...)}
}

// room is what an arrangement has to lie within: a rectangle from the origin, or a
// circle round it.
type room struct {
	x, y   float64
	radius float64 // 0 = a rectangle
}

// spot is where a variant could stand, by how good that is.
type spot struct {
	variant int
	at      mesh.Vec2
	first   float64 // the lower the better
	second  float64 // among equals
}

// better reports whether a spot is better by more than rounding.
func (a *spot) better(b *spot, tol float64) bool {
	return a.first < b.first-tol || a.first < b.first+tol && a.second < b.second-tol
}

// placer puts outlines down one after another.
type placer struct {
	s    *search
	done arrangement
	how  int     // how closely outlines are followed
	wide float64 // of the strip, mm; 0 = none, outlines gather round the origin
	best spot
	free [][2]float64 // scratch
}

// put lays pieces down in an order, each where it is lowest and leftmost in a strip
// that is wide along x, or nearest to the origin where wide is 0. nil = one is wider
// than the strip.
func (s *search) put(order []int, how int, wide float64) *arrangement {
	p := &placer{s: s, how: how, wide: wide}
	n := len(order)
	out := &arrangement{make([]int, n), make([]mesh.Vec2, n)}
	for _, i := range order {
		p.best = spot{variant: -1, first: math.Inf(1), second: math.Inf(1)}
		for _, v := range s.turns[s.pieces[i]] {
			p.try(v)
		}
		if p.best.variant < 0 {
			return nil
		}
		out.of[i], out.at[i] = p.best.variant, p.best.at
		p.done.of, p.done.at = append(p.done.of, p.best.variant), append(p.done.at, p.best.at)
	}
	return out
}

// offer weighs a spot for a variant.
func (p *placer) offer(v int, at mesh.Vec2) {
	w := &p.s.variants[v]
	x := spot{variant: v, at: at}
	if p.wide > 0 {
		x.first, x.second = at.Y+w.hi.Y, at.X+w.lo.X
	} else {
		for _, q := range w.pts[p.how] {
			x.first = max(x.first, q.Add(at).Len())
		}
		x.second = at.Len()
	}
	if p.best.variant < 0 || x.better(&p.best, p.s.tol) {
		p.best = x
	}
}

// try looks for the best spot of a variant: it lies on the strip's sides or on a side
// of a no-fit polygon, at an end of a stretch that is free there.
func (p *placer) try(v int) {
	w := &p.s.variants[v]
	lo, hi := mesh.Vec2{X: -w.lo.X, Y: -w.lo.Y}, mesh.Vec2{X: p.wide - w.hi.X, Y: math.Inf(1)}
	if p.wide > 0 {
		if hi.X < lo.X-p.s.tol {
			return
		}
		hi.X = max(hi.X, lo.X)
		far := 0.0 // above all that lies there
		for i, u := range p.done.of {
			far = max(far, p.done.at[i].Y+p.s.between(p.how, u, v).hi.Y)
		}
		p.along(v, -1, lo, mesh.Vec2{X: hi.X - lo.X})
		p.along(v, -1, lo, mesh.Vec2{Y: far})
		p.along(v, -1, mesh.Vec2{X: hi.X, Y: lo.Y}, mesh.Vec2{Y: far})
	} else {
		lo, hi = mesh.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}, mesh.Vec2{X: math.Inf(1), Y: math.Inf(1)}
		if len(p.done.of) == 0 {
			p.offer(v, mesh.Vec2{})
		}
	}
	for i, u := range p.done.of {
		f, o := p.s.between(p.how, u, v), p.done.at[i]
		for k := range f.at {
			a := f.at[k].Add(o)
			d := f.at[(k+1)%len(f.at)].Add(o).Sub(a)
			if p.wide > 0 && min(a.Y, a.Y+d.Y)+w.hi.Y > p.best.first+p.s.tol {
				continue
			}
			if s0, s1, ok := clip(a, d, lo, hi, p.s.tol); ok {
				p.along(v, i, a.Add(d.Mul(s0)), d.Mul(s1-s0))
			}
		}
	}
}

// clip is the stretch of a + s·d that lies between two corners.
func clip(a, d, lo, hi mesh.Vec2, tol float64) (s0, s1 float64, ok bool) {
	s1 = 1
	for _, c := range [2][4]float64{{a.X, d.X, lo.X, hi.X}, {a.Y, d.Y, lo.Y, hi.Y}} {
		at, v, from, to := c[0], c[1], c[2], c[3]
		switch {
		case math.Abs(v) < 1e-15:
			if at < from-tol || at > to+tol {
				return 0, 0, false
			}
		case v > 0:
			s0, s1 = max(s0, (from-at)/v), min(s1, (to-at)/v)
		default:
			s0, s1 = max(s0, (to-at)/v), min(s1, (from-at)/v)
		}
	}
	return s0, s1, s0 <= s1
}

// along offers the ends of what is free along a + s·d, s from 0 to 1; round the origin
// also what comes nearest to it. own is the outline whose side it is.
func (p *placer) along(v, own int, a, d mesh.Vec2) {
	free := append(p.free[:0], [2]float64{0, 1})
	lo, hi := mesh.Bounds2([]mesh.Vec2{a, a.Add(d)})
	for j, u := range p.done.of {
		if j == own {
			continue
		}
		f, o := p.s.between(p.how, u, v), p.done.at[j]
		if o.X+f.lo.X >= hi.X || o.X+f.hi.X <= lo.X || o.Y+f.lo.Y >= hi.Y || o.Y+f.hi.Y <= lo.Y {
			continue
		}
		p.s.spent += len(f.n)
		from, to := f.inside(a.Sub(o), d, -1, 2, p.s.tol) // beyond the ends: what covers an end takes it too
		if from >= to {
			continue
		}
		free = without(free, from, to)
		if len(free) == 0 {
			p.free = free
			return
		}
	}
	for _, s := range free {
		p.offer(v, a.Add(d.Mul(s[0])))
		p.offer(v, a.Add(d.Mul(s[1])))
		if p.wide == 0 {
			if q := d.Dot(d); q > 0 {
				p.offer(v, a.Add(d.Mul(min(s[1], max(s[0], -a.Dot(d)/q)))))
			}
		}
	}
	p.free = free
}

// without takes a stretch, without its ends, out of a few that are free.
func without(free [][2]float64, from, to float64) [][2]float64 {
	var extra [2]float64
	split, n := false, 0
	for _, s := range free {
		switch {
		case to <= s[0] || from >= s[1]:
		case from >= s[0] && to <= s[1]:
			extra, split = [2]float64{to, s[1]}, true
			s[1] = from
		case from >= s[0]:
			s[1] = from
		case to <= s[1]:
			s[0] = to
		default:
			continue
		}
		free[n] = s
		n++
	}
	free = free[:n]
	if split {
		free = append(free, extra)
	}
	return free
}
