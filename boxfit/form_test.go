package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
)

// The form holds what the plan says that the shell holds: pattern, coat and filling.
func TestFormHoldsWhatIsPlanned(t *testing.T) {
	lift := func(m *mesh.Mesh, z float64) *mesh.Mesh {
		return shape.Map(m, func(v mesh.Vec) mesh.Vec { return v.Add(mesh.V(0, 0, z)) })
	}
	middle := 20.0
	for _, c := range []struct {
		name    string
		m       *mesh.Mesh
		parting *float64
	}{
		{"low ball", lift(shape.Icosphere(30, 5), 30), nil},
		{"large ball", lift(shape.Icosphere(250, 4), 250), nil},
		{"in halves", lift(shape.Icosphere(120, 4), 120), &middle},
	} {
		s := sceneOf(t, c.m, upZ)
		s.parting = c.parting
		f, _ := mustSearch(t, s, Request{Mold: demold.Brushed, Copies: 5})
		x, err := f.Form(t.Context(), 0)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %d faces, %.0f, planned %.0f (%.3f %%)", c.name, len(x.Faces), x.Volume(), f.Capacity, 100*(x.Volume()/f.Capacity-1))
		if math.Abs(x.Volume()/f.Capacity-1) > 0.002 {
			t.Errorf("%s: the form holds %.0f, planned are %.0f", c.name, x.Volume(), f.Capacity)
		}
	}
}
