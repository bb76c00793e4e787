package strip

import (
	"context"

	"moldtally/mesh"
	"moldtally/mesh/section"
)

// refined is the outcome of refining a pinch.
type refined struct {
	neck, bulge     float64
	neckAt, bulgeAt section.Level
	neckHull        []mesh.Vec2
}

// refineSteps is into how many parts an interval of height is cut in each
// round of refining, and refineRounds how many rounds there are: together a
// pair of heights is found to 1/16³ of the first step.
const (
	refineSteps  = 16
	refineRounds = 3
)

// refine moves the two heights of a pinch to where the perimeters are extreme.
// The sections are those of the sweep, in its order.
func (c *side) refine(ctx context.Context, s *sweep, p pinch) (refined, error) {
	out := refined{
		neck: p.neck, bulge: p.bulge,
		neckAt: s.levels[p.level].Level, bulgeAt: s.levels[p.wide].Level,
	}
	// The forest's root of the component at the neck; rings there tell.
	narrower := func(l *level) bool {
		key := s.keyAt(l.Level)
		o := s.whole(l, s.t.root(p.id, key), key)
		if o.perimeter == 0 || !(o.perimeter < out.neck*(1-1e-9)) {
			return false
		}
		out.neck, out.neckAt, out.neckHull = o.perimeter, l.Level, o.hull
		return true
	}
	wider := func(l *level) bool {
		key := s.keyAt(out.neckAt)
		o := s.whole(l, s.t.root(p.id, key), key)
		if o.perimeter == 0 || !(o.perimeter > out.bulge*(1+1e-9)) {
			return false
		}
		out.bulge, out.bulgeAt = o.perimeter, l.Level
		return true
	}
	if err := c.search(ctx, s, p.level, &out.neckAt, narrower); err != nil {
		return out, err
	}
	if err := c.search(ctx, s, p.wide, &out.bulgeAt, wider); err != nil {
		return out, err
	}
	if out.neckHull == nil {
		h := out.neckAt.H
		got, err := c.slice(ctx, []section.Level{out.neckAt}, c.Reaching(h-c.Eps, h+c.Eps))
		if err != nil {
			return out, err
		}
		key := s.keyAt(out.neckAt)
		out.neckHull = s.whole(&got[0], s.t.root(p.id, key), key).hull
	}
	return out, nil
}

// search cuts again between the neighbours of a level of the sweep, finer from
// round to round about the best so far. better keeps a level in best and says
// so.
func (c *side) search(ctx context.Context, s *sweep, k int, best *section.Level, better func(l *level) bool) error {
	a, b := s.levels[max(k-1, 0)].H, s.levels[min(k+1, len(s.levels)-1)].H
	lo, hi := min(a, b), max(a, b)
	only := c.Reaching(lo, hi)
	for range refineRounds {
		got, err := c.slice(ctx, c.between(lo, hi, refineSteps, only), only)
		if err != nil {
			return err
		}
		found := false
		for k := range got {
			if better(&got[k]) {
				found = true
			}
		}
		step := (hi - lo) / refineSteps
		if !found && step <= 0 {
			break
		}
		lo, hi = max(lo, best.H-step), min(hi, best.H+step)
	}
	return nil
}
