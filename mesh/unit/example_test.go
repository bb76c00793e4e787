package unit_test

import (
	"fmt"

	"moldtally/mesh/unit"
)

func ExampleParseLength() {
	for _, s := range []string{"12mm", "5 1/4in", "5' 3\"", "half an inch"} {
		l, err := unit.ParseLength(s)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%g mm, %s in\n", float64(l), unit.InchFraction(l, 16))
	}
	// Output:
	// 12 mm, 1/2 in
	// 133.35 mm, 5 1/4 in
	// 1600.2 mm, 63 in
	// unit: "half an inch" is not a length: it does not begin with a number (accepted: 12mm 1.2cm 0.5in 1/2in "5 1/4in" 5-1/4in 2ft; a bare number is mm)
}
