package figure

import (
	"math"

	"moldtally/mesh/unit"
)

// Units writes quantities in the system that was asked for.
type Units struct{ unit.System }

// Quantity is a figure worded in both systems.
type Quantity struct{ Value, Unit, USValue, USUnit string }

// Metric is the figure with its unit.
func (q Quantity) Metric() string { return Tie(q.Value, q.Unit) }

// US is the figure in US units, "" where it has none.
func (q Quantity) US() string { return Tie(q.USValue, q.USUnit) }

// Tie joins a value to its unit by a space that does not break.
func Tie(v, u string) string {
	if u == "" || v == "" {
		return v
	}
	return v + NBSP + u
}

// Inline is a quantity inside a sentence or a table cell: one system only.
func (u Units) Inline(q Quantity) string {
	if u.System == unit.US && q.USValue != "" {
		return q.US()
	}
	return q.Metric()
}

// Fine is Inline with the other system in brackets where both are wanted.
func (u Units) Fine(q Quantity) string {
	if u.System == unit.Both && q.USValue != "" {
		return q.Metric() + " (" + q.US() + ")"
	}
	return u.Inline(q)
}

// Forces and pressures in the units that a bench knows, from
// NIST SP 811 (2008), Appendix B (recalled, not opened): kgf and psi follow from g and
// the pound exactly.
const (
	newtonsPerKgf = unit.G
	newtonsPerLbf = 4.4482216152605
	kPaPerPsi     = 6.894757293168
)

// Length words a length in mm known to within a step, and in decimal inches to
// the power of ten nearest to the same fineness: 0.1 mm goes with 0.01 in.
func Length(mm, step float64) Quantity {
	in := math.Pow10(int(math.Round(math.Log10(step / float64(unit.Inch)))))
	return Quantity{Stepped(mm, step), "mm", Stepped(mm/float64(unit.Inch), in), "in"}
}

// Ruled words a length as a rule reads it: tenths of a millimetre where there
// are any, and inches to the nearest sixteenth.
func Ruled(mm float64) Quantity {
	return Quantity{Trimmed(mm, 1), "mm", Inches(mm, 16), "in"}
}

// clearBelow is the length, mm, below which half a millimetre counts on a rule.
const clearBelow = 100

// Clear words a length to build to that must not come out less, as a clear inside or
// a board: rounded up to the millimetre, below 100 mm to half of one, and to a
// sixteenth of an inch.
func Clear(mm float64) Quantity {
	const noise = 0.05 // mm: no rule shows that
	step := ruleStep(mm)
	const sixteenth = float64(unit.Inch) / 16
	return Quantity{Trimmed(math.Ceil((mm-noise)/step)*step, 1), "mm", Inches(math.Ceil((mm-noise)/sixteenth)*sixteenth, 16), "in"}
}

// Marked words a length to mark: to the nearest millimetre, below 100 mm to half of
// one, and to the nearest sixteenth of an inch.
func Marked(mm float64) Quantity {
	step := ruleStep(mm)
	return Quantity{Trimmed(math.Round(mm/step)*step, 1), "mm", Inches(mm, 16), "in"}
}

func ruleStep(mm float64) float64 {
	if mm < clearBelow {
		return 0.5
	}
	return 1
}

// SheetSide words a side of a sheet to saw from, in mm: down to whole millimetres, or to
// half inches, by which sheets are sold: what is promised must be there.
func SheetSide(mm float64) Quantity {
	const half = float64(unit.Inch) / 2
	return Quantity{Trimmed(math.Floor(mm+1e-6), 0), "mm", Inches(math.Floor(mm/half+1e-6)*half, 2), "in"}
}

// Sizes words several lengths as one measure, a × b × c.
func Sizes(mm []float64, one func(float64) Quantity) Quantity {
	var q Quantity
	for i, l := range mm {
		if i > 0 {
			q.Value += " × "
			q.USValue += " × "
		}
		o := one(l)
		q.Value += o.Value
		q.USValue += o.USValue
	}
	q.Unit, q.USUnit = "mm", "in"
	return q
}

// Volume words a volume in mm³ with its bounds, in the unit its size asks for.
func Volume(low, value, high float64) Quantity {
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
	q := Quantity{Unit: name, USUnit: "in³"}
	if k == unit.MM3 { // no one measures a part of a cubic millimetre
		if value < 0.5 {
			return Quantity{"under 1", name, "under 0.001", q.USUnit}
		}
		q.Value = Stepped(value, max(1, stepFor(low, value, high)))
		in := value / float64(unit.Inch3)
		q.USValue = Stepped(in, max(0.0001, Significant(in, 2)))
		return q
	}
	q.Value = Stepped(value/float64(k), stepFor(low/float64(k), value/float64(k), high/float64(k)))
	const in3 = float64(unit.Inch3)
	q.USValue = Stepped(value/in3, stepFor(low/in3, value/in3, high/in3))
	return q
}

