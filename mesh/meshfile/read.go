package meshfile

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// DefaultMaxTriangles is the largest mesh read unless Options say otherwise:
// about 2.5 GB of memory in the end. Common practice, no source.
const DefaultMaxTriangles = 50_000_000

// maxCoordinate is the farthest a corner may lie from the origin, in the
// file's unit: a survey in micrometres fits, and the square of a distance
// stays exact to 1e-16 of itself, far from overflow. Own choice, no source.
const maxCoordinate = 1e12

// Options for reading; the zero value is a good default.
type Options struct {
	// MaxTriangles refuses larger meshes; 0 means DefaultMaxTriangles.
	MaxTriangles int
	// Progress, if not nil, is told how far the reading is, in bytes; it is
	// called from the reading goroutine and done never decreases.
	Progress func(stage string, done, total int)
	// Name is what messages call the file. Open takes the base name if it is
	// empty, Read says "the file".
	Name string
}

// Info is what a file says of itself beside its triangles.
type Info struct {
	// Format is one of "STL binary", "STL ASCII", "OBJ", "PLY ascii",
	// "PLY binary little-endian", "PLY binary big-endian", "glTF", "GLB",
	// "3MF", "OFF".
	Format string
	// Unit of the coordinates: micron, mm, cm, in, ft or m, or "" where the
	// file does not say.
	Unit string
	// Scale is millimetres per file unit, 0 where Unit is "".
	Scale float64
	// Up is the file format's up, a candidate only; nil where it has none.
	Up *mesh.Vec
	// Findings about the file itself: bytes left over, a header that lies,
	// content that is no surface and was passed over.
	Findings finding.List
}

// source is one file being read.
type source struct {
	ctx   context.Context
	r     io.ReaderAt
	size  int64
	name  string // for messages
	ext   string // lower case, only to word doubtful cases
	o     Options
	info  *Info
	b     *mesh.Builder
	dir   string // folder for glTF side files, "" = none allowed
	depth int    // how many archives we are inside
	told  int64  // progress told so far
}

// Open reads the mesh file with the given name. glTF side files are read from
// its folder. Errors are *Error or wrap ctx.Err().
func Open(ctx context.Context, name string, o Options) (*mesh.Builder, Info, error) {
	if o.Name == "" {
		o.Name = filepath.Base(name)
	}
	st, err := os.Stat(name)
	if err != nil {
		return nil, Info{}, missing(o.Name, err)
	}
	if st.IsDir() {
		return nil, Info{}, &Error{File: o.Name, Fault: "open.folder"}
	}
	if !st.Mode().IsRegular() {
		return nil, Info{}, &Error{File: o.Name, Fault: "open.not-ordinary"}
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, Info{}, missing(o.Name, err)
	}
	defer f.Close()
	return read(ctx, f, st.Size(), filepath.Dir(name), o)
}

func missing(name string, err error) *Error {
	e := &Error{File: name, Fault: "open.failed", Args: []any{cause(err)}, err: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Fault = "open.missing"
	case errors.Is(err, fs.ErrPermission):
		e.Fault = "open.forbidden"
	}
	return e
}

// Read reads a mesh of the given size in bytes from r, telling its format from
// the content alone. A glTF document with side files needs Open. Errors are
// *Error or wrap ctx.Err().
func Read(ctx context.Context, r io.ReaderAt, size int64, o Options) (*mesh.Builder, Info, error) {
	return read(ctx, r, size, "", o)
}

func newSource(ctx context.Context, r io.ReaderAt, size int64, dir string, o Options) *source {
	if o.MaxTriangles <= 0 {
		o.MaxTriangles = DefaultMaxTriangles
	}
	s := &source{ctx: ctx, r: r, size: size, o: o, dir: dir, name: o.Name, ext: strings.ToLower(filepath.Ext(o.Name))}
	if s.name == "" {
		s.name = "the file"
	}
	s.b, s.info = &mesh.Builder{}, &Info{}
	return s
}

func read(ctx context.Context, r io.ReaderAt, size int64, dir string, o Options) (*mesh.Builder, Info, error) {
	s := newSource(ctx, r, size, dir, o)
	err := s.readAny()
	if err == nil {
		err = s.finish()
	}
	if err != nil {
		if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			err = fmt.Errorf("meshfile: %w", ctx.Err())
		}
		return nil, Info{}, err
	}
	s.progress(s.size)
	return s.b, *s.info, nil
}

