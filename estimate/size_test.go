package estimate

import (
	"context"
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
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
