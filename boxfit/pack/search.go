package pack

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
)

// How much is tried. Judgements of this program: enough for the published best values
// of equal circles and perfect rectangles within 5 and 10 %, in about a second.
const (
	widths    = 24        // of the strip that is filled
	exchanged = 6         // layouts whose order is changed
	swaps     = 1500      // changes in the order of each
	sides     = 2_000_000 // of no-fit polygons that are looked at for each at most
	fewest    = 4         // strips, however much they take
	finalists = 3         // layouts that are drawn together
	starts    = 4         // layouts by chance beside them, for a container of a given shape
	jumps     = 24        // vain moves before a smaller step
)

// shrinks are the steps by which a container is made smaller, as a share of its side.
var shrinks = []float64{0.04, 0.015, 0.005, 0.002}

// search is one packing.
type search struct {
	r        *Request
	pieces   []int // which piece each outline is of
	variants []variant
	turns    [][]int // of a piece: its variants
	nofits   [levels][]*nofit
	tol, pad float64
	gap      float64
	area     float64 // of all outlines with half the gap round them, mm²
	widest   float64 // the least width that every outline fits in
	hasty    bool    // one layout from the bottom left, without any searching
	lbfgs    lbfgs
	chance   uint64
	spent    int // sides of no-fit polygons that were looked at
}

func newSearch(r *Request) *search {
	s := &search{r: r, chance: 1}
	size := 0.0
	for i, p := range r.Pieces {
		list := []int{}
		least := math.Inf(1)
		for _, v := range variants(i, p.Outline) {
			list = append(list, len(s.variants))
			least = min(least, v.hi.X-v.lo.X)
			s.variants = append(s.variants, v)
		}
		s.turns = append(s.turns, list)
		first := &s.variants[list[0]]
		size = max(size, first.reach)
		s.widest = max(s.widest, least)
		around := mesh.PerimeterOf(first.whole)
		s.area += float64(float64(p.Count) * (first.area + float64(around*r.Gap/2) + float64(math.Pi*r.Gap*r.Gap/4)))
		for range p.Count {
			s.pieces = append(s.pieces, i)
		}
	}
	s.tol = 1e-9 * (size + r.Gap)
	s.pad = 1e-4 * (size + r.Gap)
	s.gap = r.Gap
	if s.gap > 0 {
		s.gap += 2 * s.tol
	}
	for k := range s.nofits {
		s.nofits[k] = make([]*nofit, len(s.variants)*len(s.variants))
	}
	return s
}

// between is the no-fit polygon of variant v beside u, made once.
func (s *search) between(how, u, v int) *nofit {
	f := &s.nofits[how][u*len(s.variants)+v]
	if *f == nil {
		*f = between(s.variants[u].pts[how], s.variants[v].pts[how], s.gap, rounding[how])
	}
	return *f
}

// random is a number from 0 to under n: splitmix64 (G. L. Steele, D. Lea, C. H. Flood,
// "Fast splittable pseudorandom number generators", 2014).
func (s *search) random(n int) int {
	s.chance += 0x9e3779b97f4a7c15
	z := s.chance
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}

// share is a random number from 0 to under 1.
func (s *search) share() float64 { return float64(s.random(1<<30)) / (1 << 30) }

// cost is what is made small: the area of the container with its wall, rounded up; of
// a rectangle of a given shape the least length that holds the layout.
func (s *search) cost(a *arrangement) float64 {
	if s.r.Within == Circle {
		return s.layout(a).Radius
	}
	lo, hi := s.extent(a)
	x, y := hi.X-lo.X, hi.Y-lo.Y
	if q := s.r.Ratio; q > 0 {
		return min(max(x, float64(q*y)), max(y, float64(q*x)))
	}
	// What the rounding hides is a tie that the smaller breaks.
	return float64(s.grown(x)*s.grown(y)) + float64(1e-6*(x+y))
}

