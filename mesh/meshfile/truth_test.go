package meshfile

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// realMeshes finds the folder of real meshes that lies beside the repository
// on some machines.
func realMeshes(t testing.TB) string {
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		p := filepath.Join(dir, "shared", "meshes")
		if _, err := os.Stat(filepath.Join(p, "truth.json")); err == nil {
			return p
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Skip("no folder of real meshes beside the repository")
		}
		dir = up
	}
}

// moduleFile finds a file in the module cache.
func moduleFile(parts ...string) string {
	cache := os.Getenv("GOMODCACHE")
	if cache == "" {
		gopath := os.Getenv("GOPATH")
		if gopath == "" {
			home, _ := os.UserHomeDir()
			gopath = filepath.Join(home, "go")
		}
		cache = filepath.Join(gopath, "pkg", "mod")
	}
	return filepath.Join(append([]string{cache}, parts...)...)
}

func TestTruth(t *testing.T) {
	dir := realMeshes(t)
	raw, err := os.ReadFile(filepath.Join(dir, "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var truth struct {
		Meshes []struct {
			File, Format string
			Unit         *string `json:"unit_in_file"`
			Topology     struct {
				Triangles int
				Vertices  int `json:"welded_vertices"`
			}
			Lo [3]float64 `json:"bbox_min"`
			Hi [3]float64 `json:"bbox_max"`
		}
	}
	if err := json.Unmarshal(raw, &truth); err != nil {
		t.Fatal(err)
	}
	if len(truth.Meshes) < 28 {
		t.Fatalf("only %d meshes", len(truth.Meshes))
	}
	for _, m := range truth.Meshes {
		t.Run(m.File, func(t *testing.T) {
			name := filepath.Join(dir, m.File)
			if m.File == "boat_11mb.stl" {
				name = moduleFile("github.com", "fogleman", "fauxgl@v0.0.0-20250110135958-abf826acbbbd", "examples", "boat.stl")
				if _, err := os.Stat(name); err != nil {
					t.Skip("module cache without the boat")
				}
			}
			b, info, err := Open(context.Background(), name, Options{})
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
