package undercut

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
)

// part chooses the height of the parting of a two-part or cut mold, unless it is
// given, and returns it with its halves. Their path may be that much over the least
// of any parting, mm: within the uncertainty another figure decided.
func part(ctx context.Context, c *scene.Scene, o Options) (height float64, best [2]*half, over float64, err error) {
	p := newPartings(c, partingBins)
	p.roughly = o.Roughly
	if o.Parting != nil {
		best, err = p.at(ctx, *o.Parting, o)
		return *o.Parting, best, 0, err
	}
	if p.Top > p.Base {
		if err := p.solveAll(ctx); err != nil {
			return 0, best, 0, err
		}
		p.speck = p.leastSpeck()
	}
	x, err := p.chosen(ctx, o)
	if err != nil {
		return 0, best, 0, err
	}
	return x.height, x.halves, min(max(x.path-x.least, 0), p.Uncertainty) + min(x.hangs, mostDoubt*x.path), nil
}

// chosen is a parting with its halves.
type chosen struct {
	height float64
	halves [2]*half
	outlook
	least float64 // the least path of those it was chosen from, mm
	hangs float64 // how far that is another where heights are half a cell off, mm
}

// chosen chooses a parting, and again while one turns out worse than the levels told.
func (p *partings) chosen(ctx context.Context, o Options) (best chosen, err error) {
	choices := maxChoices
	if p.compared() {
		choices = 1
	}
	for n := range choices {
		hope, err := p.choose(ctx, p.leastLocked())
		if err != nil {
			return best, err
		}
		if n > 0 && !p.better(hope.outlook, best.outlook) {
			break
		}
		found, err := p.found(ctx, hope, o)
		if err != nil {
			return best, err
		}
		if n == 0 || p.better(found.outlook, best.outlook) {
			best = found
		}
		if !p.better(hope.outlook, found.outlook) {
			break
		}
		p.learn(found.height, found.halves)
	}
	if len(p.upper.shut)+len(p.lower.shut) == 0 || p.compared() {
		return best, nil
	}
	// Coarse columns shut in more than there is: a parting that they rule out is
	// tried where its path is less.
	hope, err := p.choose(ctx, []heights{p.whole()})
	if err != nil || hope.path >= best.path-p.Uncertainty {
		return best, err
	}
	found, err := p.found(ctx, hope, o)
	if err == nil && p.better(found.outlook, best.outlook) {
		best = found
	}
	return best, err
}

// found is a parting as its halves turn out.
func (p *partings) found(ctx context.Context, hope chosen, o Options) (x chosen, err error) {
	x = hope
	if x.halves, err = p.at(ctx, x.height, o); err != nil {
		return x, err
	}
	x.outlook = outlookOf(x.halves)
	return x, nil
}

// maxChoices bounds how often a parting is chosen anew because it turns out
// worse than the levels told. Judgement of this program.
const maxChoices = 5

// outlook is what a parting comes to: what is shut in, mm³, and the deepest path
// of the rest, mm.
type outlook struct{ locked, path float64 }

func outlookOf(halves [2]*half) outlook {
	return outlook{halves[0].shut + halves[1].shut, max(halves[0].length, halves[1].length)}
}

// better reports whether x is better than y by more than the uncertainty.
func (p *partings) better(x, y outlook) bool {
	if d := x.locked - y.locked; math.Abs(d) > p.speck+surplus*y.locked {
		return d < 0
	}
	return x.path < y.path-p.Uncertainty
}

// surplus is how far two volumes of what is shut in, found on different columns,
// are as good as equal. Judgement of this program.
const surplus = 0.03

// at are the halves that part at a height.
func (p *partings) at(ctx context.Context, z float64, o Options) (halves [2]*half, err error) {
	for n, s := range [2]*shadow{p.upper.s.above(z), p.lower.s.above(-z)} {
		if halves[n], err = s.half(ctx, o); err != nil {
			return halves, err
		}
	}
	return halves, nil
}

// locked is what is shut in by a parting, mm³, as far as is known.
func (p *partings) locked(z float64) float64 {
	return shutAbove(p.upper.shut, z) + shutAbove(p.lower.shut, -z)
}

