package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ParseError says what could not be read, why, and what would have been.
type ParseError struct {
	What   string // "a length", "a mass" …
	Text   string // as typed
	Reason string // what is wrong with it
	Accept string // examples of what is read
}

// Error joins the parts on one line.
func (e *ParseError) Error() string {
	return fmt.Sprintf("unit: %q is not %s: %s (accepted: %s)", e.Text, e.What, e.Reason, e.Accept)
}

// What each parser accepts, as it says in its errors.
const (
	AcceptLength      = `12mm 1.2cm 0.5in 1/2in "5 1/4in" 5-1/4in 2ft; a bare number is mm`
	AcceptMass        = `250g 1.5kg 12oz 2lb; a bare number is g`
	AcceptVolume      = `400ml 1.2l 400cm3 36in3 16floz 1/2gal (US); a bare number is not taken`
	AcceptTemperature = `23C 73F; a bare number is °C`
	AcceptTriple      = `6in,4in,1 1/2in (three lengths, commas between)`
	AcceptPair        = `110mm,200mm (two lengths, a comma between)`
	AcceptDirection   = `+x -x +y -y +z -z, or three numbers such as 0,1,0.5`
	AcceptRatio       = `1:1 10:1 100:3`
	AcceptNumber      = `1.07, 25, 1/2`
	AcceptPercent     = `8 or 8%`
)

// ParseLength reads a length: a number, whole, decimal, fraction or both
// ("5 1/4", "5-1/4", "5¼"), and a unit (mm cm m in ft, their names, " and ');
// without a unit it is mm. Feet and inches may follow each other (5ft 3in,
// 5' 3 1/2"). Negative, NaN and infinite lengths are errors.
func ParseLength(s string) (Length, error) {
	v, err := parseQuantity("a length", AcceptLength, s, lengthUnit, 1, true)
	return Length(v), err
}

// ParseMass reads a mass (g kg oz lb mg; without a unit, g). Pounds and ounces
// may follow each other (1lb 7oz). Negative masses are errors.
func ParseMass(s string) (Mass, error) {
	v, err := parseQuantity("a mass", AcceptMass, s, massUnit, 1, true)
	return Mass(v), err
}

// ParseVolume reads a volume (ml l cm3 cc mm3 in3 ft3 floz gal; ounces and
// gallons are US). A bare number is refused: at the bench it would mean ml,
// beside a length in mm it would mean mm³, and they are a thousandfold apart.
func ParseVolume(s string) (Volume, error) {
	v, err := parseQuantity("a volume", AcceptVolume, s, volumeUnit, 0, true)
	return Volume(v), err
}

// AbsoluteZero in °C, by definition of the kelvin.
const AbsoluteZero Temperature = -273.15

// ParseTemperature reads 23C, 23 °C, 73F or a bare number of °C. Nothing below
// absolute zero is taken.
func ParseTemperature(s string) (Temperature, error) {
	fail := failer("a temperature", AcceptTemperature, s)
	t := strings.TrimSpace(s)
	sign := 1.0
	if r, ok := cutSign(t); ok {
		sign, t = -1, r
	} else {
		t = strings.TrimPrefix(t, "+")
	}
	n, rest, err := number(t)
	if err != "" {
		return 0, fail(err)
	}
	n *= sign
	switch u := strings.ToLower(strings.TrimSpace(rest)); u {
	case "", "c", "°c", "° c", "degc", "celsius", "℃":
	case "f", "°f", "° f", "degf", "fahrenheit", "℉":
		n = float64(Fahrenheit(n))
	default:
		return 0, fail(fmt.Sprintf("%q is no unit of temperature", u))
	}
	if Temperature(n) < AbsoluteZero {
		return 0, fail("colder than absolute zero")
	}
	return Temperature(n), nil
}

// ParseTriple reads three lengths with commas (or × or x between numbers that
// carry units) between them.
func ParseTriple(s string) ([3]Length, error) {
	var out [3]Length
	return out, parseLengths("three lengths", AcceptTriple, s, out[:])
}

// ParsePair reads two lengths with a comma between them.
func ParsePair(s string) ([2]Length, error) {
	var out [2]Length
	return out, parseLengths("two lengths", AcceptPair, s, out[:])
}

