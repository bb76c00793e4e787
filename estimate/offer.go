package estimate

import "moldtally/estimate/money"

// Offer is what a client is asked to pay: the price of the mold, once, and of
// each casting, with overhead and margin inside and nothing of how they came
// about. Mold and castings add up to the cost's total to the cent.
type Offer struct {
	Mold      money.Amount  `json:"mold_price"`
	Each      *money.Amount `json:"casting_price"` // nil = no castings are offered
	Copies    int           `json:"copies"`
	Net       money.Amount  `json:"net"`
	Tax       *money.Amount `json:"tax"` // on top of net; nil = the shop file states none
	TaxPct    *float64      `json:"tax_pct"`
	Pay       money.Amount  `json:"to_pay"` // net and tax
	Deposit   *money.Amount `json:"deposit"`
	ValidDays *float64      `json:"valid_days"`
}

// offer splits a total between the mold and n castings by what each of them cost:
// a casting bears its own share of cost with overhead and margin, down to whole
// cents, and the mold the rest, so that nothing is lost to rounding.
func offer(pr Prices, total, molds, castings money.Amount, n int) (*Offer, error) {
	o := &Offer{Mold: total, Net: total, Pay: total, ValidDays: pr.ValidDays, TaxPct: pr.TaxPct}
	if n > 0 && castings > 0 && molds+castings > 0 {
		all, err := total.Share(int64(castings), int64(molds+castings))
		if err != nil {
			return nil, err
		}
		each := all / money.Amount(n) / money.Cent * money.Cent
		o.Mold = total - each*money.Amount(n)
		o.Each, o.Copies = &each, n
	}
	if pr.TaxPct != nil {
		tax, err := total.Percent(*pr.TaxPct)
		if err != nil {
			return nil, err
		}
		o.Tax = &tax
		o.Pay += tax
	}
	if pr.DepositPct != nil {
		d, err := o.Pay.Percent(*pr.DepositPct)
		if err != nil {
			return nil, err
		}
		o.Deposit = &d
	}
	return o, nil
}
