package estimate

import (
	"context"
	"math"
	"strings"
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/shape"
)

func wayNamed(r *Rubber, name string) *Saving {
	for i := range r.HaveWays {
		if strings.Contains(said(r.HaveWays[i].What), name) {
			return &r.HaveWays[i]
		}
	}
	return nil
}

// A slab of 100 by 100 by 30 with a tower of 40 by 40 to 130 mm on it: the best
// ledge stands over the slab, and what it saves is plain geometry.
func TestSteppedBox(t *testing.T) {
	xs, zs := []float64{0, 30, 70, 100}, []float64{0, 30, 130}
	m := shape.Blocks(xs, xs, zs, func(i, j, k int) bool { return k == 0 || i == 1 && j == 1 })
	w, o := 10.0, 10.0
	s := tallyOf(t, m, Job{Up: up(0, 0, 1), Mold: "block", Container: "box", Wall: &w, Over: &o, Resolution: 1, Rubber: rubber.Request{Name: "tin-20", Have: p(1000)}})
	r, f := s.Plan.Rubber, s.Fit
	got := wayNamed(r, "stepped")
	if got == nil {
		t.Fatalf("no stepped box among %+v", r.HaveWays)
	}
	full := f.Interior[0] * f.Interior[1]
	level := 0.0 // the first height that is tried above the slab
	for k := 1.0; k <= stepLevels; k++ {
		if z := k * (f.FillHeight - f.Over) / stepLevels; z > 30 {
			level = z
			break
		}
	}
	ledge := math.Ceil(level + 10)
	want := (full - 60*60) * (f.FillHeight - ledge)
	k := (*r.PartA + *r.PartB) / r.VolumeHigh
	if math.Abs(*got.Saves-k*want) > 1e-6**got.Saves || got.Inside[0] != 60 || got.Inside[1] != 60 {
		t.Errorf("got %g g, inside %v; want %g g, 60 by 60 above %g mm", *got.Saves, *got.Inside, k*want, ledge)
	}
	// The scrap keeps to a quarter and the plug to its room.
	if x := wayNamed(r, "scrap"); x == nil || *x.Saves > fillerShare*(*r.PartA+*r.PartB)*1.001 {
		t.Errorf("scrap: %+v", x)
	}
	if !s.Plan.Warnings.Has(CodeShort) || *r.HaveShort != *r.PartA+*r.PartB-1000 {
		t.Errorf("short by %g", *r.HaveShort)
	}
}

// The thinner box that is said to do does, when it is planned.
func TestThinnerSidesDo(t *testing.T) {
	if testing.Short() {
		t.Skip("plans whole bodies; TestTallyVerdicts plans two in the short run")
	}
	m := shape.Box(120, 90, 60)
	w := 16.0
	job := Job{Up: up(0, 0, 1), Mold: "block", Container: "box", Wall: &w, Resolution: 1, Rubber: rubber.Request{Name: "tin-20", WeighTo: p(1)}}
	all := tallyOf(t, m, job).Plan.Rubber
	need := *all.PartA + *all.PartB
	for _, share := range []float64{0.95, 0.85} {
		have := share * need
		job.Rubber.Have = &have
		job.Inside, job.Wall, job.Container = nil, &w, "box"
		r := tallyOf(t, m, job).Plan.Rubber
		x := wayNamed(r, "thinner")
		if x == nil || !x.Does || *x.Wall < wallLeast {
			t.Errorf("%.0f %% of it: thinner sides: %+v", 100*share, x)
			continue
		}
		job.Inside, job.Wall, job.Container = x.Inside, nil, ""
		s := tallyOf(t, m, job)
		if again := s.Plan.Rubber; *again.HaveShort > 0 {
			t.Errorf("%.0f %% of it: the box of %v mm inside is still %g g short", 100*share, *x.Inside, *again.HaveShort)
		}
		if side := (x.Inside[1] - 90) / 2; math.Abs(side-*x.Wall) > 0.01 {
			t.Errorf("%.0f %% of it: walls of %g mm, thinnest %g, said to be %g", 100*share, side, s.Fit.Thinnest, *x.Wall)
		}
	}
	// Enough is enough.
	have := need
	job.Rubber.Have, job.Inside, job.Wall = &have, nil, &w
	job.Container = "box"
	if r := tallyOf(t, m, job).Plan.Rubber; *r.HaveShort != 0 || len(r.HaveWays) != 0 {
		t.Errorf("as much as it takes: short by %g, %v", *r.HaveShort, r.HaveWays)
	}
}

