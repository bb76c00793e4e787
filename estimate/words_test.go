package estimate_test

import (
	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// The tables of this package's tests show what a mold maker reads.
func init() {
	estimate.TellBy(func(f finding.Finding) (summary, effect, hint string) {
		t := words.Tell(f, unit.Metric)
		return t.Summary, t.Effect, t.Hint
	}, func(facts any) string {
		if r, ok := facts.(finding.Remark); ok {
			return words.Say(r, unit.Metric)
		}
		return words.Say(finding.Remark{Facts: facts}, unit.Metric)
	})
}
