package words

import "moldtally/boxfit"

var (
	exampleBrace  = boxfit.Brace{Batten: boxfit.Batten{Thick: 19, Wide: 38}, Walls: 300, Ribs: 2, Every: 100, Bow: 0.21}
	exampleInside = boxfit.Inside{Length: 105.2, Width: 81, Height: 140.1}
)

var containerExamples = examples{
	boxfit.CodeBow: {
		boxfit.Bow{Board: "hdpe-12", Width: 300, Head: 200, By: 0.85, Allowed: 0.5, Enough: true, Brace: &boxfit.Brace{Batten: boxfit.Batten{Thick: 19, Wide: 38, OnEdge: true}, Walls: 300, Bow: 0.21}},
		boxfit.Bow{Board: "acrylic-3", Width: 300, Head: 200, Unknown: true, Brace: &exampleBrace, Stiffer: "mdf-18", StifferThickness: 18, StifferUnder: boxfit.Batten{Thick: 38, Wide: 89, OnEdge: true}},
		boxfit.Bow{Board: "foam-core-5", Width: 300, Head: 200, Unknown: true, Stiffer: "mdf-12", StifferThickness: 12},
	},
	boxfit.CodeThin: {
		boxfit.Thin{Thinnest: 4, Usual: 9.5},
		boxfit.Thin{Own: &boxfit.OwnThin{Kind: boxfit.Box, Have: 4, Want: 9.5, Need: exampleInside}},
		boxfit.Thin{Own: &boxfit.OwnThin{Kind: boxfit.Sleeve, Where: boxfit.OverPattern, Have: 2, Want: 9.5, Skin: true, Need: boxfit.Inside{Diameter: 98.4, Height: 140.1}}},
		boxfit.Thin{Own: &boxfit.OwnThin{Kind: boxfit.Box, Where: boxfit.OverAndUnder, Have: 4, HaveUnder: 4, Want: 9.5, WantUnder: 9.5, Need: exampleInside}},
	},
	boxfit.CodeCoat: {boxfit.Coat{Asked: 2, Usual: 7, Brushed: true}, boxfit.Coat{Asked: 25, Usual: 10, Thick: true}},
	boxfit.CodeThick: {
		boxfit.Thick{Asked: 30, Most: 25},
		boxfit.Thick{Length: 420, Width: 310, Mold: "block", Rubber: 14.2e6},
	},
	boxfit.CodeHead: {
		boxfit.Head{Depth: 380, Floor: 4.3, Wall: 245},
		boxfit.Head{Depth: 380, Floor: 4.3, Mother: true},
	},
	boxfit.CodeFloatUnknown: {boxfit.MayFloat{Displaces: 474, Worst: 4.65, Load: 948}, boxfit.MayFloat{Displaces: 474, Worst: 4.65, Load: 948, Bodies: 6}},
	boxfit.CodeFloat: {
		boxfit.Floats{Mass: 186, Displaces: 474, Up: 2.82, Screws: 5.65, Load: 576, Glue: 11.3, OnBoard: true, Sealed: boxfit.FootHolds},
		boxfit.Floats{Mass: 186, Displaces: 474, Up: 2.82, Screws: 5.65, Load: 576, Glue: 11.3, Sealed: boxfit.FootLess},
		boxfit.Floats{Mass: 1006, Displaces: 1009, Up: 0.0294, Screws: 0.0588, Load: 6, Glue: 0.118, Ring: 2.35, OnBoard: true},
		boxfit.Floats{Mass: 186, Displaces: 474, Up: 2.82, Screws: 5.65, Load: 576, Glue: 11.3, OnBoard: true, Original: true},
		boxfit.Floats{Mass: 186, Displaces: 474, Up: 2.82, Screws: 5.65, Load: 576, Glue: 11.3, OnBoard: true, Bodies: 6},
	},
	boxfit.CodeSheet: {boxfit.PastSheet{Part: boxfit.Part{Role: boxfit.TroughSide, Stock: "mdf-12"}, Length: 2600, Width: 140, SheetLength: 2440, SheetWidth: 1220}},
	boxfit.CodeRun:   {boxfit.LongRun{Length: 2400, Most: 1500}},
	boxfit.CodeHeavy: {
		boxfit.Heavy{Mass: 13400, AtLeast: true, Hands: 1},
		boxfit.Heavy{Mass: 28200, Hands: 2},
		boxfit.Heavy{Mass: 33200, Hands: 3},
		boxfit.Heavy{Mass: 61200},
		boxfit.Heavy{Mass: 28200, Hands: 2, Shell: true},
		boxfit.Heavy{Mass: 28200, Hands: 2, Shell: true, Brushed: true},
	},
	boxfit.CodeSmall: {
		boxfit.TooSmall{Kind: boxfit.Box, Side: 12.5, Height: 5, Need: exampleInside},
		boxfit.TooSmall{Kind: boxfit.Sleeve, Side: 12.5, Need: boxfit.Inside{Diameter: 98.4, Height: 140.1}},
	},
	boxfit.CodeTube:   {boxfit.NoTube{Need: 412, Widest: "dn315", Bore: 299.6}},
	boxfit.CodeShell:  {boxfit.ShellLifts{Up: 183, Riser: 50, Load: 37300}},
	boxfit.CodeVolume: {boxfit.NoRoom{Displaced: 5e6, Capacity: 412000}},
}

var containerExampleRemarks = []any{
	boxfit.Brace{Batten: boxfit.Batten{Thick: 19, Wide: 38, OnEdge: true}, Walls: 300, Bow: 0.21}, boxfit.Brace{Batten: boxfit.Batten{Thick: 19, Wide: 38, OnEdge: true}, Walls: 300, Ribs: 1, Every: 150, Bow: 0.21}, exampleBrace,
	boxfit.Brace{Walls: 1220, Ribs: 3, Every: 305, Bow: 0.08, Trough: true}, boxfit.Reason{Why: boxfit.BecauseLong},
	boxfit.Part{Role: boxfit.TroughSide, Stock: "mdf-12"}, boxfit.Part{Role: boxfit.StopEnd, Stock: "mdf-12"}, boxfit.Part{Role: boxfit.RimBatten, Stock: "softwood"}, boxfit.Part{Role: boxfit.UprightRib, Stock: "softwood"}, boxfit.Part{Role: boxfit.TroughBrace, Stock: "mdf-12"},
	boxfit.Reason{Why: boxfit.BecauseAsked}, boxfit.Reason{Why: boxfit.BecauseOwn, Than: boxfit.Sleeve}, boxfit.Reason{Why: boxfit.BecausePlain},
	boxfit.Reason{Why: boxfit.BecauseSleeve, Saved: 0.12, Tube: new("dn110")}, boxfit.Reason{Why: boxfit.BecauseSheet, Saved: 0.2, Than: boxfit.Box},
	boxfit.Reason{Why: boxfit.BecausePolygon, Saved: 0.17, Sides: 8, Than: boxfit.Box}, boxfit.Reason{Why: boxfit.BecauseBlanket},
	boxfit.Part{Role: boxfit.LongSide, Stock: "mdf-12"}, boxfit.Part{Role: boxfit.PolygonSide, Stock: "mdf-12", Sides: 8}, boxfit.Part{Role: boxfit.TubeWall, Stock: "dn110"}, boxfit.Part{Role: boxfit.WrappedSheet, Stock: "polypropylene-2"},
}
