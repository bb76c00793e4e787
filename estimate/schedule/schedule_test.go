package schedule

import (
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

func TestOrder(t *testing.T) {
	r := Request{Family: material.Tin, Pours: []Pour{{"first", []float64{2500, 2500}}, {"second", []float64{4000}}}, Demold: 960, Stir: 4, Degas: 6, Rate: 500, Open: OpenMinutes}
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
	one := Order(Request{Pours: []Pour{{"whole", []float64{500}}}, Demold: 240, Stir: 4, Rate: 500, Open: 30})
	if len(one) != 4 || one[3].End != 275 {
		t.Errorf("got %+v", one)
	}
	brushed := Order(Request{Pours: []Pour{{"whole", []float64{900}}}, Demold: 300, Stir: 4, Rate: 100, Coats: 3, Between: 40, Open: 30})
	if got := brushed[len(brushed)-1].End; got != 3*(4+3)+2*40+300+MotherMinutes+30 {
		t.Errorf("three coats end after %g min", got)
	}
	// The order of work, by what must come before what.
	two := Order(Request{Family: material.Platinum, Pours: []Pour{{"first", []float64{500, 500}}, {"second", []float64{500}}}, Demold: 240, Stir: 4, Degas: 6, Rate: 500, Open: 30, Casting: 60})
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
