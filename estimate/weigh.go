package estimate

import (
	"cmp"
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/rubber"
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
	job   labor.Job
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

// sizes are the largest sizes of pattern, mm, between which each kind of mold is
// usual: a mother mold for what fits in a hand is work that no price counts. Outside
// it a kind works as well, and comes after those inside. Common practice, no source.
var sizes = map[demold.Mold][2]float64{demold.Block: {0, 600}, demold.Cut: {0, 150}, demold.TwoPart: {0, 400}, demold.Blanket: {200, 1500}, demold.Brushed: {150, math.Inf(1)}}

// mostSlit is the largest pattern, mm, of which a block is usually slit: common
// practice, no source.
const mostSlit = 350

// mostRelief is the largest low relief, mm, that is usually poured over in an open box:
// its rubber goes with its face and not with its cube. Judgement of this program.
const mostRelief = 750

// usual reports whether a pattern of a size, mm, is usually molded in this way.
func (w Way) usual(size float64) bool {
	s := sizes[w.Mold]
	return size >= s[0] && size <= s[1] && !(w.Slit && size > mostSlit)
}

// mostBlind is the largest pattern, mm, that is cut out of rubber poured all round
// where two halves let go of it as well: through more rubber than round that a knife
// is not steered to where the seam should be. Judgement of this program.
const mostBlind = 50.0

// Weighed is why a method is planned, and what the next one would change.
type Weighed struct {
	First  Offered
	Second *Offered // nil = none other works
	Why    WeighedBy
}

// NextBest is what the second of the methods would change against the first.
type NextBest struct{ First, Second Offered }

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
	ByPrice                     // it costs least
	ByRisk                      // it costs least, with what it risks reckoned in
	ByHands                     // a cheaper one asks for more than hands pull
	ByCustom                    // it costs least of those that are usual for its size
	ByTrouble                   // a coat costs less, but not by as much as its shell is trouble
	BySteps                     // it costs about as much as the cheapest, in fewer steps
	ByLeastBad                  // nothing works: it fails by least
)

// weigh chooses between methods that are reckoned to the end: those that fail are
// struck out; of the rest, those that are usual for its size, the first is the one
// of the least cost and share of the pattern's value that it risks; under a tenth
// apart, that of fewer steps.
func (k *known) weigh(all []*method) *choice {
	works := slices.DeleteFunc(slices.Clone(all), func(m *method) bool { return len(m.fails) > 0 })
	value := k.value(works)
	usual := k.usual(works)
	order := slices.Clone(all)
	slices.SortStableFunc(order, func(a, b *method) int {
		return cmp.Or(cmp.Compare(min(1, len(a.fails)), min(1, len(b.fails))), // what works
			-compare(usual(a), usual(b)), cmp.Compare(len(a.fails), len(b.fails)), cmp.Compare(a.weighs(value), b.weighs(value)))
	})
	c := &choice{method: order[0]}
	switch {
	case k.job.Mold != "":
		c.method = order[slices.IndexFunc(order, func(m *method) bool { return m.way.Mold == k.job.Mold })]
		c.why.Why = ByPinned
	case len(works) == 0:
		c.why.Why = ByLeastBad
	case len(works) == 1:
		c.why.Why = ByOnlyOne
	default:
		even := slices.DeleteFunc(slices.Clone(order[:len(works)]), func(m *method) bool {
			return usual(m) != usual(order[0]) || m.weighs(value) > (1+tie)*order[0].weighs(value)
		})
		c.method = slices.MinFunc(even, func(a, b *method) int { return cmp.Compare(a.steps(), b.steps()) })
		c.why.Why = c.because(order[0], slices.DeleteFunc(works, func(m *method) bool { return m == c.method }), usual, value)
	}
	order = slices.DeleteFunc(order, func(m *method) bool { return m == c.method })
	c.why.First = c.offered()
	if len(order) > 0 && len(order[0].fails) == 0 {
		c.why.Second = new(order[0].offered())
	}
	c.all = append([]*method{c.method}, order...)
	slices.SortStableFunc(c.all[1:], func(a, b *method) int {
		return cmp.Or(cmp.Compare(min(1, len(a.fails)), min(1, len(b.fails))), cmp.Compare(a.Total, b.Total))
	})
	return c
}

// because is what decided for a method against the others that work; best is the
// one of the least weight.
func (c *choice) because(best *method, others []*method, usual func(*method) bool, value float64) WeighedBy {
	any := func(what func(*method) bool) bool { return slices.ContainsFunc(others, what) }
	cheaper := func(m *method) bool { return m.Total < c.Total }
	switch {
	case !any(cheaper):
		return ByPrice
	case !c.way.Mold.Coated() && any(func(m *method) bool {
		return m.way.Mold.Coated() && !usual(m) && m.weighs(value) < c.weighs(value)/(1+tie)
	}):
		return ByTrouble
	case c.method != best:
		return BySteps
	case any(func(m *method) bool { return usual(m) && cheaper(m) }):
		return ByRisk
	case any(func(m *method) bool { return cheaper(m) && m.overHands() }):
		return ByHands
	}
	return ByCustom
}

