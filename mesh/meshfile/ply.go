package meshfile

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"strconv"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// PLY as in Turk's published description of 1994: any elements with any
// properties in any order; the surface is in "vertex" (x, y, z) and "face" or
// "tristrips" (vertex_indices, or vertex_index as some writers say).

type plyType uint8

const (
	plyNone plyType = iota
	plyI8
	plyU8
	plyI16
	plyU16
	plyI32
	plyU32
	plyF32
	plyF64
)

var plyTypes = map[string]plyType{
	"char": plyI8, "uchar": plyU8, "short": plyI16, "ushort": plyU16, "int": plyI32, "uint": plyU32, "float": plyF32, "double": plyF64,
	"int8": plyI8, "uint8": plyU8, "int16": plyI16, "uint16": plyU16, "int32": plyI32, "uint32": plyU32, "float32": plyF32, "float64": plyF64,
}

var plySize = [...]int{plyI8: 1, plyU8: 1, plyI16: 2, plyU16: 2, plyI32: 4, plyU32: 4, plyF32: 4, plyF64: 8}

type plyProp struct {
	name  string
	count plyType // of a list, else plyNone
	typ   plyType
}

type plyElem struct {
	name  string
	n     int64
	props []plyProp
}

func isPLY(head []byte) bool {
	p := head[bom(head):]
	return bytes.HasPrefix(p, []byte("ply")) && len(p) > 3 && isSpace(p[3])
}

// plyIn reads the values of the body one after the other.
type plyIn interface {
	float(t plyType) (float64, error)
	whole(t plyType) (int64, error)
	list(t plyType, n int64, into []int64) ([]int64, error)
	skip(t plyType, n int64) error
	row() error // a new row begins
}

func (s *source) readPLY() error {
	elems, order, text, body, line, err := s.plyHeader()
	if err != nil {
		return err
	}
	left := s.size - body
	for _, e := range elems {
		least := int64(0) // bytes per row
		for _, p := range e.props {
			switch {
			case text:
				least += 2
			case p.count != plyNone:
				least += int64(plySize[p.count])
			default:
				least += int64(plySize[p.typ])
			}
		}
		if len(e.props) == 0 {
			if e.n > 0 {
				return s.fail(effGarbled, hintExport, "has a header with an empty list (%s)", quote([]byte(e.name)))
			}
			continue
		}
		if e.n > (left+1)/least {
			return s.fail(effPart, hintCut, "is cut off: the header promises %s rows of %s, the file can hold %s", count(e.n), quote([]byte(e.name)), count((left+1)/least))
		}
		left -= e.n * least
	}
	var in plyIn
	if text {
		w := newWords(s, body, false)
		w.line = line
		in = &plyText{w}
	} else {
		in = &plyBinary{s: s, off: body, order: order}
	}
	r := plyReader{s: s, in: in, m: &mapper{s: s}}
	for _, e := range elems {
		if err := s.ctx.Err(); err != nil {
			return err
		}
		switch e.name {
		case "vertex":
			err = r.vertices(e)
		case "face", "tristrips":
			err = r.faces(e)
		default:
			for range e.n {
				if err = r.skipRow(e); err != nil {
					break
				}
			}
		}
		if err == io.ErrUnexpectedEOF {
			return s.fail(effPart, hintCut, "is cut off: the header promises %s rows of %s, the file holds %s", count(e.n), quote([]byte(e.name)), count(r.row))
		}
		if err != nil {
			return err
		}
	}
	if !r.hasVerts {
		return s.fail(effNone, hintExport, "has no corners (a PLY list called vertex with x, y and z)")
	}
	if err := r.flush(); err != nil {
		return err
	}
	if s.b.NumTriangles() == 0 && r.strays == 0 && len(r.welded) > 0 {
		return s.pointCloud(len(r.welded))
	}
	if b, ok := in.(*plyBinary); ok {
		if over := b.left(); over > 0 {
			s.note(CodeTrailing, finding.Note, Trailing{s.name, over, AfterLists})
		}
	}
	s.noteSkipped(r.strays, StrayFace)
	s.noteUneven(r.m.uneven)
	return nil
}

