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

// Steps to the next square and across a corner, of a distance that is right within
// 4.5 % whichever way it runs: G. Borgefors, "Distance transformations in digital
// images", 1986.
const (
	stepNext   = 0.95509
	stepCorner = 1.36930
)

// draft adds what is needed so that across the draw nothing falls back by more than
// fall a square, 0 = by anything. Two sweeps do, as for distances.
func (r *reach) draft(fall float64) {
	if fall <= 0 {
		return
	}
	corner := float64(stepCorner * fall)
	fall = float64(stepNext * fall)
	for y := range r.ny {
		row := r.to[y*r.nx : (y+1)*r.nx]
		if y > 0 {
			lower(row, r.to[(y-1)*r.nx:y*r.nx], fall, corner)
		}
		for x := 1; x < len(row); x++ {
			row[x] = max(row[x], row[x-1]-fall)
		}
	}
	for y := r.ny - 1; y >= 0; y-- {
		row := r.to[y*r.nx : (y+1)*r.nx]
		if y+1 < r.ny {
			lower(row, r.to[(y+1)*r.nx:(y+2)*r.nx], fall, corner)
		}
		for x := len(row) - 2; x >= 0; x-- {
			row[x] = max(row[x], row[x+1]-fall)
		}
	}
}

// lower sees to it that a row reaches no less far than the one beside it less what may
// fall back on the way, straight or across a corner.
func lower(row, beside []float64, fall, corner float64) {
	for x, v := range beside {
		if math.IsInf(v, -1) {
			continue
		}
		row[x] = max(row[x], v-fall)
		if x > 0 {
			row[x-1] = max(row[x-1], v-corner)
		}
		if x+1 < len(row) {
			row[x+1] = max(row[x+1], v-corner)
		}
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
