package words

import (
	"math"
	"reflect"
	"strconv"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// voice writes quantities in a system of units. It holds the table of remarks
// and that of findings so that facts may hold them.
type voice struct {
	us       bool
	remarks  map[reflect.Type]saying
	findings findings
	seen     Seen // nil = by the file's own axes
}

func newVoice(s unit.System) voice { return Manner{System: s}.voice() }

// tell puts a finding in words. A code without words is told by its name, which a
// test keeps from happening.
func (v voice) tell(f finding.Finding) Told {
	if t, ok := v.findings[f.Code]; ok && t.facts == reflect.TypeOf(f.Facts) {
		return named(f.Of, t.tell(v, f.Facts))
	}
	return Told{Summary: string(f.Code)}
}

// named says of which pattern a finding is; "" = there is no other.
func named(file string, t Told) Told {
	if file != "" {
		t.Summary = file + ": " + t.Summary
	}
	return t
}

// say puts a remark in words; the zero Remark is "".
func (v voice) say(r finding.Remark) string {
	if r.Facts == nil {
		return ""
	}
	if s, ok := r.Facts.(string); ok { // a name or a word of the user's own
		return s
	}
	t := reflect.TypeOf(r.Facts)
	if s, ok := v.remarks[t]; ok {
		return s.say(v, r.Facts)
	}
	return t.String()
}

// remark wraps facts.
func remark(facts any) finding.Remark { return finding.Remark{Facts: facts} }

// figure writes a number in the metric voice.
type figure func(float64) string

// fixed writes n decimals.
func fixed(n int) figure {
	return func(v float64) string { return strconv.FormatFloat(v, 'f', n, 64) }
}

// farthest is where figures end: what a broken file gives beyond it is only said
// to lie there.
const farthest = 1e12

// sig writes n significant digits without zeros at the end, and never an
// exponent.
func sig(n int) figure {
	return func(v float64) string {
		if math.Abs(v) > farthest {
			return "over " + sig(n)(math.Copysign(farthest, v))
		}
		s := strconv.FormatFloat(v, 'g', n, 64)
		if strings.Contains(s, "e") {
			rounded, _ := strconv.ParseFloat(s, 64) // what was just written
			s = strconv.FormatFloat(rounded, 'f', -1, 64)
		}
		return s
	}
}

// upTo writes at most n decimals without zeros at the end.
func upTo(n int) figure {
	return func(v float64) string {
		s := strconv.FormatFloat(v, 'f', n, 64)
		if strings.Contains(s, ".") {
			s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
		}
		if s == "-0" {
			s = "0"
		}
		return s
	}
}

// short keeps three significant digits, zeros too; of less than a tenth, which nothing
// at a bench measures finer, one.
func short(v float64) string {
	if math.Abs(v) < 0.1 {
		return digits(v, 1)
	}
	d := 2 - int(math.Floor(math.Log10(math.Abs(v))))
	if d < 0 {
		p := math.Pow(10, float64(-d))
		return fixed(0)(math.Round(v/p) * p)
	}
	return fixed(d)(v)
}

// rule writes a length as a sentence wants it: hundredths below 1, tenths
// below 100.
func rule(v float64) string {
	switch a := math.Abs(v); {
	case a < 1:
		return upTo(2)(v)
	case a < 100:
		return upTo(1)(v)
	}
	return upTo(0)(v)
}

// digits writes n significant digits of v, never in scientific form.
func digits(v float64, n int) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return upTo(0)(v)
	}
	e := int(math.Floor(math.Log10(math.Abs(v))))
	if d := n - 1 - e; d > 0 {
		return upTo(d)(v)
	}
	k := math.Pow10(e - n + 1)
	return upTo(0)(math.Round(v/k) * k)
}

// mm writes a length: in inches as a rule has it, to the sixteenth, or in
// decimals where that is too coarse.
func (v voice) mm(l unit.Length, metric figure) string {
	if !v.us {
		return metric(float64(l)) + " mm"
	}
	return inches(l) + " in"
}

// mmUp writes a length that must not be less: rounded up to whole millimetres
// or sixteenths.
func (v voice) mmUp(l unit.Length) string {
	if !v.us {
		return upTo(0)(math.Ceil(float64(l)-1e-6)) + " mm"
	}
	return unit.InchFraction(unit.Length(math.Ceil(l.In(unit.Inch)*16-1e-6))*unit.Inch/16, 16) + " in"
}

