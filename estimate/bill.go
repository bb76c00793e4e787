package estimate

import (
	"math"

	"moldtally/estimate/money"
	"moldtally/mesh/unit"
)

// Offer is what a client is asked to pay for one pattern: the price of its molds,
// once, and of each casting, with overhead, markup and margin inside and nothing of
// how they came about. Molds and castings add up to the net price to the cent.
type Offer struct {
	Mold      money.Amount  `json:"mold_price"` // of all molds of the pattern
	Molds     int           `json:"molds"`
	Each      *money.Amount `json:"casting_price"` // nil = no castings are offered
	Copies    int           `json:"copies"`
	Net       money.Amount  `json:"net"`
	Tax       *money.Amount `json:"tax"` // on top of net; nil = the shop file states none
	TaxPct    *float64      `json:"tax_pct"`
	Pay       money.Amount  `json:"to_pay"` // net and tax
	Deposit   *money.Amount `json:"deposit"`
	ValidDays *float64      `json:"valid_days"`
}

// Rounding is how amounts are rounded: each line to the currency's smallest coin,
// half up.
type Rounding struct{}

// purchase is the rubber of a bill: what it comes to (nil = it has no price), the
// kits that are bought and what is left over of them, g (nil = none are).
type purchase struct {
	cost *money.Amount
	kits []Kit
	left *float64
}

// bill gathers lines; each is rounded, and sums are of the rounded lines. The first
// error stays.
type bill struct {
	currency money.Currency
	lines    []CostLine
	err      error
}

// add writes a line and returns its amount, 0 where it has no price. Nothing of
// something is no line.
func (b *bill) add(of string, n Need) (amount money.Amount) {
	if b.err != nil || !(n.Quantity > 0) {
		return 0
	}
	l := CostLine{For: of, What: n.What, Quantity: n.Quantity, Unit: n.Unit, UnitPrice: n.Price}
	if n.Price != nil {
		if amount, b.err = n.Price.Times(n.Quantity); b.err != nil {
			return 0
		}
		amount = b.currency.Round(amount)
		l.Amount = &amount
	}
	b.lines = append(b.lines, l)
	return amount
}

// rubber puts rubber on the bill: what is on the shelf at what it costs to buy
// again, the rest by the kilogram or in kits; used says that only what is used of
// kits is charged.
func (b *bill) rubber(of string, r RubberNeed, used bool) (p purchase) {
	buy, shelf := r.Mass, 0.0
	if r.Left != nil {
		shelf = min(buy, max(0, *r.Left))
		buy -= shelf
	}
	from := len(b.lines)
	perKg := r.PerKg
	if perKg == nil && shelf > 0 {
		perKg = b.perKg(r.Kits, shelf)
	}
	sum := b.add(of, Need{Bought{Kind: ShelfRubber, Name: r.Name}, shelf / 1000, "kg", perKg})
	buys, total := money.Cheapest(r.Kits, buy)
	switch {
	case r.PerKg != nil || buys == nil:
		sum += b.add(of, Need{Bought{Kind: BoughtRubber, Name: r.Name}, buy / 1000, "kg", r.PerKg})
	default:
		bought := 0.0
		for _, x := range buys {
			bought += float64(x.Count) * x.Kit.SizeG
			p.kits = append(p.kits, Kit{x.Kit.SizeG, x.Count, x.Kit.Price * money.Amount(x.Count)})
		}
		p.left = new(bought - buy)
		if used {
			each, err := total.Per(bought / 1000)
			if err != nil {
				b.err = err
			}
			sum += b.add(of, Need{Bought{Kind: UsedOfKits, Name: r.Name}, buy / 1000, "kg", &each})
			break
		}
		for _, x := range buys {
			sum += b.add(of, Need{Bought{Kind: BoughtKit, Name: r.Name, Size: unit.Mass(x.Kit.SizeG)}, float64(x.Count), "kits", &x.Kit.Price})
		}
	}
	if len(b.lines) > from && b.lines[from].Amount != nil {
		p.cost = &sum
	}
	return p
}

