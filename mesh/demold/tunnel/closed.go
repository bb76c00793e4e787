package tunnel

import (
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/grid"
)

// closed is the space outside, among the cubes, with webs closed.
type closed struct {
	*cubes
	open []bool // the space outside, webs and all
	free []bool // of that, what no web has closed
}

func newClosed(v *cubes) *closed {
	open := v.outside()
	return &closed{v, open, slices.Clone(open)}
}

// add closes a web if it is a new one: most of it is open yet, and with it and
// the others closed the space outside still hangs together. For as long as it
// does, each web closes one tunnel more.
func (w *closed) add(c *crossSection) bool {
	web := w.cubesOf(c)
	var fresh []int
	for _, k := range web {
		if w.free[k] {
			fresh = append(fresh, k)
		}
	}
	if 2*len(fresh) < len(web) || len(web) == 0 {
		return false
	}
	for _, k := range fresh {
		w.free[k] = false
	}
	if w.apart() <= 8+len(web)/4 {
		return true
	}
	for _, k := range fresh {
		w.free[k] = true
	}
	return false
}

// cubesOf are the open cubes that a web runs through.
func (w *closed) cubesOf(c *crossSection) (web []int) {
	g := &w.grid
	lo, hi := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, q := range [4]mesh.Vec2{c.lo, {X: c.hi.X, Y: c.lo.Y}, {X: c.lo.X, Y: c.hi.Y}, c.hi} {
		x, y, z := g.Plane(c.point(q))
		for d, p := range [3]float64{(x-g.X0)/g.Cell + pad, (y-g.Y0)/g.Cell + pad, (z - w.z0) / g.Cell} {
			lo[d], hi[d] = min(lo[d], p), max(hi[d], p)
		}
	}
	from, to := [3]int{}, [3]int{}
	for d := range 3 {
		from[d], to[d] = max(int(lo[d])-2, 0), min(int(hi[d])+2, w.n[d]-1)
	}
	for z := from[2]; z <= to[2]; z++ {
		for y := from[1]; y <= to[1]; y++ {
			for x := from[0]; x <= to[0]; x++ {
				k := w.n.At(x, y, z)
				if !w.open[k] {
					continue
				}
				p := w.middle([3]int{x, y, z}).Sub(c.o)
				// Half a cube's diagonal: nothing slips through between faces.
				if math.Abs(p.Dot(c.n)) <= 0.87*g.Cell && c.holds(mesh.Vec2{X: p.Dot(c.e1), Y: p.Dot(c.e2)}, g.Cell) {
					web = append(web, k)
				}
			}
		}
	}
	return web
}

// apart counts the free cubes that the webs cut off.
func (w *closed) apart() (n int) {
	parts := grid.Connect(w.n, w.free, true, grid.Faces)
	reached := parts.Of(len(w.free) - 1)
	parts.Each(func(p, from, to int) {
		if p != reached {
			n += to - from
		}
	})
	return n
}
