package undercut

import (
	"context"
	"math"
	"math/bits"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
)

// A path is never shorter than the straight way out. What follows finds the
// deepest straight way of a whole shadow, and nothing else of it, for a small
// part of the cost of shadow.find: a gap is asked for its nearest exit only
// where the exit of its neighbour lies farther than the deepest found so far.

// AtLeast is the deepest straight way out of a scene, mm: its path is no shorter,
// with halves whatever the parting. It takes a small part of the time of Find.
func AtLeast(c *scene.Scene) float64 {
	if !c.OnBoard() {
		_, least := newPartings(c, quickBins).quickest()
		return least
	}
	return onBoard(c, c.Field, c.Base)
}

// AtLeastTurned is AtLeast of the pattern upside down on its board, from the same
// columns.
func AtLeastTurned(c *scene.Scene) float64 {
	return onBoard(c, scene.FromBelow(c.Field), -c.Top)
}

// onBoard is the deepest straight way out of a field over a board at base, mm.
func onBoard(c *scene.Scene, f *dexel.Field, base float64) float64 {
	line := base + c.Clay
	h := scene.Half{Up: f.U, Field: f, Space: scene.Reached(f, base, line, c.Eps), Floor: line}
	return newShadow(c, h, base).straight()
}

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
	k.q.enough = k.most
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

// newFloors fills the bins, over the height of the pattern above the half's floor.
func newFloors(s *shadow, height float64, bins int) *floors {
	fl := &floors{lo: s.floor, hi: s.floor + height, deep: make([]float32, bins+1)}
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

// interleaved orders heights so that the first few already span them all: what
// is deep at one is mostly deep near by.
func interleaved(zs []float64) []float64 {
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
	bs         []blockage
	fine, half *level // half is nil where there are none to spare
	n          int    // levels solved
}

// spareColumns is how many columns across the field half resolution takes.
const spareColumns = 80

func newQuickLevels(c *scene.Scene, s *shadow, bs []blockage) *quickLevels {
	q := &quickLevels{bs: bs, fine: newLevel(s, 1)}
	if c.Size/s.f.Cell > spareColumns {
		q.half = newLevel(s, 2)
	}
	return q
}

// deepest is the deepest path at a height, mm; +Inf where some rubber has no
// way out.
func (q *quickLevels) deepest(z float64) float64 {
	on := func(l *level, ask question) (d float64) {
		for _, v := range l.solve(z, q.bs, ask) {
			d = max(d, float64(v.d))
		}
		return d
	}
	if q.half == nil {
		return on(q.fine, askLocked|askFree)
	}
	d := on(q.half, askFree)
	q.n++
	if q.half.suspect || q.n%2 == 1 {
		d = max(d, on(q.fine, askLocked))
	}
	return d
}

// Figures are what Within finds of a scene. Lengths mm, volumes mm³.
type Figures struct {
	Depth  float64
	Path   float64 // +Inf = locked; where it is over the limit, no more than that is known
	Volume float64 // with halves, what is trapped between them as well
}

// Within judges a scene as long as its path may be within a limit, mm: as soon as
// some of the rubber needs a longer one, or has no way out where another is
// sought, it gives up and reports false. A limit of +Inf judges all. The figures
// are those of the levels alone, without closing in between them. The error is
// the ctx's.
func Within(ctx context.Context, c *scene.Scene, limit float64) (x Figures, within bool, err error) {
	if !c.OnBoard() {
		return partedWithin(ctx, c, limit)
	}
	s := newShadow(c, c.Halves(0)[0], c.Base)
	x.Depth = s.straight()
	if x.Path = x.Depth; x.Path > limit {
		return x, false, nil
	}
	bs, err := s.findBlocked(ctx)
	if err != nil {
		return x, false, err
	}
	if len(bs) > 0 {
		levels := newQuickLevels(c, s, bs)
		for _, h := range interleaved(s.heights(bs)) {
			if err := ctx.Err(); err != nil {
				return x, false, err
			}
			x.Path = max(x.Path, levels.deepest(h))
			if math.IsInf(x.Path, 1) || x.Path > limit {
				break
			}
		}
	}
	if x.Path > limit {
		return x, false, nil
	}
	x.Volume = s.volume()
	return x, true, nil
}
