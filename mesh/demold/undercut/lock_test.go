package undercut

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
	"moldtally/mesh/solid/solidtest"
)

var up = mesh.V(0, 0, 1)

// undercutsOf finds the undercuts of a solid.
func undercutsOf(t testing.TB, s *solid.Solid, up mesh.Vec, o scene.Options) *Result {
	t.Helper()
	c, err := scene.New(context.Background(), s, up, o)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Find(context.Background(), c, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// pitTable is a table of a base, a post at its side and a top, with a pit of
// 10 by 10 in the base under the top: rubber in the pit is shut in, that above
// it gets out sideways.
func pitTable(size, deep float64) *mesh.Mesh {
	return shape.Blocks([]float64{0, 10, size/2 - 5, size/2 + 5, size}, []float64{0, size/2 - 5, size/2 + 5, size}, []float64{0, 10 - deep, 10, 20, 25},
		func(i, j, k int) bool {
			pit := k == 1 && i == 2 && j == 1
			return k <= 1 && !pit || i == 0 || k == 3
		})
}

// chamberWith is a block with a room inside that a slot leads out of.
func chamberWith(slot float64) *mesh.Mesh {
	return shape.Blocks([]float64{0, 10, 30, 40}, []float64{0, 15, 20 - slot/2, 20 + slot/2, 25, 40}, []float64{0, 10, 20, 30},
		func(i, j, k int) bool {
			room := k == 1 && i == 1 && j >= 1 && j <= 3
			way := k == 1 && i == 2 && j == 2
			return !room && !way
		})
}

// TestShutVolume: what is locked in is what has no way out, not the gap that it
// lies in. Volumes by reasoning.
func TestShutVolume(t *testing.T) {
	none := 0.0
	for _, tt := range []struct {
		name   string
		m      *mesh.Mesh
		shut   float64
		locked bool
	}{
		{"a pit half a millimetre deep", pitTable(40, 0.5), 50, true},
		{"a deep pit", pitTable(40, 6), 600, true},
		{"a pit under a large top: less than a thousandth", pitTable(120, 0.5), 50, false},
		{"a pit lower than noise", pitTable(40, 0.25), 25, false},
		{"a chamber with a slot that would tear", chamberWith(0.3), 2000, true},
		{"a chamber with a slot that holds", chamberWith(1.2), 0, false},
		{"a table without a pit", pitTable(40, 0), 0, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			// A pit's floor and rim are flat: columns twice as wide hold as much.
			cell := 0.25
			if tt.m.Size().X > 100 {
				cell = 0.5
			}
			u := undercutsOf(t, solidtest.Rough(t, tt.m), up, scene.Options{Clay: &none, Resolution: cell})
			if got := u.Path == nil; got != tt.locked {
				t.Errorf("locked: got %v, want %v", got, tt.locked)
			}
			if math.Abs(u.Locked-tt.shut) > 0.03*tt.shut+0.5 {
				t.Errorf("shut in: got %g mm³, want %g", u.Locked, tt.shut)
			}
		})
	}
}

// What a small place shuts in can be bent out of the way, and what a large one
// does cannot.
func TestBend(t *testing.T) {
	none := 0.0
	curl := shape.Blocks([]float64{0, 10, 18, 22, 40}, []float64{0, 18, 22, 40}, []float64{0, 6, 10, 20, 25}, func(i, j, k int) bool {
		pit := k == 1 && i == 2 && j == 1
		return k <= 1 && !pit || i == 0 || k == 3
	})
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		bend float64
	}{
		{"a pit of 4 mm", curl, 4},
		{"a pit of 10 mm", pitTable(40, 6), 0},
		{"no pit", pitTable(40, 0), 0},
	} {
		u := undercutsOf(t, solidtest.Rough(t, tt.m), up, scene.Options{Clay: &none, Resolution: 0.5})
		if math.Abs(u.Bend-tt.bend) > 1 {
			t.Errorf("%s: got %g, want %g", tt.name, u.Bend, tt.bend)
		}
	}
}

