package pose

import (
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
)

// Known is what was found of a scene while ways up were compared.
type Known struct {
	Undercuts *undercut.Result
	Sections  *strip.Sections // for the same parting
}
