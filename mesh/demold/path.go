package demold

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sync"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/grid"
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
	levels := s.levels(hs)
	fine, coarse := newLevels(s, 1), newLevels(s, 2)
	var mu sync.Mutex
	// keep writes what a level found into s.path, and returns its deepest.
	keep := func(h float64, vals []value) peak {
		t := peak{h: h, k: -1}
		mu.Lock()
		defer mu.Unlock()
		for _, v := range vals {
			g := hs[v.hard]
			s.path[g.gap] = max(s.path[g.gap], v.d)
			if float64(v.d) > t.d {
				t.d, t.i, t.j, t.k = float64(v.d), int(g.i), int(g.j), int(g.gap)-s.f.Offset(int(g.i), int(g.j))
			}
		}
		return t
	}
	// How long the ways out are is found at half resolution first. What is
	// locked is looked for at full resolution, where half of it found no way
	// out and at every other level besides.
	shut := make([]peak, len(levels))
	tops := make([]peak, len(levels))
	suspect := make([]bool, len(levels))
	err = par.Each(ctx, len(levels), func(n int) {
		l := coarse.take()
		tops[n] = keep(levels[n], l.solve(levels[n], hs, rise, narrow, onlyFree))
		suspect[n] = l.suspect
		coarse.give(l)
	})
	if err != nil {
		return pathResult{}, err
	}
	err = par.Each(ctx, len(levels), func(n int) {
		shut[n].k = -1
		if n%2 != 0 && !suspect[n] {
			return
		}
		l := fine.take()
		shut[n] = keep(levels[n], l.solve(levels[n], hs, rise, narrow, onlyLocked))
		fine.give(l)
	})
	if err != nil {
		return pathResult{}, err
	}
	for _, t := range shut {
		if t.k >= 0 {
			res.locked, res.lockAt, res.lockH = true, [3]int{t.i, t.j, t.k}, t.h
			break
		}
	}
	if err := s.refine(ctx, &res, levels, tops, func(n level8, h float64) peak {
		from := coarse
		if n == exactly {
			from = fine
		}
		l := from.take()
		defer from.give(l)
		return keep(h, l.solve(h, hs, rise, narrow, onlyFree))
	}); err != nil {
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

// peak is the deepest path at a level; k = -1 where there is none.
type peak struct {
	h, d    float64
	i, j, k int
}

// level8 says at which resolution a level is solved.
type level8 uint8

const (
	roughly level8 = iota // half
	exactly               // the field's own
)

// refine closes in on the deepest path: it is not monotone in height. The
// height is found at half resolution, the figure at full.
func (s *shadow) refine(ctx context.Context, res *pathResult, levels []float64, tops []peak, solve func(n level8, h float64) peak) error {
	best := -1
	for n, t := range tops {
		if t.k >= 0 && (best < 0 || t.d > tops[best].d) {
			best = n
		}
	}
	// Half resolution errs by two of its cells at most, four of the field's.
	slack := 4 * s.f.Cell
	if best < 0 || tops[best].d < res.deepest-slack {
		return nil
	}
	t := tops[best]
	lo, hi := t.h, t.h
	if best > 0 {
		lo = levels[best-1]
	}
	if best+1 < len(levels) {
		hi = levels[best+1]
	}
	for range 4 {
		if hi-lo < s.f.Cell {
			break
		}
		pair := [2]float64{(lo + t.h) / 2, (t.h + hi) / 2}
		var two [2]peak
		if err := par.Each(ctx, 2, func(n int) { two[n] = solve(roughly, pair[n]) }); err != nil {
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
	if err := par.Each(ctx, len(final), func(n int) { found[n] = solve(exactly, final[n]) }); err != nil {
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

// blocked lists the stretches of gaps whose straight way out is blocked, in
// the order of the gaps.
func (s *shadow) blocked(ctx context.Context) ([]hard, error) {
	f := s.f
	per := make([][]hard, f.NY)
	err := par.Each(ctx, f.NY, func(j int) {
		var out []hard
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				q := s.exit[off+k]
				if s.depth[off+k] == 0 || q < 0 {
					continue
				}
				lo, hi, _ := s.piece(col, off, k)
				out = s.resolve(out, hard{int32(off + k), int32(i), int32(j), lo, hi}, q, 3)
			}
		}
		per[j] = out
	})
	if err != nil {
		return nil, err
	}
	return slices.Concat(per...), nil
}

// resolve appends the parts of h for which no straight way to a nearest exit
// is found; q is the nearest exit at h.lo.
func (s *shadow) resolve(out []hard, h hard, q int32, tries int) []hard {
	var buf [8][2]float64
	n := s.line(int(h.i), int(h.j), int(q)%s.f.NX, int(q)/s.f.NX, h.lo, h.hi, buf[:])
	least := s.f.Cell / 4 // thinner than that is not resolved
	for _, b := range buf[:n] {
		if b[1]-b[0] < least && b[1]-b[0] < (h.hi-h.lo)/2 {
			continue
		}
		part := h
		part.lo, part.hi = b[0], b[1]
		if b[0] <= h.lo+s.eps || tries == 0 {
			out = append(out, part)
			continue
		}
		near := nearest{math.MaxInt64, -1}
		s.pyr.nearest(int(h.i), int(h.j), s.open(b[0]), &near)
		if near.at < 0 || near.at == q {
			out = append(out, part)
			continue
		}
		out = s.resolve(out, part, near.at, tries-1)
	}
	return out
}

// line collects the heights within (lo, hi) at which S stands on the straight
// line between two columns, as at most len(buf) sorted disjoint intervals (the
// closest are joined when there are more).
func (s *shadow) line(i, j, x, y int, lo, hi float64, buf [][2]float64) int {
	dx, dy := x-i, y-j
	steps := max(abs(dx), abs(dy))
	if steps == 0 {
		return 0
	}
	f := s.f
	n := 0
	px, py := int64(i)<<32+1<<31, int64(j)<<32+1<<31
	sx, sy := int64(dx)<<32/int64(steps), int64(dy)<<32/int64(steps)
	zlo := float32(lo - s.ref)
	for t := 1; t < steps; t++ {
		px, py = px+sx, py+sy
		c, r := int(px>>32), int(py>>32)
		if s.tops[r*f.NX+c] <= zlo {
			continue
		}
		for _, sp := range f.Column(c, r) {
			if sp.Top <= lo+s.eps {
				continue
			}
			if sp.Bottom >= hi-s.eps {
				break
			}
			n = insert(buf, n, max(sp.Bottom, lo), min(sp.Top, hi), s.eps)
			if n == 1 && buf[0][0] <= lo+s.eps && buf[0][1] >= hi-s.eps {
				return 1
			}
		}
	}
	return n
}

// insert adds [lo, hi] to the n sorted disjoint intervals of buf.
func insert(buf [][2]float64, n int, lo, hi, eps float64) int {
	a := 0
	for a < n && buf[a][1] < lo-eps {
		a++
	}
	b := a
	for b < n && buf[b][0] <= hi+eps {
		lo, hi = min(lo, buf[b][0]), max(hi, buf[b][1])
		b++
	}
	if a == b { // between two: make room
		if n == len(buf) {
			// Join the closest two, or the new one with its neighbour.
			m, gap := -1, math.Inf(1)
			for k := 0; k+1 < n; k++ {
				if d := buf[k+1][0] - buf[k][1]; d < gap {
					m, gap = k, d
				}
			}
			if a > 0 && lo-buf[a-1][1] <= gap {
				buf[a-1][1] = hi
				return n
			}
			if a < n && buf[a][0]-hi <= gap {
				buf[a][0] = lo
				return n
			}
			buf[m][1] = buf[m+1][1]
			copy(buf[m+1:n-1], buf[m+2:n])
			n--
			if a > m+1 {
				a--
			}
		}
		copy(buf[a+1:n+1], buf[a:n])
		buf[a] = [2]float64{lo, hi}
		return n + 1
	}
	buf[a] = [2]float64{lo, hi}
	copy(buf[a+1:], buf[b:n])
	return n - (b - a - 1)
}

func abs(x int) int {
	if x < 0 {
		return -x
	}
	return x
}

// levels chooses the heights to solve at: evenly over the blocked stretches,
// just above the floors that many of them share, and through stretches that
// would be missed.
func (s *shadow) levels(hs []hard) []float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, h := range hs {
		lo, hi = min(lo, h.lo), max(hi, h.hi)
	}
	const even = maxLevels / 2
	lv := make([]float64, 0, maxLevels)
	for n := range even {
		lv = append(lv, lo+(hi-lo)*(float64(n)+0.5)/even)
	}
	// Floors shared by many: flat floors, and the clip.
	step := s.f.Cell / 4
	bins := make([]int32, int((hi-lo)/step)+1)
	for _, h := range hs {
		bins[int((h.lo-lo)/step)]++
	}
	order := make([]int, 0, 64)
	for b, c := range bins {
		if c >= 16 {
			order = append(order, b)
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(bins[b], bins[a]), cmp.Compare(a, b))
	})
	for _, b := range order[:min(len(order), maxLevels/4)] {
		// The bin's upper end may lie above a thin gap: take the floors in it.
		z := math.Inf(-1)
		for _, h := range hs {
			if int((h.lo-lo)/step) == b {
				z = max(z, h.lo)
			}
		}
		lv = append(lv, z+max(4*s.eps, 0.02*s.f.Cell))
	}
	slices.Sort(lv)
	// Stretches that no level meets yet, shortest-ending first.
	idx := make([]int32, len(hs))
	for n := range idx {
		idx[n] = int32(n)
	}
	slices.SortFunc(idx, func(a, b int32) int {
		return cmp.Or(cmp.Compare(hs[a].hi, hs[b].hi), cmp.Compare(a, b))
	})
	last := math.Inf(-1)
	fixed := slices.Clone(lv)
	for _, n := range idx {
		h := hs[n]
		if last > h.lo && last < h.hi {
			continue
		}
		if m, _ := slices.BinarySearch(fixed, h.lo+s.eps); m < len(fixed) && fixed[m] < h.hi {
			continue
		}
		if len(lv) >= maxLevels {
			break
		}
		last = h.lo + 0.75*(h.hi-h.lo)
		lv = append(lv, last)
	}
	slices.Sort(lv)
	return slices.CompactFunc(lv, func(a, b float64) bool { return math.Abs(b-a) < s.eps })
}

// What a column is at one height.
const (
	cellSolid uint8 = iota
	cellFree        // rubber with S above it
	cellOpen        // rubber with nothing above it
)

// level solves the ways out at one height, over every stride-th column. Its
// arrays are scratch.
type level struct {
	s        *shadow
	stride   int
	nx, ny   int
	class    []uint8
	other    [2][]uint8 // class below and above, with what reaches the open marked
	have     [2]bool
	comp     []int32 // component number, of cellFree cells; 0 = not yet
	way      []uint8 // per component: what it is
	suspect  bool    // not asked for locks, it met what looks like one
	thin     []bool  // narrower than a web; nil = no cell is
	thins    []bool
	spare    []bool
	seen     []bool // has a way out that no narrow passage breaks
	dist     []float32
	base     []float32 // dist at the anchor
	anchor   []int32
	sure     []bool // the line from the anchor was checked
	wait     []bool // in the queue
	cells    []int32
	stack    []int32
	queue    [][]int32
	d2       []int32 // squared distances, cells
	envelope grid.Envelope
}

// levels keeps scratch for reuse.
type levels struct {
	s      *shadow
	stride int
	free   chan *level
}

func newLevels(s *shadow, stride int) *levels { return &levels{s, stride, make(chan *level, 64)} }

func (p *levels) take() *level {
	select {
	case l := <-p.free:
		return l
	default:
		return newLevel(p.s, p.stride)
	}
}

func (p *levels) give(l *level) {
	select {
	case p.free <- l:
	default:
	}
}

func newLevel(s *shadow, stride int) *level {
	nx, ny := (s.f.NX+stride-1)/stride, (s.f.NY+stride-1)/stride
	n := nx * ny
	return &level{s: s, stride: stride, nx: nx, ny: ny, class: make([]uint8, n), comp: make([]int32, n)}
}

// classify fills class for a height.
func (l *level) classify(class []uint8, h float64) {
	s := l.s
	z := s.open(h)
	for y := range l.ny {
		j := y * l.stride
		for x := range l.nx {
			i := x * l.stride
			if s.tops[j*s.f.NX+i] <= z {
				class[y*l.nx+x] = cellOpen
				continue
			}
			col := s.f.Column(i, j)
			v := cellSolid
			for k := range col {
				if col[k].Top > h {
					if col[k].Bottom > h && s.rubber.Fill[s.f.Offset(i, j)+k] == scene.Rubber {
						v = cellFree
					}
					break
				}
			}
			class[y*l.nx+x] = v
		}
	}
}

// value is the path of one hard stretch at a level, mm.
type value struct {
	hard int
	d    float32
}

var around8 = [8][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}}