// Without a mesh: how much to save, and scrap.
func TestShelfOfPour(t *testing.T) {
	plan, err := TallyPour(context.Background(), PourJob{Box: &[3]float64{100, 100, 100}, Job: Job{Rubber: rubber.Request{Name: "tin-20", Have: p(1100)}}})
	if err != nil {
		t.Fatal(err)
	}
	r := plan.Rubber
	if x := wayNamed(r, "scrap"); x == nil || !x.Does || !strings.Contains(said(x.How), "tin-cure silicone") {
		t.Errorf("scrap: %+v of %+v", x, r)
	}
	if x := wayNamed(r, "plug"); x == nil || x.Saves != nil || x.Does {
		t.Errorf("plug: %+v", x)
	}
}

// The shop's own rubber serves, and where there is too little of it another that
// is enough; the limestone original is never planned in what bonds to it.
func TestOwnRubber(t *testing.T) {
	own := func(name string, family material.Family, left float64) rubber.Rubber {
		return rubber.Rubber{Name: name, Family: family, ShoreA: &material.Figure{Value: 30}, SG: material.Figure{Value: 1.1}, MixRatio: "1:1", MixBy: rubber.ByWeight, Own: true, Stock: rubber.Stock{Left: &left}}
	}
	shop := &Shop{Rubbers: []rubber.Rubber{own("little", material.Platinum, 500), own("much", material.Platinum, 5000)}}
	plan := pour(t, PourJob{Box: &[3]float64{100, 100, 100}, Job: Job{Shop: shop}})
	if r := plan.Rubber; r.Name != "much" || !r.Owned || *r.Have != 5000 || *r.HaveShort != 0 {
		t.Errorf("got %s, owned %v", r.Name, r.Owned)
	}
	shop.Rubbers = shop.Rubbers[:1]
	plan = pour(t, PourJob{Box: &[3]float64{100, 100, 100}, Job: Job{Shop: shop}})
	if r := plan.Rubber; r.Name != "little" || *r.HaveShort < 600 || !plan.Warnings.Has(CodeShort) {
		t.Errorf("too little: got %s, short %v", r.Name, r.HaveShort)
	}
	shop.Rubbers = []rubber.Rubber{own("ours", material.Polyurethane, 50000)}
	plan = pour(t, PourJob{Box: &[3]float64{400, 400, 450}, Job: Job{Shop: shop, PatternMaterial: "limestone", Irreplaceable: true, Cast: "concrete", Copies: 12}})
	if r := plan.Rubber; r.Owned || r.Name == "ours" || !plan.Warnings.Has(rubber.CodeNotOwned) || plan.Refused() {
		t.Errorf("a limestone original: got %s, %v", r.Name, plan.Warnings)
	}
	for _, r := range plan.Rubber.Risks {
		if r.Harm.Case == GripsFace || r.Harm.Case == NoCure {
			t.Errorf("the plan and its guards contradict each other: %+v", r)
		}
	}
	plan = pour(t, PourJob{Box: &[3]float64{400, 400, 450}, Job: Job{Shop: shop, PatternMaterial: "limestone", Irreplaceable: true, Rubber: rubber.Request{Name: "ours"}}})
	if !plan.Refused() || !plan.Warnings.Has(rubber.CodeHarms) {
		t.Errorf("polyurethane asked for on an original: %v", plan.Warnings)
	}
	if plan = pour(t, PourJob{Box: &[3]float64{100, 100, 100}, Job: Job{PatternMaterial: "gilding"}}); !plan.Refused() {
		t.Error("gilding is poured over")
	}
}

// No clay is laid against an original that drinks its oil: no poured blanket, no
// halves; and its sealer is what the table has for such originals.
func TestOriginalDrinks(t *testing.T) {
	for name, want := range map[string]bool{"limestone": true, "old-plaster": true, "bone": true, "steel": false} {
		for _, original := range []bool{true, false} {
			j, err := Job{PatternMaterial: name, Irreplaceable: original}.resolve()
			if err != nil {
				t.Fatal(err)
			}
			if got := j.drinks(); got != (want && original) {
				t.Errorf("%s, original %v: %v", name, original, got)
			}
			plan := pour(t, PourJob{Box: &[3]float64{100, 100, 100}, Job: j.Job})
			for _, f := range plan.Warnings {
				if m, ok := f.Facts.(rubber.Meets); ok && (m.Original != original || (m.Gentle != "") != (original && want)) {
					t.Errorf("%s, original %v: %+v", name, original, m)
				}
			}
		}
	}
}
