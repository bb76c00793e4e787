package labor

import (
	"math"
	"testing"
)

// sizes are one of each class, mm.
var sizes = [classes]float64{40, 120, 250, 500, 1000}

// The sums by class of a worked table, to the minute; and its days.
func TestSumsOfMinutes(t *testing.T) {
	for _, c := range []struct {
		name string
		work Work
		want [classes]float64
		days Days
	}{
		{"open-faced", Work{Method: OpenFaced}, [classes]float64{70, 97, 145, 245, 440}, Days{2, 2}},
		{"block", Work{Method: Block}, [classes]float64{70, 97, 145, 245, 440}, Days{2, 2}},
		{"slit", Work{Method: Slit}, [classes]float64{75, 105, 157, 265, 470}, Days{2, 2}},
		{"slit by a fin", Work{Method: Slit, Fin: true}, [classes]float64{75, 105, 157, 265, 470}, Days{2, 2}},
		{"cut", Work{Method: CutOpen}, [classes]float64{85, 118, 176.5, 297.5, 520}, Days{2, 2}},
		{"two-part", Work{Method: TwoPart}, [classes]float64{125, 176.5, 277.5, 502.5, 937.5}, Days{3, 3}},
		{"three parts", Work{Method: Parts}, [classes]float64{185, 263.5, 420, 775, 1457.5}, Days{4, 4}},
		// A loose piece takes a pour and a turn, and a day until it has cured.
		{"two-part with a loose piece", Work{Method: TwoPart, Loose: 1}, [classes]float64{125 + 20, 176.5 + 22, 277.5 + 30, 502.5 + 55, 937.5 + 100}, Days{4, 4}},
		{"slit with two", Work{Method: Slit, Loose: 2}, [classes]float64{75 + 40, 105 + 44, 157 + 60, 265 + 110, 470 + 200}, Days{3, 3}},
		{"poured", Work{Method: Poured, Pieces: 2}, [classes]float64{140, 190, 302, 540, 1025}, Days{4, 5}},
		{"brushed", Work{Method: Brushed, Pieces: 2}, [classes]float64{125, 164, 277, 545, 1135}, Days{3, 5}},
		// A poured coat with a pour, a bed and a turn more, and no cut.
		{"poured in halves", Work{Method: PouredHalves, Pieces: 2}, [classes]float64{140 - 5 + 10 + 30 + 10, 190 - 8 + 12 + 50 + 10, 302 - 12 + 15 + 90 + 15, 540 - 20 + 25 + 180 + 30, 1025 - 30 + 40 + 360 + 60}, Days{6, 7}},
		{"brushed in halves", Work{Method: BrushedHalves, Pieces: 2}, [classes]float64{190, 252, 450, 935, 2005}, Days{5, 7}},
	} {
		for i, size := range sizes {
			w := c.work
			w.Longest = size
			r := Reckon(w)
			if math.Abs(r.Minutes-c.want[i]) > 1e-9 || r.Days != c.days {
				t.Errorf("%s of %g mm: got %g min, %v days, want %g, %v", c.name, size, r.Minutes, r.Days, c.want[i], c.days)
			}
		}
	}
}

func TestClassOf(t *testing.T) {
	for _, c := range []struct {
		size   float64
		want   Class
		beyond bool
	}{{0, S1, false}, {math.NaN(), S1, false}, {50, S1, false}, {50.1, S2, false}, {150, S2, false}, {300, S3, false}, {600, S4, false}, {601, S5, false}, {1200, S5, false}, {1201, S5, true}, {math.Inf(1), S5, true}} {
		if got, beyond := ClassOf(c.size); got != c.want || beyond != c.beyond {
			t.Errorf("%g mm: got S%d, %v, want S%d, %v", c.size, got+1, beyond, c.want+1, c.beyond)
		}
	}
	if !Reckon(Work{Method: Block, Longest: 1500}).Divided || Reckon(Work{Method: Brushed, Longest: 1500}).Divided {
		t.Error("over 1200 mm a solid mold is divided, a blanket goes on")
	}
}

// A loose piece is pried out of its hollow, leaves a line round it, and wears as more
// than two parts do.
func TestLoosePieces(t *testing.T) {
	for _, c := range []struct {
		work Work
		risk Risk
		seam Seam
		life float64
	}{
		{Work{Method: Block, Loose: 1}, Prying, AtBack, 0.8},
		{Work{Method: Slit, Loose: 1}, Blade, AtBack, 0.8},
		{Work{Method: CutOpen, Loose: 1}, Blade, AtBack, 0.6},
		{Work{Method: TwoPart, Loose: 2}, Prying, AllRound, 0.8},
		{Work{Method: Poured, Whole: true, Loose: 1}, Prying, AtBack, 0.8},
		{Work{Method: Slit, Fin: true, Loose: 1}, Prying, AtBack, 0.8},
	} {
		if r := Reckon(c.work); r.Risk != c.risk || r.Seam != c.seam || r.Life != c.life {
			t.Errorf("%+v: risk %d, seam %d, life %g, want %d, %d, %g", c.work, r.Risk, r.Seam, r.Life, c.risk, c.seam, c.life)
		}
	}
}

