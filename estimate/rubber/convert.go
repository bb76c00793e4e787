package rubber

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Ratio is A:B in parts. "100:10" is ten parts of B per hundred of A, which is
// also what a data sheet calls 10 % catalyst: ten of a hundred parts of base,
// not a tenth of the total. B may be 0 for a one-part material.
type Ratio struct{ A, B float64 }

// ParseRatio reads "1:1", "100:10", "10:1", or a single number of parts of B
// per hundred of A, as "10%" or "10 phr".
func ParseRatio(s string) (Ratio, error) {
	text := strings.ToLower(strings.TrimSpace(s))
	for _, tail := range []string{"%", "phr"} {
		if t, ok := strings.CutSuffix(text, tail); ok {
			b, err := strconv.ParseFloat(strings.TrimSpace(t), 64)
			r := Ratio{100, b}
			if err != nil || !r.ok() {
				return Ratio{}, fmt.Errorf("rubber: %q is no mixing ratio; write A:B, such as 1:1 or 100:10", s)
			}
			return r, nil
		}
	}
	a, b, ok := strings.Cut(text, ":")
	if ok {
		x, err1 := strconv.ParseFloat(strings.TrimSpace(a), 64)
		y, err2 := strconv.ParseFloat(strings.TrimSpace(b), 64)
		if r := (Ratio{x, y}); err1 == nil && err2 == nil && r.ok() {
			return r, nil
		}
	}
	return Ratio{}, fmt.Errorf("rubber: %q is no mixing ratio; write A:B, such as 1:1 or 100:10", s)
}

func (r Ratio) ok() bool {
	return r.A > 0 && r.B >= 0 && !math.IsInf(r.A, 0) && !math.IsInf(r.B, 0) &&
		r.A/(r.A+r.B) > 0 && !math.IsNaN(r.B)
}

// String writes A:B.
func (r Ratio) String() string {
	return strconv.FormatFloat(r.A, 'f', -1, 64) + ":" + strconv.FormatFloat(r.B, 'f', -1, 64)
}

// ShareA is A's share of the whole, 0 to 1.
func (r Ratio) ShareA() float64 { return r.A / (r.A + r.B) }

// ByWeight turns a ratio by volume into one by weight with the densities of
// the parts.
func (r Ratio) ByWeight(sgA, sgB float64) Ratio { return Ratio{r.A * sgA, r.B * sgB} }

// MixSG is the density of a mix by weight, taking volumes to add up:
// 1/ρ = Σ w/ρ.
func (r Ratio) MixSG(sgA, sgB float64) float64 {
	w := r.ShareA()
	return 1 / (w/sgA + (1-w)/sgB)
}
