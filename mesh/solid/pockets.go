package solid

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/grid"
)

// lattice is a cubic grid of nodes flooded from outside. A step between
// neighbouring nodes is blocked where the surface crosses it, tested on the
// column along that step's own axis, so that the flood cannot leak through a
// wall, however much thinner than a cell it is.
type lattice struct {
	axis   [3]mesh.Vec
	lo     [3]float64 // position of node (0,0,0) along each axis
	cell   float64
	n      grid.Size
	pocket grid.Bits // nodes that are enclosed but inside no piece
	out    grid.Bits // nodes that the outside reaches
	found  int       // pocket nodes
	rooms  int       // pockets
	thin   int       // nodes of pockets too thin to be sure of
}

// latticeSteps are the numbers of nodes along the longest side, in quarters of
// the columns used elsewhere (160, 320 and 480 by default): the next is
// tried while the last shows a pocket, since what looks enclosed on a coarse
// lattice may lead out through a gap narrower than its cells. The last is
// believed.
var latticeSteps = []int{1, 2, 3}

// thinShare is the share of the pattern's box that pockets too thin to be sure
// of may take before a finer lattice is tried.
const thinShare = 2e-5

// findPockets floods the space around the pieces and returns the nodes that
// they enclose together; nil if there are none.
func (s *Solid) findPockets(ctx context.Context, across int) (*lattice, error) {
	for k, n := range latticeSteps {
		l, err := s.flood(ctx, n*across/4)
		if err != nil || l == nil {
			return nil, err
		}
		total := float64(l.n.Total())
		if k+1 == len(latticeSteps) || l.found == 0 && float64(l.thin) <= thinShare*total {
			return l, nil
		}
	}
	return nil, nil
}

// flood floods a lattice of so many nodes along the longest side; nil where
// everything that is not inside a piece is reached.
func (s *Solid) flood(ctx context.Context, resolution int) (*lattice, error) {
	l, wall, inside, err := s.lattice(ctx, resolution)
	if err != nil || l == nil {
		return nil, err
	}
	if l.out, err = wall.Flood(ctx); err != nil {
		return nil, fmt.Errorf("solid: %w", err)
	}
	l.pocket = inside // reuse: pocket = not out and not inside
	for k := range l.pocket {
		l.pocket[k] = ^l.pocket[k] &^ l.out[k]
	}
	l.keepThick(wall)
	if l.found == 0 && l.thin == 0 {
		return nil, nil
	}
	return l, nil
}

// lattice samples the surface on a turned lattice of so many nodes along the
// longest side: walls stand where the surface blocks a step, and inside marks
// the nodes that some piece winds round. nil where the solid has no size.
func (s *Solid) lattice(ctx context.Context, resolution int) (l *lattice, walls *grid.Walled, inside grid.Bits, err error) {
	l = &lattice{}
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
		return nil, nil, nil, nil
	}
	l.cell = longest / float64(resolution)
	for d := range 3 {
		l.n[d] = int((hi[d]-lo[d])/l.cell) + 4
		if d == 0 {
			l.n[d] = (l.n[d] + 63) &^ 63 // rows of whole words
		}
		l.lo[d] = (lo[d]+hi[d])/2 - float64(l.n[d]-1)/2*l.cell
	}
	words := l.n.Total() / 64
	inside = make(grid.Bits, words)
	walls = &grid.Walled{Size: l.n}
	for d := range 3 {
		c, err := dexel.Cast(ctx, s.surface, l.columns(d), dexel.Options{Skip: s.skipFunc()})
		if err != nil {
			return nil, nil, nil, err
		}
		walls.Wall[d] = make(grid.Bits, words)
		l.wall(c, d, walls.Wall[d])
		if d == 2 {
			s.fill(l, c, inside)
		}
		if err := ctx.Err(); err != nil {
			return nil, nil, nil, fmt.Errorf("solid: %w", err)
		}
	}
	return l, walls, inside, nil
}

// wall marks the steps along axis d that cross the surface. A node that sits on
// it, within what snapping can shift, is walled on both sides.
func (l *lattice) wall(c *dexel.Crossings, d int, wall grid.Bits) {
	const eps = 1e-3
	a, b := (d+1)%3, (d+2)%3
	for j := range l.n[b] {
		for i := range l.n[a] {
			var at [3]int
			at[a], at[b] = i, j
			block := func(k int) {
				if k >= 0 && k < l.n[d]-1 {
					at[d] = k
					wall.Set(l.n.At(at[0], at[1], at[2]))
				}
			}
			for _, x := range c.Column(i, j) {
				f := (x.Z - l.lo[d]) / l.cell
				k := int(math.Floor(f))
				block(k)
				if f-float64(k) < eps {
					block(k - 1)
				} else if f-float64(k) > 1-eps {
					block(k + 1)
				}
			}
		}
	}
}

