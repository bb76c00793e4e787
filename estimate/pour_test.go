package estimate

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
	"moldtally/mesh/finding"
)

func eur(v float64) *money.Amount {
	a, err := money.FromFloat(v)
	if err != nil {
		panic(err)
	}
	return &a
}

func close(got, want, rel float64) bool { return math.Abs(got-want) <= rel*math.Abs(want) }

func pour(t *testing.T, j PourJob) *Plan {
	t.Helper()
	plan, err := TallyPour(context.Background(), j)
	if err != nil {
		t.Fatal(err)
	}
	wellFormed(t, plan)
	return plan
}

// wellFormed checks that a plan goes to JSON with no slice missing.
func wellFormed(t *testing.T, plan *Plan) {
	t.Helper()
	b, err := json.Marshal(plan)
	if err != nil {
		t.Fatalf("no JSON: %v", err)
	}
	for _, k := range []string{"not_checked", "warnings", "cautions", "pours", "kits", "reasons", "batches", "lines", "steps", "wants", "curve", "because"} {
		if k == "kits" && plan.Refused() {
			continue
		}
		if strings.Contains(string(b), `"`+k+`":null`) {
			t.Errorf("%s is null", k)
		}
	}
	for _, f := range plan.Warnings {
		if summary, effect, hint := told(f); f.Code == "" || summary == "" || effect == "" || hint == "" {
			t.Errorf("a warning without code or words: %+v", f)
		}
	}
}

func TestPourWorkedExample(t *testing.T) {
	plan := pour(t, PourJob{Box: &[3]float64{6 * 25.4, 4 * 25.4, 1.5 * 25.4}, Job: Job{Rubber: rubber.Request{In3PerLb: p(25), Mix: &[2]float64{1, 1}}}})
	r := plan.Rubber
	if !close(r.Volume, 36*16387.064, 1e-12) || !close(*r.Mass, 1.44*453.59237, 1e-9) || !close(*r.Mass, 653.173, 1e-6) || !close(*r.MassToMix, 705.4269, 1e-6) || *r.PartA != 355 || *r.PartB != 355 {
		t.Errorf("got %g mm³, %g g, %g to mix, %g + %g", r.Volume, *r.Mass, *r.MassToMix, *r.PartA, *r.PartB)
	}
	if len(r.Pours) != 1 || len(r.Pours[0].Batches) != 1 || *r.RatioError != 0 || r.PotLife != nil || r.Hardness != nil || plan.Cost != nil {
		t.Errorf("got %+v", r)
	}
	if w, any := plan.Warnings.Worst(); any && w != finding.Note {
		t.Errorf("warnings: %v", plan.Warnings)
	}
	if len(plan.NotChecked) == 0 || len(plan.Cautions) == 0 {
		t.Error("nothing is said of what was not checked, or of safety")
	}
}

func TestPourSmallNeedsKeepTheirRatio(t *testing.T) {
	// 60 g at 10:1 and 160 g at 100:3, after extra and film.
	for _, c := range []struct {
		need       float64
		mix        [2]float64
		wantA, wtB float64
	}{{60, [2]float64{10, 1}, 55, 5.5}, {160, [2]float64{100, 3}, 160, 4.8}} {
		v := c.need / 1.08 / 1.1 * 1000
		side := math.Cbrt(v)
		plan := pour(t, PourJob{Box: &[3]float64{side, side, side}, Job: Job{Rubber: rubber.Request{SG: p(1.1), Mix: &c.mix}}})
		if *plan.Rubber.PartA != c.wantA || *plan.Rubber.PartB != c.wtB {
			t.Errorf("%g g: got %g + %g, want %g + %g (to mix %g)", c.need, *plan.Rubber.PartA, *plan.Rubber.PartB, c.wantA, c.wtB, *plan.Rubber.MassToMix)
		}
	}
}

