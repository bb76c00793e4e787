package render

import (
	"moldtally/boxfit"
	"moldtally/render/figure"
)

func (w *wording) options() Section {
	sec := Section{Key: "options", Title: "Other containers"}
	var list []boxfit.Option
	if w.plan.Options != nil {
		list = *w.plan.Options
	}
	if len(list) == 0 && w.plan.Container != nil {
		list = w.plan.Container.Options
	}
	if len(list) < 2 {
		return sec
	}
	t := Table{Caption: "Least rubber first", Columns: []Column{{Title: "mold"}, {Title: "container", Wrap: true}, {Title: "rubber", Right: true}, {Title: "mass", Right: true}, {Title: "cost", Right: true}}}
	currency := ""
	if w.plan.Cost != nil {
		currency = w.plan.Cost.Currency
	}
	weighed := false
	for _, o := range list {
		m, cost := "-", "-"
		if o.Mass != nil {
			m = w.Fine(figure.Mass(*o.Mass, *o.Mass, *o.Mass))
		}
		if o.Cost != nil {
			cost = figure.Money(*o.Cost, currency)
			t.Caption = "Cheapest first"
		}
		weighed = weighed || o.Mass != nil
		t.Rows = append(t.Rows, []string{string(o.Mold), string(o.Container), w.Inline(figure.Exactly(o.Volume)), m, cost})
	}
	if r := w.plan.Rubber; weighed && r != nil {
		// Each way among the methods has a rubber of its own, and other weights.
		t.Caption += ", all reckoned in " + r.Name
	}
	sec.Tables = []Table{t}
	return sec
}