// About words a figure known to within a share of itself: About(Volume, v, 0.01).
func About(of func(low, value, high float64) Quantity, v, share float64) Quantity {
	return of(v*(1-share), v, v*(1+share))
}

// VolumeRange words the bounds of a volume, rounded outward so that they still
// hold; "" where they coincide.
func (u Units) VolumeRange(low, value, high float64) string {
	return u.VolumeWithin(low, value, high, math.Inf(1))
}

// VolumeWithin is VolumeRange of something that cannot be more than most, mm³: no
// bound is rounded up past that.
func (u Units) VolumeWithin(low, value, high, most float64) string {
	if low == high {
		return ""
	}
	q := Volume(low, value, high)
	k := map[string]unit.Volume{"mm³": unit.MM3, "cm³": unit.CM3, "L": unit.Litre}[q.Unit]
	name := q.Unit
	if u.System == unit.US {
		k, name = unit.Inch3, "in³"
	}
	l, v, h := low/float64(k), value/float64(k), high/float64(k)
	step := stepFor(l, v, h)
	for n := 0; n < 3 && high <= most && math.Ceil(h/step)*step > most/float64(k); n++ {
		step /= 10
	}
	return "between " + Stepped(math.Floor(l/step+1e-9)*step, step) + " and " + Tie(Stepped(math.Ceil(h/step-1e-9)*step, step), name)
}

// Exactly is Volume for a figure without bounds of its own.
func Exactly(v float64) Quantity { return Volume(v, v, v) }

// Area words an area in mm².
func Area(mm2 float64) Quantity {
	const in2 = float64(unit.Inch) * float64(unit.Inch)
	q := Quantity{Unit: "cm²", USUnit: "in²", USValue: Stepped(mm2/in2, Significant(mm2/in2, 3))}
	if a := math.Abs(mm2); a < 100 && a > 0 {
		q.Unit = "mm²"
		q.Value = Stepped(mm2, Significant(mm2, 3))
	} else {
		q.Value = Stepped(mm2/100, Significant(mm2/100, 3))
	}
	return q
}

// Mass words a mass in g, rounded to its bounds.
func Mass(low, g, high float64) Quantity {
	q := Quantity{Unit: "g", USUnit: "oz"}
	q.Value = Stepped(g, stepFor(low, g, high))
	if math.Abs(g) >= 10e3 {
		q.Unit = "kg"
		q.Value = Stepped(g/1000, stepFor(low/1000, g/1000, high/1000))
	}
	k := float64(unit.Ounce)
	if math.Abs(g) >= float64(unit.Pound) {
		k, q.USUnit = float64(unit.Pound), "lb"
	}
	q.USValue = Stepped(g/k, stepFor(low/k, g/k, high/k))
	return q
}

// Weighed words a mass as it goes on the scale: the grams to which it was rounded,
// and ounces as a scale that is as fine shows them.
func Weighed(g float64) Quantity {
	q := Quantity{Value: Trimmed(g, 3), Unit: "g", USUnit: "oz"}
	if gramStep(g) == 0 {
		q.Value = Stepped(g, min(Significant(g, exactDigits-1), 0.1))
	}
	q.USValue = pounds(math.Round(g/float64(unit.Ounce)/OunceStep(g)), OunceStep(g))
	return q
}

// pounds words n steps of a scale in ounces.
func pounds(n, step float64) string {
	sixteen := math.Round(16 / step)
	s := Trimmed(math.Mod(n, sixteen)*step, 3)
	if lb := math.Floor(n / sixteen); lb > 0 {
		s = Fixed(lb, 0) + NBSP + "lb " + s
	}
	return s
}

// WeighedInAll words masses that go on the scale one after the other, in g: ounces are
// those that the scale has shown, so that a sum is the sum of what was weighed.
func WeighedInAll(each []float64) Quantity {
	g, n, fine := 0.0, 0.0, 0.1
	for _, m := range each {
		g += m
		fine = min(fine, OunceStep(m))
	}
	for _, m := range each {
		shown := math.Round(m/float64(unit.Ounce)/OunceStep(m)) * OunceStep(m)
		n += math.Round(shown / fine)
	}
	q := Weighed(g)
	q.USValue = pounds(n, fine)
	return q
}

// gramSteps are the steps to which masses are rounded, g, and beside each the step, oz,
// of a scale that is as fine. Scales that weigh in both show such pairs (common
// practice, no source).
var gramSteps = []struct{ g, oz float64 }{{5, 0.1}, {1, 0.05}, {0.5, 0.02}, {0.1, 0.005}, {0.05, 0.002}, {0.01, finestOunces}, {0.001, finestOunces}}

// finestOunces is what a fine scale shows, oz.
const finestOunces = 0.001

func isOn(v, step float64) bool { return math.Abs(v/step-math.Round(v/step)) < 1e-6 }

