package words

import (
	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

var (
	exampleStrain   = 0.58
	exampleShore    = 42.0
	exampleBending  = rubber.Straining{By: rubber.Bending, Thick: 12, Deep: 4.2, Share: 0.09}
	exampleMouth    = rubber.Straining{By: rubber.MouthOpening, Share: 0.58}
	exampleConflict = rubber.Conflict{Low: remark(rubber.ByKeys{Shore: 25}), High: remark(rubber.Endures{Why: exampleMouth, Shore: 18, Stands: 0.6, Life: rubber.LongLife}), LowShore: 25, HighShore: 18}
	exampleOpens    = []estimate.WayOpen{{What: rubber.Opening{By: rubber.BySlit}, Low: 25, High: 60, Opens: true}, {What: rubber.Opening{By: rubber.ByThinSides, Thick: 8, Was: 12.5}, Low: 25, High: 21}}
	exampleInfill   = estimate.MassFrom{How: estimate.ByInfill, Material: "printed PLA", Low: 1.24, Solid: 0.37, Infill: 15, Shell: 1.2}
)

var estimateExamples = examples{
	estimate.CodeUnitAssumed: {estimate.Unit{Longest: 180}},
	estimate.CodeUnitDoubtful: {
		estimate.Unit{Stated: "m", Longest: 18000}, estimate.Unit{Longest: 1.8, Doubt: estimate.TooSmall},
		estimate.Unit{Longest: 18, Doubt: estimate.MaybeCM}, estimate.Unit{Longest: 18000, Doubt: estimate.TooLargeToMold},
	},
	estimate.CodeUpright: {estimate.UprightAssumed{Use: estimate.UprightHeight}, estimate.UprightAssumed{Use: estimate.UprightStands},
		estimate.UprightAssumed{Looks: mesh.V(0, 1, 0), Asked: 300, Tall: 523}},
	estimate.CodeOpenTop:  {estimate.OpenTop{Width: 62, Density: 1.08, More: 210}, estimate.OpenTop{Width: 62, Density: 1.08, Closed: 905, More: 210}},
	estimate.CodeDunked:   {estimate.DunkedDiffers{Dunked: 451000, Mesh: 412310}},
	estimate.CodeMass:     {estimate.TooHeavy{Mass: 940, Density: 2.28, Most: 1.3, Material: "wax"}},
	estimate.CodeSoftens:  {estimate.Softens{Pattern: "wax", Low: 50, High: 70}},
	estimate.CodeOriginal: {estimate.Original{Steps: []estimate.RiskStep{estimate.FixingDown, estimate.Sealing, estimate.TakingOut}}},
	estimate.CodeNoMethod: {estimate.Unfit{Way: estimate.Way{Mold: demold.Cut}, Fails: []finding.Remark{remark(estimate.HalvesLock), remark(estimate.Gate{By: estimate.CutTooLarge, Size: 310, Most: 200})}}},
	estimate.CodeUnfit:    {estimate.Unfit{Way: estimate.Way{Mold: demold.Block}, Fails: []finding.Remark{remark(estimate.Links{Places: 1})}}},
	estimate.CodePotLife: {
		estimate.SetsTooSoon{Name: "platinum-20", PotLife: 4.8, Temp: 35, Stir: 4},
		estimate.SetsTooSoon{Name: "platinum-20", PotLife: 12, Temp: 30, Stir: 4, Vacuum: 6},
	},
	estimate.CodeSecondHalf: {estimate.SecondHalf{Silicone: true, Releases: []string{"petroleum-jelly"}}, estimate.SecondHalf{Releases: []string{"wax-release"}}},
	estimate.CodeChamber:    {estimate.TooLarge{Across: 210, Height: 190, Bore: 200, Room: 250}, estimate.TooLarge{Across: 210, Height: 190, Pot: true, Bore: 240, Room: 150}},
	estimate.CodeGauge: {
		estimate.Gauge{Shows: 29.4, Most: 24.9, Wanted: 23.7, Altitude: 1500},
		estimate.Gauge{Shows: 22, Most: 24.9, Wanted: 23.7, Altitude: 1500, Left: 9.8, Growth: 9},
	},
	estimate.CodeVacuum: {estimate.BoilsOver{Needs: 5.2e6, Has: 3.1e6}},
	estimate.CodeHardness: {
		estimate.HardnessTold{Conflict: exampleConflict}, estimate.HardnessTold{Conflict: exampleConflict, Opens: exampleOpens},
		estimate.HardnessTold{Misfit: &estimate.Misfit{Name: "platinum-10", Shore: 10, Bound: 25, Why: remark(rubber.ByKeys{Shore: 25})}},
	},
	estimate.CodeForce: {
		estimate.Misfit{Name: "tin-40", Shore: 40, Bound: 18, Firm: true, Why: remark(exampleMouth)},
		estimate.Misfit{Name: "tin-10", Shore: 10, Firm: true, Why: remark(rubber.ByHand{Hand: 150, Grip: rubber.Gripping{By: rubber.DrawingStraight}, Force: 1454, Shore: 10, Factor: 2, Over: true})},
	},
	estimate.CodeStrain: {
		estimate.OverStrained{Name: "tin-40", Why: rubber.Straining{By: rubber.MouthClosed}},
		estimate.OverStrained{Name: "tin-40", Strain: &exampleStrain, Why: exampleMouth, Stands: 0.4, Hoop: true},
		estimate.OverStrained{Name: "tin-40", Strain: &exampleStrain, Why: exampleMouth, Stands: 0.4, Hoop: true, Never: true},
		estimate.OverStrained{Name: "tin-40", Strain: &exampleStrain, Why: exampleBending, Stands: 0.4},
		estimate.OverStrained{Name: "tin-25", Strain: &exampleStrain, Why: exampleMouth, Stands: 0.5, Hoop: true, Often: true, Life: rubber.LongLife},
	},
	estimate.CodeStands: {
		estimate.Bows{Wall: 12, Shore: 20, By: 2.4, Softest: &exampleShore},
		estimate.Bows{Round: true, Wall: 12, Shore: 20, Falls: true},
	},
	estimate.CodeShort: {
		estimate.Short{Have: 1000, Short: 345},
		estimate.Short{Have: 1000, Short: 345, Other: true, Room: 312000},
		estimate.Short{Have: 1000, Short: 345, Other: true, Does: []estimate.SavingKind{{By: estimate.ThinnerSides}, {By: estimate.SteppedBox}, {By: estimate.Scrap}}},
	},
	estimate.CodeTooHot: {
		estimate.Hot{Cast: "zinc alloy", Low: 400, High: 450, Rubber: "tin-25", Limit: 200},
		estimate.Hot{Cast: "tin alloy", Low: 240, High: 260, Rubber: "tin-25", Limit: 200, Instead: "tin-heat-40", Stands: 280},
		estimate.Hot{Cast: "polyester resin", Low: 100, High: 180, Rubber: "urethane-30", Limit: 150, Instead: "tin-25", Stands: 200},
		estimate.Hot{Cast: "zinc alloy", Low: 400, High: 450, Rubber: "house-20", Limit: 280, Most: true},
		estimate.Hot{Cast: "thick resin", Low: 200, High: 300, Rubber: "tin-25", Limit: 200},
	},
	estimate.CodeNearHot: {estimate.Hot{Cast: "polyester resin", Low: 120, High: 200, Rubber: "tin-25", Limit: 200}},
	estimate.CodeFamily:  {estimate.Unusual{Cast: "concrete", Usual: []material.Family{material.Polyurethane}, Family: material.Platinum}, estimate.Unusual{Cast: "concrete", Family: material.Platinum, Most: 40, Copies: 60}},
	estimate.CodeFood: {
		estimate.Eaten{Cast: "chocolate", Family: material.Tin}, estimate.Eaten{Cast: "chocolate", Family: material.Platinum},
		estimate.Eaten{Cast: "chocolate", Family: material.Platinum, Declared: "ours", Owned: true}, estimate.Eaten{Cast: "chocolate", Family: material.Platinum, Declared: "platinum-food-20"},
	},
	estimate.CodeFoam:     {estimate.FoamPresses{Low: 10, High: 70, Pack: 0.15}, estimate.FoamPresses{Low: 10, High: 70, Pack: 0.15, LidLow: 96, LidHigh: 672, Side: 420}},
	estimate.CodeFast:     {estimate.FastAndThick{Cast: "fast rigid resin", Mass: 820, Most: 300}},
	estimate.CodeThinWall: {estimate.ThinForHeat{Cast: "a low-melt alloy", Wall: 8, Least: 10}},
	estimate.CodeHollow:   {estimate.Hollow{Wall: 4}, estimate.Hollow{Wall: 4, Rough: true}},
	estimate.CodeStiff:    {estimate.StiffPowder{Ratio: 2, Share: 0.4375, Most: 1.7}},

	rubber.CodeInhibited: {rubber.Meets{Family: material.Platinum, Pattern: "sulfur clay", Known: true, Cure: material.Cure{No: true}, Instead: material.Tin, InsteadSealed: true}},
	rubber.CodePrepare: {
		rubber.Meets{Family: material.Platinum, Pattern: "plaster", Known: true, Cure: material.Cure{Seal: true}, Original: true},
		rubber.Meets{Family: material.Platinum, Pattern: "marble or limestone", Known: true, Cure: material.Cure{Seal: true}, Original: true, Gentle: "a reversible film, tried first, under a soft platinum-cure rubber"},
		rubber.Meets{Family: material.Tin, Pattern: "plaster", Known: true, Cure: material.Cure{Seal: true, Release: true}, Sealers: []string{"shellac"}, Releases: []string{"petroleum-jelly"}},
		rubber.Meets{Family: material.Polyurethane, Pattern: "wood", Known: true, Cure: material.Cure{Test: true, Release: true}, Releases: []string{"wax-release"}},
	},
	rubber.CodePatchTest: {
		rubber.Meets{Family: material.Latex, Pattern: "plaster"},
		rubber.Meets{Family: material.Platinum, Pattern: "printed resin", Known: true, Cure: material.Cure{Test: true}, Remark: "washed and cured well"},
		rubber.Meets{Family: material.Platinum, Pattern: "glass", Known: true, Cure: material.Cure{OK: true}},
	},
	rubber.CodeNotOwned: {
		rubber.NotOwned{Name: "tin-25", Asked: true},
		rubber.NotOwned{Name: "tin-25", Closer: []rubber.Unserved{{Name: "our-30", By: rubber.DoesNotCure}, {Name: "our-60", By: rubber.OtherHardness}}},
	},
	rubber.CodeHarms: {
		rubber.Harms{Family: material.Polyurethane, Pattern: "marble or limestone", Instead: "a reversible film, tried first", Original: true},
		rubber.Harms{Family: material.Latex, Original: true}, rubber.Harms{Family: material.Latex, Pattern: "brass"},
	},
	rubber.CodeUntouched: {rubber.Untouchable{Pattern: "gilding"}},
	rubber.CodeWhich:     {rubber.WhichLeftover{Have: 1000}, rubber.WhichLeftover{Have: 1000, Stock: []string{"our-30", "our-60"}}},
	rubber.CodeUnknown:   {rubber.UnknownLeftover{Name: "the pail by the door"}},
	rubber.CodeTestCup: {
		rubber.OldStock{Name: "our-30", Family: material.Tin},
		rubber.OldStock{Name: "our-30", Family: material.Tin, Lot: "A7", Opened: rubber.Date{Year: 2026, Month: 1, Day: 31}, UseBy: rubber.Date{Year: 2026, Month: 12, Day: 31}, Cured: 540, Shore: 30},
		rubber.OldStock{Name: "our-30", Family: material.Polyurethane, Opened: rubber.Date{Year: 2026, Month: 1, Day: 31}, Today: rubber.Date{Year: 2026, Month: 5, Day: 1}, Stale: true},
		rubber.OldStock{Name: "our-30", Family: material.Tin, UseBy: rubber.Date{Year: 2026, Month: 1, Day: 31}, Today: rubber.Date{Year: 2026, Month: 5, Day: 1}, Past: true},
	},
	rubber.CodeRelease: {
		rubber.Coat{Release: exampleRelease, Family: material.Tin, Use: rubber.CoatSuits},
		rubber.Coat{Release: exampleRelease, Family: material.Tin, Use: rubber.CoatHarms, Why: material.Objection{Pattern: "limestone", Stains: true}, Instead: []string{"methyl-cellulose"}},
		rubber.Coat{Release: exampleRelease, Family: material.Tin, Use: rubber.CoatHarms, Why: material.Objection{Pattern: "wax"}},
		rubber.Coat{Release: exampleRelease, Family: material.Tin, Use: rubber.CoatHarms, Why: material.Objection{Rubber: material.Tin}},
		rubber.Coat{Release: exampleRelease, Family: material.Tin, Use: rubber.CoatBetween},
		rubber.Coat{Release: exampleRelease, Family: material.Tin, Use: rubber.CoatUntried},
		rubber.Coat{Release: exampleRelease, Family: material.Tin, Use: rubber.CoatIdle},
	},
	rubber.CodeAssumed: {rubber.Assumed{}, rubber.Assumed{SG: 1.1}},
	rubber.CodeBrush:   {rubber.BrushedOn{Name: "latex-brush"}},
	rubber.CodeRatio:   {rubber.RatioOff{Step: 5, Ratio: rubber.Ratio{A: 100, B: 3}, Error: 0.11}},
	rubber.CodeScale:   {rubber.CoarseScale{Part: 4, Step: 0.5}},
	rubber.CodeGravity: {rubber.NoGravity{Ratio: rubber.Ratio{A: 1, B: 1}}},
	rubber.CodeBatches: {
		rubber.Batches{Count: 3}, rubber.Batches{Count: 3, By: rubber.ByChamber}, rubber.Batches{Count: 3, By: rubber.ByPotLife}, rubber.Batches{Count: 200, TooMany: true}, rubber.Batches{Count: 3, By: rubber.ByPotLife, Late: true}, rubber.Batches{Count: 3, By: rubber.ByPotLife, People: 2},
	},
	rubber.CodeTemp: {
		rubber.Climate{Temp: 5, Wrong: rubber.OutOfRange, Coldest: 10, Hottest: 40}, rubber.Climate{Temp: 15, Wrong: rubber.Cold},
		rubber.Climate{Temp: 33, Wrong: rubber.Warm}, rubber.Climate{Temp: 15, Wrong: rubber.Dry},
	},
	rubber.CodeAdditive: {
		exampleThinner(rubber.Usual), exampleThinner(rubber.AboveUsual), exampleThinner(rubber.TooMuch), exampleThinner(rubber.UnknownMatch),
		rubber.StirredIn{Kind: material.Pigment, Family: material.Platinum, Pct: 2, Low: 1, High: 3, Level: rubber.MayPoison},
		rubber.StirredIn{Kind: material.Thickener, Family: material.Tin, Pct: 2, Low: 1, High: 3, Level: rubber.NotPoured},
	},
	rubber.CodeWarmsItself: {rubber.WarmsItself{Batch: 4600, Family: material.Platinum}},
}

var exampleRelease = material.Release{Name: "petroleum-jelly", Kind: material.ReleaseAgent, For: []string{"silicone on silicone"}, Never: []string{"porous stone"}}

func exampleThinner(l rubber.AdditiveLevel) rubber.StirredIn {
	return rubber.StirredIn{Kind: material.Thinner, Family: material.Platinum, Pct: 8, Low: 2, High: 5, Most: 10, Level: l, Beyond: "it stays soft and weeps", SeeToIt: "it tears sooner"}
}

var planExampleRemarks = func() (all []any) {
	add := func(r ...any) { all = append(all, r...) }
	for by := rubber.NoStrain; by <= rubber.MouthOpening; by++ {
		add(rubber.Straining{By: by, Thick: 12, Deep: 4.2, High: 31, Share: 0.09, Drawn: 0.21})
	}
	add(rubber.Endures{Why: exampleMouth, Shore: 18, Stands: 0.6, Life: rubber.FewCastings}, rubber.Endures{Why: exampleMouth, Stands: 0.6, Life: rubber.NormalLife},
		rubber.ByHand{Hand: 150, Grip: rubber.Gripping{By: rubber.DrawingStraight}, Force: 212, Shore: 5, Factor: 2, Over: true},
		rubber.ByHabit{Deep: 6.1, Shore: 30, Palm: 3.2}, rubber.ByCasting{Cast: "concrete", Low: 40, High: 60}, rubber.ByCasting{Low: 10, High: 25},
		rubber.ByKeys{Shore: 25}, rubber.BySize{Longest: 320, Shore: 25}, rubber.BySize{Longest: 640, Shore: 30, Huge: true}, rubber.ByFlats{Shore: 30},
		rubber.HeldIn{Shore: 9, Gives: 0.05, High: 142}, rubber.HeldIn{Shore: 9, Gives: 0.004, High: 142, Cast: true}, rubber.HeldIn{Low: 10, Most: 70},
		rubber.Unasked{Softer: true}, rubber.Unasked{Held: remark(rubber.HeldIn{Low: 10, Most: 70})}, rubber.Overruled{}, exampleConflict,
		rubber.Conflict{Low: exampleConflict.Low, High: exampleConflict.High, Wins: rubber.PowderWins}, rubber.Conflict{Low: exampleConflict.Low, High: exampleConflict.High, LowShore: 30, HighShore: 18, Wins: rubber.FoamWins},
		rubber.Conflict{Low: remark(rubber.Jelly{Longest: 480, Shore: 15}), High: exampleConflict.High, LowShore: 15, HighShore: 8, Wins: rubber.SizeWins}, rubber.Jelly{Longest: 480, Shore: 15}, rubber.ByOriginal{Shore: 25})
	for g := rubber.OpeningRing; g <= rubber.DrawingTongue; g++ {
		add(rubber.Gripping{By: g, Thick: 27, Swings: 11})
	}
	add(rubber.Drawing{Friction: 0.3, Off: 120, In: 389}, rubber.Drawing{Friction: 0.3, Off: 120, In: 122}, rubber.Drawing{Friction: 0.3, Off: 120, Never: true, Shell: true, Turned: 28},
		rubber.Easing{By: rubber.EasedByRelease, Friction: 0.1, Force: 80}, rubber.Easing{By: rubber.EasedByPeel, Force: 60}, rubber.Easing{By: rubber.EasedBySlit, Force: 5}, rubber.Easing{By: rubber.EasedBySlit})
	for b := rubber.StrainTable; b <= rubber.TooSoft; b++ {
		add(b)
	}
	for o := rubber.BySlit; o <= rubber.ByHalves; o++ {
		add(rubber.Opening{By: o, Thick: 8, Was: 12.5})
	}
	for c := rubber.AskedByName; c <= rubber.OnlyStock; c++ {
		add(rubber.Choosing{Why: c, Shore: 20, Low: 10, High: 25, Family: material.Tin, What: "plaster"})
	}
	for p := rubber.LetStand; p <= rubber.NoHeat; p++ {
		add(rubber.Practice{Step: p, Added: []material.AdditiveKind{material.Pigment, material.Thinner}, Temp: 23, Stir: 4, Family: material.Tin, Cured: 60, Shrinks: 0.011})
	}
	add(rubber.Loss{}, rubber.Loss{Share: 0.08})
	for d := schedule.SealPattern; d <= schedule.FirstCasting; d++ {
		add(schedule.Task{Do: d, Family: material.Tin, Count: 2, Across: 12, Deep: 6})
	}
	for _, d := range []schedule.Doing{schedule.ReleasePattern, schedule.BrushRelease, schedule.FirstCasting} {
		add(schedule.Task{Do: d, Family: material.Polyurethane})
	}
	add(schedule.Task{Do: schedule.BuildCase, Count: 1}, schedule.Task{Do: schedule.SetVents, Count: 1, Across: 1.5}, schedule.Task{Do: schedule.PunchVents, Count: 1, Across: 1.5}, schedule.Task{Do: schedule.Mix, A: 730, B: 73}, schedule.Task{Do: schedule.Mix, A: 250, Nth: 2, Batches: 2},
		schedule.Task{Do: schedule.Mix, Nth: 1, Batches: 2}, schedule.Task{Do: schedule.Brush, Nth: 1, Coats: 4}, schedule.Task{Do: schedule.Mix, Nth: 2, Batches: 3, Second: true},
		schedule.Task{Do: schedule.Mix, Nth: 2, Batches: 3, Coat: 1, Coats: 4}, schedule.Task{Do: schedule.BuildShell, Count: 1}, schedule.Task{Do: schedule.TurnOver, Coats: 4}, schedule.Task{Do: schedule.TakeShellOff, Count: 1},
		schedule.Coating{Coat: 1, Coats: 4, Cups: 1, A: 50, B: 50}, schedule.Coating{Coat: 4, Coats: 4, Cups: 1, A: 50, B: 50}, schedule.Coating{Coat: 2, Coats: 4, Cups: 3, People: 2, Degas: true, A: 50})

	for l := estimate.NothingUndercut; l <= estimate.GiveFoot; l++ {
		add(l)
	}
	pieces := []loose.Piece{{Draw: [3]float64{0, -1, 0}, At: [3]float64{36, 64, 33}, Places: 1, Volume: 467, Size: 20.6}, {Draw: [3]float64{0, 0.6, 0.8}, At: [3]float64{-8, 53, 55}, Places: 2, Volume: 37, Size: 9.5}}
	add(estimate.LoosePieces{Pieces: pieces[:1]}, estimate.LoosePieces{Pieces: pieces}, estimate.TooManyPieces{Pieces: 3, Most: 2}, estimate.PoresFilled{Places: 1}, estimate.PoresFilled{Places: 4}, schedule.Task{Do: schedule.FillPores, Count: 1}, schedule.Task{Do: schedule.FillPores, Count: 4},
		estimate.TooManyParts{Openings: 216, Most: 2}, estimate.TooManyParts{Openings: 2, Others: 1, Most: 2}, estimate.TooManyParts{Others: 3, Most: 2},
		estimate.HalvesLeave{Path: 3.2, Pieces: 1}, estimate.HalvesLeave{Pieces: 2}, schedule.Task{Do: schedule.FillLoose, Count: 1}, schedule.Task{Do: schedule.DrawLoose, Count: 1})
	slit := &seam.Slit{Side: [3]float64{0, 1, 0}, Normal: [3]float64{1, 0, 0}, From: [3]float64{0, 40, 1.5}, To: [3]float64{0, 8, 142}, Length: 181, Rise: 140.5, Opens: []seam.Opened{{Region: 2}, {Region: 1}}}
	add(estimate.SlitAlong{Slit: slit}, estimate.SlitAlong{Slit: slit, Fin: true}, schedule.Task{Do: schedule.SlitOpen})
	for by := estimate.CoverTooThick; by <= estimate.NoHardness; by++ {
		add(estimate.Gate{By: by, Size: 42, Most: 25, Mass: 31000})
	}
	add(estimate.Stopped{Of: finding.Finding{Code: estimate.CodeTooHot, Facts: estimate.Hot{Cast: "zinc", Low: 400, High: 420, Rubber: "platinum-30", Limit: 200}}})
	for r := labor.NoRisk; r <= labor.Damage; r++ {
		add(estimate.Hazard{Risk: r, Seam: labor.Seam(r)})
	}
	first := estimate.Offered{Way: estimate.Way{Mold: demold.Block, Slit: true}, Cost: 100, Days: labor.Days{Low: 2, High: 2}, Risk: labor.Blade, Seam: labor.AtBack}
	second := estimate.Offered{Way: estimate.Way{Mold: demold.Blanket}, Cost: 131, Days: labor.Days{Low: 4, High: 5}, Risk: labor.Prying, Seam: labor.AtBack}
	for why := estimate.ByPinned; why <= estimate.ByLeastBad; why++ {
		add(estimate.Weighed{First: first, Second: &second, Why: why})
	}
	add(estimate.Weighed{First: second, Second: &first, Why: estimate.BySteps})
	at := mesh.V(12, -4, 88)
	up := [3]float64{0, -1, 0}
	add(estimate.Near{At: at}, estimate.HalvesLeave{}, estimate.HalvesLeave{Path: 1.2, AsItStands: true}, estimate.HalvesLeave{Path: 1.2, Turned: &up},
		estimate.Links{Places: 3}, estimate.DeepPocket{Deep: 31}, estimate.LetsGo{}, estimate.LetsGo{Path: 4.2, Why: exampleBending, Each: true},
		estimate.HalvesHold{Why: exampleBending}, estimate.TearsSoon{Why: exampleMouth, Over: 1}, estimate.BeyondRubber{Why: exampleMouth},
		estimate.BeyondHands{Grip: rubber.Gripping{By: rubber.DrawingStraight}, Force: 262, Shore: 5, Hand: 150, Softest: true},
		estimate.BeyondHands{Grip: rubber.Gripping{By: rubber.OpeningRing}, Force: 203, Shore: 10, Hand: 150},
		estimate.MakeCore{At: &at}, estimate.MakeCore{Plug: true}, estimate.CutOpen{},
		estimate.CutOpen{Seam: &seam.Seam{Cut: parting.Cut{Side: up, Normal: [3]float64{0.6, 0, 0.8}, Length: 212}, Opens: []seam.Opened{{Region: 1}}}, Left: estimate.SeamLeavesPath, Path: 1.4},
		estimate.LatexShrinks{})
	for s := estimate.BeforeAnything; s <= estimate.Afterwards; s++ {
		add(s, estimate.RiskHarm{Step: s}, estimate.RiskGuard{Step: s})
	}
	for c := estimate.Creeps; c <= estimate.Softening; c++ {
		f := estimate.RiskFacts{Case: c, Pattern: "limestone", Family: material.Platinum, Softens: 60}
		add(estimate.RiskHarm(f), estimate.RiskGuard(f))
	}
	for by := estimate.FewerMolds; by <= estimate.Scrap; by++ {
		k := estimate.SavingKind{By: by, Container: boxfit.Sleeve}
		add(k, estimate.SavingHow{Kind: k, Molds: 3, Does: 2, Volume: 312000, Enough: 210000, Wall: 8, Was: 11.8, Length: 97, Width: 97, Height: 165, Ledge: 60, Away: 13, Family: material.Tin})
	}
	add(estimate.Alone{By: estimate.MotherCarries}, estimate.Alone{By: estimate.FoamPressesOut},
		estimate.Alone{By: estimate.WallGives, Wall: 12, High: 154, Stands: true, Gives: 0.5}, estimate.Alone{By: estimate.WallGives, Round: true, Wall: 12, High: 154})
	for s := estimate.ReadSheets; s <= estimate.Solvents; s++ {
		add(s)
	}
	for n := estimate.OnlyFile; n <= estimate.EachBatch; n++ {
		add(estimate.NotChecked{What: n})
	}
	add(estimate.NotChecked{What: estimate.FloatUnknown, Mass: &exampleInfill},
		estimate.NotChecked{What: estimate.FloatUnknown, Mass: &estimate.MassFrom{How: estimate.DensityVague, Material: "tooling board", Low: 0.1, High: 0.8}})
	for b := estimate.BoughtRubber; b <= estimate.LaborFinishing; b++ {
		what := estimate.Bought{Kind: b, Name: "tin-25", Size: 1000 * unit.Gram}
		if b.Labor() {
			what = estimate.Bought{Kind: b, Tasks: 1<<labor.Boxing | 1<<labor.Claying | 1<<labor.Shelling}
			add(estimate.Bought{Kind: b})
		}
		add(what, estimate.Unpriced{What: what}, estimate.Unpriced{Of: "tile.obj", What: what})
	}
	for w := estimate.DraftUnits; w <= estimate.DraftCastings; w++ {
		add(estimate.Unsettled{Why: w, Size: [3]float64{95.6, 80, 180}, Rubber: "tin-25", Lines: []estimate.Bought{{Kind: estimate.BoughtTube}, {Kind: estimate.LaborCasting}},
			Found: &finding.Finding{Code: estimate.CodeUnitDoubtful, Facts: estimate.Unit{Longest: 20, Doubt: estimate.MaybeCM}}})
	}
	add(estimate.Unsettled{Of: []string{"a.stl", "b.stl", "c.stl", "d.stl"}}, estimate.Unsettled{Why: estimate.DraftStock, Of: []string{"a.stl", "b.stl"}}, estimate.Unsettled{Why: estimate.DraftSize})
	add(estimate.Pays{From: 60, Way: estimate.Way{Mold: demold.TwoPart}}, estimate.Pays{What: estimate.OtherRubber, From: 41, Rubber: "platinum-20", Family: material.Platinum, ShoreA: &exampleShore}, estimate.Pays{What: estimate.SecondMold, From: 39})
	add(estimate.Rounding{})
	return all
}()
