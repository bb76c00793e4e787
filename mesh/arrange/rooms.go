package arrange

import (
	"cmp"
	"slices"
)

// wound is a sum of how often each body winds round a cell, and of which of those
// by parity it lies in, each body under a number of its own that no sum of others
// comes to by chance (one in 2⁶⁴): 0, 0 where none fills the cell.
type wound struct{ turns, parity uint64 }

func (a wound) plus(b wound) wound { return wound{a.turns + b.turns, a.parity ^ b.parity} }

// label is the number that stands for a body (S. Vigna's splitmix64, public
// domain, 2015, from memory).
func label(body int) uint64 {
	z := (uint64(body) + 1) * 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// step is what goes on top of how the cell in front of triangle t is wound round,
// for the one behind.
func (c *cells) step(t int, of func(t int) (int, Way)) (w wound) {
	add := func(src int32, along int) {
		body, way := of(int(src))
		switch {
		case way == Parity:
			w.parity ^= label(body)
		case way == As && along > 0 || way == Turned && along < 0:
			w.turns += label(body)
		case way == As || way == Turned:
			w.turns -= label(body)
		}
	}
	if t < c.whole {
		add(c.from[t], 1)
		return w
	}
	for _, g := range c.over[t-c.whole] {
		add(g.t, g.ccw)
	}
	return w
}

// rooms finds the cells within the boundary that no body winds round.
func (c *cells) rooms(r *Result, of func(t int) (int, Way), cell, outer []int32, vol []sum, inner map[int32]bool) {
	// Sets of cells, each with what it is more wound round than the root is.
	up := make([]int32, len(vol))
	more := make([]wound, len(vol))
	for k := range up {
		up[k] = int32(k)
	}
	find := func(k int32) (root int32, w wound) {
		for up[k] != k {
			// Half the way for the next that asks.
			if j := up[k]; up[j] != j {
				more[k] = more[k].plus(more[j])
				up[k] = up[j]
			}
			w = w.plus(more[k])
			k = up[k]
		}
		return k, w
	}
	for t := range c.tris {
		f, b := cell[2*t], cell[2*t+1]
		if f < 0 {
			continue
		}
		rf, wf := find(f)
		rb, wb := find(b)
		if rf == rb {
			continue
		}
		// wb + more = wf + step, parity its own opposite.
		w := wf.plus(c.step(t, of))
		w.turns -= wb.turns
		w.parity ^= wb.parity
		if rb < rf {
			rb, rf = rf, rb
			w.turns = -w.turns
		}
		up[rb], more[rb] = rf, w
	}
	seen := make([]bool, len(vol))
	for t := range c.tris {
		part := c.parts.Find(int32(t))
		out := outer[part]
		if out < 0 || inner[part] {
			continue
		}
		_, base := find(out)
		for _, k := range cell[2*t : 2*t+2] {
			if k < 0 || k == out || seen[k] {
				continue
			}
			seen[k] = true
			if _, w := find(k); w == base && vol[k].value() > 0 {
				r.Rooms = append(r.Rooms, vol[k].value())
			}
		}
	}
	slices.SortFunc(r.Rooms, func(a, b float64) int { return cmp.Compare(b, a) })
}
