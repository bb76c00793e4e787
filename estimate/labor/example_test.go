package labor_test

import (
	"fmt"

	"moldtally/estimate/labor"
)

// A bust of 300 mm: slit at the back, or under a mother mold of two pieces.
func ExampleReckon() {
	for _, m := range []labor.Method{labor.Slit, labor.Poured} {
		r := labor.Reckon(labor.Work{Method: m, Longest: 300})
		fmt.Println(r.Minutes, "min,", r.Days.Low, "to", r.Days.High, "days, risk", r.Risk)
	}
	// Output:
	// 157 min, 2 to 2 days, risk 3
	// 302 min, 4 to 5 days, risk 2
}

// What two ways cost with ten castings, where no price is known.
func ExamplePrice() {
	slit := labor.Price(labor.Job{Work: labor.Work{Method: labor.Slit, Longest: 300}, Rubber: 6480, Copies: 10, Life: 40, Cure: 30})
	poured := labor.Price(labor.Job{Work: labor.Work{Method: labor.Poured, Longest: 300}, Rubber: 2090, Shell: 4060, Copies: 10, Life: 40, Cure: 30})
	for _, c := range []labor.Cost{slit, poured} {
		fmt.Printf("%.0f, nominal: %v, of castings %d\n", c.Total, c.Nominal, c.Made)
	}
	// Output:
	// 487, nominal: true, of castings 11
	// 486, nominal: true, of castings 11
}
