package estimate

import (
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/unit"
)

// Facts of the reasons of a verdict and of a rubber.

// Lets: a reason in so many words, about no figure.
type Lets int

// The reasons.
const (
	NothingUndercut   Lets = iota
	HalvesLock             // even between two halves rubber is locked in
	HalvesLink             // rubber links through the pattern inside a half
	LockedAtItsHeight      // rubber has no way out at its own height
	FillOrPlug             // what to do about that
	TooManyLinks           // no slit frees that many openings
	CloseOpenings          // with clay, or cut the webs in them
	SlitEasier             // it comes off whole, but slit no ring has to stretch
	GiveFoot               // the mouth at the clay line is too small
)

// Near: the place that a reason is about.
type Near struct{ At mesh.Vec }

// HalvesLeave: what two halves leave undercut. Turned is the side up for that, nil
// = as the pattern stands; AsItStands says that it is a way to plan it, for advice.
type HalvesLeave struct {
	Path       unit.Length // 0 = nothing
	Pieces     int         // loose pieces that take what they would lock
	Turned     *[3]float64
	AsItStands bool
}

// LoosePieces: what would lock is left to loose pieces.
type LoosePieces struct{ Pieces []loose.Piece }

// PoresFilled: what would lock is so many small holes, filled before the mold is made.
type PoresFilled struct{ Places int }

// TooManyPieces: so many loose pieces would let go of all that locks.
type TooManyPieces struct{ Pieces, Most int }

// TooManyParts: beside two halves so many plugs in openings, and other parts, would
// have to be made.
type TooManyParts struct{ Openings, Others, Most int }

// Links: rubber runs through the pattern in so many places.
type Links struct{ Places int }

// DeepPocket: a pocket is opened, not stretched over.
type DeepPocket struct{ Deep unit.Length }

// LetsGo: why a mold comes off.
type LetsGo struct {
	Path unit.Length // of the deepest undercut; 0 = none
	Why  rubber.Straining
	Each bool // each half lifts off
}

// HalvesHold: two halves alone do not let go.
type HalvesHold struct{ Why rubber.Straining }

// TearsSoon: a strain that tears the mold after a few castings.
type TearsSoon struct {
	Why  rubber.Straining
	Over float64
}

// BeyondRubber: a strain that no rubber stands.
type BeyondRubber struct{ Why rubber.Straining }

// BeyondHands: hands do not get the mold off.
type BeyondHands struct {
	Grip        rubber.Gripping
	Force, Hand unit.Force // what it takes in a rubber of Shore, and what a hand pulls
	Shore       float64
	Softest     bool // that is the softest there is
}

// MakeCore: what is squeezed inside is no matter of a slit.
type MakeCore struct {
	At   *mesh.Vec
	Plug bool // the hole is small: it may be plugged as well
}

// CutOpen: where a mold in one piece is cut open, what that frees and what is
// left.
type CutOpen struct {
	Seam *seam.Seam // nil = not found
	Left SeamLeaves
	Path unit.Length
}

// SeamLeaves is what is undercut after the cut.
type SeamLeaves int

// What can be.
const (
	SeamLeavesNothing SeamLeaves = iota
	SeamLeavesPath
	SeamLeavesLocked
)

// LatexShrinks: the figures are for rubber that is poured.
type LatexShrinks struct{}
