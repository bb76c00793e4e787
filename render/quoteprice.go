package render

import (
	"slices"

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
	line := func(label, currency string, a *money.Amount) []string {
		return []string{label, "", currency, amount(a, c.Currency)}
	}
	if len(o.Plans) == 1 {
		t.Rows = q.offered()
	} else {
		sec.Tables = append(sec.Tables, q.allOffered())
	}
	for _, n := range q.unpriced() {
		many, _, unit := q.w.priced(n.Quantity, 0, n.Unit)
		t.Rows = append(t.Rows, []string{"Not in it: " + q.w.say(n.What), figure.Tie(many, unit), notPriced, notPriced})
	}
	t.Foot = line(totalLabel(c), c.Currency, c.Total)
	if c.Tax != nil {
		label := "Tax"
		if r := o.Offers[0].TaxPct; r != nil {
			label += ", " + figure.Trimmed(*r, 2) + figure.NBSP + "%"
		}
		t.Rows = append(t.Rows, line(totalLabel(c), "", c.Total), line(label, "", c.Tax))
		t.Foot = line("To pay in all", c.Currency, c.TotalWithTax)
	}
	if len(t.Rows) == 0 { // nothing but the total, which then stands under the patterns
		sec.Tables[0].Foot = []string{t.Foot[0], "", "", "", t.Foot[2], t.Foot[3]}
		return sec
	}
	sec.Tables = append(sec.Tables, t)
	return sec
}

// offered is what is offered for the one pattern.
func (q *quote) offered() [][]string {
	p, of, currency := q.order.Plans[0], q.order.Offers[0], q.order.Cost.Currency
	rows := [][]string{{moldRow(of), "", "", amount(&of.Mold, currency)}}
	if of.Each != nil {
		sum := *of.Each * money.Amount(of.Copies)
		rows = append(rows, []string{"Castings in " + p.Casting.Material + ", beside the mold", figure.Fixed(float64(of.Copies), 0), amount(of.Each, currency), amount(&sum, currency)})
	}
	return rows
}

// allOffered is what is offered for each of several patterns.
func (q *quote) allOffered() Table {
	currency := q.order.Cost.Currency
	t := Table{Columns: []Column{{Title: "pattern", Wrap: true}, {Title: "molds", Right: true}, {Title: "all its molds", Right: true}, {Title: "castings", Right: true}, {Title: "each casting", Right: true}, {Title: "together", Right: true}},
		Note: "molds are paid once, each casting beside them"}
	for i, p := range q.order.Plans {
		of := q.order.Offers[i]
		row := []string{p.Pattern.File, figure.Fixed(float64(of.Molds), 0), amount(&of.Mold, currency), "-", "-", amount(&of.Net, currency)}
		if of.Each != nil {
			row[3], row[4] = figure.Fixed(float64(of.Copies), 0), amount(of.Each, currency)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// unpriced are the things that have no price, each once for all patterns.
func (q *quote) unpriced() (out []estimate.Need) {
	for _, l := range q.order.Cost.Lines {
		if l.Amount != nil {
			continue
		}
		i := slices.IndexFunc(out, func(n estimate.Need) bool { return n.What == l.What })
		if i < 0 {
			out = append(out, estimate.Need{What: l.What, Unit: l.Unit})
			i = len(out) - 1
		}
		out[i].Quantity += l.Quantity
	}
	return out
}

// payment is what goes by the price: a deposit, and what one casting comes to.
func (q *quote) payment() Section {
	o, c := q.order, q.order.Cost
	sec := Section{Key: "payment", Title: "Payment"}
	if c.Deposit != nil {
		sec.add(Row{Label: "Before work starts", Value: inMoney(c.Deposit, c.Currency), Note: "deposit, part of what is paid in all"})
	}
	if c.PerCasting != nil && o.Offers[0].Copies > 1 {
		sec.add(Row{Label: "One casting, all in", Value: inMoney(c.PerCasting, c.Currency), Note: "its share of the mold in it" + beforeTax(c) + "; to compare by, and nothing that is paid besides"})
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

// moldRow names the molds of the one pattern in the table of prices.
func moldRow(of estimate.Offer) string {
	if of.Molds == 1 {
		return "The mold, once"
	}
	return figure.Count(of.Molds, "mold", "molds") + ", all of them, once"
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
	valid := q.order.Offers[0].ValidDays
	switch l := q.letter; {
	case valid == nil:
		sec.add(Row{Label: "The offer holds", Value: "as long as is agreed", Note: "nothing is said of it yet"})
	case l == nil || l.ValidUntil == nil:
		sec.add(Row{Label: "The offer holds for", Value: figure.Count(int(*valid), "day", "days"), Note: "from the day it is sent"})
	default:
		sec.add(Row{Label: "The offer holds until", Value: *l.ValidUntil, Note: figure.Count(int(*valid), "day", "days") + " from its date"})
	}
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
