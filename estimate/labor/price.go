package labor

import "math"

// Nominal prices, in the shop's currency whatever it is, where the shop states
// none: for choosing between methods only, never to be shown. Judgements of this
// program.
const (
	NominalRubber = 25.0 // a kilogram
	NominalLabor  = 40.0 // an hour
	NominalShell  = 3.0  // a kilogram
)

// Prices are a shop's; nil = not stated.
type Prices struct {
	Rubber, Shell *float64 // a kilogram
	Labor         *float64 // an hour
}

// or is a price, or the nominal one; nominal is set where that is used for some
// quantity.
func or(p *float64, instead, quantity float64, nominal *bool) float64 {
	if p != nil {
		return *p
	}
	*nominal = *nominal || quantity > 0
	return instead
}

// Job is a work with what it takes, for a number of castings.
type Job struct {
	Work   Work
	Prices Prices

	Rubber, Shell float64 // of one mold, with what is wasted, g
	Sundries      float64 // of one mold: release, cups, gloves
	Container     float64 // of the box, which serves for every mold of the pattern

	Copies     int      // castings that are wanted; 0 = none are made
	Life       int      // the fewest castings that the rubber gives in each cavity, before the method's factor; 0 = not known
	Cure       float64  // of a casting until it is taken out, min
	Hot        bool     // the casting heats the mold
	Within     int      // working days for the castings; 0 = no delivery is asked for
	Material   float64  // of one casting, money; 0 also where it is not known
	PerCasting *float64 // the shop's own hours for one casting; nil = not stated
}

// Cost is what a job comes to, in the currency of its prices.
type Cost struct {
	Reckoned
	Molds, Made    int     // molds, and castings with those that do not turn out
	Life           int     // of one mold, castings; 0 = not known
	PerDay         float64 // castings of one mold
	CastingDays    int
	MoldMinutes    float64 // for all molds
	CastingMinutes float64 // for all castings

	RubberCost, ShellCost, OtherCost, MoldLabor, CastingLabor, CastingMaterial float64
	Total                                                                      float64

	// Nominal says that a nominal price is in the total: it serves for choosing only.
	Nominal bool
}

// LaborMinutes are those of molds and castings together.
func (c Cost) LaborMinutes() float64 { return c.MoldMinutes + c.CastingMinutes }

// Weighed is the total with the share of a pattern's value that is at risk: the
// least of it is the first choice.
func (c Cost) Weighed(value float64) float64 {
	return c.Total + float64(c.Risk.Share()*max(value, 0))
}

// Price says what a job costs: molds, each with its rubber, shell and hours, and
// castings. Planning, sealing and the box are paid once, however many molds there
// are.
func Price(j Job) Cost {
	w := j.Work
	c := Cost{Reckoned: Reckon(w), Molds: 1}
	c.Life = Shortened(j.Life, c.Reckoned.Life) * max(w.Cavities, 1)
	size, _ := ClassOf(w.Longest)
	r := CastingOf(size, j.Cure)
	r.Hot, r.Cavities = j.Hot, w.Cavities
	c.PerDay = r.PerDay()
	if j.Copies > 0 {
		c.Made = Filled(Made(j.Copies, Scrap), w.Cavities)
		c.Molds = Molds(c.Made, c.Life, c.PerDay, j.Within)
		c.CastingDays = CastingDays(c.Made, c.Molds, c.PerDay)
	}
	molds, made := float64(c.Molds), float64(c.Made)
	c.MoldMinutes = c.Minutes + float64((molds-1)*c.Again)
	each := r.Hands() / float64(max(w.Cavities, 1))
	if j.PerCasting != nil {
		each = 60 * *j.PerCasting
	}
	c.CastingMinutes = made * each

	hour := or(j.Prices.Labor, NominalLabor, c.LaborMinutes(), &c.Nominal)
	c.RubberCost = molds * j.Rubber / 1000 * or(j.Prices.Rubber, NominalRubber, j.Rubber, &c.Nominal)
	c.ShellCost = molds * j.Shell / 1000 * or(j.Prices.Shell, NominalShell, j.Shell, &c.Nominal)
	c.OtherCost = float64(molds*j.Sundries) + j.Container
	c.MoldLabor = c.MoldMinutes / 60 * hour
	c.CastingLabor = c.CastingMinutes / 60 * hour
	c.CastingMaterial = made * j.Material
	c.Total = c.RubberCost + c.ShellCost + c.OtherCost + c.MoldLabor + c.CastingLabor + c.CastingMaterial
	return c
}

// UnitPrice is what one of n castings is sold for: (F + C·⌈n/life⌉ + n·c)/(n(1 − g))
// with setup F, C for each mold, c for each casting, and a margin g, a share under 1
// of the price. It jumps past each life. n under 1 is one; a life of 0 is one mold.
func UnitPrice(setup, mold, casting float64, n, life int, margin float64) float64 {
	n = max(n, 1)
	sum := setup + float64(mold*float64(Molds(n, life, 0, 0))) + float64(float64(n)*casting)
	return sum / (float64(n) * (1 - math.Min(math.Max(margin, 0), 0.99)))
}
