package undercut

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh/par"
)

// Just above the place where two limbs of the pattern meet, the rubber between them
// has to go the other way round; a little lower it does not, and a little higher
// there is none. Such a layer, no higher than a dimple that is noise, gets out below
// it. So a way counts where it is no shorter that much further down in its own gap;
// what lies on the gap's floor has nothing below, however thin it is.

// lasting finds the ways out at a height that last.
func (p *pathSolver) lasting(from *levelPool, h float64) peak {
	return p.keep(h, p.lastingBy(from, h, p.s.rise, webAsTold))
}

// lastingBy finds the ways that are as long a height below, with passages taken in
// some way, and keeps nothing.
func (p *pathSolver) lastingBy(from *levelPool, h, below float64, w webs) []value {
	l := from.take()
	defer from.give(l)
	l.webs = w
	defer func() { l.webs = webAsTold }()
	low := h - below
	if p.s.narrow == 0 || low < p.s.floor {
		return l.solve(h, p.bs, askFree)
	}
	at := map[int]float32{} // looked up, never ranged over
	for _, v := range l.solve(low, p.bs, askFree) {
		at[v.blockage] = v.d
	}
	vals := l.solve(h, p.bs, askFree)
	for n, v := range vals {
		vals[n].d = min(v.d, p.below(v.blockage, low, at))
	}
	return vals
}

// below is the way out of the rubber under a blocked stretch at a height, given the
// ways of the stretches there; +Inf where the stretch's own gap does not go so low.
func (p *pathSolver) below(n int, low float64, at map[int]float32) float32 {
	b := p.bs[n]
	col, off := p.s.f.Column(int(b.i), int(b.j)), p.s.f.Offset(int(b.i), int(b.j))
	if lo, _, _ := p.s.piece(col, off, int(b.gap)-off); low <= lo {
		return float32(math.Inf(1))
	}
	for ; n >= 0 && p.bs[n].gap == b.gap; n-- {
		if p.bs[n].lo <= low && low < p.bs[n].hi {
			if d, ok := at[n]; ok {
				return d
			}
			return float32(math.Inf(1)) // shut in: that is another question
		}
	}
	return p.s.depth[b.gap] // the straight way is free
}

// Bounds of the search between levels (judgement of this program).
const (
	toothRounds = 5
	teethAtOnce = 4
	steepest    = 6 // mm of path for a mm of height
)

// teeth adds to levels, in order of height, some between them: as height changes a
// way out grows steadily, until another opens or a layer ends, and so is longest
// just before. Where the growth of two neighbours, carried on to the next, would be
// longer than the longest that is known, the height between them is solved too.
func (p *pathSolver) teeth(ctx context.Context, tops []peak, best float64) ([]peak, error) {
	for range toothRounds {
		var at []peak // height, and what it promises
		for k := range len(tops) - 1 {
			a, b := tops[k], tops[k+1]
			by := b.z - a.z
			if by < p.s.f.Cell/2 {
				continue
			}
			d := max(a.d+by*p.growth(tops, k, -1), b.d+by*p.growth(tops, k+1, 1))
			if d > best+p.s.f.Cell {
				at = append(at, peak{place{z: (a.z + b.z) / 2}, d})
			}
		}
		if len(at) == 0 {
			break
		}
		slices.SortStableFunc(at, func(a, b peak) int { return cmp.Compare(b.d, a.d) })
		at = at[:min(len(at), teethAtOnce)]
		if err := par.Each(ctx, len(at), func(n int) { at[n] = p.lasting(p.coarse, at[n].z) }); err != nil {
			return nil, err
		}
		for _, t := range at {
			best = max(best, t.d)
		}
		tops = append(slices.Clone(tops), at...)
		slices.SortStableFunc(tops, func(a, b peak) int { return cmp.Compare(a.z, b.z) })
	}
	return tops, nil
}

// growth is by how much the longest way grows a millimetre of height to level k, from
// the levels before it (to = -1) or after it.
func (p *pathSolver) growth(tops []peak, k, to int) float64 {
	for m := k + to; m >= 0 && m < len(tops); m += to {
		if by := math.Abs(tops[k].z - tops[m].z); by >= p.s.f.Cell/2 {
			return min(max(tops[k].d-tops[m].d, 0)/by, steepest)
		}
	}
	return 0
}

// rivals are the levels with the longest ways that last, longest first, down to so
// much less than the longest, mm.
func (p *pathSolver) rivals(ctx context.Context, tops []peak, slack float64) (out []peak, err error) {
	left := slices.Clone(tops)
	slices.SortStableFunc(left, func(a, b peak) int { return cmp.Compare(b.d, a.d) })
	best := 0.0
	for len(left) > 0 && left[0].k >= 0 && len(out) < maxRivals {
		if left[0].d < best-slack || len(out) >= finalLevels && left[0].d <= best {
			break
		}
		n := min(len(left), 4)
		some := make([]peak, n)
		if err := par.Each(ctx, n, func(k int) { some[k] = p.lasting(p.coarse, left[k].z) }); err != nil {
			return nil, err
		}
		for _, t := range some {
			best = max(best, t.d)
		}
		out, left = append(out, some...), left[n:]
	}
	slices.SortStableFunc(out, func(a, b peak) int { return cmp.Compare(b.d, a.d) })
	return out, nil
}

// maxRivals bounds of how many levels it is asked whether a long way lasts.
// Judgement of this program.
const maxRivals = 24

// hangs fills in how far the deepest path hangs on what columns and heights tell to
// within a little only: on where S blocks a way, which is known to within a cell; on
// passages that may be a web of rubber wide or not; and on layers that may be thin
// enough to be noise. straight is the deepest straight way, which hangs on none.
func (p *pathSolver) hangs(ctx context.Context, res *deepestPaths, straight float64) error {
	if len(res.levels) == 0 {
		return nil
	}
	levels := slices.Clone(res.levels)
	slices.SortStableFunc(levels, func(a, b peak) int { return cmp.Compare(b.d, a.d) })
	z, cell, rise := levels[0].z, p.s.f.Cell, p.s.rise
	try := []struct {
		z, below float64
		w        webs
	}{{z, rise, webWide}, {z - cell, rise, webAsTold}, {z + cell, rise, webAsTold}}
	for _, t := range levels[:min(len(levels), hungLevels)] {
		try = append(try, []struct {
			z, below float64
			w        webs
		}{{t.z, rise / 2, webAsTold}, {t.z, rise, webNarrow}}...)
	}
	found := make([]float64, len(try))
	err := par.Each(ctx, len(try), func(n int) {
		for _, v := range p.lastingBy(p.fine, try[n].z, try[n].below, try[n].w) {
			found[n] = max(found[n], float64(v.d))
		}
	})
	if err != nil {
		return err
	}
	if res.length > straight && levels[0].d == res.length {
		res.doubt = res.length - max(straight, found[0])
		if z-cell >= p.s.floor { // the half's own floor is known
			res.doubt = max(res.doubt, res.length-max(straight, found[1], found[2]))
		}
		res.doubt = min(max(res.doubt, 0), mostDoubt*res.length)
	}
	res.more = max(slices.Max(found[3:]), res.length) - res.length
	return nil
}

// hungLevels is how many of the deepest levels are asked whether more is deeper;
// mostDoubt the share of a path that its doubt is at most: with more it would no
// longer be a figure. Judgements of this program.
const (
	hungLevels = 2
	mostDoubt  = 1. / 3
)
