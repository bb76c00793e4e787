package tunnel

import (
	"context"

	"moldtally/mesh/grid"
)

// Where the tunnels are is read from the space outside the body. It is thinned
// cube by cube, the places nearest the body first, until only closed lines are
// left: one loop for each tunnel, as far from the body as it can run.

// skeleton is the thinned space outside.
type skeleton struct {
	*cubes
	line   []int32         // the cubes that are left, ascending
	index  map[int32]int32 // which of line a cube is; looked up, never ranged over
	d      []int32         // per cube of the lattice, squared distance to the body, in cubes
	beyond int32           // what d is outside the body's box
}

// thin thins the space outside the body and the slab.
func (v *cubes) thin(ctx context.Context) (*skeleton, error) {
	d := grid.Sources(v.full, true)
	if err := grid.Distance(ctx, v.n, d); err != nil {
		return nil, err
	}
	open := v.outside()
	v.prop(open)
	most := int32(0)
	for k := range open {
		if open[k] {
			most = max(most, d[k])
		}
	}
	// Beyond the body there is all the room in the world.
	beyond := 2*most + 16
	v.setBeyond(d, beyond)
	if err := grid.Thin(ctx, v.n, open, d); err != nil {
		return nil, err
	}
	s := &skeleton{cubes: v, index: map[int32]int32{}, d: d, beyond: beyond}
	for k, o := range open {
		if o {
			s.index[int32(k)] = int32(len(s.line))
			s.line = append(s.line, int32(k))
		}
	}
	return s, nil
}

// outside marks the empty cubes that hang together with the lattice's last one.
func (v *cubes) outside() []bool {
	open, _ := grid.Connect(v.n, v.full, false, grid.Faces).Mark(len(v.full) - 1)
	return open
}

// prop stands every part of the body that touches nothing else on a post one
// cube thick, up to what is above it or the rim of the lattice: else the
// thinning would leave a skin round it. A post between two parts makes no
// tunnel.
func (v *cubes) prop(open []bool) {
	// Whatever is not open belongs to a part: what is shut in, too.
	parts := grid.Connect(v.n, open, false, grid.Corners)
	top := make([]int, parts.Count())  // per part, the highest cube
	rim := make([]bool, parts.Count()) // what lies on the rim stands already
	parts.Each(func(p, from, to int) {
		top[p] = to - 1
		rim[p] = rim[p] || v.n.OnRim(v.n.Node(from)) || v.n.OnRim(v.n.Node(to-1))
	})
	layer := v.n.Step(2)
	for p, k := range top {
		if rim[p] {
			continue
		}
		for k += layer; k < len(open) && open[k]; k += layer {
			open[k] = false
		}
	}
}

// setBeyond sets d of the empty cubes outside the smallest block of cubes that
// holds the body; the slab does not count.
func (v *cubes) setBeyond(d []int32, to int32) {
	lo, hi := v.n, grid.Size{}
	ground := 0
	if v.slab {
		ground = v.n.At(0, 0, pad)
	}
	for k := ground; k < len(v.full); k++ {
		if v.full[k] {
			for axis, x := range v.n.Node(k) {
				lo[axis], hi[axis] = min(lo[axis], x), max(hi[axis], x)
			}
		}
	}
	for k := ground; k < len(v.full); k++ {
		if p := v.n.Node(k); !v.full[k] && (p[0] < lo[0] || p[1] < lo[1] || p[2] < lo[2] || p[0] > hi[0] || p[1] > hi[1] || p[2] > hi[2]) {
			d[k] = to
		}
	}
}
