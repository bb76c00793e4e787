package render

import (
	"fmt"
	"math"
	"path/filepath"

	"moldtally/estimate/record"
	"moldtally/render/figure"
)

// mostPours is how many of the latest pours a sheet shows; the log has them all.
const mostPours = 12

// NewRecord words a log of pours that stands in a file: estimate against outcome,
// and what follows for plans.
func NewRecord(file string, l record.Log) *Sheet {
	return &Sheet{Title: filepath.Base(file), Sections: []Section{PoursSection(file, l)}}
}

// PoursSection is a log of pours as a part of another sheet. Masses are in grams,
// as the log and the scale have them.
func PoursSection(file string, l record.Log) Section {
	sec := Section{Key: "pours", Title: "Your pours"}
	if len(l) == 0 {
		sec.List = []string{"None is on record. After a pour: moldtally shop record JOB.json --mixed MASS --left MASS"}
		return sec
	}
	sec.add(Row{Label: "Log", Value: file})
	for _, brushed := range []bool{false, true} {
		if r, ok := lossRow(l, brushed); ok {
			sec.add(r)
		}
	}
	for _, w := range l.Wears() {
		sec.add(Row{Label: figure.Capital(w.Cast), Value: figure.Span(int(math.Round(100*w.Low)), int(math.Round(100*w.High))), Unit: "%",
			Note: "of the usual castings from " + w.Family + ", by " + figure.Count(w.Of, "mold", "molds") + " of yours; plans reckon with it"})
	}
	sec.Tables = []Table{poursTable(l[max(0, len(l)-mostPours):])}
	if n := len(l) - mostPours; n > 0 {
		sec.Tables[0].Note = figure.Count(n, "earlier pour", "earlier pours") + " in the log"
	}
	return sec
}

// lossRow is the loss of what is poured, or brushed; none without such pours.
func lossRow(l record.Log, brushed bool) (Row, bool) {
	label, n := "Loss when poured", 0
	if brushed {
		label = "Loss when brushed"
	}
	for _, p := range l {
		if p.Mixed > 0 && p.Brushed() == brushed {
			n++
		}
	}
	share, of := l.Loss(brushed)
	switch {
	case of > 0:
		return Row{Label: label, Value: figure.Trimmed(100*share, 0), Unit: "%", Note: fmt.Sprintf("eight in ten of your last %s stayed within it; plans allow for it", figure.Count(of, "pour", "pours"))}, true
	case n > 0:
		return Row{Label: label, Value: "not yet", Note: fmt.Sprintf("%s on record; from %d on, plans go by them", figure.Count(n, "pour", "pours"), record.Enough)}, true
	}
	return Row{}, false
}

// poursTable is estimate against outcome, the latest last.
func poursTable(l record.Log) Table {
	t := Table{Caption: "What was told to mix, and what it took", Columns: []Column{{Title: "pattern", Wrap: true}, {Title: "mold"}, {Title: "to mix", Right: true}, {Title: "took", Right: true}, {Title: "loss", Right: true}, {Title: "castings", Right: true}}}
	for _, p := range l {
		name := p.File
		if name == "" {
			name = p.Rubber
		}
		if p.Date != "" {
			name = p.Date + " " + name
		}
		row := []string{name, p.Mold, figure.Grams(p.ToMix) + " g", "-", "-", "-"}
		if p.Mixed > 0 {
			row[3], row[4] = figure.Grams(p.Mixed-p.Left)+" g", figure.Trimmed(100*p.Loss(), 0)+" %"
		}
		if p.Made > 0 {
			row[5] = figure.Trimmed(float64(p.Made), 0)
			if p.Usual > 0 {
				row[5] += fmt.Sprintf(" of %d", p.Usual)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
