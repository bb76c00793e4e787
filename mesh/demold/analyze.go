package demold

import (
	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/solid"
)

// analysis is one question to one solid: what the parts of Analyze share.
// Heights are p·u in the file's own axes, mm.
type analysis struct {
	s *solid.Solid
	u mesh.Vec
	f *dexel.Field
	o Options

	base, top float64 // heights of the lowest and the highest point of S
	clay      float64 // height of the clay fillet above the base, mm; 0 for two-part and cut
	ignore    float64 // undercuts shallower than this are noise, mm
	size      float64 // the pattern's largest size, mm
	eps       float64 // heights closer than this are one, mm

	rubber *rubberSpace
	rep    *Report
}

// clayLine is the height below which clay, not rubber, meets the pattern. For
// molds without a baseboard it is the base itself.
func (a *analysis) clayLine() float64 { return a.base + a.clay }

// onBoard reports whether there is a base plane.
func (a *analysis) onBoard() bool { return a.o.Mold.OnBoard() }

// ClayDefault is the height of the clay fillet for a pattern of the given
// height, mm: 1 % of it, at least 0.5 and at most 3 mm, and never over 5 % of
// it. Common practice, no source.
func ClayDefault(height float64) float64 {
	return min(max(0.01*height, 0.5), 3, 0.05*height)
}
