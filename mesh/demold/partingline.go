package demold

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh"
)

// plumb is the draft angle within which a wall counts as plumb: it may belong
// to either half, so the parting line crosses it level. One degree is the
// least draft that mold makers call draft. Common practice, no source.
const plumb = math.Pi / 180

// lineNoise is the length, as a share of the longest line, below which a
// closed line is surface noise and not a parting of its own. Common practice,
// no source.
const lineNoise = 0.05

// partingLine finds the natural parting line: where what is seen from above
// meets what is seen from below. Faces that look up belong to the upper half,
// faces that look down to the lower one, plumb walls are shared at the height
// of the parting plane; of the lines between the two, those on the outline
// from above (and round holes right through) are kept. Length is that of the
// lines in space, smoothed by a cell, so that the grain of a scan does not
// count; flatness is how far they stray from the parting plane.
func partingLine(a *analysis) {
	if a.rep.Parting == nil {
		return
	}
	p := &partLine{
		m: a.s.Surface(), u: a.u, height: a.partingHeight(),
		eps: mesh.TouchShare * a.size,
		a:   a,
	}
	lines := p.trace(p.segments())
	if len(lines) == 0 {
		return
	}
	var length, stray float64
	for _, l := range lines {
		length += lineLength(l)
		for _, v := range l {
			stray = max(stray, math.Abs(v.Dot(a.u)-p.height))
		}
	}
	a.rep.Parting.Line = lines
	a.rep.Parting.Length, a.rep.Parting.Flatness = &length, &stray
}

// partLine is the search for the parting line.
type partLine struct {
	a      *analysis
	m      *mesh.Mesh
	u      mesh.Vec
	height float64
	eps    float64

	pts  []mesh.Vec
	ids  map[uint64]int32 // looked up, never ranged over
	segs [][2]int32
}

// half returns +1 for a face of the upper half, −1 for one of the lower and 0
// for a plumb wall.
func (p *partLine) half(t int) int {
	x, y, z := p.m.Corners(t)
	n := y.Sub(x).Cross(z.Sub(x))
	l := n.Len()
	if l == 0 {
		return 0
	}
	s := n.Dot(p.u) / l
	if !p.a.s.Outward(t) {
		s = -s
	}
	switch {
	case s > plumb:
		return 1
	case s < -plumb:
		return -1
	}
	return 0
}

// Keys of points: a vertex, or where an edge meets the parting plane.
func (p *partLine) vertex(v int32) int32 {
	return p.point(uint64(v)<<32|uint64(uint32(v)), p.m.Vertices()[v])
}

func (p *partLine) onEdge(i, j int32) int32 {
	if i > j {
		i, j = j, i
	}
	a, b := p.m.Vertices()[i], p.m.Vertices()[j]
	za, zb := a.Dot(p.u), b.Dot(p.u)
	t := min(max((p.height-za)/(zb-za), 0), 1)
	return p.point(uint64(i)<<32|uint64(uint32(j)), a.Add(b.Sub(a).Mul(t)))
}

func (p *partLine) point(key uint64, v mesh.Vec) int32 {
	if k, ok := p.ids[key]; ok {
		return k
	}
	k := int32(len(p.pts))
	p.ids[key] = k
	p.pts = append(p.pts, v)
	return k
}

// segments collects the pieces of line between the halves, those on the
// outline only.
func (p *partLine) segments() [][2]int32 {
	s := p.a.s
	p.ids = map[uint64]int32{}
	skip := make([]bool, p.m.NumTriangles())
	half := make([]int8, p.m.NumTriangles())
	for t := range skip {
		skip[t] = !s.Live(t)
		if !skip[t] {
			half[t] = int8(p.half(t))
		}
	}
	adj, err := mesh.Edges(context.Background(), p.m, skip)
	if err != nil {
		return nil
	}
	verts, tris := p.m.Vertices(), p.m.Triangles()
	// side is the half that a place of height z on a face belongs to.
	high := func(v int32) bool { return verts[v].Dot(p.u) > p.height+p.eps }
	adj.Each(func(e mesh.Edge) bool {
		if len(e.Uses) != 2 {
			return true
		}
		f, g := e.Uses[0].Tri, e.Uses[1].Tri
		x, y := half[f], half[g]
		if x == y {
			return true
		}
		if x != 0 && y != 0 {
			p.add(p.vertex(e.A), p.vertex(e.B), f, g)
			return true
		}
		// One face is plumb: the edge parts it from the other where the wall
		// belongs to the other half.
		if x == 0 {
			x = y
		}
		ha, hb := high(e.A), high(e.B)
		switch {
		case ha == hb:
			if ha != (x > 0) {
				p.add(p.vertex(e.A), p.vertex(e.B), f, g)
			}
		case ha != (x > 0):
			p.add(p.vertex(e.A), p.onEdge(e.A, e.B), f, g)
		default:
			p.add(p.onEdge(e.A, e.B), p.vertex(e.B), f, g)
		}
		return true
	})
	// Plumb walls are cut by the plane.
	for t, i := range tris {
		if skip[t] || half[t] != 0 {
			continue
		}
		up := [3]bool{high(i[0]), high(i[1]), high(i[2])}
		if up[0] == up[1] && up[1] == up[2] {
			continue
		}
		k := 0
		for up[k] == up[(k+1)%3] || up[k] == up[(k+2)%3] {
			k++
		}
		p.add(p.onEdge(i[k], i[(k+1)%3]), p.onEdge(i[k], i[(k+2)%3]), int32(t), int32(t))
	}
	return p.segs
}

