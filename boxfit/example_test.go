package boxfit_test

import (
	"context"
	"fmt"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// A block 80 × 50 × 30 mm on a board, 12 mm of rubber all round, in a box whose
// sides go by 5 mm.
func ExampleSearch() {
	ctx := context.Background()
	m := shape.Box(80, 50, 30)
	survey, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		panic(err)
	}
	s, err := solid.From(ctx, m, survey, solid.Options{})
	if err != nil {
		panic(err)
	}
	up := mesh.V(0, 0, 1)
	rep, err := demold.Analyze(ctx, s, up, demold.Options{Mold: demold.Block})
	if err != nil {
		panic(err)
	}
	wall, mass := 12.0, 150.0
	fit, _, err := boxfit.Search(ctx, s, up, rep, boxfit.Request{
		Container: "box", Wall: &wall, Over: &wall, Step: 5, RubberSG: 1.1, PatternMass: &mass,
	})
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.0f × %.0f inside, fill to %.0f mm\n", fit.Interior[0], fit.Interior[1], fit.FillHeight)
	fmt.Printf("rubber %.1f cm³, hold down %.2f N\n", fit.Rubber/1000, *fit.HoldDown)
	for _, b := range fit.Boards {
		fmt.Printf("%d of %s: %.0f × %.0f × %.0f\n", b.Count, b.Part.Stock, b.Length, b.Width, b.Thickness)
	}
	// Output:
	// 105 × 75 inside, fill to 42 mm
	// rubber 210.8 cm³, hold down -0.18 N
	// 2 of melamine-16: 137 × 55 × 16
	// 2 of melamine-16: 75 × 55 × 16
	// 1 of melamine-16: 197 × 167 × 16
}

func ExampleBoardNamed() {
	b, err := boxfit.BoardNamed("plywood-1/2in")
	if err != nil {
		panic(err)
	}
	fmt.Printf("%s sold as %s is %.1f mm thick\n", b.Material, b.Nominal, b.Thickness)
	// Output: structural plywood sold as 1/2 in is 11.9 mm thick
}
