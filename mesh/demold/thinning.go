package demold

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
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

// outsideDistance returns, for every empty cube, the squared distance in cubes
// of its middle to the nearest full one; 0 for full ones. It is exact: the
// lower envelope of parabolas along one axis after the other.
func (v *voxels) outsideDistance() []int32 {
	const far = 1 << 28
	d := make([]int32, len(v.full))
	for k, full := range v.full {
		if !full {
			d[k] = far
		}
	}
	step := [3]int{1, v.n[0], v.n[0] * v.n[1]}
	for axis := range 3 {
		n, s := v.n[axis], step[axis]
		o := [2]int{(axis + 1) % 3, (axis + 2) % 3}
		each(v.n[o[1]], func(b int) {
			f, at, from := make([]int32, n), make([]int, n), make([]float64, n+1)
			for a := range v.n[o[0]] {
				first := a*step[o[0]] + b*step[o[1]]
				m := -1
				for q := range n {
					h := d[first+q*s]
					f[q] = h
					if h >= far {
						continue
					}
					x := math.Inf(-1)
					for m >= 0 {
						p := at[m]
						x = float64(int64(h)-int64(f[p])+int64(q)*int64(q)-int64(p)*int64(p)) / float64(2*(q-p))
						if x > from[m] {
							break
						}
						m--
						x = math.Inf(-1)
					}
					m++
					at[m], from[m] = q, x
				}
				if m < 0 {
					continue
				}
				from[m+1] = math.Inf(1)
				m = 0
				for q := range n {
					for from[m+1] < float64(q) {
						m++
					}
					d[first+q*s] = f[at[m]] + int32((q-at[m])*(q-at[m]))
				}
			}
		})
	}
	return d
}

// The 27 cubes round one, numbered x + 3y + 9z, the middle one 13.
var (
	faceNear  [27]uint32 // cubes that share a face
	cornNear  [27]uint32 // a face, an edge or a corner
	nearFace  uint32     // those that share a face with the middle
	nearEdge  uint32     // a face or an edge
	nearAll   uint32     // all but the middle
	faceFirst [6]int
)

func init() {
	n := 0
	for a := range 27 {
		for b := range 27 {
			if a == b || b == 13 || a == 13 {
				continue
			}
			dx, dy, dz := abs(a%3-b%3), abs(a/3%3-b/3%3), abs(a/9-b/9)
			if dx+dy+dz == 1 {
				faceNear[a] |= 1 << b
			}
			if max(dx, dy, dz) == 1 {
				cornNear[a] |= 1 << b
			}
		}
		if a == 13 {
			continue
		}
		d := abs(a%3-1) + abs(a/3%3-1) + abs(a/9-1)
		nearAll |= 1 << a
		if d <= 2 {
			nearEdge |= 1 << a
		}
		if d == 1 {
			nearFace |= 1 << a
			faceFirst[n] = a
			n++
		}
	}
}

// simple reports whether an empty cube may be filled without changing what
// hangs together or links; around marks the empty ones of the 26 round it.
// Empty cubes hang together through faces, full ones through corners too
// (Bertrand and Malandain's rule: one component of each round the cube).
func simple(around uint32) bool {
	open := around & nearEdge
	start := open & nearFace
	full := ^around & nearAll
	if start == 0 || full == 0 {
		return false
	}
	spread := func(all uint32, near *[27]uint32, seed uint32) uint32 {
		got, edge := seed, seed
		for edge != 0 {
			b := bits.TrailingZeros32(edge)
			edge &= edge - 1
			next := near[b] & all &^ got
			got |= next
			edge |= next
		}
		return got
	}
	return start&^spread(open, &faceNear, start&-start) == 0 && spread(full, &cornNear, full&-full) == full
}

// simpleCache remembers answers: few neighbourhoods make up most of a surface.
type simpleCache struct {
	key [1 << 15]uint32 // neighbourhood << 1 | answer, +1<<31 where set
}

func (c *simpleCache) ask(around uint32) bool {
	slot := &c.key[around*2654435761>>17]
	if *slot>>31 != 0 && *slot<<1>>2 == around {
		return *slot&1 != 0
	}
	yes := simple(around)
	*slot = 1<<31 | around<<1
	if yes {
		*slot |= 1
	}
	return yes
}

