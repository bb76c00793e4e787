package render

import (
	"strconv"

	"moldtally/estimate"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// methods sets every way to mold the pattern side by side, the chosen one first.
func (w *wording) methods() Section {
	sec := Section{Key: "methods", Title: "Ways to mold it"}
	if w.plan.Methods == nil || len(*w.plan.Methods) == 0 {
		return sec
	}
	if c := w.plan.Choice; c != nil && !w.plan.Refused() {
		sec.List = append(sec.List, figure.Capital(w.say(*c)))
	}
	currency, priced := "", !w.plan.Refused()
	if w.plan.Cost != nil {
		currency = w.plan.Cost.Currency
	}
	for _, m := range *w.plan.Methods {
		priced = priced && m.Basis == estimate.ShopPrices
	}
	caption := "The chosen one first, then what works, the cheapest first"
	if w.plan.Refused() {
		caption = "None is chosen"
	}
	t := Table{Caption: caption, Columns: []Column{{Title: "mold"}, {Title: "rubber", Right: true}, {Title: "hours", Right: true}, {Title: "days", Right: true}, {Title: "works", Wrap: true}}}
	if priced {
		t.Columns = append(t.Columns, Column{Title: "cost", Right: true})
	}
	for _, m := range *w.plan.Methods {
		row := []string{words.MethodShort(m.Mold, m.Slit != nil && *m.Slit), "-", hours(m.Labor), days(m), "yes"}
		switch {
		case w.plan.Refused():
			row[1] = w.Fine(figure.Exactly(m.RubberVolume))
		case m.RubberMass != nil:
			row[1] = w.Fine(figure.Mass(*m.RubberMass, *m.RubberMass, *m.RubberMass))
		}
		if len(m.Fails) > 0 {
			row[4] = "no: " + w.say(m.Fails[0])
		}
		if priced {
			row = append(row, figure.Money(m.Cost, currency))
		}
		t.Rows = append(t.Rows, row)
	}
	sec.Tables = []Table{t}
	return sec
}

// hours are minutes of work as a bench speaks of them: to the quarter of an hour.
func hours(minutes float64) string {
	return strconv.FormatFloat(float64(int(minutes/15+0.5))/4, 'f', -1, 64)
}

// days are those until a mold may be cast in.
func days(m estimate.Method) string {
	if m.DaysLow < m.Days {
		return strconv.Itoa(m.DaysLow) + " to " + strconv.Itoa(m.Days)
	}
	return strconv.Itoa(m.Days)
}
