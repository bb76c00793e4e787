package render

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/labor"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/thin"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

var update = flag.Bool("update", false, "rewrite the golden files under testdata; look at them before committing")

func ptr[T any](v T) *T { return &v }

func say(s string) finding.Remark { return finding.Remark{Facts: s} }

func eur(v float64) money.Amount { a, _ := money.FromFloat(v); return a }

// sampleCurve is what rubbers stand and what hands pull, made up of straight
// lines.
func sampleCurve() (c []estimate.Strip) {
	for a := 5.0; a <= 60; a += 2.5 {
		c = append(c, estimate.Strip{ShoreA: a, Comfortable: 1.05 - a/60, Allowed: 1.25 - a/55, Limit: 2.1 - a/34, Force: ptr(40 + 3.6*a)})
	}
	return c
}

// samplePlan is the plan of samplePlanned with the answer to its job.
func samplePlan() *estimate.Plan {
	p := samplePlanned()
	p.Container.Nest(boxfit.Saw{})
	stop := p.Warnings[0]
	p.Job = &estimate.Decision{Answer: estimate.CourseOpen, Because: []estimate.Reason{{Code: stop.Code, Summary: estimate.Summary{Of: stop}}}, Change: &estimate.Change{Of: []finding.Finding{stop}}}
	return p
}

