package words

import (
	"cmp"
	"strings"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

const patchTest = "patch test: 10 g of mix on a hidden spot, at the workshop's temperature, left for the full demold time; look for a tacky face"

var rubberFindings = findings{
	rubber.CodeInhibited: tells(tellMeets),
	rubber.CodePrepare:   tells(tellMeets),
	rubber.CodePatchTest: tells(tellMeets),
	rubber.CodeRelease:   tells(tellCoat),
	rubber.CodeAssumed: tells(func(v voice, f rubber.Assumed) Told {
		if f.SG == 0 {
			return Told{"the mixing ratio was not given; 1:1 by weight is assumed", "A and B are right only for a rubber that mixes 1:1", "give the ratio from the data sheet: --mix 100:10"}
		}
		return Told{"the gravity of the rubber was not given; " + sig(3)(float64(f.SG)) + " is assumed", "the mass may be wrong by a tenth", "give --sg or --in3-per-lb from the data sheet"}
	}),
	rubber.CodeBrush: tells(func(v voice, f rubber.BrushedOn) Told {
		return Told{f.Name + " is brushed on in coats, never poured", "poured, it traps air and, in latex, never dries through", "brush it on (--mold brushed), or choose a pourable rubber"}
	}),
	rubber.CodeRatio: tells(func(v voice, f rubber.RatioOff) Told {
		finer := "--weigh-to 0.1, or 0.01 for a few grams"
		if v.us {
			finer = "--weigh-to 0.005oz, or 0.0005oz for less than an ounce"
		}
		return Told{
			"on a scale that steps by " + v.scaleStep(f.Step) + " the weights miss the ratio " + f.Ratio.String() + " by " + signed(1)(100*f.Error) + " %",
			"the rubber stays soft or sticky, or sets too fast",
			"weigh on a finer scale (" + finer + "), or mix more",
		}
	}),
	rubber.CodeScale: tells(func(v voice, f rubber.CoarseScale) Told {
		return Told{
			"the smaller part is only " + v.onScale(f.Part) + " on a scale that steps by " + v.scaleStep(f.Step),
			"one step too much or too little changes the ratio by over 5 %",
			"weigh the smaller part on a finer scale",
		}
	}),
	rubber.CodeGravity: tells(func(v voice, f rubber.NoGravity) Told {
		units := "grams nor millilitres"
		if v.us {
			units = "weights nor volumes"
		}
		return Told{
			"this rubber mixes " + f.Ratio.String() + " by volume, and the gravities of its parts are not known",
			"neither " + units + " of A and B can be given; weighing a volume ratio spoils the cure",
			"give both gravities from the data sheet (--sg-a, --sg-b), or its ratio by weight (--mix-by weight)",
		}
	}),
	rubber.CodeBatches: tells(func(v voice, f rubber.Batches) Told {
		by := map[rubber.BatchLimit]string{rubber.ByCup: "the cup", rubber.ByChamber: "the vacuum chamber", rubber.ByPotLife: "the pot life"}[f.By]
		switch {
		case f.Coats > 0:
			return tellCups(f, by)
		case f.TooMany:
			return Told{
				"this pour takes at least " + whole(f.Count) + " batches, by " + by + ", and more than a working day",
				"nobody stirs and pours that in one go, and a seam is left where they stopped",
				"look at the unit of the file first; else a larger cup, a mixing machine, or another way than solid rubber",
			}
		case f.Late:
			return Told{
				"more rubber than one batch holds: the next would be poured after the pot life of the one before, even with a second person",
				"a batch poured on one that has set leaves a seam, or parts from it",
				"a slower rubber, a cooler room, no vacuum, or a cup that holds it all",
			}
		case f.People > 1:
			return Told{
				"mixed in up to " + whole(f.Count) + " equal batches, by " + by + "; one person alone would pour the next after the pot life of the one before",
				"a batch poured on one that has set leaves a seam",
				"a second person with a second cup, who stirs the next while the first pours, as the times below say; else a slower rubber or a cooler room",
			}
		}
		return Told{
			"more rubber than one batch holds: mixed in up to " + whole(f.Count) + " equal batches, by " + by,
			"a batch poured on one that has set leaves a seam",
			"have every batch weighed before the first is stirred, and pour each while the one before is still wet",
		}
	}),
	rubber.CodeNotOwned: tells(tellNotOwned),
	rubber.CodeHarms: tells(func(v voice, h rubber.Harms) Told {
		what, hint := cmp.Or(h.Pattern, "a pattern that cannot be replaced"), "a soft platinum-cure silicone, tried on a hidden spot"
		if h.Instead != "" {
			hint = h.Instead
		}
		return Told{family(h.Family) + " grips " + what + ", even sealed", "it takes the face along, or stays in it", hint}
	}),
	rubber.CodeUntouched: tells(func(v voice, u rubber.Untouchable) Told {
		return Told{u.Pattern + ": whatever wets it or pulls at it takes its face along", "no rubber, sealer or clay may touch it, and a first pour would be its last", "scan it and print a stand-in, and mold that; else a conservator takes a pressing of it"}
	}),
	rubber.CodeWhich: tells(tellWhich),
	rubber.CodeUnknown: tells(func(v voice, f rubber.UnknownLeftover) Told {
		return Told{
			"nobody knows the chemistry of " + f.Name,
			"it may never cure, and then the pattern and all the rubber are lost",
			"buy rubber for this job, or find its label: family, both parts, lot and date go into the shop file; then cure a test cup of it first",
		}
	}),
	rubber.CodeTestCup:  tells(tellTestCup),
	rubber.CodeTemp:     tells(tellClimate),
	rubber.CodeAdditive: tells(tellStirredIn),
	rubber.CodeWarmsItself: tells(func(v voice, f rubber.WarmsItself) Told {
		return Told{
			"a batch of " + v.kilograms(f.Batch, fixed(1)) + " of " + family(f.Family) + " warms itself: a data sheet gives the pot life of a cupful",
			"it sets sooner than the time given here",
			"pour it out at once, it keeps longer in the box than in the cup; or mix smaller batches (cup_ml in the shop file)",
		}
	}),
}

// family is a rubber's chemistry in a mold maker's words.
func family(f material.Family) string { return f.Words() }

// spaced writes names of the catalogue as words.
func spaced(names []string, between string) string {
	return strings.ReplaceAll(strings.Join(names, between), "-", " ")
}

func bracketed(s string) string {
	if s == "" {
		return ""
	}
	return " (" + s + ")"
}

func tellMeets(v voice, m rubber.Meets) Told {
	f, remark := family(m.Family), bracketed(m.Remark)
	test := patchTest
	if v.us {
		test = strings.Replace(test, "10 g", "a third of an ounce", 1)
	}
	switch {
	case !m.Known:
		return Told{"how " + f + " cures against " + m.Pattern + " is not known here", "the face of the mold may stay sticky and spoil the pattern", test}
	case m.Cure.No:
		hint := "choose another chemistry"
		if m.Instead != "" {
			hint = "use " + family(m.Instead)
			if m.InsteadSealed {
				hint += " over a sealed pattern"
			}
		}
		return Told{f + " does not cure against " + m.Pattern + remark, "the face of the mold stays liquid or sticky: rubber and often the pattern are lost", hint + "; failing that a barrier coat; then always a " + test}
	}
	var do []string
	if m.Original {
		test = strings.Replace(test, "look for a tacky face", "look for a tacky face, and again after a week for a stain", 1)
	}
	switch {
	case m.Gentle != "":
		do = append(do, "on an original: "+m.Gentle)
	case m.Original && m.Cure.Seal:
		do = append(do, "seal it with what comes off again, tried first on a hidden spot")
	case m.Cure.Seal:
		do = append(do, "seal it, two or three thin coats, fully dry"+bracketed(spaced(m.Sealers, " or ")))
	}
	if m.Brushed() {
		do = append(do, "brush on a thin release"+bracketed(spaced(m.Releases, " or ")))
	}
	switch {
	case len(do) > 0 && m.Cure.Test:
		do = append(do, "then, and here it matters, a "+test)
	case len(do) > 0:
		do = append(do, "then a "+test)
	default:
		do = append(do, test)
	}
	if m.Family != material.Polyurethane && m.Cure.Release {
		do = append(do, "no silicone oil spray under silicone")
	}
	t := Told{f + " cures against " + m.Pattern + remark, "no trouble is expected, but makes differ", strings.Join(do, "; ")}
	switch {
	case m.Cure.Test:
		t.Summary, t.Effect = f+" may not cure against "+m.Pattern+remark, "where it is inhibited the face of the mold stays sticky"
	case m.Cure.Seal:
		t.Summary, t.Effect = aside(m.Pattern)+" must be sealed before "+f+" is poured"+remark, "rubber runs into the pores and locks, or moisture and resin spoil its face"
	case m.Cure.Release:
		t.Summary, t.Effect = f+" bonds to "+m.Pattern+" without a release"+remark, "the mold tears, or takes the pattern's face along"
	}
	return t
}

func tellCoat(v voice, c rubber.Coat) Told {
	name, under := spaced([]string{c.Release.Name}, ""), " under "+family(c.Family)
	instead := func(otherwise string) string {
		if len(c.Instead) == 0 {
			return otherwise
		}
		return "take " + spaced(c.Instead, " or ")
	}
	switch c.Use {
	case rubber.CoatHarms:
		why := c.Why.Said
		switch {
		case why != "":
		case c.Why.Rubber != "":
			why = "it harms " + family(c.Why.Rubber)
		case c.Why.Stains:
			why = "its oil gets into " + c.Why.Pattern + " and stays"
		default:
			why = "it harms " + c.Why.Pattern + ", or does not dry on it"
		}
		return Told{name + under + ": " + why, "the face of the mold is spoilt, or the pattern is", instead("leave it off")}
	case rubber.CoatBetween:
		return Told{name + ": good between the two halves", "the pattern itself asks for none", "brush it thin, let it dry"}
	case rubber.CoatUntried:
		return Told{name + " is not known to work" + under, "the rubber may stick, or not cure at its face", instead("take what is made for it") + "; patch test it first"}
	case rubber.CoatIdle:
		return Told{"nothing here asks for " + name, "a thin coat does no harm and can lengthen the mold's life; a thick one blurs detail", "leave it off, or brush it thin; a patch test with it shows"}
	}
	never := "nothing known"
	if len(c.Release.Never) > 0 {
		never = strings.Join(c.Release.Never, "; ")
	}
	return Told{name + " suits: " + strings.Join(c.Release.For, ", "), "the mold lets go, and lasts longer", "brush it thin, let it dry; what it must not meet: " + never}
}

// tellCups tells of coats that are mixed in several cups, by what keeps them small.
func tellCups(f rubber.Batches, by string) Told {
	cups := "each coat is mixed in " + whole(f.Count) + " cups, one after the other, by " + by
	switch {
	case f.TooMany:
		return Told{
			"the " + whole(f.Coats) + " coats of this mold take " + whole(f.Count*f.Coats) + " cups, by " + by + ", and more than a working day of brushing",
			"nobody brushes that on in one go, and a coat that waits overnight is badly joined to the next",
			"a slower rubber or a cooler room, more hands, or a blanket that is poured (--mold blanket)",
		}
	case f.People > 1:
		return Told{
			cups + "; one person alone would not have all coats on in a working day",
			"rubber that has begun to set in its cup drags under the brush and is lost",
			"two people, each with a cup, brush side by side, as the times below say; else a slower rubber",
		}
	}
	if f.By != rubber.ByPotLife {
		return Told{cups, "no cup is stirred before the one before it is brushed out", "have all cups of a coat weighed before the first is stirred"}
	}
	return Told{
		cups + ": a whole coat is not brushed on before its rubber sets",
		"rubber that has begun to set in its cup drags under the brush and is lost",
		"weigh all cups of a coat before the first is stirred, but stir each only once the one before is brushed out",
	}
}

func tellClimate(v voice, c rubber.Climate) Told {
	at := "the workshop is at " + v.celsius(c.Temp, sig(3))
	switch c.Wrong {
	case rubber.OutOfRange:
		return Told{
			at + "; the rule for times holds from " + v.degrees(c.Coldest, c.Hottest),
			"the rubber may not cure at all, or set in the cup, and the times given here are no more than a guess",
			"bring workshop, pattern, A and B to " + v.degrees(18, 25) + " overnight, or follow the data sheet",
		}
	case rubber.Cold:
		return Told{at + ": cold for rubber", "many rubbers stall below " + v.degrees(15, 18) + ": they stay sticky however long they stand", "warm workshop, pattern, A and B overnight; test a cupful first"}
	case rubber.Warm:
		return Told{
			at + ": warm for rubber",
			"the pot life is short, large masses heat themselves, and tin-cure may be harmed above " + v.celsius(40, fixed(0)) + "; the time to open it is no shorter",
			"mix in the cool of the day and in smaller batches, or cool A and B a little beforehand",
		}
	}
	return Told{"tin-cure takes the moisture that it needs out of the air; heated or cold air is often too dry", "it stays soft inside, or takes days", "40 to 60 % humidity, a wet cloth in the room, and the mold open to the air"}
}

func tellStirredIn(v voice, a rubber.StirredIn) Told {
	kind := string(a.Kind)
	what := sig(3)(a.Pct) + " % of " + kind + " in " + family(a.Family)
	usual := sig(3)(a.Low) + " to " + sig(3)(a.High) + " % is usual"
	switch a.Level {
	case rubber.TooMuch:
		return Told{what + "; " + usual + ", and " + sig(3)(a.Most) + " % the most", a.Beyond, "take less, or another rubber; mix a test cup first and pull at it; " + a.SeeToIt}
	case rubber.AboveUsual:
		return Told{what + "; " + usual, "the rubber is still sound, but this is more than it is made for", "mix a test cup first; " + a.SeeToIt}
	case rubber.MayPoison:
		return Told{what + "; " + usual + ". One with sulfur, amine or tin in it stops platinum-cure", "the whole mold stays soft or liquid, not only its face", "take a pigment made for platinum-cure, and cure a coloured cup before the mold is poured"}
	case rubber.UnknownMatch:
		return Told{"which " + kind + " goes into a rubber of unknown chemistry is not known here", "the wrong one stops the cure, or does not mix", "only what the data sheet of the rubber names"}
	case rubber.NotPoured:
		return Told{"thickened rubber is for brushing; this mold is poured", "it no longer runs into detail, holds its air, and more of it stays in the cup", "leave the thickener out, or brush it on (--mold brushed)"}
	}
	does := map[material.AdditiveKind]string{
		material.Pigment:   "it colours the rubber, so that streaks show where it is not yet mixed",
		material.Thinner:   "it pours thinner; hardness and tear fall about in proportion, by " + sig(3)(a.Pct) + " %",
		material.Thickener: "it no longer runs down a standing face",
	}[a.Kind]
	return Told{what + "; " + usual, does, a.SeeToIt}
}

// aside is a name that goes on in a sentence: one with a comma of its own, as
// "plaster, set and dry", gets the other.
func aside(name string) string {
	if strings.Contains(name, ",") {
		return name + ","
	}
	return name
}
