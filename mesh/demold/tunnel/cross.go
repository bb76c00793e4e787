package tunnel

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/section"
)

// cutter cuts the surface near a place with planes, exactly: what of a plane
// lies outside the solid and above the slab, and how far that reaches.
type cutter struct {
	space

	middle mesh.Vec // triangles within reach of it are kept
	reach  float64
	tris   []int32
	verts  []mesh.Vec // their corners, each once
	local  [][3]int32 // of each triangle: which of those
	number []int32    // per corner of the surface: its place in verts, +1; 0 = it is not there
	height []float64  // of verts over a plane

	rows []row     // reused
	segs []segment // reused
	work int       // triangles looked at so far, and 100 a row
}

// segment is where a plane cuts one triangle, the solid on the left.
type segment struct {
	a, b  mesh.Vec2
	piece int32
}

// crossing is where a row meets the surface of a piece.
type crossing struct {
	x     float64
	piece int32 // of those in the plane
	in    int32 // +1 where it begins, −1 where it ends
}

// gap is a stretch of a row outside the solid and the slab.
type gap struct {
	lo, hi float64
	mark   bool // part of the cross-section
}

// row is a line that a cross-section is measured along.
type row struct {
	hits []crossing
	gaps []gap
}

// crossSection is the part of a plane outside the solid that holds a place.
type crossSection struct {
	o, n, e1, e2 mesh.Vec
	shut         bool // it is bounded by the solid and the slab all round
	area         float64
	center       mesh.Vec2 // of its area
	seed         mesh.Vec2 // a place well inside it
	off          float64   // how far it is from the place asked for
	lo, hi       mesh.Vec2 // its extents
	segs         []segment
	rows         []row
	y0, step     float64 // height of row 0, and from row to row
}

// point is a place of the plane in the file's frame.
func (c *crossSection) point(p mesh.Vec2) mesh.Vec { return c.o.Add(c.e1.Mul(p.X)).Add(c.e2.Mul(p.Y)) }

// y is the height of a row.
func (c *crossSection) y(r int) float64 { return c.y0 + float64((float64(r)+0.5)*c.step) }

// near reports whether the cross-section is closed all round and holds the
// place asked for.
func (c *crossSection) near() bool { return c.shut && c.off <= 1.5*c.step }

// gather lists the triangles within reach of a place.
func (sl *cutter) gather(middle mesh.Vec, reach float64) {
	if sl.tris != nil && middle.Sub(sl.middle).Len()+reach <= sl.reach {
		return
	}
	sl.middle, sl.reach = middle, 1.5*reach
	m := sl.Solid.Surface()
	sl.work += m.NumTriangles() / 4
	verts := m.Vertices()
	sl.forget()
	lo, hi := middle.Sub(mesh.V(1, 1, 1).Mul(sl.reach)), middle.Add(mesh.V(1, 1, 1).Mul(sl.reach))
	for t, i := range m.Triangles() {
		a, b, c := verts[i[0]], verts[i[1]], verts[i[2]]
		if max(a.X, b.X, c.X) < lo.X || min(a.X, b.X, c.X) > hi.X || max(a.Y, b.Y, c.Y) < lo.Y || min(a.Y, b.Y, c.Y) > hi.Y ||
			max(a.Z, b.Z, c.Z) < lo.Z || min(a.Z, b.Z, c.Z) > hi.Z || !sl.Solid.Live(t) {
			continue
		}
		sl.tris = append(sl.tris, int32(t))
		var own [3]int32
		for k, v := range i {
			if sl.number[v] == 0 {
				sl.verts = append(sl.verts, verts[v])
				sl.number[v] = int32(len(sl.verts))
			}
			own[k] = sl.number[v] - 1
		}
		sl.local = append(sl.local, own)
	}
}

// forget drops the triangles that were gathered.
func (sl *cutter) forget() {
	m := sl.Solid.Surface()
	if sl.number == nil {
		sl.number, sl.tris = make([]int32, len(m.Vertices())), []int32{}
	}
	for _, t := range sl.tris {
		for _, v := range m.Triangles()[t] {
			sl.number[v] = 0
		}
	}
	sl.tris, sl.verts, sl.local = sl.tris[:0], sl.verts[:0], sl.local[:0]
}

