package arrange

import (
	"cmp"
	"context"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
)

// cells is the arranged surface, its faces met only in whole sides and corners,
// and the cells of space between them.
type cells struct {
	a     *arrangement
	tris  [][3]int32
	whole int           // the triangles before are kept whole, the others came of cutting
	over  [][]*face     // per triangle that came of cutting: the faces that it lies in
	from  []int32       // per triangle: the face of the source
	parts disjoint.Sets // faces that hang together along sides
	side  disjoint.Sets // 2t is the front of triangle t, 2t+1 its back; sets are cells
	cut   int           // source faces that were cut
}

// newCells joins the sides of faces into cells.
func newCells(ctx context.Context, a *arrangement) (*cells, error) {
	c := &cells{a: a}
	if err := c.collect(ctx); err != nil {
		return nil, err
	}
	c.parts = disjoint.New(len(c.tris))
	c.side = disjoint.New(2 * len(c.tris))
	return c, c.join(ctx)
}

// collect lists the faces: those that nothing cuts as they are.
func (c *cells) collect(ctx context.Context) error {
	a := c.a
	n := a.src.NumTriangles()
	c.tris = make([][3]int32, 0, n)
	c.from = make([]int32, 0, n)
	for t, i := range a.src.Triangles() {
		if t&0xffff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if a.skip != nil && a.skip[t] || a.src.Collapsed(t) {
			continue
		}
		if k := a.number[t]; k >= 0 {
			if !a.flats[a.faces[k].flat].whole() {
				continue
			}
		} else {
			f := face{}
			if f.p[0], f.p[1], f.p[2] = a.src.Corners(t); !f.see() {
				continue
			}
		}
		c.tris = append(c.tris, i)
		c.from = append(c.from, int32(t))
	}
	c.whole = len(c.tris)
	for k := range a.flats {
		f := &a.flats[k]
		if f.whole() {
			continue
		}
		c.cut += len(f.faces)
		for i, t := range f.out {
			over := f.faces
			if f.over != nil {
				over = f.over[i]
			}
			for k := range t {
				t[k] = f.own.pts[t[k]].id
			}
			c.tris = append(c.tris, t)
			c.over = append(c.over, over)
			c.from = append(c.from, over[0].t)
		}
	}
	return nil
}

// of is the face that triangle t was cut out of, nil for one kept whole.
func (c *cells) of(t int32) *face {
	if int(t) < c.whole {
		return nil
	}
	return c.over[int(t)-c.whole][0]
}

// vertices is how many vertices there are: those of the source, then new ones.
func (c *cells) vertices() int {
	return c.a.src.NumVertices() + len(c.a.table.pts) - c.a.corners
}

// point is the exact place of a vertex of a cut face.
func (c *cells) point(v int32) *point {
	if int(v) < c.a.src.NumVertices() {
		return c.a.corner[v]
	}
	return c.a.table.pts[int(v)-c.a.src.NumVertices()+c.a.corners]
}

// place is the place of a vertex, rounded, and what rounding left out, mm.
func (c *cells) place(v int32) (hi, lo mesh.Vec) {
	if int(v) < c.a.src.NumVertices() {
		return c.a.src.Vertices()[v], mesh.Vec{}
	}
	p := c.point(v)
	return mesh.V(p.hi[0], p.hi[1], p.hi[2]), mesh.V(p.lo[0], p.lo[1], p.lo[2])
}

// join joins the sides of faces that are next to each other round an edge. A
// half-edge is 3t+k, from corner k of triangle t on.
func (c *cells) join(ctx context.Context) error {
	nv := c.vertices()
	off := make([]int32, nv+1)
	for _, i := range c.tris {
		for k := range 3 {
			off[min(i[k], i[(k+1)%3])+1]++
		}
	}
	for v := range nv {
		off[v+1] += off[v]
	}
	order := make([]int32, off[nv])
	next := slices.Clone(off[:nv])
	for t, i := range c.tris {
		for k := range 3 {
			v := min(i[k], i[(k+1)%3])
			order[next[v]] = int32(3*t + k)
			next[v]++
		}
	}
	far := func(h int32) int32 {
		i := c.tris[h/3]
		return max(i[h%3], i[(h%3+1)%3])
	}
	for v := range nv {
		if v&0xffff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		b := order[off[v]:off[v+1]]
		slices.SortFunc(b, func(x, y int32) int {
			if d := cmp.Compare(far(x), far(y)); d != 0 {
				return d
			}
			return cmp.Compare(x, y)
		})
		for len(b) > 0 {
			n := 1
			for n < len(b) && far(b[n]) == far(b[0]) {
				n++
			}
			if err := c.round(b[:n], int32(v), far(b[0])); err != nil {
				return err
			}
			b = b[n:]
		}
	}
	return nil
}

