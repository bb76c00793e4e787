package boxfit

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/par"
)

// pieceMinutes is the work of one more piece of a mother mold by size class, min.
// Judgement of this program.
var pieceMinutes = [...]float64{25, 40, 75, 150}

const (
	// mostPieces is how many pieces of a mother mold are looked at (judgement of this
	// program: with more another kind of mold is the better one).
	mostPieces = 4
	// fillCells is how many steps the longest size of the coat's outside is looked at
	// in, for pieces that are drawn sideways.
	fillCells = 112
	// fillTurns is how many directions in a half turn are tried for them.
	fillTurns = 6
)

// filling is how a mother mold is parted, and what is added to a coat until its
// outside draws from the pieces.
type filling struct {
	volume float64    // mm³ that is added
	draws  []mesh.Vec // of the pieces, file frame; one alone is drawn up
	shares []float64  // of the outside, by what each shows along its draw
	foot   float64    // mm² on the board within the outside
}

// fillOut finds the mother mold's pieces: one that is lifted off where little has to
// be filled, else two halves parted by an upright plane at the best of a few turns,
// else sectors. One more piece is made where the rubber that it saves is worth more
// than its work. Over a coat in halves there is a piece on each.
func (p *planner) fillOut(ctx context.Context, c *coating) (filling, error) {
	if p.s.parting != nil {
		return c.overHalves(*p.s.parting), nil
	}
	best := c.lifted()
	pays := func(saved float64, n int) bool {
		return p.worth(saved, float64(n-len(best.draws))*pieceMinutes[sizeClass(p.largest())]) > 0
	}
	for n := 2; n <= mostPieces && pays(best.volume, n); n++ {
		f, err := c.parted(ctx, n)
		if err != nil {
			return best, err
		}
		if pays(best.volume-f.volume, n) {
			best = f
		}
	}
	return best, nil
}

// lifted is one piece that is drawn up: what lies under the coat is filled.
func (c *coating) lifted() filling {
	f := filling{draws: []mesh.Vec{c.s.up}, shares: []float64{1}}
	for j := range c.f.NY {
		var row float64
		n := 0
		for i := range c.f.NX {
			if col := c.column(i, j); len(col) > 0 {
				row += float64(col[len(col)-1].hi) - length(col)
				n++
			}
		}
		f.volume += row
		f.foot += float64(n)
	}
	area := c.f.Cell * c.f.Cell
	f.volume, f.foot = f.volume*area, f.foot*area
	return f
}

// overHalves are two pieces, drawn up and down from a parting at a height: each is
// filled from the outermost of its coat to there.
func (c *coating) overHalves(parting float64) filling {
	f := filling{draws: []mesh.Vec{c.s.up, c.s.up.Neg()}}
	plane, shows := parting-c.floor, []float64{0, 0}
	for j := range c.f.NY {
		var row float64
		for i := range c.f.NX {
			col := c.column(i, j)
			if len(col) == 0 {
				continue
			}
			lo, hi := float64(col[0].lo), float64(col[len(col)-1].hi)
			row += max(hi, plane) - min(lo, plane) - length(col)
			if hi > plane {
				shows[0]++
			}
			if lo < plane {
				shows[1]++
			}
		}
		f.volume += row
	}
	f.volume *= c.f.Cell * c.f.Cell
	f.shares = shared(shows)
	return f
}

// parted is the least filling for n pieces that are drawn sideways, all round.
func (c *coating) parted(ctx context.Context, n int) (best filling, err error) {
	// Halves come again after half a turn, sectors after 1/n of a whole one.
	turn := 2 * math.Pi / float64(n)
	tries := make([]filling, fillTurns)
	err = par.Each(ctx, fillTurns, func(k int) {
		a := c.s.rect.Axis
		t := math.Atan2(a.Y, a.X) + turn*float64(k)/fillTurns
		if n == 2 {
			tries[k] = c.halves(t)
		} else {
			tries[k] = c.sectors(t, n)
		}
	})
	if err != nil {
		return best, fmt.Errorf("boxfit: %w", err)
	}
	best = tries[0]
	for _, f := range tries[1:] {
		if f.volume < best.volume*(1-1e-9) {
			best = f
		}
	}
	return best, nil
}

// rows are the coat's outside cut level, in rows along a direction in the plane.
type rows struct {
	c      *coating
	dir    mesh.Vec2 // on mesh.Basis(up)
	side   mesh.Vec2
	step   float64
	u0, v0 float64 // of the first sample
	nu, nv int
	nz     int
}

func (c *coating) along(turn float64) *rows {
	s, t := c.s, 1.1*c.t
	y, x := math.Sincos(turn)
	r := &rows{c: c, dir: mesh.Vec2{X: x, Y: y}, side: mesh.Vec2{X: -y, Y: x}}
	u0, u1, v0, v1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range s.hull {
		u, v := p.X*x+p.Y*y, p.Y*x-p.X*y
		u0, u1, v0, v1 = min(u0, u), max(u1, u), min(v0, v), max(v1, v)
	}
	high := s.top + t - c.floor
	r.step = max(u1-u0+2*t, v1-v0+2*t, high) / fillCells
	r.u0, r.v0 = u0-t+r.step/2, v0-t+r.step/2
	r.nu, r.nv, r.nz = int((u1-u0+2*t)/r.step)+1, int((v1-v0+2*t)/r.step)+1, int(high/r.step)+1
	return r
}