// gramStep is the coarsest of the steps that a mass in g lies on; 0 = none.
func gramStep(g float64) float64 {
	for _, s := range gramSteps {
		if isOn(g, s.g) {
			return s.g
		}
	}
	return 0
}

// ScaleStep words what a scale steps by, g, and the step of one in ounces that is as
// fine.
func ScaleStep(g float64) Quantity {
	for _, s := range gramSteps {
		if math.Abs(g/s.g-1) < 1e-9 {
			return Quantity{Trimmed(g, 3), "g", Trimmed(s.oz, 3), "oz"}
		}
	}
	return Quantity{Trimmed(g, 3), "g", Trimmed(g/float64(unit.Ounce), 3), "oz"}
}

// OunceStep is the step, oz, of a scale that is as fine as the one to which a mass in
// g was rounded. It is never over a hundredth of the mass, so that to round to it
// keeps the mix, and never under 0.001 oz.
func OunceStep(g float64) float64 {
	step := 0.05 // of a mass that was not rounded
	for _, s := range []float64{0.1, 0.05, 0.01} {
		if gramStep(g) == 0 && isOn(g/float64(unit.Ounce), s) { // the scale is in ounces
			return s
		}
	}
	for _, s := range gramSteps {
		if isOn(g, s.g) {
			step = s.oz
			break
		}
	}
	for _, s := range []float64{0.1, 0.05, 0.02, 0.01, 0.005, 0.002} {
		if s <= step && s <= g/float64(unit.Ounce)/100 {
			return s
		}
	}
	return finestOunces
}

// Load words a mass in g that is put on or borne, to two digits: kilograms, and
// pounds.
func Load(g float64) Quantity {
	two := func(v float64) string { return Stepped(v, Significant(v, 2)) }
	return Quantity{two(g / 1000), "kg", two(g / float64(unit.Pound)), "lb"}
}

// Force words a force in N.
func Force(n float64) Quantity {
	two := func(v float64) string { return Stepped(v, Significant(v, 2)) }
	return Quantity{two(n), "N", two(n / newtonsPerLbf), "lb"}
}

// Kilograms words a force as the mass that weighs as much, which is what a
// bench has at hand.
func Kilograms(n float64) string { return "as much as " + weighing(n) + " weigh" }

func weighing(n float64) string {
	kgf := n / newtonsPerKgf
	return Stepped(kgf, Significant(kgf, 2)) + NBSP + "kg"
}

// Force words a force in running text: with kilograms beside newtons, and in US
// units in pounds alone.
func (u Units) Force(q Quantity, n float64) string {
	if u.System == unit.US {
		return q.US()
	}
	return Tie(q.Metric(), "("+weighing(n)+")")
}

// Pressure words a pressure in kPa.
func Pressure(kPa float64) Quantity {
	return Quantity{Stepped(kPa, Significant(kPa, 3)), "kPa", Stepped(kPa/kPaPerPsi, Significant(kPa/kPaPerPsi, 3)), "psi"}
}

// Percent words a fraction as per cent with the given decimals.
func Percent(f float64, decimals int) string { return Fixed(100*f, decimals) + NBSP + "%" }

// Temperature words a temperature in °C, to the whole degree Fahrenheit.
func Temperature(c float64, s unit.System) string {
	f := Fixed(c*1.8+32, 0) + NBSP + "°F"
	m := Trimmed(c, 0) + NBSP + "°C"
	switch s {
	case unit.Metric:
		return m
	case unit.US:
		return f
	}
	return m + " (" + f + ")"
}

// Fluid words a volume in ml as a measuring cup or syringe shows it.
func Fluid(ml float64) Quantity {
	three := func(v float64) string { return Stepped(v, min(1, Significant(v, 3))) }
	return Quantity{three(ml), "ml", three(ml * float64(unit.ML) / float64(unit.FluidOz)), "fl" + NBSP + "oz"}
}

// Altitude words a height above the sea in m.
func Altitude(m float64) Quantity {
	return Quantity{Fixed(m, 0), "m", Fixed(m*float64(unit.M)/float64(unit.Foot), 0), "ft"}
}

// Short words a length in mm of which tenths count.
func Short(mm float64) Quantity {
	return Quantity{Trimmed(mm, 1), "mm", Stepped(mm/float64(unit.Inch), 0.01), "in"}
}

// LargeForce words a force in N by the thousand.
func LargeForce(n float64) Quantity {
	q := Force(n)
	q.Value, q.Unit = Fixed(n/1000, 1), "kN"
	return q
}

// PressureRange words two bounds of a pressure in kPa.
func PressureRange(low, high float64) Quantity {
	two := func(kPa float64) string { return Stepped(kPa/kPaPerPsi, Significant(kPa/kPaPerPsi, 2)) }
	return Quantity{Trimmed(low, 0) + " to " + Trimmed(high, 0), "kPa", two(low) + " to " + two(high), "psi"}
}
