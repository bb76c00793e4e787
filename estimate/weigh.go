package estimate

import (
	"cmp"
	"slices"

	"moldtally/estimate/labor"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// Basis says where the prices come from that a method is weighed by.
type Basis string

// The bases.
const (
	ShopPrices    Basis = "shop"    // all of them stand in the shop file, or were given
	NominalPrices Basis = "nominal" // at least one is a usual one, for choosing alone
)

// weight is what a method is weighed by: the cost of all molds of the run and
// their castings, in the shop's currency, with labor, days and risk.
type weight struct {
	labor.Cost
	work  labor.Work
	once  float64 // of one mold alone
	fails []finding.Remark
	risks []finding.Remark
}

// basis is where a weight's prices come from.
func (w weight) basis() Basis {
	if w.Nominal {
		return NominalPrices
	}
	return ShopPrices
}

// tie is how far apart, as a share, two methods cost the same: the one with fewer
// steps is then taken. Judgement of this program.
const tie = 0.10

// mostBlind is the largest pattern, mm, that is cut out of rubber poured all round
// where two halves let go of it as well: through more rubber than round that a knife
// is not steered to where the seam should be. Judgement of this program.
const mostBlind = 50.0

// Weighed is why a method is planned, and what the next one would change.
type Weighed struct {
	First  Offered
	Second *Offered // nil = none other works
	Why    WeighedBy
	Risked bool // what is risked of the pattern decided, and not the price alone
}

// Offered is a method as it is weighed.
type Offered struct {
	Way
	Cost float64
	Days labor.Days
	Risk labor.Risk
	Seam labor.Seam
}

// WeighedBy is what decided between methods.
type WeighedBy int

// What can decide.
const (
	ByPinned   WeighedBy = iota // the user asked for it
	ByOnlyOne                   // nothing else works
	ByPrice                     // it costs least, what it risks reckoned in
	BySteps                     // it costs about as much as the cheapest, in fewer steps
	ByLeastBad                  // nothing works: it fails by least
)

// weigh chooses between methods that are reckoned to the end: those that fail are
// struck out; of the rest the first is the one of the least cost and share of the
// pattern's value that it risks; under a tenth apart, that of fewer steps.
func (k *known) weigh(all []*method) *choice {
	works := slices.DeleteFunc(slices.Clone(all), func(m *method) bool { return len(m.fails) > 0 })
	fails := slices.DeleteFunc(slices.Clone(all), func(m *method) bool { return len(m.fails) == 0 })
	value := k.value(works)
	var blinds []*method
	if slices.ContainsFunc(works, func(m *method) bool { return m.way.Mold == demold.TwoPart }) {
		// What halves do as well is not cut out of rubber blindly.
		blind := func(m *method) bool { return m.way.Mold == demold.Cut && k.longest() > mostBlind }
		works, blinds = slices.DeleteFunc(slices.Clone(works), blind), slices.DeleteFunc(works, func(m *method) bool { return !blind(m) })
	}
	weight := func(m *method) float64 { return m.Weighed(value) }
	byWeight := func(a, b *method) int { return cmp.Compare(weight(a), weight(b)) }
	slices.SortStableFunc(works, byWeight)
	slices.SortStableFunc(blinds, byWeight)
	slices.SortStableFunc(fails, func(a, b *method) int {
		return cmp.Or(cmp.Compare(len(a.fails), len(b.fails)), byWeight(a, b))
	})
	c := &choice{}
	pinned := func(m *method) bool { return m.way.Mold == k.job.Mold }
	switch list := slices.Concat(works, blinds, fails); {
	case k.job.Mold != "":
		c.method, c.why.Why = list[slices.IndexFunc(list, pinned)], ByPinned
	case len(works) == 0:
		c.method, c.why.Why = fails[0], ByLeastBad
	default:
		near := func(m *method) bool { return weight(m) > (1+tie)*weight(works[0]) }
		even := slices.DeleteFunc(slices.Clone(works), near)
		c.method = slices.MinFunc(even, func(a, b *method) int { return cmp.Compare(a.steps(), b.steps()) })
		switch {
		case len(works)+len(blinds) == 1:
			c.why.Why = ByOnlyOne
		case c.method == works[0]:
			c.why.Why = ByPrice
			c.why.Risked = slices.ContainsFunc(works, func(m *method) bool { return m.Total < c.Total })
		default:
			c.why.Why = BySteps
		}
	}
	c.all = append([]*method{c.method}, slices.DeleteFunc(slices.Concat(works, blinds, fails), func(m *method) bool { return m == c.method })...)
	c.why.First = c.method.offered()
	if n := slices.IndexFunc(c.all[1:], func(m *method) bool { return len(m.fails) == 0 }); n >= 0 {
		o := c.all[1+n].offered()
		c.why.Second = &o
	}
	return c
}

// value is what the pattern is worth, for weighing what is risked of it: as the
// user says, else what its cheapest mold costs.
func (k *known) value(works []*method) float64 {
	if v := k.job.PatternValue; v != nil {
		return v.Float()
	}
	least := 0.0
	for i, m := range works {
		if i == 0 || m.once < least {
			least = m.once
		}
	}
	return least
}

// unfit tells what the method fails by, where it is planned all the same: because
// it was asked for, or because nothing works. What is a stop of its own is not told
// twice.
func (c *choice) unfit() (out finding.List) {
	fails := slices.DeleteFunc(slices.Clone(c.fails), func(r finding.Remark) bool { _, told := r.Facts.(Stopped); return told })
	switch {
	case c.why.Why == ByLeastBad:
		out.Add(finding.Finding{Code: CodeNoMethod, Severity: finding.Stop, Facts: Unfit{c.way, c.fails}})
	case len(fails) > 0:
		out.Add(finding.Finding{Code: CodeUnfit, Severity: finding.Stop, Facts: Unfit{c.way, fails}})
	}
	return out
}

func (m *method) offered() Offered {
	return Offered{m.way, m.Total, m.Days, m.Risk, m.Seam}
}

// steps is how many things are done for a method, one after the other.
func (m *method) steps() (n float64) {
	for _, l := range m.Lines {
		n += max(1, l.Times)
	}
	return n
}
