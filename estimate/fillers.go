package estimate

import (
	"moldtally/boxfit"
	"moldtally/mesh/demold"
	"moldtally/mesh/solid"
)

// fillersOf is what to build into the box of a mold where rubber is thick for no use:
// blocks in its corners, or a step above which it is narrower, each where it saves
// enough. Either, not both: they take the same room. Other molds than a
// block have none, and a box that is there already.
func fillersOf(s *solid.Solid, fit *boxfit.Fit) []boxfit.Filler {
	all := []boxfit.Filler{}
	if !fit.Kind.FourSided() || fit.Mold != demold.Block || fit.Own {
		return all
	}
	if f := fit.Corners(); f != nil {
		all = append(all, *f)
	}
	if st := stepOf(s, fit); st != nil && st.Saves > boxfit.FillerShare*fit.Rubber {
		all = append(all, boxfit.Filler{Kind: boxfit.Step, Count: 1, Size: [3]float64{st.Inside[0], st.Inside[1], fit.FillHeight - st.Ledge}, Ledge: st.Ledge, Saves: st.Saves})
	}
	return all
}
