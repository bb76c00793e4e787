package estimate

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// turnedBody is a body of revolution of a height that stands on its mouth, of so
// many rings of facets.
func turnedBody(height float64, rings int, r func(z float64) float64) *mesh.Mesh {
	p := []shape.RZ{{}}
	for k := range rings + 1 {
		z := height * float64(k) / float64(rings)
		p = append(p, shape.RZ{R: r(z), Z: z})
	}
	if p[len(p)-1].R > 0 {
		p = append(p, shape.RZ{Z: height})
	}
	return shape.Revolve(p, rings*2/5)
}

func knob(stem, ball, length float64) *mesh.Mesh {
	centre := length + math.Sqrt(ball*ball-stem*stem)
	top := centre + ball
	return turnedBody(top, 240, func(z float64) float64 {
		switch {
		case z < length:
			return stem
		case z >= top:
			return 0
		}
		return math.Sqrt(max(0, ball*ball-(z-centre)*(z-centre)))
	})
}

func bellied(mean, swing, height float64) *mesh.Mesh {
	return turnedBody(height, 240, func(z float64) float64 { return mean - swing*math.Cos(2*math.Pi*z/height) })
}

func plated(stem, plate, length, thick, round float64) *mesh.Mesh {
	return turnedBody(length+thick, 240, func(z float64) float64 {
		if z < length {
			return stem
		}
		u := max(0, min(z-length, length+thick-z, round))
		return plate - round + math.Sqrt(round*round-(round-u)*(round-u))
	})
}

// parts are the parts that rubber holds of a body that stands on its mouth, all
// the way from its triangles.
func parts(t *testing.T, m *mesh.Mesh) []rubber.Profile {
	t.Helper()
	ctx := context.Background()
	sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := solid.From(ctx, m, sv, solid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	size := m.Size()
	c, err := scene.New(ctx, s, mesh.V(0, 0, 1), scene.Options{Clay: new(float64), Resolution: max(size.X, size.Y, size.Z) / 80})
	if err != nil {
		t.Fatal(err)
	}
	p, err := strip.Of(c, strip.Options{}).Profiles(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return felt(p)
}

// measured are figures of axisymmetric, finite-strain, neo-Hookean finite elements
// with Coulomb friction (slide_test.go of estimate/rubber tells more), as multiples
// of the shear modulus, mm²: at friction 0.3, held at the closed end and at the
// rim, out of the container and in it (0 = not reckoned); and each hand's opening.
var measured = []struct {
	name    string
	m       *mesh.Mesh
	wall    float64
	off, in [2]float64
	open    float64
}{
	{"a", knob(12, 20, 20), 10, [2]float64{873.6, 804.5}, [2]float64{1815.1, 3052.4}, 515.9},
	{"b", knob(12, 20, 20), 20, [2]float64{979.9, 875.4}, [2]float64{1417.7, 2254.1}, 595.8},
	{"c", bellied(27.5, 2.5, 80), 10, [2]float64{208.5, 183.1}, [2]float64{1400.5, 2702.7}, 173.7},
	{"d", plated(15, 25, 20, 8, 1.5), 12, [2]float64{1836.2, 1204.4}, [2]float64{3569.3, 3085.6}, 462.8},
	{"g", knob(12, 20, 8), 10, [2]float64{461.2, 384.7}, [2]float64{}, 239.2},
}

// From the triangles of a turned body to the force, against finite elements.
func TestStripForcesAgainstFiniteElements(t *testing.T) {
	within := func(name string, got, want, factor float64, more bool) {
		t.Helper()
		if want > 0 && (got < want/factor || !more && got > want*factor) {
			t.Errorf("%s: %.0f, want %.0f within a factor of %g", name, got, want, factor)
		}
	}
	for _, c := range measured {
		s := rubber.Shape{Wall: c.wall, Path: new(float64), Stretch: new(float64), Profiles: parts(t, c.m)}
		h := s.Held()
		for k := range 2 {
			within(c.name+", out of its container", h.Pull.OverG, c.off[k], 1.5, false)
			within(c.name+", in its container", s.InContainer(), c.in[k], 2, false)
		}
		within(c.name+", opened", h.Open.OverG, c.open, 1.5, false)
	}

	// All that was reckoned, where the file with it lies beside the checkout.
	data, err := os.ReadFile(filepath.Join("..", "..", "shared", "strip.json"))
	if err != nil {
		return
	}
	var all struct {
		Cases map[string]struct {
			Open float64 `json:"opening_each_hand_over_G_mm2"`
			Pull []struct {
				Container string
				Friction  float64
				Peak      float64
				More      bool `json:"at_least"`
			} `json:"pull_over_G_mm2"`
		}
	}
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	for _, c := range measured {
		p := parts(t, c.m)[0]
		for _, f := range all.Cases[c.name].Pull {
			if f.Friction > rubber.Friction && f.More {
				continue
			}
			h := rubber.Hold{Wall: c.wall, Friction: f.Friction, Contained: f.Container == "on"}
			factor := 1.5
			if h.Contained {
				factor = 2
			}
			within(c.name+" of the file", p.Pull(h), f.Peak, factor, f.More)
		}
	}
}

// Thirty random turned bodies, from their triangles: with all lengths doubled,
// walls too, every force is four times; more wall, more depth and a harder rubber
// take more.
func TestStripForcesScale(t *testing.T) {
	const seed = 28
	rng := rand.New(rand.NewPCG(seed, 0))
	bodies := 30
	if testing.Short() {
		bodies = 8
	}
	for n := range bodies {
		stem := 5 + 40*rng.Float64()
		deep := stem * (0.1 + 0.5*rng.Float64())
		length, climb := stem*(0.3+2*rng.Float64()), stem*(0.3+rng.Float64())
		wall := 4 + 20*rng.Float64()
		held := func(scale, deep, wall float64) (rubber.Held, float64) {
			// What scales does so on any facets.
			m := turnedBody(scale*(length+2*climb), 40, func(z float64) float64 {
				if z /= scale; z < length {
					return scale * stem
				}
				return scale * (stem + deep*max(0, math.Sin(math.Pi*(z-length)/(2*climb))))
			})
			s := rubber.Shape{Wall: scale * wall, Path: new(float64), Stretch: new(float64), Profiles: parts(t, m)}
			return s.Held(), s.InContainer()
		}
		one, in := held(1, deep, wall)
		two, in2 := held(2, deep, wall)
		for name, f := range map[string]float64{"open": two.Open.OverG / one.Open.OverG, "pull": two.Pull.OverG / one.Pull.OverG, "pull in its container": in2 / in} {
			if math.Abs(f/4-1) > 1e-3 {
				t.Errorf("seed %d, body %d: twice as large takes %.5f times the %s, want 4", seed, n, f, name)
			}
		}
		thick, _ := held(1, deep, 1.3*wall)
		deeper, _ := held(1, 1.2*deep, wall)
		for name, more := range map[string]rubber.Held{"a thicker wall": thick, "a deeper undercut": deeper} {
			if more.Open.OverG <= one.Open.OverG || more.Pull.OverG <= one.Pull.OverG {
				t.Errorf("seed %d, body %d: %s takes %.1f and %.1f, less takes %.1f and %.1f", seed, n, name, more.Open.OverG, more.Pull.OverG, one.Open.OverG, one.Pull.OverG)
			}
		}
		for a := rubber.Softest; a < rubber.Hardest; a++ {
			if one.Pull.In(a+1) <= one.Pull.In(a) {
				t.Fatalf("%g A takes %g N, one harder %g", a, one.Pull.In(a), one.Pull.In(a+1))
			}
		}
	}
}
