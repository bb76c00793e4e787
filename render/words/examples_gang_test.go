package words

import (
	"moldtally/estimate"
	"moldtally/mesh/finding"
)

var gangExamples = examples{
	estimate.CodeAlone: {
		estimate.OwnMold{Why: estimate.WantsSlit},
		estimate.OwnMold{Why: estimate.WantsHalves},
		estimate.OwnMold{Why: estimate.LetsGoNever},
		estimate.OwnMold{Why: estimate.IsOriginal},
		estimate.OwnMold{Why: estimate.WantsOtherSoft, File: "brick.stl", Low: 5, High: 18, OtherLow: 30, OtherHigh: 60},
	},
	estimate.CodeUnlike: {
		estimate.Unlike{By: estimate.UnlikeHeights, Low: 30, High: 45},
		estimate.Unlike{By: estimate.UnlikeUndercuts, File: "finial.stl"},
		estimate.Unlike{By: estimate.LargeToShare, File: "finial.stl", High: 166, Low: 150},
		estimate.Unlike{By: estimate.HeavyToShare, Mass: 15200, Most: 12000},
		estimate.Unlike{By: estimate.SlowToShare, Minutes: 14, Of: 20},
	},
}

var gangExampleRemarks = []any{
	estimate.ByItself{File: "pawn.stl", Answer: estimate.ComesOut},
	estimate.ByItself{File: "pawn.stl", Because: finding.Remark{Facts: estimate.SlitEasier}},
	estimate.ByItself{File: "pawn.stl", Answer: estimate.SlitIt, Because: finding.Remark{Facts: estimate.SlitEasier}},
	estimate.Summed{Count: 6},
}
