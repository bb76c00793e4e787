package words

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

var solidFindings = findings{
	solid.CodeVesselWall: tells(func(v voice, f solid.VesselWall) Told {
		return Told{
			"the file has the vessel as a sheet without thickness; a wall of " + v.mm(f.Wall, sig(2)) + " was taken",
			"rubber fills the inside; " + v.doubt(f.Doubt),
			"measure the real wall, or give the volume as measured by dunking with --displaced",
		}
	}),
	solid.CodeTurned: tells(func(v voice, f solid.TurnedFaces) Told {
		return Told{
			countAre(f.Count, "face") + " inside out against those round it",
			"turned; the shape is as it was and no figure suffers",
			"nothing to do here; have the file's normals unified if it goes on to a printer",
		}
	}),
	solid.CodeInsideOut: tells(func(v voice, f solid.InsideOut) Told {
		return Told{
			countAre(f.Pieces, "piece") + " drawn inside out",
			"taken right side out; the volume is that of the solid it bounds",
			"if it was meant as a hollow, it must lie inside another piece",
		}
	}),
	solid.CodePieces: tells(func(v voice, f solid.Bodies) Told {
		return Told{
			"the pattern is " + whole(f.Count) + " bodies that do not touch each other",
			"they are planned as they lie, in one mold, with rubber between them",
			"if that is no layout of your own making, split the file and plan each body by itself",
		}
	}),
	solid.CodeDoubles: tells(func(v voice, f solid.Doubles) Told {
		return Told{countAre(f.Count, "face") + " drawn twice on the same corners", "counted once", nothing}
	}),
	solid.CodeOneSided: tells(func(v voice, f solid.OneSided) Told {
		return Told{
			"part of the surface has no inside and outside: it passes through itself like a twisted band",
			"inside is taken by counting crossings; " + v.doubt(f.Doubt),
			"look at the picture; have the model repaired where it looks wrong",
		}
	}),
	solid.CodeCrumbs: tells(func(v voice, f solid.Crumbs) Told {
		return Told{
			count(f.Count, "crumb") + " of loose debris, each under 1 % of the largest piece's size",
			"left out of the base, the outline and the volume",
			"if they belong to the pattern, say --keep-crumbs",
		}
	}),
	solid.CodeCrossings: tells(func(v voice, f solid.Crossings) Told {
		what := "faces cross or touch each other in " + whole(f.Pairs) + " places"
		if f.First != nil {
			what += ", the first near " + v.place(*f.First)
		}
		return Told{
			what,
			"overlaps count once; " + v.doubt(f.Doubt),
			nothing + " if the pattern is made of pieces pushed together; else look near that place",
		}
	}),
	solid.CodePockets: tells(func(v voice, f solid.Pockets) Told {
		return Told{
			"the pieces enclose rooms of " + v.cm3(f.Volume, sig(4)) + " that nothing leads into",
			"rubber cannot enter them: they count as pattern, and as hollow when it floats",
			"if a real gap leads in, widen it in the file or plug it on the pattern; vacuum may burst or flood a sealed hollow",
		}
	}),
	solid.CodeVoids: tells(func(v voice, f solid.Voids) Told {
		return Told{
			"the pattern is hollow: " + count(f.Count, "sealed void") + " of " + v.cm3(f.Volume, sig(4)) + " in all",
			"it displaces " + v.cm3(f.Displaced, sig(4)) + " but has material for " + v.cm3(f.Material, sig(4)) + ": it floats the more, and air in it swells under vacuum and in warmth",
			"weigh the pattern and give --pattern-mass; fill it or seal every pore before the pour",
		}
	}),
	solid.CodeCracks: tells(func(v voice, f solid.Cracks) Told {
		return Told{
			count(f.Count, "crack") + " of no width where faces do not share their corners",
			"zipped; no rubber could enter and no volume changes",
			nothing,
		}
	}),
	solid.CodeBottom: tells(func(v voice, f solid.Bottom) Told {
		kind, with := "ragged", "with the least skin that spans the rim"
		if f.Flat {
			kind, with = "flat", "with a flat patch"
		}
		return Told{
			"one side was never scanned: a " + kind + " opening " + v.mm(f.Across, sig(3)) + " across faces " + v.facing(f.Facing) + " near " + v.place(f.At),
			"closed " + with + " of " + v.cm2(f.Patch, sig(3)) + "; " + v.doubt(f.Doubt),
			"stand the pattern on that side and fill a ragged rim with clay down to the baseboard; for an exact figure give the volume as measured by dunking with --displaced",
		}
	}),
	solid.CodeHoles: tells(func(v voice, f solid.Holes) Told {
		return Told{
			count(f.Count, "open hole") + " in the skin, the largest " + v.mm(f.Largest, sig(3)) + " across near " + v.place(f.At),
			"closed with patches; " + v.doubt(f.Doubt),
			"look at the patches in the picture; close the holes in the file for an exact figure",
		}
	}),
	solid.CodeDrain: tells(func(v voice, d solid.Hollows) Told {
		if n := len(d.Ways); n > 1 {
			return Told{
				whole(n) + " hollows that are alike, the largest of " + v.cm3(d.Volume, sig(3)) + ", open only through ways about " + v.mm(unit.Length(d.Width), sig(2)) + " wide; at " + v.spots(d.Ways, mostHollows),
				"rubber creeps in, up to " + v.grams(d.Rubber(), sig(3)) + " of it in all, and locks the mold to the pattern",
				"plug every hole flush with clay or wax before the pour, or close them in the file",
			}
		}
		return Told{
			"a hollow of " + v.cm3(d.Volume, sig(3)) + " opens only through a way about " + v.mm(unit.Length(d.Width), sig(2)) + " wide, near " + v.place(d.At),
			"rubber creeps in, up to " + v.grams(d.Rubber(), sig(3)) + " of it, and locks the mold to the pattern",
			"plug the hole flush with clay or wax before the pour, or close it in the file",
		}
	}),
}

