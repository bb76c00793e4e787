package printed

import (
	"cmp"
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/mesh"
)

// pipes finds where a poured blanket is filled and where its air leaves: at the highest
// place of what the shell holds, and at the others that rise over a saddle. Of pieces
// that are drawn level these lie where they part, since each reaches from there outward.
func (s *shell) pipes() {
	if !s.poured {
		return
	}
	var all []pipe
	for k, x := range s.pieces {
		nx := len(x.xs)
		at := func(n int) mesh.Vec2 { return mesh.Vec2{X: x.xs[n%nx], Y: x.ys[n/nx]} }
		if !s.form.Sideways {
			in := func(n int) bool { p := at(n); return s.blanket(k, p.X, p.Y) > x.from[n] }
			for _, p := range x.peaks(in, func(n int) float64 { p := at(n); return s.blanket(k, p.X, p.Y) }, highLeast) {
				q := at(p.at)
				all = append(all, pipe{k, q, riserBore, s.blanket(k, q.X, q.Y)})
			}
			continue
		}
		if k > 0 && len(s.pieces) == 2 {
			continue // it is the same surface
		}
		in := func(n int) bool {
			p := at(n)
			if len(s.pieces) > 2 && p.X < 0 {
				return false // that side is another's
			}
			o, ox, oy := s.beside(k, p.X, p.Y)
			return s.blanket(k, p.X, p.Y) > x.from[n] || s.blanket(o, ox, oy) > s.stands(o, ox)
		}
		for _, p := range x.peaks(in, func(n int) float64 { return at(n).Y }, highLeast) {
			q := at(p.at)
			all = append(all, pipe{k, q, riserBore, q.Y})
		}
	}
	s.rises = s.chosen(all)
}

// chosen are the pipes that are made: the highest is the spout, and every piece that is
// poured by itself has one; what stands in another's way is left out.
func (s *shell) chosen(all []pipe) (out []pipe) {
	slices.SortStableFunc(all, func(a, b pipe) int { return cmp.Compare(b.top, a.top) })
	filled := map[int]bool{} // looked up, never ranged over
	for _, p := range all {
		own := 0
		if !s.form.Sideways {
			own = p.face
		}
		if !filled[own] {
			filled[own] = true
			p.bore = s.spout
		}
		if len(s.pieces) > 2 && math.Abs(p.at.X) < p.bore*s.sin {
			p.at.X = 0
		}
		if !slices.ContainsFunc(out, func(o pipe) bool {
			d := o.at.Sub(p.at)
			near := (o.bore+p.bore)/2 + 2*s.wall
			return (o.face == p.face || o.at.X == 0 && p.at.X == 0) && math.Hypot(d.X/s.sin, d.Y*level(s)) < near
		}) {
			out = append(out, p)
		}
	}
	return out
}

// level is 0 where pipes stand upright in a face, so that how high they begin does not
// keep them apart.
func level(s *shell) float64 {
	if s.form.Sideways {
		return 0
	}
	return 1
}

// chimneys are the pipes of a piece that is lifted off.
func (x *piece) chimneys() {
	for _, p := range x.rises {
		if p.face != x.k {
			continue
		}
		r := p.bore / 2
		x.near(p.at.X, p.at.Y, r+x.wall+2*x.face.Cell, func(n int, dx, dy float64) {
			d := math.Hypot(dx, dy)
			x.in[n] = min(x.in[n], d-r)
			if d <= r+x.wall {
				x.top[n] = max(x.top[n], x.end)
			}
		})
	}
}

// leans is half the width of what a shell stands on, mouth up: enough not to tip by ten
// degrees.
func (s *shell) leans() float64 { return max(footLeast, 1.5*(s.end-s.board)/2*math.Tan(tipping)) }

// frame is what a piece that is lifted off stands on, mouth up: a cross of two webs.
func (x *piece) frame() {
	c := x.middle(x.k)
	l := x.leans()
	x.each(func(n int, px, py float64) {
		dx, dy := math.Abs(px-c.X), math.Abs(py-c.Y)
		if min(dx, dy) <= x.thick/2+step/2 && max(dx, dy) <= l && x.away[n] == 0 {
			x.top[n] = max(x.top[n], x.end)
		}
	})
}

