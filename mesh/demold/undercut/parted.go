package undercut

import (
	"context"
	"math"
	"slices"

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

// whole is the span of heights that a parting may lie at.
func (p *partings) whole() heights { return heights{p.Base, p.Top} }

// choose returns the height (along u) at which the least rubber is locked in;
// of those where that is equal the one where the deepest path of the two halves
// is least; within the uncertainty by the least undercut volume, then the
// largest section, then the middle of the heights that tie.
func (p *partings) choose(ctx context.Context) (float64, error) {
	if p.Top <= p.Base {
		return p.Base, nil
	}
	if err := p.solveAll(ctx); err != nil {
		return 0, err
	}
	spans := p.leastLocked()
	least := math.Inf(1)
	at, path := make([]float64, len(spans)), make([]float64, len(spans))
	for n, s := range spans {
		at[n], path[n] = p.cross(s, partingRounds)
		least = min(least, path[n])
		if err := ctx.Err(); err != nil {
			return 0, err
		}
	}
	most := least + p.Uncertainty
	var tie []heights
	for n, s := range spans {
		if path[n] <= most {
			tie = append(tie, heights{
				stretchTo(at[n], s.lo, func(z float64) bool { return p.upper.path(z) <= most }),
				stretchTo(at[n], s.hi, func(z float64) bool { return p.lower.path(-z) <= most }),
			})
		}
	}
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return p.leastUndercut(tie), nil
}

// leastLocked are the spans of heights of a parting that locks the least
// rubber in: within what is a speck.
func (p *partings) leastLocked() []heights {
	if p.upper.shut == nil && p.lower.shut == nil {
		return []heights{p.whole()}
	}
	const even = 256
	var zs []float64
	for n := range even + 1 {
		zs = append(zs, p.Base+(p.Top-p.Base)*float64(n)/even)
	}
	for _, x := range p.upper.shut {
		zs = append(zs, x.h)
	}
	for _, x := range p.lower.shut {
		zs = append(zs, -x.h)
	}
	slices.Sort(zs)
	locked, least, at := make([]float64, len(zs)), math.Inf(1), 0
	for n, z := range zs {
		locked[n] = p.upper.s.shutVolume(p.upper.shut, z) + p.lower.s.shutVolume(p.lower.shut, -z)
		if locked[n] < least {
			least, at = locked[n], n
		}
	}
	vol, _ := partedVolumes(p.Field, zs[at:at+1])
	most := least + max(leastLock, shareOfLock*vol[0])
	var out []heights
	for n, z := range zs {
		switch {
		case locked[n] > most:
		case n > 0 && locked[n-1] <= most:
			out[len(out)-1].hi = z
		default:
			out = append(out, heights{z, z})
		}
	}
	return out
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

// leastUndercut picks the height in some spans with the least undercut volume,
// then the largest section, then the middle of those that tie.
func (p *partings) leastUndercut(spans []heights) float64 {
	const n = 48
	bestV, bestA := math.Inf(1), 0.0
	// Volumes and sections are sums over columns: closer than this they are
	// equal.
	tolV := 1e-4 * p.Field.Volume()
	best, home := spans[0].lo, spans[0]
	near := slices.Clone(spans)
	for range 3 {
		found := -1
		for k, s := range near {
			zs := s.even(n)
			vol, area := partedVolumes(p.Field, zs)
			for m, z := range zs {
				if v, a := vol[m], area[m]; v < bestV-tolV || v < bestV+tolV && a > bestA*(1+1e-4) {
					best, bestV, bestA, found = z, min(v, bestV), a, k
				}
			}
		}
		if found < 0 {
			break
		}
		if len(near) == len(spans) {
			home = spans[found]
		}
		step := (near[found].hi - near[found].lo) / n
		near = []heights{{max(near[found].lo, best-step), min(near[found].hi, best+step)}}
	}
	end := func(to float64) float64 {
		zs := heights{best, to}.even(n)
		vol, area := partedVolumes(p.Field, zs)
		for m := range zs {
			if vol[m] >= bestV+tolV || area[m] <= bestA*(1-1e-4) {
				return zs[max(m-1, 0)]
			}
		}
		return to
	}
	return (end(home.lo) + end(home.hi)) / 2
}

// even are n + 1 heights over a span.
func (s heights) even(n int) []float64 {
	zs := make([]float64, 0, n+1)
	for k := range n + 1 {
		zs = append(zs, s.lo+(s.hi-s.lo)*float64(k)/float64(n))
	}
	return zs
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
