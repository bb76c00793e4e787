package estimate

import (
	"testing"

	"moldtally/estimate/money"
)

// The worked quote: cost 246.00 at a margin of 40 % of the price is 410.00, half
// of it asked for beforehand 205.00.
func TestOffer(t *testing.T) {
	amount := func(s string) money.Amount {
		a, err := money.Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	is := func(a money.Amount, s string) bool { return a == amount(s) }
	o, err := offer(Prices{DepositPct: p(50)}, amount("410"), amount("246"), 0, 0)
	if err != nil || !is(o.Mold, "410") || o.Each != nil || !is(o.Pay, "410") || o.Tax != nil || !is(*o.Deposit, "205") {
		t.Errorf("a mold alone: got %+v, %v", o, err)
	}
	// Whatever the split, mold and castings add up, and tax stands apart.
	for _, n := range []int{1, 3, 7, 40, 999} {
		o, err := offer(Prices{TaxPct: p(19), DepositPct: p(50)}, amount("1000.01"), amount("333.33"), amount("123.45"), n)
		if err != nil {
			t.Fatal(err)
		}
		if sum := o.Mold + *o.Each*money.Amount(n); !is(sum, "1000.01") {
			t.Errorf("%d castings: mold %v and castings of %v add up to %v", n, o.Mold, *o.Each, sum)
		}
		if !is(*o.Tax, "190") || !is(o.Pay, "1190.01") || !is(*o.Deposit, "595.01") {
			t.Errorf("%d castings: tax %v, to pay %v, deposit %v", n, *o.Tax, o.Pay, *o.Deposit)
		}
	}
}
