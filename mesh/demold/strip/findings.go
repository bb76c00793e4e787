package strip

import (
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what stripping finds. The facts of each are named in brackets.
const (
	CodeNeck  finding.Code = "demold.neck-too-fine"   // [Neck]
	CodeMouth finding.Code = "demold.mouth-too-small" // [NarrowMouth]
)

// Neck: rubber closes round a neck so fine that no stretch can be told.
type Neck struct {
	Clay  bool        // it is where the pattern meets the board
	Neck  unit.Length // its perimeter; 0: what is above hangs free
	Bulge unit.Length // the perimeter of what is above
}

// NarrowMouth: a pattern on a board is narrowest at the clay line.
type NarrowMouth struct {
	Neck, Bulge unit.Length // perimeters there and further up
	Stretch     float64
}
