package unit

import (
	"fmt"
	"math"
	"strconv"
)

// InchFraction writes a length in inches rounded to the nearest 1/denom, as on
// a rule: "5 1/4", "3/8", "0", "12". denom is a power of two from 1 to 128; the
// fraction is reduced. A negative length keeps its sign in front. Halfway
// cases go up.
func InchFraction(l Length, denom int) string {
	if denom < 1 || denom > 128 || denom&(denom-1) != 0 {
		panic(fmt.Sprintf("unit: inches in fractions of 1/%d", denom))
	}
	x := l.In(Inch)
	sign := ""
	if x < 0 {
		sign, x = "-", -x
	}
	n := math.Floor(x*float64(denom) + 0.5)
	if n >= 1<<52 || math.IsNaN(n) { // beyond any rule: no fraction left to show
		return sign + strconv.FormatFloat(x, 'f', -1, 64)
	}
	num, den := int64(n), int64(denom)
	whole := num / den
	num %= den
	for num != 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	switch {
	case num == 0 && whole == 0:
		return "0"
	case num == 0:
		return fmt.Sprintf("%s%d", sign, whole)
	case whole == 0:
		return fmt.Sprintf("%s%d/%d", sign, num, den)
	}
	return fmt.Sprintf("%s%d %d/%d", sign, whole, num, den)
}
