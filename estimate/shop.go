package estimate

import (
	_ "embed"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
)

// ShopTemplate is a commented shop file to start from; as it stands it changes
// nothing.
//
//go:embed shop.toml
var ShopTemplate string

//go:embed shopexample.toml
var shopExample string

// ExampleShop is a shop file in force, in a currency, whose prices are examples, so
// that a first quote has a price; while it says so, every quote is a draft.
func ExampleShop(currency string) string {
	return strings.Replace(shopExample, `"EUR"`, strconv.Quote(currency), 1)
}

// Shop is a user's own stock, prices and habits. Nil and zero are "not given".
// Lengths mm, masses g, times min, temperatures °C.
type Shop struct {
	Rubbers  []rubber.Rubber
	Castings []ShopCasting
	Boards   []ShopBoard
	Tubes    []ShopTube
	Defaults ShopDefaults
	Workshop Workshop
	Prices   Prices

	Letterhead *Letterhead // nil = none

	Additives ShopAdditives
}

// ShopDefaults stand where the command line says nothing.
type ShopDefaults struct {
	Temp, WeighTo, ExtraPct, Step *float64
	Kerf                          *float64 // of the saw, mm
	Board, Tube, Rubber, System   string
}

// Workshop is what rubber is mixed with.
type Workshop struct {
	Stir, PourRate, Cup       *float64 // min, g/min, ml
	Vacuum                    *float64 // min under vacuum; nil = none
	VacuumBore, VacuumHeight  *float64
	PressureBore, PressureTop *float64
	Altitude, Gauge           *float64 // m; inHg that the pump reaches
}

// ShopAdditives are what the user stirs into rubber, by kind: pigment, thinner,
// thickener.
type ShopAdditives map[material.AdditiveKind]ShopAdditive

// ShopAdditive is one of them: per cent of the finished mix, density, price.
type ShopAdditive struct {
	Pct, SG    *float64
	PricePerKg *money.Amount
}

// fill puts the usual shares where a request says nothing.
func (a ShopAdditives) fill(q *rubber.Request) {
	for kind, dst := range map[material.AdditiveKind]**float64{material.Pigment: &q.Pigment, material.Thinner: &q.Thinner, material.Thickener: &q.Thickener} {
		if *dst == nil {
			*dst = a[kind].Pct
		}
	}
}

// densities are the user's own, by kind.
func (a ShopAdditives) densities() map[material.AdditiveKind]float64 {
	m := map[material.AdditiveKind]float64{}
	for kind, x := range a {
		if x.SG != nil {
			m[kind] = *x.SG
		}
	}
	return m
}

// Prices are exact; percentages are plain numbers.
type Prices struct {
	Currency                                     string
	LaborPerHour, Minimum, Sundries              *money.Amount
	HoursPrepare, HoursBox, HoursPour, HoursOpen *float64
	HoursPerCasting                              *float64
	HoursFinishing                               *float64      // of each casting, once it is out
	Finishing                                    *money.Amount // of each casting, beside hours
	OverheadPct                                  *float64
	MarkupPct, MarginPct                         *float64      // on the cost, or of the price; one of them at most
	RubberPerKg, BoardPerM2, TubePerM            *money.Amount // of what has no price of its own
	Example                                      bool          // the prices are examples, not yet the shop's
	TaxPct, DepositPct, ValidDays                *float64      // of a quote
	ShellPerKg                                   *money.Amount // of a mother mold, set and dry
	PatternValue                                 *money.Amount // of a usual pattern, for weighing risk
	ChargeUsed                                   bool          // only the rubber used, not whole kits
}

// ShopCasting is what the user knows of a casting material.
type ShopCasting struct {
	Name       string
	PricePerKg *money.Amount
	SG, Demold *float64
	Mix        *[2]float64
	Pulls      int
	Powder     *float64 // parts of metal powder per part of resin by weight
	Face       *float64 // thickness of a cold-cast face, mm
}

// ShopBoard is a board of the catalogue as the shop buys it: its price by the square
// metre, and its sheets, length and width in mm; nil = not said.
type ShopBoard struct {
	Name       string
	PricePerM2 *money.Amount
	Sheet      *[2]float64
}

// saw is what the shop cuts boards from and with.
func (s *Shop) saw() boxfit.Saw {
	w := boxfit.Saw{Kerf: s.Defaults.Kerf, Sizes: map[string][2]float64{}}
	for _, b := range s.Boards {
		if stock, err := boxfit.BoardNamed(b.Name); err == nil && b.Sheet != nil {
			w.Sizes[stock.Name] = *b.Sheet
		}
	}
	return w
}

// ShopTube is a tube of the user's: inside diameter, and price by the metre.
type ShopTube struct {
	Name      string
	Bore      float64
	Wall      *float64 // nil = unknown
	PricePerM *money.Amount
}
