package grid_test

import (
	"math/rand/v2"
	"testing"

	"moldtally/mesh/grid"
)

// TestDiscs holds discs grown word by word against distances.
func TestDiscs(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var g grid.Discs
	var e grid.Envelope
	for _, size := range [][2]int{{1, 1}, {5, 9}, {64, 7}, {65, 30}, {130, 41}} {
		for _, d2 := range []int{0, 1, 2, 3, 4, 8, 13, 60, 401} {
			w, h := size[0], size[1]
			d := make([]int32, w*h)
			marks := g.Marks(w, h)
			for k := range d {
				d[k] = grid.Far
				if x, y := k%w, k/w; rng.IntN(1+2*d2) == 0 {
					d[k] = 0
					marks[y*((w+63)/64)+x>>6] |= 1 << (x & 63)
				}
			}
			e.Plane(d, w, h)
			for turn := range 2 {
				if turn == 0 {
					g.Grow(w, h, d2)
				} else {
					g.Invert(w, h)
				}
				for k, v := range d {
					x := k % w
					if got := g.Row(w, k/w)[x>>6]>>(x&63)&1 != 0; got != (int(v) <= d2) != (turn == 1) {
						t.Fatalf("%d by %d, d2 %d, turn %d: node %d is %v", w, h, d2, turn, k, got)
					}
				}
			}
		}
	}
}