// What solve is asked for, and what a component is.
const (
	onlyLocked uint8 = 1 << iota
	onlyFree
)

const (
	wayOut    uint8 = iota // its ways out are solved
	wayLocked              // it has none
	wayNoise               // it has none, but is noise
	wayWeb                 // part of it has none but through narrow passages
	wayLeft                // not asked for
)

// solve returns the path at height h of every hard stretch that h meets:
// with onlyLocked those without a way out (+Inf), with onlyFree the others.
func (l *level) solve(h float64, hs []hard, rise, narrow float64, ask uint8) []value {
	var meets []int
	for n, x := range hs {
		if x.lo <= h && h < x.hi {
			meets = append(meets, n)
		}
	}
	if len(meets) == 0 {
		return nil
	}
	if l.dist == nil && ask&onlyFree != 0 {
		n := l.nx * l.ny
		l.dist, l.base, l.anchor = make([]float32, n), make([]float32, n), make([]int32, n)
		l.sure, l.wait = make([]bool, n), make([]bool, n)
	}
	l.classify(l.class, h)
	clear(l.comp)
	l.have = [2]bool{}
	l.suspect = false
	l.way = append(l.way[:0], wayLeft) // component 0 is none
	vals := make([]value, 0, len(meets))
	inf := float32(math.Inf(1))
	for _, n := range meets {
		x, y := int(hs[n].i), int(hs[n].j)
		best := inf
		// The cells round the column: itself at full resolution.
		for v := y / l.stride; v <= (y+l.stride-1)/l.stride; v++ {
			for u := x / l.stride; u <= (x+l.stride-1)/l.stride; u++ {
				if u >= l.nx || v >= l.ny {
					continue
				}
				c := int32(v*l.nx + u)
				if l.class[c] != cellFree {
					continue
				}
				if l.comp[c] == 0 {
					id := int32(len(l.way))
					l.way = append(l.way, wayLeft)
					l.way[id] = l.component(c, id, h, rise, narrow, ask)
				}
				switch l.way[l.comp[c]] {
				case wayLocked:
					if ask&onlyLocked != 0 {
						vals = append(vals, value{n, inf})
					}
				case wayWeb:
					if !l.seen[c] && !l.noise(c, h, rise, narrow) {
						vals = append(vals, value{n, inf})
					}
				case wayOut:
					if math.IsInf(float64(l.dist[c]), 1) {
						l.suspect = true
						continue // shut off by narrow passages: see wayWeb
					}
					a := l.anchor[c]
					dx := float64(x - int(a)%l.nx*l.stride)
					dy := float64(y - int(a)/l.nx*l.stride)
					best = min(best, l.base[c]*float32(l.stride)+float32(math.Sqrt(dx*dx+dy*dy)))
				}
			}
		}
		if best < inf {
			vals = append(vals, value{n, best * float32(l.s.f.Cell)})
		}
	}
	return vals
}

