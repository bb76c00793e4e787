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

// outside is how far the space within c.t of the pattern reaches along a grid's
// direction over each of its columns, and against it, both as heights along it, mm; −∞
// and +∞ where a column misses it. The columns are exact, as those of the coat are.
func (c *coating) outside(ctx context.Context, g dexel.Grid) (far, near []float64, err error) {
	x := coating{s: c.s, t: c.t, f: &dexel.Field{Grid: g}, shapes: c.shapes}
	x.points = make([]mesh.Vec, c.s.surface.NumVertices())
	least := math.Inf(1)
	for k, v := range c.s.surface.Vertices() {
		a, b, z := g.Plane(v)
		x.points[k] = mesh.V(a, b, z)
		least = min(least, z)
	}
	low := least - 2*c.t // all of it is above that
	for k := range x.points {
		x.points[k].Z -= low
	}
	far, near = make([]float64, g.NX*g.NY), make([]float64, g.NX*g.NY)
	stripes := (g.NY + outsideRows - 1) / outsideRows
	lists := x.shapes.byStripe(&x, outsideRows, stripes)
	var team par.Team[stripe]
	err = team.Each(ctx, stripes, func(w *stripe, k int) {
		from := k * outsideRows
		w.begin(&x, from, min(g.NY, from+outsideRows), 1)
		w.draw(&lists[k])
		for i, r := range w.at {
			far[from*g.NX+i], near[from*g.NX+i] = float64(r.hi)+low, float64(r.lo)+low
		}
	})
	if err != nil {
		return nil, nil, fmt.Errorf("boxfit: %w", err)
	}
	return far, near, nil
}
