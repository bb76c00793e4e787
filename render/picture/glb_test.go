package picture

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"sync"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
	"moldtally/render/figure"
)

// tallied runs the whole job over a mesh, as the command does.
func tallied(t testing.TB, m *mesh.Mesh, job estimate.Job) *estimate.Session {
	t.Helper()
	s, err := estimate.Tally(context.Background(), m, job, estimate.Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func upright() estimate.Up { return estimate.Up{Dir: mesh.V(0, 0, 1)} }

// partedSession is a leaning ellipsoid in two parts, far from the file's
// origin. It is made once, and only read.
func partedSession(t testing.TB) *estimate.Session {
	t.Helper()
	s, err := partedOnce()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var partedOnce = sync.OnceValues(func() (*estimate.Session, error) {
	m := shape.Translate(shape.Rotate(shape.Ellipsoid(30, 20, 14, 32), mesh.V(1, 0, 0), 0.4), mesh.V(5000, -3000, 2000))
	return estimate.Tally(context.Background(), m, estimate.Job{Mold: "two-part", Up: upright(), Resolution: 0.8,
		Source: estimate.Source{File: "egg.stl", Units: "mm"}}, estimate.Options{Version: "test"})
})

func glbOf(t testing.TB, s *estimate.Session) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteGLB(context.Background(), &b, s, GLBOptions{}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// scene read back by an independent reader.
type readGLB struct {
	t   *testing.T
	doc *gltf.Document
}

func readBack(t *testing.T, raw []byte) *readGLB {
	t.Helper()
	doc := new(gltf.Document)
	if err := gltf.NewDecoder(bytes.NewReader(raw)).Decode(doc); err != nil {
		t.Fatal(err)
	}
	return &readGLB{t, doc}
}

// node returns a node by name, nil if there is none; two are an error.
func (r *readGLB) node(name string) *gltf.Node {
	r.t.Helper()
	var found *gltf.Node
	for _, n := range r.doc.Nodes {
		if n.Name == name {
			if found != nil {
				r.t.Errorf("two nodes are called %q", name)
			}
			found = n
		}
	}
	return found
}

func (r *readGLB) names() []string {
	var l []string
	for _, k := range r.doc.Nodes[r.doc.Scenes[*r.doc.Scene].Nodes[0]].Children {
		l = append(l, r.doc.Nodes[k].Name)
	}
	return l
}

func (r *readGLB) positions(p *gltf.Primitive) [][3]float32 {
	r.t.Helper()
	a := r.doc.Accessors[p.Attributes[gltf.POSITION]]
	v, err := modeler.ReadPosition(r.doc, a, nil)
	if err != nil {
		r.t.Fatal(err)
	}
	lo, hi := v[0], v[0]
	for _, q := range v {
		for k := range q {
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	for k := range lo {
		if a.Min[k] != float64(lo[k]) || a.Max[k] != float64(hi[k]) {
			r.t.Errorf("accessor says %v to %v, the places run from %v to %v", a.Min, a.Max, lo, hi)
			break
		}
	}
	return v
}

func (r *readGLB) indices(p *gltf.Primitive) []uint32 {
	r.t.Helper()
	i, err := modeler.ReadIndices(r.doc, r.doc.Accessors[*p.Indices], nil)
	if err != nil {
		r.t.Fatal(err)
	}
	return i
}

func (r *readGLB) floats(p *gltf.Primitive, name string) []float32 {
	r.t.Helper()
	k, ok := p.Attributes[name]
	if !ok {
		r.t.Fatalf("no attribute %s", name)
	}
	v, err := modeler.ReadAccessor(r.doc, r.doc.Accessors[k], nil)
	if err != nil {
		r.t.Fatal(err)
	}
	return v.([]float32)
}

// volume is the volume that the faces of nodes enclose, mm³, positive where
// they are wound outward.
func (r *readGLB) volume(names ...string) float64 {
	r.t.Helper()
	var six float64
	for _, name := range names {
		n := r.node(name)
		if n == nil {
			continue
		}
		for _, p := range r.doc.Meshes[*n.Mesh].Primitives {
			v, idx := r.positions(p), r.indices(p)
			at := func(i uint32) mesh.Vec {
				return mesh.V(float64(v[i][0]), float64(v[i][1]), float64(v[i][2])).Mul(1000)
			}
			for k := 0; k < len(idx); k += 3 {
				six += at(idx[k]).Dot(at(idx[k+1]).Cross(at(idx[k+2])))
			}
		}
	}
	return six / 6
}

// extras decodes what a node carries.
func (r *readGLB) extras(name string, into any) {
	r.t.Helper()
	n := r.node(name)
	if n == nil {
		r.t.Fatalf("no node %q among %v", name, r.names())
	}
	raw, err := json.Marshal(n.Extras)
	if err == nil {
		err = json.Unmarshal(raw, into)
	}
	if err != nil {
		r.t.Fatal(err)
	}
}

// The container of the format, byte by byte, by the specification: a head, a
// chunk of JSON padded with blanks, a chunk of data padded with zeros; every
// view inside the data and aligned; only things that are used.
func TestGLBForm(t *testing.T) {
	for name, s := range glbSessions(t) {
		t.Run(name, func(t *testing.T) {
			raw := glbOf(t, s)
			word := func(at int) int { return int(binary.LittleEndian.Uint32(raw[at:])) }
			if string(raw[:4]) != "glTF" || word(4) != 2 || word(8) != len(raw) {
				t.Fatalf("head % x for %d bytes", raw[:12], len(raw))
			}
			n := word(12)
			if string(raw[16:20]) != "JSON" || n%4 != 0 || 20+n+8 > len(raw) {
				t.Fatalf("chunk % x", raw[12:20])
			}
			m := word(20 + n)
			if string(raw[24+n:28+n]) != "BIN\x00" || m%4 != 0 || 28+n+m != len(raw) {
				t.Fatalf("chunk % x", raw[20+n:28+n])
			}
			var doc struct {
				BufferViews []struct{ ByteOffset, ByteLength, Target int }
				Accessors   []struct {
					BufferView, ComponentType, Count int
					Type                             string
				}
				Buffers   []struct{ ByteLength int }
				Materials []any
				Meshes    []struct {
					Primitives []struct {
						Attributes map[string]int
						Indices    *int
						Material   int
					}
				}
			}
			if err := json.Unmarshal(raw[20:20+n], &doc); err != nil {
				t.Fatal(err)
			}
			if len(doc.Buffers) != 1 || doc.Buffers[0].ByteLength != m {
				t.Errorf("buffers %v for %d bytes", doc.Buffers, m)
			}
			size := map[int]int{5123: 2, 5125: 4, 5126: 4}
			parts := map[string]int{"SCALAR": 1, "VEC3": 3, "VEC4": 4}
			end := 0
			for k, v := range doc.BufferViews {
				if v.ByteOffset != end || v.ByteOffset%4 != 0 {
					t.Errorf("view %d begins at %d, the last ends at %d", k, v.ByteOffset, end)
				}
				end = v.ByteOffset + v.ByteLength
			}
			if end != m {
				t.Errorf("views end at %d of %d", end, m)
			}
			used := map[int]bool{}
			ink := map[int]bool{}
			for k, a := range doc.Accessors {
				used[a.BufferView] = true
				if want := a.Count * size[a.ComponentType] * parts[a.Type]; want == 0 || doc.BufferViews[a.BufferView].ByteLength != want {
					t.Errorf("accessor %d takes %d bytes of a view of %d", k, want, doc.BufferViews[a.BufferView].ByteLength)
				}
			}
			for _, x := range doc.Meshes {
				for _, p := range x.Primitives {
					ink[p.Material] = true
					count := doc.Accessors[p.Attributes["POSITION"]].Count
					for name, a := range p.Attributes {
						if doc.Accessors[a].Count != count || doc.BufferViews[doc.Accessors[a].BufferView].Target != 34962 {
							t.Errorf("%s does not go with the places", name)
						}
					}
					if p.Indices == nil {
						continue
					}
					a := doc.Accessors[*p.Indices]
					v := doc.BufferViews[a.BufferView]
					if a.ComponentType != 5125 || v.Target != 34963 {
						t.Errorf("corner numbers of type %d for target %d", a.ComponentType, v.Target)
					}
					for i := range a.Count {
						if x := word(28 + n + v.ByteOffset + 4*i); x >= count {
							t.Fatalf("corner %d of %d", x, count)
						}
					}
				}
			}
			if len(used) != len(doc.BufferViews) || len(ink) != len(doc.Materials) {
				t.Errorf("%d of %d views and %d of %d materials are used", len(used), len(doc.BufferViews), len(ink), len(doc.Materials))
			}
		})
	}
}

// glbSessions has one of each kind.
func glbSessions(t testing.TB) map[string]*estimate.Session {
	return map[string]*estimate.Session{
		"finial": finialSession(t), "arch": archSession(t), "tile": tileSession(t), "blanket": blanketSession(t), "parted": partedSession(t),
		"bare": {Mesh: shape.Torus(40, 12, 48, 24)}, "inside out": {Mesh: shape.Flip(shape.Cube(20))},
		"turned": {Mesh: shape.Sphere(20, 24), Solid: solidtest.Of(t, shape.FlipSome(shape.Sphere(20, 24), func(k int) bool { return k%7 == 0 }))},
	}
}

// Nodes, winding and volume against closed figures and the solid's own.
func TestGLBNodes(t *testing.T) {
	want := map[string][]string{
		"finial": {"pattern", "container", "fill line"}, "arch": {"pattern", "patches", "container", "fill line"},
		"tile": {"pattern", "container", "fill line"}, "blanket": {"pattern", "container"},
		"parted": {"pattern", "container", "fill line", "parting line"}, "bare": {"pattern"}, "inside out": {"pattern"}, "turned": {"pattern"},
	}
	for name, s := range glbSessions(t) {
		t.Run(name, func(t *testing.T) {
			r := readBack(t, glbOf(t, s))
			if got := r.names(); !slices.Equal(got, want[name]) {
				t.Errorf("nodes %q, want %q", got, want[name])
			}
			volume := math.Abs(shape.Volume(s.Mesh))
			if s.Solid != nil {
				volume = float64(s.Solid.Displaced.Value)
			}
			if got := r.volume("pattern", "patches"); math.Abs(got/volume-1) > 1e-5 {
				t.Errorf("encloses %.3f mm³, want %.3f", got, volume)
			}
			if c := r.node("container"); c != nil {
				p := r.doc.Meshes[*c.Mesh].Primitives[0]
				if m := r.doc.Materials[*p.Material]; m.AlphaMode != gltf.AlphaBlend || m.PBRMetallicRoughness.BaseColorFactor[3] > 0.5 {
					t.Errorf("the container is not glass: %+v", m)
				}
			}
		})
	}
}

// The places are the pattern's: through the matrix in the root every vertex is
// found again in its own millimeters, though the pattern stands kilometers off
// in its file, and the heights above the container's floor are right.
func TestGLBPlaces(t *testing.T) {
	for name, s := range map[string]*estimate.Session{"parted": partedSession(t), "tile": tileSession(t)} {
		r := readBack(t, glbOf(t, s))
		var root struct {
			M    [16]float64 `json:"to_pattern_mm"`
			Up   [3]float64  `json:"up"`
			File string      `json:"file"`
		}
		r.extras("mold", &root)
		if root.File != s.Plan.Pattern.File {
			t.Errorf("%s: file %q", name, root.File)
		}
		v := r.positions(r.doc.Meshes[*r.node("pattern").Mesh].Primitives[0])
		verts := s.Solid.Surface().Vertices()
		if len(v) != len(verts) {
			t.Fatalf("%s: %d places for %d vertices", name, len(v), len(verts))
		}
		m := root.M
		for i, p := range v {
			x, y, z := float64(p[0]), float64(p[1]), float64(p[2])
			got := mesh.V(m[0]*x+m[4]*y+m[8]*z+m[12], m[1]*x+m[5]*y+m[9]*z+m[13], m[2]*x+m[6]*y+m[10]*z+m[14])
			if d := got.Sub(verts[i]).Len(); d > 1e-4 {
				t.Fatalf("%s: vertex %v comes back as %v", name, verts[i], got)
			}
			if h := verts[i].Sub(vec(s.Fit.Center)).Dot(vec(s.Fit.Up)); math.Abs(h-1000*y) > 1e-4 {
				t.Fatalf("%s: vertex at height %g stands at %g m", name, h, y)
			}
		}
	}
}

// Colors, paths and regions, vertex by vertex, against the report.
func TestGLBVertices(t *testing.T) {
	m := shape.Merge(shape.Mushroom(18, 10, 10, 40, 64), shape.Translate(shape.Mushroom(30, 10, 10, 40, 64), mesh.V(80, 0, 0)))
	s := tallied(t, m, estimate.Job{Up: upright(), Mold: "block", Resolution: 1, Source: estimate.Source{File: "two.stl", Units: "mm"}})
	r := readBack(t, glbOf(t, s))
	p := r.doc.Meshes[*r.node("pattern").Mesh].Primitives[0]
	path, region := r.floats(p, "_PATH_MM"), r.floats(p, "_REGION")
	raw, err := modeler.ReadAccessor(r.doc, r.doc.Accessors[p.Attributes[gltf.COLOR_0]], nil)
	if err != nil {
		t.Fatal(err)
	}
	colors := raw.([][4]uint16)
	top, _ := figure.NiceScale(*s.Report.UndercutPath)
	var most [3]float64
	for i := range path {
		if path[i] != s.Report.VertexPath[i] || region[i] != float32(s.Report.VertexRegion[i]) {
			t.Fatalf("vertex %d: path %g region %g, the report has %g and %d", i, path[i], region[i], s.Report.VertexPath[i], s.Report.VertexRegion[i])
		}
		most[int(region[i])] = max(most[int(region[i])], float64(path[i]))
		c := rampAt(float64(path[i]) / top)
		for k, want := range []float64{c.r, c.g, c.b, 1} {
			if got := float64(colors[i][k]) / 65535; math.Abs(got-want) > 1e-5 {
				t.Fatalf("vertex %d of path %g: channel %d is %.5f, want %.5f", i, path[i], k, got, want)
			}
		}
	}
	var extras struct {
		Path    *float64 `json:"undercut_path_mm"`
		Top     float64  `json:"color_scale_top_mm"`
		Regions []struct {
			ID     int
			Kind   string
			Path   *float64   `json:"path_mm"`
			Depth  float64    `json:"depth_mm"`
			At     [3]float64 `json:"at"`
			AtMM   [3]float64 `json:"at_mm"`
			Locked bool
		}
	}
	r.extras("pattern", &extras)
	if len(extras.Regions) != len(s.Report.Regions) || len(extras.Regions) < 2 || extras.Top != top || *extras.Path != *s.Report.UndercutPath {
		t.Fatalf("extras %+v", extras)
	}
	for k, g := range extras.Regions {
		w := s.Report.Regions[k]
		if g.ID != w.ID || g.Kind != string(w.Kind) || *g.Path != *w.Path || g.Depth != w.Depth || g.AtMM != w.At || g.Locked {
			t.Errorf("region %+v, want %+v", g, w)
		}
		if h := vec(w.At).Sub(vec(s.Fit.Center)).Dot(vec(s.Fit.Up)); math.Abs(1000*g.At[1]-h) > 1e-3 {
			t.Errorf("region %d stands at %g m, want %g mm", g.ID, g.At[1], h)
		}
		if math.Abs(most[g.ID]-*g.Path) > 2*s.Report.Uncertainty {
			t.Errorf("region %d: its vertices reach %g, it reaches %g", g.ID, most[g.ID], *g.Path)
		}
	}
}

// What is locked has no number that glTF could not hold.
func TestGLBLocked(t *testing.T) {
	s := archSession(t)
	r := readBack(t, glbOf(t, s))
	p := r.doc.Meshes[*r.node("pattern").Mesh].Primitives[0]
	locked, free := 0, 0
	for i, x := range r.floats(p, "_PATH_MM") {
		switch want := float64(s.Report.VertexPath[i]); {
		case math.IsInf(want, 1):
			locked++
			if x != -1 {
				t.Fatalf("locked vertex has %g", x)
			}
		default:
			free++
			if float64(x) != want {
				t.Fatalf("vertex has %g, want %g", x, want)
			}
		}
	}
	if locked == 0 || free == 0 {
		t.Fatalf("%d locked, %d free", locked, free)
	}
}

// Our own reader takes it for what it was: the same size and volume, in
// millimeters, upright by the file's own up.
func TestGLBReadByMeshfile(t *testing.T) {
	s := finialSession(t)
	s.Fit, s.Plan.Container = nil, nil
	raw := glbOf(t, s)
	b, info, err := meshfile.Read(context.Background(), bytes.NewReader(raw), int64(len(raw)), meshfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := b.Build(info.Scale)
	if err != nil {
		t.Fatal(err)
	}
	if info.Format != "GLB" {
		t.Errorf("format %q", info.Format)
	}
	if err := shape.CheckClosed(m); err != nil {
		t.Error(err)
	}
	if got, want := shape.Volume(m), shape.Volume(s.Mesh); math.Abs(got/want-1) > 1e-5 {
		t.Errorf("volume %g, want %g", got, want)
	}
	if got, want := m.Size(), s.Mesh.Size(); got.Sub(want).Len() > 1e-3 && got.Sub(mesh.V(want.X, want.Z, want.Y)).Len() > 1e-3 {
		t.Errorf("size %v, want %v, or with Y up", got, want)
	}
}

// The parting line of a leaning ellipsoid is one closed line at its silhouette;
// here against the report's points, and the glass against the fit's figures.
func TestGLBLines(t *testing.T) {
	s := partedSession(t)
	r := readBack(t, glbOf(t, s))
	var c boxfit.Fit
	r.extras("container", &c)
	if c.Kind != s.Fit.Kind || c.FillHeight != s.Fit.FillHeight || c.Capacity != s.Fit.Capacity {
		t.Errorf("container %+v, want %+v", c, s.Fit)
	}
	fill := r.doc.Meshes[*r.node("fill line").Mesh].Primitives[0]
	if fill.Mode != gltf.PrimitiveLineLoop {
		t.Errorf("fill line is mode %v", fill.Mode)
	}
	for _, p := range r.positions(fill) {
		if math.Abs(1000*float64(p[1])-s.Fit.FillHeight) > 1e-3 {
			t.Fatalf("fill line at %g m, want %g mm", p[1], s.Fit.FillHeight)
		}
	}
	line := r.doc.Meshes[*r.node("parting line").Mesh].Primitives[0]
	if line.Mode != gltf.PrimitiveLines {
		t.Errorf("parting line is mode %v", line.Mode)
	}
	v, idx := r.positions(line), r.indices(line)
	var got float64
	for k := 0; k < len(idx); k += 2 {
		a, b := v[idx[k]], v[idx[k+1]]
		got += 1000 * mesh.V(float64(a[0]-b[0]), float64(a[1]-b[1]), float64(a[2]-b[2])).Len()
	}
	if math.Abs(got/(*s.Report.Parting.Length)-1) > 1e-4 {
		t.Errorf("parting line of %g mm, the report has %g", got, *s.Report.Parting.Length)
	}
	var x struct {
		Length *float64 `json:"length_mm"`
	}
	r.extras("parting line", &x)
	if *x.Length != *s.Report.Parting.Length {
		t.Errorf("extras say %g", *x.Length)
	}
}

// The halves of a parted mold, vertex by vertex, against the report; a leaning
// ellipsoid has as many above its line as below.
func TestGLBHalves(t *testing.T) {
	s := partedSession(t)
	r := readBack(t, glbOf(t, s))
	half := r.floats(r.doc.Meshes[*r.node("pattern").Mesh].Primitives[0], "_HALF")
	if len(half) != len(s.Report.VertexHalf) {
		t.Fatalf("%d halves, the report has %d", len(half), len(s.Report.VertexHalf))
	}
	var count [5]int
	for i, h := range half {
		if h != float32(s.Report.VertexHalf[i]) {
			t.Fatalf("vertex %d: half %g, the report has %d", i, h, s.Report.VertexHalf[i])
		}
		count[int(h)]++
	}
	if n := len(half); count[1] < n*2/5 || count[2] < n*2/5 || count[4] > 0 {
		t.Errorf("of %d vertices none, upper, lower, either, trapped: %v", n, count)
	}
}

func TestGLBSameBytes(t *testing.T) {
	m := shape.Mushroom(18, 10, 10, 40, 64)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	var one []byte
	for _, n := range []int{1, 8} {
		runtime.GOMAXPROCS(n)
		got := glbOf(t, tallied(t, m, estimate.Job{Up: upright(), Resolution: 1}))
		if one == nil {
			one = got
		}
		if !bytes.Equal(got, one) {
			t.Errorf("%d cores give other bytes than one", n)
		}
	}
}

type fullDisk struct{ left int }

var errFull = errors.New("no room")

func (f *fullDisk) Write(p []byte) (int, error) {
	if len(p) > f.left {
		return f.left, errFull
	}
	f.left -= len(p)
	return len(p), nil
}

func TestGLBRefuses(t *testing.T) {
	s := finialSession(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := WriteGLB(ctx, io.Discard, s, GLBOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
	for _, room := range []int{0, 100, 100_000} {
		if err := WriteGLB(context.Background(), &fullDisk{room}, s, GLBOptions{}); !errors.Is(err, errFull) {
			t.Errorf("%d bytes of room: got %v", room, err)
		}
	}
	none := mesh.New([]mesh.Vec{{}, {X: 1}}, [][3]int32{{0, 1, 1}})
	for name, s := range map[string]*estimate.Session{"nil": nil, "empty": {}, "collapsed": {Mesh: none, Report: &demold.Report{}}} {
		if err := WriteGLB(context.Background(), io.Discard, s, GLBOptions{}); err == nil {
			t.Errorf("%s: written without an error", name)
		}
	}
}

func BenchmarkWriteGLB(b *testing.B) {
	for _, n := range []int{100, 500} {
		s := &estimate.Session{Mesh: shape.Sphere(50, n)}
		s.Report = &demold.Report{VertexPath: make([]float32, s.Mesh.NumVertices()), UndercutPath: ptr(0.0)}
		b.Run(fmt.Sprint(s.Mesh.NumTriangles(), " triangles"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := WriteGLB(context.Background(), io.Discard, s, GLBOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
