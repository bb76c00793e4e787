package meshfile

import (
	"archive/zip"
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"github.com/hschendel/stl"
	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"moldtally/mesh"
)

// Write writes the mesh in one of the formats "stl", "stl-ascii", "obj",
// "ply", "ply-ascii", "off", "3mf" and "glb". Coordinates are written as they
// are, in millimetres, which 3MF states; GLB gets metres about a node that
// carries the scale, so that its numbers stay those of the mesh. OBJ, OFF, 3MF
// and PLY in text keep every digit, the others float32. The same mesh gives the
// same bytes.
func Write(w io.Writer, format string, m *mesh.Mesh) error {
	b := bufio.NewWriterSize(w, 1<<16)
	o := &out{w: b}
	var err error
	switch format {
	case "stl", "stl-ascii":
		err = writeSTL(b, m, format == "stl-ascii")
	case "obj":
		o.obj(m)
	case "ply":
		o.ply(m)
	case "ply-ascii":
		o.plyText(m)
	case "off":
		o.off(m)
	case "3mf":
		err = o.threeMF(m)
	case "glb":
		err = writeGLB(b, m)
	default:
		return fmt.Errorf("meshfile: no format %q", format)
	}
	if err == nil {
		err = b.Flush()
	}
	if err != nil {
		return fmt.Errorf("meshfile: writing %s: %w", format, err)
	}
	return nil
}

var errLarge = errors.New("the mesh is too large for this format")

// out collects a line at a time; write errors stay in the bufio.Writer.
type out struct {
	w *bufio.Writer
	p []byte
}

func (o *out) flush() {
	o.w.Write(o.p)
	o.p = o.p[:0]
}

func (o *out) text(s string) { o.p = append(o.p, s...) }

// num appends the shortest text that reads back as the same float64.
func (o *out) num(f float64) { o.p = strconv.AppendFloat(o.p, f, 'g', -1, 64) }

func (o *out) vec(v mesh.Vec) {
	o.num(v.X)
	o.p = append(o.p, ' ')
	o.num(v.Y)
	o.p = append(o.p, ' ')
	o.num(v.Z)
}

func (o *out) f32(f float64) {
	o.p = binary.LittleEndian.AppendUint32(o.p, math.Float32bits(float32(f)))
}

func (o *out) u32(i int32) { o.p = binary.LittleEndian.AppendUint32(o.p, uint32(i)) }

// normal is the unit normal of a triangle, zero where it has none.
func normal(a, b, c mesh.Vec) mesh.Vec {
	n := b.Sub(a).Cross(c.Sub(a)).Unit()
	if !n.IsFinite() {
		return mesh.Vec{}
	}
	return n
}

// single is a place in the precision of binary files.
func single(v mesh.Vec) [3]float32 { return [3]float32{float32(v.X), float32(v.Y), float32(v.Z)} }

// writeSTL lets the library write all triangles at once: 52 bytes of memory for
// each.
func writeSTL(w io.Writer, m *mesh.Mesh, ascii bool) error {
	if uint64(m.NumTriangles()) > math.MaxUint32 {
		return errLarge
	}
	s := stl.Solid{Name: "pattern", IsAscii: ascii, Triangles: make([]stl.Triangle, m.NumTriangles()),
		BinaryHeader: []byte("binary STL, millimetres")} // must not begin with "solid"
	for t := range s.Triangles {
		a, b, c := m.Corners(t)
		s.Triangles[t] = stl.Triangle{Normal: single(normal(a, b, c)), Vertices: [3]stl.Vec3{single(a), single(b), single(c)}}
	}
	return s.WriteAll(w)
}

func (o *out) obj(m *mesh.Mesh) {
	o.text("# millimetres\n")
	for _, v := range m.Vertices() {
		o.text("v ")
		o.vec(v)
		o.text("\n")
		o.flush()
	}
	for _, t := range m.Triangles() {
		o.text("f")
		for _, i := range t {
			o.p = strconv.AppendInt(append(o.p, ' '), int64(i)+1, 10)
		}
		o.text("\n")
		o.flush()
	}
}

func (o *out) plyHead(m *mesh.Mesh, format, number string) {
	o.text(fmt.Sprintf("ply\nformat %s 1.0\ncomment millimetres\nelement vertex %d\nproperty %s x\nproperty %s y\nproperty %s z\nelement face %d\nproperty list uchar int vertex_indices\nend_header\n",
		format, m.NumVertices(), number, number, number, m.NumTriangles()))
}

func (o *out) ply(m *mesh.Mesh) {
	o.plyHead(m, "binary_little_endian", "float")
	for _, v := range m.Vertices() {
		o.f32(v.X)
		o.f32(v.Y)
		o.f32(v.Z)
		o.flush()
	}
	for _, t := range m.Triangles() {
		o.p = append(o.p, 3)
		for _, i := range t {
			o.u32(i)
		}
		o.flush()
	}
}

