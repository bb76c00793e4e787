package estimate

import (
	"context"
	"errors"

	"moldtally/mesh"
	"moldtally/mesh/solid"
)

// Options of Tally. The zero value is the default.
type Options struct {
	Version string // of the program, for the plan
	// Progress, if not nil, is called from one goroutine with the stage's name
	// and how much of it is done.
	Progress func(stage string, done, total int)
}

// Tally does the whole job for one pattern: its finished size, survey, solid,
// which way up, undercuts, container, rubber, castings, money, order of work,
// verdict. The mesh is in millimetres.
//
// An error is the job's (a *rubber.BadInput, *boxfit.BadRequest) or the
// pattern's (solid.ErrNothing, mesh.ErrTooLarge, a *SizeError), or ctx's. Where
// the pattern surrounds nothing, a session comes with the error: its plan has the
// counts. The result does not depend on the number of cores.
func Tally(ctx context.Context, m *mesh.Mesh, job Job, o Options) (*Session, error) {
	r, err := job.resolve()
	if err != nil {
		return nil, err
	}
	m, r, err = r.sized(ctx, m)
	if err != nil {
		return nil, err
	}
	return r.tally(ctx, newStudied(m), o)
}

// tally is Tally of a pattern at its finished size.
func (r *resolved) tally(ctx context.Context, of *studied, o Options) (*Session, error) {
	k, err := of.know(ctx, r, o)
	if errors.Is(err, solid.ErrNothing) && k != nil {
		return &Session{Mesh: of.mesh, Plan: k.plan()}, err
	}
	if err != nil {
		return nil, err
	}
	s := &Session{Mesh: of.mesh, Solid: k.solid}
	if r.Parts.StopAfter == ThroughPattern {
		s.Plan = k.plan(NotChecked{What: OnlyFile})
		return s, nil
	}
	c, err := k.choose(ctx)
	if err != nil {
		return nil, err
	}
	s.Report = c.report
	if r.Parts.StopAfter == ThroughDemold {
		s.Plan = k.demoldPlan(c)
		return s, nil
	}
	s.Fit = c.fit
	s.Plan, err = k.finish(ctx, c)
	return s, err
}
