package pose

import (
	"context"
	"errors"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/par"
)

// figures are how one way up lets go. Lengths mm, areas mm², volumes mm³.
type figures struct {
	up       mesh.Vec
	depth    float64
	path     float64 // +Inf = locked
	volume   float64
	height   float64
	pocket   float64 // surface of the hollows that the board shuts
	resolved float64 // how far path is certain
}

// figuresOf is what the undercuts of a scene come to.
func figuresOf(u *undercut.Result) figures {
	f := sized(u.Scene)
	f.depth, f.path, f.volume = u.Depth, u.Reach(), u.Volume
	if u.Scene.OnBoard() {
		f.pocket = u.Scene.Space().PocketSurface()
	}
	return f
}

// figuresWithin are the figures of a scene whose path is within a limit, mm; it
// gives up and reports false as soon as that is not so: see undercut.Within.
func figuresWithin(ctx context.Context, c *scene.Scene, limit float64) (figures, bool, error) {
	x, within, err := undercut.Within(ctx, c, limit)
	f := sized(c)
	f.depth, f.path, f.volume = x.Depth, x.Path, x.Volume
	if within && c.OnBoard() {
		f.pocket = c.Space().PocketSurface()
	}
	return f, within, err
}

// sized has what is read off a scene itself.
func sized(c *scene.Scene) figures {
	return figures{up: c.Up, height: c.Top - c.Base, resolved: c.Uncertainty}
}

// Ties of better, as shares of the larger figure. Volumes of coarse columns are
// good to about a cell over the surface. Judgements of this program.
const (
	volumeTie = 0.01
	heightTie = 1e-3
	pocketTie = 0.01
)

// better compares two directions: deepest path (locked last), within the
// uncertainty by undercut volume, then by height, then by what is lost in
// hollows on the board: upside down a hollow is shut by the board, so that
// nothing locks, but nothing of it is molded either. 0 = equal.
func (f *figures) better(g *figures) int {
	if c := f.shorter(g); c != 0 {
		return c
	}
	if c := less(f.height, g.height, heightTie); c != 0 {
		return c
	}
	return less(f.pocket, g.pocket, pocketTie)
}

// shorter compares by path and volume only.
func (f *figures) shorter(g *figures) int {
	switch lf, lg := math.IsInf(f.path, 1), math.IsInf(g.path, 1); {
	case lg && !lf:
		return 1
	case lf && !lg:
		return -1
	case !lf:
		switch tie := max(f.resolved, g.resolved); {
		case f.path < g.path-tie:
			return 1
		case f.path > g.path+tie:
			return -1
		}
	}
	return less(f.volume, g.volume, volumeTie)
}

// less is 1 where a is less than b by more than a tie, a share of the larger,
// and -1 where it is more.
func less(a, b, tie float64) int {
	switch d, e := a-b, tie*max(a, b); {
	case d < -e:
		return 1
	case d > e:
		return -1
	}
	return 0
}

// bestFirst sorts best first. Ties within the uncertainty make the comparison
// intransitive, so the best of what is left is taken again and again.
func bestFirst[T any](list []T, of func(T) *figures) {
	for n := range list {
		best := n
		for k := n + 1; k < len(list); k++ {
			if of(list[k]).better(of(list[best])) > 0 {
				best = k
			}
		}
		b := list[best]
		copy(list[n+1:best+1], list[n:best])
		list[n] = b
	}
}

// row puts figures into the report's form.
func (f *figures) row(why Tried, stretch *float64) Direction {
	d := Direction{Up: f.up.Array(), Depth: f.depth, Volume: f.volume, Stretch: stretch, Reason: why}
	if !math.IsInf(f.path, 1) {
		p, q := f.path, f.path
		d.Path, d.Score = &p, &q
	}
	return d
}

// each is par.Each for calls that can fail.
func each(ctx context.Context, n int, do func(k int) error) error {
	errs := make([]error, n)
	if err := par.Each(ctx, n, func(k int) { errs[k] = do(k) }); err != nil {
		return err
	}
	return errors.Join(errs...)
}
