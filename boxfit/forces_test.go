package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/unit"
)

// Two halves are poured one at a time: a bar of 276 × 176 × 180 parted 60 mm over its
// foot, with 20 mm of rubber under and over, has halves 80 and 140 mm deep. The upper
// one presses with 1.12 × 9.80665 × 0.140 = 1.537683 kPa and floats on two thirds of
// the pattern; parted in the middle, on half of it.
func TestForcesOfTwoHalves(t *testing.T) {
	s := sceneOf(t, shape.Box(276, 176, 180), upZ)
	s.displaced = unit.Exactly(unit.Volume(600e3))
	q := Request{Container: "box", Mold: demold.TwoPart, Wall: at(12.0), Over: at(20.0), Under: at(20.0), RubberSG: 1.12, PatternMass: at(186.0), Board: "mdf-12"}
	for _, c := range []struct{ parting, head, sunk float64 }{{60, 140, 400e3}, {120, 140, 400e3}, {90, 110, 300e3}} {
		s.parting = at(s.base + c.parting)
		f, _ := mustSearch(t, s, q)
		floor := 1.12 * 9.80665 * c.head / 1000
		if !near(f.FloorPressure, floor, 1e-9) || !near(f.WallForce, floor*c.head*300/2000, 1e-9) {
			t.Errorf("parted at %g: floor %v kPa, wall %v N; want %v and %v", c.parting, f.FloorPressure, f.WallForce, floor, floor*c.head*300/2000)
		}
		if want := (1.12*c.sunk/1000 - 186) / 1000 * 9.80665; f.HoldDown == nil || !near(*f.HoldDown, want, 1e-9) {
			t.Errorf("parted at %g: hold down %v, want %v", c.parting, f.HoldDown, want)
		}
	}
}

// Coats that are brushed on press on nothing and lift nothing, however light or tall
// the pattern is; the rubber is the same.
func TestBrushedPressesOnNothing(t *testing.T) {
	s := sceneOf(t, shape.Box(60, 60, 400), upZ)
	q := Request{Mold: demold.Blanket, Coat: at(7.0), PatternMass: at(10.0)}
	poured, _ := mustSearch(t, s, q)
	q.Mold = demold.Brushed
	f, _ := mustSearch(t, s, q)
	if f.Rubber != poured.Rubber || poured.FloorPressure == 0 || *poured.HoldDown <= 0 || !poured.Findings.Has(CodeHead) || !poured.Findings.Has(CodeFloat) {
		t.Fatalf("poured: %+v", poured)
	}
	if f.FloorPressure != 0 || f.WallForce != 0 || *f.HoldDown != 0 || *f.HoldDownMargin != 0 || f.ShellUplift != nil || f.Findings.Has(CodeHead) || f.Findings.Has(CodeFloat) || f.Findings.Has(CodeFloatUnknown) {
		t.Errorf("brushed: %+v, %v", f, f.Findings)
	}
}

func TestForcesOnTheBox(t *testing.T) {
	s := sceneOf(t, shape.Box(276, 176, 180), upZ)
	s.displaced = unit.Exactly(unit.Volume(500e3))
	f, _ := mustSearch(t, s, Request{Container: "box", Wall: at(12.0), Over: at(20.0), RubberSG: 1.12, PatternMass: at(186.0), Board: "mdf-12"})
	// 300 × 200 inside, 200 deep.
	if !near(f.FloorPressure, 2.196690, 1e-6) || !near(f.WallForce, 65.90069, 1e-6) {
		t.Errorf("floor %v kPa, wall %v N; want 2.196690 and 65.90069", f.FloorPressure, f.WallForce)
	}
	if f.BoardBow == nil || !near(*f.BoardBow, wall{300, 210, 200, 1.12, 3.59, 12}.bow(free, 0)*1.5, 1e-9) || *f.BoardBow > 0.09511*1.5 || f.Brace != nil {
		t.Errorf("bow %v, brace %v; want a little under %v, as the board stands over the rubber, and none", f.BoardBow, f.Brace, 0.09511*1.5)
	}
	if f.HoldDown == nil || math.Abs(*f.HoldDown-3.66769) > 1e-5 || math.Abs(*f.HoldDownMargin-2*3.66769) > 2e-5 {
		t.Errorf("hold down %v, %v; want 3.66769 and twice that", f.HoldDown, f.HoldDownMargin)
	}
	if f.LiftMass == nil {
		t.Fatal("lift mass unknown")
	}
	boards := 0.0
	for _, b := range f.Boards {
		boards += float64(b.Count) * b.Length * b.Width * b.Thickness * 0.8e-3
	}
	if want := boards + 1.12*f.Rubber/1000 + 186; !near(*f.LiftMass, want, 1e-12) {
		t.Errorf("lift %v, want %v", *f.LiftMass, want)
	}
	// A heavy pattern sinks; nothing is known of an unknown one.
	f, _ = mustSearch(t, s, Request{Container: "box", RubberSG: 1.12, PatternMass: at(1350.0)})
	if math.Abs(*f.HoldDown+7.74725) > 1e-5 || *f.HoldDownMargin != 0 || f.Findings.Has(CodeFloat) {
		t.Errorf("aluminium: hold down %v, %v, %v", *f.HoldDown, *f.HoldDownMargin, f.Findings)
	}
	f, _ = mustSearch(t, s, Request{Container: "box", RubberSG: 1.12})
	if f.HoldDown != nil || f.HoldDownMargin != nil || f.LiftMass != nil {
		t.Errorf("unknown mass: %v, %v, %v", f.HoldDown, f.HoldDownMargin, f.LiftMass)
	}
}