// component floods the free cells round c and solves the ways out of them.
func (l *level) component(c, id int32, h, rise, narrow float64, ask uint8) uint8 {
	l.cells = append(l.cells[:0], c)
	l.comp[c] = id
	exits := false
	x0, y0, x1, y1 := l.nx, l.ny, 0, 0
	step := l.steps()
	for n := 0; n < len(l.cells); n++ {
		at := l.cells[n]
		i, j := int(at)%l.nx, int(at)/l.nx
		x0, y0, x1, y1 = min(x0, i), min(y0, j), max(x1, i), max(y1, j)
		for _, d := range step {
			// The grid's margin is open, so a free cell has all neighbours.
			e := at + d
			switch l.class[e] {
			case cellOpen:
				exits = true
			case cellFree:
				if l.comp[e] == 0 {
					l.comp[e] = id
					l.cells = append(l.cells, e)
				}
			}
		}
	}
	if !exits {
		if ask&onlyLocked == 0 {
			l.suspect = true
			return wayLeft
		}
		return l.shut(h, rise, narrow)
	}
	if ask&onlyFree == 0 {
		if !l.markThin(l.class, x0, y0, x1, y1, narrow) {
			return wayLeft
		}
		// Wide rubber behind narrow passages alone has no way out either.
		if l.seen == nil {
			l.seen = make([]bool, len(l.class))
		}
		for _, e := range l.cells {
			l.seen[e] = false
		}
		l.flood(l.class, l.cells, l.seen)
		for _, e := range l.cells {
			if !l.seen[e] && !l.thin[e] {
				return wayWeb
			}
		}
		return wayLeft
	}
	inf := float32(math.Inf(1))
	for _, e := range l.cells {
		l.dist[e], l.anchor[e], l.sure[e], l.wait[e] = inf, -1, false, false
	}
	l.markThin(l.class, x0, y0, x1, y1, narrow)
	l.spread()
	return wayOut
}

