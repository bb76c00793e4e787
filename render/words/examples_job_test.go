package words

import (
	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh/finding"
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
	estimate.Summary{Of: exampleSmall},
	estimate.Change{Of: []finding.Finding{exampleSmall}},
}