// finish checks what every format must hold to.
func (s *source) finish() error {
	n := s.b.NumTriangles()
	if n == 0 {
		return s.fail("mesh.empty")
	}
	far := func(v mesh.Vec) bool {
		return max(math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z)) > maxCoordinate
	}
	// Look at the vertices first, they are fewer; only if one is out there
	// ask whether a triangle uses it.
	any := false
	for i := range s.b.NumVertices() {
		if far(s.b.At(int32(i))) {
			any = true
			break
		}
	}
	if any {
		for t := range n {
			for _, i := range s.b.Corners(t) {
				if v := s.b.At(i); far(v) {
					return s.fail("mesh.far", v)
				}
			}
		}
	}
	return nil
}

// readAt fills p from the given place.
func (s *source) readAt(p []byte, off int64) error {
	if err := s.ctx.Err(); err != nil {
		return err
	}
	n, err := s.r.ReadAt(p, off)
	if n == len(p) {
		return nil
	}
	if err == nil || err == io.EOF {
		err = errors.New("it became shorter while it was read")
	}
	return s.input(err)
}

func (s *source) progress(done int64) {
	if s.o.Progress != nil && s.depth == 0 && done >= s.told {
		s.told = done
		s.o.Progress("read", int(done), int(s.size))
	}
}

// tooMany is the error for a mesh beyond Options.MaxTriangles.
func (s *source) tooMany() *Error {
	return s.fail("mesh.too-many", s.o.MaxTriangles)
}

// room checks that n more triangles are allowed.
func (s *source) room(n int) error {
	if n > s.o.MaxTriangles-s.b.NumTriangles() {
		return s.tooMany()
	}
	return nil
}

// known are files that people drop on a mesh reader and that are none. Prefixes
// from the formats' published signatures, from memory.
var known = []struct {
	magic string
	fault Fault
}{
	{"\x89PNG\r\n\x1a\n", "foreign.png"},
	{"\xff\xd8\xff", "foreign.jpeg"},
	{"GIF8", "foreign.gif"},
	{"II*\x00", "foreign.tiff"},
	{"MM\x00*", "foreign.tiff"},
	{"8BPS", "foreign.layers"},
	{"%PDF", "foreign.pdf"},
	{"%!PS", "foreign.postscript"},
	{"ISO-10303-21", "foreign.step"},
	{"AC10", "foreign.dwg"},
	{"7z\xbc\xaf\x27\x1c", "foreign.7z"},
	{"Rar!", "foreign.rar"},
	{"\xfd7zXZ\x00", "foreign.xz"},
	{"BZh", "foreign.bzip2"},
	{"\x28\xb5\x2f\xfd", "foreign.zstd"},
	{"Kaydara FBX Binary", "foreign.fbx"},
	{"; FBX", "foreign.fbx"},
	{"BLENDER", "foreign.work-file"},
	{"LASF", "foreign.las"},
	{"ASTM-E57", "foreign.e57"},
	{"# .PCD", "foreign.pcd"},
	{"\x7fELF", "foreign.program"},
	{"MZ\x90\x00", "foreign.program"},
	{"\xd0\xcf\x11\xe0", "foreign.office"},
	{"OggS", "foreign.ogg"},
	{"ID3", "foreign.sound"},
	{"\x1aE\xdf\xa3", "foreign.film"},
}

// readAny tells the format from the content and reads it.
func (s *source) readAny() error {
	if s.size == 0 {
		return s.fail("foreign.empty")
	}
	head := make([]byte, min(s.size, 4096))
	if err := s.readAt(head, 0); err != nil {
		return err
	}
	// An exact fit of count and size is the strongest evidence there is: the
	// chance of it in another file is one in four thousand million.
	if s.size >= 84 && 84+50*int64(binary.LittleEndian.Uint32(head[80:])) == s.size {
		return s.readBinarySTL(head)
	}
	switch {
	case bytes.HasPrefix(head, []byte("glTF")):
		return s.readGLB()
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		return s.readZip()
	case bytes.HasPrefix(head, []byte("\x1f\x8b")):
		return s.readGzip()
	case isPLY(head):
		return s.readPLY()
	}
	for _, k := range known {
		if bytes.HasPrefix(head, []byte(k.magic)) {
			return s.fail(k.fault)
		}
	}
	if bytes.HasPrefix(head, []byte("RIFF")) && len(head) > 12 {
		return s.fail("foreign.riff")
	}
	if len(head) > 12 && string(head[4:8]) == "ftyp" {
		return s.fail("foreign.film-or-picture")
	}
	if bytes.HasPrefix(head, []byte("BM")) && len(head) > 26 && int64(binary.LittleEndian.Uint32(head[2:])) == s.size {
		return s.fail("foreign.bmp")
	}
	if kind := offKind(head); kind.binary {
		return s.fail("off.binary")
	}
	if isText(head) {
		return s.readText(head)
	}
	return s.readBinaryGuess(head)
}