func TestFactors(t *testing.T) {
	at := func(w Work) float64 { w.Longest = 250; return Reckon(w).Minutes }
	for _, c := range []struct {
		name string
		got  float64
		want float64
	}{
		{"irreplaceable", at(Work{Method: Block, Irreplaceable: true}), 145 * 1.5},
		{"first of its kind", at(Work{Method: Block, First: true}), 145 * 1.3},
		{"both", at(Work{Method: Block, Irreplaceable: true, First: true}), 145 * 1.5 * 1.3},
		{"laminate", at(Work{Method: Poured, Laminate: true}), 302 + 0.3*80},
		{"one more piece", at(Work{Method: Poured, Pieces: 3}), 302 + 40},
		{"a coat less", at(Work{Method: Brushed, Coats: 3}), 277 - 20},
		{"crooked parting", at(Work{Method: TwoPart, Flatness: 5.1}), 277.5 + 45},
		{"flat parting", at(Work{Method: TwoPart, Flatness: 5}), 277.5},
		{"four parts", at(Work{Method: Parts, Parts: 4}), 420 + 12.5 + 15 + 90 + 15},
		{"hexagon", at(Work{Method: Block, Walls: Polygon, Boards: 6}), 145 + 34},
		{"tube", at(Work{Method: Block, Walls: Tube}), 145 - 12.5},
		{"no slit", at(Work{Method: Brushed, Whole: true}), 277 - 12},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s: got %g min, want %g", c.name, c.got, c.want)
		}
	}
	if got := Sawing(Polygon, 6) - Sawing(Square, 4); math.Abs(got/60*40-22.67) > 5e-3 {
		t.Errorf("a hexagon's sawing over a square's at 40 an hour: got %g, want 22.67", got/60*40)
	}
}

func TestOwnHours(t *testing.T) {
	h := func(v float64) *float64 { return &v }
	w := Work{Method: TwoPart, Longest: 250, Irreplaceable: true, Own: Hours{Prepare: h(0.5), Hold: h(1), Fill: h(0.5), Open: h(0.25)}}
	if r := Reckon(w); r.Minutes != 30+60+60+15 || r.Again != 60+15 || len(r.Lines) != 4 {
		t.Errorf("own hours: got %+v", r)
	}
	w = Work{Method: Block, Longest: 250, Own: Hours{Prepare: h(0), Open: h(2)}}
	// Box and pour by the table, nothing for preparing.
	if r := Reckon(w); r.Minutes != 25+15+120 {
		t.Errorf("own hours of two steps: got %+v", r)
	}
}

func TestDaysWait(t *testing.T) {
	for _, c := range []struct {
		w    Work
		want Days
	}{
		{Work{Method: Block, Sealer: true}, Days{3, 3}},
		{Work{Method: Block, Cure: Overnight}, Days{3, 3}},
		{Work{Method: Poured, Cure: OneOrTwoNights}, Days{5, 7}},
		{Work{Method: TwoPart, Sealer: true, Cure: Overnight, Airing: true}, Days{8, 8}},
		{Work{Method: Parts, Parts: 4}, Days{5, 5}},
	} {
		if got := Reckon(c.w).Days; got != c.want {
			t.Errorf("%+v: got %v days, want %v", c.w, got, c.want)
		}
	}
}

