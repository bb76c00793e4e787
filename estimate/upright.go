package estimate

import (
	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// upright is the side of the object that is its top when it stands in the world,
// of length 1: as the user says, else as the file states; else +z, which is
// assumed.
func (j *Job) upright() (top mesh.Vec, assumed bool) {
	switch {
	case j.Upright != nil:
		return j.Upright.Unit(), false
	case j.Source.FileUp != nil:
		return j.Source.FileUp.Unit(), false
	}
	return mesh.V(0, 0, 1), true
}

// uprightDoubt says that the top of the object was assumed, where something goes
// by it.
func (j *Job) uprightDoubt(use UprightUse) (out finding.List) {
	if _, assumed := j.upright(); assumed {
		out.Add(finding.Finding{Code: CodeUpright, Severity: finding.Note, Facts: UprightAssumed{use}})
	}
	return out
}
