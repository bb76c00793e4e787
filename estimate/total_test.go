package estimate

import (
	"testing"

	"moldtally/estimate/money"
)

func TestSum(t *testing.T) {
	plan := func(mass float64, cost money.Amount, cur string) *Plan {
		return &Plan{Rubber: &Rubber{Volume: mass * 1000, Mass: &mass, MassToMix: new(mass * 1.1)}, Cost: &Cost{Currency: cur, Total: &cost}}
	}
	s := Sum([]*Plan{plan(100, 10*money.Cent, "EUR"), nil, plan(50, 20*money.Cent, "EUR"), plan(10, 30*money.Cent, "EUR")})
	if s.Patterns != 4 || s.Failed != 1 || *s.RubberMass != 160 || *s.Cost != 60*money.Cent || *s.Currency != "EUR" || s.Mixed != 3 || s.Priced != 3 {
		t.Errorf("got %+v", s)
	}
	if s := Sum([]*Plan{plan(1, money.Unit, "EUR"), plan(1, money.Unit, "CHF")}); s.Cost != nil || s.Currency != nil || *s.RubberMass != 2 {
		t.Errorf("two currencies: got %+v", s)
	}
	if s := Sum([]*Plan{nil}); s.RubberMass != nil || s.Cost != nil || s.Failed != 1 {
		t.Errorf("all failed: got %+v", s)
	}
}
