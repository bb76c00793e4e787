package casting

import (
	"context"
	"errors"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// Rubber away from a cube in a box: a closed formula (Steiner, for the half
// space above the board).
func TestAway(t *testing.T) {
	f := field(t, shape.Box(40, 40, 40))
	x, y, z := f.Plane(mesh.V(0, 0, 0))
	const half, high = 50.0, 80.0
	room := Room{X0: x - half, X1: x + half, Y0: y - half, Y1: y + half, Z0: z, Z1: z + high, Inside: func(x, y float64) bool { return true }}
	// shape.Box may stand anywhere: centre the room on it.
	lo, hi := math.Inf(1), math.Inf(-1)
	for j := range f.NY {
		for i := range f.NX {
			for _, s := range f.Column(i, j) {
				lo, hi = min(lo, s.Bottom), max(hi, s.Top)
				_ = s
			}
		}
	}
	room.Z0, room.Z1 = lo, lo+high
	var sx, sy, n float64
	for j := range f.NY {
		for i := range f.NX {
			if len(f.Column(i, j)) > 0 {
				cx, cy := f.Center(i, j)
				sx, sy, n = sx+cx, sy+cy, n+1
			}
		}
	}
	room.X0, room.X1, room.Y0, room.Y1 = sx/n-half, sx/n+half, sy/n-half, sy/n+half
	got, h, err := Away(context.Background(), f, room, 0, 10, 25)
	if err != nil {
		t.Fatal(err)
	}
	near := func(d float64) float64 {
		// the cube grown by d, cut off at the board, inside the room (d ≤ 30 there)
		a := 40.0
		return a*a*(a+d) + 4*a*d*a + math.Pi*d*d*a + math.Pi/4*d*d*a*4 + 2*math.Pi/3*d*d*d
	}
	for i, d := range []float64{0, 10, 25} {
		want := 4*half*half*high - near(d)
		// Never too much, and too little by no more than two cubes of its skin.
		skin := near(d+2.2*h) - near(d)
		if got[i] > want*1.002 || got[i] < want-skin {
			t.Errorf("%g mm away: got %.0f mm³, want %.0f less at most %.0f (cubes of %.2f mm)", d, got[i], want, skin, h)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := Away(ctx, f, room, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
}
