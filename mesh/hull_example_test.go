package mesh_test

import (
	"context"
	"fmt"

	"moldtally/mesh"
)

// The least box round an L-shaped outline with 10 mm all round, in steps of
// 5 mm.
func ExampleMinRectGrown() {
	h := mesh.Hull2([]mesh.Vec2{{X: 0, Y: 0}, {X: 62, Y: 0}, {X: 62, Y: 20}, {X: 20, Y: 20}, {X: 20, Y: 41}, {X: 0, Y: 41}})
	r := mesh.MinRectGrown(h, 10, 5)
	fmt.Println(len(h), "corners:", r.Length, "×", r.Width)
	// Output: 5 corners: 85 × 65
}

func ExampleHull3() {
	h, err := mesh.Hull3(context.Background(), []mesh.Vec{{}, {X: 3}, {Y: 3}, {Z: 3}, {X: 0.5, Y: 0.5, Z: 0.5}})
	if err != nil {
		panic(err)
	}
	fmt.Println(h.NumVertices(), "corners,", h.NumTriangles(), "sides")
	// Output: 4 corners, 4 sides
}
