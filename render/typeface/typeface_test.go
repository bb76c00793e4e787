package typeface

import (
	"math"
	"testing"
)

// Letters against what is known of the typeface: digits are equally wide, an
// em is an em, accents are compound glyphs, what is missing is a box.
func TestTypeface(t *testing.T) {
	f := faces()[Regular]
	for r := '1'; r <= '9'; r++ {
		if f.glyph(r).Advance != f.glyph('0').Advance {
			t.Errorf("%c is not as wide as 0", r)
		}
	}
	for _, r := range "AaéÄ×³²ø°µ½…·–" {
		if f.index(r) == 0 || len(f.glyph(r).path) == 0 {
			t.Errorf("%c has no outline", r)
		}
	}
	if len(f.glyph(' ').path) != 0 || f.glyph(' ').Advance <= 0 {
		t.Error("a space is not blank")
	}
	if a, b := f.glyph('é'), f.glyph('e'); len(a.path) <= len(b.path) || a.hi.y <= b.hi.y {
		t.Error("é lacks its accent")
	}
	if h := f.glyph('H'); h.lo.y != 0 || h.hi.y < 0.6 || h.hi.y > 0.8 {
		t.Errorf("H stands from %v to %v em", h.lo.y, h.hi.y)
	}
	// A square drawn from an outline: its area is exact.
	square := &Glyph{hi: point{1, 1}, path: []segment{{moveTo, point{}, point{0, 0}}, {lineTo, point{}, point{1, 0}}, {lineTo, point{}, point{1, 1}}, {lineTo, point{}, point{0, 1}}}}
	sum := 0.0
	for _, a := range square.Mask(10.25, 40.5, 20.5).Pix {
		sum += float64(a) / 255
	}
	if math.Abs(sum-20.5*20.5) > 1 {
		t.Errorf("a square of 420.25 pixels covers %.2f", sum)
	}
}
