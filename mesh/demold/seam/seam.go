// Package seam finds where a mold that was poured in one piece all round is cut
// open: along its flat parting, or along the pull, and what that relieves.
package seam

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
)

// Seam is where a mold that was poured in one piece all round is cut open. The
// knife follows a plane from the outside to the pattern, along one side, and the
// mold opens like a book about the rubber left on the other side: its two leaves
// swing apart as two halves of a mold lift off, so what is left undercut is
// judged as theirs.
type Seam struct {
	parting.Cut
	Opens   []Opened    `json:"opens"`        // undercuts that the cut relieves
	Path    *float64    `json:"left_path_mm"` // deepest undercut that is left; nil = locked
	PathAt  *[3]float64 `json:"left_path_at_mm"`
	Stretch *float64    `json:"left_stretch"` // nil = no finite figure
}

// Opened is an undercut that a seam relieves, and what is left of it.
type Opened struct {
	Region int      `json:"region"`
	Left   *float64 `json:"left_mm"` // nil = locked
}

// How a seam is sought; judgements of this program.
const (
	// angles planes through the pull are tried, evenly spread.
	angles = 12
	// columns is how many lie across the pattern where they are tried.
	columns = 160
	// relief is the part of an undercut's path up to which it counts as opened.
	relief = 0.5
)

// Result is how a cut mold opens.
type Result struct {
	Seam      *Seam            // nil = there is nothing to cut along
	Undercuts *undercut.Result // of the halves, or the leaves, that then lift off
}

// Find finds the seam of a cut mold: of the flat parting and the planes along the
// pull, the one that leaves the shortest path; within the uncertainty the
// parting, whose undercuts are u and lie on the surface s. The error is the ctx's.
func Find(ctx context.Context, u *undercut.Result, s *undercut.Surface) (Result, error) {
	c := u.Scene
	best, err := otherPlane(ctx, u)
	if err != nil {
		return Result{}, fmt.Errorf("seam: %w", err)
	}
	o := parting.KnifeOptions{Cell: c.Field.Cell}
	at := u
	if best != nil && u.Reach()-best.Reach() > c.Uncertainty+best.Scene.Uncertainty {
		at, o.Hinge = best, &c.Up
	}
	for _, r := range s.Regions {
		if r.Kind != undercut.Minor {
			o.Undercuts = append(o.Undercuts, mesh.V(r.At[0], r.At[1], r.At[2]))
		}
	}
	cut, err := parting.Knife(ctx, at.Scene, *at.Parting, o)
	if err != nil || cut == nil {
		return Result{nil, at}, err
	}
	left := s
	if at != u {
		if left, err = undercut.OnSurface(ctx, at, undercut.SurfaceOptions{}); err != nil {
			return Result{}, fmt.Errorf("seam: %w", err)
		}
	}
	stretch, err := strip.Of(at.Scene, strip.Options{Parting: at.Parting}).Stretch(ctx)
	if err != nil {
		return Result{}, fmt.Errorf("seam: %w", err)
	}
	out := &Seam{Cut: *cut, Opens: []Opened{}, Path: at.Path, PathAt: left.PathAt, Stretch: stretch.Value}
	if at != u {
		out.Opens = relieved(s, left, c.Size, at.Scene.Noise())
	}
	return Result{out, at}, nil
}

// otherPlane looks at the planes along the pull, coarsely at all of them and
// exactly at the best; nil where that is no better.
func otherPlane(ctx context.Context, u *undercut.Result) (*undercut.Result, error) {
	c := u.Scene
	p, err := standin.New(ctx, c.Solid)
	if err != nil {
		return nil, err
	}
	o := c.Asked()
	o.Mold, o.Clay = scene.TwoPart, nil
	e1, e2 := mesh.Basis(c.Up)
	var best *undercut.Result
	for k := range angles {
		sin, cos := math.Sincos(math.Pi * float64(k) / angles)
		if 2*k == angles {
			cos = 0 // not a rounding beside it
		}
		x, err := p.Scene(ctx, e1.Mul(cos).Add(e2.Mul(sin)), columns, o)
		if err != nil {
			return nil, err
		}
		t, err := undercut.Find(ctx, x, undercut.Options{})
		if err != nil {
			return nil, err
		}
		if tie := x.Uncertainty / 2; k == 0 || t.Reach() < best.Reach()-tie || t.Reach() < best.Reach()+tie && t.Volume < 0.98*best.Volume {
			best = t
		}
	}
	if best.Reach() > u.Reach()+best.Scene.Uncertainty {
		return nil, nil
	}
	x, err := scene.New(ctx, c.Solid, best.Scene.Up, o)
	if err != nil {
		return nil, err
	}
	return undercut.Find(ctx, x, undercut.Options{})
}

// relieved lists the undercuts of a surface that are next to nothing when the mold
// opens so that left is left. size is the pattern's, and what is no deeper than
// noise is nothing, mm.
func relieved(s, left *undercut.Surface, size, noise float64) []Opened {
	out := []Opened{}
	most := make([]float64, len(s.Regions)+1)
	for v, id := range s.VertexRegion {
		most[id] = max(most[id], float64(left.VertexPath[v]))
	}
	for _, r := range s.Regions {
		if r.Kind == undercut.Minor {
			continue
		}
		was := math.Inf(1)
		if r.Path != nil {
			was = *r.Path
		}
		if l := most[r.ID]; l <= max(noise, min(relief*was, size)) && !math.IsInf(l, 1) {
			out = append(out, Opened{r.ID, &l})
		}
	}
	return out
}
