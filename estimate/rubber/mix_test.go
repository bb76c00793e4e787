package rubber

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

func near(got, want, rel float64) bool { return math.Abs(got-want) <= rel*math.Abs(want) }

func TestRatios(t *testing.T) {
	for _, c := range []struct{ total, a, b, wantA, wantB float64 }{
		{653.1730, 1, 1, 326.5865, 326.5865},
		{653.1730, 100, 10, 593.7936, 59.3794},
		{653.1730, 100, 5, 622.0695, 31.1035},
		{653.1730, 100, 3, 634.1486, 19.0245},
		{653.1730, 2, 1, 435.4487, 217.7243},
	} {
		a := c.total * Ratio{c.a, c.b}.ShareA()
		if !near(a, c.wantA, 1e-6) || !near(c.total-a, c.wantB, 3e-6) {
			t.Errorf("%g g at %g:%g: got %.4f + %.4f, want %.4f + %.4f", c.total, c.a, c.b, a, c.total-a, c.wantA, c.wantB)
		}
	}
	r := Ratio{1, 1}.ByWeight(1.10, 1.02)
	if !near(r.A/r.B, 1.078431, 1e-6) || !near(400*r.ShareA(), 207.5472, 1e-6) || !near(400-400*r.ShareA(), 192.4528, 1e-6) {
		t.Errorf("1:1 by volume at 1.10 and 1.02: got %g", r)
	}
	for _, c := range []struct {
		r           Ratio
		a, b, wants float64
	}{{r, 1.10, 1.02, 1.06}, {Ratio{1, 1}, 1.10, 1.02, 1.058491}, {Ratio{10, 1}, 1.18, 1, 1.161002}} {
		if got := c.r.MixSG(c.a, c.b); !near(got, c.wants, 1e-6) {
			t.Errorf("mix of %v at %g and %g: got %.6f g/cm³, want %.6f", c.r, c.a, c.b, got, c.wants)
		}
	}
	for s, want := range map[string]Ratio{"1:1": {1, 1}, " 100 : 10": {100, 10}, "10%": {100, 10}, "3 phr": {100, 3}, "1:0": {1, 0}} {
		if got, err := ParseRatio(s); err != nil || got != want {
			t.Errorf("ParseRatio(%q): got %v, %v, want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "1", "0:1", "-1:1", "1:-1", "a:b", "nan:1", "1:nan", "inf:1", "1:inf", "1:1:1"} {
		if got, err := ParseRatio(s); err == nil {
			t.Errorf("ParseRatio(%q): got %v, want an error", s, got)
		}
	}
}

func TestWeigh(t *testing.T) {
	for _, c := range []struct {
		need       float64
		r          Ratio
		step, a, b float64
		err        float64
	}{
		{705.427, Ratio{1, 1}, 5, 355, 355, 0},
		{653.173, Ratio{1, 1}, 1, 327, 327, 0},
		{653.173, Ratio{100, 10}, 5, 595, 60, 0.0084034},
		{653.173, Ratio{100, 3}, 5, 635, 19, -0.0026247},
		{60, Ratio{100, 10}, 5, 55, 5.5, 0},
		{60, Ratio{10, 1}, 5, 55, 5.5, 0},
		{160, Ratio{100, 3}, 5, 160, 4.8, 0},
		{653.173, Ratio{2, 1}, 5, 440, 220, 0},
		{653.173, Ratio{1, 2}, 5, 220, 440, 0},
		{60, Ratio{10, 100}, 5, 5.5, 55, 0},
		{100, Ratio{1, 0}, 5, 100, 0, 0},
		{101, Ratio{1, 0}, 0.05, 101, 0, 0},
	} {
		got := Weigh(c.need, c.r, c.step)
		if got.A != c.a || got.B != c.b || math.Abs(got.Error-c.err) > 1e-6 {
			t.Errorf("%g g at %v in steps of %g g: got %v + %v (%+.4f), want %v + %v (%+.4f)", c.need, c.r, c.step, got.A, got.B, got.Error, c.a, c.b, c.err)
		}
	}
}

// Whatever is asked, the weights cover the need, the larger is a whole number
// of steps, and the ratio is kept unless no step could.
func TestWeighHolds(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 11))
	ratios := []Ratio{{1, 1}, {2, 1}, {10, 1}, {100, 3}, {100, 5}, {100, 37.5}, {1, 2}, {3, 100}, {52, 48}, {100, 1}}
	for range 20000 {
		need := math.Exp(rnd.Float64()*9) / 4
		step := []float64{0.01, 0.05, 0.1, 0.5, 1, 2, 5, 10, 25}[rnd.IntN(9)]
		r := ratios[rnd.IntN(len(ratios))]
		w := Weigh(need, r, step)
		if w.A+w.B < need*(1-1e-9) {
			t.Fatalf("seed 7,11: %g g at %v step %g: %v + %v falls short", need, r, step, w.A, w.B)
		}
		large := max(w.A, w.B)
		if d := large/step - math.Round(large/step); math.Abs(d) > 1e-6 {
			t.Fatalf("seed 7,11: %g g at %v step %g: %v is no whole number of steps", need, r, step, large)
		}
		if w.A > 0 && w.B > 0 {
			if e := w.B/w.A/(r.B/r.A) - 1; math.Abs(e-w.Error) > 1e-9 {
				t.Fatalf("seed 7,11: %g g at %v step %g: error %g reported, %g found", need, r, step, w.Error, e)
			}
		}
		if math.Abs(w.Error) > ratioAim {
			// The slow twin: no step of the eleven has a rounding within 1 % that covers the need.
			share := max(r.A, r.B) / (r.A + r.B)
			ratio := min(r.A, r.B) / max(r.A, r.B)
			for k := 0.0; k <= ratioSteps; k++ {
				l := (math.Ceil(need*share/step-1e-9) + k) * step
				fine := min(step, fineStep)
				if step >= fineStep {
					fine = fineStep
				}
				s := math.Round(l*ratio/fine) * fine
				e := s/l/ratio - 1
				if r.B > r.A {
					e = l/s*ratio - 1
				}
				if math.Abs(e) < ratioAim*0.999 && l+s >= need {
					t.Fatalf("seed 7,11: %g g at %v step %g: gave %+v, though %g + %g keeps the ratio", need, r, step, w, l, s)
				}
			}
		}
	}
}

