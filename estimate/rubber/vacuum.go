package rubber

import "math"

// Air and vacuum. kPa, mm, Pa·s, metres of altitude.
const (
	// KPaPerInHg is a column of mercury one inch high at 0 °C (NIST Special
	// Publication 811, Appendix B; recalled).
	KPaPerInHg = 3.386389
	// SeaLevelKPa is the standard atmosphere, exact.
	SeaLevelKPa = 101.325
	// KPaPerTorr is exact by definition.
	KPaPerTorr = SeaLevelKPa / 760
	// GoodVacuumKPa is how far down rubber should be taken: 30 Torr, which a
	// gauge at sea level shows as about 29 inHg (common practice, no source).
	GoodVacuumKPa = 30 * KPaPerTorr
)

// AirPressure is the pressure of the air, kPa, at an altitude in metres: the
// standard atmosphere of ISO 2533 (recalled), below 11 km.
func AirPressure(altitude float64) float64 {
	return SeaLevelKPa * math.Pow(1-2.25577e-5*altitude, 5.25588)
}

// GaugeMost is the most that a vacuum gauge, inHg, can show at an altitude.
func GaugeMost(altitude float64) float64 { return AirPressure(altitude) / KPaPerInHg }

// Absolute is the pressure, kPa, that is left when a gauge shows a reading
// (inHg) at an altitude; never under 0.
func Absolute(gauge, altitude float64) float64 {
	return max(0, AirPressure(altitude)-gauge*KPaPerInHg)
}

// BubbleTimes is how many times its volume a bubble grows to when the air over
// it falls to a pressure in kPa (Boyle's law).
func BubbleTimes(altitude, kPa float64) float64 { return AirPressure(altitude) / kPa }

// LidLoad is what the air presses on a round lid with, N, when the chamber
// under it is empty; bore in mm.
func LidLoad(bore, altitude float64) float64 {
	return AirPressure(altitude) * 1e-3 * math.Pi / 4 * bore * bore
}