// perKg is what a kilogram costs of the cheapest kits that hold some grams; nil where
// there are no kits.
func (b *bill) perKg(kits []money.Kit, g float64) *money.Amount {
	buys, total := money.Cheapest(kits, g)
	if buys == nil {
		return nil
	}
	size := 0.0
	for _, x := range buys {
		size += float64(x.Count) * x.Kit.SizeG
	}
	each, err := total.Per(size / 1000)
	if err != nil && b.err == nil {
		b.err = err
	}
	return &each
}

// share splits an amount by weights, so that nothing is lost to rounding: what has
// been given out after each is rounded, not each. Where no weight is over zero all
// count alike.
func (b *bill) share(a money.Amount, weights []int64) []money.Amount {
	out := make([]money.Amount, len(weights))
	var all, sum int64
	for _, w := range weights {
		all += w
	}
	given := money.Amount(0)
	for i, w := range weights {
		part, whole := sum+w, all
		if sum = part; all == 0 {
			part, whole = int64(i+1), int64(len(weights))
		}
		upTo, err := a.Share(part, whole)
		if err != nil && b.err == nil {
			b.err = err
		}
		upTo = b.currency.Round(upTo)
		out[i], given = upTo-given, upTo
	}
	return out
}

// borne is what a job's molds and its castings come to.
type borne struct{ molds, castings money.Amount }

// billOf is what some jobs cost as one order, with an offer for each of them: kits
// are bought for all of them together, and the minimum is asked once. The purchases
// are in the order of the rubbers' first use.
func (pr Prices) billOf(currency money.Currency, jobs []Needs) (*Cost, []Offer, []purchase, error) {
	b := &bill{currency: currency}
	cost := make([]borne, len(jobs))
	var bought []purchase
	done := map[string]bool{}
	for _, j := range jobs {
		if name := j.Rubber.Name; !done[name] {
			done[name] = true
			bought = append(bought, b.pooled(name, jobs, cost, pr.ChargeUsed))
		}
	}
	for i, j := range jobs {
		of := ""
		if len(jobs) > 1 {
			of = j.File
		}
		for _, n := range j.Other {
			if a := b.add(of, n); n.What.Kind.ForCastings() {
				cost[i].castings += a
			} else {
				cost[i].molds += a
			}
		}
	}
	if b.err != nil {
		return nil, nil, nil, b.err
	}
	out, err := pr.total(b)
	if err != nil {
		return nil, nil, nil, err
	}
	offers, err := pr.offers(b, out, jobs, cost)
	if err != nil {
		return nil, nil, nil, err
	}
	out.spread(b, jobs)
	return out, offers, bought, b.err
}

// pooled puts one rubber of all jobs on the bill, and on each its share by mass.
func (b *bill) pooled(name string, jobs []Needs, cost []borne, used bool) purchase {
	var all RubberNeed
	of, weights := "", make([]int64, len(jobs))
	for i, j := range jobs {
		if j.Rubber.Name != name {
			continue
		}
		mass := all.Mass
		if all = j.Rubber; mass == 0 && len(jobs) > 1 {
			of = j.File
		} else {
			of = "" // of the whole order
		}
		all.Mass += mass
		weights[i] = int64(math.Round(min(j.Rubber.Mass, 1e12) * 1000))
	}
	from := len(b.lines)
	p := b.rubber(of, all, used)
	var sum money.Amount
	for _, l := range b.lines[from:] {
		if l.Amount != nil {
			sum += *l.Amount
		}
	}
	for i, a := range b.share(sum, weights) {
		cost[i].molds += a
	}
	return p
}