func TestBlendWorkedExample(t *testing.T) {
	// A box of 6 by 4 by 1.5 inches at 25 in³/lb, 1:1, 8 % over.
	vol := 6 * 4 * 1.5 * 16387.064
	m := Blend(MixRequest{SG: float64(unit.FromIn3PerLb(25)), Ratio: Ratio{1, 1}, Portions: []Portion{{"whole", vol, vol}}, Extra: 0.08, WeighTo: 5, Film: UnknownFilm})
	if !near(m.Mass, 653.1730, 1e-7) || !near(m.ToMix, 705.4269, 1e-7) || !near(m.ToMix/2, 352.7134, 1e-6) || *m.PartA != 355 || *m.PartB != 355 {
		t.Errorf("got %.4f g, %.4f g to mix, %g + %g; want 653.1730, 705.4269, 355 + 355", m.Mass, m.ToMix, *m.PartA, *m.PartB)
	}
	if len(m.Findings) != 0 {
		t.Errorf("got findings %v, want none", m.Findings)
	}
}

func TestFilm(t *testing.T) {
	// A cup 100 mm wide filled to 80: 32986.72 mm² wet, 9.896 cm³ of film.
	v := math.Pi / 4 * 100 * 100 * 80
	if got := CupFilm(v, 0.3); !near(got, 9896.0, 1e-4) {
		t.Errorf("film: got %.1f mm³, want 9896", got)
	}
	for mu, want := range map[float64]float64{1: 0.1, 20: 0.3, 0: UnknownFilm, 500: 0.5, 0.01: 0.1} {
		if got := Film(mu); !near(got, want, 1e-9) {
			t.Errorf("film at %g Pa·s: got %g mm, want %g", mu, got, want)
		}
	}
	// A thimbleful: the cups take more than 8 %.
	m := Blend(MixRequest{SG: 1.1, Ratio: Ratio{10, 1}, Portions: []Portion{{"whole", 5000, 5000}}, Extra: 0.08, WeighTo: 0.1, Film: 0.3})
	if want := 2 * CupFilm(5000, 0.3) * 1.1 / 1000; !near(m.Extra, want, 1e-12) || m.Extra < 0.08*5.5 {
		t.Errorf("extra for 5 ml: got %g g, want the film of two cups, %g g", m.Extra, want)
	}
}

