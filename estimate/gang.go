package estimate

import (
	"cmp"
	"context"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/finding"
)

// Shared is one pattern of several that are poured in one container, and how often it
// stands there.
type Shared struct {
	Mesh   *mesh.Mesh // in millimetres
	Source Source
	Count  int // at least 1
}

// MemberError is why one pattern of several keeps all of them from being planned.
type MemberError struct {
	File string
	Err  error
}

// Error says what is so.
func (e *MemberError) Error() string { return e.File + ": " + e.Err.Error() }

// Unwrap is the pattern's own error.
func (e *MemberError) Unwrap() error { return e.Err }

// part is one pattern of a gang, looked at by itself.
type part struct {
	*known
	count int
	trial *trial  // of a block
	alone *method // the same, in a container of its own
}

// gathered is what is known of patterns that stand together.
type gathered struct {
	parts   []*part
	stands  []stand
	longest float64 // of one pattern, mm
	asked   bool    // a container is asked for

	wall, web, over float64 // rubber at the sides, between two patterns, and over them, mm
}

// TallyTogether does the whole job for several patterns in one container, a block:
// each is judged by itself, as it stands by itself; then one container holds all, as
// high as the tallest asks, and one rubber serves all. Job.Copies are castings of each
// file. Where the patterns cannot share a mold the plan's answer is no, and says which
// of them and why.
//
// The session's mesh and solid are all patterns as they stand, in the frame of the
// container. An error is a *MemberError, a *TooMany, or one of the job's as of Tally.
func TallyTogether(ctx context.Context, list []Shared, job Job, o Options) (*Session, error) {
	r, err := job.resolve()
	if err != nil {
		return nil, err
	}
	g := &gathered{asked: r.boxed()}
	for _, s := range list {
		p, err := r.member(ctx, s, o)
		if err != nil {
			return nil, &MemberError{s.Source.File, err}
		}
		g.parts = append(g.parts, p)
		g.longest = max(g.longest, p.longest())
	}
	g.setWalls(r)
	if err := g.layOut(ctx, r); err != nil {
		return nil, err
	}
	k, err := g.together(ctx, r, o)
	if err != nil {
		return nil, err
	}
	m, err := k.shared(ctx)
	if err != nil {
		return nil, err
	}
	s := &Session{Mesh: k.mesh, Solid: k.solid, Report: m.report, Fit: m.fit}
	s.Plan, err = k.finishShared(ctx, m)
	return s, err
}

// member looks at one pattern by itself, in a block.
func (r *resolved) member(ctx context.Context, s Shared, o Options) (*part, error) {
	own := *r
	own.Source, own.Mold = s.Source, demold.Block
	m, job, err := own.sized(ctx, s.Mesh)
	if err != nil {
		return nil, err
	}
	p := &part{count: s.Count}
	if p.known, err = know(ctx, m, job, o); err != nil {
		return nil, err
	}
	l := looks{}
	if err := l.closely(ctx, p.known, demold.TwoPart, afar); err != nil {
		return nil, err
	}
	if err := l.closely(ctx, p.known, demold.Block, whole); err != nil {
		return nil, err
	}
	p.trial = p.known.trial(Way{Mold: demold.Block}, l)
	p.alone, err = p.evaluate(ctx, p.trial)
	return p, err
}

// least is how often the scarcest file stands there.
func (g *gathered) least() int {
	n := g.parts[0].count
	for _, p := range g.parts {
		n = min(n, p.count)
	}
	return n
}

// together is all patterns as one, each where it stands.
func (g *gathered) together(ctx context.Context, r *resolved, o Options) (*known, error) {
	m, err := g.merged(ctx)
	if err != nil {
		return nil, err
	}
	job := *r
	z := mesh.V(0, 0, 1)
	job.Source, job.Up, job.Upright, job.Mold, job.Show, job.Search = g.source(), Up{Dir: z}, &z, demold.Block, nil, false
	job.Height, job.Longest, job.Displaced, job.KeepCrumbs, job.Opening = nil, nil, nil, true, ""
	job.Wall, job.shared = &g.wall, sharing{len(g.stands), len(g.parts), g.least(), r.Copies}
	job.Copies, job.Breaks = ceil(r.Copies, job.shared.least), nil // pours, so that every file has its castings
	for _, n := range r.Breaks {
		job.Breaks = append(job.Breaks, job.wanted(n))
	}
	if job.Over == nil {
		job.Over = &g.over
	}
	if !r.boxed() {
		job.Container = boxfit.Box
	}
	if r.PatternMass != nil {
		job.PatternMass = new(*r.PatternMass * float64(len(g.stands)))
	}
	k, err := know(ctx, m, &job, o)
	if err != nil {
		return nil, err
	}
	k.gang, k.findings, k.pattern = g, nil, g.pattern(k.survey.Size)
	k.solid.Displaced = g.displaced()
	for _, p := range g.parts {
		for _, f := range slices.Concat(p.findings, p.trial.reported()) {
			if ofAir(f) { // they are tipped and vented together
				continue
			}
			f.Of = p.job.Source.File
			k.findings.Add(f)
		}
	}
	return k, nil
}

