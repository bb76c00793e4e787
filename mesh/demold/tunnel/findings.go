package tunnel

import (
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// CodeThrough: the rubber links through the pattern. Facts: [Through].
const CodeThrough finding.Code = "demold.rubber-closes-through"

// Through: the rubber of a mold on a board links through the pattern.
type Through struct {
	Count   int         // places
	Listed  int         // of them, those whose place is known
	Opening unit.Length // the largest ball that passes the widest, where any is listed
	Web     *Web        // of the widest; nil = not measured
	Slit    *Slit       // nil = not every web is known
}

// Web is what there is to cut in a passage.
type Web struct {
	Length unit.Length // of the passage
	Area   unit.Area
}

// Slit is what is left when every web is slit: rubber that is locked in
// besides, or the longest way round.
type Slit struct {
	Locked bool
	Path   unit.Length
}