// learn takes in what was found for a parting: paths may be deep at a thin height
// only, between the levels, and places be shut in by coarse columns alone.
func (p *partings) learn(z float64, halves [2]*half) {
	for n, d := range [2]*halfByHeight{&p.upper, &p.lower} {
		for _, t := range halves[n].levels {
			d.solved = append(d.solved, solvedLevel{t.z, t.d, true})
		}
		floor := [2]float64{z, -z}[n]
		d.shut = slices.DeleteFunc(d.shut, func(x shutArea) bool { return x.h >= floor })
		d.shut = append(d.shut, halves[n].areas...)
	}
}

// partingBins is how many heights of floors are told apart where a parting is
// chosen.
const partingBins = 4096

// partingRounds halve the height down to 1/16384 of it.
const partingRounds = 14

// whole is the span of heights that a parting may lie at.
func (p *partings) whole() heights { return heights{p.Base, p.Top} }

// choose chooses the height (along u) in some spans, those where the least rubber
// is locked in, at which the deepest path of the two halves is least;
// within the uncertainty by the least undercut volume, then the largest section,
// then the middle of the heights that tie. The outlook is what that comes to by the
// levels that are solved.
func (p *partings) choose(ctx context.Context, spans []heights) (x chosen, err error) {
	for range maxSharpened {
		if x, err = p.choice(ctx, spans); err != nil || p.compared() {
			return x, err
		}
		if upper := p.upper.probe(x.height); !p.lower.probe(-x.height) && !upper {
			break
		}
	}
	return x, nil
}

// choice is choose by the levels that are solved so far.
func (p *partings) choice(ctx context.Context, spans []heights) (x chosen, err error) {
	x.height = p.Base
	if p.Top <= p.Base {
		return x, nil
	}
	at, paths, err := p.leastPaths(ctx, spans)
	if err != nil {
		return x, err
	}
	x.least = slices.Min(paths)
	if !p.compared() {
		s, by := spans[slices.Index(paths, x.least)], p.Field.Cell/2
		x.hangs = max(p.cross(s, partingRounds, by).least-x.least, x.least-p.cross(s, partingRounds, -by).least)
	}
	most := x.least + p.Uncertainty
	var tie []heights
	for n, s := range spans {
		if paths[n] <= most {
			tie = append(tie, heights{
				stretchTo(at[n], s.lo, func(z float64) bool { return p.upper.path(z) <= most }),
				stretchTo(at[n], s.hi, func(z float64) bool { return p.lower.path(-z) <= most }),
			})
		}
	}
	if err := ctx.Err(); err != nil {
		return x, err
	}
	z := p.leastUndercut(tie)
	x.height, x.outlook = z, outlook{p.locked(z), max(p.upper.path(z), p.lower.path(-z))}
	return x, nil
}

// leastPaths are, for some spans, the height of the least path and how deep that
// is. The levels that those rest on are solved at full resolution.
func (p *partings) leastPaths(ctx context.Context, spans []heights) (at, path []float64, err error) {
	at, path = make([]float64, len(spans)), make([]float64, len(spans))
	found := make([]crossing, len(spans))
	for range maxSharpened {
		for n, s := range spans {
			found[n] = p.cross(s, partingRounds, 0)
			at[n], path[n] = found[n].h, found[n].least
			if err := ctx.Err(); err != nil {
				return nil, nil, err
			}
		}
		most, more := slices.Min(path)+p.Uncertainty, false
		for _, x := range found {
			if x.least > most {
				continue
			}
			// The paths jump: what they are on both sides decides.
			for _, z := range [...]float64{x.between.lo, x.h, x.between.hi} {
				more = p.upper.sharpen(z) || more
				more = p.lower.sharpen(-z) || more
			}
			if !p.compared() {
				more = p.upper.probe(x.h) || more
				more = p.lower.probe(-x.h) || more
			}
		}
		if !more {
			break
		}
	}
	return at, path, nil
}

// maxSharpened bounds how often the levels that a choice rests on are solved
// again. Judgement of this program.
const maxSharpened = 24

// sharpen solves the level that the way out above h rests on at full resolution,
// and reports whether there was one that was not.
func (d *halfByHeight) sharpen(h float64) bool {
	if d.ways == nil {
		return false
	}
	at, best := -1, d.straight(h)
	for n, l := range d.solved {
		if l.h >= h && l.path > best {
			at, best = n, l.path
		}
	}
	if at < 0 || d.solved[at].full {
		return false
	}
	d.solved[at].path, d.solved[at].full = d.ways.lasting(d.ways.fine, d.solved[at].h).d, true
	return true
}