func TestBlendByVolume(t *testing.T) {
	a, b := 1.10, 1.02
	q := MixRequest{SG: 1.06, Ratio: Ratio{1, 1}, ByVolume: true, Portions: []Portion{{"whole", 300000, 300000}}, Extra: 0, WeighTo: 0.1}
	m := Blend(q)
	if m.PartA != nil || m.PartB != nil || m.PartAml != nil || m.Error != nil || !m.Findings.Has(CodeGravity) {
		t.Errorf("without gravities: got %v %v %v, want nothing and a stop", m.PartA, m.PartB, m.PartAml)
	}
	q.SGA, q.SGB = &a, &b
	m = Blend(q)
	if !near(*m.PartAml, *m.PartBml, 0.011) || !near(*m.PartA / *m.PartB, 1.078431, 0.011) {
		t.Errorf("with gravities: got %g g + %g g, %g ml + %g ml", *m.PartA, *m.PartB, *m.PartAml, *m.PartBml)
	}
	// By weight without gravities: grams, but no millilitres.
	m = Blend(MixRequest{SG: 1.06, Ratio: Ratio{1, 1}, Portions: []Portion{{"whole", 300000, 300000}}, WeighTo: 1})
	if m.PartA == nil || m.PartAml != nil {
		t.Errorf("by weight: got %v g, %v ml, want grams and no millilitres", m.PartA, m.PartAml)
	}
}

func TestBatches(t *testing.T) {
	if got := PotLimit(30, 4, 6, 500); !near(got, 7000, 1e-12) {
		t.Errorf("pot 30, stir 4, degas 6 at 0.5 kg/min: got %g g, want 7000", got)
	}
	// 9 kg in two halves at 30 °C, pot life 30 min at 23 °C.
	pot := AtTemp(30, 23, 30, Q10)
	if !near(pot, 18.46716, 1e-6) {
		t.Errorf("pot life at 30 °C: got %g", pot)
	}
	limit := PotLimit(pot, StirMinutes, 0, PourRate)
	half := Portion{"first", 4.5e6 / 1.1, 4.5e6 / 1.1}
	q := MixRequest{SG: 1.1, Ratio: Ratio{100, 10}, Portions: []Portion{half, {"second", half.Volume, half.High}}, Extra: 0.08, WeighTo: 5, Film: 0.3, MaxBatch: limit, MaxCup: 6000}
	m := Blend(q)
	for _, p := range m.Pours {
		if len(p.Batches) < 2 {
			t.Errorf("%s half: %d batches of 4.86 kg within %g g and a 6 l pail, want at least 2", p.Half, len(p.Batches), limit)
		}
		sum := 0.0
		for _, b := range p.Batches {
			sum += *b.PartA + *b.PartB
			if (*b.PartA+*b.PartB)/1.1*2 > 6000*1.01 {
				t.Errorf("a batch of %g g does not fit a 6 l pail", *b.PartA+*b.PartB)
			}
		}
		if sum < p.ToMix || !near(sum, *p.PartA+*p.PartB, 1e-12) {
			t.Errorf("%s half: batches sum to %g g, need %g", p.Half, sum, p.ToMix)
		}
	}
	if !m.Findings.Has(CodeBatches) {
		t.Error("no word about batches")
	}
	if PotLimit(AtTemp(20, 23, 30, Q10), StirMinutes, 6, PourRate) >= 0 {
		t.Error("20 min at 23 °C with vacuum at 30 °C should leave nothing to pour in")
	}
}

// One person and one cup: 2·(stir + degas) + pour ≤ pot. 30 min with 4 of stirring
// and 6 of vacuum leave (30 − 20)·500 = 5000 g; two people in turn, who pour every (10 + pour)/2 min,
// have 20 min to pour in, the pot life less ten. Of 18 min one has none, and two
// 6 min, 2·18 − 3·10; of 15 min nobody has any.
func TestNextBatch(t *testing.T) {
	for _, c := range []struct{ pot, alone, two float64 }{{30, 5000, 10000}, {18, -1000, 3000}, {15, 0, 0}} {
		k := Clock{Pot: c.pot, Stir: 4, Degas: 6, Rate: 500}
		if got := [2]float64{k.Wet(1), k.Wet(2)}; got != [2]float64{c.alone, c.two} {
			t.Errorf("pot life %g: got %v, want %v", c.pot, got, [2]float64{c.alone, c.two})
		}
	}
	if got := (Clock{Stir: 4, Degas: 6, Rate: 500}).Every(1600, 2); !near(got, 6.6, 1e-12) {
		t.Errorf("two people pour every %g min, want 6.6", got)
	}
	blend := func(pot, litres float64, cup float64) (int, int, finding.Severity, Batches) {
		m := Blend(MixRequest{SG: 1, Ratio: Ratio{1, 1}, Portions: []Portion{{Whole, litres * 1e6, litres * 1e6}}, Film: 0.1, WeighTo: 1, MaxCup: cup,
			MaxBatch: PotLimit(pot, 4, 6, 500), Clock: Clock{Pot: pot, Stir: 4, Degas: 6, Rate: 500}})
		var b Batches
		s := finding.Note
		for _, f := range m.Findings {
			if f.Code == CodeBatches {
				b, s = f.Facts.(Batches), f.Severity
			}
		}
		return len(m.Pours[0].Batches), m.Pours[0].People, s, b
	}
	if n, people, s, _ := blend(30, 12, 0); n != 3 || people != 1 || s != finding.Note {
		t.Errorf("12 l in 30 min: %d batches, %d people, %v", n, people, s)
	}
	if n, people, s, _ := blend(18, 5, 0); n != 3 || people != 2 || s != finding.Caution {
		t.Errorf("5 l in 18 min: %d batches, %d people, %v", n, people, s)
	}
	if _, _, s, b := blend(14, 2, 0); !b.Late || s != finding.Stop {
		t.Errorf("2 l in 14 min: %v, %+v", s, b)
	}
	if _, _, s, b := blend(30, 1000, 2000); !b.TooMany || s != finding.Stop {
		t.Errorf("a cubic metre by a cup of two litres: %v, %+v", s, b)
	}
}

