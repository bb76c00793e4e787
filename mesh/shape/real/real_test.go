package real_test

import (
	"os"
	"path/filepath"
	"testing"

	"moldtally/mesh/shape/real"
)

// TestAtHand says, run with -v, which data the other tests find here.
func TestAtHand(t *testing.T) {
	t.Run("collection", func(t *testing.T) {
		list := real.Figures[struct{ File string }](t, "all that is compared with the real meshes of the collection")
		for _, m := range list {
			t.Run(m.File, func(t *testing.T) { t.Log(real.File(t, "a real mesh", m.File)) })
		}
	})
	for module, file := range map[string]string{
		"github.com/hschendel/stl": "testdata/complex_ascii.stl",
		"github.com/hpinc/go3mf":   "testdata/super_boogoku_tiny.3mf",
		"github.com/qmuntal/gltf":  "testdata/Cube/glTF/Cube.gltf",
	} {
		t.Run(module, func(t *testing.T) {
			t.Log(real.Module(t, "all that is compared with the files of "+module, module, filepath.FromSlash(file)))
		})
	}
}

// absent records a skip.
type absent struct {
	testing.TB
	skipped []any
}

func (a *absent) Helper()          {}
func (a *absent) Skip(args ...any) { a.skipped = args }

func TestAbsentIsSaid(t *testing.T) {
	old := os.Stderr
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	os.Stderr = w
	a := &absent{TB: t}
	real.Module(a, "the color of the moon", "github.com/hschendel/stl", "testdata", "moon.stl")
	real.Module(a, "the color of the moon", "github.com/hschendel/stl", "testdata", "moon.stl")
	os.Stderr = old
	w.Close()
	said := make([]byte, 1000)
	n, _ := r.Read(said)
	const want = "NOT CHECKED: the color of the moon: testdata/moon.stl of the module github.com/hschendel/stl is not there"
	if got := string(said[:n]); got != want+"\n" || len(a.skipped) != 1 || a.skipped[0] != want {
		t.Errorf("on stderr %q, skipped with %q; want %q", got, a.skipped, want)
	}
}
