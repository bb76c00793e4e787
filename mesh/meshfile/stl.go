package meshfile

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/par"
)

// STL as in the StereoLithography interface specification of 1989 and as
// found: "solid" at the head of binary files, counts that lie, several solids
// in one text file, nameless ones, capitals, any white space.

// recordsPerBlock is the share of a binary STL that one step of the pipeline
// welds: 200 KiB, which with its table stays in a core's second-level cache.
const recordsPerBlock = 4096

// readBinarySTL reads a binary STL; the count in the header is held against
// the size of the file.
func (s *source) readBinarySTL(head []byte) error {
	s.info.Format = "STL binary"
	if s.size < 84 {
		return s.fail("stl.head-cut", s.size)
	}
	n := int64(binary.LittleEndian.Uint32(head[80:]))
	fits := (s.size - 84) / mesh.RecordSize
	over := (s.size - 84) % mesh.RecordSize
	switch {
	case n > fits && n != math.MaxUint32:
		if fits == 0 {
			return s.fail("stl.cut-at-head", n)
		}
		return s.fail("stl.promised", n, fits)
	case (n == 0 || n == math.MaxUint32) && fits > 0 && over == 0:
		// Some writers never come back to fill in the count.
		s.note(CodeHeader, finding.Note, Header{s.name, -1, fits})
		n = fits
	case n == 0 || n == math.MaxUint32:
		return s.fail("mesh.empty")
	case n < fits:
		s.note(CodeHeader, finding.Caution, Header{s.name, n, fits})
	case over > 0:
		s.note(CodeTrailing, finding.Note, Trailing{s.name, over, AfterTriangles})
	}
	if n > int64(s.o.MaxTriangles) {
		return s.tooMany()
	}
	s.b.Grow(int(n))

	type job struct {
		raw   []byte
		off   int64
		block mesh.Block
		bad   bool
	}
	at := int64(0)
	return par.InOrder(s.ctx, func(j *job) (bool, error) {
		if at == n {
			return false, nil
		}
		k := min(n-at, recordsPerBlock)
		if j.raw == nil {
			j.raw = make([]byte, recordsPerBlock*mesh.RecordSize)
		}
		j.raw = j.raw[:k*mesh.RecordSize]
		j.off = 84 + at*mesh.RecordSize
		at += k
		return true, s.readAt(j.raw, j.off)
	}, func(j *job) {
		j.block.Reset()
		j.bad = j.block.AddRecords(j.raw)*mesh.RecordSize < len(j.raw)
	}, func(j *job) error {
		if j.bad {
			return s.notFinite(j.off + int64(j.block.NumTriangles())*mesh.RecordSize)
		}
		if err := s.b.Append(&j.block); err != nil {
			return s.fail("mesh.builder", err)
		}
		s.progress(j.off + int64(len(j.raw)))
		return nil
	})
}

// notFinite is the error for a NaN or infinite coordinate in a binary file.
func (s *source) notFinite(off int64) *Error {
	return s.fail("binary.nan", 100*off/max(s.size, 1))
}

// plausibleSTL judges the first records of a file that has no other mark of a
// binary STL: finite corners of sensible size and normals of length 0 or 1.
func plausibleSTL(head []byte) bool {
	if len(head) < 84+mesh.RecordSize {
		return false
	}
	some := false
	for p := head[84:]; len(p) >= mesh.RecordSize; p = p[mesh.RecordSize:] {
		var f [12]float64
		for i := range f {
			f[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(p[4*i:])))
			if !(math.Abs(f[i]) < 1e9) || f[i] != 0 && math.Abs(f[i]) < 1e-30 {
				return false
			}
			some = some || f[i] != 0
		}
		l := math.Sqrt(f[0]*f[0] + f[1]*f[1] + f[2]*f[2])
		if l != 0 && math.Abs(l-1) > 0.1 {
			return false
		}
	}
	return some
}

