package words

import (
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/seam"
)

var demoldFindings = findings{
	demold.CodeLocked: tells(func(v voice, f demold.Locked) Told {
		rest := "; elsewhere nothing holds it"
		if f.Rest > 0 {
			rest = "; elsewhere the rubber has to bend round at most " + v.mm(f.Rest, short)
		}
		if f.Bend > 0 {
			return Told{
				v.volume(f.Volume) + " of rubber is shut in, in places no larger than " + v.mm(f.Bend, fixed(1)) + ": at its height there is no way out past the pattern" + rest,
				"so little can be bent out of the way; it wears first, and a thin part of the pattern may break there",
				"fill such a place with clay or wax, or bend it free by hand before the mold is pulled",
			}
		}
		t := Told{
			v.volume(f.Volume) + " of rubber is locked into the pattern: at its height there is no way out past the pattern" + rest,
			"neither half can be lifted off without tearing there, wherever the mold is parted",
			"fill the place with clay or a loose plug, or give it a third part",
		}
		if f.OnBoard {
			t.Effect = "the mold cannot be pulled off without tearing there, or the pattern breaks"
			t.Hint = "fill the place with clay or a plug, turn the pattern so that it opens upward, or make the mold in more parts"
		}
		if f.Pieces > 0 {
			t.Hint = "fill some of these places with clay or wax; it would take " + whole(f.Pieces) + " loose pieces to let go of all of them, and past " + whole(loose.Most) + " a mold is not worth its trouble"
		}
		return t
	}),
	demold.CodeLoosePiece: tells(func(v voice, f demold.LoosePiece) Told {
		where := "in a hollow no larger than " + v.mm(f.Size, short)
		if f.Places > 1 {
			where = "in " + whole(f.Places) + " hollows, none larger than " + v.mm(f.Size, short)
		}
		return Told{
			v.volume(f.Volume) + " of rubber would be locked " + where + "; it is left out of the mold, as a loose piece of rubber that is drawn toward " + v.side(f.Draw),
			"the piece stays in place when the mold comes off, and is drawn by itself; on castings its edge leaves a fine line round the hollow",
			"fill the hollow first, from its bottom out to where the mold closes over it, tapered outward with a step to seat it; release it, make the mold over it, and set it back before every casting",
		}
	}),
	demold.CodePores: tells(func(v voice, f demold.Pores) Told {
		one, places, fill := "it", "in a hole no larger than "+v.mm(f.Size, short), "the hole"
		if f.Places > 1 {
			one, places, fill = "they", "in "+whole(f.Places)+" holes, none larger than "+v.mm(f.Size, short), "all of them"
		}
		return Told{
			v.volume(f.Volume) + " of rubber would be locked " + places + ", so little that " + one + " can be filled first",
			"left open, rubber tears off in there, or the pattern is torn",
			"press wax or clay into " + fill + ", flush with the surface, before anything else; drill the casting there if it has to be open",
		}
	}),
	demold.CodeHole: tells(func(v voice, f demold.Hole) Told {
		return Told{
			"rubber " + v.mm(f.Long, short) + " long in a small hole of the pattern would have to be squeezed by " + percent(f.Squeeze) + " to leave it",
			"it tears off in there, at the latest with the first castings",
			"press wax or clay into the hole before anything else, flush with the surface; drill the casting there if it has to be open",
		}
	}),
	demold.CodeSpeck: tells(func(v voice, f demold.Speck) Told {
		return Told{
			v.volume(f.Volume) + " of rubber has no way out at its height, in places too small to hold the mold",
			"crumbs of rubber may tear off there and stay in the mold's or the pattern's pits",
			"fill pits and pinholes with wax or clay before the pour",
		}
	}),
	demold.CodeLongWayRound: tells(func(v voice, f demold.LongWayRound) Told {
		return Told{
			"rubber at the worst place must go " + v.mm(f.Path, short) + " round the pattern to get out, though straight through the pattern it is only " + v.mm(f.Depth, short),
			"a hole or a channel that runs across the pull holds a tongue of rubber that long",
			"pull that tongue out slowly with release, or plug the hole with clay and drill the casting",
		}
	}),
	demold.CodeSealedPocket: tells(func(v voice, f demold.SealedPocket) Told {
		return Told{
			"the pattern stands over a hollow of " + v.volume(f.Volume) + " that no rubber gets into",
			"air shut in there warms, pushes out under the rim and leaves bubbles in the face; if the seal fails, rubber creeps in and locks",
			"fill the hollow with clay before the pattern goes onto the board, or drill the board to let the air out",
		}
	}),
	demold.CodeRaggedBottom: tells(func(v voice, f demold.RaggedBottom) Told {
		return Told{
			"the open bottom is not level: it takes " + v.volume(f.Clay) + " of clay to fill it down to the board",
			"what clay fills is neither pattern nor rubber; without it rubber runs under the pattern",
			"press the pattern into a bed of clay and trim the clay flush with the rim",
		}
	}),
	demold.CodeBedded: tells(func(v voice, f demold.Bedded) Told {
		return Told{
			"the underside is uneven: its outline closes on the board only " + v.mm(f.Height, fixed(1)) + " up, and it is bedded in clay to there, " + v.volume(f.Clay) + " of it",
			"what lies under that line is neither rubber nor an undercut; without the bed rubber runs under the pattern and locks it",
			"press the pattern into a bed of oil clay and trim the clay flush with its outline, square to the board; on a porous pattern lay film between",
		}
	}),
	demold.CodeFront: tells(func(v voice, f demold.FrontGuessed) Told {
		why := "no side is much plainer than the others, and most files look that way"
		switch f.Why {
		case seam.FrontOverhang:
			why = "most of what overhangs in its upper part, as a nose, a chin or a beak does, lies there"
		case seam.FrontRelief:
			why = "the side opposite is much the plainer"
		}
		return Told{
			"nothing says which way the pattern looks: its " + v.toward(f.Front) + " side is taken for the front; " + why,
			"the knife goes in at the back; if the front is elsewhere, the seam lies where it shows",
			"look at the picture; --show with the side that is the front keeps the knife away from it",
		}
	}),
	demold.CodeAcrossFace: tells(func(v voice, f demold.AcrossFace) Told {
		return Told{
			"every cut that opens the mold runs over the face that was to be spared, for " + v.mm(f.Length, fixed(0)),
			"the seam shows there on each casting",
			"make the mold in two parts, or peel a brushed coat; or say with --show that another side is the face",
		}
	}),
}
