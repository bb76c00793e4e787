package demold

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"moldtally/mesh/par"
)

// hard is a stretch of a gap whose straight way to the nearest exit is blocked
// by S: only there does the path differ from the depth.
type hard struct {
	gap    int32
	i, j   int32
	lo, hi float64
}

// maxLevels bounds how many heights the paths are computed at before the
// deepest is refined. Beyond it the figures no longer moved on the test
// bodies and scans.
const maxLevels = 40

// pathResult is what the paths of one shadow come to.
type pathResult struct {
	deepest float64 // deepest finite path, mm
	at      [3]int  // its column i, j and gap k; k = -1 where nothing is undercut
	atH     float64 // its height
	locked  bool    // some rubber has no way out
	lockAt  [3]int
	lockH   float64
}

// paths fills s.path. It starts from the depths: where the straight way to the
// nearest exit is free at all heights of a gap, path and depth are one, for at
// greater height the shadow only shrinks. What is left is solved height by
// height.
//
// rise is the height below which a dimple or pit that shuts rubber in is
// noise, mm; narrow is the width of a passage that is no way out, 0 = any is.
func (s *shadow) paths(ctx context.Context, rise, narrow float64) (pathResult, error) {
	s.path = slices.Clone(s.depth)
	hs, err := s.blocked(ctx)
	if err != nil {
		return pathResult{}, err
	}
	res := s.bestPath()
	if len(hs) == 0 {
		return res, nil
	}
	p := &pathSolver{s: s, hs: hs, rise: rise, narrow: narrow, heights: s.levels(hs), fine: newLevels(s, 1), coarse: newLevels(s, 2)}
	tops, err := p.eachLevel(ctx, &res)
	if err != nil {
		return pathResult{}, err
	}
	if err := p.refine(ctx, &res, tops); err != nil {
		return pathResult{}, err
	}
	// Half resolution can overstate a little; nothing is deeper than the
	// deepest.
	for g, d := range s.path {
		if float64(d) > res.deepest && !math.IsInf(float64(d), 1) {
			s.path[g] = float32(res.deepest)
		}
	}
	return res, nil
}

// pathSolver solves levels and writes what they find into the shadow's path.
type pathSolver struct {
	s            *shadow
	hs           []hard
	rise, narrow float64
	heights      []float64
	fine, coarse *levels
	mu           sync.Mutex // of s.path
}

// keep writes what a level found into s.path, and returns its deepest.
func (p *pathSolver) keep(h float64, vals []value) peak {
	t := peak{h: h, k: -1}
	s := p.s
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, v := range vals {
		g := p.hs[v.hard]
		s.path[g.gap] = max(s.path[g.gap], v.d)
		if float64(v.d) > t.d {
			t.d, t.i, t.j, t.k = float64(v.d), int(g.i), int(g.j), int(g.gap)-s.f.Offset(int(g.i), int(g.j))
		}
	}
	return t
}

// solve finds the ways out at a height.
func (p *pathSolver) solve(r resolution, h float64) peak {
	from := p.coarse
	if r == exactly {
		from = p.fine
	}
	l := from.take()
	defer from.give(l)
	return p.keep(h, l.solve(h, p.hs, p.rise, p.narrow, onlyFree))
}

// eachLevel solves every level and returns the deepest of each. How long the
// ways out are is found at half resolution first. What is locked is looked for
// at full resolution, where half of it found no way out and at every other
// level besides.
func (p *pathSolver) eachLevel(ctx context.Context, res *pathResult) ([]peak, error) {
	n := len(p.heights)
	tops, shut, suspect := make([]peak, n), make([]peak, n), make([]bool, n)
	err := par.Each(ctx, n, func(n int) {
		l := p.coarse.take()
		tops[n] = p.keep(p.heights[n], l.solve(p.heights[n], p.hs, p.rise, p.narrow, onlyFree))
		suspect[n] = l.suspect
		p.coarse.give(l)
	})
	if err != nil {
		return nil, err
	}
	err = par.Each(ctx, n, func(n int) {
		shut[n].k = -1
		if n%2 != 0 && !suspect[n] {
			return
		}
		l := p.fine.take()
		shut[n] = p.keep(p.heights[n], l.solve(p.heights[n], p.hs, p.rise, p.narrow, onlyLocked))
		p.fine.give(l)
	})
	if err != nil {
		return nil, err
	}
	for _, t := range shut {
		if t.k >= 0 {
			res.locked, res.lockAt, res.lockH = true, [3]int{t.i, t.j, t.k}, t.h
			break
		}
	}
	return tops, nil
}

// peak is the deepest path at a level; k = -1 where there is none.
type peak struct {
	h, d    float64
	i, j, k int
}

// resolution says at which resolution a level is solved.
type resolution uint8

const (
	roughly resolution = iota // half
	exactly                   // the field's own
)

// refine closes in on the deepest path: it is not monotone in height. The
// height is found at half resolution, the figure at full.
func (p *pathSolver) refine(ctx context.Context, res *pathResult, tops []peak) error {
	best := -1
	for n, t := range tops {
		if t.k >= 0 && (best < 0 || t.d > tops[best].d) {
			best = n
		}
	}
	// Half resolution errs by two of its cells at most, four of the field's.
	slack := 4 * p.s.f.Cell
	if best < 0 || tops[best].d < res.deepest-slack {
		return nil
	}
	t := tops[best]
	lo, hi := t.h, t.h
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
		pair := [2]float64{(lo + t.h) / 2, (t.h + hi) / 2}
		var two [2]peak
		if err := par.Each(ctx, 2, func(n int) { two[n] = p.solve(roughly, pair[n]) }); err != nil {
			return err
		}
		switch {
		case two[0].d > t.d && two[0].d >= two[1].d:
			hi, t = t.h, two[0]
		case two[1].d > t.d:
			lo, t = t.h, two[1]
		default:
			lo, hi = pair[0], pair[1]
		}
	}
	// The best height and its best rivals, at full resolution.
	rivals := slices.Clone(tops)
	slices.SortStableFunc(rivals, func(a, b peak) int { return cmp.Compare(b.d, a.d) })
	final := []float64{t.h}
	for _, r := range rivals {
		if len(final) < 4 && r.k >= 0 && r.h != t.h && r.d > t.d-slack {
			final = append(final, r.h)
		}
	}
	found := make([]peak, len(final))
	if err := par.Each(ctx, len(final), func(n int) { found[n] = p.solve(exactly, final[n]) }); err != nil {
		return err
	}
	for _, t := range found {
		if t.k >= 0 && t.d > res.deepest {
			res.deepest, res.at, res.atH = t.d, [3]int{t.i, t.j, t.k}, t.h
		}
	}
	return nil
}

// bestPath is the deepest of the straight ways.
func (s *shadow) bestPath() pathResult {
	d, i, j, k := s.deepest()
	r := pathResult{deepest: d, at: [3]int{i, j, k}}
	if k >= 0 {
		r.atH, _, _ = s.piece(s.f.Column(i, j), s.f.Offset(i, j), k)
	}
	return r
}
