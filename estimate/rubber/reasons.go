package rubber

import (
	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Facts of the remarks about hardness, strain and force. Hardnesses are Shore A,
// strains length added per length.

// Straining is what strains the rubber most.
type Straining struct {
	By    StrainBy
	Thick unit.Length // of the rubber that bends
	Deep  unit.Length // the undercut, or how far a flap swings
	High  unit.Length // of a flap
	Share float64     // the strain; of a tongue, by how much it is squeezed
	Drawn float64     // of a tongue, how much it is drawn out
}

// StrainBy is what can strain rubber.
type StrainBy int

// What can.
const (
	NoStrain     StrainBy = iota
	LockedIn              // no way out at its height
	Bending               // out of an undercut
	FlapBending           // a flap swings aside
	SqueezedShut          // inside the pattern, to nothing
	Squeezed              // inside the pattern
	MouthClosed           // the mouth is next to nothing
	MouthOpening          // the mouth stretches over the bulge
)

// Endures: what a hardness stands of a strain, for a life.
type Endures struct {
	Why    Straining
	Shore  float64 // the firmest that stands it; 0 = none does
	Stands float64 // what that one, or the softest, stands
	Life   Life
}

// ByHand: what hands pull is less than the shape takes.
type ByHand struct {
	Hand   unit.Force
	Grip   Gripping
	Force  unit.Force // in a rubber of Shore
	Shore  float64
	Factor float64 // that force is good to
	Over   bool    // it is more than hands pull even so
}

// Gripping is what hands do to get a mold off.
type Gripping struct {
	By     GripBy
	Thick  unit.Length // of a lip or a tongue
	Swings unit.Length
}

// GripBy is one of the things that hands do.
type GripBy int

// What they do.
const (
	NoGrip          GripBy = iota
	OpeningRing            // mouth and neck evenly, to the bulge
	DrawingStraight        // the pattern, straight out
	TurningBack            // the rim, bit by bit
	SwingingLip
	DrawingTongue
)

// Drawing is a straight pull, out of the container and in it.
type Drawing struct {
	Friction float64    // 0 = nothing holds
	Off, In  unit.Force // In is 0 where it is not known
	Never    bool       // in it there is no room to come at all
	Shell    bool       // it is a mother mold
	Turned   unit.Force // with the rim turned back instead; 0 = that is no help
}

// Matters reports whether the container makes it harder enough to be worth taking
// off.
func (d Drawing) Matters() bool { return d.Never || d.In > 1.1*d.Off }

// Easing is something that makes it easier for hands, and what they pull then.
type Easing struct {
	By       EaseBy
	Friction float64    // with plenty of release
	Force    unit.Force // 0 = nothing holds any more
}

// EaseBy is what can.
type EaseBy int

// What can.
const (
	EasedByRelease EaseBy = iota
	EasedByPeel           // the rim is turned back bit by bit
	EasedBySlit
)

// ByHabit: the shop's rule for the depth of an undercut.
type ByHabit struct {
	Deep  unit.Length
	Shore float64
	Palm  unit.Length // as deep as that in a palm-size part; 0 = the same
}

// ByCasting: what is cast asks for a soft or a firm rubber.
type ByCasting struct {
	Cast      string // "" = dusted metal powder, which wants it soft
	Low, High float64
}

// ByKeys: keyed parts ask for a firm rubber.
type ByKeys struct{ Shore float64 }

// BySize: a large mold asks for a firm rubber.
type BySize struct {
	Longest unit.Length
	Shore   float64
	Huge    bool // it sags, else it is held in shape
}

// ByOriginal: a pattern that cannot be replaced asks for a soft rubber.
type ByOriginal struct{ Shore float64 }

// ByFlats: flat faces ask for a firm rubber.
type ByFlats struct{ Shore float64 }

// HeldIn: what a mold gives way in its container.
type HeldIn struct {
	Shore     float64
	Gives     unit.Length
	High      unit.Length   // of the casting
	Cast      bool          // it is said what is cast, else resin is taken
	Low, Most unit.Pressure // of foam, which alone is told; 0 = no foam
}

// Unasked: nothing asks for a firmer, or for a softer, rubber.
type Unasked struct {
	Softer bool
	Held   finding.Remark // what a firmer one would be for
}

// Overruled: what asked for a firmer rubber lost.
type Overruled struct{}

// Conflict: soft and firm are asked for at once, and which wins.
type Conflict struct {
	Low, High           finding.Remark
	LowShore, HighShore float64
	Wins                Winner
}

// Winner is what wins where soft and firm are asked for at once.
type Winner int

// What can win.
const (
	SoftWins   Winner = iota // what lets go
	PowderWins               // dusted powder asks for soft, whatever the bounds
	FoamWins                 // it presses a softer rubber out of shape
	SizeWins                 // of that size softer rubber is jelly
)

// Jelly: the softest rubber that is poured for a mold of a size.
type Jelly struct {
	Longest unit.Length
	Shore   float64
}

// Basis is where a bound of the hardness comes from, where no table says it.
type Basis int

// Where bounds come from.
const (
	StrainTable   Basis = iota // a judgement
	Habit                      // of shops, contested
	Unbounded                  // a strain beyond what any rubber stands, or hands pull
	HandForce                  // Gent (1958), rings over the profile or a strip, and a hand's force
	SlabUnderHead              // pressure at the foot of the casting on a slab
	SoftestUsed                // of Gent's relation
	HardestSold
	Gentle  // a judgement, for an original
	TooSoft // softer rubber does not hold itself up at that size
)

// Opening is a way to make room where no rubber does all that is asked.
type Opening struct {
	By         OpenBy
	Thick, Was unit.Length // of the sides, or of a blanket
}

// OpenBy is what can make room.
type OpenBy int

// What can.
const (
	BySlit OpenBy = iota
	ByPlug
	ByCore
	ByThinSides
	ByBlanket
	ByHalves
)

// Choosing is why a rubber was chosen.
type Choosing struct {
	Why       ChosenBy
	Shore     float64 // of the rubber, with what is stirred in
	Low, High float64 // of the range; of a thinned rubber High is what it was, of a thickened one its per cent
	Nearest   bool    // it is the nearest to the range, not within
	Family    material.Family
	Over      material.Family // it cures with less trouble than this one
	What      string          // the pattern's or the casting's material
}

// ChosenBy is one reason for a rubber.
type ChosenBy int

// The reasons.
const (
	AskedByName ChosenBy = iota
	FromDataSheet
	InRange
	CuresAgainst
	UsualForCast
	OwnStock
	Thinned
	Thickened
	OnlyStock // a rest is to be used, and there is one rubber in stock
)
