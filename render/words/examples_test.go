package words

import (
	"maps"
	"slices"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// examples are example facts by code, each in the file of its area.
type examples map[finding.Code][]any

// exampleFindings and exampleRemarks are what CODES.md is made from.
var (
	exampleFindings = func() examples {
		all := examples{}
		for _, e := range []examples{
			fileExamples,
			solidExamples,
			stripExamples,
			demoldExamples,
			airExamples,
			containerExamples,
			estimateExamples,
			tunnelExamples,
			gangExamples,
		} {
			maps.Copy(all, e)
		}
		return all
	}()
	exampleRemarks = slices.Concat(
		solidExampleRemarks,
		poseExampleRemarks,
		containerExampleRemarks,
		estimateExampleRemarks,
		planExampleRemarks,
		jobExampleRemarks,
		shopExampleRemarks,
		gangExampleRemarks,
	)
)

var demoldExamples = examples{
	demold.CodePores:        {demold.Pores{Places: 1, Volume: 636, Size: 16.2}, demold.Pores{Places: 3, Volume: 690, Size: 14.4}},
	demold.CodeHole:         {demold.Hole{Squeeze: 0.83, Long: 24.3}},
	demold.CodeLoosePiece:   {demold.LoosePiece{Places: 1, Volume: 468, Size: 20.6, Draw: [3]float64{0, -1, 0}}, demold.LoosePiece{Places: 2, Volume: 218, Size: 12.6, Draw: [3]float64{0, 0.6, 0.8}}},
	demold.CodeLocked:       {demold.Locked{Volume: 12300, Rest: 4.2, OnBoard: true}, demold.Locked{Volume: 830}, demold.Locked{Volume: 2300, Pieces: 3}, demold.Locked{Volume: 62, OnBoard: true, Bend: 4.2}},
	demold.CodeSpeck:        {demold.Speck{Volume: 2.5}},
	demold.CodeLongWayRound: {demold.LongWayRound{Path: 49.2, Depth: 6.1}},
	demold.CodeSealedPocket: {demold.SealedPocket{Volume: 21200}},
	demold.CodeRaggedBottom: {demold.RaggedBottom{Clay: 940}},
	demold.CodeBedded:       {demold.Bedded{Height: 2.4, Clay: 8120}},
	demold.CodeFront:        {demold.FrontGuessed{Front: [3]float64{0, -1, 0}, Why: seam.FrontCustom}, demold.FrontGuessed{Front: [3]float64{1, 0, 0}, Why: seam.FrontRelief}, demold.FrontGuessed{Front: [3]float64{0.6, 0, 0.8}, Why: seam.FrontOverhang}},
	demold.CodeAcrossFace:   {demold.AcrossFace{Length: 12}},
}

var airExamples = examples{
	air.CodeRubber: {
		air.Caught{Pour: air.Rubber, Half: air.Whole, Volume: 412, Places: 1, Tip: &air.Tip{Angle: 0.3, Down: mesh.V(-1, 0, 0), Over: 31.4}},
		air.Caught{Pour: air.Rubber, Half: air.Upper, Volume: 5120, Places: 4, Tip: &air.Tip{Angle: 0.5, Down: mesh.V(0.866, 0, -0.5)}, Left: 840, Vents: []mesh.Vec{{X: 20, Y: 3, Z: 55}}},
		air.Caught{Pour: air.Rubber, Half: air.Whole, Volume: 2.6, Places: 1, Left: 2.6, Vents: []mesh.Vec{{X: 20, Y: 3, Z: 55}}},
	},
	air.CodeCasting: {
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 820, Places: 5, Left: 820, Mouth: true, Vents: []mesh.Vec{{Z: 142}, {X: 48, Z: 60}, {X: -48, Z: 60}, {Y: 9, Z: 33}}},
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 820, Places: 1, Tip: &air.Tip{Angle: 0.4, Down: mesh.V(0, 1, 0)}, Left: 90, Mouth: true, Vents: []mesh.Vec{{Z: 142}}},
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 12000, Places: 2, Tip: &air.Tip{Angle: 0.26, Down: mesh.V(1, 0, 0)}, Sprue: &exampleAt, Up: mesh.V(0, 0, 1)},
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 12000, Places: 1, Left: 12000, Sprue: &exampleAt, Up: mesh.V(0, 0, 1), Vents: []mesh.Vec{{X: 70, Y: 10, Z: 90}}},
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 12000, Places: 2, Left: 12000, Sprue: &exampleAt, Up: mesh.V(-1, 0, 0), Vents: []mesh.Vec{{X: 70, Y: 10, Z: 90}, {X: 70, Y: 50, Z: 90}}},
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 900, Places: 3, Left: 900, Sprue: &exampleAt, Up: mesh.V(0, 0, 1), OnFoot: 3, Vents: []mesh.Vec{{X: 70, Y: 10, Z: 90}, {X: 70, Y: 50, Z: 90}, {X: 20, Y: 50, Z: 90}}},
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 9, Places: 2, Left: 9, Sprue: &exampleAt, Up: mesh.V(-1, 0, 0)},
		air.Caught{Pour: air.Casting, Half: air.Whole, Volume: 9, Places: 1, Left: 9, Mouth: true},
	},
}

