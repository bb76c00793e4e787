package casting

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh/dexel"
)

// shellCells bounds the lattice that ShellOf works on: about 5 bytes each.
const shellCells = 6_000_000

// ShellOf is the volume, mm³, of the solid of a column field that lies no
// deeper under its surface than wall, mm: the wall of a hollow casting, by the
// true inner offset. The distance to the surface is exact on a lattice of
// cubes (P. F. Felzenszwalb and D. P. Huttenlocher, "Distance Transforms of
// Sampled Functions", Theory of Computing 8 (2012) 415-428); a cube that the
// offset cuts counts by its share. The wall is off by at most a quarter of a
// cube; lattice is the cube's edge, mm. The error is ctx's.
func ShellOf(ctx context.Context, f *dexel.Field, wall float64) (volume, lattice float64, err error) {
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
	nx, ny, nz := (f.NX+k-1)/k+2, (f.NY+k-1)/k+2, int((zhi-zlo)/h)+3
	// d is the squared distance, in cubes, to the nearest cube outside; one
	// layer of outside cubes lies all round.
	d := make([]float32, nx*ny*nz)
	const far = float32(1e12)
	inside := 0
	for j := 1; j < ny-1; j++ {
		for i := 1; i < nx-1; i++ {
			ci, cj := min((i-1)*k+k/2, f.NX-1), min((j-1)*k+k/2, f.NY-1)
			for _, s := range f.Column(ci, cj) {
				a := max(1, int(math.Ceil((s.Bottom-zlo)/h+0.5)))
				b := min(nz-2, int(math.Floor((s.Top-zlo)/h+0.5)))
				for z := a; z <= b; z++ {
					d[(z*ny+j)*nx+i] = far
					inside++
				}
			}
		}
	}
	if inside == 0 {
		return total, h, nil // thinner than a cube everywhere
	}
	if err := distances(ctx, d, nx, ny, nz); err != nil {
		return 0, 0, err
	}
	// The middle of a cube at distance d from the middle of the nearest outside
	// cube lies d − ½ cubes deep under a face along the lattice, and nearly d
	// under a slanting one, where some cube just outside is always near the foot
	// of the perpendicular; the mean of both is taken.
	const skin = 0.25
	sum := 0.0
	for _, v := range d {
		if v > 0 {
			sum += min(1, max(0, wall/h-(math.Sqrt(float64(v))-skin)+0.5))
		}
	}
	return total * sum / float64(inside), h, nil
}

// distances replaces 0 (outside) and a very large number (inside) by the
// squared distance to the nearest outside cell.
func distances(ctx context.Context, d []float32, nx, ny, nz int) error {
	line := newLine(max(nx, ny, nz))
	for z := range nz {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("casting: %w", err)
		}
		for y := range ny {
			line.run(d, (z*ny+y)*nx, 1, nx)
		}
		for x := range nx {
			line.run(d, z*ny*nx+x, nx, ny)
		}
	}
	for y := range ny {
		if err := ctx.Err(); err != nil {
			return fmt.Errorf("casting: %w", err)
		}
		for x := range nx {
			line.run(d, y*nx+x, nx*ny, nz)
		}
	}
	return nil
}

// line holds the buffers of the transform of one row.
type line struct {
	f, out []float64
	v      []int
	z      []float64
}

func newLine(n int) *line {
	return &line{make([]float64, n), make([]float64, n), make([]int, n), make([]float64, n+1)}
}

// run replaces n values, stride apart, by the lower envelope of the parabolas
// standing on them.
func (l *line) run(d []float32, at, stride, n int) {
	any := false
	for q := range n {
		l.f[q] = float64(d[at+q*stride])
		any = any || l.f[q] > 0
	}
	if !any {
		return
	}
	k := 0
	l.v[0], l.z[0], l.z[1] = 0, math.Inf(-1), math.Inf(1)
	for q := 1; q < n; q++ {
		var s float64
		for {
			p := l.v[k]
			s = (l.f[q] + float64(q*q) - l.f[p] - float64(p*p)) / float64(2*q-2*p)
			if s > l.z[k] {
				break
			}
			k--
		}
		k++
		l.v[k], l.z[k], l.z[k+1] = q, s, math.Inf(1)
	}
	k = 0
	for q := range n {
		for l.z[k+1] < float64(q) {
			k++
		}
		p := l.v[k]
		l.out[q] = float64((q-p)*(q-p)) + l.f[p]
	}
	for q := range n {
		d[at+q*stride] = float32(l.out[q])
	}
}
