package demold

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/solid"
)

// planer cuts the surface near a place with planes, exactly: what of a plane
// lies outside S and above the slab, and how far that reaches.
type planer struct {
	s    *solid.Solid
	u    mesh.Vec
	line float64 // height of the slab's top; −Inf: none

	middle mesh.Vec // triangles within reach of it are kept
	reach  float64
	tris   []int32

	rows []planeRow // reused
	segs []planeSeg // reused
	work int        // triangles looked at so far, and 100 a row
}

// planeSeg is where a plane cuts one triangle, S on the left.
type planeSeg struct {
	a, b  mesh.Vec2
	piece int32
}

type planeHit struct {
	x     float64
	piece int32
	in    int32 // +1 where S begins, −1 where it ends
}

// planePiece is a piece of S in a cut.
type planePiece struct {
	piece int32
	start []planeHit // along the rows' start: height, and whether it begins or ends
	next  int        // of start
	off   int32      // how often it goes round the start of a row, less a constant
	least int32      // the least such number anywhere: that constant
	wind  int32
}

// to goes up to the row at height y.
func (p *planePiece) to(y float64) {
	for p.next < len(p.start) && p.start[p.next].x <= y {
		p.off += p.start[p.next].in
		p.next++
	}
}

type planeGap struct {
	lo, hi float64
	mark   bool
}

type planeRow struct {
	hits []planeHit
	gaps []planeGap
}

// planeCut is the part of a plane outside S that holds a place.
type planeCut struct {
	o, n, e1, e2 mesh.Vec
	shut         bool // it is bounded by S and the slab all round
	area         float64
	center       mesh.Vec2 // of its area
	seed         mesh.Vec2 // a place well inside it
	off          float64   // how far it is from the place asked for
	lo, hi       mesh.Vec2 // its extents
	segs         []planeSeg
	rows         []planeRow
	y0, step     float64 // height of row 0, and from row to row
}

// point is a place of the plane in the file's frame.
func (c *planeCut) point(p mesh.Vec2) mesh.Vec { return c.o.Add(c.e1.Mul(p.X)).Add(c.e2.Mul(p.Y)) }

// near gathers the triangles within reach of a place.
func (sl *planer) near(middle mesh.Vec, reach float64) {
	if sl.tris != nil && middle.Sub(sl.middle).Len()+reach <= sl.reach {
		return
	}
	sl.middle, sl.reach = middle, 1.5*reach
	sl.tris = sl.tris[:0]
	if sl.tris == nil {
		sl.tris = []int32{}
	}
	m := sl.s.Surface()
	sl.work += m.NumTriangles() / 4
	verts := m.Vertices()
	lo, hi := middle.Sub(mesh.V(1, 1, 1).Mul(sl.reach)), middle.Add(mesh.V(1, 1, 1).Mul(sl.reach))
	for t, i := range m.Triangles() {
		a, b, c := verts[i[0]], verts[i[1]], verts[i[2]]
		if max(a.X, b.X, c.X) < lo.X || min(a.X, b.X, c.X) > hi.X || max(a.Y, b.Y, c.Y) < lo.Y || min(a.Y, b.Y, c.Y) > hi.Y ||
			max(a.Z, b.Z, c.Z) < lo.Z || min(a.Z, b.Z, c.Z) > hi.Z || !sl.s.Live(t) {
			continue
		}
		sl.tris = append(sl.tris, int32(t))
	}
}