// probe solves the level just above h, where a half that parts there is often the
// deepest, and reports whether it was not known.
func (d *halfByHeight) probe(h float64) bool {
	if d.ways == nil {
		return false
	}
	if lo, hi := d.ways.span(); h < lo || h >= hi {
		return false
	}
	for _, l := range d.solved {
		if l.full && h <= l.h && l.h < h+d.s.f.Cell/2 {
			return false
		}
	}
	z := h + 2*d.s.eps
	d.solved = append(d.solved, solvedLevel{z, d.ways.lasting(d.ways.fine, z).d, true})
	return true
}

// leastLocked are the spans of heights of a parting that locks the least
// rubber in: within what is a speck.
func (p *partings) leastLocked() []heights {
	if len(p.upper.shut) == 0 && len(p.lower.shut) == 0 {
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
	locked, least := make([]float64, len(zs)), math.Inf(1)
	for n, z := range zs {
		locked[n] = p.locked(z)
		least = min(least, locked[n])
	}
	most := least + p.speck/2 // so that it does not lock where the least does not
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

// leastSpeck is what is no lock where the undercut is least, mm³.
func (p *partings) leastSpeck() float64 {
	const even = 24
	vol, _ := partedVolumes(p.Field, p.whole().even(even))
	return max(leastLock, shareOfLock*slices.Min(vol))
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

// partedVolumes returns, for partings at the given heights, in order either way, the
// undercut volume of both halves and the area of S's section. A column tells at which
// of the heights it begins to count, and sums over those follow.
func partedVolumes(f *dexel.Field, zs []float64) (vol, area []float64) {
	n := len(zs)
	if n > 1 && zs[0] > zs[n-1] {
		back := slices.Clone(zs)
		slices.Reverse(back)
		vol, area = partedVolumes(f, back)
		slices.Reverse(vol)
		slices.Reverse(area)
		return vol, area
	}
	type part struct{ number, sum float64 } // of columns, and their heights over the first parting
	low := make([]part, n+1)                // whose bottom lies under parting k and over those before
	high := make([]part, n+1)               // whose top does
	cut := make([]float64, n+1)             // spans that parting k begins to cut, less those that it no longer does
	row := rowOf(zs)
	for j := range f.NY {
		for i := range f.NX {
			col := f.Column(i, j)
			if len(col) == 0 {
				continue
			}
			b, t := col[0].Bottom, col[len(col)-1].Top
			k := row.from(b)
			low[k].number, low[k].sum = low[k].number+1, low[k].sum+(b-zs[0])
			k = row.past(t)
			high[k].number, high[k].sum = high[k].number+1, high[k].sum+(t-zs[0])
			for _, x := range col {
				// A gap between spans is undercut on both sides of z.
				cut[row.from(x.Bottom)]++
				cut[row.past(x.Top)]--
			}
		}
	}
	vol, area = make([]float64, n), make([]float64, n)
	cell := f.Cell * f.Cell
	var above, below part
	sections := 0.0
	for k := range n {
		below.number, below.sum = below.number+high[k].number, below.sum+high[k].sum
		sections += cut[k]
		vol[k] = float64(below.number*(zs[k]-zs[0])) - below.sum
		area[k] = sections * cell
	}
	for k := n - 1; k >= 0; k-- {
		above.number, above.sum = above.number+low[k+1].number, above.sum+low[k+1].sum
		vol[k] = (vol[k] + above.sum - float64(above.number*(zs[k]-zs[0]))) * cell
	}
	return vol, area
}

// rowOf is a row of heights, rising.
type rowOf []float64

// from is the first of the heights that is at least z, past the first that is more:
// nearly always the one that it would be were they even.
func (r rowOf) from(z float64) int {
	k := r.guess(z)
	for k > 0 && r[k-1] >= z {
		k--
	}
	for k < len(r) && r[k] < z {
		k++
	}
	return k
}

func (r rowOf) past(z float64) int {
	k := r.from(z)
	for k < len(r) && r[k] == z {
		k++
	}
	return k
}

func (r rowOf) guess(z float64) int {
	lo, hi := r[0], r[len(r)-1]
	switch {
	case !(z > lo):
		return 0
	case z >= hi:
		return len(r)
	}
	return min(int((z-lo)/(hi-lo)*float64(len(r)-1))+1, len(r))
}