// cut lays a plane through o across n and finds its part outside the solid that
// holds o, or comes nearest to it, as far as reach. rows is the number of lines
// that it is measured along. ok is false where no such part is near. The rows
// belong to the cutter and last until the next cut.
func (sl *cutter) cut(o, n mesh.Vec, reach float64, rows int) (crossSection, bool) {
	n = n.Unit()
	// The lines that the cut is measured along are turned, so that they do not
	// run along walls: over an aligned one the area would come in steps.
	b1, b2 := mesh.Basis(n)
	const sin, cos = 0.36506, 0.93098
	c := crossSection{o: o, n: n, e1: b1.Mul(cos).Add(b2.Mul(sin)).Unit(), e2: b2.Mul(cos).Sub(b1.Mul(sin)).Unit()}
	sl.gather(o, reach*1.01)
	tris, verts := sl.Solid.Surface().Triangles(), sl.Solid.Surface().Vertices()
	on := o.Dot(n)
	sl.work += len(sl.tris)
	flat := func(p section.Point) mesh.Vec2 {
		x := verts[p.I].Sub(o).Add(verts[p.J].Sub(verts[p.I]).Mul(p.W))
		return mesh.Vec2{X: x.Dot(c.e1), Y: x.Dot(c.e2)}
	}
	segs := sl.segs[:0]
	// A corner is one of six triangles.
	sl.height = sl.height[:0]
	for _, v := range sl.verts {
		sl.height = append(sl.height, v.Dot(n)-on)
	}
	for k, own := range sl.local {
		d := [3]float64{sl.height[own[0]], sl.height[own[1]], sl.height[own[2]]}
		up := [3]bool{d[0] >= 0, d[1] >= 0, d[2] >= 0}
		if up[0] == up[1] && up[1] == up[2] {
			continue
		}
		t := sl.tris[k]
		if a, b, ok := section.Triangle(tris[t], d, up, 0, sl.Solid.Outward(int(t))); ok {
			segs = append(segs, segment{flat(a), flat(b), int32(sl.Solid.Piece(int(t)))})
		}
	}
	sl.segs = segs
	c.segs = slices.Clone(segs) // exactly as long: cuts are many
	c.y0, c.step = -reach, 2*reach/float64(rows)
	return c, sl.measure(&c, reach, rows)
}

// finer measures a cross-section again along lines close together, over its
// extents.
func (sl *cutter) finer(c *crossSection, reach float64, rows int) bool {
	pad := 2 * c.step
	c.y0 = c.lo.Y - pad
	c.step = (c.hi.Y - c.lo.Y + 2*pad) / float64(rows)
	return sl.measure(c, reach, rows)
}

// measure fills a cross-section from its segments.
func (sl *cutter) measure(c *crossSection, reach float64, n int) bool {
	for len(sl.rows) < n {
		sl.rows = append(sl.rows, row{})
	}
	rs := sl.rows[:n]
	sl.work += 100 * n
	for r := range rs {
		rs[r].hits, rs[r].gaps = rs[r].hits[:0], rs[r].gaps[:0]
	}
	pieces := c.cross(rs, reach)
	best, bestR, bestG := math.Inf(1), -1, -1
	for r := range rs {
		lo, hi, ok := sl.aboveSlab(c, c.y(r), reach)
		// Windings go on from row to row, whether there is room or not.
		depth := pieces.start(c.y(r))
		if !ok {
			continue
		}
		rs[r].fill(pieces, depth, lo, hi)
		for g := range rs[r].gaps {
			dx := max(rs[r].gaps[g].lo, -rs[r].gaps[g].hi, 0)
			if d := dx*dx + c.y(r)*c.y(r); d < best {
				best, bestR, bestG = d, r, g
			}
		}
	}
	if bestR < 0 {
		return false
	}
	c.off = math.Sqrt(best)
	c.grow(rs, bestR, bestG, reach)
	return true
}

// windings tells how often each piece in a plane goes round the places of a row.
// That follows from the crossings between one place and another; from row to
// row they are counted along the rows' start. What is left to know is one number
// a piece: it goes round nothing where it goes round least.
type windings []winding

type winding struct {
	piece  int32
	starts []crossing // along the rows' start: height, and whether the piece begins or ends
	next   int        // of starts
	off    int32      // how often it goes round the start of a row, less a constant
	least  int32      // the least such number anywhere: that constant
	now    int32
}

// at is the number of a piece in the list, which it joins if need be.
func (w *windings) at(piece int32) int {
	k := slices.IndexFunc(*w, func(x winding) bool { return x.piece == piece })
	if k < 0 {
		k = len(*w)
		*w = append(*w, winding{piece: piece, least: math.MaxInt32})
	}
	return k
}

// to goes up to the row at height y.
func (w *winding) to(y float64) {
	for w.next < len(w.starts) && w.starts[w.next].x <= y {
		w.off += w.starts[w.next].in
		w.next++
	}
}

// start goes to the start of the row at height y and counts the pieces that go
// round it.
func (w windings) start(y float64) (depth int) {
	for k := range w {
		w[k].to(y)
		if w[k].now = w[k].off - w[k].least; w[k].now > 0 {
			depth++
		}
	}
	return depth
}

