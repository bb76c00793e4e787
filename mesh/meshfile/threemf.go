package meshfile

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"math"
	"path"
	"strconv"
	"strings"
	"unicode/utf16"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/par"
)

// 3MF core specification 1.3 with the production extension 1.1 (3MF
// Consortium, recalled, not opened). Materials, colours, properties and
// triangle sets do not move the surface and are passed over.

const (
	nsCore       = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	nsProduction = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
	nsMaterial   = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
	nsSlice      = "http://schemas.microsoft.com/3dmanufacturing/slice/2015/07"
	nsBeam       = "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"
	nsSets       = "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07"
)

// Limits of the tree of objects; a pattern has a handful.
const (
	maxObjects = 200_000
	maxComps   = 1_000_000
	maxNest    = 64
	maxVisits  = 1_000_000
)

type threeObject struct {
	verts []mesh.Vec
	tris  [][3]int32
	comps []threeComp
	used  bool // some component refers to it
	open  bool // being placed: a second time round is a cycle
}

// threeComp places an object: a component of another or an item of the build.
type threeComp struct {
	part string // "" = the same part
	id   uint32
	m    [12]float64
	set  bool // m is not the identity
}

type threePart struct {
	objs  map[uint32]*threeObject
	order []uint32
	items []threeComp
}

type threeReader struct {
	s       *source
	files   map[string]*zip.File
	parts   map[string]*threePart
	left    int64 // bytes that may still be inflated
	unit    string
	objects int
	comps   int
	visits  int
	copies  int // triangles that may still be placed
	beams   bool
	slices  bool
	welded  []int32
}

// threeUnits gives our name and the millimetres of each unit.
var threeUnits = map[string]struct {
	name string
	mm   float64
}{
	"micron": {"micron", 0.001}, "millimeter": {"mm", 1}, "centimeter": {"cm", 10},
	"inch": {"in", 25.4}, "foot": {"ft", 304.8}, "meter": {"m", 1000},
}

