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
		return nil, Info{}, &Error{Summary: o.Name + " is a folder, not a file", Effect: effNone, Hint: "name the pattern file inside it"}
	}
	if !st.Mode().IsRegular() {
		return nil, Info{}, &Error{Summary: o.Name + " is not an ordinary file", Effect: effNone, Hint: "name a pattern file, or pass it on standard input with -"}
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, Info{}, missing(o.Name, err)
	}
	defer f.Close()
	return read(ctx, f, st.Size(), filepath.Dir(name), o)
}

func missing(name string, err error) *Error {
	e := &Error{Effect: effNone, err: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Summary, e.Hint = "there is no file "+name+" here", "check the spelling and the folder"
	case errors.Is(err, fs.ErrPermission):
		e.Summary, e.Hint = name+" may not be read by this user", "change its permissions, or copy it to a folder of your own"
	default:
		e.Summary, e.Hint = fmt.Sprintf("%s cannot be opened: %v", name, cause(err)), "check the name and the disk it lies on"
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
		return s.fail(effNone, hintExport, "holds no triangles")
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
					return s.fail(effGarbled, hintExport,
						"has a corner at %.3g, %.3g, %.3g: farther out than any pattern can be", v.X, v.Y, v.Z)
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
	e := s.fail(effRefused, "reduce the number of triangles in the program it was made in, or allow more",
		"has more than %s triangles", count(s.o.MaxTriangles))
	e.TooMany = true
	return e
}

// room checks that n more triangles are allowed.
func (s *source) room(n int) error {
	if n > s.o.MaxTriangles-s.b.NumTriangles() {
		return s.tooMany()
	}
	return nil
}

// known are files that people drop on a mesh reader and that are none; each
// with what to do. Prefixes from the formats' published signatures, from memory.
var known = []struct{ magic, what, hint string }{
	{"\x89PNG\r\n\x1a\n", "a picture (PNG)", "a picture has no depth to measure: scan or model the pattern and " + hintFormats},
	{"\xff\xd8\xff", "a picture (JPEG)", "a picture has no depth to measure: scan or model the pattern and " + hintFormats},
	{"GIF8", "a picture (GIF)", "a picture has no depth to measure: scan or model the pattern and " + hintFormats},
	{"II*\x00", "a picture (TIFF)", "a picture has no depth to measure: scan or model the pattern and " + hintFormats},
	{"MM\x00*", "a picture (TIFF)", "a picture has no depth to measure: scan or model the pattern and " + hintFormats},
	{"8BPS", "a layered picture", "a picture has no depth to measure: scan or model the pattern and " + hintFormats},
	{"%PDF", "a PDF document", "a drawing cannot be measured as a solid: ask for the model and " + hintFormats},
	{"%!PS", "a PostScript document", "a drawing cannot be measured as a solid: ask for the model and " + hintFormats},
	{"ISO-10303-21", "a STEP file: exact surfaces, not triangles", hintCAD},
	{"AC10", "a CAD drawing (DWG)", "open it in a CAD program and export the solid as STL or 3MF"},
	{"7z\xbc\xaf\x27\x1c", "a compressed archive (7z)", "unpack it and name the mesh file inside"},
	{"Rar!", "a compressed archive (RAR)", "unpack it and name the mesh file inside"},
	{"\xfd7zXZ\x00", "compressed (xz)", "unpack it and name the mesh file inside"},
	{"BZh", "compressed (bzip2)", "unpack it and name the mesh file inside"},
	{"\x28\xb5\x2f\xfd", "compressed (zstd)", "unpack it and name the mesh file inside"},
	{"Kaydara FBX Binary", "an FBX scene", "open it in a modelling program and " + hintFormats},
	{"; FBX", "an FBX scene", "open it in a modelling program and " + hintFormats},
	{"BLENDER", "a modelling program's own working file", "open it in that program and " + hintFormats},
	{"LASF", "a laser-scan point cloud (LAS)", hintPoints},
	{"ASTM-E57", "a laser-scan point cloud (E57)", hintPoints},
	{"# .PCD", "a point cloud (PCD)", hintPoints},
	{"\x7fELF", "a program", hintFormats},
	{"MZ\x90\x00", "a program", hintFormats},
	{"\xd0\xcf\x11\xe0", "an office document", hintFormats},
	{"OggS", "a sound or film", hintFormats},
	{"ID3", "a sound", hintFormats},
	{"\x1aE\xdf\xa3", "a film", hintFormats},
}

// hintCAD is for exact surfaces; 0.05 mm is a tenth of what rubber shows as a
// facet edge on a curve (common practice, no source).
const hintCAD = "open it in a CAD program and export it as STL or 3MF, with a tolerance of about 0.05 mm"

const hintPoints = "mesh the points first (surface reconstruction in the scanning program), then " + hintFormats

// readAny tells the format from the content and reads it.
func (s *source) readAny() error {
	if s.size == 0 {
		return s.fail(effNone, hintAgain, "is empty (0 bytes)")
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
			return s.fail(effNone, k.hint, "is %s", k.what)
		}
	}
	if bytes.HasPrefix(head, []byte("RIFF")) && len(head) > 12 {
		return s.fail(effNone, hintFormats, "is a picture, sound or film")
	}
	if len(head) > 12 && string(head[4:8]) == "ftyp" {
		return s.fail(effNone, hintFormats, "is a film or picture")
	}
	if bytes.HasPrefix(head, []byte("BM")) && len(head) > 26 && int64(binary.LittleEndian.Uint32(head[2:])) == s.size {
		return s.fail(effNone, "a picture has no depth to measure: scan or model the pattern and "+hintFormats, "is a picture (BMP)")
	}
	if kind := offKind(head); kind.binary {
		return s.fail(effNone, "export it as text OFF, or as STL, PLY or 3MF", "is a binary OFF file, which is not read here")
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
		return s.fail(effNone, hintAgain, "holds nothing but blanks")
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
		return s.fail(effNone, hintCAD, "is a STEP file: exact surfaces, not triangles")
	case isIGES(head):
		return s.fail(effNone, hintCAD, "is an IGES file: exact surfaces, not triangles")
	case bytes.HasPrefix(p, []byte("<")):
		return s.otherXML(p)
	case isDXF(p):
		return s.fail(effNone, "open it in a CAD program and export the solid as STL or 3MF", "is a DXF drawing")
	case bytes.HasPrefix(p, []byte("#VRML")):
		return s.fail(effNone, "open it in a modelling program and "+hintFormats, "is a VRML scene, which is not read here")
	}
	return s.readOBJOrNothing()
}

