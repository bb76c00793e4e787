package undercut

import (
	"math"
	"slices"
	"testing"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"

	"moldtally/mesh"
)

// volumesByColumn asks every column at every height.
func volumesByColumn(f *dexel.Field, zs []float64) (vol, area []float64) {
	vol, area = make([]float64, len(zs)), make([]float64, len(zs))
	for j := range f.NY {
		for i := range f.NX {
			col := f.Column(i, j)
			if len(col) == 0 {
				continue
			}
			for n, z := range zs {
				vol[n] += (max(col[0].Bottom-z, 0) + max(z-col[len(col)-1].Top, 0)) * f.Cell * f.Cell
				for _, x := range col {
					if x.Bottom <= z && z <= x.Top {
						area[n] += f.Cell * f.Cell
					}
				}
			}
		}
	}
	return vol, area
}

// Sums over the heights are what every column tells at each, however the heights run.
func TestPartedVolumes(t *testing.T) {
	c, err := scene.New(t.Context(), solidtest.Rough(t, shape.Horn(60, 12, 24, 32)), mesh.V(0.1, 0.2, 1), scene.Options{Mold: scene.TwoPart, Resolution: 1})
	if err != nil {
		t.Fatal(err)
	}
	h := heights{c.Base - 1, c.Top + 1}
	tops := []float64{c.Base, c.Top}
	for j := range c.Field.NY {
		if col := c.Field.Column(c.Field.NX/2, j); len(col) > 0 {
			tops = append(tops, col[0].Bottom, col[len(col)-1].Top)
		}
	}
	slices.Sort(tops)
	for _, zs := range [][]float64{h.even(48), heights{h.hi, h.lo}.even(7), {c.Base + 3}, {c.Base, c.Base}, tops} {
		vol, area := partedVolumes(c.Field, zs)
		wantVol, wantArea := volumesByColumn(c.Field, zs)
		for n := range zs {
			if math.Abs(vol[n]-wantVol[n]) > 1e-9*wantVol[n]+1e-6 || math.Abs(area[n]-wantArea[n]) > 1e-9*wantArea[n] {
				t.Errorf("at %g of %d: got %g mm³ and %g mm², want %g and %g", zs[n], len(zs), vol[n], area[n], wantVol[n], wantArea[n])
			}
		}
	}
}
