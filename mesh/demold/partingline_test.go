package demold

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

func TestPartingLine(t *testing.T) {
	z := mesh.V(0, 0, 1)
	tests := []struct {
		name        string
		m           *mesh.Mesh
		up          mesh.Vec
		length, tol float64
		flat        float64 // how far it strays
		lines       int
	}{
		// The equator of a ball is the polygon of its facets.
		{"ball", shape.Sphere(25, 32), z, shape.NgonPerimeter(25, 64), 0.2, 0, 1},
		{"ball, turned", shape.Stand(shape.Sphere(25, 32), mesh.V(1, 2, 2).Unit()), mesh.V(1, 2, 2).Unit(), shape.NgonPerimeter(25, 64), 0.2, 0, 1},
		// Plumb walls part level.
		{"cylinder", shape.Cylinder(20, 60, 64), z, shape.NgonPerimeter(20, 64), 0.2, 0, 1},
		{"box", shape.Box(40, 30, 20), z, 140, 0.2, 0, 1},
		{"cone", shape.Cone(20, 60, 64), z, shape.NgonPerimeter(20, 64), 0.2, 0, 1},
		// A ring has an outline and a hole.
		{"torus", shape.Torus(40, 10, 96, 48), z, shape.NgonPerimeter(50, 96) + shape.NgonPerimeter(30, 96), 0.6, 0, 2},
		{"washer", shape.SquareRing(15, 25, 12, 64), z, shape.NgonPerimeter(25, 64) + shape.NgonPerimeter(15, 64), 0.5, 0, 2},
		// What lies under an overhang is no parting: only the cap's rim.
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 64), z, shape.NgonPerimeter(30, 64), 0.3, math.NaN(), 1},
		// A tilted disc parts along its rim, which climbs.
		{"tilted ball", shape.Map(shape.Sphere(25, 32), func(v mesh.Vec) mesh.Vec { return mesh.V(v.X, v.Y, v.Z+0.5*v.X) }), z, math.NaN(), 0, 12.5, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := analyze(t, tt.m, tt.up, Options{Mold: TwoPart, Resolution: 0.4})
			p := r.Parting
			if p == nil || p.Length == nil || p.Flatness == nil {
				t.Fatalf("no parting line: %+v", p)
			}
			if len(p.Line) != tt.lines {
				t.Errorf("lines: got %d want %d", len(p.Line), tt.lines)
			}
			if !math.IsNaN(tt.length) && math.Abs(*p.Length-tt.length) > tt.tol {
				t.Errorf("length: got %.3f want %.3f", *p.Length, tt.length)
			}
			if !math.IsNaN(tt.flat) && math.Abs(*p.Flatness-tt.flat) > 0.4 {
				t.Errorf("strays: got %.3f want %.3f", *p.Flatness, tt.flat)
			}
			for k, l := range p.Line {
				if l[0] != l[len(l)-1] {
					t.Errorf("line %d is not closed: %v to %v", k, l[0], l[len(l)-1])
				}
			}
		})
	}
	if r := analyze(t, shape.Box(40, 30, 20), z, Options{Resolution: 0.5}); r.Parting != nil && r.Parting.Line != nil {
		t.Error("a block mold has a parting line")
	}
}
