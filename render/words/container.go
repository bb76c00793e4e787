package words

import (
	"moldtally/boxfit"
)

var containerFindings = findings{
	boxfit.CodeBow: tells(func(v voice, f boxfit.Bow) Told {
		wall := v.mm(f.Width, rule) + " wide under " + v.mm(f.Head, rule) + " of rubber"
		what := "a wall of " + f.Board + ", " + wall + ", bows " + v.mm(f.By, rule) + " by morning; " + v.mm(f.Allowed, rule) + " is allowed"
		if f.Unknown {
			what = f.Board + " is too weak for a wall " + wall + ": left overnight it bows further than any figure can say"
		}
		hint := "use a thicker or stiffer board"
		if f.Stiffer != "" {
			hint = "use a stiffer board: " + f.Stiffer + ", " + v.mm(f.StifferThickness, rule) + " thick, holds" + v.under(f.StifferUnder)
		}
		if f.Enough {
			hint = v.brace(*f.Brace)
		} else if f.Brace != nil {
			hint = v.brace(*f.Brace) + "; or " + hint
		}
		return Told{what, "the mold comes out with bellied sides, takes more rubber than reckoned, and the corner joints open", hint}
	}),
	boxfit.CodeThin: tells(func(v voice, f boxfit.Thin) Told {
		const tears = "thin rubber tears there when the mold is stripped and bulges when it is filled"
		if f.Own != nil {
			t := Told{v.thinOwn(*f.Own), tears, "use a " + containerName(f.Own.Kind) + " at least " + v.inside(f.Own.Need) + ", or plan a mother mold to carry the thin wall"}
			if f.Own.Skin {
				t.Effect = "there is hardly any rubber there: the mold comes out with a hole or tears at the first strip"
			}
			return t
		}
		return Told{
			"the rubber is " + v.mm(f.Thinnest, rule) + " at its thinnest; about " + v.mm(f.Usual, rule) + " is usual for this pattern",
			tears,
			"allow more room there, or plan a mother mold to carry it",
		}
	}),
	boxfit.CodeThick: tells(func(v voice, f boxfit.Thick) Told {
		if f.Asked > 0 {
			return Told{
				"a wall of " + v.mm(f.Asked, rule) + " is asked for",
				"past " + v.mm(f.Most, rule) + " a thicker wall only costs rubber and makes the mold harder to strip",
				"change the kind of mold instead: a blanket under a mother mold, or two parts",
			}
		}
		return Told{
			"the pattern is large, " + v.mm(f.Length, rule) + " × " + v.mm(f.Width, rule) + " from above: a " + string(f.Mold) + " mold takes " + v.litres(f.Rubber) + " of rubber",
			"most of that rubber is farther from the pattern than it need be",
			"look at what a coat under a mother mold would take, among the ways to mold it",
		}
	}),
	boxfit.CodeCoat: tells(func(v voice, f boxfit.Coat) Told {
		how := "poured"
		if f.Brushed {
			how = "brushed on"
		}
		t := Told{"a coat of " + v.mm(f.Asked, rule) + " is asked for; " + how + ", about " + v.mm(f.Usual, rule) + " is usual for a pattern of this size",
			"thin rubber tears at edges and where the shell rubs", "leave --coat out, or lay gauze into the coat and double it at edges and lips"}
		if f.Thick {
			t.Effect, t.Hint = "a thick coat costs rubber and bends less easily out of undercuts", "leave --coat out, or make a block where the pattern is small"
		}
		return t
	}),
	boxfit.CodeHead: tells(func(v voice, f boxfit.Head) Told {
		deep := "the rubber stands " + v.mm(f.Depth, rule) + " deep"
		if f.Mother {
			return Told{
				deep + " under the mother mold: " + v.kPa(f.Floor, upTo(1)) + " at the board",
				"a leak under the flange empties the shell while it cures",
				"bolt the flange every hand's breadth over a bead of soft clay, and stay with the pour until it gels",
			}
		}
		return Told{
			deep + ": " + v.kPa(f.Floor, upTo(1)) + " at the floor, " + v.newtons(f.Wall, upTo(0)) + " on the widest wall, half of that on each of its joints",
			"glued or taped joints open under it, and a leak at the floor empties the box while it cures",
			"screw the joints and seal every seam outside with hot glue or soft clay; strap the box in two places, and stay with the pour until it gels",
		}
	}),
	boxfit.CodeFloatUnknown: tells(func(v voice, f boxfit.MayFloat) Told {
		if f.Bodies > 1 {
			return Told{
				"the patterns' mass is not known, so neither is whether they float in the rubber",
				"they float if all " + whole(f.Bodies) + " together weigh less than " + v.mass(f.Displaces) + ", the rubber they displace; hollow and weightless they would pull up with " + v.pull(f.Worst),
				"say what one weighs, or fix each as if it floated: " + v.mass(f.Load) + " on a bridge across all holds the worst; then say --fixed",
			}
		}
		return Told{
			"the pattern's mass is not known, so neither is whether it floats in the rubber",
			"it floats if it weighs less than " + v.mass(f.Displaces) + ", the rubber it displaces; hollow it would pull up with up to " + v.pull(f.Worst),
			"weigh the pattern and give its mass, or fix it as if it floated: " + v.mass(f.Load) + " on a bridge across it holds the worst; then say --fixed",
		}
	}),
	boxfit.CodeFloat: tells(func(v voice, f boxfit.Floats) Told {
		foot := map[boxfit.Foot]string{
			boxfit.FootLess:  "; only a foot sealed all round would do better, and do not count on that",
			boxfit.FootHolds: "; only while its foot is sealed all round does the rubber hold it down, and do not count on that",
		}[f.Sealed]
		weighs, displaces := v.apart(f.Mass, f.Displaces)
		if f.Bodies > 1 {
			return Told{
				"the patterns float: all " + whole(f.Bodies) + " together weigh " + weighs + " and displace " + displaces + " of rubber",
				"together they pull up with " + v.pull(f.Up) + "; one that comes loose leaves a hole in the mold of all of them" + foot,
				"fix each of them: screws from below, bars or weights across them together good for " + v.pull(f.Screws) + "; glue or clay for " + v.pull(f.Glue) + ", as both soften over a long cure; then say --fixed",
			}
		}
		return Told{
			"the pattern floats: it weighs " + weighs + " and displaces " + displaces + " of rubber",
			"it pulls up with " + v.pull(f.Up) + "; once rubber creeps under it, it comes loose and the mold is lost" + foot,
			v.anchored(f),
		}
	}),
	boxfit.CodeRun: tells(func(v voice, f boxfit.LongRun) Told {
		return Told{
			"the trough is " + v.mm(f.Length, rule) + " long inside; a run is poured in at most " + v.mm(f.Most, rule),
			"a longer one is hard to level and to lift, and its rubber sets before the pour is done",
			"mold one repeat of the ornament and an overlap, cast it as often as it is needed, and join the castings",
		}
	}),
	boxfit.CodeSheet: tells(func(v voice, f boxfit.PastSheet) Told {
		return Told{
			"the " + v.say(remark(f.Part)) + ", is " + v.mm(f.Length, rule) + " × " + v.mm(f.Width, rule) + "; its sheets are " + v.mm(f.SheetLength, rule) + " × " + v.mm(f.SheetWidth, rule),
			"it cannot be cut in one piece, and a wall that is joined opens under the rubber where the joint is not backed",
			"join two lengths with a strip screwed and sealed over the joint outside; or take a board sold in larger sheets, and say their size in the shop file",
		}
	}),
	boxfit.CodeHeavy: tells(func(v voice, f boxfit.Heavy) Told {
		least := ""
		if f.AtLeast {
			least = "at least "
		}
		what, effect, do := "container", "a full box that is tilted or dropped while it cures is lost, and so may be a back", "pour it"
		if f.Shell {
			what, effect = "shell, board", "a shell that is dropped cracks, and the rubber under it loses its shape; a back may be hurt as well"
		}
		if f.Brushed {
			do = "build it up"
		}
		return Told{
			what + ", rubber and pattern together weigh " + least + v.kilograms(f.Mass, sig(3)),
			effect,
			do + " where it can stand until it has cured; to move it: " + v.lifting(f.Hands),
		}
	}),
	boxfit.CodeSmall: tells(func(v voice, f boxfit.TooSmall) Told {
		var lacks []string
		if f.Side > 0 && f.Kind == boxfit.Sleeve {
			lacks = append(lacks, v.mm(f.Side, rule)+" in its bore")
		} else if f.Side > 0 {
			lacks = append(lacks, v.mm(f.Side, rule)+" of length or width whichever way it is turned")
		}
		if f.Height > 0 {
			lacks = append(lacks, v.mm(f.Height, rule)+" of height")
		}
		name := containerName(f.Kind)
		return Told{
			"the pattern does not fit your " + name + ": it lacks " + list(lacks, "and"),
			"no mold can be poured in it",
			"use a " + name + " at least " + v.inside(f.Need) + ", or stand the pattern another way up",
		}
	}),
	boxfit.CodeTube: tells(func(v voice, f boxfit.NoTube) Told {
		return Told{
			"no stock tube is wide enough: " + v.mm(f.Need, rule) + " of bore is needed, the widest, " + f.Widest + ", has " + v.mm(f.Bore, rule),
			"the sleeve is planned to measure instead",
			"wrap it from thin plastic sheet and strap it, or build a box",
		}
	}),
	boxfit.CodeShell: tells(func(v voice, f boxfit.ShellLifts) Told {
		return Told{
			"the liquid rubber lifts a closed mother mold with " + v.newtons(f.Up, upTo(0)) + " when it stands " + v.mm(f.Riser, rule) + " up in the funnel",
			"a shell that rises lets the rubber run out under its flange, and the blanket comes out too thick on top; a taller funnel lifts more",
			"bolt or clamp the flange to the board, or load the shell with " + v.kilograms(f.Load, sig(3)) + ", twice its own lift; give the shell 3 to 5° of draft and seal the flange",
		}
	}),
	boxfit.CodeVolume: tells(func(v voice, f boxfit.NoRoom) Told {
		return Told{
			"the pattern is said to displace up to " + v.litres(f.Displaced) + ", but the container holds " + v.litres(f.Capacity),
			"no figure for the rubber can be right",
			"measure the displaced volume again, check the unit of the file, and look at how its holes were closed",
		}
	}),
}

