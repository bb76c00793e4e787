package strip

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/section"
)

// Mouth is the opening the pattern leaves the mold through. The perimeter is
// that of the convex hull, the ring of rubber that closes round it; the area is
// the section's own.
type Mouth struct {
	At        *[3]float64 `json:"at_mm"`
	Perimeter float64     `json:"perimeter_mm"`
	Area      float64     `json:"area_mm2"`
}

// Mouth measures the section at the clay line, or at the parting of two halves.
// Cut open all the way, a mold lets the pattern out through its widest section.
func (s *Sections) Mouth(ctx context.Context) (Mouth, error) {
	sides, err := s.cut(ctx)
	if err != nil {
		return Mouth{}, err
	}
	c := sides[0]
	l := &c.sections[0]
	if s.c.Mold == scene.Cut {
		for k := range c.sections {
			if c.sections[k].hullPerimeter() > l.hullPerimeter() {
				l = &c.sections[k]
			}
		}
	}
	var pts []mesh.Vec2
	for _, r := range l.rings {
		pts = append(pts, r.hull...)
	}
	h := section.Hull(pts)
	if len(h) == 0 {
		return Mouth{}, nil
	}
	p := section.Center(h)
	at := c.f.Point(p.X, p.Y, l.H).Array()
	return Mouth{At: &at, Perimeter: l.hullPerimeter(), Area: c.sectionArea(l, s.c.Solid.Exact())}, nil
}

// sectionArea is the area of S at a level, mm²: by the section's own lines
// where the surface is sound, else, where those and the columns differ by more
// than a cell along the lines, by the columns.
func (c *side) sectionArea(l *level, exact bool) float64 {
	var lines, length float64
	for _, r := range l.rings {
		lines += r.area
		length += r.length
	}
	f := c.f
	h := l.Beside(c.nudge)
	n := 0
	for j := range f.NY {
		for i := range f.NX {
			if _, in := dexel.At(f.Column(i, j), h); in {
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
