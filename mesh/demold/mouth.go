package demold

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/section"
)

// mouth measures the opening the pattern leaves through: its section at the
// clay line, or at the parting of two halves. The perimeter is that of the
// convex hull, the ring of rubber that closes round it; the area is the
// section's own. For a mold that is cut open the whole outline is the mouth.
func mouth(a *analysis) {
	sets, err := a.cutAll(context.Background())
	if err != nil || len(sets) == 0 {
		return
	}
	c := sets[0]
	sec := &c.sections[0]
	if a.Mold == Cut {
		// Cut open all the way, the mold lets the pattern out through its
		// widest section.
		for k := range c.sections {
			if c.sections[k].hullPerimeter() > sec.hullPerimeter() {
				sec = &c.sections[k]
			}
		}
	}
	var pts []mesh.Vec2
	for _, r := range sec.rings {
		pts = append(pts, r.hull...)
	}
	h := section.Hull(pts)
	if len(h) == 0 {
		return
	}
	p := section.Center(h)
	at := c.sl.f.Point(p.X, p.Y, sec.H).Array()
	a.rep.Mouth = Mouth{At: &at, Perimeter: sec.hullPerimeter(), Area: c.sectionArea(sec, a.Solid.Exact())}
}

// hullPerimeter is the perimeter of the convex hull of the whole section, mm.
func (s *placed) hullPerimeter() float64 {
	switch len(s.rings) {
	case 0:
		return 0
	case 1:
		return s.rings[0].perimeter
	}
	var pts []mesh.Vec2
	var most float64
	for _, r := range s.rings {
		pts = append(pts, r.hull...)
		most = max(most, r.perimeter)
	}
	return max(mesh.PerimeterOf(section.Hull(pts)), most)
}

// sectionArea is the area of S at a cut, mm²: by the section's own lines where
// the surface is sound, else, where those and the columns differ by more than
// a cell along the lines, by the columns.
func (c *cutSet) sectionArea(s *placed, exact bool) float64 {
	var lines, length float64
	for _, r := range s.rings {
		lines += r.area
		length += r.length
	}
	f := c.sl.f
	h := s.Beside(c.sl.nudge)
	n := 0
	for j := range f.NY {
		for i := range f.NX {
			if _, in := spanAt(f.Column(i, j), h); in {
				n++
			}
		}
	}
	columns := float64(n) * f.Cell * f.Cell
	if exact || math.Abs(lines-columns) <= 0.5*length*f.Cell {
		return lines
	}
	return columns
}
