package words

import (
	"moldtally/estimate/rubber"
)

// shore writes a hardness.
func shore(a float64) string { return fixed(0)(a) + " A" }

// life ends "stands … ".
var life = map[rubber.Life]string{rubber.FewCastings: "for a few castings", rubber.NormalLife: "for some dozen castings", rubber.LongLife: "for a long life"}

var hardnessRemarks = []saying{
	says(func(v voice, s rubber.Straining) string { return v.straining(s) }),
	says(func(v voice, e rubber.Endures) string {
		if e.Shore == 0 {
			return v.straining(e.Why) + "; even the softest stands only " + percent(e.Stands) + " " + life[e.Life]
		}
		return v.straining(e.Why) + "; " + sig(3)(e.Shore) + " A stands " + percent(e.Stands) + " " + life[e.Life]
	}),
	says(func(v voice, h rubber.ByHand) string {
		s := "a hand pulls about " + v.pull(h.Hand) + ": " + v.gripping(h.Grip) + " takes " + v.pull(h.Force) + " in " + sig(3)(h.Shore) + " A, ×/÷ " + fixed(1)(h.Factor)
		if h.Over {
			s += ", more than a hand pulls even so"
		}
		return s
	}),
	says(func(v voice, g rubber.Gripping) string { return v.gripping(g) }),
	says(func(v voice, d rubber.Drawing) string { return v.drawing(d) }),
	says(func(v voice, e rubber.Easing) string {
		switch e.By {
		case rubber.EasedByRelease:
			return "drawn straight out with plenty of release, a friction of " + fixed(1)(e.Friction) + " (from memory)"
		case rubber.EasedByPeel:
			return "the rim turned back over itself bit by bit, each bit as long as the rubber is thick and what is too thick for that drawn out (judgement of this program)"
		}
		if e.Force > 0 {
			return "slit: no ring has to open, a lip or tongue is left to move"
		}
		return "slit: no ring has to open"
	}),
	says(func(v voice, h rubber.ByHabit) string {
		s := "an undercut " + v.mm(h.Deep, sig(3)) + " deep asks for " + shore(h.Shore) + " or softer by the shop's habit"
		if h.Palm > 0 {
			s += " (as " + v.mm(h.Palm, sig(3)) + " would in a palm-size part)"
		}
		return s
	}),
	says(func(v voice, c rubber.ByCasting) string {
		span := "(" + hardnesses(c.Low, c.High) + ")"
		if c.Cast == "" {
			return "dusted metal powder seats, and its edges do not chip, in soft rubber " + span
		}
		return c.Cast + " asks for a firm rubber " + span
	}),
	says(func(v voice, k rubber.ByKeys) string {
		return "keyed parts need a rubber firm enough for the keys to seat: " + shore(k.Shore)
	}),
	says(func(v voice, s rubber.BySize) string {
		mold := "a mold for a pattern " + v.mm(s.Longest, fixed(0)) + " long "
		if s.Huge {
			return mold + "sags in softer rubber than " + shore(s.Shore)
		}
		return mold + "is held in shape by a firmer rubber, from " + shore(s.Shore)
	}),
	says(func(v voice, f rubber.ByFlats) string {
		return "flat faces and sharp edges without undercuts come truer from a firm rubber, from " + shore(f.Shore)
	}),
	says(func(v voice, h rubber.HeldIn) string {
		if h.Most > 0 {
			return "foam presses with " + v.pressures(h.Low, h.Most, fixed(0)) + ", evenly, and rubber that its container holds all round keeps its volume and shape"
		}
		by := "by " + v.mm(h.Gives, fixed(2)) + " at most"
		if h.Gives < 0.01 {
			by = "by less than " + v.mm(0.01, fixed(2))
		}
		what := "a resin casting "
		if h.Cast {
			what = "the casting "
		}
		return "held in its container " + shore(h.Shore) + " gives way " + by + " under " + what + v.mm(h.High, fixed(0)) + " high"
	}),
	says(func(v voice, u rubber.Unasked) string {
		if u.Softer {
			return "nothing asks for a softer one"
		}
		s := "nothing asks for a firmer one"
		if held := v.say(u.Held); held != "" {
			s += "; " + held
		}
		return s
	}),
	says(func(v voice, _ rubber.Overruled) string { return "what asks for a firmer one was overruled" }),
	says(func(_ voice, _ rubber.ByOriginal) string {
		return "an original is peeled out of soft rubber"
	}),
	says(func(v voice, j rubber.Jelly) string {
		return "round " + v.mm(j.Longest, fixed(0)) + " rubber softer than " + shore(j.Shore) + " is jelly: it sags and tears"
	}),
	says(func(v voice, c rubber.Conflict) string { return v.conflict(c) }),
	says(func(v voice, b rubber.Basis) string { return v.basis(b) }),
	says(func(v voice, o rubber.Opening) string { return v.opening(o) }),
	says(func(v voice, c rubber.Choosing) string { return v.choosing(c) }),
}

