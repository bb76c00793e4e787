package drawing

import (
	"context"
	"fmt"
	"math"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/section"
)

// container is what is drawn, in the container's own axes: x along its length, y across,
// z up from its floor.
type container struct {
	fit     *boxfit.Fit
	board   float64 // thickness of its walls, mm; 0 = the user's own
	rim     float64 // height of its walls inside
	hull    []Point // the pattern from above, its convex outline
	foot    [][]Point
	across  [][]Point // the pattern cut upright through the container's middle, (x, z)
	low     float64   // z of the pattern's lowest point, and its highest
	high    float64
	bed     *float64  // height of the clay of two halves
	parting [][]Point // the pattern cut at that height
}

func vec(p [3]float64) mesh.Vec { return mesh.V(p[0], p[1], p[2]) }

// newContainer cuts the pattern as it stands.
func newContainer(ctx context.Context, s *estimate.Session) (*container, error) {
	f := s.Fit
	z, x := vec(f.Up), vec(f.LongAxis)
	y, o := z.Cross(x), vec(f.Center)
	surface := s.Solid.Surface()
	live := func(t int) bool { return s.Solid.Live(t) }
	c := &container{fit: f, rim: f.FillHeight, low: math.Inf(1), high: math.Inf(-1)}
	if f.Interior != nil {
		c.rim = f.Interior[2]
	}
	for _, b := range f.Boards {
		if b.Part.Role != boxfit.BaseBoard {
			c.board = b.Thickness
			break
		}
	}
	skip := make([]bool, surface.NumTriangles())
	for t := range skip {
		if skip[t] = !live(t); skip[t] {
			continue
		}
		a, b, d := surface.Corners(t)
		for _, p := range [3]mesh.Vec{a, b, d} {
			h := p.Sub(o).Dot(z)
			c.low, c.high = min(c.low, h), max(c.high, h)
		}
	}
	// The outline is on axes of its own; it is turned into the container's.
	e1, e2 := mesh.Basis(z)
	for _, p := range mesh.OutlinePoints(surface, skip, z) {
		v := e1.Mul(p.X).Add(e2.Mul(p.Y))
		c.hull = append(c.hull, Point{X: v.Dot(x) - o.Dot(x), Y: v.Dot(y) - o.Dot(y)})
	}
	eps := 1e-6 * max(1, c.high-c.low)
	cut := func(u, e1, e2 mesh.Vec, l section.Level, at Point) ([][]Point, error) {
		sl := &section.Slicer{Mesh: surface, Live: live, Outward: s.Solid.Outward, U: u, E1: e1, E2: e2, Eps: eps}
		sec, err := sl.At(ctx, l, nil)
		if err != nil {
			return nil, fmt.Errorf("drawing: %w", err)
		}
		var out [][]Point
		for _, line := range sec.Lines() {
			var pts []Point
			for _, k := range line {
				pts = append(pts, sec.Places[k].Sub(at))
			}
			out = append(out, plain(pts))
		}
		return out, nil
	}
	var err error
	if c.across, err = cut(y.Neg(), x, z, section.JustAbove(-o.Dot(y)), Point{X: o.Dot(x), Y: o.Dot(z)}); err != nil {
		return nil, err
	}
	at := Point{X: o.Dot(x), Y: o.Dot(y)}
	base := o.Dot(z) + c.low
	if f.Mold != demold.TwoPart && f.Mold != demold.Cut {
		lift := 0.0
		if s.Report != nil {
			lift = s.Report.Clay
		}
		if c.foot, err = cut(z, x, y, section.JustAbove(base+lift), at); err != nil {
			return nil, err
		}
	}
	if r := s.Report; f.Mold == demold.TwoPart && r != nil && r.Parting != nil {
		h := c.low + r.Parting.Height
		c.bed = &h
		if c.parting, err = cut(z, x, y, section.JustAbove(o.Dot(z)+h), at); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// plainBy is how far a line that is simplified may leave its points, mm: half the width
// of the pen.
const plainBy = 0.15

// plain is a line with fewer points (D. Douglas & T. Peucker, "Algorithms for the
// reduction of the number of points required to represent a digitized line", 1973).
func plain(pts []Point) []Point {
	if len(pts) < 3 {
		return pts
	}
	keep := make([]bool, len(pts))
	keep[0], keep[len(pts)-1] = true, true
	type stretch struct{ a, b int }
	for todo := []stretch{{0, len(pts) - 1}}; len(todo) > 0; {
		s := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		far, at := plainBy, -1
		for k := s.a + 1; k < s.b; k++ {
			if d := off(pts[k], pts[s.a], pts[s.b]); d > far {
				far, at = d, k
			}
		}
		if at >= 0 {
			keep[at] = true
			todo = append(todo, stretch{s.a, at}, stretch{at, s.b})
		}
	}
	var out []Point
	for k, p := range pts {
		if keep[k] {
			out = append(out, p)
		}
	}
	return out
}

// off is how far a point lies from a stretch.
func off(p, a, b Point) float64 {
	v := b.Sub(a)
	t := 0.0
	if l := v.Dot(v); l > 0 {
		t = min(1, max(0, p.Sub(a).Dot(v)/l))
	}
	return p.Sub(a.Add(v.Mul(t))).Len()
}

// sides are the walls of the container from above, so far outside its inside; of a mother
// mold there are none.
func (c *container) sides(out float64) Figure {
	f, g := c.fit, Figure{}
	switch {
	case f.Kind == boxfit.Sleeve && f.Diameter != nil:
		g.Circles = append(g.Circles, Circle{Radius: *f.Diameter/2 + out, Pen: Outline})
	case f.Kind == boxfit.Polygon && f.Diameter != nil && f.Sides != nil:
		g.loop(Outline, polygon(*f.Sides, *f.Diameter/2+out)...)
	case f.Kind.FourSided() && f.Interior != nil:
		l, w := f.Interior[0]+2*out, f.Interior[1]+2*out
		g.rect(Outline, -l/2, -w/2, l, w)
	}
	return g
}

// polygon is a regular polygon of an apothem, its first face across x.
func polygon(n int, apothem float64) (pts []Point) {
	r := apothem / math.Cos(math.Pi/float64(n))
	for i := range n {
		a := 2*math.Pi*float64(i)/float64(n) - math.Pi/float64(n)
		pts = append(pts, Point{X: r * math.Cos(a), Y: r * math.Sin(a)})
	}
	return pts
}

// reach is how far the inside reaches along x, both ways.
func (c *container) reach() (lo, hi float64) {
	f := c.fit
	switch {
	case f.Kind == boxfit.Sleeve && f.Diameter != nil:
		return -*f.Diameter / 2, *f.Diameter / 2
	case f.Kind == boxfit.Polygon && f.Diameter != nil && f.Sides != nil:
		for _, p := range polygon(*f.Sides, *f.Diameter/2) {
			lo, hi = min(lo, p.X), max(hi, p.X)
		}
		return lo, hi
	case f.Interior != nil:
		return -f.Interior[0] / 2, f.Interior[0] / 2
	}
	for _, p := range c.hull {
		lo, hi = min(lo, p.X), max(hi, p.X)
	}
	return lo, hi
}
