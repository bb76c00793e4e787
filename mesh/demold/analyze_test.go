package demold

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// solidOf makes the solid of a mesh as the command does.
func solidOf(t testing.TB, m *mesh.Mesh) *solid.Solid {
	t.Helper()
	ctx := context.Background()
	sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := solid.From(ctx, m, sv, solid.Options{KeepCrumbs: true})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func ptr(x float64) *float64 { return &x }

func analyze(t testing.TB, m *mesh.Mesh, up mesh.Vec, o Options) *Report {
	t.Helper()
	r, err := Analyze(context.Background(), solidOf(t, m), up, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var up = mesh.V(0, 0, 1)

// disc is the area of the regular polygon that stands in for a circle.
func disc(r float64, n int) float64 { return shape.NgonArea(r, n) }

// TestBodies: bodies whose undercut is known in closed form, without clay and
// without noise.
func TestBodies(t *testing.T) {
	const locked = -1
	revolve := func(p ...shape.RZ) *mesh.Mesh { return shape.Revolve(p, 192) }
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	// A blind hole across the pull with a bend: an L in plan, so that the way
	// out goes round the inner corner.
	bend := shape.Blocks([]float64{0, 20, 60, 80, 100}, []float64{0, 10, 30, 70, 90, 100}, []float64{0, 40, 60, 100},
		func(i, j, k int) bool {
			in := k == 1 && (i == 2 && j >= 1 && j <= 3 || j == 3 && i >= 2)
			return !in
		})
	tests := []struct {
		name    string
		m       *mesh.Mesh
		up      mesh.Vec
		depth   float64
		path    float64
		volume  float64 // NaN = not asked
		regions []string
		tunnels int
	}{
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 192), up, 20, 20, 40 * (disc(30, 192) - disc(10, 192)), []string{"neck"}, 0},
		{"cone", shape.Cone(20, 50, 96), up, 0, 0, 0, nil, 0},
		{"cylinder", shape.Cylinder(20, 50, 96), up, 0, 0, 0, nil, 0},
		{"cube", shape.Cube(40), up, 0, 0, 0, nil, 0},
		{"flat ring", shape.SquareRing(10, 20, 8, 96), up, 0, 0, 0, nil, 0},
		// Under a post that leans the nearest way out is to its side.
		{"leaning post", shape.LeaningPost(20, 60, 45), up, 10, 10, 20 * 45 * 60 / 2, []string{"overhang"}, 0},
		{"blind cross hole", shape.CrossHoleCube(100, 12, 98), up, 50, 98, 12 * 12 * 98, []string{"pocket"}, 0},
		{"through cross hole", shape.ThroughHoleCube(100, 12), up, 50, 50, 12 * 12 * 100, []string{"tunnel"}, 1},
		{"bent cross hole", bend, up, 40, math.Hypot(20, 60) + 20, 20 * (20*80 + 20*20), []string{"pocket"}, 0},
		{"arch", shape.Arch(60, 20, 50, 15, 35), up, 10, 10, 30 * 20 * 35, []string{"tunnel"}, 1},
		{"dovetail", shape.Dovetail(20, 30, 15, 60), up, 5, 5, 5 * 15 * 60, []string{"overhang", "overhang"}, 0},
		{"waisted post", shape.Waisted(30, 20, 37, 192), up, 10, 10, math.NaN(), []string{"neck"}, 0},
		{"bottle", shape.Bottle(30, 10, 50, 20, 30, 192), up, 0, 0, 0, nil, 0},
		{"bottle upside down", shape.Bottle(30, 10, 50, 20, 30, 192), up.Neg(), 20, 20, math.NaN(), []string{"neck"}, 0},
		{"bell on a post", revolve(rz(0, 0), rz(5, 0), rz(5, 40), rz(25, 40), rz(25, 20), rz(30, 20), rz(30, 50), rz(0, 50)), up, 25, locked, 20*(disc(30, 192)-disc(5, 192)) + 20*(disc(25, 192)-disc(5, 192)), nil, 0},
		// Torus lying flat, its lower half in its own shadow: depth r both ways.
		{"torus flat", shape.Torus(40, 10, 256, 128), up, 10, 10, 2*math.Pi*40*200 - math.Pi*math.Pi*40*100, nil, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := analyze(t, tt.m, tt.up, Options{Clay: ptr(0), Ignore: ptr(0)})
			s := tt.m.Size()
			size := max(s.X, s.Y, s.Z)
			tol := 0.003 * size
			if math.Abs(r.UndercutDepth-tt.depth) > tol {
				t.Errorf("depth: got %.4f, want %.4f within %.4f", r.UndercutDepth, tt.depth, tol)
			}
			switch {
			case tt.path == locked:
				if r.UndercutPath != nil {
					t.Errorf("path: got %.4f, want locked", *r.UndercutPath)
				}
			case r.UndercutPath == nil:
				t.Errorf("path: got locked at %v, want %.4f", *r.UndercutPathAt, tt.path)
			case math.Abs(*r.UndercutPath-tt.path) > tol:
				t.Errorf("path: got %.4f, want %.4f within %.4f", *r.UndercutPath, tt.path, tol)
			}
			if !math.IsNaN(tt.volume) && math.Abs(r.UndercutVolume-tt.volume) > 0.01*tt.volume {
				t.Errorf("volume: got %.2f, want %.2f within 1 %%", r.UndercutVolume, tt.volume)
			}
			if r.Uncertainty > 0.005*size {
				t.Errorf("uncertainty: got %g, want at most %g", r.Uncertainty, 0.005*size)
			}
			if *r.Tunnels != tt.tunnels {
				t.Errorf("tunnels: got %d, want %d", *r.Tunnels, tt.tunnels)
			}
			var kinds []string
			for _, g := range r.Regions {
				if g.Kind != "minor" {
					kinds = append(kinds, g.Kind)
				}
			}
			if tt.regions != nil && !equal(kinds, tt.regions) {
				t.Errorf("regions: got %q, want %q", kinds, tt.regions)
			}
			t.Logf("depth %.4f path %v volume %.1f area %.1f regions %v traps %v cell %.3f", r.UndercutDepth, r.UndercutPath, r.UndercutVolume, r.UndercutArea, r.Regions, r.AirTraps, r.Resolution)
		})
	}
}

func equal(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}
