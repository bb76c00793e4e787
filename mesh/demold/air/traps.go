package air

import (
	"cmp"
	"math"
	"slices"
)

// trap is a pocket of caught air: its volume, where in it the air sits last,
// and how far the air stands above the lip.
type trap struct {
	volume float64
	top    place
	rise   float32
	nodes  []place
}

// traps gathers the air above rest into pockets, the largest first. Left out is
// what is noise or too small for the columns to tell: less than rise high, or
// nowhere as wide as three columns both ways where wide is asked.
func (v *cavity) traps(rest []float32, l lean, rise float64, wide bool) []trap {
	seen := make([]bool, len(v.lo))
	held := func(n int32) float32 { // height of air caught in a node
		if v.lo[n] >= v.hi[n] {
			return 0
		}
		if h := v.hi[n] - rest[n]; h > v.eps {
			return h
		}
		return 0
	}
	var out []trap
	var stack, part []place
	v.each(func(p place) {
		if seen[p.n] || held(p.n) == 0 {
			return
		}
		seen[p.n] = true
		stack, part = append(stack[:0], p), part[:0]
		var t trap
		roomy := false
		for len(stack) > 0 {
			g := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			part = append(part, g)
			h := held(g.n)
			t.volume += float64(h)
			t.rise = max(t.rise, h)
			beside := 0
			v.around(g.i, g.j, l, func(x, y int32, drop float32) {
				hit := false
				q, to := v.column(x, y)
				for ; q < to; q++ {
					if held(q) == 0 || min(v.hi[g.n], v.hi[q]-drop) <= max(rest[g.n], rest[q]-drop) {
						continue
					}
					hit = true
					if !seen[q] {
						seen[q] = true
						stack = append(stack, place{q, x, y})
					}
				}
				if hit {
					beside++
				}
			})
			roomy = roomy || beside == len(around8)
		}
		if (roomy || !wide) && float64(t.rise) >= rise {
			t.volume *= v.cell * v.cell
			t.top = v.summit(part, l)
			t.nodes = slices.Clone(part)
			out = append(out, t)
		}
	})
	slices.SortStableFunc(out, func(a, b trap) int { return cmp.Compare(b.volume, a.volume) })
	return out
}

// summit is the highest of the places, the middlemost where several are level.
func (v *cavity) summit(part []place, l lean) place {
	high := float32(math.Inf(-1))
	for _, p := range part {
		high = max(high, v.hi[p.n]+l.at(p.i, p.j))
	}
	var x, y, n float64
	level := func(p place) bool { return v.hi[p.n]+l.at(p.i, p.j) >= high-v.eps }
	for _, p := range part {
		if level(p) {
			x, y, n = x+float64(p.i), y+float64(p.j), n+1
		}
	}
	var best place
	least := math.Inf(1)
	for _, p := range part {
		if !level(p) {
			continue
		}
		d := math.Hypot(float64(p.i)-x/n, float64(p.j)-y/n)
		if d < least || d == least && p.n < best.n {
			best, least = p, d
		}
	}
	return best
}

// join numbers the connected parts of the cavity.
func (v *cavity) join() {
	v.part = make([]int32, len(v.lo))
	for n := range v.part {
		v.part[n] = -1
	}
	var stack []place
	v.each(func(p place) {
		if v.part[p.n] >= 0 {
			return
		}
		id := int32(v.parts)
		v.parts++
		v.part[p.n] = id
		stack = append(stack[:0], p)
		for len(stack) > 0 {
			g := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			v.around(g.i, g.j, lean{}, func(x, y int32, _ float32) {
				q, to := v.column(x, y)
				for ; q < to; q++ {
					if v.part[q] < 0 && min(v.hi[g.n], v.hi[q]) > max(v.lo[g.n], v.lo[q]) {
						v.part[q] = id
						stack = append(stack, place{q, x, y})
					}
				}
			})
		}
	})
}

// sprues are the highest places of the connected parts, the largest part's
// first; specks have none.
func (v *cavity) sprues(l lean) []place {
	parts := make([][]place, v.parts)
	size := make([]float64, v.parts)
	v.each(func(p place) {
		k := v.part[p.n]
		parts[k] = append(parts[k], p)
		size[k] += float64(v.hi[p.n] - v.lo[p.n])
	})
	order := make([]int, v.parts)
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size[b], size[a]) })
	out := make([]place, 0, len(order))
	for _, k := range order {
		if size[k] >= 1e-4*size[order[0]] {
			out = append(out, v.summit(parts[k], l))
		}
	}
	return out
}
