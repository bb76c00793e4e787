package demold

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
)

// largest is the pattern's largest size, mm.
func largest(m *mesh.Mesh) float64 {
	s := m.Size()
	return max(s.X, s.Y, s.Z)
}

// TestStatedError: the uncertainty is at most 0.3 % of the largest size for
// flat, long and compact bodies, and depth and path are no further from the
// closed form than it says, however the body is turned about the pull.
func TestStatedError(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	bend := shape.Blocks([]float64{0, 20, 60, 80, 100}, []float64{0, 10, 30, 70, 90, 100}, []float64{0, 40, 60, 100},
		func(i, j, k int) bool { return !(k == 1 && (i == 2 && j >= 1 && j <= 3 || j == 3 && i >= 2)) })
	flanges := shape.Revolve([]shape.RZ{rz(0, 0), rz(10, 0), rz(10, 10), rz(16, 10), rz(16, 14), rz(10, 14), rz(10, 40), rz(30, 40), rz(30, 50), rz(0, 50)}, 192)
	for _, b := range []struct {
		name        string
		m           *mesh.Mesh
		mold        Mold
		round       bool
		depth, path float64
	}{
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 192), Block, true, 20, 20},
		{"flat and wide", shape.Mushroom(200, 3, 180, 4, 384), Block, true, 20, 20},
		{"long and low", shape.Dovetail(20, 30, 15, 1000), Block, false, 5, 5},
		{"tall and thin", shape.Mushroom(5, 10, 3, 400, 192), Block, true, 2, 2},
		{"leaning post", shape.LeaningPost(20, 60, 45), Block, false, 10, 10},
		{"cross hole", shape.CrossHoleCube(100, 12, 98), Block, false, 50, 98},
		{"bent cross hole", bend, Block, false, 40, math.Hypot(20, 60) + 20},
		{"arch", shape.Arch(60, 20, 50, 15, 35), Block, false, 10, 10},
		{"two flanges", flanges, TwoPart, true, 6, 6},
		{"cut mushroom in a groove", flanges, Cut, true, 6, 6},
		{"mushroom, a coat", shape.Mushroom(30, 10, 10, 40, 192), Blanket, true, 20, 20},
	} {
		for _, turn := range []float64{0, 1.1} {
			if turn == 0 && b.round {
				continue // a body of revolution is the same turned, or above with other halves
			}
			m := b.m
			if turn != 0 {
				m = shape.Rotate(m, up, turn)
			}
			r := undercutsOf(t, m, up, scene.Options{Mold: b.mold, Clay: ptr(0), Ignore: ptr(0)})
			within := r.Scene.Uncertainty
			// The size is the file's own box, so not that of the turned body.
			if size := largest(m); within > 0.003*size {
				t.Errorf("%s turned %g: uncertainty %g of %g", b.name, turn, within, size)
			}
			if d := math.Abs(r.Depth - b.depth); d > within {
				t.Errorf("%s turned %g: depth %g, want %g within %g", b.name, turn, r.Depth, b.depth, within)
			}
			if r.Path == nil {
				t.Errorf("%s turned %g: locked", b.name, turn)
			} else if d := math.Abs(*r.Path - b.path); d > within {
				t.Errorf("%s turned %g: path %g, want %g within %g", b.name, turn, *r.Path, b.path, within)
			}
		}
	}
}
