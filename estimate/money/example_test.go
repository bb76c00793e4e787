package money_test

import (
	"fmt"

	"moldtally/estimate/money"
)

// 6.2 kg out of kits of 1 kg at 30 and 5 kg at 120.
func ExampleCheapest() {
	kits := []money.Kit{{SizeG: 1000, Price: 30 * money.Unit}, {SizeG: 5000, Price: 120 * money.Unit}}
	buys, total := money.Cheapest(kits, 6200)
	for _, b := range buys {
		fmt.Println(b.Count, "of", b.Kit.SizeG, "g")
	}
	fmt.Println(total)
	// Output:
	// 1 of 5000 g
	// 2 of 1000 g
	// 180.00
}
