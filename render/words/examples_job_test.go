package words

import (
	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/labor"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// firstLine is an answer with a reason and a change for each finding.
func firstLine(a estimate.Course, because ...finding.Finding) estimate.FirstLine {
	d := estimate.FirstLine{Decision: estimate.Decision{Answer: a}}
	for _, f := range because {
		d.Because = append(d.Because, estimate.Reason{Code: f.Code, Summary: estimate.Summary{Of: f}})
	}
	if len(because) > 0 {
		d.Change = &estimate.Change{Of: because}
	}
	return d
}

var (
	exampleSmall = finding.Finding{Code: boxfit.CodeSmall, Severity: finding.Stop, Facts: boxfit.TooSmall{Kind: boxfit.Sleeve, Side: 14, Need: boxfit.Inside{Diameter: 120, Height: 160}}}
	exampleZinc  = finding.Finding{Code: estimate.CodeTooHot, Severity: finding.Stop, Facts: estimate.Hot{Cast: "zinc alloy", Low: 400, High: 450, Rubber: "tin-heat-40", Limit: 260}}
	exampleTin   = finding.Finding{Code: estimate.CodeTooHot, Severity: finding.Stop, Facts: estimate.Hot{Cast: "tin alloy", Low: 180, High: 240, Rubber: "tin-20", Limit: 170, Instead: "tin-heat-40", Stands: 260}}
	exampleEaten = finding.Finding{Code: estimate.CodeFood, Severity: finding.Stop, Facts: estimate.Eaten{Cast: "chocolate", Family: "tin"}}
)

var jobExampleRemarks = []any{
	firstLine(estimate.CourseGo),
	estimate.FirstLine{Decision: estimate.Decision{Answer: estimate.CourseGo}, Cautions: 1},
	estimate.FirstLine{Decision: estimate.Decision{Answer: estimate.CourseGo}, Cautions: 3},
	estimate.FirstLine{Decision: estimate.Decision{Answer: estimate.CourseGo}, Partly: true},
	firstLine(estimate.CourseOpen, exampleSmall),
	firstLine(estimate.CourseOpen, exampleSmall, exampleTin),
	firstLine(estimate.CourseNo, exampleZinc),
	firstLine(estimate.CourseNo, exampleTin),
	firstLine(estimate.CourseNo, exampleSmall, exampleEaten),
	func() estimate.FirstLine {
		f := firstLine(estimate.CourseOpen, exampleSmall)
		f.Short = true
		return f
	}(),
	estimate.Summary{Of: exampleSmall},
	estimate.Leaves{Mold: demold.Block},
	estimate.Leaves{Mold: demold.Block, Hands: new(unit.Force(31))},
	estimate.Leaves{Mold: demold.Block, Slit: true, Hands: new(unit.Force(0.4))},
	estimate.Leaves{Mold: demold.TwoPart, Parted: 35},
	estimate.Leaves{Mold: demold.TwoPart, Loose: 1},
	estimate.Leaves{Mold: demold.Brushed, Shell: 1, Loose: 2},
	estimate.Leaves{Mold: demold.Block, Slit: true, Along: &seam.Slit{Side: [3]float64{0, 1, 0}, Length: 181}, Loose: 1},
	estimate.Leaves{Mold: demold.Brushed, Shell: 2, Halves: true},
	estimate.Leaves{Mold: demold.Cut, Slit: true, Seam: &seam.Seam{Cut: parting.Cut{Side: [3]float64{0, -1, 0}, Length: 212}}},
	estimate.Leaves{Mold: demold.Blanket, Shell: 1, Slit: true},
	estimate.Leaves{Mold: demold.Brushed, Shell: 2, Hands: new(unit.Force(12))},
	estimate.NextBest{First: estimate.Offered{Way: estimate.Way{Mold: demold.Block}, Cost: 100, Days: labor.Days{Low: 2, High: 2}}, Second: estimate.Offered{Way: estimate.Way{Mold: demold.TwoPart}, Cost: 140, Days: labor.Days{Low: 3, High: 3}, Risk: labor.Prying, Seam: labor.AllRound}},
	estimate.Change{Of: []finding.Finding{exampleSmall}},
}
