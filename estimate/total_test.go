package estimate

import "testing"

func TestSum(t *testing.T) {
	plan := func(name string, mass float64, a *float64, cost float64, cur string) *Plan {
		return &Plan{Rubber: &Rubber{Name: name, Volume: mass * 1000, Mass: mass, MassToMix: mass * 1.1, PartA: a, PartB: a}, Cost: &Cost{Currency: cur, Total: cost}}
	}
	s := Sum([]*Plan{plan("tin-20", 100, p(55), 0.1, "EUR"), nil, plan("platinum-20", 50, p(30), 0.2, "EUR"), plan("tin-20", 10, p(5), 0.3, "EUR")})
	if s.Patterns != 4 || s.Failed != 1 || *s.RubberMass != 160 || *s.Cost != 0.6 || *s.Currency != "EUR" || len(s.Rubbers) != 2 || s.Rubbers[1].Name != "tin-20" || *s.Rubbers[1].PartA != 60 || s.Rubbers[1].Patterns != 2 {
		t.Errorf("got %+v", s)
	}
	s = Sum([]*Plan{plan("a", 1, nil, 1, "EUR"), plan("a", 1, p(1), 1, "CHF")})
	if s.Cost != nil || s.Currency != nil || s.Rubbers[0].PartA != nil {
		t.Errorf("two currencies, an unknown part: got %+v", s)
	}
	if s := Sum([]*Plan{nil}); s.RubberMass != nil || s.Failed != 1 {
		t.Errorf("all failed: got %+v", s)
	}
}
