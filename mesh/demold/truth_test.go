package demold

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/solid"
)

// truthUndercut is what independent programs found for a real mesh and a pull.
type truthUndercut struct {
	Volume      float64 `json:"undercut_volume"`
	VolumeError float64 `json:"undercut_volume_error"`
	Height      float64 `json:"height"`
	Depth       float64 `json:"depth"`
	DepthError  float64 `json:"depth_error"`
	Bottom      map[string]struct {
		Depth float64 `json:"depth"`
		Error float64 `json:"error"`
	} `json:"depth_ignoring_bottom_fraction_of_height"`
	Sensitive bool `json:"bottom_sensitive"`
}

const meshDir = "../../../shared/meshes"

func openSolid(t testing.TB, name string) *solid.Solid {
	t.Helper()
	ctx := context.Background()
	b, _, err := meshfile.Open(ctx, filepath.Join(meshDir, name), meshfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := b.Build(1)
	if err != nil {
		t.Fatal(err)
	}
	return solidOf(t, m)
}

// TestRealMeshes holds depth and volume against truth.json: depth within its
// error and 0.3 % of the size, volume within 1 %.
func TestRealMeshes(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	raw, err := os.ReadFile(filepath.Join(meshDir, "truth.json"))
	if err != nil {
		t.Skip("real meshes are not here")
	}
	var truth struct {
		Meshes []struct {
			File     string                   `json:"file"`
			Size     [3]float64               `json:"size"`
			Undercut map[string]truthUndercut `json:"undercut"`
		} `json:"meshes"`
	}
	if err := json.Unmarshal(raw, &truth); err != nil {
		t.Fatal(err)
	}
	dirs := []struct {
		name string
		u    mesh.Vec
	}{{"+Z", mesh.V(0, 0, 1)}, {"+X", mesh.V(1, 0, 0)}, {"(1,2,2)/3", mesh.V(1.0/3, 2.0/3, 2.0/3)}}
	for _, m := range truth.Meshes {
		if len(m.Undercut) == 0 || testing.Short() && m.File != "skull.obj" {
			continue
		}
		t.Run(m.File, func(t *testing.T) {
			s := openSolid(t, m.File)
			size := max(m.Size[0], m.Size[1], m.Size[2])
			for _, d := range dirs {
				w := m.Undercut[d.name]
				r, err := Analyze(context.Background(), s, d.u, Options{Clay: ptr(0), Ignore: ptr(0)})
				if err != nil {
					t.Fatal(err)
				}
				near := func(got, want, err float64) bool { return math.Abs(got-want) <= err+0.003*size }
				low := w.Bottom["0.01"]
				if !near(r.UndercutDepth, w.Depth, w.DepthError) && !(w.Sensitive && near(r.UndercutDepth, low.Depth, low.Error)) {
					t.Errorf("%s depth: got %.5g, want %.5g ± %.3g + %.3g", d.name, r.UndercutDepth, w.Depth, w.DepthError, 0.003*size)
				}
				if math.Abs(r.UndercutVolume-w.Volume) > 0.01*w.Volume {
					t.Errorf("%s volume: got %.6g, want %.6g within 1 %%", d.name, r.UndercutVolume, w.Volume)
				}
				if r.Uncertainty > 0.003*size {
					t.Errorf("%s uncertainty: got %g, want at most %g", d.name, r.Uncertainty, 0.003*size)
				}
				c, err := Analyze(context.Background(), s, d.u, Options{Clay: ptr(0.01 * w.Height), Ignore: ptr(0)})
				if err != nil {
					t.Fatal(err)
				}
				if !near(c.UndercutDepth, low.Depth, low.Error) {
					t.Errorf("%s depth over clay: got %.5g, want %.5g ± %.3g + %.3g", d.name, c.UndercutDepth, low.Depth, low.Error, 0.003*size)
				}
				t.Logf("%s depth %.5g (%.5g), %.5g over clay (%.5g); volume %+.3f %%, cell %.3g %% of size, %d regions, locked %.3g of %.4g, free path %.4g",
					d.name, r.UndercutDepth, w.Depth, c.UndercutDepth, low.Depth, 100*(r.UndercutVolume/w.Volume-1), 100*r.Resolution/size, len(r.Regions), r.LockedVolume, r.UndercutVolume, r.FreePath)
			}
		})
	}
}
