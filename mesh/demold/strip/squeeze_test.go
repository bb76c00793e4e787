package strip_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/shape"
)

func TestSqueeze(t *testing.T) {
	// A vase of foot 20, belly 30, mouth 24 outside, 80 high, wall 3.
	vase := shape.Vase(20, 30, 24, 80, 3, 96)
	tests := []struct {
		name    string
		m       *mesh.Mesh
		up      mesh.Vec
		want    float64
		tol     float64
		length  float64 // of the tongue; 0 = none wanted, NaN = not asked
		root    float64 // least width of the root; NaN = not asked
		tongue  float64 // tolerance of the two
		heights float64 // height of the narrowest; 0 = not asked
	}{
		// The core in the vase: mouth 21 inside over belly 27, round to
		// polygons of the same number of sides.
		{name: "vase", m: vase, up: mesh.V(0, 0, 1), want: 1 - 21.0/27, tol: 1e-3, length: 77, root: 42, tongue: 0.8, heights: 80},
		// Turned over, the board shuts the vase: no rubber gets in.
		{name: "vase upside down", m: vase, up: mesh.V(0, 0, -1), want: 0},
		{name: "tray", m: shape.Tray(60, 40, 20, 4), up: mesh.V(0, 0, 1), want: 0, length: 16, root: 32, tongue: 0.5},
		{name: "cylinder", m: shape.Cylinder(20, 40, 64), up: mesh.V(0, 0, 1), want: 0},
		{name: "mushroom", m: shape.Mushroom(30, 10, 10, 40, 64), up: mesh.V(0, 0, 1), want: 0},
		{name: "flat ring", m: shape.SquareRing(15, 25, 12, 64), up: mesh.V(0, 0, 1), want: 0, length: 12, root: 30, tongue: 0.6},
		// A torus lying on the board: the plug through it is widest at the
		// board and narrowest half way up.
		{name: "torus", m: shape.Translate(shape.Torus(40, 10, 96, 64), mesh.V(0, 0, 10)), up: mesh.V(0, 0, 1), want: 0.25, tol: 5e-3, length: math.NaN(), root: math.NaN(), heights: 10},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r, err := strip.Of(sceneOf(t, tt.m, tt.up, scene.Options{Clay: none, Resolution: 0.4}), strip.Options{}).Squeeze(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(r.Value-tt.want) > tt.tol+1e-9 {
				t.Errorf("squeeze: got %.5f want %.5f", r.Value, tt.want)
			}
			if tt.heights > 0 {
				if r.At == nil {
					t.Fatal("no place of the squeeze")
				}
				if h := (mesh.Vec{X: r.At[0], Y: r.At[1], Z: r.At[2]}).Dot(tt.up); math.Abs(h-tt.heights) > 0.3 {
					t.Errorf("narrowest at height %.3f want %.3f", h, tt.heights)
				}
			}
			check := func(what string, got *float64, want float64) {
				switch {
				case math.IsNaN(want):
				case want == 0 && got != nil:
					t.Errorf("%s: got %.3f want none", what, *got)
				case want != 0 && got == nil:
					t.Errorf("%s: got none want %.3f", what, want)
				case want != 0 && math.Abs(*got-want) > tt.tongue:
					t.Errorf("%s: got %.3f want %.3f", what, *got, want)
				}
			}
			check("tongue length", r.Length, tt.length)
			check("tongue root", r.Root, tt.root)
		})
	}
}

// A bottle's inside, as a hole in a disc of 150 mm across and in one of 300: its belly is
// wider than a tenth of the one, and no hole that one plugs.
func TestSqueezeInHoles(t *testing.T) {
	for _, c := range []struct{ radius, rest float64 }{{75, 0.5}, {150, 0}} {
		m := shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: c.radius, Z: 0}, {R: c.radius, Z: 40}, {R: 5, Z: 40}, {R: 5, Z: 30}, {R: 10, Z: 25}, {R: 10, Z: 15}, {R: 0, Z: 15}}, 64)
		r, err := strip.Of(sceneOf(t, m, mesh.V(0, 0, 1), scene.Options{Clay: none, Resolution: c.radius / 200}), strip.Options{}).Squeeze(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Value-0.5) > 1e-3 || math.Abs(r.Rest-c.rest) > 1e-3 {
			t.Errorf("disc of %.0f: squeeze %.4f, but for holes %.4f; want 0.5 and %.1f", c.radius, r.Value, r.Rest, c.rest)
		}
	}
}

func TestMouth(t *testing.T) {
	arch := shape.Arch(60, 20, 50, 15, 35)
	tests := []struct {
		name       string
		m          *mesh.Mesh
		clay       float64
		per, area  float64
		atX, atY   float64
		atH        float64
		resolution float64
	}{
		{name: "box", m: shape.Box(40, 30, 20), per: 140, area: 1200},
		{name: "cone above the clay", m: shape.Cone(20, 60, 64), clay: 3, per: shape.NgonPerimeter(19, 64), area: shape.NgonArea(19, 64), atH: 3},
		{name: "arch", m: arch, per: 160, area: 600},
		{name: "ring", m: shape.SquareRing(15, 25, 12, 64), per: shape.NgonPerimeter(25, 64), area: shape.NgonArea(25, 64) - shape.NgonArea(15, 64)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r, err := strip.Of(sceneOf(t, tt.m, mesh.V(0, 0, 1), scene.Options{Clay: &tt.clay, Resolution: 0.4}), strip.Options{}).Mouth(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(r.Perimeter-tt.per) > 1e-6*tt.per {
				t.Errorf("perimeter: got %.6f want %.6f", r.Perimeter, tt.per)
			}
			if math.Abs(r.Area-tt.area) > 1e-6*tt.area {
				t.Errorf("area: got %.6f want %.6f", r.Area, tt.area)
			}
			if r.At == nil {
				t.Fatal("no place")
			}
			if at := *r.At; math.Abs(at[0]) > 0.01 || math.Abs(at[1]) > 0.01 || math.Abs(at[2]-tt.atH) > 1e-9 {
				t.Errorf("at: got %v want [0 0 %g]", at, tt.atH)
			}
		})
	}
}
