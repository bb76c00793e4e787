package boxfit

import (
	"context"
	"fmt"
	"math"
	"sort"

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
	plane  float64    // along the first draw, where two pieces part; mm
}

// fillOut finds the mother mold's pieces: one that is lifted off where little has to
// be filled, else two halves parted by an upright plane at the best of a few turns,
// else sectors. One more piece is made where the rubber that it saves is worth more
// than its work. Over a coat in halves there is a piece on each.
func (p *planner) fillOut(ctx context.Context, c *coating) (filling, error) {
	c.draw = drawLaminate
	if !p.laminate() {
		c.draw = drawPlaster
	}
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

// lifted is one piece that is drawn up: what lies under the coat is filled, and what
// its sides need to widen downward.
func (c *coating) lifted() filling {
	f := filling{draws: []mesh.Vec{c.s.up}, shares: []float64{1}}
	highest, taken := 0.0, 0.0
	for j := range c.f.NY {
		for i := range c.f.NX {
			if col := c.column(i, j); len(col) > 0 {
				highest = max(highest, float64(col[len(col)-1].hi))
				taken += length(col)
			}
		}
	}
	fall := float64(c.fall() * c.f.Cell)
	pad := 0
	if fall > 0 {
		pad = int(highest/fall) + 1
	}
	tops := newReach(c.f.NX+2*pad, c.f.NY+2*pad)
	for j := range c.f.NY {
		for i := range c.f.NX {
			if col := c.column(i, j); len(col) > 0 {
				tops.rise(i+pad, j+pad, float64(col[len(col)-1].hi))
			}
		}
	}
	tops.draft(fall)
	sum, n := tops.over(0)
	area := c.f.Cell * c.f.Cell
	f.volume, f.foot = (sum-taken)*area, float64(n)*area
	return f
}

// overHalves are two pieces, drawn up and down from a parting at a height: each is
// filled from the outermost of its coat to there.
func (c *coating) overHalves(parting float64) filling {
	f := filling{draws: []mesh.Vec{c.s.up, c.s.up.Neg()}, plane: parting}
	plane, taken, far := parting-c.floor, 0.0, 0.0
	for j := range c.f.NY {
		for i := range c.f.NX {
			if col := c.column(i, j); len(col) > 0 {
				far = max(far, float64(col[len(col)-1].hi)-plane, plane-float64(col[0].lo))
				taken += length(col)
			}
		}
	}
	fall, pad := float64(c.fall()*c.f.Cell), 0
	if fall > 0 {
		pad = int(far/fall) + 1
	}
	above, below := newReach(c.f.NX+2*pad, c.f.NY+2*pad), newReach(c.f.NX+2*pad, c.f.NY+2*pad)
	for j := range c.f.NY {
		for i := range c.f.NX {
			if col := c.column(i, j); len(col) > 0 {
				above.rise(i+pad, j+pad, float64(col[len(col)-1].hi))
				below.rise(i+pad, j+pad, -float64(col[0].lo))
			}
		}
	}
	_, up := above.over(plane)
	_, down := below.over(-plane)
	above.draft(fall)
	below.draft(fall)
	top, _ := above.over(plane)
	bottom, _ := below.over(-plane)
	f.volume = (top + bottom - taken) * c.f.Cell * c.f.Cell
	f.shares = shared([]float64{float64(up), float64(down)})
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
// plane across it where that takes least. Between the plane and the last of the coat
// in a row all is filled, and what each half needs to taper along its draw.
func (c *coating) halves(turn float64) filling {
	r := c.along(turn)
	pad := r.pad()
	front, back := newReach(r.nv+2*pad, r.nz+pad), newReach(r.nv+2*pad, r.nz+pad)
	taken := 0
	for iv := range r.nv {
		for iu := range r.nu {
			for _, of := range r.at(iu, iv) {
				from, to := r.levels(of)
				taken += to - from
				for k := from; k < to; k++ {
					front.rise(iv+pad, k, float64(iu+1))
					back.rise(iv+pad, k, -float64(iu))
				}
			}
		}
	}
	bare := [2]*reach{front.clone(), back.clone()}
	front.draft(c.fall())
	back.draft(c.fall())
	plane := cheapestCut(front, back, r.nu)
	ahead, _ := front.over(plane)
	behind, _ := back.over(-plane)
	_, fore := bare[0].over(plane)
	_, aft := bare[1].over(-plane)
	foot := front.rowOver(0, plane) + back.rowOver(0, -plane)
	d := c.s.dir(r.dir)
	return filling{volume: (ahead + behind - float64(taken)) * r.step * r.step * r.step, draws: []mesh.Vec{d, d.Neg()},
		shares: shared([]float64{float64(fore), float64(aft)}), foot: foot * r.step * r.step, plane: r.u0 - r.step/2 + float64(plane*r.step)}
}

// cheapestCut is the step, of so many, at which a plane adds least: what lies between
// it and the rows that begin after it or end before it. What it adds is convex.
func cheapestCut(front, back *reach, steps int) float64 {
	// One step on takes one from each row that reaches on, and adds one to each that
	// lies behind.
	return float64(sort.Search(steps, func(k int) bool {
		_, on := front.over(float64(k) + 0.5)
		_, behind := back.over(-float64(k) - 0.5)
		return behind >= on
	}))
}

// sectors is the filling for n pieces, each drawn outward along its middle: what of a
// sector has coat farther out is filled, and what the piece needs to taper.
func (c *coating) sectors(turn float64, n int) filling {
	out := filling{}
	center, open := c.s.middle(), math.Tan(math.Pi/float64(n))
	var shows []float64
	for p := range n {
		r := c.along(turn + 2*math.Pi*float64(p)/float64(n))
		cu, cv := center.X*r.dir.X+center.Y*r.dir.Y, center.X*r.side.X+center.Y*r.side.Y
		pad := r.pad()
		// Of each row, how far out its coat reaches, from where its sector begins.
		far := newReach(r.nv+2*pad, r.nz+pad)
		begins := func(iv int) float64 {
			return (cu + math.Abs(r.v0+float64(float64(iv)*r.step)-cv)/open - r.u0) / r.step
		}
		taken := 0
		for iv := range r.nv {
			for iu := max(0, int(math.Ceil(begins(iv)))); iu < r.nu; iu++ {
				for _, of := range r.at(iu, iv) {
					from, to := r.levels(of)
					taken += to - from
					for k := from; k < to; k++ {
						far.rise(iv+pad, k, float64(iu+1))
					}
				}
			}
		}
		_, faces := far.over(math.Inf(-1))
		far.draft(c.fall())
		fills, foot := 0.0, 0.0
		for iv := range far.nx {
			from := max(0, math.Ceil(begins(iv-pad)))
			for k := range far.ny {
				if d := far.to[k*far.nx+iv] - from; d > 0 {
					if fills += d; k == 0 {
						foot += d
					}
				}
			}
		}
		out.volume += (fills - float64(taken)) * r.step * r.step * r.step
		out.foot += foot * r.step * r.step
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
