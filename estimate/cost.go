package estimate

import (
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/mesh/unit"
)

// Bought is what a line of the cost is for.
type Bought struct {
	Kind     BoughtKind
	Name     string // of the rubber, the additive, the tube, what is cast
	Part     boxfit.Part
	Additive material.AdditiveKind
	Size     unit.Mass // of a kit
	Usual    bool      // of labor: the hours are the usual ones for such a mold, not the shop's own
}

// BoughtKind is one sort of thing that costs money.
type BoughtKind int

// What costs money.
const (
	BoughtRubber BoughtKind = iota
	BoughtKit
	UsedOfKits
	BoughtAdditive
	BoughtBoard
	BoughtTube
	BoughtShell
	Sundries
	LaborPreparing
	LaborBox
	LaborShell // in the box's stead
	LaborPouring
	LaborBrushing // in the pour's stead
	LaborOpening
	CastMaterial
	LaborCasting
)

// Rounding is how amounts are rounded: each line to cents, half up.
type Rounding struct{}

// bill gathers lines that cost money; each is rounded to cents, and the sum is
// of the rounded lines. The first error stays.
type bill struct {
	lines []CostLine
	sum   money.Amount
	err   error
}

// add writes a line of a quantity at a price by the unit, and returns its amount.
// Nothing of something is no line.
func (b *bill) add(what Bought, quantity float64, unit string, price money.Amount) money.Amount {
	if b.err != nil || quantity == 0 {
		return 0
	}
	a, err := price.Times(quantity)
	if err != nil {
		b.err = err
		return 0
	}
	return b.line(what, quantity, unit, price, a)
}

func (b *bill) line(what Bought, quantity float64, unit string, price, amount money.Amount) money.Amount {
	amount = amount.Cents()
	b.lines = append(b.lines, CostLine{what, quantity, unit, price, amount})
	b.sum += amount
	return amount
}

// purchase is the rubber that is bought; nil where no price is known.
type purchase struct {
	cost *money.Amount
	kits []Kit
	left *float64 // of the kits, g
}

// moldsOf is how many molds a run takes; c may be nil.
func moldsOf(c *Casting) int {
	if c != nil && c.MoldsNeeded != nil {
		return *c.MoldsNeeded
	}
	return 1
}

// cost is what the job costs by the prices that are known, and the rubber bought;
// with no price there is no cost. fit, c and the labor of the mold may be nil.
func (j *resolved) cost(m *mixing, fit *boxfit.Fit, c *Casting, w *labor.Work) (*Cost, purchase, error) {
	pr, molds := j.shop.Prices, moldsOf(c)
	var b bill
	bought := j.buyRubber(&b, m, molds)
	for i, a := range m.chosen.Added {
		if price := j.shop.Additives[a.Kind].PricePerKg; price != nil {
			b.add(Bought{Kind: BoughtAdditive, Additive: a.Kind, Name: a.Name}, m.mix.Added[i]*float64(molds)/1000, "kg", *price)
		}
	}
	if fit != nil {
		j.buyContainer(&b, fit)
		if fit.Shell != nil && pr.ShellPerKg != nil {
			b.add(Bought{Kind: BoughtShell, Name: string(fit.Shell.Material)}, fit.Shell.Mass*float64(molds)/1000, "kg", *pr.ShellPerKg)
		}
	}
	if pr.Sundries != nil {
		b.add(Bought{Kind: Sundries}, float64(molds), "molds", *pr.Sundries)
	}
	j.molding(&b, w, len(m.mix.Pours), molds)
	forMolds := b.sum
	if c != nil {
		copies := float64(max(1, j.Copies))
		if j.own != nil && j.own.PricePerKg != nil && c.MassToMix != nil {
			b.add(Bought{Kind: CastMaterial, Name: c.Material}, copies**c.MassToMix/1000, "kg", *j.own.PricePerKg)
		}
		j.handling(&b, w, copies)
	}
	if b.err != nil || len(b.lines) == 0 {
		return nil, bought, b.err
	}
	out, err := j.total(&b, forMolds, c)
	return out, bought, err
}

