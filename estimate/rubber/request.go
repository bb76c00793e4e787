// Package rubber knows mold rubbers: the catalogue, the figures of a data
// sheet, how to mix, and how hard or soft a mold wants to be.
package rubber

import (
	"strings"

	"moldtally/estimate/material"
	"moldtally/estimate/money"
)

// MixBy is what a mixing ratio is measured by.
type MixBy string

// What it can be measured by.
const (
	ByWeight MixBy = "weight"
	ByVolume MixBy = "volume"
)

// Request is what the user says about the rubber. Masses g, prices per kg; nil
// means not given.
type Request struct {
	Name         string      // auto (or "") or a name of the catalogue
	SG           *float64    // specific gravity of the mix
	In3PerLb     *float64    // or its specific volume, in³/lb
	Mix          *[2]float64 // parts A:B
	MixBy        MixBy       // "" = by weight
	SGA, SGB     *float64
	Extra        *float64 // per cent; nil = 8
	WeighTo      *float64 // scale step, g; nil = 5
	PricePerKg   *money.Amount
	Currency     string
	Have         *float64 // rubber left on the shelf, g
	PreferFamily material.Family
	Today        Date // for shelf dates; the zero day judges none

	// What is stirred in, per cent of the finished mix by weight; nil or 0 = none.
	Pigment, Thinner, Thickener *float64
}

// BySheet reports whether the rubber is described by figures of its data sheet.
func (q Request) BySheet() bool {
	return q.SG != nil || q.In3PerLb != nil || q.Mix != nil || q.SGA != nil || q.SGB != nil
}

// Auto reports whether the choice of rubber is left open.
func (q Request) Auto() bool { return q.Name == "" || strings.EqualFold(q.Name, "auto") }
