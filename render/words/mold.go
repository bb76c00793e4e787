package words

import (
	"math"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
)

// moldFindings are about the rubber of a mold in hand: its vacuum, its hardness,
// what the shelf lacks.
var moldFindings = findings{
	estimate.CodePotLife: tells(func(v voice, s estimate.SetsTooSoon) Told {
		what, hint := sig(3)(s.Stir)+" min of stirring", "take a slower rubber, or work in a cooler room (--temp)"
		if s.Vacuum > 0 {
			what += " and " + sig(3)(s.Vacuum) + " min under vacuum"
			hint = "take a slower rubber, leave out the vacuum and pour in a thin high stream, or work in a cooler room"
		}
		return Told{s.Name + " sets after " + sig(3)(s.PotLife) + " min at " + v.celsius(s.Temp, sig(3)) + ": nothing of that is left to pour in after " + what, "the rubber sets in the cup, or over the pattern without filling its detail", hint}
	}),
	estimate.CodeSecondHalf: tells(func(v voice, s estimate.SecondHalf) Told {
		t := Told{
			"the second half is poured over the first",
			"rubber bonds to fresh rubber: without a release the halves become one block",
			"brush release over the whole face and the keys, thin (" + spaced(s.Releases, ", ") + "); let it dry",
		}
		if s.Silicone {
			t.Summary += ": silicone on silicone"
			t.Hint += "; no silicone oil spray under silicone"
		}
		return t
	}),
	estimate.CodeChamber: tells(func(v voice, l estimate.TooLarge) Told {
		vessel := "vacuum chamber"
		if l.Pot {
			vessel = "pressure pot"
		}
		return Told{
			"the mold is " + v.mm(l.Across, fixed(0)) + " across its corners and " + v.mm(l.Height, fixed(0)) + " high: it does not fit the " + vessel + " (" + v.span(l.Bore, " by ", l.Room, fixed(0)) + ")",
			"neither the filled box nor later castings can go in",
			"vacuum the mixed rubber in its cup and pour it slowly",
		}
	}),
	estimate.CodeGauge: tells(func(v voice, g estimate.Gauge) Told {
		if g.Left == 0 {
			return Told{
				"a gauge cannot show " + fixed(1)(g.Shows) + " inHg at " + v.altitude(g.Altitude) + ": the air there is only " + fixed(1)(g.Most) + " inHg heavy",
				"the gauge or the altitude is wrong, and how deep the vacuum goes is not known",
				"see that the gauge stands at zero before pumping; give altitude_m in the shop file",
			}
		}
		left, wanted := fixed(0)(float64(g.Left)/rubber.KPaPerTorr)+" Torr", "30 Torr"
		if v.us {
			left, wanted = fixed(1)(g.Left.In(unit.InHg))+" inHg", "1.2 inHg"
		}
		return Told{
			fixed(1)(g.Shows) + " inHg at " + v.altitude(g.Altitude) + " leaves " + left + " in the chamber; " + wanted + " or less is wanted, " + fixed(1)(g.Wanted) + " inHg on a gauge there",
			"bubbles grow only " + fixed(0)(g.Growth) + " times and not all of them burst: the smallest stay in the rubber",
			"look for a leak at the seal and the hoses, or at the pump's oil; else pour in a thin stream from high up",
		}
	}),
	estimate.CodeVacuum: tells(func(v voice, b estimate.BoilsOver) Told {
		return Told{
			"a batch needs a cup of " + v.ml(b.Needs) + " to foam up in; the largest that goes into the chamber holds " + v.ml(b.Has),
			"the rubber boils over into the chamber and its pump",
			"a larger chamber, or leave out the vacuum and pour in a thin stream from high up",
		}
	}),
	estimate.CodeHardness: tells(func(v voice, h estimate.HardnessTold) Told {
		if h.Misfit != nil {
			return v.misfit(*h.Misfit)
		}
		hint := "another kind of mold, a plug for the deepest place, or a thin blanket in a mother mold may bring both together"
		if s := v.opens(h.Opens); s != "" {
			hint = s
		}
		return Told{v.conflict(h.Conflict), "no rubber does everything that is asked here", hint}
	}),
	estimate.CodeForce: tells(func(v voice, m estimate.Misfit) Told { return v.misfit(m) }),
	estimate.CodeStrain: tells(func(v voice, o estimate.OverStrained) Told {
		if o.Strain == nil {
			return Told{"no stretch of the rubber gets this mold off: " + v.straining(o.Why), "the casting, or the mold, is torn", "see the verdict: slit it, part it, plug the place, or give the pattern a foot"}
		}
		stands := "stripping strains the rubber by " + percent(*o.Strain) + "; " + o.Name + " stands " + percent(o.Stands)
		if o.Often {
			until := map[rubber.Life]string{rubber.LongLife: "for a long life", rubber.NormalLife: "for the castings wanted", rubber.FewCastings: "for the few castings wanted"}[o.Life]
			return Told{stands + " " + until, "the mold gives only a few castings before it nicks and tears", "a softer rubber, or a slit"}
		}
		hint := "a softer rubber, a slit, or two parts"
		switch {
		case !o.Hoop:
			hint = "make the inside a core of its own, or plug its mouth and mold the outside alone"
		case o.Never:
			hint = "no rubber stands that: a slit, or two parts"
		}
		return Told{stands + " at most", "the mold tears at its mouth, often at the first casting", hint}
	}),
	estimate.CodeStands: tells(func(v voice, b estimate.Bows) Told {
		how := "would bow out about " + v.mm(b.By, fixed(1))
		if b.Falls {
			how = "would not stand"
		}
		firm := "no mold rubber would hold it to half a millimetre"
		if v.us {
			firm = "no mold rubber would hold it to " + v.mm(rubber.Tolerance, fixed(1))
		}
		if b.Softest != nil {
			firm = "half a millimetre would ask for " + shore(*b.Softest) + " or firmer, or thicker walls"
			if v.us {
				firm = v.mm(rubber.Tolerance, fixed(1)) + " would ask for " + shore(*b.Softest) + " or firmer, or thicker walls"
			}
		}
		return Told{
			"without its container " + wallOf(b.Round) + ", " + v.mm(b.Wall, fixed(0)) + " thick in " + shore(b.Shore) + " rubber, " + how + " under the casting; " + firm,
			"castings come out swollen",
			"keep the container, cut to fit, and cast with the mold in it; or put boards and bands round it",
		}
	}),
	estimate.CodeShort: tells(func(v voice, s estimate.Short) Told {
		t := Told{
			v.grams(s.Have, fixed(0)) + " on the shelf; the pour takes " + v.grams(s.Have+s.Short, fixed(0)) + ": " + v.grams(s.Short, fixed(0)) + " are missing",
			"the box stays unfilled, or a second pour leaves a seam", "buy the rest",
		}
		switch {
		case len(s.Does) > 0:
			var names []string
			for _, k := range s.Does {
				names = append(names, saving(k))
			}
			last := len(names) - 1
			if last > 0 {
				names = []string{strings.Join(names[:last], "; "), "or " + names[last]}
			}
			t.Hint = "any one of these makes it do, with its measures under Rubber: " + strings.Join(names, "; ") + "; or buy the rest"
		case s.Other:
			t.Hint = "buy the rest; no one way saves the " + v.cm3(s.Room, fixed(0)) + ", two or more of those listed under Rubber may, together"
		}
		return t
	}),
}

