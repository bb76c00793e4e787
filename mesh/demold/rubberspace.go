package demold

import (
	"math"

	"moldtally/mesh/dexel"
)

// gapKind says what fills the space below a span.
type gapKind uint8

const (
	gapNone   gapKind = iota // no space: the span rests on the base plane
	gapRubber                // R: connected to the container's top
	gapPocket                // bounded, or sealed by the clay: no rubber gets in
	gapClay                  // below the clay line, or under a ragged open bottom: clay
)

// rubberSpace tells, for the space around S, what fills it. The space above a
// column's last span is always rubber. Below each span lies one gap, so gaps
// carry the flat index of the span above them: f.Offset(i, j)+k is the gap
// below span k of column (i, j), from the top of span k-1 (the base plane for
// k = 0) up to the bottom of span k. Whatever its kind, the part of a gap
// below the clay line is never rubber.
type rubberSpace struct {
	f        *dexel.Field
	base     float64 // -Inf where there is no base plane
	clayLine float64 // = base where there is no clay
	eps      float64 // gaps thinner than this are none, mm
	kind     []gapKind

	pockets  float64 // volume that rubber cannot reach, mm³
	clayFill float64 // volume that clay fills, mm³
	ragged   float64 // of that, under a ragged open bottom
	largest  pocketSpot
}

// pocketSpot is the largest sealed pocket.
type pocketSpot struct {
	volume  float64 // mm³
	i, j, k int
}

// gap returns the height range of the gap below span k of a column.
func (r *rubberSpace) gap(col []dexel.Span, k int) (floor, ceil float64) {
	floor = r.base
	if k > 0 {
		floor = col[k-1].Top
	}
	return floor, col[k].Bottom
}

// newRubberSpace floods the gaps from the container's top. bottomPatch tells
// which triangles of the surface close a ragged bottom that stands on the
// board; nil means none.
//
// Rubber does not pass below the clay line: a pattern's rim never sits on the
// board without a hair of air under it, and the clay fillet is there to seal
// it. Without clay (clayLine = base) this is the plain component of
// {outside S, above the base plane}.
func newRubberSpace(f *dexel.Field, base, clayLine, eps float64, bottomPatch func(tri int32) bool) *rubberSpace {
	r := &rubberSpace{f: f, base: base, clayLine: clayLine, eps: eps, kind: make([]gapKind, f.NumSpans())}
	if math.IsInf(base, -1) {
		// All of the outside of S is one component: S is the complement of
		// the unbounded component of space.
		for i := range r.kind {
			r.kind[i] = gapRubber
		}
		return r
	}
	r.flood(r.kind, clayLine)
	r.settle(bottomPatch)
	return r
}

// flood marks with gapRubber every gap that can be reached from the open space
// without going below line.
func (r *rubberSpace) flood(kind []gapKind, line float64) {
	f := r.f
	type node struct{ i, j, k int32 }
	var stack []node
	// enter marks the gaps of column (i, j) that share heights with [lo, hi].
	enter := func(i, j int, lo, hi float64) {
		col := f.Column(i, j)
		off := f.Offset(i, j)
		for k := range col {
			if col[k].Bottom <= lo+r.eps {
				continue
			}
			floor, ceil := r.gap(col, k)
			if floor >= hi-r.eps {
				break
			}
			if kind[off+k] != gapNone || ceil-max(floor, line) <= r.eps {
				continue
			}
			if min(ceil, hi)-max(floor, lo, line) > r.eps {
				kind[off+k] = gapRubber
				stack = append(stack, node{int32(i), int32(j), int32(k)})
			}
		}
	}
	around := func(i, j int, lo, hi float64) {
		if i > 0 {
			enter(i-1, j, lo, hi)
		}
		if i+1 < f.NX {
			enter(i+1, j, lo, hi)
		}
		if j > 0 {
			enter(i, j-1, lo, hi)
		}
		if j+1 < f.NY {
			enter(i, j+1, lo, hi)
		}
	}
	for j := range f.NY {
		for i := range f.NX {
			lo := line
			if col := f.Column(i, j); len(col) > 0 {
				lo = max(col[len(col)-1].Top, line)
			}
			around(i, j, lo, math.Inf(1))
			for len(stack) > 0 {
				n := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				floor, ceil := r.gap(f.Column(int(n.i), int(n.j)), int(n.k))
				around(int(n.i), int(n.j), max(floor, line), ceil)
			}
		}
	}
}

// settle names what the flood did not reach and adds up pockets and clay.
func (r *rubberSpace) settle(bottomPatch func(tri int32) bool) {
	f := r.f
	// A pocket that is shut even without the clay keeps its bottom: no clay
	// gets in either.
	reach := r.kind
	if r.clayLine > r.base {
		reach = make([]gapKind, len(r.kind))
		r.flood(reach, r.base)
	}
	var clay, ragged, pockets float64
	for j := range f.NY {
		var rowClay, rowRagged, rowPockets float64
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				g := off + k
				floor, ceil := r.gap(col, k)
				if ceil-floor <= r.eps {
					r.kind[g] = gapNone
					continue
				}
				below := max(0, min(ceil, r.clayLine)-floor)
				above := ceil - floor - below
				switch {
				case k == 0 && bottomPatch != nil && bottomPatch(col[k].BottomTri):
					r.kind[g] = gapClay
					rowClay += ceil - floor
					rowRagged += ceil - floor
				case r.kind[g] == gapRubber:
					rowClay += below
				case reach[g] != gapRubber:
					r.kind[g] = gapPocket
					rowPockets += ceil - floor
				case above > r.eps: // sealed by the clay alone
					r.kind[g] = gapPocket
					rowClay += below
					rowPockets += above
				default:
					r.kind[g] = gapClay
					rowClay += below
				}
			}
		}
		clay += rowClay
		ragged += rowRagged
		pockets += rowPockets
	}
	area := f.Cell * f.Cell
	r.clayFill, r.ragged, r.pockets = clay*area, ragged*area, pockets*area
	if pockets > 0 {
		r.findLargest()
	}
}

// findLargest joins the pocket gaps of neighbouring columns and keeps the
// largest pocket, with the gap that reaches highest.
func (r *rubberSpace) findLargest() {
	f := r.f
	seen := make([]bool, len(r.kind))
	type node struct{ i, j, k int }
	var stack []node
	for j := range f.NY {
		for i := range f.NX {
			off := f.Offset(i, j)
			for k := range f.Column(i, j) {
				if seen[off+k] || r.kind[off+k] != gapPocket {
					continue
				}
				seen[off+k] = true
				stack = append(stack[:0], node{i, j, k})
				var vol float64
				best, high := node{i, j, k}, math.Inf(-1)
				for len(stack) > 0 {
					n := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					lo, hi := r.gap(f.Column(n.i, n.j), n.k)
					vol += hi - lo
					if hi > high {
						best, high = n, hi
					}
					for _, d := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
						x, y := n.i+d[0], n.j+d[1]
						if x < 0 || y < 0 || x >= f.NX || y >= f.NY {
							continue
						}
						col, o := f.Column(x, y), f.Offset(x, y)
						for m := range col {
							l, h := r.gap(col, m)
							if r.kind[o+m] == gapPocket && !seen[o+m] && min(h, hi) > max(l, lo) {
								seen[o+m] = true
								stack = append(stack, node{x, y, m})
							}
						}
					}
				}
				vol *= f.Cell * f.Cell
				if vol > r.largest.volume {
					r.largest = pocketSpot{vol, best.i, best.j, best.k}
				}
			}
		}
	}
}
