package render

import "moldtally/render/figure"

func (w *wording) cost() Section {
	sec := Section{Key: "cost", Title: "Cost"}
	c := w.plan.Cost
	if c == nil {
		return sec
	}
	t := Table{Columns: []Column{{Title: "what", Wrap: true}, {Title: "quantity", Right: true}, {Title: "unit"}, {Title: "each", Right: true}, {Title: "amount", Right: true}}}
	for _, l := range c.Lines {
		t.Rows = append(t.Rows, []string{w.say(l.What), figure.Trimmed(l.Quantity, 3), l.Unit, figure.UnitPrice(l.UnitPrice.Float()), figure.Fixed(l.Amount.Float(), 2)})
	}
	if c.Overhead != 0 || c.Margin != 0 {
		t.Rows = append(t.Rows, []string{"Subtotal", "", "", "", figure.Fixed(c.Subtotal.Float(), 2)})
		if c.Overhead != 0 {
			t.Rows = append(t.Rows, []string{"Overhead", "", "", "", figure.Fixed(c.Overhead.Float(), 2)})
		}
		if c.Margin != 0 {
			t.Rows = append(t.Rows, []string{"Margin", "", "", "", figure.Fixed(c.Margin.Float(), 2)})
		}
	}
	t.Foot = []string{"Total", "", "", c.Currency, figure.Fixed(c.Total.Float(), 2)}
	t.Note = w.say(c.Rounding)
	sec.Tables = []Table{t}
	if c.PerCasting != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Per casting", Value: figure.Money(c.PerCasting.Float(), c.Currency)})
	}
	if c.Draft {
		sec.Rows = append(sec.Rows, Row{Label: "Draft", Value: "not to be sent out yet", Note: "a stop is open, or the units are assumed", Tone: Care})
	}
	return sec
}
