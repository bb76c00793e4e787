package demold

import (
	"fmt"
	"math"
)

// mm writes a length as it is read at the bench.
func mm(x float64) string { return short(x) + " mm" }

// short keeps three significant digits.
func short(x float64) string {
	if x == 0 {
		return "0"
	}
	d := 2 - int(math.Floor(math.Log10(math.Abs(x))))
	if d < 0 {
		p := math.Pow(10, float64(-d))
		return fmt.Sprintf("%.0f", math.Round(x/p)*p)
	}
	return fmt.Sprintf("%.*f", d, x)
}