// Five, seven, nine and eleven millimetres take three to six coats, each stirred by
// itself; a cup too small for one coat halves every coat.
func TestCoats(t *testing.T) {
	for thick, want := range map[float64]int{0: usualCoats, 2: 2, 5: 3, 7: 4, 8: 5, 9: 5, 11: 6} {
		if got := Coats(thick); got != want {
			t.Errorf("%g mm: %d coats, want %d", thick, got, want)
		}
	}
	q := MixRequest{SG: 1, Ratio: Ratio{1, 1}, Portions: []Portion{{Whole, 2e6, 2e6}}, Extra: BrushExtra, WeighTo: 5, Film: PasteFilm, Coats: 4,
		MaxBatch: PotLimit(18, 4, 6, 500), Clock: Clock{Pot: 18, Stir: 4, Degas: 6, Rate: 500}}
	for _, c := range []struct {
		cup  float64
		want int
	}{{5000, 4}, {1000, 8}} {
		q.MaxCup = c.cup
		m := Blend(q)
		got := m.Pours[0].Batches
		if len(got) != c.want || m.Findings.Has(CodeBatches) != (c.want > 4) || m.Pours[0].People != 1 {
			t.Fatalf("cup of %g ml: %d cups, %v", c.cup, len(got), m.Findings)
		}
		for i, b := range got {
			if want := 1 + i*4/c.want; b.Coat != want || b.Cup > c.cup {
				t.Errorf("cup of %g ml: cup %d of %g ml is of coat %d, want %d", c.cup, i+1, b.Cup, b.Coat, want)
			}
		}
	}
}

// A coat that takes 36 min to brush, in a rubber that stays liquid for 20, is mixed in
// three cups: 4 min of stirring leave 12 of the 16 in which it spreads well. Its first
// coat is 0.6 of 9 mm, and all coats together are what the whole is.
func TestCoatsWithinPotLife(t *testing.T) {
	q := MixRequest{SG: 1.12, Ratio: Ratio{1, 1}, Portions: []Portion{{Whole, 2e6, 2e6}}, Extra: BrushExtra, WeighTo: 1, Film: UnknownFilm,
		Coats: Coats(9), First: FirstCoat(9), Brushing: 36, Clock: Clock{Pot: 20, Stir: 4, Rate: 500}}
	m := Blend(q)
	p, net := m.Pours[0], 0.0
	for _, b := range p.Batches {
		net += b.Mass
	}
	if len(p.Batches) != 15 || math.Abs(net-p.ToMix) > 1e-9 || math.Abs(p.ToMix-p.Extra-2240) > 1e-9 {
		t.Fatalf("%d cups of %g g in all, of %g with %g for loss", len(p.Batches), net, p.ToMix, p.Extra)
	}
	if first, next := p.Batches[0], p.Batches[3]; first.Coat != 1 || next.Coat != 2 || math.Abs((first.Mass-next.Mass*0.6/2.1)/first.Mass) > 0.03 {
		t.Errorf("a cup of the first coat is %g g, of the next %g", first.Mass, next.Mass)
	}
	// Six coats of 76 min each in seven cups are over ten hours of one person, and
	// within a day for two.
	q.Coats, q.First, q.Brushing = Coats(11), FirstCoat(11), 76
	if m = Blend(q); len(m.Pours[0].Batches) != 42 || m.Pours[0].People != 2 {
		t.Errorf("%d cups, %d people, %v", len(m.Pours[0].Batches), m.Pours[0].People, m.Findings)
	}
	q.Clock.Pot = 6 // 0.8 min of brushing a cup
	if m = Blend(q); !slices.ContainsFunc(m.Findings, func(f finding.Finding) bool { return f.Code == CodeBatches && f.Severity == finding.Stop }) {
		t.Errorf("sets in 6 min: %v", m.Findings)
	}
	for _, c := range []struct{ demold, pot, want float64 }{{300, 20, 37.5}, {120, 20, 30}, {1440, 45, 90}, {240, 60, 60}} {
		if got := Tacky(c.demold, c.pot); got != c.want {
			t.Errorf("demold after %g min, pot life %g: tacky after %g, want %g", c.demold, c.pot, got, c.want)
		}
	}
}

