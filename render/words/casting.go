package words

import (
	"math"
	"strconv"
	"strings"

	"moldtally/estimate"
	"moldtally/estimate/material"
	"moldtally/mesh/unit"
)

var castingFindings = findings{
	estimate.CodeTooHot: tells(func(v voice, h estimate.Hot) Told {
		stands := h.Rubber + " stands "
		if h.Most {
			stands = "no rubber stands more than "
		}
		return Told{v.reaches(h) + "; " + stands + v.celsius(h.Limit, fixed(0)), "the mold chars, and what is hot may spit", v.cooler(h)}
	}),
	estimate.CodeNearHot: tells(func(v voice, h estimate.Hot) Told {
		return Told{v.reaches(h) + ", close to the " + v.celsius(h.Limit, fixed(0)) + " of " + h.Rubber, "the skin of the mold hardens and cracks early", "cast in layers or thin, let the mold cool in between, or take a heat-rated rubber"}
	}),
	estimate.CodeFamily: tells(func(v voice, u estimate.Unusual) Told {
		if u.Most > 0 {
			return Told{family(u.Family) + " is chosen for " + u.Cast + " up to " + whole(u.Most) + " castings; " + whole(u.Copies) + " are wanted", "its face ages and tears before they are made", "choose a rubber that lasts longer, or count on more molds"}
		}
		var names []string
		for _, f := range u.Usual {
			names = append(names, family(f))
		}
		return Told{u.Cast + " is usually cast in " + strings.Join(names, " or ") + ", not in " + family(u.Family), "the mold gives fewer castings, or the casting sticks", "choose a rubber of that chemistry, or count on more molds"}
	}),
	estimate.CodeFood: tells(func(v voice, e estimate.Eaten) Told {
		s := e.Cast + " is eaten, and " + family(e.Family) + " is not for food"
		switch {
		case e.Declared != "" && !e.Owned:
			s = e.Cast + " is eaten; " + e.Declared + " stands for a rubber that its maker declares for food contact"
		case e.Declared != "":
			s = e.Cast + " is eaten; you say the maker of " + e.Declared + " declares food contact"
		case e.Family == material.Platinum:
			s = e.Cast + " is eaten, and nobody declared this platinum-cure silicone for food contact"
		}
		return Told{s, "residues of the rubber get into food", "only a platinum-cure silicone whose maker declares food contact (food = true in the shop file), fully cured and post-cured; never a mold that has held resin"}
	}),
	estimate.CodeFoam: tells(func(v voice, f estimate.FoamPresses) Told {
		t := Told{
			"expanding foam presses on the mold with " + v.pressures(f.Low, f.High, sig(3)) + " when it is packed by " + percent(f.Pack),
			"the mold swells and the lid lifts",
			"mother mold or box round it, lid clamped, vents at the highest places; no slit in or under the face that it presses on",
		}
		if f.LidHigh > 0 {
			lid, side := v.roughForces(f.LidLow, f.LidHigh), v.roughForce(f.Side)
			t.Effect = "it lifts the lid with " + lid + " and pushes the largest side out with up to " + side + "; the mold swells, and a lid that lifts spoils the casting"
			t.Hint = "keep the container on, and clamp the lid for " + v.roughWeight(2*f.LidHigh) + ", twice the most; vents at the highest places; no slit in or under the face that it presses on"
		}
		return t
	}),
	estimate.CodeFast: tells(func(v voice, f estimate.FastAndThick) Told {
		return Told{"one casting takes " + v.grams(f.Mass, fixed(0)) + " of " + f.Cast + ": so much heats itself; a fast one is for " + v.grams(f.Most, fixed(0)) + " or less", "it runs hot: the casting shrinks and cracks, and the skin of the mold ages early", "take a slow one, cast it hollow, or in layers"}
	}),
	estimate.CodeThinWall: tells(func(v voice, f estimate.ThinForHeat) Told {
		return Told{"the rubber is " + v.mm(f.Wall, fixed(0)) + " thick; " + f.Cast + " asks for " + v.mm(f.Least, fixed(0)) + " or more", "the heat goes through to what holds it, and the mold warps", "give it walls that thick (--wall); no shell of laminate round it; have the mold warm and dry"}
	}),
	estimate.CodeHollow: tells(func(v voice, h estimate.Hollow) Told {
		t := Told{"the hollow casting is reckoned as a wall of " + v.mm(h.Wall, sig(3)) + ", open at the mouth", "slush casting leaves thin and thick places", "weigh the first hollow casting and mix by that"}
		if h.Rough {
			t.Effect = "it is a rough figure: edges and corners count double. " + t.Effect
		}
		return t
	}),
	estimate.CodeStiff: tells(func(v voice, s estimate.StiffPowder) Told {
		return Told{
			"with " + sig(3)(s.Ratio) + " parts of powder to one of resin by weight, powder is " + percent(s.Share) + " of the face coat's volume",
			"from about 40 % on it is a paste that hardly pours and keeps its bubbles",
			"at most " + sig(2)(s.Most) + " parts of powder to one of resin, or brush the face on as a paste",
		}
	}),
}

