package estimate

import (
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
)

// Hours by method where the shop file states none; its own hours win for their step
// and stand as they are. Twenty castings are made for nineteen that turn out.
func TestUsualHours(t *testing.T) {
	half := p(0.5)
	use := func(k BoughtKind, tasks ...labor.Task) Bought {
		b := Bought{Kind: k}
		for _, x := range tasks {
			b.Tasks |= 1 << uint(x)
		}
		return b
	}
	prepare, open := use(LaborPreparing, labor.Planning, labor.Sealing, labor.Fixing), use(LaborOpening, labor.Demolding, labor.Trying)
	box, pour, cast := use(LaborHolding, labor.Boxing), use(LaborFilling, labor.Pouring), use(LaborCasting, labor.Pouring, labor.Demolding)
	for _, c := range []struct {
		name         string
		pr           Prices
		w            *labor.Work
		pours, molds int
		want         map[Bought]float64
	}{
		{"no mold known", Prices{}, nil, 1, 1, nil},
		{"a block of 120 mm", Prices{}, &labor.Work{Method: labor.Block, Longest: 120}, 1, 1,
			map[Bought]float64{prepare: 40. / 60, box: 15. / 60, pour: 12. / 60, open: 30. / 60, cast: 440. / 60}},
		{"three such molds", Prices{}, &labor.Work{Method: labor.Block, Longest: 120}, 1, 3,
			map[Bought]float64{prepare: 60. / 60, box: 15. / 60, pour: 36. / 60, open: 90. / 60, cast: 440. / 60}},
		{"a brushed coat of 250 mm, slit", Prices{}, &labor.Work{Method: labor.Brushed, Longest: 250}, 1, 1,
			map[Bought]float64{prepare: 1, use(LaborHolding, labor.Shelling): 80. / 60, use(LaborFilling, labor.Coating): 80. / 60,
				use(LaborOpening, labor.Cutting, labor.Demolding, labor.Trying): 57. / 60, cast: 10}},
		{"two halves by the shop's own hours", Prices{HoursPrepare: half, HoursBox: half, HoursPour: half, HoursOpen: half, HoursPerCasting: half},
			&labor.Work{Method: labor.TwoPart, Longest: 250}, 2, 2,
			map[Bought]float64{{Kind: LaborPreparing}: 0.5, {Kind: LaborHolding}: 0.5, {Kind: LaborFilling}: 2, {Kind: LaborOpening}: 1, {Kind: LaborCasting}: 10}},
	} {
		r := &run{prices: c.pr, work: c.w, pours: c.pours, cast: &castRun{}}
		if c.molds > 1 {
			r.cast.life = (20 + c.molds - 1) / c.molds
		}
		n := r.needs(19)
		got := map[Bought]float64{}
		for _, l := range n.Other {
			if l.Unit == "h" {
				got[l.What] = l.Quantity
			}
		}
		if len(got) != len(c.want) || n.Made != 20 || n.Molds != c.molds {
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