// samplePlanned is a full plan of a turned finial, its figures made to agree with
// each other by hand.
func samplePlanned() *estimate.Plan {
	return &estimate.Plan{
		Schema: estimate.Schema, Tool: "moldtally", Version: "0.1.0",
		Pattern: &estimate.Pattern{
			File: "finial.stl", FileName: ptr("finial.stl"), Format: "STL binary", Units: "mm", UnitsFrom: "assumed",
			Triangles: 41230, Vertices: 20617, Size: [3]float64{80.004, 80.004, 142.25}, Area: 38214.7,
			Pieces: 1, BoundaryEdges: 214, TurnedEdges: 3, Crumbs: 2, SelfCrossings: ptr(0),
			SignedVolume: 411873.2, MaterialVolume: ptr(412310.0), DisplacedVolume: ptr(412310.0),
			DisplacedLow: ptr(409120.0), DisplacedHigh: ptr(415890.0), DisplacedMethod: ptr(said("holes closed, winding summed")),
			SealedVoids: ptr(0), SealedVoidVolume: ptr(0.0),
			Repairs: []finding.Remark{said("closed the flat bottom"), said("patched 3 holes, the largest 14 mm across"), said("left out 2 crumbs")},
		},
		Pose: &pose.Pose{Up: [3]float64{0, 0, 1}, Reason: pose.Chosen{Steps: []pose.Step{pose.PlainSideDown}}, YawDeg: 0, Height: 142.25,
			Rect: [2]float64{80.004, 80.004}, Circle: 80.01, BaseContact: 3847, BaseContactFraction: 0.1007},
		Demold: &demold.Report{
			UndercutVolume: 38412.2, UndercutArea: 9120.4, UndercutDepth: 14.72, UndercutDepthAt: &[3]float64{24.9, 3.1, 61.8},
			UndercutPath: ptr(14.72), UndercutPathAt: &[3]float64{24.9, 3.1, 61.8},
			Stretch: ptr(0.587), StretchAt: &[3]float64{0, 0, 61.8}, StretchNeck: ptr(158.3), StretchBulge: ptr(251.2),
			Mouth: strip.Mouth{At: &[3]float64{0, 0, 0}, Perimeter: 219.8, Area: 3847}, Tunnels: ptr(1),
			Draft:      undercut.Draft{Under0: 0.22, To1: 0.08, To3: 0.11, OverThree: 0.59},
			TunnelList: []tunnel.Passage{{ID: 1, Region: ptr(2), Opening: 11.2, Length: ptr(9.4), WebArea: ptr(131.0), WebSize: &[2]float64{14, 11.2}, At: [3]float64{12, -8, 112}, WebAt: [3]float64{12, -8.5, 112}, Direction: &[3]float64{0, 1, 0}}},
			Webs:       &demold.Webs{CutArea: 131, Uncut: demold.WebFigures{Volume: 38300, Linked: 7100, Stretch: ptr(0.6)}, Slit: demold.WebFigures{Path: ptr(14.7), Volume: 38300, Stretch: ptr(0.6)}},
			Thin:       []thin.Place{{Kind: "web", Thickness: 1.24, Area: 86, Depth: 9.1, At: [3]float64{3, 22, 104}, Places: 1}, {Kind: "fin", Thickness: 0.81, Area: 40, Depth: 5.5, At: [3]float64{-7, 2, 131}, Places: 1}}, ThinWeb: 2, ThinFin: 1,
			Regions: []undercut.Region{
				{ID: 1, Kind: "neck", Depth: 14.72, Path: ptr(14.72), Volume: 31200.5, Area: 7210, At: [3]float64{24.9, 3.1, 61.8}, Height: 61.8},
				{ID: 2, Kind: "neck", Depth: 6.2, Path: ptr(6.2), Volume: 7100.2, Area: 1850, At: [3]float64{12, -8, 112}, Height: 112},
				{ID: 3, Kind: "minor", Depth: 0.41, Path: ptr(0.41), Volume: 111.5, Area: 60.4, At: [3]float64{1, 39, 20}, Height: 20},
			},
			AirTraps:  []air.Trap{{Pour: "casting", Volume: 820, At: [3]float64{0, 0, 142}}},
			DraftArea: undercut.Draft{Under0: 9080, To1: 3300, To3: 4540, OverThree: 24350},
			Air: []air.Pour{
				{Pour: "rubber", Half: "whole", Up: [3]float64{0, 0, 1}, Caught: 412, Traps: 1, At: &[3]float64{20, 3, 55}, Tilt: ptr(17.2), Toward: &[3]float64{-1, 0, 0}, Vents: [][3]float64{}, Over: ptr(31.4)},
				{Pour: "casting", Half: "whole", Up: [3]float64{0, 0, -1}, Caught: 820, Traps: 1, At: &[3]float64{0, 0, 142}, Left: 820, Vents: [][3]float64{{0, 0, 142}}},
			},
			Directions: []pose.Direction{{Up: [3]float64{0, 0, 1}, Depth: 14.72, Path: ptr(14.72), Volume: 38412.2, Stretch: ptr(0.587), Score: ptr(14.72), Reason: pose.Tried{From: pose.FileUp}}, {Up: [3]float64{1. / 3, 2. / 3, 2. / 3}, Depth: 39, Path: nil, Volume: 91200, Stretch: nil, Reason: pose.Tried{From: pose.Resting}}},
			Clay:       1.42, Resolution: 0.35, Uncertainty: 0.34, Resolved: 0.34,
		},
		Container: &boxfit.Fit{Kind: boxfit.Box, Mold: "block", Interior: &[3]float64{105, 105, 165}, Wall: 12.5, Over: 12, Under: 0,
			FillHeight: 154.3, Capacity: 1701157.5, Thinnest: 11.8, ThinnestAt: &[3]float64{40, 0, 75},
			Boards: []boxfit.Board{{Part: boxfit.Part{Role: boxfit.LongSide, Stock: "melamine-12"}, Count: 2, Length: 129, Width: 165, Thickness: 12}, {Part: boxfit.Part{Role: boxfit.ShortSide, Stock: "melamine-12"}, Count: 2, Length: 105, Width: 165, Thickness: 12}, {Part: boxfit.Part{Role: boxfit.BaseBoard, Stock: "melamine-12"}, Count: 1, Length: 189, Width: 189, Thickness: 12}},
			Seam:   1080, HoldDown: ptr(3.02), HoldDownMargin: ptr(6.04), FloorPressure: 1.69, WallForce: 13.7, BoardBow: ptr(0.2), Brace: &boxfit.Brace{Batten: boxfit.Batten{Thick: 19, Wide: 38}, Walls: 120, Bow: 0.2},
			LiftMass: ptr(3120.0),
			Options: []boxfit.Option{
				{Mold: "block", Container: "sleeve, 110 mm drain pipe", Volume: 871000, Mass: ptr(958.0), Cost: ptr(25.1)},
				{Mold: "block", Container: "box", Volume: 1287000, Mass: ptr(1425.0), Cost: ptr(37.4)},
			},
		},
		Rubber: &estimate.Rubber{Name: "platinum silicone 15", Family: "platinum-cure silicone", ShoreA: ptr(15.0), SG: 1.107, Volume: 1288847.5, VolumeLow: 1285267.5, VolumeHigh: 1292037.5,
			Mass: ptr(1426.75), MassToMix: ptr(1544.7), PartA: ptr(1405.0), PartB: ptr(140.5), RatioError: ptr(0.0),
			Pours: []estimate.Pour{{Half: "whole", Volume: 1292037.5, PartA: ptr(1405.0), PartB: ptr(140.5), Mass: 1545.5, Extra: 114.5,
				Batches: []estimate.Batch{{PartA: ptr(705.0), PartB: ptr(70.5), Cup: 2801.2}, {PartA: ptr(700.0), PartB: ptr(70.0), Cup: 2790}}}},
			Kits: &[]estimate.Kit{{Size: 1000, Count: 2, Cost: eur(62)}}, Cost: ptr(eur(62)), PotLife: ptr(34.8), Demold: ptr(360.0),
			Hardness: &estimate.Hardness{Low: ptr(10.0), High: ptr(20.0), LowReason: say("nothing asks for more"), HighReason: say("the neck must stretch by 59 %"), Preferred: 15,
				Wants:     []estimate.Want{{Toward: "soft", ShoreA: 15, Why: say("the neck must stretch by 59 % and a firmer rubber tears before it lets go"), Source: say("strain by hardness: a judgement"), Won: true}, {Toward: "firm", ShoreA: 30, Why: say("a block that stands alone"), Source: say("shop habit, no source"), Won: false}},
				LowSource: say("the softest on the Shore A scale"), HighSource: say("strain by hardness: a judgement"), Life: "normal", Share: 0.33,
				Opens:     []estimate.WayOpen{{What: rubber.Opening{By: rubber.BySlit}, Low: 30, High: 52, Opens: true}, {What: rubber.Opening{By: rubber.ByThinSides, Thick: 8, Was: 12.5}, Low: 30, High: 21}},
				Curve:     sampleCurve(),
				OpenForce: ptr(96.3), PullForce: ptr(141.2), PullIn: ptr(402.0), PullHow: rubber.Drawing{Friction: 0.3, Off: 141.2, In: 402}, HandsForce: ptr(141.2), HandsHow: rubber.Gripping{By: rubber.DrawingStraight},
				Eased: []estimate.Eased{{How: rubber.Easing{By: rubber.EasedByRelease, Friction: 0.1, Force: 88}, Force: 88}, {How: rubber.Easing{By: rubber.EasedBySlit}}}, ForceFactor: ptr(2.0),
				Alone: ptr(43.0), AloneReason: estimate.Alone{By: estimate.WallGives, Wall: 12, High: 154, Stands: true, Gives: 0.5}},
			Reasons:  []finding.Remark{say("softest that still holds its own weight")},
			MixRatio: "10:1", MixBy: "weight", ExtraMass: ptr(114.4), ExtraReason: rubber.Loss{Share: 0.08}, LeftOver: ptr(454.5), Needed: ptr(0.587),
			BareSG: 1.107, PotLifeLow: ptr(32.1), PotLifeHigh: ptr(37.5), Have: ptr(1200.0), HaveShort: ptr(345.5),
			HaveWays: []estimate.Saving{{What: estimate.SavingKind{By: estimate.Plug}, Saves: ptr(410.0), Does: true, How: estimate.SavingHow{Kind: estimate.SavingKind{By: estimate.Plug}, Away: 13, Volume: 382000}},
				{What: estimate.SavingKind{By: estimate.ThinnerSides}, Saves: ptr(101.0), How: estimate.SavingHow{Kind: estimate.SavingKind{By: estimate.ThinnerSides}, Wall: 8, Was: 11.8, Length: 97, Width: 97, Height: 165}, Wall: ptr(8.0)}},
			Vacuum:   &estimate.Vacuum{Minutes: 6, Altitude: 0, Most: 29.92, Wanted: 28.74, Gauge: ptr(29.0), Pressure: ptr(3.12), Bubble: ptr(32.48), CupRoom: 4, Lid: ptr(7162.0)},
			Practice: []rubber.Practice{{Step: rubber.StirCans}, {Step: rubber.KeepCup}},
			Risks:    []estimate.Risk{{Step: estimate.BeforeAnything}}},
		Casting: &estimate.Casting{Material: "rigid polyurethane resin", PourUp: &[3]float64{0, 0, -1}, Volume: 412310, Mass: ptr(432.9), PartA: ptr(220.0), PartB: ptr(220.0), PullsLow: ptr(40), PullsHigh: ptr(100), PullsPerMold: ptr(70), MoldsNeeded: ptr(1), DemoldAfter: ptr(20.0), DemoldLow: ptr(10.0), DemoldHigh: ptr(40.0)},
		Cost: &estimate.Cost{Currency: "EUR", Lines: []estimate.CostLine{
			{What: estimate.Bought{Kind: estimate.BoughtKit, Name: "platinum silicone 15", Size: 1000}, Quantity: 2, Unit: "kits", UnitPrice: ptr(eur(31)), Amount: ptr(eur(62))},
			{What: estimate.Bought{Kind: estimate.BoughtBoard, Name: "melamine-12"}, Quantity: 0.125, Unit: "m²", UnitPrice: ptr(eur(18.5)), Amount: ptr(eur(2.31))},
			{What: estimate.Bought{Kind: estimate.LaborHolding, Tasks: 1 << labor.Boxing}, Quantity: 0.25, Unit: "h"}},
			Subtotal: ptr(eur(64.31)), Overhead: ptr(eur(0)), Markup: ptr(eur(0)), Margin: ptr(eur(0)), Total: ptr(eur(64.31)), Days: ptr(3),
			Without: []estimate.Unpriced{{What: estimate.Bought{Kind: estimate.LaborHolding, Tasks: 1 << labor.Boxing}}},
			Draft:   true, DraftBecause: []estimate.Unsettled{{Why: estimate.DraftLabor}}, Breaks: []estimate.Break{}, Pays: []estimate.Pays{}},
		Schedule: &estimate.Schedule{Temperature: 23, Steps: []estimate.Step{{What: schedule.Task{Do: schedule.FixDown}, Start: -30, End: -20}, {What: schedule.Task{Do: schedule.BuildBox}, Start: -20, End: 0}, {What: schedule.Task{Do: schedule.Mix, A: 705, B: 70.5}, Start: 0, End: 28, Half: "whole"}, {What: schedule.Task{Do: schedule.Cure}, Start: 28, End: 388, Half: "whole"}, {What: schedule.Task{Do: schedule.Rest}, Start: 388, End: 1828, Half: "whole"}}},
		Verdict: &estimate.Verdict{Answer: estimate.ComesOutSoft, Because: []finding.Remark{
			say("the deepest undercut is 14.7 mm, and a neck must stretch by 59 %"), say("a rubber of Shore A 15 stands that for the pulls wanted")}},
		NotChecked: []estimate.NotChecked{{What: estimate.CureUnknown}, {What: estimate.EachBatch}},
		Warnings: finding.List{
			{Code: boxfit.CodeFloat, Severity: finding.Stop, Facts: boxfit.Floats{Mass: 186, Displaces: 492, Up: 3, Screws: 6, Load: 612, Glue: 12, OnBoard: true}},
			{Code: solid.CodeHoles, Severity: finding.Caution, At: &[3]float64{12, -4, 88}, Facts: solid.Holes{Count: 3, Largest: 14, At: mesh.V(12, -4, 88),
				Doubt: solid.Doubt{Displaced: unit.Bounded[unit.Volume]{Low: 409120, Value: 412310, High: 415890}, Rubber: 3.7, Density: 1.1}}},
			{Code: solid.CodeCrumbs, Severity: finding.Note, Facts: solid.Crumbs{Count: 2}},
		},
		Cautions: []estimate.Safety{estimate.ReadSheets},
	}
}

// golden compares got with a file under testdata, or rewrites it with -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs (-want +got):\n%s", name, cmp.Diff(string(want), string(got)))
	}
}

// said is a remark in words of its own.
func said(words string) finding.Remark { return finding.Remark{Facts: words} }
