package schedule

import (
	"math"
	"slices"
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

// batches are cups of masses, g.
func batches(masses ...float64) (out []Batch) {
	for _, m := range masses {
		out = append(out, Batch{Mass: m})
	}
	return out
}

func opening(minutes float64) Chore { return Chore{Task: Task{Do: Open}, Minutes: minutes} }

// coats are cups of some mass, g, of each coat.
func coats(n, cups int, mass float64) (out []Batch) {
	for i := range n * cups {
		out = append(out, Batch{Mass: mass, Coat: 1 + i/cups})
	}
	return out
}

func TestOrder(t *testing.T) {
	r := Request{Family: material.Tin, Pours: []Pour{{Half: "first", Batches: batches(2500, 2500)}, {Half: "second", Batches: batches(4000)}}, Demold: 960, Stir: 4, Degas: 6, Rate: 500, Open: opening(OpenMinutes), Turning: OpenMinutes}
	steps := Order(r)
	end := 0.0
	for _, s := range steps {
		if s.Start != end || s.End < s.Start {
			t.Errorf("%+v runs %g to %g, the one before ended at %g", s.Task, s.Start, s.End, end)
		}
		end = s.End
	}
	// two batches of 4+6+5, one of 4+6+8, two cures, opening twice, release, rest.
	if want := 2*15.0 + 18 + 2*960 + 2*OpenMinutes + ReleaseMinutes + 4320; end != want {
		t.Errorf("ends after %g min, want %g", end, want)
	}
	release := 0
	for _, s := range steps {
		if s.Task.Do == BrushRelease {
			release++
		}
	}
	if release != 1 {
		t.Errorf("release is brushed %d times between two halves, want once", release)
	}
	one := Order(Request{Pours: []Pour{{Half: "whole", Batches: batches(500)}}, Demold: 240, Stir: 4, Rate: 500, Open: opening(30), Turning: 30})
	if len(one) != 4 || one[3].End != 275 {
		t.Errorf("got %+v", one)
	}
	// The order of work, by what must come before what.
	two := Order(Request{Family: material.Platinum, Pours: []Pour{{Half: "first", Batches: batches(500, 500)}, {Half: "second", Batches: batches(500)}}, Demold: 240, Stir: 4, Degas: 6, Rate: 500, Open: opening(30), Turning: 30, Casting: 60})
	at := func(do Doing, half rubber.Half, nth int) int {
		for i, s := range two {
			if s.Task.Do == do && s.Half == half {
				if nth--; nth == 0 {
					return i
				}
			}
		}
		t.Fatalf("no %v in %s half", do, half)
		return 0
	}
	order := []int{at(Mix, "first", 1), at(Degas, "first", 1), at(PourIn, "first", 1), at(Mix, "first", 2), at(PourIn, "first", 2), at(Cure, "first", 1),
		at(TurnOver, "second", 1), at(BrushRelease, "second", 1), at(Mix, "second", 1), at(Degas, "second", 1), at(PourIn, "second", 1), at(Cure, "second", 1),
		at(Open, "second", 1), at(Rest, "whole", 1), at(FirstCasting, "whole", 1)}
	for i := 1; i < len(order); i++ {
		if order[i] <= order[i-1] {
			t.Errorf("step %d of the order of work stands at line %d, the one before at %d", i, order[i], order[i-1])
		}
	}
	// The second batch is poured while the first is wet: within one stirring,
	// degassing and pouring.
	if gap := two[order[4]].Start - two[order[2]].End; gap != 4+6 {
		t.Errorf("between two batches: %g min, want 10", gap)
	}
}

// Two people in turn: a batch of 3.2 min of pouring after 10 of stirring and
// degassing comes every 6.6 min instead of every 13.2.
func TestTwoPeople(t *testing.T) {
	steps := Order(Request{Pours: []Pour{{Half: "whole", Batches: batches(1600, 1600, 1600), People: 2}}, Demold: 240, Stir: 4, Degas: 6, Rate: 500, Open: opening(30), Turning: 30})
	var poured []float64
	seconds := 0
	for i, s := range steps {
		if i > 0 && s.Start < steps[i-1].Start {
			t.Errorf("%+v stands after one that begins later", s)
		}
		if s.Task.Do == PourIn {
			poured = append(poured, s.Start)
		}
		if s.Task.Second {
			seconds++
		}
	}
	if len(poured) != 3 || poured[0] != 10 || poured[1] != 16.6 || poured[2] != 23.2 || seconds != 3 {
		t.Errorf("poured at %v, %d steps of the second person", poured, seconds)
	}
	if last := steps[len(steps)-1]; last.End != 23.2+3.2+240+30 {
		t.Errorf("ends at %g", last.End)
	}
}

// What comes before the first stir ends with it; what is done to the turned half
// follows its release; the mold is cut open once it has cured, and each cup has its
// own weights.
func TestChores(t *testing.T) {
	chore := func(d Doing, minutes float64) Chore { return Chore{Task: Task{Do: d}, Minutes: minutes} }
	steps := Order(Request{Pours: []Pour{{Half: "first", Batches: []Batch{{500, 250, 260, 0}}}, {Half: "second", Batches: []Batch{{400, 200, 210, 0}}}}, Demold: 240, Stir: 4, Degas: 6, Rate: 100, Open: opening(30), Turning: 30,
		Before: []Chore{chore(LayClayBed, 40), chore(PressKeys, 10), chore(BuildBox, 15)}, Turned: []Chore{chore(CloseBox, 8)}, Cured: []Chore{chore(CutOpen, 5)}, Ready: []Chore{chore(PunchVents, 3)}, Casting: 20})
	want := []Doing{LayClayBed, PressKeys, BuildBox, Mix, Degas, PourIn, Cure, TurnOver, BrushRelease, CloseBox, Mix, Degas, PourIn, Cure, CutOpen, Open, PunchVents, FirstCasting}
	at := -65.0
	for i, s := range steps {
		if i >= len(want) || s.Task.Do != want[i] || s.Start != at {
			t.Fatalf("step %d is %+v from %g, want %v from %g", i, s.Task, s.Start, want[i], at)
		}
		at = s.End
		if s.Task.Do == Mix && s.Task.A == 0 || s.Task.Do != Mix && s.Task.A != 0 {
			t.Errorf("step %d, %+v, weighs %g g of A", i, s.Task, s.Task.A)
		}
	}
	if steps[3].Start != 0 || steps[3].Task.B != 260 || steps[10].Task.B != 210 || steps[9].Half != "second" {
		t.Errorf("the first stir is %+v, the second %+v, the box is closed round the %s half", steps[3], steps[10], steps[9].Half)
	}
}

// A brushed blanket has its shell after its rubber; a poured one fills its shell.
func TestFilling(t *testing.T) {
	order := func(r Request) (out []Doing) {
		r.Pours, r.Demold, r.Rate, r.Open = []Pour{{Half: rubber.Whole, Batches: coats(1, 1, 500)}}, 240, 100, opening(10)
		for _, s := range Order(r) {
			out = append(out, s.Task.Do)
		}
		return out
	}
	if got, want := order(Request{Shell: true}), []Doing{Mix, PourThrough, Cure, Open}; !slices.Equal(got, want) {
		t.Errorf("poured: %v, want %v", got, want)
	}
	over := []Chore{{Task{Do: BuildShell}, 240, 80}}
	if got, want := order(Request{Coats: 1, Coated: over}), []Doing{Mix, Brush, Cure, BuildShell, Open}; !slices.Equal(got, want) {
		t.Errorf("brushed: %v, want %v", got, want)
	}
}

// Five coats of 36 min, each in three cups of 4 min to stir: 48 min a coat, and the
// next begins where the first cup of it, brushed on after 16 min, is tacky, 37.5 min
// later. Two people need two rounds for three cups.
func TestBrushing(t *testing.T) {
	r := Request{Demold: 300, Stir: 4, Coats: 5, Brushing: 36, Tacky: 37.5, Open: opening(30)}
	for _, c := range []struct {
		people     int
		coat, wait float64
	}{{1, 48, 37.5 - 32}, {2, 32, 37.5 - 16}} {
		r.Pours = []Pour{{Half: rubber.Whole, Batches: coats(5, 3, 100), People: c.people}}
		steps := Order(r)
		hands := 0.0
		for _, s := range steps {
			hands += s.Hands
		}
		if got, want := steps[len(steps)-1].End, 5*c.coat+4*c.wait+300+30; math.Abs(got-want) > 1e-9 || math.Abs(hands-5*48-30) > 1e-9 {
			t.Errorf("%d people: ends after %g min, %g of them with hands at work, want %g and 270", c.people, got, hands, want)
		}
	}
	if s := Order(r)[0]; s.Task.Nth != 1 || s.Task.Batches != 3 || s.Task.Coat != 1 || s.Task.Coats != 5 {
		t.Errorf("the first cup is %+v", s.Task)
	}
}
