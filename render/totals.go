package render

import (
	"reflect"

	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

// NewTotals lists several patterns in one table, a line each, with what they
// add up to. Patterns that failed stand in it with their reason. It returns a
// sheet of its own, to be set after theirs.
func NewTotals(entries []Entry, o SheetOptions) *Sheet {
	if o.System != unit.Metric && o.System != unit.US {
		o.System = unit.Both
	}
	w := figure.Units{System: o.System}
	t := Table{Columns: []Column{{Title: "pattern", Wrap: true}, {Title: "verdict", Wrap: true}, {Title: "rubber", Right: true}, {Title: "mix at least", Right: true}, {Title: "cost", Right: true}}}
	var vol, low, high, toMix, cost float64
	var priced, mixed, failures, unpriced, unmixed int
	currency, currencies := "", map[string]bool{}
	s := &Sheet{Title: "All patterns"}
	var failedList []string
	for _, e := range entries {
		if e.Plan == nil {
			failures++
			t.Rows = append(t.Rows, []string{e.File, "failed", "-", "-", "-"})
			failedList = append(failedList, figure.Sentence(figure.Join(": ", e.File, e.Error)))
			continue
		}
		if s.Maker == "" {
			s.Maker = figure.Join(" ", e.Plan.Tool, e.Plan.Version)
		}
		row := []string{"", "-", "-", "-", "-"}
		if e.Plan.Pattern != nil {
			row[0] = e.Plan.Pattern.File
		}
		if v := e.Plan.Verdict; v != nil {
			row[1] = v.Answer
		}
		if r := e.Plan.Rubber; r != nil {
			row[2] = w.Inline(figure.Volume(r.VolumeLow, r.Volume, r.VolumeHigh))
			row[3] = w.Fine(figure.Mass(r.MassToMix, r.MassToMix, r.MassToMix))
			vol, low, high = vol+r.Volume, low+r.VolumeLow, high+r.VolumeHigh
			toMix += r.MassToMix
			mixed++
		} else {
			unmixed++
		}
		if c := e.Plan.Cost; c != nil {
			row[4] = figure.Money(c.Total, c.Currency)
			cost += c.Total
			currency = c.Currency
			currencies[c.Currency] = true
			priced++
		} else {
			unpriced++
		}
		t.Rows = append(t.Rows, row)
	}
	t.Foot = []string{figure.Count(len(entries), "pattern", "patterns"), "", "-", "-", "-"}
	if mixed > 0 {
		t.Foot[2] = w.Inline(figure.Volume(low, vol, high))
		t.Foot[3] = w.Fine(figure.Mass(toMix, toMix, toMix))
	}
	switch {
	case priced > 0 && len(currencies) == 1:
		t.Foot[4] = figure.Money(cost, currency)
	case priced > 0:
		t.Note = "costs are in more than one currency and are not added up"
	}
	if n := failures + unmixed; n > 0 && mixed > 0 {
		t.Note = figure.Join("; ", t.Note, "the totals leave out "+figure.Count(n, "pattern", "patterns")+" without figures")
	}
	if priced == 0 { // no prices anywhere: no column of dashes
		t.Columns = t.Columns[:4]
	} else if unpriced > 0 && failures+unmixed == 0 {
		t.Note = figure.Join("; ", t.Note, "not all are priced")
	}
	s.Sections = append(s.Sections, Section{Key: "total", Title: "Together", Tables: []Table{t}})
	if len(failedList) > 0 {
		s.Sections = append(s.Sections, Section{Key: "failed", Title: "Failed", Tone: Bad, List: failedList})
	}
	printable(reflect.ValueOf(s).Elem())
	return s
}
