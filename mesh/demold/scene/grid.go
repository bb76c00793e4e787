package scene

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
)

// Resolution of the column field. 512 columns over the largest size put a
// depth's error at a fifth of a per cent of it; small footprints get as many
// columns as large ones, because that costs no more.
const (
	cellsOverSize = 512
	autoColumns   = 250_000
	maxColumns    = 6_000_000
)

// grid chooses cell and turn of the field; a cell of 0 is the automatic one. The grid is turned
// against the pattern's own walls: over an aligned one a flat wall lies between
// the same two columns all along, and every figure is biased by part of a cell.
func (c *Scene) grid(o Options) (dexel.Grid, error) {
	cell := o.Resolution
	given := cell > 0
	yaw, w, l := c.turn()
	if cell < 0 || math.IsNaN(cell) || math.IsInf(cell, 0) {
		return dexel.Grid{}, errors.New("the resolution is not a length")
	}
	auto := c.autoCell(w, l)
	if cell == 0 {
		cell = auto
	}
	if o.Coarser > 0 {
		cell *= o.Coarser
	}
	if n := (w/cell + 5) * (l/cell + 5); n > maxColumns {
		if given {
			return dexel.Grid{}, fmt.Errorf("a resolution of %s mm asks for %.0f million columns; the most is %d million", strconv.FormatFloat(cell, 'f', -1, 64), n/1e6, maxColumns/1_000_000)
		}
		cell *= math.Sqrt(n / maxColumns)
	}
	c.coarse = cell / auto
	return c.gridOf(cell, yaw), nil
}

// autoCell is the cell of a field of the given extents, mm.
func (c *Scene) autoCell(w, l float64) float64 {
	return max(min(c.Size/cellsOverSize, math.Sqrt(w*l/autoColumns)), c.Size/16384)
}

func (c *Scene) gridOf(cell, yaw float64) dexel.Grid {
	return dexel.GridAlong(c.Solid.Surface(), c.Up, cell, yaw, 2, func(t int) bool { return !c.Solid.Live(t) })
}

// Across is the column field along another direction than the pull, its cells as
// many times the automatic ones as the scene's own are, and k times that.
func (c *Scene) Across(ctx context.Context, up mesh.Vec, k float64) (*dexel.Field, error) {
	o := &Scene{Solid: c.Solid, Up: up.Unit(), Size: c.Size}
	yaw, w, l := o.turn()
	return c.Solid.Field(ctx, o.gridOf(c.coarse*k*o.autoCell(w, l), yaw))
}

// turn returns the turn of the grid about u and the extents it gives. It is
// the turn of the least rectangle of a coarse search, and from there as far as
// the grid does not grow much.
func (c *Scene) turn() (yaw, w, l float64) {
	e1, e2 := mesh.Basis(c.Up)
	verts := c.Solid.Surface().Vertices()
	tris := c.Solid.Surface().Triangles()
	stride := max(1, len(tris)/20_000)
	extent := func(t float64) (w, l float64) {
		sin, cos := math.Sincos(t)
		x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
		for n := 0; n < len(tris); n += stride {
			if !c.Solid.Live(n) {
				continue
			}
			v := verts[tris[n][n%3]]
			p, q := v.Dot(e1), v.Dot(e2)
			x, y := p*cos+q*sin, q*cos-p*sin
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
		}
		return max(x1-x0, 0), max(y1-y0, 0)
	}
	best := math.Inf(1)
	var least float64
	for n := range 18 {
		t := float64(n) * math.Pi / 36
		if w, l := extent(t); w*l < best {
			best, least = w*l, t
		}
	}
	for _, d := range [...]float64{0.3737, 0.2113, 0.1097, 0.0517, 0.0231, 0.0109, 0.0047, 0.0019} {
		if w, l = extent(least + d); w*l <= 1.5*best {
			return least + d, w, l
		}
	}
	w, l = extent(least)
	return least, w, l
}
