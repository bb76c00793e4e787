package parting_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/shape"
)

func TestKnife(t *testing.T) {
	x, z := mesh.V(1, 0, 0), mesh.V(0, 0, 1)
	dumbbell := shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: 30, Z: 0}, {R: 30, Z: 10}, {R: 10, Z: 10}, {R: 10, Z: 30}, {R: 30, Z: 30}, {R: 30, Z: 40}, {R: 0, Z: 40}}, 96)
	for _, tt := range []struct {
		name      string
		m         *mesh.Mesh
		normal    mesh.Vec
		height    float64
		hinge     *mesh.Vec
		undercuts []mesh.Vec
		side      mesh.Vec // zero = any
		length    float64
	}{
		// Two flat ends cut right across, and one side between them.
		{"dumbbell", dumbbell, x, 0, &z, []mesh.Vec{mesh.V(0, -20, 20)}, mesh.V(0, -1, 0), 60 + 10 + 20 + 20 + 20 + 10 + 60},
		{"dumbbell, the other side", dumbbell, x, 0, &z, []mesh.Vec{mesh.V(0, 0.5, 20), mesh.V(0, 20, 20)}, mesh.V(0, 1, 0), 200},
		{"ball", shape.Sphere(25, 48), z, 0, nil, nil, mesh.Vec{}, math.Pi * 25},
		// The knife keeps to the pattern.
		{"slab, from above it", shape.Box(60, 30, 10), z, 99, nil, nil, mesh.Vec{}, 60 + 2*30},
		// The rubber through the hole is cut too.
		{"ring lying flat", shape.Torus(40, 10, 96, 48), z, 0, nil, nil, mesh.Vec{}, math.Pi*50 + 2*math.Pi*30},
		// What lies inside is no place to cut.
		{"hollow slab", shape.Shells(shape.Box(60, 30, 10), shape.Translate(shape.Box(40, 20, 4), mesh.V(0, 0, 3))), z, 5, nil, nil, mesh.Vec{}, 60 + 2*30},
	} {
		t.Run(tt.name, func(t *testing.T) {
			cut, err := parting.Knife(context.Background(), sceneOf(t, tt.m, tt.normal, 0.5), tt.height, parting.KnifeOptions{Hinge: tt.hinge, Undercuts: tt.undercuts, Cell: 0.5})
			if err != nil || cut == nil {
				t.Fatal("no cut", err)
			}
			if math.Abs(cut.Length-tt.length) > 1 {
				t.Errorf("length: got %.2f want %.2f", cut.Length, tt.length)
			}
			n, hinge, side := vec(cut.Normal), vec(cut.Hinge), vec(cut.Side)
			if math.Abs(n.Dot(hinge)) > 1e-9 || math.Abs(n.Dot(side)) > 1e-9 || math.Abs(hinge.Dot(side)) > 1e-9 {
				t.Errorf("normal %v, hinge %v and side %v are not square to each other", n, hinge, side)
			}
			if tt.side != (mesh.Vec{}) && side.Dot(tt.side) < 0.999999 {
				t.Errorf("cut on the side %v, want %v", side, tt.side)
			}
			for _, l := range cut.Line {
				for _, p := range l {
					if d := n.Dot(vec(p)) - cut.Offset; math.Abs(d) > 1e-9 {
						t.Fatalf("the cut leaves its plane by %g mm at %v", d, p)
					}
				}
			}
		})
	}
}

func vec(a [3]float64) mesh.Vec { return mesh.V(a[0], a[1], a[2]) }
