package strip_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/shape"
)

func profilesOf(t *testing.T, m *mesh.Mesh, o scene.Options) []strip.Profile {
	t.Helper()
	p, err := strip.Of(sceneOf(t, m, mesh.V(0, 0, 1), o), strip.Options{}).Profiles(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestProfiles: what rings feel of bodies whose sections are known.
func TestProfiles(t *testing.T) {
	block := scene.Options{Clay: none, Resolution: 0.5}
	p := profilesOf(t, shape.Mushroom(30, 10, 10, 40, 96), block)
	if len(p) != 1 || math.Abs(p[0].Step*float64(len(p[0].Perimeter))-50) > 1e-3 {
		t.Fatalf("a mushroom 50 high: %d profiles", len(p))
	}
	for k, got := range p[0].Perimeter {
		want := shape.NgonPerimeter(10, 96)
		if (float64(k)+1)*p[0].Step > 40 {
			want = shape.NgonPerimeter(30, 96)
		}
		if math.Abs(got-want) > 1e-3 {
			t.Errorf("a mushroom at slice %d: got %.3f want %.3f", k, got, want)
		}
	}

	// Two waisted posts on a plate: each is a part of its own, and the plate is
	// below both.
	plate := shape.Box(120, 40, 10)
	post := func(waist, x float64) *mesh.Mesh {
		return shape.Translate(shape.Waisted(12, waist, 40, 48), mesh.V(x, 0, 9))
	}
	p = profilesOf(t, shape.Merge(plate, post(6, -30), post(8, 30)), block)
	for _, waist := range []float64{6, 8} {
		if !slices.ContainsFunc(p, func(p strip.Profile) bool {
			return math.Abs(slices.Min(p.Perimeter)/shape.NgonPerimeter(waist, 48)-1) < 0.02 &&
				math.Abs(p.Perimeter[len(p.Perimeter)-1]/shape.NgonPerimeter(12, 48)-1) < 0.02 && math.Abs(p.Perimeter[0]-320) < 1e-3
		}) {
			t.Errorf("no part of its own has the waist of %g", waist)
		}
	}

	// Nothing holds a cone; a mold that is cut open has no ring; each half of a
	// waisted body has one.
	if p := profilesOf(t, shape.Cone(20, 60, 96), block); len(p) > 0 {
		t.Errorf("a cone: %d profiles", len(p))
	}
	waisted := shape.Waisted(30, 20, 40, 96)
	if p := profilesOf(t, waisted, scene.Options{Mold: scene.Cut, Resolution: 0.5}); len(p) > 0 {
		t.Errorf("cut open: %d profiles", len(p))
	}
	if p := profilesOf(t, waisted, scene.Options{Mold: scene.TwoPart, Resolution: 0.5}); len(p) != 2 {
		t.Errorf("in two halves: %d profiles, want one of each", len(p))
	}
}
