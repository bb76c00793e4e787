package estimate

import (
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what this package tells. The facts of each are named in brackets.
const (
	CodeUnitAssumed  finding.Code = "file.unit-assumed"             // [Unit]
	CodeUnitDoubtful finding.Code = "file.unit-doubtful"            // [Unit]
	CodeUpright      finding.Code = "pattern.upright-assumed"       // [UprightAssumed]
	CodeOpenTop      finding.Code = "mesh.open-top"                 // [OpenTop]
	CodeDunked       finding.Code = "pattern.dunked-differs"        // [DunkedDiffers]
	CodeMass         finding.Code = "pattern.mass-doubtful"         // [TooHeavy]
	CodeSoftens      finding.Code = "pattern.softens"               // [Softens]
	CodeOriginal     finding.Code = "pattern.irreplaceable"         // [Original]
	CodeNoMethod     finding.Code = "mold.nothing-works"            // [Unfit]
	CodeUnfit        finding.Code = "mold.unfit"                    // [Unfit]
	CodePotLife      finding.Code = "rubber.pot-life-too-short"     // [SetsTooSoon]
	CodeSecondHalf   finding.Code = "rubber.release-between-halves" // [SecondHalf]
	CodeChamber      finding.Code = "rubber.chamber-too-small"      // [TooLarge]
	CodeGauge        finding.Code = "rubber.vacuum-gauge"           // [Gauge]
	CodeVacuum       finding.Code = "rubber.vacuum-headroom"        // [BoilsOver]
	CodeHardness     finding.Code = "rubber.hardness-conflict"      // [HardnessTold]
	CodeForce        finding.Code = "rubber.hard-to-strip"          // [Misfit]
	CodeStrain       finding.Code = "rubber.strain-over-limit"      // [OverStrained]
	CodeStands       finding.Code = "rubber.cannot-stand-alone"     // [Bows]
	CodeShort        finding.Code = "rubber.shelf-short"            // [Short]
	CodeTooHot       finding.Code = "casting.too-hot"               // [Hot]
	CodeNearHot      finding.Code = "casting.near-heat-limit"       // [Hot]
	CodeFamily       finding.Code = "casting.other-rubber-better"   // [Unusual]
	CodeFood         finding.Code = "casting.not-for-food"          // [Eaten]
	CodeFoam         finding.Code = "casting.foam-pressure"         // [FoamPresses]
	CodeHollow       finding.Code = "casting.hollow-estimate"       // [Hollow]
	CodeStiff        finding.Code = "casting.powder-too-thick"      // [StiffPowder]
	CodeFast         finding.Code = "casting.too-much-fast-resin"   // [FastAndThick]
	CodeThinWall     finding.Code = "casting.wall-thin-for-heat"    // [ThinForHeat]
)

// Unit: the size that a file's numbers make, in doubt or assumed.
type Unit struct {
	Stated  string // the unit that the file states; "" = it states none
	Longest unit.Length
	Doubt   UnitDoubt
}

// UnitDoubt is what speaks against a unit.
type UnitDoubt int

// What can speak against it.
const (
	NoDoubt UnitDoubt = iota
	TooSmall
	MaybeCM
	TooLargeToMold
)

// UprightAssumed: nothing says which side of the object is its top where it
// stands in the world; +z is taken.
type UprightAssumed struct {
	Use   UprightUse
	Looks mesh.Vec    // the side that seems to be the top; zero = nothing says so
	Asked unit.Length // the finished height
	Tall  unit.Length // how far the pattern, made so high along +z, reaches along Looks
}

// UprightUse is what goes by the top of the object.
type UprightUse int

// What can go by it.
const (
	UprightHeight UprightUse = iota // its finished height
	UprightStands                   // how it stands in a mold that is cut open
)

// OpenTop: a sheet that is open at the top.
type OpenTop struct {
	Width   unit.Length
	Density unit.Density // of the rubber
	Closed  unit.Mass    // of rubber with a lid; 0 = not known yet
	More    unit.Mass    // as a vessel
}

// DunkedDiffers: a volume measured by dunking is far from the mesh's.
type DunkedDiffers struct{ Dunked, Mesh unit.Volume }

// TooHeavy: a mass that the material cannot have.
type TooHeavy struct {
	Mass          unit.Mass
	Density, Most unit.Density
	Material      string
}

// Softens: a pattern that the heat of the rubber may bend.
type Softens struct {
	Pattern   string
	Low, High unit.Temperature
}

// Original: a pattern that cannot be replaced, and the steps that can harm it.
type Original struct{ Steps []RiskStep }

// Unfit: a kind of mold that was asked for, or the one that fails by least where
// none works, and what it fails by.
type Unfit struct {
	Way
	Fails []finding.Remark
}

// SetsTooSoon: nothing of the pot life is left to pour in.
type SetsTooSoon struct {
	Name         string
	PotLife      float64 // min
	Temp         unit.Temperature
	Stir, Vacuum float64 // min; 0 = no vacuum
}

// SecondHalf: rubber is poured over its own kind.
type SecondHalf struct {
	Silicone bool
	Releases []string // names of those that suit
}

// TooLarge: a mold does not go into a vessel of the workshop.
type TooLarge struct {
	Across, Height unit.Length
	Pot            bool // the pressure pot, else the vacuum chamber
	Bore, Room     unit.Length
}

// Gauge: a vacuum that is not deep enough, or cannot be. Readings in inHg.
type Gauge struct {
	Shows, Most, Wanted float64       // inHg
	Altitude            float64       // m
	Left                unit.Pressure // 0 = it shows more than there can be
	Growth              float64       // of a bubble, times
}

// BoilsOver: a batch has no room to foam up in the vacuum chamber.
type BoilsOver struct{ Needs, Has unit.Volume }

// HardnessTold: the hardness that is asked for cannot be had, or is not that of the
// rubber (Misfit).
type HardnessTold struct {
	Conflict rubber.Conflict
	Opens    []WayOpen // what would open an empty range
	Misfit   *Misfit
}

// Misfit: a rubber outside the range that the job asks for.
type Misfit struct {
	Name  string
	Shore float64
	Bound float64 // 0 = no rubber does
	Firm  bool    // it is too firm, else too soft
	Why   finding.Remark
}

// OverStrained: stripping strains a rubber more than it stands.
type OverStrained struct {
	Name   string
	Strain *float64 // nil = no finite figure
	Why    rubber.Straining
	Stands float64
	Hoop   bool // a ring stretches
	Never  bool // no rubber stands it
	Life   rubber.Life
	Often  bool // it stands it, but not often
}

// Bows: a mold that gives way without its container.
type Bows struct {
	Round   bool
	Wall    unit.Length
	Shore   float64
	By      unit.Length
	Falls   bool // it would not stand at all
	Softest *float64
}

// Short: what is missing of the rubber on the shelf.
type Short struct {
	Have, Short unit.Mass
	Does        []SavingKind // ways that make it do by themselves
	Other       bool         // there are ways, but none is enough
	Room        unit.Volume  // to save in each mold
}

// Hot: a casting near or over the heat that a rubber stands.
type Hot struct {
	Cast      string
	Low, High unit.Temperature
	Rubber    string
	Limit     unit.Temperature
	Most      bool // the limit is the most that any rubber stands: the rubber's own is not known
	// Instead is a rubber that stands it, and what that stands; "" = there is none.
	Instead string
	Stands  unit.Temperature
}

// Unusual: a casting in a rubber that it is not usually cast in.
type Unusual struct {
	Cast   string
	Usual  []material.Family
	Family material.Family
	Most   int // castings that it is chosen for; 0 = it is not usual at all
	Copies int // that are wanted
}

// Eaten: food in a rubber.
type Eaten struct {
	Cast     string
	Family   material.Family
	Declared string // the rubber that is declared for food; "" = none
	Owned    bool   // the user says so, else it is of a class that is sold with it
}

// FoamPresses: what expanding foam does to its mold. Lid and side are 0 where
// they are not known.
type FoamPresses struct {
	Low, High       unit.Pressure
	Pack            float64
	LidLow, LidHigh unit.Force
	Side            unit.Force
}

// Hollow: a hollow casting is reckoned as a wall.
type Hollow struct {
	Wall  unit.Length
	Rough bool // by the surface alone
}

// FastAndThick: so much of a fast resin in one casting that it heats itself.
type FastAndThick struct {
	Cast       string
	Mass, Most unit.Mass
}

// ThinForHeat: rubber round a hot casting that is thinner than it should be.
type ThinForHeat struct {
	Cast        string
	Wall, Least unit.Length
}

// StiffPowder: so much powder in resin that it hardly pours.
type StiffPowder struct{ Ratio, Share, Most float64 }
