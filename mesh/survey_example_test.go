package mesh_test

import (
	"context"
	"fmt"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// A mug less one triangle is open.
func ExampleInspect() {
	mug := shape.WithoutNumbers(shape.Mug(40, 90, 4, 30, 48), 100)
	s, err := mesh.Inspect(context.Background(), mug, mesh.SurveyOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d piece, closed: %t, open edges: %d\n", len(s.Pieces), s.Closed, s.BoundaryEdges)
	// Output: 1 piece, closed: false, open edges: 3
}

// Two balls pushed into each other are two sound pieces that cross.
func ExampleSelfCrossings() {
	ball := shape.Icosphere(10, 2)
	pair := shape.Merge(ball, shape.Translate(ball, mesh.V(15, 0, 0)))
	s, err := mesh.Inspect(context.Background(), pair, mesh.SurveyOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := mesh.SelfCrossings(context.Background(), pair, nil, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("pieces: %d, clean: %t, crossing: %t\n", len(s.Pieces), s.Clean, c.Pairs > 0)
	// Output: pieces: 2, clean: true, crossing: true
}
