package words

import "moldtally/mesh/meshfile"

var fileFindings = findings{
	meshfile.CodeTrailing: tells(func(v voice, f meshfile.Trailing) Told {
		after := map[meshfile.After][2]string{
			meshfile.AfterTriangles: {"its last triangle", "none: the promised triangles are all there"},
			meshfile.AfterEnd:       {"its end", "none: the promised content is all there"},
			meshfile.AfterLists:     {"its last list", "none: what the header promises is all there"},
		}[f.After]
		return Told{f.File + " goes on for " + many(f.Bytes, "byte") + " after " + after[0] + "; they were passed over", after[1], "nothing to do"}
	}),
	meshfile.CodeHeader: tells(func(v voice, f meshfile.Header) Told {
		const look = "compare the picture with the pattern"
		if f.Promised < 0 {
			return Told{f.File + " does not say how many triangles it has; the " + grouped(f.Holds) + " it holds were read", "none, if the pattern looks whole", look}
		}
		return Told{
			f.File + " has a header that promises " + many(f.Promised, "triangle") + " but holds room for " + grouped(f.Holds) + "; those promised were read",
			"if the rest is surface too, a part of the pattern is missing and the rubber comes out wrong",
			look + "; export it anew from the program it was made in, as binary STL or 3MF",
		}
	}),
	meshfile.CodeNoEnd: tells(func(v voice, f meshfile.NoEnd) Told {
		return Told{
			f.File + " has no closing line (endsolid): it may have been cut off between two triangles",
			"if triangles are missing, the pattern has a hole there and the rubber comes out wrong",
			"compare the picture with the pattern; copy the file again if in doubt",
		}
	}),
	meshfile.CodeSkipped: tells(func(v voice, f meshfile.Skipped) Told {
		n := int64(f.Count)
		what := map[meshfile.Stray]string{
			meshfile.StrayLine:    many(n, "line"),
			meshfile.StrayElement: many(n, "line or point element"),
			meshfile.StrayFace:    many(n, "face"),
			meshfile.StrayPart:    many(n, "set") + " of points or lines",
		}[f.What]
		return Told{f.File + " has " + what + " that describe no surface; they were passed over", "none on the volume", "nothing to do"}
	}),
	meshfile.CodeMissing: tells(func(v voice, f meshfile.Missing) Told {
		what := map[meshfile.Unread]string{
			meshfile.UnreadInstances: "copies made by instancing, which were passed over",
			meshfile.UnreadFreeForm:  "free-form surfaces beside its faces; they were passed over",
			meshfile.UnreadLattice:   "a lattice of beams beside its surface, which was passed over",
		}[f.What]
		return Told{
			f.File + " has " + what,
			"if they bound the pattern, a part of it is missing and the rubber comes out wrong",
			"have the program that made it convert everything to triangles, and export again",
		}
	}),
	meshfile.CodePolygons: tells(func(v voice, f meshfile.Polygons) Told {
		return Told{
			f.File + " has " + many(int64(f.Count), "polygon") + " whose outline crosses itself or folds over; they were cut into triangles as well as it goes",
			"the surface may be creased there, which moves the volume a little",
			"have the program that made it cut all polygons into triangles, and export again",
		}
	}),
	meshfile.CodeScenes: tells(func(v voice, f meshfile.Scenes) Told {
		return Told{
			f.File + " holds " + many(int64(f.Count), "scene") + "; only the one it opens with was read",
			"if the pattern is in another one, the figures are for the wrong thing",
			"export the pattern alone",
		}
	}),
	meshfile.CodePose: tells(func(v voice, f meshfile.Pose) Told {
		return Told{
			f.File + " holds a figure that is posed by a skeleton or by blended shapes; it was read in its rest pose",
			"if the client wants another pose, every figure on the sheet is for the wrong shape",
			"apply the pose in the program it was made in, and export again",
		}
	}),
	meshfile.CodeUnbuilt: tells(func(v voice, f meshfile.Unbuilt) Told {
		return Told{
			f.File + " places none of its objects; all of them were read, each where its own numbers put it",
			"if only one of them is the pattern, or they overlap, the figures are wrong",
			"export the pattern alone, placed on the plate",
		}
	}),
}
