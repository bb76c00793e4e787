package mesh

import (
	"context"
	"math"
	"slices"
)

// Loop is a chain of boundary edges, edges with exactly one triangle: the rim
// of a hole. It passes no vertex twice.
type Loop struct {
	// Verts in order, walked as the triangles run: seen from outside, the
	// surface lies on the left and the hole on the right. The first is the
	// smallest index of a closed loop; it is not repeated at the end.
	Verts []int32
	// Tris are the triangles on the edges: Tris[i] on the one from Verts[i] to
	// the next. An open chain has one less than vertices.
	Tris []int32
	// Closed is false only for a chain that ends where three triangles (or
	// five, ...) share an edge.
	Closed bool
	// Turned counts edges that had to be walked against their triangle,
	// because the surface is not wound consistently there.
	Turned int
	Length float64 // mm
}

// BoundaryLoops returns the rims of all holes, the longest first. Where holes
// touch at a vertex they are told apart by the order of surface and gaps round
// that vertex, and every loop comes out simple; each boundary edge is in
// exactly one. A triangle t with skip[t] is left out as if it were not there;
// skip may be nil. It is nil where nothing is open (and for a mesh of more than
// 1.4 billion triangles, which Inspect refuses).
//
// Edges with three triangles, or any larger odd number, are no part of it: see
// OddEdges.
func BoundaryLoops(m *Mesh, skip []bool) []Loop {
	a, err := Edges(context.Background(), m, skip)
	if err != nil {
		return nil
	}
	return a.Loops()
}

// OddEdges returns the edges that have an odd number of triangles, but more
// than one: where they are, a surface ends on another. By A, then B; the Uses
// are the caller's.
func (a *Adjacency) OddEdges() []Edge {
	var r []Edge
	a.Each(func(e Edge) bool {
		if n := len(e.Uses); n > 1 && n%2 == 1 {
			e.Uses = slices.Clone(e.Uses)
			r = append(r, e)
		}
		return true
	})
	return r
}

// rim is a boundary edge as its triangle runs.
type rim struct {
	from, to int32 // places in rims.verts
	tri      int32
}

// rims is the graph of boundary edges.
type rims struct {
	a     *Adjacency
	verts []int32 // the vertices that have any, ascending
	edges []rim
	start []int32 // per vertex, into at
	at    []int32 // edges at each vertex, both those that leave and that arrive
	used  []bool  // per edge
}

// Loops is BoundaryLoops of the mesh that the adjacency was made of.
func (a *Adjacency) Loops() []Loop {
	g := &rims{a: a}
	a.eachBoundary(func(from, to, tri int32) {
		g.edges = append(g.edges, rim{from, to, tri})
		g.verts = append(g.verts, from, to)
	})
	if len(g.edges) == 0 {
		return nil
	}
	slices.Sort(g.verts)
	g.verts = slices.Compact(g.verts)
	place := func(v int32) int32 {
		i, _ := slices.BinarySearch(g.verts, v)
		return int32(i)
	}
	g.start = make([]int32, len(g.verts)+1)
	for i := range g.edges {
		e := &g.edges[i]
		e.from, e.to = place(e.from), place(e.to)
		g.start[e.from+1]++
		g.start[e.to+1]++
	}
	for i := range g.verts {
		g.start[i+1] += g.start[i]
	}
	g.at = make([]int32, 2*len(g.edges))
	fill := slices.Clone(g.start)
	for i, e := range g.edges {
		for _, v := range [2]int32{e.from, e.to} {
			g.at[fill[v]] = int32(i)
			fill[v]++
		}
	}
	g.used = make([]bool, len(g.edges))

	// Chains that end somewhere begin where an odd number of edges meet; take
	// those first, whatever is left closes.
	var loops []Loop
	pos := make([]int32, len(g.verts))
	for _, odd := range [2]bool{true, false} {
		for v := range int32(len(g.verts)) {
			if odd && (g.start[v+1]-g.start[v])%2 == 0 {
				continue
			}
			for g.free(v) {
				loops = g.walk(v, pos, loops)
				if odd {
					break // the rest of its edges are even in number
				}
			}
		}
	}
	slices.SortStableFunc(loops, func(x, y Loop) int {
		switch {
		case x.Length > y.Length:
			return -1
		case x.Length < y.Length:
			return 1
		}
		return int(x.Verts[0]) - int(y.Verts[0])
	})
	return loops
}

// eachBoundary calls f for every edge with one triangle, as that runs.
func (a *Adjacency) eachBoundary(f func(from, to, tri int32)) {
	for v := range int32(len(a.start) - 1) {
		around := a.Around(v)
		for _, t := range around {
			next, prev := corners(a.m.tris[t], v)
			if next > v && a.alone(around, v, next) {
				f(v, next, t)
			}
			if prev > v && a.alone(around, v, prev) {
				f(prev, v, t)
			}
		}
	}
}