// TestLocksAtAnyResolution: the columns may stand as far apart as they like, be
// turned, or seen from below; what is locked is the same.
func TestLocksAtAnyResolution(t *testing.T) {
	if testing.Short() {
		t.Skip("dozens of scenes")
	}
	t.Parallel()
	none := 0.0
	for _, tt := range []struct {
		name   string
		m      *mesh.Mesh
		slot   float64
		locked bool
		path   float64
	}{
		{"slot that holds", chamberWith(0.8), 0.8, false, 10 + math.Hypot(20, 5-0.4)},
		{"slot that would tear", chamberWith(0.35), 0.35, true, 0},
		{"pit", pitTable(40, 0.7), 0, true, 0},
		{"no pit", pitTable(40, 0), 0, false, 20},
	} {
		for n, cell := range []float64{0.35, 0.6, 1.2} {
			for _, turn := range []float64{0, 5}[:1+n%2] {
				a := turn * math.Pi / 180
				axis := mesh.V(1, 2, 0.5).Unit()
				m := shape.Rotate(tt.m, axis, a)
				v := rotated(up, axis, a)
				for _, mold := range []scene.Mold{scene.Block, scene.TwoPart} {
					if mold == scene.Block && tt.slot > 0 && cell > tt.slot/2 {
						continue // whether rubber enters the slot is not told by such columns
					}
					o := scene.Options{Clay: &none, Resolution: cell, Mold: mold}
					if mold == scene.TwoPart {
						o.Clay = nil
					}
					u := undercutsOf(t, solidtest.Rough(t, m), v, o)
					if got := u.Path == nil; got != tt.locked {
						t.Errorf("%s, %s, cells of %g mm, turned %g: locked %v, want %v (shut in %g mm³)", tt.name, mold, cell, turn, got, tt.locked, u.Locked)
						continue
					}
					if !tt.locked && mold == scene.Block && math.Abs(*u.Path-tt.path) > 1.5*u.Scene.Uncertainty+0.003*40 {
						t.Errorf("%s, %s, cells of %g mm, turned %g: path %g, want %g", tt.name, mold, cell, turn, *u.Path, tt.path)
					}
				}
			}
		}
	}
}

// rotated turns a direction as shape.Rotate turns a body.
func rotated(v, axis mesh.Vec, angle float64) mesh.Vec {
	s, c := math.Sincos(angle)
	return v.Mul(c).Add(axis.Cross(v).Mul(s)).Add(axis.Mul(axis.Dot(v) * (1 - c)))
}

// TestLeastLockedPlane: halves part where they lock the least in, and in the
// middle of the heights that are as good.
func TestLeastLockedPlane(t *testing.T) {
	cup := shape.Blocks([]float64{0, 5, 35, 40}, []float64{0, 5, 35, 40}, []float64{0, 10, 40},
		func(i, j, k int) bool { return k == 0 || i != 1 || j != 1 })
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		v    mesh.Vec
		want float64 // height of the parting above the lowest point
		path float64
	}{
		// Above the floor the lower half's core would have to come out of the
		// cup downwards; at any height of the floor all lets go.
		{"cup", cup, up, 5, 0},
		{"cup, mouth down", cup, up.Neg(), 35, 0},
		{"cube", shape.Cube(40), up, 20, 0},
		{"mushroom", shape.Mushroom(20, 10, 8, 30, 96), up, 35, 0},
	} {
		u := undercutsOf(t, solidtest.Rough(t, tt.m), tt.v, scene.Options{Mold: scene.TwoPart, Resolution: 0.3})
		if u.Path == nil {
			t.Errorf("%s: locked", tt.name)
			continue
		}
		if h := *u.Parting - u.Scene.Base; math.Abs(h-tt.want) > 0.3 {
			t.Errorf("%s: parted at %g, want %g", tt.name, h, tt.want)
		}
	}
}
