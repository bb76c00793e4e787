package meshfile

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// glTF 2.0 (Khronos, ISO/IEC 12113:2022, recalled, not opened). The JSON
// document and the numbers are the library's; counts and offsets, which it
// trusts, are checked here before.

// Limits of a scene: the deepest tree of nodes followed, and the most pieces
// of surface placed. Far above any assembly met so far; own choice, no source.
const (
	glMaxDepth  = 1000
	glMaxPlaced = 250_000
)

// ownGenerator is what the models that this program draws are signed with. They
// hold the container's glass beside the pattern, and that is no pattern.
const ownGenerator = "moldtally"

// glReader reads one document.
type glReader struct {
	s      *source
	doc    *gltf.Document
	bin    *io.SectionReader // of a GLB, may be nil
	bufs   []io.ReaderAt     // per buffer, nil = not opened
	lens   []int64
	root   *os.Root
	copies int    // triangles that may still be placed
	visits int    // primitives placed so far
	seen   []bool // nodes
	welded []int32
	points int
	posed  bool
	inst   bool
	strays int
	open   []*os.File // side files
}

func (s *source) readGLB() error {
	s.info.Format = "GLB"
	if s.size < 20 {
		return s.fail(effPart, hintCut, "is cut off: it ends in its head")
	}
	h := make([]byte, 20)
	if err := s.readAt(h, 0); err != nil {
		return err
	}
	version, total := binary.LittleEndian.Uint32(h[4:]), int64(binary.LittleEndian.Uint32(h[8:]))
	if version != 2 {
		return s.fail(effNone, "export it as glTF 2.0, or as STL or 3MF", "is written in version %d of GLB; only version 2 is read", version)
	}
	if total > s.size {
		return s.fail(effPart, hintCut, "is cut off: the header promises %s, the file holds %s", bytesize(total), bytesize(s.size))
	}
	if total < s.size {
		s.note(CodeTrailing, finding.Note, Trailing{s.name, s.size - total, AfterEnd})
	}
	jlen := int64(binary.LittleEndian.Uint32(h[12:]))
	if string(h[16:20]) != "JSON" || 20+jlen > total {
		return s.fail(effGarbled, hintAgain, "is damaged: its description is missing or longer than the file")
	}
	js := make([]byte, jlen)
	if err := s.readAt(js, 20); err != nil {
		return err
	}
	var bin *io.SectionReader
	at := 20 + jlen
	for at+8 <= total {
		if err := s.readAt(h[:8], at); err != nil {
			return err
		}
		n := int64(binary.LittleEndian.Uint32(h))
		at += 8
		if n > total-at {
			return s.fail(effPart, hintCut, "is cut off: a part of it is longer than the file")
		}
		if string(h[4:8]) == "BIN\x00" {
			bin = io.NewSectionReader(s.r, at, n)
			break
		}
		at += n
	}
	return s.readDoc(js, bin)
}

func (s *source) readGLTF() error {
	s.info.Format = "glTF"
	js := make([]byte, s.size)
	for off := int64(0); off < s.size; off += 1 << 20 {
		if err := s.readAt(js[off:min(off+1<<20, s.size)], off); err != nil {
			return err
		}
	}
	return s.readDoc(js[bom(js):], nil)
}

