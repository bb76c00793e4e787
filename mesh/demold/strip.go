package demold

import (
	"context"

	"moldtally/mesh/demold/strip"
)

// sections are what stretch, squeeze and mouth share; two halves part half way
// up as long as nothing better is known.
func (a *analysis) sections() *strip.Sections {
	if a.cuts == nil {
		var o strip.Options
		if a.rep.Parting != nil {
			o.Parting = &a.parting
		}
		a.cuts = strip.Of(a.Scene, o)
	}
	return a.cuts
}

func stretch(ctx context.Context, a *analysis) error {
	r, err := a.sections().Stretch(ctx)
	if err != nil {
		return err
	}
	a.rep.Stretch, a.rep.StretchAt, a.rep.StretchNeck, a.rep.StretchBulge = r.Value, r.At, r.Neck, r.Bulge
	a.rep.StretchClay = r.Clay
	a.rep.Findings = append(a.rep.Findings, r.Findings...)
	return nil
}

func squeeze(ctx context.Context, a *analysis) error {
	r, err := a.sections().Squeeze(ctx)
	if err != nil {
		return err
	}
	a.rep.Squeeze, a.rep.SqueezeAt, a.rep.TongueLength, a.rep.TongueRoot = r.Value, r.At, r.Length, r.Root
	return nil
}

func mouth(ctx context.Context, a *analysis) error {
	m, err := a.sections().Mouth(ctx)
	if err != nil {
		return err
	}
	a.rep.Mouth = m
	return nil
}
