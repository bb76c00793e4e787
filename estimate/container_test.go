package estimate

import (
	"testing"

	"moldtally/estimate/labor"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
)

// A container is weighed by what is known of the price of its rubber.
func TestPriceThatContainersAreWeighedBy(t *testing.T) {
	ten := 10 * money.Unit
	kits := []rubber.Kit{{SizeG: 500, Price: 18 * money.Unit}, {SizeG: 5000, Price: 140 * money.Unit}}
	for _, c := range []struct {
		name string
		own  *money.Amount
		kits []rubber.Kit
		want float64
	}{
		{"none known", nil, nil, labor.NominalRubber},
		{"by the better kit", nil, kits, 28},
		{"as given", &ten, kits, 10},
	} {
		j := &resolved{Job: Job{Rubber: rubber.Request{PricePerKg: c.own}}}
		if got := j.pricePerKg(&rubber.Chosen{Rubber: rubber.Rubber{Kits: c.kits}}); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