func partName(n string) string {
	return strings.ToLower(path.Clean("/" + strings.ReplaceAll(n, `\`, "/")))
}

// copyLimit is how many triangles instances may make of a file.
func (s *source) copyLimit() int {
	return int(min(int64(s.o.MaxTriangles), 4_000_000+8*s.size))
}

func (s *source) tooManyCopies() *Error {
	if s.copyLimit() == s.o.MaxTriangles {
		return s.tooMany()
	}
	return s.fail(effRefused, "export the pattern as one part, as binary STL",
		"repeats its parts so often that more than %s triangles come out", count(s.copyLimit()))
}

func (s *source) read3MF(z *zip.Reader) error {
	s.info.Format = "3MF"
	r := &threeReader{s: s, files: map[string]*zip.File{}, parts: map[string]*threePart{}, left: s.expandLimit(), copies: s.copyLimit()}
	for _, f := range z.File {
		if n := partName(f.Name); r.files[n] == nil {
			r.files[n] = f
		}
	}
	root, err := r.root(z)
	if err != nil {
		return err
	}
	part, err := r.part(root, true)
	if err != nil {
		return err
	}
	u, ok := threeUnits[r.unit]
	if !ok {
		return s.fail(effGarbled, hintExport, "states the unit %s, which 3MF does not have", quote([]byte(r.unit)))
	}
	s.info.Unit, s.info.Scale = u.name, u.mm
	up := mesh.V(0, 0, 1)
	s.info.Up = &up

	items := part.items
	if len(items) == 0 {
		// A library of parts: nothing is placed. Take what is not a part of
		// something else.
		for _, id := range part.order {
			if o := part.objs[id]; !o.used {
				items = append(items, threeComp{id: id})
			}
		}
		if len(items) > 0 {
			s.note(CodeUnbuilt, finding.Caution, Unbuilt{s.name})
		}
	}
	for _, it := range items {
		if err := r.place(root, it, [12]float64{}, false, 0); err != nil {
			return err
		}
	}
	if s.b.NumTriangles() == 0 {
		switch {
		case r.beams:
			return s.fail(effNone, "have the program that made it turn the lattice into a mesh, and export again", "describes a lattice of beams without a surface")
		case r.slices:
			return s.fail(effNone, "export the model itself as 3MF or STL, not what was sliced for the printer", "holds sliced layers without a surface")
		}
		return s.fail(effNone, hintExport, "holds no triangles")
	}
	if r.beams {
		s.noteMissing(UnreadLattice)
	}
	return nil
}

// root finds the part that the package names as its 3D model.
func (r *threeReader) root(z *zip.Reader) (string, error) {
	if f := r.files["/_rels/.rels"]; f != nil {
		rc, err := r.open(f)
		if err != nil {
			return "", err
		}
		defer rc.Close()
		x := newXML(rc)
		for {
			err := x.next()
			if err == io.EOF || errors.Is(err, errXML) || errors.Is(err, errXMLShort) {
				break // a package with a broken list still has its model
			}
			if err != nil {
				return "", r.xmlError(err)
			}
			if x.end || string(local(x.name)) != "Relationship" {
				continue
			}
			var typ, target string
			for n, v, rest, ok := nextAttr(x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
				switch string(n) {
				case "Type":
					typ = xmlText(v)
				case "Target":
					target = xmlText(v)
				}
			}
			if strings.HasSuffix(typ, "/3dmodel") {
				if n := partName(target); r.files[n] != nil {
					return n, nil
				}
				return "", r.s.fail(effPart, hintAgain, "names %s as its model, which is not in the package", quote([]byte(target)))
			}
		}
	}
	if r.files["/3d/3dmodel.model"] != nil {
		return "/3d/3dmodel.model", nil
	}
	for _, f := range z.File { // in the order of the package
		if n := partName(f.Name); path.Ext(n) == ".model" {
			return n, nil
		}
	}
	return "", r.s.fail(effNone, hintExport, "is a package without a model")
}

// threeStream inflates a part within the budget of the whole file, and ahead
// of its reader on a core of its own.
type threeStream struct {
	r     *threeReader
	in    io.ReadCloser
	ahead *par.Ahead
	done  float64 // bytes handed out, of size as the package says
	size  float64
}

func (r *threeReader) open(f *zip.File) (*threeStream, error) {
	if f.Flags&1 != 0 {
		return nil, r.s.fail(effNone, "export it without a password", "is locked with a password")
	}
	in, err := f.Open()
	if err != nil {
		return nil, r.s.fail(effGarbled, hintExport, "is packed in a way that is not read here")
	}
	return &threeStream{r: r, in: in, ahead: par.ReadAhead(&budget{in, r.left, func() error { return r.s.bomb() }}), size: float64(f.UncompressedSize64) + 1}, nil
}

// budget reads so many bytes and then fails with over.
type budget struct {
	in   io.Reader
	left int64
	over func() error
}

func (b *budget) Read(p []byte) (int, error) {
	n, err := b.in.Read(p)
	b.left -= int64(n)
	if b.left < 0 {
		return 0, b.over()
	}
	return n, err
}

func (t *threeStream) Read(p []byte) (int, error) {
	if err := t.r.s.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := t.ahead.Read(p)
	t.r.left -= int64(n)
	t.done += float64(n)
	t.r.s.progress(int64(float64(t.r.s.size) * min(1, t.done/t.size)))
	return n, err
}

// Close ends the inflating; it may be called once.
func (t *threeStream) Close() {
	t.ahead.Close()
	t.in.Close()
}

// part reads one model part, once.
func (r *threeReader) part(name string, root bool) (*threePart, error) {
	if p := r.parts[name]; p != nil {
		return p, nil
	}
	f := r.files[name]
	if f == nil {
		return nil, r.s.fail(effPart, hintAgain, "refers to a part %s that is not in the package", quote([]byte(name)))
	}
	in, err := r.open(f)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	text, err := utf8Reader(in)
	if err != nil {
		return nil, r.xmlError(err)
	}
	p := &threePart{objs: map[uint32]*threeObject{}}
	r.parts[name] = p
	m := &modelParser{r: r, p: p, x: newXML(text), root: root}
	if err := m.parse(); err != nil {
		return nil, r.xmlError(err)
	}
	return p, nil
}

// xmlError words an error from below; those already worded pass.
func (r *threeReader) xmlError(err error) error {
	var e *Error
	s := r.s
	switch {
	case errors.As(err, &e):
		return err
	case s.ctx.Err() != nil:
		return s.ctx.Err()
	case errors.Is(err, errXMLShort), errors.Is(err, io.ErrUnexpectedEOF):
		return s.fail(effPart, hintCut, "is cut off: its model does not end")
	case errors.Is(err, errXMLDoc):
		return s.fail(effRefused, hintExport, "has a document type in its model, which 3MF forbids")
	case errors.Is(err, errXMLDeep), errors.Is(err, errXMLLong):
		return s.fail(effRefused, hintExport, "has a model that is nested or stretched beyond any 3MF")
	case errors.Is(err, errXML):
		return s.fail(effGarbled, hintAgain, "is damaged: its model is not well-formed")
	case errors.Is(err, zip.ErrChecksum):
		return s.fail(effGarbled, hintAgain, "is damaged: its model does not match its checksum")
	}
	return s.fail(effGarbled, hintAgain, "is damaged: its compressed content does not unpack")
}

// utf8Reader turns UTF-16, which 3MF allows, into UTF-8.
func utf8Reader(r io.Reader) (io.Reader, error) {
	var b [2]byte
	n, err := io.ReadFull(r, b[:])
	if err != nil && n == 0 {
		if err == io.EOF {
			err = errXMLShort
		}
		return nil, err
	}
	switch string(b[:n]) {
	case "\xff\xfe":
		return &wide{r: r}, nil
	case "\xfe\xff":
		return &wide{r: r, big: true}, nil
	}
	return io.MultiReader(bytes.NewReader(b[:n]), r), nil
}

type wide struct {
	r    io.Reader
	big  bool
	raw  []byte
	out  []byte
	high rune // half of a surrogate pair
}

func (w *wide) Read(p []byte) (int, error) {
	for len(w.out) == 0 {
		if w.raw == nil {
			w.raw = make([]byte, 4096)
		}
		n, err := io.ReadFull(w.r, w.raw)
		for i := 0; i+1 < n; i += 2 {
			u := rune(w.raw[i]) | rune(w.raw[i+1])<<8
			if w.big {
				u = rune(w.raw[i])<<8 | rune(w.raw[i+1])
			}
			if utf16.IsSurrogate(u) {
				if w.high != 0 {
					w.out = append(w.out, string(utf16.DecodeRune(w.high, u))...)
					w.high = 0
				} else {
					w.high = u
				}
				continue
			}
			w.high = 0
			w.out = append(w.out, string(u)...)
		}
		if len(w.out) == 0 && err != nil {
			if err == io.ErrUnexpectedEOF {
				err = io.EOF
			}
			return 0, err
		}
	}
	n := copy(p, w.out)
	w.out = w.out[n:]
	return n, nil
}

func local(name []byte) []byte {
	if k := bytes.IndexByte(name, ':'); k >= 0 {
		return name[k+1:]
	}
	return name
}

func prefix(name []byte) []byte {
	if k := bytes.IndexByte(name, ':'); k >= 0 {
		return name[:k]
	}
	return nil
}

// modelParser reads one <model>.
type modelParser struct {
	r    *threeReader
	p    *threePart
	x    *xmlScan
	root bool
	core string            // prefix of the core namespace, "" = default
	ns   map[string]string // prefix to namespace, as declared on <model>
	obj  *threeObject
}

// isCore reports whether a tag is the core element w. Prefixes are taken as
// declared on the root element, where 3MF writers declare them.
func (m *modelParser) isCore(name []byte, w string) bool {
	if len(m.core) == 0 {
		return string(name) == w
	}
	return len(name) == len(m.core)+1+len(w) && string(name[:len(m.core)]) == m.core && name[len(m.core)] == ':' && string(name[len(m.core)+1:]) == w
}

func (m *modelParser) parse() error {
	x := m.x
	seen := false
	for {
		err := x.next()
		if err == io.EOF {
			if !seen {
				return errXMLShort
			}
			return nil
		}
		if err != nil {
			return err
		}
		if x.end {
			if m.isCore(x.name, "object") {
				if err := m.endObject(); err != nil {
					return err
				}
			}
			continue
		}
		if !seen {
			seen = true
			if err := m.model(); err != nil {
				return err
			}
			continue
		}
		switch {
		case m.isCore(x.name, "vertex"):
			err = m.vertex()
		case m.isCore(x.name, "triangle"):
			err = m.triangle()
		case m.isCore(x.name, "object"):
			err = m.object()
		case m.isCore(x.name, "component"):
			err = m.component()
		case m.isCore(x.name, "item"):
			if m.root {
				err = m.item()
			}
		case m.ns[string(prefix(x.name))] == nsBeam && string(local(x.name)) == "beamlattice":
			m.r.beams = true
		case m.ns[string(prefix(x.name))] == nsSlice && string(local(x.name)) == "slicestack":
			m.r.slices = true
		}
		if err != nil {
			return err
		}
	}
}

func (m *modelParser) model() error {
	s := m.r.s
	if string(local(m.x.name)) != "model" {
		return s.fail(effGarbled, hintExport, "has a model part that is no 3MF model")
	}
	m.ns = map[string]string{}
	unit, required := "millimeter", ""
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		switch {
		case string(n) == "unit":
			unit = strings.TrimSpace(xmlText(v))
		case string(n) == "requiredextensions":
			required = xmlText(v)
		case string(n) == "xmlns":
			m.ns[""] = xmlText(v)
		case bytes.HasPrefix(n, []byte("xmlns:")) && len(m.ns) < 1000:
			m.ns[string(n[6:])] = xmlText(v)
		}
	}
	m.core = string(prefix(m.x.name))
	if m.root {
		m.r.unit = unit
	}
	for _, p := range strings.Fields(required) {
		switch ns := m.ns[p]; ns {
		case nsCore, nsProduction, nsMaterial, nsSlice, nsBeam, nsSets:
		default:
			if ns == "" {
				ns = p
			}
			// The name stands before the year and month.
			what := strings.TrimRight(ns, "/0123456789")
			if what = path.Base(what); what == "." || what == "/" {
				what = ns
			}
			return s.fail(effNone, "export it without that extension, as plain 3MF with a mesh, or as STL",
				"says that it cannot be understood without an extension that is not read here (%s)", strings.Trim(quote([]byte(what)), `"`))
		}
	}
	return nil
}

func (m *modelParser) object() error {
	s := m.r.s
	if m.r.objects++; m.r.objects > maxObjects {
		return s.fail(effRefused, hintExport, "has more than %s objects", count(maxObjects))
	}
	o := &threeObject{}
	id := int64(-1)
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		if string(n) == "id" {
			k, err := strconv.ParseUint(strings.TrimSpace(xmlText(v)), 10, 32)
			if err != nil {
				return s.fail(effGarbled, hintExport, "has an object whose number is %s", quote(v))
			}
			id = int64(k)
		}
	}
	if id < 0 {
		return s.fail(effGarbled, hintExport, "has an object without a number")
	}
	if m.p.objs[uint32(id)] != nil {
		return s.fail(effGarbled, hintExport, "has two objects with the same number")
	}
	m.p.objs[uint32(id)] = o
	m.p.order = append(m.p.order, uint32(id))
	m.obj = o
	return nil
}

