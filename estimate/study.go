package estimate

import (
	"context"
	"fmt"
	"sync"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
)

// Study keeps what was found of one mesh, for jobs that ask something else of the same
// pattern: a job in another rubber, behind another wall or in another container is
// reckoned on the survey, the solid and the pulls of the job before. What comes of a
// job is the same as Tally's, whatever was asked before it. It is for goroutines too:
// they wait for each other.
type Study struct {
	mu    sync.Mutex
	mesh  *mesh.Mesh
	sizes recent[sizeAsked, *studied]
}

// How much a study keeps; judgements of this program. A pull holds its columns and
// what fills the space round the pattern, so few are kept: a plan looks at five, and
// one step back is to be had at once.
const (
	sizesKept  = 2
	solidsKept = 2
	pullsKept  = 12
)

// NewStudy is a study of a mesh in millimetres, of which nothing is known yet.
func NewStudy(m *mesh.Mesh) *Study {
	return &Study{mesh: m, sizes: recent[sizeAsked, *studied]{most: sizesKept}}
}

// Mesh is what the study is of, mm.
func (s *Study) Mesh() *mesh.Mesh { return s.mesh }

// Tally is Tally of the mesh that the study is of.
func (s *Study) Tally(ctx context.Context, job Job, o Options) (*Session, error) {
	r, err := job.resolve()
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	at := r.sizeAsked()
	of, ok := s.sizes.get(at)
	if !ok {
		m, sized, err := r.sized(ctx, s.mesh)
		if err != nil {
			return nil, err
		}
		of = newStudied(m)
		of.resized, of.given = sized.Source.Resized, sized.Source.SizeGiven
		s.sizes.put(at, of)
	}
	sized := *r
	sized.Source.Resized, sized.Source.SizeGiven = of.resized, of.given
	return sized.tally(ctx, of, o)
}

// given is a figure that a job may give; the zero value says that it does not. It
// stands in keys, where a pointer would not be compared by what it points to.
type given[T comparable] struct {
	is bool
	v  T
}

func asGiven[T comparable](p *T) (g given[T]) {
	if p != nil {
		g = given[T]{true, *p}
	}
	return g
}

// sizeAsked is what the size of a pattern hangs on.
type sizeAsked struct {
	resized         float64
	longest, height given[float64]
	top             mesh.Vec
	crumbs          bool
}

func (r *resolved) sizeAsked() sizeAsked {
	a := sizeAsked{resized: r.Source.Resized, longest: asGiven(r.Longest)}
	if r.Longest == nil && r.Height != nil {
		a.height, a.crumbs = asGiven(r.Height), r.KeepCrumbs
		a.top, _ = r.upright()
	}
	return a
}

// studied is a mesh at its finished size, and what was found of it.
type studied struct {
	mesh    *mesh.Mesh
	resized float64 // as in Source
	given   bool    // likewise
	survey  *mesh.Survey
	solids  recent[solidAsked, *found]
}

func newStudied(m *mesh.Mesh) *studied {
	return &studied{mesh: m, solids: recent[solidAsked, *found]{most: solidsKept}}
}

// solidAsked is what the solid of a mesh hangs on.
type solidAsked struct {
	crumbs  bool
	opening string
}

// found is the solid of a mesh, and what was found of it.
type found struct {
	solid   *solid.Solid
	angular func() bool // made of flat faces
	drains  finding.List
	coats   *boxfit.Coats
	tunnels *tunnel.Memo
	parted  *demold.Parted
	stood   recent[standAsked, pose.Standing]
	pulls   recent[pullAsked, demold.Report]
	felt    recent[*strip.Profile, []rubber.Profile] // by the first of a report's profiles
}

// of surveys the mesh and makes a solid of it, once for each way of doing so. Where
// its faces surround nothing, the survey is there all the same.
func (s *studied) of(ctx context.Context, job *resolved, o Options) (*found, error) {
	var err error
	if s.survey == nil {
		if s.survey, err = mesh.Inspect(ctx, s.mesh, mesh.SurveyOptions{Progress: o.Progress}); err != nil {
			return nil, fmt.Errorf("estimate: %w", err)
		}
	}
	at := solidAsked{job.KeepCrumbs, job.Opening}
	if f, ok := s.solids.get(at); ok {
		return f, nil
	}
	f := &found{coats: &boxfit.Coats{}, tunnels: &tunnel.Memo{}, parted: &demold.Parted{}, stood: recent[standAsked, pose.Standing]{most: pullsKept}, pulls: recent[pullAsked, demold.Report]{most: pullsKept},
		felt: recent[*strip.Profile, []rubber.Profile]{most: pullsKept}}
	if f.solid, err = solid.From(ctx, s.mesh, s.survey, solid.Options{KeepCrumbs: job.KeepCrumbs, Opening: job.Opening, Progress: o.Progress}); err != nil {
		return nil, fmt.Errorf("estimate: %w", err)
	}
	f.angular = sync.OnceValue(func() bool { return angular(f.solid) })
	drains, err := f.solid.Drains(ctx)
	if err != nil {
		return nil, fmt.Errorf("estimate: %w", err)
	}
	f.drains = solid.DrainFindings(drains)
	s.solids.put(at, f)
	return f, nil
}

