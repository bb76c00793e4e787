package rubber

import (
	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what is told about a rubber. The facts of each are named in brackets.
const (
	CodeInhibited   finding.Code = "rubber.cure-inhibited"       // [Meets]
	CodePrepare     finding.Code = "rubber.prepare-pattern"      // [Meets]
	CodePatchTest   finding.Code = "rubber.patch-test"           // [Meets]
	CodeRelease     finding.Code = "rubber.release-chosen"       // [Coat]
	CodeAssumed     finding.Code = "rubber.mix-assumed"          // [Assumed]
	CodeBrush       finding.Code = "rubber.brush-only"           // [BrushedOn]
	CodeRatio       finding.Code = "rubber.ratio-off"            // [RatioOff]
	CodeScale       finding.Code = "rubber.scale-too-coarse"     // [CoarseScale]
	CodeGravity     finding.Code = "rubber.part-gravity-missing" // [NoGravity]
	CodeBatches     finding.Code = "rubber.batches"              // [Batches]
	CodeTemp        finding.Code = "rubber.temperature"          // [Climate]
	CodeAdditive    finding.Code = "rubber.additive"             // [StirredIn]
	CodeWarmsItself finding.Code = "rubber.warms-itself"         // [WarmsItself]
	CodeNotOwned    finding.Code = "rubber.not-owned"            // [NotOwned]
	CodeWhich       finding.Code = "rubber.which-leftover"       // [WhichLeftover]
	CodeUnknown     finding.Code = "rubber.unknown-leftover"     // [UnknownLeftover]
	CodeHarms       finding.Code = "rubber.harms-pattern"        // [Harms]
	CodeUntouched   finding.Code = "pattern.untouchable"         // [Untouchable]
	CodeTestCup     finding.Code = "rubber.test-cup"             // [OldStock]
)

// Meets: how a rubber cures against a pattern, and what to put between them.
type Meets struct {
	Family  material.Family
	Pattern string // what it is made of
	Remark  string // of the table, about this chemistry; "" = none
	Known   bool   // else Cure says nothing
	Cure    material.Cure
	// Instead is the chemistry with the least trouble, where this one does not
	// cure; InsteadSealed says that it asks for a sealer.
	Instead       material.Family
	InsteadSealed bool
	// Original says that the pattern cannot be replaced; Gentle is what is done on
	// such a one instead of a sealer, of the table, "" = nothing of its own.
	Original bool
	Gentle   string
	// Names of sealers and releases that suit.
	Sealers, Releases []string
}

// Coat: what a release or sealer that the user names is worth.
type Coat struct {
	Release material.Release
	Family  material.Family
	Use     CoatUse
	Why     material.Objection // where it harms
	Instead []string           // names of others of its kind that suit
}

// CoatUse is what a coat is good for.
type CoatUse int

// What it can be good for.
const (
	CoatSuits   CoatUse = iota
	CoatHarms           // the rubber or the pattern
	CoatBetween         // the two halves alone
	CoatUntried         // under this chemistry
	CoatIdle            // nothing asks for it
)

// Assumed: a figure of the data sheet was not given.
type Assumed struct {
	SG unit.Density // what is assumed; 0 = it is the ratio that was not given
}

// BrushedOn: a rubber that is only ever brushed is to be poured.
type BrushedOn struct{ Name string }

// RatioOff: the scale's steps keep the two weights from the ratio.
type RatioOff struct {
	Step  unit.Mass
	Ratio Ratio
	Error float64 // (B/A)/(wanted B/A) − 1
}

// CoarseScale: the smaller part is few steps of the scale.
type CoarseScale struct{ Part, Step unit.Mass }

// NoGravity: a ratio by volume, and no gravities to weigh it by.
type NoGravity struct{ Ratio Ratio }

// Batches: one cup does not hold the pour, or the coat.
type Batches struct {
	Count   int // in one pour; of what is brushed, in one coat
	Coats   int // that are brushed; 0 = it is poured
	By      BatchLimit
	People  int     // who stir and pour in turn, each with a cup
	Minutes float64 // that the pour, or all coats, take
	Late    bool    // the next comes after the pot life of the one before, whoever helps
	TooMany bool    // no day is long enough, or more than are listed
}

// BatchLimit is what keeps a batch small.
type BatchLimit int

// What can keep it small.
const (
	ByCup BatchLimit = iota
	ByChamber
	ByPotLife
)

// Climate: the air of the workshop hinders the cure.
type Climate struct {
	Temp  unit.Temperature
	Wrong ClimateFault
	// The range in which the rule for times holds.
	Coldest, Hottest unit.Temperature
}

// ClimateFault is what is wrong with it.
type ClimateFault int

// What can be wrong.
const (
	OutOfRange ClimateFault = iota
	Cold
	Warm
	Dry // heated or cold air, for tin-cure
)

// StirredIn: an additive, with its usual and its largest share.
type StirredIn struct {
	Kind            material.AdditiveKind
	Family          material.Family
	Pct             float64 // of the finished mix
	Low, High, Most float64
	Level           AdditiveLevel
	Beyond, SeeToIt string // of the table: what too much does, what to see to
}

// AdditiveLevel is what is to be said of an additive.
type AdditiveLevel int

// What can be said.
const (
	Usual        AdditiveLevel = iota
	AboveUsual                 // more than is usual
	TooMuch                    // more than the rubber stands
	MayPoison                  // a pigment that may stop platinum-cure
	UnknownMatch               // which one goes into this rubber is not known
	NotPoured                  // a thickener in a mold that is poured
)

// WarmsItself: a batch so large that it shortens its own pot life.
type WarmsItself struct {
	Batch  unit.Mass
	Family material.Family
}

// NotOwned: a rubber of the catalogue is named, since none in stock serves.
type NotOwned struct {
	Name   string
	Asked  bool       // the user named it
	Closer []Unserved // what is in stock, and why it does not serve
}

// Unserved: a rubber in stock and the first thing that speaks against it.
type Unserved struct {
	Name string
	By   Against
}

// Against is what speaks against a rubber for a job.
type Against int

// What can speak against it, the worst first; the zero value is nothing.
const (
	NothingAgainst   Against = iota
	DoesNotCure              // against the pattern, or harms it
	NotForHeat               // of what is cast
	NotForFood               // nobody declared it for that
	NotForCasting            // another chemistry is cast in
	WornOut                  // before the castings wanted
	OtherHardness            // than the job asks for
	NotForBrush              // or the other way round: it is only brushed
	HardnessNotKnown         // or its chemistry
)

// Harms: a rubber takes the face of what it is poured on, even sealed.
type Harms struct {
	Family   material.Family
	Pattern  string // what it is made of; "" = not said
	Instead  string // of the table: what is done instead; "" = nothing of its own
	Original bool   // it cannot be replaced
}

// Untouchable: a pattern that nothing may wet or pull at.
type Untouchable struct{ Pattern string }

// WhichLeftover: a rest of rubber is to be used, and it is not said which.
type WhichLeftover struct {
	Have  unit.Mass
	Stock []string // names of what is in stock
}

// UnknownLeftover: a rest of rubber of which nobody knows the chemistry.
type UnknownLeftover struct{ Name string }

// OldStock: a rubber that was opened, or has been on the shelf for a while.
type OldStock struct {
	Name   string
	Family material.Family
	Lot    string
	Opened Date    // the zero value = not said
	UseBy  Date    // likewise
	Today  Date    // likewise: nothing is judged
	Past   bool    // its date has passed
	Stale  bool    // it has been open too long for its chemistry
	Cured  float64 // min at most in which a test cup has to cure; 0 = not known
	Shore  float64 // Shore A that it has to reach; 0 = not known
}