// fill marks the nodes that lie in the solid, by columns along the third axis.
func (s *Solid) fill(l *lattice, c *dexel.Crossings, inside grid.Bits) {
	w := make([]int32, s.pieces)
	var sp []dexel.Span
	for j := range l.n[1] {
		for i := range l.n[0] {
			sp, _ = s.spans(c.Column(i, j), w, nil, sp[:0])
			for _, x := range sp {
				k0 := int(math.Ceil((x.Bottom - l.lo[2]) / l.cell))
				k1 := int(math.Floor((x.Top - l.lo[2]) / l.cell))
				for k := max(k0, 0); k <= min(k1, l.n[2]-1); k++ {
					inside.Set(l.n.At(i, j, k))
				}
			}
		}
	}
}

// node returns the place of node k, mm.
func (l *lattice) node(k int) mesh.Vec {
	p := l.n.Node(k)
	var v mesh.Vec
	for d := range 3 {
		v = v.Add(l.axis[d].Mul(l.lo[d] + float64(p[d])*l.cell))
	}
	return v
}

// keepThick drops pockets that are nowhere three nodes thick: between walls
// closer than that, the lattice cannot tell a sealed gap from one that leads
// out between its nodes. What is dropped is counted, for the bounds.
func (l *lattice) keepThick(walls *grid.Walled) {
	seen := make(grid.Bits, len(l.pocket))
	admit := func(k int) bool {
		if !l.pocket.Has(k) || seen.Has(k) {
			return false
		}
		seen.Set(k)
		return true
	}
	// amid reports whether all six neighbours of a node are in the pocket.
	amid := func(k int) bool {
		for d := range 3 {
			for _, ahead := range [2]bool{true, false} {
				if n, ok := walls.Next(k, d, ahead); !ok || !l.pocket.Has(n) {
					return false
				}
			}
		}
		return true
	}
	var cluster []int32
	for k0 := range l.n.Total() {
		if !admit(k0) {
			continue
		}
		cluster = walls.Reach(append(cluster[:0], int32(k0)), admit)
		if slices.ContainsFunc(cluster, func(k int32) bool { return amid(int(k)) }) {
			l.found += len(cluster)
			l.rooms++
			continue
		}
		l.thin += len(cluster)
		for _, k := range cluster {
			l.pocket.Clear(int(k))
		}
	}
}

// on reports for a column of the lattice itself (axis d, nodes i and j along
// the two axes after it) whether the stretch between two heights lies in a
// pocket; sure is false where no node lies in it.
func (l *lattice) on(d, i, j int, z0, z1 float64) (in, sure bool) {
	k0 := max(int(math.Ceil((z0-l.lo[d])/l.cell)), 0)
	k1 := min(int(math.Floor((z1-l.lo[d])/l.cell)), l.n[d]-1)
	var at [3]int
	at[(d+1)%3], at[(d+2)%3] = i, j
	pocket, out := 0, 0
	for k := k0; k <= k1; k++ {
		at[d] = k
		n := l.n.At(at[0], at[1], at[2])
		if l.pocket.Has(n) {
			pocket++
		} else if l.out.Has(n) {
			out++
		}
	}
	return pocket > out, pocket+out > 0
}

// columns is the grid whose columns run through the nodes along axis d.
func (l *lattice) columns(d int) dexel.Grid {
	a, b := (d+1)%3, (d+2)%3
	return dexel.Grid{
		U: l.axis[d], E1: l.axis[a], E2: l.axis[b],
		X0: l.lo[a] - l.cell/2, Y0: l.lo[b] - l.cell/2,
		Cell: l.cell, NX: l.n[a], NY: l.n[b],
	}
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
			k := l.n.At(c[0]+m&1, c[1]+m>>1&1, c[2]+m>>2&1)
			weight := 1
			// The nearest node counts for more than the far corners.
			if (m&1 == 1) == (f[0] > 0.5) && (m>>1&1 == 1) == (f[1] > 0.5) && (m>>2&1 == 1) == (f[2] > 0.5) {
				weight = 4
			}
			if l.pocket.Has(k) {
				pocket += weight
			} else if l.out.Has(k) {
				out += weight
			}
		}
	}
	return pocket > out
}