func TestRiskAndSeam(t *testing.T) {
	for _, c := range []struct {
		name string
		w    Work
		risk Risk
		seam Seam
		life float64
	}{
		{"open-faced", Work{Method: OpenFaced, Across: true}, 1, 0, 1.2},
		{"block", Work{Method: Block}, 1, 1, 1},
		{"slit", Work{Method: Slit}, 3, 2, 0.8},
		{"slit, fin", Work{Method: Slit, Fin: true}, 1, 2, 0.8},
		{"cut", Work{Method: CutOpen, Fin: true}, 3, 2, 0.6},
		{"cut in the round", Work{Method: CutOpen, InTheRound: true}, 3, 3, 0.6},
		{"two-part", Work{Method: TwoPart}, 1, 3, 1},
		{"two-part, porous", Work{Method: TwoPart, Weak: true}, 2, 3, 1},
		{"two-part across the face", Work{Method: TwoPart, Across: true}, 1, 4, 1},
		{"parts", Work{Method: Parts}, 2, 3, 0.8},
		{"poured", Work{Method: Poured}, 2, 2, 1},
		{"poured, fin", Work{Method: Poured, Fin: true}, 1, 2, 1},
		{"poured, whole", Work{Method: Poured, Whole: true}, 1, 1, 1},
		{"brushed", Work{Method: Brushed}, 2, 2, 0.8},
		{"brushed, fin", Work{Method: Brushed, Fin: true}, 1, 2, 0.8},
		{"glove", Work{Method: Glove}, 2, 1, 0.6},
		{"gang", Work{Method: Block, Cavities: 6}, 1, 1, 0.8},
	} {
		r := Reckon(c.w)
		if r.Risk != c.risk || r.Seam != c.seam || math.Abs(r.Life-c.life) > 1e-12 {
			t.Errorf("%s: got risk %d, seam %d, life %g, want %d, %d, %g", c.name, r.Risk, r.Seam, r.Life, c.risk, c.seam, c.life)
		}
		c.w.Irreplaceable = true
		if got := Reckon(c.w).Endangers; got != (c.risk > 1) {
			t.Errorf("%s of an irreplaceable pattern: endangers it %v", c.name, got)
		}
	}
	for r, want := range []float64{0, 0.005, 0.02, 0.1, 0.5} {
		if got := Risk(r).Share(); got != want {
			t.Errorf("risk %d: share %g, want %g", r, got, want)
		}
	}
}

// Worked figures of castings a day.
func TestPerDay(t *testing.T) {
	for _, c := range []struct {
		r    Round
		want float64
	}{
		{Round{Fill: 10, Cure: 30, Demold: 10}, 10},
		{Round{Fill: 10, Cure: 240, Demold: 15}, 2},
		{Round{Fill: 15, Cure: 45, Demold: 10}, 7},
		{Round{Fill: 15, Cure: 960, Demold: 15}, 1},
		{Round{Fill: 15, Cure: 961, Demold: 15}, 0.5},
		{Round{Fill: 10, Cure: 30, Demold: 10, Hot: true}, 6},
		{Round{Fill: 10, Cure: 30, Demold: 10, Cavities: 6}, 36},
		{Round{Fill: 300, Cure: 30, Demold: 300}, 0.8},
	} {
		if got := c.r.PerDay(); got != c.want {
			t.Errorf("%+v: got %g a day, want %g", c.r, got, c.want)
		}
	}
}

// Worked figures of castings and molds.
func TestMolds(t *testing.T) {
	for _, c := range []struct {
		copies, life int
		perDay       float64
		days         int
		made, molds  int
	}{
		{50, 40, 4, 5, 53, 3}, {50, 40, 4, 15, 53, 2}, {200, 40, 4, 20, 211, 6}, {50, 40, 4, 0, 53, 2}, {19, 0, 4, 0, 20, 1}, {0, 40, 4, 5, 0, 1},
	} {
		made := Made(c.copies, Scrap)
		if molds := Molds(made, c.life, c.perDay, c.days); made != c.made || molds != c.molds {
			t.Errorf("%+v: got %d castings, %d molds", c, made, molds)
		}
	}
	if Shortened(40, 0.8) != 32 || Shortened(40, 0.6) != 24 || Shortened(1, 0.6) != 1 || Shortened(0, 0.6) != 0 {
		t.Error("a life by a method's factor")
	}
	if CastingDays(53, 3, 4) != 5 || CastingDays(53, 1, 0.5) != 106 || CastingDays(0, 1, 4) != 0 {
		t.Error("days of casting")
	}
}

// Worked figures of a unit price that jumps past each life.
func TestUnitPrice(t *testing.T) {
	for n, want := range map[int]float64{1: 574.17, 10: 70.17, 40: 28.17, 41: 37.83, 80: 26.29} {
		if got := UnitPrice(90, 246, 8.5, n, 40, 0.4); math.Abs(got-want) > 5e-3 {
			t.Errorf("%d: got %g, want %g", n, got, want)
		}
	}
}

