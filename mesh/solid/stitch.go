package solid

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
)

// A half-edge is side k of triangle t, from corner k to corner k+1, numbered
// 3t+k. stitching pairs each with the half-edge across it.
type stitching struct {
	tris [][3]int32
	vert []mesh.Vec
	mate []int32 // per half-edge: the one across, noMate, or leftOut
	flip []bool  // per triangle: turned against its file winding
	part []int32 // per triangle: sheet it belongs to, -1 left out
	n    int     // sheets
	odd  []bool  // per sheet: cannot be wound consistently
}

const (
	noMate  = -1
	leftOut = -2
)

// stitch joins triangles into sheets: two triangles on an edge become
// neighbours whatever their winding; where more than two meet, they are paired
// in their order around the edge, so that what is joined encloses a wedge of
// solid. Afterwards every half-edge has at most one mate and sheets are
// manifold along edges. skip leaves triangles out.
func stitch(ctx context.Context, vert []mesh.Vec, tris [][3]int32, skip []bool) (*stitching, error) {
	s := &stitching{tris: tris, vert: vert}
	s.mate = make([]int32, 3*len(tris))
	// Counting sort of half-edges by their smaller vertex.
	off := make([]int32, len(vert)+1)
	for t, i := range tris {
		if skip != nil && skip[t] {
			continue
		}
		for k := range 3 {
			off[min(i[k], i[(k+1)%3])+1]++
		}
	}
	for v := range vert {
		off[v+1] += off[v]
	}
	order := make([]int32, off[len(vert)])
	next := slices.Clone(off[:len(vert)])
	for t, i := range tris {
		for k := range 3 {
			h := int32(3*t + k)
			if skip != nil && skip[t] {
				s.mate[h] = leftOut
				continue
			}
			s.mate[h] = noMate
			v := min(i[k], i[(k+1)%3])
			order[next[v]] = h
			next[v]++
		}
	}
	far := func(h int32) int32 {
		i := tris[h/3]
		return max(i[h%3], i[(h%3+1)%3])
	}
	for v := range vert {
		if v&0xffff == 0 && ctx.Err() != nil {
			return nil, fmt.Errorf("solid: %w", ctx.Err())
		}
		b := order[off[v]:off[v+1]]
		slices.SortFunc(b, func(x, y int32) int {
			if c := cmp.Compare(far(x), far(y)); c != 0 {
				return c
			}
			return cmp.Compare(x, y)
		})
		for len(b) > 0 {
			n := 1
			for n < len(b) && far(b[n]) == far(b[0]) {
				n++
			}
			switch {
			case n == 2:
				s.mate[b[0]], s.mate[b[1]] = b[1], b[0]
			case n > 2:
				s.pairAround(b[:n])
			}
			b = b[n:]
		}
	}
	return s, s.wind(ctx)
}

// forward reports whether half-edge h runs from its smaller vertex to its
// larger one.
func (s *stitching) forward(h int32) bool {
	i := s.tris[h/3]
	return i[h%3] < i[(h%3+1)%3]
}

// pairAround pairs more than two half-edges on one edge by their order around
// it. Seen along the edge from its smaller vertex, a backward half-edge has
// the solid on its counter-clockwise side and a forward one on its clockwise
// side, so matching them like brackets encloses wedges of solid. What has no
// partner of the right kind is paired with its nearest neighbour, whatever its
// winding; one may be left over.
func (s *stitching) pairAround(hs []int32) {
	i := s.tris[hs[0]/3]
	p, q := i[hs[0]%3], i[(hs[0]%3+1)%3]
	if p > q {
		p, q = q, p
	}
	o := s.vert[p]
	d := s.vert[q].Sub(o).Unit()
	rest := s.bracket(s.spokes(hs, o, d))
	for len(rest) >= 2 {
		// The pair with the smallest angle between them.
		best, gap := 0, math.Inf(1)
		for k := range rest {
			n := (k + 1) % len(rest)
			a := rest[n].angle - rest[k].angle
			if a < 0 {
				a += 2 * math.Pi
			}
			if len(rest) == 2 && k == 1 {
				break
			}
			if a < gap-1e-9 {
				best, gap = k, a
			}
		}
		n := (best + 1) % len(rest)
		a, b := rest[best].h, rest[n].h
		s.mate[a], s.mate[b] = b, a
		rest = slices.DeleteFunc(rest, func(x spoke) bool { return x.h == a || x.h == b })
	}
}

// spoke is a half-edge of an edge that several faces share, and the angle at
// which its face stands round it.
type spoke struct {
	h     int32
	angle float64
}