// standAsked is what the way that a pattern stands hangs on.
type standAsked struct {
	mold                      demold.Mold
	up, upright, fileUp, show given[mesh.Vec]
	clay, ignore              given[float64]
	search                    bool
}

// stand stands the solid up, once for each way of asking for that.
func (f *found) stand(ctx context.Context, o pose.Options) (pose.Standing, error) {
	at := standAsked{mold: o.Mold, up: asGiven(o.Up), upright: asGiven(o.Upright), fileUp: asGiven(o.FileUp), show: asGiven(o.Show),
		clay: asGiven(o.Clay), ignore: asGiven(o.Ignore), search: o.Search}
	if st, ok := f.stood.get(at); ok {
		return st, nil
	}
	st, err := pose.Choose(ctx, f.solid, o)
	if err != nil {
		return st, fmt.Errorf("estimate: %w", err)
	}
	f.stood.put(at, st)
	return st, nil
}

// pullAsked is what a report of a pull hangs on.
type pullAsked struct {
	stood                   standAsked
	resolution, coarser     float64
	web, fin                given[float64]
	foot, show              given[mesh.Vec]
	hollow, straight, brief bool
}

// pull looks what a pull does, once for each way of asking for that; stood is what the
// way that the pattern stands was asked by. The report is the caller's own to add to.
func (f *found) pull(ctx context.Context, stood pose.Options, st pose.Standing, o demold.Options) (*demold.Report, error) {
	at := pullAsked{stood: standAsked{mold: stood.Mold, up: asGiven(stood.Up), upright: asGiven(stood.Upright), fileUp: asGiven(stood.FileUp), show: asGiven(stood.Show),
		clay: asGiven(stood.Clay), ignore: asGiven(stood.Ignore), search: stood.Search},
		resolution: o.Resolution, coarser: o.Coarser, web: asGiven(o.Web), fin: asGiven(o.Fin), foot: asGiven(o.Foot), show: asGiven(o.Show),
		hollow: o.Hollow, straight: o.Straight, brief: o.Brief}
	rep, ok := f.pulls.get(at)
	if !ok {
		o.Tunnels, o.Parted = f.tunnels, f.parted
		made, err := demold.Analyze(ctx, f.solid, st.Up, o)
		if err != nil {
			return nil, fmt.Errorf("estimate: %w", err)
		}
		rep = *made
		f.pulls.put(at, rep)
	}
	rep.Findings = append(finding.List{}, rep.Findings...)
	return &rep, nil
}

// feels is what rings of rubber feel of a report's profiles: what was made of them
// before, which remembers what it takes, else what is made of them now.
func (f *found) feels(of []strip.Profile, made []rubber.Profile) []rubber.Profile {
	if had, ok := f.felt.get(&of[0]); ok {
		return had
	}
	f.felt.put(&of[0], made)
	return made
}

// recent keeps the values that were asked for last.
type recent[K comparable, V any] struct {
	most int
	keys []K // the one asked for last is the last
	vals []V
}

func (r *recent[K, V]) get(k K) (v V, ok bool) {
	for i := range r.keys {
		if r.keys[i] == k {
			v = r.vals[i]
			r.drop(i)
			r.add(k, v)
			return v, true
		}
	}
	return v, false
}

// put keeps a value that is not kept yet, in place of the one asked for longest ago.
func (r *recent[K, V]) put(k K, v V) {
	if len(r.keys) == r.most {
		r.drop(0)
	}
	r.add(k, v)
}

func (r *recent[K, V]) add(k K, v V) { r.keys, r.vals = append(r.keys, k), append(r.vals, v) }

func (r *recent[K, V]) drop(i int) {
	var none V
	copy(r.keys[i:], r.keys[i+1:])
	copy(r.vals[i:], r.vals[i+1:])
	r.vals[len(r.vals)-1] = none // so that it is not held
	r.keys, r.vals = r.keys[:len(r.keys)-1], r.vals[:len(r.vals)-1]
}