// stand is the same of a piece that is drawn level: a plate over the crown, which the
// flange carries, with two gussets.
func (x *piece) stand() {
	c, l := 0.0, x.leans()
	if len(x.form.Faces) == 2 {
		c = x.middle(x.k).X
	}
	half := l // across
	if x.sin < 1 {
		half = 0.8 * l
	}
	x.each(func(n int, px, py float64) {
		d := math.Abs(px - c)
		if d > half+x.face.Cell || py < x.end-2*l {
			return
		}
		x.in[n] = max(x.in[n], half-d)
		if py >= x.end-x.thick-step/2 {
			x.top[n] = max(x.top[n], l)
		}
		gusset := d > half-x.thick
		if x.sin < 1 {
			gusset = d < x.thick/2
		}
		if rise := py - (x.end - l); gusset && rise > 0 {
			x.top[n] = max(x.top[n], min(l, rise))
		}
	})
}

// screws are the slots of the foot of a piece that is drawn level, along x: what holds a
// shell that is poured full down on the board.
func (x *piece) screws() []slot {
	if !x.poured {
		return nil
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range x.face.NX {
		px := x.face.X0 + float64(float64(i)*x.face.Cell)
		if x.blanket(x.k, px, x.board) > x.stands(x.k, px) {
			lo, hi = min(lo, px), max(hi, px)
		}
	}
	// Where the foot runs round to the sides it is too narrow for one.
	in := 0.2 * (hi - lo)
	if !(hi-lo > 4*x.size) {
		return nil
	}
	n := max(1, int(math.Ceil((hi-lo-2*in)/x.apart)))
	var all []slot
	for i := range n + 1 {
		at := lo + in + (hi-lo-2*in)*float64(i)/float64(n)
		all = append(all, slot{at - (x.size+boltRoom)/2, at + (x.size+boltRoom)/2})
	}
	return all
}

// foot is the flange of a piece that is drawn level on the board, with slots for screws.
func (x *piece) foot() {
	low := func(k int) bool { return x.ys[k/len(x.xs)] <= x.board+x.thick+step/2 }
	wall := slices.Clone(x.top)
	x.cover(x.wall+x.flange, low)
	slots := x.screws()
	x.each(func(n int, px, _ float64) {
		for _, s := range slots {
			if low(n) && px >= s.low-step/4 && px <= s.high+step/4 && x.top[n] > wall[n] {
				// From the edge inward, past the middle of the bolt by half its width.
				x.top[n] = max(wall[n], x.top[n]-2.5*x.size-boltRoom)
			}
		}
	})
}

// line is a run of places in the surface that a face parts at.
type line struct {
	at     []mesh.Vec2
	closed bool
	length float64
}

// flangeLine is where bolts stand: two of their diameters within the flange's edge, along
// the blanket.
func (x *piece) flangeLine() []line {
	level := x.wall + x.flange - 2*x.size
	next := map[[2]int][][2]int{} // looked up, never ranged over
	spots := map[[2]int]mesh.Vec2{}
	var starts [][2]int
	nx := len(x.xs)
	side := func(n int) bool { return x.away[n] < level }
	cross := func(a, b int) ([2]int, bool) {
		if a > b {
			a, b = b, a
		}
		if side(a) == side(b) {
			return [2]int{}, false
		}
		w := (level - x.away[a]) / (x.away[b] - x.away[a])
		p, q := mesh.Vec2{X: x.xs[a%nx], Y: x.ys[a/nx]}, mesh.Vec2{X: x.xs[b%nx], Y: x.ys[b/nx]}
		spots[[2]int{a, b}] = p.Add(q.Sub(p).Mul(w))
		return [2]int{a, b}, true
	}
	for j := range len(x.ys) - 1 {
		for i := range nx - 1 {
			k := j*nx + i
			for _, f := range [2][3]int{{k, k + 1, k + nx + 1}, {k, k + nx + 1, k + nx}} {
				var ends [][2]int
				for s := range 3 {
					if e, ok := cross(f[s], f[(s+1)%3]); ok {
						ends = append(ends, e)
					}
				}
				if len(ends) == 2 {
					next[ends[0]], next[ends[1]] = append(next[ends[0]], ends[1]), append(next[ends[1]], ends[0])
					starts = append(starts, ends[0])
				}
			}
		}
	}
	return chains(starts, next, spots)
}

// chains strings crossings together, open ones from an end.
func chains(starts [][2]int, next map[[2]int][][2]int, spots map[[2]int]mesh.Vec2) (all []line) {
	used := map[[2]int]bool{}
	walk := func(from [2]int, closed bool) {
		l := line{closed: closed}
		for e, ok := from, true; ok; {
			used[e] = true
			l.at = append(l.at, spots[e])
			ok = false
			for _, m := range next[e] {
				if !used[m] {
					e, ok = m, true
					break
				}
			}
		}
		for i := 1; i < len(l.at); i++ {
			l.length += l.at[i].Sub(l.at[i-1]).Len()
		}
		if closed {
			l.length += l.at[0].Sub(l.at[len(l.at)-1]).Len()
		}
		all = append(all, l)
	}
	for _, e := range starts {
		for _, end := range [2][2]int{e, next[e][0]} {
			if !used[end] && len(next[end]) == 1 {
				walk(end, false)
			}
		}
	}
	for _, e := range starts {
		if !used[e] {
			walk(e, true)
		}
	}
	return all
}

// on is the place so far along a line.
func (l *line) on(s float64) mesh.Vec2 {
	for i := 1; i < len(l.at); i++ {
		d := l.at[i].Sub(l.at[i-1])
		if n := d.Len(); s <= n && n > 0 {
			return l.at[i-1].Add(d.Mul(s / n))
		}
		s -= d.Len()
	}
	last := l.at[len(l.at)-1]
	if d := l.at[0].Sub(last); l.closed && d.Len() > 0 {
		return last.Add(d.Mul(min(1, s/d.Len())))
	}
	return last
}

// boltEnd is how far from an end of a flange its last bolt stands, mm: within 40 (common
// practice, no source).
const boltEnd = 25.0

// spread are places along a line no farther apart than most.
func (l *line) spread(most float64) (all []float64) {
	if l.closed {
		n := max(2, int(math.Ceil(l.length/most)))
		for i := range n {
			all = append(all, l.length*float64(i)/float64(n))
		}
		return all
	}
	in := min(boltEnd, l.length/4)
	n := max(1, int(math.Ceil((l.length-2*in)/most)))
	for i := range n + 1 {
		all = append(all, in+(l.length-2*in)*float64(i)/float64(n))
	}
	return all
}

// bolts places the bolts of the flanges, and what keeps them in register.
func (s *shell) bolts() {
	n := len(s.pieces)
	if n == 1 && !s.poured {
		return
	}
	for k, x := range s.pieces {
		if n == 2 && k == 1 {
			break
		}
		for _, l := range x.flangeLine() {
			if l.length < 4*s.size {
				continue
			}
			at := l.spread(s.apart)
			for _, d := range at {
				if p := l.on(d); n < 3 || p.X > 2*s.size {
					s.round = append(s.round, spot{k, p})
				}
			}
			if n != 2 {
				continue
			}
			between := func(i int) mesh.Vec2 {
				a, b := at[i], l.length
				if i+1 < len(at) {
					b = at[i+1]
				}
				return l.on((a + b) / 2)
			}
			if last := len(at) - 2; last >= 0 {
				s.dimples = append(s.dimples, between(0))
				if l.closed {
					last = len(at) / 2
				}
				if last > 0 {
					s.dimples = append(s.dimples, between(last))
				}
			}
			for i := range 4 {
				s.pries = append(s.pries, l.on(l.length*(0.125+0.25*float64(i))))
			}
		}
	}
}

// register makes dimples of one half fit into pits of the other, and notches to pry at.
func (x *piece) register() {
	if len(x.pieces) != 2 {
		return
	}
	for _, p := range x.dimples {
		way := -1.0
		if x.k == 1 {
			way = 1
			_, p.X, p.Y = x.beside(0, p.X, p.Y)
		}
		x.near(p.X, p.Y, dimpleWide/2+clear, func(n int, dx, dy float64) {
			h := dimpleWide/2 - math.Hypot(dx, dy) // leaning by 45°
			if x.k == 1 {
				h += clear
			}
			if x.away[n] > x.wall {
				x.bottom[n] += way * min(dimpleHigh, max(0, h))
			}
		})
	}
	if x.k == 0 {
		return
	}
	for _, p := range x.pries {
		_, p.X, p.Y = x.beside(0, p.X, p.Y)
		x.near(p.X, p.Y, pryWide/2+2*x.size, func(n int, dx, dy float64) {
			if x.away[n] > x.wall+x.flange-pryWide/2 && math.Hypot(dx, dy) < 2*x.size+2 {
				x.bottom[n] += pryDeep
			}
		})
	}
}

// drill makes the holes of the bolts: where pieces are drawn aslant to where they part
// they are long, so that a bolt goes straight through.
func (x *piece) drill() {
	r := (x.size + boltRoom) / 2
	lean := 0.0
	if x.sin < 1 {
		lean = x.thick * x.form.Faces[x.k].Opens // outward in that surface, through the flange
	}
	for _, b := range x.round {
		p := b.at
		switch other, ox, oy := x.beside(b.face, b.at.X, b.at.Y); {
		case b.face == x.k:
		case other == x.k && len(x.pieces) > 1:
			p = mesh.Vec2{X: ox, Y: oy}
		default:
			continue
		}
		x.near(p.X, p.Y, 2*r+lean+2*x.face.Cell, func(n int, dx, dy float64) {
			u := dx / x.sin
			if p.X < 0 {
				u = -u
			}
			u = max(u, min(0, u+lean)) // to the stretch from −lean to 0
			x.in[n] = min(x.in[n], math.Hypot(u, dy)-r)
		})
	}
}

// buttons puts cones on the blanket where it faces along the draw, which hold it in the
// shell, and returns how many.
func (x *piece) buttons() (count int) {
	nx := len(x.xs)
	var at []mesh.Vec2
	r := buttonWide / 2
	for n, z := range x.inner {
		p := mesh.Vec2{X: x.xs[n%nx], Y: x.ys[n/nx]}
		if z <= x.from[n]+2*buttonHigh || !x.within(p, n) {
			continue
		}
		free := !slices.ContainsFunc(at, func(q mesh.Vec2) bool { return q.Sub(p).Len() < buttonApart })
		for _, w := range x.rises {
			free = free && (x.form.Sideways || w.at.Sub(p).Len() > w.bore/2+r+x.wall)
		}
		if !free {
			continue
		}
		lo, hi, in := z, z, true
		x.near(p.X, p.Y, r+2*x.wall, func(k int, _, _ float64) {
			in = in && x.inner[k] > x.from[k]+buttonHigh
			lo, hi = min(lo, x.inner[k]), max(hi, x.inner[k])
		})
		if in && hi-lo < 2*r*math.Tan(buttonSlope) {
			at = append(at, p)
		}
	}
	for _, p := range at {
		x.near(p.X, p.Y, r, func(n int, dx, dy float64) {
			x.inner[n] += min(buttonHigh, max(0, (r-math.Hypot(dx, dy))/math.Tan(buttonLean)))
		})
	}
	return len(at)
}

// within reports whether a button has room on the lattice.
func (x *piece) within(p mesh.Vec2, _ int) bool {
	r := buttonWide
	if x.form.Sideways && p.Y < x.board+x.thick+r {
		return false
	}
	return p.X-r > x.xs[0] && p.X+r < x.xs[len(x.xs)-1] && p.Y-r > x.ys[0] && p.Y+r < x.ys[len(x.ys)-1]
}

// riser is how far pipes end over the blanket, mm: what its pressure is reckoned with.
const riser = boxfit.Riser