// cut lays a plane through o across n and finds its part outside S that holds
// o, or comes nearest to it, as far as reach. rows is the number of lines that
// it is measured along. ok is false where no such part is near. The rows
// belong to the planer and last until the next cut.
func (sl *planer) cut(o, n mesh.Vec, reach float64, rows int) (planeCut, bool) {
	n = n.Unit()
	// The lines that the cut is measured along are turned, so that they do not
	// run along walls: over an aligned one the area would come in steps.
	b1, b2 := mesh.Basis(n)
	const sin, cos = 0.36506, 0.93098
	e1, e2 := b1.Mul(cos).Add(b2.Mul(sin)).Unit(), b2.Mul(cos).Sub(b1.Mul(sin)).Unit()
	c := planeCut{o: o, n: n, e1: e1, e2: e2}
	sl.near(o, reach*1.01)
	m := sl.s.Surface()
	verts, tris := m.Vertices(), m.Triangles()
	on := o.Dot(n)
	sl.work += len(sl.tris)
	segs := sl.segs[:0]
	for _, t := range sl.tris {
		i := tris[t]
		d := [3]float64{verts[i[0]].Dot(n) - on, verts[i[1]].Dot(n) - on, verts[i[2]].Dot(n) - on}
		up := 0
		for _, x := range d {
			if x >= 0 {
				up++
			}
		}
		if up == 0 || up == 3 {
			continue
		}
		if !sl.s.Outward(int(t)) {
			i[1], i[2] = i[2], i[1]
			d[1], d[2] = d[2], d[1]
		}
		k := 0
		for (d[k] >= 0) != (up == 1) { // the corner alone on its side
			k++
		}
		cross := func(p, q int) mesh.Vec2 {
			// Either triangle of an edge finds the same place to the bit.
			if i[p] > i[q] {
				p, q = q, p
			}
			w := d[p] / (d[p] - d[q])
			x := verts[i[p]].Sub(o).Add(verts[i[q]].Sub(verts[i[p]]).Mul(w))
			return mesh.Vec2{X: x.Dot(e1), Y: x.Dot(e2)}
		}
		a, b := cross(k, (k+1)%3), cross(k, (k+2)%3)
		if up == 2 {
			a, b = b, a
		}
		segs = append(segs, planeSeg{a, b, int32(sl.s.Piece(int(t)))})
	}
	sl.segs = segs
	c.segs = slices.Clone(segs) // exactly as long: cuts are many
	c.y0, c.step = -reach, 2*reach/float64(rows)
	return c, sl.measure(&c, reach, rows)
}

// finer measures a cut again along lines close together, over its extents.
func (sl *planer) finer(c *planeCut, reach float64, rows int) bool {
	pad := 2 * c.step
	c.y0 = c.lo.Y - pad
	c.step = (c.hi.Y - c.lo.Y + 2*pad) / float64(rows)
	return sl.measure(c, reach, rows)
}

