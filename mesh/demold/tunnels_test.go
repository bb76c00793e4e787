package demold

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

func TestTunnels(t *testing.T) {
	z := mesh.V(0, 0, 1)
	x := mesh.V(1, 0, 0)
	y := mesh.V(0, 1, 0)
	frame := shape.Blocks([]float64{0, 10, 20, 30, 40, 50}, []float64{0, 10}, []float64{0, 10, 20, 30},
		func(i, j, k int) bool { return k != 1 || i%2 == 0 })
	tests := []struct {
		name          string
		m             *mesh.Mesh
		up            mesh.Vec
		clay          float64
		block, parted int
	}{
		{"arch", shape.Arch(60, 20, 50, 15, 35), z, 0, 1, 0},
		{"arch in clay", shape.Arch(60, 20, 50, 15, 35), z, 2, 1, 0},
		{"arch on its face", shape.Arch(60, 20, 50, 15, 35), y, 0, 0, 0},
		{"arch on its side", shape.Arch(60, 20, 50, 15, 35), x, 0, 0, 0},
		{"arch upside down", shape.Arch(60, 20, 50, 15, 35), z.Neg(), 0, 0, 0},
		{"flat ring", shape.SquareRing(15, 25, 12, 48), z, 0, 0, 1},
		{"ring on edge", shape.Torus(30, 8, 48, 24), x, 0, 1, 1},
		{"torus lying", shape.Torus(30, 8, 48, 24), z, 1, 0, 1},
		{"table", shape.Table(60, 40, 8, 10), z, 0, 3, 0},
		{"table upside down", shape.Table(60, 40, 8, 10), z.Neg(), 0, 0, 0},
		{"cube with a hole through", shape.ThroughHoleCube(40, 12), z, 0, 1, 1},
		{"hole upright", shape.ThroughHoleCube(40, 12), x, 0, 0, 1},
		{"blind hole", shape.CrossHoleCube(100, 20, 98), z, 0, 0, 0},
		{"mug", shape.Mug(40, 90, 4, 30, 48), z, 0, 1, 1},
		{"mug upside down", shape.Mug(40, 90, 4, 30, 48), z.Neg(), 0, 1, 1},
		{"two windows", frame, z, 0, 2, 2},
		{"two windows lying", frame, y, 0, 0, 2},
		{"tray upside down", shape.Tray(60, 40, 20, 4), z.Neg(), 0, 0, 0},
		{"two boxes", shape.Merge(shape.Box(20, 20, 20), shape.Translate(shape.Box(20, 20, 20), mesh.V(50, 0, 0))), z, 0, 0, 0},
		{"box in the air", shape.Merge(shape.Box(20, 20, 20), shape.Translate(shape.Box(20, 20, 20), mesh.V(50, 0, 30))), z, 0, 0, 0},
		{"ring in the air", shape.Merge(shape.Box(20, 20, 20), shape.Translate(shape.Torus(10, 3, 32, 16), mesh.V(50, 0, 40))), z, 0, 1, 1},
		// A void is filled: neither its shape nor it itself counts.
		{"ring-shaped void", shape.Shells(shape.Box(100, 100, 40), shape.Translate(shape.Torus(30, 8, 32, 16), mesh.V(0, 0, 20))), z, 0, 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, v := range []struct {
				mold Mold
				want int
			}{{Block, tt.block}, {Blanket, tt.block}, {TwoPart, tt.parted}, {Cut, tt.parted}} {
				o := Options{Mold: v.mold, Clay: ptr(tt.clay), Resolution: 0.5}
				a, err := newAnalysis(context.Background(), solidOf(t, tt.m), tt.up, o)
				if err != nil {
					t.Fatal(err)
				}
				if err := tunnels(context.Background(), a); err != nil {
					t.Fatal(err)
				}
				if a.rep.Tunnels == nil || *a.rep.Tunnels != v.want {
					t.Errorf("%s: got %v want %d", v.mold, deref(a.rep.Tunnels), v.want)
				}
				if !a.Solid.Exact() {
					t.Errorf("the solid is not exact: %+v", a.Solid.Measured)
				}
				// The slow way, from the columns, agrees.
				line := math.Inf(-1)
				if a.OnBoard() {
					line = a.ClayLine() + 1e-6
				}
				n, err := columnTunnels(context.Background(), a.Field, line)
				if err != nil {
					t.Fatal(err)
				}
				if n != v.want {
					t.Errorf("%s: by columns got %d want %d", v.mold, n, v.want)
				}
				// And so does the way for bodies that run into each other.
				if testing.Short() || v.mold == Blanket || v.mold == Cut {
					continue
				}
				if n, err = closedTunnels(context.Background(), a.Solid, a.Up, line); err != nil {
					t.Fatal(err)
				}
				if n != v.want {
					t.Errorf("%s: closed with a ball got %d want %d", v.mold, n, v.want)
				}
			}
		})
	}
}

func deref(n *int) any {
	if n == nil {
		return nil
	}
	return *n
}

// Balls pushed into each other along a creased chain, in a ring and in a row:
// the creases make no tunnels.
func TestTunnelsOfPiecesPushedTogether(t *testing.T) {
	var ring, row []*mesh.Mesh
	for k := range 12 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / 12)
		ring = append(ring, shape.Translate(shape.Sphere(12, 20), mesh.V(40*c, 3, 40*s)))
		row = append(row, shape.Translate(shape.Sphere(12, 20), mesh.V(18*float64(k), 0.3*float64(k), 0)))
	}
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		want int
	}{{"ring on edge", shape.Merge(ring...), 1}, {"row", shape.Merge(row...), 0}} {
		a, err := newAnalysis(context.Background(), solidOf(t, tt.m), mesh.V(0, 0, 1), Options{Mold: TwoPart})
		if err != nil {
			t.Fatal(err)
		}
		if err := tunnels(context.Background(), a); err != nil {
			t.Fatal(err)
		}
		if n := a.rep.Tunnels; n == nil || *n != tt.want {
			t.Errorf("%s: %v tunnels, want %d", tt.name, deref(n), tt.want)
		}
	}
}
