package estimate_test

import (
	"context"
	"fmt"

	"moldtally/estimate"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/shape"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// A box of 6 by 4 by 1½ inches, a rubber of 25 in³/lb that mixes 1:1.
func ExampleTallyPour() {
	sv := 25.0
	plan, err := estimate.TallyPour(context.Background(), estimate.PourJob{
		Box: &[3]float64{6 * 25.4, 4 * 25.4, 1.5 * 25.4},
		Job: estimate.Job{Rubber: rubber.Request{In3PerLb: &sv, Mix: &[2]float64{1, 1}}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	r := plan.Rubber
	fmt.Printf("%.0f g of rubber; weigh %g g of A and %g g of B\n", *r.Mass, *r.PartA, *r.PartB)
	// Output: 653 g of rubber; weigh 355 g of A and 355 g of B
}

func ExampleTally() {
	cone := shape.Cone(30, 60, 96)
	s, err := estimate.Tally(context.Background(), cone, estimate.Job{
		Source: estimate.Source{File: "cone.stl", Units: "mm", UnitsFrom: "flag"},
		Up:     estimate.Up{Dir: mesh.V(0, 0, 1)},
	}, estimate.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Plan.Verdict.Answer)
	for _, why := range s.Plan.Verdict.Because {
		fmt.Println(words.Say(why, unit.Metric))
	}
	// Output:
	// comes out
	// nothing is undercut
}