// mostHollows is how many places of hollows are told at most.
const mostHollows = 12

var solidRemarks = []saying{
	says(func(v voice, r solid.DroppedDoubles) string { return count(r.Faces, "face") + " dropped as doubles" }),
	says(func(v voice, r solid.ZippedEdges) string {
		return count(r.Edges, "open edge") + " of cracks zipped within " + v.mm(r.Within, sig(2))
	}),
	says(func(v voice, r solid.TurnedToAgree) string {
		return count(r.Faces, "face") + " turned to agree with their neighbours"
	}),
	says(func(v voice, r solid.ZippedCracks) string { return count(r.Cracks, "crack") + " of no width zipped" }),
	says(func(v voice, r solid.Patched) string {
		s := count(r.Holes, "hole") + " closed with a patch"
		if r.Holes > 1 {
			s += " each"
		}
		return s
	}),
	says(func(v voice, r solid.GivenWall) string {
		return "the open sheet given a wall of " + v.mm(r.Wall, sig(2)) + ", as an open vessel"
	}),
	says(func(v voice, r solid.LeftOut) string { return count(r.Crumbs, "crumb") + " left out as loose debris" }),
	says(func(v voice, r solid.TurnedOut) string { return count(r.Pieces, "piece") + " turned right side out" }),
	says(func(v voice, r solid.FilledRoom) string { return "a room that the pieces enclose together filled" }),
	says(func(v voice, m solid.Measured) string {
		s := map[solid.Way]string{
			solid.WayExact:   "exact: the surface is closed and does not cross itself",
			solid.WayMended:  "sum of the pieces after mending; they do not cross",
			solid.WayUnion:   "exact union of the pieces: faces cut where they cross",
			solid.WayColumns: "sum of the pieces, corrected by columns along three directions for overlaps and pockets",
		}[m.Way]
		if m.Patched {
			s = "holes closed with patches; " + s
		}
		return s
	}),
}

var solidFaults = []fault{
	means(solid.ErrNothing, Fault{Told: Told{
		"its faces surround nothing, so there is no volume",
		"without a volume no rubber can be worked out",
		"give the surface thickness, or close it, in the program it was made in",
	}}),
	means(mesh.ErrTooLarge, Fault{Told: Told{
		"its numbers are too large to reckon with",
		"nothing was worked out",
		"look at --units and at --resize, and at stray points far away",
	}}),
}

// nothing is what to do where there is nothing to do.
const nothing = "nothing to do here"

// doubt says how well the displaced volume is known.
func (v voice) doubt(d solid.Doubt) string {
	x := d.Displaced
	return "it displaces " + v.cm3(x.Value, sig(4)) + ", between " + v.cm3(x.Low, sig(4)) + " and " + v.cm3(x.High, sig(4)) + ": " +
		v.grams(d.Rubber, sig(2)) + " of rubber either way; reckoned at " + v.gravity(d.Density, fixed(1))
}

// facing names the axis of the file that is nearest to a direction.
func (v voice) facing(n mesh.Vec) string {
	if v.seen != nil {
		return v.seen.Side(n.Array())
	}
	c := n.Array()
	k := 0
	for d := range 3 {
		if math.Abs(c[d]) > math.Abs(c[k]) {
			k = d
		}
	}
	sign := "+"
	if c[k] < 0 {
		sign = "-"
	}
	return sign + string("xyz"[k])
}
