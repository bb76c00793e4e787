package meshfile

import (
	"bytes"
	"io"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// OFF as in the Geomview manual: optional ST, C, N, 4, n before OFF, counts on
// the same line or the next, comments from # to the end of the line, any
// colours after a face.

type offHead struct {
	ok, binary        bool
	st, color, normal bool
	four, dims        bool
	end               int
}

// offKind recognises the header word.
func offKind(head []byte) (k offHead) {
	p := head[bom(head):]
	i := 0
	for { // comments may come first
		i = skipSpace(p, i)
		if i < len(p) && p[i] == '#' {
			i = lineEnd(p, i)
			continue
		}
		break
	}
	e := token(p, i)
	w := p[i:e]
	for _, m := range []struct {
		pre string
		set *bool
	}{{"ST", &k.st}, {"C", &k.color}, {"N", &k.normal}, {"4", &k.four}, {"n", &k.dims}} {
		if bytes.HasPrefix(w, []byte(m.pre)) {
			w = w[len(m.pre):]
			*m.set = true
		}
	}
	if string(w) != "OFF" && !isWord(p[i:e], "off") && !bytes.HasPrefix(w, []byte("OFF#")) {
		return offHead{}
	}
	k.ok = true
	k.end = bom(head) + e
	if n := skipBlank(p, e); isWord(p[n:token(p, n)], "binary") {
		k.binary = true
	}
	return k
}

// words hands out the tokens of a text with # comments, block by block.
type words struct {
	in   *blocks
	buf  []byte
	i    int
	line int // line of buf[mark:]
	mark int
	done int64
	s    *source
	err  error
	hash bool // # starts a comment
}

func (w *words) fill() bool {
	if w.err != nil {
		return false
	}
	w.line += lines(w.buf[min(w.mark, len(w.buf)):])
	w.mark = 0
	w.done += int64(len(w.buf))
	w.s.progress(min(w.done, w.s.size))
	w.buf, w.err = w.in.next(w.buf)
	w.i = 0
	return w.err == nil
}

// ready moves to the next token and reports false at the end.
func (w *words) ready() bool {
	for {
		w.i = skipSpace(w.buf, w.i)
		if w.i >= len(w.buf) {
			if !w.fill() {
				return false
			}
			continue
		}
		if w.hash && w.buf[w.i] == '#' {
			w.i = lineEnd(w.buf, w.i)
			continue
		}
		return true
	}
}

// rest skips to the end of the line and reports how many tokens were there.
func (w *words) rest() {
	// Blocks end at line ends, so the line is all in this one.
	w.i = lineEnd(w.buf, w.i)
}

func (w *words) at() int { return w.line + lines(w.buf[min(w.mark, w.i):w.i]) }

func (w *words) token() []byte { return w.buf[w.i:token(w.buf, w.i)] }

// float reads one number. Its error is worded.
func (w *words) float(wants Fault) (float64, error) {
	if !w.ready() {
		return 0, w.short()
	}
	v, e, ok := number(w.buf, w.i)
	if !ok {
		return 0, w.odd(wants)
	}
	w.i = e
	return v, nil
}

// whole reads one whole number.
func (w *words) whole(wants Fault) (int64, error) {
	if !w.ready() {
		return 0, w.short()
	}
	t := w.token()
	v, neg := int64(0), false
	for k, c := range t {
		if k == 0 && len(t) > 1 && (c == '-' || c == '+') {
			neg = c == '-'
			continue
		}
		if c-'0' > 9 {
			// Some writers print whole numbers with a decimal point.
			f, e, ok := number(w.buf, w.i)
			if !ok || f != math.Trunc(f) || math.Abs(f) > 1e15 {
				return 0, w.odd(wants)
			}
			w.i = e
			return int64(f), nil
		}
		if v < 1<<50 {
			v = v*10 + int64(c-'0')
		}
	}
	w.i += len(t)
	if neg {
		v = -v
	}
	return v, nil
}

// odd is the error for a token that is not what was expected.
func (w *words) odd(wants Fault) error { return w.s.at(w.at(), wants, w.token()) }

func (w *words) short() error {
	if w.err != nil && w.err != io.EOF {
		return w.err
	}
	return io.ErrUnexpectedEOF
}

// finite is the error for a coordinate that is not finite.
func (w *words) notFinite() error {
	return w.s.at(w.at(), "text.nan")
}

func newWords(s *source, from int64, hash bool) *words {
	w := &words{s: s, hash: hash, line: 1, done: from}
	w.in = &blocks{s: s, off: from, last: lastLine, long: func(int) *Error {
		return s.fail("text.line-long")
	}}
	return w
}

func (s *source) readOFF() error {
	s.info.Format = "OFF"
	head := make([]byte, min(s.size, 4096))
	if err := s.readAt(head, 0); err != nil {
		return err
	}
	k := offKind(head)
	w := newWords(s, int64(k.end), true)
	w.line += lines(head[:k.end])
	if k.dims {
		return s.fail("off.dimensions")
	}
	corners, faces, err := s.offCounts(w)
	if err != nil {
		return err
	}
	if faces == 0 && corners > 0 {
		return s.pointCloud(int(corners))
	}
	if faces > 0 {
		s.b.Grow(int(min(faces, int64(s.o.MaxTriangles), s.size/8)))
	}
	welded, err := s.offCorners(w, k, corners)
	if err != nil {
		return err
	}
	if err := s.offFaces(w, faces, welded); err != nil {
		return err
	}
	if w.err != nil && w.err != io.EOF {
		return w.err
	}
	if s.b.NumTriangles() == 0 && len(welded) > 0 {
		return s.fail("off.no-face")
	}
	return nil
}

// offCounts reads how many corners and faces the file promises.
func (s *source) offCounts(w *words) (corners, faces int64, err error) {
	var n [3]int64
	for i, f := range []struct{ wants, negative Fault }{
		{"off.wants-corners", "off.corners-negative"}, {"off.wants-faces", "off.faces-negative"}, {"off.wants-edges", "off.edges-negative"},
	} {
		if i == 2 {
			// The number of edges is often left out.
			j := skipBlank(w.buf, w.i)
			if j >= len(w.buf) || isSpace(w.buf[j]) || w.buf[j] == '#' {
				break
			}
		}
		v, err := w.whole(f.wants)
		if err == io.ErrUnexpectedEOF {
			return 0, 0, s.fail("head.cut")
		}
		if err != nil {
			return 0, 0, err
		}
		if v < 0 {
			return 0, 0, s.fail(f.negative, v)
		}
		n[i] = v
	}
	// A corner takes at least "0 0 0\n", a face "3 0 1 2\n" or "0\n".
	if n[0] > s.size/6+1 || n[1] > s.size/2+1 {
		return 0, 0, s.fail("off.counts", n[0], n[1], s.size)
	}
	return n[0], n[1], nil
}

// offCorners reads n corners and returns the builder's vertex of each.
func (s *source) offCorners(w *words, k offHead, n int64) ([]int32, error) {
	welded := make([]int32, 0, min(n, s.size/6+1))
	for i := range n {
		var c [4]float64
		dims := 3
		if k.four {
			dims = 4
		}
		for a := range dims {
			v, err := w.float("off.wants-coordinate")
			if err == io.ErrUnexpectedEOF {
				return nil, s.fail("off.corners-cut", n, i)
			}
			if err != nil {
				return nil, err
			}
			c[a] = v
		}
		if k.four {
			if c[3] == 0 {
				return nil, s.at(w.at(), "off.infinite")
			}
			for a := range 3 {
				c[a] /= c[3]
			}
		}
		v := mesh.V(c[0], c[1], c[2])
		if !v.IsFinite() {
			return nil, w.notFinite()
		}
		// Normals, colours and texture places may follow on the line.
		w.rest()
		j, err := s.b.Vertex(v)
		if err != nil {
			return nil, s.fail("mesh.builder", err)
		}
		welded = append(welded, j)
	}
	return welded, nil
}

// offFaces reads n faces over the vertices.
func (s *source) offFaces(w *words, n int64, welded []int32) error {
	m := &mapper{s: s}
	strays := 0
	for i := range n {
		cut := func() error {
			return s.fail("off.faces-cut", n, i)
		}
		k, err := w.whole("off.wants-face-size")
		if err == io.ErrUnexpectedEOF {
			return cut()
		}
		if err != nil {
			return err
		}
		if k < 0 || k > s.size {
			return s.at(w.at(), "off.face-corners", k)
		}
		m.corners = m.corners[:0]
		for range k {
			v, err := w.whole("text.wants-corner")
			if err == io.ErrUnexpectedEOF {
				return cut()
			}
			if err != nil {
				return err
			}
			if v < 0 || v >= int64(len(welded)) {
				return s.at(w.at(), "text.corner-range", v, len(welded))
			}
			m.corners = append(m.corners, welded[v])
		}
		w.rest() // colours
		if k < 3 {
			strays++
			continue
		}
		if err := m.face(); err != nil {
			return err
		}
	}
	s.noteSkipped(strays, StrayElement)
	s.noteUneven(m.uneven)
	return nil
}

func (s *source) noteMissing(what Unread) {
	s.note(CodeMissing, finding.Caution, Missing{s.name, what})
}