var moldRemarks = []saying{
	says(func(v voice, k estimate.SavingKind) string { return saving(k) }),
	says(func(v voice, h estimate.SavingHow) string { return v.savingHow(h) }),
	says(func(v voice, a estimate.Alone) string {
		switch a.By {
		case estimate.MotherCarries:
			return "its mother mold carries it"
		case estimate.FoamPressesOut:
			return "expanding foam presses it out of shape: cast in the container or a mother mold"
		case estimate.NotReckoned:
			return ""
		}
		wall := wallOf(a.Round) + ", " + v.mm(a.Wall, fixed(0)) + " thick and " + v.mm(a.High, fixed(0)) + " high, "
		if a.Stands {
			return wall + "then gives way by " + v.mm(a.Gives, fixed(1)) + " under the casting"
		}
		return wall + "gives way by more than " + v.mm(rubber.Tolerance, fixed(1)) + " in any mold rubber"
	}),
}

func wallOf(round bool) string {
	if round {
		return "the round wall of this mold"
	}
	return "the longest wall of this mold"
}

// misfit says how a rubber lies outside the range.
func (v voice) misfit(m estimate.Misfit) Told {
	if m.Firm && m.Bound == 0 {
		return Told{"no rubber is soft enough; " + v.say(m.Why), "it does not come off by hand, and thin places of the casting break", "slit it, part it, or peel a thin coat out of a mother mold"}
	}
	has := m.Name + " has " + shore(m.Shore) + "; the job asks for " + shore(m.Bound)
	if m.Firm {
		return Told{has + " or softer: " + v.say(m.Why), "it is hard to strip, and thin places of the casting break", "a softer rubber, or thinner sides"}
	}
	return Told{has + " or firmer: " + v.say(m.Why), "the mold bulges or sags, and castings come out of true", "a firmer rubber, or cast in the box or a mother mold"}
}

// opens says what opens an empty range, with the bounds each way gives.
func (v voice) opens(ways []estimate.WayOpen) string {
	var yes, no []string
	for _, w := range ways {
		if w.Opens {
			yes = append(yes, "with "+v.opening(w.What)+" "+hardnesses(w.Low, w.High)+" would do")
		} else {
			no = append(no, "not with "+v.opening(w.What)+": from "+shore(w.Low)+", up to "+shore(w.High))
		}
	}
	return strings.Join(append(yes, no...), "; ")
}

