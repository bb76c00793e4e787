package casting

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh/dexel"
)

// Room is the space that rubber fills, in the frame of a column field: a prism
// between two heights, mm. Inside tells of a place across it, inside the bounds
// X0 to X1 and Y0 to Y1, whether it is in the room.
type Room struct {
	X0, X1, Y0, Y1, Z0, Z1 float64
	Inside                 func(x, y float64) bool
}

// awayCells bounds the lattice that Away works on: 4 bytes each.
const awayCells = 1_500_000

// Away is the volume, mm³, of the rubber in a room that lies farther from the
// solid of a field than each of some distances, mm: where a plug or a filler of
// cured rubber may lie. It is taken on a lattice of cubes (their edge is
// returned), and always a little too small: a cube that the solid touches
// counts as solid, and the distance as one cube less. The error is ctx's.
func Away(ctx context.Context, f *dexel.Field, room Room, distance ...float64) (volume []float64, lattice float64, err error) {
	volume = make([]float64, len(distance))
	wx, wy, wz := room.X1-room.X0, room.Y1-room.Y0, room.Z1-room.Z0
	if !(wx > 0 && wy > 0 && wz > 0) {
		return volume, 0, nil
	}
	h := max(math.Cbrt(wx*wy*wz/awayCells), wx/4000, wy/4000, wz/4000)
	nx, ny, nz := int(math.Ceil(wx/h)), int(math.Ceil(wy/h)), int(math.Ceil(wz/h))
	d := make([]float32, nx*ny*nz)
	const far = float32(1e12)
	for i := range d {
		d[i] = far
	}
	at := func(v, v0 float64, n int) (int, bool) {
		k := int(math.Floor((v - v0) / h))
		return k, k >= 0 && k < n
	}
	for j := range f.NY {
		if err := ctx.Err(); err != nil {
			return nil, 0, fmt.Errorf("casting: %w", err)
		}
		for i := range f.NX {
			spans := f.Column(i, j)
			if len(spans) == 0 {
				continue
			}
			cx, cy := f.Center(i, j)
			// A column's cell may lie over several cubes.
			for _, x := range [2]float64{cx - f.Cell/2, cx + f.Cell/2} {
				for _, y := range [2]float64{cy - f.Cell/2, cy + f.Cell/2} {
					a, okA := at(x, room.X0, nx)
					b, okB := at(y, room.Y0, ny)
					if !okA || !okB {
						continue
					}
					for _, s := range spans {
						lo, _ := at(s.Bottom, room.Z0, nz)
						hi, _ := at(s.Top, room.Z0, nz)
						for k := max(lo, 0); k <= min(hi, nz-1); k++ {
							d[(k*ny+b)*nx+a] = 0
						}
					}
				}
			}
		}
	}
	if err := distances(ctx, d, nx, ny, nz); err != nil {
		return nil, 0, err
	}
	cell := wx / float64(nx) * wy / float64(ny) * wz / float64(nz) // cubes over the rim count by their share
	for b := range ny {
		for a := range nx {
			if !room.Inside(room.X0+(float64(a)+0.5)*h, room.Y0+(float64(b)+0.5)*h) {
				continue
			}
			for k := range nz {
				away := (math.Sqrt(float64(d[(k*ny+b)*nx+a])) - 1) * h
				for i, want := range distance {
					if away >= want {
						volume[i] += cell
					}
				}
			}
		}
	}
	return volume, h, nil
}
