package words

import (
	"moldtally/estimate"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

// handsFeel is the force below which no one asks what hands have to pull, N: as much
// as 200 g weigh. Judgement of this program.
const handsFeel unit.Force = 2

// leaves says in one sentence how a pattern is taken out.
func (v voice) leaves(l estimate.Leaves) string {
	s := ""
	switch {
	case l.Mold == demold.TwoPart:
		s = "lift off the upper half, then take the pattern out of the lower"
		if l.Parted > 0 {
			s += "; they part " + v.mm(l.Parted, fixed(0)) + " above its lowest point"
		}
	case l.Mold == demold.Cut:
		s = "cut it open"
		if c := l.Seam; c != nil {
			s += " along its " + v.toward(c.Side) + " side, " + v.mm(unit.Length(c.Length), fixed(0)) + " of cut in a zig-zag,"
		}
		s += " and open it like a book"
	case l.Slit:
		at := "slit it at the back from the mouth up, short of the crown,"
		if a := l.Along; a != nil {
			at = "slit it up its " + v.toward(a.Side) + " side, " + v.mm(unit.Length(a.Length), fixed(0)) + " along the pattern from the mouth up,"
		}
		s = v.shellFirst(l) + at + " and spread it off the pattern"
	case l.Halves:
		s = v.shellFirst(l) + "then peel off the upper half and take the pattern out of the lower"
	case l.Shell > 0:
		s = v.shellFirst(l) + "then peel the rubber off like a glove"
	default:
		s = "take it off its board and push the pattern out, bending the rubber back"
		if l.Hands == nil {
			s = "take it off its board and lift the pattern out"
		}
	}
	switch {
	case l.Loose == 1:
		s += "; last the loose piece out of its hollow"
	case l.Loose > 1:
		s += "; last the " + whole(l.Loose) + " loose pieces out of their hollows"
	}
	if l.Hands != nil && *l.Hands >= handsFeel {
		s += "; hands pull about " + v.weighs(*l.Hands)
	}
	return s
}

func (v voice) shellFirst(l estimate.Leaves) string {
	switch l.Shell {
	case 0:
		return ""
	case 1:
		return "lift off the shell, "
	}
	return "take the shell off in its " + whole(l.Shell) + " pieces, "
}

// weighs writes a force as the mass that weighs as much, to two digits: kilograms, or
// pounds alone.
func (v voice) weighs(f unit.Force) string {
	if v.us {
		return digits(f.In(unit.LbForce), 2) + " lb"
	}
	return digits(f.In(unit.KgForce), 2) + " kg"
}
