package solid

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// lattice is a cubic grid of nodes flooded from outside. A step between
// neighbouring nodes is blocked where the surface crosses it, tested on the
// column along that step's own axis, so that the flood cannot leak through a
// wall, however much thinner than a cell it is.
type lattice struct {
	axis   [3]mesh.Vec
	lo     [3]float64 // position of node (0,0,0) along each axis
	cell   float64
	n      [3]int
	pocket []uint64 // nodes that are enclosed but inside no piece
	out    []uint64 // nodes that the outside reaches
	found  int
}

func (l *lattice) at(i, j, k int) int { return (k*l.n[1]+j)*l.n[0] + i }

func bit(b []uint64, k int) bool { return b[k>>6]>>(k&63)&1 != 0 }
func setBit(b []uint64, k int)   { b[k>>6] |= 1 << (k & 63) }

// findPockets floods the space around the pieces and returns the nodes that
// they enclose together; nil if there are none. resolution is the number of
// nodes along the longest side.
func (s *Solid) findPockets(ctx context.Context, resolution int) (*lattice, error) {
	l := &lattice{}
	l.axis[0], l.axis[1], l.axis[2] = turnedFrame(0)
	var lo, hi [3]float64
	for d := range 3 {
		lo[d], hi[d] = math.Inf(1), math.Inf(-1)
	}
	verts := s.surface.Vertices()
	for t, i := range s.surface.Triangles() {
		if s.piece[t] < 0 {
			continue
		}
		for _, v := range i {
			for d := range 3 {
				x := verts[v].Dot(l.axis[d])
				lo[d], hi[d] = min(lo[d], x), max(hi[d], x)
			}
		}
	}
	longest := max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])
	if !(longest > 0) {
		return nil, nil
	}
	l.cell = longest / float64(resolution)
	total := 1
	for d := range 3 {
		l.n[d] = int((hi[d]-lo[d])/l.cell) + 4
		l.lo[d] = (lo[d]+hi[d])/2 - float64(l.n[d]-1)/2*l.cell
		total *= l.n[d]
	}
	words := (total + 63) / 64
	var wall [3][]uint64
	inside := make([]uint64, words)
	for d := range 3 {
		a, b := (d+1)%3, (d+2)%3
		g := dexel.Grid{
			U: l.axis[d], E1: l.axis[a], E2: l.axis[b],
			X0: l.lo[a] - l.cell/2, Y0: l.lo[b] - l.cell/2,
			Cell: l.cell, NX: l.n[a], NY: l.n[b],
		}
		c, err := dexel.Cast(ctx, s.surface, g, dexel.Options{Skip: s.skipFunc()})
		if err != nil {
			return nil, err
		}
		wall[d] = make([]uint64, words)
		var w []int32
		var sp []dexel.Span
		if d == 2 {
			w = make([]int32, s.pieces)
		}
		// A node that sits on the surface, within what snapping can shift,
		// is walled on both sides.
		const eps = 1e-3
		for j := range g.NY {
			for i := range g.NX {
				col := c.Column(i, j)
				var at [3]int
				at[a], at[b] = i, j
				block := func(k int) {
					if k >= 0 && k < l.n[d]-1 {
						at[d] = k
						setBit(wall[d], l.at(at[0], at[1], at[2]))
					}
				}
				for _, x := range col {
					f := (x.Z - l.lo[d]) / l.cell
					k := int(math.Floor(f))
					block(k)
					if f-float64(k) < eps {
						block(k - 1)
					} else if f-float64(k) > 1-eps {
						block(k + 1)
					}
				}
				if d == 2 {
					sp, _ = s.spans(col, w, sp[:0])
					for _, x := range sp {
						k0 := int(math.Ceil((x.Bottom - l.lo[2]) / l.cell))
						k1 := int(math.Floor((x.Top - l.lo[2]) / l.cell))
						for k := max(k0, 0); k <= min(k1, l.n[2]-1); k++ {
							setBit(inside, l.at(i, j, k))
						}
					}
				}
			}
		}
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("solid: %w", err)
		}
	}
	// Flood from the corner, which the margin keeps outside.
	l.out = make([]uint64, words)
	step := [3]int{1, l.n[0], l.n[0] * l.n[1]}
	queue := []int32{0}
	setBit(l.out, 0)
	for len(queue) > 0 {
		k := int(queue[len(queue)-1])
		queue = queue[:len(queue)-1]
		p := [3]int{k % l.n[0], k / l.n[0] % l.n[1], k / (l.n[0] * l.n[1])}
		for d := range 3 {
			if p[d]+1 < l.n[d] && !bit(wall[d], k) && !bit(l.out, k+step[d]) {
				setBit(l.out, k+step[d])
				queue = append(queue, int32(k+step[d]))
			}
			if p[d] > 0 && !bit(wall[d], k-step[d]) && !bit(l.out, k-step[d]) {
				setBit(l.out, k-step[d])
				queue = append(queue, int32(k-step[d]))
			}
		}
	}
	l.pocket = inside // reuse: pocket = not out and not inside
	for k := range l.pocket {
		l.pocket[k] = ^l.pocket[k] &^ l.out[k]
	}
	if r := total & 63; r != 0 {
		l.pocket[words-1] &= 1<<r - 1
	}
	// Single nodes caught on the surface itself are no pockets: a pocket has
	// at least one node with a free pocket neighbour on each of two axes.
	lone := make([]uint64, words)
	for k := range total {
		if !bit(l.pocket, k) {
			continue
		}
		p := [3]int{k % l.n[0], k / l.n[0] % l.n[1], k / (l.n[0] * l.n[1])}
		axes := 0
		for d := range 3 {
			if p[d]+1 < l.n[d] && !bit(wall[d], k) && bit(l.pocket, k+step[d]) ||
				p[d] > 0 && !bit(wall[d], k-step[d]) && bit(l.pocket, k-step[d]) {
				axes++
			}
		}
		if axes < 1 {
			setBit(lone, k)
		} else {
			l.found++
		}
	}
	for k := range l.pocket {
		l.pocket[k] &^= lone[k]
	}
	if l.found == 0 {
		return nil, nil
	}
	return l, nil
}

