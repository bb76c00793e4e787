package render

import (
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

func (w *wording) cost() Section {
	sec := Section{Key: "cost", Title: "Cost"}
	c := w.plan.Cost
	if c == nil || c.Total == nil {
		return sec
	}
	t := Table{Columns: []Column{{Title: "what", Wrap: true}, {Title: "quantity", Right: true}, {Title: "unit"}, {Title: "each", Right: true}, {Title: "amount", Right: true}}}
	for _, l := range c.Lines {
		quantity, each, name := w.priced(l.Quantity, l.UnitPrice.Float(), l.Unit)
		t.Rows = append(t.Rows, []string{w.say(l.What), quantity, name, each, figure.Fixed(l.Amount.Float(), 2)})
	}
	if *c.Overhead != 0 || *c.Margin != 0 {
		t.Rows = append(t.Rows, []string{"Subtotal", "", "", "", figure.Fixed(c.Subtotal.Float(), 2)})
		if *c.Overhead != 0 {
			t.Rows = append(t.Rows, []string{"Overhead", "", "", "", figure.Fixed(c.Overhead.Float(), 2)})
		}
		if *c.Margin != 0 {
			t.Rows = append(t.Rows, []string{"Margin", "", "", "", figure.Fixed(c.Margin.Float(), 2)})
		}
	}
	t.Foot = []string{"Total", "", "", c.Currency, figure.Fixed(c.Total.Float(), 2)}
	t.Note = w.say(c.Rounding)
	sec.Tables = []Table{t}
	if c.PerCasting != nil {
		sec.add(Row{Label: "Per casting", Value: figure.Money(c.PerCasting.Float(), c.Currency)})
	}
	if c.Draft {
		sec.add(Row{Label: "Draft", Value: "not to be sent out yet", Note: "a stop is open, the units are assumed, or the rubber is not in stock", Tone: Care})
	}
	return sec
}

// priced words a quantity and the price of one of its unit. In US units both
// are of pounds, square feet or feet; the amount stays what it is.
func (w *wording) priced(quantity, each float64, name string) (many, one, of string) {
	us, ok := map[string]struct {
		name string
		one  float64 // in the metric unit
	}{
		"kg": {"lb", unit.Pound.In(unit.Kilogram)},
		"m²": {"ft²", float64(unit.Foot*unit.Foot) / 1e6},
		"m":  {"ft", unit.Foot.In(unit.M)},
	}[name]
	if !ok || w.System != unit.US {
		return figure.Trimmed(quantity, 3), figure.UnitPrice(each), name
	}
	return figure.Trimmed(quantity/us.one, 3), figure.Fixed(each*us.one, 4), us.name
}
