package scene

import (
	"math"

	"moldtally/mesh/dexel"
)

// Fill says what is in the space below a span.
type Fill uint8

const (
	Nothing Fill = iota // no space: the span rests on the base plane
	Rubber              // R: connected to the container's top
	Pocket              // bounded, or sealed by the clay: no rubber gets in
	Clay                // below the clay line, or under a ragged open bottom: clay
)

// Space tells, for the space around S, what fills it. The space above a
// column's last span is always rubber. Below each span lies one gap, so gaps
// carry the flat index of the span above them: Field.Offset(i, j)+k is the gap
// below span k of column (i, j), from the top of span k-1 (the base plane for
// k = 0) up to the bottom of span k. Whatever its fill, the part of a gap
// below the clay line is never rubber.
type Space struct {
	Fill     []Fill  // per gap
	Pockets  float64 // volume that rubber cannot reach, mm³
	ClayFill float64 // volume that clay fills, mm³
	Ragged   float64 // of that, under a ragged open bottom
	Largest  Hollow  // of the sealed pockets

	f        *dexel.Field
	base     float64 // -Inf where there is no base plane
	clayLine float64 // = base where there is no clay
	eps      float64 // gaps thinner than this are none, mm
}

// Hollow is a sealed pocket, with the gap of it that reaches highest.
type Hollow struct {
	Volume  float64 // mm³; 0 = there is none
	I, J, K int     // column and gap
}

// Gap returns the height range of the gap below span k of a column.
func (r *Space) Gap(col []dexel.Span, k int) (floor, ceil float64) {
	floor = r.base
	if k > 0 {
		floor = col[k-1].Top
	}
	return floor, col[k].Bottom
}

// NewSpace floods the gaps from the container's top. bottom tells which
// triangles of the surface close a ragged bottom that stands on the board; nil
// means none. base is -Inf where there is no board.
//
// Rubber does not pass below the clay line: a pattern's rim never sits on the
// board without a hair of air under it, and the clay fillet is there to seal
// it. Without clay (clayLine = base) this is the plain component of
// {outside S, above the base plane}.
func NewSpace(f *dexel.Field, base, clayLine, eps float64, bottom func(tri int32) bool) *Space {
	if math.IsInf(base, -1) {
		r := &Space{f: f, base: base, clayLine: clayLine, eps: eps, Fill: make([]Fill, f.NumSpans())}
		// All of the outside of S is one component: S is the complement of
		// the unbounded component of space.
		for i := range r.Fill {
			r.Fill[i] = Rubber
		}
		return r
	}
	r := Reached(f, base, clayLine, eps)
	r.settle(bottom)
	return r
}

// Reached is NewSpace in a hurry: what rubber does not reach is Nothing, and no
// volume is known.
func Reached(f *dexel.Field, base, clayLine, eps float64) *Space {
	r := &Space{f: f, base: base, clayLine: clayLine, eps: eps, Fill: make([]Fill, f.NumSpans())}
	r.flood(r.Fill, clayLine)
	return r
}

// Like is the space round a field of which it is known elsewhere what fills it:
// near tells that of a place in the grid's plane and a height.
func Like(f *dexel.Field, base, clayLine, eps float64, near func(x, y, h float64) Fill) *Space {
	r := &Space{f: f, base: base, clayLine: clayLine, eps: eps, Fill: make([]Fill, f.NumSpans())}
	for j := range f.NY {
		for i := range f.NX {
			x, y := f.Center(i, j)
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				floor, ceil := r.Gap(col, k)
				r.Fill[off+k] = near(x, y, (max(floor, clayLine)+ceil)/2)
			}
		}
	}
	return r
}

// flood marks with Rubber every gap that can be reached from the open space
// without going below line.
func (r *Space) flood(fill []Fill, line float64) {
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
			floor, ceil := r.Gap(col, k)
			if floor >= hi-r.eps {
				break
			}
			if fill[off+k] != Nothing || ceil-max(floor, line) <= r.eps {
				continue
			}
			if min(ceil, hi)-max(floor, lo, line) > r.eps {
				fill[off+k] = Rubber
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
				floor, ceil := r.Gap(f.Column(int(n.i), int(n.j)), int(n.k))
				around(int(n.i), int(n.j), max(floor, line), ceil)
			}
		}
	}
}

