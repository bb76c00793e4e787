package figure

import (
	"math"
	"strconv"
	"strings"

	"moldtally/mesh/unit"
)

// NBSP groups digits and ties a number to its unit; WriteText turns it into a
// plain space once lines are broken.
const NBSP = "\u00a0"

// Fixed writes v with the given number of decimals, digits grouped in threes
// by a no-break space from 10 000 on. A value that rounds to nothing has no
// sign. NaN and infinities are written as a dash: they never reach a Plan, but
// a sheet must not print a number that is none.
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	decimals = max(decimals, 0)
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(s, "-")
	whole, frac, _ := strings.Cut(s, ".")
	if len(whole) >= 5 {
		var b strings.Builder
		for i, r := range whole {
			if i > 0 && (len(whole)-i)%3 == 0 {
				b.WriteString(NBSP)
			}
			b.WriteRune(r)
		}
		whole = b.String()
	}
	out := whole
	if frac != "" {
		out += "." + frac
	}
	if neg && strings.Trim(s, "0.") != "" {
		out = "-" + out
	}
	return out
}

// Stepped writes v rounded to a power-of-ten step: Stepped(412.3, 1) is 412,
// Stepped(1234, 10) is 1230.
func Stepped(v, step float64) string {
	if !(step > 0) || math.IsInf(step, 0) {
		return Fixed(v, 3)
	}
	e := int(math.Round(math.Log10(step)))
	if e > 0 {
		k := math.Pow10(e)
		return Fixed(math.Round(v/k)*k, 0)
	}
	return Fixed(v, -e)
}

// power returns the largest power of ten that is not above x, for x > 0. The
// logarithm alone may miss by one at exact powers.
func power(x float64) float64 {
	e := int(math.Floor(math.Log10(x)))
	if math.Pow10(e+1) <= x {
		e++
	}
	if math.Pow10(e) > x {
		e--
	}
	return math.Pow10(e)
}

// Significant is the step that keeps n significant digits of v.
func Significant(v float64, n int) float64 {
	v = math.Abs(v)
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 1
	}
	return power(v) / math.Pow10(n-1)
}

// exactDigits is how many digits of a figure without error are printed: more
// than any scale or ruler at the bench can follow.
const exactDigits = 4

// stepFor is the step that a figure with bounds deserves: the last digit
// printed is the first that the bounds leave open, never finer than four
// significant digits and never so coarse that fewer than two are left.
func stepFor(low, value, high float64) float64 {
	step := Significant(value, exactDigits)
	if half := (high - low) / 2; half > 0 {
		step = max(step, power(half*(1+1e-9))) // 9.99…e-5 is 1e-4
	}
	return min(step, Significant(value, 2))
}

// LengthStep is the step for a length known to within u mm: 0.1 mm where
// nothing is known of its error, for no one measures a mold finer.
func LengthStep(u float64) float64 {
	if !(u > 0) {
		return 0.1
	}
	return min(max(power(u), 0.01), 1)
}

// Trimmed writes v with at most the given decimals and no zeros at its end.
func Trimmed(v float64, decimals int) string {
	s := Fixed(v, decimals)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Grams writes a mass exactly as it is to be weighed: the rounding was done
// where the ratio could be kept, so only the float's own noise (below 0.1 mg)
// is taken off here.
func Grams(g float64) string { return Trimmed(g, 4) }

// Inches writes a length in mm as inches to the nearest 1/denominator (a power
// of two; 0 means 16), as a ruler has it: 5 1/4, 3/8, 12.
func Inches(mm float64, denominator int) string {
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return "-"
	}
	if denominator <= 0 {
		denominator = 16
	}
	d := int64(denominator)
	n := int64(math.Round(math.Abs(mm) / float64(unit.Inch) * float64(d)))
	whole, part := n/d, n%d
	for part != 0 && part%2 == 0 && d%2 == 0 {
		part, d = part/2, d/2
	}
	sign := ""
	if mm < 0 && n != 0 {
		sign = "-"
	}
	frac := strconv.FormatInt(part, 10) + "/" + strconv.FormatInt(d, 10)
	switch {
	case part == 0:
		return sign + Fixed(float64(whole), 0)
	case whole == 0:
		return sign + frac
	}
	return sign + Fixed(float64(whole), 0) + NBSP + frac
}

// Money writes an amount with two decimals after its currency, if there is
// one: EUR 1234.50.
func Money(amount float64, currency string) string {
	s := Fixed(amount, 2)
	if currency != "" {
		s = currency + NBSP + s
	}
	return s
}

// UnitPrice writes a price to the cent, or finer where it is no whole cent.
func UnitPrice(p float64) string {
	for d := 2; d < 6; d++ {
		k := math.Pow10(d)
		if math.Abs(math.Round(p*k)/k-p) <= 1e-9*math.Abs(p) {
			return Fixed(p, d)
		}
	}
	return Fixed(p, 6)
}

// Duration writes minutes as a person says them: 25 min, 1 h 30 min, 2 d 4 h.
func Duration(minutes float64) string {
	if math.IsNaN(minutes) || math.IsInf(minutes, 0) {
		return "-"
	}
	neg := ""
	if minutes < 0 {
		neg, minutes = "-", -minutes
	}
	if minutes > 0 && minutes < 1 {
		return neg + Fixed(minutes*60, 0) + NBSP + "s"
	}
	if minutes >= 10*60 { // past ten hours no one counts minutes
		h := int(math.Round(minutes / 60))
		if h < 48 {
			return neg + strconv.Itoa(h) + NBSP + "h"
		}
		s := neg + Fixed(float64(h/24), 0) + NBSP + "d"
		if h%24 != 0 {
			s += " " + strconv.Itoa(h%24) + NBSP + "h"
		}
		return s
	}
	m := int(math.Round(minutes))
	switch {
	case m < 60:
		return neg + strconv.Itoa(m) + NBSP + "min"
	case m%60 == 0:
		return neg + strconv.Itoa(m/60) + NBSP + "h"
	}
	return neg + strconv.Itoa(m/60) + NBSP + "h " + strconv.Itoa(m%60) + NBSP + "min"
}

// Count writes a number of things with its noun: Count(1, "piece", "pieces").
func Count(n int, one, many string) string {
	noun := many
	if n == 1 {
		noun = one
	}
	return Fixed(float64(n), 0) + NBSP + noun
}

// NiceScale returns the upper end of a scale that holds v, and its step: four
// to six steps of 1, 2 or 5 times a power of ten.
func NiceScale(v float64) (top, step float64) {
	if !(v > 0) || math.IsInf(v, 0) {
		return 1, 0.2
	}
	p := power(v)
	for _, s := range []float64{0.2, 0.5, 1, 2, 5} {
		if n := math.Ceil(v/(s*p) - 1e-9); n <= 6 {
			return n * s * p, s * p
		}
	}
	return 10 * p, 2 * p
}

// Span is a count that lies between two: "30 to 50", or one number where both are
// the same.
func Span(low, high int) string {
	if low == high {
		return strconv.Itoa(low)
	}
	return strconv.Itoa(low) + " to " + strconv.Itoa(high)
}
