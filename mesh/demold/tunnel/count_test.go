package tunnel_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

var ctx = context.Background()

func TestTunnels(t *testing.T) {
	if testing.Short() {
		t.Skip("slow twins")
	}
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
				board bool
				want  int
			}{{true, tt.block}, {false, tt.parted}} {
				sp := sceneOf(t, tt.m, tt.up, 1, tt.clay, v.board)
				n, err := tunnel.Count(ctx, sp)
				if err != nil {
					t.Fatal(err)
				}
				if n != v.want {
					t.Errorf("on a board %v: got %d want %d", v.board, n, v.want)
				}
				if !sp.Solid.Exact() {
					t.Errorf("the solid is not exact: %+v", sp.Solid.Measured)
				}
				// The slow way, from the columns, agrees.
				if n, err = columnTunnels(ctx, sp.Field, floor(sp)); err != nil {
					t.Fatal(err)
				}
				if n != v.want {
					t.Errorf("on a board %v: by columns got %d want %d", v.board, n, v.want)
				}
				// And so does the way for bodies that run into each other.
				if n, err = tunnel.CountClosed(ctx, sp); err != nil {
					t.Fatal(err)
				}
				if n != v.want {
					t.Errorf("on a board %v: closed with a ball got %d want %d", v.board, n, v.want)
				}
			}
		})
	}
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
		n, err := tunnel.Count(ctx, sceneOf(t, tt.m, mesh.V(0, 0, 1), 0.5, 0, false))
		if err != nil {
			t.Fatal(err)
		}
		if n != tt.want {
			t.Errorf("%s: %d tunnels, want %d", tt.name, n, tt.want)
		}
	}
}

// An arch is one passage: its length, its web and the ball that passes are those
// of its opening, and with the web walled up nothing is open there.
func TestList(t *testing.T) {
	sp := sceneOf(t, shape.Arch(60, 20, 50, 15, 35), mesh.V(0, 0, 1), 0.5, 0, true)
	list, err := tunnel.List(ctx, sp, 1)
	if err != nil || len(list) != 1 {
		t.Fatalf("got %+v, %v, want one passage", list, err)
	}
	p := list[0]
	if p.Length == nil || math.Abs(*p.Length-20) > 0.1 || math.Abs(*p.WebArea-30*35) > 1 || math.Abs(p.Opening-30) > 0.1 {
		t.Errorf("got %+v", p)
	}
	if d := p.Direction[1]; math.Abs(d) < 0.999 {
		t.Errorf("runs along %v, want along y", *p.Direction)
	}
	n, err := columnTunnels(ctx, tunnel.Walled(sp, list), floor(sp))
	if err != nil || n != 0 {
		t.Errorf("walled up: %d tunnels, %v, want none", n, err)
	}
	if list, err = tunnel.List(ctx, sp, 0); list == nil || len(list) != 0 || err != nil {
		t.Errorf("none counted: got %v, %v", list, err)
	}
	gone, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := tunnel.List(gone, sp, 1); err == nil {
		t.Error("cancelled: went on")
	}
}

// sceneOf is a body, in a block on a board or in two halves, whose columns are so
// far apart.
func sceneOf(t testing.TB, m *mesh.Mesh, up mesh.Vec, cell, clay float64, board bool) *scene.Scene {
	t.Helper()
	o := scene.Options{Mold: scene.TwoPart, Resolution: cell}
	if board {
		o.Mold, o.Clay = scene.Block, &clay
	}
	sc, err := scene.New(ctx, solidtest.Rough(t, m), up, o)
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// floor is where the slab ends, as columns tell it.
func floor(s *scene.Scene) float64 {
	if s.OnBoard() {
		return s.ClayLine() + 1e-6
	}
	return math.Inf(-1)
}
