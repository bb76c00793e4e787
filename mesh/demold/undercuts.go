package demold

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/solid"
)

// Undercuts is what the columns of a scene say of how the rubber gets out.
// Lengths mm, volumes mm³; places in the file's own axes. It does not change,
// and may be shared.
type Undercuts struct {
	Scene    *scene.Scene
	Parting  float64 // height p·Up at which halves part; 0 for other molds
	Volume   float64
	Depth    float64
	DepthAt  *[3]float64
	Path     *float64 // nil = locked
	PathAt   *[3]float64
	Locked   float64 // volume of rubber without a way out
	FreePath float64 // deepest path of the rest

	halves   []*half         // one for a block, the upper and the lower one for molds that part
	given    bool            // the parting was
	asked    scene.Options   // where a search asked, what it asked
	sections *strip.Sections // what is asked of the same parting
}

// half is the undercut of one half of the mold.
type half struct {
	*shadow
	up    mesh.Vec // the way this half lifts off
	res   pathResult
	label []int32 // of an analysis: per gap: region + 1, 0 = none
	first int     // number of the half's first region in the report
}

// FindUndercuts finds the depth of every gap, the ways out, and for molds that
// part the height of the flat parting: as given, along Up, or the best.
func FindUndercuts(ctx context.Context, c *scene.Scene, parting *float64) (*Undercuts, error) {
	u := &Undercuts{Scene: c}
	var o strip.Options
	if c.OnBoard() {
		u.halves = []*half{{shadow: newShadow(c.Field, c.Space(), c.ClayLine(), c.Base, c.Eps), up: c.Up}}
	} else {
		if err := u.part(ctx, parting); err != nil {
			return nil, err
		}
		o.Parting = &u.Parting
	}
	u.sections = strip.Of(c, o)
	for _, h := range u.halves {
		if err := h.solve(ctx, c); err != nil {
			return nil, err
		}
	}
	u.sum()
	return u, nil
}

// answers reports whether these are the undercuts that an analysis asks for.
func (u *Undercuts) answers(s *solid.Solid, up mesh.Vec, o Options) bool {
	same := func(x, y *float64) bool { return x == y || x != nil && y != nil && *x == *y }
	if o.Mold == "" {
		o.Mold = Block
	}
	return u != nil && u.Scene.Solid == s && u.Scene.Up == up.Unit() && u.Scene.Mold == o.Mold &&
		!u.given && o.Parting == nil && u.asked.Resolution == o.Resolution && same(u.asked.Clay, o.Clay) && same(u.asked.Ignore, o.Ignore)
}

func (h *half) solve(ctx context.Context, c *scene.Scene) error {
	if err := h.find(ctx); err != nil {
		return err
	}
	var err error
	h.res, err = h.paths(ctx, c.Rise(), c.Narrow())
	return err
}

// sum adds up the halves' figures.
func (u *Undercuts) sum() {
	path, locked := 0.0, false
	for _, h := range u.halves {
		u.Volume += h.volume()
		if d, i, j, k := h.deepest(); d > u.Depth {
			lo, _, _ := h.piece(h.f.Column(i, j), h.f.Offset(i, j), k)
			u.Depth, u.DepthAt = d, scene.Point(h.f, i, j, lo)
		}
		if h.res.locked && !locked {
			locked = true
			u.PathAt = scene.Point(h.f, h.res.lockAt[0], h.res.lockAt[1], h.res.lockH)
		}
		if h.res.deepest > path {
			path = h.res.deepest
			if !locked {
				u.PathAt = scene.Point(h.f, h.res.at[0], h.res.at[1], h.res.atH)
			}
		}
		v, free := h.lockedVolume()
		u.Locked += v
		u.FreePath = max(u.FreePath, free)
	}
	if !locked {
		u.Path = &path
	}
}

// reach is the deepest path, +Inf where something is locked.
func (u *Undercuts) reach() float64 {
	if u.Path != nil {
		return *u.Path
	}
	return math.Inf(1)
}

// lockedVolume is the volume of the gaps that have rubber without a way out,
// and the deepest path among the others.
func (h *half) lockedVolume() (vol, deepest float64) {
	for j := range h.f.NY {
		var row float64
		for i := range h.f.NX {
			col, off := h.f.Column(i, j), h.f.Offset(i, j)
			for k := range col {
				p := float64(h.path[off+k])
				if math.IsInf(p, 1) {
					lo, hi, _ := h.piece(col, off, k)
					row += hi - lo
				} else {
					deepest = max(deepest, p)
				}
			}
		}
		vol += row
	}
	return vol * h.f.Cell * h.f.Cell, deepest
}