var containerRemarks = []saying{
	says(voice.brace),
	says(func(v voice, r boxfit.Reason) string {
		switch r.Why {
		case boxfit.BecauseAsked:
			return "asked for"
		case boxfit.BecauseOwn:
			return "your own " + containerName(r.Than)
		case boxfit.BecauseLong:
			return "long and thin: a trough, its walls by the section and not by the length"
		case boxfit.BecauseBlanket:
			return "a blanket has its mother mold"
		case boxfit.BecauseSleeve:
			return *r.Tube + " fits closely and takes " + percent(r.Saved) + " less rubber than a box"
		case boxfit.BecauseSheet:
			return "round, and no tube fits closely: a sheet wrapped round takes " + percent(r.Saved) + " less rubber than a box"
		case boxfit.BecausePolygon:
			return "round, and no tube fits closely: a polygon of " + whole(r.Sides) + " boards takes " + percent(r.Saved) + " less rubber than a box, which pays for its bevels"
		}
		return "four boards: a tube, a sheet wrapped round or a polygon would not pay for its work"
	}),
	says(func(v voice, p boxfit.Part) string {
		switch p.Role {
		case boxfit.LongSide:
			return "long side, " + p.Stock
		case boxfit.ShortSide:
			return "short side, " + p.Stock
		case boxfit.PolygonSide:
			return "side, " + p.Stock + ", both upright edges cut to " + upTo(2)(180/float64(p.Sides)) + "°"
		case boxfit.TroughSide:
			return "side, " + p.Stock
		case boxfit.StopEnd:
			return "stop end, between the sides, " + p.Stock
		case boxfit.TroughBrace:
			return "upright brace outside, screwed to side and base, " + p.Stock
		case boxfit.BaseBoard:
			return "base board, " + p.Stock
		}
		switch p.Role {
		case boxfit.WrappedSheet:
			return p.Stock + ", wrapped round and strapped"
		case boxfit.RimBatten:
			return "batten along the rim, from corner to corner, " + p.Stock
		case boxfit.UprightRib:
			return "upright rib outside, under the batten, " + p.Stock
		}
		return "tube, " + p.Stock + ", slit along its length"
	}),
}

