package tunnel

import (
	"cmp"
	"math"
	"slices"

	"moldtally/mesh"
)

// keep makes the rows the cross-section's own.
func (c *crossSection) keep() {
	rows := make([]row, len(c.rows))
	for r, row := range c.rows {
		for _, g := range row.gaps {
			if g.mark {
				rows[r].gaps = append(rows[r].gaps, g)
			}
		}
	}
	c.rows = rows
}

// holds reports whether a place of the plane lies in the cross-section, within
// slack.
func (c *crossSection) holds(p mesh.Vec2, slack float64) bool {
	if p.X < c.lo.X-slack || p.X > c.hi.X+slack || p.Y < c.lo.Y-slack || p.Y > c.hi.Y+slack {
		return false
	}
	r0, r1 := int((p.Y-slack-c.y0)/c.step), int((p.Y+slack-c.y0)/c.step)
	for r := max(r0, 0); r <= min(r1, len(c.rows)-1); r++ {
		for _, g := range c.rows[r].gaps {
			if g.mark && p.X >= g.lo-slack && p.X <= g.hi+slack {
				return true
			}
		}
	}
	return false
}

// size is the least rectangle that holds the cross-section: length and width.
func (c *crossSection) size() [2]float64 {
	var pts []mesh.Vec2
	for _, s := range c.segs {
		for _, p := range [2]mesh.Vec2{s.a, s.b} {
			if c.holds(p, 1.01*c.step) {
				pts = append(pts, p)
			}
		}
	}
	for r, row := range c.rows {
		for _, g := range row.gaps {
			if g.mark {
				pts = append(pts, mesh.Vec2{X: g.lo, Y: c.y(r)}, mesh.Vec2{X: g.hi, Y: c.y(r)})
			}
		}
	}
	h := mesh.Hull2(pts)
	if len(h) < 3 {
		return [2]float64{}
	}
	r := mesh.MinRect(h)
	return [2]float64{max(r.Length, r.Width), min(r.Length, r.Width)}
}

// room is the radius of the largest circle round a place of the plane that
// meets neither the solid nor the slab.
func (sl *cutter) room(c *crossSection, p mesh.Vec2) float64 {
	best := math.Inf(1)
	for _, s := range c.segs {
		d := s.b.Sub(s.a)
		w := 0.0
		if l := d.Dot(d); l > 0 {
			w = min(max(p.Sub(s.a).Dot(d)/l, 0), 1)
		}
		q := p.Sub(s.a.Add(d.Mul(w)))
		best = min(best, q.Dot(q))
	}
	best = math.Sqrt(best)
	if slope := math.Hypot(c.e1.Dot(sl.Up), c.e2.Dot(sl.Up)); sl.slab() && slope > 1e-9 {
		best = min(best, (c.point(p).Dot(sl.Up)-sl.floor)/slope)
	}
	return best
}

// circle is a circle of a plane.
type circle struct {
	p mesh.Vec2
	r float64
}

// tries is how many places across are looked at for the largest circle.
const tries = 16

// widest finds the largest circle that the cross-section holds: its middle and
// radius. Places all over it are tried, the best of them moved until the circle
// grows no more.
func (sl *cutter) widest(c *crossSection) (mesh.Vec2, float64) {
	var all []circle
	every := max(1, int((c.hi.Y-c.lo.Y)/c.step)/tries)
	for r, row := range c.rows {
		if r%every != 0 {
			continue
		}
		for _, g := range row.gaps {
			if !g.mark {
				continue
			}
			n := min(max(int(tries*(g.hi-g.lo)/(c.hi.X-c.lo.X)), 1), tries)
			for k := range n {
				p := mesh.Vec2{X: g.lo + (g.hi-g.lo)*(float64(k)+0.5)/float64(n), Y: c.y(r)}
				all = append(all, circle{p, sl.room(c, p)})
			}
		}
	}
	if len(all) == 0 {
		return c.seed, 0
	}
	slices.SortStableFunc(all, func(a, b circle) int { return cmp.Compare(b.r, a.r) })
	best := all[0]
	for _, t := range all[:min(6, len(all))] {
		if t = sl.blow(c, t); t.r > best.r {
			best = t
		}
	}
	return best.p, best.r
}

// blow moves a circle, by shorter and shorter steps, until it grows no more. In
// a sliver it creeps along for ever: the moves are counted.
func (sl *cutter) blow(c *crossSection, t circle) circle {
	size := max(c.hi.X-c.lo.X, c.hi.Y-c.lo.Y)
	step := size / tries
	for moves := 0; step > 1e-5*size && moves < 1000; moves++ {
		moved := false
		for k := range 16 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 16)
			p := t.p.Add(mesh.Vec2{X: cos * step, Y: sin * step})
			if r := sl.room(c, p); r > t.r && c.holds(p, c.step) {
				t, moved = circle{p, r}, true
			}
		}
		if !moved {
			step /= 2
		}
	}
	return t
}
