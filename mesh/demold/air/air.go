package air

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
)

// Liquid is what is poured.
type Liquid string

const (
	Rubber  Liquid = "rubber"  // over the pattern
	Casting Liquid = "casting" // into the finished mold
)

// Half is the part of the mold that a pour makes or fills.
type Half string

const (
	Whole Half = "whole"
	Upper Half = "upper"
	Lower Half = "lower"
)

// Trap is a pocket where a pour leaves air, the mold standing level. At is
// where in it the air sits last, so where a vent clears it.
type Trap struct {
	Pour   Liquid     `json:"pour"`
	Volume float64    `json:"volume_mm3"`
	At     [3]float64 `json:"at_mm"`
}

// Pour is what a pour catches and what clears it. Tilt is the least that
// empties the traps, or the one that leaves least of what the program tries (up
// to 45°): a mold with a mouth, and rubber in its box, is filled tipped and then
// set level and topped up; a mold shut all round stays tipped until it has set.
type Pour struct {
	Pour    Liquid       `json:"pour"`
	Half    Half         `json:"half"`
	Up      [3]float64   `json:"up"`          // the side that faces up while it is poured, standing level
	Caught  float64      `json:"caught_mm3"`  // standing level
	Traps   int          `json:"traps"`       // the places
	At      *[3]float64  `json:"at_mm"`       // the largest of them; nil where there are none
	Tilt    *float64     `json:"tilt_deg"`    // nil: there is nothing or too little to clear, or no tilt helps
	Toward  *[3]float64  `json:"toward"`      // the side that goes down
	Left    float64      `json:"left_mm3"`    // caught in spite of the tilt
	Vents   [][3]float64 `json:"vents_at_mm"` // for what is left, the most first
	Over    *float64     `json:"box_over_mm"` // how far over the pattern a box has to reach to hold rubber so tipped, its walls close by; nil without a tilt
	SprueAt *[3]float64  `json:"sprue_at_mm"` // highest place of a mold without a mouth, so tipped
}

// Side is a half of the mold, in which rubber rises under the pattern.
type Side struct {
	Half  Half
	Up    mesh.Vec     // the way it lifts off
	Field *dexel.Field // along Up
	Space *scene.Space // in that field
	Floor float64      // height along Up at which the rubber begins: clay line or parting, mm
}

// Options of the question.
type Options struct {
	Sides []Side // of a mold in halves; nil = one, on the board
}

// Result is what all pours catch.
type Result struct {
	Pours    []Pour // the rubber's, then the casting's
	Traps    []Trap // the rubber's first, each the largest first
	Findings finding.List
}

// Find looks at every pour.
func Find(ctx context.Context, c *scene.Scene, o Options) (Result, error) {
	if o.Sides == nil {
		o.Sides = []Side{{Whole, c.Up, c.Field, c.Space(), c.ClayLine()}}
	}
	out, err := find(ctx, c, o.Sides)
	if err != nil {
		return Result{}, fmt.Errorf("air: %w", err)
	}
	return out, nil
}

func find(ctx context.Context, c *scene.Scene, sides []Side) (Result, error) {
	var pours []*pour
	for _, s := range sides {
		p := rubberPour(c, s)
		p.level()
		pours = append(pours, p)
		if err := ctx.Err(); err != nil {
			return Result{}, err
		}
	}
	cast, err := bestCasting(ctx, c)
	if err != nil {
		return Result{}, err
	}
	pours = append(pours, cast)
	out := Result{Traps: []Trap{}, Pours: []Pour{}}
	for _, p := range pours {
		for _, t := range p.hold {
			out.Traps = append(out.Traps, Trap{p.rep.Pour, t.volume, p.at(t.top)})
		}
		if err := p.tilt(ctx); err != nil {
			return Result{}, err
		}
		out.Pours = append(out.Pours, p.rep)
		if p.rep.Caught > 0 {
			out.Findings.Add(p.found())
		}
	}
	slices.SortStableFunc(out.Traps, func(p, q Trap) int {
		return cmp.Or(cmp.Compare(q.Pour, p.Pour), cmp.Compare(q.Volume, p.Volume),
			cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	return out, nil
}

// bestCasting is the casting's pour, level: on a board through the mouth; else
// stood on either side, the sprue at the highest place, the way that catches
// less air.
func bestCasting(ctx context.Context, c *scene.Scene) (*pour, error) {
	if c.OnBoard() {
		p := castingPour(c, c.Up.Neg(), true)
		p.level()
		return p, ctx.Err()
	}
	var best *pour
	for _, up := range [2]mesh.Vec{c.Up, c.Up.Neg()} {
		p := castingPour(c, up, false)
		p.level()
		if best == nil || p.rep.Caught < best.rep.Caught-1e-6*c.Field.Volume() {
			best = p
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return best, nil
}
