package meshfile

import (
	"bytes"
	"io"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/par"
)

// OBJ as in its published description (Advanced Visualizer manual, appendix
// B1): only v and f matter for the surface. Texture and normal numbers,
// groups, materials and smoothing are passed over.

// objJob is one piece of an OBJ file, parsed apart from the others. Corner
// numbers counted backwards are kept relative to the piece's own vertices,
// since how many came before is not known yet.
type objJob struct {
	text  []byte
	verts []mesh.Vec
	// faces holds for each face its number of corners and then the corners:
	// for a positive number all are 0-based from the start of the file; for a
	// negative one, pairs of (0, from the start) or (1, from the piece's start).
	faces  []int32
	fline  []int32 // line of each face in the piece, for messages
	lines  int
	curves int // lines that describe free-form geometry
	strays int // line and point elements
	bad    Fault
	at     int // line of the fault
	word   []byte
}

func (s *source) readOBJOrNothing() error {
	ok, points, err := s.sniffOBJ()
	if err != nil {
		return err
	}
	if points {
		return s.fail("points.columns")
	}
	if !ok {
		return s.fail("foreign.text")
	}
	return s.readOBJ()
}

// sniffOBJ looks at the first MiB for lines only an OBJ has, or for bare
// columns of numbers.
func (s *source) sniffOBJ() (ok, points bool, err error) {
	p := make([]byte, min(s.size, 1<<20))
	if err := s.readAt(p, 0); err != nil {
		return false, false, err
	}
	p = p[bom(p):]
	good, bad, rows := 0, 0, 0
	for len(p) > 0 && good < 50 && bad < 200 {
		e := lineEnd(p, 0)
		l := bytes.TrimSpace(p[:e])
		p = p[min(e+1, len(p)):]
		if len(l) == 0 || l[0] == '#' {
			continue
		}
		w := l[:token(l, 0)]
		switch string(w) {
		case "v", "vn", "vt", "vp", "p", "l":
			if _, _, isnum := number(l, skipSpace(l, len(w))); isnum {
				good++
			} else {
				good++ // a v without a number is a broken OBJ rather than prose
				bad++
			}
		case "f", "mtllib", "usemtl", "g", "o", "s":
			good++
		default:
			if numbers := bytes.FieldsFunc(l, func(r rune) bool { return r == ',' || r == ';' || r == ' ' || r == '\t' }); len(numbers) >= 3 && len(numbers) <= 16 && allNumbers(numbers) {
				rows++
			}
			bad++
		}
	}
	return good > bad/4 && good > 0, rows > 2 && rows > good && rows*4 > bad*3, nil
}

func allNumbers(f [][]byte) bool {
	for _, t := range f {
		if _, e, ok := number(t, 0); !ok || e != len(t) {
			return false
		}
	}
	return true
}

// objReader puts the pieces of an OBJ file together in their order.
type objReader struct {
	*source
	m      *mapper
	welded []int32 // file vertex to builder vertex
	line   int     // of the piece that is next, from 1
	done   int64   // bytes

	curves, strays, faces int

	// Corners may name vertices that come later; such faces wait, and all that
	// follow them: their number of corners, then the corners.
	late     []int32
	lateLine []int
}

