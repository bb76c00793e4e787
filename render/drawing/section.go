package drawing

import (
	"moldtally/boxfit"
	"moldtally/mesh/demold"
)

// section draws the container cut upright through its middle, with the heights to mark.
func (w *writer) section() {
	g := w.cutaway()
	lo, hi := g.box()
	across, down := w.room()
	k, told := scale(hi.X-lo.X, hi.Y-lo.Y, across-48, down-34)
	w.page("Section, and heights to mark", told)
	w.put(&g, k, 24, g.over(k), 12)
	if w.c.slice != nil {
		for _, line := range w.blanketWords() {
			w.say(line, "Section, and heights to mark", told)
		}
		return
	}
	through := "through its middle"
	if w.c.aside {
		through = "beside its middle, where nothing stands"
	}
	w.say("The pattern is drawn as it is cut by an upright plane along the container, "+through+".", "Section, and heights to mark", told)
}

// over is how much room a figure at a scale takes above it: for words of its upright
// dimensions that are longer than their lines.
func (f *Figure) over(k float64) float64 {
	_, hi := f.box()
	room := 12.0
	for _, d := range f.Dims {
		if l := k * d.To.Sub(d.From).Len(); d.To.X == d.From.X && wide(d.Words, dimText) > l-2 {
			room = max(room, wide(d.Words, dimText)+6-k*(hi.Y-max(d.From.Y, d.To.Y)))
		}
	}
	return room
}

// cutaway is the section itself: x along the container, y up from its floor.
func (w *writer) cutaway() Figure {
	c, f, g := w.c, w.s.Fit, Figure{}
	lo, hi := c.reach()
	for _, l := range c.across {
		g.line(Outline, l...)
	}
	if c.slice != nil {
		g.blanket(c.slice, w.s.Fit)
		if a, b := g.box(); true {
			lo, hi = min(lo, a.X), max(hi, b.X)
		}
	}
	out := c.board
	if f.Kind != boxfit.Mother {
		if out > 0 {
			g.rect(Outline, lo-out, 0, out, c.rim)
			g.rect(Outline, hi, 0, out, c.rim)
		} else { // the user's own: its walls are as thick as they are
			g.line(Outline, Point{X: lo, Y: c.rim}, Point{X: lo}, Point{X: hi}, Point{X: hi, Y: c.rim})
		}
	}
	bottom := 0.0
	for _, b := range f.Boards {
		if b.Part.Role == boxfit.BaseBoard {
			g.rect(Outline, (lo+hi-b.Length)/2, -b.Thickness, b.Length, b.Thickness)
			bottom = -b.Thickness
		}
	}
	if f.Kind != boxfit.Mother {
		g.dim(Point{X: lo, Y: bottom}, Point{X: hi, Y: bottom}, -6, w.cut(hi-lo)+" inside")
	}
	w.heights(&g, lo-out, hi+out)
	return g
}

// heights measures what is marked on the walls: to the left of the section the pattern's,
// to the right the container's.
func (w *writer) heights(g *Figure, left, right float64) {
	c, f := w.c, w.s.Fit
	mark := func(z float64) { g.line(Dashed, Point{X: left, Y: z}, Point{X: right, Y: z}) }
	g.dim(Point{X: left}, Point{X: left, Y: c.high}, 6, w.marked(c.high)+" top of the pattern")
	if c.low > 0.05 {
		g.dim(Point{X: left}, Point{X: left, Y: c.low}, 13, w.marked(c.low)+" under it")
	}
	if c.bed != nil {
		mark(*c.bed)
		g.dim(Point{X: right}, Point{X: right, Y: *c.bed}, -6, w.marked(*c.bed)+" clay bed")
	}
	if f.Mold == demold.Brushed {
		return
	}
	mark(f.FillHeight)
	g.dim(Point{X: right}, Point{X: right, Y: f.FillHeight}, -13, w.marked(f.FillHeight)+" fill line")
	if f.Kind != boxfit.Mother && c.rim > f.FillHeight {
		g.dim(Point{X: right}, Point{X: right, Y: c.rim}, -20, w.marked(c.rim)+" rim")
	}
}

// fromAbove draws where the pattern stands in its container.
func (w *writer) fromAbove() {
	g := w.plan()
	lo, hi := g.box()
	across, down := w.room()
	k, told := scale(hi.X-lo.X, hi.Y-lo.Y, across-32, down-30)
	w.clear(&g, k, hi)
	w.page("From above: where the pattern stands", told)
	w.put(&g, k, 18, 12, 16)
	w.say("Drawn through: the pattern where it meets board or clay. Dashed: all that it covers.", "From above: where the pattern stands", told)
}

// plan is the container and the pattern from above.
func (w *writer) plan() Figure {
	c, f, g := w.c, w.s.Fit, Figure{}
	g.add(c.sides(0))
	if c.board > 0 && f.Kind != boxfit.Mother {
		g.add(c.sides(c.board))
	}
	for _, b := range f.Boards {
		if b.Part.Role == boxfit.BaseBoard {
			g.rect(Thin, -b.Length/2, -b.Width/2, b.Length, b.Width)
			g.dim(Point{X: -b.Length / 2, Y: -b.Width / 2}, Point{X: b.Length / 2, Y: -b.Width / 2}, -6, w.cut(b.Length)+" base")
			g.dim(Point{X: -b.Length / 2, Y: -b.Width / 2}, Point{X: -b.Length / 2, Y: b.Width / 2}, 6, w.cut(b.Width)+" base")
		}
	}
	g.loop(Dashed, c.hull...)
	for _, l := range append(c.foot[:len(c.foot):len(c.foot)], c.parting...) {
		g.line(Outline, l...)
	}
	g.cross(Thin, Point{}, 4)
	w.numbers(&g)
	return g
}

// clear measures the clear inside, beyond what a figure at a scale reaches to.
func (w *writer) clear(g *Figure, k float64, reach Point) {
	f := w.s.Fit
	if f.Interior == nil || f.Kind == boxfit.Mother {
		return
	}
	const beyond = 6 // mm of paper
	lo, hi := w.c.reach()
	words := w.cut(hi-lo) + " inside"
	switch {
	case f.Kind == boxfit.Sleeve:
		words = "ø " + words
	case f.Kind.FourSided():
		b := f.Interior[1]
		g.dim(Point{X: hi, Y: -b / 2}, Point{X: hi, Y: b / 2}, -beyond-k*(reach.X-hi), w.cut(b)+" inside")
	}
	top := w.c.sides(0)
	_, h := top.box()
	g.dim(Point{X: lo, Y: h.Y}, Point{X: hi, Y: h.Y}, beyond+k*(reach.Y-h.Y), words)
}
