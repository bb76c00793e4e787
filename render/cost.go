package render

import (
	"moldtally/estimate"
	"moldtally/estimate/money"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

func (w *wording) cost() Section {
	c := w.plan.Cost
	if c == nil || c.Total == nil {
		return Section{Key: "cost", Title: "Cost"}
	}
	return w.reckoning(c, "Cost")
}

// reckoning is every line of a cost, and how the lines become a price.
func (w *wording) reckoning(c *estimate.Cost, title string) Section {
	sec := Section{Key: "cost", Title: title}
	t := Table{Columns: []Column{{Title: "what", Wrap: true}, {Title: "quantity", Right: true}, {Title: "unit"}, {Title: "each", Right: true}, {Title: "amount", Right: true}}}
	for _, l := range c.Lines {
		what := w.say(l.What)
		if l.For != "" {
			what = l.For + ": " + what
		}
		each, price := notPriced, 0.0
		if l.UnitPrice != nil {
			price = l.UnitPrice.Float()
		}
		quantity, one, name := w.priced(l.Quantity, price, l.Unit)
		if l.UnitPrice != nil {
			each = one
		}
		t.Rows = append(t.Rows, []string{what, quantity, name, each, amount(l.Amount, c.Currency)})
	}
	step := func(label string, a *money.Amount) {
		if a != nil && *a != 0 {
			t.Rows = append(t.Rows, []string{label, "", "", "", amount(a, c.Currency)})
		}
	}
	if *c.Total != *c.Subtotal {
		step("Subtotal", c.Subtotal)
	}
	step("Overhead", c.Overhead)
	step("Markup on the cost", c.Markup)
	step("Margin of the price", c.Margin)
	if c.Minimum != nil && *c.Total == *c.Minimum && *c.Total > *c.Subtotal+*c.Overhead+*c.Markup+*c.Margin {
		step("Raised to the least that is charged", c.Minimum)
	}
	t.Foot = []string{totalLabel(c), "", "", c.Currency, amount(c.Total, c.Currency)}
	t.Note = w.say(c.Rounding)
	sec.Tables = []Table{t}
	sec.add(w.besideTotal(c)...)
	if b := breaks(c); b != nil {
		sec.Tables = append(sec.Tables, *b)
	}
	for _, p := range c.Pays {
		sec.List = append(sec.List, figure.Sentence(w.say(p)))
	}
	return sec
}

// totalLabel says what a total is of, and what it leaves out.
func totalLabel(c *estimate.Cost) string {
	s := "Total"
	if c.Tax != nil {
		s = "Total before tax"
	}
	if len(c.Without) > 0 {
		s += ", without " + words.Lacking(c.Without)
	}
	return s
}

// besideTotal are what goes by the total: tax, deposit, one casting, how long it
// takes, and why it is a draft.
func (w *wording) besideTotal(c *estimate.Cost) (rows []Row) {
	say := func(label string, a *money.Amount, note string) {
		if a != nil {
			rows = append(rows, Row{Label: label, Value: inMoney(a, c.Currency), Note: note})
		}
	}
	say("Tax", c.Tax, "on the total")
	say("With tax", c.TotalWithTax, "")
	say("Deposit", c.Deposit, "before work starts")
	say("One casting, all in", c.PerCasting, "the total before tax, molds and all, shared by the castings")
	if c.Days != nil {
		rows = append(rows, Row{Label: "Takes", Value: figure.Count(*c.Days, "working day", "working days"), Note: "until the last casting, by one pair of hands"})
	}
	for i, u := range c.DraftBecause {
		r := Row{Value: w.say(u), Tone: Care}
		if i == 0 {
			r.Label = "Draft, because"
		}
		rows = append(rows, r)
	}
	return rows
}

// breaks sets prices for several numbers of copies side by side; nil where there is
// but one.
func breaks(c *estimate.Cost) *Table {
	if len(c.Breaks) < 2 {
		return nil
	}
	t := &Table{Caption: "By how many are cast", Columns: []Column{{Title: "castings", Right: true}, {Title: "molds", Right: true}, {Title: "total before tax", Right: true}, {Title: "working days", Right: true}, {Title: "one casting, all in", Right: true}}}
	one := true // pattern
	for _, b := range c.Breaks {
		days := "-"
		if b.Days != nil {
			days = figure.Fixed(float64(*b.Days), 0)
		}
		one = one && b.PerCasting != nil
		t.Rows = append(t.Rows, []string{figure.Fixed(float64(b.Copies), 0), figure.Fixed(float64(b.Molds), 0), amount(b.Total, c.Currency), days, amount(b.PerCasting, c.Currency)})
	}
	if !one {
		t.Columns = t.Columns[:4]
		t.Columns[0].Title = "castings of each"
	}
	if len(c.Without) > 0 {
		t.Note = "all without " + words.Lacking(c.Without)
	}
	return t
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
	if name == "molds" && quantity == 1 {
		name = "mold"
	}
	if !ok || w.System != unit.US {
		return figure.Trimmed(quantity, 3), figure.UnitPrice(each), name
	}
	return figure.Trimmed(quantity/us.one, 3), figure.Fixed(each*us.one, 4), us.name
}
