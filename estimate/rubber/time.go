package rubber

import (
	"math"

	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Q10 is how many times as fast a cure runs 10 °C warmer: the rule of thumb
// named after J. H. van 't Hoff (1884). Real rubbers lie between 1.5 and 3
// (from memory); a data sheet's own times at a temperature win.
const Q10 = 2.0

// The range in which the rule is used, °C, and where many systems stall, and
// from which it is warm for rubber; judgements and common practice.
const (
	ColdestC = 10.0
	HottestC = 40.0
	StallC   = 18.0
	WarmC    = 30.0
)

// AtTemp returns a time given at one temperature for another: t·Q^((from−to)/10).
func AtTemp(t, from, to, q float64) float64 { return t * math.Pow(q, (from-to)/10) }

// ThermalShrink is the linear shrinkage of silicone that was cured warm and is
// used at another temperature, °C: 3.1e-4 per kelvin (from memory; measured
// factors: M. H. Madsen et al., J. Micromech. Microeng. 24 (2014) 127002).
func ThermalShrink(cured, used float64) float64 { return 3.1e-4 * (cured - used) }

// SlowQ10 and FastQ10 are how much a cure gains from 10 °C, of rubbers that gain
// little and much (from memory).
const (
	SlowQ10 = 1.5
	FastQ10 = 3.0
)

// PotRange is how far a pot life may lie from the rule's at another temperature
// than its data sheet's, min.
func PotRange(pot, at, shop float64) (low, high float64) {
	a, b := AtTemp(pot, at, shop, SlowQ10), AtTemp(pot, at, shop, FastQ10)
	return min(a, b), max(a, b)
}

// Times are pot life and demold time, min, in a workshop. Warmth shortens the
// pot life and never the demold time; cold lengthens both.
func Times(pot, demold *float64, at, shop float64) (potLife, demoldTime *float64, f finding.List) {
	if pot != nil {
		potLife = new(AtTemp(*pot, at, shop, Q10))
	}
	if demold != nil {
		demoldTime = new(max(*demold, AtTemp(*demold, at, shop, Q10)))
	}
	c := Climate{Temp: unit.Temperature(shop), Coldest: ColdestC, Hottest: HottestC}
	severity := finding.Caution
	switch {
	case shop < ColdestC || shop > HottestC:
		c.Wrong, severity = OutOfRange, finding.Stop
	case shop < StallC:
		c.Wrong = Cold
	case shop > WarmC:
		c.Wrong = Warm
	default:
		return potLife, demoldTime, nil
	}
	f.Add(finding.Finding{Code: CodeTemp, Severity: severity, Facts: c})
	return potLife, demoldTime, f
}