// cross finds where the rows, which begin at −reach, meet the segments, in
// order, and returns the windings before the first row.
func (c *crossSection) cross(rs []row, reach float64) windings {
	var pieces windings
	for _, s := range c.segs {
		k := pieces.at(s.piece)
		if (s.a.X < -reach) != (s.b.X < -reach) {
			w := int32(1) // the solid, on the left, is above
			if s.a.X >= -reach {
				w = -1
			}
			at := s.a.Y + float64((s.b.Y-s.a.Y)*((-reach-s.a.X)/(s.b.X-s.a.X)))
			pieces[k].starts = append(pieces[k].starts, crossing{x: at, in: w})
		}
		lo, hi, in := s.a, s.b, int32(-1) // rising: the solid is on the left, and ends
		if lo.Y > hi.Y {
			lo, hi, in = hi, lo, 1
		}
		r := max(int(math.Ceil((lo.Y-c.y0)/c.step-0.5))-1, 0)
		for ; r < len(rs) && c.y(r) < hi.Y; r++ {
			if y := c.y(r); y >= lo.Y {
				x := lo.X + float64((hi.X-lo.X)*((y-lo.Y)/(hi.Y-lo.Y)))
				if x >= -reach {
					rs[r].hits = append(rs[r].hits, crossing{x, int32(k), in})
				}
			}
		}
	}
	for k := range pieces {
		slices.SortFunc(pieces[k].starts, func(a, b crossing) int { return cmp.Compare(a.x, b.x) })
	}
	for r := range rs {
		slices.SortFunc(rs[r].hits, func(a, b crossing) int {
			return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(b.in, a.in), cmp.Compare(a.piece, b.piece))
		})
		for k := range pieces {
			p := &pieces[k]
			p.to(c.y(r))
			p.now = p.off
			p.least = min(p.least, p.now)
		}
		for _, h := range rs[r].hits {
			p := &pieces[h.piece]
			p.now += h.in
			p.least = min(p.least, p.now)
		}
	}
	for k := range pieces {
		pieces[k].off, pieces[k].next = 0, 0
	}
	return pieces
}

// aboveSlab is the stretch of a row where rubber may be: the slab cuts the plane
// along a straight line. ok is false where there is none.
func (sl *cutter) aboveSlab(c *crossSection, y, reach float64) (lo, hi float64, ok bool) {
	lo, hi = -reach, reach
	if !sl.slab() {
		return lo, hi, true
	}
	sx, h := c.e1.Dot(sl.Up), c.o.Dot(sl.Up)-sl.floor+float64(c.e2.Dot(sl.Up)*y)
	switch {
	case math.Abs(sx) < 1e-12:
		return lo, hi, !(h <= 0)
	case sx > 0:
		lo = max(lo, -h/sx)
	default:
		hi = min(hi, -h/sx)
	}
	return lo, hi, lo < hi
}

// fill finds the row's gaps between lo and hi; depth is how many pieces go round
// its start.
func (r *row) fill(pieces windings, depth int, lo, hi float64) {
	add := func(a, b float64) {
		if a, b = max(a, lo), min(b, hi); b > a {
			r.gaps = append(r.gaps, gap{lo: a, hi: b})
		}
	}
	start := lo
	for _, h := range r.hits {
		p := &pieces[h.piece]
		was := p.now != 0
		p.now += h.in
		is := p.now != 0
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
}

// grow gathers the gaps that hang together with gap g of row r, and measures
// them. It leaves off where they reach the ends.
func (c *crossSection) grow(rs []row, r, g int, reach float64) {
	type ref struct{ r, g int }
	stack := []ref{{r, g}}
	rs[r].gaps[g].mark = true
	c.shut, c.area, c.center = true, 0, mesh.Vec2{}
	c.lo, c.hi = mesh.Vec2{X: math.Inf(1), Y: math.Inf(1)}, mesh.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	longest := 0.0
	for len(stack) > 0 {
		t := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		g, y := rs[t.r].gaps[t.g], c.y(t.r)
		w := g.hi - g.lo
		c.area += w
		c.center.X += float64(w * (g.lo + g.hi) / 2)
		c.center.Y += float64(w * y)
		c.lo.X, c.hi.X = min(c.lo.X, g.lo), max(c.hi.X, g.hi)
		c.lo.Y, c.hi.Y = min(c.lo.Y, y), max(c.hi.Y, y)
		if w > longest {
			longest, c.seed = w, mesh.Vec2{X: (g.lo + g.hi) / 2, Y: y}
		}
		if g.lo <= -reach || g.hi >= reach || t.r == 0 || t.r == len(rs)-1 {
			c.shut = false
			return
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
}
