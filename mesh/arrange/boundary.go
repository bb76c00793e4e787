package arrange

import (
	"context"
	"math"

	"moldtally/mesh"
)

// sum adds up without losing what is small beside the rest (A. Neumaier,
// "Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen",
// ZAMM 54 (1974) 39, from memory).
type sum struct{ x, low float64 }

func (s *sum) add(v float64) {
	x := s.x + v
	if math.Abs(s.x) >= math.Abs(v) {
		s.low += s.x - x + v
	} else {
		s.low += v - x + s.x
	}
	s.x = x
}

func (s *sum) value() float64 { return s.x + s.low }

// volume is what a triangle and the point o enclose, mm³.
func (c *cells) volume(t int, o mesh.Vec) float64 {
	var p [3]mesh.Vec
	for k, v := range c.tris[t] {
		hi, lo := c.place(v)
		p[k] = hi.Sub(o).Add(lo)
	}
	return p[0].Dot(p[1].Cross(p[2])) / 6
}

// number numbers the cells that have a face between them and another: cell is by
// the side of a face, -1 where the same cell is on both.
func (c *cells) number() (cell []int32, n int) {
	cell = make([]int32, len(c.side))
	at := make([]int32, len(c.side))
	for k := range cell {
		cell[k], at[k] = -1, -1
	}
	for t := range c.tris {
		f, b := c.side.Find(int32(2*t)), c.side.Find(int32(2*t+1))
		if f == b {
			continue
		}
		for k, r := range [2]int32{f, b} {
			if at[r] < 0 {
				at[r] = int32(n)
				n++
			}
			cell[2*t+k] = at[r]
		}
	}
	return cell, n
}

// outermost finds for every part of the surface (by its root) the cell outside
// of it, -1 where it encloses nothing. A cell's volume by the divergence theorem
// is negative for the one without an end, and that alone: there the surface is
// seen from outside.
func (c *cells) outermost(cell []int32, n int) (outer []int32, vol []sum) {
	lo, hi := c.a.src.Bounds()
	o := lo.Mul(0.5).Add(hi.Mul(0.5))
	vol = make([]sum, n)
	for t := range c.tris {
		// The normal of the front points into the cell in front.
		if cell[2*t] >= 0 {
			v := c.volume(t, o)
			vol[cell[2*t]].add(-v)
			vol[cell[2*t+1]].add(v)
		}
	}
	outer = make([]int32, len(c.tris))
	for t := range outer {
		outer[t] = -1
	}
	for t := range c.tris {
		part := c.parts.Find(int32(t))
		for _, k := range cell[2*t : 2*t+2] {
			if best := outer[part]; k >= 0 && vol[k].value() < 0 && (best < 0 || vol[k].value() < vol[best].value()) {
				outer[part] = k
			}
		}
	}
	return outer, vol
}

// boundary takes the faces that have the outermost cell on one side only, in
// parts that lie within no other.
func (c *cells) boundary(ctx context.Context, o Options) (*Result, error) {
	cell, n := c.number()
	outer, vol := c.outermost(cell, n)
	r := &Result{Cut: c.cut, src: c.a.src}
	var parts []int32 // per triangle kept: the root of its part
	live := make([]bool, c.a.src.NumTriangles())
	for t, i := range c.tris {
		part := c.parts.Find(int32(t))
		live[c.from[t]] = true
		out := outer[part]
		if out < 0 {
			continue
		}
		front, back := cell[2*t] == out, cell[2*t+1] == out
		if front == back {
			continue
		}
		if back {
			i[1], i[2] = i[2], i[1]
		}
		r.tris = append(r.tris, i)
		r.from = append(r.from, int32(t))
		parts = append(parts, part)
	}
	inner, err := c.within(ctx, r.tris, parts)
	if err != nil {
		return nil, err
	}
	kept := 0
	for k, i := range r.tris {
		if !inner[parts[k]] {
			r.tris[kept], r.from[kept] = i, r.from[k]
			kept++
		}
	}
	r.tris, r.from = r.tris[:kept], r.from[:kept]
	if o.Wound != nil {
		c.rooms(r, o.Wound, cell, outer, vol, inner)
	}
	c.finish(r, live)
	return r, nil
}

// finish measures the boundary and puts in what does not need the exact points.
func (c *cells) finish(r *Result, live []bool) {
	lo, hi := c.a.src.Bounds()
	o := lo.Mul(0.5).Add(hi.Mul(0.5))
	var v sum
	for k, t := range r.from {
		x := c.volume(int(t), o)
		if r.tris[k][1] != c.tris[t][1] {
			x = -x
		}
		v.add(x)
		if c.of(t) != nil {
			r.Added++
		}
		r.from[k] = c.from[t]
	}
	r.Volume = v.value()
	for k := range c.a.flats {
		// A face that lies on others is on the boundary where they are.
		f := &c.a.flats[k]
		for _, g := range f.faces {
			live[g.t] = true
		}
	}
	for _, t := range r.from {
		live[t] = false
	}
	for _, gone := range live {
		if gone {
			r.Dropped++
		}
	}
	for _, p := range c.a.table.pts[c.a.corners:] {
		r.more = append(r.more, mesh.V(p.hi[0], p.hi[1], p.hi[2]))
	}
}

// Empty reports whether the faces shut off nothing.
func (r *Result) Empty() bool { return len(r.tris) == 0 }

// Mesh is the boundary as a mesh, each coordinate rounded once. Rounding may lay
// corners on each other: a face that is then a line is left out, and two that lie
// back to back on the same three corners are too. What is left is closed all the
// same: each edge has as many faces that run along it one way as the other.
// Faces that nothing cut keep their corners to the bit.
func (r *Result) Mesh() (*mesh.Mesh, error) {
	var b mesh.Builder
	nv := int32(r.src.NumVertices())
	verts := r.src.Vertices()
	at := make(map[[3]int32]int) // of a face with its smallest corner first: how often; looked up, never ranged over
	var tris [][3]int32
	number := make([]int32, int(nv)+len(r.more))
	for v := range number {
		number[v] = -1
	}
	for _, i := range r.tris {
		for k, v := range i {
			if number[v] < 0 {
				var p mesh.Vec
				if v < nv {
					p = verts[v]
				} else {
					p = r.more[v-nv]
				}
				n, err := b.Vertex(p)
				if err != nil {
					return nil, err
				}
				number[v] = n
			}
			i[k] = number[v]
		}
		if i[0] == i[1] || i[1] == i[2] || i[2] == i[0] {
			continue
		}
		tris = append(tris, smallestFirst(i))
	}
	for _, i := range tris {
		at[i]++
	}
	for _, i := range tris {
		back := smallestFirst([3]int32{i[0], i[2], i[1]})
		if at[i] > 0 && at[back] > 0 {
			at[i]--
			at[back]--
			continue
		}
		if at[i] > 0 {
			at[i]--
			b.Triangle(i[0], i[1], i[2])
		}
	}
	return b.Build(1)
}

// smallestFirst turns a face round until its smallest corner is first.
func smallestFirst(i [3]int32) [3]int32 {
	for i[0] > i[1] || i[0] > i[2] {
		i[0], i[1], i[2] = i[1], i[2], i[0]
	}
	return i
}