func parseLengths(what, accept, s string, out []Length) error {
	fail := failer(what, accept, s)
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' || r == '×' })
	if len(parts) != len(out) {
		return fail(fmt.Sprintf("%d of them, not %d", len(parts), len(out)))
	}
	for i, p := range parts {
		l, err := ParseLength(p)
		if err != nil {
			return fail(fmt.Sprintf("%q: %s", strings.TrimSpace(p), err.(*ParseError).Reason))
		}
		out[i] = l
	}
	return nil
}

// ParseDirection reads +x -x +y -y +z -z (x y z without a sign are +), or
// three numbers X,Y,Z, and returns a vector of length 1.
func ParseDirection(s string) ([3]float64, error) {
	fail := failer("a direction", AcceptDirection, s)
	t := strings.ToLower(strings.TrimSpace(s))
	sign := 1.0
	u := t
	if r, ok := cutSign(u); ok {
		sign, u = -1, r
	} else {
		u = strings.TrimPrefix(u, "+")
	}
	switch u {
	case "x":
		return [3]float64{sign, 0, 0}, nil
	case "y":
		return [3]float64{0, sign, 0}, nil
	case "z":
		return [3]float64{0, 0, sign}, nil
	}
	v, err := vector(t)
	if err != "" {
		return [3]float64{}, fail(err)
	}
	// Scale first, so that neither 1e300 nor 1e-300 is lost in the squares.
	m := max(math.Abs(v[0]), math.Abs(v[1]), math.Abs(v[2]))
	if m == 0 {
		return v, fail("three zeros point nowhere")
	}
	for i := range v {
		v[i] /= m
	}
	l := math.Sqrt(float64(v[0]*v[0]) + float64(v[1]*v[1]) + float64(v[2]*v[2]))
	for i := range v {
		v[i] = v[i]/l + 0
	}
	return v, nil
}

func vector(t string) (v [3]float64, reason string) {
	parts := strings.Split(t, ",")
	if len(parts) != 3 {
		return v, "neither an axis nor three numbers"
	}
	for i, p := range parts {
		p = strings.TrimSpace(p)
		sign := 1.0
		if r, ok := cutSign(p); ok {
			sign, p = -1, r
		} else {
			p = strings.TrimPrefix(p, "+")
		}
		n, rest, err := number(p)
		if err != "" {
			return v, err
		}
		if rest != "" {
			return v, fmt.Sprintf("%q after the number", rest)
		}
		v[i] = sign * n
	}
	return v, ""
}

// ParseRatio reads A:B, both positive.
func ParseRatio(s string) ([2]float64, error) {
	fail := failer("a mix ratio", AcceptRatio, s)
	var out [2]float64
	parts := strings.Split(s, ":")
	if len(parts) != 2 {
		return out, fail("it needs two parts with a colon between")
	}
	for i, p := range parts {
		n, rest, err := number(strings.TrimSpace(p))
		switch {
		case err != "":
			return out, fail(err)
		case strings.TrimSpace(rest) != "":
			return out, fail(fmt.Sprintf("%q after the number", strings.TrimSpace(rest)))
		case n == 0:
			return out, fail("a part is zero")
		}
		out[i] = n
	}
	return out, nil
}

// ParseNumber reads a number of zero or more without a unit.
func ParseNumber(s string) (float64, error) {
	fail := failer("a number", AcceptNumber, s)
	n, rest, err := number(strings.TrimSpace(s))
	if err != "" {
		return 0, fail(err)
	}
	if rest = strings.TrimSpace(rest); rest != "" {
		return 0, fail(fmt.Sprintf("%q after the number", rest))
	}
	return n, nil
}

// ParsePercent reads 8 or 8%, zero or more.
func ParsePercent(s string) (float64, error) {
	n, err := ParseNumber(strings.TrimSuffix(strings.TrimSpace(s), "%"))
	if err != nil {
		return 0, failer("a percentage", AcceptPercent, s)(err.(*ParseError).Reason)
	}
	return n, nil
}

func failer(what, accept, text string) func(reason string) error {
	return func(reason string) error {
		return &ParseError{What: what, Text: text, Reason: reason, Accept: accept}
	}
}

// cutSign takes off a leading minus, the keyboard's or the typographer's.
func cutSign(s string) (string, bool) {
	if r, ok := strings.CutPrefix(s, "-"); ok {
		return r, true
	}
	return strings.CutPrefix(s, "−")
}

