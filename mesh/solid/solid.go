// Package solid turns a mesh into S, the pattern as rubber meets it: the
// complement of the unbounded component of space minus (surface and closing
// patches). It depends on neither pull, pour, air nor winding; sealed voids
// belong to it and overlaps count once. Only a Solid has a displaced volume, a
// demold report, a fit: nobody prices a leaking pattern by accident.
package solid

import (
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Options says how to close and what to count. The zero value is the default.
type Options struct {
	KeepCrumbs bool // count loose debris as pattern
	// Opening settles a sheet that is open at the top: "" (undecided),
	// "closed" (with a lid) or "open" (a vessel that rubber fills).
	Opening  string
	Progress func(stage string, done, total int)
}

// Solid is immutable and safe for concurrent use.
type Solid struct {
	src     *mesh.Mesh
	surface *mesh.Mesh // triangles of src first, in order, then patches
	nsrc    int
	piece   []int32 // per surface triangle: oriented piece, -1 = left out
	flip    []bool  // per piece: to be turned so that it winds outward

	Result
}

// Result is what a Solid knows about itself.
type Result struct {
	Displaced        unit.Bounded[unit.Volume] // of S, mm³
	DisplacedMethod  string                    // how it was had, in a few words
	Material         unit.Volume               // the solid less its voids, mm³
	SealedVoids      int
	SealedVoidVolume unit.Volume // mm³
	SelfCrossings    int         // pairs of triangles that cross or touch wrongly
	Repairs          []string    // what was mended or invented, in words; never nil
	Findings         finding.List
}

// Surface is the surface that bounds S before the inside rule: the source
// mesh's triangles first, with the same indices, then closing patches.
func (s *Solid) Surface() *mesh.Mesh { return s.surface }

// Source is the mesh that the solid was made from.
func (s *Solid) Source() *mesh.Mesh { return s.src }

// Live reports whether surface triangle t takes part: not collapsed, not a
// crumb, not a dropped twin.
func (s *Solid) Live(t int) bool { return s.piece[t] >= 0 }

// Patch reports whether surface triangle t was invented to close a hole.
func (s *Solid) Patch(t int) bool { return t >= s.nsrc }

// Exact reports whether the displaced volume has no error.
func (s *Solid) Exact() bool { return s.Displaced.Exact() }
