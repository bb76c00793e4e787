package grid

import (
	"context"

	"moldtally/mesh/par"
)

// Betti is the first Betti number, the number of tunnels, of the body that the
// marked cubes make up: b0 + b2 − χ. Cubes are closed, so they hang together
// through corners; what is empty hangs together through faces, and beyond the
// lattice all is empty.
func Betti(ctx context.Context, n Size, full []bool) (int, error) {
	sums := make([]int, n[2]+1)
	err := par.Each(ctx, n[2]+1, func(z int) { sums[z] = eulerLayer(n, full, z) })
	if err != nil {
		return 0, err
	}
	chi := 0
	for _, s := range sums {
		chi += s
	}
	hollows := Connect(n, full, false, Faces)
	// Empty parts at the rim are one, with what lies beyond.
	outside := make([]bool, hollows.Count())
	hollows.Each(func(part, from, to int) {
		outside[part] = outside[part] || n.OnRim(n.Node(from)) || n.OnRim(n.Node(to-1))
	})
	b2 := 0
	for _, o := range outside {
		if !o {
			b2++
		}
	}
	return Connect(n, full, true, Corners).Count() + b2 - chi, nil
}

// eulerSum is what the corner, the edges, the faces and the cube that begin at a
// place add to Euler's characteristic, by which of the eight cubes round it are
// full: bit x + 2y + 4z, the cube beginning there first.
var eulerSum = func() (sum [256]int8) {
	has := func(cubes, any int) int8 {
		if cubes&any != 0 {
			return 1
		}
		return 0
	}
	for c := range sum {
		sum[c] = has(c, 0xFF) - // the corner
			has(c, 1<<0|1<<2|1<<4|1<<6) - has(c, 1<<0|1<<1|1<<4|1<<5) - has(c, 1<<0|1<<1|1<<2|1<<3) + // edges along x, y, z
			has(c, 1<<0|1<<4) + has(c, 1<<0|1<<2) + has(c, 1<<0|1<<1) - // faces across z, y, x
			has(c, 1<<0)
	}
	return sum
}()

// eulerLayer adds up the cells that begin in a layer.
func eulerLayer(n Size, full []bool, z int) int {
	empty := make([]bool, n[0])
	row := func(y, z int) []bool {
		if y < 0 || z < 0 || y >= n[1] || z >= n[2] {
			return empty
		}
		k := n.At(0, y, z)
		return full[k : k+n[0]]
	}
	sum := 0
	for y := 0; y <= n[1]; y++ {
		r := [4][]bool{row(y, z), row(y-1, z), row(y, z-1), row(y-1, z-1)}
		last := 0
		for x := range n[0] {
			now := 0
			for k := range r {
				if r[k][x] {
					now |= 1 << (2 * k)
				}
			}
			sum += int(eulerSum[now|last<<1])
			last = now
		}
		sum += int(eulerSum[last<<1])
	}
	return sum
}
