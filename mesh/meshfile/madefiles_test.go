package meshfile

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"unicode/utf16"
)

const facetText = "facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"

func le32(v uint32) []byte { return binary.LittleEndian.AppendUint32(nil, v) }
func f32s(v ...float64) (b []byte) {
	for _, f := range v {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(f)))
	}
	return b
}

// binSTL has a head, the count it says, and real records.
func binSTL(head string, says uint32, real int) []byte {
	b := make([]byte, 80, 84+50*real)
	copy(b, head)
	b = append(b, le32(says)...)
	for i := range real {
		x := float64(i)
		b = append(b, f32s(0, 0, 1, x, 0, 0, x+1, 0, 0, x, 1, 0)...)
		b = append(b, 0, 0)
	}
	return b
}

func plyDoc(verts, faces int, extra, body string) []byte {
	return []byte(fmt.Sprintf("ply\nformat ascii 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\nelement face %d\n%s\nend_header\n%s", verts, faces, extra, body))
}

const plyList = "property list uchar int vertex_indices"
const fourCorners = "0 0 0\n1 0 0\n1 1 0\n0 1 0\n"

func plyRaw(order binary.AppendByteOrder, says, corner int) []byte {
	name := "binary_little_endian"
	if order == binary.AppendByteOrder(binary.BigEndian) {
		name = "binary_big_endian"
	}
	b := []byte(fmt.Sprintf("ply\nformat %s 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty double z\nelement face %d\nproperty uchar q\nproperty list ushort short vertex_index\nend_header\n", name, says))
	for _, v := range [][3]float64{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}} {
		b = order.AppendUint32(b, math.Float32bits(float32(v[0])))
		b = order.AppendUint32(b, math.Float32bits(float32(v[1])))
		b = order.AppendUint64(b, math.Float64bits(v[2]))
	}
	b = append(b, 7)
	b = order.AppendUint16(b, 3)
	b = order.AppendUint16(b, 0)
	b = order.AppendUint16(b, 1)
	b = order.AppendUint16(b, uint16(corner))
	return b
}

// glTF pieces: three corners and three indices in one buffer.
var glData = append(f32s(0, 0, 0, 1, 0, 0, 0, 1, 0), 0, 0, 1, 0, 2, 0)

type gl struct {
	asset, ext, nodes, scenes, meshes, accessors, views, buffers string
}

func (g gl) json() string {
	d := func(s, def string) string {
		if s == "" {
			return def
		}
		return s
	}
	return fmt.Sprintf(`{"asset":%s%s,%s,"nodes":%s,"meshes":%s,"accessors":%s,"bufferViews":%s,"buffers":%s}`,
		d(g.asset, `{"version":"2.0"}`), g.ext, d(g.scenes, `"scene":0,"scenes":[{"nodes":[0]}]`), d(g.nodes, `[{"mesh":0}]`),
		d(g.meshes, `[{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}]`),
		d(g.accessors, `[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`),
		d(g.views, `[{"buffer":0,"byteLength":36},{"buffer":0,"byteOffset":36,"byteLength":6}]`),
		d(g.buffers, `[{"byteLength":42,"uri":"data:application/octet-stream;base64,`+base64.StdEncoding.EncodeToString(glData)+`"}]`))
}

func (g gl) gltf() []byte { return []byte(g.json()) }

func glb(js string, bin []byte) []byte {
	for len(js)%4 != 0 {
		js += " "
	}
	for len(bin)%4 != 0 {
		bin = append(bin, 0)
	}
	b := append([]byte("glTF"), le32(2)...)
	n := 12 + 8 + len(js)
	if bin != nil {
		n += 8 + len(bin)
	}
	b = append(b, le32(uint32(n))...)
	b = append(b, le32(uint32(len(js)))...)
	b = append(append(b, "JSON"...), js...)
	if bin != nil {
		b = append(append(append(b, le32(uint32(len(bin)))...), "BIN\x00"...), bin...)
	}
	return b
}

func (g gl) glb() []byte {
	if g.buffers == "" {
		g.buffers = `[{"byteLength":42}]`
	}
	return glb(g.json(), append([]byte(nil), glData...))
}

func zipped(files ...string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		p, _ := z.Create(files[i])
		io.WriteString(p, files[i+1])
	}
	z.Close()
	return b.Bytes()
}

func threeMF(model string, more ...string) []byte {
	return zipped(append([]string{"[Content_Types].xml", threeTypes, "_rels/.rels", threeRels, "3D/3dmodel.model", model}, more...)...)
}

const (
	threeVerts = `<vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/></vertices>`
	threeTri   = `<triangles><triangle v1="0" v2="1" v3="2"/></triangles>`
	threeNS    = `xmlns="` + nsCore + `" xmlns:p="` + nsProduction + `" xmlns:b="` + nsBeam + `" xmlns:s="` + nsSlice + `"`
)

func model(attrs, resources, build string) string {
	return `<?xml version="1.0"?><model ` + threeNS + ` ` + attrs + `><resources>` + resources + `</resources><build>` + build + `</build></model>`
}

func object(id int, body string) string {
	return fmt.Sprintf(`<object id="%d" type="model">%s</object>`, id, body)
}

func meshXML(verts, tris string) string { return `<mesh>` + verts + tris + `</mesh>` }

func gz(p []byte) []byte {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, flate.BestCompression)
	w.Write(p)
	w.Close()
	return b.Bytes()
}

func wideText(s string, big bool) []byte {
	var b []byte
	for _, u := range utf16.Encode([]rune("\ufeff" + s)) {
		if big {
			b = binary.BigEndian.AppendUint16(b, u)
		} else {
			b = binary.LittleEndian.AppendUint16(b, u)
		}
	}
	return b
}
