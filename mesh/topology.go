package mesh

import (
	"context"
	"errors"
	"fmt"
	"math/bits"
	"slices"
	"sync/atomic"

	"moldtally/mesh/disjoint"
	"moldtally/mesh/par"
)

// Adjacency knows, for every vertex, the triangles around it, and through
// them every edge with all its triangles: two for a sound surface, one at a
// hole, three or more where surfaces meet. Collapsed triangles are left out.
//
// It costs 12 bytes per triangle and 4 per vertex, is immutable and safe for
// concurrent use. Nothing in it depends on the number of cores.
type Adjacency struct {
	m     *Mesh
	start []uint32 // per vertex, into around; one more than vertices
	at    []int32  // triangles around each vertex, ascending
}

// Use is one triangle's use of an edge.
type Use struct {
	Tri     int32
	Side    int8 // the edge runs from corner Side to corner Side+1 (mod 3) of the triangle
	Forward bool // the triangle runs along it from the edge's smaller vertex index to its larger
}

// maxSurveyTriangles keeps three entries per triangle inside a uint32.
const maxSurveyTriangles = (1<<32 - 1) / 3

// mostParts bounds how many parts the table is filled in at once: for each of
// them all triangles are read to pick out its own range of vertices, so more
// of them soon cost more reading than they save.
const mostParts = 8

// Edges builds the adjacency of a mesh. A triangle t with skip[t] is left out
// as if it were not there; skip may be nil. Collapsed triangles are always
// left out. The only errors are a cancelled ctx and a mesh of more than
// 1.4 billion triangles.
func Edges(ctx context.Context, m *Mesh, skip []bool) (*Adjacency, error) {
	if len(m.tris) > maxSurveyTriangles {
		return nil, errors.New("mesh: more than 1.4 billion triangles")
	}
	nv := len(m.verts)
	a := &Adjacency{m: m, start: make([]uint32, nv+1)}
	parts := min(par.Workers(), mostParts, nv/4096+1)

	// Each part owns a range of vertices and sees the triangles in order, so
	// every list comes out ascending whatever the number of parts. start is
	// used three times over: counts, then where each list ends, then, after
	// filling from the back to the front, where it starts.
	const chunk = 1 << 18
	overTriangles := func(backward bool, do func(lo, hi int32, t int32, c [3]int32)) error {
		err := par.Each(ctx, parts, func(p int) {
			lo, hi := int32(nv*p/parts), int32(nv*(p+1)/parts)
			n := len(m.tris)
			for from := 0; from < n; from += chunk {
				if ctx.Err() != nil {
					return
				}
				k := min(chunk, n-from)
				for i := range k {
					t := from + i
					if backward {
						t = n - 1 - t
					}
					c := m.tris[t]
					if c[0] == c[1] || c[1] == c[2] || c[2] == c[0] || (skip != nil && skip[t]) {
						continue
					}
					do(lo, hi, int32(t), c)
				}
			}
		})
		if err != nil {
			return fmt.Errorf("mesh: edges: %w", err)
		}
		return nil
	}
	start := a.start
	err := overTriangles(false, func(lo, hi, _ int32, c [3]int32) {
		for _, v := range c {
			if v >= lo && v < hi {
				start[v]++
			}
		}
	})
	if err != nil {
		return nil, err
	}
	sum := uint32(0)
	for v := range nv {
		sum += start[v]
		start[v] = sum
	}
	start[nv] = sum
	a.at = make([]int32, sum)
	at := a.at
	err = overTriangles(true, func(lo, hi, t int32, c [3]int32) {
		for _, v := range c {
			if v >= lo && v < hi {
				k := start[v] - 1
				start[v] = k
				at[k] = t
			}
		}
	})
	if err != nil {
		return nil, err
	}
	return a, nil
}

// Around returns the triangles that have vertex v as a corner, ascending. The
// slice is borrowed: read it only.
func (a *Adjacency) Around(v int32) []int32 { return a.at[a.start[v]:a.start[v+1]] }

