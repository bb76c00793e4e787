package estimate

import (
	"context"
	"fmt"
	"slices"

	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/finding"
)

// SlitAlong: where a mold is slit, as a reason of the verdict.
type SlitAlong struct {
	Slit *seam.Slit
	Fin  bool // a fin leaves it open, no blade does
}

// slitOf is where a method is slit; nil where it is not, or is cut all round.
func (k *known) slitOf(ctx context.Context, m *method) (*seam.Slit, error) {
	if m.verdict.Answer != SlitIt || !m.onBoard() {
		return nil, nil
	}
	strain := rubber.MostComfortable
	if shore, ok := m.chosen.Hardness(); ok {
		comfortable, _ := rubber.Stands(shore, m.chosen.Family, 0)
		strain = min(strain, comfortable)
	}
	if slices.ContainsFunc(m.verdict.Because, func(r finding.Remark) bool { _, force := r.Facts.(BeyondHands); return force }) {
		strain = 0 // every ring that holds is more for hands to open
	}
	x, err := m.report.SlitLine(ctx, k.job.Show, strain, m.fit.Over)
	if err != nil {
		return nil, fmt.Errorf("estimate: %w", err)
	}
	return x, nil
}

// tellSlit adds to a verdict where the mold is slit, and returns which side is taken
// for the pattern's front where nothing says so.
func (j *resolved) tellSlit(v *Verdict, x *seam.Slit) (out finding.List) {
	if v.Slit = x; x == nil {
		return nil
	}
	v.Because = append(v.Because, finding.Remark{Facts: SlitAlong{x, j.Irreplaceable}})
	if x.Front.From != seam.FrontAsked {
		out.Add(finding.Finding{Code: demold.CodeFront, Severity: finding.Note, Facts: demold.FrontGuessed{Front: x.Front.Looks, Why: x.Front.From}})
	}
	return out
}