func TestPourInsides(t *testing.T) {
	for _, c := range []struct {
		j    PourJob
		want float64 // 0 = an error
	}{
		{PourJob{Frustum: &[3]float64{100, 80, 100}}, 638790.506},
		{PourJob{Sleeve: &[2]float64{3.998 * 25.4, 120}, Displaced: math.Pi / 4 * 60 * 60 * 100}, 689162.4},
		{PourJob{Box: &[3]float64{104, 74, 52}, Displaced: 120000}, 280192},
		{PourJob{Box: &[3]float64{10, 10, 10}, Displaced: 1000}, 0},
		{PourJob{Box: &[3]float64{10, 10, 0}}, 0},
		{PourJob{Box: &[3]float64{10, 10, math.NaN()}}, 0},
		{PourJob{}, 0},
		{PourJob{Box: &[3]float64{10, 10, 10}, Sleeve: &[2]float64{10, 10}}, 0},
		{PourJob{Box: &[3]float64{10, 10, 10}, Displaced: -1}, 0},
		{PourJob{Box: &[3]float64{10, 10, 10}, Job: Job{Rubber: rubber.Request{SG: p(-1)}}}, 0},
		{PourJob{Box: &[3]float64{10, 10, 10}, Job: Job{Cast: "moonbeams"}}, 0},
		{PourJob{Box: &[3]float64{10, 10, 10}, Job: Job{PatternMaterial: "moonbeams"}}, 0},
	} {
		plan, err := TallyPour(context.Background(), c.j)
		var bad *rubber.BadInput
		switch {
		case c.want == 0 && !errors.As(err, &bad):
			t.Errorf("%+v: got %v, %v, want a bad input", c.j, plan, err)
		case c.want != 0 && (err != nil || !close(plan.Rubber.Volume, c.want, 1e-6)):
			t.Errorf("%+v: got %v, %v, want %g", c.j, plan, err, c.want)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := TallyPour(ctx, PourJob{Box: &[3]float64{10, 10, 10}}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
}

func TestNineKilogramsAtThirtyDegrees(t *testing.T) {
	shop, bad := ParseShop(strings.NewReader(`
[[rubber]]
name = "slow"
family = "platinum"
sg = 1.1
mix = "1:1"
pot_life_min = 30
demold_min = 360
shore_a = 20
[[rubber]]
name = "quick"
family = "platinum"
sg = 1.1
mix = "1:1"
pot_life_min = 20
demold_min = 360
shore_a = 20
`))
	if bad != nil {
		t.Fatal(bad)
	}
	vol := 9000 / 1.1 * 1000
	side := math.Cbrt(vol)
	job := func(name string) PourJob {
		return PourJob{Box: &[3]float64{side, side, side}, Job: Job{Rubber: rubber.Request{Name: name}, Temp: p(30), Shop: shop}}
	}
	plan := pour(t, job("slow"))
	n := len(plan.Rubber.Pours[0].Batches)
	if n < 2 || !close(*plan.Rubber.PotLife, 18.46716, 1e-6) || *plan.Rubber.Demold != 360 {
		t.Errorf("slow: %d batches, pot life %g, demold %g", n, *plan.Rubber.PotLife, *plan.Rubber.Demold)
	}
	for _, b := range plan.Rubber.Pours[0].Batches {
		if *b.PartA+*b.PartB > rubber.PotLimit(18.47, 4, 0, 500)*1.01 {
			t.Errorf("a batch of %g g is not poured in time", *b.PartA+*b.PartB)
		}
	}
	shop.Workshop.Vacuum = p(8)
	plan = pour(t, job("quick"))
	if w, _ := plan.Warnings.Worst(); w != finding.Stop || !plan.Warnings.Has(CodePotLife) {
		t.Errorf("quick, under vacuum: %v", plan.Warnings)
	}
	for _, f := range plan.Warnings {
		if _, _, hint := told(f); f.Code == CodePotLife && !strings.Contains(hint, "vacuum") {
			t.Errorf("the hint does not name the vacuum: %s", hint)
		}
	}
}

// By the sheet's own clock no batch of 500 pours is poured after its pot life, or
// after that of the one before, without a stop; and where it takes two people, the
// sheet says so.
func TestBatchesComeInTime(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 7))
	several, two, stopped := 0, 0, 0
	for range 500 {
		shop := &Shop{}
		w := &shop.Workshop
		w.Stir, w.PourRate, w.Cup = p(1+6*rnd.Float64()), p(100+900*rnd.Float64()), p(1000+20000*rnd.Float64())
		if rnd.IntN(2) == 0 {
			w.Vacuum = p(8 * rnd.Float64())
		}
		name := []string{"platinum-20", "tin-25", "polyurethane-40", "platinum-30"}[rnd.IntN(4)]
		box := [3]float64{50 + 450*rnd.Float64(), 50 + 350*rnd.Float64(), 30 + 250*rnd.Float64()}
		temp := 15 + 20*rnd.Float64()
		plan := pour(t, PourJob{Box: &box, Job: Job{Rubber: rubber.Request{Name: name}, Temp: &temp, Shop: shop}})
		worst := finding.Note
		for _, f := range plan.Warnings {
			if f.Code == rubber.CodeBatches || f.Code == CodePotLife {
				worst = max(worst, f.Severity)
			}
		}
		if worst == finding.Stop {
			stopped++
			continue
		}
		var mixed, poured, done []float64
		for _, s := range plan.Schedule.Steps {
			switch s.What.Do {
			case schedule.Mix:
				mixed = append(mixed, s.Start)
			case schedule.PourIn:
				poured, done = append(poured, s.Start), append(done, s.End)
			}
		}
		pot := *plan.Rubber.PotLife + 1e-9
		for i := range mixed {
			if done[i] > mixed[i]+pot || i > 0 && poured[i] > mixed[i-1]+pot {
				t.Fatalf("%s, %v mm at %.1f °C, stir %g, vacuum %v, %g g/min: batch %d comes late: stirred at %v, poured from %v to %v, pot life %g",
					name, box, temp, *w.Stir, w.Vacuum, *w.PourRate, i+1, mixed, poured, done, pot)
			}
		}
		if len(mixed) > 1 {
			several++
		}
		if plan.Rubber.Pours[0].People > 1 {
			if two++; worst != finding.Caution {
				t.Fatalf("two people, and the sheet says nothing of it: %v", plan.Warnings)
			}
		}
	}
	if several < 50 || two < 5 || stopped < 5 {
		t.Errorf("of 500 pours %d in several batches, %d by two people, %d stopped: too few of a kind to tell", several, two, stopped)
	}
}

func TestPourMoney(t *testing.T) {
	// Kits of 1 kg at 30 and 5 kg at 120; boards, sundries and labor, 20 % over, margin 40 %.
	shop, bad := ParseShop(strings.NewReader(`
[prices]
currency = "EUR"
labor_per_hour = 40
hours_pour = 2.5
sundries = 15
overhead_pct = 20
margin_pct = 40
[[rubber]]
name = "ours"
family = "tin"
sg = 1
mix = "100:10"
shore_a = 20
kits = [ { size_g = 1000, price = "30" }, { size_g = 5000, price = 120 } ]
`))
	if bad != nil {
		t.Fatal(bad)
	}
	side := math.Cbrt(2.4e6 / 1.1) // 2.4 kg with 10 % extra
	j := PourJob{Box: &[3]float64{side, side, side}, Job: Job{Shop: shop, Rubber: rubber.Request{Name: "ours", Extra: p(10), WeighTo: p(0.1)}, Copies: 40, Cast: "plaster"}}
	plan := pour(t, j)
	c := plan.Cost
	if c == nil || c.Currency != "EUR" || *c.Subtotal != 205*money.Unit || *c.Overhead != 41*money.Unit || *c.Total != 410*money.Unit || *c.Margin != 164*money.Unit || *plan.Rubber.Cost != 90*money.Unit {
		t.Fatalf("got %+v", c)
	}
	var sum money.Amount
	for _, l := range c.Lines {
		sum += *l.Amount
	}
	// Castings are wanted, but of an unknown volume: that alone makes it a draft.
	if sum != *c.Subtotal || len(c.DraftBecause) != 1 || c.DraftBecause[0].Why != DraftCastings {
		t.Errorf("lines sum to %v, a draft for %+v", sum, c.DraftBecause)
	}
	if !close(*plan.Rubber.LeftOver, 600, 0.01) {
		t.Errorf("left over: %g g", *plan.Rubber.LeftOver)
	}
	j.Job.Rubber.Have = p(2000)
	plan = pour(t, j)
	// What is on the shelf is no gift: 2 kg at what two kits cost.
	if *plan.Rubber.Cost != 90*money.Unit || plan.Cost.Lines[0].What.Kind != ShelfRubber || !close(*plan.Rubber.HaveShort, 400, 0.01) || !plan.Warnings.Has(CodeShort) {
		t.Errorf("2 kg on the shelf: cost %v, short %g", *plan.Rubber.Cost, *plan.Rubber.HaveShort)
	}
	j.Job.Rubber = rubber.Request{Name: "ours", PricePerKg: eur(19.99), Currency: "CHF", Extra: p(10), WeighTo: p(0.1)}
	plan = pour(t, j)
	if plan.Cost.Currency != "CHF" || *plan.Rubber.Cost != 4798*money.Cent && *plan.Rubber.Cost != 4799*money.Cent {
		t.Errorf("by the kilogram: %s %v", plan.Cost.Currency, *plan.Rubber.Cost)
	}
}

func TestPourFindings(t *testing.T) {
	box := &[3]float64{100, 100, 50}
	for _, c := range []struct {
		name string
		job  Job
		code finding.Code
		sev  finding.Severity
	}{
		{"sulfur clay under platinum", Job{PatternMaterial: "sulfur-clay", Rubber: rubber.Request{Name: "platinum-20"}}, rubber.CodeInhibited, finding.Stop},
		{"zinc", Job{Cast: "zinc-alloy"}, CodeTooHot, finding.Stop},
		{"resin in polyurethane", Job{Cast: "epoxy-fast", Rubber: rubber.Request{Name: "polyurethane-40"}}, CodeTooHot, finding.Stop},
		// Polyester gets up to 160 °C: over 0.8 of the 190 °C of tin-25. Fast epoxy gets
		// up to 200 °C, over it, though its usual 140 °C are not.
		{"polyester in tin", Job{Cast: "polyester", Rubber: rubber.Request{Name: "tin-25"}}, CodeNearHot, finding.Caution},
		{"fast epoxy in tin", Job{Cast: "epoxy-fast", Rubber: rubber.Request{Name: "tin-25"}}, CodeTooHot, finding.Stop},
		{"chocolate in tin", Job{Cast: "chocolate", Rubber: rubber.Request{Name: "tin-20"}}, CodeFood, finding.Stop},
		{"chocolate in platinum that nobody declared", Job{Cast: "chocolate", Rubber: rubber.Request{Name: "platinum-20"}}, CodeFood, finding.Stop},
		{"chocolate", Job{Cast: "chocolate"}, CodeFood, finding.Note},
		{"much concrete in silicone", Job{Cast: "concrete", Copies: 60, Rubber: rubber.Request{Name: "platinum-40"}}, CodeFamily, finding.Caution},
		{"foam", Job{Cast: "foam-rigid"}, CodeFoam, finding.Caution},
		{"cold workshop", Job{Temp: p(5), Rubber: rubber.Request{Name: "tin-20"}}, rubber.CodeTemp, finding.Stop},
		{"poured latex", Job{Rubber: rubber.Request{Name: "latex-brush"}}, rubber.CodeBrush, finding.Stop},
		{"an original", Job{Irreplaceable: true, PatternMaterial: "limestone"}, CodeOriginal, finding.Caution},
		{"wax under polyurethane", Job{PatternMaterial: "wax", Rubber: rubber.Request{Name: "polyurethane-20"}}, CodeSoftens, finding.Caution},
		{"volume without gravities", Job{Rubber: rubber.Request{SG: p(1.1), Mix: &[2]float64{1, 1}, MixBy: "volume"}}, rubber.CodeGravity, finding.Stop},
	} {
		plan := pour(t, PourJob{Box: box, Job: c.job})
		found := false
		for _, f := range plan.Warnings {
			found = found || f.Code == c.code && f.Severity == c.sev
		}
		if !found {
			t.Errorf("%s: no %s of severity %v in %v", c.name, c.code, c.sev, plan.Warnings)
		}
	}
	plan := pour(t, PourJob{Box: box, Job: Job{Rubber: rubber.Request{SG: p(1.1), Mix: &[2]float64{1, 1}, MixBy: "volume"}}})
	if plan.Rubber.PartA != nil || plan.Rubber.PartAml != nil || plan.Rubber.RatioError != nil {
		t.Errorf("volume without gravities: %+v", plan.Rubber)
	}
}