// roomy reports whether the three by three cells round c are free: anything
// smaller is below what the field resolves.
func (l *level) roomy(c int32) bool {
	for _, d := range around8 {
		if l.class[int(c)+d[1]*l.nx+d[0]] == cellSolid {
			return false
		}
	}
	return true
}

// shut decides what the component without exit in l.cells is: locked, or
// noise, that is smaller than the field resolves or open to the way out within
// rise above or below.
func (l *level) shut(h, rise, narrow float64) uint8 {
	room := false
	for _, c := range l.cells {
		if l.roomy(c) {
			room = true
			break
		}
	}
	if !room {
		return wayNoise
	}
	for _, c := range l.cells {
		if l.noise(c, h, rise, narrow) {
			return wayNoise
		}
	}
	return wayLocked
}

// noise reports whether a cell has a way out at a height within rise.
func (l *level) noise(c int32, h, rise, narrow float64) bool {
	for n, z := range [2]float64{h - rise, h + rise} {
		if z <= l.s.clip {
			continue
		}
		if !l.have[n] {
			l.have[n] = true
			if l.other[n] == nil {
				l.other[n] = make([]uint8, len(l.class))
			}
			l.reach(l.other[n], z, narrow)
		}
		if l.other[n][c] == cellOpen {
			return true
		}
	}
	return false
}