// fineInch is the length below which sixteenths are too coarse: a quarter of an
// inch (judgement of this program).
const fineInch = unit.Inch / 4

func inches(l unit.Length) string {
	switch a := unit.Length(math.Abs(float64(l))); {
	case a > 0 && a < unit.Inch/100:
		return digits(l.In(unit.Inch), 1)
	case a > 0 && a < fineInch:
		return digits(l.In(unit.Inch), 2)
	}
	return unit.InchFraction(l, 16)
}

// span writes two lengths and one unit: 10 to 20 mm.
func (v voice) span(a unit.Length, between string, b unit.Length, metric figure) string {
	if !v.us {
		return metric(float64(a)) + between + metric(float64(b)) + " mm"
	}
	return inches(a) + between + inches(b) + " in"
}

// cm2 writes an area.
func (v voice) cm2(a unit.Area, metric figure) string {
	if !v.us {
		return metric(float64(a)/100) + " cm²"
	}
	in2 := a.In(unit.Inch2)
	if math.Abs(in2) < 1 {
		return digits(in2, 2) + " in²"
	}
	return digits(in2, 3) + " in²"
}

// mm3 writes a volume in mm³.
func (v voice) mm3(q unit.Volume, metric figure) string {
	if !v.us {
		return metric(float64(q)) + " mm³"
	}
	return v.cm3(q, metric)
}

// cm3 writes a volume.
func (v voice) cm3(q unit.Volume, metric figure) string {
	if !v.us {
		return metric(q.In(unit.CM3)) + " cm³"
	}
	return digits(q.In(unit.Inch3), 4) + " in³"
}

// volume writes a volume of any size, in mm³ below a cm³.
func (v voice) volume(q unit.Volume) string {
	switch {
	case v.us:
		return digits(q.In(unit.Inch3), 2) + " in³"
	case q < unit.CM3:
		return v.mm3(q, short)
	}
	return v.cm3(q, short)
}

// litres writes a volume to pour, in ml or litres.
func (v voice) litres(q unit.Volume) string {
	switch {
	case v.us:
		return digits(q.In(unit.Inch3), 3) + " in³"
	case q >= unit.Litre:
		return upTo(1)(q.In(unit.Litre)) + " litres"
	}
	return upTo(0)(q.In(unit.ML)) + " ml"
}

// mass writes a mass, in g or kg.
func (v voice) mass(m unit.Mass) string {
	switch a := math.Abs(float64(m)); {
	case v.us:
		return pounds(m)
	case a >= 1000:
		return upTo(2)(m.In(unit.Kilogram)) + " kg"
	}
	return upTo(0)(float64(m)) + " g"
}

// apart writes two masses, with digits enough that they differ where they do.
func (v voice) apart(a, b unit.Mass) (string, string) {
	x, y := v.mass(a), v.mass(b)
	for n := 3; x == y && a != b && n < 9; n++ {
		switch {
		case v.us:
			x, y = digits(a.In(unit.Pound), n)+" lb", digits(b.In(unit.Pound), n)+" lb"
		case a >= 1000:
			x, y = upTo(n)(a.In(unit.Kilogram))+" kg", upTo(n)(b.In(unit.Kilogram))+" kg"
		default:
			x, y = upTo(n-2)(float64(a))+" g", upTo(n-2)(float64(b))+" g"
		}
	}
	return x, y
}

// grams writes a mass in g, ounces or pounds.
func (v voice) grams(m unit.Mass, metric figure) string {
	if !v.us {
		return metric(float64(m)) + " g"
	}
	return pounds(m)
}

// kilograms writes a mass in kg or pounds.
func (v voice) kilograms(m unit.Mass, metric figure) string {
	if !v.us {
		return metric(m.In(unit.Kilogram)) + " kg"
	}
	return pounds(m)
}

func pounds(m unit.Mass) string {
	if math.Abs(float64(m)) < float64(unit.Pound) {
		oz := m.In(unit.Ounce)
		if math.Abs(oz) < 1 {
			return digits(oz, 2) + " oz"
		}
		return digits(oz, 3) + " oz"
	}
	return digits(m.In(unit.Pound), 3) + " lb"
}

