package estimate

import (
	"moldtally/estimate/labor"
)

// hours are the shop's own for making a mold, as labor takes them.
func (p Prices) hours() labor.Hours {
	return labor.Hours{Prepare: p.HoursPrepare, Hold: p.HoursBox, Fill: p.HoursPour, Open: p.HoursOpen}
}

// molding puts the hours of a number of molds on the bill: the shop's own for each
// step where it states them, else the usual ones for the work; w may be nil: what
// mold it is is not known. Usual hours alone are no cost: where nothing else has a
// price, there is none.
func (j *resolved) molding(b *bill, w *labor.Work, pours, molds int) {
	pr := j.shop.Prices
	if pr.LaborPerHour == nil {
		return
	}
	priced := w != nil && len(b.lines) > 0
	for _, l := range []struct {
		what  BoughtKind
		step  labor.Step
		hours *float64
		n     int
	}{
		{LaborPreparing, labor.Preparing, pr.HoursPrepare, 1},
		{LaborBox, labor.Holding, pr.HoursBox, 1},
		{LaborPouring, labor.Filling, pr.HoursPour, max(1, pours) * molds},
		{LaborOpening, labor.Opening, pr.HoursOpen, molds},
	} {
		switch {
		case l.hours != nil:
			b.add(Bought{Kind: l.what}, *l.hours*float64(l.n), "h", *pr.LaborPerHour)
		case priced:
			b.add(usual(l.what, w), w.Hours(l.step, molds), "h", *pr.LaborPerHour)
		}
	}
}

// usual names a step whose hours are the usual ones.
func usual(what BoughtKind, w *labor.Work) Bought {
	shell := w.Method == labor.Poured || w.Method == labor.Brushed
	switch {
	case what == LaborBox && shell:
		what = LaborShell
	case what == LaborPouring && w.Method == labor.Brushed:
		what = LaborBrushing
	}
	return Bought{Kind: what, Usual: true}
}

// handling puts the hours of castings on the bill, as molding does.
func (j *resolved) handling(b *bill, w *labor.Work, copies float64) {
	pr := j.shop.Prices
	switch {
	case pr.LaborPerHour == nil:
	case pr.HoursPerCasting != nil:
		b.add(Bought{Kind: LaborCasting}, copies**pr.HoursPerCasting, "h", *pr.LaborPerHour)
	case w != nil && len(b.lines) > 0:
		size, _ := labor.ClassOf(w.Longest)
		r := labor.CastingOf(size, 0)
		b.add(Bought{Kind: LaborCasting, Usual: true}, copies*(r.Fill+r.Demold)/60, "h", *pr.LaborPerHour)
	}
}