// endObject checks the corners of the object's triangles, which may have been
// written before the vertices.
func (m *modelParser) endObject() error {
	o := m.obj
	m.obj = nil
	if o == nil {
		return nil
	}
	for _, t := range o.tris {
		for _, i := range t {
			if int(i) >= len(o.verts) {
				return m.r.s.fail(effGarbled, hintExport, "has a triangle that names corner %s of an object with %s, counted from 0", count(i), plural(len(o.verts), "corner"))
			}
		}
	}
	return nil
}

func (m *modelParser) vertex() error {
	o := m.obj
	if o == nil {
		return nil
	}
	var c [3]float64
	got := 0
	p := m.x.attrs
	for {
		n, v, rest, ok := nextAttr(p)
		if !ok {
			break
		}
		p = rest
		if len(n) != 1 || n[0] < 'x' || n[0] > 'z' {
			continue
		}
		i := skipSpace(v, 0)
		f, e, ok := number(v, i)
		if !ok || skipSpace(v, e) != len(v) {
			hint := hintExport
			if bytes.IndexByte(v, ',') >= 0 {
				hint = "it was written with decimal commas: " + hintExport + ", or with the system set to decimal points"
			}
			return m.r.s.fail(effGarbled, hint, "has a corner whose place is %s instead of a number", quote(v))
		}
		if math.IsNaN(f) || math.IsInf(f, 0) {
			return m.r.s.fail(effGarbled, hintExport, "has a corner whose place is not a number (%s)", quote(v))
		}
		c[n[0]-'x'] = f
		got |= 1 << (n[0] - 'x')
	}
	if got != 7 {
		return m.r.s.fail(effGarbled, hintExport, "has a corner without x, y and z")
	}
	if len(o.verts) >= math.MaxInt32/2 {
		return m.r.s.tooMany()
	}
	if len(o.verts) == cap(o.verts) {
		o.verts = append(make([]mesh.Vec, 0, max(64, 2*len(o.verts))), o.verts...)
	}
	o.verts = append(o.verts, mesh.Vec{X: c[0], Y: c[1], Z: c[2]})
	return nil
}