// usual is which of the methods that work are usual for the pattern's size; where
// none is, all are.
func (k *known) usual(works []*method) func(*method) bool {
	halves := slices.ContainsFunc(works, func(m *method) bool { return m.way.Mold == demold.TwoPart })
	var solid *float64 // what the rubber of a solid mold costs that is usual for the size
	usual := func(m *method) bool {
		switch {
		case m.fit.Kind == boxfit.Trough:
			return true // it goes by its section
		case m.overHands():
			return false // what hands get off comes first
		case m.way.Mold.Coated() && !m.shellPays(solid):
			return false
		case m.way.Mold == demold.Blanket && m.relief() && !k.job.heavy():
			return false // brushed, or in an open box, it is less work
		case m.way.Mold == demold.Block && !m.way.Slit && m.relief():
			return k.longest() <= mostRelief
		case m.way.Mold == demold.Brushed && k.job.heavy():
			return false // a heavy pour wants an even wall
		}
		// What halves do as well is not cut out of rubber blindly.
		return m.way.usual(k.longest()) && !(halves && m.way.Mold == demold.Cut && k.longest() > mostBlind)
	}
	for _, m := range works {
		if !m.way.Mold.Coated() && usual(m) && (solid == nil || m.rubberOfOne() < *solid) {
			solid = new(m.rubberOfOne())
		}
	}
	if !slices.ContainsFunc(works, usual) {
		return func(*method) bool { return true }
	}
	return usual
}

// overHands reports whether a mold that comes off whole asks for more than hands
// pull in the rubber that there is for it.
func (m *method) overHands() bool {
	f := m.rubber.Hardness.HandsForce
	return m.verdict.Answer.Whole() && f != nil && *f > rubber.HandN
}

// compare is 1, 0 or −1 as a is more, as much or less true than b.
func compare(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// value is what the pattern is worth, for weighing what is risked of it: as the
// user or the shop file says, else what its cheapest mold costs.
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
	refuses := func(r finding.Remark) bool { s, stop := r.Facts.(Stopped); return stop && refused(s.Of) }
	switch {
	case c.why.Why == ByLeastBad && len(fails) == 0 && slices.ContainsFunc(c.fails, refuses):
		// That says why already.
	case c.why.Why == ByLeastBad:
		out.Add(finding.Finding{Code: CodeNoMethod, Severity: finding.Stop, Facts: Unfit{c.way, c.fails}})
	case len(fails) > 0:
		out.Add(finding.Finding{Code: CodeUnfit, Severity: finding.Stop, Facts: Unfit{c.way, fails}})
	}
	return out
}

// spared are the refusals that the kind of mold that was asked for meets and another
// does not: they are stops of that kind, not the job's.
func (c *choice) spared() (out []finding.Code) {
	if c.why.Why != ByPinned {
		return nil
	}
	for _, f := range c.fails {
		s, stop := f.Facts.(Stopped)
		if !stop || !refused(s.Of) {
			continue
		}
		if slices.ContainsFunc(c.all, func(m *method) bool { return m.way.Mold != c.way.Mold && !m.meets(s.Of.Code) }) {
			out = append(out, s.Of.Code)
		}
	}
	return out
}

// meets reports whether a method fails by a refusal; one that takes no container
// where one was given never comes to be refused for it.
func (m *method) meets(refusal finding.Code) bool {
	return slices.ContainsFunc(m.fails, func(r finding.Remark) bool {
		if g, gate := r.Facts.(Gate); gate {
			return g.By == BoxIsAsked
		}
		s, stop := r.Facts.(Stopped)
		return stop && s.Of.Code == refusal
	})
}

func (m *method) offered() Offered {
	return Offered{m.way, m.Total, m.Days, m.Risk, m.Seam}
}

// weighs is what a method costs in molds and in the share of a pattern's value that
// it risks. Castings cost the same whichever mold they come from: were they in it,
// two methods would come closer the more are cast.
func (m *method) weighs(value float64) float64 {
	return m.Weighed(value) - m.CastingLabor - m.CastingMaterial
}

// shellSaves is how much rubber, kg of the nominal price, a coat has to save for its
// shell: a second mold to draw, to store and to close for every casting, which no
// minutes count. A figure two fifths as wide and deep as it is tall saves so much from
// 325 mm on, in the middle of where blocks usually give way to blankets; what is slender
// saves it later, what takes halves far larger than itself earlier, and so does dearer
// rubber. Judgement of this program.
const shellSaves = 5.4

// shellPays reports whether a coat saves enough against the solid molds of a pattern,
// of which the one of the least rubber costs so much of it; nil = none serves.
func (m *method) shellPays(solid *float64) bool {
	return solid == nil || *solid-m.rubberOfOne() >= shellSaves*labor.NominalRubber
}

// rubberOfOne is what the rubber of one mold costs.
func (m *method) rubberOfOne() float64 { return m.RubberCost / max(1, float64(m.Molds)) }

// steps is how many things are done for a method, one after the other; the first
// coat and those that follow are two.
func (m *method) steps() (n float64) {
	for _, l := range m.Lines {
		if l.Task == labor.Coating {
			n += 2
			continue
		}
		n += max(1, l.Times)
	}
	return n
}
