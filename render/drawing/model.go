// Package drawing draws what a maker measures and cuts by: boards, the sheets that they
// come from, a section of the container, templates at true scale. It makes plain values,
// lines and words on pages; writers put them on paper.
package drawing

import (
	"math"
	"unicode/utf8"

	"moldtally/mesh"
)

// Point is a place in mm: of a figure, y up; of a page, y down from its upper left.
type Point = mesh.Vec2

// Pen is a kind of line.
type Pen int

// The pens.
const (
	Outline Pen = iota // what is cut, and what is there
	Thin               // what measures, and what is beside
	Dashed             // what is marked, or hidden
	Faint              // the page's own
)

// Width is how wide a pen draws, mm, and Dash the length of its dashes, 0 = none (ISO
// 128-20, recalled: 0.35 and 0.18 go together).
func (p Pen) Width() float64 { return [...]float64{0.35, 0.18, 0.25, 0.13}[p] }

// Dash is how long a pen's dashes and gaps are, mm; 0 = it draws through.
func (p Pen) Dash() float64 {
	if p == Dashed {
		return 2
	}
	return 0
}

// Line goes from point to point, and back to the first where it is closed.
type Line struct {
	Points []Point
	Closed bool
	Pen    Pen
}

// Circle is a round line.
type Circle struct {
	Center Point
	Radius float64
	Pen    Pen
}

// Align is where a text stands from its place.
type Align int

// The alignments.
const (
	Left Align = iota
	Center
	Right
)

// Text stands with its baseline at a place; upright, it reads from below. Its size is in
// mm of paper, whatever the scale.
type Text struct {
	At      Point
	Words   string
	Size    float64
	Align   Align
	Upright bool
	Bold    bool
}

// Dimension measures from one place to another, on a line beside them: Off mm of paper
// to the left, seen along it; with a negative Off to the right.
type Dimension struct {
	From, To Point
	Off      float64
	Words    string
}

// Figure is lines, circles, words and dimensions together.
type Figure struct {
	Lines   []Line
	Circles []Circle
	Texts   []Text
	Dims    []Dimension
}

// Page is one page as it is drawn: places in mm from its upper left. Scale is how many
// mm of paper a millimetre takes in its figures.
type Page struct {
	Figure
	Scale float64
}

// Drawing is pages of one size, mm.
type Drawing struct {
	Title         string
	Width, Height float64
	Pages         []Page
}

func (f *Figure) line(p Pen, pts ...Point) {
	f.Lines = append(f.Lines, Line{Points: pts, Pen: p})
}

func (f *Figure) loop(p Pen, pts ...Point) {
	f.Lines = append(f.Lines, Line{Points: pts, Closed: true, Pen: p})
}

func (f *Figure) rect(p Pen, x, y, w, h float64) {
	f.loop(p, Point{X: x, Y: y}, Point{X: x + w, Y: y}, Point{X: x + w, Y: y + h}, Point{X: x, Y: y + h})
}

func (f *Figure) text(x, y, size float64, a Align, words string) {
	f.Texts = append(f.Texts, Text{At: Point{X: x, Y: y}, Words: words, Size: size, Align: a})
}

func (f *Figure) dim(from, to Point, off float64, words string) {
	f.Dims = append(f.Dims, Dimension{from, to, off, words})
}

// cross marks a middle by two short lines, r mm each way.
func (f *Figure) cross(p Pen, c Point, r float64) {
	f.line(p, Point{X: c.X - r, Y: c.Y}, Point{X: c.X + r, Y: c.Y})
	f.line(p, Point{X: c.X, Y: c.Y - r}, Point{X: c.X, Y: c.Y + r})
}

func (f *Figure) add(g Figure) {
	f.Lines, f.Circles = append(f.Lines, g.Lines...), append(f.Circles, g.Circles...)
	f.Texts, f.Dims = append(f.Texts, g.Texts...), append(f.Dims, g.Dims...)
}

// box is what a figure's lines and circles span.
func (f *Figure) box() (lo, hi Point) {
	lo, hi = Point{X: math.Inf(1), Y: math.Inf(1)}, Point{X: math.Inf(-1), Y: math.Inf(-1)}
	reach := func(p Point, r float64) {
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X-r), min(lo.Y, p.Y-r), max(hi.X, p.X+r), max(hi.Y, p.Y+r)
	}
	for _, l := range f.Lines {
		for _, p := range l.Points {
			reach(p, 0)
		}
	}
	for _, c := range f.Circles {
		reach(c.Center, c.Radius)
	}
	return lo, hi
}