// textJob is one piece of a text STL.
type textJob struct {
	text  []byte
	block mesh.Block
	poly  []mesh.Vec
	tri   splitter
	lines int
	// what went wrong, and at which line of the piece
	bad     Fault
	badLine int
	badWord []byte
	open    bool // ends inside a facet
	ended   bool // ends with endsolid
	uneven  int
	skipped int
}

// endFacet cuts a text after the last line that closes a facet.
func endFacet(p []byte) int {
	for end := len(p); ; {
		// Search for the e that starts it in either case; a facet is short,
		// so the last one is found at once.
		i := max(bytes.LastIndex(p[:end], []byte("endfacet")), bytes.LastIndex(p[max(0, end-4096):end], []byte("ENDFACET"))+max(0, end-4096))
		if i < 0 || i+8 > end || !isWord(p[i:i+8], "endfacet") {
			i = lastWord(p[:end], "endfacet")
		}
		if i < 0 {
			return 0
		}
		j := lineEnd(p, i+8)
		if j < len(p)-1 {
			return j + 1
		}
		end = i
	}
}

// lastWord finds the last place of a lower-case word in any case.
func lastWord(p []byte, w string) int {
	for i := len(p) - len(w); i >= 0; i-- {
		if p[i]|0x20 == w[0] && isWord(p[i:i+len(w)], w) {
			return i
		}
	}
	return -1
}

func (s *source) readTextSTL() error {
	s.info.Format = "STL ASCII"
	in := &blocks{s: s, last: endFacet, long: func(int) *Error {
		return s.fail("stl.no-facet-ends")
	}}
	line, uneven, skipped := 1, 0, 0
	var last *textJob
	first := true
	hint := int(s.size / 200) // a facet takes some 250 bytes as text
	s.b.Grow(min(hint, s.o.MaxTriangles))
	open, ended := false, false
	err := par.InOrder(s.ctx, func(j *textJob) (bool, error) {
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
	}, func(j *textJob) {
		j.parse()
	}, func(j *textJob) error {
		last = j
		if j.bad != "" {
			return s.at(line+j.badLine, j.bad, j.badWord)
		}
		if err := s.room(j.block.NumTriangles()); err != nil {
			return err
		}
		if err := s.b.Append(&j.block); err != nil {
			return s.fail("mesh.builder", err)
		}
		line += j.lines
		uneven += j.uneven
		skipped += j.skipped
		open, ended = j.open, j.ended
		s.progress(min(s.told+int64(len(j.text)), s.size))
		return nil
	})
	if err != nil {
		return err
	}
	n := s.b.NumTriangles()
	if last != nil && open {
		return s.fail("stl.cut", n)
	}
	if n == 0 {
		return s.fail("stl.no-triangles")
	}
	if !ended {
		s.note(CodeNoEnd, finding.Caution, NoEnd{s.name})
	}
	s.noteUneven(uneven)
	s.noteSkipped(skipped, StrayLine)
	return nil
}

// fault notes what is wrong with the word at p[at:]: with none there, too few
// numbers.
func (j *textJob) fault(f Fault, at int) {
	j.bad, j.badLine = f, lines(j.text[:min(at, len(j.text))])
	j.badWord = j.text[at:token(j.text, at)]
	if f == "text.number" && len(j.badWord) == 0 {
		j.bad = "text.numbers-few"
	}
}

