package demold

import (
	"context"
	"math"
	"reflect"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// TestReleaseInvariance: turning, moving, mirroring or scaling a pattern with
// its pull changes no ratio.
func TestReleaseInvariance(t *testing.T) {
	z := mesh.V(0, 0, 1)
	vase := shape.Vase(20, 30, 24, 80, 3, 96)
	mug := shape.Mug(40, 90, 4, 30, 48)
	for _, b := range []struct {
		name             string
		m                *mesh.Mesh
		stretch, squeeze float64
		tunnels          int
	}{
		// The clay line, 1 up, lies on a radius of 20.25.
		{"vase", vase, 30/20.25 - 1, 1 - 21.0/27, 0},
		{"mug", mug, math.NaN(), 0, 1},
	} {
		first := math.NaN()
		for _, v := range []struct {
			name string
			m    *mesh.Mesh
			up   mesh.Vec
			k    float64
		}{
			{"as is", b.m, z, 1},
			{"on its side", shape.Stand(b.m, mesh.V(0, -1, 0)), mesh.V(0, -1, 0), 1},
			{"askew", shape.Stand(b.m, mesh.V(2, -3, 6).Unit()), mesh.V(2, -3, 6).Unit(), 1},
			{"far off", shape.Translate(b.m, mesh.V(12000, -8000, 3000)), z, 1},
			{"in inches", shape.Scale(b.m, 25.4, 25.4, 25.4), z, 25.4},
			{"mirrored", shape.Mirror(b.m), z, 1},
			{"inside out", shape.Flip(b.m), z, 1},
		} {
			r := analyze(t, v.m, v.up, Options{Clay: ptr(1 * v.k), Ignore: ptr(0), Resolution: 0.5 * v.k})
			if r.Stretch == nil || r.Tunnels == nil {
				t.Errorf("%s %s: unknown stretch or tunnels", b.name, v.name)
				continue
			}
			if math.IsNaN(first) {
				first = *r.Stretch
				if !math.IsNaN(b.stretch) && math.Abs(first-b.stretch) > 1e-4 {
					t.Errorf("%s: stretch got %.5f want %.5f", b.name, first, b.stretch)
				}
			}
			if math.Abs(*r.Stretch-first) > 1e-4*(1+first) {
				t.Errorf("%s %s: stretch got %.6f want %.6f", b.name, v.name, *r.Stretch, first)
			}
			if math.Abs(r.Squeeze-b.squeeze) > 2e-3 {
				t.Errorf("%s %s: squeeze got %.5f want %.5f", b.name, v.name, r.Squeeze, b.squeeze)
			}
			if *r.Tunnels != b.tunnels {
				t.Errorf("%s %s: tunnels got %d want %d", b.name, v.name, *r.Tunnels, b.tunnels)
			}
		}
	}
}

// TestReleaseSameOnAnyMachine: one core and three give the same bits.
func TestReleaseSameOnAnyMachine(t *testing.T) {
	s := solidOf(t, shape.Merge(shape.Mug(40, 90, 4, 30, 96), shape.Translate(shape.Vase(20, 30, 24, 80, 3, 96), mesh.V(120, 0, 0))))
	run := func(cores int, mold Mold) *Report {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		a, err := newAnalysis(context.Background(), s, mesh.V(0, 0, 1), Options{Mold: mold, Resolution: 0.7})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range []func(context.Context, *analysis) error{findUndercuts, tunnels, stretch, squeeze, partingLine} {
			if err := f(context.Background(), a); err != nil {
				t.Fatal(err)
			}
		}
		mouth(a)
		a.rep.Field = nil
		return a.rep
	}
	for _, mold := range []Mold{Block, TwoPart, Cut} {
		if a, b := run(1, mold), run(3, mold); !reflect.DeepEqual(a, b) {
			t.Errorf("%s: one core and three give different answers", mold)
		}
	}
}

// TestReleaseCancelled: a cancelled context ends every question with its error.
func TestReleaseCancelled(t *testing.T) {
	s := solidOf(t, shape.Mug(40, 90, 4, 30, 96))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for name, f := range map[string]func(context.Context, *analysis) error{"stretch": stretch, "squeeze": squeeze, "tunnels": tunnels} {
		a, err := newAnalysis(context.Background(), s, mesh.V(0, 0, 1), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := f(ctx, a); err == nil {
			t.Errorf("%s went on after the cancel", name)
		}
	}
}

// twisted is a figure with a waist, a lean and grooves, of about n triangles.
func twisted(n int) *mesh.Mesh {
	k := int(math.Sqrt(float64(n) / 4))
	return shape.Map(shape.Sphere(1, k), func(v mesh.Vec) mesh.Vec {
		f := 0.5 + 0.4*v.Z*v.Z + 0.02*math.Sin(9*v.X+5*v.Y+14*v.Z)
		return mesh.V(60*f*v.X+8*v.Z*v.Z, 60*f*v.Y, 80*v.Z)
	})
}

func BenchmarkSections(b *testing.B) {
	s := solidOf(b, twisted(200_000))
	for b.Loop() {
		b.StopTimer()
		a, err := newAnalysis(context.Background(), s, mesh.V(0, 0, 1), Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
		for _, f := range []func(context.Context, *analysis) error{stretch, squeeze, tunnels} {
			if err := f(context.Background(), a); err != nil {
				b.Fatal(err)
			}
		}
		mouth(a)
	}
}

func BenchmarkStand(b *testing.B) {
	s := solidOf(b, twisted(200_000))
	for b.Loop() {
		if _, _, _, err := Stand(context.Background(), s, StandOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSearch(b *testing.B) {
	s := solidOf(b, twisted(200_000))
	for b.Loop() {
		if _, _, _, err := Stand(context.Background(), s, StandOptions{Search: true}); err != nil {
			b.Fatal(err)
		}
	}
}
