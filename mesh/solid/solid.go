// Package solid turns a mesh into S, the pattern as rubber meets it: the
// complement of the unbounded component of space minus (surface and closing
// patches). It depends on neither pull, pour, air nor winding; sealed voids
// belong to it and overlaps count once. Only a Solid has a displaced volume, a
// demold report, a fit: nobody prices a leaking pattern by accident.
package solid

import (
	"context"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/par"
	"moldtally/mesh/unit"
)

// Options says how to close and what to count. The zero value is the default.
type Options struct {
	KeepCrumbs bool // count loose debris as pattern
	// Opening settles a sheet that is open at the top: "" (undecided),
	// "closed" (with a lid) or "open" (a vessel that rubber fills).
	Opening string
	// Across is the number of columns along the longest side where a volume
	// has to be measured; 0 means 640. Fewer is faster and widens the bounds.
	Across   int
	Progress func(stage string, done, total int)
}

// Solid is immutable and safe for concurrent use.
type Solid struct {
	src *mesh.Mesh
	// surface has the triangles of src first, in order, then faces that stand
	// in for cracked ones, then patches.
	surface   *mesh.Mesh
	patchFrom int
	allLive   bool
	piece     []int32 // per surface triangle: piece, -1 = left out
	pieces    int
	walls     bool     // the last piece is no body: sheets that only part space
	flip      []bool   // per piece: to be turned so that it winds outward
	odd       []bool   // per piece: cannot be wound, inside by parity; nil = none
	turnTri   []bool   // per triangle: turned against its neighbours; nil = none
	pockets   *lattice // what the pieces enclose together, for columns; nil = nothing to speak of
	together  bool     // the pieces enclose rooms together

	embedded bool  // the mended surface does not cross or touch itself
	within   []int // per piece: the smallest piece it lies inside of, -1 = none

	Result
}

// Result is what a Solid knows about itself. Volumes mm³.
type Result struct {
	Displaced        unit.Bounded[unit.Volume] // of S
	Measured         Measured                  // how it was had
	Material         unit.Volume               // the solid less its voids
	SealedVoids      int
	SealedVoidVolume unit.Volume
	SelfCrossings    int              // pairs of triangles that cross or touch wrongly
	Openings         []Opening        // holes that were closed, largest first
	Turned           int              // triangles turned to agree with their neighbours
	InsideOut        int              // whole pieces turned outward
	Dropped          int              // faces dropped as doubles
	Wall             float64          // mm given to an open vessel's sheet; 0 = none
	Repairs          []finding.Remark // what was mended or invented; never nil
	Findings         finding.List
}

// Opening is a hole in the surface and the patch that closes it.
type Opening struct {
	At        mesh.Vec // its middle, mm
	Normal    mesh.Vec // unit, out of the solid
	Diameter  float64  // largest distance across, mm
	Perimeter float64  // mm
	Area      float64  // of the patch, mm²
	Flat      bool     // in one plane to 1 % of the square root of the area
	// Bulge brackets what the patch may be wrong by, mm³: the volume between
	// it and the surface that the rim's tangents would continue to.
	BulgeLow, BulgeHigh float64
	// Inside is what the piece that the patch helps to close encloses, mm³.
	Inside float64

	piece int32
}

// Surface is the surface that bounds S before the inside rule: the source
// mesh's triangles first, with the same indices, then faces that stand in for
// source faces whose cracks were zipped (those are not Live), then patches.
func (s *Solid) Surface() *mesh.Mesh { return s.surface }

// Live reports whether surface triangle t takes part: not collapsed, not a
// crumb, not a dropped twin.
func (s *Solid) Live(t int) bool { return s.piece[t] >= 0 }

// Patch reports whether surface triangle t was invented to close a hole.
func (s *Solid) Patch(t int) bool { return t >= s.patchFrom }

// Outward reports whether surface triangle t is wound outward as it stands;
// otherwise its normal must be turned to point out of its piece.
func (s *Solid) Outward(t int) bool {
	p := s.piece[t]
	out := p >= 0 && !s.flip[p]
	if s.turnTri != nil && s.turnTri[t] {
		out = !out
	}
	return out
}

// Piece returns the number of the piece that surface triangle t belongs to,
// -1 for one that is left out.
func (s *Solid) Piece(t int) int { return int(s.piece[t]) }

// Nested reports whether a piece lies inside another, where it bounds nothing
// that rubber meets.
func (s *Solid) Nested(piece int) bool { return piece >= 0 && s.within[piece] >= 0 }

// Area is the area of the surface that takes part, mm². The error is the ctx's.
func (s *Solid) Area(ctx context.Context) (float64, error) { return s.areaOf(ctx, s.Live) }

// MetArea is the area of the surface that rubber meets, mm²: without the walls of
// sealed voids. The error is the ctx's.
func (s *Solid) MetArea(ctx context.Context) (float64, error) {
	return s.areaOf(ctx, func(t int) bool { return s.Live(t) && !s.Nested(s.Piece(t)) })
}

// areaOf is the area of some triangles, mm².
func (s *Solid) areaOf(ctx context.Context, of func(t int) bool) (float64, error) {
	m := s.surface
	const block = 1 << 15
	parts := make([]float64, (m.NumTriangles()+block-1)/block)
	err := par.Blocks(ctx, m.NumTriangles(), block, func(from, to int) {
		for t := from; t < to; t++ {
			if of(t) {
				a, b, c := m.Corners(t)
				parts[from/block] += b.Sub(a).Cross(c.Sub(a)).Len() / 2
			}
		}
	})
	area := 0.0
	for _, x := range parts {
		area += x
	}
	return area, err
}

// Embedded reports whether the mended surface nowhere meets itself, so that
// inside and outside, and what hangs together, can be read from it alone.
func (s *Solid) Embedded() bool { return s.embedded }

// Exact reports whether the displaced volume has no error.
func (s *Solid) Exact() bool { return s.Displaced.Exact() }
