package pose

import (
	"context"
	"math"

	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
)

// measure measures a heading on the pattern itself, on columns of a width in mm;
// 0 = as in a report.
func (s *search) measure(ctx context.Context, h *heading, cell float64) error {
	o := s.scene()
	o.Resolution = cell
	c, err := scene.New(ctx, s.solid, h.up, o)
	if err != nil {
		return err
	}
	u, err := undercut.Find(ctx, c, undercut.Options{})
	if err != nil {
		return err
	}
	h.figures = figuresOf(u)
	s.known[h] = &Known{u, strip.Of(c, strip.Options{Parting: u.Parting})}
	return nil
}

// measureOnce measures a heading unless that was done.
func (s *search) measureOnce(ctx context.Context, h *heading) error {
	if s.known[h] != nil {
		return nil
	}
	return s.measure(ctx, h, max(s.body.Size/exactColumns, s.o.Resolution))
}

// measureBest measures the best, and on as long as the next may be better than
// the best of those; and the file's own up to compare with. The first of them is
// measured once more, as finely as the report will be. What turns out worse than
// it looked makes room for the next, and two more are measured. sure says that
// the first was measured as finely as the report.
func (s *search) measureBest(ctx context.Context) (sure bool, err error) {
	if err := s.measureOnce(ctx, s.own); err != nil {
		return false, err
	}
	s.lead(exactMost)
	finely := map[*heading]bool{}
	best, done := math.Inf(1), 0
	for keep := exactKeep; ; keep += 2 {
		for done < min(len(s.all), exactMost) && (done < keep || s.all[done].path < best) {
			if err := s.measureOnce(ctx, s.all[done]); err != nil {
				return false, err
			}
			best = min(best, s.all[done].path)
			done++
		}
		bestFirst(s.all[:done], func(h *heading) *figures { return &h.figures })
		h := s.all[0]
		if finely[h] || len(finely) == sureMost {
			break
		}
		finely[h] = true
		was := h.path
		if err := s.measure(ctx, h, s.o.Resolution); err != nil {
			return false, err
		}
		if h.path <= was+h.resolved {
			break
		}
		best = math.Inf(1)
		for _, h := range s.all[:done] {
			best = min(best, h.path)
		}
	}
	bestFirst(s.all[1:], func(h *heading) *figures { return &h.figures })
	return finely[s.all[0]], nil
}

// stretchOfEnds adds the stretch of the best direction and of the file's own up.
func (s *search) stretchOfEnds(ctx context.Context) error {
	for _, h := range []*heading{s.all[0], s.own} {
		if err := s.measureOnce(ctx, h); err != nil {
			return err
		}
		r, err := s.known[h].Sections.Stretch(ctx)
		if err != nil {
			return err
		}
		h.stretch = r.Value
	}
	return nil
}
