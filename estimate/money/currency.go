package money

import "golang.org/x/text/currency"

// Currency is what amounts are in: its name as a paper has it, and how many decimals
// its smallest coin has. No currency is ever converted.
type Currency struct {
	Code     string
	decimals int
}

// CurrencyOf is a currency by its name, which is printed as it stands. One that the
// list of ISO 4217 has by that name has the decimals that are usual for it (none for
// JPY, three for KWD); any other has two.
func CurrencyOf(name string) Currency {
	c := Currency{Code: name, decimals: 2}
	if unit, err := currency.ParseISO(name); err == nil {
		c.decimals, _ = currency.Standard.Rounding(unit)
	}
	return c
}

// coin is the smallest coin.
func (c Currency) coin() Amount {
	coin := Unit
	for range min(c.decimals, 6) {
		coin /= 10
	}
	return coin
}

// Round rounds to the smallest coin, half away from zero (the way a till does).
func (c Currency) Round(a Amount) Amount {
	coin := c.coin()
	half := coin / 2
	if a < 0 {
		half = -half
	}
	return (a + half) / coin * coin
}

// Down rounds towards zero to the smallest coin.
func (c Currency) Down(a Amount) Amount { return a / c.coin() * c.coin() }

// Decimals is how many decimals an amount is written with.
func (c Currency) Decimals() int { return c.decimals }
