package estimate

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"runtime"
	"strings"
	"testing"

	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

func up(x, y, z float64) Up { return Up{Dir: mesh.V(x, y, z)} }

func tallyOf(t *testing.T, m *mesh.Mesh, job Job) *Session {
	t.Helper()
	if job.Source.UnitsFrom == "" {
		job.Source = Source{File: "x.stl", Format: "stl", Units: "mm", UnitsFrom: "flag", Resized: 1}
	}
	s, err := sharedTally(m, job, Options{Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	wellFormed(t, s.Plan)
	return s
}

func TestTallyVerdicts(t *testing.T) {
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		job  Job
		want Answer
	}{
		{"cone", shape.Cone(30, 60, 48), Job{Up: up(0, 0, 1)}, ComesOut},
		{"box", shape.Box(80, 50, 30), Job{Up: up(0, 0, 1)}, ComesOut},
		{"mushroom as a block", shape.Mushroom(30, 15, 10, 40, 48), Job{Up: up(0, 0, 1), Mold: "block"}, SlitIt},
		{"leaning post", shape.LeaningPost(20, 100, 40), Job{Up: up(0, 0, 1)}, ComesOutSoft},
		{"blind cross hole", shape.CrossHoleCube(100, 20, 98), Job{Up: up(0, 0, 1), Mold: "block"}, SlitIt},
		{"arch", shape.Arch(120, 40, 100, 25, 60), Job{Up: up(0, 0, 1), Mold: "block"}, MakeTwoParts},
		{"arch, the tool chooses", shape.Arch(120, 40, 100, 25, 60), Job{}, ComesOut},
		{"flat ring", shape.Torus(40, 10, 48, 24), Job{Up: up(0, 0, 1), Mold: "block"}, ComesOutSoft},
		{"frustum", shape.Frustum(50, 40, 100, 48), Job{Up: up(0, 0, 1)}, ComesOut},
	} {
		if testing.Short() && c.name != "box" && c.name != "leaning post" {
			continue
		}
		c.job.Resolution = 0.8
		if c.name == "blind cross hole" {
			c.job.Resolution = 0.4 // coarser, its blind end is drawn
		}
		s := tallyOf(t, c.m, c.job)
		if v := s.Plan.Verdict; v.Answer != c.want {
			t.Errorf("%s: got %q because %v, want %q", c.name, v.Answer, v.Because, c.want)
		}
	}
}

func TestTallyFigures(t *testing.T) {
	// A box 80 by 50 by 30 with 12 mm of rubber at the sides and 10 over it,
	// standing on the board: 104·74·40 less its volume.
	w, o := 12.0, 10.0
	s := tallyOf(t, shape.Box(80, 50, 30), Job{Up: up(0, 0, 1), Mold: "block", Container: "box", Wall: &w, Over: &o, Resolution: 0.5, Cast: "resin", Copies: 100,
		PatternMaterial: "wax", Rubber: rubber.Request{Name: "tin-20", SG: p(1.1), Mix: &[2]float64{1, 1}, PricePerKg: eur(25), Currency: "EUR"}})
	plan := s.Plan
	want := 104.0*74*40 - 120000
	r := plan.Rubber
	// The clay fillet under nothing takes no rubber away from a plain box.
	if math.Abs(r.Volume-want) > 0.01*want {
		t.Errorf("rubber: got %g mm³, want about %g", r.Volume, want)
	}
	if !close(*r.Mass, r.Volume/1000*1.1, 1e-12) || !close(*r.MassToMix, r.VolumeHigh/1000*1.1*1.08, 1e-12) || *r.PartA+*r.PartB < *r.MassToMix {
		t.Errorf("got %g g, %g to mix, %g + %g", *r.Mass, *r.MassToMix, *r.PartA, *r.PartB)
	}
	if plan.Container.HoldDown == nil || math.Abs(*plan.Container.HoldDown-(1.1-0.90)*120e-3*9.80665) > 1e-6 {
		t.Errorf("hold down: got %v N, want that of 120 cm³ of wax in rubber", plan.Container.HoldDown)
	}
	if plan.Casting == nil || plan.Casting.MoldsNeeded == nil || plan.Casting.PourUp == nil || plan.Casting.PourUp[2] != -1 {
		t.Errorf("casting: %+v", plan.Casting)
	}
	if plan.Cost == nil || plan.Cost.Currency != "EUR" || plan.Cost.PerCasting == nil {
		t.Errorf("cost: %+v", plan.Cost)
	}
	if plan.Options == nil || len(*plan.Options) < 2 {
		t.Fatalf("options: %v", plan.Options)
	}
	for i := 1; i < len(*plan.Options); i++ {
		if *(*plan.Options)[i-1].Cost > *(*plan.Options)[i].Cost {
			t.Error("options are not cheapest first")
		}
	}
	// Dunked.
	s = tallyOf(t, shape.Box(80, 50, 30), Job{Up: up(0, 0, 1), Mold: "block", Container: "box", Wall: &w, Over: &o, Resolution: 0.5, Displaced: p(100000)})
	if got := s.Plan.Rubber.Volume; math.Abs(got-(104.0*74*40-100000)) > 0.01*got || !s.Plan.Warnings.Has(CodeDunked) {
		t.Errorf("dunked at 100 cm³: got %g mm³ of rubber", got)
	}
	if s.Plan.Container.HoldDown != nil {
		t.Errorf("an unknown mass gives a hold-down of %g N", *s.Plan.Container.HoldDown)
	}
	floats := false
	for _, n := range s.Plan.NotChecked {
		floats = floats || n.What == FloatUnknown
	}
	if !floats {
		t.Errorf("not checked: %v does not name the float", s.Plan.NotChecked)
	}
}

func TestTallyShop(t *testing.T) {
	shop, bad := ParseShop(strings.NewReader(`
[defaults]
board = "mdf-12"
rubber = "ours"
step_mm = 5
[prices]
currency = "EUR"
hours_box = 1
labor_per_hour = 30
[[rubber]]
name = "ours"
family = "tin"
sg = 1.2
mix = "100:3"
shore_a = 20
kits = [ { size_g = 1000, price = 30 } ]
[[board]]
name = "mdf-12"
price_per_m2 = 10
[[tube]]
name = "our pipe"
bore_mm = 115
price_per_m = 8
`))
	if bad != nil {
		t.Fatal(bad)
	}
	s := tallyOf(t, shape.Box(80, 50, 30), Job{Up: up(0, 0, 1), Mold: "block", Container: "box", Shop: shop, Resolution: 0.5})
	area := 0.0
	for _, b := range s.Fit.Boards {
		area += float64(b.Count) * b.Length * b.Width / 1e6
	}
	boards := 0.0
	for _, l := range s.Plan.Cost.Lines {
		if l.What.Kind == BoughtBoard {
			boards += l.Quantity
		}
	}
	if !close(boards, area, 1e-9) || area == 0 || s.Plan.Rubber.Name != "ours" || len(*s.Plan.Rubber.Kits) != 1 {
		t.Errorf("boards priced: %g m² of %g; rubber %s, kits %v", boards, area, s.Plan.Rubber.Name, s.Plan.Rubber.Kits)
	}
	s = tallyOf(t, shape.Box(80, 50, 30), Job{Up: up(0, 0, 1), Mold: "block", Container: "sleeve", Shop: shop, Resolution: 0.5})
	if s.Fit.Stock == nil || *s.Fit.Stock != "our pipe" || *s.Fit.Diameter != 115 {
		t.Errorf("sleeve: %v, bore %v; want our own pipe", s.Fit.Stock, *s.Fit.Diameter)
	}
	tube := false
	for _, l := range s.Plan.Cost.Lines {
		tube = tube || l.What == Bought{Kind: BoughtTube, Name: "our pipe"}
	}
	if !tube {
		t.Errorf("the tube has no price: %v", s.Plan.Cost.Lines)
	}
}

func TestTallyStages(t *testing.T) {
	m := shape.Box(20, 20, 20)
	s := tallyOf(t, m, Job{Resolution: 0.5, Parts: Parts{ThroughPattern}, Source: Source{UnitsFrom: "assumed", Resized: 1}})
	if s.Plan.Pattern == nil || s.Plan.Demold != nil || s.Plan.Rubber != nil || !s.Plan.Warnings.Has(CodeUnitDoubtful) {
		t.Errorf("through the pattern: %+v", s.Plan)
	}
	s = tallyOf(t, m, Job{Resolution: 0.5, Parts: Parts{ThroughDemold}})
	if s.Plan.Demold == nil || s.Plan.Verdict == nil || s.Plan.Container != nil {
		t.Errorf("through demolding: %+v", s.Plan)
	}
	s = tallyOf(t, m, Job{Resolution: 0.5, Parts: Parts{ThroughContainer}})
	if s.Plan.Container == nil || s.Plan.Options == nil || s.Plan.Casting != nil {
		t.Errorf("through the container: %+v", s.Plan)
	}
}

func TestTallyErrors(t *testing.T) {
	ctx := context.Background()
	flat := mesh.New([]mesh.Vec{mesh.V(0, 0, 0), mesh.V(10, 0, 0), mesh.V(0, 10, 0)}, [][3]int32{{0, 1, 2}})
	s, err := Tally(ctx, flat, Job{}, Options{})
	if !errors.Is(err, solid.ErrNothing) || s == nil || s.Plan.Pattern == nil || s.Plan.Pattern.Triangles != 1 || s.Plan.Pattern.DisplacedVolume != nil {
		t.Errorf("one triangle: got %+v, %v; want its counts and ErrNothing", s, err)
	}
	var bad *rubber.BadInput
	for _, job := range []Job{{Mold: "jelly"}, {Rubber: rubber.Request{Name: "no such"}}, {Cast: "no such"}, {PatternMaterial: "no such"}, {Infill: p(-1)}, {Temp: p(math.NaN())}} {
		if _, err := Tally(ctx, shape.Cube(20), job, Options{}); !errors.As(err, &bad) {
			t.Errorf("%+v: got %v, want a bad input", job, err)
		}
	}
	gone, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := Tally(gone, shape.Cube(20), Job{}, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
}

func TestTallySameBytes(t *testing.T) {
	m := shape.Vase(20, 35, 18, 90, 4, 16)
	var first []byte
	for _, n := range []int{1, 4} {
		old := runtime.GOMAXPROCS(n)
		s, err := Tally(context.Background(), m, Job{Resolution: 2, Up: up(0, 0, 1)}, Options{})
		runtime.GOMAXPROCS(old)
		if err != nil {
			t.Fatal(err)
		}
		b, err := json.Marshal(s.Plan)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = b
		} else if string(first) != string(b) {
			t.Errorf("%d cores give other bytes", n)
		}
	}
}

func TestUnitDoubt(t *testing.T) {
	for _, c := range []struct {
		size float64
		src  Source
		code finding.Code
		sev  finding.Severity
	}{
		{1.5, Source{UnitsFrom: "assumed"}, CodeUnitDoubtful, finding.Caution},
		{20, Source{UnitsFrom: "assumed"}, CodeUnitDoubtful, finding.Caution},
		{150, Source{UnitsFrom: "assumed"}, CodeUnitAssumed, finding.Note},
		{5000, Source{UnitsFrom: "assumed"}, CodeUnitDoubtful, finding.Caution},
		{40, Source{UnitsFrom: "assumed", Resized: 2}, CodeUnitDoubtful, finding.Caution},
		{20, Source{UnitsFrom: "flag"}, "", 0}, {20, Source{UnitsFrom: "file"}, "", 0}, {20000, Source{UnitsFrom: "file"}, CodeUnitDoubtful, finding.Caution},
		{20, Source{UnitsFrom: "assumed", SizeGiven: true}, "", 0}, {20000, Source{UnitsFrom: "file", SizeGiven: true}, "", 0},
	} {
		got := unitDoubt(c.src, mesh.V(c.size, 1, 1))
		if c.code == "" {
			if len(got) > 0 {
				t.Errorf("%g %+v: got %v, want nothing", c.size, c.src, got)
			}
			continue
		}
		if len(got) != 1 || got[0].Code != c.code || got[0].Severity != c.sev {
			t.Errorf("%g %+v: got %v", c.size, c.src, got)
		}
	}
}

func TestAngular(t *testing.T) {
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want bool
	}{{"box", shape.Box(80, 50, 30), true}, {"arch", shape.Arch(120, 40, 100, 25, 60), true}, {"ball", shape.Sphere(30, 32), false}, {"vase", shape.Vase(20, 35, 18, 90, 4, 64), false}} {
		s := tallyOf(t, c.m, Job{Parts: Parts{ThroughPattern}})
		if got := angular(s.Solid); got != c.want {
			t.Errorf("%s: got %v", c.name, got)
		}
	}
}
