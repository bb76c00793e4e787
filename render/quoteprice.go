package render

import (
	"moldtally/estimate"
	"moldtally/estimate/money"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// price is the table of what a client pays: of each pattern its molds, once, and its
// castings, by the piece, and what is left out.
func (q *quote) price() Section {
	o, c := q.order, q.order.Cost
	sec := Section{Key: "price", Title: "Price"}
	t := Table{Columns: []Column{{Title: "what", Wrap: true}, {Title: "quantity", Right: true}, {Title: "each", Right: true}, {Title: "amount", Right: true}}}
	for i, p := range o.Plans {
		of := o.Offers[i]
		t.Rows = append(t.Rows, []string{q.moldRow(p, of), "", "", amount(&of.Mold, c.Currency)})
		if of.Each != nil {
			sum := *of.Each * money.Amount(of.Copies)
			t.Rows = append(t.Rows, []string{"Castings in " + p.Casting.Material + q.ofPattern(p) + ", beside the mold", figure.Fixed(float64(of.Copies), 0), amount(of.Each, c.Currency), amount(&sum, c.Currency)})
		}
	}
	for _, l := range c.Lines {
		if l.Amount == nil {
			many, _, unit := q.w.priced(l.Quantity, 0, l.Unit)
			t.Rows = append(t.Rows, []string{"Not in it: " + q.w.say(estimate.Unpriced{Of: l.For, What: l.What}), figure.Tie(many, unit), notPriced, notPriced})
		}
	}
	t.Foot = []string{totalLabel(c), "", c.Currency, amount(c.Total, c.Currency)}
	if c.Tax != nil {
		t.Rows = append(t.Rows, []string{totalLabel(c), "", "", amount(c.Total, c.Currency)})
		label := "Tax"
		if r := o.Offers[0].TaxPct; r != nil {
			label += ", " + figure.Trimmed(*r, 2) + figure.NBSP + "%"
		}
		t.Rows = append(t.Rows, []string{label, "", "", amount(c.Tax, c.Currency)})
		t.Foot = []string{"To pay in all", "", c.Currency, amount(c.TotalWithTax, c.Currency)}
	}
	sec.Tables = []Table{t}
	if c.PerCasting != nil && o.Offers[0].Copies > 1 {
		sec.add(Row{Label: "One casting, all in", Value: inMoney(c.PerCasting, c.Currency), Note: "its share of the mold in it" + beforeTax(c) + "; to compare offers by, not charged beside the lines below"})
	}
	if c.Deposit != nil {
		sec.add(Row{Label: "Before work starts", Value: inMoney(c.Deposit, c.Currency), Note: "deposit, part of what is paid in all"})
	}
	return sec
}

// beforeTax says that a figure is before tax, where there is a tax.
func beforeTax(c *estimate.Cost) string {
	if c.Tax == nil {
		return ""
	}
	return ", before tax"
}

// moldRow names the molds of a pattern in the table of prices.
func (q *quote) moldRow(p *estimate.Plan, of estimate.Offer) string {
	if of.Molds == 1 {
		return "The mold" + q.ofPattern(p) + ", once"
	}
	return figure.Count(of.Molds, "mold", "molds") + q.ofPattern(p) + ", all of them, once"
}

// ofPattern names a pattern where there are several.
func (q *quote) ofPattern(p *estimate.Plan) string {
	if !q.many {
		return ""
	}
	return " of " + p.Pattern.File
}

// when is when it is done, and how long the offer holds.
func (q *quote) when() Section {
	c := q.order.Cost
	sec := Section{Key: "when", Title: "When"}
	if c.Days != nil {
		note := "until the mold is ready"
		if q.casts() {
			note = "until the last casting is out"
		}
		from := "from the day the pattern is here"
		if c.Deposit != nil {
			from = "from the day pattern and deposit are here"
		}
		sec.add(Row{Label: "Done in", Value: figure.Count(*c.Days, "working day", "working days"), Note: note + ", " + from})
	}
	holds := Row{Label: "The offer holds", Value: "as long as is agreed", Note: "nothing is said of it yet"}
	for _, o := range q.order.Offers {
		if o.ValidDays != nil {
			holds = Row{Label: "The offer holds for", Value: figure.Count(int(*o.ValidDays), "day", "days"), Note: "from its date"}
		}
	}
	sec.add(holds)
	return sec
}

// casts reports whether anything is cast.
func (q *quote) casts() bool {
	for _, p := range q.order.Plans {
		if p.Casting != nil {
			return true
		}
	}
	return false
}

// without is what is not in the price.
func (q *quote) without() Section {
	c := q.order.Cost
	sec := Section{Key: "without", Title: "What is not in it"}
	say := func(s string) { sec.List = append(sec.List, figure.Sentence(figure.Capital(s))) }
	if len(c.Without) > 0 {
		say(words.Lacking(c.Without) + ": no price is known yet")
	}
	if c.Tax == nil {
		say("taxes")
	}
	finished := false
	for _, l := range c.Lines {
		finished = finished || l.What.Kind == estimate.Finishing || l.What.Kind == estimate.LaborFinishing
	}
	switch {
	case !q.casts():
		say("castings: the price is of the mold alone")
	case !finished:
		say("finishing of the castings beyond taking them out of the mold")
	}
	say("packing, freight and customs")
	say("repair of the pattern, and any right to copy it")
	return sec
}
