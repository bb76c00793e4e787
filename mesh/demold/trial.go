package demold

import (
	"context"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/demold/undercut"
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
func trialOf(u *undercut.Result) trial {
	c := u.Scene
	t := trial{up: c.Up, depth: u.Depth, path: u.Reach(), volume: u.Volume, height: c.Top - c.Base, resolved: c.Uncertainty}
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
	found, err := undercut.Find(ctx, c, undercut.Options{})
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

// tryWithin judges a direction as long as its path may be within a limit, mm: see
// undercut.Within.
func tryWithin(ctx context.Context, c *scene.Scene, limit float64) (trial, bool, error) {
	x, within, err := undercut.Within(ctx, c, limit)
	t := trial{up: c.Up, depth: x.Depth, path: x.Path, volume: x.Volume, height: c.Top - c.Base, resolved: c.Uncertainty}
	if within && c.OnBoard() {
		t.pocket = c.Space().PocketSurface()
	}
	return t, within, err
}
