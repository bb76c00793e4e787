package standin_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// A ball of 130 thousand triangles keeps its size, area, volume and middle.
func TestBall(t *testing.T) {
	ctx := context.Background()
	const R = 25.0
	at := mesh.V(3, -4, 50)
	m := shape.Translate(shape.Sphere(R, 256), at)
	sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := solid.From(ctx, m, sv, solid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	fine, err := standin.New(ctx, s)
	if err != nil {
		t.Fatal(err)
	}
	coarse, err := fine.Coarser(ctx, 2000)
	if err != nil {
		t.Fatal(err)
	}
	if n := fine.Mesh.NumVertices(); n < 5_000 || n > 30_000 {
		t.Errorf("a stand-in of %d vertices", n)
	}
	if n := coarse.Mesh.NumVertices(); n < 700 || n > 4_000 {
		t.Errorf("a coarser stand-in of %d vertices", n)
	}
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if math.Abs(got-want) > tol*want {
			t.Errorf("%s: got %g want %g", what, got, want)
		}
	}
	near("size", fine.Size, 2*R, 1e-3)
	near("area", fine.Area, 4*math.Pi*R*R, 1e-3)
	near("volume", fine.Volume, 4.0/3*math.Pi*R*R*R, 0.005)
	if d := fine.Middle.Sub(at).Len(); d > 0.01 {
		t.Errorf("middle %v, %g mm from %v", fine.Middle, d, at)
	}
	u := mesh.V(1, 2, 2).Unit()
	for _, b := range []*standin.Body{fine, coarse} {
		c, err := b.Scene(ctx, u, 64, scene.Options{Mold: scene.TwoPart})
		if err != nil {
			t.Fatal(err)
		}
		near("volume in columns", c.Field.Volume(), 4.0/3*math.Pi*R*R*R, 0.03)
		near("height", c.Top-c.Base, 2*R, 0.02)
	}
}
