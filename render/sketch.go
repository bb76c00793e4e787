package render

import (
	"fmt"
	"html"
	"math"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// sketch is a container drawn to scale, from above and from the side, with its clear
// inside, its fill line and the pattern's bounds in it. Lengths mm; on the page points,
// or what stands for them.
type sketch struct {
	w       *wording
	pen     pen
	l, d, h float64 // of the inside: length, depth, height
	k       float64 // points to the mm
	side    float64 // where the view from the side begins
	high    float64 // of all of it
}

// Room beside and under the views, points, and how tall they are at most.
const (
	sketchTop, sketchGap, sketchLeft, sketchFoot = 20.0, 84.0, 66.0, 46.0
	sketchFill, sketchMost                       = 84.0, 180.0
)

// newSketch fits a plan's container into a width; nil where there is none to draw.
func newSketch(w *wording, width float64) *sketch {
	c, p := w.plan.Container, w.plan.Pose
	if c == nil {
		return nil
	}
	s := &sketch{w: w}
	var ok bool
	if s.l, s.d, s.h, ok = outlines(c); !ok && p != nil { // a coat follows the pattern
		s.l, s.d, s.h = p.Rect[0]+2*c.Wall, p.Rect[1]+2*c.Wall, p.Height+c.Wall
	}
	if !(s.l > 0 && s.d > 0 && s.h > 0) {
		return nil
	}
	s.k = min((width-sketchGap-sketchLeft-sketchFill)/(2*s.l), sketchMost/max(s.d, s.h))
	s.side = s.k*s.l + sketchGap + sketchLeft
	s.high = sketchTop + s.k*max(s.d, s.h) + sketchFoot
	return s
}

// outlines are the bounds of a container's inside, mm; false where it has none of its
// own.
func outlines(c *boxfit.Fit) (l, w, h float64, ok bool) {
	h = c.FillHeight
	if c.Interior != nil {
		l, w, h = c.Interior[0], c.Interior[1], max(h, c.Interior[2])
	}
	if c.Diameter != nil {
		l, w = *c.Diameter, *c.Diameter
	}
	return l, w, h, c.Kind != boxfit.Mother && l > 0
}

// note says what the drawing is.
func (s *sketch) note() string {
	if s.w.plan.Container.Kind == boxfit.Mother {
		return "Drawn to scale as a box round the coat, which follows the pattern. Dashed: the pattern's outline and height."
	}
	return "Drawn to scale; measures are clear inside. Dashed: the pattern's outline and height."
}

// svg is the sketch as it stands in a page.
func (s *sketch) svg(width float64) string {
	p := &svgPen{}
	s.draw(p)
	return fmt.Sprintf("<svg viewBox=\"0 0 %s %s\" role=\"img\" aria-label=\"%s\">\n", num(width), num(s.high), html.EscapeString("The container from above and from the side: "+s.w.insideLine())) +
		p.b.String() + "</svg>\n"
}

func (s *sketch) draw(p pen) {
	s.pen = p
	c := s.w.plan.Container
	long, deep, high := s.k*s.l, s.k*s.d, s.k*s.h
	p.label("from above", point{0, sketchTop - 9}, 9, typeface.Medium, alignLeft, SoftInk)
	s.above()
	s.measured(point{0, sketchTop + deep + 12}, point{long, sketchTop + deep + 12}, s.l)
	if c.Diameter == nil {
		s.measured(point{long + 12, sketchTop}, point{long + 12, sketchTop + deep}, s.d)
	}
	p.label("from the side", point{s.side, sketchTop - 9}, 9, typeface.Medium, alignLeft, SoftInk)
	s.beside()
	s.measured(point{s.side, sketchTop + high + 12}, point{s.side + long, sketchTop + high + 12}, s.l)
	s.measured(point{s.side - 12, sketchTop + high}, point{s.side - 12, sketchTop}, s.h)
	if c.Kind != boxfit.Mother {
		y := sketchTop + s.k*(s.h-c.FillHeight)
		p.label("fill to "+s.w.Inline(figure.Marked(c.FillHeight)), point{s.side + long + 6, y + 3}, 9, typeface.Bold, alignLeft, GoodInk)
		if s.w.System == unit.Both {
			p.label(figure.Marked(c.FillHeight).US(), point{s.side + long + 6, y + 14}, 9, typeface.Medium, alignLeft, SoftInk)
		}
	}
}

// line draws a line through places of a view, mm, whose upper left corner is at x.
func (s *sketch) line(x float64, mm []point, width, dash float64, fill bool) {
	pts := make([]point, len(mm))
	for i, q := range mm {
		pts[i] = point{x + s.k*q.x, sketchTop + s.k*q.y}
	}
	ink := Ink
	switch {
	case fill:
		ink = GoodInk
	case dash > 0:
		ink = SoftInk
	}
	s.pen.stroke(pts, width, dash, ink)
}

func rectangle(x0, y0, x1, y1 float64) []point {
	return []point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}
}