// A block against a poured blanket over a model figure: H high, 0.45 H wide, 0.40 H
// deep, of which it fills 0.40; kilograms and where the blanket pays, as worked out
// by hand.
func TestBlockAgainstBlanket(t *testing.T) {
	for _, c := range []struct {
		h, cover, coat, block, blanket float64
		saved, labor                   float64
	}{
		{150, 8, 8, 0.8508, 0.3866, 0, 0},
		{300, 12.728, 10, 5.9974, 1.9329, 101.6, 104.7},
		{450, 19.092, 12, 20.2413, 5.2189, 375.6, 196.7},
		{600, 25, 12, 47.5418, 9.2781, 0, 0},
		{900, 25, 15, 134.479, 26.0947, 0, 0},
	} {
		w, d := 0.45*c.h, 0.40*c.h
		block := ((w+2*c.cover)*(d+2*c.cover)*(c.h+c.cover) - 0.4*w*d*c.h) * 1.12e-6
		blanket := 0.85 * (2*(w+d)*c.h + w*d) * c.coat * 1.2 * 1.12e-6
		if math.Abs(block/c.block-1) > 5e-4 || math.Abs(blanket/c.blanket-1) > 5e-4 {
			t.Fatalf("%g high: %g and %g kg, want %g and %g", c.h, block, blanket, c.block, c.blanket)
		}
		if c.saved == 0 {
			continue
		}
		cost := func(m Method, kg float64) Cost {
			return Price(Job{Work: Work{Method: m, Longest: c.h}, Rubber: kg * 1000})
		}
		a, b := cost(Block, block), cost(Poured, blanket)
		if got := a.RubberCost - b.RubberCost; math.Abs(got-c.saved) > 0.05 {
			t.Errorf("%g high: saves %g, want %g", c.h, got, c.saved)
		}
		if got := b.MoldLabor - a.MoldLabor; math.Abs(got-c.labor) > 0.05 {
			t.Errorf("%g high: costs %g, want %g", c.h, got, c.labor)
		}
		if pays := b.Total < a.Total; pays != (c.saved > c.labor) || !a.Nominal {
			t.Errorf("%g high: pays %v, nominal %v", c.h, pays, a.Nominal)
		}
	}
}

func TestPrice(t *testing.T) {
	p := func(v float64) *float64 { return &v }
	j := Job{Work: Work{Method: Block, Longest: 120}, Prices: Prices{Rubber: p(30), Labor: p(60)}, Rubber: 1000, Sundries: 5, Container: 8, Copies: 50, Life: 40, Cure: 30, Material: 2}
	c := Price(j)
	// 97 min, of which 45 once; castings of 12 + 10 min.
	want := 2*30.0 + 2*5 + 8 + (97 + 52) + 53*22 + 53*2
	if c.Molds != 2 || c.Made != 53 || c.Nominal || math.Abs(c.Total-want) > 1e-9 || c.LaborMinutes() != 97+52+53*22 {
		t.Errorf("got %+v, want %g", c, want)
	}
	if got := c.Weighed(1000); math.Abs(got-want-5) > 1e-9 {
		t.Errorf("with half a per cent of 1000: got %g, want %g", got, want+5)
	}
	j.PerCasting = p(0.1)
	if got := Price(j).CastingMinutes; math.Abs(got-53*6) > 1e-9 {
		t.Errorf("the shop's own hours for a casting: got %g min", got)
	}
	j.Shell = 500
	if c := Price(j); !c.Nominal || c.ShellCost != 3 {
		t.Errorf("a shell at no stated price: %+v", c)
	}
	if Price(Job{Work: Work{Method: Slit, Longest: 120}, Life: 40, Copies: 37}).Molds != 2 || Price(Job{Work: Work{Method: Block, Longest: 120}, Life: 40, Copies: 37}).Molds != 1 {
		t.Error("a slit mold of 40 castings gives 32")
	}
}

// More work never takes less, whatever the method.
func TestMoreTakesMore(t *testing.T) {
	for m := OpenFaced; m <= Glove; m++ {
		last := 0.0
		for _, size := range append(sizes[:], 2000) {
			w := Work{Method: m, Longest: size}
			base := Reckon(w).Minutes
			if base < last {
				t.Errorf("method %d of %g mm: %g min, under %g of a smaller one", m, size, base, last)
			}
			last = base
			for _, more := range []func(*Work){
				func(w *Work) { w.Parts = 5 }, func(w *Work) { w.Pieces = 4 }, func(w *Work) { w.Coats = 9 }, func(w *Work) { w.Laminate = true },
				func(w *Work) { w.Flatness = 9 }, func(w *Work) { w.Irreplaceable = true }, func(w *Work) { w.First = true },
				func(w *Work) { w.Walls, w.Boards = Polygon, 8 },
			} {
				x := w
				more(&x)
				if got := Reckon(x).Minutes; got < base {
					t.Errorf("method %d of %g mm: %g min for %+v, under %g", m, size, got, x, base)
				}
			}
		}
	}
}