// forward reports whether a half-edge runs from its smaller vertex.
func (c *cells) forward(h int32) bool {
	i := c.tris[h/3]
	return i[h%3] < i[(h%3+1)%3]
}

// ahead and behind are the sides of a face that look the way angles grow round
// its edge, and back: seen against the edge, from the larger vertex to the
// smaller, a face that runs forward shows its front the way angles grow.
func (c *cells) ahead(h int32) int32 {
	if c.forward(h) {
		return 2 * (h / 3)
	}
	return 2*(h/3) + 1
}

func (c *cells) behind(h int32) int32 { return c.ahead(h) ^ 1 }

// round joins the faces round the edge pq.
func (c *cells) round(hs []int32, p, q int32) error {
	if len(hs) > 2 {
		if err := c.turnRound(hs, p, q); err != nil {
			return err
		}
	}
	for k, h := range hs {
		g := hs[(k+1)%len(hs)]
		c.side.Join(c.ahead(h), c.behind(g))
		c.parts.Join(h/3, g/3)
	}
	return nil
}

// spoke is a face at an edge: a plane, as a face of the source, the way the
// angles grow against its normal, and a corner of the source that lies in the
// plane on the face's hand of the edge.
type spoke struct {
	h     int32
	plane [3]mesh.Vec
	turn  int
	apex  mesh.Vec
	class int
}

// turnRound puts more than two half-edges in order round their edge.
func (c *cells) turnRound(hs []int32, p, q int32) error {
	sp := make([]spoke, len(hs))
	for k, h := range hs {
		var ok bool
		if sp[k], ok = c.spoke(h, p, q); !ok {
			return errTangled
		}
	}
	// from tells where g lies from f: 1 less than half a turn on, -1 more, 0 in
	// one plane.
	from := func(f, g *spoke) int {
		return mesh.Orient3(f.plane[0], f.plane[1], f.plane[2], g.apex) * f.turn
	}
	for k := 1; k < len(sp); k++ {
		switch from(&sp[0], &sp[k]) {
		case 1:
			sp[k].class = 1
		case 0:
			sp[k].class = 2
		case -1:
			sp[k].class = 3
		}
	}
	slices.SortStableFunc(sp, func(f, g spoke) int {
		if f.class != g.class {
			return f.class - g.class
		}
		return -from(&f, &g)
	})
	for k := range sp {
		hs[k] = sp[k].h
		if k > 0 && sp[k].class == sp[k-1].class && (sp[k].class == 2 || from(&sp[k-1], &sp[k]) != 1) {
			return errTangled // two faces in one place
		}
	}
	return nil
}

// spoke describes the face of half-edge h at the edge pq.
func (c *cells) spoke(h, p, q int32) (s spoke, ok bool) {
	s.h = h
	s.turn = -1
	if c.forward(h) {
		s.turn = 1
	}
	t := h / 3
	g := c.of(t)
	if g == nil {
		i := c.tris[t]
		s.plane[0], s.plane[1], s.plane[2] = c.a.src.Corners(int(c.from[t]))
		s.apex = c.a.src.Vertices()[i[(h%3+2)%3]]
		return s, true
	}
	s.plane = g.p
	hand := s.turn // of pq on which the face lies in the view
	s.turn *= g.ccw
	a, b := c.point(p), c.point(q)
	for k := range 3 {
		if g.view.turn(a, b, g.c[k]) == hand {
			s.apex = g.p[k]
			return s, true
		}
	}
	return s, false
}
