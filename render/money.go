package render

import (
	"moldtally/estimate/money"
	"moldtally/render/figure"
)

// notPriced stands where there is no price: nothing is left out for want of one.
const notPriced = "not priced"

// amount writes an amount with as many decimals as its currency's coins have; nil is
// not priced.
func amount(a *money.Amount, currency string) string {
	if a == nil {
		return notPriced
	}
	return figure.Fixed(a.Float(), money.CurrencyOf(currency).Decimals())
}

// inMoney is an amount after its currency, if there is one.
func inMoney(a *money.Amount, currency string) string {
	if a == nil || currency == "" {
		return amount(a, currency)
	}
	return currency + figure.NBSP + amount(a, currency)
}
