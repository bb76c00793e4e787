package undercut

import (
	"context"
	"math"
	"os"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid"
	"moldtally/mesh/solid/solidtest"
)

// independent is what other programs found for a real mesh, by pull.
type independent struct {
	File     string     `json:"file"`
	Size     [3]float64 `json:"size"`
	Undercut map[string]struct {
		Volume     float64 `json:"undercut_volume"`
		Height     float64 `json:"height"`
		Depth      float64 `json:"depth"`
		DepthError float64 `json:"depth_error"`
		Bottom     map[string]struct {
			Depth float64 `json:"depth"`
			Error float64 `json:"error"`
		} `json:"depth_ignoring_bottom_fraction_of_height"`
		Sensitive bool `json:"bottom_sensitive"`
	} `json:"undercut"`
}

// depthOf is the scene of a block with clay so high, and the depth and volume of
// what is undercut in it; no way out is sought.
func depthOf(t testing.TB, s *solid.Solid, up mesh.Vec, clay float64) (c *scene.Scene, depth, volume float64) {
	t.Helper()
	ctx := context.Background()
	c, err := scene.New(ctx, s, up, scene.Options{Clay: &clay, Ignore: new(float64)})
	if err != nil {
		t.Fatal(err)
	}
	h := newShadow(c, c.Halves(0)[0], c.Base)
	if err := h.find(ctx); err != nil {
		t.Fatal(err)
	}
	depth, _ = h.deepest()
	return c, depth, h.volume()
}

// TestRealMeshes holds depth and volume against truth.json: depth within its
// error and 0.3 % of the size, volume within 1 %. Over clay the depth is held along
// +Z; with MOLDTALLY_SLOW set along every pull.
func TestRealMeshes(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	const unchecked = "depth and volume of the undercuts of real meshes"
	dirs := []struct {
		name string
		u    mesh.Vec
	}{{"+Z", mesh.V(0, 0, 1)}, {"+X", mesh.V(1, 0, 0)}, {"(1,2,2)/3", mesh.V(1.0/3, 2.0/3, 2.0/3)}}
	for _, m := range real.Figures[independent](t, unchecked) {
		if len(m.Undercut) == 0 {
			continue
		}
		t.Run(m.File, func(t *testing.T) {
			s := solidtest.Rough(t, solidtest.Read(t, real.File(t, unchecked, m.File)))
			size := max(m.Size[0], m.Size[1], m.Size[2])
			for _, d := range dirs {
				w := m.Undercut[d.name]
				c, depth, volume := depthOf(t, s, d.u, 0)
				near := func(got, want, err float64) bool { return math.Abs(got-want) <= err+0.003*size }
				low := w.Bottom["0.01"]
				if !near(depth, w.Depth, w.DepthError) && !(w.Sensitive && near(depth, low.Depth, low.Error)) {
					t.Errorf("%s depth: got %.5g, want %.5g ± %.3g + %.3g", d.name, depth, w.Depth, w.DepthError, 0.003*size)
				}
				if math.Abs(volume-w.Volume) > 0.01*w.Volume {
					t.Errorf("%s volume: got %.6g, want %.6g within 1 %%", d.name, volume, w.Volume)
				}
				t.Logf("%s depth %.5g (%.5g); volume %+.3f %%, cell %.3g %% of size", d.name, depth, w.Depth, 100*(volume/w.Volume-1), 100*c.Field.Cell/size)
				if c.Uncertainty > 0.003*size {
					t.Errorf("%s uncertainty: got %g, want at most %g", d.name, c.Uncertainty, 0.003*size)
				}
				if d.name != "+Z" && os.Getenv("MOLDTALLY_SLOW") == "" {
					continue
				}
				_, over, _ := depthOf(t, s, d.u, 0.01*w.Height)
				if !near(over, low.Depth, low.Error) {
					t.Errorf("%s depth over clay: got %.5g, want %.5g ± %.3g + %.3g", d.name, over, low.Depth, low.Error, 0.003*size)
				}
			}
		})
	}
}
