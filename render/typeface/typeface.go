// Package typeface holds the typeface of picture and paper, the Go fonts
// (Bigelow & Holmes; they come under the Go project's own licence), and fills
// its letters for the picture. The fonts are compiled in, so every machine sets
// the same letters in the same places.
package typeface

import (
	"image"
	"math"
	"sync"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/vector"
)

// Face is a weight of the typeface.
type Face int

// The weights.
const (
	Regular Face = iota
	Medium
	Bold
)

// TTF is the face's font file; it must not be written to.
func (f Face) TTF() []byte {
	return [...][]byte{goregular.TTF, gomedium.TTF, gobold.TTF}[f]
}

// faces are the fonts, read once.
var faces = sync.OnceValue(func() (all [3]*reader) {
	for f := range all {
		all[f] = newReader(Face(f).TTF())
	}
	return all
})

// Glyph returns a character's glyph, or that of a character that the face does
// not have; safe for concurrent use.
func (f Face) Glyph(c rune) *Glyph { return faces()[f].glyph(c) }

// Width of a text in ems.
func (f Face) Width(s string) float64 {
	w := 0.0
	for _, c := range s {
		w += f.Glyph(c).Advance
	}
	return w
}

// Glyph is how a character is drawn. Lengths are in ems, y up, the origin at
// its left on the baseline.
type Glyph struct {
	Advance float64 // to the next character
	lo, hi  point
	path    []segment
}

type point struct{ x, y float64 }

func mid(p, q point) point { return point{(p.x + q.x) / 2, (p.y + q.y) / 2} }

type segKind uint8

const (
	moveTo segKind = iota
	lineTo
	quadTo
)

// segment leads to a point: by a jump, a line, or a curve by a control point.
type segment struct {
	kind   segKind
	by, to point
}

// Mask is how much of each pixel the glyph covers when it stands at (x, y) in
// pixels, y down, at so many pixels to the em; nil where it leaves no mark.
func (g *Glyph) Mask(x, y, px float64) *image.Alpha {
	if len(g.path) == 0 {
		return nil
	}
	x0, y0 := math.Floor(x+g.lo.x*px)-1, math.Floor(y-g.hi.y*px)-1
	x1, y1 := math.Ceil(x+g.hi.x*px)+1, math.Ceil(y-g.lo.y*px)+1
	r := vector.NewRasterizer(int(x1-x0), int(y1-y0))
	to := func(p point) (float32, float32) {
		return float32(x + p.x*px - x0), float32(y - p.y*px - y0)
	}
	for _, s := range g.path {
		tx, ty := to(s.to)
		switch s.kind {
		case moveTo:
			r.ClosePath()
			r.MoveTo(tx, ty)
		case lineTo:
			r.LineTo(tx, ty)
		case quadTo:
			bx, by := to(s.by)
			r.QuadTo(bx, by, tx, ty)
		}
	}
	r.ClosePath()
	m := image.NewAlpha(r.Bounds())
	r.Draw(m, m.Rect, image.Opaque, image.Point{})
	m.Rect = m.Rect.Add(image.Pt(int(x0), int(y0)))
	return m
}
