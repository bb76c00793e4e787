package gen

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// finialSteps is the number of facets round the axis.
const finialSteps = 96

// finialProfile is a turned newel finial: a square-edged plinth, a hollow
// (cavetto), a necked stem with a bead, and a flattened ball with a button on
// top. It rises throughout, so that what is undercut follows from it
// (revolvedUndercut).
func finialProfile() []shape.RZ {
	p := []shape.RZ{{R: 0, Z: 0}, {R: 44, Z: 0}, {R: 44, Z: 12}}
	add := func(r, z float64) { p = append(p, shape.RZ{R: r, Z: z}) }
	// arc runs from one angle to another about a centre, z rising.
	arc := func(cr, cz, rr, rz, from, to float64, n int) {
		for i := 1; i <= n; i++ {
			s, c := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
			add(cr+rr*c, cz+rz*s)
		}
	}
	add(40, 12)
	add(40, 15)
	arc(40, 35, 18, 20, -90, -180, 14) // the hollow in: radius 40 → 22 over 15 to 35
	add(21.5, 58)                      // stem, slightly tapering
	arc(21.5, 62, 6, 4, -90, 90, 12)   // bead, 58 to 66
	add(20.5, 74)                      // neck: the least section
	add(22, 79)
	arc(0, 113, 38, 34, -52, 80, 40) // the ball
	last := p[len(p)-1]
	add(5, last.Z+3)
	arc(0, last.Z+3+8, 9, 8, -56, 84, 14) // the button
	top := p[len(p)-1]
	add(0, top.Z+0.2)
	return p
}

// finial is the body, rounded to what the file holds.
func finial() *mesh.Mesh { return single(shape.Revolve(finialProfile(), finialSteps)) }
