package demold

import (
	"math"
	"math/bits"

	"moldtally/mesh/demold/scene"
)

// A path is never shorter than the straight way out. What follows finds the
// deepest straight way of a whole shadow, and nothing else of it, for a small
// part of the cost of shadow.find: a gap is asked for its nearest exit only
// where the exit of its neighbour lies farther than the deepest found so far.

// deepestExit walks over columns and keeps the deepest straight way out.
type deepestExit struct {
	s    *shadow
	most int64 // squared cells: what is no deeper than this does not count
	q    nearest
}

func newDeepestExit(s *shadow) deepestExit { return deepestExit{s: s, q: nearest{at: -1}} }

// try looks at column (i, j) at the height that open gave z for and reports
// whether its way is the deepest so far.
func (k *deepestExit) try(i, j int, z float32) bool {
	s := k.s
	k.q.d2 = math.MaxInt64
	if k.q.at >= 0 && s.tops[k.q.at] <= z {
		k.q.d2 = dist2(i, j, int(k.q.at)%s.f.NX, int(k.q.at)/s.f.NX)
		if k.q.d2 <= k.most {
			return false
		}
	} else {
		k.q.at = -1
	}
	s.pyr.nearest(i, j, z, &k.q)
	if k.q.at < 0 || k.q.d2 <= k.most {
		return false
	}
	k.most = k.q.d2
	return true
}

// depth is the deepest way so far, mm.
func (k *deepestExit) depth() float64 { return math.Sqrt(float64(k.most)) * k.s.f.Cell }

// within is the largest squared distance in cells that is no more than d mm.
func (s *shadow) within(d float64) int64 {
	c := d / s.f.Cell
	return int64(c * c * (1 + 1e-12))
}

// sparse is the stride of a first pass over the columns, which finds a depth
// near the deepest so that the second pass has little left to ask.
const sparse = 6

// straight is the deepest straight way out of all gaps, mm: what deepest
// returns after find.
func (s *shadow) straight() float64 {
	k := newDeepestExit(s)
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
	return k.depth()
}

// cut returns the deepest straight way out at height h of the gaps that h cuts,
// mm, or least where that is more.
func (s *shadow) cut(h, least float64) float64 {
	if math.IsInf(least, 1) {
		return least
	}
	f := s.f
	k := newDeepestExit(s)
	k.most = s.within(least)
	deeper := false
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
						if col[n].Bottom > h && s.rubber.Fill[f.Offset(i, j)+n] == scene.Rubber {
							deeper = k.try(i, j, z) || deeper
						}
						break
					}
				}
			}
		}
	}
	if !deeper {
		return least
	}
	return max(least, k.depth())
}

// floors answers how deep the gaps are whose floor lies above a height.
type floors struct {
	lo, hi float64
	deep   []float32 // per bin of height: deepest gap whose floor lies in it or above, mm
}

// newFloors fills the bins, over the height of the pattern above the clip.
func newFloors(s *shadow, height float64, bins int) *floors {
	fl := &floors{lo: s.clip, hi: s.clip + height, deep: make([]float32, bins+1)}
	k := newDeepestExit(s)
	for j := range s.f.NY {
		for i := range s.f.NX {
			col, off := s.f.Column(i, j), s.f.Offset(i, j)
			for n := 1; n < len(col); n++ { // the first gap has no floor
				lo, _, ok := s.piece(col, off, n)
				if !ok {
					continue
				}
				b := fl.bin(lo)
				d := fl.deep[b]
				if s.depth != nil {
					d = s.depth[off+n]
				} else if k.most = s.within(float64(d)); k.try(i, j, s.open(lo)) {
					d = float32(k.depth())
				}
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

// quickLevels solves single levels quickly: at half resolution where the field
// has columns to spare, and then at full resolution for what has no way out,
// where half found none and at every other level besides.
type quickLevels struct {
	hs           []hard
	rise, narrow float64
	fine, half   *level // half is nil where there are none to spare
	n            int
}

// spareColumns is how many columns across the field half resolution takes.
const spareColumns = 80

func newQuickLevels(s *shadow, hs []hard, c *scene.Scene) *quickLevels {
	q := &quickLevels{hs: hs, rise: c.Rise(), narrow: c.Narrow(), fine: newLevel(s, 1)}
	if c.Size/s.f.Cell > spareColumns {
		q.half = newLevel(s, 2)
	}
	return q
}

// deepest is the deepest path at a height, mm; +Inf where some rubber has no
// way out.
func (q *quickLevels) deepest(z float64) float64 {
	on := func(l *level, ask uint8) (d float64) {
		for _, v := range l.solve(z, q.hs, q.rise, q.narrow, ask) {
			d = max(d, float64(v.d))
		}
		return d
	}
	if q.half == nil {
		return on(q.fine, onlyLocked|onlyFree)
	}
	d := on(q.half, onlyFree)
	q.n++
	if q.half.suspect || q.n%2 == 1 {
		d = max(d, on(q.fine, onlyLocked))
	}
	return d
}
