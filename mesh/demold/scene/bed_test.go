package scene_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// footed is a block 100 by 60 by 40 on a rim 10 wide round a recess, with a notch
// through the rim; heights in mm.
func footed(recess, notch float64) *mesh.Mesh {
	return shape.Blocks([]float64{0, 10, 45, 55, 90, 100}, []float64{0, 10, 50, 60}, []float64{0, notch, recess, 40}, func(i, j, k int) bool {
		switch {
		case k == 2 || i == 0 || i == 4 || j == 2:
			return true
		case j == 1:
			return false
		}
		return i != 2 || k == 1
	})
}

// A rim that does not close on the board is bedded up to where it does, and what
// lies under it is no undercut.
func TestBed(t *testing.T) {
	const cell = 0.5
	clay := 0.5
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		clay *float64
		bed  float64
	}{
		{"notched rim", footed(3, 2), nil, 2},
		{"the clay is given", footed(3, 2), &clay, 0},
		{"a notch under the fillet", footed(3, 0.2), nil, 0},
		{"a recess too high for a bed", footed(6, 2), nil, 0},
		{"a way under it and no recess", footed(3, 2.9), nil, 0},
		{"ball", shape.Sphere(25, 48), nil, 0},
		{"box", shape.Box(100, 60, 40), nil, 0},
	} {
		c, err := scene.New(context.Background(), solidtest.Of(t, tt.m), mesh.V(0, 0, 1), scene.Options{Clay: tt.clay, Resolution: cell})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(c.Bed-tt.bed) > cell || (c.Bed == 0) != (tt.bed == 0) {
			t.Errorf("%s: bed %g, want %g", tt.name, c.Bed, tt.bed)
		}
		if tt.bed == 0 {
			continue
		}
		// The clay fills recess and notch up to its line; above it is a pocket.
		const recess, notch = 80 * 40, 10 * 10
		sp := c.Space()
		if want := recess*c.Bed + notch*2; math.Abs(sp.ClayFill-want) > 0.02*want {
			t.Errorf("%s: clay %g, want %g", tt.name, sp.ClayFill, want)
		}
		if want := recess * (3 - c.Bed); math.Abs(sp.Pockets-want) > 0.02*want {
			t.Errorf("%s: pockets %g, want %g", tt.name, sp.Pockets, want)
		}
	}
}