var stripExamples = examples{
	strip.CodeNeck:  {strip.Neck{Neck: 0.628, Bulge: 62.8}, strip.Neck{Bulge: 60}, strip.Neck{Clay: true, Neck: 1.27, Bulge: 157}},
	strip.CodeMouth: {strip.NarrowMouth{Neck: 125.7, Bulge: 188.5, Stretch: 0.5}},
}

var (
	exampleAt    = mesh.V(12, -4, 88)
	exampleDoubt = solid.Doubt{Displaced: unit.Bounded[unit.Volume]{Low: 409120, Value: 412300, High: 415890}, Rubber: 3.72, Density: 1.1}
)

var solidExamples = examples{
	solid.CodeVesselWall: {solid.VesselWall{Wall: 2.4, Doubt: exampleDoubt}},
	solid.CodeTurned:     {solid.TurnedFaces{Count: 12}},
	solid.CodeInsideOut:  {solid.InsideOut{Pieces: 1}},
	solid.CodePieces:     {solid.Bodies{Count: 3}},
	solid.CodeDoubles:    {solid.Doubles{Count: 2}},
	solid.CodeOneSided:   {solid.OneSided{Doubt: exampleDoubt}},
	solid.CodeCrumbs:     {solid.Crumbs{Count: 7}},
	solid.CodeCrossings:  {solid.Crossings{Pairs: 214, First: &exampleAt, Doubt: exampleDoubt}},
	solid.CodePockets:    {solid.Pockets{Volume: 5230}},
	solid.CodeVoids:      {solid.Voids{Count: 1, Volume: 61200, Displaced: 412300, Material: 351100}},
	solid.CodeCracks:     {solid.Cracks{Count: 4}},
	solid.CodeBottom: {
		solid.Bottom{Flat: true, Across: 79.6, Facing: mesh.V(0, 0, -1), At: mesh.V(0, 0, 0), Patch: 4976, Doubt: exampleDoubt},
		solid.Bottom{Across: 79.6, Facing: mesh.V(0.1, -0.9, 0.2), At: exampleAt, Patch: 4976, Doubt: exampleDoubt},
	},
	solid.CodeHoles: {solid.Holes{Count: 3, Largest: 14, At: exampleAt, Doubt: exampleDoubt}},
	solid.CodeDrain: {solid.Hollows{Drain: solid.Drain{At: exampleAt, Width: 3.2, Volume: 48000}, Ways: []mesh.Vec{exampleAt}, All: 48000},
		solid.Hollows{Drain: solid.Drain{At: exampleAt, Width: 3.2, Volume: 48000}, Ways: []mesh.Vec{exampleAt, exampleAt, exampleAt}, All: 140000}},
}

var solidExampleRemarks = []any{
	solid.DroppedDoubles{Faces: 2}, solid.ZippedEdges{Edges: 36, Within: 0.02}, solid.TurnedToAgree{Faces: 12},
	solid.ZippedCracks{Cracks: 4}, solid.Patched{Holes: 3}, solid.GivenWall{Wall: 2.4}, solid.LeftOut{Crumbs: 7},
	solid.TurnedOut{Pieces: 1}, solid.FilledRoom{}, solid.Measured{Way: solid.WayExact}, solid.Measured{Way: solid.WayUnion}, solid.Measured{Patched: true, Way: solid.WayColumns},
}

var poseExampleRemarks = func() []any {
	out := []any{pose.Chosen{Asked: true}, pose.Chosen{Steps: []pose.Step{pose.LeastDetailLost}, Equal: new(pose.FileUp)}}
	for s := pose.OpenSideIsBottom; s <= pose.LeastRubber; s++ {
		out = append(out, pose.Chosen{Steps: []pose.Step{s}})
	}
	for o := pose.FileUp; o <= pose.Searched; o++ {
		out = append(out, pose.Tried{From: o})
	}
	for t := pose.TheFilesOwn; t <= pose.AsDeep; t++ {
		out = append(out, pose.Chosen{Search: &pose.Tried{From: pose.Searched, Than: t, By: 12.34}})
	}
	return out
}()

var estimateExampleRemarks = []any{
	estimate.Dunked{Mesh: 412345, Measured: solid.Measured{Way: solid.WayExact}},
}
