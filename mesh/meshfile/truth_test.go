package meshfile

import (
	"context"
	"math"
	"strings"
	"testing"

	"moldtally/mesh/shape/real"
)

func TestTruth(t *testing.T) {
	type figures struct {
		File, Format string
		Unit         *string `json:"unit_in_file"`
		Topology     struct {
			Triangles int
			Vertices  int `json:"welded_vertices"`
		}
		Lo [3]float64 `json:"bbox_min"`
		Hi [3]float64 `json:"bbox_max"`
	}
	const unchecked = "what readers make of real files"
	all := real.Figures[figures](t, unchecked)
	if len(all) < 28 {
		t.Fatalf("only %d meshes", len(all))
	}
	for _, m := range all {
		t.Run(m.File, func(t *testing.T) {
			t.Parallel()
			b, info, err := Open(context.Background(), real.File(t, unchecked, m.File), Options{})
			if err != nil {
				t.Fatal(err)
			}
			format := strings.NewReplacer("_little_endian", " little-endian", "_big_endian", " big-endian").Replace(m.Format)
			if info.Format != format {
				t.Errorf("format: got %q, want %q", info.Format, format)
			}
			unit := ""
			if m.Unit != nil {
				unit = map[string]string{"meter": "m", "millimeter": "mm", "inch": "in"}[*m.Unit]
			}
			if info.Unit != unit {
				t.Errorf("unit: got %q, want %q", info.Unit, unit)
			}
			msh, err := b.Build(1)
			if err != nil {
				t.Fatal(err)
			}
			if msh.NumTriangles() != m.Topology.Triangles {
				t.Errorf("triangles: got %d, want %d", msh.NumTriangles(), m.Topology.Triangles)
			}
			if msh.NumVertices() != m.Topology.Vertices {
				t.Errorf("vertices: got %d, want %d", msh.NumVertices(), m.Topology.Vertices)
			}
			lo, hi := msh.Bounds()
			tol := 1e-12 * math.Max(1, hi.Sub(lo).Len())
			if m.Format == "PLY ascii" {
				// The figures there come from a reader that rounds text to
				// the float32 the header names; we keep every digit.
				tol = 1e-7 * hi.Sub(lo).Len()
			}
			gl, gh := lo.Array(), hi.Array()
			for i := range 3 {
				if math.Abs(gl[i]-m.Lo[i]) > tol || math.Abs(gh[i]-m.Hi[i]) > tol {
					t.Errorf("axis %d: got %v to %v, want %v to %v", i, gl[i], gh[i], m.Lo[i], m.Hi[i])
				}
			}
			for _, f := range info.Findings {
				t.Logf("%v %s %+v", f.Severity, f.Code, f.Facts)
			}
		})
	}
}
