package estimate

import (
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/money"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
)

// Hours by method where the shop file has a rate alone; its own hours win for
// their step and stand as they are.
func TestUsualHours(t *testing.T) {
	lines := func(pr Prices, w *labor.Work, pours, molds int) map[Bought]float64 {
		j := &resolved{shop: Shop{Prices: pr}}
		var b bill
		b.add(Bought{Kind: Sundries}, 1, "molds", money.Unit)
		j.molding(&b, w, pours, molds)
		j.handling(&b, w, 10)
		got := map[Bought]float64{}
		for _, l := range b.lines {
			if l.Unit == "h" {
				got[l.What] = l.Quantity
			}
		}
		return got
	}
	rate := eur(40)
	half := p(0.5)
	use := func(k BoughtKind) Bought { return Bought{Kind: k, Usual: true} }
	for _, c := range []struct {
		name         string
		pr           Prices
		w            *labor.Work
		pours, molds int
		want         map[Bought]float64
	}{
		{"no rate", Prices{HoursBox: half}, &labor.Work{Method: labor.Block}, 1, 1, nil},
		{"a rate alone, and no mold known", Prices{LaborPerHour: rate}, nil, 1, 1, nil},
		{"a block of 120 mm", Prices{LaborPerHour: rate}, &labor.Work{Method: labor.Block, Longest: 120}, 1, 1,
			map[Bought]float64{use(LaborPreparing): 40. / 60, use(LaborBox): 15. / 60, use(LaborPouring): 12. / 60, use(LaborOpening): 30. / 60, use(LaborCasting): 220. / 60}},
		{"three such molds", Prices{LaborPerHour: rate}, &labor.Work{Method: labor.Block, Longest: 120}, 1, 3,
			map[Bought]float64{use(LaborPreparing): 60. / 60, use(LaborBox): 15. / 60, use(LaborPouring): 36. / 60, use(LaborOpening): 90. / 60, use(LaborCasting): 220. / 60}},
		{"a brushed coat of 250 mm, slit", Prices{LaborPerHour: rate}, &labor.Work{Method: labor.Brushed, Longest: 250}, 1, 1,
			map[Bought]float64{use(LaborPreparing): 1, use(LaborShell): 80. / 60, use(LaborBrushing): 80. / 60, use(LaborOpening): 57. / 60, use(LaborCasting): 5}},
		{"two halves by the shop's own hours", Prices{LaborPerHour: rate, HoursPrepare: half, HoursBox: half, HoursPour: half, HoursOpen: half, HoursPerCasting: half},
			&labor.Work{Method: labor.TwoPart, Longest: 250}, 2, 2,
			map[Bought]float64{{Kind: LaborPreparing}: 0.5, {Kind: LaborBox}: 0.5, {Kind: LaborPouring}: 2, {Kind: LaborOpening}: 1, {Kind: LaborCasting}: 5}},
		{"the shop's own for one step, none for another", Prices{LaborPerHour: rate, HoursPrepare: half, HoursOpen: p(0), HoursPerCasting: p(0)}, &labor.Work{Method: labor.Block, Longest: 120}, 1, 1,
			map[Bought]float64{{Kind: LaborPreparing}: 0.5, use(LaborBox): 15. / 60, use(LaborPouring): 12. / 60}},
	} {
		got := lines(c.pr, c.w, c.pours, c.molds)
		if len(got) != len(c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
		for k, v := range c.want {
			if !close(got[k], v, 1e-12) {
				t.Errorf("%s: %+v: got %g h, want %g", c.name, k, got[k], v)
			}
		}
	}
}

func TestLaborOf(t *testing.T) {
	k := &known{job: &resolved{}, survey: &mesh.Survey{Size: mesh.V(250, 0, 0)}}
	sides := 6
	for _, c := range []struct {
		fit  boxfit.Fit
		slit bool
		want float64
	}{
		{boxfit.Fit{Mold: demold.Block, Kind: boxfit.Box}, false, 145},
		{boxfit.Fit{Mold: demold.Block, Kind: boxfit.Box}, true, 157},
		{boxfit.Fit{Mold: demold.Block, Kind: boxfit.Polygon, Sides: &sides}, false, 145 + 34},
		{boxfit.Fit{Mold: demold.Cut, Kind: boxfit.Box}, true, 176.5},
		{boxfit.Fit{Mold: demold.TwoPart, Kind: boxfit.Box}, false, 277.5},
		{boxfit.Fit{Mold: demold.Blanket}, true, 302},
		{boxfit.Fit{Mold: demold.Blanket}, false, 290},
		{boxfit.Fit{Mold: demold.Brushed}, true, 277},
	} {
		m := &method{trial: &trial{way: Way{Mold: c.fit.Mold, Slit: c.slit && c.fit.Mold == demold.Block}, look: &look{pose: &pose.Pose{Rect: [2]float64{250, 250}}, report: &demold.Report{}}, verdict: Verdict{Answer: ComesOut}}, fit: &c.fit, mix: &mixing{}}
		if c.slit {
			m.verdict.Answer = SlitIt
		}
		if got := labor.Reckon(k.laborOf(m)).Minutes; got != c.want {
			t.Errorf("%s in a %s, slit %v: got %g min, want %g", c.fit.Mold, c.fit.Kind, c.slit, got, c.want)
		}
	}
}
