package boxfit

import (
	"math"
	"slices"
)

// Draft that the inside of a mother mold needs along its draw, radians: plaster, and
// glass laminate, which gives a little (common practice, no source: 3 to 5°).
const (
	drawPlaster  = 5 * math.Pi / 180
	drawLaminate = 3 * math.Pi / 180
)

// fall is how far the outside of a piece falls back along its draw for each step
// across it; 0 = it need not.
func (c *coating) fall() float64 {
	if c.draw <= 0 {
		return 0
	}
	return 1 / math.Tan(c.draw)
}

// pad is how many rows beyond the coat what is added for draft can reach.
func (r *rows) pad() int {
	if f := r.c.fall(); f > 0 {
		return int(float64(r.nu)/f) + 1
	}
	return 0
}

// reach is how far along a draw something reaches over the squares of a lattice across
// it; −∞ = nowhere.
type reach struct {
	nx, ny int
	to     []float64
}

func newReach(nx, ny int) *reach {
	r := &reach{nx, ny, make([]float64, nx*ny)}
	for k := range r.to {
		r.to[k] = math.Inf(-1)
	}
	return r
}

func (r *reach) clone() *reach { return &reach{r.nx, r.ny, slices.Clone(r.to)} }

// rise sees to it that a square reaches as far as v at least.
func (r *reach) rise(x, y int, v float64) {
	k := y*r.nx + x
	r.to[k] = max(r.to[k], v)
}

// draft adds what is needed so that across the draw nothing falls back by more than
// fall a square, 0 = by anything. What each square owes its reach to is carried from
// square to square in two sweeps, as for distances (P.-E. Danielsson, "Euclidean distance
// mapping", 1980), so that it falls off evenly all round.
func (r *reach) draft(fall float64) {
	if fall <= 0 {
		return
	}
	d := drafting{reach: r, fall: fall, from: make([]int32, len(r.to))}
	for k := range d.from {
		d.from[k] = int32(k)
	}
	d.own = slices.Clone(r.to)
	for y := range r.ny {
		for x := 1; x < r.nx && y == 0; x++ {
			d.take(x, y, -1, 0)
		}
		if y > 0 {
			d.sweep(y, -1)
		}
	}
	for y := r.ny - 2; y >= 0; y-- {
		d.sweep(y, 1)
	}
	for x := r.nx - 2; x >= 0 && r.ny == 1; x-- {
		d.take(x, 0, 1, 0)
	}
}

// drafting is a reach that falls off from what each square had of its own.
type drafting struct {
	*reach
	fall float64
	own  []float64
	from []int32 // the square that each owes its reach to
}

// sweep takes a row from the one beside it, and then from neighbors along it both ways.
func (d *drafting) sweep(y, beside int) {
	for x := range d.nx {
		d.take(x, y, 0, beside)
		d.take(x, y, -1, beside)
		d.take(x, y, 1, beside)
		d.take(x, y, -1, 0)
	}
	for x := d.nx - 2; x >= 0; x-- {
		d.take(x, y, 1, 0)
	}
}

// take lets a square owe its reach to what a neighbor owes its own to, where that is more.
func (d *drafting) take(x, y, dx, dy int) {
	if x+dx < 0 || x+dx >= d.nx {
		return
	}
	k, n := y*d.nx+x, (y+dy)*d.nx+x+dx
	if d.to[n] <= d.to[k] {
		return
	}
	of := int(d.from[n])
	u, v := float64(of%d.nx-x), float64(of/d.nx-y)
	if reach := d.own[of] - d.fall*math.Sqrt(u*u+v*v); reach > d.to[k] {
		d.to[k], d.from[k] = reach, int32(of)
	}
}

// over is what reaches beyond a plane across the draw: the sum of it, and how many
// squares do.
func (r *reach) over(plane float64) (sum float64, n int) {
	for _, v := range r.to {
		if v > plane {
			sum += v - plane
			n++
		}
	}
	return sum, n
}

// rowOver is what of row y reaches beyond a plane.
func (r *reach) rowOver(y int, plane float64) (sum float64) {
	for _, v := range r.to[y*r.nx : (y+1)*r.nx] {
		if v > plane {
			sum += v - plane
		}
	}
	return sum
}
