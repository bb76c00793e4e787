package estimate

import "moldtally/estimate/money"

// Offer is what a client is asked to pay: the price of the mold, once, and of
// each casting, with overhead and margin inside and nothing of how they came
// about. Mold and castings add up to the cost's total to the cent.
type Offer struct {
	Mold      float64  `json:"mold_price"`
	Each      *float64 `json:"casting_price"` // nil = no castings are offered
	Copies    int      `json:"copies"`
	Net       float64  `json:"net"`
	Tax       *float64 `json:"tax"` // on top of net; nil = the shop file states none
	TaxPct    *float64 `json:"tax_pct"`
	Pay       float64  `json:"to_pay"` // net and tax
	Deposit   *float64 `json:"deposit"`
	ValidDays *float64 `json:"valid_days"`
}

// offer splits a total between the mold and n castings: a casting bears its own
// share of cost with overhead and margin, down to whole cents, and the mold the
// rest, so that nothing is lost to rounding.
func offer(pr Prices, total, molds, castings money.Amount, n int) (*Offer, error) {
	o := &Offer{ValidDays: pr.ValidDays, TaxPct: pr.TaxPct}
	mold := total
	if n > 0 && castings > 0 && molds+castings > 0 {
		share, err := total.Times(castings.Float() / (molds + castings).Float() / float64(n))
		if err != nil {
			return nil, err
		}
		each := share / money.Cent * money.Cent
		mold = total - each*money.Amount(n)
		f := each.Float()
		o.Each, o.Copies = &f, n
	}
	o.Mold, o.Net = mold.Float(), total.Float()
	pay := total
	if pr.TaxPct != nil {
		tax, err := total.Percent(*pr.TaxPct)
		if err != nil {
			return nil, err
		}
		pay += tax
		f := tax.Float()
		o.Tax = &f
	}
	o.Pay = pay.Float()
	if pr.DepositPct != nil {
		d, err := pay.Percent(*pr.DepositPct)
		if err != nil {
			return nil, err
		}
		f := d.Float()
		o.Deposit = &f
	}
	return o, nil
}
