package solid_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid"
	"moldtally/mesh/solid/solidtest"
)

// The figures here come from other programs (exact sums, unions, winding
// numbers and floods computed by three geometry libraries) for real files that
// are no part of this project.
func TestRealMeshes(t *testing.T) {
	type figures struct {
		File      string
		Topology  struct{ Closed bool }
		Displaced struct {
			Value, Error *float64
			Basis        string
		} `json:"displaced_volume"`
	}
	ctx := context.Background()
	const unchecked = "displaced volumes of real files"
	for _, x := range real.Figures[figures](t, unchecked) {
		if testing.Short() && x.File != "rabbit_overlapping.obj" && x.File != "spider_degenerate.stl" && x.File != "mug.obj" {
			continue // the short run is for the race detector: a union, patches and a plain body
		}
		t.Run(x.File, func(t *testing.T) {
			t.Parallel()
			m := solidtest.Read(t, real.File(t, unchecked, x.File))
			sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
			if err != nil {
				t.Fatal(err)
			}
			s, err := solid.From(ctx, m, sv, solid.Options{KeepCrumbs: true})
			if x.Displaced.Value == nil {
				if err == nil {
					t.Logf("no truth; we say %g .. %g", s.Displaced.Low, s.Displaced.High)
				} else if !errors.Is(err, solid.ErrNothing) {
					t.Fatal(err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			want, e := *x.Displaced.Value, *x.Displaced.Error
			d := s.Displaced
			lo, hi, v := float64(d.Low), float64(d.High), float64(d.Value)
			t.Logf("%.8g in %.8g .. %.8g, truth %.8g ± %.2g (off %.3g %%, width %.3g %%); crossings %d; %s", v, lo, hi, want, e, 100*(v/want-1), 100*(hi-lo)/want, s.SelfCrossings, s.Repairs)
			if hi < want-e || lo > want+e {
				t.Errorf("bounds %.8g .. %.8g do not meet %.8g ± %.3g (%s)", lo, hi, want, e, x.Displaced.Basis)
			}
			width := 0.05
			switch {
			case x.Topology.Closed:
				width = 0.002
				tol := e + 1e-6*want
				if s.SelfCrossings > 0 {
					tol = e + 5e-4*want
				}
				if math.Abs(v-want) > tol {
					t.Errorf("displaces %.8g, want %.8g within %.3g", v, want, tol)
				}
			case x.File == "spider_degenerate.stl":
				width = 0.08
			}
			if hi-lo > width*want {
				t.Errorf("bounds %.8g .. %.8g are %.3g %% wide, want at most %.3g %%", lo, hi, 100*(hi-lo)/want, 100*width)
			}
		})
	}
}
