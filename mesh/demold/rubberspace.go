package demold

import "moldtally/mesh/dexel"

// gapKind says what fills the space below a span.
type gapKind uint8

const (
	gapNone   gapKind = iota // no space: the span rests on the base plane
	gapRubber                // R: connected to the container's top
	gapPocket                // bounded, or sealed by the clay: no rubber gets in
	gapClay                  // under a ragged open bottom: clay fills it to the board
)

// rubberSpace tells, for the space around S, what fills it. The space above a
// column's last span is always rubber. Below each span lies one gap, so gaps
// carry the flat index of the span above them: f.Offset(i, j)+k is the gap
// below span k of column (i, j), from the top of span k-1 (the base plane for
// k = 0) up to the bottom of span k.
type rubberSpace struct {
	f    *dexel.Field
	base float64 // -Inf where there is no base plane
	kind []gapKind
}

// gap returns the height range of the gap below span k of a column.
func (r *rubberSpace) gap(col []dexel.Span, k int) (floor, ceil float64) {
	floor = r.base
	if k > 0 {
		floor = col[k-1].Top
	}
	return floor, col[k].Bottom
}
