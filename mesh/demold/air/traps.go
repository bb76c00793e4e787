package air

import (
	"cmp"
	"slices"
)

// trap is a pocket of caught air: its volume, the widest of its highest places,
// where a vent clears it, and how far the air stands above the lip.
type trap struct {
	volume float64
	top    place
	sheet  []place // the ceiling that has top in its middle
	rise   float32
	nodes  []place
}

// traps gathers the air above rest into pockets, the largest first. Left out is
// what is noise or too small for the columns to tell: less than rise high, or
// nowhere as wide as three columns both ways where wide is asked. Their tops are
// not yet told.
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
			t.nodes = slices.Clone(part)
			out = append(out, t)
		}
	})
	slices.SortStableFunc(out, func(a, b trap) int { return cmp.Compare(b.volume, a.volume) })
	return out
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
