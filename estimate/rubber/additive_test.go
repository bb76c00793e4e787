package rubber

import (
	"math/rand/v2"
	"testing"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
)

// Whatever is stirred in, the volume is filled, A and B keep their ratio, and
// the shares are what was asked for, to the step of the scale.
func TestAdditivesHold(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 9))
	for range 3000 {
		q := Request{Pigment: ptr(rnd.Float64() * 5), Thinner: ptr(rnd.Float64() * 12), Thickener: ptr(rnd.Float64() * 4)}
		f := material.Families[rnd.IntN(3)]
		added, _ := StirIn(q, f, true, nil)
		bare := 1 + rnd.Float64()/3
		sg := WithAdditives(bare, added)
		v := 1e4 + rnd.Float64()*3e6
		step := []float64{0.1, 1, 5}[rnd.IntN(3)]
		m := Blend(MixRequest{Family: f, SG: sg, Added: added, Ratio: Ratio{100, 10}, Portions: []Portion{{"whole", v, v}}, Extra: 0.08, WeighTo: step, Film: 0.3, MaxBatch: 900})
		ab := *m.PartA + *m.PartB
		total, volume := ab, ab/bare
		for i, a := range added {
			total += m.Added[i]
			volume += m.Added[i] / a.Density
		}
		if total < m.ToMix*(1-1e-9) || volume < 1.08*v/1000*(1-1e-9) {
			t.Fatalf("seed 5,9: %g g and %g cm³ mixed, want %g g and %g cm³", total, volume, m.ToMix, 1.08*v/1000)
		}
		batches := float64(len(m.Pours[0].Batches))
		for i, a := range added {
			want := ab * a.Share / (1 - Shares(added))
			if m.Added[i] < want*(1-1e-9) || m.Added[i] > want*(1+ratioAim)+0.1*batches {
				t.Fatalf("seed 5,9: %s: %g g for %g g of rubber, want %g", a.Kind, m.Added[i], ab, want)
			}
		}
	}
}

func TestAdditiveTable(t *testing.T) {
	for _, f := range material.Families {
		for _, k := range material.AdditiveKinds {
			a, ok := material.AdditiveFor(k, f)
			lo, hi := a.Share.Range()
			if !ok || a.Mind == "" || a.Beyond == "" || a.Source == "" || !(lo > 0 && lo <= a.Share.Value && a.Share.Value <= hi && hi <= a.Most.Value) {
				t.Errorf("%s for %s: %+v", k, f, a)
			}
		}
	}
	// A small drop of pigment under platinum-cure is told all the same; none is
	// silent; unknown chemistry is warned of.
	if _, l := StirIn(Request{Pigment: ptr(0.5)}, material.Platinum, false, nil); len(l) != 1 || l[0].Severity != finding.Caution {
		t.Errorf("pigment in platinum-cure: %v", l)
	}
	if a, l := StirIn(Request{Pigment: ptr(0)}, material.Platinum, false, nil); len(a)+len(l) != 0 {
		t.Errorf("nothing stirred in: %v, %v", a, l)
	}
	if _, l := StirIn(Request{Thinner: ptr(5)}, "", false, nil); len(l) != 2 {
		t.Errorf("unknown chemistry: %v", l)
	}
	if got := Softened([]Added{{Additive: material.Additive{Hardness: material.Figure{Value: 1}}, Share: 0.1}}); !near(got, 0.9, 1e-12) {
		t.Errorf("a tenth of thinner leaves %g", got)
	}
}