// placed is a figure drawn on a page at a scale, its own (0, 0) at a place of the page.
func (f *Figure) placed(at Point, scale float64) Figure {
	to := func(p Point) Point { return Point{X: at.X + scale*p.X, Y: at.Y - scale*p.Y} }
	var g Figure
	for _, l := range f.Lines {
		pts := make([]Point, len(l.Points))
		for i, p := range l.Points {
			pts[i] = to(p)
		}
		g.Lines = append(g.Lines, Line{pts, l.Closed, l.Pen})
	}
	for _, c := range f.Circles {
		g.Circles = append(g.Circles, Circle{to(c.Center), c.Radius * scale, c.Pen})
	}
	for _, t := range f.Texts {
		t.At = to(t.At)
		g.Texts = append(g.Texts, t)
	}
	for _, d := range f.Dims {
		// The page's y runs down, so that left and right change places.
		g.Dims = append(g.Dims, Dimension{to(d.From), to(d.To), -d.Off, d.Words})
	}
	return g
}

// Sizes of a dimension, mm of paper (ISO 129-1, recalled; its arrows are here short
// strokes across the line, as joiners draw them).
const (
	dimText  = 2.8
	dimOver  = 1.5 // beyond the dimension line
	dimGap   = 1.0 // from what is measured
	dimTick  = 1.2
	dimAbove = 0.8 // of the words over their line
)

// drawn is a dimension on a page as lines and words.
func (d Dimension) drawn() (f Figure) {
	v := d.To.Sub(d.From)
	l := v.Len()
	if l == 0 {
		return f
	}
	u := v.Mul(1 / l)
	n := u.Perp() // with y down, that is to the right; Off was turned for it
	side := 1.0
	if d.Off < 0 {
		side = -1
	}
	a, b := d.From.Add(n.Mul(d.Off)), d.To.Add(n.Mul(d.Off))
	f.line(Thin, a, b)
	for _, p := range [2][2]Point{{d.From, a}, {d.To, b}} {
		f.line(Thin, p[0].Add(n.Mul(side*min(dimGap, side*d.Off))), p[1].Add(n.Mul(side*dimOver)))
		t := u.Add(n).Mul(dimTick / math.Sqrt2)
		f.line(Outline, p[1].Sub(t), p[1].Add(t))
	}
	// Words that are longer than their line stand beyond its upper or right end.
	mid, beyond := a.Add(b).Mul(0.5), wide(d.Words, dimText) > l-2
	t := Text{At: Point{X: mid.X, Y: mid.Y - dimAbove}, Words: d.Words, Size: dimText, Align: Center}
	if t.Upright = math.Abs(u.Y) > math.Abs(u.X); t.Upright {
		t.At = Point{X: mid.X - dimAbove, Y: mid.Y}
	}
	switch {
	case beyond && t.Upright:
		t.At, t.Align = Point{X: mid.X + dimText/3, Y: min(a.Y, b.Y) - dimOver - dimTick}, Left
	case beyond:
		t.At, t.Align = Point{X: max(a.X, b.X) + dimOver + dimTick, Y: mid.Y + dimText/3}, Left
	}
	f.Texts = append(f.Texts, t)
	return f
}

// wide is about how wide words are, mm: letters are half as wide as high (judgement of
// this program), which is enough to see whether they have room.
func wide(words string, size float64) float64 {
	return 0.5 * size * float64(utf8.RuneCountInString(words))
}

// turned is a figure a quarter turn to the left.
func (f *Figure) turned() Figure {
	g := Figure{}
	for _, l := range f.Lines {
		pts := make([]Point, len(l.Points))
		for i, p := range l.Points {
			pts[i] = p.Perp()
		}
		g.Lines = append(g.Lines, Line{pts, l.Closed, l.Pen})
	}
	for _, c := range f.Circles {
		g.Circles = append(g.Circles, Circle{c.Center.Perp(), c.Radius, c.Pen})
	}
	for _, t := range f.Texts {
		t.At, t.Upright = t.At.Perp(), true
		g.Texts = append(g.Texts, t)
	}
	for _, d := range f.Dims {
		g.Dims = append(g.Dims, Dimension{d.From.Perp(), d.To.Perp(), d.Off, d.Words})
	}
	return g
}

// Flat is the page with its dimensions drawn as lines and words.
func (p *Page) Flat() Figure {
	f := Figure{Lines: append([]Line(nil), p.Lines...), Circles: p.Circles, Texts: append([]Text(nil), p.Texts...)}
	for _, d := range p.Dims {
		f.add(d.drawn())
	}
	return f
}
