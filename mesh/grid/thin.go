package grid

import (
	"context"
	"math/bits"
)

// The 27 cubes round one, numbered x + 3y + 9z, the middle one 13.
const middle = 13

// hood knows which of the cubes round one touch.
var hood = func() (h struct {
	byFace, byCorner   [27]uint32 // per cube: those that share a face with it; a face, an edge or a corner
	faces, edges, each uint32     // those that share a face with the middle; a face or an edge; all but the middle
}) {
	for a := range 27 {
		for b := range 27 {
			if a == b || a == middle || b == middle {
				continue
			}
			dx, dy, dz := abs(a%3-b%3), abs(a/3%3-b/3%3), abs(a/9-b/9)
			if dx+dy+dz == 1 {
				h.byFace[a] |= 1 << b
			}
			if max(dx, dy, dz) == 1 {
				h.byCorner[a] |= 1 << b
			}
		}
		switch abs(a%3-1) + abs(a/3%3-1) + abs(a/9-1) {
		case 0:
			continue
		case 1:
			h.faces |= 1 << a
			h.edges |= 1 << a
		case 2:
			h.edges |= 1 << a
		}
		h.each |= 1 << a
	}
	return h
}()

func abs(x int) int { return max(x, -x) }

// reach are those of all that hang together with the seed.
func reach(all uint32, near *[27]uint32, seed uint32) uint32 {
	got, rim := seed, seed
	for rim != 0 {
		b := bits.TrailingZeros32(rim)
		rim &= rim - 1
		next := near[b] & all &^ got
		got |= next
		rim |= next
	}
	return got
}

// simple reports whether an open cube may be shut without changing what hangs
// together or links; around marks the open ones of the 26 round it. Open cubes
// hang together through faces, shut ones through corners too (G. Bertrand and
// G. Malandain, "A new characterization of three-dimensional simple points",
// Pattern Recognition Letters 15 (1994) 169, from memory: one component of each
// round the cube).
func simple(around uint32) bool {
	open := around & hood.edges
	start := open & hood.faces
	shut := ^around & hood.each
	if start == 0 || shut == 0 {
		return false
	}
	return start&^reach(open, &hood.byFace, start&-start) == 0 && reach(shut, &hood.byCorner, shut&-shut) == shut
}

// simpleCache remembers answers: few neighbourhoods make up most of a surface.
type simpleCache [1 << 15]uint32 // neighbourhood << 1 | answer, +1<<31 where set

func (c *simpleCache) ask(around uint32) bool {
	slot := &c[around*2654435761>>17]
	if *slot>>31 != 0 && *slot<<1>>2 == around {
		return *slot&1 != 0
	}
	yes := simple(around)
	*slot = 1<<31 | around<<1
	if yes {
		*slot |= 1
	}
	return yes
}

// Thin shuts open cubes one by one, in place, never changing what hangs together
// or links, until none is left that could go: what stays are closed lines, and
// sheets round what hangs free. The cubes of the lattice's rim are shut first.
// Cubes with the least order go first; one that turns up late goes when it can.
// It runs on one core.
func Thin(ctx context.Context, n Size, open []bool, order []int32) error {
	most := int32(0)
	for k := range open {
		if open[k] && n.OnRim(n.Node(k)) {
			open[k] = false // so that no look goes over the rim
		}
		if open[k] {
			most = max(most, order[k])
		}
	}
	var offset [27]int
	for b := range offset {
		offset[b] = (b%3 - 1) + (b/3%3-1)*n.Step(1) + (b/9-1)*n.Step(2)
	}
	waiting := make([][]int32, most+1) // by order
	queued := make([]bool, len(open))
	push := func(k int, least int32) {
		b := max(order[k], least)
		queued[k] = true
		waiting[b] = append(waiting[b], int32(k))
	}
	for k := range open {
		if !open[k] {
			continue
		}
		for f := hood.faces; f != 0; f &= f - 1 {
			if !open[k+offset[bits.TrailingZeros32(f)]] {
				push(k, 0)
				break
			}
		}
	}
	cache := new(simpleCache)
	for level := range waiting {
		if level&63 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		for i := 0; i < len(waiting[level]); i++ {
			k := int(waiting[level][i])
			queued[k] = false
			if !open[k] {
				continue
			}
			around := uint32(0)
			for b, o := range offset {
				if b != middle && open[k+o] {
					around |= 1 << b
				}
			}
			if !cache.ask(around) {
				continue
			}
			open[k] = false
			for b, o := range offset {
				if around>>b&1 != 0 && !queued[k+o] {
					push(k+o, int32(level))
				}
			}
		}
		waiting[level] = nil
	}
	return nil
}