// containerName is what a user calls a container of their own.
func containerName(k boxfit.Kind) string {
	if k == boxfit.Sleeve {
		return "tube"
	}
	return "box"
}

// anchored says how to hold a pattern down.
func (v voice) anchored(f boxfit.Floats) string {
	if f.Original {
		return "cradle it in clay so that rubber gets under no part of it, or brush the rubber on, which floats nothing; nothing may be screwed, glued or weighted on it; then say --fixed"
	}
	switch {
	case f.Ring > 0:
		return "hold it down with a ring of glue of at least " + v.cm2(f.Ring, sig(2)) + ", good for " + v.pull(f.Glue) + " as it softens over a long cure; or with " + v.mass(f.Load) + " on a bridge across it; then say --fixed"
	case !f.OnBoard:
		return "hold it down with a weight or a bar on pins where they do not show, good for " + v.pull(f.Screws) + "; then say --fixed"
	}
	return "hold it down with a screw from below, a bar across the top or a weight on a bridge, good for " + v.pull(f.Screws) + "; glue or clay alone must be good for " + v.pull(f.Glue) + ", as both soften over a long cure; then say --fixed"
}

func (v voice) brace(b boxfit.Brace) string {
	if b.Trough {
		return "stand an upright brace every " + v.mm(b.Every, rule) + " outside of each side, screwed to side and base: the bow between them is " + v.mm(b.Bow, rule)
	}
	walls := " the " + v.mm(b.Walls, rule) + " walls"
	left := ": the bow falls to " + v.mm(b.Bow, rule)
	rim := "screw " + v.batten(b.Batten) + " along the rim of" + walls + ", from corner to corner"
	switch b.Ribs {
	case 0:
		return rim + left
	case 1:
		return rim + "; a stiff upright rib at mid-length to their outside" + left
	}
	return rim + "; " + whole(b.Ribs) + " stiff upright ribs, one every " + v.mm(b.Every, rule) + ", to their outside" + left
}

