package demold

import (
	"context"
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// TestReleaseInvariance: turning, moving, mirroring or scaling a pattern with
// its pull changes no ratio.
func TestReleaseInvariance(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
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
			r := analyze(t, v.m, v.up, Options{Clay: ptr(1 * v.k), Ignore: ptr(0), Resolution: v.k, Brief: true})
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

// TestInvariance: a pattern turned and moved together with its pull and k times as
// large gives, within the uncertainty, lengths k times, areas k² times, volumes k³
// times as large and the same strains, counts and tilts; for one piece and for two
// halves, on closed bodies and on a sample pattern.
func TestInvariance(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	// A bell hung askew on a stem beside a hook: air under both.
	hung := shape.Revolve([]shape.RZ{rz(0, 0), rz(5, 0), rz(5, 40), rz(25, 42), rz(25, 30), rz(30, 30), rz(30, 50), rz(0, 50)}, 96)
	bodies := []struct {
		name string
		m    *mesh.Mesh
	}{
		{"hook and bell", shape.Merge(hung, shape.Translate(shape.Hook(10, 40, 60, 20, 12), mesh.V(70, 0, 0)))},
		{"bent horn", shape.Horn(60, 10, 64, 96)},
		{"vase", shape.Vase(25, 40, 20, 120, 4, 96)},
		{"finial.stl", solidtest.Sample(t, "finial.stl")},
		{"heron.ply", solidtest.Sample(t, "heron.ply")},
	}
	askew := mesh.V(2, -3, 6).Unit()
	z := mesh.V(0, 0, 1)
	for _, b := range bodies {
		size := largest(b.m)
		const k = 2.5
		m := shape.Translate(shape.Stand(shape.Rotate(b.m, z, 0.7), askew), mesh.V(310, -75, 42))
		m = shape.Scale(m, k, k, k)
		for _, mold := range []Mold{Block, TwoPart} {
			o := Options{Mold: mold, Resolution: size / 240, Ignore: ptr(0.004 * size), Clay: ptr(0.01 * size)}
			a := analyze(t, b.m, z, o)
			t.Logf("%s, %s: depth %.2f, volume %.0f, undercuts %q, air %v", b.name, mold, a.UndercutDepth, a.UndercutVolume, plain(a), airs(a))
			ok := o
			ok.Resolution, ok.Ignore, ok.Clay = k*o.Resolution, ptr(k**o.Ignore), ptr(k**o.Clay)
			r := analyze(t, m, askew, ok)
			// Both are sampled, each within its uncertainty.
			tol := a.Uncertainty + r.Uncertainty/k
			near := func(name string, got, want, tol float64) {
				t.Helper()
				if !(math.Abs(got-want) <= tol) {
					t.Errorf("%s, %s: %s got %g, want %g within %g", b.name, mold, name, got, want, tol)
				}
			}
			maybe := func(name string, got, want *float64, k, tol float64) {
				t.Helper()
				if (got == nil) != (want == nil) {
					t.Errorf("%s, %s: %s known %v, want %v", b.name, mold, name, got != nil, want != nil)
				} else if got != nil {
					near(name, *got/k, *want, tol)
				}
			}
			k3 := k * k * k
			near("depth", r.UndercutDepth/k, a.UndercutDepth, tol)
			maybe("path", r.UndercutPath, a.UndercutPath, k, tol)
			near("volume", r.UndercutVolume/k3, a.UndercutVolume, 0.005*a.UndercutVolume+1e-5*size*size*size)
			near("area", r.UndercutArea/(k*k), a.UndercutArea, 0.02*a.UndercutArea+1e-3*size*size)
			maybe("stretch", r.Stretch, a.Stretch, 1, 0.01)
			near("squeeze", r.Squeeze, a.Squeeze, 0.01)
			near("pockets", r.Pockets/k3, a.Pockets, 0.01*a.Pockets+1e-5*size*size*size)
			maybe("shut in", r.Trapped, a.Trapped, k3, 1e-4*size*size*size)
			if (r.Tunnels == nil) != (a.Tunnels == nil) || r.Tunnels != nil && *r.Tunnels != *a.Tunnels {
				t.Errorf("%s, %s: tunnels %v, want %v", b.name, mold, r.Tunnels, a.Tunnels)
			}
			if g, w := plain(r), plain(a); !slices.Equal(g, w) {
				t.Errorf("%s, %s: undercuts %q, want %q", b.name, mold, g, w)
			}
			if len(r.Air) != len(a.Air) {
				t.Fatalf("%s, %s: %d pours, want %d", b.name, mold, len(r.Air), len(a.Air))
			}
			for n, p := range r.Air {
				q := a.Air[n]
				near("air, "+string(q.Pour)+" "+string(q.Half), p.Caught/k3, q.Caught, 0.02*q.Caught+2e-5*size*size*size)
				if q.Tilt != nil && p.Tilt != nil {
					near("tilt, "+string(q.Pour)+" "+string(q.Half), *p.Tilt, *q.Tilt, 9)
				}
			}
		}
	}
}

// airs is the air that each pour catches, mm³.
func airs(r *Report) (out []float64) {
	for _, p := range r.Air {
		out = append(out, math.Round(p.Caught))
	}
	return out
}

// plain is the kinds of the undercuts well over what is ignored, sorted.
func plain(r *Report) []string {
	out := []string{}
	for _, g := range r.Regions {
		if g.Kind != "minor" && g.Depth > 4*r.Uncertainty {
			out = append(out, string(g.Kind))
		}
	}
	slices.Sort(out)
	return out
}

// TestReleaseCancelled: a cancelled context ends every question with its error.
func TestReleaseCancelled(t *testing.T) {
	s := solidtest.Of(t, shape.Mug(40, 90, 4, 30, 96))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	c, err := scene.New(context.Background(), s, mesh.V(0, 0, 1), scene.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, ask := range questions(c) {
		if err := ask(ctx); err == nil {
			t.Errorf("%s went on after the cancel", name)
		}
	}
}

// questions are some that a scene on a board is asked.
func questions(c *scene.Scene) map[string]func(context.Context) error {
	sections := strip.Of(c, strip.Options{})
	return map[string]func(context.Context) error{
		"undercuts": func(ctx context.Context) error { _, err := undercut.Find(ctx, c, undercut.Options{}); return err },
		"tunnels":   func(ctx context.Context) error { _, err := tunnel.Count(ctx, c); return err },
		"stretch":   func(ctx context.Context) error { _, err := sections.Stretch(ctx); return err },
		"squeeze":   func(ctx context.Context) error { _, err := sections.Squeeze(ctx); return err },
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
	s := solidtest.Of(b, twisted(200_000))
	c, err := scene.New(context.Background(), s, mesh.V(0, 0, 1), scene.Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		sections := strip.Of(c, strip.Options{})
		if _, err := sections.Stretch(context.Background()); err != nil {
			b.Fatal(err)
		}
		if _, err := sections.Squeeze(context.Background()); err != nil {
			b.Fatal(err)
		}
		if _, err := sections.Mouth(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}
