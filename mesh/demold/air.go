package demold

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// vessel is a space of columns that a liquid fills from below, each node a
// stretch of one column: the gaps of rubber for the rubber pour, the spans of
// S for the casting pour. Heights grow the way air rises, relative to a
// reference, mm.
type vessel struct {
	f      *dexel.Field // for columns and offsets
	lo, hi []float32    // per node; lo >= hi: no node
	escape []float32    // per node: air below this height gets out; -Inf = none does
	eps    float32
}

// rest is the height from which air stays caught in a node.
func (v *vessel) rest(n int) float32 { return max(v.escape[n], v.lo[n]) }

// climb finds, for every node, the height below which air gets out along a way
// that never descends. free are the nodes whose air gets out altogether.
//
// It is a widest path: air passes from node to neighbour at any height both
// share, and what a chain lets through is the least ceiling on it. Air that
// enters a neighbour must get out from the height it enters at.
func (v *vessel) climb(free []node) {
	inf := float32(math.Inf(-1))
	for n := range v.escape {
		v.escape[n] = inf
	}
	full := make([]node, 0, len(free))
	for _, g := range free {
		n := v.f.Offset(int(g.i), int(g.j)) + int(g.k)
		if v.lo[n] < v.hi[n] && v.escape[n] < v.hi[n] {
			v.escape[n] = v.hi[n]
			full = append(full, g)
		}
	}
	var part nodeHeap
	for len(full) > 0 || len(part) > 0 {
		var g node
		if len(full) > 0 {
			g = full[len(full)-1]
			full = full[:len(full)-1]
		} else {
			g = heap.Pop(&part).(node)
			if g.e < v.escape[v.f.Offset(int(g.i), int(g.j))+int(g.k)] {
				continue // a better way was found
			}
		}
		from := v.f.Offset(int(g.i), int(g.j)) + int(g.k)
		for _, d := range around8 {
			x, y := int(g.i)+d[0], int(g.j)+d[1]
			if x < 0 || y < 0 || x >= v.f.NX || y >= v.f.NY {
				continue
			}
			off, count := v.f.Offset(x, y), len(v.f.Column(x, y))
			for m := range count {
				n := off + m
				if v.escape[n] >= v.hi[n] {
					continue
				}
				low, high := max(v.lo[n], v.lo[from]), min(v.hi[n], v.hi[from])
				if low >= high {
					continue
				}
				e := min(high, v.escape[from])
				if e < low-v.eps || e <= v.escape[n] {
					continue
				}
				v.escape[n] = e
				z := node{int32(x), int32(y), int32(m), e}
				if e >= v.hi[n] {
					full = append(full, z)
				} else {
					heap.Push(&part, z)
				}
			}
		}
	}
}

// node is a stretch of a column with the height its air escapes below.
type node struct {
	i, j, k int32
	e       float32
}

// nodeHeap pops the highest escape first, then the lowest place.
type nodeHeap []node

func (h nodeHeap) Len() int { return len(h) }
func (h nodeHeap) Less(a, b int) bool {
	if h[a].e != h[b].e {
		return h[a].e > h[b].e
	}
	return cmp.Or(cmp.Compare(h[a].j, h[b].j), cmp.Compare(h[a].i, h[b].i), cmp.Compare(h[a].k, h[b].k)) < 0
}
func (h nodeHeap) Swap(a, b int) { h[a], h[b] = h[b], h[a] }
func (h *nodeHeap) Push(x any)   { *h = append(*h, x.(node)) }
func (h *nodeHeap) Pop() any {
	o := *h
	x := o[len(o)-1]
	*h = o[:len(o)-1]
	return x
}

// trap is a pocket of caught air: its volume, its highest node and how far the
// air stands above the lip.
type trap struct {
	volume float64
	top    node
	high   float32
	rise   float32
}

// traps gathers the caught air into pockets. Left out is what is noise or too
// small for the columns to tell: less than rise high, or nowhere three columns
// wide both ways.
func (v *vessel) traps(rise float64) []trap {
	f := v.f
	seen := make([]bool, len(v.lo))
	held := func(n int) float32 { // height of air caught in a node
		if v.lo[n] >= v.hi[n] {
			return 0
		}
		if h := v.hi[n] - v.rest(n); h > v.eps {
			return h
		}
		return 0
	}
	var out []trap
	var stack []node
	for j := range f.NY {
		for i := range f.NX {
			off, count := f.Offset(i, j), len(f.Column(i, j))
			for k := range count {
				if seen[off+k] || held(off+k) == 0 {
					continue
				}
				seen[off+k] = true
				stack = append(stack[:0], node{i: int32(i), j: int32(j), k: int32(k)})
				t := trap{high: float32(math.Inf(-1))}
				roomy := false
				for len(stack) > 0 {
					g := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					n := f.Offset(int(g.i), int(g.j)) + int(g.k)
					h := held(n)
					t.volume += float64(h)
					t.rise = max(t.rise, h)
					if v.hi[n] > t.high {
						t.high, t.top = v.hi[n], g
					}
					beside := 0
					for _, d := range around8 {
						x, y := int(g.i)+d[0], int(g.j)+d[1]
						if x < 0 || y < 0 || x >= f.NX || y >= f.NY {
							continue
						}
						o, c := f.Offset(x, y), len(f.Column(x, y))
						hit := false
						for m := range c {
							q := o + m
							if held(q) == 0 || min(v.hi[n], v.hi[q]) <= max(v.rest(n), v.rest(q)) {
								continue
							}
							hit = true
							if !seen[q] {
								seen[q] = true
								stack = append(stack, node{i: int32(x), j: int32(y), k: int32(m)})
							}
						}
						if hit {
							beside++
						}
					}
					if beside == 8 {
						roomy = true
					}
				}
				if roomy && float64(t.rise) >= rise {
					t.volume *= f.Cell * f.Cell
					out = append(out, t)
				}
			}
		}
	}
	return out
}