// jsonObjects counts braces and brackets outside strings, so that a document
// of a million empty nodes is refused before each becomes a structure.
func jsonObjects(p []byte) (n int64) {
	for i := 0; i < len(p); i++ {
		switch p[i] {
		case '{', '[':
			n++
		case '"':
			for {
				k := bytes.IndexAny(p[i+1:], `"\`)
				if k < 0 {
					return n
				}
				i += 1 + k
				if p[i] == '"' {
					break
				}
				i++
				if i >= len(p) {
					return n
				}
			}
		}
	}
	return n
}

// decodeDoc is the seam to the library: whatever it does with hostile JSON,
// an error comes back.
func decodeDoc(js []byte) (doc *gltf.Document, err error) {
	defer func() {
		if r := recover(); r != nil {
			doc, err = nil, fmt.Errorf("gltf: %v", r)
		}
	}()
	doc = new(gltf.Document)
	// The decoder of the library would load the buffers too.
	err = json.Unmarshal(js, doc)
	return doc, err
}

func (s *source) readDoc(js []byte, bin *io.SectionReader) error {
	js = bytes.TrimRight(js, " \x00\r\n\t")
	if n := jsonObjects(js); n > 50_000+int64(len(js))/16 {
		return s.fail(effRefused, hintExport, "has a description of %s entries, which is not a mesh's", count(n))
	}
	doc, err := decodeDoc(js)
	if err != nil {
		var syn *json.SyntaxError
		if errors.As(err, &syn) && syn.Offset >= int64(len(js)) {
			return s.fail(effPart, hintCut, "is cut off: its description does not end")
		}
		if s.info.Format == "glTF" && !bytes.Contains(js[:min(len(js), 1<<20)], []byte(`"asset"`)) {
			return s.fail(effNone, hintFormats, "is text, but none of the mesh files read here (STL, OBJ, PLY, OFF, 3MF, glTF)")
		}
		return s.fail(effGarbled, hintExport, "is damaged: its description is not valid glTF")
	}
	if doc.Asset.Version == "" && len(doc.Meshes) == 0 {
		return s.fail(effNone, hintFormats, "is a JSON file, but no glTF scene")
	}
	if v := doc.Asset.Version; !strings.HasPrefix(v, "2.") {
		return s.fail(effNone, "export it as glTF 2.0, or as STL or 3MF", "is written in version %s of glTF; only version 2 is read", quote([]byte(v)))
	}
	s.info.Unit, s.info.Scale = "m", 1000
	up := mesh.V(0, 1, 0)
	s.info.Up = &up
	if err := s.extensions(doc); err != nil {
		return err
	}
	r := &glReader{s: s, doc: doc, bin: bin, copies: s.copyLimit()}
	r.bufs = make([]io.ReaderAt, len(doc.Buffers))
	r.lens = make([]int64, len(doc.Buffers))
	r.seen = make([]bool, len(doc.Nodes))
	defer func() {
		for _, f := range r.open {
			f.Close()
		}
		if r.root != nil {
			r.root.Close()
		}
	}()
	if err := r.scenes(); err != nil {
		return err
	}
	if s.b.NumTriangles() == 0 {
		if r.points > 0 {
			return s.pointCloud(r.points)
		}
		return s.fail(effNone, hintExport, "is a scene without a surface")
	}
	if r.posed {
		s.note(CodePose, finding.Caution, Pose{s.name})
	}
	if r.inst {
		s.noteMissing(UnreadInstances)
	}
	s.noteSkipped(r.strays, StrayPart)
	return nil
}

// extensions refuses what changes the surface in ways not read here.
func (s *source) extensions(doc *gltf.Document) error {
	for _, e := range doc.ExtensionsRequired {
		switch {
		case e == "KHR_draco_mesh_compression":
			return s.compressed("Draco")
		case e == "EXT_meshopt_compression" || e == "KHR_meshopt_compression":
			return s.compressed("meshopt")
		case e == "KHR_mesh_quantization":
		case strings.HasPrefix(e, "KHR_materials_"), strings.HasPrefix(e, "KHR_texture_"), strings.HasPrefix(e, "EXT_texture_"),
			strings.HasPrefix(e, "KHR_lights_"), strings.HasPrefix(e, "EXT_lights_"), strings.HasPrefix(e, "KHR_xmp"), strings.HasPrefix(e, "KHR_animation_"):
			// Looks, not shape.
		default:
			return s.fail(effNone, "export it without that extension, or as STL or 3MF", "says that it cannot be understood without an extension that is not read here (%s)", strings.Trim(quote([]byte(e)), `"`))
		}
	}
	return nil
}

func (s *source) compressed(how string) *Error {
	return s.fail(effNone, "switch mesh compression off in the exporter's glTF options and export again, or export as binary STL or 3MF",
		"has its mesh compressed (%s), which is not read here", how)
}

var glIdentity = [16]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}

func (r *glReader) scenes() error {
	d, s := r.doc, r.s
	var roots []int
	switch {
	case d.Scene != nil && *d.Scene >= 0 && *d.Scene < len(d.Scenes) && d.Scenes[*d.Scene] != nil:
		roots = d.Scenes[*d.Scene].Nodes
		if len(d.Scenes) > 1 {
			s.note(CodeScenes, finding.Caution, Scenes{s.name, len(d.Scenes)})
		}
	case d.Scene != nil:
		return s.fail(effGarbled, hintExport, "opens with a scene that is not there")
	case len(d.Scenes) > 0:
		for _, sc := range d.Scenes {
			if sc != nil {
				roots = append(roots, sc.Nodes...)
			}
		}
	default:
		child := make([]bool, len(d.Nodes))
		for _, n := range d.Nodes {
			if n == nil {
				continue
			}
			for _, c := range n.Children {
				if c >= 0 && c < len(child) {
					child[c] = true
				}
			}
		}
		for i := range d.Nodes {
			if !child[i] {
				roots = append(roots, i)
			}
		}
		if len(d.Nodes) == 0 { // meshes without a scene
			for i := range d.Meshes {
				if err := r.mesh(i, glIdentity, false); err != nil {
					return err
				}
			}
		}
	}
	top := map[int]bool{} // a root named by several scenes counts once
	for _, n := range roots {
		if top[n] {
			continue
		}
		top[n] = true
		if err := r.node(n, glIdentity, false, 0); err != nil {
			return err
		}
	}
	if len(roots) == 0 && len(d.Nodes) > 0 && d.Scene == nil && len(d.Scenes) == 0 {
		return s.fail(effGarbled, hintExport, "has parts that contain each other in a circle")
	}
	return nil
}

// node places the mesh of node n and its children; m maps to the scene.
func (r *glReader) node(n int, m [16]float64, set bool, depth int) error {
	d, s := r.doc, r.s
	if n < 0 || n >= len(d.Nodes) || d.Nodes[n] == nil {
		return s.fail(effGarbled, hintExport, "places a part that is not there")
	}
	if r.seen[n] {
		return s.fail(effGarbled, hintExport, "has a part that is contained in itself or in two others")
	}
	r.seen[n] = true
	if depth > glMaxDepth {
		return s.fail(effRefused, hintExport, "has parts within parts, more than %s deep", count(glMaxDepth))
	}
	nd := d.Nodes[n]
	if nd.Name == "container" && strings.HasPrefix(d.Asset.Generator, ownGenerator) {
		return nil
	}
	l := nd.MatrixOrDefault()
	if l == glIdentity {
		l = trs(nd.Translation, nd.RotationOrDefault(), nd.ScaleOrDefault())
	}
	if l != glIdentity {
		if set {
			m = times4(m, l)
		} else {
			m, set = l, true
		}
	}
	if nd.Mesh != nil {
		if nd.Skin != nil || len(nd.Weights) > 0 {
			r.posed = true
		}
		if _, ok := nd.Extensions["EXT_mesh_gpu_instancing"]; ok {
			r.inst = true
		}
		if err := r.mesh(*nd.Mesh, m, set); err != nil {
			return err
		}
	}
	for _, c := range nd.Children {
		if err := r.node(c, m, set, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// trs builds a column-major matrix from translation, rotation (unit
// quaternion x, y, z, w) and scale.
func trs(t [3]float64, q [4]float64, s [3]float64) [16]float64 {
	x, y, z, w := q[0], q[1], q[2], q[3]
	// Exporters round quaternions; one that is a little off scales the part.
	if l := math.Sqrt(float64(x*x) + float64(y*y) + float64(z*z) + float64(w*w)); l > 0 && math.Abs(l-1) > 1e-9 {
		x, y, z, w = x/l, y/l, z/l, w/l
	}
	return [16]float64{
		s[0] * (1 - 2*(float64(y*y)+float64(z*z))), s[0] * 2 * (float64(x*y) + float64(z*w)), s[0] * 2 * (float64(x*z) - float64(y*w)), 0,
		s[1] * 2 * (float64(x*y) - float64(z*w)), s[1] * (1 - 2*(float64(x*x)+float64(z*z))), s[1] * 2 * (float64(y*z) + float64(x*w)), 0,
		s[2] * 2 * (float64(x*z) + float64(y*w)), s[2] * 2 * (float64(y*z) - float64(x*w)), s[2] * (1 - 2*(float64(x*x)+float64(y*y))), 0,
		t[0], t[1], t[2], 1,
	}
}

// times4 returns a times b, column-major.
func times4(a, b [16]float64) (c [16]float64) {
	for col := range 4 {
		for row := range 4 {
			v := 0.0
			for k := range 4 {
				v += float64(a[4*k+row] * b[4*col+k])
			}
			c[4*col+row] = v
		}
	}
	return c
}

func (r *glReader) mesh(i int, m [16]float64, set bool) error {
	d, s := r.doc, r.s
	if i < 0 || i >= len(d.Meshes) || d.Meshes[i] == nil {
		return s.fail(effGarbled, hintExport, "places a mesh that is not there")
	}
	if len(d.Meshes[i].Weights) > 0 {
		r.posed = true
	}
	flip := false
	if set {
		// glTF takes nodes for affine; so do we.
		flip = mesh.V(m[0], m[1], m[2]).Cross(mesh.V(m[4], m[5], m[6])).Dot(mesh.V(m[8], m[9], m[10])) < 0
	}
	for _, p := range d.Meshes[i].Primitives {
		if p == nil {
			continue
		}
		if err := s.ctx.Err(); err != nil {
			return err
		}
		if r.visits++; r.visits > glMaxPlaced {
			return s.fail(effRefused, "export the pattern as one part, as binary STL", "repeats its parts more than %s times", count(glMaxPlaced))
		}
		if err := r.primitive(p, &m, set, flip); err != nil {
			return err
		}
	}
	return nil
}

func (r *glReader) primitive(p *gltf.Primitive, m *[16]float64, set, flip bool) error {
	d, s := r.doc, r.s
	pos, ok := p.Attributes[gltf.POSITION]
	if !ok {
		return nil // the specification lets such a primitive be passed over
	}
	a, err := r.accessor(pos)
	if err != nil {
		return err
	}
	if a.Type != gltf.AccessorVec3 {
		return s.fail(effGarbled, hintExport, "has corners that are not three numbers each")
	}
	if _, ok := p.Extensions["KHR_draco_mesh_compression"]; ok && a.BufferView == nil {
		return s.compressed("Draco")
	}
	switch p.Mode {
	case gltf.PrimitiveTriangles, gltf.PrimitiveTriangleStrip, gltf.PrimitiveTriangleFan:
	default:
		r.strays++
		r.points += a.Count
		return nil
	}
	// Check both accessors before any corner goes to the Builder.
	n := a.Count
	if p.Indices != nil {
		ia, err := r.accessor(*p.Indices)
		if err != nil {
			return err
		}
		if ia.Type != gltf.AccessorScalar || ia.ComponentType == gltf.ComponentFloat || ia.ComponentType == gltf.ComponentByte || ia.ComponentType == gltf.ComponentShort {
			return s.fail(effGarbled, hintExport, "names the corners of its triangles by something other than whole numbers")
		}
		n = ia.Count
	}
	tris := n / 3
	if p.Mode != gltf.PrimitiveTriangles {
		tris = max(0, n-2)
	}
	if tris > r.copies {
		return s.tooManyCopies()
	}
	r.copies -= tris
	s.b.Grow(tris)
	if cap(r.welded) < a.Count {
		r.welded = make([]int32, 0, a.Count)
	}
	w := r.welded[:0]
	err = r.places(a, func(v mesh.Vec) error {
		if set {
			v = apply4(m, v)
		}
		if !v.IsFinite() {
			return s.fail(effGarbled, hintExport, "has a corner whose place is not a number")
		}
		k, err := s.b.Vertex(v)
		if err != nil {
			return s.fail(effRefused, hintExport, "%v", err)
		}
		w = append(w, k)
		return nil
	})
	r.welded = w
	if err != nil {
		return err
	}
	// Three corners at a time, as the mode says.
	var last [3]int32
	k := 0
	put := func(i int32) {
		switch p.Mode {
		case gltf.PrimitiveTriangles:
			last[k%3] = i
			if k%3 == 2 {
				r.triangle(last[0], last[1], last[2], flip)
			}
		case gltf.PrimitiveTriangleStrip:
			if k >= 2 {
				r.triangle(last[0], last[1], i, flip != (k%2 == 1))
			}
			last[0], last[1] = last[1], i
		default:
			if k == 0 {
				last[0] = i
			}
			if k >= 2 {
				r.triangle(last[0], last[1], i, flip)
			}
			last[1] = i
		}
		k++
	}
	if p.Indices == nil {
		for _, i := range w {
			put(i)
		}
		return nil
	}
	list, err := r.corners(d.Accessors[*p.Indices])
	if err != nil {
		return err
	}
	for _, i := range list {
		if int64(i) >= int64(len(w)) {
			return s.fail(effGarbled, hintExport, "has a triangle that names corner %d of a part with %s, counted from 0", i, plural(len(w), "corner"))
		}
		put(w[i])
	}
	return nil
}

func (r *glReader) triangle(a, b, c int32, flip bool) {
	if flip {
		b, c = c, b
	}
	r.s.b.Triangle(a, b, c)
}

func apply4(m *[16]float64, v mesh.Vec) mesh.Vec {
	return mesh.Vec{
		X: float64(m[0]*v.X) + float64(m[4]*v.Y) + float64(m[8]*v.Z) + m[12],
		Y: float64(m[1]*v.X) + float64(m[5]*v.Y) + float64(m[9]*v.Z) + m[13],
		Z: float64(m[2]*v.X) + float64(m[6]*v.Y) + float64(m[10]*v.Z) + m[14],
	}
}

// glSizes are the bytes of each component type.
var glSizes = map[gltf.ComponentType]int64{
	gltf.ComponentByte: 1, gltf.ComponentUbyte: 1, gltf.ComponentShort: 2,
	gltf.ComponentUshort: 2, gltf.ComponentUint: 4, gltf.ComponentFloat: 4,
}

func (r *glReader) accessor(i int) (*gltf.Accessor, error) {
	d, s := r.doc, r.s
	if i < 0 || i >= len(d.Accessors) || d.Accessors[i] == nil {
		return nil, s.fail(effGarbled, hintExport, "refers to a list of numbers that is not there")
	}
	a := d.Accessors[i]
	if a.Count < 0 || a.Count > math.MaxInt32/2 {
		return nil, s.fail(effGarbled, hintExport, "has a list of %d numbers", a.Count)
	}
	if a.Type != gltf.AccessorScalar && a.Type != gltf.AccessorVec3 {
		return nil, s.fail(effGarbled, hintExport, "has a list whose entries are not numbers or places")
	}
	elem := glSizes[a.ComponentType] * int64(a.Type.Components())
	if a.BufferView != nil {
		if err := r.view(*a.BufferView, int64(a.ByteOffset), elem, int64(a.Count), true); err != nil {
			return nil, err
		}
	} else if a.Sparse == nil || int64(a.Count) > 1_000_000+16*s.size {
		// Without data of its own an accessor is all zeros: fine under a
		// sparse one, otherwise the data is compressed by an extension, or
		// missing.
		return nil, s.fail(effPart, "switch mesh compression off in the exporter's glTF options and export again, or export as binary STL or 3MF",
			"has a list of %s corners without the numbers themselves", count(a.Count))
	}
	if sp := a.Sparse; sp != nil {
		if sp.Count < 0 || sp.Count > a.Count {
			return nil, s.fail(effGarbled, hintExport, "changes more numbers than there are")
		}
		switch sp.Indices.ComponentType {
		case gltf.ComponentUbyte, gltf.ComponentUshort, gltf.ComponentUint:
		default:
			return nil, s.fail(effGarbled, hintExport, "names the numbers it changes by something other than whole numbers")
		}
		if err := r.view(sp.Indices.BufferView, int64(sp.Indices.ByteOffset), glSizes[sp.Indices.ComponentType], int64(sp.Count), false); err != nil {
			return nil, err
		}
		if err := r.view(sp.Values.BufferView, int64(sp.Values.ByteOffset), elem, int64(sp.Count), false); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// view checks that n elements of the given size lie inside the buffer view.
func (r *glReader) view(i int, off, elem, n int64, strided bool) error {
	d, s := r.doc, r.s
	if i < 0 || i >= len(d.BufferViews) || d.BufferViews[i] == nil {
		return s.fail(effGarbled, hintExport, "refers to a piece of its data that is not there")
	}
	v := d.BufferViews[i]
	for e := range v.Extensions {
		if strings.HasSuffix(e, "_meshopt_compression") {
			return s.compressed("meshopt")
		}
	}
	if v.Buffer < 0 || v.Buffer >= len(d.Buffers) || d.Buffers[v.Buffer] == nil {
		return s.fail(effGarbled, hintExport, "refers to data that is not there")
	}
	size, err := r.buffer(v.Buffer)
	if err != nil {
		return err
	}
	vo, vl := int64(v.ByteOffset), int64(v.ByteLength)
	if vo < 0 || vl < 0 || vo > size || vl > size-vo {
		return s.fail(effGarbled, hintAgain, "has data that reaches beyond its end")
	}
	stride := elem
	if strided && v.ByteStride != 0 {
		stride = int64(v.ByteStride)
		if stride < elem || stride > 1<<16 {
			return s.fail(effGarbled, hintExport, "has data whose entries overlap")
		}
	}
	if off < 0 || n > 0 && (off > vl || elem > vl-off || (n-1) > (vl-off-elem)/stride) {
		return s.fail(effGarbled, hintAgain, "promises more numbers than its data holds")
	}
	return nil
}

// buffer opens buffer i and returns its length.
func (r *glReader) buffer(i int) (int64, error) {
	if r.bufs[i] != nil {
		return r.lens[i], nil
	}
	s, b := r.s, r.doc.Buffers[i]
	want := int64(b.ByteLength)
	if want < 0 {
		return 0, s.fail(effGarbled, hintExport, "has data of %d bytes", want)
	}
	var data io.ReaderAt
	var have int64
	switch {
	case b.URI == "" && i == 0 && r.bin != nil:
		data, have = r.bin, r.bin.Size()
	case b.URI == "":
		for e := range b.Extensions {
			if strings.HasSuffix(e, "_meshopt_compression") {
				return 0, s.compressed("meshopt")
			}
		}
		return 0, s.fail(effPart, hintCut, "lacks the data its description speaks of")
	case len(b.URI) >= 5 && strings.EqualFold(b.URI[:5], "data:"):
		p, err := dataURI(b.URI)
		if err != nil {
			return 0, s.fail(effGarbled, hintAgain, "has embedded data that does not decode")
		}
		b.URI = "data:" // let go of the text
		data, have = bytes.NewReader(p), int64(len(p))
	default:
		f, n, err := r.side(b.URI)
		if err != nil {
			return 0, err
		}
		data, have = f, n
	}
	if have < want {
		return 0, s.fail(effPart, hintCut, "is cut off: its description promises %s of data, there are %s", bytesize(want), bytesize(have))
	}
	r.bufs[i], r.lens[i] = data, want
	return want, nil
}

// dataURI decodes data:[type][;base64],… whatever the media type says.
func dataURI(u string) ([]byte, error) {
	head, body, ok := strings.Cut(u, ",")
	if !ok {
		return nil, errors.New("no comma")
	}
	if !strings.HasSuffix(strings.ToLower(head), ";base64") {
		t, err := url.PathUnescape(body)
		return []byte(t), err
	}
	if strings.Contains(body, "%") {
		t, err := url.PathUnescape(body)
		if err != nil {
			return nil, err
		}
		body = t
	}
	if p, err := base64.StdEncoding.DecodeString(body); err == nil {
		return p, nil
	}
	return base64.RawStdEncoding.DecodeString(body)
}

// side opens a file beside the document: only inside its folder, never
// through a link that leads out, never over the network.
func (r *glReader) side(uri string) (io.ReaderAt, int64, error) {
	s := r.s
	if k := strings.IndexByte(uri, ':'); k >= 0 {
		if k == 1 {
			return nil, 0, s.fail(effRefused, "put the data file beside it and export again, or export as GLB", "points to a file on a particular drive (%s)", strings.Trim(quote([]byte(uri)), `"`))
		}
		return nil, 0, s.fail(effRefused, "export it with its data inside, as GLB", "points outside this computer for its data (%s); nothing is fetched", strings.Trim(quote([]byte(uri)), `"`))
	}
	name, err := url.PathUnescape(uri)
	if err != nil {
		name = uri
	}
	name = strings.ReplaceAll(name, `\`, "/")
	if strings.HasPrefix(name, "//") {
		return nil, 0, s.fail(effRefused, "export it with its data inside, as GLB", "points outside this computer for its data (%s); nothing is fetched", strings.Trim(quote([]byte(uri)), `"`))
	}
	shown := strings.Trim(quote([]byte(path.Base(name))), `"`)
	if s.dir == "" {
		return nil, 0, s.fail(effPart, "name the .gltf file in its own folder, or export it as GLB, which holds everything in one file", "keeps its data in another file (%s), which is not at hand", shown)
	}
	if !filepath.IsLocal(filepath.FromSlash(name)) {
		return nil, 0, s.fail(effRefused, "put the data file beside it and export again, or export as GLB", "points to a file outside its own folder (%s)", shown)
	}
	if r.root == nil {
		root, err := os.OpenRoot(s.dir)
		if err != nil {
			return nil, 0, s.input(err)
		}
		r.root = root
	}
	st, err := r.root.Stat(filepath.FromSlash(name))
	if err == nil && !st.Mode().IsRegular() {
		return nil, 0, s.fail(effPart, "export it as GLB, which holds everything in one file", "keeps its data in %s, which is not an ordinary file", shown)
	}
	var f *os.File
	if err == nil {
		f, err = r.root.Open(filepath.FromSlash(name))
	}
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return nil, 0, s.fail(effPart, "ask for that file too and put it in the same folder, or ask for a GLB, which holds everything in one file", "keeps its data in another file, %s, which is missing", shown)
		}
		return nil, 0, s.fail(effRefused, "put the data file itself beside it, or export as GLB", "keeps its data in %s, which cannot be opened from its own folder", shown)
	}
	r.open = append(r.open, f)
	return f, st.Size(), nil
}

// load brings the data of a buffer view into memory, where the library reads it.
func (r *glReader) load(view int) error {
	i := r.doc.BufferViews[view].Buffer
	b := r.doc.Buffers[i]
	if int64(len(b.Data)) == r.lens[i] {
		return nil
	}
	data := make([]byte, r.lens[i])
	for off := 0; off < len(data); off += textBlock {
		if err := r.s.ctx.Err(); err != nil {
			return err
		}
		p := data[off:min(off+textBlock, len(data))]
		if n, err := r.bufs[i].ReadAt(p, int64(off)); n < len(p) {
			if err == nil || err == io.EOF {
				err = errors.New("it became shorter while it was read")
			}
			return r.s.input(err)
		}
		r.s.progress(min(int64(off), r.s.size))
	}
	b.Data = data
	return nil
}

// numbers is the seam to the library's reader of accessors, for one that
// accessor has checked: whatever it does, an error comes back.
func (r *glReader) numbers(a *gltf.Accessor) (data any, err error) {
	defer func() {
		if x := recover(); x != nil {
			data, err = nil, r.s.fail(effGarbled, hintExport, "has numbers that cannot be read")
		}
	}()
	if a.BufferView != nil {
		if err := r.load(*a.BufferView); err != nil {
			return nil, err
		}
	}
	if sp := a.Sparse; sp != nil {
		if sp.Count == 0 { // nothing is changed
			b := *a
			b.Sparse = nil
			a = &b
		} else if err := r.changes(a); err != nil {
			return nil, err
		}
	}
	data, err = modeler.ReadAccessor(r.doc, a, nil)
	if err != nil {
		err = r.s.fail(effGarbled, hintExport, "has numbers that cannot be read")
	}
	return data, err
}

// changes checks what a sparse accessor names: rising, and there.
func (r *glReader) changes(a *gltf.Accessor) error {
	sp := a.Sparse
	for _, v := range []int{sp.Indices.BufferView, sp.Values.BufferView} {
		if err := r.load(v); err != nil {
			return err
		}
	}
	list, err := modeler.ReadIndices(r.doc, &gltf.Accessor{ComponentType: sp.Indices.ComponentType, Count: sp.Count, Type: gltf.AccessorScalar,
		BufferView: &sp.Indices.BufferView, ByteOffset: sp.Indices.ByteOffset}, nil)
	if err != nil {
		return r.s.fail(effGarbled, hintExport, "changes numbers that are not there, or out of order")
	}
	before := int64(-1)
	for _, i := range list {
		if int64(i) <= before || int64(i) >= int64(a.Count) {
			return r.s.fail(effGarbled, hintExport, "changes numbers that are not there, or out of order")
		}
		before = int64(i)
	}
	return nil
}

// places calls f with every place of a checked accessor, in order, normalised
// integers turned to -1…1 or 0…1.
func (r *glReader) places(a *gltf.Accessor, f func(mesh.Vec) error) error {
	data, err := r.numbers(a)
	if err != nil {
		return err
	}
	switch d := data.(type) {
	case [][3]float32:
		return eachPlace(r, d, 1, f)
	case [][3]uint32:
		return eachPlace(r, d, 1, f)
	case [][3]uint16:
		return eachPlace(r, d, whole(a, math.MaxUint16), f)
	case [][3]int16:
		return eachPlace(r, d, whole(a, math.MaxInt16), f)
	case [][3]uint8:
		return eachPlace(r, d, whole(a, math.MaxUint8), f)
	case [][3]int8:
		return eachPlace(r, d, whole(a, math.MaxInt8), f)
	}
	return r.s.fail(effGarbled, hintExport, "has corners that are not three numbers each")
}

// whole is the integer that stands for 1.
func whole(a *gltf.Accessor, most float64) float64 {
	if a.Normalized {
		return most
	}
	return 1
}

func eachPlace[T float32 | uint32 | uint16 | int16 | uint8 | int8](r *glReader, list [][3]T, one float64, f func(mesh.Vec) error) error {
	at := func(x T) float64 {
		if one == 1 {
			return float64(x)
		}
		return max(float64(x)/one, -1)
	}
	for i, p := range list {
		if i%(1<<16) == 0 {
			if err := r.s.ctx.Err(); err != nil {
				return err
			}
		}
		if err := f(mesh.Vec{X: at(p[0]), Y: at(p[1]), Z: at(p[2])}); err != nil {
			return err
		}
	}
	return nil
}

// corners reads a checked accessor of whole numbers.
func (r *glReader) corners(a *gltf.Accessor) ([]uint32, error) {
	data, err := r.numbers(a)
	if err != nil {
		return nil, err
	}
	switch d := data.(type) {
	case []uint32:
		return d, nil
	case []uint16:
		return widened(d), nil
	case []uint8:
		if a.BufferView != nil && a.Sparse == nil { // of bytes the library overlooks the stride
			if v := r.doc.BufferViews[*a.BufferView]; v.ByteStride > 1 {
				b := r.doc.Buffers[v.Buffer].Data[v.ByteOffset+a.ByteOffset:]
				for i := range d {
					d[i] = b[i*v.ByteStride]
				}
			}
		}
		return widened(d), nil
	}
	return nil, r.s.fail(effGarbled, hintExport, "names the corners of its triangles by something other than whole numbers")
}

func widened[T uint8 | uint16](list []T) []uint32 {
	out := make([]uint32, len(list))
	for i, x := range list {
		out[i] = uint32(x)
	}
	return out
}
