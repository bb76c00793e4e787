package estimate

import (
	"testing"

	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/finding"
)

// What the pull was found to do is told of the ways that it is about: air in the
// rubber of all that is poured, and never of what is brushed on.
func TestReportedOfItsWay(t *testing.T) {
	found := finding.List{{Code: air.CodeRubber}, {Code: air.CodeCasting}, {Code: demold.CodeLocked}}
	for _, c := range []struct {
		mold demold.Mold
		want int
	}{{demold.Block, 3}, {demold.Blanket, 3}, {demold.Brushed, 2}} {
		tr := &trial{way: Way{Mold: c.mold}, look: &look{report: &demold.Report{Findings: found}}, verdict: Verdict{Answer: Locked}}
		if got := tr.reported(); len(got) != c.want || c.mold == demold.Brushed && got.Has(air.CodeRubber) {
			t.Errorf("%s: told of %v", c.mold, got)
		}
	}
	if len(found) != 3 {
		t.Error("the report was changed")
	}
}
