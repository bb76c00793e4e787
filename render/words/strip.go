package words

import (
	"moldtally/mesh/demold/strip"
)

var stripFindings = findings{
	strip.CodeNeck: tells(func(v voice, f strip.Neck) Told {
		neck, bulge := v.mm(f.Neck, short), v.mm(f.Bulge, short)
		switch {
		case f.Clay:
			return Told{
				"the pattern barely touches the board: it measures " + neck + " round at the clay line and " + bulge + " round further up",
				"the mouth of the mold is too small: the rubber closes round the pattern and cannot stretch over it",
				"give the pattern a foot, stand it on another side, or raise the clay with --clay",
			}
		case f.Neck == 0:
			return Told{
				"a part " + bulge + " round hangs free: nothing joins it to what is below",
				"the rubber closes round it and holds it fast",
				"join it to the pattern, mold it by itself, or cut the mold open there",
			}
		}
		return Told{
			"a neck only " + neck + " round carries a part " + bulge + " round",
			"how far the rubber must stretch there cannot be told; the neck or the rubber will break",
			"thicken the neck, mold that part by itself, or cut the mold open there",
		}
	}),
	strip.CodeMouth: tells(func(v voice, f strip.NarrowMouth) Told {
		return Told{
			"the pattern is narrowest where it meets the board: it measures " + v.mm(f.Neck, short) + " round at the clay line and " + v.mm(f.Bulge, short) + " round further up",
			"the mouth of the mold is too small: it must stretch by " + percent(f.Stretch) + " for every casting",
			"give the pattern a foot as wide as its body, or stand it on another side",
		}
	}),
}
