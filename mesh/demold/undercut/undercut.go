// Package undercut asks where the pattern holds the rubber: how deep rubber lies
// in its shadow, how far it has to bend to get out past it (its path), and where a
// mold that parts does so best.
//
// Rubber space is a graph of gaps between the spans of a column field. A gap is
// deepest at its own floor, for the shadow only shrinks with height, so its depth
// takes one query for the nearest column that ends below. Where the straight way
// there is blocked, the path is solved height by height (level.go). What has no way
// out is measured by sections (shut.go), and locks where it is more than a speck
// (lock.go), on columns as close as that takes (closer.go). Find answers
// in full; Within and AtLeast are quick bounds, for trying many directions.
// OnSurface then reads the surface with the undercuts.
//
// Nothing that is returned changes, and all of it may be shared. Results do not
// depend on the number of cores; the ctx is looked at between heights and rows.
package undercut

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/solid"
)

// Options of Find. The zero value is the default.
type Options struct {
	Parting *float64 // height p·Up at which halves part, mm; nil = the best
	// Columns says that the scene's columns hold what its solid does not: they
	// are taken as they are, and nothing is looked at closer.
	Columns bool
	// Roughly is for results that are only compared: a path that is deep within a
	// small part of the height alone may be missed.
	Roughly bool
}

// Result is what the columns of a scene say of how the rubber gets out. Lengths
// mm, volumes mm³; places in the file's own axes.
type Result struct {
	Scene    *scene.Scene
	Parting  *float64 // height p·Up at which the halves part; nil on a board
	Volume   float64
	Depth    float64
	DepthAt  *[3]float64
	Path     *float64 // nil = locked
	PathAt   *[3]float64
	Locked   float64 // volume of rubber without a way out, specks too
	Specks   int     // bodies of it that are too small to lock
	FreePath float64 // deepest path of the rest
	// Uncertainty of the path, and of a depth, mm: a path hangs on heights too.
	Uncertainty float64
	// Bend is the size of the largest place that locks, where all of them are so
	// small that they can be bent out of the way, mm; 0 = none, or not so.
	Bend float64

	halves []*half // one on a board, else the upper and the lower one
	given  bool    // the parting was
	over   float64 // by how much a parting with a longer path was chosen, mm
}

// half is the undercut of one half of the mold, with its paths.
type half struct {
	*shadow
	deepestPaths
}

// Find finds the depth of every gap, the ways out, and for molds that part the
// height of the flat parting. The error is the ctx's.
func Find(ctx context.Context, c *scene.Scene, o Options) (*Result, error) {
	r := &Result{Scene: c, given: o.Parting != nil}
	if c.OnBoard() {
		h, err := newShadow(c, c.Halves(0)[0], c.Base).half(ctx, o)
		if err != nil {
			return nil, err
		}
		r.halves = append(r.halves, h)
	} else {
		height, halves, over, err := part(ctx, c, o)
		if err != nil {
			return nil, err
		}
		r.Parting, r.halves, r.over = &height, halves[:], over
	}
	r.sum()
	return r, nil
}

// half finds the undercut of a half with its paths.
func (s *shadow) half(ctx context.Context, o Options) (*half, error) {
	if err := s.find(ctx); err != nil {
		return nil, err
	}
	s.closer = s.c.Solid != nil && !o.Columns
	to := toReport
	to.scan = !o.Roughly
	p, err := s.paths(ctx, to)
	if err != nil {
		return nil, err
	}
	return &half{s, p}, nil
}

// Answers reports whether r is what Find would find, with o, of the scene of a
// solid.
func (r *Result) Answers(s *solid.Solid, up mesh.Vec, of scene.Options, o Options) bool {
	return r != nil && !r.given && o.Parting == nil && r.Scene.Answers(s, up, of)
}

// As is what Find would find of the scene for another kind of mold: see scene.As.
func (r *Result) As(m scene.Mold) *Result {
	x := *r
	x.Scene = r.Scene.As(m)
	return &x
}

// sum adds up the halves' figures.
func (r *Result) sum() {
	path, locked, stiff := 0.0, false, false
	r.Uncertainty = r.Scene.Uncertainty
	for _, h := range r.halves {
		r.Volume += h.volume()
		if d, at := h.deepest(); d > r.Depth {
			r.Depth, r.DepthAt = d, h.point(at)
		}
		if h.locked && !locked {
			locked = true
			r.PathAt = h.point(h.lockedAt)
		}
		if h.length > path {
			path = h.length
			r.Uncertainty = max(r.Scene.Uncertainty, h.doubt)
			if !locked {
				r.PathAt = h.point(h.at)
			}
		}
		stiff, r.Bend = stiff || h.stiff, max(r.Bend, h.bend)
		r.Locked += h.shut
		r.Specks += h.specks
		r.FreePath = max(r.FreePath, h.deepestFree())
	}
	if !locked {
		r.Path = &path
	}
	for _, h := range r.halves {
		r.Uncertainty = max(r.Uncertainty, h.length+h.more-path)
	}
	r.Uncertainty += r.over
	if stiff {
		r.Bend = 0
	}
}

// Reach is the deepest path, mm; +Inf where something is locked.
func (r *Result) Reach() float64 {
	if r.Path != nil {
		return *r.Path
	}
	return math.Inf(1)
}

// deepestFree is the deepest path among the gaps that are not locked, mm.
func (s *shadow) deepestFree() (deepest float64) {
	for _, p := range s.path {
		if p := float64(p); !math.IsInf(p, 1) {
			deepest = max(deepest, p)
		}
	}
	return deepest
}