func (s *source) readOBJ() error {
	s.info.Format = "OBJ"
	in := &blocks{s: s, last: lastLine, long: func(int) *Error {
		return s.fail("obj.line-long")
	}}
	s.b.Grow(int(min(s.size/100, int64(s.o.MaxTriangles)))) // a vertex and two faces take some 100 bytes or more
	r := &objReader{source: s, m: &mapper{s: s}, line: 1}
	first := true
	err := par.InOrder(s.ctx, func(j *objJob) (bool, error) {
		p, err := in.next(j.text)
		if err == io.EOF {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		if first {
			first = false
			p = append(p[:0], p[bom(p):]...)
		}
		j.text = p
		return true, nil
	}, (*objJob).parse, r.add)
	if err != nil {
		return err
	}
	if err := r.addLate(); err != nil {
		return err
	}
	switch {
	case s.b.NumTriangles() > 0:
	case r.curves > 0:
		return s.fail("obj.free-form")
	case r.strays > 0:
		return s.fail("obj.only-lines")
	case len(r.welded) > 0 && r.faces == 0:
		return s.pointCloud(len(r.welded))
	default:
		return s.fail("obj.no-face")
	}
	if r.curves > 0 {
		s.noteMissing(UnreadFreeForm)
	}
	s.noteSkipped(r.strays, StrayElement)
	s.noteUneven(r.m.uneven)
	return nil
}

// add takes in the next piece.
func (r *objReader) add(j *objJob) error {
	base := int32(len(r.welded))
	if err := r.addVertices(j.verts); err != nil {
		return err
	}
	f := j.faces
	for k := 0; len(f) > 0; k++ {
		at := r.line + int(j.fline[k])
		var wait bool
		var err error
		if f, wait, err = r.corners(f, base, at); err != nil {
			return err
		}
		r.faces++
		if wait || len(r.late) > 0 {
			r.late = append(append(r.late, int32(len(r.m.corners))), r.m.corners...)
			r.lateLine = append(r.lateLine, at)
			continue
		}
		for c, i := range r.m.corners {
			r.m.corners[c] = r.welded[i]
		}
		if err := r.m.face(); err != nil {
			return err
		}
	}
	if j.bad != "" {
		return r.at(r.line+j.at, j.bad, j.word)
	}
	r.line += j.lines
	r.curves, r.strays = r.curves+j.curves, r.strays+j.strays
	r.done += int64(len(j.text))
	r.progress(r.done)
	return nil
}

func (r *objReader) addVertices(verts []mesh.Vec) error {
	n := len(r.welded) + len(verts)
	if n > math.MaxInt32/2 {
		return r.tooMany()
	}
	if n > cap(r.welded) {
		r.welded = slices.Grow(r.welded, max(len(r.welded), len(verts)))
	}
	for _, v := range verts {
		k, err := r.b.Vertex(v)
		if err != nil {
			return r.fail("mesh.builder", err)
		}
		r.welded = append(r.welded, k)
	}
	return nil
}

// corners puts the corners of the face that f begins with, on a line of the
// file, into the mapper as numbers of vertices of the file, and returns the rest
// of f; wait says that one of them is still to come.
func (r *objReader) corners(f []int32, base int32, line int) (rest []int32, wait bool, err error) {
	n := f[0]
	f = f[1:]
	r.m.corners = r.m.corners[:0]
	put := func(i int32) error {
		if i < 0 {
			return r.at(line, "obj.corner-before")
		}
		if int(i) >= len(r.welded) {
			wait = true
		}
		r.m.corners = append(r.m.corners, i)
		return nil
	}
	if n > 0 {
		for _, i := range f[:n] {
			if err := put(i); err != nil {
				return nil, false, err
			}
		}
		return f[n:], wait, nil
	}
	for c := int32(0); c < -n; c++ {
		i := f[2*c+1]
		if f[2*c] == 1 {
			i += base
		}
		if err := put(i); err != nil {
			return nil, false, err
		}
	}
	return f[-2*n:], wait, nil
}

// addLate adds the faces that waited.
func (r *objReader) addLate() error {
	for k := 0; len(r.late) > 0; k++ {
		n := r.late[0]
		r.m.corners = r.m.corners[:0]
		for _, i := range r.late[1 : 1+n] {
			if int(i) >= len(r.welded) {
				return r.at(r.lateLine[k], "obj.corner-range", i+1, len(r.welded))
			}
			r.m.corners = append(r.m.corners, r.welded[i])
		}
		r.late = r.late[1+n:]
		if err := r.m.face(); err != nil {
			return err
		}
	}
	return nil
}

// pointCloud is the error for a file that has points but no surface.
func (s *source) pointCloud(n int) *Error {
	return s.fail("points.cloud", n)
}

func (j *objJob) fault(f Fault, at, word int) {
	j.bad, j.at = f, lines(j.text[:at])
	j.word = j.text[word:token(j.text, word)]
}

func (j *objJob) parse() {
	p := j.text
	j.verts, j.faces, j.fline = j.verts[:0], j.faces[:0], j.fline[:0]
	j.lines, j.curves, j.strays, j.bad = lines(p), 0, 0, ""
	line, lineAt := 0, 0 // lines before p[lineAt:]
	for i := 0; i < len(p); {
		i = skipSpace(p, i)
		if i == len(p) {
			return
		}
		start := i
		e := token(p, i)
		if e == i+1 && p[i] == 'v' {
			i = e
			var c [3]float64
			for k := range c {
				i = j.blank(i)
				v, end, ok := number(p, i)
				if !ok {
					if i >= len(p) || isSpace(p[i]) {
						j.fault("text.numbers-few", start, i)
					} else {
						j.fault("text.number", start, i)
					}
					return
				}
				if math.IsNaN(v) || math.IsInf(v, 0) {
					j.fault("text.nan-word", start, i)
					return
				}
				c[k], i = v, end
			}
			j.verts = append(j.verts, mesh.Vec{X: c[0], Y: c[1], Z: c[2]})
			i = j.end(i) // a weight or a colour may follow
			continue
		}
		if e == i+1 && p[i] == 'f' || e == i+2 && p[i] == 'f' && p[i+1] == 'o' {
			line += lines(p[lineAt:start])
			lineAt = start
			var ok bool
			if i, ok = j.face(start, e, int32(line)); !ok {
				return
			}
			continue
		}
		switch string(p[i:e]) {
		case "l", "p":
			j.strays++
		case "curv", "curv2", "surf":
			j.curves++
		}
		i = j.end(e)
	}
}

// blank skips blanks and, with them, a backslash that continues the line.
func (j *objJob) blank(i int) int {
	p := j.text
	for {
		i = skipBlank(p, i)
		if i >= len(p) || p[i] != '\\' {
			return i
		}
		k := i + 1
		if k < len(p) && p[k] == '\r' {
			k++
		}
		if k < len(p) && p[k] == '\n' {
			k++
		}
		if k == i+1 {
			return i
		}
		i = k
	}
}

// end returns the end of the line with its continuations.
func (j *objJob) end(i int) int {
	p := j.text
	for {
		i = lineEnd(p, i)
		if i >= len(p) || i == 0 || p[i-1] != '\\' {
			return i
		}
		if p[i] == '\r' && i+1 < len(p) && p[i+1] == '\n' {
			i++
		}
		i++
	}
}

// face reads the corners of a face; false means a fault was noted.
func (j *objJob) face(start, i int, line int32) (int, bool) {
	p := j.text
	head := len(j.faces)
	j.faces = append(j.faces, 0)
	n := int32(0)
	relative := false
	for {
		i = j.blank(i)
		if i >= len(p) || p[i] == '\n' || p[i] == '\r' || p[i] == '#' {
			break
		}
		at := i
		neg := p[i] == '-'
		if neg {
			i++
		}
		v, first := int64(0), i
		for i < len(p) && p[i]-'0' <= 9 {
			if v < 1<<40 {
				v = v*10 + int64(p[i]-'0')
			}
			i++
		}
		if i == first || i < len(p) && p[i] != '/' && !isSpace(p[i]) && p[i] != '\\' {
			j.faces = j.faces[:head]
			j.fault("obj.corner-word", start, at)
			return i, false
		}
		if v == 0 {
			j.faces = j.faces[:head]
			j.fault("obj.corner-zero", start, at)
			return i, false
		}
		v = min(v, math.MaxInt32/2)
		// The texture and normal numbers.
		for i < len(p) && !isSpace(p[i]) && p[i] != '\\' {
			i++
		}
		if neg && !relative {
			relative = true
			// Turn the corners so far into pairs.
			c := append([]int32(nil), j.faces[head+1:]...)
			j.faces = j.faces[:head+1]
			for _, k := range c {
				j.faces = append(j.faces, 0, k)
			}
		}
		switch {
		case neg:
			j.faces = append(j.faces, 1, int32(int64(len(j.verts))-v))
		case relative:
			j.faces = append(j.faces, 0, int32(v-1))
		default:
			j.faces = append(j.faces, int32(v-1))
		}
		n++
	}
	if n < 3 {
		j.faces = j.faces[:head]
		j.strays++
		return j.end(i), true
	}
	if relative {
		n = -n
	}
	j.faces[head] = n
	j.fline = append(j.fline, line)
	return j.end(i), true
}

// mapper turns faces of builder vertices into triangles.
type mapper struct {
	s       *source
	corners []int32
	pts     []mesh.Vec
	tri     splitter
	uneven  int
}

// face adds the polygon m.corners.
func (m *mapper) face() error {
	c := m.corners
	b := m.s.b
	if len(c)-2 > m.s.o.MaxTriangles-b.NumTriangles() {
		return m.s.tooMany()
	}
	if len(c) == 3 {
		b.Triangle(c[0], c[1], c[2])
		return nil
	}
	m.pts = m.pts[:0]
	for _, i := range c {
		m.pts = append(m.pts, b.At(i))
	}
	tris, even := m.tri.split(m.pts)
	if !even {
		m.uneven++
	}
	for _, t := range tris {
		b.Triangle(c[t[0]], c[t[1]], c[t[2]])
	}
	return nil
}
