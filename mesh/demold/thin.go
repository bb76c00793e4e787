package demold

import (
	"context"

	"moldtally/mesh/demold/thin"
)

// findThin finds webs and fins.
func findThin(ctx context.Context, a *analysis) error {
	r, err := thin.Find(ctx, a.Scene, thin.Options{Web: a.o.Web, Fin: a.o.Fin})
	if err != nil {
		return err
	}
	a.rep.Thin, a.rep.ThinWeb, a.rep.ThinFin = r.Places, r.Web, r.Fin
	a.rep.Findings = append(a.rep.Findings, r.Findings()...)
	return nil
}
