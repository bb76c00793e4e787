package shape_test

import (
	"fmt"

	"moldtally/mesh/shape"
)

// A mushroom of 64 facets: its volume and undercut follow from its profile.
func Example() {
	profile := shape.MushroomProfile(30, 10, 10, 40)
	m := shape.Revolve(profile, 64)
	fmt.Println(shape.Check(m))
	fmt.Printf("%.3f %.3f mm³\n", shape.Volume(m), shape.RevolveVolume(profile, 64))
	u := shape.RevolveUndercut(profile, 0, 0)
	fmt.Printf("depth %g mm, stretch %g\n", u.Depth, u.Stretch)
	// Output:
	// <nil>
	// 40775.130 40775.130 mm³
	// depth 20 mm, stretch 2
}