// plyHeader parses the header, which is text in all variants.
func (s *source) plyHeader() (elems []plyElem, order binary.ByteOrder, text bool, body int64, line int, err error) {
	bad := func(format string, args ...any) ([]plyElem, binary.ByteOrder, bool, int64, int, error) {
		return nil, nil, false, 0, 0, s.at(line, effNone, hintExport, format, args...)
	}
	p := make([]byte, min(s.size, 1<<20))
	if err := s.readAt(p, 0); err != nil {
		return nil, nil, false, 0, 0, err
	}
	i := bom(p)
	form := ""
	for {
		if i >= len(p) {
			return nil, nil, false, 0, 0, s.fail(effNone, hintCut, "is cut off: its head does not end")
		}
		line++
		e := lineEnd(p, i)
		f := bytes.Fields(p[i:e])
		// "\r\n" is one line end; a lone "\r" is one only if the next byte
		// is not "\n".
		i = e + 1
		if e < len(p) && p[e] == '\r' && i < len(p) && p[i] == '\n' {
			i++
		}
		if len(f) == 0 {
			continue
		}
		switch string(f[0]) {
		case "ply", "comment", "obj_info":
		case "format":
			if len(f) < 2 {
				return bad("the format is missing")
			}
			form = string(f[1])
			switch form {
			case "ascii":
				text, s.info.Format = true, "PLY ascii"
			case "binary_little_endian":
				order, s.info.Format = binary.LittleEndian, "PLY binary little-endian"
			case "binary_big_endian":
				order, s.info.Format = binary.BigEndian, "PLY binary big-endian"
			default:
				return bad("the PLY format %s is not known", quote(f[1]))
			}
		case "element":
			if len(f) < 3 {
				return bad("a list needs a name and a count")
			}
			n, perr := strconv.ParseInt(string(f[2]), 10, 64)
			if perr != nil || n < 0 {
				return bad("a list cannot have %s rows", quote(f[2]))
			}
			if len(elems) >= 1000 {
				return bad("there are more than 1000 lists")
			}
			elems = append(elems, plyElem{name: string(f[1]), n: n})
		case "property":
			if len(elems) == 0 {
				return bad("a property stands before the first list")
			}
			el := &elems[len(elems)-1]
			var pr plyProp
			switch {
			case len(f) >= 5 && string(f[1]) == "list":
				pr = plyProp{name: string(f[4]), count: plyTypes[string(f[2])], typ: plyTypes[string(f[3])]}
				if pr.count == plyNone || pr.typ == plyNone || pr.count >= plyF32 {
					return bad("a list of %s counted by %s is not known", quote(f[3]), quote(f[2]))
				}
			case len(f) >= 3 && string(f[1]) != "list":
				pr = plyProp{name: string(f[2]), typ: plyTypes[string(f[1])]}
				if pr.typ == plyNone {
					return bad("the number type %s is not known", quote(f[1]))
				}
			default:
				return bad("a property needs a type and a name")
			}
			if len(el.props) >= 10000 {
				return bad("a list has more than 10 000 properties")
			}
			el.props = append(el.props, pr)
		case "end_header":
			if form == "" {
				return bad("the head does not say the format")
			}
			return elems, order, text, min(int64(i), s.size), line + 1, nil
		default:
			return bad("%s does not belong into the head of a PLY file", quote(f[0]))
		}
	}
}

type plyReader struct {
	s        *source
	in       plyIn
	m        *mapper
	row      int64
	welded   []int32
	hasVerts bool
	pending  []int32 // faces that came before the vertices: n, corners
	idx      []int64
	strays   int
}

func (r *plyReader) skipRow(e plyElem) error {
	if err := r.in.row(); err != nil {
		return err
	}
	for _, p := range e.props {
		if err := r.skipProp(p); err != nil {
			return err
		}
	}
	return nil
}

func (r *plyReader) skipProp(p plyProp) error {
	n := int64(1)
	if p.count != plyNone {
		var err error
		if n, err = r.length(p); err != nil {
			return err
		}
	}
	return r.in.skip(p.typ, n)
}

func (r *plyReader) length(p plyProp) (int64, error) {
	n, err := r.in.whole(p.count)
	if err != nil {
		return 0, err
	}
	if n < 0 {
		return 0, r.s.fail(effGarbled, hintExport, "has a list with %d entries", n)
	}
	if n > r.s.size {
		return 0, io.ErrUnexpectedEOF
	}
	return n, nil
}

func (r *plyReader) vertices(e plyElem) error {
	at := [3]int{-1, -1, -1}
	fixed := true
	for i, p := range e.props {
		if p.count != plyNone {
			fixed = false
			continue
		}
		switch p.name {
		case "x", "X":
			at[0] = i
		case "y", "Y":
			at[1] = i
		case "z", "Z":
			at[2] = i
		}
	}
	if at[0] < 0 || at[1] < 0 || at[2] < 0 {
		return r.s.fail(effNone, hintExport, "has corners without x, y and z")
	}
	r.hasVerts = true
	if r.welded == nil {
		r.welded = make([]int32, 0, e.n)
		r.s.b.Grow(int(min(2*e.n, int64(r.s.o.MaxTriangles))))
	}
	if b, ok := r.in.(*plyBinary); ok && fixed {
		return r.rows(b, e, at)
	}
	for r.row = 0; r.row < e.n; r.row++ {
		if err := r.in.row(); err != nil {
			return err
		}
		var v [3]float64
		for i, p := range e.props {
			switch i {
			case at[0], at[1], at[2]:
				x, err := r.in.float(p.typ)
				if err != nil {
					return err
				}
				switch i {
				case at[0]:
					v[0] = x
				case at[1]:
					v[1] = x
				default:
					v[2] = x
				}
			default:
				if err := r.skipProp(p); err != nil {
					return err
				}
			}
		}
		if err := r.vertex(mesh.V(v[0], v[1], v[2])); err != nil {
			return err
		}
	}
	return nil
}

