package estimate

import (
	"slices"
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
)

// What is done for each kind of mold, in order: before the first stir, on the turned
// half, on the cured coat and mold, and on the open one.
func TestChoresOfAMold(t *testing.T) {
	rod := &boxfit.Channel{Diameter: 8}
	vents := []boxfit.Channel{{Diameter: 2}, {Diameter: 2}}
	outline := 680.0
	for _, c := range []struct {
		name   string
		make   making
		job    Job
		work   labor.Work
		before []schedule.Doing
		after  []schedule.Doing // turned, coated, cured and ready
	}{
		{"block", making{Fit: &boxfit.Fit{Mold: demold.Block, Vents: vents}, Cast: true}, Job{}, labor.Work{Method: labor.Block},
			[]schedule.Doing{schedule.FixDown, schedule.BuildBox}, []schedule.Doing{schedule.PunchVents}},
		{"slit block over sealed plaster", making{Fit: &boxfit.Fit{Mold: demold.Block}, Slit: true, Family: material.Tin}, Job{PatternMaterial: "plaster"}, labor.Work{Method: labor.Slit},
			[]schedule.Doing{schedule.SealPattern, schedule.FixDown, schedule.BuildBox}, []schedule.Doing{schedule.SlitOpen}},
		{"slit block over an original", making{Fit: &boxfit.Fit{Mold: demold.Block}, Slit: true}, Job{Irreplaceable: true}, labor.Work{Method: labor.Slit},
			[]schedule.Doing{schedule.FixDown, schedule.BuildBox, schedule.StandFin}, nil},
		{"two halves in polyurethane", making{Fit: &boxfit.Fit{Mold: demold.TwoPart, Wall: 24, Sprue: rod, Vents: vents}, Family: material.Polyurethane, Outline: &outline}, Job{}, labor.Work{Method: labor.TwoPart, Longest: 250},
			[]schedule.Doing{schedule.LayClayBed, schedule.PressKeys, schedule.SetSprue, schedule.SetVents, schedule.BuildBox, schedule.ReleasePattern}, []schedule.Doing{schedule.CloseBox}},
		{"cut mold", making{Fit: &boxfit.Fit{Mold: demold.Cut, Sprue: rod}, Slit: true}, Job{}, labor.Work{Method: labor.CutOpen},
			[]schedule.Doing{schedule.Stand, schedule.SetSprue, schedule.BuildBox}, []schedule.Doing{schedule.CutOpen}},
		{"poured blanket", making{Fit: &boxfit.Fit{Mold: demold.Blanket, Wall: 12}}, Job{}, labor.Work{Method: labor.Poured, Longest: 400},
			[]schedule.Doing{schedule.FixDown, schedule.LayClay, schedule.BuildCase, schedule.ClearClay, schedule.RefitShell}, []schedule.Doing{schedule.TakeShellOff}},
		{"brushed blanket", making{Fit: &boxfit.Fit{Mold: demold.Brushed}, Slit: true}, Job{}, labor.Work{Method: labor.Brushed},
			[]schedule.Doing{schedule.FixDown}, []schedule.Doing{schedule.BuildShell, schedule.TakeShellOff, schedule.SlitOpen}},
	} {
		j, err := c.job.resolve()
		if err != nil {
			t.Fatal(err)
		}
		c.make.Work = c.work
		got := j.chores(c.make)
		if b := doings(got.before); !slices.Equal(b, c.before) {
			t.Errorf("%s: before the first stir %v, want %v", c.name, b, c.before)
		}
		if a := doings(got.turned, got.coated, got.cured, got.ready); !slices.Equal(a, c.after) {
			t.Errorf("%s: afterwards %v, want %v", c.name, a, c.after)
		}
		for _, x := range got.before {
			if x.Minutes <= 0 || x.Task.Do == schedule.PressKeys && (x.Task.Count != 10 || x.Task.Across != 12) || x.Task.Do == schedule.LayClayBed && x.Task.Across != 24 {
				t.Errorf("%s: %+v takes %g min", c.name, x.Task, x.Minutes)
			}
		}
	}
}

func doings(lists ...[]schedule.Chore) (out []schedule.Doing) {
	for _, l := range lists {
		for _, c := range l {
			out = append(out, c.Task.Do)
		}
	}
	return out
}
