package meshfile

import (
	"bytes"
	"io"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// PLY as in Turk's published description of 1994: any elements with any
// properties in any order; the surface is in "vertex" (x, y, z) and "face" or
// "tristrips" (vertex_indices, or vertex_index as some writers say).

func isPLY(head []byte) bool {
	p := head[bom(head):]
	return bytes.HasPrefix(p, []byte("ply")) && len(p) > 3 && isSpace(p[3])
}

func (s *source) readPLY() error {
	h, err := s.plyHeader()
	if err != nil {
		return err
	}
	if err := s.plyFits(&h); err != nil {
		return err
	}
	var in plyIn
	if h.text {
		w := newWords(s, h.body, false)
		w.line = h.line
		in = &plyText{w}
	} else {
		in = &plyBinary{s: s, off: h.body, order: h.order}
	}
	r := plyReader{s: s, in: in, m: &mapper{s: s}}
	for _, e := range h.elems {
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
			return s.fail("ply.rows-cut", e.n, e.name, r.row)
		}
		if err != nil {
			return err
		}
	}
	if !r.hasVerts {
		return s.fail("ply.no-corners")
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

// plyFits holds the rows that the head promises against what the file can hold.
func (s *source) plyFits(h *plyHead) error {
	left := s.size - h.body
	for _, e := range h.elems {
		least := int64(0) // bytes per row
		for _, p := range e.props {
			switch {
			case h.text:
				least += 2
			case p.count != plyNone:
				least += int64(plySize[p.count])
			default:
				least += int64(plySize[p.typ])
			}
		}
		if len(e.props) == 0 {
			if e.n > 0 {
				return s.fail("ply.list-empty", e.name)
			}
			continue
		}
		if e.n > (left+1)/least {
			return s.fail("ply.rows-promised", e.n, e.name, (left+1)/least)
		}
		left -= e.n * least
	}
	return nil
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
		return 0, r.s.fail("ply.list-length", n)
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
		return r.s.fail("ply.no-xyz")
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
		return r.s.fail("mesh.builder", err)
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
		return r.s.fail("ply.index-kind")
	}
	strips := e.name == "tristrips"
	for r.row = 0; r.row < e.n; r.row++ {
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
		return r.s.fail("ply.corner-number", i)
	}
	if t, ok := r.in.(*plyText); ok {
		return r.s.at(t.w.at(), "text.corner-range", i, len(r.welded))
	}
	return r.s.fail("ply.corner-range", i, len(r.welded))
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
