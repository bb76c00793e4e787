package demold

import (
	"context"
)

func stretch(ctx context.Context, a *analysis) error {
	r, err := a.found.sections.Stretch(ctx)
	if err != nil {
		return err
	}
	a.rep.Stretch, a.rep.StretchAt, a.rep.StretchNeck, a.rep.StretchBulge = r.Value, r.At, r.Neck, r.Bulge
	a.rep.StretchClay = r.Clay
	a.rep.Findings = append(a.rep.Findings, r.Findings...)
	return nil
}

func squeeze(ctx context.Context, a *analysis) error {
	r, err := a.found.sections.Squeeze(ctx)
	if err != nil {
		return err
	}
	a.rep.Squeeze, a.rep.SqueezeAt, a.rep.TongueLength, a.rep.TongueRoot = r.Value, r.At, r.Length, r.Root
	return nil
}

func mouth(ctx context.Context, a *analysis) error {
	m, err := a.found.sections.Mouth(ctx)
	if err != nil {
		return err
	}
	a.rep.Mouth = m
	return nil
}