// parse reads the facets of one piece into its block.
func (j *textJob) parse() {
	p := j.text
	j.block.Reset()
	j.bad, j.open, j.ended, j.uneven, j.skipped, j.lines = "", false, false, 0, 0, lines(p)
	poly := j.poly[:0]
	facet, loop := false, false
	for i := skipSpace(p, 0); i < len(p); i = skipSpace(p, i) {
		e := token(p, i)
		t := p[i:e]
		switch {
		case isWord(t, "vertex"):
			v, end, ok := j.vertex(i, e)
			if !ok {
				j.poly = poly
				return
			}
			poly, facet, i = append(poly, v), true, end
			continue
		case isWord(t, "facet"):
			facet, poly = true, poly[:0]
			i = passNormal(p, e)
			continue
		case isWord(t, "outer"):
			loop, poly = true, poly[:0]
			i = e
			if n := skipBlank(p, i); isWord(p[n:token(p, n)], "loop") {
				i = token(p, n)
			}
			continue
		case isWord(t, "endloop"):
			if !j.face(poly) {
				j.fault("stl.corners-few", i)
				return
			}
			loop, poly = false, poly[:0]
		case isWord(t, "endfacet"):
			if len(poly) > 0 { // no loop lines around the corners
				if !j.face(poly) {
					j.fault("stl.corners-few", i)
					return
				}
				poly = poly[:0]
			}
			facet, loop = false, false
		case isWord(t, "endsolid"):
			if facet {
				j.fault("stl.word", i)
				return
			}
			j.ended = true
			i = lineEnd(p, e)
			continue
		case isWord(t, "solid"):
			if facet {
				j.fault("stl.word", i)
				return
			}
			j.ended = false
			i = lineEnd(p, e)
			continue
		case len(t) == 1 && t[0] == 0x1a: // an old system's end of file
		default:
			if e == len(p) && facet { // a keyword cut in two
				j.open = true
				j.poly = poly
				return
			}
			if loop {
				j.fault("stl.word", i)
				return
			}
			// Colour and other lines that some writers put in.
			j.skipped++
			i = lineEnd(p, e)
			continue
		}
		i = e
	}
	j.open = facet
	j.poly = poly
}

// vertex reads the three numbers after the word at p[at:end]. False where they
// are cut off (open) or none (bad).
func (j *textJob) vertex(at, end int) (v mesh.Vec, i int, ok bool) {
	p := j.text
	var c [3]float64
	i = end
	for k := range c {
		i = skipSpace(p, i)
		x, end, ok := number(p, i)
		if !ok {
			if j.open = token(p, i) == len(p); !j.open {
				j.fault("text.number", i)
			}
			return v, i, false
		}
		c[k], i = x, end
	}
	if i == len(p) && midLine(p) {
		j.open = true
		return v, i, false
	}
	v = mesh.Vec{X: c[0], Y: c[1], Z: c[2]}
	if !v.IsFinite() {
		j.fault("text.nan-word", badNumber(p, at))
		return v, i, false
	}
	return v, i, true
}

// passNormal returns the place behind a facet's normal, which is not needed, be
// it there or not a number.
func passNormal(p []byte, i int) int {
	n := skipBlank(p, i)
	if !isWord(p[n:token(p, n)], "normal") {
		return i
	}
	i = token(p, n)
	for range 3 {
		i = skipBlank(p, i)
		if i < len(p) && !isSpace(p[i]) {
			i = token(p, i)
		}
	}
	return i
}

// midLine is true if the text ends in the middle of a line, so that its last
// number may lack digits.
func midLine(p []byte) bool { return len(p) > 0 && !isSpace(p[len(p)-1]) }

// badNumber finds the number after p[at:] that is not finite.
func badNumber(p []byte, at int) int {
	i := token(p, at)
	for range 3 {
		i = skipSpace(p, i)
		v, end, _ := number(p, i)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return i
		}
		i = end
	}
	return at
}

// face adds a facet, which should have three corners and now and then has more.
func (j *textJob) face(c []mesh.Vec) bool {
	switch {
	case len(c) < 3:
		return false
	case len(c) == 3:
		return j.block.Add(c[0], c[1], c[2])
	}
	tris, even := j.tri.split(c)
	if !even {
		j.uneven++
	}
	for _, t := range tris {
		j.block.Add(c[t[0]], c[t[1]], c[t[2]])
	}
	return true
}
