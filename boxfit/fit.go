// Package boxfit finds the container for a pour: the box, polygon or sleeve
// round a pattern, its boards, its fill and the rubber it takes.
package boxfit

import (
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// Kind of container.
type Kind string

// The kinds.
const (
	Box     Kind = "box"
	Polygon Kind = "polygon"
	Sleeve  Kind = "sleeve"
	Trough  Kind = "trough"      // an open box for what is long and thin, its sides braced
	Mother  Kind = "mother mold" // a rigid shell over a blanket
)

// FourSided reports whether the container is four flat walls.
func (k Kind) FourSided() bool { return k == Box || k == Trough }

// Board is one line of the cut list. Of a tube, length, outside diameter and wall
// stand for length, width and thickness.
type Board struct {
	Part      Part    `json:"name"`
	Count     int     `json:"count"`
	Length    float64 `json:"length_mm"`
	Width     float64 `json:"width_mm"`
	Thickness float64 `json:"thickness_mm"`
}

// Part is what a board is in its container, and what it is cut from.
type Part struct {
	Role  Role
	Stock string // the sheet, by its name among Boards; of a tube its name
	Sides int    // of the polygon a side belongs to
}

// Role is what a board of a container does there.
type Role int

// The roles.
const (
	LongSide Role = iota
	ShortSide
	PolygonSide
	BaseBoard
	TroughSide
	StopEnd
	TroughBrace
	TubeWall
	WrappedSheet // bent round into a sleeve: its length runs round, its width is the height
	RimBatten    // along the rim of a wall that bows, from corner to corner
	UprightRib   // outside of such a wall, from the base to that batten
)

// Fit is a container that holds the pour, inside sizes in mm. A nil pointer is
// unknown or does not apply, and is written as null.
type Fit struct {
	Kind     Kind        `json:"kind"`
	Mold     demold.Mold `json:"mold"`
	Interior *[3]float64 `json:"interior_mm"` // length, width, height to the rim
	Diameter *float64    `json:"diameter_mm"` // of a sleeve; of a polygon between flats
	Sides    *int        `json:"sides"`
	Wall     float64     `json:"wall_mm"`
	Over     float64     `json:"over_mm"`
	Under    float64     `json:"under_mm"`
	// CoverWanted is the rubber at the sides that the rule would like, mm, before it
	// is held to CoverMost: past that the kind of mold should change.
	CoverWanted float64 `json:"-"`
	FillHeight  float64 `json:"fill_height_mm"` // above the container's floor
	Capacity    float64 `json:"capacity_mm3"`   // clear inside up to the fill line
	// Of a blanket or a brushed mold, else null: thickness of the coat, its volume,
	// what is added until its outside draws from the shell, and the shell.
	Coat       *float64    `json:"coat_mm"`
	CoatVolume *float64    `json:"coat_volume_mm3"`
	FillOut    *float64    `json:"fill_out_volume_mm3"`
	Shell      *Shell      `json:"shell"`
	Stock      *string     `json:"stock"`       // a stock tube's name
	Thinnest   float64     `json:"thinnest_mm"` // thinnest rubber, in three dimensions
	ThinnestAt *[3]float64 `json:"thinnest_at_mm"`
	Boards     []Board     `json:"boards"`
	Sheets     []Sheet     `json:"sheets"` // that the boards are cut from; [Fit.Nest] lays them
	Seam       float64     `json:"seam_length_mm"`

	// The loads are those of one pour: of the deeper of two halves.
	// HoldDown is the full buoyancy less the pattern's weight, N: negative
	// when it sinks, nil when its mass is unknown. HoldDownMargin is what a
	// fixing must bear, never below 0: HoldDown times MarginScrews.
	HoldDown       *float64 `json:"hold_down_N"`
	HoldDownMargin *float64 `json:"hold_down_with_margin_N"`
	FloorPressure  float64  `json:"floor_pressure_kPa"`
	WallForce      float64  `json:"wall_force_N"` // largest on one wall; of a tube or a parted shell, what pushes its halves apart
	BoardBow       *float64 `json:"board_bow_mm"` // nil for a tube, which does not bow
	Hoop           *float64 `json:"hoop_MPa"`     // pull round a tube's wall at its foot: pressure × bore / (2 × wall)
	Brace          *Brace   `json:"brace"`
	LiftMass       *float64 `json:"lift_mass_g"`

	Keys  []Key     `json:"keys"`  // of two halves
	Sprue *Channel  `json:"sprue"` // nil = a mold with a mouth
	Vents []Channel `json:"vents"`

	Fillers []Filler `json:"fillers"` // any one of them, where it saves enough of the rubber
	Layout  []Placed `json:"layout"`  // of several patterns in one container
	Options []Option `json:"options"`

	// Rubber is the volume of rubber up to the fill line with its bounds,
	// mm³: high goes with the least displaced volume.
	Rubber     float64 `json:"-"`
	RubberLow  float64 `json:"-"`
	RubberHigh float64 `json:"-"`
	// RubberBelow is the share of Rubber under the parting plane, mm³: what
	// the lower half takes. nil where the mold has no such plane.
	RubberBelow *float64 `json:"-"`
	// Outline is the pattern's convex outline from above, in the parting plane where
	// the mold has one, else at the container's floor; file frame.
	Outline []mesh.Vec `json:"-"`
	// Own says that the container is the user's, measured by them.
	Own bool `json:"-"`
	// ShellUplift is what lifts a closed mother mold off the board while the
	// rubber is liquid, N; nil for other containers.
	ShellUplift *float64 `json:"-"`
	// Holding is how the pattern is held, by its mean density; nil where its mass
	// is unknown or nothing liquid lifts it. Fixed says that the user sees to it.
	Holding *Holding `json:"-"`
	Fixed   bool     `json:"-"`
	// Bands is what the straps round a tube carry in all, N; nil for other
	// containers.
	Bands *float64 `json:"-"`
	// TubeGrowth is how much wider a tube is at its foot under the liquid, mm.
	TubeGrowth *float64 `json:"-"`
	// Reason says why this container was chosen; nil for one that was not.
	Reason *Reason `json:"-"`
	// Center is the container's axis at its floor, file frame; LongAxis the
	// direction of its length; Up its axis. For pictures.
	Center, LongAxis, Up [3]float64   `json:"-"`
	Findings             finding.List `json:"-"`

	parted *parted // of a mother mold: what its form is made from
}

// Fits reports whether the pattern goes into the container: not into every one of
// the user's own. Where it does not, no figure of rubber is a promise.
func (f *Fit) Fits() bool { return !f.Findings.Has(CodeSmall) }

// Option is a container that was weighed against the one chosen.
type Option struct {
	Mold      demold.Mold `json:"mold"`
	Container Kind        `json:"container"`
	Volume    float64     `json:"rubber_volume_mm3"`
	Mass      *float64    `json:"rubber_mass_g"`
	Cost      *float64    `json:"cost"`
}

// Placed is where one of several patterns stands in their container: At is the middle
// of its outline's box on the floor, mm along the length, along the width and up, from
// an inside corner of a box and from the middle of what is round; Turn is by how much
// it is turned from how its file has it, degrees, counterclockwise as seen from above.
type Placed struct {
	File string     `json:"file"`
	At   [3]float64 `json:"at_mm"`
	Turn float64    `json:"turn_deg"`
}
