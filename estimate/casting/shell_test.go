package casting

import (
	"context"
	"errors"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/dexel"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// field is the column field of a closed body along +Z.
func field(t testing.TB, m *mesh.Mesh) *dexel.Field {
	t.Helper()
	r, err := demold.Analyze(context.Background(), solidtest.Of(t, m), mesh.V(0, 0, 1), demold.Options{Resolution: 0.4})
	if err != nil {
		t.Fatal(err)
	}
	return r.Field
}

func TestShellOf(t *testing.T) {
	ball := func(r float64) float64 { return 4 * math.Pi / 3 * r * r * r }
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		wall float64
		want float64
		tol  float64
	}{
		{"cube", shape.Cube(50), 3, 50*50*50 - 44*44*44, 0.03},
		{"ball", shape.Sphere(25, 64), 5, ball(25) - ball(20), 0.03},
		{"cylinder", shape.Cylinder(20, 60, 128), 4, math.Pi * (400*60 - 256*52), 0.03},
		{"a wall thicker than the body", shape.Cube(20), 15, 8000, 1e-3},
		{"turned box", shape.Rotate(shape.Box(40, 30, 20), mesh.V(1, 1, 1).Unit(), 0.7), 3, 40*30*20 - 34*24*14, 0.03},
	} {
		if testing.Short() && c.wall > 3 {
			continue
		}
		got, lattice, err := ShellOf(context.Background(), field(t, c.m), nil, c.wall)
		if err != nil || math.Abs(got-c.want) > c.tol*c.want || lattice <= 0 {
			t.Errorf("%s: got %.0f mm³ on cubes of %.2f mm, %v; want %.0f within %.1f %%", c.name, got, lattice, err, c.want, 100*c.tol)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := ShellOf(ctx, field(t, shape.Cube(20)), nil, 2); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
}

// TestOpenShell: no wall lines a mouth: of a cube 50 with a wall of 3 a box of 44
// by 44 by 47 stays empty, and a ball open over its whole upper end has none of
// the cap that is cut off by nothing.
func TestOpenShell(t *testing.T) {
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		wall float64
		want float64
	}{
		{"cube", shape.Cube(50), 3, 50*50*50 - 44*44*47},
		{"cylinder", shape.Cylinder(20, 60, 128), 4, math.Pi * (400*60 - 256*56)},
		{"pedestal", shape.Blocks([]float64{0, 10, 40, 50}, []float64{0, 10, 40, 50}, []float64{0, 30, 50}, func(i, j, k int) bool { return k == 0 || i == 1 && j == 1 }), 3,
			50*50*30 + 30*30*20 - 44*44*24 - 24*24*23},
	} {
		f := field(t, c.m)
		open := make([]bool, f.NumSpans())
		_, hi := c.m.Bounds()
		for j := range f.NY {
			for i := range f.NX {
				for k, s := range f.Column(i, j) {
					open[f.Offset(i, j)+k] = s.Top > hi.Z-1e-3
				}
			}
		}
		got, _, err := ShellOf(context.Background(), f, open, c.wall)
		if err != nil || math.Abs(got-c.want) > 0.03*c.want {
			t.Errorf("%s: got %.0f mm³, %v; want %.0f", c.name, got, err, c.want)
		}
	}
}

func BenchmarkShellOf(b *testing.B) {
	f := field(b, shape.Sphere(60, 64))
	for b.Loop() {
		if _, _, err := ShellOf(context.Background(), f, nil, 4); err != nil {
			b.Fatal(err)
		}
	}
}
