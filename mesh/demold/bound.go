package demold

import (
	"context"
	"math"
	"math/bits"

	"moldtally/mesh/dexel"
)

// A path is never shorter than the straight way out. What follows finds the
// deepest straight way of a whole shadow, and nothing else of it, for a small
// part of the cost of shadow.find: a gap is asked for its nearest exit only
// where the exit of its neighbour lies farther than the deepest found so far.

// seeker walks over columns and keeps the deepest straight way out.
type seeker struct {
	s    *shadow
	most int64 // squared cells: what is no deeper than this does not count
	q    nearest
}

// try looks at column (i, j) at the height that open gave z for.
func (k *seeker) try(i, j int, z float32) {
	s := k.s
	k.q.d2 = math.MaxInt64
	if k.q.at >= 0 && s.tops[k.q.at] <= z {
		k.q.d2 = dist2(i, j, int(k.q.at)%s.f.NX, int(k.q.at)/s.f.NX)
		if k.q.d2 <= k.most {
			return
		}
	} else {
		k.q.at = -1
	}
	s.pyr.nearest(i, j, z, &k.q)
	if k.q.at >= 0 {
		k.most = max(k.most, k.q.d2)
	}
}

// below is the largest squared distance in cells that is no more than d mm.
func (s *shadow) below(d float64) int64 {
	c := d / s.f.Cell
	return int64(c * c * (1 + 1e-12))
}

// sparse is the stride of a first pass over the columns, which finds a depth
// near the deepest so that the second pass has little left to ask.
const sparse = 6

// straight is the deepest straight way out of all gaps, mm: what deepest
// returns after find.
func (s *shadow) straight() float64 {
	k := seeker{s: s, q: nearest{at: -1}}
	for _, step := range [2]int{sparse, 1} {
		for j := 0; j < s.f.NY; j += step {
			for i := 0; i < s.f.NX; i += step {
				col, off := s.f.Column(i, j), s.f.Offset(i, j)
				for n := range col {
					if lo, _, ok := s.piece(col, off, n); ok {
						k.try(i, j, s.open(lo))
					}
				}
			}
		}
	}
	return math.Sqrt(float64(k.most)) * s.f.Cell
}

// cut returns the deepest straight way out at height h of the gaps that h cuts,
// mm, or least where that is more.
func (s *shadow) cut(h, least float64) float64 {
	if math.IsInf(least, 1) {
		return least
	}
	f := s.f
	from := s.below(least)
	k := seeker{s: s, most: from, q: nearest{at: -1}}
	z := s.open(h)
	for _, step := range [2]int{sparse, 1} {
		for j := 0; j < f.NY; j += step {
			for i := 0; i < f.NX; i += step {
				if s.tops[j*f.NX+i] <= z {
					continue
				}
				col := f.Column(i, j)
				for n := range col {
					if col[n].Top > h {
						if col[n].Bottom > h && s.rubber.kind[f.Offset(i, j)+n] == gapRubber {
							k.try(i, j, z)
						}
						break
					}
				}
			}
		}
	}
	if k.most == from {
		return least
	}
	return max(least, math.Sqrt(float64(k.most))*f.Cell)
}

// floors answers how deep the gaps are whose floor lies above a height.
type floors struct {
	lo, hi float64
	deep   []float32 // per bin of height: deepest gap whose floor lies in it or above
}

// newFloors fills the bins, over the height of the pattern above the clip.
func newFloors(s *shadow, height float64, bins int) *floors {
	fl := &floors{lo: s.clip, hi: s.clip + height, deep: make([]float32, bins+1)}
	k := seeker{s: s, q: nearest{at: -1}}
	for j := range s.f.NY {
		for i := range s.f.NX {
			col, off := s.f.Column(i, j), s.f.Offset(i, j)
			for n := 1; n < len(col); n++ { // the first gap has no floor
				lo, _, ok := s.piece(col, off, n)
				if !ok {
					continue
				}
				b := fl.bin(lo)
				k.most = s.below(float64(fl.deep[b]))
				was := k.most
				if k.try(i, j, s.open(lo)); k.most == was {
					continue
				}
				d := float32(math.Sqrt(float64(k.most)) * s.f.Cell)
				for ; b >= 0 && fl.deep[b] < d; b-- {
					fl.deep[b] = d
				}
			}
		}
	}
	return fl
}

func (fl *floors) bin(h float64) int {
	n := len(fl.deep) - 1
	return min(max(int((h-fl.lo)/(fl.hi-fl.lo)*float64(n)), 0), n)
}

// above is the depth of the deepest gap whose floor lies above h, mm.
func (fl *floors) above(h float64) float64 { return float64(fl.deep[fl.bin(h)]) }

// spreadOut orders heights so that the first few already span them all: what
// is deep at one is mostly deep near by.
func spreadOut(zs []float64) []float64 {
	out := make([]float64, 0, len(zs))
	width := bits.Len(uint(len(zs)))
	for k := range uint64(1) << width {
		if r := bits.Reverse64(k) >> (64 - width); r < uint64(len(zs)) {
			out = append(out, zs[r])
		}
	}
	return out
}

// glance solves single levels quickly: at half resolution where the field has
// columns to spare, and then at full resolution for what has no way out, where
// half found none and at every other level besides.
type glance struct {
	s            *shadow
	hs           []hard
	rise, narrow float64
	fine, half   *level
	n            int
}

// spare is how many columns across the field half resolution takes.
const spare = 80