func (s *search) extent(a *arrangement) (lo, hi mesh.Vec2) {
	lo, hi = mesh.Vec2{X: math.Inf(1), Y: math.Inf(1)}, mesh.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for i, v := range a.of {
		w := &s.variants[v]
		l, h := w.lo.Add(a.at[i]), w.hi.Add(a.at[i])
		lo, hi = mesh.Vec2{X: min(lo.X, l.X), Y: min(lo.Y, l.Y)}, mesh.Vec2{X: max(hi.X, h.X), Y: max(hi.Y, h.Y)}
	}
	return lo, hi
}

// found is an arrangement with its cost and how it came about.
type found struct {
	*arrangement
	cost  float64
	order []int
	how   int
	wide  float64
}

// run finds the best arrangement.
func (s *search) run(ctx context.Context) (*arrangement, error) {
	list, err := s.begin(ctx)
	if err != nil {
		return nil, err
	}
	if s.hasty || len(s.pieces) == 1 {
		return list[0].arrangement, nil
	}
	if list, err = s.exchange(ctx, list); err != nil {
		return nil, err
	}
	best := list[0]
	list = list[:min(finalists, len(list))]
	if s.r.Within == Circle || s.r.Ratio > 0 {
		for range starts {
			list = append(list, s.scattered(list[0]))
		}
	}
	for _, f := range list {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if a := s.together(ctx, f.arrangement); a != nil {
			if c := s.cost(a); c < best.cost*(1-1e-9) {
				best = found{arrangement: a, cost: c}
			}
		}
	}
	return best.arrangement, ctx.Err()
}

// orders are those in which outlines are put down: the largest first, by area, by
// length, by width.
func (s *search) orders() [][]int {
	by := func(f func(v *variant) float64) []int {
		order := make([]int, len(s.pieces))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int {
			va, vb := &s.variants[s.turns[s.pieces[a]][0]], &s.variants[s.turns[s.pieces[b]][0]]
			return cmp.Compare(f(vb), f(va))
		})
		return order
	}
	long := func(v *variant) float64 { return max(v.hi.X-v.lo.X, v.hi.Y-v.lo.Y) }
	wide := func(v *variant) float64 { return min(v.hi.X-v.lo.X, v.hi.Y-v.lo.Y) }
	list := [][]int{by(func(v *variant) float64 { return v.area })}
	for _, f := range []func(*variant) float64{long, wide} {
		if o := by(f); !s.hasty && !slices.ContainsFunc(list, func(p []int) bool { return slices.Equal(o, p) }) {
			list = append(list, o)
		}
	}
	return list
}

// strips are the widths that are filled: of a rectangle from as narrow as goes, or a
// third of a square, to a square, and whole rows of equal outlines; of a rectangle of a given shape
// both its sides about as long as they must be.
func (s *search) strips() []float64 {
	side := math.Sqrt(s.area)
	lo, hi, n := side/2, side*1.25, widths
	if q := math.Sqrt(s.r.Ratio); q > 0 {
		lo, hi = side*min(q, 1/q)*0.95, side*min(q, 1/q)*1.4
	}
	if s.r.Within == Circle {
		lo, hi, n = side*0.8, side*1.2, 4
	}
	lo, hi = max(lo, s.widest), max(hi, s.widest)
	if s.hasty {
		return []float64{max(side, s.widest)}
	}
	var out []float64
	for k := range n {
		out = append(out, lo+float64((hi-lo)*float64(k)/float64(n-1)))
	}
	if s.r.Within == Rectangle && len(s.turns) == 1 {
		v := &s.variants[s.turns[0][0]]
		for _, w := range []float64{v.hi.X - v.lo.X, v.hi.Y - v.lo.Y} {
			for k := 1; k <= len(s.pieces); k++ {
				if row := float64(float64(k)*w) + float64(float64(k-1)*s.gap); row >= s.widest && row <= 1.1*hi {
					out = append(out, row+s.tol)
				}
			}
		}
	}
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(a-b) < 1e-6*side })
}