// reach classifies at height z and turns the free cells that have a way out
// into open ones.
func (l *level) reach(class []uint8, z, narrow float64) {
	l.classify(class, z)
	keep := l.thin
	mine := l.thins
	l.thins = l.spare
	l.markThin(class, 1, 1, l.nx-2, l.ny-2, narrow)
	var free []int32
	for c, v := range class {
		if v == cellFree {
			free = append(free, int32(c))
		}
	}
	done := make([]bool, len(class))
	l.flood(class, free, done)
	for c, d := range done {
		if d {
			class[c] = cellOpen
		}
	}
	l.spare, l.thins, l.thin = l.thins, mine, keep
}

// flood marks in seen those of the free cells that have a way to an open cell.
func (l *level) flood(class []uint8, free []int32, seen []bool) {
	step := l.steps()
	stack := l.stack[:0]
	for _, c := range free {
		for _, d := range step {
			if class[c+d] == cellOpen {
				seen[c] = true
				stack = append(stack, c)
				break
			}
		}
	}
	for len(stack) > 0 {
		c := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		thin := l.thin != nil && l.thin[c]
		for _, d := range step {
			e := c + d
			if class[e] != cellFree || seen[e] || thin && !l.thin[e] {
				continue
			}
			seen[e] = true
			stack = append(stack, e)
		}
	}
	l.stack = stack
}

