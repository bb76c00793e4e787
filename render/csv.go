package render

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/estimate"
	"moldtally/estimate/money"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// WriteQuoteCSV writes an order line by line for a spreadsheet, comma-separated, with
// the columns pattern, kind, what, quantity, unit, unit_price, amount, currency: each
// line of the cost, how the lines become a price, what is offered for each pattern,
// prices for other numbers of copies, and patterns that are not quoted. What has no
// price has "not priced" for it. Numbers have a decimal point and nothing else, and
// no text can be taken for a formula.
func WriteQuoteCSV(w io.Writer, entries []Entry) error {
	t := &csvTable{w: csv.NewWriter(w)}
	t.row("pattern", "kind", "what", "quantity", "unit", "unit_price", "amount", "currency")
	var plans []*estimate.Plan
	for _, e := range entries {
		if e.Error == "" {
			plans = append(plans, e.Plan)
		}
	}
	t.letter(plans)
	if o := estimate.OrderOf(plans); o != nil {
		t.order(o)
	}
	for _, e := range entries {
		switch {
		case e.Plan.Refused():
			t.row(e.File, "not quoted", "the job is not to be done as asked", "", "", "", "", "")
		case e.Error != "":
			t.row(e.File, "not quoted", e.Error, "", "", "", "", "")
		}
	}
	t.w.Flush()
	if err := t.w.Error(); err != nil {
		return fmt.Errorf("render: %w", err)
	}
	return nil
}

// letter is whom the quote is for, its number and its days.
func (t *csvTable) letter(plans []*estimate.Plan) {
	i := slices.IndexFunc(plans, func(p *estimate.Plan) bool { return p != nil && p.Letter != nil })
	if i < 0 {
		return
	}
	l := plans[i].Letter
	fact := func(kind string, s *string) {
		if s != nil && *s != "" {
			t.row("", kind, *s, "", "", "", "", "")
		}
	}
	if l.From != nil {
		fact("from", &l.From.Name)
	}
	fact("client", new(strings.Join(l.Client, "; ")))
	fact("number", l.Number)
	fact("date", l.Date)
	fact("valid until", l.ValidUntil)
}

type csvTable struct {
	w        *csv.Writer
	currency string
}

// row writes cells; the first error stays with the writer. A cell that a spreadsheet
// would take for a formula is set off by an apostrophe.
func (t *csvTable) row(cells ...string) {
	for i, c := range cells {
		if c != "" && strings.ContainsRune("=+-@\t\r", rune(c[0])) {
			if _, err := strconv.ParseFloat(c, 64); err != nil {
				cells[i] = "'" + c
			}
		}
	}
	t.w.Write(cells) // Flush tells its errors
}

// number writes a figure to the millionth; finer no price is reckoned with.
func number(f float64) string { return strconv.FormatFloat(math.Round(f*1e6)/1e6, 'f', -1, 64) }

// eachOf is what one casting comes to; "" where castings are of several patterns.
func eachOf(b estimate.Break) string {
	if b.PerCasting == nil {
		return ""
	}
	return price(b.PerCasting)
}

func price(a *money.Amount) string {
	if a == nil {
		return notPriced
	}
	return a.String()
}

// order is every line of an order.
func (t *csvTable) order(o *estimate.Order) {
	c := o.Cost
	t.currency = c.Currency
	only := ""
	if len(o.Plans) == 1 {
		only = o.Plans[0].Pattern.File
	}
	say := func(facts any) string { return words.Say(finding.Remark{Facts: facts}, unit.Metric) }
	for _, l := range c.Lines {
		file := l.For
		if file == "" {
			file = only
		}
		t.row(file, "line", say(l.What), number(l.Quantity), strings.ReplaceAll(l.Unit, "²", "2"), price(l.UnitPrice), price(l.Amount), c.Currency)
	}
	sum := func(kind, what string, a *money.Amount) {
		if a != nil {
			t.row("", kind, what, "", "", "", price(a), c.Currency)
		}
	}
	sum("subtotal", "", c.Subtotal)
	sum("overhead", "", c.Overhead)
	sum("markup", "on the cost", c.Markup)
	sum("margin", "of the price", c.Margin)
	sum("minimum", "the least that is charged", c.Minimum)
	without := ""
	if len(c.Without) > 0 {
		without = "without " + words.Lacking(c.Without)
	}
	sum("total", without, c.Total)
	sum("tax", "", c.Tax)
	sum("total with tax", without, c.TotalWithTax)
	sum("deposit", "", c.Deposit)
	for i, p := range o.Plans {
		of := o.Offers[i]
		t.row(p.Pattern.File, "offer", "molds, all of them, before tax", strconv.Itoa(of.Molds), "molds", "", price(&of.Mold), c.Currency)
		if of.Each != nil {
			all := *of.Each * money.Amount(of.Copies)
			t.row(p.Pattern.File, "offer", "castings, beside the molds, before tax", strconv.Itoa(of.Copies), "castings", price(of.Each), price(&all), c.Currency)
		}
	}
	for _, b := range c.Breaks {
		t.row(only, "break", "total before tax, molds and all", strconv.Itoa(b.Copies), "castings", eachOf(b), price(b.Total), c.Currency)
	}
	if c.Draft {
		for _, u := range c.DraftBecause {
			t.row(only, "draft because", say(u), "", "", "", "", "")
		}
	}
}
