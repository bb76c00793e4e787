// Package solidtest makes meshes and solids for tests, which fail where it
// cannot.
package solidtest

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/solid"
)

// Of returns the solid of a mesh, crumbs and all.
func Of(t testing.TB, m *mesh.Mesh) *solid.Solid {
	t.Helper()
	return of(t, m, solid.Options{KeepCrumbs: true})
}

// Rough is Of for tests that do not ask for the volume of the solid: what its
// pieces dispute, which is most of the work where they cross or are open, is
// settled on few columns. Columns cast through it are as fine as ever.
func Rough(t testing.TB, m *mesh.Mesh) *solid.Solid {
	t.Helper()
	return of(t, m, solid.Options{KeepCrumbs: true, Across: 128})
}

func of(t testing.TB, m *mesh.Mesh, o solid.Options) *solid.Solid {
	t.Helper()
	ctx := context.Background()
	sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := solid.From(ctx, m, sv, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Read returns the mesh of a file in the file's own unit.
func Read(t testing.TB, path string) *mesh.Mesh {
	t.Helper()
	b, _, err := meshfile.Open(context.Background(), path, meshfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := b.Build(1)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Sample returns one of the project's own patterns, which are in millimetres:
// a file of the folder testdata beside go.mod.
func Sample(t testing.TB, name string) *mesh.Mesh {
	t.Helper()
	dir := "."
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return Read(t, filepath.Join(dir, "testdata", name))
		}
		if abs, err := filepath.Abs(dir); err != nil || abs == filepath.Dir(abs) {
			t.Fatalf("no go.mod above the test of %s", name)
		}
		dir = filepath.Join(dir, "..")
	}
}
