package rubber

import (
	"math"

	"moldtally/mesh/unit"
)

const (
	// Friction is that of rubber on a casting with a little release; dry it is 0.5
	// to 1. From memory.
	Friction = 0.3
	// Slippery is the friction with plenty of release; from memory, 0.1 to 0.3.
	Slippery = 0.1

	// worthTurning is the share of what it takes to draw the pattern straight out
	// under which turning the rim back is worth it; a judgement.
	worthTurning = 0.9

	// HandN is what a hand pulls, N; from memory: 100 to 200 N.
	HandN = 150.0
)

// Grip is something that hands do to get a mold off, and how hard they pull, as a
// multiple of the shear modulus (mm²). None of it has a length of its own: with
// all lengths doubled it is four times. It is good to FitFactor.
type Grip struct {
	OverG float64
	How   Gripping
}

// In is the pull, N, in a rubber of a hardness.
func (g Grip) In(shoreA float64) float64 { return g.OverG * young(min(95, max(5, shoreA))) / 3 }

// Most is the hardest rubber, in whole Shore A, in which a hand does it; the
// softest where none is soft enough, and then false.
func (g Grip) Most() (float64, bool) {
	at := Hardest
	for at > Softest && g.In(at) > HandN {
		at--
	}
	return at, g.In(at) <= HandN
}

// Held is what holds a pattern in its mold, taken out of its container: by rings
// of rubber that have to open, and otherwise.
type Held struct {
	Open, Pull Grip  // each of two hands opens the mold evenly; the pattern is drawn straight out. Neither where no ring holds
	Peel       *Grip // the rim is turned back bit by bit; nil = it is too thick for that to help
	Rest       Grip  // what else has to give: a lip that swings out of an undercut, a tongue drawn out of the pattern
	slit       bool
}

// Held returns what holds. A ring that is slit does not.
func (s Shape) Held() Held {
	h := Held{Rest: s.rest(), slit: s.Slit}
	peel := Grip{How: Gripping{By: TurningBack}}
	for _, p := range s.Profiles {
		hold := s.hold()
		h.Open.take(p.Open(hold), Gripping{By: OpeningRing})
		h.Pull.take(p.Pull(hold), Gripping{By: DrawingStraight})
		peel.OverG = max(peel.OverG, p.Peel(hold))
	}
	if peel.OverG < worthTurning*max(h.Pull.OverG, h.Open.OverG) {
		h.Peel = &peel
	}
	return h
}

// Hands is what hands have to do: draw the pattern out of a mold that opens, or,
// where it can be turned back and that is less, peel it; and whatever else there
// is, if that is more. Where nothing holds it is nothing.
func (h Held) Hands() Grip {
	out := h.Rest
	if h.slit {
		return out
	}
	ring := h.Pull
	ring.take(h.Open.OverG, h.Open.How)
	if h.Peel != nil {
		ring = *h.Peel
	}
	out.take(ring.OverG, ring.How)
	return out
}

// Hands is that of a shape. Where it is slit no ring holds, and none is reckoned.
func (s Shape) Hands() Grip {
	if s.Slit {
		return s.rest()
	}
	return s.Held().Hands()
}

// InContainer is the straight pull while the container is still round the mold,
// as a multiple of the shear modulus; +Inf where it leaves no room.
func (s Shape) InContainer() float64 {
	h := s.hold()
	h.Contained = true
	return s.pull(h)
}

// Released is the straight pull with plenty of release (Slippery), as a multiple
// of the shear modulus.
func (s Shape) Released() Grip {
	h := s.hold()
	h.Friction = Slippery
	return Grip{s.pull(h), Gripping{By: DrawingStraight}}
}

func (s Shape) pull(h Hold) float64 {
	most := 0.0
	for _, p := range s.Profiles {
		most = max(most, p.Pull(h))
	}
	return most
}

// hold is how the mold is held, out of its container.
func (s Shape) hold() Hold {
	h := Hold{Wall: s.wall(), Even: s.Even, Friction: Friction}
	if s.Beside > 0 {
		h.Wall = s.Beside
	}
	return h
}

func (g *Grip) take(n float64, how Gripping) {
	if n > g.OverG {
		*g = Grip{n, how}
	}
}

// rest is the most of two: to swing a lip out of an undercut, a strip clamped at
// its root, as wide at a time as it swings (3·D·w·p/g³; a judgement); to draw a
// tongue out of the pattern (RingStress over its root; of one wider than long
// hands take as much at a time as it is long, likewise).
func (s Shape) rest() (out Grip) {
	const e = 3 // in units of the shear modulus
	if s.Path != nil && *s.Path > 0 {
		t := s.lip()
		g := max(s.Gap, 2*t)
		p := *s.Path
		radius := (g*g + p*p) / (2 * p)
		out.take(plate(e, t, 0.5)*p/(radius*math.Hypot(g, p)), Gripping{By: SwingingLip, Thick: unit.Length(t), Swings: unit.Length(p)})
	}
	if s.Squeeze > 0 && s.Squeeze < 0.95 && s.Root > 0 {
		k := 1 / (1 - s.Squeeze)
		d := s.Root
		if s.Tongue > 0 {
			d = min(d, s.Tongue)
		}
		out.take(RingStress(k*k)*e*math.Pi/4*d*d, Gripping{By: DrawingTongue, Thick: unit.Length(d)})
	}
	return out
}
