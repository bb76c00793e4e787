package estimate

import "moldtally/estimate/money"

// Total is what several plans add up to. Masses g, volumes mm³; nil where nothing
// is known. Costs are added only where all are in one currency.
type Total struct {
	Patterns     int           `json:"patterns"`
	Failed       int           `json:"failed"`
	RubberVolume *float64      `json:"rubber_volume_mm3"`
	RubberMass   *float64      `json:"rubber_mass_g"`
	MassToMix    *float64      `json:"mass_to_mix_g"`
	Currency     *string       `json:"currency"` // nil where there is more than one
	Cost         *money.Amount `json:"cost"`

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
	switch {
	case !one:
		t.Currency = nil
	case t.Priced > 0:
		t.Cost = &cost
	}
	return t
}