// fill joins spans of a column across gaps that lie in a pocket. It works on
// spans[first:] and returns the shortened slice and the length it filled.
func (l *lattice) fill(g *dexel.Grid, i, j int, spans []dexel.Span, first int) ([]dexel.Span, float64) {
	if len(spans)-first < 2 {
		return spans, 0
	}
	x, y := g.Center(i, j)
	filled := 0.0
	n := first
	for k := first + 1; k < len(spans); k++ {
		if l.covers(g, x, y, spans[n].Top, spans[k].Bottom) {
			filled += spans[k].Bottom - spans[n].Top
			spans[n].Top, spans[n].TopTri = spans[k].Top, spans[k].TopTri
			continue
		}
		n++
		spans[n] = spans[k]
	}
	return spans[:n+1], filled
}

// covers reports whether the gap between two heights lies in a pocket: of the
// nodes around it more are in pockets than outside.
func (l *lattice) covers(g *dexel.Grid, x, y, z0, z1 float64) bool {
	steps := min(max(1, int((z1-z0)/l.cell)), 64)
	pocket, out := 0, 0
	for q := range steps {
		z := z0 + (z1-z0)*(float64(q)+0.5)/float64(steps)
		p := g.Point(x, y, z)
		var c [3]int
		var f [3]float64
		ok := true
		for d := range 3 {
			v := (p.Dot(l.axis[d]) - l.lo[d]) / l.cell
			c[d] = int(math.Floor(v))
			f[d] = v - float64(c[d])
			if c[d] < 0 || c[d]+1 >= l.n[d] {
				ok = false
			}
		}
		if !ok {
			out++
			continue
		}
		for m := range 8 {
			k := l.at(c[0]+m&1, c[1]+m>>1&1, c[2]+m>>2&1)
			weight := 1
			// The nearest node counts for more than the far corners.
			if (m&1 == 1) == (f[0] > 0.5) && (m>>1&1 == 1) == (f[1] > 0.5) && (m>>2&1 == 1) == (f[2] > 0.5) {
				weight = 4
			}
			if bit(l.pocket, k) {
				pocket += weight
			} else if bit(l.out, k) {
				out += weight
			}
		}
	}
	return pocket > out
}
