package pose

import "moldtally/mesh/unit"

// Chosen says why the side that faces up does: as a remark, what decided.
type Chosen struct {
	Asked  bool    // it was given by hand
	Steps  []Step  // what left fewer ways to stand, one after the other
	Equal  *Origin // several were left that are as good: where the first of them comes from
	Top    *Origin // it stands as in the world: where its top is known from
	Search *Tried  // it was found by a search
}

// Step is a rule that left fewer ways to stand.
type Step int

// The rules, in their order.
const (
	OpenSideIsBottom Step = iota // the open side of a scan
	RealFlatSide                 // it stands on a real, flat side
	WideFoot                     // none is flat, and it stands on a foot that is hollow or rough
	PlainSideDown
	LargestSideDown
	ShortestWayOut
	LeastDetailLost // in hollows on the board
	LeastRubber
	StandsOnBase  // as it does in the world
	StandsUpright // likewise, though it has no base
	LaidOut       // several together, each as it stands by itself
)

// Tried says where a direction that was tried comes from and, where a search
// tried it, how it lets go beside the file's own up.
type Tried struct {
	From Origin
	Than Than
	By   unit.Length // of LessDeep and Deeper
}

// Origin says where a direction comes from.
type Origin int

// The origins.
const (
	FileUp    Origin = iota // the file declares it its up
	SaidUp                  // the user says that it is the object's top
	AssumedUp               // +z, where nothing says which side is the top
	PlusZ
	MinusZ
	PlusY
	MinusY
	PlusX
	MinusX
	OpenSideDown // of a scan
	Resting      // the pattern rests on that side by itself
	Searched     // found on the sphere
)

// Than compares a direction with the file's own up.
type Than int

// The comparisons.
const (
	Uncompared Than = iota
	TheFilesOwn
	LockedToo
	Locked // and the file's own is not
	Freed  // and the file's own is locked
	LessDeep
	Deeper
	AsDeep
)
