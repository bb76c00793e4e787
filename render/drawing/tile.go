package drawing

import (
	"math"
	"strconv"
)

// Tiles are pages that a template at true scale is spread over, each with a strip that
// lies over its neighbour, mm (judgement of this program), and so many at most; what
// takes more is drawn smaller.
const (
	tileLap   = 12.0
	mostTiles = 36
)

// fineArc is how far the corners of a circle drawn as a line may lie off it, mm: less
// than a pencil's line.
const fineArc = 0.02

// lined is a figure at true scale as it lies on a page, of lines and words alone.
func (f *Figure) lined() Figure {
	p := Page{Figure: f.placed(Point{}, 1)}
	g := p.Flat()
	for _, c := range g.Circles {
		g.Lines = append(g.Lines, c.line())
	}
	g.Circles = nil
	return g
}

// line is a circle as a line of many corners.
func (c Circle) line() Line {
	n := 12
	if c.Radius > fineArc {
		n = max(n, int(math.Ceil(math.Pi/math.Acos(1-fineArc/c.Radius))))
	}
	l := Line{Closed: true, Pen: c.Pen}
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		l.Points = append(l.Points, Point{X: c.Center.X + c.Radius*math.Cos(a), Y: c.Center.Y + c.Radius*math.Sin(a)})
	}
	return l
}

// within is what of a figure of lines lies in a window.
func (f *Figure) within(lo, hi Point) (g Figure) {
	for _, l := range f.Lines {
		pts := l.Points
		if l.Closed && len(pts) > 0 {
			pts = append(append([]Point(nil), pts...), pts[0])
		}
		var run []Point
		end := func() {
			if len(run) > 1 {
				g.Lines = append(g.Lines, Line{Points: run, Pen: l.Pen})
			}
			run = nil
		}
		for i := 1; i < len(pts); i++ {
			a, b, ok := clip(pts[i-1], pts[i], lo, hi)
			if !ok {
				end()
				continue
			}
			if len(run) == 0 || run[len(run)-1] != a {
				end()
				run = []Point{a}
			}
			run = append(run, b)
		}
		end()
	}
	for _, t := range f.Texts {
		if t.At.X >= lo.X && t.At.X <= hi.X && t.At.Y >= lo.Y && t.At.Y <= hi.Y {
			g.Texts = append(g.Texts, t)
		}
	}
	return g
}

// clip is the part of a stretch that lies in a window (Y.-D. Liang & B. Barsky, "A new
// concept and method for line clipping", ACM Transactions on Graphics 3, 1984).
func clip(a, b, lo, hi Point) (Point, Point, bool) {
	from, to := 0.0, 1.0
	d := b.Sub(a)
	for _, e := range [4][2]float64{{-d.X, a.X - lo.X}, {d.X, hi.X - a.X}, {-d.Y, a.Y - lo.Y}, {d.Y, hi.Y - a.Y}} {
		switch p, q := e[0], e[1]; {
		case p == 0 && q < 0:
			return a, b, false
		case p < 0:
			from = max(from, q/p)
		case p > 0:
			to = min(to, q/p)
		}
	}
	if from > to {
		return a, b, false
	}
	p, q := a, b
	if from > 0 {
		p = a.Add(d.Mul(from))
	}
	if to < 1 {
		q = a.Add(d.Mul(to))
	}
	return p, q, true
}

// tiling is how a window of a figure of lines, on a page without end, is spread over
// pages.
type tiling struct {
	lo     Point   // the window's upper left
	nx, ny int     // pages across and down
	w, h   float64 // what a page shows
}

// tiled finds the tiling of a figure of lines for pages that show w × h.
func tiled(f *Figure, w, h float64) tiling {
	const edge = 2 // mm round it, so that no line lies on the rim
	lo, hi := f.box()
	lo, hi = lo.Sub(Point{X: edge, Y: edge}), hi.Add(Point{X: edge, Y: edge})
	count := func(long, page float64) int {
		return max(1, int(math.Ceil((long-tileLap)/(page-tileLap)-1e-9)))
	}
	t := tiling{nx: count(hi.X-lo.X, w), ny: count(hi.Y-lo.Y, h), w: w, h: h}
	over := Point{X: w + float64(t.nx-1)*(w-tileLap) - (hi.X - lo.X), Y: h + float64(t.ny-1)*(h-tileLap) - (hi.Y - lo.Y)}
	t.lo = lo.Sub(over.Mul(0.5)) // in the middle of its pages
	return t
}

// name is what a tile is called: rows by letters from the top, columns by numbers.
func (t tiling) name(i, j int) string { return string(rune('A'+j)) + strconv.Itoa(i+1) }

// tile is one page's part of a figure of lines, with the marks where it joins others,
// from the upper left of the page's window.
func (t tiling) tile(f *Figure, i, j int) Figure {
	lo := t.lo.Add(Point{X: float64(i) * (t.w - tileLap), Y: float64(j) * (t.h - tileLap)})
	cut := f.within(lo, lo.Add(Point{X: t.w, Y: t.h}))
	g := Figure{}
	for _, l := range cut.Lines {
		for k := range l.Points {
			l.Points[k] = l.Points[k].Sub(lo)
		}
		g.Lines = append(g.Lines, l)
	}
	for _, x := range cut.Texts {
		x.At = x.At.Sub(lo)
		g.Texts = append(g.Texts, x)
	}
	if t.nx*t.ny > 1 {
		t.joins(&g, i, j)
	}
	return g
}

// joins draws where a tile lies over its neighbours: a line to cut along, and crosses
// that fall on each other.
func (t tiling) joins(g *Figure, i, j int) {
	mark := func(c Point) {
		g.Circles = append(g.Circles, Circle{c, 2, Thin})
		g.cross(Thin, c, 4)
	}
	for _, s := range [2]struct {
		at float64
		k  int
	}{{tileLap / 2, i - 1}, {t.w - tileLap/2, i + 1}} {
		if s.k < 0 || s.k >= t.nx {
			continue
		}
		g.line(Dashed, Point{X: s.at}, Point{X: s.at, Y: t.h})
		for _, y := range [2]float64{t.h / 4, 3 * t.h / 4} {
			mark(Point{X: s.at, Y: y})
			g.Texts = append(g.Texts, Text{At: Point{X: s.at - 1, Y: y - 6}, Words: "joins " + t.name(s.k, j), Size: 2.4, Upright: true})
		}
	}
	for _, s := range [2]struct {
		at float64
		k  int
	}{{tileLap / 2, j - 1}, {t.h - tileLap/2, j + 1}} {
		if s.k < 0 || s.k >= t.ny {
			continue
		}
		g.line(Dashed, Point{Y: s.at}, Point{X: t.w, Y: s.at})
		for _, x := range [2]float64{t.w / 4, 3 * t.w / 4} {
			mark(Point{X: x, Y: s.at})
			g.text(x+6, s.at-1, 2.4, Left, "joins "+t.name(i, s.k))
		}
	}
}