func (s *source) otherXML(p []byte) error {
	lower := bytes.ToLower(p)
	for _, k := range []struct{ tag, what, hint string }{
		{"<collada", "a COLLADA scene, which is not read here", "open it in a modelling program and " + hintFormats},
		{"<amf", "an AMF file, which is not read here", "open it in a slicing or modelling program and " + hintFormats},
		{"<x3d", "an X3D scene, which is not read here", "open it in a modelling program and " + hintFormats},
		{"<svg", "a drawing (SVG)", "a flat drawing has no depth: make a solid of it and " + hintFormats},
		{"<model", "the inner part of a 3MF file", "name the 3MF file itself, not the part that was unpacked from it"},
		{"<!doctype html", "a web page", "the download probably failed and left an error page: open it in a browser, then fetch the model again"},
		{"<html", "a web page", "the download probably failed and left an error page: open it in a browser, then fetch the model again"},
	} {
		if bytes.Contains(lower, []byte(k.tag)) {
			return s.fail(effNone, k.hint, "is %s", k.what)
		}
	}
	return s.fail(effNone, hintFormats, "is an XML document but no mesh")
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
		return s.fail(effNone, "save it as plain text (UTF-8), or "+hintFormats, "is text with two bytes per letter (UTF-16)")
	}
	return s.fail(effNone, hintFormats, "is none of the mesh files read here (STL, OBJ, PLY, OFF, 3MF, glTF)")
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