// batten is a batten by its section, and how it lies.
func (v voice) batten(b boxfit.Batten) string {
	how := "flat"
	if b.OnEdge {
		how = "on edge"
	}
	return "a batten of " + v.span(b.Thick, " × ", b.Wide, rule) + ", " + how + ","
}

// under is what else a board needs to hold.
func (v voice) under(b boxfit.Batten) string {
	if b == (boxfit.Batten{}) {
		return " by itself"
	}
	return " under " + v.batten(b) + " along its rim"
}

func (v voice) thinOwn(f boxfit.OwnThin) string {
	have, want := v.mm(f.Have, rule), v.mm(f.Want, rule)
	switch f.Where {
	case boxfit.OverPattern:
		return "the rubber is only " + have + " over the pattern, " + want + " is wanted"
	case boxfit.OverAndUnder:
		return "the rubber is only " + have + " over the pattern and " + v.mm(f.HaveUnder, rule) + " under it; " + want + " and " + v.mm(f.WantUnder, rule) + " are wanted"
	}
	return "the rubber is only " + have + " at the side, " + want + " is wanted"
}

// inside is how large a container must be inside.
func (v voice) inside(i boxfit.Inside) string {
	if i.Diameter > 0 {
		return v.mmUp(i.Diameter) + " in bore and " + v.mmUp(i.Height) + " high inside"
	}
	return v.mmUp(i.Length) + " × " + v.mmUp(i.Width) + " × " + v.mmUp(i.Height) + " inside"
}
