package solid_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

func from(t *testing.T, m *mesh.Mesh) *solid.Solid {
	t.Helper()
	sv, err := mesh.Inspect(context.Background(), m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := solid.From(context.Background(), m, sv, solid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func tryFrom(m *mesh.Mesh) (*solid.Solid, error) {
	sv, err := mesh.Inspect(context.Background(), m, mesh.SurveyOptions{})
	if err != nil {
		return nil, err
	}
	return solid.From(context.Background(), m, sv, solid.Options{})
}

func at(m *mesh.Mesh, x, y, z float64) *mesh.Mesh { return shape.Translate(m, mesh.V(x, y, z)) }

// Bodies whose displaced volume follows from closed formulas.
func TestDisplaced(t *testing.T) {
	cube := shape.Cube(20)
	fine := shape.FineBox(20, 20, 20, 8)
	ball := shape.Sphere(10, 32)
	for _, c := range []struct {
		name  string
		m     *mesh.Mesh
		want  float64
		exact bool
		tol   float64 // relative
	}{
		{"cube", cube, 8000, true, 1e-12},
		{"cube far off", at(cube, 1e6, -1e6, 3e5), 8000, true, 1e-9},
		{"inside out", shape.Flip(cube), 8000, true, 1e-12},
		{"two apart", shape.Merge(cube, at(cube, 50, 0, 0)), 16000, true, 1e-12},
		{"floating inner cube", shape.Merge(shape.Cube(20), at(shape.Cube(6), 0.5, 0.3, 7)), 8000, true, 1e-12},
		{"hollow ball", shape.Shells(shape.Sphere(20, 32), shape.Sphere(15, 32)), shape.Volume(shape.Sphere(20, 32)), true, 1e-12},
		{"overlapping cubes", shape.Merge(cube, at(cube, 7, 5, 3)), 16000 - 13*15*17, false, 2e-4},
		{"ball in cube wall", shape.Merge(cube, at(ball, 10, 0, 10)), 8000 + shape.Volume(ball)/2, false, 5e-4},
		{"touching cubes", shape.Merge(cube, at(cube, 20, 3.3, 4.4)), 16000, false, 2e-4},
		{"some faces flipped", shape.FlipSome(fine, func(t int) bool { return t%7 == 3 }), 8000, false, 1e-5},
		{"face missing", shape.Without(fine, func(t int, c mesh.Vec) bool { return c.Z > 19.99 }), 8000, false, 2e-3},
		{"small hole", shape.WithoutNumbers(shape.Sphere(10, 32), 500, 501), shape.Volume(ball), false, 2e-3},
		{"double faces", shape.Merge(cube, cube), 8000, false, 1e-5},
		{"double-sided", shape.WithTriangles(cube, shape.Flip(cube).Triangles()...), 8000, false, 1e-5},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := from(t, c.m)
			d := s.Displaced
			if got := float64(d.Value); math.Abs(got/c.want-1) > c.tol {
				t.Errorf("displaces %.8g mm³ (%.8g to %.8g), want %.8g within %g", got, d.Low, d.High, c.want, c.tol)
			}
			if c.exact != (d.Low == d.High) {
				t.Errorf("bounds %g .. %g, want exact %v", d.Low, d.High, c.exact)
			}
			if float64(d.Low) > c.want*(1+1e-12) || float64(d.High) < c.want*(1-1e-12) {
				t.Errorf("bounds %.8g .. %.8g do not hold %.8g", d.Low, d.High, c.want)
			}
			if !c.exact && !(d.Low < d.Value && d.Value < d.High) {
				t.Errorf("bounds %g .. %g do not lie round %g", d.Low, d.High, d.Value)
			}
		})
	}
}

// Boxes that enclose a room together, none of them by itself: the room is
// part of S.
func TestPocketBetweenPieces(t *testing.T) {
	if testing.Short() {
		t.Skip("floods fine lattices; TestDrains has coarser ones")
	}
	// Six slabs, overlapping at the corners, round a room of 10 × 10 × 10.
	var parts []*mesh.Mesh
	slab := shape.Box(14, 14, 2)
	for _, z := range []float64{-7, 5} {
		parts = append(parts, at(slab, 0, 0, z))
	}
	for _, x := range []float64{-6, 6} {
		parts = append(parts, at(shape.Box(2, 14, 14), x, 0, -7))
		parts = append(parts, at(shape.Box(14, 2, 14), 0, x, -7))
	}
	m := shape.Merge(parts...)
	s := from(t, m)
	size := m.Size()
	want := size.X * size.Y * size.Z
	if got := float64(s.Displaced.Value); math.Abs(got/want-1) > 2e-3 {
		t.Errorf("displaces %.6g mm³, want %.6g (the room is enclosed); voids %d of %.6g mm³", got, want, s.SealedVoids, s.SealedVoidVolume)
	}
	u := mesh.V(0, 0, 1)
	f, err := s.Field(context.Background(), s.GridAlong(u, 0.1))
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Volume(); math.Abs(got/want-1) > 1e-2 {
		t.Errorf("columns hold %.6g mm³, want %.6g", got, want)
	}
}
