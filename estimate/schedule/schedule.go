// Package schedule lays out the order of work of a mold, in minutes from the
// first stir: mixing and pouring of each half, curing, opening, and the first
// casting. It reads no clock.
package schedule

import (
	"cmp"
	"slices"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

// Pour is one pouring.
type Pour struct {
	Half    rubber.Half
	Batches []float64 // g
	People  int       // who stir and pour in turn, each with a cup; 0 = one
}

// Request is what the order of work depends on. Minutes and grams.
type Request struct {
	Family  material.Family
	Pours   []Pour
	Demold  float64 // at the workshop's temperature
	Stir    float64 // per batch
	Degas   float64 // per batch; 0 = none
	Rate    float64 // g/min poured
	Coats   int     // brushed coats, of which each has its share of the batches; 0 = poured
	Between float64 // from coat to coat
	Blanket bool    // poured under a mother mold that was built over clay before
	Open    float64 // minutes to take the mold apart and turn it
	Casting float64 // until the first casting is opened; 0 = not said
}

// Step is one line.
type Step struct {
	Task       Task
	Half       rubber.Half
	Start, End float64
}

// Task is what is done in a step.
type Task struct {
	Do             Doing
	Nth            int             // of Coats or Batches, from 1
	Coats, Batches int             // 0 = one
	Second         bool            // by a second person, beside the first
	Family         material.Family // of a rest
}

// Doing is one thing that is done.
type Doing int

// What is done, in the order of work.
const (
	TurnOver Doing = iota // the first half, to pour the second
	BrushRelease
	Mix
	Degas
	Brush
	PourIn
	Tack
	Cure
	BuildShell
	LayClay
	ShellOverClay
	ClearClay
	Open
	Rest
	FirstCasting
)

// Defaults, minutes; common practice, no source.
const (
	OpenMinutes    = 30.0
	ReleaseMinutes = 30.0
	// MotherMinutes is what a shell of plaster or laminate takes over a blanket,
	// until it stands by itself; common practice, no source.
	MotherMinutes = 240.0
	// ClayMinutes is what laying a blanket of clay takes, ClearMinutes to take it out,
	// clean, release, and set the shell back. Judgement of this program.
	ClayMinutes  = 60.0
	ClearMinutes = 30.0
)

// afterCure is how long a family rests, open to the air, before it casts, min;
// from memory.
var afterCure = map[material.Family]float64{material.Platinum: 1440, material.Tin: 4320, material.Polyurethane: 7200}

// Order lays the steps out, each after the one before. Batches of a half are
// stirred one after the other, by two people in turn, and each is poured while the
// one before is wet.
func Order(r Request) []Step {
	var out []Step
	t := 0.0
	add := func(half rubber.Half, task Task, minutes float64) {
		out = append(out, Step{task, half, t, t + minutes})
		t += minutes
	}
	if r.Blanket {
		add(rubber.Whole, Task{Do: LayClay}, ClayMinutes)
		add(rubber.Whole, Task{Do: ShellOverClay}, MotherMinutes)
		add(rubber.Whole, Task{Do: ClearClay}, ClearMinutes)
	}
	last := rubber.Half("")
	for i, p := range r.Pours {
		last = p.Half
		if i > 0 {
			add(last, Task{Do: TurnOver}, r.Open)
			add(last, Task{Do: BrushRelease}, ReleaseMinutes)
		}
		if p.People > 1 && r.Coats == 0 {
			steps, end := r.inTurn(p, t)
			out, t = append(out, steps...), end
			add(last, Task{Do: Cure}, r.Demold)
			continue
		}
		coats := max(1, r.Coats)
		for coat := range coats {
			each := len(p.Batches) / coats
			for b, g := range p.Batches[coat*each : (coat+1)*each] {
				var which Task
				switch {
				case r.Coats > 1:
					which = Task{Nth: coat + 1, Coats: coats}
				case len(p.Batches) > 1:
					which = Task{Nth: b + 1, Batches: len(p.Batches)}
				}
				do := func(d Doing, minutes float64) { which.Do = d; add(last, which, minutes) }
				do(Mix, r.Stir)
				if r.Degas > 0 {
					do(Degas, r.Degas)
				}
				if r.Coats > 0 {
					do(Brush, g/r.Rate)
				} else {
					do(PourIn, g/r.Rate)
				}
			}
			if coat < coats-1 {
				add(last, Task{Do: Tack}, r.Between)
			}
		}
		add(last, Task{Do: Cure}, r.Demold)
		if r.Coats > 0 {
			add(last, Task{Do: BuildShell}, MotherMinutes)
		}
	}
	add(last, Task{Do: Open}, r.Open)
	if m := afterCure[r.Family]; m > 0 {
		add(rubber.Whole, Task{Do: Rest, Family: r.Family}, m)
	}
	if r.Casting > 0 {
		add(rubber.Whole, Task{Do: FirstCasting}, r.Casting)
	}
	return out
}

// inTurn are the batches of a pour that several people stir and pour in turn, from a
// time on, in the order of their beginning, and when the last is poured.
func (r Request) inTurn(p Pour, from float64) (out []Step, end float64) {
	for b, g := range p.Batches {
		clock := rubber.Clock{Stir: r.Stir, Degas: r.Degas, Rate: r.Rate}
		t := from + float64(b)*clock.Every(g, p.People)
		which := Task{Nth: b + 1, Batches: len(p.Batches), Second: b%p.People > 0}
		do := func(d Doing, minutes float64) {
			which.Do = d
			out = append(out, Step{which, p.Half, t, t + minutes})
			t += minutes
		}
		do(Mix, r.Stir)
		if r.Degas > 0 {
			do(Degas, r.Degas)
		}
		do(PourIn, g/r.Rate)
		end = t
	}
	slices.SortStableFunc(out, func(a, b Step) int { return cmp.Compare(a.Start, b.Start) })
	return out, end
}
