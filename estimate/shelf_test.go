package estimate

import (
	"context"
	"math"
	"strings"
	"testing"

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
