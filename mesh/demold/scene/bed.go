package scene

import (
	"math"
	"slices"
)

// An uneven underside; judgements of this program.
const (
	// bedShare is the part of the height up to which clay makes up for an uneven
	// underside: beyond it the pattern wants a cradle, or another kind of mold.
	bedShare = 0.1
	// bedLeast is the share of the outline that hollows under the foot must have for
	// the foot to be bedded.
	bedLeast = 0.05
	// bedMost is the share of those hollows that the bed has to shut off: what is
	// left are places at the very rim.
	bedMost = 0.95
)

// bed is the height above the base plane up to which an uneven underside is bedded
// in clay, mm; 0 = it stands as it is. It is the lowest line round the pattern at
// which the outline closes: above it no gap lets rubber in under the foot.
func (c *Scene) bed() float64 {
	limit := bedShare * (c.Top - c.Base)
	if limit <= c.Clay {
		return 0
	}
	gaps, outline, low := c.undersides(limit)
	if !low {
		return 0
	}
	ways := c.leaks(gaps, limit)
	// Hollows are deeper than the gap that leads into them.
	var at []float64
	hollow := max(c.Clay, c.Field.Cell/2)
	for k, g := range gaps {
		if g <= limit && g > ways[k]+hollow {
			at = append(at, ways[k])
		}
	}
	if float64(len(at)) < bedLeast*float64(outline) {
		return 0
	}
	slices.Sort(at)
	h := at[min(len(at)-1, int(math.Ceil(bedMost*float64(len(at)))))]
	if h <= c.Clay {
		return 0
	}
	// Half a column more, for the place between columns where the gap is highest.
	return min(h+max(limit/bedSteps, c.Field.Cell/2), limit)
}

// bedDown beds an uneven underside in clay, unless the clay's height is given.
func (c *Scene) bedDown() {
	if !c.OnBoard() || c.asked.Clay != nil {
		return
	}
	if c.Bed = c.bed(); c.Bed > 0 {
		c.Clay = c.Bed
		c.share()
	}
}

// undersides are how high above the base plane each column's underside is, +Inf
// where there is none; how many columns the outline has; and whether any underside
// lies above the clay, but within a limit.
func (c *Scene) undersides(limit float64) (gaps []float64, outline int, low bool) {
	f := c.Field
	ragged := c.RaggedBottom()
	gaps = make([]float64, f.NX*f.NY)
	for j := range f.NY {
		for i := range f.NX {
			k := j*f.NX + i
			gaps[k] = math.Inf(1)
			if col := f.Column(i, j); len(col) > 0 {
				outline++
				gaps[k] = col[0].Bottom - c.Base
				if ragged != nil && ragged(col[0].BottomTri) {
					gaps[k] = 0 // clay fills it as it is
				}
				low = low || gaps[k] > c.Clay && gaps[k] <= limit
			}
		}
	}
	return gaps, outline, low
}

// bedSteps is into how many heights the limit of a bed is divided.
const bedSteps = 256

// leaks are, per column, the height up to which the gap under it is open to the
// outside: the lowest place of the best way out, its own included, to within a
// step of the limit. +Inf is the outside itself.
func (c *Scene) leaks(gaps []float64, limit float64) []float64 {
	nx, ny := c.Field.NX, c.Field.NY
	ways := make([]float64, len(gaps))
	for k := range ways {
		ways[k] = -1
	}
	// What is reached waits by the height of its way, the highest on top.
	wait := make([][]int32, bedSteps+1)
	reach := func(k int, way float64) {
		if ways[k] >= 0 {
			return
		}
		ways[k] = min(way, gaps[k])
		n := bedSteps
		if ways[k] < limit {
			n = int(ways[k] / limit * bedSteps)
		}
		wait[n] = append(wait[n], int32(k))
	}
	for i := range nx {
		reach(i, math.Inf(1))
		reach((ny-1)*nx+i, math.Inf(1))
	}
	for j := range ny {
		reach(j*nx, math.Inf(1))
		reach(j*nx+nx-1, math.Inf(1))
	}
	for n := bedSteps; n >= 0; n-- {
		for len(wait[n]) > 0 {
			k := int(wait[n][len(wait[n])-1])
			wait[n] = wait[n][:len(wait[n])-1]
			i, j := k%nx, k/nx
			if i > 0 {
				reach(k-1, ways[k])
			}
			if i < nx-1 {
				reach(k+1, ways[k])
			}
			if j > 0 {
				reach(k-nx, ways[k])
			}
			if j < ny-1 {
				reach(k+nx, ways[k])
			}
		}
	}
	return ways
}