// isText reports whether p looks like text: no control bytes except white
// space, and hardly any bytes outside ASCII that are not UTF-8.
func isText(p []byte) bool {
	odd := 0
	for _, c := range p {
		switch {
		case c < ' ' && !isSpace(c) && c != 0x1a, c == 0x7f:
			return false
		case c >= 0x80:
			odd++
		}
	}
	return odd*4 <= len(p)
}

// bom is the length of a UTF-8 byte order mark at the start of p.
func bom(p []byte) int {
	if bytes.HasPrefix(p, []byte("\xef\xbb\xbf")) {
		return 3
	}
	return 0
}

// readText tells the text formats apart.
func (s *source) readText(head []byte) error {
	p := head[bom(head):]
	p = p[skipSpace(p, 0):]
	if len(p) == 0 && s.size <= int64(len(head)) {
		return s.fail("foreign.blank")
	}
	first := p[:lineEnd(p, 0)]
	w := first[:token(first, 0)]
	switch {
	case isWord(w, "solid"), isWord(w, "facet"):
		return s.readTextSTL()
	case offKind(head).ok:
		return s.readOFF()
	case bytes.HasPrefix(p, []byte("{")):
		return s.readGLTF()
	case bytes.HasPrefix(p, []byte("ISO-10303-21")):
		return s.fail("foreign.step")
	case isIGES(head):
		return s.fail("foreign.iges")
	case bytes.HasPrefix(p, []byte("<")):
		return s.otherXML(p)
	case isDXF(p):
		return s.fail("foreign.dxf")
	case bytes.HasPrefix(p, []byte("#VRML")):
		return s.fail("foreign.vrml")
	}
	return s.readOBJOrNothing()
}

func (s *source) otherXML(p []byte) error {
	lower := bytes.ToLower(p)
	for _, k := range []struct {
		tag   string
		fault Fault
	}{
		{"<collada", "foreign.collada"},
		{"<amf", "foreign.amf"},
		{"<x3d", "foreign.x3d"},
		{"<svg", "foreign.svg"},
		{"<model", "foreign.3mf-part"},
		{"<!doctype html", "foreign.web-page"},
		{"<html", "foreign.web-page"},
	} {
		if bytes.Contains(lower, []byte(k.tag)) {
			return s.fail(k.fault)
		}
	}
	return s.fail("foreign.xml")
}

// isIGES looks for the section letter in column 73 of the first line.
func isIGES(p []byte) bool {
	p = p[:lineEnd(p, 0)]
	return len(p) >= 80 && len(p) <= 82 && (p[72] == 'S' || p[72] == 'F') && strings.TrimSpace(string(p[73:80])) == "1"
}

// isDXF looks for group code 0 and SECTION.
func isDXF(p []byte) bool {
	f := bytes.Fields(p)
	return len(f) > 1 && (string(f[0]) == "0" || string(f[0]) == "999") && bytes.Contains(p, []byte("SECTION"))
}

// readBinaryGuess is for bytes that carry no signature: a binary STL whose
// count is wrong, or nothing we know.
func (s *source) readBinaryGuess(head []byte) error {
	if s.ext == ".stl" || plausibleSTL(head) || bytes.HasPrefix(bytes.ToLower(head), []byte("solid")) {
		return s.readBinarySTL(head)
	}
	if isUTF16(head) {
		return s.fail("foreign.utf16")
	}
	return s.fail("foreign.unknown")
}

func isUTF16(p []byte) bool {
	return bytes.HasPrefix(p, []byte("\xff\xfe")) || bytes.HasPrefix(p, []byte("\xfe\xff"))
}

// FormatFor returns the name that Write takes for a file name's extension.
func FormatFor(name string) (format string, ok bool) {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".stl":
		return "stl", true
	case ".obj":
		return "obj", true
	case ".ply":
		return "ply", true
	case ".off":
		return "off", true
	case ".3mf":
		return "3mf", true
	case ".glb":
		return "glb", true
	}
	return "", false
}