// at is what is taken of the column nearest to sample (iu, iv).
func (r *rows) at(iu, iv int) []run {
	u, v := r.u0+float64(iu)*r.step, r.v0+float64(iv)*r.step
	p := r.c.s.point(mesh.Vec2{X: u*r.dir.X + v*r.side.X, Y: u*r.dir.Y + v*r.side.Y}, 0)
	f := r.c.f
	x, y, _ := f.Plane(p)
	i, j := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
	if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
		return nil
	}
	return r.c.column(i, j)
}

// levels are the levels whose middle lies in a run.
func (r *rows) levels(of run) (from, to int) {
	k := func(h float32) int { return int(math.Ceil(float64(h)/r.step - 0.5)) }
	return max(0, k(of.lo)), min(r.nz, k(of.hi))
}

// halves is the filling for two halves drawn along a turn and back, parted by the
// plane across it where that takes least. Between the first and the last of the
// coat in a row all is filled, wherever the plane is; a row that ends before the
// plane is filled up to it.
func (c *coating) halves(turn float64) filling {
	r := c.along(turn)
	covered, first, last := make([]int, r.nz), make([]int, r.nz), make([]int, r.nz)
	ends, begins := make([]int, r.nu+1), make([]int, r.nu+1) // rows that end, or begin, at a step
	gaps, foot := 0, 0
	for iv := range r.nv {
		for k := range first {
			covered[k], first[k], last[k] = 0, -1, -1
		}
		for iu := range r.nu {
			for _, of := range r.at(iu, iv) {
				from, to := r.levels(of)
				for k := from; k < to; k++ {
					if covered[k]++; first[k] < 0 {
						first[k] = iu
					}
					last[k] = iu
				}
			}
		}
		for k, n := range covered {
			if n > 0 {
				gaps += last[k] + 1 - first[k] - n
				begins[first[k]]++
				ends[last[k]+1]++
				if k == 0 {
					foot += last[k] + 1 - first[k]
				}
			}
		}
	}
	extra, plane := cheapestCut(begins, ends)
	var front, back float64
	for k := range begins {
		if k < plane {
			back += float64(begins[k])
		}
		if k > plane {
			front += float64(ends[k])
		}
	}
	d := c.s.dir(r.dir)
	return filling{volume: float64(gaps+extra) * r.step * r.step * r.step, draws: []mesh.Vec{d, d.Neg()},
		shares: shared([]float64{front, back}), foot: float64(foot) * r.step * r.step}
}

// cheapestCut is the step at which a plane adds least: what lies between it and the
// rows that begin after it or end before it.
func cheapestCut(begins, ends []int) (extra, at int) {
	// Each step on takes one from every row that begins later and adds one to every
	// row that has ended.
	sum := 0
	later := 0
	for k, n := range begins {
		sum += k * n
		later += n
	}
	later -= begins[0]
	ended := ends[0]
	extra, at = sum, 0
	for k := 1; k < len(begins); k++ {
		sum += ended - later
		later -= begins[k]
		ended += ends[k]
		if sum < extra {
			extra, at = sum, k
		}
	}
	return extra, at
}

// sectors is the filling for n pieces, each drawn outward along its middle: what of a
// sector has coat farther out is filled.
func (c *coating) sectors(turn float64, n int) filling {
	out := filling{}
	center, open := c.s.rect.Center, math.Tan(math.Pi/float64(n))
	var shows []float64
	for p := range n {
		r := c.along(turn + 2*math.Pi*float64(p)/float64(n))
		cu, cv := center.X*r.dir.X+center.Y*r.dir.Y, center.X*r.side.X+center.Y*r.side.Y
		seen, taken := make([]bool, r.nz), make([]bool, r.nz)
		fills, foot, faces := 0, 0, 0
		for iv := range r.nv {
			clear(seen)
			v := math.Abs(r.v0 + float64(iv)*r.step - cv)
			for iu := r.nu - 1; iu >= 0 && (r.u0+float64(iu)*r.step-cu)*open >= v; iu-- {
				clear(taken)
				for _, of := range r.at(iu, iv) {
					from, to := r.levels(of)
					for k := from; k < to; k++ {
						taken[k] = true
						if !seen[k] {
							seen[k] = true
							faces++
						}
					}
				}
				for k, s := range seen {
					if s && !taken[k] {
						fills++
					}
				}
				if seen[0] {
					foot++
				}
			}
		}
		out.volume += float64(fills) * r.step * r.step * r.step
		out.foot += float64(foot) * r.step * r.step
		out.draws, shows = append(out.draws, c.s.dir(r.dir)), append(shows, float64(faces))
	}
	out.shares = shared(shows)
	return out
}

// shared turns amounts into shares of their sum.
func shared(v []float64) []float64 {
	var sum float64
	for _, x := range v {
		sum += x
	}
	out := make([]float64, len(v))
	for k, x := range v {
		out[k] = 1 / float64(len(v))
		if sum > 0 {
			out[k] = x / sum
		}
	}
	return out
}