// cooler says what does for a casting that is hotter than its rubber stands.
func (v voice) cooler(h estimate.Hot) string {
	thin := "cast thin and slowly, which stays cooler"
	switch {
	case h.Instead != "" && h.Stands < h.High:
		return "take " + h.Instead + ", which stands " + v.celsius(h.Stands, fixed(0)) + ", and " + thin
	case h.Instead != "" && h.Low > h.Limit:
		return "take " + h.Instead + ", which stands " + v.celsius(h.Stands, fixed(0))
	case h.Instead != "":
		return "take " + h.Instead + ", which stands " + v.celsius(h.Stands, fixed(0)) + ", or " + thin
	case h.Low > h.Limit:
		return "make wax castings in a mold like this and cast the " + h.Cast + " from those by lost wax, since rubber does not stand it; or cast something that stays under " + v.celsius(h.Limit, fixed(0))
	}
	return thin + ", or cast something else: no rubber here stands more"
}

// reaches says how hot a casting gets.
func (v voice) reaches(h estimate.Hot) string {
	if fixed(0)(float64(h.Low)) == fixed(0)(float64(h.High)) {
		return h.Cast + " may reach " + v.celsius(h.High, fixed(0))
	}
	span := fixed(0)(float64(h.Low)) + " to " + fixed(0)(float64(h.High))
	if v.us {
		span = fixed(0)(h.Low.Fahrenheit()) + " to " + fixed(0)(h.High.Fahrenheit())
	}
	return h.Cast + " may reach " + v.celsius(h.High, fixed(0)) + " (" + span + ")"
}

// twoDigits writes a figure that is known to a factor.
func twoDigits(v float64) string {
	if v <= 0 {
		return "0"
	}
	step := math.Pow(10, math.Floor(math.Log10(v))-1)
	return strconv.FormatFloat(math.Round(v/step)*step, 'f', max(0, -int(math.Floor(math.Log10(step)+0.5))), 64)
}

func (v voice) roughForce(f unit.Force) string { return v.newtons(f, twoDigits) }

// roughForces writes two forces, for readers of metric units in kg as well.
func (v voice) roughForces(low, high unit.Force) string {
	if v.us {
		return digits(low.In(unit.LbForce), 2) + " to " + v.newtons(high, twoDigits)
	}
	kg := func(f unit.Force) string { return twoDigits(f.In(unit.KgForce)) }
	return twoDigits(float64(low)) + " to " + twoDigits(float64(high)) + " N (" + kg(low) + " to " + kg(high) + " kg)"
}

// roughWeight writes what a force weighs.
func (v voice) roughWeight(f unit.Force) string {
	if v.us {
		return v.newtons(f, twoDigits)
	}
	return twoDigits(f.In(unit.KgForce)) + " kg"
}