// settle names what the flood did not reach and adds up pockets and clay.
func (r *Space) settle(bottom func(tri int32) bool) {
	f := r.f
	// A pocket that is shut even without the clay keeps its bottom: no clay
	// gets in either.
	reach := r.Fill
	if r.clayLine > r.base {
		reach = make([]Fill, len(r.Fill))
		r.flood(reach, r.base)
	}
	var clay, ragged, pockets float64
	for j := range f.NY {
		var rowClay, rowRagged, rowPockets float64
		for i := range f.NX {
			col, off := f.Column(i, j), f.Offset(i, j)
			for k := range col {
				g := off + k
				floor, ceil := r.Gap(col, k)
				if ceil-floor <= r.eps {
					r.Fill[g] = Nothing
					continue
				}
				below := max(0, min(ceil, r.clayLine)-floor)
				above := ceil - floor - below
				switch {
				case k == 0 && bottom != nil && bottom(col[k].BottomTri):
					r.Fill[g] = Clay
					rowClay += ceil - floor
					rowRagged += ceil - floor
				case r.Fill[g] == Rubber:
					rowClay += below
				case reach[g] != Rubber:
					r.Fill[g] = Pocket
					rowPockets += ceil - floor
				case above > r.eps: // sealed by the clay alone
					r.Fill[g] = Pocket
					rowClay += below
					rowPockets += above
				default:
					r.Fill[g] = Clay
					rowClay += below
				}
			}
		}
		clay += rowClay
		ragged += rowRagged
		pockets += rowPockets
	}
	area := f.Cell * f.Cell
	r.ClayFill, r.Ragged, r.Pockets = clay*area, ragged*area, pockets*area
	if pockets > 0 {
		r.findLargest()
	}
}

// findLargest joins the pocket gaps of neighbouring columns and keeps the
// largest pocket, with the gap that reaches highest.
func (r *Space) findLargest() {
	f := r.f
	seen := make([]bool, len(r.Fill))
	type node struct{ i, j, k int }
	var stack []node
	for j := range f.NY {
		for i := range f.NX {
			off := f.Offset(i, j)
			for k := range f.Column(i, j) {
				if seen[off+k] || r.Fill[off+k] != Pocket {
					continue
				}
				seen[off+k] = true
				stack = append(stack[:0], node{i, j, k})
				var vol float64
				best, high := node{i, j, k}, math.Inf(-1)
				for len(stack) > 0 {
					n := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					lo, hi := r.Gap(f.Column(n.i, n.j), n.k)
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
							l, h := r.Gap(col, m)
							if r.Fill[o+m] == Pocket && !seen[o+m] && min(h, hi) > max(l, lo) {
								seen[o+m] = true
								stack = append(stack, node{x, y, m})
							}
						}
					}
				}
				vol *= f.Cell * f.Cell
				if vol > r.Largest.Volume {
					r.Largest = Hollow{vol, best.i, best.j, best.k}
				}
			}
		}
	}
}

// PocketSurface is the surface of S in the hollows that the board shuts: it
// meets no rubber and is lost. Roofs and walls are counted by columns, mm².
func (r *Space) PocketSurface() float64 {
	f := r.f
	var sum float64
	at := func(i, j int) float64 { // height of the hollow on the board
		if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
			return 0
		}
		col := f.Column(i, j)
		if len(col) == 0 || r.Fill[f.Offset(i, j)] != Pocket {
			return 0
		}
		return max(0, col[0].Bottom-r.base)
	}
	for j := range f.NY {
		for i := range f.NX {
			h := at(i, j)
			if h <= 0 {
				continue
			}
			sum += f.Cell * f.Cell
			for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				sum += max(0, h-at(i+d[0], j+d[1])) * f.Cell
			}
		}
	}
	return sum
}