func TestTemperature(t *testing.T) {
	for _, c := range []struct{ t, to, want float64 }{{20, 30, 12.31144}, {20, 18, 28.28427}, {20, 15, 34.82202}, {4, 15, 6.964405}, {4, 40, 1.231144}, {4, 60, 0.307786}} {
		if got := AtTemp(c.t, 23, c.to, Q10); !near(got, c.want, 1e-6) {
			t.Errorf("%g at 23 °C, at %g °C: got %g, want %g", c.t, c.to, got, c.want)
		}
	}
	for _, c := range []struct{ at, low, high float64 }{{30, 13.90389, 22.58694}, {23, 30, 30}, {13, 45, 90}} {
		if lo, hi := PotRange(30, 23, c.at); !near(lo, c.low, 1e-5) || !near(hi, c.high, 1e-5) {
			t.Errorf("30 min at 23 °C, at %g °C: got %g to %g min, want %g to %g", c.at, lo, hi, c.low, c.high)
		}
	}
	if got := ThermalShrink(60, 23); !near(got, 0.01147, 1e-9) {
		t.Errorf("cured at 60 °C: got %g", got)
	}
	pot, dem := 30.0, 240.0
	for _, c := range []struct {
		at       float64
		potLess  bool
		wantStop bool
	}{{35, true, false}, {23, false, false}, {12, false, false}, {8, false, true}, {45, true, true}} {
		p, d, f := Times(&pot, &dem, 23, c.at)
		if *d < dem {
			t.Errorf("at %g °C: demold %g min, under the data sheet's %g", c.at, *d, dem)
		}
		if (*p < pot) != c.potLess {
			t.Errorf("at %g °C: pot life %g min of %g", c.at, *p, pot)
		}
		worst, _ := f.Worst()
		if (worst == finding.Stop) != c.wantStop {
			t.Errorf("at %g °C: findings %v", c.at, f)
		}
	}
	if p, d, _ := Times(&pot, &dem, 23, 13); *p != 60 || *d != 480 {
		t.Errorf("at 13 °C: got %g and %g min, want both doubled", *p, *d)
	}
}

func TestTinStandsMore(t *testing.T) {
	// 100:4 in whole steps of 5 g on 0.1 g cannot miss; a coarse ratio can.
	q := MixRequest{Family: material.Platinum, SG: 1, Ratio: Ratio{1000, 1}, Portions: []Portion{{"whole", 1200, 1200}}, WeighTo: 0.1, Film: 0.1}
	if m := Blend(q); !m.Findings.Has(CodeRatio) {
		t.Errorf("a gram at 1000:1 on 0.1 g: no stop, error %g", *m.Error)
	}
}

func FuzzParseRatio(f *testing.F) {
	for _, s := range []string{"1:1", "100:10", "10%", "3 phr", "1:0", "1e400:1", "-1:1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRatio(s)
		if err != nil {
			return
		}
		again, err := ParseRatio(r.String())
		if err != nil || again != r || !(r.ShareA() > 0 && r.ShareA() <= 1) {
			t.Errorf("%q: %v, again %v, %v", s, r, again, err)
		}
		w := Weigh(100, r, 5)
		if math.IsNaN(w.A+w.B+w.Error) || w.A+w.B < 100*(1-1e-9) {
			t.Errorf("%q: 100 g weighs %+v", s, w)
		}
	})
}

func BenchmarkWeigh(b *testing.B) {
	for b.Loop() {
		Weigh(653.173, Ratio{100, 3}, 5)
	}
}
