package render

import (
	"reflect"
	"strconv"
	"strings"

	"moldtally/estimate"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// QuoteOptions says how to word a quote. Full adds what is not for the client: every
// line of the cost, with rates, overhead and margin.
type QuoteOptions struct {
	SheetOptions
	Full bool
}

// NewQuote words priced plans as the letter that a client is sent: what is made and
// from what, what it costs, what is not in it, when it is done, how long the offer
// holds and what it rests on. It shows no rates, overhead or margin. A draft says so,
// and why, before all else. Entries without a plan or a price are listed as not
// quoted.
func NewQuote(entries []Entry, o QuoteOptions) *Sheet {
	if o.System != unit.Metric && o.System != unit.US {
		o.System = unit.Both
	}
	q := &quote{sheet: &Sheet{}, w: &wording{Units: figure.Units{System: o.System}}, many: len(entries) > 1}
	s := q.sheet
	var plans []*estimate.Plan
	for _, e := range entries {
		if e.Plan != nil {
			s.Maker = figure.Join(" ", e.Plan.Tool, e.Plan.Version)
			if q.letter == nil {
				q.letter = e.Plan.Letter
			}
		}
		switch {
		case e.Plan == nil:
			what := e.Error
			if !strings.HasPrefix(what, e.File) {
				what = figure.Join(": ", e.File, what)
			}
			q.missing = append(q.missing, figure.Sentence(what))
		case e.Plan.Refused():
			q.refuse(e.Plan)
		case e.Plan.Cost == nil:
			q.missing = append(q.missing, figure.Sentence(e.Plan.Pattern.File+": no price is known"))
		default:
			plans = append(plans, e.Plan)
		}
	}
	s.Title = "Quote for " + figure.Count(len(entries), "pattern", "patterns")
	if n := len(q.missing); n > 0 && len(plans) > 0 {
		s.Title = "Quote for " + strconv.Itoa(len(plans)) + " of " + figure.Count(len(entries), "pattern", "patterns")
	}
	if len(entries) == 1 {
		s.Title = "Quote: " + entries[0].File
	}
	s.Letter = letterOf(q.letter)
	if q.order = estimate.OrderOf(plans); q.order != nil {
		q.write(o.Full)
	}
	if len(q.missing) > 0 {
		s.Sections = append(s.Sections, Section{Key: "failed", Title: "Not quoted", Tone: Bad, List: q.missing})
	}
	printable(reflect.ValueOf(s).Elem())
	return s
}

type quote struct {
	sheet   *Sheet
	w       *wording
	order   *estimate.Order
	missing []string
	many    bool // patterns were asked about
	letter  *estimate.Letter
}

// refuse says first of all that a pattern's job is not done, and what would make
// it one that is.
func (q *quote) refuse(p *estimate.Plan) {
	a := (&wording{Units: q.w.Units, plan: p}).answer(false)
	if q.many {
		a.Text = p.Pattern.File + ": " + a.Text
	}
	q.sheet.Answer.Text, q.sheet.Answer.Tone = figure.Join(" ", q.sheet.Answer.Text, a.Text), a.Tone
	q.missing = append(q.missing, figure.Sentence(p.Pattern.File+": no mold is offered"))
}

// write is the letter.
func (q *quote) write(full bool) {
	s, c := q.sheet, q.order.Cost
	if c.Draft {
		s.Verdict, s.Mark = Line{"Draft, not to be sent out yet", Care}, "DRAFT"
		for _, u := range c.DraftBecause {
			s.Because = append(s.Because, figure.Sentence(q.w.say(u)))
		}
	}
	if len(q.order.Plans) == 1 {
		s.Sections = append(s.Sections, q.made(q.order.Plans[0]))
	} else {
		s.Sections = append(s.Sections, q.allMade())
	}
	s.Sections = append(s.Sections, q.price())
	if pay := q.payment(); len(pay.Rows) > 0 {
		s.Sections = append(s.Sections, pay)
	}
	more := Section{Key: "breaks", Title: "For another number of castings", List: q.pays()}
	if b := breaks(c); b != nil {
		b.Caption = ""
		more.Tables = []Table{*b}
	}
	if len(more.Tables)+len(more.List) > 0 {
		s.Sections = append(s.Sections, more)
	}
	s.Sections = append(s.Sections, q.when(), q.without(), q.basis())
	if full {
		s.Sections = append(s.Sections, q.w.reckoning(c, "How it is reckoned (for the shop, not for the client)"))
	}
}

// made is what is made of one pattern, and from what.
func (q *quote) made(p *estimate.Plan) Section {
	w := q.w
	sec := Section{Key: "offer", Title: "What is made"}
	if p.Patterns != nil {
		for _, m := range *p.Patterns {
			one := func(l float64) figure.Quantity { return figure.Length(l, SizeStep(m.Size)) }
			sec.add(w.row(m.File+", x × y × z", figure.Sizes(m.Size[:], one), figure.Count(m.Count, "cavity", "cavities")+" in the mold"))
		}
	} else {
		sec.add(w.row("Pattern, x × y × z", sizeOf(p), ""))
	}
	sec.add(Row{Label: "Mold", Value: figure.Capital(moldOf(p))})
	c := p.Casting
	if c == nil {
		return sec
	}
	sec.add(Row{Label: "Castings", Value: castingsOf(p)})
	if c.Mass != nil {
		one := "One casting weighs"
		if c.Cavities > 1 {
			one = "All of one pour weigh"
		}
		sec.add(w.row(one, figure.About(figure.Mass, *c.Mass, 0.005), "about"))
	}
	if c.PullsLow != nil && c.PullsHigh != nil {
		n := max(1, c.Cavities)
		sec.add(Row{Label: "One mold gives", Value: within(*c.PullsLow*n, *c.PullsHigh*n), Note: "depends on release, heat and care; reckoned with the fewest"})
	}
	if c.Shrinkage != nil && *c.Shrinkage > 0 {
		sec.add(Row{Label: "Castings are smaller by", Value: figure.Trimmed(*c.Shrinkage, 2), Unit: "%", Note: "in length, than the pattern"})
	}
	return sec
}

// within is a range of castings, or the one number.
func within(low, high int) string {
	if low == high {
		return figure.Count(low, "casting", "castings")
	}
	return figure.Fixed(float64(low), 0) + " to " + figure.Count(high, "casting", "castings")
}

// allMade is what is made of several patterns, a line each.
func (q *quote) allMade() Section {
	t := Table{Columns: []Column{{Title: "pattern", Wrap: true}, {Title: "size, x × y × z", Right: true}, {Title: "mold", Wrap: true}, {Title: "castings", Wrap: true}}}
	for _, p := range q.order.Plans {
		cast := "none"
		if p.Casting != nil {
			cast = castingsOf(p)
		}
		size := sizeOf(p)
		at := size.Metric()
		if q.w.System == unit.US {
			at = size.US()
		}
		t.Rows = append(t.Rows, []string{p.Pattern.File, at, moldOf(p), cast})
	}
	return Section{Key: "offer", Title: "What is made", Tables: []Table{t}}
}

func sizeOf(p *estimate.Plan) figure.Quantity {
	return figure.Sizes(p.Pattern.Size[:], func(l float64) figure.Quantity { return figure.Length(l, SizeStep(p.Pattern.Size)) })
}

// moldOf is what the mold is, how many of it, and of which rubber, without the name
// of a catalogue, which tells a client nothing.
func moldOf(p *estimate.Plan) string {
	s := ""
	if n := p.Cost.Offer.Molds; n > 1 {
		s = figure.Count(n, "mold", "molds") + ", each "
	}
	if g := p.Gang; g != nil {
		s += words.MethodName(p.Container.Mold, false) + " of " + strconv.Itoa(g.Cavities) + " cavities"
	} else if m := p.Methods; m != nil && len(*m) > 0 {
		s += words.MethodName((*m)[0].Mold, (*m)[0].Slit != nil && *(*m)[0].Slit)
	}
	r := p.Rubber
	if r == nil {
		return s
	}
	s += ", " + r.Family.Words()
	if r.ShoreA != nil {
		s += ", Shore A" + figure.NBSP + figure.Trimmed(*r.ShoreA, 0)
	}
	return s
}

// castingsOf is how many castings of what.
func castingsOf(p *estimate.Plan) string {
	n := p.Casting.Material
	if c := p.Cost.Breaks; len(c) > 0 {
		n = figure.Count(c[len(c)-1].Copies, "casting", "castings") + " in " + n
	}
	return n
}

// each says something of every pattern: what is so of all stands once, and what is so
// of some with their names.
func (q *quote) each(say func(p *estimate.Plan) []string) (list []string) {
	files := map[string][]string{}
	for _, p := range q.order.Plans {
		for _, s := range say(p) {
			if files[s] == nil {
				list = append(list, s)
			}
			files[s] = append(files[s], p.Pattern.File)
		}
	}
	for i, s := range list {
		if len(files[s]) == len(q.order.Plans) {
			list[i] = figure.Sentence(figure.Capital(s))
			continue
		}
		list[i] = figure.Sentence(words.Several(files[s]) + ": " + s)
	}
	return list
}

// pays is where another method, rubber or mold would pay.
func (q *quote) pays() []string {
	return q.each(func(p *estimate.Plan) (list []string) {
		for _, x := range p.Cost.Pays {
			list = append(list, q.w.say(x))
		}
		return list
	})
}

// basis is what the offer rests on.
func (q *quote) basis() Section {
	sec := Section{Key: "basis", Title: "What it rests on"}
	switch plans := q.order.Plans; {
	case len(plans) > 1 || plans[0].Patterns != nil:
		sec.List = append(sec.List, "The patterns arrive sound, in the sizes above, and ready to be molded.")
	default:
		sec.List = append(sec.List, figure.Sentence("The pattern arrives sound, "+q.size(plans[0])+" in size, and ready to be molded"))
	}
	sec.List = append(sec.List, q.each(func(p *estimate.Plan) (list []string) {
		if m := p.Methods; m != nil && len(*m) > 0 {
			for _, r := range (*m)[0].Risks {
				list = append(list, "what the mold does to the pattern, and shows on castings: "+q.w.say(r))
			}
		}
		return list
	})...)
	sec.List = append(sec.List,
		"Prices and times rest on the file alone; they are confirmed once the pattern itself has been seen and, where its surface might hinder the rubber, a patch has been tested.",
		"To be agreed before work starts: who keeps the mold and for how long, and who bears what may happen to the pattern.")
	return sec
}

// size is a pattern's size in words.
func (q *quote) size(p *estimate.Plan) string {
	if q.w.System == unit.US {
		return sizeOf(p).US()
	}
	return sizeOf(p).Metric()
}