// measure fills a cut from its segments.
func (sl *planer) measure(c *planeCut, reach float64, n int) bool {
	for len(sl.rows) < n {
		sl.rows = append(sl.rows, planeRow{})
	}
	rs := sl.rows[:n]
	sl.work += 100 * n
	for r := range rs {
		rs[r].hits, rs[r].gaps = rs[r].hits[:0], rs[r].gaps[:0]
	}
	y := func(r int) float64 { return c.y0 + float64((float64(r)+0.5)*c.step) }
	// How often a piece goes round a place follows from the crossings between
	// it and another; from row to row they are counted along the rows' start.
	// What is left to know is one number a piece: it goes round nothing where
	// it goes round least.
	var pieces []planePiece
	piece := func(p int32) int {
		k := slices.IndexFunc(pieces, func(x planePiece) bool { return x.piece == p })
		if k < 0 {
			k = len(pieces)
			pieces = append(pieces, planePiece{piece: p, least: math.MaxInt32})
		}
		return k
	}
	for _, s := range c.segs {
		k := piece(s.piece)
		if (s.a.X < -reach) != (s.b.X < -reach) {
			w := int32(1) // S on the left is above
			if s.a.X >= -reach {
				w = -1
			}
			at := s.a.Y + float64((s.b.Y-s.a.Y)*((-reach-s.a.X)/(s.b.X-s.a.X)))
			pieces[k].start = append(pieces[k].start, planeHit{x: at, in: w})
		}
		lo, hi, in := s.a, s.b, int32(-1) // rising: S is on the left, and ends
		if lo.Y > hi.Y {
			lo, hi, in = hi, lo, 1
		}
		r := max(int(math.Ceil((lo.Y-c.y0)/c.step-0.5))-1, 0)
		for ; r < n && y(r) < hi.Y; r++ {
			if y(r) >= lo.Y {
				x := lo.X + float64((hi.X-lo.X)*((y(r)-lo.Y)/(hi.Y-lo.Y)))
				if x >= -reach {
					rs[r].hits = append(rs[r].hits, planeHit{x, int32(k), in})
				}
			}
		}
	}
	for k := range pieces {
		slices.SortFunc(pieces[k].start, func(a, b planeHit) int { return cmp.Compare(a.x, b.x) })
	}
	for r := range rs {
		row := &rs[r]
		slices.SortFunc(row.hits, func(a, b planeHit) int {
			return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(b.in, a.in), cmp.Compare(a.piece, b.piece))
		})
		for k := range pieces {
			p := &pieces[k]
			p.to(y(r))
			p.wind = p.off
			p.least = min(p.least, p.wind)
		}
		for _, h := range row.hits {
			p := &pieces[h.piece]
			p.wind += h.in
			p.least = min(p.least, p.wind)
		}
	}
	for k := range pieces {
		pieces[k].off, pieces[k].next = 0, 0
	}
	// The slab cuts the plane along a straight line.
	sx, sy, s0 := c.e1.Dot(sl.u), c.e2.Dot(sl.u), 0.0
	slab := !math.IsInf(sl.line, -1)
	if slab {
		s0 = c.o.Dot(sl.u) - sl.line
	}
	bestRow, bestGap, bestD := -1, -1, math.Inf(1)
	for r := range rs {
		row := &rs[r]
		depth := 0
		for k := range pieces {
			p := &pieces[k]
			p.to(y(r))
			if p.wind = p.off - p.least; p.wind > 0 {
				depth++
			}
		}
		lo, hi := -reach, reach // where rubber may be
		if slab {
			h := s0 + float64(sy*y(r))
			switch {
			case math.Abs(sx) < 1e-12:
				if h <= 0 {
					continue
				}
			case sx > 0:
				lo = max(lo, -h/sx)
			default:
				hi = min(hi, -h/sx)
			}
			if lo >= hi {
				continue
			}
		}
		start := lo
		add := func(a, b float64) {
			if a, b = max(a, lo), min(b, hi); b > a {
				row.gaps = append(row.gaps, planeGap{lo: a, hi: b})
			}
		}
		for _, h := range row.hits {
			p := &pieces[h.piece]
			was := p.wind != 0
			p.wind += h.in
			is := p.wind != 0
			switch {
			case is && !was:
				if depth == 0 {
					add(start, h.x)
				}
				depth++
			case was && !is:
				if depth--; depth == 0 {
					start = h.x
				}
			}
		}
		if depth == 0 {
			add(start, hi)
		}
		for g := range row.gaps {
			dx := max(row.gaps[g].lo, -row.gaps[g].hi, 0)
			if d := dx*dx + y(r)*y(r); d < bestD {
				bestRow, bestGap, bestD = r, g, d
			}
		}
	}
	if bestRow < 0 {
		return false
	}
	type ref struct{ r, g int }
	c.off = math.Sqrt(bestD)
	stack := []ref{{bestRow, bestGap}}
	rs[bestRow].gaps[bestGap].mark = true
	c.shut, c.area, c.center = true, 0, mesh.Vec2{}
	c.lo, c.hi = mesh.Vec2{X: math.Inf(1), Y: math.Inf(1)}, mesh.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	longest := 0.0
	for len(stack) > 0 {
		t := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		g := rs[t.r].gaps[t.g]
		w := g.hi - g.lo
		c.area += w
		c.center.X += float64(w * (g.lo + g.hi) / 2)
		c.center.Y += float64(w * y(t.r))
		c.lo.X, c.hi.X = min(c.lo.X, g.lo), max(c.hi.X, g.hi)
		c.lo.Y, c.hi.Y = min(c.lo.Y, y(t.r)), max(c.hi.Y, y(t.r))
		if w > longest {
			longest, c.seed = w, mesh.Vec2{X: (g.lo + g.hi) / 2, Y: y(t.r)}
		}
		if g.lo <= -reach || g.hi >= reach || t.r == 0 || t.r == n-1 {
			c.shut = false
			return true
		}
		for _, q := range [2]int{t.r - 1, t.r + 1} {
			for k := range rs[q].gaps {
				if x := &rs[q].gaps[k]; !x.mark && x.lo < g.hi && x.hi > g.lo {
					x.mark = true
					stack = append(stack, ref{q, k})
				}
			}
		}
	}
	c.center = c.center.Mul(1 / c.area)
	c.area *= c.step
	c.rows = rs
	return true
}