// findAir reports where the pours catch air: the rubber over the pattern, and
// the casting in the finished mold. It presumes liquids that fill level and
// air that rises; neither the small bubbles that a pour drags in nor the film
// of air under a level ceiling is counted.
func findAir(ctx context.Context, a *analysis) error {
	out := []AirTrap{}
	for _, h := range a.halves {
		out = append(out, a.rubberAir(h)...)
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	if a.onBoard() {
		a.rep.CastUp = a.u.Neg().Array()
		out = append(out, a.castingAir(a.u.Neg(), true)...)
	} else {
		// Stood on either side, the sprue at the highest place: the way that
		// catches less air.
		var best []AirTrap
		least := math.Inf(1)
		for _, up := range [2]mesh.Vec{a.u, a.u.Neg()} {
			ts := a.castingAir(up, false)
			var v float64
			for _, t := range ts {
				v += t.Volume
			}
			if v < least-1e-6*a.f.Volume() {
				best, least = ts, v
				a.rep.CastUp = up.Array()
			}
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		out = append(out, best...)
	}
	slices.SortStableFunc(out, func(p, q AirTrap) int {
		return cmp.Or(cmp.Compare(q.Pour, p.Pour), cmp.Compare(q.Volume, p.Volume),
			cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	a.rep.AirTraps = out
	return nil
}

// rubberAir is the air caught under the pattern while rubber rises round it.
func (a *analysis) rubberAir(h *half) []AirTrap {
	f := h.f
	n := f.NumSpans()
	v := &vessel{f: f, lo: make([]float32, n), hi: make([]float32, n), escape: make([]float32, n), eps: float32(h.eps)}
	var free []node
	for j := range f.NY {
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				lo, hi, ok := h.piece(col, off, k)
				if !ok {
					continue
				}
				z := float32(hi - h.ref)
				v.lo[off+k], v.hi[off+k] = float32(lo-h.ref), z
				for _, d := range around8 {
					if h.tops[(j+d[1])*f.NX+i+d[0]] < z-v.eps {
						free = append(free, node{i: int32(i), j: int32(j), k: int32(k)})
						break
					}
				}
			}
		}
	}
	v.climb(free)
	var out []AirTrap
	for _, t := range v.traps(a.rise()) {
		out = append(out, AirTrap{"rubber", t.volume, *a.point(f, int(t.top.i), int(t.top.j), float64(t.high)+h.ref)})
	}
	return out
}

// castingAir is the air caught in the mold's cavity while the casting rises in
// it with the given direction up. With a mouth, air leaves where the cavity is
// open at the clay line; without, at the highest place of each connected part,
// where its sprue stands.
func (a *analysis) castingAir(up mesh.Vec, mouth bool) []AirTrap {
	f := a.f
	n := f.NumSpans()
	v := &vessel{f: f, lo: make([]float32, n), hi: make([]float32, n), escape: make([]float32, n), eps: float32(a.eps)}
	down := up != a.u
	var free []node
	open := float32(a.top - a.clayLine() - a.eps)
	for j := range f.NY {
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				at := off + k
				if down {
					v.lo[at], v.hi[at] = float32(a.top-col[k].Top), float32(a.top-col[k].Bottom)
				} else {
					v.lo[at], v.hi[at] = float32(col[k].Bottom-a.base), float32(col[k].Top-a.base)
				}
				if mouth && v.hi[at] >= open {
					free = append(free, node{i: int32(i), j: int32(j), k: int32(k)})
				}
			}
		}
	}
	if !mouth {
		free = v.peaks()
	}
	v.climb(free)
	var out []AirTrap
	for _, t := range v.traps(a.rise()) {
		z := float64(t.high) + a.base
		if down {
			z = a.top - float64(t.high)
		}
		out = append(out, AirTrap{"casting", t.volume, *a.point(f, int(t.top.i), int(t.top.j), z)})
	}
	return out
}

// peaks returns the highest node of every connected part of the vessel, with
// those beside it at the same height.
func (v *vessel) peaks() []node {
	f := v.f
	seen := make([]bool, len(v.lo))
	var out, stack, part []node
	for j := range f.NY {
		for i := range f.NX {
			off := f.Offset(i, j)
			for k := range f.Column(i, j) {
				if seen[off+k] || v.lo[off+k] >= v.hi[off+k] {
					continue
				}
				seen[off+k] = true
				stack = append(stack[:0], node{i: int32(i), j: int32(j), k: int32(k)})
				part = part[:0]
				high := float32(math.Inf(-1))
				for len(stack) > 0 {
					g := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					part = append(part, g)
					n := f.Offset(int(g.i), int(g.j)) + int(g.k)
					high = max(high, v.hi[n])
					for _, d := range around8 {
						x, y := int(g.i)+d[0], int(g.j)+d[1]
						if x < 0 || y < 0 || x >= f.NX || y >= f.NY {
							continue
						}
						o := f.Offset(x, y)
						for m := range f.Column(x, y) {
							q := o + m
							if !seen[q] && min(v.hi[n], v.hi[q]) > max(v.lo[n], v.lo[q]) {
								seen[q] = true
								stack = append(stack, node{i: int32(x), j: int32(y), k: int32(m)})
							}
						}
					}
				}
				for _, g := range part {
					if v.hi[f.Offset(int(g.i), int(g.j))+int(g.k)] >= high-v.eps {
						out = append(out, g)
					}
				}
			}
		}
	}
	return out
}
