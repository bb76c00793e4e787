package casting

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh/dexel"
	"moldtally/mesh/grid"
)

// shellCells bounds the lattice that ShellOf works on: about 5 bytes each.
const shellCells = 6_000_000

// ShellOf is the volume, mm³, of the solid of a column field that lies no
// deeper under its surface than wall, mm: the wall of a hollow casting, by the
// true inner offset. No wall lines the upper ends of the spans that are open, by
// their index in the order of all spans: the mouth; nil = none is. The distance to the surface is exact on a lattice of
// cubes; a cube that the offset cuts counts by its share. The wall is off by at most a quarter of a
// cube; lattice is the cube's edge, mm. The error is ctx's.
func ShellOf(ctx context.Context, f *dexel.Field, open []bool, wall float64) (volume, lattice float64, err error) {
	zlo, zhi := math.Inf(1), math.Inf(-1)
	total := 0.0
	for j := range f.NY {
		for i := range f.NX {
			for _, s := range f.Column(i, j) {
				zlo, zhi = min(zlo, s.Bottom), max(zhi, s.Top)
				total += s.Top - s.Bottom
			}
		}
	}
	total *= f.Cell * f.Cell
	if !(zhi > zlo) || !(wall > 0) {
		return 0, 0, nil
	}
	// Cubes as wide as a whole number of columns.
	k := 1
	for h := f.Cell; float64(f.NX/k+3)*float64(f.NY/k+3)*((zhi-zlo)/h+3) > shellCells; h = f.Cell * float64(k) {
		k++
	}
	h := f.Cell * float64(k)
	// Over a mouth the solid goes on until the outside is no nearer than the wall
	// is thick.
	beyond := int(wall/h) + 2
	n := grid.Size{(f.NX+k-1)/k + 2, (f.NY+k-1)/k + 2, int((zhi-zlo)/h) + 3 + beyond}
	// d is the squared distance, in cubes, to the nearest cube outside; one
	// layer of outside cubes lies all round.
	d := make([]int32, n.Total())
	inside := 0
	var over []int // cubes of what goes on over a mouth
	for j := 1; j < n[1]-1; j++ {
		for i := 1; i < n[0]-1; i++ {
			ci, cj := min((i-1)*k+k/2, f.NX-1), min((j-1)*k+k/2, f.NY-1)
			first := f.Offset(ci, cj)
			for m, s := range f.Column(ci, cj) {
				a := max(1, int(math.Ceil((s.Bottom-zlo)/h+0.5)))
				b := min(n[2]-2-beyond, int(math.Floor((s.Top-zlo)/h+0.5)))
				for z := a; z <= b; z++ {
					d[n.At(i, j, z)] = grid.Far
					inside++
				}
				for z := b + 1; open != nil && open[first+m] && z <= b+beyond; z++ {
					if at := n.At(i, j, z); d[at] == 0 {
						d[at] = grid.Far
						over = append(over, at)
					}
				}
			}
		}
	}
	if inside == 0 {
		return total, h, nil // thinner than a cube everywhere
	}
	if err := grid.Distance(ctx, n, d); err != nil {
		return 0, 0, fmt.Errorf("casting: %w", err)
	}
	// The middle of a cube at distance d from the middle of the nearest outside
	// cube lies d − ½ cubes deep under a face along the lattice, and nearly d
	// under a slanting one, where some cube just outside is always near the foot
	// of the perpendicular; the mean of both is taken.
	const skin = 0.25
	for _, at := range over {
		d[at] = 0
	}
	sum := 0.0
	for _, v := range d {
		if v > 0 {
			sum += min(1, max(0, wall/h-(math.Sqrt(float64(v))-skin)+0.5))
		}
	}
	return total * sum / float64(inside), h, nil
}
