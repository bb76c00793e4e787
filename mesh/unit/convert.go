package unit

// G is the standard acceleration of free fall, m/s², exact by definition (NIST
// Special Publication 811, Appendix B; recalled).
const G = 9.80665

// More units of NIST SP 811 (2008), Appendix B. Exact unless said otherwise.
const (
	Inch2 Area = 645.16

	LbForce Force = 4.4482216152605
	KgForce Force = G

	PSI  Pressure = 6.894757293168 // rounded by the source
	InHg Pressure = 3.386389       // conventional, 0 °C; rounded by the source

	LbPerInch3 Density = 453.59237 / 16.387064 // pound and cubic inch
)

// In returns f in the unit u.
func (f Force) In(u Force) float64 { return float64(f / u) }

// In returns p in the unit u.
func (p Pressure) In(u Pressure) float64 { return float64(p / u) }

// In returns a in the unit u.
func (a Area) In(u Area) float64 { return float64(a / u) }

// FromIn3PerLb returns the density of a rubber whose data sheet gives its
// specific volume in cubic inches to the pound. Densities are referred to
// 1 g/cm³, not to water at some temperature. v must be positive.
func FromIn3PerLb(v float64) Density { return LbPerInch3 / Density(v) }

// Fahrenheit returns f °F in °C: (f − 32)/1.8.
func Fahrenheit(f float64) Temperature { return Temperature((f - 32) / 1.8) }

// Fahrenheit returns t in °F.
func (t Temperature) Fahrenheit() float64 { return float64(t)*1.8 + 32 }
