package demold

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/unit"
)

// Sizes of the search. All directions are tried on the stand-in with few
// columns, the best on finer ones, the few best of those on the pattern itself.
const (
	sphereDirections = 800   // over the whole sphere: neighbours some 7° apart
	sphereColumns    = 64    // across the largest size
	sphereVertices   = 6_000 // of the stand-in, for the first look
	sphereKeep       = 12    // shortest paths that end the search over the sphere
	searchBatch      = 16    // fixed, so that the outcome is the same on any machine
	exactKeep        = 4     // directions that are measured exactly,
	exactMost        = 8     // and at most, where those turn out worse than they looked
	exactColumns     = 256
	sureMost         = 4 // of those, as finely as a report
	tableLength      = 14
)

// refiningRound is a round of refining: how many of the best, on how many
// columns, how many shortest paths end the round, and the circle of directions
// tried round each, radians.
type refiningRound struct {
	keep, columns, need int
	angle               float64
}

var refiningRounds = []refiningRound{
	{8, trialColumns, 6, 3.5 * math.Pi / 180},
	{5, 128, exactKeep, 1.5 * math.Pi / 180},
}

// sphereSearch is a search over the whole sphere, as far as it has come.
type sphereSearch struct {
	*stand
	own     *tried                 // the file's own up
	all     []*tried               // in order, as far as that is known
	columns int                    // they were judged on so many across
	seen    map[*tried]*pose.Known // what was measured on the pattern itself
}

// search tries directions over the whole sphere, refines the best and measures
// the few best exactly. The candidates for standing are always among them; the
// table is sorted best first.
func (st *stand) search(ctx context.Context) ([]pose.Direction, pose.Chosen, error) {
	s := &sphereSearch{stand: st, own: &tried{trial: st.cands[0].trial, from: st.cands[0].from, cand: true}, seen: map[*tried]*pose.Known{}}
	if err := s.lookAround(ctx); err != nil {
		return nil, pose.Chosen{}, err
	}
	st.progress("search: directions", 1, 3)
	for _, round := range refiningRounds {
		if err := s.refine(ctx, round); err != nil {
			return nil, pose.Chosen{}, err
		}
	}
	st.progress("search: refined", 2, 3)
	if err := s.measureBest(ctx); err != nil {
		return nil, pose.Chosen{}, err
	}
	if err := s.stretchOfEnds(ctx); err != nil {
		return nil, pose.Chosen{}, err
	}
	st.progress("search", 3, 3)
	var out []pose.Direction
	for k, t := range s.all {
		if k >= tableLength && !t.cand {
			continue
		}
		out = append(out, t.direction(beside(&s.own.trial, &t.trial, t.from)))
	}
	why := beside(&s.own.trial, &s.all[0].trial, s.all[0].from)
	return out, pose.Chosen{Search: &why}, nil
}

// lookAround lists the candidates and the best directions of the whole sphere
// on few columns.
func (s *sphereSearch) lookAround(ctx context.Context) error {
	for _, c := range s.allowed() {
		if c == s.cands[0] {
			s.all = append(s.all, s.own)
			continue
		}
		s.all = append(s.all, &tried{trial: c.trial, from: c.from, cand: true})
	}
	rough, err := s.p.Coarser(ctx, sphereVertices)
	if err != nil {
		return err
	}
	found, err := s.sphere(ctx, rough)
	if err == nil {
		found, err = s.solve(ctx, rough, found, sphereColumns, sphereKeep)
	}
	if err != nil {
		return err
	}
	s.all = append(s.all, found...)
	s.columns = sphereColumns
	s.order()
	return nil
}

// order sorts by the bare path and drops what stands within a degree of a better
// one. What is a tie is only decided between exact figures: a path on coarse
// columns is good to more than the columns' worst case.
func (s *sphereSearch) order() {
	near := math.Cos(1 * math.Pi / 180)
	slices.SortStableFunc(s.all, func(a, b *tried) int {
		return cmp.Or(cmp.Compare(a.path, b.path), cmp.Compare(a.volume, b.volume), cmp.Compare(a.pocket, b.pocket))
	})
	var kept []*tried
	for _, t := range s.all {
		if t.cand || !slices.ContainsFunc(kept, func(k *tried) bool { return s.same(k.up, t.up, near) }) {
			kept = append(kept, t)
		}
	}
	s.all = kept
}

// lead puts n in front, by turns the one with the shortest path and the one with
// the least undercut of those whose path is a tie on the columns.
func (s *sphereSearch) lead(n int) {
	if len(s.all) == 0 {
		return
	}
	most := s.all[0].path + s.p.Size/float64(s.columns)
	byVolume := slices.Clone(s.all)
	byVolume = slices.DeleteFunc(byVolume, func(t *tried) bool { return t.path > most })
	slices.SortStableFunc(byVolume, func(a, b *tried) int { return cmp.Compare(a.volume, b.volume) })
	front := make([]*tried, 0, len(s.all))
	take := func(list []*tried) {
		for _, t := range list {
			if len(front) < n && !slices.Contains(front, t) {
				front = append(front, t)
				return
			}
		}
	}
	for range n {
		take(s.all)
		take(byVolume)
	}
	for _, t := range s.all {
		if !slices.Contains(front[:min(n, len(front))], t) {
			front = append(front, t)
		}
	}
	s.all = front
}

