package printed

import (
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
)

// graph is a body between two heights over a lattice of nodes, wherever it is in: in
// above 0, its edge between the nodes by the slope of that. Whatever the heights, its
// surface is closed, and along its height it undercuts nothing. Lengths mm; index
// j·len(xs) + i.
type graph struct {
	xs, ys          []float64 // rising
	in, bottom, top []float64
	corner          []int32 // of its mesh, per node and per cut edge; −1 = none yet
	points          []mesh.Vec2
	low, high       []float64
	faces           [][3]int32
	rim             [][2]int32 // edges with the body at their left
}

// newGraph is a graph over nodes along two axes, nowhere in.
func newGraph(xs, ys []float64) *graph {
	g := &graph{xs: xs, ys: ys}
	n := len(xs) * len(ys)
	g.in, g.bottom, g.top = make([]float64, n), make([]float64, n), make([]float64, n)
	return g
}

// nodes are evenly spaced ones from lo to hi, and others that must be among them: what
// is even and close to one of those is left out.
func nodes(lo, hi, step float64, others ...float64) []float64 {
	n := max(1, int(math.Round((hi-lo)/step)))
	var all []float64
	for i := range n + 1 {
		x := lo + (hi-lo)*float64(i)/float64(n)
		if !slices.ContainsFunc(others, func(o float64) bool { return math.Abs(o-x) < step/4 }) {
			all = append(all, x)
		}
	}
	for _, o := range others {
		if o >= lo && o <= hi {
			all = append(all, o)
		}
	}
	slices.Sort(all)
	return slices.CompactFunc(all, func(a, b float64) bool { return math.Abs(b-a) < 1e-6 })
}

// each calls f for every node.
func (g *graph) each(f func(k int, x, y float64)) {
	k := 0
	for _, y := range g.ys {
		for _, x := range g.xs {
			f(k, x, y)
			k++
		}
	}
}

// near calls f for every node within r of a place.
func (g *graph) near(x, y, r float64, f func(k int, dx, dy float64)) {
	i0, _ := slices.BinarySearch(g.xs, x-r)
	j0, _ := slices.BinarySearch(g.ys, y-r)
	for j := j0; j < len(g.ys) && g.ys[j] <= y+r; j++ {
		for i := i0; i < len(g.xs) && g.xs[i] <= x+r; i++ {
			if dx, dy := g.xs[i]-x, g.ys[j]-y; dx*dx+dy*dy <= r*r {
				f(j*len(g.xs)+i, dx, dy)
			}
		}
	}
}

// ways are the edges that leave a node to those with a higher index: right, up and
// across; every face is bounded by one of each.
func (g *graph) ways(k int, f func(m int)) {
	nx := len(g.xs)
	right, up := k%nx+1 < nx, k/nx+1 < len(g.ys)
	if right {
		f(k + 1)
	}
	if up {
		f(k + nx)
	}
	if right && up {
		f(k + nx + 1)
	}
}

// parts are the bodies that hang together, as labels of the nodes that are in, and how
// many nodes each has; largest first.
func (g *graph) parts() (label []int, size []int) {
	sets := disjoint.New(len(g.in))
	for k := range g.in {
		if g.in[k] > 0 {
			g.ways(k, func(m int) {
				if g.in[m] > 0 {
					sets.Join(int32(k), int32(m))
				}
			})
		}
	}
	count := make([]int, len(g.in))
	var roots []int
	for k, v := range g.in {
		if v > 0 {
			r := int(sets.Find(int32(k)))
			if count[r]++; count[r] == 1 {
				roots = append(roots, r)
			}
		}
	}
	slices.SortStableFunc(roots, func(a, b int) int { return count[b] - count[a] })
	number := make([]int, len(g.in))
	for n, r := range roots {
		number[r] = n
		size = append(size, count[r])
	}
	label = make([]int, len(g.in))
	for k, v := range g.in {
		label[k] = -1
		if v > 0 {
			label[k] = number[sets.Find(int32(k))]
		}
	}
	return label, size
}

// only leaves of the graph the body with a label.
func (g *graph) only(label []int, n int) *graph {
	h := *g
	h.in = slices.Clone(g.in)
	for k, l := range label {
		if l >= 0 && l != n {
			h.in[k] = -1
		}
	}
	return &h
}

// mesh is the graph's surface, outward, with its places put in space.
func (g *graph) mesh(place func(x, y, z float64) mesh.Vec) (*mesh.Mesh, error) {
	nx := len(g.xs)
	g.corner = make([]int32, 4*len(g.in))
	for k := range g.corner {
		g.corner[k] = -1
	}
	g.points, g.low, g.high, g.faces, g.rim = nil, nil, nil, nil, nil
	for j := range len(g.ys) - 1 {
		for i := range nx - 1 {
			k := j*nx + i
			g.clip([3]int{k, k + 1, k + nx + 1}, [3]bool{j == 0, i+2 == nx, false})
			g.clip([3]int{k, k + nx + 1, k + nx}, [3]bool{false, j+2 == len(g.ys), i == 0})
		}
	}
	var b mesh.Builder
	var failed error
	vertex := func(p mesh.Vec2, z float64) int32 {
		v, err := b.Vertex(place(p.X, p.Y, z))
		if err != nil {
			failed = err
		}
		return v
	}
	low, high := make([]int32, len(g.points)), make([]int32, len(g.points))
	for k, p := range g.points {
		low[k], high[k] = vertex(p, g.low[k]), vertex(p, g.high[k])
	}
	if failed != nil {
		return nil, failed
	}
	for _, f := range g.faces {
		b.Triangle(high[f[0]], high[f[1]], high[f[2]])
		b.Triangle(low[f[0]], low[f[2]], low[f[1]])
	}
	for _, e := range g.rim {
		b.Triangle(low[e[0]], low[e[1]], high[e[1]])
		b.Triangle(low[e[0]], high[e[1]], high[e[0]])
	}
	return b.Build(1)
}

