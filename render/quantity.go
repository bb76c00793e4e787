package render

import (
	"math"

	"moldtally/mesh/unit"
)

// Forces and pressures in the units that a bench knows, from
// NIST SP 811 (2008), Appendix B (recalled, not opened): kgf and psi follow from g = 9.80665 m/s² and
// the pound exactly.
const (
	newtonsPerKgf = 9.80665
	newtonsPerLbf = 4.4482216152605
	kPaPerPsi     = 6.894757293168
)

// length words a length in mm known to within a step, and in decimal inches to
// the power of ten nearest to the same fineness: 0.1 mm goes with 0.01 in.
func length(mm, step float64) quantity {
	in := math.Pow10(int(math.Round(math.Log10(step / float64(unit.Inch)))))
	return quantity{Stepped(mm, step), "mm", Stepped(mm/float64(unit.Inch), in), "in"}
}

// ruled words a length as a rule reads it: tenths of a millimetre where there
// are any, and inches to the nearest sixteenth.
func ruled(mm float64) quantity {
	return quantity{trimmed(mm, 1), "mm", Inches(mm, 16), "in"}
}

// sizes words several lengths as one measure, a × b × c.
func sizes(mm []float64, one func(float64) quantity) quantity {
	var q quantity
	for i, l := range mm {
		if i > 0 {
			q.value += " × "
			q.usValue += " × "
		}
		o := one(l)
		q.value += o.value
		q.usValue += o.usValue
	}
	q.unit, q.usUnit = "mm", "in"
	return q
}

// volume words a volume in mm³ with its bounds, in the unit its size asks for.
func volume(low, value, high float64) quantity {
	var k unit.Volume
	var name string
	switch v := math.Abs(value); {
	case v < 1000 && v > 0:
		k, name = unit.MM3, "mm³"
	case v < 10e6:
		k, name = unit.CM3, "cm³"
	default:
		k, name = unit.Litre, "L"
	}
	q := quantity{unit: name, usUnit: "in³"}
	if k == unit.MM3 { // no one measures a part of a cubic millimetre
		if value < 0.5 {
			return quantity{"under 1", name, "under 0.001", q.usUnit}
		}
		q.value = Stepped(value, max(1, stepFor(low, value, high)))
		in := value / float64(unit.Inch3)
		q.usValue = Stepped(in, max(0.0001, significant(in, 2)))
		return q
	}
	q.value = Stepped(value/float64(k), stepFor(low/float64(k), value/float64(k), high/float64(k)))
	const in3 = float64(unit.Inch3)
	q.usValue = Stepped(value/in3, stepFor(low/in3, value/in3, high/in3))
	return q
}

// volumeRange words the bounds of a volume, rounded outward so that they still
// hold; "" where they coincide.
func (u units) volumeRange(low, value, high float64) string {
	if low == high {
		return ""
	}
	q := volume(low, value, high)
	k := map[string]unit.Volume{"mm³": unit.MM3, "cm³": unit.CM3, "L": unit.Litre}[q.unit]
	name := q.unit
	if u.System == unit.US {
		k, name = unit.Inch3, "in³"
	}
	l, v, h := low/float64(k), value/float64(k), high/float64(k)
	step := stepFor(l, v, h)
	return "between " + Stepped(math.Floor(l/step)*step, step) + " and " + tie(Stepped(math.Ceil(h/step)*step, step), name)
}

// exactly is volume for a figure without bounds of its own.
func exactly(v float64) quantity { return volume(v, v, v) }

// area words an area in mm².
func area(mm2 float64) quantity {
	const in2 = float64(unit.Inch) * float64(unit.Inch)
	q := quantity{unit: "cm²", usUnit: "in²", usValue: Stepped(mm2/in2, significant(mm2/in2, 3))}
	if a := math.Abs(mm2); a < 100 && a > 0 {
		q.unit = "mm²"
		q.value = Stepped(mm2, significant(mm2, 3))
	} else {
		q.value = Stepped(mm2/100, significant(mm2/100, 3))
	}
	return q
}

// mass words a mass in g, rounded to its bounds.
func mass(low, g, high float64) quantity {
	q := quantity{unit: "g", usUnit: "oz"}
	q.value = Stepped(g, stepFor(low, g, high))
	if math.Abs(g) >= 10e3 {
		q.unit = "kg"
		q.value = Stepped(g/1000, stepFor(low/1000, g/1000, high/1000))
	}
	k := float64(unit.Ounce)
	if math.Abs(g) >= float64(unit.Pound) {
		k, q.usUnit = float64(unit.Pound), "lb"
	}
	q.usValue = Stepped(g/k, stepFor(low/k, g/k, high/k))
	return q
}

// weighed words a mass exactly as it goes on the scale. Scales in ounces are
// given the digits that keep the ratio: at least four.
func weighed(g float64) quantity {
	oz := g / float64(unit.Ounce)
	q := quantity{value: Grams(g), unit: "g", usUnit: "oz"}
	digits := func(v float64) string { return Stepped(v, min(significant(v, exactDigits), 0.01)) }
	q.usValue = digits(oz)
	if g >= float64(unit.Pound) {
		lb := math.Floor(oz / 16)
		rest := Fixed(oz-16*lb, 2)
		if rest == "16.00" {
			lb, rest = lb+1, "0.00"
		}
		q.usValue = Fixed(lb, 0) + nbsp + "lb " + rest
	}
	if g == 0 {
		q.usValue = "0"
	}
	return q
}

// force words a force in N.
func force(n float64) quantity {
	two := func(v float64) string { return Stepped(v, significant(v, 2)) }
	return quantity{two(n), "N", two(n / newtonsPerLbf), "lbf"}
}

// kilograms words a force as the mass that weighs as much, which is what a
// bench has at hand.
func kilograms(n float64) string {
	kgf := n / newtonsPerKgf
	return "as much as " + Stepped(kgf, significant(kgf, 2)) + nbsp + "kg weigh"
}

// pressure words a pressure in kPa.
func pressure(kPa float64) quantity {
	return quantity{Stepped(kPa, significant(kPa, 3)), "kPa", Stepped(kPa/kPaPerPsi, significant(kPa/kPaPerPsi, 3)), "psi"}
}

// percent words a fraction as per cent with the given decimals.
func percent(f float64, decimals int) string { return Fixed(100*f, decimals) + nbsp + "%" }
