package casting

import (
	"math"

	"moldtally/estimate/material"
)

// sprueBore is the diameter of a sprue where it meets the casting, mm, by the
// casting's volume, mm³: common practice, no source.
var sprueBore = [][2]float64{{20e3, 5}, {100e3, 8}, {500e3, 12}, {2e6, 18}, {10e6, 28}}

// widestBore is the widest sprue, mm: more is poured by two at once. Judgement of
// this program.
const widestBore = 50

// SprueBore is how wide the sprue of a casting of a volume is, mm, between the
// steps of practice by a power of the volume: half as wide again for what is
// gritty, twice for foam.
func SprueBore(volume float64, kind material.CastKind) float64 {
	d := sprueBore[0][1]
	if volume > sprueBore[0][0] {
		k := 1
		for k < len(sprueBore)-1 && volume > sprueBore[k][0] {
			k++
		}
		a, b := sprueBore[k-1], sprueBore[k]
		d = min(a[1]*math.Pow(b[1]/a[1], math.Log(volume/a[0])/math.Log(b[0]/a[0])), widestBore)
	}
	switch kind {
	case material.Gypsum, material.GypsumLiquid, material.Cement:
		return 1.5 * d
	case material.FoamKind:
		return 2 * d
	}
	return d
}

// VentBore is how wide a vent is, mm: 1.5 to 2 for thin resin, 3 to 4 for filled
// resin, wax, plaster and foam, 6 for cement. Common practice, no source.
func VentBore(kind material.CastKind) float64 {
	switch kind {
	case material.TwoPart, material.Catalysed, "":
		return 2
	case material.Cement:
		return 6
	}
	return 3.5
}
