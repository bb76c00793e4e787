package demold

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/grid"
	"moldtally/mesh/solid"
)

// Where pieces are pushed into each other the space between them narrows to
// nothing along a crease, and there a union of columns is as ragged as a saw:
// each tooth a tunnel that is none. So tunnels of such bodies are counted on
// the body after closing it with a ball: whatever the ball cannot get into is
// filled. closingNodes is the number of cells along the longest side,
// closingBall the ball's radius in cells: openings narrower than its diameter,
// 1.9 % of the size, do not count (judgement of this program).
const (
	closingNodes = 160
	closingBall  = 1.5
)

// closedTunnels is the first Betti number of S, closed with a small ball, and
// of the slab below the line (−Inf: no slab).
func closedTunnels(ctx context.Context, s *solid.Solid, u mesh.Vec, line float64) (int, error) {
	v, err := newVoxels(ctx, s, u, line, closingNodes)
	if err != nil {
		return 0, err
	}
	if err := v.close(ctx, closingBall); err != nil {
		return 0, fmt.Errorf("demold: %w", err)
	}
	if n, err := grid.Betti(ctx, v.n, v.full); err == nil {
		return n, nil
	}
	return 0, fmt.Errorf("demold: %w", ctx.Err())
}

// newVoxels fills cubes with S and with the slab below the line (−Inf: none);
// nodes is the number of cubes along the longest side.
func newVoxels(ctx context.Context, s *solid.Solid, u mesh.Vec, line float64, nodes int) (*voxels, error) {
	surf := s.Surface()
	lo, hi := math.Inf(1), math.Inf(-1)
	for t, i := range surf.Triangles() {
		if s.Live(t) {
			for _, v := range i {
				z := surf.Vertices()[v].Dot(u)
				lo, hi = min(lo, z), max(hi, z)
			}
		}
	}
	size := surf.Size()
	g := s.GridAlong(u, max(size.X, size.Y, size.Z)/float64(nodes))
	cell := g.Cell
	f, err := s.Field(ctx, g)
	if err != nil {
		return nil, err
	}
	slab := !math.IsInf(line, -1)
	z0 := lo - (voxelPad-0.5)*cell
	if slab {
		z0 = line - (voxelPad-0.5)*cell
	}
	v := &voxels{n: grid.Size{g.NX + 2*voxelPad, g.NY + 2*voxelPad, int((hi-z0)/cell) + 1 + voxelPad}, grid: g, z0: z0, slab: slab}
	v.full = make([]bool, v.n.Total())
	for j := range g.NY {
		for i := range g.NX {
			for _, sp := range f.Column(i, j) {
				k0 := max(int(math.Ceil((sp.Bottom-z0)/cell)), 0)
				k1 := min(int(math.Floor((sp.Top-z0)/cell)), v.n[2]-1)
				for k := k0; k <= k1; k++ {
					v.full[v.n.At(i+voxelPad, j+voxelPad, k)] = true
				}
			}
		}
	}
	if slab {
		// Layers below the line, over the whole ground.
		for k := range v.full[:v.n.At(0, 0, voxelPad)] {
			v.full[k] = true
		}
	}
	return v, nil
}

// voxelPad is the number of empty cubes on every side, and of layers in the
// slab.
const voxelPad = 5

// close fills whatever a ball of a radius in cells cannot get into.
func (v *voxels) close(ctx context.Context, radius float64) error {
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

// voxels is a body of closed unit cubes. The middle of cube (i, j, k) lies at
// the column (i−voxelPad, j−voxelPad) of grid and at height z0 + k·grid.Cell.
type voxels struct {
	n    grid.Size
	full []bool
	grid dexel.Grid
	z0   float64
	slab bool // the lowest voxelPad layers are one
}

func (v *voxels) at(i, j, k int) int { return (k*v.n[1]+j)*v.n[0] + i }
