package shape_test

import (
	"fmt"

	"moldtally/mesh/shape"
)

// A mushroom of 64 facets: its volume follows from its profile.
func Example() {
	profile := shape.MushroomProfile(30, 10, 10, 40)
	m := shape.Revolve(profile, 64)
	fmt.Println(shape.Check(m))
	fmt.Printf("%.3f %.3f mm³\n", shape.Volume(m), shape.RevolveVolume(profile, 64))
	// Output:
	// <nil>
	// 40775.130 40775.130 mm³
}