// Uses returns every triangle on the edge between vertices v and w, in order
// of triangle, in buf's storage if it is large enough. Forward is told as for
// an Edge: from the smaller index to the larger.
func (a *Adjacency) Uses(v, w int32, buf []Use) []Use {
	buf = buf[:0]
	lo, hi := min(v, w), max(v, w)
	if a.start[v+1]-a.start[v] > a.start[w+1]-a.start[w] {
		v = w // the shorter list says the same
	}
	for _, t := range a.Around(v) {
		c := a.m.tris[t]
		for k := range 3 {
			x, y := c[k], c[(k+1)%3]
			if x == lo && y == hi {
				buf = append(buf, Use{t, int8(k), true})
			} else if x == hi && y == lo {
				buf = append(buf, Use{t, int8(k), false})
			}
		}
	}
	return buf
}

// side finds which side of a triangle the edge between v and w is; out says
// that the triangle runs from v to w.
func side(c [3]int32, v, w int32, out bool) int8 {
	if !out {
		v = w
	}
	for k := range int8(2) {
		if c[k] == v {
			return k
		}
	}
	return 2
}

// linkEnd is one of the two edges that a triangle around a vertex has there.
type linkEnd struct {
	w   int32  // the vertex at the other end
	opp int32  // the triangle's third corner
	i   uint32 // which of the triangles around the vertex
	out bool   // the triangle runs away from the vertex along it
}

// ends lists the edges at v whose other end is a larger index than above,
// sorted by that end, then by triangle.
func (a *Adjacency) ends(v, above int32, buf []linkEnd) []linkEnd {
	for i, t := range a.Around(v) {
		next, prev := corners(a.m.tris[t], v)
		if next > above {
			buf = append(buf, linkEnd{next, prev, uint32(i), true})
		}
		if prev > above {
			buf = append(buf, linkEnd{prev, next, uint32(i), false})
		}
	}
	if len(buf) > fastDegree {
		slices.SortStableFunc(buf, func(x, y linkEnd) int { return int(x.w) - int(y.w) })
		return buf
	}
	for i := 1; i < len(buf); i++ { // stable, and fastest for the usual three
		x, k := buf[i], i
		for ; k > 0 && buf[k-1].w > x.w; k-- {
			buf[k] = buf[k-1]
		}
		buf[k] = x
	}
	return buf
}

// corners returns the two corners that follow v in a triangle's winding.
func corners(c [3]int32, v int32) (next, prev int32) {
	switch v {
	case c[0]:
		return c[1], c[2]
	case c[1]:
		return c[2], c[0]
	}
	return c[0], c[1]
}

// What is remembered of a triangle because of its edges, a byte each.
const (
	flagBoundary0 = 1 << iota // side 0 has no other triangle
	flagBoundary1
	flagBoundary2
	flagOdd      // an edge has an odd number of triangles
	flagBranch   // an edge has three or more
	flagTurned   // an edge has two that run the same way
	flagUneven   // an edge is run along more often one way than the other
	flagBoundary = flagBoundary0 | flagBoundary1 | flagBoundary2
)

// triFlags holds a byte per triangle, four to a word so that they can be set
// from several goroutines.
type triFlags []uint32

func (f triFlags) set(t int32, bit uint32) {
	atomic.OrUint32(&f[t>>2], bit<<(8*uint(t&3)))
}

func (f triFlags) get(t int) uint32 { return f[t>>2] >> (8 * uint(t&3)) & 0xFF }

// edgeCounts is what a walk over all edges adds up.
type edgeCounts struct {
	boundary, branch, turned, odd, duplicates int
	fans                                      []int32 // a triangle of each fan at a vertex beyond the vertex's first
}

// joiner walks the edges around vertices: it counts them, joins triangles over
// them and counts the fans at each vertex.
type joiner struct {
	a     *Adjacency
	set   disjoint.Shared
	flags triFlags

	edgeCounts
	ends []linkEnd
	fan  disjoint.Sets // of the triangles around the vertex: its fans
}