// begin lays all outlines out from the bottom left, in strips of many widths, and round
// the origin; the best first.
func (s *search) begin(ctx context.Context) ([]found, error) {
	var list []found
	take := func(order []int, how int, wide float64) {
		if a := s.put(order, how, wide); a != nil {
			list = append(list, found{a, s.cost(a), order, how, wide})
		}
	}
	orders, strips := s.orders(), s.strips()
	for k, order := range orders {
		if s.r.Within == Circle {
			take(order, rough, 0)
		}
		for i := 0; i < len(strips); i++ {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if !s.hasty {
				take(order, boxed, strips[i])
			}
			was := s.spent
			take(order, rough, strips[i])
			if k == 0 && i == 0 { // as many strips as there is time for
				n := exchanged * sides / max(1, (s.spent-was)*len(orders))
				strips = thinned(strips, max(n, fewest))
			}
		}
	}
	return ranked(list), nil
}

// thinned is at most n of a list, spread over it, the first one always.
func thinned(list []float64, n int) []float64 {
	if len(list) <= n {
		return list
	}
	out := make([]float64, n)
	for k := range out {
		out[k] = list[k*(len(list)-1)/(n-1)]
	}
	return out
}

// ranked sorts arrangements, the best first, and keeps one of those that cost the same.
func ranked(list []found) []found {
	slices.SortStableFunc(list, func(a, b found) int { return cmp.Compare(a.cost, b.cost) })
	return slices.CompactFunc(list, func(a, b found) bool { return math.Abs(a.cost-b.cost) <= 1e-9*b.cost })
}

// exchange changes two in the order of the best, and the width of its strip, as long
// as that helps; each of the best few has its share of the tries.
func (s *search) exchange(ctx context.Context, list []found) ([]found, error) {
	if len(s.turns) == 1 {
		return list, nil // all are alike
	}
	n := len(s.pieces)
	for f := range list[:min(exchanged, len(list))] {
		from := s.spent
		for try := 0; try < swaps && s.spent-from < sides; try++ {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			at := &list[f]
			order, wide := slices.Clone(at.order), at.wide
			i, j := s.random(n), s.random(n)
			order[i], order[j] = order[j], order[i]
			if wide > 0 && (s.random(2) == 0 || s.pieces[order[i]] == s.pieces[order[j]]) {
				wide = max(s.widest, wide*(0.9+float64(0.2*s.share())))
			}
			if a := s.put(order, at.how, wide); a != nil {
				if c := s.cost(a); c <= at.cost {
					*at = found{a, c, order, at.how, wide}
				}
			}
		}
	}
	return ranked(list), nil
}

// scattered is an arrangement by chance over the room of another.
func (s *search) scattered(f found) found {
	a := f.clone()
	r := s.roomOf(a)
	for i := range a.at {
		a.at[i] = s.anywhere(&r)
	}
	return found{arrangement: a}
}

// anywhere is a point of the room by chance.
func (s *search) anywhere(r *room) mesh.Vec2 {
	if r.radius > 0 {
		d, t := r.radius*math.Sqrt(s.share()), 2*math.Pi*s.share()
		return mesh.Vec2{X: d * math.Cos(t), Y: d * math.Sin(t)}
	}
	return mesh.Vec2{X: r.x * s.share(), Y: r.y * s.share()}
}

// roomOf moves an arrangement so that it begins at the origin, or lies round it, and
// returns the least room that holds it.
func (s *search) roomOf(a *arrangement) room {
	if s.r.Within == Circle {
		var all []mesh.Vec2
		for i, v := range a.of {
			for _, p := range s.variants[v].pts[fine] {
				all = append(all, p.Add(a.at[i]))
			}
		}
		c := mesh.MinCircle(all)
		a.shift(c.Center)
		return room{radius: c.Radius}
	}
	lo, hi := s.extent(a)
	a.shift(lo)
	r := room{x: hi.X - lo.X, y: hi.Y - lo.Y}
	if q := s.r.Ratio; q > 0 {
		if max(r.x, float64(q*r.y)) > max(r.y, float64(q*r.x)) {
			q = 1 / q
		}
		r.x = max(r.x, float64(q*r.y))
		r.y = r.x / q
	}
	return r
}