// leastFlap is the height, mm, under which that of a flap is not told: it starts at
// the cut itself. Judgement of this program.
const leastFlap = 0.1

// straining says what strains the rubber.
func (v voice) straining(s rubber.Straining) string {
	switch s.By {
	case rubber.LockedIn:
		return "rubber is locked in: at its own height it has no way out"
	case rubber.Bending:
		return "rubber " + v.mm(s.Thick, sig(3)) + " thick bends out of an undercut " + v.mm(s.Deep, sig(3)) + " deep: " + percent(s.Share)
	case rubber.FlapBending:
		high := ""
		if s.High >= leastFlap {
			high = v.mm(s.High, sig(3)) + " high and "
		}
		return "a flap " + high + v.mm(s.Thick, sig(3)) + " thick swings " + v.mm(s.Deep, sig(3)) + " aside, which stretches its skin by " + percent(s.Share)
	case rubber.SqueezedShut:
		return "the rubber inside the pattern would have to be squeezed to nothing"
	case rubber.Squeezed:
		return "rubber inside the pattern is squeezed by " + percent(s.Share) + ", drawn out by " + percent(s.Drawn)
	case rubber.MouthClosed:
		return "the mouth is next to nothing beside the bulge behind it"
	case rubber.MouthOpening:
		return "the mouth stretches by " + percent(s.Share) + " over the bulge"
	}
	return "nothing is undercut"
}

// gripping says what hands do: "… takes 12 N".
func (v voice) gripping(g rubber.Gripping) string {
	switch g.By {
	case rubber.OpeningRing:
		return "opening mouth and neck evenly to the bulge"
	case rubber.DrawingStraight:
		return "drawing the casting straight out"
	case rubber.TurningBack:
		return "turning the rim back bit by bit"
	case rubber.SwingingLip:
		return "swinging a lip " + v.mm(g.Thick, sig(3)) + " thick out by " + v.mm(g.Swings, sig(3))
	case rubber.DrawingTongue:
		return "drawing out a tongue " + v.mm(g.Thick, sig(3)) + " thick"
	}
	return ""
}

// drawing says what a straight pull takes, out of the container and in it.
func (v voice) drawing(d rubber.Drawing) string {
	if d.Friction == 0 {
		return ""
	}
	s := "drawing the casting straight out takes " + v.pull(d.Off) + " out of the container, at a friction of " + fixed(1)(d.Friction) + ", with a little release"
	if d.Turned > 0 {
		s += " (turning the rim back bit by bit " + v.pull(d.Turned) + ")"
	}
	first := "take the mold out of its container first"
	if d.Shell {
		first = "take the mother mold off first"
	}
	switch {
	case d.Never:
		return s + "; in it there is no room for it to come at all: " + first
	case d.Matters():
		return s + ", and " + v.pull(d.In) + " in it: " + first
	}
	return s + ", and no more in it"
}

