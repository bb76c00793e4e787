package printed

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
)

// cells is a grid of cells between nodes along three axes, of which some are
// solid. However the nodes are placed in space, the surface of what is solid is
// closed, since cells share their corners.
type cells struct {
	at    [3][]float64 // nodes along each axis, rising
	ring  bool         // the second axis closes: its last node is its first
	solid []bool
}

// newCells is an empty grid; the nodes are sorted, and those nearer than a
// thousandth joined.
func newCells(ring bool, a, b, c []float64) *cells {
	g := &cells{ring: ring}
	for i, v := range [][]float64{a, b, c} {
		v = slices.Sorted(slices.Values(v))
		g.at[i] = slices.CompactFunc(v, func(x, y float64) bool { return math.Abs(y-x) < nodesApart })
	}
	g.solid = make([]bool, g.count(0)*g.count(1)*g.count(2))
	return g
}

// nodesApart joins nodes that differ by rounding alone, mm or radians.
const nodesApart = 1e-3 / 180

// count is how many cells there are along an axis.
func (g *cells) count(axis int) int { return len(g.at[axis]) - 1 }

func (g *cells) index(i, j, k int) int { return (k*g.count(1)+j)*g.count(0) + i }

func (g *cells) coords(n int) [3]int {
	a, b := g.count(0), g.count(1)
	return [3]int{n % a, n / a % b, n / (a * b)}
}

// fill makes solid the cells in whose middle within says so.
func (g *cells) fill(within func(a, b, c float64) bool) {
	for n := range g.solid {
		at := g.coords(n)
		var m [3]float64
		for x, i := range at {
			m[x] = (g.at[x][i] + g.at[x][i+1]) / 2
		}
		g.solid[n] = within(m[0], m[1], m[2])
	}
}

// next is the cell beside one along an axis; −1 where the grid ends.
func (g *cells) next(n, axis, step int) int {
	at := g.coords(n)
	at[axis] += step
	switch m := g.count(axis); {
	case at[axis] >= 0 && at[axis] < m:
	case axis == 1 && g.ring:
		at[axis] = (at[axis] + m) % m
	default:
		return -1
	}
	return g.index(at[0], at[1], at[2])
}

// parts are the bodies of solid cells that hang together by their faces, in the
// order of their first cell.
func (g *cells) parts() [][]int {
	var all [][]int
	seen := make([]bool, len(g.solid))
	for n, s := range g.solid {
		if !s || seen[n] {
			continue
		}
		body := []int{n}
		seen[n] = true
		for i := 0; i < len(body); i++ {
			for axis := range 3 {
				for _, step := range [2]int{-1, 1} {
					if m := g.next(body[i], axis, step); m >= 0 && g.solid[m] && !seen[m] {
						seen[m] = true
						body = append(body, m)
					}
				}
			}
		}
		slices.Sort(body)
		all = append(all, body)
	}
	return all
}

// mesh is the surface of a body of cells, outward, with its nodes placed in space.
// The axes must be placed right-handed.
func (g *cells) mesh(body []int, place func(a, b, c float64) mesh.Vec) (*mesh.Mesh, error) {
	var b mesh.Builder
	var err error
	corner := func(at [3]int) int32 {
		if g.ring && at[1] == g.count(1) {
			at[1] = 0
		}
		i, e := b.Vertex(place(g.at[0][at[0]], g.at[1][at[1]], g.at[2][at[2]]))
		err = cmp.Or(err, e)
		return i
	}
	in := make(map[int]bool, len(body))
	for _, n := range body {
		in[n] = true
	}
	for _, n := range body {
		at := g.coords(n)
		for axis := range 3 {
			u, v := (axis+1)%3, (axis+2)%3
			for _, step := range [2]int{-1, 1} {
				if m := g.next(n, axis, step); m >= 0 && in[m] {
					continue
				}
				p := at
				if step > 0 {
					p[axis]++
				}
				q := [4][3]int{p, p, p, p}
				q[1][u]++
				q[2][u]++
				q[2][v]++
				q[3][v]++
				if step < 0 {
					q[1], q[3] = q[3], q[1]
				}
				c := [4]int32{corner(q[0]), corner(q[1]), corner(q[2]), corner(q[3])}
				b.Triangle(c[0], c[1], c[2])
				b.Triangle(c[0], c[2], c[3])
			}
		}
	}
	if err != nil {
		return nil, err
	}
	return b.Build(1)
}
