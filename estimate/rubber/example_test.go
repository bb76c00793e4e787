package rubber_test

import (
	"fmt"

	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// 60 g of a rubber that takes ten parts of catalyst per hundred of base. The
// catalyst follows the base, so that rounding never changes the ratio.
func ExampleWeigh() {
	w := rubber.Weigh(60, rubber.Ratio{A: 100, B: 10}, 5)
	fmt.Printf("%g g + %g g\n", w.A, w.B)
	// Output: 55 g + 5.5 g
}

func ExampleSuggest() {
	stretch, path := 0.3, 6.0
	r := rubber.Suggest(rubber.Shape{Stretch: &stretch, Path: &path, Mouth: 150}, nil)
	fmt.Printf("up to %.0f A: %s\n", *r.High, words.Say(r.HighReason, unit.Metric))
	// Output: up to 30 A: an undercut 6 mm deep asks for 30 A or softer by the shop's habit
}
