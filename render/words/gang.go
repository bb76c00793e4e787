package words

import "moldtally/estimate"

var gangFindings = findings{
	estimate.CodeAlone: tells(func(v voice, o estimate.OwnMold) Told {
		const effect = "all patterns in one container come out of one block of one rubber, or none does"
		switch o.Why {
		case estimate.IsOriginal:
			return Told{"a pattern that cannot be replaced is not poured together with others", "one bad cup or one leak would reach every pattern in the container", "plan it by itself: leave --together and --count out"}
		case estimate.WantsOtherSoft:
			return Told{"it asks for rubber of Shore A " + hardnessSpan(o.Low, o.High) + ", and " + o.File + " for " + hardnessSpan(o.OtherLow, o.OtherHigh) + ": no one rubber does both", effect, "pour the two apart, each with those that are like it"}
		}
		needs := map[estimate.Apart]string{
			estimate.WantsSlit:   "a block does not let go of it unless it is slit open",
			estimate.WantsHalves: "it needs a mold in two parts, and patterns together are poured in a block",
			estimate.LetsGoNever: "a block does not let go of it at all",
		}[o.Why]
		return Told{needs, effect, "plan it by itself, without --together and --count; or turn it with --up if another side lets go"}
	}),
	estimate.CodeUnlike: tells(func(v voice, u estimate.Unlike) Told {
		switch u.By {
		case estimate.UnlikeHeights:
			return Told{"the patterns are " + v.mm(u.Low, fixed(0)) + " to " + v.mm(u.High, fixed(0)) + " tall: more than a fifth apart", "the low ones lie under rubber that does nothing and makes them hard to take out", "pour those of about one height together"}
		case estimate.UnlikeUndercuts:
			return Told{u.File + " has undercuts that the rubber bends round, and others have none", "where the rubber bends it needs room, and a tear there takes the whole mold out of use", "pour those that bend apart; or leave a slot in the web beside each of them"}
		case estimate.LargeToShare:
			return Told{u.File + " is " + v.mm(u.High, fixed(0)) + " at its longest; patterns poured together are " + v.mm(u.Low, fixed(0)) + " at most", "the more rubber hangs on one mold, the more a single tear or a failed pour costs", "pour it by itself, and the small ones together"}
		case estimate.HeavyToShare:
			return Told{"the block weighs " + v.grams(u.Mass, sig(3)) + ", more than one pair of hands bends and turns (" + v.grams(u.Most, sig(2)) + ")", "taking castings out of it is slow, and it tears under its own weight", "pour fewer together"}
		}
		return Told{"pouring takes about " + whole(int(u.Minutes+0.5)) + " of the " + whole(int(u.Of+0.5)) + " min for which the rubber stays liquid", "what is poured last no longer flows round the last patterns", "pour fewer together, take a slower rubber, or have a second person mix"}
	}),
}

var gangRemarks = []saying{
	says(func(v voice, b estimate.ByItself) string {
		s, why := string(b.Answer), v.say(b.Because)
		if s != "" && why != "" {
			s += "; "
		}
		return b.File + ": " + s + why
	}),
	says(func(v voice, s estimate.Summed) string { return "added up over " + many(int64(s.Count), "pattern") }),
}

var gangFaults = []fault{
	faults(func(v voice, e *estimate.TooMany) Fault {
		return Fault{Told: Told{whole(e.Count) + " patterns are too many for one container: " + whole(e.Most) + " at most", "nothing was worked out", "pour fewer together"}, Input: true}
	}),
}

// hardnessSpan is a range of hardness.
func hardnessSpan(low, high float64) string {
	if low == high {
		return fixed(0)(low)
	}
	return fixed(0)(low) + " to " + fixed(0)(high)
}
