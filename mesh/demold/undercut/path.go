package undercut

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"moldtally/mesh/par"
)

// maxLevels bounds how many heights the paths are computed at before the
// deepest is refined. Beyond it the figures no longer moved on the test
// bodies and scans.
const maxLevels = 40

// deepestPaths is what the paths of one shadow come to.
type deepestPaths struct {
	length   float64 // of the deepest finite path, mm
	at       place
	locked   bool    // some rubber has no way out
	lockedAt place   // in the largest lock
	shut     float64 // volume without a way out, specks too, mm³
	specks   int     // bodies of it that are no locks
}

// paths fills s.path. It starts from the depths: where the straight way to the
// nearest exit is free at all heights of a gap, path and depth are one, for at
// greater height the shadow only shrinks. What is left is solved height by
// height.
func (s *shadow) paths(ctx context.Context) (deepestPaths, error) {
	s.path = slices.Clone(s.depth)
	bs, err := s.blocked(ctx)
	if err != nil {
		return deepestPaths{}, err
	}
	var res deepestPaths
	res.length, res.at = s.deepest()
	if len(bs) == 0 {
		return res, nil
	}
	p := newPathSolver(s, bs)
	tops, shut, err := p.eachLevel(ctx)
	if err != nil {
		return deepestPaths{}, err
	}
	if err := p.lock(ctx, &res, shut); err != nil {
		return deepestPaths{}, err
	}
	if err := p.refine(ctx, &res, tops); err != nil {
		return deepestPaths{}, err
	}
	// Half resolution can overstate a little; nothing is deeper than the
	// deepest.
	for g, d := range s.path {
		if float64(d) > res.length && !math.IsInf(float64(d), 1) {
			s.path[g] = float32(res.length)
		}
	}
	return res, nil
}

// pathSolver solves levels and writes what they find into the shadow's path.
type pathSolver struct {
	s            *shadow
	bs           []blockage
	heights      []float64
	fine, coarse *levelPool // at the field's own and at half resolution
	mu           sync.Mutex // of s.path
}

func newPathSolver(s *shadow, bs []blockage) *pathSolver {
	return &pathSolver{s: s, bs: bs, heights: s.heights(bs), fine: newLevelPool(s, 1), coarse: newLevelPool(s, 2)}
}

// keep writes what a level found into s.path, and returns its deepest.
func (p *pathSolver) keep(h float64, vals []value) peak {
	t := peak{place: place{k: -1, z: h}}
	s := p.s
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, v := range vals {
		g := p.bs[v.blockage]
		s.path[g.gap] = max(s.path[g.gap], v.d)
		if float64(v.d) > t.d {
			t.d, t.i, t.j, t.k = float64(v.d), int(g.i), int(g.j), int(g.gap)-s.f.Offset(int(g.i), int(g.j))
		}
	}
	return t
}

// solve finds the ways out at a height.
func (p *pathSolver) solve(from *levelPool, h float64) peak {
	l := from.take()
	defer from.give(l)
	return p.keep(h, l.solve(h, p.bs, askFree))
}

// eachLevel solves every level and returns the deepest of each. How long the
// ways out are is found at half resolution first. What is shut in is looked for
// at full resolution, where half of it found no way out and at every other
// level besides: those sections come in order.
func (p *pathSolver) eachLevel(ctx context.Context) ([]peak, []shutSection, error) {
	n := len(p.heights)
	tops, suspect := make([]peak, n), make([]bool, n)
	err := par.Each(ctx, n, func(n int) {
		l := p.coarse.take()
		tops[n] = p.keep(p.heights[n], l.solve(p.heights[n], p.bs, askFree))
		suspect[n] = l.suspect
		p.coarse.give(l)
	})
	if err != nil {
		return nil, nil, err
	}
	var look []float64
	for n, h := range p.heights {
		if n%2 == 0 || suspect[n] {
			look = append(look, h)
		}
	}
	shut, err := p.sections(ctx, look)
	return tops, shut, err
}

// peak is the deepest path at a level; k = -1 where there is none.
type peak struct {
	place
	d float64 // mm
}

// refine closes in on the deepest path: it is not monotone in height. The
// height is found at half resolution, the figure at full.
func (p *pathSolver) refine(ctx context.Context, res *deepestPaths, tops []peak) error {
	best := -1
	for n, t := range tops {
		if t.k >= 0 && (best < 0 || t.d > tops[best].d) {
			best = n
		}
	}
	// Half resolution errs by two of its cells at most, four of the field's.
	slack := 4 * p.s.f.Cell
	if best < 0 || tops[best].d < res.length-slack {
		return nil
	}
	t := tops[best]
	lo, hi := t.z, t.z
	if best > 0 {
		lo = p.heights[best-1]
	}
	if best+1 < len(p.heights) {
		hi = p.heights[best+1]
	}
	for range 4 {
		if hi-lo < p.s.f.Cell {
			break
		}
		pair := [2]float64{(lo + t.z) / 2, (t.z + hi) / 2}
		var two [2]peak
		if err := par.Each(ctx, 2, func(n int) { two[n] = p.solve(p.coarse, pair[n]) }); err != nil {
			return err
		}
		switch {
		case two[0].d > t.d && two[0].d >= two[1].d:
			hi, t = t.z, two[0]
		case two[1].d > t.d:
			lo, t = t.z, two[1]
		default:
			lo, hi = pair[0], pair[1]
		}
	}
	// The best height and its best rivals, at full resolution.
	rivals := slices.Clone(tops)
	slices.SortStableFunc(rivals, func(a, b peak) int { return cmp.Compare(b.d, a.d) })
	final := []float64{t.z}
	for _, r := range rivals {
		if len(final) < 4 && r.k >= 0 && r.z != t.z && r.d > t.d-slack {
			final = append(final, r.z)
		}
	}
	found := make([]peak, len(final))
	if err := par.Each(ctx, len(final), func(n int) { found[n] = p.solve(p.fine, final[n]) }); err != nil {
		return err
	}
	for _, t := range found {
		if t.k >= 0 && t.d > res.length {
			res.length, res.at = t.d, t.place
		}
	}
	return nil
}
