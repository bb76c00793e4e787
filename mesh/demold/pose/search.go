package pose

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/unit"
)

// Sizes of the search. All directions are tried on the stand-in with few
// columns, the best on finer ones, the few best of those on the pattern itself.
// Judgements of this program, held against TestSearchAgainstBrute.
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

// heading is a direction of the search.
type heading struct {
	figures
	from    Origin
	stands  bool     // one of the ways to stand: always in the table
	least   float64  // its path cannot be shorter than this on the columns it was seen on, mm
	stretch *float64 // nil = not asked, or unknown
}

// search is a search over the whole sphere, as far as it has come.
type search struct {
	*pattern
	own     *heading            // the file's own up
	all     []*heading          // in order, as far as that is known
	columns int                 // they were judged on so many across
	known   map[*heading]*Known // what was measured on the pattern itself
}

// searchSphere tries directions over the whole sphere, refines the best and
// measures the few best exactly. The ways to stand, of which the file's own up is
// the first, are always among them; the table is sorted best first. What is known
// of the best comes with it where it was measured as finely as a report.
func searchSphere(ctx context.Context, p *pattern, ways []*candidate) ([]Direction, *Known, Chosen, error) {
	fail := func(err error) ([]Direction, *Known, Chosen, error) { return nil, nil, Chosen{}, err }
	own := ways[0]
	s := &search{pattern: p, own: &heading{figures: own.figures, from: own.from, stands: true}, known: map[*heading]*Known{}}
	for _, c := range p.allowed(ways) {
		if c == own {
			s.all = append(s.all, s.own)
		} else {
			s.all = append(s.all, &heading{figures: c.figures, from: c.from, stands: true})
		}
	}
	if err := s.lookAround(ctx); err != nil {
		return fail(err)
	}
	p.progress("search: directions", 1, 3)
	for _, round := range refiningRounds {
		if err := s.refine(ctx, round); err != nil {
			return fail(err)
		}
	}
	p.progress("search: refined", 2, 3)
	sure, err := s.measureBest(ctx)
	if err != nil {
		return fail(err)
	}
	if err := s.stretchOfEnds(ctx); err != nil {
		return fail(err)
	}
	p.progress("search", 3, 3)
	var out []Direction
	for k, h := range s.all {
		if k < tableLength || h.stands {
			out = append(out, h.row(s.beside(h), h.stretch))
		}
	}
	best := s.all[0]
	why := s.beside(best)
	if !sure {
		return out, nil, Chosen{Search: &why}, nil
	}
	return out, s.known[best], Chosen{Search: &why}, nil
}

// lookAround adds the best directions of the whole sphere, on few columns.
func (s *search) lookAround(ctx context.Context) error {
	rough, err := s.body.Coarser(ctx, sphereVertices)
	if err != nil {
		return err
	}
	found, err := s.sphere(ctx, rough)
	if err == nil {
		found, err = within(ctx, rough, s.scene(), found, sphereColumns, sphereKeep)
	}
	if err != nil {
		return err
	}
	s.all = append(s.all, found...)
	s.columns = sphereColumns
	s.order()
	return nil
}

// toward is a heading yet to be judged. Of halves, which part alike either way,
// the one nearer the file's own up is the upper.
func (s *search) toward(u mesh.Vec) *heading {
	if !s.o.Mold.OnBoard() && u.Dot(s.own.up) < 0 {
		u = u.Neg()
	}
	return &heading{figures: figures{up: u, path: math.Inf(1)}, from: Searched}
}

// same reports whether two directions ask the same question: halves part the
// same way whichever is the upper one.
func (s *search) same(u, v mesh.Vec, cos float64) bool {
	d := u.Dot(v)
	return d > cos || !s.o.Mold.OnBoard() && d < -cos
}

// beside says where a heading comes from and what it gains over the file's own
// up.
func (s *search) beside(h *heading) Tried {
	own := s.own
	out := Tried{From: h.from, Than: AsDeep}
	switch tie := max(h.resolved, own.resolved); {
	case h.up.Dot(own.up) >= snap:
		out.Than = TheFilesOwn
	case math.IsInf(h.path, 1) && math.IsInf(own.path, 1):
		out.Than = LockedToo
	case math.IsInf(h.path, 1):
		out.Than = Locked
	case math.IsInf(own.path, 1):
		out.Than = Freed
	case h.path < own.path-tie:
		out.Than, out.By = LessDeep, unit.Length(own.path-h.path)
	case h.path > own.path+tie:
		out.Than, out.By = Deeper, unit.Length(h.path-own.path)
	}
	return out
}
