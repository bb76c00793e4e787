package estimate

import (
	"context"
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
)

// A slab of 90 × 60 × 20 that is to be 180 high is made so many times as big as
// the side that is its top asks for, whatever way up it is molded.
func TestHeightIsAlongUpright(t *testing.T) {
	x, y := mesh.V(1, 0, 0), mesh.V(0, 2, 0)
	lies := Up{Dir: mesh.V(0, 0, 1)}
	for _, tt := range []struct {
		name    string
		job     Job
		file    *mesh.Vec
		factor  float64
		assumed bool
	}{
		{"nothing is said", Job{}, nil, 9, true},
		{"the user says", Job{Upright: &x}, &y, 2, false},
		{"the file states", Job{}, &y, 3, false},
		{"it is molded lying down", Job{Upright: &x, Up: lies}, nil, 2, false},
	} {
		job := tt.job
		job.Height = new(180.0)
		job.Source = Source{File: "slab.stl", FileUp: tt.file, Resized: 1}
		job.Parts.StopAfter = ThroughPattern
		// A crumb far above is no part of the height.
		m := shape.Shells(shape.Box(90, 60, 20), shape.Translate(shape.Box(0.1, 0.1, 0.1), mesh.V(200, 200, 200)))
		s, err := Tally(context.Background(), m, job, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if v, want := *s.Plan.Pattern.DisplacedVolume, 108e3*math.Pow(tt.factor, 3); math.Abs(v/want-1) > 1e-9 {
			t.Errorf("%s: displaces %g, want %g", tt.name, v, want)
		}
		var codes []string
		for _, f := range s.Plan.Warnings {
			codes = append(codes, string(f.Code))
		}
		if slices.Contains(codes, string(CodeUpright)) != tt.assumed {
			t.Errorf("%s: told %v", tt.name, codes)
		}
	}
	flat := mesh.V(0, 0, 1)
	if _, err := Tally(context.Background(), mesh.New([]mesh.Vec{{}, x, y}, [][3]int32{{0, 1, 2}}), Job{Height: new(10.0), Upright: &flat}, Options{}); err == nil {
		t.Error("a triangle lying flat was given a height")
	}
}

// A column that stands along y in a file that states no up: its height is measured along
// z all the same, and a caution says that it looks otherwise. A column along z is
// asked about as before, and so is a cube, which says nothing.
func TestLooksUpright(t *testing.T) {
	y := shape.Rotate(shape.Frustum(30, 12, 90, 32), mesh.V(1, 0, 0), -math.Pi/2)
	// A body on four legs.
	leg := func(x, y float64) *mesh.Mesh { return shape.Translate(shape.Cylinder(4, 40, 16), mesh.V(x, y, 0)) }
	legs := shape.Merge(shape.Translate(shape.Ellipsoid(40, 16, 16, 24), mesh.V(0, 0, 45)), leg(-24, -7), leg(-24, 7), leg(24, -7), leg(24, 7))
	animal := shape.Rotate(legs, mesh.V(1, 0, 0), -math.Pi/2)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want mesh.Vec
	}{{"along y", y, mesh.V(0, 1, 0)}, {"on four legs along y", animal, mesh.V(0, 1, 0)}, {"on four legs along z", legs, mesh.Vec{}}, {"along z", shape.Frustum(30, 12, 90, 32), mesh.Vec{}}, {"cube", shape.Cube(30), mesh.Vec{}}, {"ball", shape.Icosphere(30, 3), mesh.Vec{}}} {
		s, err := Tally(context.Background(), c.m, Job{Height: new(180.0), Source: Source{File: "a.obj", Resized: 1}, Parts: Parts{StopAfter: ThroughPattern}}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if z := s.Plan.Pattern.Size[2]; math.Abs(z-180) > 1e-9 {
			t.Errorf("%s: %g mm along z", c.name, z)
		}
		for _, f := range s.Plan.Warnings {
			if u, ok := f.Facts.(UprightAssumed); ok && (u.Looks.Sub(c.want).Len() > 1e-12 || (f.Severity == finding.Caution) != (c.want != mesh.Vec{})) {
				t.Errorf("%s: %s %+v", c.name, f.Severity, u)
			}
		}
	}
}
