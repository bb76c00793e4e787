package scene_test

import (
	"context"
	"path/filepath"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid"
	"moldtally/mesh/solid/solidtest"
)

// TestUncertainty: 0.3 % of the largest size or better for every sample and every
// real mesh, along a pull askew to them; of those whose undercuts are known
// undercut's TestRealMeshes asks it along three. The kind of mold does not change
// the columns.
func TestUncertainty(t *testing.T) {
	if testing.Short() {
		t.Skip("casts every file")
	}
	files := func(t *testing.T, folder string, but map[string]bool) {
		all, err := filepath.Glob(filepath.Join(folder, "*.*"))
		if err != nil || len(all) == 0 {
			t.Fatalf("nothing in %s: %v", folder, err)
		}
		for _, f := range all {
			switch filepath.Ext(f) {
			case ".json", ".md":
				continue
			}
			if but[filepath.Base(f)] || filepath.Base(f) == "triangle_soup.stl" { // that encloses nothing
				continue
			}
			ctx, m := context.Background(), solidtest.Read(t, f)
			sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
			if err != nil {
				t.Fatal(err)
			}
			s, err := solid.From(ctx, m, sv, solid.Options{KeepCrumbs: true, Across: 64}) // its volume is not asked
			if err != nil {
				t.Errorf("%s: %v", f, err)
				continue
			}
			c, err := scene.New(ctx, s, mesh.V(1, 2, 2), scene.Options{})
			if err != nil {
				t.Errorf("%s: %v", f, err)
			} else if c.Uncertainty > 0.003*c.Size {
				t.Errorf("%s: uncertainty %g of %g", filepath.Base(f), c.Uncertainty, c.Size)
			}
		}
	}
	t.Run("samples", func(t *testing.T) { files(t, filepath.Join("..", "..", "..", "testdata"), nil) })
	t.Run("real", func(t *testing.T) {
		const unchecked = "the uncertainty of real meshes' columns"
		type figures struct {
			File     string
			Undercut map[string]any
		}
		but := map[string]bool{}
		for _, m := range real.Figures[figures](t, unchecked) {
			but[m.File] = len(m.Undercut) > 0
		}
		files(t, real.Folder(t, unchecked), but)
	})
}
