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
	aside   bool      // it misses the middle, and is cut beside it
	low     float64   // z of the pattern's lowest point, and its highest
	high    float64
	beside  float64       // how far
	bed     *float64      // height of the clay of two halves
	slice   *boxfit.Slice // of a mother mold: blanket and shell in the same cut
	parting [][]Point     // the pattern cut at that height
}

func vec(p [3]float64) mesh.Vec { return mesh.V(p[0], p[1], p[2]) }

// newContainer cuts the pattern as it stands.
func newContainer(ctx context.Context, s *estimate.Session) (*container, error) {
	f := s.Fit
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
	k := newCutter(s)
	k.measure(c)
	if err := k.through(ctx, c); err != nil {
		return nil, err
	}
	var err error
	if r := s.Report; f.Mold == demold.TwoPart && r != nil && r.Parting != nil {
		h := c.low + r.Parting.Height
		c.bed = &h
		c.parting, err = k.level(ctx, h)
	} else if f.Mold != demold.TwoPart && f.Mold != demold.Cut {
		lift := 0.0
		if r != nil {
			lift = r.Clay
		}
		c.foot, err = k.level(ctx, c.low+lift)
	}
	return c, err
}

// cutter cuts the pattern in the container's axes.
type cutter struct {
	s          *estimate.Session
	o, x, y, z mesh.Vec
	eps        float64
}

func newCutter(s *estimate.Session) *cutter {
	k := &cutter{s: s, o: vec(s.Fit.Center), x: vec(s.Fit.LongAxis), z: vec(s.Fit.Up)}
	k.y = k.z.Cross(k.x)
	return k
}

// measure finds the pattern's outline from above, and how low and high it reaches.
func (k *cutter) measure(c *container) {
	surface := k.s.Solid.Surface()
	skip := make([]bool, surface.NumTriangles())
	for t := range skip {
		if skip[t] = !k.s.Solid.Live(t); skip[t] {
			continue
		}
		a, b, d := surface.Corners(t)
		for _, p := range [3]mesh.Vec{a, b, d} {
			h := p.Sub(k.o).Dot(k.z)
			c.low, c.high = min(c.low, h), max(c.high, h)
		}
	}
	k.eps = 1e-6 * max(1, c.high-c.low)
	// The outline is on axes of its own; it is turned into the container's.
	e1, e2 := mesh.Basis(k.z)
	for _, p := range mesh.OutlinePoints(surface, skip, k.z) {
		v := e1.Mul(p.X).Add(e2.Mul(p.Y))
		c.hull = append(c.hull, Point{X: v.Dot(k.x) - k.o.Dot(k.x), Y: v.Dot(k.y) - k.o.Dot(k.y)})
	}
}

// cut is the pattern's surface at a height along u, in e1 and e2 from the floor's middle.
func (k *cutter) cut(ctx context.Context, u, e1, e2 mesh.Vec, h float64) (out [][]Point, err error) {
	sl := &section.Slicer{Mesh: k.s.Solid.Surface(), Live: k.s.Solid.Live, Outward: k.s.Solid.Outward, U: u, E1: e1, E2: e2, Eps: k.eps}
	sec, err := sl.At(ctx, section.JustAbove(k.o.Dot(u)+h), nil)
	if err != nil {
		return nil, fmt.Errorf("drawing: %w", err)
	}
	at := Point{X: k.o.Dot(e1), Y: k.o.Dot(e2)}
	for _, line := range sec.Lines() {
		var pts []Point
		for _, n := range line {
			pts = append(pts, sec.Places[n].Sub(at))
		}
		out = append(out, plain(pts))
	}
	return out, nil
}

// level is the pattern cut level, at a height over the floor.
func (k *cutter) level(ctx context.Context, h float64) ([][]Point, error) {
	return k.cut(ctx, k.z, k.x, k.y, h)
}

// upright cuts the pattern along the container through its middle; where nothing stands
// there, a quarter of the pattern's width beside it.
func (k *cutter) upright(ctx context.Context, c *container) (err error) {
	lo, hi := (&Figure{Lines: []Line{{Points: c.hull}}}).box()
	for _, y := range [3]float64{0, lo.Y + (hi.Y-lo.Y)/4, hi.Y - (hi.Y-lo.Y)/4} {
		c.aside, c.beside = y != 0, y
		if c.across, err = k.cut(ctx, k.y.Neg(), k.x, k.z, -y); err != nil || len(c.across) > 0 {
			return err
		}
	}
	return nil
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
