package boxfit

import (
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what is told about a container. The facts of each are named in
// brackets.
const (
	CodeSmall        finding.Code = "container.too-small"        // [TooSmall]
	CodeThin         finding.Code = "container.wall-thin"        // [Thin]
	CodeThick        finding.Code = "container.wall-thick"       // [Thick]
	CodeTube         finding.Code = "container.no-stock-tube"    // [NoTube]
	CodeBow          finding.Code = "container.board-bows"       // [Bow]
	CodeHead         finding.Code = "container.tall-head"        // [Head]
	CodeFloat        finding.Code = "container.pattern-floats"   // [Floats]
	CodeFloatUnknown finding.Code = "container.float-unknown"    // [MayFloat]
	CodeHeavy        finding.Code = "container.heavy"            // [Heavy]
	CodeShell        finding.Code = "container.shell-lifts"      // [ShellLifts]
	CodeRun          finding.Code = "container.long-run"         // [LongRun]
	CodeCoat         finding.Code = "container.coat"             // [Coat]
	CodeSheet        finding.Code = "container.board-past-sheet" // [PastSheet]
	CodeVolume       finding.Code = "container.volume-doubtful"  // [NoRoom]
)

// Inside is how large a container must be inside at least: a sleeve has a
// Diameter, any other Length and Width.
type Inside struct{ Diameter, Length, Width, Height unit.Length }

// TooSmall: the pattern does not fit the user's own container.
type TooSmall struct {
	Kind Kind
	// What is lacking, 0 = nothing: across the bore, or of length or width
	// whichever way the pattern is turned; and of height.
	Side, Height unit.Length
	Need         Inside
}

// Thin: there is less rubber than is wanted. Own has the user's container; nil
// where less was asked for.
type Thin struct {
	Thinnest, Usual unit.Length
	Own             *OwnThin
}

// OwnThin: what the user's own container leaves for rubber.
type OwnThin struct {
	Kind       Kind
	Where      Where
	Have, Want unit.Length // at the side or over the pattern
	HaveUnder  unit.Length // with OverAndUnder
	WantUnder  unit.Length
	Skin       bool // hardly any rubber
	Need       Inside
}

// Where rubber is thin.
type Where int

// The places.
const (
	AtTheSide Where = iota
	OverPattern
	OverAndUnder
)

// Thick: a thicker wall than is of use was asked for; or the pattern is large,
// with its Length, Width and Rubber.
type Thick struct {
	Asked, Most   unit.Length // Asked 0 = the pattern is large
	Length, Width unit.Length
	Mold          demold.Mold
	Rubber        unit.Volume
}

// Coat: a coat of an unusual thickness is asked for.
type Coat struct {
	Asked, Usual   unit.Length
	Brushed, Thick bool
}

// NoTube: no stock tube is wide enough.
type NoTube struct {
	Need   unit.Length
	Widest string
	Bore   unit.Length
}

// Bow: a wall bows more than is allowed.
type Bow struct {
	Board       string
	Width, Head unit.Length // of the wall; of rubber against it
	Unknown     bool        // it bows further than any figure can say
	By, Allowed unit.Length
	Brace       *Brace // what holds it; nil = nothing within reason
	Enough      bool   // the brace is all it needs
	// Stiffer is a board that holds, under a batten if one is named; "" = none in
	// stock.
	Stiffer          string
	StifferThickness unit.Length
	StifferUnder     Batten
}

// Brace is what keeps a wall from bowing: a batten along the rim, and upright ribs
// where there are any. A strap is none: round flat sides it bears on the corners
// alone.
type Brace struct {
	Batten Batten
	Walls  unit.Length // width of the walls that need it
	Ribs   int
	Every  unit.Length // between ribs
	Bow    unit.Length // what is left
	// Trough says that upright braces stand between sides and base, with no strap.
	Trough bool
}

// Head: the rubber stands deep.
type Head struct {
	Depth  unit.Length
	Floor  unit.Pressure
	Wall   unit.Force // on the widest wall
	Mother bool       // under a mother mold, whose walls are not known
}

// Floats: the pattern floats in the rubber.
type Floats struct {
	Mass, Displaces unit.Mass
	Up              unit.Force
	Screws, Glue    unit.Force // what they must be good for
	Load            unit.Mass  // to put on instead: it weighs as much as Screws
	Ring            unit.Area  // of glue that bears Glue; 0 = glue alone is not the way
	OnBoard         bool       // it can be screwed down
	Sealed          Foot
	Original        bool // no screw, glue or weight may come on it
	Bodies          int  // patterns that it is about together; 0 = one
}

// Foot is what a foot sealed all round would do about floating.
type Foot int

// The cases.
const (
	FootNoHelp Foot = iota
	FootLess        // it would pull less
	FootHolds       // the rubber would hold it down
)

// MayFloat: the pattern's mass is not known.
type MayFloat struct {
	Displaces unit.Mass  // the rubber it displaces
	Worst     unit.Force // were it weightless
	Load      unit.Mass  // holds the worst with margin
	Bodies    int        // patterns that it is about together; 0 = one
}

// LongRun: a trough is longer than is poured in one piece.
type LongRun struct{ Length, Most unit.Length }

// Heavy: what must be lifted is heavy.
type Heavy struct {
	Mass    unit.Mass
	AtLeast bool
	Hands   int  // people that it takes, as Hands has it; 0 = a hoist
	Shell   bool // it is a coat under its mother mold
	Brushed bool // that is brushed on
}

// ShellLifts: the liquid rubber lifts a closed mother mold.
type ShellLifts struct {
	Up    unit.Force
	Riser unit.Length // of rubber in the funnel
	Load  unit.Mass
}

// NoRoom: the pattern is said to displace all that the container holds.
type NoRoom struct{ Displaced, Capacity unit.Volume }

// Reason says, as a remark, why a container was chosen.
type Reason struct {
	Why   Why
	Saved float64 // of rubber, a share, against the container Than
	Sides int
	Than  Kind
	Tube  *string // the stock tube
}

// Why a container was chosen.
type Why int

// The reasons.
const (
	BecauseAsked Why = iota
	BecauseOwn
	BecausePlain
	BecauseSleeve
	BecauseSheet
	BecausePolygon
	BecauseBlanket
	BecauseLong
)

// PastSheet: a board is larger than the sheet it is to be cut from.
type PastSheet struct {
	Part                    Part
	Length, Width           unit.Length
	SheetLength, SheetWidth unit.Length
}
