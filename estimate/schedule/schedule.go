// Package schedule lays out the order of work of a mold, in minutes from the
// first stir: mixing and pouring of each half, curing, opening, and the first
// casting. It reads no clock.
package schedule

import (
	"fmt"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

// Pour is one pouring.
type Pour struct {
	Half    rubber.Half
	Batches []float64 // g
}

// Request is what the order of work depends on. Minutes and grams.
type Request struct {
	Family  material.Family
	Pours   []Pour
	Demold  float64 // at the workshop's temperature
	Stir    float64 // per batch
	Degas   float64 // per batch; 0 = none
	Rate    float64 // g/min poured
	Coats   int     // brushed coats; 0 = poured
	Between float64 // from coat to coat
	Open    float64 // minutes to take the mold apart and turn it
	Casting float64 // until the first casting is opened; 0 = not said
}

// Step is one line.
type Step struct {
	What       string
	Half       rubber.Half
	Start, End float64
}

// Defaults, minutes; common practice, no source.
const (
	OpenMinutes    = 30.0
	ReleaseMinutes = 30.0
	// MotherMinutes is what a shell of plaster or laminate takes over a blanket,
	// until it stands by itself; common practice, no source.
	MotherMinutes = 240.0
)

// afterCure is how long a family rests, open to the air, before it casts, min,
// and why; from memory.
func afterCure(f material.Family) (float64, string) {
	switch f {
	case material.Platinum:
		return 1440, "rest to full strength at room temperature (or a few hours warm, as the data sheet says)"
	case material.Tin:
		return 4320, "rest open to the air, so that its by-product leaves; 3 to 7 days before hot or hard use"
	case material.Polyurethane:
		return 7200, "rest to full strength, 5 to 7 days before hard use"
	}
	return 0, ""
}

// Order lays the steps out, each after the one before. Batches of a half are
// stirred one after the other and each is poured while the one before is wet.
func Order(r Request) []Step {
	var out []Step
	t := 0.0
	add := func(half rubber.Half, what string, minutes float64) {
		out = append(out, Step{what, half, t, t + minutes})
		t += minutes
	}
	for i, h := range r.Pours {
		if i > 0 {
			add(h.Half, "open the box, turn it, take off the clay bed; the pattern stays in its rubber", r.Open)
			add(h.Half, "brush release over the first half and its keys, let it dry", ReleaseMinutes)
		}
		coats := max(1, r.Coats)
		for coat := range coats {
			for b, g := range h.Batches {
				name := "the rubber"
				switch {
				case r.Coats > 1:
					name = fmt.Sprintf("coat %d of %d", coat+1, coats)
					g /= float64(coats)
				case len(h.Batches) > 1:
					name = fmt.Sprintf("batch %d of %d", b+1, len(h.Batches))
				}
				add(h.Half, "weigh and stir "+name+", pour it over into a second cup and stir again", r.Stir)
				if r.Degas > 0 {
					add(h.Half, "vacuum until it has risen and fallen, and a little longer", r.Degas)
				}
				if r.Coats > 0 {
					add(h.Half, "brush on "+name, g/r.Rate)
				} else {
					add(h.Half, "pour "+name+" in a thin stream into the lowest corner", g/r.Rate)
				}
			}
			if coat < coats-1 {
				add(h.Half, "wait until it is tacky", r.Between)
			}
		}
		add(h.Half, "cure: do not open before", r.Demold)
		if r.Coats > 0 {
			add(h.Half, "build the rigid mother mold over the blanket while it is still on the pattern, release between them; let it set", MotherMinutes)
		}
	}
	var last rubber.Half
	if n := len(r.Pours); n > 0 {
		last = r.Pours[n-1].Half
	}
	add(last, "open the mold, take out the pattern", r.Open)
	if m, why := afterCure(r.Family); m > 0 {
		add(rubber.Whole, why, m)
	}
	if r.Casting > 0 {
		add(rubber.Whole, "first casting, until it is opened", r.Casting)
	}
	return out
}
