package meshfile

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"
	"time"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// This file makes hostile, broken and merely odd files over all formats, each
// with what must come of it: a number of triangles, or a fault.

type oddFile struct {
	name  string
	data  []byte
	tris  int          // wanted triangles, if err is ""
	fault Fault        // wanted in the error
	code  finding.Code // wanted finding
	as    string       // file name, if it matters
}

// oddList gathers them; big takes in those of many megabytes.
type oddList struct {
	all []oddFile
	big bool
}

// oddFiles makes them; big adds those of many megabytes.
func oddFiles(big bool) []oddFile {
	l := &oddList{big: big}
	for _, add := range []func(){l.foreign, l.stl, l.textSTL, l.obj, l.ply, l.off, l.gltf, l.threeMF, l.wrapped} {
		add()
	}
	return l.all
}

func (l *oddList) rep(s string, n int) string {
	if len(s)*n > 1<<20 && !l.big {
		n = 1
	}
	return strings.Repeat(s, n)
}

func (l *oddList) ok(name string, tris int, data []byte, code ...finding.Code) {
	o := oddFile{name: name, data: data, tris: tris}
	if len(code) > 0 {
		o.code = code[0]
	}
	l.all = append(l.all, o)
}

func (l *oddList) bad(name string, fault Fault, data []byte) {
	l.all = append(l.all, oddFile{name: name, data: data, fault: fault})
}

func text(s string) []byte { return []byte(s) }

func (l *oddList) foreign() {
	l.bad("empty", "foreign.empty", nil)
	l.bad("blanks", "foreign.blank", text("  \n\n\t "))
	l.bad("one byte", "foreign.unknown", []byte{7})
	l.bad("prose", "foreign.text", text("Dear client,\nplease find the pattern attached.\n"))
	l.bad("prose with a v", "foreign.text", text("v is for victory\nand so on it goes\nfor many lines\nof nothing\nat all\nwhatever\nyou say\nnow\n"))
	l.bad("garbage", "foreign.unknown", []byte(l.rep("\x01\x9c\xfe\x00q", 40)))
	l.bad("zeros", "foreign.unknown", make([]byte, 500))
	l.bad("png", "foreign.png", text("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"))
	l.bad("jpeg", "foreign.jpeg", text("\xff\xd8\xff\xe0\x00\x10JFIF"))
	l.bad("gif", "foreign.gif", text("GIF89a\x01\x00\x01\x00"))
	l.bad("webp", "foreign.riff", text("RIFF\x24\x00\x00\x00WEBPVP8 "))
	l.bad("heic", "foreign.film-or-picture", text("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"))
	l.bad("pdf", "foreign.pdf", text("%PDF-1.7\n1 0 obj\n"))
	l.bad("step", "foreign.step", text("ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('x'),'2;1');\n"))
	l.bad("step after blanks", "foreign.step", text("\n\nISO-10303-21;\nHEADER;\n"))
	l.bad("iges", "foreign.iges", text(fmt.Sprintf("%-72sS%7d\n", "exported part", 1)))
	l.bad("dxf", "foreign.dxf", text("  0\nSECTION\n  2\nHEADER\n"))
	l.bad("dwg", "foreign.dwg", text("AC1027\x00\x00\x00"))
	l.bad("fbx", "foreign.fbx", text("Kaydara FBX Binary  \x00\x1a\x00"))
	l.bad("7z", "foreign.7z", text("7z\xbc\xaf\x27\x1c\x00\x04"))
	l.bad("rar", "foreign.rar", text("Rar!\x1a\x07\x00"))
	l.bad("xz", "foreign.xz", text("\xfd7zXZ\x00\x00"))
	l.bad("zstd", "foreign.zstd", text("\x28\xb5\x2f\xfd\x00"))
	l.bad("collada", "foreign.collada", text(`<?xml version="1.0"?><COLLADA xmlns="x"/>`))
	l.bad("amf", "foreign.amf", text(`<?xml version="1.0"?><amf unit="mm"/>`))
	l.bad("svg", "foreign.svg", text(`<svg xmlns="http://www.w3.org/2000/svg"/>`))
	l.bad("web page", "foreign.web-page", text("<!DOCTYPE html><html><body>404</body></html>"))
	l.bad("other xml", "foreign.xml", text(`<?xml version="1.0"?><note/>`))
	l.bad("bare model part", "foreign.3mf-part", text(model("", "", "")))
	l.bad("program", "foreign.program", text("\x7fELF\x02\x01\x01\x00"))
	l.bad("point columns", "points.columns", text(l.rep("1.5 2.5 3.5\n", 20)))
	l.bad("point columns with colour", "points.columns", text(l.rep("1.5 2.5 3.5 255 0 0\n", 20)))
	l.bad("las", "foreign.las", text("LASF\x00\x00\x00\x00"))
	l.bad("pcd", "foreign.pcd", text("# .PCD v0.7\nVERSION 0.7\n"))
	l.bad("json", "foreign.json", text(`{"name":"x"}`))
	l.bad("utf-16 text", "foreign.utf16", wideText("solid x\n", false))
	l.bad("vrml", "foreign.vrml", text("#VRML V2.0 utf8\nShape {}\n"))
}