func (r *plyReader) vertex(v mesh.Vec) error {
	if !v.IsFinite() {
		if t, ok := r.in.(*plyText); ok {
			return t.w.notFinite()
		}
		return r.s.notFinite(r.in.(*plyBinary).pos())
	}
	k, err := r.s.b.Vertex(v)
	if err != nil {
		return r.s.fail(effRefused, hintExport, "%v", err)
	}
	r.welded = append(r.welded, k)
	return nil
}

// rows reads binary corners of a fixed size.
func (r *plyReader) rows(b *plyBinary, e plyElem, at [3]int) error {
	var off [3]int
	stride := 0
	for i, p := range e.props {
		for a := range at {
			if at[a] == i {
				off[a] = stride
			}
		}
		stride += plySize[p.typ]
	}
	for r.row = 0; r.row < e.n; r.row++ {
		p, err := b.need(stride)
		if err != nil {
			return err
		}
		var c [3]float64
		for a := range c {
			c[a] = b.decode(p[off[a]:], e.props[at[a]].typ)
		}
		if err := r.vertex(mesh.V(c[0], c[1], c[2])); err != nil {
			return err
		}
	}
	return nil
}

func (r *plyReader) faces(e plyElem) error {
	at := -1
	for i, p := range e.props {
		if p.count != plyNone && (p.name == "vertex_indices" || p.name == "vertex_index") {
			at = i
		}
	}
	if at < 0 {
		for r.row = 0; r.row < e.n; r.row++ {
			if err := r.skipRow(e); err != nil {
				return err
			}
		}
		return nil
	}
	if e.props[at].typ >= plyF32 {
		return r.s.fail(effGarbled, hintExport, "names the corners of its faces by fractions")
	}
	strips := e.name == "tristrips"
	for r.row = 0; r.row < e.n; r.row++ {
		if err := r.in.row(); err != nil {
			return err
		}
		for i, p := range e.props {
			if i != at {
				if err := r.skipProp(p); err != nil {
					return err
				}
				continue
			}
			n, err := r.length(p)
			if err != nil {
				return err
			}
			r.idx, err = r.in.list(p.typ, n, r.idx[:0])
			if err != nil {
				return err
			}
		}
		var err error
		if strips {
			err = r.strip(r.idx)
		} else {
			err = r.face(r.idx)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (r *plyReader) face(idx []int64) error {
	if len(idx) < 3 {
		r.strays++
		return nil
	}
	c := r.m.corners[:0]
	for _, i := range idx {
		if i < 0 || i > math.MaxInt32 || r.hasVerts && i >= int64(len(r.welded)) {
			return r.outOfRange(i)
		}
		if r.hasVerts {
			i = int64(r.welded[i])
		}
		c = append(c, int32(i))
	}
	r.m.corners = c
	if !r.hasVerts {
		r.pending = append(append(r.pending, int32(len(c))), c...)
		return nil
	}
	return r.m.face()
}

func (r *plyReader) outOfRange(i int64) error {
	if !r.hasVerts {
		return r.s.fail(effGarbled, hintExport, "has a face that names corner %d", i)
	}
	if t, ok := r.in.(*plyText); ok {
		return r.s.at(t.w.at(), effGarbled, hintExport, "a face names corner %d, but the file has %s, counted from 0", i, plural(len(r.welded), "corner"))
	}
	return r.s.fail(effGarbled, hintExport, "has a face that names corner %d, but the file has %s, counted from 0", i, plural(len(r.welded), "corner"))
}

// strip reads triangle strips; -1 begins a new one, every second triangle is
// turned to keep the winding.
func (r *plyReader) strip(idx []int64) error {
	k := 0
	var tri [3]int64
	for i, v := range idx {
		if v == -1 {
			k = 0
			continue
		}
		k++
		if k < 3 {
			continue
		}
		if k%2 == 1 {
			tri = [3]int64{idx[i-2], idx[i-1], v}
		} else {
			tri = [3]int64{idx[i-1], idx[i-2], v}
		}
		// A strip repeats a corner where it turns; such triangles are part of
		// the format, not of the surface.
		if tri[0] == tri[1] || tri[1] == tri[2] || tri[2] == tri[0] {
			continue
		}
		if err := r.face(tri[:]); err != nil {
			return err
		}
	}
	return nil
}

// flush adds the faces that came before the vertices.
func (r *plyReader) flush() error {
	for p := r.pending; len(p) > 0; {
		n := p[0]
		c := r.m.corners[:0]
		for _, i := range p[1 : 1+n] {
			if int(i) >= len(r.welded) {
				return r.outOfRange(int64(i))
			}
			c = append(c, r.welded[i])
		}
		r.m.corners = c
		if err := r.m.face(); err != nil {
			return err
		}
		p = p[1+n:]
	}
	return nil
}

// plyText is the body of a text PLY.
type plyText struct{ w *words }

func (t *plyText) row() error                     { return nil }
func (t *plyText) float(plyType) (float64, error) { return t.w.float("a number") }
func (t *plyText) whole(plyType) (int64, error)   { return t.w.whole("a whole number") }
func (t *plyText) skip(_ plyType, n int64) error {
	for range n {
		if !t.w.ready() {
			return t.w.short()
		}
		t.w.i = token(t.w.buf, t.w.i)
	}
	return nil
}

func (t *plyText) list(_ plyType, n int64, into []int64) ([]int64, error) {
	for range n {
		v, err := t.w.whole("a corner's number")
		if err != nil {
			return into, err
		}
		into = append(into, v)
	}
	return into, nil
}

// plyBinary is the body of a binary PLY, read in large blocks.
type plyBinary struct {
	s     *source
	off   int64 // of the byte after buf
	buf   []byte
	i     int
	order binary.ByteOrder
}

func (b *plyBinary) pos() int64  { return b.off - int64(len(b.buf)-b.i) }
func (b *plyBinary) left() int64 { return b.s.size - b.pos() }

// need returns the next n bytes.
func (b *plyBinary) need(n int) ([]byte, error) {
	if n <= len(b.buf)-b.i {
		p := b.buf[b.i : b.i+n]
		b.i += n
		return p, nil
	}
	if int64(n) > b.left() {
		return nil, io.ErrUnexpectedEOF
	}
	rest := len(b.buf) - b.i
	size := max(textBlock, n)
	size = int(min(int64(size), int64(rest)+b.s.size-b.off))
	p := b.buf
	if cap(p) < size {
		p = make([]byte, size)
	}
	p = p[:size]
	copy(p, b.buf[b.i:])
	if err := b.s.readAt(p[rest:], b.off); err != nil {
		return nil, err
	}
	b.off += int64(size - rest)
	b.buf, b.i = p, n
	b.s.progress(b.off)
	return p[:n], nil
}

func (b *plyBinary) row() error { return nil }

func (b *plyBinary) decode(p []byte, t plyType) float64 {
	switch t {
	case plyF32:
		return float64(math.Float32frombits(b.order.Uint32(p)))
	case plyF64:
		return math.Float64frombits(b.order.Uint64(p))
	}
	return float64(b.decodeWhole(p, t))
}

func (b *plyBinary) decodeWhole(p []byte, t plyType) int64 {
	switch t {
	case plyI8:
		return int64(int8(p[0]))
	case plyU8:
		return int64(p[0])
	case plyI16:
		return int64(int16(b.order.Uint16(p)))
	case plyU16:
		return int64(b.order.Uint16(p))
	case plyI32:
		return int64(int32(b.order.Uint32(p)))
	}
	return int64(b.order.Uint32(p))
}

func (b *plyBinary) float(t plyType) (float64, error) {
	p, err := b.need(plySize[t])
	if err != nil {
		return 0, err
	}
	return b.decode(p, t), nil
}

func (b *plyBinary) whole(t plyType) (int64, error) {
	p, err := b.need(plySize[t])
	if err != nil {
		return 0, err
	}
	return b.decodeWhole(p, t), nil
}

func (b *plyBinary) list(t plyType, n int64, into []int64) ([]int64, error) {
	w := plySize[t]
	if n > b.left()/int64(w) {
		return into, io.ErrUnexpectedEOF
	}
	for n > 0 {
		// In parts, so that a long list needs no buffer of its own length.
		k := min(n, 1<<14)
		p, err := b.need(int(k) * w)
		if err != nil {
			return into, err
		}
		for ; len(p) > 0; p = p[w:] {
			into = append(into, b.decodeWhole(p, t))
		}
		n -= k
	}
	return into, nil
}

func (b *plyBinary) skip(t plyType, n int64) error {
	bytes := n * int64(plySize[t])
	if bytes > b.left() {
		return io.ErrUnexpectedEOF
	}
	if bytes <= int64(len(b.buf)-b.i) {
		b.i += int(bytes)
		return nil
	}
	at := b.pos() + bytes
	b.off, b.buf, b.i = at, b.buf[:0], 0
	return nil
}
