package main

import (
	"context"
	"errors"
	"slices"

	"moldtally/estimate"
	"moldtally/mesh/demold"
	"moldtally/render"
)

// shared reports whether several patterns go into one container; one alone is planned
// as ever.
func (s *settings) shared(patterns []string) bool {
	return s.count > 1 || len(patterns) > 1 && (s.together || s.count > 0)
}

// checkShared refuses what is not done for patterns in one container.
func (s *settings) checkShared(patterns []string) error {
	distinct := len(slices.Compact(slices.Sorted(slices.Values(patterns))))
	switch m := s.job.Mold; {
	case s.count > 0 && len(patterns) > 1:
		return usagef("leave --count out, and name a pattern as often as it is wanted", "--count is for one PATTERN, and there are %d", len(patterns))
	case m != "" && m != demold.Block:
		return usagef("leave --mold out, or plan each pattern by itself", "patterns in one container are poured in a block, and --mold asks for %s", m)
	case distinct > 1 && s.job.PatternMass != nil:
		return usagef("leave it out, or say --pattern-material", "--pattern-mass is of one pattern, and there are %d", distinct)
	case distinct > 1 && s.job.Displaced != nil:
		return usagef("leave it out, or plan each pattern by itself", "--displaced is of one pattern, and there are %d", distinct)
	}
	return nil
}

// planTogether does the whole job for all patterns in one container; one that is named
// twice stands there twice.
func (a *app) planTogether(ctx context.Context, patterns []string, s *settings, stage estimate.Stage) (*estimate.Session, error) {
	stop := a.startProgress()
	defer stop()
	var list []estimate.Shared
	at := map[string]int{}
	for _, p := range patterns {
		if i, ok := at[p]; ok {
			list[i].Count++
			continue
		}
		m, src, err := a.load(ctx, p, s)
		if err != nil {
			return nil, &estimate.MemberError{File: baseName(p), Err: err}
		}
		at[p] = len(list)
		list = append(list, estimate.Shared{Mesh: m, Source: src, Count: max(1, s.count)})
	}
	job := s.job
	job.Parts.StopAfter = stage
	return estimate.TallyTogether(ctx, list, job, estimate.Options{Version: version, Progress: a.progress})
}

// meshTogether plans all patterns in one container and prints what comes of it.
func (a *app) meshTogether(ctx context.Context, patterns []string, s *settings, stage estimate.Stage, files, papers []wanted) error {
	if err := s.checkShared(patterns); err != nil {
		return err
	}
	sess, err := a.planTogether(ctx, patterns, s, stage)
	file := baseName(patterns[0])
	if sess != nil {
		file = sess.Plan.Pattern.File
	}
	r := a.settle(ctx, file, sess, err, s, files)
	e, err := r.entry, r.err
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if e.Plan != nil {
		a.warn("", s, e.Plan)
	}
	if err != nil {
		label := ""
		if m := (*estimate.MemberError)(nil); errors.As(err, &m) {
			label, err = m.File, m.Err
		}
		a.status = a.fail(label, err)
		return nil
	}
	if !s.json && !s.noSheet && !s.quote {
		if err := a.printPlan(e, s); err != nil {
			return err
		}
	}
	if err := a.writeQuote([]render.Entry{e}, r.picture, s, papers); err != nil {
		return err
	}
	if err := a.conclude([]render.Entry{e}, s); err != nil {
		return err
	}
	if s.strict && stopOpen(e.Plan) {
		a.status = exitStop
	}
	return nil
}
