package typeface

import (
	"encoding/binary"
	"sync"
)

// reader reads glyph outlines from a TrueType font (ISO/IEC 14496-22, tables
// cmap format 4, loca, glyf, hmtx). It reads only the fonts compiled in, so it
// trusts their tables; fonts from outside must not come here. Sizes are in
// ems, y up.
type reader struct {
	em               float64
	long             bool // loca has 32-bit offsets
	metrics          int  // entries of hmtx with a width of their own
	cmap, loca, glyf []byte
	hmtx             []byte

	mu     sync.Mutex
	glyphs map[rune]*Glyph
}

func u16(b []byte, i int) int         { return int(binary.BigEndian.Uint16(b[i:])) }
func i16(b []byte, i int) int         { return int(int16(binary.BigEndian.Uint16(b[i:]))) }
func u32(b []byte, i int) int         { return int(binary.BigEndian.Uint32(b[i:])) }
func f2dot14(b []byte, i int) float64 { return float64(i16(b, i)) / (1 << 14) }

func newReader(ttf []byte) *reader {
	table := map[string][]byte{}
	for i := range u16(ttf, 4) {
		e := ttf[12+16*i:]
		table[string(e[:4])] = ttf[u32(e, 8) : u32(e, 8)+u32(e, 12)]
	}
	f := &reader{
		em: float64(u16(table["head"], 18)), long: u16(table["head"], 50) == 1,
		metrics: u16(table["hhea"], 34),
		loca:    table["loca"], glyf: table["glyf"], hmtx: table["hmtx"],
		glyphs: map[rune]*Glyph{},
	}
	cm := table["cmap"]
	for i := range u16(cm, 2) {
		sub := cm[u32(cm, 4+8*i+4):]
		if u16(sub, 0) == 4 {
			f.cmap = sub
			break
		}
	}
	return f
}

// index returns a character's glyph number, 0 if the font lacks it.
func (f *reader) index(r rune) int {
	if f.cmap == nil || r > 0xffff {
		return 0
	}
	n := u16(f.cmap, 6) / 2
	ends, starts := f.cmap[14:], f.cmap[16+2*n:]
	deltas, offsets := f.cmap[16+4*n:], f.cmap[16+6*n:]
	for s := range n {
		if int(r) > u16(ends, 2*s) {
			continue
		}
		if int(r) < u16(starts, 2*s) {
			return 0
		}
		off := u16(offsets, 2*s)
		if off == 0 {
			return (int(r) + u16(deltas, 2*s)) & 0xffff
		}
		g := u16(offsets, 2*s+off+2*(int(r)-u16(starts, 2*s)))
		if g == 0 {
			return 0
		}
		return (g + u16(deltas, 2*s)) & 0xffff
	}
	return 0
}

