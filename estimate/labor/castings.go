package labor

import (
	"math"
	"sort"
)

// Constants of a day of casting. Judgements of this program.
const (
	dayMinutes   = 480.0 // a working day
	longestNight = 960.0 // a cure over this is not done by the next morning
	hotADay      = 6     // castings of a hot resin that a mold is given in a day
	gangMinutes  = 2.0   // more, to fill and to demold, for each cavity of a gang
	// Scrap is the share of castings that do not turn out.
	Scrap = 0.05
)

// Round is one filling of a mold, in minutes.
type Round struct {
	Fill, Cure, Demold float64
	Hot                bool // the casting heats the mold: it has to cool between castings
	Cavities           int  // of the mold; 0 = 1
}

// Hands are the minutes to fill and to demold all cavities.
func (r Round) Hands() float64 {
	h := max(r.Fill, 0) + max(r.Demold, 0)
	if r.Cavities > 1 {
		h += 2 * float64(gangMinutes*float64(r.Cavities))
	}
	return h
}

// PerDay is how many castings a mold gives in a working day, of which the last one
// cures overnight: ⌊(T − d − f)/(f + c + d)⌋ + 1 for each cavity. What needs longer
// than a night is had every second day, and where hands alone need longer than a
// day, less than one a day.
func (r Round) PerDay() float64 {
	n, hands := float64(max(r.Cavities, 1)), r.Hands()
	if !(hands < dayMinutes) {
		return n * dayMinutes / max(hands, 1)
	}
	if r.Cure > longestNight {
		return n / 2
	}
	k := math.Floor((dayMinutes-hands)/max(hands+max(r.Cure, 0), 1)) + 1
	if r.Hot {
		k = min(k, hotADay)
	}
	return n * k
}

// CastingOf is how a round goes by hand for a mold of a class: filling takes what
// pouring the mold takes, and demolding what its pattern takes. cure is in minutes.
// Judgement of this program.
func CastingOf(c Class, cure float64) Round {
	return Round{Fill: Pouring.Of(c), Cure: cure, Demold: Demolding.Of(c)}
}

// ceil rounds up what is not a whole number but for rounding.
func ceil(x float64) int { return int(math.Ceil(x - 1e-9)) }

// Made is how many castings are made so that copies of them turn out; scrap is a
// share under 1.
func Made(copies int, scrap float64) int {
	if !(scrap > 0 && scrap < 1) {
		return max(copies, 0)
	}
	return ceil(float64(max(copies, 0)) / (1 - scrap))
}

// Filled is how many castings are made where each pour of a mold fills all of its
// cavities; 0 = 1.
func Filled(made, cavities int) int {
	n := max(cavities, 1)
	return (made + n - 1) / n * n
}

// Molds is how many molds some castings take, at least one: by the fewest that a
// mold gives (0 = not known), and where they have to be done in some days (0 = no
// delivery is asked for) by what a mold gives in a day.
func Molds(made, life int, perDay float64, days int) int {
	n := 1
	if life > 0 {
		n = max(n, ceil(float64(made)/float64(life)))
	}
	if days > 0 && perDay > 0 {
		n = max(n, ceil(float64(made)/(perDay*float64(days))))
	}
	return n
}

// Shortened is a mold's life in castings by a method's factor, at least one; 0 =
// not known.
func Shortened(life int, factor float64) int {
	if life <= 0 {
		return 0
	}
	return max(1, int(math.Floor(float64(life)*factor+1e-9)))
}

// CastingDays is how many working days some castings take in some molds.
func CastingDays(made, molds int, perDay float64) int {
	if made <= 0 || !(perDay > 0) {
		return 0
	}
	return ceil(float64(made) / (perDay * float64(max(molds, 1))))
}

// Delivery is how many working days some castings and their molds take together.
// The first mold may be cast in after first days, each further one of the same
// pattern as many days less one after the one before: it is begun on the day that
// that is opened. A mold gives what a round lets it in a day until its life (0 = not
// known) is over, and all of them no more than one pair of hands fills and empties.
// Judgement of this program.
func Delivery(first, made, molds, life int, r Round) int {
	first, molds = max(first, 1), max(molds, 1)
	later := max(1, first-1)
	if made <= 0 {
		return first + (molds-1)*later
	}
	perDay := r.PerDay()
	hands := math.Max(perDay, math.Floor(dayMinutes*float64(max(r.Cavities, 1))/math.Max(r.Hands(), 1)))
	enough := func(days int) bool { // of casting, once the first mold is ready
		cast := 0.0
		for i := 0; i < molds && days > i*later; i++ {
			n := math.Floor(float64(perDay*float64(days-i*later)) + 1e-9)
			if life > 0 {
				n = min(n, float64(life))
			}
			cast += n
		}
		return min(cast, math.Floor(float64(hands*float64(days))+1e-9)) >= float64(made)
	}
	most := 1
	for !enough(most) && most < 1<<30 {
		most *= 2
	}
	return first + sort.Search(most, enough)
}