func TestBracesAndBow(t *testing.T) {
	find := func(f *Fit) *finding.Finding {
		for i := range f.Findings {
			if f.Findings[i].Code == CodeBow {
				return &f.Findings[i]
			}
		}
		return nil
	}
	wall := func(l, h float64, board string) *Fit {
		f, _ := mustSearch(t, sceneOf(t, shape.Box(l-24, l-24, h-12), upZ), Request{Container: "box", Wall: at(12.0), Over: at(12.0), RubberSG: 1.12, Board: board})
		return f
	}
	if f := wall(300, 200, "mdf-12"); find(f) != nil || f.Brace != nil || f.BoardBow == nil {
		t.Errorf("MDF holds 300 x 200: %v", f.Findings)
	}
	// HDPE of 12 mm, 0.8 GPa, bows nine times as far; what a batten leaves is the bow.
	f := wall(300, 200, "hdpe-12")
	if x := find(f); x == nil || x.Severity != finding.Caution || f.Brace == nil || f.Brace.Ribs != 0 || f.Brace.Batten != battens[0] {
		t.Errorf("HDPE 12: %v, %v", f.Findings, f.Brace)
	} else if by := float64(x.Facts.(Bow).By); by < 0.7 || by > 0.09511*3.59/0.8*2 || *f.BoardBow != float64(f.Brace.Bow) || *f.BoardBow > 0.5 {
		t.Errorf("HDPE 12: %v by itself, %v under %+v", by, *f.BoardBow, f.Brace)
	}
	// Acrylic of 6 mm needs a rib as well.
	f = wall(300, 200, "acrylic-6")
	if x := find(f); x == nil || f.Brace == nil || f.Brace.Ribs != 1 {
		t.Errorf("acrylic 6: %v, %+v", f.Findings, f.Brace)
	}
	// Acrylic 3 mm: past the theory open, so no figure; ribs or another board.
	f = wall(300, 200, "acrylic-3")
	if x := find(f); x == nil || x.Severity != finding.Stop || f.Brace == nil || f.Brace.Ribs == 0 || *f.BoardBow != float64(f.Brace.Bow) {
		t.Errorf("acrylic 3: %v, bow %v, brace %v", f.Findings, f.BoardBow, f.Brace)
	} else if x.Facts.(Bow).Stiffer == "" {
		t.Errorf("acrylic 3: no board is named: %+v", x.Facts)
	}
	if f := wall(300, 200, "foam-core-5"); find(f) == nil || find(f).Severity != finding.Stop {
		t.Errorf("foam-core: %v", f.Findings)
	}
}

func TestBoundsOfTheRubber(t *testing.T) {
	s := sceneOf(t, shape.Cube(50), upZ)
	s.displaced = unit.Bounded[unit.Volume]{Low: 120e3, Value: 125e3, High: 133e3}
	s.pockets, s.clay = 700, 300
	f, _ := mustSearch(t, s, Request{Container: "box"})
	if f.Rubber != f.Capacity-126e3 || f.RubberHigh != f.Capacity-121e3 || f.RubberLow != f.Capacity-134e3 {
		t.Errorf("rubber %v between %v and %v in %v", f.Rubber, f.RubberLow, f.RubberHigh, f.Capacity)
	}
	s.parting = at(20.0)
	f, _ = mustSearch(t, s, Request{Container: "box", Mold: demold.TwoPart})
	in := f.Interior
	want := in[0]*in[1]*(20+f.Under) - 126e3*0.4
	if f.RubberBelow == nil || !near(*f.RubberBelow, want, 1e-12) {
		t.Errorf("lower half %v, want %v", f.RubberBelow, want)
	}
}
