package solid_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

func TestRepairedIsClosedAndKeepsTheVolume(t *testing.T) {
	cube := shape.Cube(20)
	fine := shape.FineBox(20, 20, 20, 8)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		cut  bool
	}{
		{"cube", cube, false},
		{"inside out", shape.Flip(cube), false},
		{"flipped faces", shape.FlipSome(fine, func(t int) bool { return t%5 == 2 }), false},
		{"face missing", shape.Without(fine, func(t int, c mesh.Vec) bool { return c.Z > 19.99 }), false},
		{"hollow ball", shape.Shells(shape.Sphere(20, 24), shape.Sphere(15, 24)), false},
		{"overlapping cubes", shape.Merge(cube, at(cube, 7, 5, 3)), true},
		{"balls in a row", shape.Merge(shape.Sphere(10, 24), at(shape.Sphere(8, 20), 12, 1, 2), at(shape.Sphere(5, 16), 21, 0, 0)), true},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := from(t, c.m)
			r, how, err := s.Repaired(context.Background(), 80)
			if err != nil {
				t.Fatal(err)
			}
			if how.Cell > 0 || how.Left > 0 || (how.Cut > 0) != c.cut {
				t.Errorf("%+v, want cut %v", how, c.cut)
			}
			if err := shape.CheckClosed(r); err != nil {
				t.Errorf("not closed: %v", err)
			}
			want := float64(s.Displaced.Value)
			got := shape.Volume(r)
			if math.Abs(got/want-1) > 1e-9 {
				t.Errorf("volume %.12g mm³, want %.12g", got, want)
			}
			// Faces of a mesh that only needed turning or a patch are there
			// to the bit.
			if !c.cut {
				have := map[[3]mesh.Vec]bool{}
				for k := range r.NumTriangles() {
					have[corners(r, k)] = true
				}
				for k := range c.m.NumTriangles() {
					if f := corners(c.m, k); s.Live(k) && !have[f] && c.name != "hollow ball" {
						t.Fatalf("face %v is gone", f)
					}
				}
			}
		})
	}
}

// corners of a face in an order that does not depend on its winding.
func corners(m *mesh.Mesh, t int) [3]mesh.Vec {
	a, b, c := m.Corners(t)
	f := [3]mesh.Vec{a, b, c}
	less := func(p, q mesh.Vec) bool {
		if p.X != q.X {
			return p.X < q.X
		}
		if p.Y != q.Y {
			return p.Y < q.Y
		}
		return p.Z < q.Z
	}
	for i := range 3 {
		for j := i; j > 0 && less(f[j], f[j-1]); j-- {
			f[j], f[j-1] = f[j-1], f[j]
		}
	}
	return f
}
