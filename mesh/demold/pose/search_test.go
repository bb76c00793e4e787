package pose

import (
	"context"
	"math"
	"reflect"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
	"moldtally/mesh/solid/solidtest"
)

func TestHalfSphere(t *testing.T) {
	const n = 400
	dirs := halfSphere(n)
	// Every direction of the half sphere is near one of them.
	worst := 0.0
	for _, u := range halfSphere(5003) {
		best := -1.0
		for _, v := range dirs {
			best = max(best, math.Abs(u.Dot(v)))
		}
		worst = max(worst, math.Acos(min(best, 1)))
	}
	if want := 1.3 * math.Sqrt(2*math.Pi/n); worst > want {
		t.Errorf("largest hole: got %.2f° want under %.2f°", worst*180/math.Pi, want*180/math.Pi)
	}
	for _, u := range dirs {
		if math.Abs(u.Len()-1) > 1e-12 || u.Z <= 0 {
			t.Fatalf("%v is no direction of the upper half", u)
		}
	}
}

// Bodies that let go along their own axis only: the search finds
// it, whatever way the file holds them.
func TestSearchFindsAxis(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	axis := mesh.V(0.36, -0.48, 0.8)
	tests := []struct {
		name string
		m    *mesh.Mesh
		want []mesh.Vec
		mold scene.Mold
	}{
		// Deep narrow wells run along the axis: any other way locks or bends.
		{"wells", shape.Stand(wells(), axis), []mesh.Vec{axis}, scene.Block},
		// A cone lets go with its point up.
		{"cone", shape.Stand(shape.Cone(20, 60, 64), axis), []mesh.Vec{axis}, scene.Block},
		{"two halves", shape.Stand(shape.Merge(shape.Cylinder(20, 50, 48)), axis), nil, scene.TwoPart},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := solidtest.Rough(t, tt.m)
			st, err := Choose(context.Background(), s, Options{Search: true, Mold: tt.mold, Resolution: 1})
			if err != nil {
				t.Fatal(err)
			}
			if st.Known == nil && tt.mold == scene.TwoPart || st.Known != nil && !handedOn(st, s, tt.mold) {
				t.Error("the search hands nothing on of the way that it chose")
			}
			up, dirs := st.Up, tried(t, st)
			ok := tt.want == nil
			for _, w := range tt.want {
				ok = ok || up.Dot(w) > math.Cos(3*math.Pi/180)
			}
			if !ok {
				t.Errorf("up: got %v want %v (%+v)", up, tt.want, st.Pose.Reason)
			}
			if dirs[0].Path == nil || *dirs[0].Path > 0.5 {
				t.Errorf("path of the best: got %v want none", fmtPtr(dirs[0].Path))
			}
			// The axes and the file's own up are in the table.
			for _, a := range []mesh.Vec{mesh.V(0, 0, 1), mesh.V(0, 0, -1), mesh.V(1, 0, 0), mesh.V(-1, 0, 0), mesh.V(0, 1, 0), mesh.V(0, -1, 0)} {
				found := false
				for _, d := range dirs {
					found = found || mesh.V(d.Up[0], d.Up[1], d.Up[2]).Sub(a).Len() < 1e-9
				}
				if !found {
					t.Errorf("%v is missing from the table", a)
				}
			}
		})
	}
}

// handedOn reports whether what is known is of the way that was chosen.
func handedOn(st Standing, s *solid.Solid, mold scene.Mold) bool {
	k := st.Known
	return k != nil && k.Sections != nil && k.Undercuts.Scene.Solid == s && k.Undercuts.Scene.Up == st.Up && k.Undercuts.Scene.Mold == mold
}

// wells is a block with four square wells from its top.
func wells() *mesh.Mesh {
	at := []float64{0, 6, 12, 18, 24, 30}
	return shape.Blocks(at, at, []float64{0, 8, 48}, func(i, j, k int) bool {
		return k == 0 || i%2 == 0 || j%2 == 0
	})
}

func TestSearchShow(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	// A plaque whose face looks along +y: with two halves no direction may
	// part across it, and on a board it must not lie face down.
	m := shape.Stand(lettered(false), mesh.V(0, 1, 0))
	face := mesh.V(0, 1, 0)
	for _, mold := range []scene.Mold{scene.Block, scene.TwoPart} {
		st, err := Choose(context.Background(), solidtest.Rough(t, m), Options{Search: true, Mold: mold, Show: &face, Resolution: 1})
		if err != nil {
			t.Fatal(err)
		}
		up, dirs := st.Up, tried(t, st)
		if mold == scene.Block && up.Dot(face) < 0 {
			t.Errorf("block: up %v lays the face on the board", up)
		}
		if mold == scene.TwoPart && math.Abs(up.Dot(face)) < 0.02 {
			t.Errorf("two-part: up %v parts across the face", up)
		}
		for _, d := range dirs {
			v := mesh.V(d.Up[0], d.Up[1], d.Up[2])
			if mold == scene.TwoPart && math.Abs(v.Dot(face)) < 0.017 || mold == scene.Block && v.Dot(face) < -0.77 {
				t.Errorf("%s: %v is in the table", mold, v)
			}
		}
	}
}

func TestSearchSameOnAnyMachine(t *testing.T) {
	if testing.Short() {
		t.Skip("two whole searches; the race detector sees the columns they stand on elsewhere")
	}
	s := solidtest.Rough(t, shape.Horn(60, 12, 24, 32))
	run := func(cores int) ([]Direction, Pose) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		st, err := Choose(context.Background(), s, Options{Search: true, Resolution: 1})
		if err != nil {
			t.Fatal(err)
		}
		if !handedOn(st, s, scene.Block) {
			t.Error("the search hands nothing on")
		}
		return tried(t, st), st.Pose
	}
	d1, p1 := run(1)
	d2, p2 := run(3)
	if !reflect.DeepEqual(d1, d2) || !reflect.DeepEqual(p1, p2) {
		t.Errorf("one core and three give different answers:\n%+v\n%+v", d1[0], d2[0])
	}
}
