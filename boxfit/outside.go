package boxfit

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// outsideRows is how many rows of an outside are worked on at once.
const outsideRows = 16

// skirt is how many cells a coat's outside is continued beyond its edge, by a face that
// leans as its draft asks for: between two columns a wall may stand anywhere.
const skirt = 2.0

// outside is how far the space within c.t of the pattern reaches along a grid's
// direction over each of its columns, and against it, both as heights along it, mm; −∞
// and +∞ where a column misses it. The columns are exact, as those of the coat are.
// Beside its edges it falls off as c.draw asks for, for skirt cells at least.
func (c *coating) outside(ctx context.Context, g dexel.Grid) (far, near []float64, err error) {
	x := coating{s: c.s, t: c.t, f: &dexel.Field{Grid: g}, shapes: c.shapes}
	x.points = make([]mesh.Vec, c.s.surface.NumVertices())
	least := math.Inf(1)
	for k, v := range c.s.surface.Vertices() {
		a, b, z := g.Plane(v)
		x.points[k] = mesh.V(a, b, z)
		least = min(least, z)
	}
	fall := 0.0
	if c.draw > 0 {
		fall = 1 / math.Tan(c.draw)
	}
	low := least - 2*c.t - float64(2*skirt*fall*g.Cell) // all of it is above that
	for k := range x.points {
		x.points[k].Z -= low
	}
	far, near = make([]float64, g.NX*g.NY), make([]float64, g.NX*g.NY)
	stripes := (g.NY + outsideRows - 1) / outsideRows
	wide := x
	wide.t += 2 * skirt * g.Cell
	lists := x.shapes.byStripe(&wide, outsideRows, stripes)
	var team par.Team[stripe]
	err = team.Each(ctx, stripes, func(w *stripe, k int) {
		from := k * outsideRows
		w.begin(&x, from, min(g.NY, from+outsideRows), 1)
		w.draw(&lists[k])
		if c.draw > 0 {
			w.skirts(&lists[k], c.draw)
		}
		for i, r := range w.at {
			far[from*g.NX+i], near[from*g.NX+i] = float64(r.hi)+low, float64(r.lo)+low
		}
	})
	if err != nil {
		return nil, nil, fmt.Errorf("boxfit: %w", err)
	}
	return far, near, nil
}

// skirts continues balls and rods, whose ends are balls, by cones that touch them.
func (w *stripe) skirts(h *coatShapes, draft float64) {
	p := w.c.points
	for _, k := range h.balls {
		w.skirt(p[k.vertex], k.radius, draft)
	}
	for _, e := range h.rods {
		a, d := p[e[0]], p[e[1]].Sub(p[e[0]])
		if l := d.Len(); math.Abs(d.Z) >= l*math.Cos(draft) {
			continue // its upper end has all of it under its cone
		}
		n := int(d.Len() / w.c.f.Cell)
		for i := 1; i <= n; i++ {
			w.skirt(a.Add(d.Mul(float64(i)/float64(n+1))), w.c.t, draft)
		}
	}
}

// skirt is the cone that touches a ball: at a distance d from its axis it is
// (t − d·cos δ)/sin δ over the ball's middle, δ its draft.
func (w *stripe) skirt(p mesh.Vec, t, draft float64) {
	sin, cos := math.Sincos(draft)
	f := w.c.f
	from, to := t*cos, t+skirt*f.Cell
	a, b := w.rows(p.Y-to, p.Y+to)
	for j := a; j <= b; j++ {
		x, y := f.Center(0, j)
		r2 := to*to - (y-p.Y)*(y-p.Y)
		if r2 < 0 {
			continue
		}
		r := math.Sqrt(r2)
		hole := -1.0
		if h := from*from - (y-p.Y)*(y-p.Y); h > 0 {
			hole = math.Sqrt(h)
		}
		i0, i1 := w.cols(p.X-r, p.X+r)
		for i := i0; i <= i1; i++ {
			d := x + float64(float64(i)*f.Cell) - p.X
			if math.Abs(d) < hole {
				i = max(i, int((p.X+hole-f.X0)/f.Cell-0.5)) // to the other side
				continue
			}
			z := (t - math.Sqrt(d*d+(y-p.Y)*(y-p.Y))*cos) / sin
			w.add(i, j, p.Z-z, p.Z+z)
		}
	}
}