// newtons writes a force, with the mass that weighs as much, which is what a bench
// has at hand; in pounds alone where those are wanted.
func (v voice) newtons(f unit.Force, metric figure) string {
	if v.us {
		return digits(f.In(unit.LbForce), 2) + " lb"
	}
	return metric(float64(f)) + " N (" + digits(f.In(unit.KgForce), 2) + " kg)"
}

// pull writes a force that hands feel, with the mass that weighs as much.
func (v voice) pull(f unit.Force) string {
	return v.newtons(f, func(n float64) string { return digits(n, 3) })
}

// kPa writes a pressure.
func (v voice) kPa(p unit.Pressure, metric figure) string {
	if !v.us {
		return metric(float64(p)) + " kPa"
	}
	return digits(p.In(unit.PSI), 2) + " psi"
}

// celsius writes a temperature.
func (v voice) celsius(t unit.Temperature, metric figure) string {
	if !v.us {
		return metric(float64(t)) + " °C"
	}
	return upTo(0)(t.Fahrenheit()) + " °F"
}

// gravity writes a density; a specific gravity is the same number in both
// systems.
func (v voice) gravity(d unit.Density, metric figure) string {
	if !v.us {
		return metric(float64(d)) + " g/cm³"
	}
	return "a specific gravity of " + metric(float64(d))
}

// place writes a place as it is seen, or in the file's own frame, which is mm in
// both systems.
func (v voice) place(p mesh.Vec) string {
	if v.seen != nil {
		return v.seen.Place(p.Array())
	}
	return at(p.Array(), fixed(1)) + " mm"
}

func at(p [3]float64, one figure) string {
	return "x " + one(p[0]) + ", y " + one(p[1]) + ", z " + one(p[2])
}

// whole writes a whole number.
func whole(n int) string { return strconv.Itoa(n) }

// count writes a number of things: 1 hole, 3 holes.
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// grouped writes a whole number with spaces between thousands.
func grouped(n int64) string {
	s := strconv.FormatInt(n, 10)
	if n < 0 || len(s) < 5 {
		return s
	}
	var b strings.Builder
	for i, c := range s {
		if i > 0 && (len(s)-i)%3 == 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(c)
	}
	return b.String()
}

// many is count for numbers that run into the thousands.
func many(n int64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return grouped(n) + " " + what + "s"
}

// countAre is count with its verb.
func countAre(n int, what string) string {
	if n == 1 {
		return count(n, what) + " is"
	}
	return count(n, what) + " are"
}

// list joins parts with commas and, before the last, with a word.
func list(parts []string, last string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	n := len(parts) - 1
	return strings.Join(parts[:n], ", ") + " " + last + " " + parts[n]
}

// percent writes a share in whole per cent.
func percent(share float64) string { return fixed(0)(100*share) + " %" }

// signed writes n decimals with the sign of the number.
func signed(n int) figure {
	return func(v float64) string {
		s := fixed(n)(v)
		if !strings.HasPrefix(s, "-") {
			s = "+" + s
		}
		return s
	}
}

// ranged writes two bounds, or one where they print alike.
func ranged(low, high string) string {
	if low == high {
		return low
	}
	return low + " to " + high
}

// degrees writes a range of temperatures in whole degrees.
func (v voice) degrees(low, high unit.Temperature) string {
	if !v.us {
		return ranged(fixed(0)(float64(low)), fixed(0)(float64(high))) + " °C"
	}
	return ranged(fixed(0)(low.Fahrenheit()), fixed(0)(high.Fahrenheit())) + " °F"
}

// pressures writes two pressures and one unit.
func (v voice) pressures(low, high unit.Pressure, metric figure) string {
	if !v.us {
		return metric(float64(low)) + " to " + v.kPa(high, metric)
	}
	return digits(low.In(unit.PSI), 2) + " to " + v.kPa(high, metric)
}

// densities writes two densities and one unit.
func (v voice) densities(low, high unit.Density) string {
	if !v.us {
		return ranged(sig(-1)(float64(low)), sig(-1)(float64(high))) + " g/cm³"
	}
	return "a specific gravity of " + ranged(sig(-1)(float64(low)), sig(-1)(float64(high)))
}
