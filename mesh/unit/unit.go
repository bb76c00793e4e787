// Package unit holds the quantities that cross package borders, each in one
// base unit, with exact conversions and the parsing and printing of what a
// mold maker types.
//
// Conversions are from NIST Special Publication 811 (2008), Appendix B, and
// NIST Handbook 44, Appendix C (recalled, not opened); those marked exact are
// exact by definition.
package unit

// Quantities in their base units.
type (
	Length      float64 // mm
	Area        float64 // mm²
	Volume      float64 // mm³
	Mass        float64 // g
	Density     float64 // g/mL = g/cm³
	Angle       float64 // rad
	Force       float64 // N
	Pressure    float64 // kPa
	Temperature float64 // °C
)

// Lengths. All exact.
const (
	MM   Length = 1
	CM   Length = 10
	M    Length = 1000
	Inch Length = 25.4
	Foot Length = 304.8
)

// Volumes. All exact.
const (
	MM3      Volume = 1
	CM3      Volume = 1000
	ML       Volume = 1000
	Litre    Volume = 1e6
	Inch3    Volume = 16387.064
	FluidOz  Volume = 29573.5295625 // US
	USGallon Volume = 3785411.784
	Foot3    Volume = 28316846.592
)

// Masses. All exact.
const (
	Gram     Mass = 1
	Kilogram Mass = 1000
	Pound    Mass = 453.59237
	Ounce    Mass = 28.349523125 // avoirdupois
)

// In returns l in the unit u: l.In(unit.Inch).
func (l Length) In(u Length) float64 { return float64(l / u) }

// In returns v in the unit u.
func (v Volume) In(u Volume) float64 { return float64(v / u) }

// In returns m in the unit u.
func (m Mass) In(u Mass) float64 { return float64(m / u) }

// Mass returns the mass of a volume at this density.
func (d Density) Mass(v Volume) Mass { return Mass(float64(d) * float64(v) / 1000) }

// Volume returns the volume of a mass at this density.
func (d Density) Volume(m Mass) Volume { return Volume(float64(m) / float64(d) * 1000) }

// Bounded is a figure with what is known of its error: Low <= Value <= High.
type Bounded[Q ~float64] struct{ Low, Value, High Q }

// Exactly returns a figure without error.
func Exactly[Q ~float64](q Q) Bounded[Q] { return Bounded[Q]{q, q, q} }

// Exact reports whether the bounds coincide.
func (b Bounded[Q]) Exact() bool { return b.Low == b.High }
