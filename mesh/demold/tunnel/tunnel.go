// Package tunnel finds where rubber would link through a pattern: how many
// tunnels there are, where each is narrowest, how long it is, and the web of
// rubber in it that has to be cut for the mold to let go.
//
// Count is exact where the surface is sound (euler.go), and else that of the
// body closed with a small ball (cubes.go). List reads the places from the
// space outside, thinned to its loops (skeleton.go, narrow.go), and measures
// them by exact plane sections (cross.go): a passage is as long as a plane
// across it is closed all round (follow.go).
package tunnel

import (
	"context"
	"math"

	"moldtally/mesh/demold/scene"
)

// space is what rubber links through: what lies outside the solid and above the
// slab.
type space struct {
	*scene.Scene
	floor float64 // height of the slab's top, on a baseboard the clay line; −Inf: no slab
}

func spaceOf(s *scene.Scene) space {
	if s.OnBoard() {
		return space{s, s.ClayLine()}
	}
	return space{s, math.Inf(-1)}
}

// slab reports whether there is one.
func (sp space) slab() bool { return !math.IsInf(sp.floor, -1) }

// Passage is a place where rubber links through the pattern, or, with the
// board, under it: the stretch over which a plane across it is closed all round
// by the pattern and the board; its mouths are where that ends. The web is the
// rubber in the least such section: what has to be cut for the mold to let go.
// Lengths mm, areas mm²; nil = no plane across it is closed all round, so that
// there is nothing to measure.
type Passage struct {
	ID        int         `json:"id"`
	Region    *int        `json:"region"`       // undercut that its web lies in; nil = none
	Opening   float64     `json:"opening_mm"`   // diameter of the largest ball that passes
	Length    *float64    `json:"length_mm"`    // from mouth to mouth
	WebArea   *float64    `json:"web_area_mm2"` // of the least section
	WebSize   *[2]float64 `json:"web_size_mm"`  // of the least section: its largest extent, and across that
	At        [3]float64  `json:"at_mm"`        // the middle of the passage
	WebAt     [3]float64  `json:"web_at_mm"`    // the middle of the web
	Direction *[3]float64 `json:"direction"`    // along the passage at the web, unit

	web *crossSection // nil where there is none
}

// Count is how many tunnels rubber would link through: the first Betti number of
// the solid and, on a baseboard, the slab below the clay line. The error is ctx's.
func Count(ctx context.Context, s *scene.Scene) (int, error) {
	sp := spaceOf(s)
	if s.Solid.Embedded() {
		if n, ok, err := newEuler(sp).count(ctx); err != nil || ok {
			return n, err
		}
	}
	return countClosed(ctx, sp)
}
