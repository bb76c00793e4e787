package estimate

import (
	"moldtally/boxfit"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/unit"
)

// Leaves is how a pattern is taken out of its mold, once the rubber has cured.
type Leaves struct {
	Mold   demold.Mold
	Slit   bool        // the rubber is slit at the back
	Along  *seam.Slit  // where; nil = not known
	Halves bool        // a coat is in two halves
	Shell  int         // pieces of the mother mold; 0 = none
	Loose  int         // loose pieces of rubber, that let go of what would lock
	Seam   *seam.Seam  // where a mold is cut open; nil = not known
	Parted unit.Length // of two halves: how high above the pattern's lowest point
	Up     [3]float64  // the side of the pattern that faces up in the mold; zero = not known
	Hands  *unit.Force // what hands pull; nil = nothing holds, or it is not known
}

// Leaves is how the pattern of a plan is taken out; ok is false where no mold was
// planned that lets go of it.
func (p *Plan) Leaves() (l Leaves, ok bool) {
	if p.Container == nil || p.Verdict == nil || p.Verdict.Answer == Locked || p.Refused() {
		return l, false
	}
	l = Leaves{Mold: p.Container.Mold, Slit: p.Verdict.Answer == SlitIt, Along: p.Verdict.Slit}
	l.Halves = l.Mold.Coated() && p.Verdict.Answer == MakeTwoParts
	if p.Container.Kind == boxfit.Mother {
		l.Shell = shellPieces(p.Container)
	}
	if p.Pose != nil {
		l.Up = p.Pose.Up
	}
	if d := p.Demold; d != nil {
		l.Seam, l.Loose = d.Seam, len(freed(d).Pieces)
		if d.Parting != nil {
			l.Parted = unit.Length(d.Parting.Height)
		}
	}
	if r := p.Rubber; r != nil && r.Hardness != nil && r.Hardness.HandsForce != nil {
		l.Hands = new(unit.Force(*r.Hardness.HandsForce))
	}
	return l, true
}