func (a *arrangement) shift(by mesh.Vec2) {
	for i, p := range a.at {
		a.at[i] = p.Sub(by)
	}
}

// together draws an arrangement together: the room is made smaller as long as the
// overlaps that this brings are driven out. nil = not even the room that it came in
// holds it.
func (s *search) together(ctx context.Context, from *arrangement) *arrangement {
	a := from.clone()
	r := s.roomOf(a)
	// The pad is room for rounding; what touches is moved apart by that.
	loose := r.shrunk(-loosened, 0, true)
	a.scale(&r, &loose)
	if a = s.fit(ctx, a, &loose, false); a == nil {
		return nil
	}
	r = s.roomOf(a)
	for _, by := range shrinks {
		for side, vain := 0, 0; vain < 2 && ctx.Err() == nil; side++ {
			next := r.shrunk(by, side, s.r.Ratio > 0)
			try := a.clone()
			try.scale(&r, &next)
			if try = s.fit(ctx, try, &next, vain > 0); try == nil {
				vain++
				continue
			}
			a, vain = try, 0
			r = s.roomOf(a)
		}
	}
	return a
}

// loosened is by what share of its size a layout is loosened before it is drawn
// together.
const loosened = 1e-3

// fit moves outlines until a room holds them; nil = it does not. hard says that moves
// by chance are tried where the overlaps do not go away by themselves.
func (s *search) fit(ctx context.Context, a *arrangement, r *room, hard bool) *arrangement {
	tight := s.padded(*r)
	if s.separate(a, &tight) {
		return a
	}
	if !hard {
		return nil
	}
	for range jumps {
		if ctx.Err() != nil {
			return nil
		}
		try := a.clone()
		s.jump(try, &tight)
		if s.separate(try, &tight) {
			return try
		}
		if s.overlapOf(try, &tight) < s.overlapOf(a, &tight) {
			a = try
		}
	}
	return nil
}

// overlapOf is what separate has left.
func (s *search) overlapOf(a *arrangement, r *room) float64 {
	x, g := make([]float64, 2*len(a.at)), make([]float64, 2*len(a.at))
	for i, p := range a.at {
		x[2*i], x[2*i+1] = p.X, p.Y
	}
	return s.overlap(a.of, r, x, g)
}

// padded is a room without the pad on all sides.
func (s *search) padded(r room) room {
	if r.radius > 0 {
		r.radius -= s.pad
		return r
	}
	r.x, r.y = r.x-s.pad, r.y-s.pad
	return r
}

// shrunk is a smaller room: by a side at a time where its shape is free.
func (r room) shrunk(by float64, side int, both bool) room {
	k := 1 - by
	switch {
	case r.radius > 0:
		r.radius *= k
	case both:
		r.x, r.y = r.x*k, r.y*k
	case side%2 == 0:
		r.y *= k
	default:
		r.x *= k
	}
	return r
}

// scale moves outlines with their room.
func (a *arrangement) scale(from, to *room) {
	x, y := 1.0, 1.0
	if from.radius > 0 {
		x = to.radius / from.radius
		y = x
	} else if from.x > 0 && from.y > 0 {
		x, y = to.x/from.x, to.y/from.y
	}
	for i, p := range a.at {
		a.at[i] = mesh.Vec2{X: p.X * x, Y: p.Y * y}
	}
}

// jump changes an arrangement that cannot be separated: two change places, one is
// turned, or the one with the most overlap goes elsewhere.
func (s *search) jump(a *arrangement, r *room) {
	n := len(a.at)
	i := s.worst(a, r)
	if s.random(3) == 0 {
		i = s.random(n)
	}
	j := s.random(n)
	turns := s.turns[s.pieces[i]]
	switch s.random(3) {
	case 0:
		a.at[i], a.at[j] = a.at[j], a.at[i]
	case 1:
		a.of[i] = turns[s.random(len(turns))]
	default:
		a.at[i] = s.anywhere(r)
	}
}