// unitTable finds a unit's size by its lower-case name; a zero chain means the
// unit stands alone, others may follow a unit of the next higher chain (feet
// 2, inches 1).
type unitTable func(name string) (size float64, chain int, reason string)

func lengthUnit(name string) (float64, int, string) {
	switch name {
	case "mm", "millimeter", "millimeters", "millimetre", "millimetres":
		return 1, 0, ""
	case "cm", "centimeter", "centimeters", "centimetre", "centimetres":
		return 10, 0, ""
	case "m", "meter", "meters", "metre", "metres":
		return 1000, 0, ""
	case "in", "in.", "inch", "inches", `"`, "″", "”", "''", "′′":
		return 25.4, 1, ""
	case "ft", "ft.", "foot", "feet", "'", "′", "’":
		return 304.8, 2, ""
	}
	return 0, 0, fmt.Sprintf("%q is no unit of length", name)
}

func massUnit(name string) (float64, int, string) {
	switch name {
	case "mg":
		return 0.001, 0, ""
	case "g", "gram", "grams", "gramme", "grammes":
		return 1, 0, ""
	case "kg", "kilo", "kilos", "kilogram", "kilograms":
		return 1000, 0, ""
	case "oz", "oz.", "ounce", "ounces":
		return float64(Ounce), 1, ""
	case "lb", "lb.", "lbs", "lbs.", "pound", "pounds":
		return float64(Pound), 2, ""
	case "floz", "fl oz", "fl.oz.", "fl. oz.":
		return 0, 0, "fluid ounces are a volume"
	}
	return 0, 0, fmt.Sprintf("%q is no unit of mass", name)
}

func volumeUnit(name string) (float64, int, string) {
	switch name {
	case "":
		return 0, 0, "the unit is missing"
	case "mm3", "mm³", "mm^3":
		return 1, 0, ""
	case "ml", "millilitre", "millilitres", "milliliter", "milliliters", "cm3", "cm³", "cm^3", "cc":
		return 1000, 0, ""
	case "l", "litre", "litres", "liter", "liters":
		return 1e6, 0, ""
	case "in3", "in³", "in^3", "cu in", "cu.in.", "cuin":
		return float64(Inch3), 0, ""
	case "ft3", "ft³", "ft^3", "cu ft":
		return float64(Foot3), 0, ""
	case "floz", "fl oz", "fl.oz.", "fl. oz.", "fl-oz":
		return float64(FluidOz), 0, ""
	case "gal", "gallon", "gallons":
		return float64(USGallon), 0, ""
	case "oz", "ounce", "ounces":
		return 0, 0, "ounces are a mass; fluid ounces are floz"
	}
	return 0, 0, fmt.Sprintf("%q is no unit of volume", name)
}

// parseQuantity reads "number unit", or a descending chain of them. bare is
// the size of a number without a unit, 0 to refuse it.
func parseQuantity(what, accept, s string, table unitTable, bare float64, chains bool) (float64, error) {
	fail := failer(what, accept, s)
	rest := strings.TrimSpace(s)
	if _, neg := cutSign(rest); neg {
		return 0, fail("it is negative")
	}
	sum, last := 0.0, 0
	for first := true; first || rest != ""; first = false {
		n, after, reason := number(rest)
		if reason != "" {
			return 0, fail(reason)
		}
		name, next := cutUnit(after)
		size, chain := bare, 0
		if name != "" || bare == 0 {
			if size, chain, reason = table(name); reason != "" {
				return 0, fail(reason)
			}
		}
		if !first && (chain == 0 || last != chain+1) {
			return 0, fail("two quantities in one; only feet then inches, or pounds then ounces, may follow each other")
		}
		if next != "" && (chain == 0 || !chains) {
			return 0, fail(fmt.Sprintf("%q is left over", next))
		}
		sum += n * size
		last, rest = chain, next
	}
	if math.IsInf(sum, 0) || math.IsNaN(sum) {
		return 0, fail("it is too large")
	}
	return sum, nil
}

// cutUnit splits "in 3/4" style text after a number into the unit's name, in
// lower case, and what follows the next number's start. Digits that belong to
// a unit (in3, cm³) stay with it.
func cutUnit(s string) (name, rest string) {
	s = strings.TrimSpace(s)
	end := len(s)
	for i, r := range s {
		if i == 0 || !(r >= '0' && r <= '9' || r == '.' || vulgar(r) != 0) {
			continue
		}
		if r == '.' && (i+1 == len(s) || s[i+1] < '0' || s[i+1] > '9') {
			continue // the point of an abbreviation: "in."
		}
		if r == '3' && (i+1 == len(s) || s[i+1] == ' ') && isCubic(s[:i]) {
			continue
		}
		end = i
		break
	}
	name = strings.Join(strings.Fields(strings.ToLower(s[:end])), " ")
	return name, s[end:]
}

