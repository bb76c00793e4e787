package estimate

import (
	"fmt"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// openTop finds a large opening that faces up where the pattern stands: the
// sheet of a vase or bowl that was scanned on its outside only. Whether rubber
// fills it is a choice that only the mold maker can make.
func (t *tally) openTop(pose *demold.Pose) {
	if t.job.Opening != "" {
		return
	}
	s := t.s.Solid
	up := mesh.V(pose.Up[0], pose.Up[1], pose.Up[2])
	top := up.Dot(s.Surface().Vertices()[0])
	for _, v := range s.Surface().Vertices() {
		top = max(top, v.Dot(up))
	}
	// Facing up: within some 45° of it, in the upper fifth (judgements).
	for _, o := range s.Openings {
		if !s.Large(o) || o.Normal.Dot(up) < 0.7 || o.At.Dot(up) < top-0.2*pose.Height {
			continue
		}
		t.top = &o
		return
	}
}

// tellOpenTop words the choice with both masses of rubber: volume mm³ of the
// closed mold, 0 where it is not known yet, and the rubber's density.
func (t *tally) tellOpenTop(volume float64, sg unit.Density) {
	o := t.top
	if o == nil {
		return
	}
	more := float64(sg.Mass(unit.Volume(o.Inside)))
	effect := fmt.Sprintf("as a vessel it takes about %.3g g more rubber (at %.2f g/cm³) than closed with a lid", more, float64(sg))
	if volume > 0 {
		m := float64(sg.Mass(unit.Volume(volume)))
		effect = fmt.Sprintf("closed with a lid the mold takes %.4g g of rubber; as a vessel that rubber fills, about %.4g g, and the core must come out of it", m, m+more)
	}
	at := o.At.Array()
	t.s.Plan.Warnings.Add(finding.Finding{
		Code: finding.OpenTop, Severity: finding.Stop,
		Summary: fmt.Sprintf("the pattern is a sheet that is open at the top, %.3g mm across: a lid or a vessel is a choice, and the lid was taken", o.Diameter),
		Effect:  effect,
		Hint:    "say --opening closed or --opening open; or turn the open side down with --up if it is the side that was not scanned",
		At:      &at,
	})
}
