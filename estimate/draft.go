package estimate

import (
	"slices"

	"moldtally/mesh/finding"
)

// Unpriced is a line of a bill that has no price: of which pattern, where there are
// several, and what.
type Unpriced struct {
	Of   string
	What Bought
}

// Unsettled is one reason why a quote is a draft.
type Unsettled struct {
	Why    DraftWhy
	Of     string           // the pattern, where there are several
	Size   [3]float64       // as it was taken, mm
	Found  *finding.Finding // the stop, or what doubts the size
	Rubber string
	Lines  []Bought // without a price
}

// DraftWhy is what makes a quote a draft.
type DraftWhy int

// What makes a quote a draft.
const (
	DraftUnits DraftWhy = iota // the file states no unit
	DraftSize
	DraftStop
	DraftWithout
	DraftStock // the rubber is the catalogue's
	DraftExamples
	DraftLabor
	DraftCastings
)

// missing is what a bill has no price of, as its prices tell.
type missing struct{ labor, castings, examples bool }

// unsettled are the reasons why what a plan asks of a client is a draft; none = it
// is none.
func (p *Plan) unsettled(src Source) []Unsettled {
	out := []Unsettled{}
	if p.Pattern != nil {
		if src.UnitsFrom == UnitsAssumed {
			out = append(out, Unsettled{Why: DraftUnits, Size: p.Pattern.Size})
		}
		for _, f := range p.Warnings {
			if f.Code == CodeUnitDoubtful || f.Code == CodeDunked {
				out = append(out, Unsettled{Why: DraftSize, Size: p.Pattern.Size, Found: &f})
			}
		}
	}
	for _, f := range p.Warnings {
		if f.Severity == finding.Stop {
			out = append(out, Unsettled{Why: DraftStop, Found: &f})
		}
	}
	c := p.Cost
	if len(c.Without) > 0 {
		u := Unsettled{Why: DraftWithout}
		for _, w := range c.Without {
			u.Lines = append(u.Lines, w.What)
		}
		out = append(out, u)
	}
	if r := p.Rubber; r != nil && !r.Owned {
		out = append(out, Unsettled{Why: DraftStock, Rubber: r.Name})
	}
	for _, x := range []struct {
		so  bool
		why DraftWhy
	}{{c.unpriced.examples, DraftExamples}, {c.unpriced.labor, DraftLabor}, {c.unpriced.castings, DraftCastings}} {
		if x.so {
			out = append(out, Unsettled{Why: x.why})
		}
	}
	return out
}

// together are the reasons of several plans: what holds of all alike stands once.
func together(plans []*Plan) []Unsettled {
	out := []Unsettled{}
	for _, p := range plans {
		for _, u := range p.Cost.DraftBecause {
			switch u.Why {
			case DraftExamples, DraftLabor:
				if slices.ContainsFunc(out, func(x Unsettled) bool { return x.Why == u.Why }) {
					continue
				}
			default:
				if len(plans) > 1 && p.Pattern != nil {
					u.Of = p.Pattern.File
				}
			}
			out = append(out, u)
		}
	}
	return out
}
