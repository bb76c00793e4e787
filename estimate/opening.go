package estimate

import (
	"fmt"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// openTop tells of a large opening that faces up where the pattern stands: the
// sheet of a vase or bowl that was scanned on its outside only. Whether rubber
// fills it is a choice that only the mold maker can make, so it is told with both
// masses of rubber: volume mm³ of the closed mold, 0 where it is not known yet,
// and the rubber's density.
func (k *known) openTop(pose *demold.Pose, volume float64, sg unit.Density) (out finding.List) {
	o := k.topOpening(pose)
	if k.job.Opening != "" || o == nil {
		return nil
	}
	more := float64(sg.Mass(unit.Volume(o.Inside)))
	effect := fmt.Sprintf("as a vessel it takes about %.3g g more rubber (at %.2f g/cm³) than closed with a lid", more, float64(sg))
	if volume > 0 {
		m := float64(sg.Mass(unit.Volume(volume)))
		effect = fmt.Sprintf("closed with a lid the mold takes %.4g g of rubber; as a vessel that rubber fills, about %.4g g, and the core must come out of it", m, m+more)
	}
	at := o.At.Array()
	out.Add(finding.Finding{
		Code: finding.OpenTop, Severity: finding.Stop,
		Summary: fmt.Sprintf("the pattern is a sheet that is open at the top, %.3g mm across: a lid or a vessel is a choice, and the lid was taken", o.Diameter),
		Effect:  effect,
		Hint:    "say --opening closed or --opening open; or turn the open side down with --up if it is the side that was not scanned",
		At:      &at,
	})
	return out
}

// topOpening is the first large opening that faces up, within some 45° of it, in
// the upper fifth of the pattern (judgements); nil = there is none.
func (k *known) topOpening(pose *demold.Pose) *solid.Opening {
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