// fastDegree is the largest number of triangles around a vertex that is
// looked at pair by pair; measured: sorting wins above some 30.
const fastDegree = 32

// vertex looks at everything around v.
func (j *joiner) vertex(v int32) {
	around := j.a.Around(v)
	d := len(around)
	if d == 0 {
		return
	}
	if d <= fastDegree && j.sound(v, around) {
		return
	}
	j.unsound(v, around)
}

// sound handles a vertex where every edge has two triangles that run opposite
// ways, and reports false, having changed nothing, where it is not so.
func (j *joiner) sound(v int32, around []int32) bool {
	var next, prev [fastDegree]int32
	var to [fastDegree]uint8 // the triangle across the edge to next
	d := len(around)
	tris := j.a.m.tris
	for i, t := range around {
		next[i], prev[i] = corners(tris[t], v)
	}
	used := uint32(0)
	for i := range d {
		w, k := next[i], 0
		for k < d && prev[k] != w {
			k++
		}
		if k == d || used>>k&1 != 0 {
			return false
		}
		used |= 1 << k
		to[i] = uint8(k)
	}
	// Every next is met by exactly one prev: the map to is a permutation and
	// its cycles are the fans at v.
	seen := uint32(0)
	for first := 0; seen != 1<<d-1; first++ {
		if seen>>first&1 != 0 {
			continue
		}
		n := 0
		for i := first; seen>>i&1 == 0; i = int(to[i]) {
			seen |= 1 << i
			n++
			if next[i] > v {
				j.set.Join(around[i], around[to[i]])
			}
		}
		if n == 2 && v < next[first] && v < prev[first] {
			j.duplicates++ // two triangles back to back
		}
		if first > 0 {
			j.fans = append(j.fans, around[first])
		}
	}
	return true
}

// unsound handles any vertex.
func (j *joiner) unsound(v int32, around []int32) {
	d := len(around)
	j.ends = j.a.ends(v, -1, j.ends[:0])
	j.fan = j.fan[:0]
	for range d {
		j.fan.Add()
	}
	fans := d
	tris := j.a.m.tris
	for lo := 0; lo < len(j.ends); {
		hi := lo + 1
		for hi < len(j.ends) && j.ends[hi].w == j.ends[lo].w {
			hi++
		}
		g := j.ends[lo:hi]
		lo = hi
		for _, e := range g[1:] {
			if j.fan.Join(int32(g[0].i), int32(e.i)) {
				fans--
			}
		}
		w := g[0].w
		if w < v {
			continue // counted at the other end
		}
		out := 0
		for _, e := range g {
			if e.out {
				out++
			}
			j.set.Join(around[g[0].i], around[e.i])
		}
		bit := uint32(0)
		switch n := len(g); {
		case n == 1:
			j.boundary++
			t := around[g[0].i]
			bit = flagOdd | flagUneven | 1<<side(tris[t], v, w, g[0].out)
		case n == 2 && out != 1:
			j.turned++
			bit = flagTurned | flagUneven
		case n > 2:
			j.branch++
			bit = flagBranch
			if 2*out != n {
				bit |= flagUneven
			}
			if n%2 == 1 {
				bit |= flagOdd
			}
		}
		if len(g)%2 == 1 {
			j.odd++
		}
		if bit != 0 {
			for _, e := range g {
				j.flags.set(around[e.i], bit)
			}
		}
		// Equal triangles all meet at the edge between their two smallest
		// corners: count them there.
		if len(g) > 1 {
			slices.SortFunc(g, func(x, y linkEnd) int { return int(x.opp) - int(y.opp) })
			for k := 1; k < len(g); k++ {
				if g[k].opp > w && g[k].opp == g[k-1].opp {
					j.duplicates++
				}
			}
		}
	}
	if fans == 1 {
		return
	}
	for i := 1; i < d; i++ {
		if j.fan[i] == int32(i) {
			j.fans = append(j.fans, around[i])
		}
	}
}