func (v voice) conflict(c rubber.Conflict) string {
	switch c.Wins {
	case rubber.FoamWins:
		return v.say(c.Low) + " (" + shore(c.LowShore) + " or more), but " + v.say(c.High) + " (" + shore(c.HighShore) + " or less): no hardness does both, and softer rubber is pressed out of shape"
	case rubber.SizeWins:
		return v.say(c.High) + " (" + shore(c.HighShore) + " or less), but " + v.say(c.Low) + ": no hardness does both"
	case rubber.PowderWins:
		return "they disagree: " + v.say(c.Low) + ", but dusted powder asks for soft, and powder wins"
	}
	return "they disagree: " + v.say(c.Low) + " (" + shore(c.LowShore) + " or more); " + v.say(c.High) + " (" + shore(c.HighShore) + " or less). Soft wins: a mold that does not let go is worth nothing; hold its shape in the box or a mother mold"
}

// basis says where a bound comes from.
func (v voice) basis(b rubber.Basis) string {
	switch b {
	case rubber.StrainTable:
		return "strain by hardness: a judgement; no share of the elongation is published for mold rubbers"
	case rubber.Habit:
		return "shop habit, contested, no source"
	case rubber.Unbounded:
		return "judgement: what is locked in is let go by no softness"
	case rubber.HandForce:
		hands := "100 to 200 N (10 to 20 kg)"
		if v.us {
			hands = "22 to 45 lb"
		}
		return "modulus by Gent (1958), rings of rubber over the real profile, held against finite elements, or a strip (beam theory); hand force from memory, " + hands
	case rubber.SlabUnderHead:
		return "pressure at the foot of the casting on a slab of that modulus (Gent 1958), kept under " + v.mm(rubber.Tolerance, fixed(1)) + ", a judgement"
	case rubber.SoftestUsed:
		return shore(rubber.Softest) + " is the softest that Gent's relation is used for"
	case rubber.Gentle:
		return "judgement: the softer the rubber, the less it pulls at the pattern"
	case rubber.TooSoft:
		return "judgement: the softest that is poured at that size"
	}
	return shore(rubber.Hardest) + " is the hardest that is sold for molds"
}

// opening names a way to bring soft and firm together.
func (v voice) opening(o rubber.Opening) string {
	switch o.By {
	case rubber.ByPlug:
		return "a plug in the deepest pocket"
	case rubber.ByCore:
		return "a plug, or a core of its own, for the hollow"
	case rubber.ByThinSides:
		if v.us {
			return "sides " + v.mm(o.Thick, fixed(0)) + " thick instead of " + inches(o.Was) + " in"
		}
		return "sides " + v.mm(o.Thick, fixed(0)) + " thick instead of " + sig(3)(float64(o.Was))
	case rubber.ByBlanket:
		return "a blanket " + v.mm(o.Thick, sig(3)) + " thick in a mother mold"
	case rubber.ByHalves:
		return "two keyed halves"
	}
	return "a slit"
}

// choosing says why a rubber was chosen.
func (v voice) choosing(c rubber.Choosing) string {
	switch c.Why {
	case rubber.AskedByName:
		return "asked for by name"
	case rubber.FromDataSheet:
		return "reckoned from the data sheet's figures"
	case rubber.InRange:
		where := "within"
		if c.Nearest {
			where = "the nearest to"
		}
		return shore(c.Shore) + " is " + where + " the range of " + hardnesses(c.Low, c.High)
	case rubber.CuresAgainst:
		s := family(c.Family) + " cures against " + c.What
		if c.Over != "" {
			s += " with less trouble than " + family(c.Over)
		}
		return s
	case rubber.UsualForCast:
		return family(c.Family) + " is usual for " + c.What
	case rubber.OnlyStock:
		return "the rest to be used is of the one rubber in your stock"
	case rubber.Thinned:
		return "thinned, it cures to about " + shore(c.Shore) + " instead of " + fixed(0)(c.High) + ", and tears about as much sooner"
	case rubber.Thickened:
		return "thickened with " + sig(2)(c.High) + " % of thickener from the second coat on, so that it stays on a standing face; the first coat goes on thin and unthickened"
	}
	return "from your own stock"
}

// hardnesses writes a range of hardnesses, or the one that is left of it.
func hardnesses(low, high float64) string {
	if fixed(0)(low) == fixed(0)(high) {
		return shore(high)
	}
	return fixed(0)(low) + " to " + shore(high)
}
