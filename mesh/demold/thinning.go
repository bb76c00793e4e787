package demold

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/grid"
)

// Where the tunnels are is read from the space outside the body. It is thinned
// cube by cube, the places nearest the body first, never changing what hangs
// together or links (a cube whose loss changes nothing is called simple), until
// only closed lines are left: one loop for each tunnel, as far from the body as
// it can run. The widest tree of these lines reaches everywhere without going
// round; each piece that it leaves out is the narrowest place of one tunnel.

// narrows is where a loop is narrowest: places along that stretch, its middle
// first.
type narrows struct {
	at []linePlace
	d2 int32 // squared distance to the body at the narrowest, in cubes
}

// linePlace is a cube of the thinned lines.
type linePlace struct {
	at    [3]int
	d2    int32      // squared distance to the body, in cubes
	along [3]float64 // unit, the way the line runs
}

// loopsOutside finds the narrowest place of each independent loop of the open
// space outside the body and the slab, the widest first; and the lines.
func (v *voxels) loopsOutside(ctx context.Context) ([]narrows, []linePlace, error) {
	d := grid.Sources(v.full, true)
	if err := grid.Distance(ctx, v.n, d); err != nil {
		return nil, nil, fmt.Errorf("demold: %w", err)
	}
	open := v.openSpace()
	v.tie(open)
	most := int32(0)
	for k := range open {
		if open[k] {
			most = max(most, d[k])
		}
	}
	// Beyond the body there is all the room in the world.
	most = 2*most + 16
	v.beyond(func(k int) { d[k] = most })
	if err := grid.Thin(ctx, v.n, open, d); err != nil {
		return nil, nil, fmt.Errorf("demold: %w", err)
	}
	var line []int32
	for k, o := range open {
		if o {
			line = append(line, int32(k))
		}
	}
	loops, places := v.cutLoops(line, d, most)
	return loops, places, nil
}

// beyond calls f for the cubes outside the smallest block of cubes that holds
// the body; the slab does not count.
func (v *voxels) beyond(f func(k int)) {
	lo, hi := [3]int{v.n[0], v.n[1], v.n[2]}, [3]int{}
	ground := 0
	if v.slab {
		ground = voxelPad
	}
	for z := ground; z < v.n[2]; z++ {
		for y := range v.n[1] {
			for x := range v.n[0] {
				if v.full[v.n.At(x, y, z)] {
					lo = [3]int{min(lo[0], x), min(lo[1], y), min(lo[2], z)}
					hi = [3]int{max(hi[0], x), max(hi[1], y), max(hi[2], z)}
				}
			}
		}
	}
	for z := ground; z < v.n[2]; z++ {
		for y := range v.n[1] {
			for x := range v.n[0] {
				if x < lo[0] || y < lo[1] || z < lo[2] || x > hi[0] || y > hi[1] || z > hi[2] {
					if k := v.n.At(x, y, z); !v.full[k] {
						f(k)
					}
				}
			}
		}
	}
}

// openSpace marks the empty cubes that hang together with the grid's last
// corner.
func (v *voxels) openSpace() []bool {
	open, _ := grid.Connect(v.n, v.full, false, grid.Faces).Mark(len(v.full) - 1)
	return open
}

