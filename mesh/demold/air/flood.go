package air

import (
	"math"
	"slices"
)

// climb returns, for every node, the level height from which air stays caught
// in it: lower down it gets out through an open place, along a way on which no
// ceiling is lower.
//
// It is a widest path (M. Pollack, "The maximum capacity through a network",
// Operations Research 8 (1960) 733, from memory): air goes from a node to one
// beside it as high as both reach, and what a chain lets through is the least
// ceiling on it. Air that enters a neighbour must get out from the height it
// enters at.
func (v *cavity) climb(l lean, open []place) (rest []float32) { return v.climbIn(nil, l, open) }

// climbIn is climb among some of the nodes alone; nil = all.
func (v *cavity) climbIn(in []bool, l lean, open []place) (rest []float32) {
	// With the lean, so that going there and back gives the same bits.
	escape := make([]float32, len(v.lo))
	for n := range escape {
		escape[n] = float32(math.Inf(-1))
	}
	stack := slices.Clone(open)
	for _, p := range stack {
		escape[p.n] = v.hi[p.n] + l.at(p.i, p.j)
	}
	// A node that empties altogether hands on its own ceiling; one that does
	// not hands on what it was given. So the heap need hold only emptied nodes
	// beside others that stay partly full, and those only when all that empties
	// by itself has been found.
	var border []place
	var later bubbleHeap
	// from hands on what p lets out; where p is emptied, to nodes that it does
	// not empty only if part is set. It reports whether it left any out.
	from := func(p place, part bool) (rest bool) {
		lo, hi, out := v.lo[p.n], v.hi[p.n], escape[p.n]
		part = part || out < hi+l.at(p.i, p.j)
		for _, d := range around8 {
			x, y := p.i+int32(d[0]), p.j+int32(d[1])
			if x < 0 || y < 0 || int(x) >= v.nx || int(y) >= v.ny {
				continue
			}
			up := l.at(x, y)
			n, to := v.column(x, y)
			for ; n < to; n++ {
				top := v.hi[n] + up
				if escape[n] >= top || max(v.lo[n], lo) >= min(v.hi[n], hi) || in != nil && !in[n] {
					continue
				}
				e := min(top, out)
				if e < v.lo[n]+up-v.eps || e <= escape[n] {
					continue
				}
				if e < top && !part {
					rest = true
					continue
				}
				escape[n] = e
				stack = append(stack, place{n, x, y})
			}
		}
		return rest
	}
	for {
		for len(stack) > 0 {
			p := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if from(p, false) {
				border = append(border, p)
			}
		}
		for _, p := range border {
			if from(p, false) {
				later.push(bubble{p, escape[p.n]})
			}
		}
		border = border[:0]
		if len(later) == 0 {
			break
		}
		from(later.pop().place, true)
	}
	v.each(func(p place) { escape[p.n] = max(escape[p.n]-l.at(p.i, p.j), v.lo[p.n]) })
	return escape
}

// lip is how high a liquid can stand in the leaning cavity before it spills.
func (v *cavity) lip(l lean) float32 { return v.rim + v.low(l) }

// low is the lean of the brim's lowest column.
func (v *cavity) low(l lean) float32 {
	low := float32(math.Inf(1))
	for _, p := range v.brim {
		low = min(low, l.at(p.i, p.j))
	}
	return low
}

// settled returns the heights from which air stays caught in each node when the
// cavity is filled leaning, as far as it holds, then set level and filled up.
// Air gets out where either position lets it; what the leaning liquid does not
// cover is as it would be without the lean. level is climb's answer for no
// lean. A cavity shut all round is not set level again.
func (v *cavity) settled(level []float32, l lean) []float32 {
	rest := v.climb(l, v.free(l))
	if v.shut {
		return rest
	}
	lip := v.lip(l)
	v.each(func(p place) { rest[p.n] = max(level[p.n], min(rest[p.n], lip-l.at(p.i, p.j))) })
	return rest
}

// bubble is a place with the height its air escapes below, lean included.
type bubble struct {
	place
	e float32
}

// bubbleHeap pops the highest escape first, then the first place.
type bubbleHeap []bubble

func (h bubbleHeap) before(a, b int) bool {
	if h[a].e != h[b].e {
		return h[a].e > h[b].e
	}
	return h[a].n < h[b].n
}

func (h *bubbleHeap) push(b bubble) {
	*h = append(*h, b)
	q := *h
	for k := len(q) - 1; k > 0 && q.before(k, (k-1)/2); k = (k - 1) / 2 {
		q[k], q[(k-1)/2] = q[(k-1)/2], q[k]
	}
}

func (h *bubbleHeap) pop() bubble {
	q := *h
	top, last := q[0], len(q)-1
	q[0] = q[last]
	q = q[:last]
	*h = q
	for k := 0; ; {
		m := 2*k + 1
		if m >= last {
			return top
		}
		if m+1 < last && q.before(m+1, m) {
			m++
		}
		if !q.before(m, k) {
			return top
		}
		q[k], q[m] = q[m], q[k]
		k = m
	}
}