// add keeps a segment between faces f and g if it lies on the outline: a cell
// outward there is nothing above or below.
func (p *partLine) add(a, b, f, g int32) {
	if a == b {
		return
	}
	n := p.normal(f).Add(p.normal(g))
	fd := p.a.f
	m := p.pts[a].Add(p.pts[b]).Mul(0.5)
	x, y, _ := fd.Plane(m)
	d := mesh.Vec2{X: n.Dot(fd.E1), Y: n.Dot(fd.E2)}
	if l := d.Len(); l > 0 {
		d = d.Mul(fd.Cell / l)
	}
	i, j := int(math.Floor((x+d.X-fd.X0)/fd.Cell)), int(math.Floor((y+d.Y-fd.Y0)/fd.Cell))
	if i >= 0 && j >= 0 && i < fd.NX && j < fd.NY && len(fd.Column(i, j)) > 0 {
		return
	}
	p.segs = append(p.segs, [2]int32{a, b})
}

// normal is a face's outward unit normal.
func (p *partLine) normal(t int32) mesh.Vec {
	x, y, z := p.m.Corners(int(t))
	n := y.Sub(x).Cross(z.Sub(x)).Unit()
	if !p.a.s.Outward(int(t)) {
		n = n.Neg()
	}
	return n
}

// trace strings segments into lines, closed ones with the first point again at
// their end, joins lines across gaps of a few cells, drops those that are
// noise and smooths the rest. The longest comes first.
func (p *partLine) trace(segs [][2]int32) [][]mesh.Vec {
	around := make([][]int32, len(p.pts))
	for k, s := range segs {
		around[s[0]] = append(around[s[0]], int32(k))
		around[s[1]] = append(around[s[1]], int32(k))
	}
	used := make([]bool, len(segs))
	walk := func(from int32) []int32 {
		path := []int32{from}
		for {
			at := path[len(path)-1]
			next := int32(-1)
			for _, k := range around[at] {
				if !used[k] {
					next = k
					break
				}
			}
			if next < 0 {
				return path
			}
			used[next] = true
			s := segs[next]
			path = append(path, s[0]+s[1]-at)
		}
	}
	var paths [][]int32
	for pass := range 2 {
		// Loose ends first, then closed lines.
		for v := range around {
			open := 0
			for _, k := range around[v] {
				if !used[k] {
					open++
				}
			}
			for ; open > 0 && (pass == 1 || open%2 == 1); open-- {
				if q := walk(int32(v)); len(q) > 1 {
					paths = append(paths, q)
				}
				if pass == 0 {
					break
				}
			}
		}
	}
	lines := make([][]mesh.Vec, 0, len(paths))
	for _, q := range paths {
		l := make([]mesh.Vec, len(q))
		for k, v := range q {
			l[k] = p.pts[v]
		}
		lines = append(lines, l)
	}
	cell := p.a.f.Cell
	lines = p.bridge(lines, bridgeCells*cell)
	out := lines[:0]
	var longest float64
	for _, l := range lines {
		longest = max(longest, lineLength(l))
	}
	for _, l := range lines {
		if lineLength(l) >= lineNoise*longest {
			out = append(out, smooth(l, cell/2))
		}
	}
	slices.SortStableFunc(out, func(a, b []mesh.Vec) int {
		switch x, y := lineLength(a), lineLength(b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return out
}

// bridgeCells is the widest gap, in cells from above, between two ends of line
// that are taken to be one line: there the surface's own grain hid a piece.
const bridgeCells = 4

// bridge joins lines whose ends lie close to each other seen from above (a
// step down a plumb wall is part of the line).
func (p *partLine) bridge(lines [][]mesh.Vec, reach float64) [][]mesh.Vec {
	fd := p.a.f
	closed := func(l []mesh.Vec) bool { return l[0] == l[len(l)-1] }
	flat := func(v mesh.Vec) mesh.Vec2 { return mesh.Vec2{X: v.Dot(fd.E1), Y: v.Dot(fd.E2)} }
	type end struct {
		line int
		last bool
		at   mesh.Vec2
	}
	var ends []end
	for k, l := range lines {
		if !closed(l) {
			ends = append(ends, end{k, false, flat(l[0])}, end{k, true, flat(l[len(l)-1])})
		}
	}
	// Ends in cells of the reach: neighbours are found in the nine around.
	type pair struct {
		d    float64
		a, b int
	}
	grid := map[[2]int][]int{} // looked up, never ranged over
	cellOf := func(q mesh.Vec2) [2]int { return [2]int{int(math.Floor(q.X / reach)), int(math.Floor(q.Y / reach))} }
	var pairs []pair
	for k, e := range ends {
		c := cellOf(e.at)
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				for _, o := range grid[[2]int{c[0] + dx, c[1] + dy}] {
					if d := ends[o].at.Sub(e.at).Len(); d <= reach {
						pairs = append(pairs, pair{d, o, k})
					}
				}
			}
		}
		grid[c] = append(grid[c], k)
	}
	slices.SortStableFunc(pairs, func(x, y pair) int {
		switch {
		case x.d < y.d:
			return -1
		case x.d > y.d:
			return 1
		}
		return 0
	})
	mate := make([]int, len(ends))
	for k := range mate {
		mate[k] = -1
	}
	for _, q := range pairs {
		if mate[q.a] < 0 && mate[q.b] < 0 {
			mate[q.a], mate[q.b] = q.b, q.a
		}
	}
	endOf := make([]int, len(lines)) // index of a line's first end
	for k := 0; k < len(ends); k += 2 {
		endOf[ends[k].line] = k
	}
	done := make([]bool, len(lines))
	var out [][]mesh.Vec
	grow := func(start int) { // start: an end to begin at
		var l []mesh.Vec
		e := start
		for {
			k := ends[e].line
			if done[k] {
				if len(l) > 0 {
					l = append(l, l[0])
				}
				break
			}
			done[k] = true
			part := slices.Clone(lines[k])
			if ends[e].last {
				slices.Reverse(part)
			}
			l = append(l, part...)
			e = mate[e^1]
			if e < 0 {
				break
			}
		}
		out = append(out, l)
	}
	for k, l := range lines {
		if closed(l) {
			done[k] = true
			out = append(out, l)
		}
	}
	for e := range ends {
		if mate[e] < 0 && !done[ends[e].line] {
			grow(e)
		}
	}
	for e := range ends {
		if !done[ends[e].line] {
			grow(e)
		}
	}
	return out
}

// lineLength is the length of a polyline, mm.
func lineLength(l []mesh.Vec) float64 {
	var s float64
	for k := 1; k < len(l); k++ {
		s += l[k].Sub(l[k-1]).Len()
	}
	return s
}

// smooth drops the points that lie within tol of the line without them
// (D. H. Douglas & T. K. Peucker, "Algorithms for the reduction of the number
// of points required to represent a digitized line or its caricature",
// Cartographica 10 (1973)).
func smooth(l []mesh.Vec, tol float64) []mesh.Vec {
	if len(l) < 3 {
		return l
	}
	keep := make([]bool, len(l))
	keep[0], keep[len(l)-1] = true, true
	type span struct{ a, b int }
	stack := []span{{0, len(l) - 1}}
	if l[0] == l[len(l)-1] {
		// A closed line is first split at its farthest point.
		far, at := 0.0, len(l)/2
		for k, v := range l {
			if d := v.Sub(l[0]).Len(); d > far {
				far, at = d, k
			}
		}
		keep[at] = true
		stack = []span{{0, at}, {at, len(l) - 1}}
	}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		a, d := l[s.a], l[s.b].Sub(l[s.a])
		dd := d.Dot(d)
		far, at := tol, -1
		for k := s.a + 1; k < s.b; k++ {
			v := l[k].Sub(a)
			if dd > 0 {
				v = v.Sub(d.Mul(min(max(v.Dot(d)/dd, 0), 1)))
			}
			if x := v.Len(); x > far {
				far, at = x, k
			}
		}
		if at >= 0 {
			keep[at] = true
			stack = append(stack, span{s.a, at}, span{at, s.b})
		}
	}
	out := make([]mesh.Vec, 0, 64)
	for k, v := range l {
		if keep[k] {
			out = append(out, v)
		}
	}
	return out
}
