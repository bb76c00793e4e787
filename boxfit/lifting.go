package boxfit

import (
	"math"

	"moldtally/mesh/unit"
)

// Masses that call for care when lifted. LiftNote is a judgement; LiftCeiling is
// the load constant, the most that one person lifts in ideal conditions, of
// T. R. Waters et al., "Applications Manual for the Revised NIOSH Lifting Equation",
// NIOSH 94-110 (1994).
const (
	LiftNote    = 12 * unit.Kilogram
	LiftCeiling = 23 * unit.Kilogram
)

// What people lift together, as a share of what they lift one by one. Published:
// Health and Safety Executive, "Manual handling", L23.
const (
	twoLift   = 2.0 / 3
	threeLift = 1.0 / 2

	MostForTwo   = 2 * twoLift * LiftCeiling
	MostForThree = 3 * threeLift * LiftCeiling
)

// Lift is one lift by one person.
type Lift struct {
	Reach  unit.Length // from the ankles to the hands, level
	Height unit.Length // of the hands at the start, from the floor
	Travel unit.Length // up or down
	Twist  float64     // of the trunk, degrees
	Often  float64     // frequency multiplier, 0 to 1; 0 = 1, now and then
	Grip   float64     // coupling multiplier, 0 to 1; 0 = 1, good handles
}

// Most is the recommended weight limit of a lift:
//
//	23 kg · (25/H) · (1 − 0.003·|V − 75|) · (0.82 + 4.5/D) · (1 − 0.0032·A) · F · C
//
// in centimetres and degrees, no reach counted under 25 nor travel under 25 cm.
// Published: T. R. Waters et al., NIOSH 94-110 (1994).
func (l Lift) Most() unit.Mass {
	cm := func(x unit.Length) float64 { return float64(x) / 10 }
	one := func(x float64) float64 {
		if x == 0 {
			return 1
		}
		return x
	}
	share := 25 / max(25, cm(l.Reach)) * (1 - 0.003*math.Abs(cm(l.Height)-75)) * (0.82 + 4.5/max(25, cm(l.Travel))) * (1 - 0.0032*l.Twist) * one(l.Often) * one(l.Grip)
	return LiftCeiling * unit.Mass(max(0, share))
}

// AcrossBench is what one person lifts off a bench at arm's length, for which the
// ceiling is far too much: hands 400 mm out and 750 mm up, set down 300 mm higher.
func AcrossBench() unit.Mass { return Lift{Reach: 400, Height: 750, Travel: 300}.Most() }

// Hands is how many people a mass takes in ideal conditions, 1 to 3; 0 = it takes a
// hoist. Two lift two thirds of what they lift one by one, three a half.
func Hands(m unit.Mass) int {
	switch {
	case m <= LiftCeiling:
		return 1
	case m <= MostForTwo:
		return 2
	case m <= MostForThree:
		return 3
	}
	return 0
}
