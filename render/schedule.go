package render

import (
	"math"

	"moldtally/estimate/rubber"
	"moldtally/render/figure"
)

func (w *wording) schedule() Section {
	sec := Section{Key: "schedule", Title: "Order of work"}
	s := w.plan.Schedule
	if s == nil || len(s.Steps) == 0 || w.plan.Refused() {
		return sec
	}
	halves := false
	for _, x := range s.Steps {
		if x.Half != "" && x.Half != rubber.Whole {
			halves = true
		}
	}
	var before [][]string
	t := Table{Caption: "From the first stir", Columns: []Column{{Title: "from", Right: true}, {Title: "to", Right: true}, {Title: "what", Wrap: true}}}
	if s.Temperature != 0 {
		t.Caption += ", at " + figure.Temperature(s.Temperature, w.System)
	}
	for k := 0; k < len(s.Steps); k++ {
		x := s.Steps[k]
		said := w.say(x.What)
		if coat, n := s.CoatAt(k); n > 0 {
			said, k = w.say(coat), k+n-1
			x.End = s.Steps[k].End
		}
		what := figure.Capital(said)
		if halves && x.Half != "" && x.Half != rubber.Whole {
			what = figure.Capital(string(x.Half)) + " half: " + said
		}
		if x.Start < 0 {
			before = append(before, []string{figure.Duration(roughly(x.End - x.Start)), figure.Capital(said)})
			continue
		}
		to := figure.Duration(x.End)
		if to == figure.Duration(x.Start) && x.End > x.Start {
			to = figure.Duration(max(1, x.End-x.Start)) + " more"
		}
		t.Rows = append(t.Rows, []string{figure.Duration(x.Start), to, what})
	}
	if len(before) > 0 {
		sec.Tables = append(sec.Tables, Table{Caption: "Before the first stir, in order", Columns: []Column{{Title: "takes", Right: true}, {Title: "what", Wrap: true}}, Rows: before})
	}
	sec.Tables = append(sec.Tables, t)
	return sec
}

// roughly is a time, min, as true as a judgement of hands is: to 5 min from 20 on.
func roughly(minutes float64) float64 {
	if minutes < 20 {
		return minutes
	}
	return 5 * math.Round(minutes/5)
}