// total adds overhead and margin, and splits the whole: forMolds is what of the
// sum is for the molds, the rest is for castings.
func (j *resolved) total(b *bill, forMolds money.Amount, c *Casting) (*Cost, error) {
	pr := j.shop.Prices
	overhead, total := money.Amount(0), money.Amount(0)
	out := &Cost{Currency: pr.Currency, Lines: b.lines, Subtotal: &b.sum, Overhead: &overhead, Total: &total}
	if j.Rubber.Currency != "" {
		out.Currency = j.Rubber.Currency
	}
	var err error
	if pr.OverheadPct != nil {
		if overhead, err = b.sum.Percent(*pr.OverheadPct); err != nil {
			return nil, err
		}
	}
	total = b.sum + overhead
	if pr.MarginPct != nil {
		if total, err = total.WithMargin(*pr.MarginPct); err != nil {
			return nil, err
		}
	}
	if pr.Minimum != nil && total < *pr.Minimum {
		total = pr.Minimum.Cents()
	}
	out.Margin = new(total - b.sum - overhead)
	if c != nil && c.PullsPerMold != nil && *c.PullsPerMold > 0 {
		if out.PerCasting, err = j.perCasting(forMolds, b.sum-forMolds, *c.PullsPerMold); err != nil {
			return nil, err
		}
	}
	out.Offer, err = offer(pr, total, forMolds, b.sum-forMolds, j.Copies)
	return out, err
}

// perCasting is wear of the mold, material and labor of one casting, with
// overhead, without margin. With a number of copies the molds are worn by those
// alone.
func (j *resolved) perCasting(molds, castings money.Amount, pulls int) (*money.Amount, error) {
	if j.Copies > 0 {
		pulls = j.Copies
	}
	wear, err := molds.Per(float64(pulls))
	if err != nil {
		return nil, err
	}
	each, err := castings.Per(float64(max(1, j.Copies)))
	if err != nil {
		return nil, err
	}
	each += wear
	if p := j.shop.Prices.OverheadPct; p != nil {
		o, err := each.Percent(*p)
		if err != nil {
			return nil, err
		}
		each += o
	}
	each = each.Cents()
	return &each, nil
}

// buyRubber puts the rubber on the bill, less what is on the shelf: by the
// kilogram, or in kits.
func (j *resolved) buyRubber(b *bill, m *mixing, molds int) (p purchase) {
	q, name := j.Rubber, m.chosen.Name
	buy := m.weighed() * float64(molds)
	if have := j.left(&m.chosen); have != nil {
		buy = max(0, buy-*have)
	}
	if q.PricePerKg != nil {
		p.cost = new(b.add(Bought{Kind: BoughtRubber, Name: name}, buy/1000, "kg", *q.PricePerKg))
		return p
	}
	if len(m.chosen.Kits) == 0 || buy <= 0 {
		return p
	}
	buys, total := money.Cheapest(m.chosen.Kits, buy)
	if buys == nil {
		return p
	}
	bought := 0.0
	for _, x := range buys {
		bought += float64(x.Count) * x.Kit.SizeG
		p.kits = append(p.kits, Kit{x.Kit.SizeG, x.Count, x.Kit.Price * money.Amount(x.Count)})
	}
	p.left = new(bought - buy)
	var a money.Amount
	if j.shop.Prices.ChargeUsed {
		perKg, err := total.Per(bought / 1000)
		if err != nil {
			b.err = err
			return p
		}
		a = b.add(Bought{Kind: UsedOfKits, Name: name}, buy/1000, "kg", perKg)
	} else {
		for _, x := range buys {
			a += b.add(Bought{Kind: BoughtKit, Name: name, Size: unit.Mass(x.Kit.SizeG)}, float64(x.Count), "kits", x.Kit.Price)
		}
	}
	p.cost = &a
	return p
}

// buyContainer puts boards and tube on the bill, where the shop has a price for
// their stock.
func (j *resolved) buyContainer(b *bill, fit *boxfit.Fit) {
	for _, bd := range fit.Boards {
		for _, own := range j.shop.Boards {
			if own.PricePerM2 != nil && bd.Part.Role != boxfit.TubeWall && strings.EqualFold(own.Name, bd.Part.Stock) {
				b.add(Bought{Kind: BoughtBoard, Part: bd.Part}, float64(bd.Count)*bd.Length*bd.Width/1e6, "m²", *own.PricePerM2)
			}
		}
	}
	for _, own := range j.shop.Tubes {
		if fit.Stock != nil && own.PricePerM != nil && strings.EqualFold(own.Name, *fit.Stock) {
			b.add(Bought{Kind: BoughtTube, Name: own.Name}, fit.FillHeight/1000, "m", *own.PricePerM)
		}
	}
}
