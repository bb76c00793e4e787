package tunnel

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/grid"
)

// Where pieces are pushed into each other the space between them narrows to
// nothing along a crease, and there a union of columns is as ragged as a saw:
// each tooth a tunnel that is none. So tunnels of such bodies are counted on
// the body after closing it with a ball: whatever the ball cannot get into is
// filled (closing in the sense of J. Serra, Image Analysis and Mathematical
// Morphology, 1982, from memory). closingNodes is the number of cubes along the
// longest side, closingBall the ball's radius in cubes: openings narrower than
// its diameter, 1.9 % of the size, do not count (judgement of this program).
const (
	closingNodes = 160
	closingBall  = 1.5
)

// pad is the number of empty cubes on every side, and of layers in the slab.
const pad = 5

// cubes is a body of closed unit cubes. The middle of cube (i, j, k) lies at
// the column (i−pad, j−pad) of grid and at height z0 + k·grid.Cell.
type cubes struct {
	n    grid.Size
	full []bool
	grid dexel.Grid
	z0   float64
	slab bool // the lowest layers, as many as pad, are one
}

// countClosed is the first Betti number of the solid, closed with a small ball,
// and of the slab.
func countClosed(ctx context.Context, sp space) (int, error) {
	v, err := newCubes(ctx, sp, closingNodes)
	if err != nil {
		return 0, err
	}
	if err := v.close(ctx, closingBall); err != nil {
		return 0, err
	}
	return grid.Betti(ctx, v.n, v.full)
}

// newCubes fills cubes with the solid and the slab; nodes is the number of
// cubes along the longest side.
func newCubes(ctx context.Context, sp space, nodes int) (*cubes, error) {
	s := sp.Solid
	surf := s.Surface()
	lo, hi := math.Inf(1), math.Inf(-1)
	for t, i := range surf.Triangles() {
		if s.Live(t) {
			for _, v := range i {
				z := surf.Vertices()[v].Dot(sp.Up)
				lo, hi = min(lo, z), max(hi, z)
			}
		}
	}
	size := surf.Size()
	g := s.GridAlong(sp.Up, max(size.X, size.Y, size.Z)/float64(nodes))
	cell := g.Cell
	f, err := s.Field(ctx, g)
	if err != nil {
		return nil, err
	}
	z0 := lo - (pad-0.5)*cell
	if sp.slab() {
		z0 = sp.floor - (pad-0.5)*cell
	}
	v := &cubes{n: grid.Size{g.NX + 2*pad, g.NY + 2*pad, int((hi-z0)/cell) + 1 + pad}, grid: g, z0: z0, slab: sp.slab()}
	v.full = make([]bool, v.n.Total())
	for j := range g.NY {
		for i := range g.NX {
			for _, x := range f.Column(i, j) {
				k0 := max(int(math.Ceil((x.Bottom-z0)/cell)), 0)
				k1 := min(int(math.Floor((x.Top-z0)/cell)), v.n[2]-1)
				for k := k0; k <= k1; k++ {
					v.full[v.n.At(i+pad, j+pad, k)] = true
				}
			}
		}
	}
	if v.slab {
		// Layers below the floor, over the whole ground.
		for k := range v.full[:v.n.At(0, 0, pad)] {
			v.full[k] = true
		}
	}
	return v, nil
}

// close fills whatever a ball of a radius in cubes cannot get into.
func (v *cubes) close(ctx context.Context, radius float64) error {
	d := grid.Sources(v.full, true)
	if err := grid.Distance(ctx, v.n, d); err != nil {
		return err
	}
	for k := range d {
		if float64(d[k]) > radius*radius {
			d[k] = 0 // the ball's middle may be here
		} else {
			d[k] = grid.Far
		}
	}
	if err := grid.Distance(ctx, v.n, d); err != nil {
		return err
	}
	for k := range v.full {
		// Whatever no ball in that space covers is filled.
		v.full[k] = v.full[k] || float64(d[k]) > radius*radius
	}
	return nil
}

// middle is the middle of a cube.
func (v *cubes) middle(at [3]int) mesh.Vec {
	x, y := v.grid.Center(at[0]-pad, at[1]-pad)
	return v.grid.Point(x, y, v.z0+float64(at[2])*v.grid.Cell)
}