func (m *modelParser) triangle() error {
	o := m.obj
	if o == nil {
		return nil
	}
	var t [3]int32
	got := 0
	p := m.x.attrs
	for {
		n, v, rest, ok := nextAttr(p)
		if !ok {
			break
		}
		p = rest
		if len(n) != 2 || n[0] != 'v' || n[1] < '1' || n[1] > '3' {
			continue
		}
		k, good := int64(0), false
		for _, d := range bytes.TrimSpace(v) {
			if d-'0' > 9 || k > math.MaxInt32 {
				good = false
				break
			}
			k, good = k*10+int64(d-'0'), true
		}
		if !good || k >= math.MaxInt32 {
			return m.r.s.fail(effGarbled, hintExport, "has a triangle that names its corner %s", quote(v))
		}
		t[n[1]-'1'] = int32(k)
		got |= 1 << (n[1] - '1')
	}
	if got != 7 {
		return m.r.s.fail(effGarbled, hintExport, "has a triangle with fewer than three corners")
	}
	if len(o.tris) >= m.r.s.o.MaxTriangles {
		return m.r.s.tooMany()
	}
	if len(o.tris) == cap(o.tris) {
		o.tris = append(make([][3]int32, 0, max(64, 2*len(o.tris))), o.tris...)
	}
	o.tris = append(o.tris, t)
	return nil
}

