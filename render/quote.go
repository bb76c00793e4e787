package render

import (
	"reflect"
	"strconv"
	"strings"

	"moldtally/estimate"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// NewQuote words priced plans as what a client is sent: what is offered, its
// price, how long it takes, what it rests on. It shows no rates, overhead or
// margin. Entries without a plan or a price are listed as not quoted.
func NewQuote(entries []Entry, o SheetOptions) *Sheet {
	if o.System != unit.Metric && o.System != unit.US {
		o.System = unit.Both
	}
	s := &Sheet{}
	q := &quote{sheet: s, many: len(entries) > 1}
	for _, e := range entries {
		switch {
		case e.Plan == nil:
			q.missing = append(q.missing, figure.Sentence(figure.Join(": ", e.File, e.Error)))
		case e.Plan.Refused():
			q.refuse(&wording{Units: figure.Units{System: o.System}, plan: e.Plan})
		case e.Plan.Cost == nil || e.Plan.Cost.Offer == nil:
			q.missing = append(q.missing, figure.Sentence(e.Plan.Pattern.File+": no price is known"))
		default:
			q.add(&wording{Units: figure.Units{System: o.System}, plan: e.Plan})
		}
	}
	s.Title = "Quote for " + figure.Count(len(entries), "pattern", "patterns")
	if len(entries) == 1 {
		s.Title = "Quote: " + entries[0].File
	}
	if len(q.draft) > 0 {
		s.Verdict = Line{"Draft, not to be sent out yet", Care}
		s.Because = q.draft
	}
	q.price()
	if len(q.missing) > 0 {
		s.Sections = append(s.Sections, Section{Key: "failed", Title: "Not quoted", Tone: Bad, List: q.missing})
	}
	printable(reflect.ValueOf(s).Elem())
	return s
}

type quote struct {
	sheet   *Sheet
	draft   []string
	missing []string
	plans   []*estimate.Plan
	basis   []string
	many    bool
}

// refuse says first of all that a pattern's job is not done, and what would make
// it one that is.
func (q *quote) refuse(w *wording) {
	q.sheet.Maker = figure.Join(" ", w.plan.Tool, w.plan.Version)
	a := w.answer()
	if q.many {
		a.Text = w.plan.Pattern.File + ": " + a.Text
	}
	q.sheet.Answer.Text, q.sheet.Answer.Tone = figure.Join(" ", q.sheet.Answer.Text, a.Text), a.Tone
	q.missing = append(q.missing, figure.Sentence(w.plan.Pattern.File+": no mold is offered"))
}

// add writes what is offered for one pattern.
func (q *quote) add(w *wording) {
	p := w.plan
	s := q.sheet
	q.plans = append(q.plans, p)
	s.Maker = figure.Join(" ", p.Tool, p.Version)
	sec := Section{Key: "offer", Title: p.Pattern.File}
	size := figure.Sizes(p.Pattern.Size[:], func(l float64) figure.Quantity { return figure.Length(l, SizeStep(p.Pattern.Size)) })
	sec.add(w.row("Pattern, x × y × z", size, ""))
	if c, r := p.Container, p.Rubber; c != nil && r != nil {
		kind, _, _ := strings.Cut(moldWords(c.Mold), ":")
		mold := kind + " mold in " + rubberWords(r)
		if n := copiesOf(p); n > 1 {
			mold += ", " + figure.Count(n, "mold", "molds")
		}
		sec.add(Row{Label: "Mold", Value: figure.Capital(mold)})
	}
	if c := p.Casting; c != nil {
		v := c.Material
		if n := p.Cost.Offer.Copies; n > 0 {
			v = figure.Count(n, "casting", "castings") + " in " + c.Material
		}
		sec.add(Row{Label: "Castings", Value: v})
		if c.PullsLow != nil && c.PullsHigh != nil {
			sec.add(Row{Label: "One mold gives", Value: strconv.Itoa(*c.PullsLow) + " to " + figure.Count(*c.PullsHigh, "casting", "castings"), Note: "typical; depends on release, heat and care"})
		}
		if c.Shrinkage != nil && *c.Shrinkage > 0 {
			sec.add(Row{Label: "Castings are smaller by", Value: figure.Trimmed(*c.Shrinkage, 2), Unit: "%", Note: "in length, than the pattern"})
		}
	}
	if sc := p.Schedule; sc != nil && len(sc.Steps) > 0 {
		sec.add(Row{Label: "Takes at least", Value: figure.Duration(sc.Steps[len(sc.Steps)-1].End), Note: "for one mold, from the first stir, with curing and rest"})
	}
	s.Sections = append(s.Sections, sec)

	say := func(list *[]string, text string) {
		if q.many {
			text = p.Pattern.File + ": " + text
		}
		text = figure.Sentence(text)
		for _, have := range *list {
			if have == text {
				return
			}
		}
		*list = append(*list, text)
	}
	if p.Cost.Draft && p.Pattern.UnitsFrom == estimate.UnitsAssumed {
		say(&q.draft, "the file states no unit; its size is taken as "+size.Metric())
	}
	for _, f := range p.Warnings {
		if f.Severity == finding.Stop || f.Code == rubber.CodeNotOwned {
			say(&q.draft, words.Tell(f, w.System).Summary)
		}
	}
	if p.Cost.Draft && len(q.draft) == 0 {
		say(&q.draft, "something is still open")
	}
	say(&q.basis, "the pattern arrives sound, "+size.Metric()+" in size, and ready to be molded")
}

// rubberWords is the rubber without its catalogue name, which tells a client
// nothing.
func rubberWords(r *estimate.Rubber) string {
	name := r.Family.Words()
	if r.ShoreA != nil {
		return name + ", Shore A" + figure.NBSP + figure.Trimmed(*r.ShoreA, 0)
	}
	return name
}

func copiesOf(p *estimate.Plan) int {
	if p.Casting == nil || p.Casting.MoldsNeeded == nil {
		return 1
	}
	return *p.Casting.MoldsNeeded
}

// price is the table of prices and the terms.
func (q *quote) price() {
	if len(q.plans) == 0 {
		return
	}
	t := Table{Columns: []Column{{Title: "what", Wrap: true}, {Title: "quantity", Right: true}, {Title: "each", Right: true}, {Title: "amount", Right: true}}}
	var net, tax, pay, deposit money.Amount
	taxed, deposited := true, true
	currency, one := q.plans[0].Cost.Currency, true
	var valid *float64
	for _, p := range q.plans {
		c := p.Cost
		one = one && c.Currency == currency
		of := c.Offer
		n := copiesOf(p)
		t.Rows = append(t.Rows, []string{figure.Count(n, "mold", "molds") + " of " + p.Pattern.File, "", "", figure.Fixed(of.Mold.Float(), 2)})
		if of.Each != nil {
			t.Rows = append(t.Rows, []string{"castings of " + p.Pattern.File, strconv.Itoa(of.Copies), figure.Fixed(of.Each.Float(), 2), figure.Fixed((*of.Each * money.Amount(of.Copies)).Float(), 2)})
		}
		net, pay = net+of.Net, pay+of.Pay
		if of.Tax != nil {
			tax += *of.Tax
		} else {
			taxed = false
		}
		if of.Deposit != nil {
			deposit += *of.Deposit
		} else {
			deposited = false
		}
		if of.ValidDays != nil && (valid == nil || *of.ValidDays < *valid) {
			valid = of.ValidDays
		}
	}
	sec := Section{Key: "price", Title: "Price"}
	if one {
		foot := net
		if taxed {
			t.Rows = append(t.Rows, []string{"Before tax", "", "", figure.Fixed(net.Float(), 2)})
			label := "Tax"
			if r := q.plans[0].Cost.Offer.TaxPct; r != nil {
				label += ", " + figure.Trimmed(*r, 2) + figure.NBSP + "%"
			}
			t.Rows = append(t.Rows, []string{label, "", "", figure.Fixed(tax.Float(), 2)})
			foot = pay
		}
		t.Foot = []string{"Total", "", currency, figure.Fixed(foot.Float(), 2)}
		if !taxed {
			t.Note = "taxes, freight and customs are not in it"
		} else {
			t.Note = "freight and customs are not in it"
		}
		if deposited {
			sec.add(Row{Label: "Before work starts", Value: figure.Money(deposit.Float(), currency), Note: "deposit"})
		}
	} else {
		t.Note = "prices are in more than one currency and are not added up"
	}
	if valid != nil {
		sec.add(Row{Label: "Stands for", Value: figure.Count(int(*valid), "day", "days")})
	}
	sec.Tables = []Table{t}
	q.sheet.Sections = append(q.sheet.Sections, sec)
	q.basis = append(q.basis, "Prices and times rest on the file alone; they are confirmed once the pattern itself has been seen and, where its surface might hinder the rubber, a patch has been tested.")
	q.sheet.Sections = append(q.sheet.Sections, Section{Key: "basis", Title: "What it rests on", List: q.basis})
}