// glyph returns a character's outline; safe for concurrent use.
func (f *reader) glyph(r rune) *Glyph {
	if r == '\u00a0' {
		r = ' '
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if g, ok := f.glyphs[r]; ok {
		return g
	}
	i := f.index(r)
	g := &Glyph{Advance: float64(u16(f.hmtx, 4*min(i, f.metrics-1))) / f.em}
	f.read(g, i, [6]float64{1, 0, 0, 1, 0, 0}, 0)
	for k, s := range g.path {
		pts := []point{s.to}
		if s.kind == quadTo {
			pts = append(pts, s.by)
		}
		if k == 0 {
			g.lo, g.hi = s.to, s.to
		}
		for _, p := range pts {
			g.lo = point{min(g.lo.x, p.x), min(g.lo.y, p.y)}
			g.hi = point{max(g.hi.x, p.x), max(g.hi.y, p.y)}
		}
	}
	f.glyphs[r] = g
	return g
}

// read appends the outline of glyph i, moved by m: x' = m0 x + m2 y + m4,
// y' = m1 x + m3 y + m5, in font units.
func (f *reader) read(g *Glyph, i int, m [6]float64, depth int) {
	var from, to int
	if f.long {
		from, to = u32(f.loca, 4*i), u32(f.loca, 4*i+4)
	} else {
		from, to = 2*u16(f.loca, 2*i), 2*u16(f.loca, 2*i+2)
	}
	if from == to || depth > 4 {
		return
	}
	b := f.glyf[from:to]
	contours := i16(b, 0)
	if contours < 0 {
		f.compound(g, b, m, depth)
		return
	}
	at := 10 + 2*contours
	points := u16(b, at-2) + 1
	at += 2 + u16(b, at)
	flags := make([]byte, points)
	for k := 0; k < points; k++ {
		fl := b[at]
		at++
		flags[k] = fl
		if fl&8 != 0 {
			for range b[at] {
				k++
				flags[k] = fl
			}
			at++
		}
	}
	pts := make([]point, points)
	axis := func(short, same byte, set func(k, v int)) {
		v := 0
		for k, fl := range flags {
			switch {
			case fl&short != 0:
				d := int(b[at])
				at++
				if fl&same == 0 {
					d = -d
				}
				v += d
			case fl&same == 0:
				v += i16(b, at)
				at += 2
			}
			set(k, v)
		}
	}
	axis(2, 16, func(k, v int) { pts[k].x = float64(v) })
	axis(4, 32, func(k, v int) { pts[k].y = float64(v) })
	for k, p := range pts {
		pts[k] = point{(m[0]*p.x + m[2]*p.y + m[4]) / f.em, (m[1]*p.x + m[3]*p.y + m[5]) / f.em}
	}
	start := 0
	for c := range contours {
		end := u16(b, 10+2*c) + 1
		g.contour(pts[start:end], flags[start:end])
		start = end
	}
}

// contour appends a closed curve: points on it and, between them, control
// points; two controls in a row have a point midway.
func (g *Glyph) contour(pts []point, flags []byte) {
	n := len(pts)
	if n < 2 {
		return
	}
	on := func(k int) bool { return flags[k%n]&1 != 0 }
	first := 0
	for first < n && !on(first) {
		first++
	}
	begin := pts[first%n]
	if first == n { // all are control points
		begin, first = mid(pts[n-1], pts[0]), n-1
	}
	g.path = append(g.path, segment{kind: moveTo, to: begin})
	for k := 1; k <= n; {
		p := pts[(first+k)%n]
		if on(first + k) {
			g.path = append(g.path, segment{kind: lineTo, to: p})
			k++
			continue
		}
		next := begin
		switch {
		case k == n:
		case on(first + k + 1):
			next = pts[(first+k+1)%n]
			k++
		default:
			next = mid(p, pts[(first+k+1)%n])
		}
		g.path = append(g.path, segment{kind: quadTo, by: p, to: next})
		k++
	}
}

// compound appends the parts of a glyph made of others (letters with accents).
func (f *reader) compound(g *Glyph, b []byte, m [6]float64, depth int) {
	const (
		words, xy, scale, more, scaleXY, matrix = 1, 2, 8, 32, 64, 128
	)
	for at := 10; ; {
		flags, part := u16(b, at), u16(b, at+2)
		at += 4
		t := [6]float64{1, 0, 0, 1, 0, 0}
		if flags&words != 0 {
			t[4], t[5] = float64(i16(b, at)), float64(i16(b, at+2))
			at += 4
		} else {
			t[4], t[5] = float64(int8(b[at])), float64(int8(b[at+1]))
			at += 2
		}
		if flags&xy == 0 { // placed by matching points: none of our letters is
			t[4], t[5] = 0, 0
		}
		switch {
		case flags&scale != 0:
			t[0] = f2dot14(b, at)
			t[3] = t[0]
			at += 2
		case flags&scaleXY != 0:
			t[0], t[3] = f2dot14(b, at), f2dot14(b, at+2)
			at += 4
		case flags&matrix != 0:
			t[0], t[1], t[2], t[3] = f2dot14(b, at), f2dot14(b, at+2), f2dot14(b, at+4), f2dot14(b, at+6)
			at += 8
		}
		f.read(g, part, [6]float64{
			m[0]*t[0] + m[2]*t[1], m[1]*t[0] + m[3]*t[1],
			m[0]*t[2] + m[2]*t[3], m[1]*t[2] + m[3]*t[3],
			m[0]*t[4] + m[2]*t[5] + m[4], m[1]*t[4] + m[3]*t[5] + m[5],
		}, depth+1)
		if flags&more == 0 {
			return
		}
	}
}