func isCubic(s string) bool {
	switch strings.ToLower(strings.TrimSuffix(s, "^")) {
	case "mm", "cm", "in", "ft":
		return true
	}
	return false
}

// vulgar returns the value of a fraction character, 0 for any other.
func vulgar(r rune) float64 {
	switch r {
	case '½':
		return 1.0 / 2
	case '⅓':
		return 1.0 / 3
	case '⅔':
		return 2.0 / 3
	case '¼':
		return 1.0 / 4
	case '¾':
		return 3.0 / 4
	case '⅛':
		return 1.0 / 8
	case '⅜':
		return 3.0 / 8
	case '⅝':
		return 5.0 / 8
	case '⅞':
		return 7.0 / 8
	}
	return 0
}

// number reads a number without sign from the front of s: decimal, fraction,
// whole and fraction joined by a space or a hyphen, or with a fraction
// character. It returns the text after it.
func number(s string) (v float64, rest string, reason string) {
	if s == "" {
		return 0, "", "it is empty"
	}
	if _, neg := cutSign(s); neg {
		return 0, s, "it is negative"
	}
	whole, rest := cutDigits(s)
	if f, r := cutVulgar(rest); f != 0 {
		if whole == "" {
			return f, r, ""
		}
		n, err := decimal(whole, false)
		return n + f, r, err
	}
	if whole == "" {
		return 0, s, "it does not begin with a number"
	}
	if strings.HasPrefix(rest, ",") {
		return 0, s, "a comma in a number; write a point"
	}
	if r, ok := strings.CutPrefix(rest, "/"); ok {
		return fraction(whole, r)
	}
	n, err := decimal(whole, true)
	if err != "" {
		return 0, s, err
	}
	// "5 1/4", "5-1/4", "5 ¼".
	if gap := strings.TrimLeft(rest, " "); gap != "" && (len(gap) < len(rest) || gap[0] == '-') {
		gap = strings.TrimPrefix(gap, "-")
		if f, r := cutVulgar(gap); f != 0 && isWhole(whole) {
			return n + f, r, ""
		}
		if num, r := cutDigits(gap); num != "" && strings.HasPrefix(r, "/") {
			if !isWhole(whole) {
				return 0, s, "a decimal and a fraction in one"
			}
			f, r, err := fraction(num, r[1:])
			if err == "" && f >= 1 {
				err = "the fraction beside a whole number is not below 1"
			}
			return n + f, r, err
		}
	}
	return n, rest, ""
}

func fraction(num, rest string) (float64, string, string) {
	den, r := cutDigits(rest)
	if !isWhole(num) || !isWhole(den) {
		return 0, rest, "a fraction needs whole numbers above and below"
	}
	a, err := decimal(num, false)
	if err != "" {
		return 0, rest, err
	}
	b, err := decimal(den, false)
	if err != "" {
		return 0, rest, err
	}
	if b == 0 {
		return 0, rest, "a fraction with nothing below"
	}
	return a / b, r, ""
}

// cutDigits takes off digits, a decimal point and an exponent.
func cutDigits(s string) (digits, rest string) {
	i := 0
	for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.') {
		i++
	}
	if i > 0 && i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		k := j
		for k < len(s) && s[k] >= '0' && s[k] <= '9' {
			k++
		}
		if k > j {
			i = k
		}
	}
	return s[:i], s[i:]
}

// cutVulgar takes off a fraction character.
func cutVulgar(s string) (float64, string) {
	r, n := utf8.DecodeRuneInString(s)
	if f := vulgar(r); f != 0 {
		return f, s[n:]
	}
	return 0, s
}

func isWhole(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

func decimal(s string, point bool) (float64, string) {
	if !point && !isWhole(s) {
		return 0, "a decimal and a fraction in one"
	}
	n, err := strconv.ParseFloat(s, 64)
	if err != nil {
		if math.IsInf(n, 0) {
			return 0, "it is too large"
		}
		return 0, fmt.Sprintf("%q is not a number", s)
	}
	return n, ""
}