// total adds overhead, and a markup on the cost or a margin of the price, and
// raises what is less than the shop's minimum.
func (pr Prices) total(b *bill) (*Cost, error) {
	var sum, overhead, markup, margin money.Amount
	c := &Cost{Currency: b.currency.Code, Lines: b.lines, Subtotal: &sum, Overhead: &overhead, Markup: &markup, Margin: &margin, Without: []Unpriced{}, DraftBecause: []Unsettled{}, Breaks: []Break{}, Pays: []Pays{}}
	for _, l := range b.lines {
		if l.Amount == nil {
			c.Without = append(c.Without, Unpriced{l.For, l.What})
			continue
		}
		sum += *l.Amount
	}
	of := func(part *money.Amount, pct *float64, whole money.Amount) {
		if pct != nil && b.err == nil {
			*part, b.err = whole.Percent(*pct)
			*part = b.currency.Round(*part)
		}
	}
	of(&overhead, pr.OverheadPct, sum)
	total := sum + overhead
	of(&markup, pr.MarkupPct, total)
	if total += markup; pr.MarginPct != nil && b.err == nil {
		price, err := total.WithMargin(*pr.MarginPct)
		b.err = err
		price = b.currency.Round(price)
		margin, total = price-total, price
	}
	if pr.Minimum != nil {
		c.Minimum = new(b.currency.Round(*pr.Minimum))
		total = max(total, *c.Minimum)
	}
	c.Total = &total
	due := total
	if pr.TaxPct != nil {
		c.Tax = new(money.Amount)
		of(c.Tax, pr.TaxPct, total)
		due += *c.Tax
		c.TotalWithTax = &due
	}
	if pr.DepositPct != nil {
		c.Deposit = new(money.Amount)
		of(c.Deposit, pr.DepositPct, due)
	}
	return c, b.err
}

// workday is how long one pair of hands works in a day, h. Judgement of this program.
const workday = 8.0

// spread says what one casting comes to with its share of the molds, and how long
// all takes: as long as the longest job, and as one pair of hands needs for all.
func (c *Cost) spread(b *bill, jobs []Needs) {
	copies, hours := 0, 0.0
	for _, l := range c.Lines {
		if l.What.Kind.Labor() {
			hours += l.Quantity
		}
	}
	for _, j := range jobs {
		copies += j.Copies
		if j.Days != nil {
			c.Days = new(max(*j.Days, int(math.Ceil(hours/workday-1e-9)), orNoDays(c.Days)))
		}
	}
	if copies == 0 || len(jobs) > 1 {
		return // of castings of several patterns there is no common price
	}
	each, err := c.Total.Per(float64(copies))
	if err != nil && b.err == nil {
		b.err = err
	}
	c.PerCasting = new(b.currency.Round(each))
}

// offers splits a total between the jobs by what each of them costs, and of each
// between its molds and its castings: a casting bears its own share, down to whole
// coins, and the molds the rest.
func (pr Prices) offers(b *bill, c *Cost, jobs []Needs, cost []borne) ([]Offer, error) {
	weights := make([]int64, len(jobs))
	for i, p := range cost {
		weights[i] = int64(p.molds + p.castings)
	}
	net := b.share(*c.Total, weights)
	split := func(a *money.Amount) []*money.Amount {
		out := make([]*money.Amount, len(jobs))
		if a != nil {
			for i, x := range b.share(*a, weights) {
				out[i] = &x
			}
		}
		return out
	}
	tax, deposit := split(c.Tax), split(c.Deposit)
	out := make([]Offer, len(jobs))
	for i, j := range jobs {
		o := Offer{Mold: net[i], Molds: j.Molds, Net: net[i], Pay: net[i], Tax: tax[i], TaxPct: pr.TaxPct, Deposit: deposit[i], ValidDays: pr.ValidDays}
		if o.Tax != nil {
			o.Pay += *o.Tax
		}
		if p := cost[i]; j.Copies > 0 && p.castings > 0 {
			all, err := net[i].Share(int64(p.castings), int64(p.molds+p.castings))
			if err != nil {
				return nil, err
			}
			each := b.currency.Down(all / money.Amount(j.Copies))
			o.Mold -= each * money.Amount(j.Copies)
			o.Each, o.Copies = &each, j.Copies
		}
		out[i] = o
	}
	return out, b.err
}

// orNoDays is a number of days, 0 where none is known.
func orNoDays(d *int) int {
	if d == nil {
		return 0
	}
	return *d
}