// refine judges the best anew on finer columns, with a ring of directions round
// each.
func (s *sphereSearch) refine(ctx context.Context, round refiningRound) error {
	s.lead(round.keep)
	s.columns = round.columns
	list, best := s.rings(round)
	done, err := s.solve(ctx, s.p, list, round.columns, round.need)
	if err != nil {
		return err
	}
	for k, t := range list {
		switch seen := slices.Contains(done, t); {
		case k >= best && seen:
			s.all = append(s.all, t)
		case k < best && !seen: // finer columns show that it is no better than this
			t.path = max(t.path, t.least)
		}
	}
	s.order()
	return nil
}

// rings lists the best directions and six round each of them; best is how many
// come first.
func (s *sphereSearch) rings(round refiningRound) (list []*tried, best int) {
	apart := math.Cos(round.angle / 3)
	add := func(t *tried) bool {
		if slices.ContainsFunc(list, func(k *tried) bool { return s.same(k.up, t.up, apart) }) {
			return false
		}
		list = append(list, t)
		return true
	}
	for _, t := range s.all {
		if best < round.keep && add(t) {
			best++
		}
	}
	for _, t := range slices.Clone(list) {
		e1, e2 := mesh.Basis(t.up)
		for k := range 6 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 3)
			side := e1.Mul(cos).Add(e2.Mul(sin))
			u := t.up.Mul(math.Cos(round.angle)).Add(side.Mul(math.Sin(round.angle))).Unit()
			if s.shows(u) {
				add(s.searched(u))
			}
		}
	}
	return list, best
}

// measure measures a direction on the pattern itself, once.
func (s *sphereSearch) measure(ctx context.Context, t *tried) error {
	var err error
	if s.seen[t] == nil {
		t.trial, s.seen[t], err = s.exact(ctx, t.up, s.p.Size/exactColumns)
	}
	return err
}

// measureBest measures the best, and on as long as the next may be better than
// the best of those; and the file's own up to compare with. The first of them is
// measured once more, as finely as the report will be. What turns out worse than
// it looked makes room for the next, and two more are measured.
func (s *sphereSearch) measureBest(ctx context.Context) error {
	if err := s.measure(ctx, s.own); err != nil {
		return err
	}
	s.lead(exactMost)
	sure := map[*tried]bool{}
	best, done := math.Inf(1), 0
	for keep := exactKeep; ; keep += 2 {
		for done < min(len(s.all), exactMost) && (done < keep || s.all[done].path < best) {
			if err := s.measure(ctx, s.all[done]); err != nil {
				return err
			}
			best = min(best, s.all[done].path)
			done++
		}
		sortTrials(s.all[:done], func(t *tried) *trial { return &t.trial })
		t := s.all[0]
		if sure[t] || len(sure) == sureMost {
			break
		}
		sure[t] = true
		was := t.path
		var err error
		if t.trial, s.seen[t], err = s.exact(ctx, t.up, 0); err != nil {
			return err
		}
		if t.path <= was+t.resolved {
			break
		}
		best = math.Inf(1)
		for _, t := range s.all[:done] {
			best = min(best, t.path)
		}
	}
	if sure[s.all[0]] {
		s.found = s.seen[s.all[0]]
	}
	sortTrials(s.all[1:], func(t *tried) *trial { return &t.trial })
	return nil
}

// stretchOfEnds adds the stretch of the best direction and of the file's own up.
func (s *sphereSearch) stretchOfEnds(ctx context.Context) error {
	for _, t := range []*tried{s.all[0], s.own} {
		if err := s.measure(ctx, t); err != nil {
			return err
		}
		r, err := s.seen[t].Sections.Stretch(ctx)
		if err != nil {
			return err
		}
		t.stretch = r.Value
	}
	return nil
}

// beside says where a direction comes from and what it gains over the file's own
// up.
func beside(own *trial, t *trial, from pose.Origin) pose.Tried {
	out := pose.Tried{From: from, Than: pose.AsDeep}
	switch tie := max(t.resolved, own.resolved); {
	case t.up.Dot(own.up) >= snap:
		out.Than = pose.TheFilesOwn
	case math.IsInf(t.path, 1) && math.IsInf(own.path, 1):
		out.Than = pose.LockedToo
	case math.IsInf(t.path, 1):
		out.Than = pose.Locked
	case math.IsInf(own.path, 1):
		out.Than = pose.Freed
	case t.path < own.path-tie:
		out.Than, out.By = pose.LessDeep, unit.Length(own.path-t.path)
	case t.path > own.path+tie:
		out.Than, out.By = pose.Deeper, unit.Length(t.path-own.path)
	}
	return out
}

// exact measures a direction on the pattern itself, on columns of a width in
// mm; 0 = as in a report.
func (st *stand) exact(ctx context.Context, u mesh.Vec, cell float64) (trial, *pose.Known, error) {
	o := st.options()
	o.Resolution = cell
	c, err := scene.New(ctx, st.s, u, o)
	if err != nil {
		return trial{}, nil, err
	}
	found, err := undercut.Find(ctx, c, undercut.Options{})
	if err != nil {
		return trial{}, nil, err
	}
	return trialOf(found), &pose.Known{Undercuts: found, Sections: strip.Of(c, strip.Options{Parting: found.Parting})}, nil
}