// joined is what a walk over all edges finds: the counts and the pieces.
type joined struct {
	edgeCounts
	of    []int32  // per triangle: its piece, in order of first triangle; -1 if left out
	n     int      // how many pieces
	flags triFlags // nil where no edge is odd, branching or turned
}

// vertexBlock is how many vertices a goroutine looks at in one go.
const vertexBlock = 4096

// join finds the pieces of the surface and counts its edges.
func (a *Adjacency) join(ctx context.Context) (*joined, error) {
	m := a.m
	set := disjoint.New(len(m.tris))
	flags := make(triFlags, (len(m.tris)+3)/4)
	nv := len(m.verts)
	var team par.Team[joiner]
	err := team.Blocks(ctx, nv, vertexBlock, func(j *joiner, from, to int) {
		j.a, j.set, j.flags = a, disjoint.Shared(set), flags
		for v := from; v < to; v++ {
			j.vertex(int32(v))
		}
	})
	if err != nil {
		return nil, fmt.Errorf("mesh: edges: %w", err)
	}
	r := &joined{}
	for _, j := range team.Scratch() {
		r.boundary += j.boundary
		r.branch += j.branch
		r.turned += j.turned
		r.odd += j.odd
		r.duplicates += j.duplicates
		r.fans = append(r.fans, j.fans...)
	}
	if r.odd+r.branch+r.turned > 0 {
		r.flags = flags
	}
	// A root is the smallest member, so every parent comes before its
	// children and has become a piece number when they ask.
	for t, p := range set {
		switch {
		case m.Collapsed(t):
			set[t] = -1
		case int(p) == t:
			set[t] = int32(r.n)
			r.n++
		default:
			set[t] = set[p]
		}
	}
	r.of = set
	return r, nil
}

// fansOf counts, for every piece, the fans of triangles around its vertices:
// a sound vertex is one fan, a vertex where cones meet tip to tip is one per
// cone.
func (a *Adjacency) fansOf(r *joined) []int32 {
	fans := make([]int32, r.n)
	for v := range int32(len(a.start) - 1) {
		if s := a.start[v]; s < a.start[v+1] {
			fans[r.of[a.at[s]]]++
		}
	}
	for _, t := range r.fans {
		fans[r.of[t]]++
	}
	return fans
}

// orientable reports, for each piece that has turned edges and only edges of
// two triangles, whether turning some of its triangles would make it
// consistent (a Klein bottle cannot be). Pieces not asked about are true.
func (a *Adjacency) orientable(ctx context.Context, of []int32, ask []bool) ([]bool, error) {
	ok := make([]bool, len(ask))
	for i := range ok {
		ok[i] = true
	}
	n := len(of)
	// turn[t]: 0 not seen, 1 as read, 2 turned over.
	turn := make([]uint8, n)
	var stack []int32
	var uses []Use
	tris := a.m.tris
	for first := range n {
		p := of[first]
		if p < 0 || !ask[p] || turn[first] != 0 {
			continue
		}
		turn[first] = 1
		stack = append(stack[:0], int32(first))
		for k := 0; len(stack) > 0; k++ {
			if k%4096 == 0 && ctx.Err() != nil {
				return nil, fmt.Errorf("mesh: edges: %w", ctx.Err())
			}
			t := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			c := tris[t]
			for s := range 3 {
				uses = a.Uses(c[s], c[(s+1)%3], uses)
				if len(uses) != 2 {
					continue
				}
				o := uses[0]
				if o.Tri == t {
					o = uses[1]
				}
				want := turn[t]
				if uses[0].Forward == uses[1].Forward {
					want = 3 - want
				}
				if turn[o.Tri] == 0 {
					turn[o.Tri] = want
					stack = append(stack, o.Tri)
				} else if turn[o.Tri] != want {
					ok[p] = false
				}
			}
		}
	}
	return ok, nil
}

// boundarySides counts the sides of a triangle that have no other triangle.
func boundarySides(f uint32) int { return bits.OnesCount32(f & flagBoundary) }
