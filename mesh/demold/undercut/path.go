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
	doubt    float64 // how much less it may be, but for the columns, mm
	more     float64 // how much more, mm
	at       place
	locked   bool    // some rubber has no way out
	lockedAt place   // in the largest lock
	stiff    bool    // some lock is too large to be bent out of the way
	bend     float64 // size of the largest lock that is not, mm
	shut     float64 // volume without a way out, specks too, mm³
	specks   int     // bodies of it that are no locks
	locks    []Lock
	areas    []shutArea // of shut, in order of height
	levels   []peak     // those solved at full resolution for length
}

// paths fills s.path. It starts from the depths: where the straight way to the
// nearest exit is free at all heights of a gap, path and depth are one, for at
// greater height the shadow only shrinks. What is left is solved height by
// height.
func (s *shadow) paths(ctx context.Context, to look) (deepestPaths, error) {
	s.path = slices.Clone(s.depth)
	bs, err := s.blocked(ctx)
	if err != nil {
		return deepestPaths{}, err
	}
	var res deepestPaths
	res.length, res.at = s.deepest()
	straight := res.length
	if len(bs) == 0 {
		return res, nil
	}
	p := newPathSolver(s, bs)
	tops, shut, err := p.eachLevel(ctx, to)
	if err != nil {
		return deepestPaths{}, err
	}
	if err := p.lock(ctx, &res, shut); err != nil {
		return deepestPaths{}, err
	}
	if err := p.refine(ctx, &res, tops, to.scan); err != nil {
		return deepestPaths{}, err
	}
	if to.scan {
		if err := p.hangs(ctx, &res, straight); err != nil {
			return deepestPaths{}, err
		}
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

// look is how closely eachLevel looks: at every how many of its heights what is
// shut in is looked for at full resolution, whatever half of it finds, and
// whether heights between are scanned.
type look struct {
	every int
	scan  bool
}

// toReport serves the figures, toPart the choice of a height. Judgement of this
// program.
var toReport, toPart = look{2, true}, look{10, false}

// eachLevel solves every level and returns the deepest of each. How long the
// ways out are is found at half resolution first. What is shut in is looked for
// at full resolution, where half of it found no way out and at some levels
// besides: those sections come in order.
func (p *pathSolver) eachLevel(ctx context.Context, l look) ([]peak, []shutSection, error) {
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
	var full []float64
	for n, h := range p.heights {
		if n%l.every == 0 || suspect[n] {
			full = append(full, h)
		}
	}
	shut, err := p.sections(ctx, full)
	if err != nil || !l.scan {
		return tops, shut, err
	}
	tops, err = p.scan(ctx, tops)
	return tops, shut, err
}

// Bounds of a scan (judgement of this program): heights, columns across the
// field, and how many of its peaks are solved again.
const (
	scanLevels  = 96
	scanBins    = 8192 // heights told apart where stretches end
	scanColumns = 128
	scanPeaks   = 8
)

// scan looks for heights that the levels at hand miss: a path that is deep only
// within a tenth of a millimetre is deep all the same. It solves many heights on
// few columns, and those that may be the deepest again at half resolution. All
// levels solved so come back in order of height.
func (p *pathSolver) scan(ctx context.Context, tops []peak) ([]peak, error) {
	found, stride := p.knownRough()
	if found == nil {
		var err error
		if found, stride, err = p.roughly(ctx); err != nil {
			return nil, err
		}
	}
	best := 0.0
	for _, t := range append(found, tops...) {
		best = max(best, t.d)
	}
	// Coarse columns err by two of their cells at most.
	slack := 2 * float64(stride) * p.s.f.Cell
	slices.SortStableFunc(found, func(a, b peak) int { return cmp.Compare(b.d, a.d) })
	again := found[:min(len(found), scanPeaks)]
	again = slices.DeleteFunc(slices.Clone(again), func(t peak) bool { return t.d == 0 || t.d < best-slack })
	err := par.Each(ctx, len(again), func(n int) { again[n] = p.solve(p.coarse, again[n].z) })
	if err != nil {
		return nil, err
	}
	tops = append(tops, again...)
	slices.SortFunc(tops, func(a, b peak) int { return cmp.Compare(a.z, b.z) })
	return tops, nil
}

// roughly solves many heights, in order, on every stride-th column both ways.
func (p *pathSolver) roughly(ctx context.Context) (found []peak, stride int, err error) {
	heights := p.scanned()
	found = make([]peak, len(heights))
	stride = p.s.scanStride()
	pool := newLevelPool(p.s, stride)
	var there []blockage // in the columns that are solved
	for _, b := range p.bs {
		if int(b.i)%stride == 0 && int(b.j)%stride == 0 {
			there = append(there, b)
		}
	}
	err = par.Each(ctx, len(found), func(n int) {
		l := pool.take()
		defer pool.give(l)
		found[n].z = heights[n]
		for _, v := range l.solve(found[n].z, there, askFree) {
			found[n].d = max(found[n].d, float64(v.d))
		}
	})
	return found, stride, err
}

// scanStride is how many columns a scan goes on by.
func (s *shadow) scanStride() int { return max(2, max(s.f.NX, s.f.NY)/scanColumns) }

// knownRough is what roughly found before the half had its floor: nil where it was
// not asked.
func (p *pathSolver) knownRough() (found []peak, stride int) {
	for _, t := range p.s.rough {
		if t.z > p.s.floor {
			found = append(found, t)
		}
	}
	return found, p.s.scanStride()
}

// scanned are the heights of a scan: half of them evenly over what is blocked,
// the others where stretches of it begin and end, for there the ways out change.
func (p *pathSolver) scanned() []float64 {
	const even = scanLevels / 2
	lo, hi := p.span()
	heights := make([]float64, 0, scanLevels)
	for n := range even {
		heights = append(heights, lo+(hi-lo)*(float64(n)+0.5)/even)
	}
	var ends [scanBins]int
	bin := func(z float64) int { return min(int((z-lo)/(hi-lo)*scanBins), scanBins-1) }
	for _, b := range p.bs {
		ends[bin(b.lo)]++
		ends[bin(b.hi)]++
	}
	// A flat face is one height, however large it is.
	most, sum := max(2*len(p.bs)/even, 1), 0
	for _, n := range ends {
		sum += min(n, most)
	}
	taken, passed := 0, 0
	for b, n := range ends {
		passed += min(n, most)
		if want := passed * even / sum; want > taken {
			taken = want
			heights = append(heights, lo+(hi-lo)*(float64(b)+0.5)/scanBins)
		}
	}
	slices.Sort(heights)
	return heights
}

// span is the span of heights that something is blocked in.
func (p *pathSolver) span() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, b := range p.bs {
		lo, hi = min(lo, b.lo), max(hi, b.hi)
	}
	return lo, hi
}

// peak is the deepest path at a level; k = -1 where there is none.
type peak struct {
	place
	d float64 // mm
}

// refine closes in on the deepest path: it is not monotone in height. The
// heights of the deepest few are found at half resolution, the figure at full.
func (p *pathSolver) refine(ctx context.Context, res *deepestPaths, tops []peak, scan bool) error {
	best := 0.0
	for _, t := range tops {
		best = max(best, t.d)
	}
	// Half resolution errs by two of its cells at most, four of the field's.
	slack := 4 * p.s.f.Cell
	if best == 0 || best < res.length-slack {
		return nil
	}
	if scan {
		var err error
		if tops, err = p.teeth(ctx, tops, max(best, res.length)); err != nil {
			return err
		}
	}
	rivals, err := p.rivals(ctx, tops, slack)
	if err != nil {
		return err
	}
	best = 0
	var final []float64
	for n, r := range rivals[:min(len(rivals), finalLevels)] {
		if r.k < 0 || r.d < max(best, res.length)-slack {
			break
		}
		best = max(best, r.d)
		final = append(final, r.z)
		if n < closedIn {
			t, err := p.closeIn(ctx, tops, r)
			if err != nil {
				return err
			}
			if t.z != r.z {
				final = append(final, t.z)
			}
		}
	}
	found := make([]peak, len(final))
	if err := par.Each(ctx, len(final), func(n int) { found[n] = p.lasting(p.fine, final[n]) }); err != nil {
		return err
	}
	res.levels = found
	for _, t := range found {
		if t.k >= 0 && t.d > res.length {
			res.length, res.at = t.d, t.place
		}
	}
	return nil
}

// How many of the deepest levels are solved at full resolution, and between how
// many of them and their neighbours a deeper one is sought. Judgement of this
// program.
const finalLevels, closedIn = 5, 3

// closeIn seeks the deepest height round t, one of the levels tops, by halving
// the heights to its neighbours.
func (p *pathSolver) closeIn(ctx context.Context, tops []peak, t peak) (peak, error) {
	lo, hi := t.z, t.z
	for _, x := range tops {
		if x.z < t.z {
			lo = x.z
		} else if x.z > t.z {
			hi = x.z
			break
		}
	}
	for range 5 {
		if hi-lo < p.s.f.Cell/2 {
			break
		}
		pair := [2]float64{(lo + t.z) / 2, (t.z + hi) / 2}
		var two [2]peak
		if err := par.Each(ctx, 2, func(n int) { two[n] = p.lasting(p.coarse, pair[n]) }); err != nil {
			return t, err
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
	return t, nil
}
