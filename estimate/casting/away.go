package casting

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh/dexel"
	"moldtally/mesh/grid"
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
	n := grid.Size{int(math.Ceil(wx / h)), int(math.Ceil(wy / h)), int(math.Ceil(wz / h))}
	d := make([]int32, n.Total())
	for i := range d {
		d[i] = grid.Far
	}
	at := func(v, v0 float64, most int) (int, bool) {
		k := int(math.Floor((v - v0) / h))
		return k, k >= 0 && k < most
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
					a, okA := at(x, room.X0, n[0])
					b, okB := at(y, room.Y0, n[1])
					if !okA || !okB {
						continue
					}
					for _, s := range spans {
						lo, _ := at(s.Bottom, room.Z0, n[2])
						hi, _ := at(s.Top, room.Z0, n[2])
						for k := max(lo, 0); k <= min(hi, n[2]-1); k++ {
							d[n.At(a, b, k)] = 0
						}
					}
				}
			}
		}
	}
	if err := grid.Distance(ctx, n, d); err != nil {
		return nil, 0, fmt.Errorf("casting: %w", err)
	}
	cell := wx / float64(n[0]) * wy / float64(n[1]) * wz / float64(n[2]) // cubes over the rim count by their share
	for b := range n[1] {
		for a := range n[0] {
			if !room.Inside(room.X0+(float64(a)+0.5)*h, room.Y0+(float64(b)+0.5)*h) {
				continue
			}
			for k := range n[2] {
				away := (math.Sqrt(float64(d[n.At(a, b, k)])) - 1) * h
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
