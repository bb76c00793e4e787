// Package schedule lays out the order of work of a mold, in minutes from the
// first stir: what comes before it, mixing and pouring of each half, curing,
// opening, and the first casting. It reads no clock.
package schedule

import (
	"cmp"
	"slices"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
)

// Pour is one pouring.
type Pour struct {
	Half    rubber.Half
	Batches []Batch
	People  int // who stir and pour in turn, each with a cup; 0 = one
}

// Batch is one cup: what is poured of it, and the parts that are weighed for it
// (0 = not known), g.
type Batch struct{ Mass, A, B float64 }

// Chore is what is done beside mixing and pouring, and how long that takes, min.
type Chore struct {
	Task    Task
	Minutes float64
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
	Shell   bool    // it is poured into a closed shell
	Open    float64 // minutes to take the mold apart and turn it
	Casting float64 // until the first casting is opened; 0 = not said

	Before []Chore // the first stir: these steps begin before time 0
	Turned []Chore // the first of two halves, and with its release on
	Cured  []Chore // once all rubber has cured, before the mold is opened
	Ready  []Chore // once it is open, before the first casting
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
	Family         material.Family // of a rest, and of what is released
	A, B           unit.Mass       // that are weighed; 0 = not known
	Count          int             // of keys, vents, pieces of a shell
	Across, Deep   unit.Length     // of a key, rod, bed or coat; 0 = not known
}

// Doing is one thing that is done.
type Doing int

// What is done, in the order of work.
const (
	SealPattern    Doing = iota
	ReleasePattern       // and what else the rubber meets
	FixDown
	Stand      // hung in the box: on its base, a rod and pegs
	LayClayBed // up to the parting, Across wide
	PressKeys
	SetSprue
	SetVents
	StandFin  // where the mold is to open
	LayClay   // a coat of it, Deep thick
	BuildCase // of Count pieces over that clay
	ClearClay // and fit the case again
	BuildBox
	TurnOver // the first half, to pour the second
	BrushRelease
	CloseBox // round the second half
	Mix
	Degas
	Brush
	PourIn
	PourThrough // the spout of a closed shell
	Tack
	Cure
	BuildShell
	SlitOpen // at the back, from the mouth
	CutOpen  // all round, along its line
	Open
	PunchVents
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
	all := func(half rubber.Half, chores []Chore) {
		for _, c := range chores {
			add(half, c.Task, c.Minutes)
		}
	}
	for _, c := range r.Before {
		t -= c.Minutes
	}
	last := rubber.Half("")
	for _, p := range r.Pours[:min(1, len(r.Pours))] {
		all(p.Half, r.Before)
	}
	for i, p := range r.Pours {
		last = p.Half
		if i > 0 {
			add(last, Task{Do: TurnOver}, r.Open)
			add(last, Task{Do: BrushRelease, Family: r.Family}, ReleaseMinutes)
			all(last, r.Turned)
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
				which.weigh(g)
				do(Mix, r.Stir)
				which.weigh(Batch{})
				if r.Degas > 0 {
					do(Degas, r.Degas)
				}
				do(r.filling(), g.Mass/r.Rate)
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
	all(last, r.Cured)
	add(last, Task{Do: Open}, r.Open)
	all(rubber.Whole, r.Ready)
	if m := afterCure[r.Family]; m > 0 {
		add(rubber.Whole, Task{Do: Rest, Family: r.Family}, m)
	}
	if r.Casting > 0 {
		add(rubber.Whole, Task{Do: FirstCasting, Family: r.Family}, r.Casting)
	}
	return out
}

// filling is how the rubber gets where it cures.
func (r Request) filling() Doing {
	switch {
	case r.Coats > 0:
		return Brush
	case r.Shell:
		return PourThrough
	}
	return PourIn
}

// weigh tells what is weighed for a batch.
func (t *Task) weigh(b Batch) { t.A, t.B = unit.Mass(b.A), unit.Mass(b.B) }

// inTurn are the batches of a pour that several people stir and pour in turn, from a
// time on, in the order of their beginning, and when the last is poured.
func (r Request) inTurn(p Pour, from float64) (out []Step, end float64) {
	for b, g := range p.Batches {
		clock := rubber.Clock{Stir: r.Stir, Degas: r.Degas, Rate: r.Rate}
		t := from + float64(b)*clock.Every(g.Mass, p.People)
		which := Task{Nth: b + 1, Batches: len(p.Batches), Second: b%p.People > 0}
		do := func(d Doing, minutes float64) {
			which.Do = d
			out = append(out, Step{which, p.Half, t, t + minutes})
			t += minutes
		}
		which.weigh(g)
		do(Mix, r.Stir)
		which.weigh(Batch{})
		if r.Degas > 0 {
			do(Degas, r.Degas)
		}
		do(r.filling(), g.Mass/r.Rate)
		end = t
	}
	slices.SortStableFunc(out, func(a, b Step) int { return cmp.Compare(a.Start, b.Start) })
	return out, end
}
