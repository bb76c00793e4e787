package demold

import (
	"context"
	"math"

	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
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
	inf := math.Inf(-1)
	down := mirror(a.f)
	a.rubber = newRubberSpace(a.f, inf, inf, a.eps, nil)
	below := newRubberSpace(down, inf, inf, a.eps, nil)
	at := a.o.Parting
	if at == nil {
		h, err := a.chooseParting(ctx, newShadow(a.f, a.rubber, a.base, a.base, a.eps), newShadow(down, below, -a.top, -a.top, a.eps))
		if err != nil {
			return err
		}
		at = &h
	}
	a.parting = *at
	a.halves = []*half{
		{shadow: newShadow(a.f, a.rubber, a.parting, a.base, a.eps), up: a.u},
		{shadow: newShadow(down, below, -a.parting, -a.top, a.eps), up: a.u.Neg()},
	}
	for _, h := range a.halves {
		if err := h.solve(ctx, a); err != nil {
			return err
		}
	}
	a.sum()
	between := a.between()
	a.rep.Trapped = &between
	a.rep.Parting = &Parting{Kind: "flat", Height: a.parting - a.base}
	return nil
}

// between is the volume between spans, mm³: both rays meet S, so it is trapped
// whatever the parting.
func (a *analysis) between() float64 {
	var sum float64
	for j := range a.f.NY {
		var row float64
		for i := range a.f.NX {
			col := a.f.Column(i, j)
			for k := 1; k < len(col); k++ {
				if d := col[k].Bottom - col[k-1].Top; d > a.eps {
					row += d
				}
			}
		}
		sum += row
	}
	return sum * a.f.Cell * a.f.Cell
}

// side answers how deep one half locks when the mold parts at a height of the
// half's own field.
type side struct {
	s      *shadow
	floors []float32 // per bin: deepest gap whose floor lies in it or above
	lo, hi float64
	levels []float64 // blocked stretches were solved at these heights
	deep   []float64 // deepest path at the level, +Inf = locked
	free   []float64 // the same among what is not locked
}

const partingBins = 4096

func (a *analysis) newSide(ctx context.Context, s *shadow, height float64) (*side, error) {
	if err := s.find(ctx); err != nil {
		return nil, err
	}
	hs, err := s.blocked(ctx)
	if err != nil {
		return nil, err
	}
	d := &side{s: s, lo: s.clip, hi: s.clip + height, floors: make([]float32, partingBins+1)}
	for j := range s.f.NY {
		for i := range s.f.NX {
			col, off := s.f.Column(i, j), s.f.Offset(i, j)
			for k := 1; k < len(col); k++ { // the first gap has no floor
				if lo, _, ok := s.piece(col, off, k); ok {
					b := d.bin(lo)
					d.floors[b] = max(d.floors[b], s.depth[off+k])
				}
			}
		}
	}
	for b := partingBins - 1; b >= 0; b-- {
		d.floors[b] = max(d.floors[b], d.floors[b+1])
	}
	if len(hs) > 0 {
		d.levels = s.levels(hs)
		d.deep = make([]float64, len(d.levels))
		d.free = make([]float64, len(d.levels))
		coarse := newLevels(s, 2)
		err := par.Each(ctx, len(d.levels), func(n int) {
			l := coarse.take()
			for _, v := range l.solve(d.levels[n], hs, a.rise(), a.narrow(), onlyLocked|onlyFree) {
				x := float64(v.d)
				d.deep[n] = max(d.deep[n], x)
				if !math.IsInf(x, 1) {
					d.free[n] = max(d.free[n], x)
				}
			}
			coarse.give(l)
		})
		if err != nil {
			return nil, err
		}
	}
	return d, nil
}

func (d *side) bin(h float64) int {
	return min(max(int((h-d.lo)/(d.hi-d.lo)*partingBins), 0), partingBins)
}

// path is the deepest path of the half above height h; with locks false what
// is locked counts by its free neighbours only.
func (d *side) path(h float64, locks bool) float64 {
	// Gaps whose floor lies above h.
	best := float64(d.floors[d.bin(h)])
	// Blocked stretches.
	for n, z := range d.levels {
		if z >= h {
			if locks {
				best = max(best, d.deep[n])
			} else {
				best = max(best, d.free[n])
			}
		}
	}
	// Gaps that h cuts are deepest at h.
	return d.s.cut(h, best)
}

// chooseParting returns the height (along u) at which the deepest path of the
// two halves is least; within the uncertainty by the least undercut volume,
// then the largest section, then the lowest height.
//
// The upper half's path only falls and the lower half's only grows as the
// parting rises, so the least of the larger lies where they cross, and the
// heights within the uncertainty of it form one interval.
func (a *analysis) chooseParting(ctx context.Context, up, down *shadow) (float64, error) {
	height := a.top - a.base
	if height <= 0 {
		return a.base, nil
	}
	upper, err := a.newSide(ctx, up, height)
	if err != nil {
		return 0, err
	}
	lower, err := a.newSide(ctx, down, height)
	if err != nil {
		return 0, err
	}
	locks := true
	both := func(h float64) (u, l float64) { return upper.path(h, locks), lower.path(-h, locks) }
	const rounds = 14 // the height to 1/16384
	cross := func() (h, least float64) {
		lo, hi := a.base, a.top
		h, least = a.base, math.Inf(1)
		try := func(z float64) bool {
			u, l := both(z)
			if f := max(u, l); f < least {
				h, least = z, f
			}
			return u > l
		}
		if !try(lo) { // already better from below
			return h, least
		}
		try(hi)
		for range rounds {
			mid := (lo + hi) / 2
			if try(mid) {
				lo = mid
			} else {
				hi = mid
			}
		}
		return h, least
	}
	h, least := cross()
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	if math.IsInf(least, 1) { // locked whatever the parting: judge the rest
		locks = false
		h, least = cross()
	}
	// The interval of ties.
	tie := least + a.rep.Uncertainty
	lo, hi := a.base, h
	if upper.path(a.base, locks) > tie {
		for range rounds {
			if mid := (lo + hi) / 2; upper.path(mid, locks) > tie {
				lo = mid
			} else {
				hi = mid
			}
		}
	} else {
		hi = a.base
	}
	first := hi
	lo, hi = h, a.top
	if lower.path(-a.top, locks) > tie {
		for range rounds {
			if mid := (lo + hi) / 2; lower.path(-mid, locks) > tie {
				hi = mid
			} else {
				lo = mid
			}
		}
	} else {
		lo = a.top
	}
	last := lo
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	return a.tieBreak(first, last, h), nil
}

// tieBreak picks the height between lo and hi with the least undercut volume,
// then the largest section, then the lowest; h is among the candidates.
func (a *analysis) tieBreak(lo, hi, h float64) float64 {
	const n = 48
	best, bestV, bestA := h, math.Inf(1), 0.0
	// Volumes and sections are sums over columns: closer than this they are
	// equal.
	tolV := 1e-4 * a.f.Volume()
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
	for j := range a.f.NY {
		for i := range a.f.NX {
			col := a.f.Column(i, j)
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
	cell := a.f.Cell * a.f.Cell
	for n := range zs {
		vol[n] *= cell
		area[n] *= cell
	}
	return vol, area
}