// above draws the inside from above.
func (s *sketch) above() {
	c, l, d := s.w.plan.Container, s.l, s.d
	pts := rectangle(0, 0, l, d)
	if c.Diameter != nil {
		n, r := 72, l/2
		if c.Sides != nil && *c.Sides >= 3 {
			n = *c.Sides
			r /= math.Cos(math.Pi / float64(n)) // the diameter is between flats
		}
		pts = nil
		for i := range n + 1 {
			sin, cos := math.Sincos(math.Pi * float64(2*i+1) / float64(n))
			pts = append(pts, point{l/2 + r*cos, d/2 + r*sin})
		}
	}
	s.line(0, pts, 1.4, 0, false)
	s.line(0, s.pattern(), 0.8, 4, false)
}

// pattern is the pattern's outline from above, closed: a convex line round it where
// the fit has one, else its least rectangle.
func (s *sketch) pattern() []point {
	c, l, d := s.w.plan.Container, s.l, s.d
	if len(c.Outline) > 2 {
		vec := func(a [3]float64) mesh.Vec { return mesh.Vec{X: a[0], Y: a[1], Z: a[2]} }
		along := vec(c.LongAxis)
		across := vec(c.Up).Cross(along)
		var pts []point
		for i := range len(c.Outline) + 1 {
			q := c.Outline[i%len(c.Outline)].Sub(vec(c.Center))
			pts = append(pts, point{l/2 + q.Dot(along), d/2 - q.Dot(across)})
		}
		return pts
	}
	if p := s.w.plan.Pose; p != nil {
		a, z := p.Rect[0]/2, p.Rect[1]/2
		return rectangle(l/2-a, d/2-z, l/2+a, d/2+z)
	}
	return nil
}

// beside draws the inside from the side.
func (s *sketch) beside() {
	c, l, h := s.w.plan.Container, s.l, s.h
	s.line(s.side, []point{{0, 0}, {0, h}, {l, h}, {l, 0}}, 1.4, 0, false)
	if c.Kind == boxfit.Mother {
		s.line(s.side, []point{{0, 0}, {l, 0}}, 1.4, 0, false)
	} else {
		s.line(s.side, []point{{0, h - c.FillHeight}, {l, h - c.FillHeight}}, 1.6, 0, true)
	}
	if p, all := s.w.plan.Pose, s.pattern(); p != nil && len(all) > 0 {
		left, right, foot := all[0].x, all[0].x, h-c.Under
		for _, q := range all {
			left, right = min(left, q.x), max(right, q.x)
		}
		s.line(s.side, rectangle(left, foot-p.Height, right, foot), 0.8, 4, false)
	}
}

// measured draws a dimension line between two points of the page with a length, mm.
func (s *sketch) measured(from, to point, mm float64) {
	s.pen.stroke([]point{from, to}, 0.7, 0, Ink)
	level := math.Abs(to.y-from.y) < 0.5
	for _, q := range []point{from, to} {
		if level {
			s.pen.stroke([]point{{q.x, q.y - 4}, {q.x, q.y + 4}}, 0.7, 0, Ink)
		} else {
			s.pen.stroke([]point{{q.x - 4, q.y}, {q.x + 4, q.y}}, 0.7, 0, Ink)
		}
	}
	q := figure.Clear(mm)
	if c := s.w.plan.Container; c.Own || c.Diameter != nil && c.Stock != nil && mm == *c.Diameter {
		q = figure.Ruled(mm) // it is there already
	}
	at, al := point{to.x + 7, (from.y+to.y)/2 + 2}, alignLeft
	switch {
	case level:
		at, al = point{(from.x + to.x) / 2, from.y + 14}, alignCenter
	case from.y > to.y: // a height, its words at the left
		at.x, al = from.x-7, alignRight
	}
	s.pen.label(s.w.Inline(q), at, 11, typeface.Bold, al, Ink)
	if s.w.System == unit.Both {
		s.pen.label(q.US(), point{at.x, at.y + 11}, 9, typeface.Medium, al, SoftInk)
	}
}
