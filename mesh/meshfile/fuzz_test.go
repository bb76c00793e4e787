package meshfile

import (
	"bytes"
	"context"
	"encoding/binary"
	"runtime"
	"strings"
	"testing"

	"moldtally/mesh"
)

// fuzzRead is the property every reader is held to: no panic, either a worded
// error or a mesh of finite corners within the limits, memory bounded by the
// input, and what was read survives being written and read again.
func fuzzRead(t *testing.T, p []byte) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	b, info, err := Read(context.Background(), bytes.NewReader(p), int64(len(p)), Options{MaxTriangles: 200_000})
	runtime.ReadMemStats(&after)
	if n := after.TotalAlloc - before.TotalAlloc; n > 128<<20+200*uint64(len(p)) {
		t.Errorf("allocated %d MB for %d bytes", n>>20, len(p))
	}
	if err != nil {
		if strings.Contains(err.Error(), "canceled") {
			t.Fatal(err)
		}
		faultOf(t, err)
		return
	}
	if info.Format == "" || (info.Unit == "") != (info.Scale == 0) {
		t.Errorf("info %+v", info)
	}
	for _, f := range info.Findings {
		if f.Facts == nil || f.Code == "" {
			t.Errorf("finding %+v", f)
		}
	}
	n := b.NumTriangles()
	if n == 0 || n > 200_000 {
		t.Fatalf("%d triangles", n)
	}
	m, err := b.Build(1)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[mesh.Vec]bool{}
	for _, v := range m.Vertices() {
		if !v.IsFinite() || v.X > maxCoordinate || seen[v] {
			t.Fatalf("vertex %v", v)
		}
		seen[v] = true
	}
	for _, c := range m.Triangles() {
		for _, i := range c {
			if i < 0 || int(i) >= m.NumVertices() {
				t.Fatalf("corner %d of %d", i, m.NumVertices())
			}
		}
	}
	if n > 2000 {
		return
	}
	for _, f := range []string{"obj", "off", "ply-ascii"} {
		var w bytes.Buffer
		if err := Write(&w, f, m); err != nil {
			t.Fatal(err)
		}
		got, _ := readBytes(t, w.Bytes())
		sameSurface(t, got, m, 0)
	}
}

// seed adds our writers' files and the malformed ones whose names begin so.
func seed(f *testing.F, prefixes []string, formats ...string) {
	m := ball(f, 4, 3, mesh.V(1, 2, 3))
	for _, g := range formats {
		f.Add(written(f, g, m))
	}
	for _, o := range oddFiles(false) {
		for _, p := range prefixes {
			if strings.HasPrefix(o.name, p+":") && len(o.data) < 5000 {
				f.Add(o.data)
			}
		}
	}
}

func FuzzSTL(f *testing.F) {
	seed(f, []string{"stl", "stla"}, "stl", "stl-ascii")
	f.Fuzz(func(t *testing.T, p []byte) { fuzzRead(t, p) })
}

func FuzzOBJ(f *testing.F) {
	seed(f, []string{"obj"}, "obj")
	f.Fuzz(func(t *testing.T, p []byte) { fuzzRead(t, p) })
}

func FuzzPLY(f *testing.F) {
	seed(f, []string{"ply"}, "ply", "ply-ascii")
	f.Fuzz(func(t *testing.T, p []byte) { fuzzRead(t, p) })
}

func FuzzOFF(f *testing.F) {
	seed(f, []string{"off"}, "off")
	f.Fuzz(func(t *testing.T, p []byte) { fuzzRead(t, p) })
}

// FuzzGLTF feeds both halves of a GLB apart, so that changes to one do not
// break the lengths of the other; bytes that begin as a file are read whole.
func FuzzGLTF(f *testing.F) {
	add := func(p []byte) {
		if bytes.HasPrefix(p, []byte("glTF")) && len(p) > 20 {
			n := int(binary.LittleEndian.Uint32(p[12:]))
			if 20+n+8 <= len(p) {
				f.Add(p[20:20+n], p[20+n+8:])
				return
			}
		}
		f.Add(p, []byte(nil))
	}
	add(written(f, "glb", ball(f, 4, 3, mesh.V(1, 2, 3))))
	for _, o := range oddFiles(false) {
		if (strings.HasPrefix(o.name, "gltf:") || strings.HasPrefix(o.name, "glb:")) && len(o.data) < 5000 {
			add(o.data)
		}
	}
	f.Fuzz(func(t *testing.T, js, bin []byte) {
		if bin == nil || bytes.HasPrefix(js, []byte("glTF")) {
			fuzzRead(t, js)
			return
		}
		fuzzRead(t, glb(string(js), bin))
	})
}

// Fuzz3MF changes the model inside the package, and packages as they are.
func Fuzz3MF(f *testing.F) {
	for _, o := range oddFiles(false) {
		if strings.HasPrefix(o.name, "3mf:") && len(o.data) < 5000 {
			f.Add(o.data)
			if k := bytes.Index(o.data, []byte("<model")); k >= 0 {
				f.Add(o.data[k:])
			}
		}
	}
	one := object(1, meshXML(threeVerts, threeTri))
	f.Add([]byte(model("", one, `<item objectid="1"/>`)))
	f.Add([]byte(model(`unit="inch" requiredextensions="p"`, one+object(2, `<components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/></components>`), `<item objectid="2" p:path="/3D/3dmodel.model"/>`)))
	f.Fuzz(func(t *testing.T, p []byte) {
		if bytes.HasPrefix(p, []byte("PK")) {
			fuzzRead(t, p)
			return
		}
		fuzzRead(t, threeMF(string(p)))
	})
}