func (o *out) faces(m *mesh.Mesh) {
	for _, t := range m.Triangles() {
		o.text("3")
		for _, i := range t {
			o.p = strconv.AppendInt(append(o.p, ' '), int64(i), 10)
		}
		o.text("\n")
		o.flush()
	}
}

func (o *out) points(m *mesh.Mesh) {
	for _, v := range m.Vertices() {
		o.vec(v)
		o.text("\n")
		o.flush()
	}
}

func (o *out) plyText(m *mesh.Mesh) {
	o.plyHead(m, "ascii", "double")
	o.points(m)
	o.faces(m)
	o.flush()
}

func (o *out) off(m *mesh.Mesh) {
	o.text(fmt.Sprintf("OFF\n%d %d 0\n", m.NumVertices(), m.NumTriangles()))
	o.points(m)
	o.faces(m)
	o.flush()
}

const (
	threeTypes = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
`
	threeRels = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
`
	threeHead = `<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en-US" xmlns="` + nsCore + `"><resources>`
)

// WriteThreeMF writes bodies as one 3MF file, each an object of its own that lies
// where it is, in millimetres. The same bodies give the same bytes.
func WriteThreeMF(w io.Writer, bodies []*mesh.Mesh) error {
	b := bufio.NewWriterSize(w, 1<<16)
	err := (&out{w: b}).threeMF(bodies...)
	if err == nil {
		err = b.Flush()
	}
	if err != nil {
		return fmt.Errorf("meshfile: writing 3mf: %w", err)
	}
	return nil
}

func (o *out) threeMF(bodies ...*mesh.Mesh) error {
	z := zip.NewWriter(o.w)
	for _, f := range []struct{ name, body string }{{"[Content_Types].xml", threeTypes}, {"_rels/.rels", threeRels}} {
		p, err := z.Create(f.name)
		if err != nil {
			return err
		}
		if _, err := io.WriteString(p, f.body); err != nil {
			return err
		}
	}
	p, err := z.Create("3D/3dmodel.model")
	if err != nil {
		return err
	}
	x := &out{w: bufio.NewWriterSize(p, 1<<16)}
	x.text(threeHead)
	for i, m := range bodies {
		x.threeObject(i+1, m)
	}
	x.text(`</resources><build>`)
	for i := range bodies {
		x.text(`<item objectid="` + strconv.Itoa(i+1) + `"/>`)
	}
	x.text(`</build></model>` + "\n")
	x.flush()
	if err := x.w.Flush(); err != nil {
		return err
	}
	return z.Close()
}

// threeObject is a body as an object of a 3MF model.
func (o *out) threeObject(id int, m *mesh.Mesh) {
	o.text(`<object id="` + strconv.Itoa(id) + `" type="model"><mesh><vertices>` + "\n")
	for _, v := range m.Vertices() {
		o.text(`<vertex x="`)
		o.num(v.X)
		o.text(`" y="`)
		o.num(v.Y)
		o.text(`" z="`)
		o.num(v.Z)
		o.text("\"/>\n")
		o.flush()
	}
	o.text("</vertices><triangles>\n")
	for _, t := range m.Triangles() {
		if t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
			continue // 3MF forbids collapsed triangles
		}
		o.text(`<triangle v1="`)
		o.p = strconv.AppendInt(o.p, int64(t[0]), 10)
		o.text(`" v2="`)
		o.p = strconv.AppendInt(o.p, int64(t[1]), 10)
		o.text(`" v3="`)
		o.p = strconv.AppendInt(o.p, int64(t[2]), 10)
		o.text("\"/>\n")
		o.flush()
	}
	o.text(`</triangles></mesh></object>`)
}

// writeGLB lets the library write a scene of one mesh, whose node turns the
// mesh's millimetres into the metres that glTF is in.
func writeGLB(w io.Writer, m *mesh.Mesh) error {
	if 12*(int64(m.NumVertices())+int64(m.NumTriangles())) > math.MaxUint32-1<<16 {
		return errLarge
	}
	at := make([][3]float32, m.NumVertices())
	for i, v := range m.Vertices() {
		at[i] = single(v)
	}
	corners := make([]uint32, 0, 3*m.NumTriangles())
	for _, t := range m.Triangles() {
		corners = append(corners, uint32(t[0]), uint32(t[1]), uint32(t[2]))
	}
	doc := &gltf.Document{Asset: gltf.Asset{Version: "2.0"}, Scene: gltf.Index(0), Scenes: []*gltf.Scene{{Nodes: []int{0}}},
		Nodes: []*gltf.Node{{Mesh: gltf.Index(0), Scale: [3]float64{0.001, 0.001, 0.001}}}}
	p := &gltf.Primitive{Attributes: gltf.PrimitiveAttributes{gltf.POSITION: modeler.WritePosition(doc, at)}}
	p.Indices = gltf.Index(modeler.WriteIndices(doc, corners))
	doc.Meshes = []*gltf.Mesh{{Primitives: []*gltf.Primitive{p}}}
	return gltf.NewEncoder(w).Encode(doc)
}
