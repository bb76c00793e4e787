package demold

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
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
	v.close(closingBall)
	if err := ctx.Err(); err != nil {
		return 0, fmt.Errorf("demold: %w", err)
	}
	return v.betti(), nil
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
	v := &voxels{n: [3]int{g.NX + 2*voxelPad, g.NY + 2*voxelPad, int((hi-z0)/cell) + 1 + voxelPad}, grid: g, z0: z0, slab: slab}
	v.full = make([]bool, v.n[0]*v.n[1]*v.n[2])
	for j := range g.NY {
		for i := range g.NX {
			for _, sp := range f.Column(i, j) {
				k0 := max(int(math.Ceil((sp.Bottom-z0)/cell)), 0)
				k1 := min(int(math.Floor((sp.Top-z0)/cell)), v.n[2]-1)
				for k := k0; k <= k1; k++ {
					v.full[v.at(i+voxelPad, j+voxelPad, k)] = true
				}
			}
		}
	}
	if slab {
		// Layers below the line, over the whole ground.
		for k := range v.full[:v.at(0, 0, voxelPad)] {
			v.full[k] = true
		}
	}
	return v, nil
}

// voxelPad is the number of empty cubes on every side, and of layers in the
// slab.
const voxelPad = 5

// close fills whatever a ball of a radius in cells (at most 2) cannot get into.
func (v *voxels) close(radius float64) {
	r2 := float32(radius * radius)
	d := v.distance(v.full)
	room := make([]bool, len(v.full))
	for k := range room {
		room[k] = d[k] > r2 // the space that the ball's middle may take
	}
	d = v.distance(room)
	for k := range v.full {
		// Whatever no ball in that space covers is filled.
		v.full[k] = v.full[k] || d[k] > r2
	}
}

// voxels is a body of closed unit cubes. The middle of cube (i, j, k) lies at
// the column (i−voxelPad, j−voxelPad) of grid and at height z0 + k·grid.Cell.
type voxels struct {
	n    [3]int
	full []bool
	grid dexel.Grid
	z0   float64
	slab bool // the lowest voxelPad layers are one
}

func (v *voxels) at(i, j, k int) int { return (k*v.n[1]+j)*v.n[0] + i }

// distance returns the squared distance of every cube to the nearest marked
// one, in cells, cut off at 4: an exact transform axis by axis needs no look
// further than the ball.
func (v *voxels) distance(mark []bool) []float32 {
	const reach, far = 2, 1e6
	a := make([]float32, len(mark))
	b := make([]float32, len(mark))
	for k, m := range mark {
		if !m {
			a[k] = far
		}
	}
	step := [3]int{1, v.n[0], v.n[0] * v.n[1]}
	for d := range 3 {
		each(v.n[2], func(z int) {
			for k := z * step[2]; k < (z+1)*step[2]; k++ {
				p := k / step[d] % v.n[d]
				best := a[k]
				for r := 1; r <= reach; r++ {
					w := float32(r * r)
					if p >= r {
						best = min(best, a[k-r*step[d]]+w)
					}
					if p+r < v.n[d] {
						best = min(best, a[k+r*step[d]]+w)
					}
				}
				b[k] = best
			}
		})
		a, b = b, a
	}
	return a
}

// each calls f for 0 to n−1 on all cores; calls must not depend on each other.
func each(n int, f func(k int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for k := next.Add(1) - 1; k < int64(n); k = next.Add(1) - 1 {
				f(int(k))
			}
		})
	}
	wg.Wait()
}

// betti is the first Betti number, b0 + b2 − χ. Cubes are closed, so they hang
// together through corners; what is empty hangs together through faces.
func (v *voxels) betti() int {
	get := func(i, j, k int) bool {
		return i >= 0 && j >= 0 && k >= 0 && i < v.n[0] && j < v.n[1] && k < v.n[2] && v.full[v.at(i, j, k)]
	}
	// Euler's characteristic: corners − edges + faces − cubes, each counted at
	// its lower corner.
	sums := make([]int, v.n[2]+1)
	each(v.n[2]+1, func(k int) {
		sum := 0
		for j := 0; j <= v.n[1]; j++ {
			for i := 0; i <= v.n[0]; i++ {
				var c [8]bool
				any := false
				for m := range 8 {
					c[m] = get(i-m&1, j-m>>1&1, k-m>>2&1)
					any = any || c[m]
				}
				if !any {
					continue
				}
				sum++ // the corner
				// Edges from it along x, y, z; faces across z, y, x.
				if c[0] || c[2] || c[4] || c[6] {
					sum--
				}
				if c[0] || c[1] || c[4] || c[5] {
					sum--
				}
				if c[0] || c[1] || c[2] || c[3] {
					sum--
				}
				if c[0] || c[4] {
					sum++
				}
				if c[0] || c[2] {
					sum++
				}
				if c[0] || c[1] {
					sum++
				}
				if c[0] {
					sum--
				}
			}
		}
		sums[k] = sum
	})
	chi := 0
	for _, s := range sums {
		chi += s
	}
	bodies := v.components(true)
	hollows := v.components(false) - 1 // one is the outside
	return bodies + hollows - chi
}

// components counts what hangs together of the full cubes (through faces,
// edges and corners) or of the empty ones (through faces).
func (v *voxels) components(full bool) int {
	seen := make([]bool, len(v.full))
	var queue []int32
	n := 0
	for k0 := range v.full {
		if seen[k0] || v.full[k0] != full {
			continue
		}
		n++
		seen[k0] = true
		queue = append(queue[:0], int32(k0))
		for len(queue) > 0 {
			k := int(queue[len(queue)-1])
			queue = queue[:len(queue)-1]
			x, y, z := k%v.n[0], k/v.n[0]%v.n[1], k/(v.n[0]*v.n[1])
			for dz := -1; dz <= 1; dz++ {
				for dy := -1; dy <= 1; dy++ {
					for dx := -1; dx <= 1; dx++ {
						if !full && dx*dx+dy*dy+dz*dz != 1 {
							continue
						}
						i, j, l := x+dx, y+dy, z+dz
						if i < 0 || j < 0 || l < 0 || i >= v.n[0] || j >= v.n[1] || l >= v.n[2] {
							continue
						}
						if m := v.at(i, j, l); !seen[m] && v.full[m] == full {
							seen[m] = true
							queue = append(queue, int32(m))
						}
					}
				}
			}
		}
	}
	return n
}
