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
	SprueAt *[3]float64  `json:"sprue_at_mm"` // of a mold without a mouth, so tipped

	SprueWide float64 `json:"-"` // the clear width there, mm
	Led       []Vent  `json:"-"` // Vents, with the places that are led to each
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
	Sides []Side // of a mold whose halves are poured one after the other; nil = one pour over the whole pattern

	Foot    *mesh.Vec // outward direction of the side that shows least; nil = its open side, else -z
	Show    *mesh.Vec // of its face; nil = not known
	Swilled bool      // the casting is hollow: it is swilled round and catches no air
}

// Result is what all pours catch.
type Result struct {
	Pours    []Pour // the rubber's, then the casting's
	Traps    []Trap // the rubber's first, each the largest first
	Cavity   Cavity
	Findings finding.List
}

// Cavity is what the casting fills.
type Cavity struct {
	Field *dexel.Field // along what is up while it is cast
	Open  []bool       // per span, in the order of them all: its upper end is the mold's mouth, or where the sprue stands
}

// Find looks at every pour.
func Find(ctx context.Context, c *scene.Scene, o Options) (Result, error) {
	out, err := find(ctx, c, o)
	if err != nil {
		return Result{}, fmt.Errorf("air: %w", err)
	}
	return out, nil
}

func find(ctx context.Context, c *scene.Scene, o Options) (Result, error) {
	sides := o.Sides
	if sides == nil {
		sides = []Side{{Whole, c.Up, c.Field, c.Space(), c.ClayLine()}}
	}
	var pours []*pour
	for _, s := range sides {
		p := rubberPour(c, s)
		p.level()
		pours = append(pours, p)
		if err := ctx.Err(); err != nil {
			return Result{}, err
		}
	}
	casting, err := cast(ctx, c, o)
	if err != nil {
		return Result{}, err
	}
	pours = append(pours, casting)
	out := Result{Traps: []Trap{}, Pours: []Pour{}, Cavity: Cavity{casting.f, make([]bool, casting.f.NumSpans())}}
	for _, g := range casting.open {
		out.Cavity.Open[g.n] = true
	}
	for _, p := range pours {
		p.tell()
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
