package estimate

import "moldtally/estimate/money"

// Total is what several plans add up to. Masses g, volumes mm³; nil where nothing
// is known. Costs are added only where all are in one currency. Where plans are
// priced as one order, kits are bought for all of them together and the minimum is
// asked once, so that Cost is what the order comes to and not the sum of its plans'.
type Total struct {
	Patterns     int           `json:"patterns"`
	Failed       int           `json:"failed"`
	RubberVolume *float64      `json:"rubber_volume_mm3"`
	RubberMass   *float64      `json:"rubber_mass_g"`
	MassToMix    *float64      `json:"mass_to_mix_g"`
	Currency     *string       `json:"currency"` // nil where there is more than one
	Cost         *money.Amount `json:"cost"`
	Order        *Cost         `json:"order"` // all of them as one order; nil where none is priced

	// VolumeLow and VolumeHigh are the bounds of RubberVolume.
	VolumeLow, VolumeHigh float64 `json:"-"`
	Mixed, Priced         int     `json:"-"` // how many plans have rubber, and a cost
}

// Sum adds plans up; a nil plan is a pattern that failed.
func Sum(plans []*Plan) Total {
	t := Total{Patterns: len(plans)}
	add := func(to **float64, v float64) {
		if *to == nil {
			*to = new(float64)
		}
		**to += v
	}
	var cost money.Amount
	one := true // currency
	for _, p := range plans {
		if p == nil {
			t.Failed++
			continue
		}
		if r := p.Rubber; r != nil && r.Mass != nil {
			add(&t.RubberVolume, r.Volume)
			add(&t.RubberMass, *r.Mass)
			add(&t.MassToMix, *r.MassToMix)
			t.VolumeLow += r.VolumeLow
			t.VolumeHigh += r.VolumeHigh
			t.Mixed++
		}
		if c := p.Cost; c != nil && c.Total != nil {
			one = one && (t.Currency == nil || *t.Currency == c.Currency)
			t.Currency = &c.Currency
			cost += *c.Total
			t.Priced++
		}
	}
	o := OrderOf(plans)
	switch {
	case !one:
		t.Currency = nil
	case o != nil:
		t.Order, t.Cost = o.Cost, o.Cost.Total
	case t.Priced > 0:
		t.Cost = &cost
	}
	return t
}

// Order is several priced plans as one order.
type Order struct {
	Cost   *Cost
	Plans  []*Plan // that are in it
	Offers []Offer // of each of them; together they are the cost's total
}

// OrderOf is the order that plans of one run make; nil where none of them is priced,
// or what they come to is beyond any amount. A nil plan, and one whose job is refused,
// is not in it.
func OrderOf(plans []*Plan) *Order {
	o := &Order{}
	var jobs []Needs
	var runs []*priced
	for _, p := range plans {
		if p == nil || p.priced == nil || p.Cost == nil || p.Cost.Total == nil {
			continue
		}
		o.Plans, runs = append(o.Plans, p), append(runs, p.priced)
		jobs = append(jobs, p.priced.run.needs(p.priced.copies[len(p.priced.copies)-1]))
	}
	if len(runs) == 0 {
		return nil
	}
	first := runs[0]
	var err error
	if o.Cost, o.Offers, _, err = first.run.prices.billOf(first.currency, jobs); err != nil {
		return nil
	}
	if o.Cost.Breaks, err = breaksOf(runs); err != nil {
		return nil
	}
	o.Cost.DraftBecause = together(o.Plans, o.Cost)
	o.Cost.Draft = len(o.Cost.DraftBecause) > 0
	return o
}