func (m *modelParser) ref() (threeComp, error) {
	s := m.r.s
	c := threeComp{}
	has := false
	if m.r.comps++; m.r.comps > maxComps {
		return c, s.fail(effRefused, hintExport, "places more than %s parts", count(maxComps))
	}
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		switch {
		case string(n) == "objectid":
			k, err := strconv.ParseUint(strings.TrimSpace(xmlText(v)), 10, 32)
			if err != nil {
				return c, s.fail(effGarbled, hintExport, "places an object whose number is %s", quote(v))
			}
			c.id, has = uint32(k), true
		case string(n) == "transform":
			f := strings.Fields(xmlText(v))
			if len(f) != 12 {
				return c, s.fail(effGarbled, hintExport, "places an object by %d numbers instead of 12", len(f))
			}
			for i, t := range f {
				x, e, ok := number([]byte(t), 0)
				if !ok || e != len(t) || math.IsNaN(x) || math.IsInf(x, 0) {
					return c, s.fail(effGarbled, hintExport, "places an object by %s instead of a number", quote([]byte(t)))
				}
				c.m[i] = x
			}
			c.set = c.m != threeIdentity
		case string(local(n)) == "path" && m.ns[string(prefix(n))] == nsProduction && len(prefix(n)) > 0:
			c.part = partName(xmlText(v))
		}
	}
	if !has {
		return c, s.fail(effGarbled, hintExport, "places an object without saying which")
	}
	return c, nil
}