// keep makes the rows the cut's own.
func (c *planeCut) keep() {
	rows := make([]planeRow, len(c.rows))
	for r, row := range c.rows {
		for _, g := range row.gaps {
			if g.mark {
				rows[r].gaps = append(rows[r].gaps, g)
			}
		}
	}
	c.rows = rows
}

// holds reports whether a place of the plane lies in the cut, within slack.
func (c *planeCut) holds(p mesh.Vec2, slack float64) bool {
	if p.X < c.lo.X-slack || p.X > c.hi.X+slack || p.Y < c.lo.Y-slack || p.Y > c.hi.Y+slack {
		return false
	}
	r0, r1 := int((p.Y-slack-c.y0)/c.step), int((p.Y+slack-c.y0)/c.step)
	for r := max(r0, 0); r <= min(r1, len(c.rows)-1); r++ {
		for _, g := range c.rows[r].gaps {
			if g.mark && p.X >= g.lo-slack && p.X <= g.hi+slack {
				return true
			}
		}
	}
	return false
}

// widest finds the largest circle that the cut holds: its middle and radius.
// Places all over the cut are tried, the best of them moved until the circle
// grows no more.
func (sl *planer) widest(c *planeCut) (mesh.Vec2, float64) {
	sx, sy := c.e1.Dot(sl.u), c.e2.Dot(sl.u)
	slope := math.Hypot(sx, sy)
	room := func(p mesh.Vec2) float64 {
		best := math.Inf(1)
		for _, s := range c.segs {
			d := s.b.Sub(s.a)
			w := 0.0
			if l := d.Dot(d); l > 0 {
				w = min(max(p.Sub(s.a).Dot(d)/l, 0), 1)
			}
			q := p.Sub(s.a.Add(d.Mul(w)))
			best = min(best, q.Dot(q))
		}
		best = math.Sqrt(best)
		if !math.IsInf(sl.line, -1) && slope > 1e-9 {
			best = min(best, (c.point(p).Dot(sl.u)-sl.line)/slope)
		}
		return best
	}
	type try struct {
		p mesh.Vec2
		r float64
	}
	var tries []try
	const across = 16
	every := max(1, int((c.hi.Y-c.lo.Y)/c.step)/across)
	for r, row := range c.rows {
		if r%every != 0 {
			continue
		}
		y := c.y0 + float64((float64(r)+0.5)*c.step)
		for _, g := range row.gaps {
			if !g.mark {
				continue
			}
			n := min(max(int(across*(g.hi-g.lo)/(c.hi.X-c.lo.X)), 1), across)
			for k := range n {
				p := mesh.Vec2{X: g.lo + (g.hi-g.lo)*(float64(k)+0.5)/float64(n), Y: y}
				tries = append(tries, try{p, room(p)})
			}
		}
	}
	if len(tries) == 0 {
		return c.seed, 0
	}
	slices.SortStableFunc(tries, func(a, b try) int { return cmp.Compare(b.r, a.r) })
	best := tries[0]
	for _, t := range tries[:min(6, len(tries))] {
		// In a sliver the circle creeps along for ever: the moves are counted.
		size := max(c.hi.X-c.lo.X, c.hi.Y-c.lo.Y)
		step := size / across
		for moves := 0; step > 1e-5*size && moves < 1000; moves++ {
			moved := false
			for k := range 16 {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / 16)
				p := t.p.Add(mesh.Vec2{X: cos * step, Y: sin * step})
				if r := room(p); r > t.r && c.holds(p, c.step) {
					t, moved = try{p, r}, true
				}
			}
			if !moved {
				step /= 2
			}
		}
		if t.r > best.r {
			best = t
		}
	}
	return best.p, best.r
}