// steps are the index steps to the eight cells round one.
func (l *level) steps() (out [8]int32) {
	for n, d := range around8 {
		out[n] = int32(d[1]*l.nx + d[0])
	}
	return out
}

// markThin marks the free cells of the box that no disc as wide as the web
// fits over: rubber there is no way out for wider rubber. It reports whether
// the field resolves such a width at all.
func (l *level) markThin(class []uint8, x0, y0, x1, y1 int, narrow float64) bool {
	r := narrow / 2 / (l.s.f.Cell * float64(l.stride))
	if r < 0.75 {
		l.thin = nil // thinner than the field resolves
		return false
	}
	m := int(r) + 3
	x0, y0, x1, y1 = max(x0-m, 0), max(y0-m, 0), min(x1+m, l.nx-1), min(y1+m, l.ny-1)
	w, h := x1-x0+1, y1-y0+1
	if cap(l.d2) < w*h {
		l.d2 = make([]int32, w*h)
	}
	d2 := l.d2[:w*h]
	if l.thins == nil {
		l.thins = make([]bool, l.nx*l.ny)
	}
	l.thin = l.thins
	for j := range h {
		for i := range w {
			d2[j*w+i] = grid.Far
			if class[(j+y0)*l.nx+i+x0] == cellSolid {
				d2[j*w+i] = 0
			}
		}
	}
	l.envelope.Plane(d2, w, h)
	core := (r + 0.5) * (r + 0.5)
	for k, v := range d2 {
		if float64(v) >= core {
			d2[k] = 0
		} else {
			d2[k] = grid.Far
		}
	}
	l.envelope.Plane(d2, w, h)
	reach := (r + 0.5) * (r + 0.5)
	for j := range h {
		for i := range w {
			l.thin[(j+y0)*l.nx+i+x0] = float64(d2[j*w+i]) > reach
		}
	}
	return true
}

