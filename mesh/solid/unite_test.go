package solid

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// The union by cutting faces and the union by columns share nothing but the
// mended surface, and must agree as far as columns tell.
func TestUnionAgainstColumns(t *testing.T) {
	ctx := context.Background()
	at := func(m *mesh.Mesh, x, y, z float64) *mesh.Mesh { return shape.Translate(m, mesh.V(x, y, z)) }
	ball := shape.Sphere(10, 16)
	for name, m := range map[string]*mesh.Mesh{
		"balls":     shape.Merge(ball, at(ball, 7, 8, 3), at(shape.Flip(ball), -4, 6, 9)),
		"and a box": shape.Merge(ball, at(shape.Box(12, 9, 14), 6, 1, -3)),
		"open":      shape.Merge(shape.WithoutNumbers(ball, 30, 31, 32), at(shape.Box(12, 9, 14), -9, 2, -3)),
	} {
		sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
		if err != nil {
			t.Fatal(err)
		}
		s, err := From(ctx, m, sv, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if s.Measured.Way != WayUnion {
			t.Fatalf("%s: measured by %v", name, s.Measured.Way)
		}
		exact := float64(s.Displaced.Value)
		sum, _ := s.turnOutward(s.pieceVolumes())
		if err := s.measure(ctx, sum, 0, 0, Options{Across: 200}); err != nil {
			t.Fatal(err)
		}
		if v := float64(s.Displaced.Value); math.Abs(v/exact-1) > 1e-3 {
			t.Errorf("%s: %.7g mm³ by cutting, %.7g by columns", name, exact, v)
		}
	}
}

// What cannot be cut is drawn anew in cells: closed, and near the volume.
func TestRedrawn(t *testing.T) {
	ctx := context.Background()
	ball := shape.Sphere(10, 24)
	m := shape.Merge(ball, shape.Translate(ball, mesh.V(12, 1, 2)))
	sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := From(ctx, m, sv, Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, cell, err := s.redraw(ctx, 50)
	if err != nil {
		t.Fatal(err)
	}
	if err := shape.CheckClosed(r); err != nil || cell <= 0 {
		t.Errorf("cell %g: %v", cell, err)
	}
	if v := shape.Volume(r); math.Abs(v/float64(s.Displaced.Value)-1) > 0.01 {
		t.Errorf("%.6g mm³, want %.6g within 1 %%", v, float64(s.Displaced.Value))
	}
}
