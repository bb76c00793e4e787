// Package gen makes the sample patterns in testdata, and the README there that
// says what is known of each. It draws nothing from the machine: the same code
// gives the same bytes. It has only tests; to write the files anew:
//
//	go test ./mesh/shape/gen -update
package gen

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"moldtally/mesh/shape"
)

const testdata = "../../../testdata"

var update = flag.Bool("update", false, "write the samples")

// file is one file of testdata.
type file struct {
	name string
	data []byte
}

// files makes everything.
func files() []file {
	ps := patterns()
	var fs []file
	for _, p := range ps {
		fs = append(fs, file{p.name, p.data})
	}
	return append(fs, file{"README.md", readme(ps)})
}

// The committed samples are what is made here.
func TestSameBytes(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("other processors fuse products and sums, which moves last digits")
	}
	if testing.Short() {
		t.Skip("the figure takes long to mesh under the race detector")
	}
	for _, f := range files() {
		if *update {
			if err := os.WriteFile(filepath.Join(testdata, f.name), f.data, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(filepath.Join(testdata, f.name))
		if err != nil {
			t.Errorf("%v; make it with go test ./mesh/shape/gen -update", err)
			continue
		}
		if !bytes.Equal(got, f.data) {
			t.Errorf("%s: the file in testdata (%d bytes) is not what gen makes now (%d bytes)", f.name, len(got), len(f.data))
		}
		if len(f.data) > 2e6 {
			t.Errorf("%s has %d bytes, want under 2 MB", f.name, len(f.data))
		}
	}
}

func TestFinial(t *testing.T) {
	m, p := finial(), finialProfile()
	if err := shape.Check(m); err != nil {
		t.Fatal(err)
	}
	// Singles are exact to 6e-8; the volume to a few of these.
	if got, want := shape.Volume(m), shape.RevolveVolume(p, finialSteps); math.Abs(got-want) > 3e-7*want {
		t.Errorf("volume got %.4f, want %.4f from the profile", got, want)
	}
	for i := 1; i < len(p); i++ {
		if p[i].Z < p[i-1].Z {
			t.Errorf("the profile falls at point %d: %v after %v", i, p[i], p[i-1])
		}
	}
	u := revolvedUndercut(p, 0, 0)
	if math.Abs(u.Depth-17.5) > 0.05 || math.Abs(u.Stretch-17.5/20.5) > 0.003 {
		t.Errorf("a deep undercut is wanted: got %+v", u)
	}
}

func TestTile(t *testing.T) {
	m := tileMesh(tile())
	if err := shape.Check(m); err != nil {
		t.Fatal(err)
	}
	for i := range m.Triangles() { // a height over a grid: no face looks down but the back
		a, b, c := m.Corners(i)
		if n := normal(a, b, c); n.Z < -1e-12 && a.Z+b.Z+c.Z > 0 {
			t.Fatalf("triangle %d looks down: %v", i, n)
		}
	}
}

func TestArch(t *testing.T) {
	m := arch()
	if err := shape.Check(m); err != nil {
		t.Fatal(err)
	}
	if g := shape.Genus(m); g != 0 {
		t.Errorf("genus got %d, want 0", g)
	}
	if got, want := shape.Volume(m), shape.PolygonArea(archProfile(48))*archDepth; math.Abs(got-want) > 1e-6*want {
		t.Errorf("volume got %.4f, want %.4f", got, want)
	}
}

func TestHeron(t *testing.T) {
	if testing.Short() {
		t.Skip("the figure takes long to mesh under the race detector")
	}
	m := heron()
	if err := shape.Check(m); err != nil {
		t.Fatal(err)
	}
	if g := shape.Genus(m); g != 0 {
		t.Errorf("genus got %d, want 0", g)
	}
	if n := len(largest(m.Triangles(), m.NumVertices())); n != m.NumTriangles() {
		t.Errorf("the largest piece has %d of %d triangles, want one piece", n, m.NumTriangles())
	}
	lo, _ := m.Bounds()
	if lo.Z != 0 {
		t.Errorf("it stands at %v, want 0", lo.Z)
	}
	scan, crumbs := heronScan(m)
	open, loops := openEdges(scan)
	if want := 1 + len(scanHoles); loops != want || open < 100 {
		t.Errorf("open edges %d in %d loops, want %d loops", open, loops, want)
	}
	if crumbs != 4 {
		t.Errorf("crumbs got %d, want 4", crumbs)
	}
}