func (m *modelParser) component() error {
	if m.obj == nil {
		return nil
	}
	c, err := m.ref()
	if err != nil {
		return err
	}
	m.obj.comps = append(m.obj.comps, c)
	return nil
}

func (m *modelParser) item() error {
	c, err := m.ref()
	if err != nil {
		return err
	}
	m.p.items = append(m.p.items, c)
	return nil
}

var threeIdentity = [12]float64{1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}

// times returns the transform that applies a and then b (row vectors).
func times(a, b [12]float64) (c [12]float64) {
	for r := range 4 {
		for k := range 3 {
			v := float64(a[3*r]*b[k]) + float64(a[3*r+1]*b[3+k]) + float64(a[3*r+2]*b[6+k])
			if r == 3 {
				v += b[9+k]
			}
			c[3*r+k] = v
		}
	}
	return c
}

func apply(m *[12]float64, v mesh.Vec) mesh.Vec {
	return mesh.Vec{
		X: float64(v.X*m[0]) + float64(v.Y*m[3]) + float64(v.Z*m[6]) + m[9],
		Y: float64(v.X*m[1]) + float64(v.Y*m[4]) + float64(v.Z*m[7]) + m[10],
		Z: float64(v.X*m[2]) + float64(v.Y*m[5]) + float64(v.Z*m[8]) + m[11],
	}
}

// mirrors reports whether the transform turns the surface inside out.
func mirrors(m *[12]float64) bool {
	return mesh.V(m[0], m[1], m[2]).Cross(mesh.V(m[3], m[4], m[5])).Dot(mesh.V(m[6], m[7], m[8])) < 0
}

// place adds an object and its components, moved by m if set.
func (r *threeReader) place(from string, c threeComp, m [12]float64, set bool, depth int) error {
	s := r.s
	if c.part == "" {
		c.part = from
	}
	p, err := r.part(c.part, false)
	if err != nil {
		return err
	}
	o := p.objs[c.id]
	if o == nil {
		return s.fail(effPart, hintExport, "places object %d, which is not there", c.id)
	}
	if o.open {
		return s.fail(effGarbled, hintExport, "has an object that is a part of itself")
	}
	if depth > maxNest {
		return s.fail(effRefused, hintExport, "has parts within parts, more than %d deep", maxNest)
	}
	if r.visits++; r.visits > maxVisits {
		return s.fail(effRefused, hintExport, "places more than %s parts", count(maxVisits))
	}
	if r.visits%256 == 0 {
		if err := s.ctx.Err(); err != nil {
			return err
		}
	}
	if c.set {
		if set {
			m = times(c.m, m)
		} else {
			m, set = c.m, true
		}
	}
	if len(o.tris) > 0 {
		if err := r.add(o, &m, set); err != nil {
			return err
		}
	}
	o.open = true
	defer func() { o.open = false }()
	for _, k := range o.comps {
		if err := r.place(c.part, k, m, set, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (r *threeReader) add(o *threeObject, m *[12]float64, set bool) error {
	s := r.s
	if len(o.tris) > r.copies {
		return s.tooManyCopies()
	}
	r.copies -= len(o.tris)
	flip := set && mirrors(m)
	r.welded = r.welded[:0]
	s.b.Grow(len(o.tris))
	for i, v := range o.verts {
		if i&8191 == 0 {
			if err := s.ctx.Err(); err != nil {
				return err
			}
		}
		if set {
			v = apply(m, v)
			if !v.IsFinite() {
				return s.fail(effGarbled, hintExport, "moves a part farther out than any pattern can be")
			}
		}
		k, err := s.b.Vertex(v)
		if err != nil {
			return s.fail(effRefused, hintExport, "%v", err)
		}
		r.welded = append(r.welded, k)
	}
	for _, t := range o.tris {
		a, b, c := r.welded[t[0]], r.welded[t[1]], r.welded[t[2]]
		if flip {
			b, c = c, b
		}
		s.b.Triangle(a, b, c)
	}
	return nil
}
