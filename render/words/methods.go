package words

import (
	"math"

	"moldtally/estimate"
	"moldtally/estimate/labor"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// MethodName is what a mold maker calls a way to mold a pattern.
func MethodName(m demold.Mold, slit bool) string {
	switch m {
	case demold.Block:
		if slit {
			return "a block slit at the back"
		}
		return "a block in one piece"
	case demold.Cut:
		return "a mold poured all round and cut open"
	case demold.TwoPart:
		return "two keyed halves"
	case demold.Blanket:
		return "a poured blanket under a mother mold"
	}
	return "a brushed blanket under a mother mold"
}

// MethodShort is the same in a table.
func MethodShort(m demold.Mold, slit bool) string {
	switch m {
	case demold.Block:
		if slit {
			return "block, slit"
		}
		return "block"
	case demold.Cut:
		return "cut open"
	case demold.TwoPart:
		return "two halves"
	case demold.Blanket:
		return "poured blanket"
	}
	return "brushed blanket"
}

var methodFindings = findings{
	estimate.CodeUnfit: tells(func(v voice, u estimate.Unfit) Told {
		return Told{MethodName(u.Mold, u.Slit) + " is not for this pattern: " + v.all(u.Fails), "as asked, it does not come out, or not as it should", "leave the kind of mold open and see which one is planned, or change what stands in the way"}
	}),
	estimate.CodeNoMethod: tells(func(v voice, u estimate.Unfit) Told {
		return Told{"no kind of mold works for this pattern as it is; nearest comes " + MethodName(u.Mold, u.Slit) + ", but " + v.all(u.Fails), "there is nothing to weigh or to price", "fill or plug what holds the rubber, divide the pattern, turn it another way up, or change what is cast"}
	}),
}

// all joins remarks.
func (v voice) all(list []finding.Remark) string {
	out := make([]string, len(list))
	for i, r := range list {
		out[i] = v.say(r)
	}
	return listed(out...)
}

var methodRemarks = []saying{
	says(func(v voice, g estimate.Gate) string {
		switch g.By {
		case estimate.CoverTooThick:
			return "it is so large that its rubber would have to be " + v.mm(g.Size, fixed(0)) + " thick at the sides; past " + v.mm(g.Most, fixed(0)) + " a coat under a mother mold does better"
		case estimate.BlockTooHeavy:
			return v.kilograms(g.Mass, fixed(0)) + " of rubber in one piece: too heavy to handle, and too dear"
		case estimate.CutTooLarge:
			return "at " + v.mm(g.Size, fixed(0)) + " it is too large to be cut out of rubber poured all round: " + v.mm(g.Most, fixed(0)) + " is the usual most"
		case estimate.HarmsOriginal:
			return "it puts a pattern that cannot be replaced at risk"
		case estimate.BoxIsAsked:
			return "a container was asked for, and a blanket has none"
		case estimate.BrittleUnder:
			return "clay is laid against the pattern, which is too delicate for it, or drinks its oil and water"
		case estimate.FoamOnThinCoat:
			return "rising foam presses a brushed coat out of shape"
		case estimate.FoamOpensSlit:
			return "rising foam forces a cut open"
		case estimate.CutLeaves:
			return "cut open up the back it still holds by undercuts of " + v.mm(g.Size, sig(3))
		case estimate.CutLeavesLocked:
			return "cut open up the back it still has rubber locked in"
		}
		return "no hardness does both: rubber that lets go of the pattern is too soft to hold its shape"
	}),
	says(func(v voice, s estimate.Stopped) string {
		t := allFindings[s.Of.Code]
		if t.tell == nil {
			return string(s.Of.Code)
		}
		return t.tell(v, s.Of.Facts).Summary
	}),
	says(func(v voice, h estimate.Hazard) string {
		risk := [...]string{labor.NoRisk: "", labor.Cleaning: "the pattern has to be cleaned", labor.Prying: "a hard peel", labor.Blade: "a blade near the pattern", labor.Damage: "damage to the pattern is to be expected"}[h.Risk]
		seam := [...]string{labor.NoSeam: "no seam", labor.AtBase: "a seam at the base", labor.AtBack: "a fine line at the back", labor.AllRound: "a line all round", labor.AcrossFace: "a line across the face that shows"}[h.Seam]
		return listed(risk, seam)
	}),
	says(func(v voice, w estimate.Weighed) string { return v.weighed(w) }),
	says(func(v voice, n estimate.NextBest) string {
		return MethodName(n.Second.Mold, n.Second.Slit) + ": " + v.than(n.First, n.Second)
	}),
}

// listed joins what is not empty.
func listed(parts ...string) (s string) {
	for _, p := range parts {
		if s != "" && p != "" {
			s += "; "
		}
		s += p
	}
	return s
}

// weighed is why a method was chosen, and what the next would change.
func (v voice) weighed(w estimate.Weighed) string {
	s := MethodName(w.First.Mold, w.First.Slit)
	switch w.Why {
	case estimate.ByPinned:
		s += ", as asked"
	case estimate.ByOnlyOne:
		s += ": nothing else works"
	case estimate.ByPrice:
		s += ": it costs least"
	case estimate.ByRisk:
		s += ": it costs least, with what it risks of the pattern reckoned in"
	case estimate.ByHands:
		s += ": a cheaper one asks for more than hands pull in the rubber that there is for it"
	case estimate.ByCustom:
		s += ": of what is usual for a pattern like this it costs least"
	case estimate.ByTrouble:
		s += ": a coat under a mother mold costs less, but saves too little rubber for a second mold that is closed round it for every casting"
	case estimate.BySteps:
		s += ": it costs about as much as the cheapest, in fewer steps"
	default:
		s += ": nothing works as it should, and this fails by least"
	}
	o := w.Second
	if o == nil {
		return s
	}
	s += "; next comes " + MethodName(o.Mold, o.Slit) + ", " + v.than(w.First, *o)
	return s
}

// than is what a second method would change against the first.
func (v voice) than(a, b estimate.Offered) string {
	cost := "about the same cost"
	switch k := b.Cost / a.Cost; {
	case !(a.Cost > 0):
		cost = "its cost is not known"
	case k > 1.02:
		cost = percent(math.Round(100*(k-1))/100) + " dearer"
	case k < 0.98:
		cost = percent(math.Round(100*(1-k))/100) + " cheaper"
	}
	out := cost
	switch d := b.Days.High - a.Days.High; {
	case d == 1:
		out += ", a day longer"
	case d > 1:
		out += ", " + whole(d) + " days longer"
	case d == -1:
		out += ", a day sooner"
	case d < -1:
		out += ", " + whole(-d) + " days sooner"
	}
	return out + compared(int(b.Risk-a.Risk), ", more risk to the pattern", ", less risk to the pattern") + compared(int(b.Seam-a.Seam), ", a worse seam", ", a finer seam")
}

// compared is what to say of a level that is higher, lower or, in no words, the same.
func compared(by int, higher, lower string) string {
	switch {
	case by > 0:
		return higher
	case by < 0:
		return lower
	}
	return ""
}

// RiskName is what a level of risk to the pattern is called, as labor.Risk counts them.
func RiskName(level int) string {
	names := [...]string{labor.NoRisk: "none", labor.Cleaning: "it has to be cleaned", labor.Prying: "a hard peel", labor.Blade: "a blade near it", labor.Damage: "damage is to be expected"}
	return names[min(max(level, 0), len(names)-1)]
}
