package render

import (
	"math"

	"moldtally/boxfit"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// sketch draws the container to scale, from above and from the side, with its clear
// inside and its fill line, and the pattern's bounds in it.
func (b *bench) sketch() {
	c := b.plan.Container
	l, w, h, ok := outlines(c)
	if p := b.plan.Pose; !ok && p != nil { // a coat follows the pattern
		grow := 2 * c.Wall
		l, w, h, ok = p.Rect[0]+grow, p.Rect[1]+grow, p.Height+c.Wall, true
	}
	if !ok || !(l > 0 && w > 0 && h > 0) {
		return
	}
	const gap, left, bottom, most = 84.0, 66.0, 46.0, 250.0
	k := min((b.across()-gap-left-60)/(2*l), most/max(w, h))
	deep := k * max(w, h)
	b.need(deep + bottom + 40)
	top := b.y + 14
	b.text("from above", pageMargin, top-3, typeface.Medium, benchSize, SoftInk)
	plan := &paperPen{b.document, pageMargin, top + 6, k}
	b.plane(plan, l, w)
	b.measured(point{pageMargin, top + 6 + k*w + 12}, point{pageMargin + k*l, top + 6 + k*w + 12}, l)
	if c.Diameter == nil {
		b.measured(point{pageMargin + k*l + 12, top + 6}, point{pageMargin + k*l + 12, top + 6 + k*w}, w)
	}

	x := pageMargin + k*l + gap + left
	b.text("from the side", x, top-3, typeface.Medium, benchSize, SoftInk)
	side := &paperPen{b.document, x, top + 6, k}
	b.elevation(side, l, h)
	b.measured(point{x, top + 6 + k*h + 12}, point{x + k*l, top + 6 + k*h + 12}, l)
	b.measured(point{x - 12, top + 6 + k*h}, point{x - 12, top + 6}, h)
	if c.Kind != boxfit.Mother {
		y := top + 6 + k*(h-c.FillHeight)
		b.text("fill to "+b.w.Inline(figure.Marked(c.FillHeight)), x+k*l+6, y+3, typeface.Bold, benchSize, GoodInk)
	}
	b.y = top + deep + bottom
	words := "Drawn to scale; measures are clear inside. Dashed: the pattern's bounds."
	if c.Kind == boxfit.Mother {
		words = "Drawn to scale as a box round the coat, which follows the pattern. Dashed: the pattern's bounds."
	}
	b.tight(words, pageMargin, b.across(), typeface.Regular, SoftInk)
	b.y += 6
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

// plane draws the inside from above.
func (b *bench) plane(pen *paperPen, l, w float64) {
	c := b.plan.Container
	var pts []point
	ring := func(n int, r, turn float64) {
		for i := range n + 1 {
			s, cos := math.Sincos(2*math.Pi*float64(i)/float64(n) + turn)
			pts = append(pts, point{l/2 + r*cos, w/2 + r*s})
		}
	}
	switch {
	case c.Sides != nil && *c.Sides >= 3:
		n := float64(*c.Sides)
		ring(*c.Sides, l/2/math.Cos(math.Pi/n), math.Pi/n)
	case c.Diameter != nil:
		ring(72, l/2, 0)
	default:
		pts = []point{{0, 0}, {l, 0}, {l, w}, {0, w}, {0, 0}}
	}
	pen.stroke(pts, 1.4/pen.k, 0, Ink)
	if p := b.plan.Pose; p != nil {
		a, z := p.Rect[0], p.Rect[1]
		pen.stroke([]point{{(l - a) / 2, (w - z) / 2}, {(l + a) / 2, (w - z) / 2}, {(l + a) / 2, (w + z) / 2}, {(l - a) / 2, (w + z) / 2}, {(l - a) / 2, (w - z) / 2}}, 0.8/pen.k, 4/pen.k, SoftInk)
	}
}

// elevation draws the inside from the side.
func (b *bench) elevation(pen *paperPen, l, h float64) {
	c := b.plan.Container
	pen.stroke([]point{{0, 0}, {0, h}, {l, h}, {l, 0}}, 1.4/pen.k, 0, Ink)
	if c.Kind == boxfit.Mother {
		pen.stroke([]point{{0, 0}, {l, 0}}, 1.4/pen.k, 0, Ink)
	} else {
		pen.stroke([]point{{0, h - c.FillHeight}, {l, h - c.FillHeight}}, 1.6/pen.k, 0, GoodInk)
	}
	if p := b.plan.Pose; p != nil {
		a, foot := p.Rect[0], h-c.Under
		if c.Diameter != nil {
			a = min(p.Circle, l)
		}
		pen.stroke([]point{{(l - a) / 2, foot}, {(l - a) / 2, foot - p.Height}, {(l + a) / 2, foot - p.Height}, {(l + a) / 2, foot}, {(l - a) / 2, foot}}, 0.8/pen.k, 4/pen.k, SoftInk)
	}
}

// measured draws a dimension line between two points of the page with a length, mm.
func (b *bench) measured(from, to point, mm float64) {
	pen := &paperPen{b.document, 0, 0, 1}
	pen.stroke([]point{from, to}, 0.7, 0, Ink)
	level := math.Abs(to.y-from.y) < 0.5
	tick := func(q point) {
		if level {
			pen.stroke([]point{{q.x, q.y - 4}, {q.x, q.y + 4}}, 0.7, 0, Ink)
		} else {
			pen.stroke([]point{{q.x - 4, q.y}, {q.x + 4, q.y}}, 0.7, 0, Ink)
		}
	}
	tick(from)
	tick(to)
	q := figure.Clear(mm)
	if c := b.plan.Container; c.Own || c.Diameter != nil && c.Stock != nil && mm == *c.Diameter {
		q = figure.Ruled(mm)
	}
	at, al := point{(from.x+to.x)/2 + 7, (from.y+to.y)/2 + 2}, alignLeft
	switch {
	case level:
		at, al = point{(from.x + to.x) / 2, from.y + 14}, alignCenter
	case from.y > to.y: // a height, its words at the left
		at.x, al = from.x-7, alignRight
	}
	pen.label(b.w.Inline(q), at, 11, typeface.Bold, al, Ink)
	if b.w.System == unit.Both {
		pen.label(q.US(), point{at.x, at.y + 11}, 9, typeface.Medium, al, SoftInk)
	}
}