func (l *oddList) stl() {
	l.ok("stl: two", 2, binSTL("x", 2, 2))
	l.ok("stl: head begins with solid", 2, binSTL("solid part", 2, 2))
	colour := binSTL("COLOR=\xff\x00\x00\xff", 2, 2)
	colour[84+48], colour[84+49] = 0x1f, 0x80
	l.ok("stl: colour bytes", 2, colour)
	l.bad("stl: promises 3, holds 2", "stl.promised", binSTL("x", 3, 2))
	l.bad("stl: solid head, promises 12000, holds 2", "stl.promised", binSTL("solid x", 12000, 2))
	l.bad("stl: cut inside a record", "stl.promised", binSTL("x", 2, 2)[:84+70])
	l.bad("stl: cut inside the head", "stl.head-cut", append([]byte("solid x\x00"), make([]byte, 30)...))
	l.all = append(l.all, oddFile{name: "stl: 50 bytes by name", data: make([]byte, 50), fault: "stl.head-cut", as: "a.stl"})
	l.all = append(l.all, oddFile{name: "stl: zero triangles", data: binSTL("x", 0, 0), fault: "mesh.empty", as: "a.stl"})
	l.bad("stl: absurd count", "stl.promised", binSTL("x", math.MaxUint32-1, 2))
	l.ok("stl: count never filled in", 2, binSTL("x", 0, 2), CodeHeader)
	l.ok("stl: count all ones", 2, binSTL("x", math.MaxUint32, 2), CodeHeader)
	l.ok("stl: 10 bytes too long", 2, append(binSTL("x", 2, 2), "0123456789"...), CodeTrailing)
	l.ok("stl: two records too many", 2, binSTL("x", 2, 4), CodeHeader)
	nan := binSTL("x", 2, 2)
	copy(nan[84+50+12:], f32s(math.NaN()))
	l.bad("stl: NaN", "binary.nan", nan)
	inf := binSTL("x", 2, 2)
	copy(inf[84+12:], f32s(math.Inf(1)))
	l.bad("stl: infinity", "binary.nan", inf)
	far := binSTL("x", 2, 2)
	copy(far[84+12:], f32s(1e30))
	l.bad("stl: 1e30 beside 1", "mesh.far", far)
	tiny := binSTL("x", 2, 2)
	copy(tiny[84+12:], f32s(1e-42))
	l.ok("stl: denormal", 2, tiny)
}

