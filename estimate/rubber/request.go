// Package rubber knows mold rubbers: the catalogue, the figures of a data
// sheet, how to mix, and how hard or soft a mold wants to be.
package rubber

// Request is what the user says about the rubber. Masses g, prices per kg; nil
// means not given.
type Request struct {
	Name         string      // auto (or "") or a name of the catalogue
	SG           *float64    // specific gravity of the mix
	In3PerLb     *float64    // or its specific volume, in³/lb
	Mix          *[2]float64 // parts A:B
	MixBy        string      // weight (or "") or volume
	SGA, SGB     *float64
	Extra        *float64 // per cent; nil = 8
	WeighTo      *float64 // scale step, g; nil = 5
	PricePerKg   *float64
	Currency     string
	Have         *float64 // rubber left on the shelf, g
	PreferFamily string

	// What is stirred in, per cent of the finished mix by weight; nil or 0 = none.
	Pigment, Thinner, Thickener *float64
}
