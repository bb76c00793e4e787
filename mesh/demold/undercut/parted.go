package undercut

import (
	"context"
	"math"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
)

// part chooses the height of the parting of a two-part or cut mold, unless it is
// given, and returns it with the shadows of its halves.
func part(ctx context.Context, c *scene.Scene, given *float64) (height float64, halves []*shadow, err error) {
	p := newPartings(c, partingBins)
	if given != nil {
		height = *given
	} else if height, err = p.choose(ctx); err != nil {
		return 0, nil, err
	}
	return height, []*shadow{p.upper.s.above(height), p.lower.s.above(-height)}, nil
}

// partingBins is how many heights of floors are told apart where a parting is
// chosen.
const partingBins = 4096

// partingRounds halve the height down to 1/16384 of it.
const partingRounds = 14

// choose returns the height (along u) at which the deepest path of the
// two halves is least; within the uncertainty by the least undercut volume,
// then the largest section, then the lowest height.
func (p *partings) choose(ctx context.Context) (float64, error) {
	if p.Top <= p.Base {
		return p.Base, nil
	}
	if err := p.solveAll(ctx); err != nil {
		return 0, err
	}
	locks := true
	h, least := p.cross(partingRounds, locks)
	if math.IsInf(least, 1) { // locked whatever the parting: judge the rest
		locks = false
		h, least = p.cross(partingRounds, locks)
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	most := least + p.Uncertainty
	first := stretchTo(h, p.Base, func(z float64) bool { return p.upper.path(z, locks) <= most })
	last := stretchTo(h, p.Top, func(z float64) bool { return p.lower.path(-z, locks) <= most })
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return p.leastUndercut(first, last, h), nil
}

// stretchTo returns how far toward end what is so at h stays so.
func stretchTo(h, end float64, so func(z float64) bool) float64 {
	if so(end) {
		return end
	}
	for range partingRounds {
		if mid := (h + end) / 2; so(mid) {
			h = mid
		} else {
			end = mid
		}
	}
	return h
}

// leastUndercut picks the height between lo and hi with the least undercut
// volume, then the largest section, then the lowest; h is among the candidates.
func (p *partings) leastUndercut(lo, hi, h float64) float64 {
	const n = 48
	best, bestV, bestA := h, math.Inf(1), 0.0
	// Volumes and sections are sums over columns: closer than this they are
	// equal.
	tolV := 1e-4 * p.Field.Volume()
	for range 3 {
		zs := make([]float64, 0, n+2)
		for k := range n + 1 {
			zs = append(zs, lo+(hi-lo)*float64(k)/n)
		}
		zs = append(zs, best)
		vol, area := partedVolumes(p.Field, zs)
		for k, z := range zs {
			switch v, s := vol[k], area[k]; {
			case v < bestV-tolV,
				v < bestV+tolV && s > bestA*(1+1e-4),
				v < bestV+tolV && s > bestA*(1-1e-4) && z < best:
				best, bestV, bestA = z, min(v, bestV), s
			}
		}
		step := (hi - lo) / n
		lo, hi = max(lo, best-step), min(hi, best+step)
	}
	return best
}

// partedVolumes returns, for partings at the given heights, the undercut
// volume of both halves and the area of S's section.
func partedVolumes(f *dexel.Field, zs []float64) (vol, area []float64) {
	vol, area = make([]float64, len(zs)), make([]float64, len(zs))
	for j := range f.NY {
		for i := range f.NX {
			col := f.Column(i, j)
			if len(col) == 0 {
				continue
			}
			for n, z := range zs {
				if d := col[0].Bottom - z; d > 0 {
					vol[n] += d
				}
				if d := z - col[len(col)-1].Top; d > 0 {
					vol[n] += d
				}
				for k := range col {
					if col[k].Bottom <= z && z <= col[k].Top {
						area[n]++
					}
					// A gap between spans is undercut on both sides of z.
				}
			}
		}
	}
	cell := f.Cell * f.Cell
	for n := range zs {
		vol[n] *= cell
		area[n] *= cell
	}
	return vol, area
}
