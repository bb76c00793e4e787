package meshfile

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"github.com/hpinc/go3mf"
	"github.com/hschendel/stl"
	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"moldtally/mesh"
	"moldtally/mesh/shape/real"
)

var formats = []string{"stl", "stl-ascii", "obj", "ply", "ply-ascii", "off", "3mf", "glb"}

// exact says which formats keep float64.
var exact = map[string]bool{"obj": true, "ply-ascii": true, "off": true, "3mf": true}

// ball is a closed mesh of n rings whose corners are awkward numbers.
func ball(t testing.TB, n int, r float64, c mesh.Vec) *mesh.Mesh {
	t.Helper()
	var b mesh.Builder
	at := func(i, j int) int32 {
		th := math.Pi * float64(i) / float64(n)
		ph := math.Pi * float64(j%(2*n)) / float64(n)
		s := math.Sin(th)
		if i == 0 || i == n {
			s, ph = 0, 0
		}
		k, err := b.Vertex(mesh.V(c.X+r*s*math.Cos(ph), c.Y+r*s*math.Sin(ph), c.Z+r*math.Cos(th)))
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	for i := range n {
		for j := range 2 * n {
			p, q, u, v := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			if i < n-1 {
				b.Triangle(p, q, u)
			}
			if i > 0 {
				b.Triangle(p, u, v)
			}
		}
	}
	m, err := b.Build(1)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func written(t testing.TB, format string, m *mesh.Mesh) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, format, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func readBytes(t testing.TB, p []byte) (*mesh.Mesh, Info) {
	t.Helper()
	b, info, err := Read(context.Background(), bytes.NewReader(p), int64(len(p)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	scale := info.Scale
	if scale == 0 {
		scale = 1
	}
	m, err := b.Build(scale)
	if err != nil {
		t.Fatal(err)
	}
	return m, info
}

// sameSurface compares corner by corner, since formats number vertices anew.
func sameSurface(t testing.TB, got, want *mesh.Mesh, tol float64) {
	t.Helper()
	if got.NumTriangles() != want.NumTriangles() || got.NumVertices() != want.NumVertices() {
		t.Fatalf("got %d triangles, %d vertices, want %d, %d", got.NumTriangles(), got.NumVertices(), want.NumTriangles(), want.NumVertices())
	}
	for i := range got.NumTriangles() {
		a, b, c := got.Corners(i)
		x, y, z := want.Corners(i)
		for k, d := range []mesh.Vec{a.Sub(x), b.Sub(y), c.Sub(z)} {
			if !(d.Len() <= tol) {
				t.Fatalf("triangle %d corner %d is off by %g", i, k, d.Len())
			}
		}
	}
}

func TestRoundTrip(t *testing.T) {
	m := ball(t, 40, 37.3, mesh.V(100.1, -20.7, 3.3))
	for _, f := range formats {
		t.Run(f, func(t *testing.T) {
			p := written(t, f, m)
			if !bytes.Equal(p, written(t, f, m)) {
				t.Error("two runs differ")
			}
			got, info := readBytes(t, p)
			if len(info.Findings) > 0 {
				t.Errorf("findings: %v", info.Findings)
			}
			tol := 0.0
			if !exact[f] {
				tol = 150 * 0x1p-23
			}
			sameSurface(t, got, m, tol)
			if f == "3mf" && info.Unit != "mm" || f == "glb" && info.Unit != "m" {
				t.Errorf("unit %q", info.Unit)
			}
		})
	}
}

func TestWriteUnknown(t *testing.T) {
	if err := Write(&bytes.Buffer{}, "step", ball(t, 4, 1, mesh.Vec{})); err == nil {
		t.Error("no error")
	}
	for _, n := range []string{"a.stl", "a.OBJ", "a.b.ply", "x/y.off", "a.3mf", "a.glb"} {
		f, ok := FormatFor(n)
		if !ok || Write(&bytes.Buffer{}, f, ball(t, 4, 1, mesh.Vec{})) != nil {
			t.Errorf("%s: %q, %v", n, f, ok)
		}
	}
	if f, ok := FormatFor("a.step"); ok {
		t.Errorf("step: %q", f)
	}
}

// TestOracles has other people's readers read what we wrote, and us read what
// they write.
func TestOracles(t *testing.T) {
	m := ball(t, 12, 10, mesh.V(1, 2, 3))
	t.Run("stl", func(t *testing.T) {
		for _, f := range []string{"stl", "stl-ascii"} {
			s, err := stl.ReadAll(bytes.NewReader(written(t, f, m)))
			if err != nil {
				t.Fatal(err)
			}
			if len(s.Triangles) != m.NumTriangles() {
				t.Fatalf("%s: %d triangles", f, len(s.Triangles))
			}
			for i, tr := range s.Triangles {
				a, b, c := m.Corners(i)
				for k, v := range []mesh.Vec{a, b, c} {
					w := tr.Vertices[k]
					if w[0] != float32(v.X) || w[1] != float32(v.Y) || w[2] != float32(v.Z) {
						t.Fatalf("%s: triangle %d: got %v, want %v", f, i, w, v)
					}
				}
			}
			for _, ascii := range []bool{false, true} {
				s.IsAscii = ascii
				var b bytes.Buffer
				if err := s.WriteAll(&b); err != nil {
					t.Fatal(err)
				}
				got, _ := readBytes(t, b.Bytes())
				sameSurface(t, got, m, 20*0x1p-23)
			}
		}
	})
	t.Run("glb", func(t *testing.T) {
		doc := new(gltf.Document)
		if err := gltf.NewDecoder(bytes.NewReader(written(t, "glb", m))).Decode(doc); err != nil {
			t.Fatal(err)
		}
		p := doc.Meshes[0].Primitives[0]
		pos, err := modeler.ReadPosition(doc, doc.Accessors[p.Attributes[gltf.POSITION]], nil)
		if err != nil {
			t.Fatal(err)
		}
		idx, err := modeler.ReadIndices(doc, doc.Accessors[*p.Indices], nil)
		if err != nil {
			t.Fatal(err)
		}
		for i := range m.NumTriangles() {
			a, b, c := m.Corners(i)
			for k, v := range []mesh.Vec{a, b, c} {
				w := pos[idx[3*i+k]]
				if w != [3]float32{float32(v.X), float32(v.Y), float32(v.Z)} {
					t.Fatalf("triangle %d: got %v, want %v", i, w, v)
				}
			}
		}
	})
	t.Run("3mf", func(t *testing.T) {
		p := written(t, "3mf", m)
		model := new(go3mf.Model)
		d := go3mf.NewDecoder(bytes.NewReader(p), int64(len(p)))
		if err := d.Decode(model); err != nil {
			t.Fatal(err)
		}
		if err := model.Validate(); err != nil {
			t.Errorf("not valid: %v", err)
		}
		o := model.Resources.Objects[0].Mesh
		if len(o.Triangles.Triangle) != m.NumTriangles() || len(o.Vertices.Vertex) != m.NumVertices() {
			t.Fatalf("%d triangles, %d vertices", len(o.Triangles.Triangle), len(o.Vertices.Vertex))
		}
		for i, v := range o.Vertices.Vertex {
			w := m.Vertices()[i]
			if v != (go3mf.Point3D{float32(w.X), float32(w.Y), float32(w.Z)}) {
				t.Fatalf("vertex %d: got %v, want %v", i, v, w)
			}
		}
	})
}

// TestOraclesRead compares our 3MF and STL readers with the others on real files.
func TestOraclesRead(t *testing.T) {
	dir := real.Folder(t, "what readers make of real files, against other readers")
	for _, n := range []string{"heart_gears.3mf", "dodeca_chain.3mf"} {
		model := new(go3mf.Model)
		r, err := go3mf.OpenReader(filepath.Join(dir, n))
		if err != nil {
			t.Fatal(err)
		}
		if err := r.Decode(model); err != nil {
			t.Fatal(err)
		}
		r.Close()
		b, _, err := Open(context.Background(), filepath.Join(dir, n), Options{})
		if err != nil {
			t.Fatal(err)
		}
		o := model.Resources.Objects[0].Mesh
		for i, tr := range o.Triangles.Triangle {
			c := b.Corners(i)
			for k, j := range []uint32{tr.V1, tr.V2, tr.V3} {
				v, w := b.At(c[k]), o.Vertices.Vertex[j]
				if float32(v.X) != w[0] || float32(v.Y) != w[1] || float32(v.Z) != w[2] {
					t.Fatalf("%s: triangle %d: got %v, want %v", n, i, v, w)
				}
			}
		}
	}
	names, _ := filepath.Glob(filepath.Join(dir, "*.stl"))
	for _, n := range names {
		s, err := stl.ReadFile(n)
		if err != nil || filepath.Base(n) == "two_bodies_flipped.stl" { // it drops the second solid
			continue
		}
		b, _, err := Open(context.Background(), n, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Triangles) != b.NumTriangles() {
			t.Errorf("%s: got %d, the other reader %d", n, b.NumTriangles(), len(s.Triangles))
			continue
		}
		for i, tr := range s.Triangles {
			c := b.Corners(i)
			for k := range 3 {
				v, w := b.At(c[k]), tr.Vertices[k]
				if float32(v.X) != w[0] || float32(v.Y) != w[1] || float32(v.Z) != w[2] {
					t.Fatalf("%s: triangle %d: got %v, want %v", n, i, v, w)
				}
			}
		}
	}
}

// TestTransforms holds the placing of parts against hand-worked numbers.
func TestTransforms(t *testing.T) {
	read := func(p []byte) (*mesh.Mesh, Info) {
		b, info, err := Read(context.Background(), bytes.NewReader(p), int64(len(p)), Options{})
		if err != nil {
			t.Fatal(err)
		}
		m, err := b.Build(1)
		if err != nil {
			t.Fatal(err)
		}
		return m, info
	}
	corners := func(m *mesh.Mesh) string {
		var s []string
		for i := range m.NumTriangles() {
			a, b, c := m.Corners(i)
			s = append(s, fmt.Sprint(a, b, c))
		}
		return strings.Join(s, " ")
	}
	h := math.Sqrt2 / 2
	one := object(1, meshXML(threeVerts, threeTri))
	for _, c := range []struct {
		name string
		data []byte
		want string
		unit string
	}{
		// Row vectors: x' = x m00 + y m10 + z m20 + m30.
		{"3mf item", threeMF(model(`unit="inch"`, one, `<item objectid="1" transform="0 1 0 -1 0 0 0 0 1 10 20 30"/>`)), "{10 20 30} {10 21 30} {9 20 30}", "in"},
		// The component's transform acts first, then the item's.
		{"3mf component in item", threeMF(model(`unit="meter"`, one+object(2, `<components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/></components>`), `<item objectid="2" transform="0 1 0 -1 0 0 0 0 1 0 0 0"/>`)), "{0 5 0} {0 6 0} {-1 5 0}", "m"},
		// A mirror keeps the surface facing outward: corners swap.
		{"3mf mirror", threeMF(model("", one, `<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>`)), "{0 0 0} {0 1 0} {-1 0 0}", "mm"},
		// Column-major matrix of a quarter turn about z, then the parent's shift.
		{"gltf matrix in translation", gl{nodes: `[{"translation":[0,0,7],"children":[1]},{"mesh":0,"matrix":[0,1,0,0,-1,0,0,0,0,0,1,0,10,20,30,1]}]`}.gltf(), "{10 20 37} {10 21 37} {9 20 37}", "m"},
		// Scale first, then rotation (half turn about y), then translation.
		{"gltf trs", gl{nodes: `[{"mesh":0,"translation":[1,1,1],"rotation":[0,1,0,0],"scale":[2,3,4]}]`}.gltf(), "{1 1 1} {-1 1 1} {1 4 1}", "m"},
		{"gltf mirror", gl{nodes: `[{"mesh":0,"scale":[-1,1,1]}]`}.gltf(), "{0 0 0} {0 1 0} {-1 0 0}", "m"},
		{"gltf sparse", gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0}}]}]`,
			accessors: `[{"componentType":5126,"count":3,"type":"VEC3","sparse":{"count":2,"indices":{"bufferView":1,"componentType":5123,"byteOffset":2},"values":{"bufferView":0,"byteOffset":12}}}]`}.gltf(), "{0 0 0} {1 0 0} {0 1 0}", "m"},
		{"gltf normalised bytes", gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0}}]}]`, ext: `,"extensionsRequired":["KHR_mesh_quantization"]`,
			accessors: `[{"bufferView":0,"componentType":5120,"normalized":true,"count":3,"type":"VEC3"}]`, views: `[{"buffer":0,"byteLength":12,"byteStride":4}]`,
			buffers: `[{"byteLength":12,"uri":"data:;base64,gIEAAH8AAAAAfwAA"}]`}.gltf(), "{-1 -1 0} {1 0 0} {0 1 0}", "m"},
		{"gltf shorts as they are", gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0}}]}]`, ext: `,"extensionsRequired":["KHR_mesh_quantization"]`,
			accessors: `[{"bufferView":0,"componentType":5122,"count":3,"type":"VEC3"}]`, views: `[{"buffer":0,"byteLength":24,"byteStride":8}]`,
			buffers: `[{"byteLength":24,"uri":"data:;base64,AAAAAAAAAADoAwAAAAAAAAAA6AMAAAAA"}]`}.gltf(), "{0 0 0} {1000 0 0} {0 1000 0}", "m"},
	} {
		m, info := read(c.data)
		if got := corners(m); got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, got, c.want)
		}
		if info.Unit != c.unit {
			t.Errorf("%s: unit %q, want %q", c.name, info.Unit, c.unit)
		}
	}
	// An eighth turn: to rounding.
	m, _ := read(gl{nodes: fmt.Sprintf(`[{"mesh":0,"rotation":[0,0,%v,%v]}]`, math.Sin(math.Pi/8), math.Cos(math.Pi/8))}.gltf())
	if _, b, _ := m.Corners(0); b.Sub(mesh.V(h, h, 0)).Len() > 1e-15 {
		t.Errorf("eighth turn: got %v", b)
	}
}

// TestPolygons holds polygon cutting against areas: triangles must add up to
// the polygon and none may be turned over.
func TestPolygons(t *testing.T) {
	for _, c := range []struct {
		name string
		p    []mesh.Vec
		area float64
	}{
		{"square", []mesh.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, 1},
		{"arrow from its notch's side", []mesh.Vec{{X: 4}, {X: 0, Y: 4}, {X: 1}, {X: 0, Y: -4}}, 12},
		{"arrow, first corner far from the notch", []mesh.Vec{{Y: 4}, {X: 1}, {Y: -4}, {X: 4}}, 12},
		{"L", []mesh.Vec{{X: 2}, {X: 2, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 2}, {Y: 2}, {}}, 3},
		{"comb", []mesh.Vec{{X: 5}, {X: 5, Y: 3}, {X: 4, Y: 3}, {X: 4, Y: 1}, {X: 3, Y: 1}, {X: 3, Y: 3}, {X: 2, Y: 3}, {X: 2, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 3}, {Y: 3}, {}}, 11},
		{"points on a line", []mesh.Vec{{}, {X: 1}, {X: 2}, {X: 2, Y: 1}, {X: 1, Y: 1}, {Y: 1}}, 2},
	} {
		for _, turn := range []mesh.Vec{{Z: 1}, {X: 1}, {Y: 1}, mesh.V(1, 2, 3).Unit(), mesh.V(-3, 1, -2).Unit()} {
			e1, e2 := mesh.Basis(turn)
			for _, back := range []bool{false, true} {
				for start := range c.p {
					var p []mesh.Vec
					for i := range c.p {
						k := (start + i) % len(c.p)
						if back {
							k = len(c.p) - 1 - k
						}
						v := c.p[k]
						p = append(p, e1.Mul(v.X).Add(e2.Mul(v.Y)).Add(turn.Mul(7)))
					}
					var s splitter
					tris, even := s.split(p)
					if !even || len(tris) != len(p)-2 {
						t.Fatalf("%s: even %v, %d triangles", c.name, even, len(tris))
					}
					var sum mesh.Vec
					total := 0.0
					for _, q := range tris {
						a := p[q[1]].Sub(p[q[0]]).Cross(p[q[2]].Sub(p[q[0]])).Mul(0.5)
						sum, total = sum.Add(a), total+a.Len()
					}
					if math.Abs(total-c.area) > 1e-9 || math.Abs(sum.Len()-c.area) > 1e-9 {
						t.Errorf("%s turned to %v from corner %d: area %v, folded %v, want %v", c.name, turn, start, sum.Len(), total, c.area)
					}
				}
			}
		}
	}
	// Random star-shaped outlines.
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		n := 4 + rng.IntN(60)
		var p []mesh.Vec
		want := 0.0
		for i := range n {
			r, a := 1+4*rng.Float64(), 2*math.Pi*float64(i)/float64(n)
			p = append(p, mesh.V(r*math.Cos(a), r*math.Sin(a), 0))
		}
		for i := range n {
			want += p[i].Cross(p[(i+1)%n]).Z / 2
		}
		var s splitter
		tris, even := s.split(p)
		got := 0.0
		for _, q := range tris {
			got += math.Abs(p[q[1]].Sub(p[q[0]]).Cross(p[q[2]].Sub(p[q[0]])).Z) / 2
		}
		if !even || math.Abs(got-want) > 1e-9*want {
			t.Fatalf("n %d: even %v, area %v, want %v", n, even, got, want)
		}
	}
}

// TestTruncation cuts files at every byte: nothing shorter than the whole may
// pass for the whole without a word. (An OBJ cannot tell, it has no counts.)
func TestTruncation(t *testing.T) {
	m := ball(t, 4, 3, mesh.V(1, 2, 3))
	for _, f := range []string{"stl", "stl-ascii", "ply", "ply-ascii", "off", "3mf", "glb"} {
		p := written(t, f, m)
		whole := len(p)
		if f == "off" || f == "ply-ascii" {
			// Within its last number a text cannot tell either.
			whole = bytes.LastIndexByte(p, ' ') + 2
		}
		if f == "stl-ascii" {
			// The closing line may lack its name.
			whole = bytes.LastIndex(p, []byte("endsolid")) + len("endsolid")
		}
		for n := range whole {
			_, info, err := Read(context.Background(), bytes.NewReader(p[:n]), int64(n), Options{})
			if err == nil && len(info.Findings) == 0 {
				t.Errorf("%s cut at %d of %d passes for whole", f, n, len(p))
			}
			if err != nil {
				faultOf(t, err)
			}
		}
	}
}