// spread finds the shortest way of every cell of l.cells to an open cell. Each
// cell keeps the anchor it sees, an open cell or a cell at a corner of S, and
// hands it on; the line is checked when the cell's turn comes, and where it is
// blocked the cell bends round a neighbour instead. So straight ways are
// exact and a bend costs less than a cell. After A. Nash, S. Koenig, C. Tovey,
// "Lazy Theta*: Any-Angle Path Planning and Path Length Analysis in 3D", AAAI
// 2010 (recalled, not opened), with the nearest exits as one source and a
// bucket queue.
func (l *level) spread() {
	for n := range l.queue {
		l.queue[n] = l.queue[n][:0]
	}
	b := 0
	push := func(c int32) {
		at := max(int(2*l.dist[c]), b)
		for at >= len(l.queue) {
			l.queue = append(l.queue, nil)
		}
		l.queue[at] = append(l.queue[at], c)
		l.wait[c] = true
	}
	for _, c := range l.cells {
		i, j := int(c)%l.nx, int(c)/l.nx
		for n, d := range around8 {
			e := int32((j+d[1])*l.nx + i + d[0])
			if l.class[e] != cellOpen {
				continue
			}
			w := float32(1)
			if n >= 4 {
				w = math.Sqrt2
			}
			if w < l.dist[c] {
				l.dist[c], l.anchor[c], l.base[c], l.sure[c] = w, e, 0, true
			}
		}
		if l.anchor[c] >= 0 {
			push(c)
		}
	}
	for ; b < len(l.queue); b++ {
		for n := 0; n < len(l.queue[b]); n++ {
			c := l.queue[b][n]
			if !l.wait[c] {
				continue // done from an earlier bucket
			}
			l.wait[c] = false
			if !l.sure[c] {
				seen := l.sees(l.anchor[c], c)
				if !seen {
					l.bend(c)
				}
				l.sure[c] = true
				if !seen {
					if int(2*l.dist[c]) > b {
						if l.anchor[c] >= 0 {
							push(c)
						}
						continue
					}
				}
			}
			i, j := int(c)%l.nx, int(c)/l.nx
			thin := l.thin != nil && l.thin[c]
			ax, ay := int(l.anchor[c])%l.nx, int(l.anchor[c])/l.nx
			for _, d := range around8 {
				e := int32((j+d[1])*l.nx + i + d[0])
				if l.class[e] != cellFree || thin && !l.thin[e] {
					continue
				}
				dx, dy := float64(i+d[0]-ax), float64(j+d[1]-ay)
				v := l.base[c] + float32(math.Sqrt(dx*dx+dy*dy))
				if v < l.dist[e]-1e-3 {
					// A cell that had its turn takes only what it can see, so
					// that lengths but fall and the work ends.
					done := l.sure[e] && !l.wait[e]
					if done && !l.sees(l.anchor[c], e) {
						continue
					}
					l.dist[e], l.anchor[e], l.base[e], l.sure[e] = v, l.anchor[c], l.base[c], done
					push(e)
				}
			}
		}
		l.queue[b] = l.queue[b][:0]
	}
}

// bend gives c the best way through a neighbour that has one.
func (l *level) bend(c int32) {
	i, j := int(c)%l.nx, int(c)/l.nx
	wide := l.thin != nil && !l.thin[c]
	best, at, base := float32(math.Inf(1)), int32(-1), float32(0)
	for n, d := range around8 {
		e := int32((j+d[1])*l.nx + i + d[0])
		if l.class[e] != cellFree || !l.sure[e] || wide && l.thin[e] {
			continue
		}
		step := float32(1)
		if n >= 4 {
			step = math.Sqrt2
		}
		a := l.anchor[e]
		dx, dy := float64(i-int(a)%l.nx), float64(j-int(a)/l.nx)
		if v := l.base[e] + float32(math.Sqrt(dx*dx+dy*dy)); v < best && l.sees(a, c) {
			best, at, base = v, a, l.base[e]
		}
		if v := l.dist[e] + step; v < best {
			best, at, base = v, e, l.dist[e]
		}
	}
	l.dist[c], l.anchor[c], l.base[c] = best, at, base
}

// sees reports whether the straight line between two cells stays out of S (and
// for a cell in wide rubber, out of narrow passages).
func (l *level) sees(a, c int32) bool {
	i, j := int(a)%l.nx, int(a)/l.nx
	dx, dy := int(c)%l.nx-i, int(c)/l.nx-j
	steps := max(abs(dx), abs(dy))
	if steps < 2 {
		return true
	}
	wide := l.thin != nil && !l.thin[c]
	px, py := int64(i)<<32+1<<31, int64(j)<<32+1<<31
	sx, sy := int64(dx)<<32/int64(steps), int64(dy)<<32/int64(steps)
	for t := 1; t < steps; t++ {
		px, py = px+sx, py+sy
		e := int(py>>32)*l.nx + int(px>>32)
		switch l.class[e] {
		case cellSolid:
			return false
		case cellFree:
			if wide && l.thin[e] {
				return false
			}
		}
	}
	return true
}
