package estimate

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/shape"
)

// TestFeeding: a closed mold has a sprue and, for what that leaves, vents that end
// above it; a block with air at a hanging tip has a vent and no sprue.
func TestFeeding(t *testing.T) {
	at := func(p [3]float64) mesh.Vec { return mesh.V(p[0], p[1], p[2]) }
	// Three prongs as high as each other: laid on its edge it has none of them up.
	rake := shape.Blocks([]float64{0, 10, 40, 50, 80, 90}, []float64{0, 10}, []float64{0, 10, 50}, func(i, j, k int) bool { return k == 0 || i%2 == 0 })
	plan := tallyOf(t, rake, Job{Up: up(0, 0, 1), Mold: demold.TwoPart, Resolution: 0.5, Cast: "resin"}).Plan
	c := plan.Container
	if c.Sprue == nil || len(c.Vents) != 0 || plan.Casting.PourUp[2] != 0 {
		t.Errorf("rake: sprue %+v, vents %+v, poured with %v up", c.Sprue, c.Vents, *plan.Casting.PourUp)
	}
	knob := func(a int) bool { return a == 0 || a == 6 }
	mid := func(a int) bool { return a >= 2 && a <= 4 }
	line := []float64{0, 20, 40, 45, 55, 60, 80, 100}
	jack := shape.Blocks(line, line, line, func(i, j, k int) bool {
		arm := func(a, b, c int) bool { return b == 3 && c == 3 && a >= 1 && a <= 5 || knob(a) && mid(b) && mid(c) }
		return arm(i, j, k) || arm(j, i, k) || arm(k, i, j)
	})
	plan = tallyOf(t, jack, Job{Up: up(0, 0, 1), Mold: demold.TwoPart, Resolution: 0.5, Cast: "plaster"}).Plan
	c = plan.Container
	pour := at(*plan.Casting.PourUp)
	if c.Sprue == nil || len(c.Vents) != 4 {
		t.Fatalf("jack: sprue %+v, vents %+v, poured with %v up", c.Sprue, c.Vents, pour)
	}
	for _, v := range c.Vents {
		if v.Diameter != 3.5 || at(*v.End).Dot(pour) < at(*c.Sprue.End).Dot(pour)+1 {
			t.Errorf("jack: vent %+v, sprue %+v", v, *c.Sprue)
		}
	}
	hook := shape.Hook(10, 40, 60, 20, 12)
	plan = tallyOf(t, hook, Job{Up: up(0, 0, 1), Mold: demold.Block, Resolution: 0.5, Cast: "resin"}).Plan
	if c = plan.Container; c.Sprue != nil || len(c.Vents) != 1 || !plan.Warnings.Has(air.CodeCasting) {
		t.Errorf("hook: sprue %+v, vents %+v", c.Sprue, c.Vents)
	}
	// Swilled round it catches nothing.
	wall := 2.0
	plan = tallyOf(t, hook, Job{Up: up(0, 0, 1), Mold: demold.Block, Resolution: 0.5, Cast: "resin", CastWall: &wall}).Plan
	if c = plan.Container; len(c.Vents) != 0 || plan.Warnings.Has(air.CodeCasting) || len(plan.Demold.AirTraps) != 0 {
		t.Errorf("hollow hook: vents %+v, traps %+v", c.Vents, plan.Demold.AirTraps)
	}
}

// TestHollowMouth: the wall of a hollow casting leaves the mouth open, in a block
// and in halves.
func TestHollowMouth(t *testing.T) {
	wall := 3.0
	for _, mold := range []demold.Mold{demold.Block, demold.TwoPart} {
		plan := tallyOf(t, shape.Cube(50), Job{Up: up(0, 0, 1), Mold: mold, Cast: "resin", CastWall: &wall, Resolution: 0.5}).Plan
		k := 1 / *plan.Casting.ResizeTo
		if got, want := plan.Casting.Volume/(k*k*k), 50.0*50*50-44*44*47; math.Abs(got-want) > 0.02*want {
			t.Errorf("%s: got a wall of %.0f mm³, want %.0f", mold, got, want)
		}
	}
}