// tie joins every part of the body that touches nothing else to what stands
// above it, or to the rim of the grid, by a post one cube thick: else the
// thinning would leave a skin round it. A post between two parts makes no
// tunnel.
func (v *voxels) tie(open []bool) {
	// Whatever is not open belongs to a part: what is shut in, too.
	parts := grid.Connect(v.n, open, false, grid.Corners)
	top := make([]int, parts.Count())  // per part, the highest cube
	rim := make([]bool, parts.Count()) // what lies on the rim is tied already
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

// cutLoops finds where the loops of thinned lines are narrowest: the widest
// tree is grown from the widest cube down, and a cube that joins the tree to
// itself is a narrowest place. It returns the places of the lines, too, but for
// those where d is as large as beyond the body.
func (v *voxels) cutLoops(line []int32, d []int32, beyond int32) ([]narrows, []linePlace) {
	index := make(map[int32]int32, len(line)) // looked up, never ranged over
	for n, k := range line {
		index[k] = int32(n)
	}
	near := func(n int32) (out []int32) {
		k := int(line[n])
		for _, s := range [6]int{-1, 1, -v.n[0], v.n[0], -v.n[0] * v.n[1], v.n[0] * v.n[1]} {
			if m, ok := index[int32(k+s)]; ok {
				out = append(out, m)
			}
		}
		return out
	}
	order := make([]int32, len(line))
	for n := range order {
		order[n] = int32(n)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(d[line[b]], d[line[a]]), cmp.Compare(a, b))
	})
	tree := disjoint.New(len(line))
	in := make([]bool, len(line))
	var out []narrows
	for _, n := range order {
		in[n] = true
		var joined []int32
		for _, m := range near(n) {
			if !in[m] {
				continue
			}
			if tree.Join(m, n) {
				joined = append(joined, m)
				continue
			}
			// Round a square of four cubes there is no way through.
			square := false
			for _, j := range joined {
				for _, q := range near(m) {
					square = square || q != n && in[q] && slices.Contains(near(j), q)
				}
			}
			if square {
				continue
			}
			// The line runs through n from m to the others. Where it is as
			// narrow for a stretch, the middle of that stretch is meant.
			other := m
			for _, o := range near(n) {
				if o != m {
					other = o
					break
				}
			}
			most := d[line[n]] + d[line[n]]/5 + 3
			ahead, back := walkAlong(line, d, near, n, m, most), walkAlong(line, d, near, n, other, most)
			stretch := slices.Clone(back[1:])
			slices.Reverse(stretch)
			stretch = append(stretch, ahead...)
			var at []linePlace
			for _, part := range [9]int{8, 6, 10, 4, 12, 2, 14, 1, 15} {
				p := v.place(line, d, near, stretch[len(stretch)*part/16])
				if p.d2 < beyond && !slices.Contains(at, p) {
					at = append(at, p)
				}
			}
			if len(at) == 0 {
				continue
			}
			out = append(out, narrows{at, d[line[n]]})
		}
	}
	var places []linePlace
	for n := range line {
		if d[line[n]] < beyond {
			places = append(places, v.place(line, d, near, int32(n)))
		}
	}
	return out, places
}

// place describes cube n of the lines.
func (v *voxels) place(line, d []int32, near func(int32) []int32, n int32) linePlace {
	k := int(line[n])
	p := linePlace{at: [3]int{k % v.n[0], k / v.n[0] % v.n[1], k / (v.n[0] * v.n[1])}, d2: d[k], along: [3]float64{0, 0, 1}}
	next := near(n)
	if len(next) < 2 {
		return p
	}
	ahead, back := walkAlong(line, d, near, n, next[0], -1), walkAlong(line, d, near, n, next[1], -1)
	ka, kb := int(line[ahead[len(ahead)-1]]), int(line[back[len(back)-1]])
	w := mesh.V(float64(ka%v.n[0]-kb%v.n[0]), float64(ka/v.n[0]%v.n[1]-kb/v.n[0]%v.n[1]), float64(ka/(v.n[0]*v.n[1])-kb/(v.n[0]*v.n[1])))
	if w != (mesh.Vec{}) {
		p.along = w.Unit().Array()
	}
	return p
}

// walkAlong walks from cube n through its neighbour m while the room is at
// most that, and a few steps at least; n itself comes first.
func walkAlong(line, d []int32, near func(int32) []int32, n, m, most int32) []int32 {
	const least, farthest = 4, 2000
	out := []int32{n, m}
	seen := map[int32]bool{n: true, m: true}
	for len(out) < farthest {
		next := int32(-1)
		for _, q := range near(m) {
			if !seen[q] {
				next = q
				break
			}
		}
		if next < 0 || len(out) > least && d[line[next]] > most {
			break
		}
		m = next
		seen[m] = true
		out = append(out, m)
	}
	return out
}
