package demold

import (
	"context"
	"math"

	"moldtally/mesh/demold/parting"
	"moldtally/mesh/dexel"
)

// mirror returns the field seen from below: the same columns, heights and
// direction turned about.
func mirror(f *dexel.Field) *dexel.Field {
	g := f.Grid
	g.U = g.U.Neg() // left-handed now; only places are asked of it
	off := make([]int32, f.NX*f.NY+1)
	spans := make([]dexel.Span, f.NumSpans())
	for j := range f.NY {
		for i := range f.NX {
			o := f.Offset(i, j)
			col := f.Column(i, j)
			off[j*f.NX+i+1] = int32(o + len(col))
			for k, s := range col {
				spans[o+len(col)-1-k] = dexel.Span{Bottom: -s.Top, Top: -s.Bottom, BottomTri: s.TopTri, TopTri: s.BottomTri}
			}
		}
	}
	return dexel.New(g, off, spans)
}

// findParted chooses the height of the parting of a two-part or cut mold and
// fills in the undercut of its halves.
func (a *analysis) findParted(ctx context.Context) error {
	p := newPartings(a.Field, a.Base, a.Top, a.Eps, partingBins)
	if a.o.Parting != nil {
		a.parting = *a.o.Parting
	} else {
		h, err := a.chooseParting(ctx, p)
		if err != nil {
			return err
		}
		a.parting = h
	}
	a.halves = []*half{
		{shadow: p.upper.s.above(a.parting), up: a.Up},
		{shadow: p.lower.s.above(-a.parting), up: a.Up.Neg()},
	}
	for _, h := range a.halves {
		if err := h.solve(ctx, a); err != nil {
			return err
		}
	}
	a.sum()
	trapped := parting.Trapped(a.Scene)
	a.rep.Trapped = &trapped
	a.rep.Parting = &Parting{Kind: "flat", Height: a.parting - a.Base}
	return nil
}

// partingBins is how many heights of floors are told apart where a parting is
// chosen.
const partingBins = 4096

// partingRounds halve the height down to 1/16384 of it.
const partingRounds = 14

// chooseParting returns the height (along u) at which the deepest path of the
// two halves is least; within the uncertainty by the least undercut volume,
// then the largest section, then the lowest height.
func (a *analysis) chooseParting(ctx context.Context, p *partings) (float64, error) {
	if p.top <= p.base {
		return p.base, nil
	}
	if err := p.solveAll(ctx, a.Rise(), a.Narrow()); err != nil {
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
	most := least + a.rep.Uncertainty
	first := stretchTo(h, p.base, func(z float64) bool { return p.upper.path(z, locks) <= most })
	last := stretchTo(h, p.top, func(z float64) bool { return p.lower.path(-z, locks) <= most })
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return a.leastUndercut(first, last, h), nil
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
func (a *analysis) leastUndercut(lo, hi, h float64) float64 {
	const n = 48
	best, bestV, bestA := h, math.Inf(1), 0.0
	// Volumes and sections are sums over columns: closer than this they are
	// equal.
	tolV := 1e-4 * a.Field.Volume()
	for range 3 {
		zs := make([]float64, 0, n+2)
		for k := range n + 1 {
			zs = append(zs, lo+(hi-lo)*float64(k)/n)
		}
		zs = append(zs, best)
		vol, area := a.partedVolumes(zs)
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
func (a *analysis) partedVolumes(zs []float64) (vol, area []float64) {
	vol, area = make([]float64, len(zs)), make([]float64, len(zs))
	for j := range a.Field.NY {
		for i := range a.Field.NX {
			col := a.Field.Column(i, j)
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
	cell := a.Field.Cell * a.Field.Cell
	for n := range zs {
		vol[n] *= cell
		area[n] *= cell
	}
	return vol, area
}
