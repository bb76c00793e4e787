package estimate

import (
	"reflect"
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
	Of     []string         // the patterns it holds for, where several are quoted; none = all
	Size   [3]float64       // as it was taken, mm; zero = each as it stands
	Found  *finding.Finding // the stop, or what doubts the size; nil = each of several has its own
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

// together are the reasons of several plans that make an order: the same one stands
// once, with the patterns that it holds for, and what has no price in one.
func together(plans []*Plan, c *Cost) []Unsettled {
	if len(plans) == 1 {
		return plans[0].Cost.DraftBecause
	}
	out := []Unsettled{}
	for _, p := range plans {
		for _, u := range p.Cost.DraftBecause {
			var of []string
			switch u.Why {
			case DraftWithout:
				u.Lines = nil
				for _, w := range c.Without {
					u.Lines = append(u.Lines, w.What)
				}
			case DraftExamples, DraftLabor:
			default:
				if u.Size = [3]float64{}; u.Why == DraftSize {
					u.Found = nil // each has numbers of its own
				}
				of = []string{p.Source()}
			}
			same := func(x Unsettled) bool { x.Of = nil; return reflect.DeepEqual(x, u) }
			if i := slices.IndexFunc(out, same); i >= 0 {
				out[i].Of = append(out[i].Of, of...)
				continue
			}
			u.Of = of
			out = append(out, u)
		}
	}
	for i := range out {
		if len(out[i].Of) == len(plans) {
			out[i].Of = nil
		}
	}
	return out
}

// Source is the file that a plan is of; "" where there is no pattern.
func (p *Plan) Source() string {
	if p.Pattern == nil {
		return ""
	}
	return p.Pattern.File
}
