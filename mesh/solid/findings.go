package solid

import (
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what mending finds. The facts of each are named in brackets.
const (
	CodeBottom     finding.Code = "mesh.open-bottom"       // [Bottom]
	CodeHoles      finding.Code = "mesh.open-holes"        // [Holes]
	CodeCracks     finding.Code = "mesh.cracks"            // [Cracks]
	CodeTurned     finding.Code = "mesh.turned-faces"      // [TurnedFaces]
	CodeInsideOut  finding.Code = "mesh.inside-out"        // [InsideOut]
	CodeDoubles    finding.Code = "mesh.double-faces"      // [Doubles]
	CodeCrossings  finding.Code = "mesh.self-crossings"    // [Crossings]
	CodeOneSided   finding.Code = "mesh.one-sided"         // [OneSided]
	CodeCrumbs     finding.Code = "mesh.crumbs"            // [Crumbs]
	CodeVoids      finding.Code = "mesh.sealed-voids"      // [Voids]
	CodePockets    finding.Code = "mesh.enclosed-pocket"   // [Pockets]
	CodePieces     finding.Code = "mesh.several-pieces"    // [Bodies]
	CodeVesselWall finding.Code = "mesh.vessel-wall-taken" // [VesselWall]
	CodeDrain      finding.Code = "mesh.drain-hole"        // [Hollows]
)

// usualRubber turns a volume into grams where no rubber has been chosen yet: a
// mold silicone of 1.1 g/cm³ (from memory; mold rubbers lie between 1.0 and
// 1.35).
const usualRubber unit.Density = 1.1

// Doubt says how well the displaced volume is known, in volume and in rubber.
type Doubt struct {
	Displaced unit.Bounded[unit.Volume]
	Rubber    unit.Mass    // either way
	Density   unit.Density // of that rubber
}

// doubt is how well the displaced volume is known.
func (s *Solid) doubt() Doubt {
	return Doubt{s.Displaced, usualRubber.Mass((s.Displaced.High - s.Displaced.Low) / 2), usualRubber}
}

// Bottom: a side that was never scanned was closed.
type Bottom struct {
	Flat   bool
	Across unit.Length
	Facing mesh.Vec // the opening's normal
	At     mesh.Vec
	Patch  unit.Area
	Doubt  Doubt
}

// Holes in the skin were closed.
type Holes struct {
	Count   int
	Largest unit.Length // across
	At      mesh.Vec    // the largest
	Doubt   Doubt
}

// Cracks of no width were zipped.
type Cracks struct{ Count int }

// TurnedFaces were inside out against their neighbours.
type TurnedFaces struct{ Count int }

// InsideOut pieces were turned outward.
type InsideOut struct{ Pieces int }

// Doubles are faces drawn twice on the same corners.
type Doubles struct{ Count int }

// Crossings are places where faces cross or touch; First is nil where none is
// known.
type Crossings struct {
	Pairs int
	First *mesh.Vec
	Doubt Doubt
}

// OneSided: part of the surface has no inside and outside.
type OneSided struct{ Doubt Doubt }

// Crumbs of loose debris were left out.
type Crumbs struct{ Count int }

// Voids: the pattern is hollow.
type Voids struct {
	Count     int
	Volume    unit.Volume
	Displaced unit.Volume
	Material  unit.Volume
}

// Pockets are rooms that pieces enclose together.
type Pockets struct{ Volume unit.Volume }

// Bodies apart from each other.
type Bodies struct{ Count int }

// VesselWall was given to a sheet that is open at the top.
type VesselWall struct {
	Wall  unit.Length
	Doubt Doubt
}

// Repairs, as remarks.
type (
	// DroppedDoubles: so many faces were doubles.
	DroppedDoubles struct{ Faces int }
	// ZippedEdges: open edges along cracks were joined.
	ZippedEdges struct {
		Edges  int
		Within unit.Length
	}
	// TurnedToAgree: so many faces were turned to agree with their neighbours.
	TurnedToAgree struct{ Faces int }
	// ZippedCracks: so many cracks of no width were closed.
	ZippedCracks struct{ Cracks int }
	// Patched: so many holes were closed with a patch each.
	Patched struct{ Holes int }
	// GivenWall: an open sheet was given a wall, as an open vessel.
	GivenWall struct{ Wall unit.Length }
	// LeftOut: so many crumbs were left out.
	LeftOut struct{ Crumbs int }
	// TurnedOut: so many pieces were turned right side out.
	TurnedOut struct{ Pieces int }
	// FilledRoom: a room that the pieces enclose together was filled.
	FilledRoom struct{}
)

// Measured says, as a remark, how the displaced volume was had.
type Measured struct {
	Patched bool // after holes were closed
	Way     Way
}

// Way is a way to measure a volume.
type Way int

// The ways.
const (
	WayExact   Way = iota // the surface is closed and does not cross itself
	WayMended             // the sum of the pieces after mending
	WayUnion              // the exact union: faces cut along the lines in which they meet
	WayColumns            // the sum of the pieces, corrected by columns along three directions
)

// mended notes a repair.
func (s *Solid) mended(facts any) { s.Repairs = append(s.Repairs, finding.Remark{Facts: facts}) }

// found notes a finding.
func (s *Solid) found(code finding.Code, sev finding.Severity, at *mesh.Vec, facts any) {
	f := finding.Finding{Code: code, Severity: sev, Facts: facts}
	if at != nil {
		f.At = new(at.Array())
	}
	s.Findings.Add(f)
}