func (l *oddList) textSTL() {
	l.ok("stla: one", 1, text("solid x\n"+facetText+"endsolid x\n"))
	l.ok("stla: two solids", 2, text("solid a\n"+facetText+"endsolid a\nsolid b\n"+facetText+"endsolid b\n"))
	l.ok("stla: no name", 1, text("solid\n"+facetText+"endsolid\n"))
	l.ok("stla: capitals", 1, text(strings.ToUpper("solid x\n"+facetText+"endsolid x\n")))
	l.ok("stla: mixed case", 1, text("Solid x\n"+strings.ReplaceAll(facetText, "endfacet", "EndFacet")+"EndSolid x\n"))
	l.ok("stla: carriage returns", 1, text(strings.ReplaceAll("solid x\n"+facetText+"endsolid x\n", "\n", "\r\n")))
	l.ok("stla: lone carriage returns", 1, text(strings.ReplaceAll("solid x\n"+facetText+"endsolid x\n", "\n", "\r")))
	l.ok("stla: byte order mark", 1, text("\xef\xbb\xbfsolid x\n"+facetText+"endsolid x\n"))
	l.ok("stla: tabs and blanks", 1, text("  \tsolid x\n"+strings.ReplaceAll(facetText, " ", " \t ")+"endsolid\n"))
	l.ok("stla: no endsolid", 1, text("solid x\n"+facetText), CodeNoEnd)
	l.ok("stla: no solid line", 1, text(facetText+"endsolid\n"))
	l.ok("stla: NaN normal", 1, text("solid x\n"+strings.Replace(facetText, "0 0 1", "nan nan nan", 1)+"endsolid\n"))
	l.ok("stla: no normal", 1, text("solid x\n"+strings.Replace(facetText, " normal 0 0 1", "", 1)+"endsolid\n"))
	l.ok("stla: one line per facet", 1, text("solid x\n"+strings.ReplaceAll(facetText, "\n", " ")+"\nendsolid\n"))
	l.ok("stla: facet with four corners", 2, text("solid x\n"+strings.Replace(facetText, "vertex 0 1 0", "vertex 1 1 0\nvertex 0 1 0", 1)+"endsolid\n"))
	l.ok("stla: colour lines", 1, text("solid x\ncolor 1 0 0\n"+facetText+"endsolid\n"), CodeSkipped)
	l.ok("stla: exponents and signs", 1, text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0", "vertex +1.0E+00 -0.0e-5 .0", 1)+"endsolid\n"))
	l.bad("stla: cut inside a facet", "stl.cut", text("solid x\n"+facetText+facetText[:60]))
	l.bad("stla: cut inside a number", "stl.cut", text("solid x\n"+facetText+facetText[:41]))
	l.bad("stla: cut inside a word", "stl.cut", text("solid x\n"+facetText+facetText[:35]))
	l.bad("stla: cut after the first line", "stl.no-triangles", text("solid x\n"))
	l.bad("stla: empty solid", "stl.no-triangles", text("solid x\nendsolid x\n"))
	l.bad("stla: prose", "stl.no-triangles", text("solid advice for mold makers\n"))
	l.bad("stla: NaN", "text.nan-word", text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0", "vertex nan 0 0", 1)+"endsolid x\n"))
	l.bad("stla: infinity", "text.nan-word", text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0", "vertex 1 0 1e999", 1)+"endsolid x\n"))
	l.bad("stla: decimal comma", "text.number", text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0", "vertex 1,5 0 0", 1)+"endsolid x\n"))
	l.bad("stla: two numbers", "text.number", text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0", "vertex 1 0", 1)+"endsolid x\n"))
	l.bad("stla: two corners", "stl.corners-few", text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0\n", "", 1)+"endsolid x\n"))
	l.bad("stla: stray word", "stl.word", text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0", "vortex 1 0 0", 1)+"endsolid x\n"))
	l.bad("stla: 1e30", "mesh.far", text("solid x\n"+strings.Replace(facetText, "vertex 1 0 0", "vertex 1e30 0 0", 1)+"endsolid x\n"))
	l.bad("stla: no facet ends", "stl.no-facet-ends", text("solid x\n"+l.rep("facet vertex 1 2 3\n", 2_000_000)))
}

// oneTriangle is an OBJ's corners, without the face.
const oneTriangle = "v 0 0 0\nv 1 0 0\nv 0 1 0\n"

func (l *oddList) obj() {
	l.ok("obj: one", 1, text(oneTriangle+"f 1 2 3\n"))
	l.ok("obj: no last line end", 1, text(oneTriangle+"f 1 2 3"))
	l.ok("obj: lone carriage returns", 1, text(strings.ReplaceAll(oneTriangle+"f 1 2 3\n", "\n", "\r")))
	l.ok("obj: texture and normal numbers", 3, text(oneTriangle+"vt 0 0\nvn 0 0 1\nf 1/1 2/1 3/1\nf 1//1 2//1 3//1\nf 1/1/1 2/1/1 3/1/1\n"))
	l.ok("obj: negative numbers", 2, text(oneTriangle+"f -3 -2 -1\nv 5 5 5\nf -1 -2 -3\n"))
	l.ok("obj: mixed signs", 1, text(oneTriangle+"f 1 -2 3\n"))
	l.ok("obj: continuation", 1, text("v 0 0 \\\n0\nv 1 0 0\nv 0 1 0\nf 1 \\\n2 \\\r\n3\n"))
	l.ok("obj: weight and colour", 1, text("v 0 0 0 1\nv 1 0 0 0.5 0.5 0.5\nv 0 1 0 1 1 1 1\nf 1 2 3\n"))
	l.ok("obj: groups and materials", 1, text("# a\nmtllib x.mtl\no thing\ng a b\n"+oneTriangle+"usemtl red\ns off\nf 1 2 3 # here\n"))
	l.ok("obj: quad", 2, text(oneTriangle+"v 1 1 0\nf 1 2 4 3\n"))
	l.ok("obj: old fo face", 1, text(oneTriangle+"fo 1 2 3\n"))
	l.ok("obj: forward numbers", 2, text("v 0 0 0\nf 1 2 3\nv 1 0 0\nv 0 1 0\nf 3 2 1\n"))
	l.ok("obj: lines and points beside", 1, text(oneTriangle+"f 1 2 3\nl 1 2\np 1\n"), CodeSkipped)
	l.ok("obj: free form beside", 1, text(oneTriangle+"f 1 2 3\nsurf 0 1 0 1 1 2 3\nend\n"), CodeMissing)
	l.ok("obj: crossing polygon", 2, text("v 0 0 0\nv 2 2 0\nv 2 0 0\nv 0 1 0\nf 1 2 3 4\n"), CodePolygons)
	l.bad("obj: free form only", "obj.free-form", text(oneTriangle+"cstype bspline\ncurv 0 1 1 2\nsurf 0 1 0 1 1 2 3\nend\n"))
	l.bad("obj: points", "points.cloud", text(oneTriangle))
	l.bad("obj: lines only", "obj.only-lines", text(oneTriangle+"f 1 2\nvn 0 0 1\nf 1\nl 1 2\n"))
	l.bad("obj: index past the end", "obj.corner-range", text(oneTriangle+"f 1 2 7\n"))
	l.bad("obj: index 0", "obj.corner-zero", text(oneTriangle+"f 0 1 2\n"))
	l.bad("obj: index far past the end", "obj.corner-range", text(oneTriangle+"f 1 2 99999999999999999999\n"))
	l.bad("obj: negative past the start", "obj.corner-before", text(oneTriangle+"f -1 -2 -4\n"))
	l.bad("obj: two numbers", "text.numbers-few", text("v 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
	l.bad("obj: a word for a number", "text.number", text("v a 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
	l.bad("obj: decimal comma", "text.number", text("v 0,5 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
	l.bad("obj: NaN", "text.nan-word", text("v nan 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
	l.bad("obj: beyond numbers", "text.nan-word", text("v 1e400 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
	l.bad("obj: 1e300", "mesh.far", text("v 1e300 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"))
	l.bad("obj: word in a face", "obj.corner-word", text(oneTriangle+"f one two three\n"))
	l.bad("obj: cut inside a face", "obj.corner-range", text(oneTriangle+"v 1 1 1\nv 2 2 2\nf 1 2 3\nf 11 2"+" 1\n"))
	l.ok("obj: far corner that no face uses", 1, text(oneTriangle+"v 1e300 0 0\nf 1 2 3\n"))
}

func (l *oddList) ply() {
	l.ok("ply: quad", 2, plyDoc(4, 1, plyList, fourCorners+"4 0 1 2 3\n"))
	l.ok("ply: vertex_index", 1, plyDoc(4, 1, "property list uchar int vertex_index", fourCorners+"3 0 1 2\n"))
	l.ok("ply: properties around the list", 1, plyDoc(4, 1, "property float a\n"+plyList+"\nproperty list uchar float t", fourCorners+"1.5 3 0 1 2 2 0.5 0.5\n"))
	l.ok("ply: carriage returns", 2, bytes.ReplaceAll(plyDoc(4, 1, plyList, fourCorners+"4 0 1 2 3\n"), []byte("\n"), []byte("\r\n")))
	l.ok("ply: strips", 2, []byte("ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\nelement tristrips 1\nproperty list int int vertex_indices\nend_header\n"+fourCorners+"4 0 1 3 2\n"))
	l.ok("ply: strips with restart", 2, []byte("ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\nelement tristrips 1\nproperty list int int vertex_indices\nend_header\n"+fourCorners+"7 0 1 3 -1 1 2 3\n"))
	l.ok("ply: other lists first", 1, []byte("ply\nformat ascii 1.0\nelement camera 1\nproperty list uchar int q\nproperty float f\nelement face 1\nproperty list uchar int vertex_indices\nelement vertex 3\nproperty double y\nproperty double x\nproperty double z\nend_header\n2 7 7 1.5\n3 0 1 2\n0 0 0\n1 0 0\n0 1 0\n"))
	l.ok("ply: binary little-endian", 1, plyRaw(binary.LittleEndian, 1, 2))
	l.ok("ply: binary big-endian", 1, plyRaw(binary.BigEndian, 1, 2))
	l.ok("ply: trailing bytes", 1, append(plyRaw(binary.LittleEndian, 1, 2), "xyz"...), CodeTrailing)
	l.ok("ply: a face of two corners beside", 1, plyDoc(4, 2, plyList, fourCorners+"3 0 1 2\n2 0 1\n"), CodeSkipped)
	l.bad("ply: points", "points.cloud", plyDoc(4, 0, plyList, fourCorners))
	l.bad("ply: index past the end", "text.corner-range", plyDoc(4, 1, plyList, fourCorners+"3 0 1 9\n"))
	l.bad("ply: negative index", "text.corner-range", plyDoc(4, 1, plyList, fourCorners+"3 0 1 -1\n"))
	l.bad("ply: binary index past the end", "ply.corner-range", plyRaw(binary.LittleEndian, 1, 500))
	l.bad("ply: binary negative index", "ply.corner-range", plyRaw(binary.BigEndian, 1, 0xfffe))
	l.bad("ply: promises more faces", "ply.rows-cut", plyDoc(4, 2, plyList, fourCorners+"3 0 1 2\n"))
	l.bad("ply: binary promises more faces", "ply.rows-cut", plyRaw(binary.LittleEndian, 2, 2))
	l.bad("ply: absurd vertex count", "ply.rows-promised", plyDoc(2_000_000_000, 1, plyList, fourCorners+"3 0 1 2\n"))
	l.bad("ply: absurd face count", "ply.rows-promised", plyDoc(4, 1<<40, plyList, fourCorners+"3 0 1 2\n"))
	l.bad("ply: count too long", "ply.list-rows", bytes.Replace(plyDoc(4, 1, plyList, fourCorners+"3 0 1 2\n"), []byte("vertex 4"), []byte("vertex 99999999999999999999"), 1))
	l.bad("ply: negative count", "ply.list-rows", plyDoc(-4, 1, plyList, ""))
	l.bad("ply: absurd list length", "ply.rows-cut", plyDoc(4, 1, "property list int int vertex_indices", fourCorners+"2000000000 0 1 2\n"))
	l.bad("ply: negative list length", "ply.list-length", plyDoc(4, 1, "property list int int vertex_indices", fourCorners+"-3 0 1 2\n"))
	l.bad("ply: NaN", "text.nan", plyDoc(4, 1, plyList, "nan 0 0\n1 0 0\n1 1 0\n0 1 0\n3 0 1 2\n"))
	l.bad("ply: word for a number", "text.wants-number", plyDoc(4, 1, plyList, "q 0 0\n1 0 0\n1 1 0\n0 1 0\n3 0 1 2\n"))
	l.bad("ply: no end of head", "ply.head-cut", text("ply\nformat ascii 1.0\nelement vertex 3\n"))
	l.bad("ply: unknown format", "ply.format-unknown", text("ply\nformat ebcdic 1.0\nend_header\n"))
	l.bad("ply: unknown type", "ply.number-type", text("ply\nformat ascii 1.0\nelement vertex 3\nproperty quad x\nend_header\n"))
	l.bad("ply: no format", "ply.no-format", text("ply\nelement vertex 3\nproperty float x\nend_header\n"))
	l.bad("ply: property before element", "ply.property-first", text("ply\nformat ascii 1.0\nproperty float x\nend_header\n"))
	l.bad("ply: no z", "ply.no-xyz", text("ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nend_header\n0 0\n"))
	l.bad("ply: element without properties", "ply.list-empty", text("ply\nformat ascii 1.0\nelement vertex 1000000000\nend_header\n"))
	l.bad("ply: fractions for corners", "ply.index-kind", plyDoc(4, 1, "property list uchar float vertex_indices", fourCorners+"3 0 1 2\n"))
}

func (l *oddList) off() {
	l.ok("off: one", 1, text("OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"))
	l.ok("off: counts on the first line", 1, text("OFF 3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"))
	l.ok("off: no edge count", 1, text("OFF\n3 1\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"))
	l.ok("off: comments", 1, text("# made by hand\nOFF # yes\n# counts\n3 1 0\n0 0 0 # a\n\n1 0 0\n0 1 0\n3 0 1 2\n"))
	l.ok("off: colours", 2, text("COFF\n4 1 0\n0 0 0 255 0 0 255\n1 0 0 255 0 0 255\n1 1 0 1 0 0 1\n0 1 0 1 0 0 1\n4 0 1 2 3 0.5 0.5 0.5\n"))
	l.ok("off: normals", 1, text("NOFF\n3 1 0\n0 0 0 0 0 1\n1 0 0 0 0 1\n0 1 0 0 0 1\n3 0 1 2 255 0 0\n"))
	l.ok("off: everything", 1, text("STCNOFF\n3 1 0\n0 0 0 0 0 1 1 1 1 1 0 0\n1 0 0 0 0 1 1 1 1 1 0 0\n0 1 0 0 0 1 1 1 1 1 0 0\n3 0 1 2\n"))
	l.ok("off: homogeneous", 1, text("4OFF\n3 1 0\n0 0 0 2\n2 0 0 2\n0 2 0 2\n3 0 1 2\n"))
	l.bad("off: points", "points.cloud", text("OFF\n3 0 0\n0 0 0\n1 0 0\n0 1 0\n"))
	l.bad("off: index past the end", "text.corner-range", text("OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n"))
	l.bad("off: negative index", "text.corner-range", text("OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 -1\n"))
	l.bad("off: cut in the corners", "off.corners-cut", text("OFF\n3 1 0\n0 0 0\n1 0 0\n"))
	l.bad("off: cut in the faces", "off.faces-cut", text("OFF\n3 2 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"))
	l.bad("off: cut in the head", "head.cut", text("OFF\n"))
	l.bad("off: absurd count", "off.counts", text("OFF\n2000000000 1 0\n0 0 0\n"))
	l.bad("off: negative count", "off.corners-negative", text("OFF\n-3 1 0\n0 0 0\n"))
	l.bad("off: NaN", "text.nan", text("OFF\n3 1 0\nnan 0 0\n1 0 0\n0 1 0\n3 0 1 2\n"))
	l.bad("off: absurd corners of a face", "off.face-corners", text("OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n999999999 0 1 2\n"))
	l.bad("off: zero weight", "off.infinite", text("4OFF\n3 1 0\n0 0 0 0\n2 0 0 2\n0 2 0 2\n3 0 1 2\n"))
	l.bad("off: binary", "off.binary", text("OFF BINARY\n\x00\x00\x00\x03\x00\x00"))
}

func (l *oddList) gltf() {
	l.ok("gltf: one", 1, gl{}.gltf())
	l.ok("glb: one", 1, gl{}.glb())
	l.ok("gltf: data type gltf-buffer", 1, []byte(strings.Replace(gl{}.json(), "application/octet-stream", "application/gltf-buffer", 1)))
	l.ok("gltf: data type left out", 1, []byte(strings.Replace(gl{}.json(), "application/octet-stream", "", 1)))
	l.ok("gltf: no indices", 1, gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0}}]}]`}.gltf())
	l.ok("gltf: strip", 1, gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0},"indices":1,"mode":5}]}]`}.gltf())
	l.ok("gltf: fan", 1, gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0},"indices":1,"mode":6}]}]`}.gltf())
	l.ok("gltf: points beside", 1, gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0},"mode":0},{"attributes":{"POSITION":0},"indices":1}]}]`}.gltf(), CodeSkipped)
	l.ok("gltf: several scenes", 1, gl{scenes: `"scene":1,"scenes":[{"nodes":[]},{"nodes":[0]}]`}.gltf(), CodeScenes)
	l.ok("gltf: no scene", 1, gl{scenes: `"x":0`}.gltf())
	l.ok("gltf: two scenes and no default", 1, gl{scenes: `"scenes":[{"nodes":[0]},{"nodes":[0]}]`}.gltf())
	l.ok("gltf: instances", 2, gl{nodes: `[{"children":[1,2]},{"mesh":0},{"mesh":0,"translation":[5,0,0]}]`}.gltf())
	l.ok("gltf: skin", 1, gl{nodes: `[{"mesh":0,"skin":0}]`, ext: `,"skins":[{"joints":[0]}]`}.gltf(), CodePose)
	l.ok("gltf: materials required", 1, gl{ext: `,"extensionsRequired":["KHR_materials_unlit"]`}.gltf())
	l.ok("glb: trailing bytes", 1, append(gl{}.glb(), 1, 2, 3, 4), CodeTrailing)
	l.bad("gltf: draco", "gltf.compressed", gl{ext: `,"extensionsRequired":["KHR_draco_mesh_compression"]`}.gltf())
	l.bad("gltf: meshopt", "gltf.compressed", gl{ext: `,"extensionsRequired":["EXT_meshopt_compression"]`}.gltf())
	l.bad("gltf: unknown extension", "gltf.extension", gl{ext: `,"extensionsRequired":["EXT_nobody"]`}.gltf())
	l.bad("gltf: draco in the primitive", "gltf.compressed", gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0},"extensions":{"KHR_draco_mesh_compression":{}}}]}]`,
		accessors: `[{"componentType":5126,"count":3,"type":"VEC3","sparse":{"count":0,"indices":{"bufferView":1,"componentType":5123},"values":{"bufferView":0}}}]`}.gltf())
	l.bad("gltf: accessor without data", "gltf.list-empty", gl{accessors: `[{"componentType":5126,"count":3,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: sparse over nothing, absurd count", "gltf.list-empty", gl{accessors: `[{"componentType":5126,"count":900000000,"type":"VEC3","sparse":{"count":1,"indices":{"bufferView":1,"componentType":5123},"values":{"bufferView":0}}}]`,
		meshes: `[{"primitives":[{"attributes":{"POSITION":0}}]}]`}.gltf())
	l.bad("gltf: count -1", "gltf.list-length", gl{accessors: `[{"bufferView":0,"componentType":5126,"count":-1,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: count beyond the view", "gltf.list-range", gl{accessors: `[{"bufferView":0,"componentType":5126,"count":30,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: offset beyond the view", "gltf.list-range", gl{accessors: `[{"bufferView":0,"byteOffset":100,"componentType":5126,"count":1,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: negative offset", "gltf.list-range", gl{accessors: `[{"bufferView":0,"byteOffset":-4,"componentType":5126,"count":1,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: huge offset", "gltf.list-range", gl{accessors: `[{"bufferView":0,"byteOffset":9223372036854775807,"componentType":5126,"count":3,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: negative view offset", "gltf.view-range", gl{views: `[{"buffer":0,"byteOffset":-4,"byteLength":36},{"buffer":0,"byteOffset":36,"byteLength":6}]`}.gltf())
	l.bad("gltf: view beyond the buffer", "gltf.view-range", gl{views: `[{"buffer":0,"byteOffset":30,"byteLength":36},{"buffer":0,"byteOffset":36,"byteLength":6}]`}.gltf())
	l.bad("gltf: overlapping stride", "gltf.stride", gl{views: `[{"buffer":0,"byteLength":36,"byteStride":4},{"buffer":0,"byteOffset":36,"byteLength":6}]`}.gltf())
	l.bad("gltf: buffer longer than its data", "gltf.buffer-cut", gl{buffers: `[{"byteLength":4200000000,"uri":"data:;base64,AAAA"}]`}.gltf())
	l.bad("gltf: broken base64", "gltf.embedded", gl{buffers: `[{"byteLength":42,"uri":"data:;base64,*!*"}]`}.gltf())
	l.bad("gltf: no buffer", "gltf.no-buffer", gl{buffers: `[]`}.gltf())
	l.bad("gltf: no view", "gltf.no-view", gl{views: `[]`}.gltf())
	l.bad("gltf: no accessor", "gltf.no-list", gl{accessors: `[]`}.gltf())
	l.bad("gltf: no mesh", "gltf.no-mesh", gl{meshes: `[]`}.gltf())
	l.bad("gltf: null everywhere", "gltf.no-part", gl{nodes: `[null]`}.gltf())
	l.bad("gltf: null primitive", "gltf.no-surface", gl{meshes: `[{"primitives":[null]}]`}.gltf())
	l.bad("gltf: negative mesh", "gltf.no-mesh", gl{nodes: `[{"mesh":-1}]`}.gltf())
	l.bad("gltf: index past the end", "gltf.corner-range", gl{accessors: `[{"bufferView":0,"componentType":5126,"count":2,"type":"VEC3"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: fractions for indices", "gltf.index-kind", gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0},"indices":2}]}]`,
		accessors: `[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"},{},{"bufferView":0,"componentType":5126,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: corners of two numbers", "gltf.corner-kind", gl{accessors: `[{"bufferView":0,"componentType":5126,"count":3,"type":"SCALAR"},{"bufferView":1,"componentType":5123,"count":3,"type":"SCALAR"}]`}.gltf())
	l.bad("gltf: node in itself", "gltf.part-twice", gl{nodes: `[{"mesh":0,"children":[0]}]`}.gltf())
	l.bad("gltf: nodes in a circle", "gltf.part-twice", gl{nodes: `[{"children":[1]},{"children":[0],"mesh":0}]`}.gltf())
	l.bad("gltf: circle without a scene", "gltf.circle", gl{scenes: `"x":0`, nodes: `[{"children":[1]},{"children":[0],"mesh":0}]`}.gltf())
	l.bad("gltf: child not there", "gltf.no-part", gl{nodes: `[{"children":[99]}]`}.gltf())
	l.bad("gltf: scene not there", "gltf.no-scene", gl{scenes: `"scene":7,"scenes":[{"nodes":[0]}]`}.gltf())
	var chain strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&chain, `{"children":[%d]},`, i+1)
	}
	l.bad("gltf: nodes 5000 deep", "parts.deep", gl{nodes: "[" + chain.String() + `{"mesh":0}]`}.gltf())
	l.bad("gltf: a million empty nodes", "gltf.entries", gl{nodes: "[" + l.rep("{},", 1_000_000) + "{}]"}.gltf())
	l.bad("gltf: nested brackets", "gltf.description-damaged", []byte(`{"asset":{"version":"2.0"},"extras":`+l.rep("[", 20000)+l.rep("]", 20000)+`}`))
	var wide strings.Builder
	for i := range 3000 {
		if i > 0 {
			wide.WriteByte(',')
		}
		wide.WriteString(`{"mesh":0}`)
	}
	var kids strings.Builder
	for i := range 3000 {
		if i > 0 {
			kids.WriteByte(',')
		}
		fmt.Fprint(&kids, i)
	}
	l.bad("gltf: copies of copies", "parts.repeated", gl{scenes: `"scene":0,"scenes":[{"nodes":[` + kids.String() + `]}]`, nodes: "[" + wide.String() + "]",
		meshes: `[{"primitives":[` + l.rep(`{"attributes":{"POSITION":0},"indices":1},`, 2000) + `{"attributes":{"POSITION":0},"indices":1}]}]`}.gltf())
	l.bad("gltf: network", "gltf.side-remote", gl{buffers: `[{"byteLength":42,"uri":"https://example.com/a.bin"}]`}.gltf())
	l.bad("gltf: network share", "gltf.side-remote", gl{buffers: `[{"byteLength":42,"uri":"//host/a.bin"}]`}.gltf())
	l.bad("gltf: file address", "gltf.side-remote", gl{buffers: `[{"byteLength":42,"uri":"file:///etc/passwd"}]`}.gltf())
	l.bad("gltf: side file without a folder", "gltf.side-unknown", gl{buffers: `[{"byteLength":42,"uri":"a.bin"}]`}.gltf())
	l.bad("gltf: infinite by transform", "gltf.place-nan", gl{nodes: `[{"mesh":0,"scale":[1e308,1e308,1e308],"children":[]}]`,
		buffers: `[{"byteLength":42,"uri":"data:;base64,` + base64.StdEncoding.EncodeToString(append(f32s(1e30, 0, 0, 1, 0, 0, 0, 1, 0), 0, 0, 1, 0, 2, 0)) + `"}]`}.gltf())
	l.bad("gltf: NaN", "gltf.place-nan", gl{buffers: `[{"byteLength":42,"uri":"data:;base64,` + base64.StdEncoding.EncodeToString(append(f32s(math.NaN(), 0, 0, 1, 0, 0, 0, 1, 0), 0, 0, 1, 0, 2, 0)) + `"}]`}.gltf())
	l.bad("gltf: points only", "points.cloud", gl{meshes: `[{"primitives":[{"attributes":{"POSITION":0},"mode":0}]}]`}.gltf())
	l.bad("gltf: version 1", "gltf.version", gl{asset: `{"version":"1.0"}`}.gltf())
	l.bad("gltf: cut off", "gltf.description-cut", gl{}.gltf()[:200])
	l.bad("gltf: wrong types", "gltf.description-damaged", []byte(`{"asset":{"version":"2.0"},"nodes":7}`))
	l.bad("glb: version 1", "gltf.glb-version", append([]byte("glTF\x01\x00\x00\x00"), make([]byte, 40)...))
	l.bad("glb: cut off", "gltf.cut", gl{}.glb()[:300])
	l.bad("glb: cut in the head", "head.cut", gl{}.glb()[:15])
	huge := gl{}.glb()
	copy(huge[12:], le32(math.MaxUint32))
	l.bad("glb: description longer than the file", "gltf.no-description", huge)
	l.bad("glb: byteLength -4294967296", "gltf.buffer-length", gl{buffers: `[{"byteLength":-4294967296}]`}.glb())
	l.bad("glb: byteLength 2^33+4", "gltf.buffer-cut", gl{buffers: `[{"byteLength":8589934596}]`}.glb())
	l.bad("glb: no binary part", "gltf.no-data", glb(gl{buffers: `[{"byteLength":42}]`}.json(), nil))
}

func (l *oddList) threeMF() {
	one := object(1, meshXML(threeVerts, threeTri))
	item := `<item objectid="1"/>`
	l.ok("3mf: one", 1, threeMF(model(`unit="inch"`, one, item)))
	l.ok("3mf: utf-16", 1, threeMF(string(wideText(model("", one, item), false))))
	l.ok("3mf: utf-16 big-endian", 1, threeMF(string(wideText(model("", one, item), true))))
	l.ok("3mf: prefixed names", 1, threeMF(strings.NewReplacer("<?", "<?", "</", "</c:", "<", "<c:", "xmlns=", "xmlns:c=").Replace(model("", one, item))))
	l.ok("3mf: no list of relations", 1, zipped("3D/3dmodel.model", model("", one, item)))
	l.ok("3mf: comments and text", 1, threeMF(model("", "<!-- <object id='1'> --> words <![CDATA[<object>]]>"+one, item)))
	l.ok("3mf: single quotes and blanks", 1, threeMF(model("", strings.ReplaceAll(strings.ReplaceAll(one, `"`, `'`), "=", " = "), item)))
	l.ok("3mf: a member without a type", 1, threeMF(model("", one, item), "Metadata/x.config", "hi"))
	l.ok("3mf: attribute on mesh", 1, threeMF(model("", strings.Replace(one, "<mesh>", `<mesh p:UUID="x">`, 1), item)))
	l.ok("3mf: two items", 2, threeMF(model("", one, item+`<item objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/>`)))
	l.ok("3mf: components", 2, threeMF(model("", one+object(2, `<components><component objectid="1"/><component objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 5"/></components>`), `<item objectid="2"/>`)))
	l.ok("3mf: split file", 1, threeMF(model(`requiredextensions="p"`, object(2, `<components><component objectid="1" p:path="/3D/part.model"/></components>`), `<item objectid="2"/>`), "3D/part.model", model("", one, "")))
	l.ok("3mf: item in a split file", 1, threeMF(model(`requiredextensions="p"`, "", `<item objectid="1" p:path="/3D/part.model"/>`), "3D/part.model", model("", one, item)))
	l.ok("3mf: nothing placed", 1, threeMF(model("", one, "")), CodeUnbuilt)
	l.ok("3mf: lattice beside", 1, threeMF(model(`requiredextensions="b"`, object(1, `<mesh>`+threeVerts+threeTri+`<b:beamlattice minlength="1"><b:beams><b:beam v1="0" v2="1"/></b:beams></b:beamlattice></mesh>`), item)), CodeMissing)
	l.bad("3mf: lattice only", "3mf.lattice", threeMF(model(`requiredextensions="b"`, object(1, `<mesh>`+threeVerts+`<triangles/><b:beamlattice><b:beams/></b:beamlattice></mesh>`), item)))
	l.bad("3mf: slices only", "3mf.slices", threeMF(model(`requiredextensions="s"`, `<s:slicestack id="9"/>`+object(1, ``), item)))
	l.bad("3mf: unknown extension", "3mf.extension", threeMF(strings.Replace(model(`requiredextensions="v"`, one, item), "<model ", `<model xmlns:v="http://schemas.example.com/volumetric/2022/01" `, 1)))
	l.bad("3mf: undeclared extension", "3mf.extension", threeMF(model(`requiredextensions="q"`, one, item)))
	l.bad("3mf: unknown unit", "3mf.unit", threeMF(model(`unit="furlong"`, one, item)))
	l.bad("3mf: index past the end", "3mf.corner-range", threeMF(model("", strings.Replace(one, `v3="2"`, `v3="77"`, 1), item)))
	l.bad("3mf: negative index", "3mf.corner-number", threeMF(model("", strings.Replace(one, `v3="2"`, `v3="-2"`, 1), item)))
	l.bad("3mf: huge index", "3mf.corner-number", threeMF(model("", strings.Replace(one, `v3="2"`, `v3="99999999999999999999"`, 1), item)))
	l.bad("3mf: missing index", "3mf.corners-few", threeMF(model("", strings.Replace(one, `v3="2"`, ``, 1), item)))
	l.bad("3mf: decimal comma", "3mf.place", threeMF(model("", strings.Replace(one, `x="1"`, `x="1,5"`, 1), item)))
	l.bad("3mf: NaN", "3mf.place-nan", threeMF(model("", strings.Replace(one, `x="1"`, `x="NaN"`, 1), item)))
	l.bad("3mf: missing z", "3mf.no-xyz", threeMF(model("", strings.Replace(one, `z="0"`, ``, 1), item)))
	l.bad("3mf: short transform", "3mf.transform-length", threeMF(model("", one, `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0"/>`)))
	l.bad("3mf: NaN transform", "3mf.transform", threeMF(model("", one, `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 nan"/>`)))
	l.bad("3mf: infinite by transform", "3mf.moved-far", threeMF(model("", strings.Replace(one, `x="1"`, `x="1e10"`, 1), `<item objectid="1" transform="1e308 0 0 0 1 0 0 0 1 0 0 0"/>`)))
	l.bad("3mf: object not there", "3mf.no-object", threeMF(model("", one, `<item objectid="9"/>`)))
	l.bad("3mf: part not there", "3mf.no-part", threeMF(model("", one, `<item objectid="1" p:path="/3D/nowhere.model"/>`)))
	l.bad("3mf: path out of the package", "3mf.no-part", threeMF(model("", one, `<item objectid="1" p:path="/../../etc/passwd"/>`)))
	l.bad("3mf: object of itself", "3mf.circle", threeMF(model("", object(1, `<components><component objectid="1"/></components>`), item)))
	l.bad("3mf: circle of objects", "3mf.circle", threeMF(model("", object(1, `<components><component objectid="2"/></components>`)+object(2, `<components><component objectid="1"/></components>`), item)))
	l.bad("3mf: circle of parts", "3mf.circle", threeMF(model("", object(1, `<components><component objectid="1" p:path="/3D/b.model"/></components>`), item), "3D/b.model", model("", object(1, `<components><component objectid="1" p:path="/3D/3dmodel.model"/></components>`), "")))
	var deep, laughs strings.Builder
	deep.WriteString(one)
	laughs.WriteString(one)
	for i := 2; i < 200; i++ {
		deep.WriteString(object(i, fmt.Sprintf(`<components><component objectid="%d"/></components>`, i-1)))
	}
	for i := 2; i < 12; i++ {
		laughs.WriteString(object(i, `<components>`+l.rep(fmt.Sprintf(`<component objectid="%d"/>`, i-1), 10)+`</components>`))
	}
	l.bad("3mf: parts 200 deep", "parts.deep", threeMF(model("", deep.String(), `<item objectid="199"/>`)))
	l.bad("3mf: ten to the tenth", "3mf.parts-many", threeMF(model("", laughs.String(), `<item objectid="11"/>`)))
	l.bad("3mf: twice the same number", "3mf.object-twice", threeMF(model("", one+one, item)))
	l.bad("3mf: no number", "3mf.object-unnumbered", threeMF(model("", strings.Replace(one, `id="1"`, ``, 1), item)))
	l.bad("3mf: no triangles", "mesh.empty", threeMF(model("", object(1, meshXML(threeVerts, "<triangles/>")), item)))
	l.bad("3mf: cut model", "3mf.cut", threeMF(model("", one, item)[:400]))
	l.bad("3mf: wrong end tag", "3mf.malformed", threeMF(strings.Replace(model("", one, item), "</mesh>", "</mush>", 1)))
	l.bad("3mf: document type", "3mf.doctype", threeMF(strings.Replace(model("", one, item), "<model", `<!DOCTYPE m [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><model`, 1)))
	l.bad("3mf: tags 10 000 deep", "3mf.stretched", threeMF(model("", l.rep("<a>", 10000)+l.rep("</a>", 10000)+one, item)))
	l.bad("3mf: endless tag", "3mf.stretched", threeMF(model("", `<metadata name="`+l.rep("x", 2_000_000)+`"/>`+one, item)))
	l.bad("3mf: no model", "archive.no-mesh", zipped("a.txt", "x"))
	l.bad("3mf: empty model", "3mf.cut", threeMF(""))
	l.bad("3mf: model named but missing", "3mf.model-missing", zipped("_rels/.rels", threeRels, "3D/other.model", model("", one, item)))
	l.bad("3mf: bomb", "archive.bomb", threeMF(model("", l.rep(" ", 80<<20)+one, item)))
	l.bad("3mf: bomb of triangles", "archive.bomb", threeMF(model("", object(1, meshXML(threeVerts, "<triangles>"+l.rep(`<triangle v1="0" v2="1" v3="2"/>`, 3_000_000)+"</triangles>")), item)))
	whole := threeMF(model("", one, item))
	l.bad("3mf: cut off", "archive.no-contents", whole[:len(whole)-60])
	torn := append([]byte(nil), whole...)
	for i := bytes.LastIndex(torn, []byte("3D/3dmodel.model")) - 200; i < bytes.LastIndex(torn, []byte("3D/3dmodel.model"))-100; i++ {
		torn[i] ^= 0x55
	}
	l.bad("3mf: torn", "archive.no-contents", torn)
}

func (l *oddList) wrapped() {
	whole := threeMF(model("", object(1, meshXML(threeVerts, threeTri)), `<item objectid="1"/>`))
	l.ok("gz: stl", 2, gz(binSTL("x", 2, 2)))
	l.ok("gz: obj", 1, gz(text(oneTriangle+"f 1 2 3\n")))
	l.ok("zip: stl", 2, zipped("a/b.stl", string(binSTL("x", 2, 2)), "readme.txt", "hi"))
	l.ok("zip: stl and system crumbs", 2, zipped("__MACOSX/._b.stl", "x", "b.stl", string(binSTL("x", 2, 2))))
	l.ok("zip: 3mf", 1, zipped("b.3mf", string(whole)))
	l.bad("zip: two meshes", "archive.several", zipped("a.stl", "x", "b.stl", "y"))
	l.bad("zip: office", "archive.package", zipped("[Content_Types].xml", "x", "_rels/.rels", "x", "word/document.xml", "x"))
	l.bad("zip: empty", "archive.empty", zipped())
	l.bad("zip: pictures", "archive.no-mesh", zipped("a.png", "x", "b.png", "y"))
	l.bad("zip: in zip in zip in zip", "archive.nested", zipped("a.gz", string(gz(gz(gz(binSTL("x", 2, 2)))))))
	l.bad("gz: bomb", "archive.bomb", gz([]byte(l.rep("\x00", 80<<20))))
	l.bad("gz: cut off", "archive.cut", gz(binSTL("x", 200, 200))[:60])
	l.bad("gz: head only", "archive.gzip-head", text("\x1f\x8b\x08"))
	sum := gz(binSTL("x", 2, 2))
	sum[len(sum)-6] ^= 0xff
	l.bad("gz: wrong checksum", "archive.damaged", sum)
	l.bad("gz: prose", "foreign.text", gz(text("hello\n")))
}

// faultOf holds an error to being facts: of a named file, in short pieces.
func faultOf(t *testing.T, err error) *Error {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("got an error of another kind: %v", err)
	}
	if e.File == "" || e.Fault == "" {
		t.Errorf("a part is missing: %+v", *e)
	}
	for _, a := range e.Args {
		switch a := a.(type) {
		case int64, mesh.Vec, error:
		case string:
			if len(a) > longestPiece {
				t.Errorf("%s: a piece of %d bytes", e.Fault, len(a))
			}
		default:
			t.Errorf("%s: rests on a %T", e.Fault, a)
		}
	}
	return e
}

func TestMalformed(t *testing.T) {
	files := oddFiles(true)
	if len(files) < 100 {
		t.Fatalf("only %d files", len(files))
	}
	seen := map[string]bool{}
	var slowest time.Duration
	var slow, fat string
	var most uint64
	for _, f := range files {
		if seen[f.name] {
			t.Fatalf("two files named %q", f.name)
		}
		seen[f.name] = true
		t.Run(f.name, func(t *testing.T) {
			runtime.GC()
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			b, info, err := Read(context.Background(), bytes.NewReader(f.data), int64(len(f.data)), Options{Name: f.as})
			took := time.Since(start)
			runtime.ReadMemStats(&after)
			if took > slowest {
				slowest, slow = took, f.name
			}
			if n := after.TotalAlloc - before.TotalAlloc; n > most {
				most, fat = n, f.name
			}
			// Everything ever allocated, freed or not, so well above the peak.
			if n := after.TotalAlloc - before.TotalAlloc; n > 256<<20+64*uint64(len(f.data)) {
				t.Errorf("allocated %d MB for a file of %d bytes", n>>20, len(f.data))
			}
			if f.fault != "" {
				if err == nil {
					t.Fatalf("got %d triangles, want %s", b.NumTriangles(), f.fault)
				}
				if e := faultOf(t, err); e.Fault != f.fault {
					t.Errorf("got %s, want %s", e.Fault, f.fault)
				}
				return
			}
			if err != nil {
				t.Fatalf("got error %v, want %d triangles", err, f.tris)
			}
			if b.NumTriangles() != f.tris {
				t.Errorf("got %d triangles, want %d", b.NumTriangles(), f.tris)
			}
			if f.code != "" && !info.Findings.Has(f.code) {
				t.Errorf("got findings %v, want %s", info.Findings, f.code)
			}
			if f.code == "" && len(info.Findings) > 0 {
				t.Errorf("got findings %v, want none", info.Findings)
			}
		})
	}
	t.Logf("%d files; longest %v (%s); most allocated %d MB (%s)", len(files), slowest.Round(time.Millisecond), slow, most>>20, fat)
}

// OddErrors are what small odd files give, for the test of their words.
func OddErrors() (all []error) {
	for _, f := range oddFiles(false) {
		if _, _, err := Read(context.Background(), bytes.NewReader(f.data), int64(len(f.data)), Options{Name: f.as}); err != nil {
			all = append(all, err)
		}
	}
	return all
}
