package demold

import (
	"context"

	"moldtally/mesh/demold/air"
)

// findAir puts what the pours catch in the report.
func findAir(ctx context.Context, a *analysis) error {
	var o air.Options
	for n, h := range a.halves {
		s := air.Side{Half: air.Whole, Up: h.up, Field: h.f, Space: h.rubber, Floor: h.clip}
		if len(a.halves) > 1 {
			s.Half = [2]air.Half{air.Upper, air.Lower}[n]
		}
		o.Sides = append(o.Sides, s)
	}
	r, err := air.Find(ctx, a.Scene, o)
	if err != nil {
		return err
	}
	a.rep.Air, a.rep.AirTraps = r.Pours, r.Traps
	a.rep.Findings = append(a.rep.Findings, r.Findings...)
	return nil
}
