package render

import (
	"reflect"

	"moldtally/estimate"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
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
	var plans []*estimate.Plan
	s := &Sheet{Title: "All patterns"}
	var failedList []string
	for _, e := range entries {
		plans = append(plans, e.Plan)
		if e.Plan == nil {
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
			row[1] = string(v.Answer)
		}
		if e.Plan.Refused() {
			row[1] = "no"
		}
		if r := e.Plan.Rubber; r != nil && r.Mass != nil {
			row[2] = w.Inline(figure.Volume(r.VolumeLow, r.Volume, r.VolumeHigh))
			row[3] = w.Fine(figure.Mass(*r.MassToMix, *r.MassToMix, *r.MassToMix))
		}
		if c := e.Plan.Cost; c != nil && c.Total != nil {
			row[4] = inMoney(c.Total, c.Currency)
		}
		t.Rows = append(t.Rows, row)
	}
	t.Foot = []string{figure.Count(len(entries), "pattern", "patterns"), "", "-", "-", "-"}
	all := estimate.Sum(plans)
	if all.Mixed > 0 {
		t.Foot[2] = w.Inline(figure.Volume(all.VolumeLow, *all.RubberVolume, all.VolumeHigh))
		t.Foot[3] = w.Fine(figure.Mass(*all.MassToMix, *all.MassToMix, *all.MassToMix))
	}
	switch {
	case all.Order != nil && len(all.Order.Without) > 0:
		t.Foot[4] = inMoney(all.Cost, *all.Currency)
		t.Note = "the cost is without " + words.Lacking(all.Order.Without)
	case all.Cost != nil:
		t.Foot[4] = inMoney(all.Cost, *all.Currency)
	case all.Priced > 0:
		t.Note = "costs are in more than one currency and are not added up"
	}
	if n := all.Patterns - all.Mixed; n > 0 && all.Mixed > 0 {
		t.Note = figure.Join("; ", t.Note, "the totals leave out "+figure.Count(n, "pattern", "patterns")+" without figures")
	}
	if all.Priced == 0 { // no prices anywhere: no column of dashes
		t.Columns = t.Columns[:4]
	} else if all.Priced < all.Patterns && all.Mixed == all.Patterns {
		t.Note = figure.Join("; ", t.Note, "not all are priced")
	}
	s.Sections = append(s.Sections, Section{Key: "total", Title: "Together", Tables: []Table{t}})
	if len(failedList) > 0 {
		s.Sections = append(s.Sections, Section{Key: "failed", Title: "Failed", Tone: Bad, List: failedList})
	}
	printable(reflect.ValueOf(s).Elem())
	return s
}