// clip takes what of a face of the lattice is in; edge says which of its sides, from
// each corner to the next, are the lattice's own edge.
func (g *graph) clip(at [3]int, edge [3]bool) {
	var ring []int32
	var border []bool // of each side of what is taken, from its corner to the next
	for s := range 3 {
		a, b := at[s], at[(s+1)%3]
		if g.in[a] > 0 {
			ring, border = append(ring, g.node(a)), append(border, edge[s])
			if g.in[b] <= 0 { // and from the cut to the next one
				ring, border = append(ring, g.cut(a, b)), append(border, true)
			}
		} else if g.in[b] > 0 {
			ring, border = append(ring, g.cut(a, b)), append(border, edge[s])
		}
	}
	for k := 2; k < len(ring); k++ {
		g.faces = append(g.faces, [3]int32{ring[0], ring[k-1], ring[k]})
	}
	for k, is := range border {
		if is {
			g.rim = append(g.rim, [2]int32{ring[k], ring[(k+1)%len(ring)]})
		}
	}
}

// node is the corner at a node.
func (g *graph) node(k int) int32 {
	if g.corner[4*k] < 0 {
		nx := len(g.xs)
		g.corner[4*k] = g.add(mesh.Vec2{X: g.xs[k%nx], Y: g.ys[k/nx]}, g.bottom[k], g.top[k])
	}
	return g.corner[4*k]
}

// leastCut is how near to a node, as a share of the way to the next, the edge of a body
// comes: closer to it faces are slivers.
const leastCut = 0.04

// cut is the corner on the way between two nodes of which one is in.
func (g *graph) cut(a, b int) int32 {
	if a > b {
		a, b = b, a
	}
	nx := len(g.xs)
	way := 3 // across
	switch b - a {
	case 1:
		way = 1
	case nx:
		way = 2
	}
	n := 4*a + way
	if g.corner[n] < 0 {
		w := min(max(g.in[a]/(g.in[a]-g.in[b]), leastCut), 1-leastCut)
		mix := func(u, v float64) float64 { return u + (v-u)*w }
		p := mesh.Vec2{X: mix(g.xs[a%nx], g.xs[b%nx]), Y: mix(g.ys[a/nx], g.ys[b/nx])}
		g.corner[n] = g.add(p, mix(g.bottom[a], g.bottom[b]), mix(g.top[a], g.top[b]))
	}
	return g.corner[n]
}

func (g *graph) add(p mesh.Vec2, low, high float64) int32 {
	g.points, g.low, g.high = append(g.points, p), append(g.low, low), append(g.high, high)
	return int32(len(g.points) - 1)
}

// peak is a high of a field.
type peak struct {
	at    int     // its node
	rises float64 // above the highest saddle to one that is higher; +Inf for the highest
}

// peaks are the highs of a field over the nodes that are in, that rise by at least least
// above the saddle to a higher one, highest first.
func (g *graph) peaks(in func(k int) bool, of func(k int) float64, least float64) (all []peak) {
	var order []int
	for k := range g.in {
		if in(k) {
			order = append(order, k)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch va, vb := of(a), of(b); {
		case va > vb:
			return -1
		case va < vb:
			return 1
		}
		return a - b
	})
	const none = -1
	top := make([]int, len(g.in)) // of the hill that a root stands for
	for k := range top {
		top[k] = none
	}
	sets := disjoint.New(len(g.in))
	nx := len(g.xs)
	for _, k := range order {
		top[k] = k
		for _, d := range [6]int{-1, 1, -nx, nx, -nx - 1, nx + 1} {
			m := k + d
			if m < 0 || m >= len(g.in) || top[m] == none || abs(m%nx-k%nx) > 1 {
				continue
			}
			a, b := sets.Find(int32(k)), sets.Find(int32(m))
			if a == b {
				continue
			}
			hi, lo := top[a], top[b]
			if of(lo) > of(hi) || of(lo) == of(hi) && lo < hi {
				hi, lo = lo, hi
			}
			if r := of(lo) - of(k); r >= least {
				all = append(all, peak{lo, r})
			}
			sets.Join(a, b)
			top[sets.Find(a)] = hi
		}
	}
	seen := map[int32]bool{} // looked up, never ranged over
	for _, k := range order {
		if r := sets.Find(int32(k)); !seen[r] {
			seen[r] = true
			all = append(all, peak{top[r], math.Inf(1)})
		}
	}
	slices.SortStableFunc(all, func(a, b peak) int {
		switch va, vb := of(a.at), of(b.at); {
		case va > vb:
			return -1
		case va < vb:
			return 1
		}
		return a.at - b.at
	})
	return all
}

func abs(n int) int { return max(n, -n) }
