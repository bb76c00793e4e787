package demold

import (
	"context"
	"math"
	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
)

// trial is the coarse look at one direction.
type trial struct {
	up       mesh.Vec
	depth    float64
	path     float64 // +Inf = locked
	volume   float64
	height   float64
	pocket   float64  // surface of the hollows that the board shuts, mm²
	shadow   float64  // area of the outline from above, mm²
	resolved float64  // how far path is certain, mm
	stretch  *float64 // nil = not asked, or unknown
}

// trialOf is what the undercuts of a scene come to.
func trialOf(u *Undercuts) trial {
	c := u.Scene
	t := trial{up: c.Up, depth: u.Depth, path: u.reach(), volume: u.Volume, height: c.Top - c.Base, resolved: c.Uncertainty}
	if c.OnBoard() {
		t.pocket = c.Space().PocketSurface()
	}
	return t
}

// tryOn judges a direction of a stand-in on about n columns across.
func tryOn(ctx context.Context, p *standin.Body, u mesh.Vec, n int, o scene.Options) (trial, error) {
	c, err := p.Scene(ctx, u, n, o)
	if err != nil {
		return trial{}, err
	}
	found, err := FindUndercuts(ctx, c, nil)
	if err != nil {
		return trial{}, err
	}
	t := trialOf(found)
	for j := range c.Field.NY {
		for i := range c.Field.NX {
			if len(c.Field.Column(i, j)) > 0 {
				t.shadow++
			}
		}
	}
	t.shadow *= c.Field.Cell * c.Field.Cell
	return t, nil
}

// tryWithin judges a direction as long as its path may be within
// a limit, mm: as soon as some of the rubber needs a longer one, or has no way
// out where another is sought, it gives up and reports false. A limit of +Inf
// judges all. The figures are those of the levels alone, without closing in
// between them.
func tryWithin(ctx context.Context, c *scene.Scene, limit float64) (trial, bool, error) {
	t := trial{up: c.Up, height: c.Top - c.Base, resolved: c.Uncertainty}
	if !c.OnBoard() {
		within, err := partedWithin(ctx, c, &t, limit)
		return t, within, err
	}
	s := newShadow(c.Field, c.Space(), c.ClayLine(), c.Base, c.Eps)
	if t.path = s.straight(); t.path > limit {
		return t, false, nil
	}
	t.depth = t.path
	err := s.find(ctx)
	if err != nil {
		return t, false, err
	}
	hs, err := s.blocked(ctx)
	if err != nil {
		return t, false, err
	}
	if len(hs) > 0 {
		levels := newQuickLevels(s, hs, c)
		for _, h := range spreadOut(s.levels(hs)) {
			if err := ctx.Err(); err != nil {
				return t, false, err
			}
			t.path = max(t.path, levels.deepest(h))
			if math.IsInf(t.path, 1) {
				break
			}
			if t.path > limit {
				return t, false, nil
			}
		}
	}
	if t.path > limit {
		return t, false, nil
	}
	t.volume = s.volume()
	t.pocket = c.Space().PocketSurface()
	return t, true, nil
}
