package estimate

import (
	"slices"
	"strings"

	"moldtally/estimate/money"
)

// Total is what several plans add up to. Masses g, volumes mm³; nil where
// nothing is known. Costs are added only where all are in one currency.
type Total struct {
	Patterns     int           `json:"patterns"`
	Failed       int           `json:"failed"`
	RubberVolume *float64      `json:"rubber_volume_mm3"`
	RubberMass   *float64      `json:"rubber_mass_g"`
	MassToMix    *float64      `json:"mass_to_mix_g"`
	Rubbers      []TotalRubber `json:"rubbers"`
	Currency     *string       `json:"currency"`
	Cost         *float64      `json:"cost"`
	Stops        int           `json:"stops"` // patterns with an open stop
}

// TotalRubber is the share of one rubber. Parts are nil where one plan does not
// know them.
type TotalRubber struct {
	Name      string   `json:"name"`
	Patterns  int      `json:"patterns"`
	Volume    float64  `json:"volume_mm3"`
	Mass      float64  `json:"mass_g"`
	MassToMix float64  `json:"mass_to_mix_g"`
	PartA     *float64 `json:"part_a_g"`
	PartB     *float64 `json:"part_b_g"`
}

// Sum adds plans up; a nil plan is a pattern that failed. Rubbers are sorted by
// name. Money is added in exact decimals.
func Sum(plans []*Plan) Total {
	t := Total{Patterns: len(plans), Rubbers: []TotalRubber{}}
	add := func(to **float64, v float64) {
		if *to == nil {
			*to = new(float64)
		}
		**to += v
	}
	var cost money.Amount
	priced, mixed := false, false
	for _, p := range plans {
		if p == nil {
			t.Failed++
			continue
		}
		if w, any := p.Warnings.Worst(); any && w.String() == "stop" {
			t.Stops++
		}
		if r := p.Rubber; r != nil {
			add(&t.RubberVolume, r.Volume)
			add(&t.RubberMass, r.Mass)
			add(&t.MassToMix, r.MassToMix)
			i := slices.IndexFunc(t.Rubbers, func(x TotalRubber) bool { return x.Name == r.Name })
			if i < 0 {
				t.Rubbers = append(t.Rubbers, TotalRubber{Name: r.Name, PartA: new(float64), PartB: new(float64)})
				i = len(t.Rubbers) - 1
			}
			x := &t.Rubbers[i]
			x.Patterns++
			x.Volume += r.Volume
			x.Mass += r.Mass
			x.MassToMix += r.MassToMix
			if r.PartA == nil || r.PartB == nil || x.PartA == nil {
				x.PartA, x.PartB = nil, nil
			} else {
				*x.PartA += *r.PartA
				*x.PartB += *r.PartB
			}
		}
		if c := p.Cost; c != nil {
			a, err := money.FromFloat(c.Total)
			if err != nil || t.Currency != nil && *t.Currency != c.Currency {
				mixed = true
			}
			cost += a
			priced = true
			cur := c.Currency
			t.Currency = &cur
		}
	}
	if priced && !mixed {
		v := cost.Float()
		t.Cost = &v
	} else {
		t.Currency = nil
	}
	slices.SortFunc(t.Rubbers, func(a, b TotalRubber) int { return strings.Compare(a.Name, b.Name) })
	return t
}
