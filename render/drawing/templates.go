package drawing

import "moldtally/boxfit"

// ends is the template that the sides of a polygon, or a tube, are set up on: inside and
// outside of the wall, the middle, and where the pattern stands.
func (w *writer) ends() *Figure {
	c, f, g := w.c, w.s.Fit, Figure{}
	g.add(c.sides(0))
	if c.board > 0 {
		g.add(c.sides(c.board))
		if f.Kind == boxfit.Polygon && f.Sides != nil && f.Diameter != nil {
			// The mitres, from corner to corner.
			in, out := polygon(*f.Sides, *f.Diameter/2), polygon(*f.Sides, *f.Diameter/2+c.board)
			for i := range in {
				g.line(Thin, in[i], out[i])
			}
		}
	}
	for _, l := range c.foot {
		g.line(Thin, l...)
	}
	g.loop(Dashed, c.hull...)
	g.cross(Thin, Point{}, 6)
	g.text(8, 2, dimText, Left, "middle")
	if f.Diameter != nil {
		r := *f.Diameter / 2
		what := " across the flats, inside"
		if f.Kind == boxfit.Sleeve {
			what = " bore"
		}
		g.text(8, -4, dimText, Left, w.long(2*r)+what)
	}
	return &g
}

// land is the template of the parting: cut out along the pattern, it lies on the clay and
// shows where the land ends at the walls, and where its keys go.
func (w *writer) land() *Figure {
	c, g := w.c, Figure{}
	g.add(c.sides(0))
	for _, l := range c.parting {
		g.line(Outline, l...)
	}
	g.cross(Thin, Point{}, 4)
	g.text(6, 2, dimText, Left, "pattern: cut out")
	lo, _ := c.reach()
	side := c.sides(0)
	_, hi := side.box()
	g.text(lo+3, hi.Y-5, dimText, Left, "inside of the wall: cut along it")
	return &g
}
