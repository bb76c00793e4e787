package nest

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// search looks for a good layout on sheets of one size.
type search struct {
	length, width, kerf float64
	pieces              []Piece
	list                []int // those that a sheet holds
}

// How long is looked for a better layout: tries for a piece, at most so many. The heat
// is the share of the spoilt area by which a layout may be worse than the last one and
// be followed all the same, at first (S. Kirkpatrick, C. Gelatt & M. Vecchi,
// "Optimization by simulated annealing", Science 220, 1983). Judgement of this program:
// a few hundredths of a second.
const (
	triesEach = 300
	mostTries = 6000
	heat      = 0.04
	seed      = 14
)

// best lays the pieces by every rule, and then changes the best way little by little,
// until there are as few sheets as the pieces can be on.
func (s *search) best() *layout {
	best, cur := &layout{}, &layout{}
	var steps []step
	for o := range orders {
		l := s.ordered(o)
		for c := range choices {
			for p := range splits {
				for k := range l {
					l[k].choice, l[k].split = c, p
				}
				s.lay(cur, l)
				if steps == nil || cur.score.less(best.score) {
					best, cur = cur, best
					steps = slices.Clone(l)
				}
			}
		}
	}
	if best.used <= s.least() {
		return best
	}
	return s.anneal(best, steps)
}

// anneal follows small changes of a way of laying, and returns the best that it met.
func (s *search) anneal(best *layout, steps []step) *layout {
	rnd := rand.New(rand.NewPCG(seed, uint64(len(steps))))
	next, cur := slices.Clone(steps), &layout{}
	at, least := best.score, s.least()
	n := min(mostTries, triesEach*len(steps))
	for k := 0; k < n && best.used > least; k++ {
		copy(next, steps)
		for range 1 + rnd.IntN(2) {
			i, j := rnd.IntN(len(next)), rnd.IntN(len(next))
			switch rnd.IntN(3) {
			case 0:
				next[i].piece, next[j].piece = next[j].piece, next[i].piece
			case 1:
				next[i].choice, next[i].split = choice(rnd.IntN(int(choices))), split(rnd.IntN(int(splits)))
			default:
				x := next[i]
				next = slices.Insert(slices.Delete(next, i, i+1), j, x)
			}
		}
		s.lay(cur, next)
		worse := at
		worse.spoilt += heat * (1 - float64(k)/float64(n)) * rnd.ExpFloat64() * best.score.spoilt
		worse.cuts = math.Inf(1)
		if !cur.score.less(worse) {
			continue
		}
		at = cur.score
		steps, next = next, steps
		if cur.score.less(best.score) {
			best = cur
			cur = &layout{}
		}
	}
	return best
}

// ordered are the pieces, the largest first.
func (s *search) ordered(o order) []step {
	key := func(i step) float64 {
		p := s.pieces[i.piece]
		switch o {
		case byArea:
			return p.Length * p.Width
		case byLong:
			return max(p.Length, p.Width)
		case byShort:
			return min(p.Length, p.Width)
		}
		return p.Length + p.Width
	}
	var l []step
	for _, i := range s.list {
		l = append(l, step{piece: i})
	}
	slices.SortStableFunc(l, func(a, b step) int { return cmp.Compare(key(b), key(a)) })
	return l
}

// halvings is how finely it is found out how little of the last sheet will do: to a
// hundredth of it or so (judgement of this program).
const halvings = 7

// trimmed lays the pieces of the last sheet on as little of one as it finds, with all
// beyond one cut across it, or along it, left whole. ok is false where that leaves no
// larger rectangle than have.
func (s *search) trimmed(list []int, have Rect) (sh Sheet, ok bool) {
	for _, along := range [2]bool{false, true} {
		whole := s.length
		if along {
			whole = s.width
		}
		area := 0.0
		for _, i := range list {
			area += (s.pieces[i].Length + s.kerf) * (s.pieces[i].Width + s.kerf)
		}
		lo, hi := area/(s.length*s.width)*whole, whole
		for range halvings {
			part := *s
			part.list = list
			mid := (lo + hi) / 2
			if along {
				part.width = mid
			} else {
				part.length = mid
			}
			if !part.all() {
				lo = mid
				continue
			}
			l := part.best()
			if l.used > 1 {
				lo = mid
				continue
			}
			x, y := l.extent(&part)
			off := Rect{x + s.kerf, 0, s.length - x - s.kerf, s.width}
			cut := Cut{false, x, 0, s.width}
			if hi = x; along {
				hi = y
				off = Rect{0, y + s.kerf, s.length, s.width - y - s.kerf}
				cut = Cut{true, y, 0, s.length}
			}
			if off.Length > 0 && off.Width > 0 && off.Area() > have.Area() {
				if along {
					part.width = y
				} else {
					part.length = x
				}
				// The same steps on what is now no wider than they need.
				sh = l.within(&part)[0]
				sh.Cuts = append([]Cut{cut}, sh.Cuts...)
				have, sh.Offcut, ok = off, off, true
			}
		}
	}
	return sh, ok
}

// all reports whether a sheet holds every piece of the list.
func (s *search) all() bool {
	return !slices.ContainsFunc(s.list, func(i int) bool { return !s.fits(s.pieces[i]) })
}

// extent is how far the pieces reach along a sheet and across it.
func (l *layout) extent(s *search) (x, y float64) {
	for i := range l.laid {
		p := &l.laid[i]
		dx, dy := s.grown(s.pieces[p.Piece], p.Turned)
		x, y = max(x, p.X+dx-s.kerf), max(y, p.Y+dy-s.kerf)
	}
	return x, y
}

// within is the layout on sheets that are cut down to s.
func (l *layout) within(s *search) []Sheet {
	for i := range l.laid {
		f := &l.laid[i].in
		f.Length = min(f.Length, s.length+s.kerf-f.X)
		f.Width = min(f.Width, s.width+s.kerf-f.Y)
	}
	return l.sheets(s)
}

// sheets is the layout as it is told, each sheet in the order in which it is sawn: what
// a first cut parts off waits until the rest is cut up.
func (l *layout) sheets(s *search) []Sheet {
	out := make([]Sheet, l.used)
	for k := range out {
		out[k].Offcut = s.offcut(l, k)
		l.saw(s, k, 0, 0, &out[k])
	}
	return out
}

// saw adds to a sheet what lies in the rectangle at a corner.
func (l *layout) saw(s *search, sheet int, x, y float64, to *Sheet) {
	i := slices.IndexFunc(l.laid, func(p laid) bool { return p.in.sheet == sheet && p.X == x && p.Y == y })
	if i < 0 {
		return
	}
	p := &l.laid[i]
	to.Placed = append(to.Placed, p.Placed)
	to.Cuts = append(to.Cuts, s.cuts(p)...)
	dx, dy := s.grown(s.pieces[p.Piece], p.Turned)
	right, above := rest(p.in.Rect, dx, dy, p.alongX)
	if !p.alongX {
		right, above = above, right
	}
	for _, r := range [2]Rect{right, above} {
		if s.real(r) {
			l.saw(s, sheet, r.X, r.Y, to)
		}
	}
}