func newGlance(s *shadow, hs []hard, a *analysis) *glance {
	g := &glance{s: s, hs: hs, rise: a.rise(), narrow: a.narrow(), fine: newLevel(s, 1)}
	if a.size/s.f.Cell > spare {
		g.half = newLevel(s, 2)
	}
	return g
}

// at is the deepest path at a height, mm; +Inf where some rubber has no way out.
func (g *glance) at(z float64) float64 {
	deepest := func(vals []value) (d float64) {
		for _, v := range vals {
			d = max(d, float64(v.d))
		}
		return d
	}
	if g.half == nil {
		return deepest(g.fine.solve(z, g.hs, g.rise, g.narrow, onlyLocked|onlyFree))
	}
	d := deepest(g.half.solve(z, g.hs, g.rise, g.narrow, onlyFree))
	g.n++
	if g.half.suspect || g.n%2 == 1 {
		d = max(d, deepest(g.fine.solve(z, g.hs, g.rise, g.narrow, onlyLocked)))
	}
	return d
}

// parts is a field as two halves of a mold that part it, for a quick look: what
// is known of the ways out is the straight ones and the levels solved so far.
type parts struct {
	half      [2]partsHalf // upper and lower
	base, top float64
}

type partsHalf struct {
	s      *shadow
	floors *floors
	levels []float64    // not solved yet
	known  [][2]float64 // height and deepest path there, +Inf = locked
	look   *glance
	cuts   [][2]float64 // height and deepest straight way there
}

func newParts(f *dexel.Field, base, top, eps float64) *parts {
	p := &parts{base: base, top: top}
	const bins = 512
	inf := math.Inf(-1)
	for k, f := range [2]*dexel.Field{f, mirror(f)} {
		low := base
		if k == 1 {
			low = -top
		}
		s := newShadow(f, newRubberSpace(f, inf, inf, eps, nil), low, low, eps)
		p.half[k] = partsHalf{s: s, floors: newFloors(s, top-base, bins)}
	}
	return p
}

// straight is the deepest straight way out of the half above its height h, mm.
// The same heights are asked for again and again.
func (p *partsHalf) straight(h float64) float64 {
	for _, c := range p.cuts {
		if c[0] == h {
			return c[1]
		}
	}
	d := p.s.cut(h, p.floors.above(h))
	p.cuts = append(p.cuts, [2]float64{h, d})
	return d
}

// path is what is known of the deepest way out above h, mm: no less than it is.
func (p *partsHalf) path(h float64) float64 {
	best := p.straight(h)
	for _, k := range p.known {
		if k[0] >= h {
			best = max(best, k[1])
		}
	}
	return best
}

// cross returns the height at which the deeper of the two halves is least, and
// how deep that is: the upper half's only falls as the parting rises and the
// lower half's only grows, so it is where they cross.
func (p *parts) cross() (h, least float64) {
	const rounds = 9 // to a fraction of the columns' width
	lo, hi := p.base, p.top
	h, least = lo, math.Inf(1)
	try := func(z float64) bool {
		u, l := p.half[0].path(z), p.half[1].path(-z)
		if d := max(u, l); d < least {
			h, least = z, d
		}
		return u > l
	}
	if hi <= lo || !try(lo) {
		return h, min(least, p.half[0].path(lo))
	}
	try(hi)
	for range rounds {
		if mid := (lo + hi) / 2; try(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return h, least
}

// solve finds the least path of any flat parting, as long as it is within a
// limit, mm. Levels are solved only where the best parting known so far still
// rests on straight ways alone.
func (p *parts) solve(ctx context.Context, a *analysis, limit float64) (h, least float64, within bool, err error) {
	if h, least = p.cross(); least > limit {
		return h, least, false, nil
	}
	for k := range p.half {
		d := &p.half[k]
		if err := d.s.find(ctx); err != nil {
			return 0, 0, false, err
		}
		hs, err := d.s.blocked(ctx)
		if err != nil {
			return 0, 0, false, err
		}
		if len(hs) > 0 {
			d.levels, d.look = spreadOut(d.s.levels(hs)), newGlance(d.s, hs, a)
		}
	}
	for {
		solved := false
		for k := range p.half {
			d := &p.half[k]
			at := h
			if k == 1 {
				at = -h
			}
			const some = 4 // levels between two looks at what they change
			n := 0
			rest := d.levels[:0]
			for _, z := range d.levels {
				if z < at || n == some {
					rest = append(rest, z)
					continue
				}
				n++
				if err := ctx.Err(); err != nil {
					return 0, 0, false, err
				}
				d.known = append(d.known, [2]float64{z, d.look.at(z)})
			}
			d.levels = rest
			solved = solved || n > 0
		}
		if !solved {
			return h, least, true, nil
		}
		if h, least = p.cross(); least > limit {
			return h, least, false, nil
		}
	}
}

// partedWithin judges the direction of a field for halves; see tryWithin.
func (a *analysis) partedWithin(ctx context.Context, t *trial, limit float64) (bool, error) {
	p := newParts(a.f, a.base, a.top, a.eps)
	h, least, within, err := p.solve(ctx, a, limit)
	t.path = least
	if err != nil || !within {
		return false, err
	}
	t.depth = max(p.half[0].straight(h), p.half[1].straight(-h))
	vol, _ := a.partedVolumes([]float64{h})
	t.volume = vol[0] + a.between()
	return true, nil
}
