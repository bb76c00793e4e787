// Package real finds meshes that were not made for this project, for tests: the
// collection that stands beside the checkout on some machines, and the files
// that come with the modules used here. A test that has to do without says what
// it leaves unchecked, and where it looked.
package real

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// The boat is in the list of the collection, but comes with the module that
// draws.
const (
	boat       = "boat_11mb.stl"
	boatModule = "github.com/fogleman/fauxgl"
)

// Absent skips a test for want of data. It says so on stderr too, once for each
// thing that is left unchecked.
func Absent(t testing.TB, unchecked, where string) {
	t.Helper()
	line := fmt.Sprintf("NOT CHECKED: %s: %s is not there", unchecked, where)
	if _, again := said.LoadOrStore(line, true); !again {
		fmt.Fprintln(os.Stderr, line)
	}
	t.Skip(line)
}

var said sync.Map

// folder is where the collection stands if it does: shared/meshes beside the
// folder that holds go.mod.
var folder = sync.OnceValue(func() string {
	dir, err := os.Getwd()
	if err != nil {
		return filepath.Join("shared", "meshes")
	}
	for at := dir; ; at = filepath.Dir(at) {
		if _, err := os.Stat(filepath.Join(at, "go.mod")); err == nil {
			return filepath.Join(filepath.Dir(at), "shared", "meshes")
		}
		if at == filepath.Dir(at) {
			return filepath.Join(dir, "shared", "meshes")
		}
	}
})

// Folder returns the folder of the collection, or skips the test.
func Folder(t testing.TB, unchecked string) string {
	t.Helper()
	if _, err := os.Stat(filepath.Join(folder(), "truth.json")); err != nil {
		Absent(t, unchecked, "the collection of real meshes, "+folder()+",")
	}
	return folder()
}

// Figures returns what other programs found in the meshes of the collection, as
// far as M has fields for it; or it skips the test.
func Figures[M any](t testing.TB, unchecked string) []M {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(Folder(t, unchecked), "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all struct{ Meshes []M }
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	return all.Meshes
}

// File returns the path of one mesh of the collection, or skips the test.
func File(t testing.TB, unchecked, name string) string {
	t.Helper()
	if name == boat {
		return Module(t, unchecked, boatModule, "examples", "boat.stl")
	}
	path := filepath.Join(folder(), name)
	if _, err := os.Stat(path); err != nil {
		Absent(t, unchecked, "the real mesh "+path)
	}
	return path
}

// Module returns the path of a file that comes with a module in go.mod, in the
// cache of modules, or skips the test.
func Module(t testing.TB, unchecked, module string, file ...string) string {
	t.Helper()
	moduleDirs.Lock()
	dir, known := moduleDirs.of[module]
	if !known {
		out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
		if err == nil {
			dir = strings.TrimSpace(string(out))
		}
		moduleDirs.of[module] = dir
	}
	moduleDirs.Unlock()
	path := filepath.Join(append([]string{dir}, file...)...)
	if _, err := os.Stat(path); dir == "" || err != nil {
		Absent(t, unchecked, strings.Join(file, "/")+" of the module "+module)
	}
	return path
}

var moduleDirs = struct {
	sync.Mutex
	of map[string]string
}{of: map[string]string{}}
