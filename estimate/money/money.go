// Package money reckons with exact decimal amounts: no binary fraction ever
// holds a price. It also chooses the cheapest kits.
package money

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Amount is a sum of money in millionths of the currency unit, so that prices
// per gram, below a cent, stay exact. No currency is ever converted.
type Amount int64

// Unit is one whole of the currency.
const Unit Amount = 1_000_000

// Cent is a hundredth.
const Cent Amount = Unit / 100

// limit keeps sums of many lines far from the end of an int64: 10^12 units.
const limit = 1_000_000_000_000 * Unit

// ErrRange is returned for an amount over a million million.
var ErrRange = errors.New("money: the amount is too large")

// Parse reads a plain decimal such as "12", "0.0385" or "-3.50"; more than six
// decimals are an error, not a rounding.
func Parse(s string) (Amount, error) {
	t := strings.TrimSpace(s)
	neg := strings.HasPrefix(t, "-")
	t = strings.TrimPrefix(strings.TrimPrefix(t, "-"), "+")
	whole, frac, _ := strings.Cut(t, ".")
	if whole == "" && frac == "" || strings.Trim(whole+frac, "0123456789") != "" {
		return 0, fmt.Errorf("money: %q is no amount; write it like 12.50", s)
	}
	frac = strings.TrimRight(frac, "0")
	if len(frac) > 6 {
		return 0, fmt.Errorf("money: %q has more than six decimals", s)
	}
	n, err := strconv.ParseInt(whole+frac+strings.Repeat("0", 6-len(frac)), 10, 64)
	if err != nil || n > int64(limit) {
		return 0, ErrRange
	}
	if neg {
		n = -n
	}
	return Amount(n), nil
}

// FromFloat takes the shortest decimal that reads back as f, which is what a
// user typed; it is rounded half to even at the sixth decimal.
func FromFloat(f float64) (Amount, error) {
	m, err := decimal(f)
	if err != nil || m > int64(limit) || m < -int64(limit) {
		return 0, ErrRange
	}
	return Amount(m), nil
}

// decimal returns f in millionths, by way of its shortest decimal.
func decimal(f float64) (int64, error) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return 0, ErrRange
	}
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(f, 'f', -1, 64))
	if !ok {
		return 0, ErrRange
	}
	r.Mul(r, big.NewRat(1_000_000, 1))
	q := roundEven(r.Num(), r.Denom())
	if !q.IsInt64() {
		return 0, ErrRange
	}
	return q.Int64(), nil
}

// roundEven divides, rounding half to even. d > 0.
func roundEven(n, d *big.Int) *big.Int {
	q, m := new(big.Int).DivMod(n, d, new(big.Int)) // Euclidean: 0 <= m < d
	switch m.Lsh(m, 1).Cmp(d) {
	case 1:
		q.Add(q, big.NewInt(1))
	case 0:
		if q.Bit(0) == 1 {
			q.Add(q, big.NewInt(1))
		}
	}
	return q
}

// quotient is n/d as an amount of millionths, rounded half to even. d > 0.
func quotient(n, d *big.Int) (Amount, error) {
	r := roundEven(n, d)
	if !r.IsInt64() || r.CmpAbs(big.NewInt(int64(limit))) > 0 {
		return 0, ErrRange
	}
	return Amount(r.Int64()), nil
}

func times(a, b int64) *big.Int { return new(big.Int).Mul(big.NewInt(a), big.NewInt(b)) }

// Times returns price times a quantity, exact but for one rounding half to even
// at the millionth. The quantity is first taken to six decimals.
func (a Amount) Times(quantity float64) (Amount, error) {
	q, err := decimal(quantity)
	if err != nil {
		return 0, err
	}
	return quotient(times(int64(a), q), big.NewInt(1_000_000))
}

// Per returns the price of one of a quantity that costs a, rounded likewise. The
// quantity, taken to six decimals, must be over zero.
func (a Amount) Per(quantity float64) (Amount, error) {
	q, err := decimal(quantity)
	if err != nil || q <= 0 {
		return 0, ErrRange
	}
	return quotient(times(int64(a), 1_000_000), big.NewInt(q))
}

// Share returns the part of a that part is of whole, rounded likewise. Both are
// of one kind, amounts in millionths or counts; whole must be over zero.
func (a Amount) Share(part, whole int64) (Amount, error) {
	if whole <= 0 {
		return 0, ErrRange
	}
	return quotient(times(int64(a), part), big.NewInt(whole))
}

// Percent returns p per cent of a, rounded half to even at the millionth. p is taken
// to six decimals.
func (a Amount) Percent(p float64) (Amount, error) {
	q, err := decimal(p)
	if err != nil {
		return 0, err
	}
	return quotient(times(int64(a), q), big.NewInt(100_000_000))
}

// WithMargin returns the price at which p per cent of the price is left over:
// a/(1 − p/100), rounded likewise. p must be under 100.
func (a Amount) WithMargin(p float64) (Amount, error) {
	q, err := decimal(p)
	if err != nil {
		return 0, err
	}
	if q >= 100_000_000 {
		return 0, fmt.Errorf("money: a margin of %g %% of the price leaves nothing for the cost", p)
	}
	return quotient(times(int64(a), 100_000_000), big.NewInt(100_000_000-q))
}

// Float returns the nearest float64, for output.
func (a Amount) Float() float64 {
	f, _ := strconv.ParseFloat(a.decimalString(), 64)
	return f
}

func (a Amount) decimalString() string {
	u, sign := uint64(a), ""
	if a < 0 {
		u, sign = uint64(-a), "-"
	}
	return fmt.Sprintf("%s%d.%06d", sign, u/uint64(Unit), u%uint64(Unit))
}

// MarshalJSON writes the amount as a plain number without needless digits.
func (a Amount) MarshalJSON() ([]byte, error) {
	s := a.decimalString()
	return []byte(strings.TrimSuffix(strings.TrimRight(s, "0"), ".")), nil
}

// String writes at least two decimals: "12.50", "0.0385".
func (a Amount) String() string {
	s := a.decimalString()
	for i := 0; i < 4 && strings.HasSuffix(s, "0"); i++ {
		s = s[:len(s)-1]
	}
	return s
}