// ofAir reports whether a finding is about air that a pour catches.
func ofAir(f finding.Finding) bool { return f.Code == air.CodeRubber || f.Code == air.CodeCasting }

// shared is the block that all patterns share, reckoned to the end.
func (k *known) shared(ctx context.Context) (*method, error) {
	at, rep, err := k.demolds(ctx, demold.Block, k.job.Up, whole)
	if err != nil {
		return nil, err
	}
	for _, f := range rep.Findings {
		if ofAir(f) {
			k.findings.Add(f)
		}
	}
	own := *at
	own.Reason = pose.Chosen{Steps: []pose.Step{pose.LaidOut}}
	t := &trial{way: Way{Mold: demold.Block}, look: &look{pull: demold.Block, pose: &own, report: rep, close: whole}, wall: k.gang.wall}
	strict := k.gang.strictest()
	t.two, t.judged, t.verdict = strict.trial.two, strict.trial.judged, k.gang.verdict()
	t.shape = k.gang.shape(strict)
	m, err := k.enough(ctx, t)
	if err != nil {
		return nil, err
	}
	if m.fit.Kind == boxfit.Box && m.fit.Reason != nil && !k.gang.asked {
		m.fit.Reason = &boxfit.Reason{Why: boxfit.BecausePlain}
	}
	m.fit.Nest(k.job.shop.saw())
	return m, nil
}

// shape is what all patterns ask of the rubber: what the strictest asks, and whatever
// another asks beside it.
func (g *gathered) shape(strict *part) rubber.Shape {
	s := strict.trial.shape
	s.Longest, s.Wall, s.Profiles = g.longest, min(g.wall, g.web), nil
	for _, p := range g.parts {
		x := p.trial.shape
		s.Profiles = append(s.Profiles, x.Profiles...)
		s.Angular = s.Angular || x.Angular
		if s.Stretch != nil && x.Stretch != nil {
			s.Stretch = new(max(*s.Stretch, *x.Stretch))
		}
		if x.Squeeze > s.Squeeze {
			s.Squeeze, s.Root, s.Tongue = x.Squeeze, x.Root, x.Tongue
		}
	}
	return s
}

// asked is the hardness that a pattern asks for by itself.
func (p *part) asked() rubber.Range {
	return rubber.Suggest(p.trial.asked(p.job.Copies), p.job.cast)
}

// strictest is the pattern that asks for the softest rubber; one that does not come
// out of a block before all others.
func (g *gathered) strictest() *part {
	return slices.MinFunc(g.parts, func(a, b *part) int {
		return cmp.Or(-cmp.Compare(worse[a.trial.verdict.Answer], worse[b.trial.verdict.Answer]), cmp.Compare(a.asked().AskedHigh, b.asked().AskedHigh))
	})
}

// worse orders the answers to whether a pattern comes out of a block.
var worse = map[Answer]int{ComesOut: 0, ComesOutSoft: 1, SlitIt: 2, MakeTwoParts: 3, Locked: 4}

// verdict is the answer to all patterns at once: that of the worst, and how each does
// by itself.
func (g *gathered) verdict() Verdict {
	v := Verdict{Answer: ComesOut, Because: []finding.Remark{}}
	worst := slices.SortedStableFunc(slices.Values(g.parts), func(a, b *part) int {
		return cmp.Compare(worse[b.trial.verdict.Answer], worse[a.trial.verdict.Answer])
	})
	for _, p := range worst {
		own := p.trial.verdict
		if worse[own.Answer] > worse[v.Answer] {
			v.Answer = own.Answer
		}
		x := ByItself{File: p.job.Source.File}
		if own.Answer != v.Answer || len(own.Because) == 0 { // the worst stands first
			x.Answer = own.Answer
		}
		if len(own.Because) > 0 {
			x.Because = own.Because[0]
		}
		v.Because = append(v.Because, finding.Remark{Facts: x})
	}
	return v
}

// finishShared is the plan of a block that patterns share.
func (k *known) finishShared(ctx context.Context, m *method) (*Plan, error) {
	j, g := k.job, k.gang
	p := &Plan{Container: m.fit, Rubber: m.rubber, Patterns: new(g.members()), Gang: g.compare(m)}
	list, err := options(&choice{method: m}, j.Rubber)
	if err != nil {
		return nil, err
	}
	p.Options, m.fit.Options, m.fit.Layout = &list, list, g.layout(m.fit)
	var told finding.List
	if j.Parts.StopAfter != ThroughContainer {
		p.Casting = m.casting
		if told, err = j.work(p, m.mix, nil, &m.work, k.chores(m, nil)); err != nil {
			return nil, err
		}
	}
	p.NotChecked = j.notChecked(&m.chosen, p.Cost, m.fit, m.massFrom)
	p.Cautions = j.safety(work{Chosen: &m.chosen, Mold: m.way.Mold, Fit: m.fit, Lift: m.fit.LiftMass})
	p.Pattern, p.Pose, p.Demold, p.Verdict = k.pattern, m.pose, m.report, &m.verdict
	return finished(p, k.o.Version, g.source(), nil, k.findings, m.findings, told, g.doubts(k, m)), nil
}