// loopsOutside finds the narrowest place of each independent loop of the open
// space outside the body and the slab, the widest first; and the lines.
func (v *voxels) loopsOutside(ctx context.Context) ([]narrows, []linePlace, error) {
	d := v.outsideDistance()
	open := v.openSpace()
	v.tie(open)
	// Thin.
	nx, nxy := v.n[0], v.n[0]*v.n[1]
	most := int32(0)
	for k := range open {
		if open[k] {
			most = max(most, d[k])
		}
	}
	// Beyond the body there is all the room in the world.
	most = 2*most + 16
	v.beyond(func(k int) { d[k] = most })
	buckets := make([][]int32, most+1)
	queued := make([]bool, len(open))
	push := func(k int, least int32) {
		b := max(d[k], least)
		queued[k] = true
		buckets[b] = append(buckets[b], int32(k))
	}
	var offset [27]int
	for b := range offset {
		offset[b] = b%3 - 1 + (b/3%3-1)*nx + (b/9-1)*nxy
	}
	// The rim of the grid is kept shut, so that no look goes over it.
	for k := range open {
		if !open[k] {
			continue
		}
		x, y, z := k%nx, k/nx%v.n[1], k/nxy
		if x == 0 || y == 0 || z == 0 || x == nx-1 || y == v.n[1]-1 || z == v.n[2]-1 {
			open[k] = false
		}
	}
	for k := range open {
		if !open[k] {
			continue
		}
		for _, b := range faceFirst {
			if !open[k+offset[b]] {
				push(k, 0)
				break
			}
		}
	}
	cache := new(simpleCache)
	for level := range buckets {
		if level&63 == 0 && ctx.Err() != nil {
			return nil, nil, fmt.Errorf("demold: %w", ctx.Err())
		}
		for n := 0; n < len(buckets[level]); n++ {
			k := int(buckets[level][n])
			queued[k] = false
			if !open[k] {
				continue
			}
			around := uint32(0)
			for b, o := range offset {
				if open[k+o] {
					around |= 1 << b
				}
			}
			around &^= 1 << 13
			if !cache.ask(around) {
				continue
			}
			open[k] = false
			for b, o := range offset {
				if around>>b&1 != 0 && !queued[k+o] {
					push(k+o, int32(level))
				}
			}
		}
		buckets[level] = nil
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
				if v.full[v.at(x, y, z)] {
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
					if k := v.at(x, y, z); !v.full[k] {
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
	open, _ := v.flood(func(k int) bool { return v.full[k] })
	return open
}

// flood marks the cubes that hang together with the grid's last corner through
// cubes that are not shut, and counts them.
func (v *voxels) flood(shut func(k int) bool) (reached []bool, n int) {
	reached = make([]bool, len(v.full))
	var stack []int32
	reach := func(ok bool, k int) {
		if ok && !reached[k] && !shut(k) {
			reached[k] = true
			n++
			stack = append(stack, int32(k))
		}
	}
	reach(true, len(v.full)-1)
	nx, nxy := v.n[0], v.n[0]*v.n[1]
	for len(stack) > 0 {
		k := int(stack[len(stack)-1])
		stack = stack[:len(stack)-1]
		x, y, z := k%nx, k/nx%v.n[1], k/nxy
		reach(x > 0, k-1)
		reach(x < nx-1, k+1)
		reach(y > 0, k-nx)
		reach(y < v.n[1]-1, k+nx)
		reach(z > 0, k-nxy)
		reach(z < v.n[2]-1, k+nxy)
	}
	return reached, n
}

// tie joins every part of the body that touches nothing else to what stands
// above it, or to the rim of the grid, by a post one cube thick: else the
// thinning would leave a skin round it. A post between two parts makes no
// tunnel.
func (v *voxels) tie(open []bool) {
	nx, nxy := v.n[0], v.n[0]*v.n[1]
	label := make([]int32, len(open))
	var top []int32 // per part, the highest cube
	var rim []bool
	var queue []int32
	// Whatever is not open belongs to a part: what is shut in, too.
	for k0 := range open {
		if open[k0] || label[k0] != 0 {
			continue
		}
		id := int32(len(top) + 1)
		top, rim = append(top, int32(k0)), append(rim, false)
		label[k0] = id
		queue = append(queue[:0], int32(k0))
		for len(queue) > 0 {
			k := int(queue[len(queue)-1])
			queue = queue[:len(queue)-1]
			if k > int(top[id-1]) {
				top[id-1] = int32(k)
			}
			x, y, z := k%nx, k/nx%v.n[1], k/nxy
			if x == 0 || y == 0 || z == 0 || x == nx-1 || y == v.n[1]-1 || z == v.n[2]-1 {
				rim[id-1] = true
				// What lies on the rim is tied already.
			}
			for dz := max(z-1, 0); dz <= min(z+1, v.n[2]-1); dz++ {
				for dy := max(y-1, 0); dy <= min(y+1, v.n[1]-1); dy++ {
					for dx := max(x-1, 0); dx <= min(x+1, nx-1); dx++ {
						if m := v.at(dx, dy, dz); !open[m] && label[m] == 0 {
							label[m] = id
							queue = append(queue, int32(m))
						}
					}
				}
			}
		}
	}
	for n, k0 := range top {
		if rim[n] {
			continue
		}
		for k := int(k0) + nxy; k < len(open) && open[k]; k += nxy {
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
