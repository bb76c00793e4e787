package estimate

import (
	"moldtally/mesh"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// openTop tells of a large opening that faces up where the pattern stands: the
// sheet of a vase or bowl that was scanned on its outside only. Whether rubber
// fills it is a choice that only the mold maker can make, so it is told with both
// masses of rubber: volume mm³ of the closed mold, 0 where it is not known yet,
// and the rubber's density.
func (k *known) openTop(pose *pose.Pose, volume float64, sg unit.Density) (out finding.List) {
	o := k.topOpening(pose)
	if k.job.Opening != "" || o == nil {
		return nil
	}
	at := o.At.Array()
	out.Add(finding.Finding{Code: CodeOpenTop, Severity: finding.Stop, At: &at,
		Facts: OpenTop{Width: unit.Length(o.Diameter), Density: sg, Closed: sg.Mass(unit.Volume(volume)), More: sg.Mass(unit.Volume(o.Inside))}})
	return out
}

// topOpening is the first large opening that faces up, within some 45° of it, in
// the upper fifth of the pattern (judgements); nil = there is none.
func (k *known) topOpening(pose *pose.Pose) *solid.Opening {
	up := mesh.V(pose.Up[0], pose.Up[1], pose.Up[2])
	top := up.Dot(k.solid.Surface().Vertices()[0])
	for _, v := range k.solid.Surface().Vertices() {
		top = max(top, v.Dot(up))
	}
	for _, o := range k.solid.Openings {
		if k.solid.Large(o) && o.Normal.Dot(up) >= 0.7 && o.At.Dot(up) >= top-0.2*pose.Height {
			return &o
		}
	}
	return nil
}
