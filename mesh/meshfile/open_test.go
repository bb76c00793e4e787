package meshfile

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"moldtally/mesh"
)

// TestSideFiles keeps glTF inside its own folder.
func TestSideFiles(t *testing.T) {
	top := t.TempDir()
	dir := filepath.Join(top, "job")
	if err := os.MkdirAll(filepath.Join(dir, "sub folder"), 0o755); err != nil {
		t.Fatal(err)
	}
	put := func(name string, p []byte) {
		t.Helper()
		if err := os.WriteFile(name, p, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	put(filepath.Join(dir, "a.bin"), glData)
	put(filepath.Join(dir, "sub folder", "a.bin"), glData)
	put(filepath.Join(dir, "short.bin"), glData[:20])
	put(filepath.Join(top, "secret.bin"), glData)
	if err := os.Symlink(filepath.Join(top, "secret.bin"), filepath.Join(dir, "out.bin")); err != nil {
		t.Skip("no links here")
	}
	os.Symlink("a.bin", filepath.Join(dir, "in.bin"))
	for _, c := range []struct {
		uri   string
		fault Fault
	}{
		{"a.bin", ""},
		{"./a.bin", ""},
		{"sub%20folder/a.bin", ""},
		{"sub folder/a.bin", ""},
		{"in.bin", ""},
		{"short.bin", "gltf.buffer-cut"},
		{"nowhere.bin", "gltf.side-missing"},
		{"sub%20folder", "gltf.side-kind"},
		{"../secret.bin", "gltf.side-outside"},
		{"sub%20folder/../../secret.bin", "gltf.side-outside"},
		{"%2e%2e/secret.bin", "gltf.side-outside"},
		{`..\\secret.bin`, "gltf.side-outside"},
		{filepath.Join(top, "secret.bin"), "gltf.side-outside"},
		{"out.bin", "gltf.side-closed"},
		{"C:/secret.bin", "gltf.side-drive"},
		{"http://example.com/a.bin", "gltf.side-remote"},
	} {
		name := filepath.Join(dir, "job.gltf")
		put(name, gl{buffers: `[{"byteLength":42,"uri":"` + c.uri + `"}]`}.gltf())
		b, _, err := Open(context.Background(), name, Options{})
		if c.fault == "" {
			if err != nil || b.NumTriangles() != 1 {
				t.Errorf("%s: %v", c.uri, err)
			}
			continue
		}
		if err == nil {
			t.Errorf("%s: read, want %s", c.uri, c.fault)
			continue
		}
		if e := faultOf(t, err); e.Fault != c.fault {
			t.Errorf("%s: got %s, want %s", c.uri, e.Fault, c.fault)
		}
	}
}

func TestOpenErrors(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		name  string
		fault Fault
	}{
		{filepath.Join(dir, "heron.stl"), "open.missing"},
		{dir, "open.folder"},
		{os.DevNull, "open.not-ordinary"},
	} {
		_, _, err := Open(context.Background(), c.name, Options{})
		if err == nil {
			t.Errorf("%s: no error", c.name)
			continue
		}
		if e := faultOf(t, err); e.Fault != c.fault {
			t.Errorf("%s: got %s, want %s", c.name, e.Fault, c.fault)
		}
	}
	name := filepath.Join(dir, "heron.stl")
	if err := os.WriteFile(name, binSTL("solid", 12000, 8311), 0o644); err != nil {
		t.Fatal(err)
	}
	_, _, err := Open(context.Background(), name, Options{})
	if e := faultOf(t, err); e.File != "heron.stl" || e.Fault != "stl.promised" || !reflect.DeepEqual(e.Args, []any{int64(12000), int64(8311)}) {
		t.Errorf("got %+v", *e)
	}
}

func TestMaxTriangles(t *testing.T) {
	m := ball(t, 20, 5, mesh.Vec{})
	for _, f := range formats {
		p := written(t, f, m)
		for _, lim := range []int{m.NumTriangles(), m.NumTriangles() - 1} {
			_, _, err := Read(context.Background(), bytes.NewReader(p), int64(len(p)), Options{MaxTriangles: lim})
			if lim == m.NumTriangles() {
				if err != nil {
					t.Errorf("%s: refused at the limit: %v", f, err)
				}
				continue
			}
			if err == nil {
				t.Errorf("%s: read beyond the limit", f)
				continue
			}
			if e := faultOf(t, err); e.Fault != "mesh.too-many" {
				t.Errorf("%s: %+v", f, *e)
			}
		}
	}
}

// TestCancel cancels in the middle of every format.
func TestCancel(t *testing.T) {
	m := ball(t, 300, 5, mesh.Vec{})
	for _, f := range formats {
		p := written(t, f, m)
		ctx, cancel := context.WithCancel(context.Background())
		n := 0
		r := readerAt(func(q []byte, off int64) (int, error) {
			if n++; n == 4 {
				cancel()
			}
			return bytes.NewReader(p).ReadAt(q, off)
		})
		_, _, err := Read(ctx, r, int64(len(p)), Options{})
		if n >= 4 && (err == nil || ctx.Err() == nil || !strings.Contains(err.Error(), "canceled")) {
			t.Errorf("%s: got %v after %d reads", f, err, n)
		}
		cancel()
	}
}

type readerAt func(p []byte, off int64) (int, error)

func (f readerAt) ReadAt(p []byte, off int64) (int, error) { return f(p, off) }

// TestFailingDisk makes every read fail once.
func TestFailingDisk(t *testing.T) {
	m := ball(t, 60, 5, mesh.Vec{})
	for _, f := range formats {
		p := written(t, f, m)
		for fail := 1; ; fail++ {
			n := 0
			r := readerAt(func(q []byte, off int64) (int, error) {
				if n++; n == fail {
					return 0, fmt.Errorf("stick pulled")
				}
				return bytes.NewReader(p).ReadAt(q, off)
			})
			b, _, err := Read(context.Background(), r, int64(len(p)), Options{})
			if n < fail {
				break
			}
			if err == nil {
				// Packages are unpacked ahead of need; what fails there may
				// not be needed any more, but nothing may be missing.
				if f != "3mf" || b.NumTriangles() != m.NumTriangles() {
					t.Errorf("%s: read %d failed and nobody noticed", f, fail)
				}
				continue
			}
			faultOf(t, err)
		}
	}
}

func TestProgress(t *testing.T) {
	m := ball(t, 200, 5, mesh.Vec{})
	for _, f := range formats {
		p := written(t, f, m)
		last, calls := -1, 0
		_, _, err := Read(context.Background(), bytes.NewReader(p), int64(len(p)), Options{Progress: func(stage string, done, total int) {
			calls++
			if stage != "read" || done < last || done > total || total != len(p) {
				t.Errorf("%s: %s %d of %d after %d", f, stage, done, total, last)
			}
			last = done
		}})
		if err != nil || last != len(p) || calls < 2 {
			t.Errorf("%s: %v, %d calls, last %d of %d", f, err, calls, last, len(p))
		}
	}
}
