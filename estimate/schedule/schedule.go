// Package schedule lays out the order of work of a mold, in minutes from the
// first stir: what comes before it, mixing and pouring of each half, curing,
// opening, and the first casting. It reads no clock.
package schedule

import (
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
)

// Pour is one pouring, or what is brushed on in coats.
type Pour struct {
	Half    rubber.Half
	Batches []Batch
	People  int // who stir and pour in turn, or brush side by side, each with a cup; 0 = one
}

// Batch is one cup: what is poured of it, and the parts that are weighed for it
// (0 = not known), g. Coat is the coat that it is brushed on as, from 1.
type Batch struct {
	Mass, A, B float64
	Coat       int
}

// Chore is what is done beside mixing and pouring, how long that takes, and for how
// much of it hands are at work (0 = all of it, Idle = none), min.
type Chore struct {
	Task    Task
	Minutes float64
	Hands   float64
}

// Idle is the hands of a chore that is all waiting.
const Idle = -1

// Request is what the order of work depends on. Minutes and grams.
type Request struct {
	Family   material.Family
	Pours    []Pour
	Demold   float64 // at the workshop's temperature
	Stir     float64 // per batch
	Degas    float64 // per batch; 0 = none
	Rate     float64 // g/min poured
	Coats    int     // brushed coats; 0 = poured
	Brushing float64 // that one coat takes to brush on, for one person, whatever its cups
	Tacky    float64 // from a place's brushing to its next coat
	Shell    bool    // it is poured into a closed shell
	Turning  float64 // to turn the first half over and clean it
	Open     Chore   // the mold is opened
	Casting  float64 // until the first casting is opened; 0 = not said
	Trying   float64 // of that with hands at work

	Before []Chore // the first stir: these steps begin before time 0
	Turned []Chore // the first of two halves, and with its release on
	Coated []Chore // once the coats of a pour have cured
	Cured  []Chore // once all rubber has cured, before the mold is opened
	Ready  []Chore // once it is open, before the first casting
}

// Step is one line: when it begins and ends, and for how much of that hands are at
// work, min; of two people's together.
type Step struct {
	Task       Task
	Half       rubber.Half
	Start, End float64
	Hands      float64
}

// Task is what is done in a step.
type Task struct {
	Do             Doing
	Nth            int             // of Batches, from 1; where there is but one, of Coats
	Coats, Batches int             // 0 = one
	Coat           int             // of Coats, from 1, where Nth is one of its Batches
	Second         bool            // by a second person, beside the first
	Family         material.Family // of a rest, and of what is released
	A, B           unit.Mass       // that are weighed; 0 = not known
	Count          int             // of keys, vents, pieces of a shell
	Across, Deep   unit.Length     // of a key, rod, bed or coat, or along a slit; 0 = not known
}

// Doing is one thing that is done.
type Doing int

// What is done, in the order of work.
const (
	SealPattern    Doing = iota
	ReleasePattern       // and what else the rubber meets
	FillPores            // Count small holes that would lock
	FillLoose            // Count loose pieces, each in its hollow, until they have cured
	FixDown
	Stand      // hung in the box: on its base, a rod and pegs
	LayClayBed // up to the parting, Across wide
	PressKeys
	SetSprue
	SetVents
	StandFin  // where the mold is to open
	LayClay   // a coat of it, Deep thick
	BuildCase // of Count pieces over that clay
	ClearClay
	RefitShell // over the gap that the clay leaves
	BuildBox
	TurnOver // the first half, to pour the second
	BrushRelease
	CloseBox // round the second half
	Mix
	Degas
	Brush
	PourIn
	PourThrough // the spout of a closed shell
	Tack
	Cure
	BuildShell // of Count pieces over the coat
	TakeShellOff
	SlitOpen // at the back, from the mouth
	CutOpen  // all round, along its line
	Open
	PeelOff   // the coat, that goes back into its shell
	DrawLoose // Count loose pieces, and set them back into the mold
	PunchVents
	Rest
	FirstCasting
)

// Defaults, minutes; common practice, no source.
const (
	OpenMinutes    = 30.0
	ReleaseMinutes = 30.0
	SealerMinutes  = 1440.0 // that a sealer dries in what is porous
	// MotherMinutes is what a shell of plaster or laminate takes over a blanket,
	// until it stands by itself; common practice, no source.
	MotherMinutes = 240.0
)

// afterCure is how long a family rests, open to the air, before it casts, min;
// from memory.
var afterCure = map[material.Family]float64{material.Platinum: 1440, material.Tin: 4320, material.Polyurethane: 7200}