// spokes sorts half-edges round their edge, which runs from o along d.
func (s *stitching) spokes(hs []int32, o, d mesh.Vec) []spoke {
	sp := make([]spoke, len(hs))
	var e1, e2 mesh.Vec
	for k, h := range hs {
		apex := s.vert[s.tris[h/3][(h%3+2)%3]].Sub(o)
		apex = apex.Sub(d.Mul(apex.Dot(d)))
		if k == 0 {
			e1 = apex.Unit()
			if e1 == (mesh.Vec{}) {
				e1, _ = mesh.Basis(d)
			}
			e2 = d.Cross(e1)
		}
		a := math.Atan2(apex.Dot(e2), apex.Dot(e1))
		// In steps far above rounding, so that faces in one plane stay equal
		// however the pattern is turned.
		const step = 1e-8
		a = math.Round(a/step) * step
		if a < 0 {
			a += 2 * math.Pi
		}
		if a > 2*math.Pi-step {
			a = 0
		}
		sp[k] = spoke{h, a}
	}
	slices.SortFunc(sp, func(a, b spoke) int {
		if c := cmp.Compare(a.angle, b.angle); c != 0 {
			return c
		}
		// Coincident faces: an end before a beginning, so that touching
		// solids come apart at their contact.
		fa, fb := s.forward(a.h), s.forward(b.h)
		if fa != fb {
			if fa {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.h, b.h)
	})
	return sp
}

// bracket pairs sorted spokes like brackets round the circle, in two laps, which
// settle what wraps, and returns those without a partner.
func (s *stitching) bracket(sp []spoke) (rest []spoke) {
	var stack []int
	done := make([]bool, len(sp))
	for lap := range 2 {
		for k := range sp {
			if done[k] {
				continue
			}
			if !s.forward(sp[k].h) {
				if lap == 0 {
					stack = append(stack, k)
				}
			} else if len(stack) > 0 {
				j := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				s.mate[sp[j].h], s.mate[sp[k].h] = sp[k].h, sp[j].h
				done[j], done[k] = true, true
			}
		}
	}
	for k := range sp {
		if !done[k] {
			rest = append(rest, sp[k])
		}
	}
	return rest
}

// wind finds the sheets and turns triangles so that neighbours agree. A sheet
// where that cannot be done (one with a Möbius band in it) is marked odd.
func (s *stitching) wind(ctx context.Context) error {
	s.flip = make([]bool, len(s.tris))
	s.part = make([]int32, len(s.tris))
	for t := range s.part {
		s.part[t] = -1
	}
	var queue []int32
	for t := range s.tris {
		if s.part[t] >= 0 || s.mate[3*t] == leftOut {
			continue
		}
		id := int32(s.n)
		s.n++
		s.odd = append(s.odd, false)
		s.part[t] = id
		queue = append(queue[:0], int32(t))
		turned := 0
		for q := 0; q < len(queue); q++ {
			if q&0xffff == 0 && ctx.Err() != nil {
				return fmt.Errorf("solid: %w", ctx.Err())
			}
			a := queue[q]
			if s.flip[a] {
				turned++
			}
			for k := range int32(3) {
				m := s.mate[3*a+k]
				if m < 0 {
					continue
				}
				b := m / 3
				// Neighbours agree when they run along the edge in
				// opposite ways.
				want := s.flip[a] != (s.forward(3*a+k) == s.forward(m))
				if s.part[b] < 0 {
					s.part[b] = id
					s.flip[b] = want
					queue = append(queue, b)
				} else if s.flip[b] != want {
					s.odd[id] = true
				}
			}
		}
		// Turn the fewer, so that what is listed as turned is what a person
		// would call turned.
		if 2*turned > len(queue) {
			for _, b := range queue {
				s.flip[b] = !s.flip[b]
			}
		}
	}
	return nil
}

// turned is the number of triangles that wind adjusts.
func (s *stitching) turned() int {
	n := 0
	for _, f := range s.flip {
		if f {
			n++
		}
	}
	return n
}

// ends returns where half-edge h starts and ends once its triangle is turned.
func (s *stitching) ends(h int32) (from, to int32) {
	i := s.tris[h/3]
	from, to = i[h%3], i[(h%3+1)%3]
	if s.flip[h/3] {
		from, to = to, from
	}
	return from, to
}

// loop is a closed chain of vertices where a sheet ends, in the winding of
// the sheet's own triangles, with the half-edges it runs along.
type loop struct {
	part  int32
	verts []int32
	half  []int32
}

// loops walks the boundaries of all sheets. Every unpaired half-edge is in
// exactly one loop.
func (s *stitching) loops() []loop {
	var out []loop
	seen := make(map[int32]bool)
	for h0, m := range s.mate {
		h := int32(h0)
		if m != noMate || seen[h] {
			continue
		}
		l := loop{part: s.part[h/3]}
		for !seen[h] {
			seen[h] = true
			from, to := s.ends(h)
			l.verts = append(l.verts, from)
			l.half = append(l.half, h)
			h = s.nextOpen(h, to)
		}
		out = append(out, l)
	}
	return out
}

// nextOpen turns around vertex v, from the unpaired half-edge h that ends
// there, through neighbouring triangles to the next unpaired one.
func (s *stitching) nextOpen(h, v int32) int32 {
	for {
		t := h / 3
		i := s.tris[t]
		// The side of t at v that is not h.
		for k := range int32(3) {
			g := 3*t + k
			if g != h && (i[k] == v || i[(k+1)%3] == v) {
				h = g
				break
			}
		}
		if s.mate[h] < 0 {
			return h
		}
		h = s.mate[h]
	}
}