// alone reports whether only one of the triangles around v has w as a corner.
func (a *Adjacency) alone(around []int32, v, w int32) bool {
	n := 0
	if b := a.Around(w); len(b) < len(around) {
		around, w = b, v
	}
	for _, t := range around {
		if c := a.m.tris[t]; c[0] == w || c[1] == w || c[2] == w {
			if n++; n > 1 {
				return false
			}
		}
	}
	return true
}

// free reports whether v has an edge not walked yet.
func (g *rims) free(v int32) bool {
	for _, e := range g.at[g.start[v]:g.start[v+1]] {
		if !g.used[e] {
			return true
		}
	}
	return false
}

// step is a vertex on the way and the edge by which it was reached.
type step struct {
	v    int32
	edge int32 // -1 at the start
}

// walk follows edges from v until there is none left to leave by, and cuts off
// a loop whenever it comes to a vertex that it has been at. pos is scratch
// space, all zero.
func (g *rims) walk(v int32, pos []int32, loops []Loop) []Loop {
	path := []step{{v, -1}}
	pos[v] = 1
	for {
		here := path[len(path)-1]
		e := g.leave(here)
		if e < 0 {
			break
		}
		g.used[e] = true
		to := g.edges[e].to
		if to == here.v {
			to = g.edges[e].from
		}
		if k := pos[to]; k > 0 {
			ring := append(slices.Clone(path[k:]), step{to, e})
			loops = append(loops, g.loop(to, ring, true))
			for _, s := range path[k:] {
				pos[s.v] = 0
			}
			path = path[:k]
			continue
		}
		path = append(path, step{to, e})
		pos[to] = int32(len(path))
	}
	for _, s := range path {
		pos[s.v] = 0
	}
	if len(path) > 1 {
		loops = append(loops, g.loop(v, path[1:], false))
	}
	return loops
}

// loop words the steps from a vertex on as a Loop.
func (g *rims) loop(from int32, steps []step, closed bool) Loop {
	l := Loop{Closed: closed, Verts: []int32{g.verts[from]}}
	l.Verts = slices.Grow(l.Verts, len(steps))
	l.Tris = make([]int32, 0, len(steps))
	var length Sum
	for _, s := range steps {
		e := g.edges[s.edge]
		l.Tris = append(l.Tris, e.tri)
		if e.to != s.v {
			l.Turned++
		}
		p := g.a.m.verts
		length.Add(p[g.verts[e.to]].Sub(p[g.verts[e.from]]).Len())
		l.Verts = append(l.Verts, g.verts[s.v])
	}
	l.Length = length.Value()
	if 2*l.Turned > len(steps) { // the other way round is more with the winding
		slices.Reverse(l.Verts)
		slices.Reverse(l.Tris)
		l.Turned = len(steps) - l.Turned
	}
	if closed {
		l.Verts = l.Verts[:len(steps)]
		k := slices.Index(l.Verts, slices.Min(l.Verts))
		l.Verts = slices.Concat(l.Verts[k:], l.Verts[:k])
		l.Tris = slices.Concat(l.Tris[k:], l.Tris[:k])
	}
	return l
}

// leave chooses the edge to go on by, -1 where there is none: one that leaves
// the vertex as its triangle runs, else one that arrives. Where there are
// several, it is the other side of the gap: looking at the surface from
// outside, the first one counterclockwise from where we came.
func (g *rims) leave(s step) int32 {
	best, leaves, several := int32(-1), false, false
	for _, e := range g.at[g.start[s.v]:g.start[s.v+1]] {
		if g.used[e] {
			continue
		}
		switch l := g.edges[e].from == s.v; {
		case best < 0 || l && !leaves:
			best, leaves, several = e, l, false
		case l == leaves:
			several = true
		}
	}
	if !several || s.edge < 0 {
		return best
	}
	m := g.a.m
	at := func(i int32) Vec { return m.verts[g.verts[i]] }
	o := at(s.v)
	var n Vec
	for _, t := range g.a.Around(g.verts[s.v]) {
		a, b, c := m.Corners(int(t))
		n = n.Add(b.Sub(a).Cross(c.Sub(a)))
	}
	n = n.Unit()
	far := func(e int32) Vec {
		if g.edges[e].from == s.v {
			return at(g.edges[e].to).Sub(o)
		}
		return at(g.edges[e].from).Sub(o)
	}
	came := far(s.edge)
	x := came.Sub(n.Mul(came.Dot(n)))
	y := n.Cross(x)
	least := math.Inf(1)
	for _, e := range g.at[g.start[s.v]:g.start[s.v+1]] {
		if g.used[e] || (g.edges[e].from == s.v) != leaves {
			continue
		}
		d := far(e)
		angle := math.Atan2(d.Dot(y), d.Dot(x))
		if angle <= 0 {
			angle += 2 * math.Pi
		}
		if angle < least {
			best, least = e, angle
		}
	}
	return best
}
