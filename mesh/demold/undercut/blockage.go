package undercut

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
)

// blockage is a stretch of a gap whose straight way to the nearest exit S blocks:
// only there does the path differ from the depth.
type blockage struct {
	gap    int32
	i, j   int32   // its column
	lo, hi float64 // heights, mm
}

// blocked lists the stretches of gaps whose straight way out is blocked, in
// the order of the gaps.
func (s *shadow) blocked(ctx context.Context) ([]blockage, error) {
	f := s.f
	per := make([][]blockage, f.NY)
	var known []blockage // of the gaps that the floor does not cut
	if s.whole != nil {
		known = s.whole.stops
	}
	err := par.Each(ctx, f.NY, func(j int) {
		var out []blockage
		next, _ := slices.BinarySearchFunc(known, int32(f.Offset(0, j)), func(b blockage, gap int32) int { return cmp.Compare(b.gap, gap) })
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				q := s.exit[off+k]
				if s.depth[off+k] == 0 || q < 0 {
					continue
				}
				lo, hi, _ := s.piece(col, off, k)
				if known != nil && lo > s.floor {
					for next < len(known) && known[next].gap < int32(off+k) {
						next++
					}
					for ; next < len(known) && known[next].gap == int32(off+k); next++ {
						out = append(out, known[next])
					}
					continue
				}
				out = s.resolve(out, blockage{int32(off + k), int32(i), int32(j), lo, hi}, q, 3)
			}
		}
		per[j] = out
	})
	if err != nil {
		return nil, err
	}
	s.stops = slices.Concat(per...)
	return s.stops, nil
}

// findBlocked is find, and then blocked.
func (s *shadow) findBlocked(ctx context.Context) ([]blockage, error) {
	if err := s.find(ctx); err != nil {
		return nil, err
	}
	return s.blocked(ctx)
}

// resolve appends the parts of b for which no straight way to a nearest exit is
// found; exit is the column of the nearest one at b.lo.
func (s *shadow) resolve(out []blockage, b blockage, exit int32, tries int) []blockage {
	var buf [8][2]float64
	i, j := int(b.i), int(b.j)
	n := s.line(i, j, int(exit)%s.f.NX, int(exit)/s.f.NX, b.lo, b.hi, buf[:])
	least := s.f.Cell / 4 // thinner than that is not resolved
	for _, x := range buf[:n] {
		if x[1]-x[0] < least && x[1]-x[0] < (b.hi-b.lo)/2 {
			continue
		}
		part := b
		part.lo, part.hi = x[0], x[1]
		if x[0] <= b.lo+s.eps || tries == 0 {
			out = append(out, part)
			continue
		}
		near := nearest{d2: math.MaxInt64, at: -1}
		s.pyr.nearest(i, j, s.open(x[0]), &near)
		if near.at < 0 || near.at == exit {
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
	for t := 1; t <= steps; t++ {
		px, py = px+sx, py+sy
		c0, r0 := int((px-sx)>>32), int((py-sy)>>32)
		c, r := int(px>>32), int(py>>32)
		if c != c0 && r != r0 && s.tops[r0*f.NX+c] > zlo && s.tops[r*f.NX+c0] > zlo {
			n = s.corner(f.Column(c, r0), f.Column(c0, r), lo, hi, buf, n)
		}
		if t == steps || s.tops[r*f.NX+c] <= zlo {
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

// corner adds the heights at which both columns stand between two that touch by a
// corner: a wall of S that is a column thick is whole there.
func (s *shadow) corner(a, b []dexel.Span, lo, hi float64, buf [][2]float64, n int) int {
	for len(a) > 0 && len(b) > 0 && a[0].Bottom < hi-s.eps && b[0].Bottom < hi-s.eps {
		l, u := max(a[0].Bottom, b[0].Bottom, lo), min(a[0].Top, b[0].Top, hi)
		if u > l+s.eps {
			n = insert(buf, n, l, u, s.eps)
		}
		if a[0].Top < b[0].Top {
			a = a[1:]
		} else {
			b = b[1:]
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

// heights chooses the heights to solve at: evenly over the blocked stretches,
// just above the floors that many of them share, and through stretches that
// would be missed.
func (s *shadow) heights(bs []blockage) []float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, b := range bs {
		lo, hi = min(lo, b.lo), max(hi, b.hi)
	}
	const even = maxLevels / 2
	lv := make([]float64, 0, maxLevels)
	for n := range even {
		lv = append(lv, lo+(hi-lo)*(float64(n)+0.5)/even)
	}
	// Floors shared by many: flat floors, and the half's own.
	step := s.f.Cell / 4
	bins := make([]int32, int((hi-lo)/step)+1)
	for _, b := range bs {
		bins[int((b.lo-lo)/step)]++
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
	for _, bin := range order[:min(len(order), maxLevels/4)] {
		// The bin's upper end may lie above a thin gap: take the floors in it.
		z := math.Inf(-1)
		for _, b := range bs {
			if int((b.lo-lo)/step) == bin {
				z = max(z, b.lo)
			}
		}
		lv = append(lv, z+max(4*s.eps, 0.02*s.f.Cell))
	}
	slices.Sort(lv)
	// Stretches that no level meets yet, shortest-ending first.
	idx := make([]int32, len(bs))
	for n := range idx {
		idx[n] = int32(n)
	}
	slices.SortFunc(idx, func(a, b int32) int {
		return cmp.Or(cmp.Compare(bs[a].hi, bs[b].hi), cmp.Compare(a, b))
	})
	last := math.Inf(-1)
	fixed := slices.Clone(lv)
	for _, n := range idx {
		b := bs[n]
		if last > b.lo && last < b.hi {
			continue
		}
		if m, _ := slices.BinarySearch(fixed, b.lo+s.eps); m < len(fixed) && fixed[m] < b.hi {
			continue
		}
		if len(lv) >= maxLevels {
			break
		}
		last = b.lo + 0.75*(b.hi-b.lo)
		lv = append(lv, last)
	}
	slices.Sort(lv)
	return slices.CompactFunc(lv, func(a, b float64) bool { return math.Abs(b-a) < s.eps })
}