// altitude writes a height above the sea, in feet for those who know them.
func (v voice) altitude(m float64) string {
	if v.us {
		return digits((unit.Length(m)*unit.M).In(unit.Foot), 2) + " ft"
	}
	return fixed(0)(m) + " m"
}

// ml writes the room in a cup.
func (v voice) ml(q unit.Volume) string {
	if v.us {
		return digits(q.In(unit.FluidOz), 3) + " fl oz"
	}
	return fixed(0)(q.In(unit.ML)) + " ml"
}

// saving names a way to take less rubber.
func saving(k estimate.SavingKind) string {
	switch k.By {
	case estimate.FewerMolds:
		return "fewer molds"
	case estimate.LessRoom:
		return "a plug, a smaller or a stepped box"
	case estimate.ThinnerSides:
		return "thinner sides"
	case estimate.LessOver:
		return "less over the top"
	case estimate.SteppedBox:
		return "a stepped box"
	case estimate.Plug:
		return "a plug"
	case estimate.Scrap:
		return "cured scrap as filler"
	}
	if k.OtherMold {
		return "another mold: " + string(k.Mold) + ", " + string(k.Container)
	}
	return "another container: " + string(k.Container)
}

// savingHow says what to build for it.
func (v voice) savingHow(h estimate.SavingHow) string {
	switch h.Kind.By {
	case estimate.FewerMolds:
		return "it does for " + whole(h.Does) + " of the " + whole(h.Molds) + " molds; cast more often out of each"
	case estimate.LessRoom:
		return v.cm3(h.Volume, fixed(0)) + " less room for rubber; no nearer to the pattern than the walls ought to be thick"
	case estimate.ThinnerSides:
		s := "at least " + v.instead(h.Wall, "of rubber at the sides", h.Was, fixed(1))
		if h.Diameter > 0 {
			s += ": " + v.mm(h.Diameter, fixed(0)) + " across inside"
		} else {
			s += ": a box of " + v.span(h.Length, " by ", h.Width, fixed(0)) + " inside (--inside " + v.flag(h.Length) + "," + v.flag(h.Width) + "," + v.flag(h.Height) + ")"
		}
		if h.Least {
			s += "; thinner is no longer planned"
		}
		return s
	case estimate.LessOver:
		return v.instead(h.Wall, "of rubber over the pattern", h.Was, fixed(0)) + " (--over " + v.flag(h.Wall) + ")"
	case estimate.SteppedBox:
		return "from " + v.mm(h.Ledge, fixed(0)) + " above the floor up, the box is only " + v.span(h.Length, " by ", h.Width, fixed(0)) + " inside, with a ledge round it"
	case estimate.Plug:
		s := "a sealed block of wood or foam in the thick places, " + v.mm(h.Away, fixed(0)) + " or more from the pattern, fixed so that it does not float: about " + v.cm3(h.Volume, fixed(0)) + " can be built in"
		if h.Enough > 0 {
			s += "; " + v.cm3(h.Enough, fixed(0)) + " of it are enough"
		}
		return s
	case estimate.Scrap:
		where := v.mm(h.Away, fixed(0)) + " or more from the pattern"
		if h.Unsure {
			where += ", if it has that much room"
		}
		return v.cm3(h.Volume, fixed(0)) + " of clean cured pieces of the same chemistry (" + family(h.Family) + "), cut to chunks, " + where + ", at most a quarter of the volume; pour first, then press them in"
	}
	switch {
	case h.Kind.Container == boxfit.Mother:
		return "an even coat of " + v.cm3(h.Volume, fixed(0)) + " of rubber under a rigid shell, which takes work and plaster or resin; --mold blanket plans it"
	case h.Kind.OtherMold:
		return "it takes " + v.cm3(h.Volume, fixed(0)) + " of rubber; --mold " + string(h.Kind.Mold) + " plans it"
	}
	return "it takes " + v.cm3(h.Volume, fixed(0)) + " of rubber; --container " + string(h.Kind.Container) + " plans it"
}

// instead writes a length of something and the one it replaces.
func (v voice) instead(l unit.Length, of string, was unit.Length, metric figure) string {
	if v.us {
		return v.mm(l, metric) + " " + of + " instead of " + inches(was) + " in"
	}
	return v.mm(l, metric) + " " + of + " instead of " + metric(float64(was))
}

// flag writes a length as a flag takes it: millimetres, or inches to a
// thirty-second.
func (v voice) flag(l unit.Length) string {
	if v.us {
		return upTo(3)(math.Round(l.In(unit.Inch)*32)/32) + "in"
	}
	return fixed(0)(float64(l))
}
