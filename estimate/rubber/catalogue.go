package rubber

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"moldtally/estimate/conf"
	"moldtally/estimate/material"
	"moldtally/mesh/unit"
)

// Rubber is a generic mold rubber of the catalogue, or one of the user's own
// from the shop file. A nil figure is not known. Times are at TempC.
type Rubber struct {
	Name      string           `toml:"name" json:"name"`
	Family    material.Family  `toml:"family" json:"family"`
	What      string           `toml:"what" json:"what"`
	Clear     bool             `toml:"clear" json:"clear"`           // translucent: made for cut molds
	BrushOnly bool             `toml:"brush_only" json:"brush_only"` // never poured
	ShoreA    *material.Figure `toml:"shore_a" json:"shore_a"`
	ShoreOO   *material.Figure `toml:"shore_00" json:"shore_00"`
	SG        material.Figure  `toml:"sg" json:"sg"`
	MixRatio  string           `toml:"mix" json:"mix"`
	MixBy     MixBy            `toml:"mix_by" json:"mix_by"`
	MixSource string           `toml:"mix_source" json:"mix_source"`
	SGA       *material.Figure `toml:"sg_a" json:"sg_a"`
	SGB       *material.Figure `toml:"sg_b" json:"sg_b"`

	PotLife     *material.Figure `toml:"pot_life_min" json:"pot_life_min"`
	Demold      *material.Figure `toml:"demold_min" json:"demold_min"`
	Viscosity   *material.Figure `toml:"viscosity_Pa_s" json:"viscosity_Pa_s"`
	Elongation  *material.Figure `toml:"elongation_pct" json:"elongation_pct"`
	Tear        *material.Figure `toml:"tear_N_per_mm" json:"tear_N_per_mm"`
	HeatLimit   *material.Figure `toml:"heat_limit_C" json:"heat_limit_C"`
	Shrinkage   *material.Figure `toml:"shrinkage_pct" json:"shrinkage_pct"`
	LibraryLife *material.Figure `toml:"library_life_years" json:"library_life_years"`

	TempC float64 `toml:"-" json:"at_temperature_C"` // of pot life and demold
	TempS string  `toml:"-" json:"at_temperature_source"`
	Own   bool    `toml:"-" json:"own"`     // from the shop file or a data sheet
	Food  bool    `toml:"food" json:"food"` // its maker declares food contact
	Kits  []Kit   `toml:"-" json:"-"`
	Stock Stock   `toml:"-" json:"-"`
}

// StandardTemp is the temperature, °C, of data sheet times where none is said
// (common practice: 23 °C or 73 °F).
const StandardTemp = 23.0

// StandardTempSource says where that temperature is had from.
const StandardTempSource = "common practice: what data sheets call room temperature"

// Hardness returns the Shore A hardness to reckon with. A rubber on the 00
// scale counts as 5 A, the softest that Gent's relation is used for; false
// where nothing is known.
func (r Rubber) Hardness() (float64, bool) {
	if r.ShoreA != nil {
		return r.ShoreA.Value, true
	}
	if r.ShoreOO != nil {
		return SofterThan, true
	}
	return 0, false
}

// SofterThan is the Shore A value that stands for every rubber of the 00 scale.
const SofterThan = 5.0

//go:embed rubbers.toml
var rubbersTOML string

var load = sync.OnceValue(func() []Rubber {
	var t struct {
		Rubber []Rubber `toml:"rubber"`
	}
	// Part of the program: the package's tests find a table that does not parse.
	if err := conf.Decode(rubbersTOML, &t); err != nil {
		panic(fmt.Sprintf("rubber: %v", err))
	}
	for i := range t.Rubber {
		t.Rubber[i].TempC, t.Rubber[i].TempS = StandardTemp, StandardTempSource
	}
	return t.Rubber
})

// Catalogue lists the generic rubbers.
func Catalogue() []Rubber { return slices.Clone(load()) }

// Find returns the rubber with a name, in any case, among own rubbers first and
// then the catalogue.
func Find(own []Rubber, name string) (Rubber, bool) {
	for _, list := range [][]Rubber{own, load()} {
		if i := slices.IndexFunc(list, func(r Rubber) bool { return strings.EqualFold(r.Name, name) }); i >= 0 {
			return list[i], true
		}
	}
	return Rubber{}, false
}

// Standing returns the first rubber, of own rubbers and then of the catalogue, that
// stands the greater of two heats, °C, or else the one that stands the most if that
// is the lesser heat.
func Standing(own []Rubber, low, high float64) (best Rubber, ok bool) {
	for _, list := range [][]Rubber{own, load()} {
		for _, r := range list {
			switch {
			case r.HeatLimit == nil || r.HeatLimit.Value < low:
			case r.HeatLimit.Value >= high:
				return r, true
			case !ok || r.HeatLimit.Value > best.HeatLimit.Value:
				best, ok = r, true
			}
		}
	}
	return best, ok
}

// MostHeat is the most that any rubber stands, own or of the catalogue.
func MostHeat(own []Rubber) (most unit.Temperature) {
	for _, list := range [][]Rubber{own, load()} {
		for _, r := range list {
			if r.HeatLimit != nil {
				most = max(most, unit.Temperature(r.HeatLimit.Value))
			}
		}
	}
	return most
}

// Names lists the names of own rubbers and of the catalogue.
func Names(own []Rubber) []string {
	var s []string
	for _, list := range [][]Rubber{own, load()} {
		for _, r := range list {
			s = append(s, r.Name)
		}
	}
	return s
}
