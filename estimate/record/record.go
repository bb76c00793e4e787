// Package record is what a shop's pours really took: a plain log, and the figures
// of the shop's own that it gives in place of usual ones.
//
// A log is a file of comma-separated values with a heading, one line for a pour,
// kept beside the shop file; it may be read and mended in any spreadsheet. Two
// figures come out of it, each only from Enough pours: how much more rubber than
// the mold holds is to be mixed ([Log.Loss]), and how a mold's castings compare
// with the usual number ([Log.Wear]). Neither is the mean: half of all pours take
// more than their mean, and a pour that runs out of rubber is lost.
package record

import (
	"cmp"
	"math"
	"slices"
)

// Judgements of this program: how few pours say something, how many of the last
// are asked, and of how many in ten the figure taken is true.
const (
	Enough   = 5
	Latest   = 20
	InTen    = 8
	MostLoss = 2.0 // a share; plans allow for no more

	// Outside them a pour was hardly of that plan: another size, another mold.
	OddLow, OddHigh = -0.2, 0.5
)

// Pour is one pour as it was planned, and what it took. Masses g.
type Pour struct {
	Date    string // as given, 2026-03-09; "" = not said
	File    string // of the pattern
	Mold    string // a kind of mold, as --mold names it
	Rubber  string
	Family  string
	Needed  float64 // what the mold holds by the plan, at the least displaced volume
	ToMix   float64 // what the plan told to mix
	Mixed   float64 // what was mixed; 0 = not said
	Left    float64 // of that, what was left over
	Cast    string  // the casting material; "" = none
	Asked   int     // castings that were wanted; 0 = not said
	Usual   int     // castings that such a mold usually gives; 0 = not known
	Made    int     // castings that it gave; 0 = not said
	WornOut bool    // and then it was worn out
}

// Brushed reports whether the rubber was brushed on.
func (p Pour) Brushed() bool { return p.Mold == "brushed" }

// Loss is what went beyond what the mold holds, as a share of that; under 0 the
// mold held less than was planned. It covers spills, cups, leaks and what the
// planned volume was wrong by.
func (p Pour) Loss() float64 { return (p.Mixed-p.Left)/p.Needed - 1 }

// Odd reports whether the pour took so much or so little that it was hardly the
// planned one.
func (p Pour) Odd() bool { return p.Mixed > 0 && (p.Loss() < OddLow || p.Loss() > OddHigh) }

// Ended reports whether the castings made say how long the mold lasted: it was
// worn out, or the run ended elsewhere than at the number that was wanted. A mold
// that gave just what was wanted may be as good as new.
func (p Pour) Ended() bool {
	return p.Made > 0 && (p.WornOut || p.Asked > 0 && p.Made != p.Asked)
}

// Log is every pour on record, oldest first.
type Log []Pour

// Loss is the share of loss that InTen of ten of the shop's latest pours stayed
// within, poured or brushed, and of how many pours; none under Enough.
func (l Log) Loss(brushed bool) (share float64, of int) {
	var all []float64
	for _, p := range l {
		if p.Mixed > 0 && p.Brushed() == brushed {
			all = append(all, min(MostLoss, max(0, p.Loss())))
		}
	}
	all = latest(all)
	if len(all) < Enough {
		return 0, 0
	}
	return rank(all, InTen), len(all)
}

// Wear is how many castings the shop's molds give, in parts of what is usual for
// such a mold: InTen of ten gave Low, half of them Mid, and InTen of ten no more
// than High.
type Wear struct {
	Low, Mid, High float64
	Of             int // molds
}

// Wear is that of a casting material in a family of rubber; none under Enough.
func (l Log) Wear(cast, family string) (Wear, bool) {
	var all []float64
	for _, p := range l {
		if p.Cast == cast && p.Family == family && p.Usual > 0 && p.Ended() {
			all = append(all, float64(p.Made)/float64(p.Usual))
		}
	}
	all = latest(all)
	if len(all) < Enough {
		return Wear{}, false
	}
	return Wear{Low: rank(all, 10-InTen), Mid: rank(all, 5), High: rank(all, InTen), Of: len(all)}, true
}

// latest are the last of them.
func latest(all []float64) []float64 { return all[max(0, len(all)-Latest):] }

// rank is the least of them that so many in ten do not exceed.
func rank(all []float64, inTen int) float64 {
	s := slices.Sorted(slices.Values(all))
	i := int(math.Ceil(float64(len(s)*inTen)/10)) - 1
	return s[max(0, i)]
}

// Worn is what a casting material does to molds of a family of rubber.
type Worn struct {
	Cast, Family string
	Wear
}

// Wears are all that are known, by name.
func (l Log) Wears() []Worn {
	var all []Worn
	for _, p := range l {
		same := func(w Worn) bool { return w.Cast == p.Cast && w.Family == p.Family }
		if w, ok := l.Wear(p.Cast, p.Family); ok && !slices.ContainsFunc(all, same) {
			all = append(all, Worn{p.Cast, p.Family, w})
		}
	}
	slices.SortFunc(all, func(a, b Worn) int {
		return cmp.Or(cmp.Compare(a.Cast, b.Cast), cmp.Compare(a.Family, b.Family))
	})
	return all
}
