// Package pose finds which way up a pattern is molded, and says why.
//
// Choose looks at the sides the pattern can rest on, the six axes and the
// file's own up (candidates.go), judges each on a coarse stand-in (figures.go,
// contact.go) and goes by rules, one after the other (choose.go). A search
// tries the whole sphere besides: in order of a bound that no path undercuts
// (sphere.go), then round the best of those (refine.go), then on the pattern
// itself (exact.go). Reasons are facts (reasons.go).
//
// What is returned does not change, and does not depend on the number of cores;
// the ctx is looked at between directions and, in each, between rows of columns.
package pose

import (
	"context"
	"errors"
	"fmt"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/solid"
)

// Options of Choose. The zero value stands the pattern by itself for a block
// mold.
type Options struct {
	Up *mesh.Vec // the side that faces up, given by hand; nil = find it
	// Upright is the side that is the object's top where it stands in the world,
	// as the user says; FileUp the same as the file states. They are candidates,
	// and how a cut mold stands; nil = not known, and +Z is taken.
	Upright, FileUp *mesh.Vec
	Mold            scene.Mold // "" = Block
	Clay            *float64   // as in scene.Options, mm
	Ignore          *float64   // as in scene.Options, mm
	Search          bool       // try directions over the whole sphere
	// Resolution is the cell of the columns on which a search measures the
	// best, mm; 0 = as in a report.
	Resolution float64
	// Show is the outward direction of the face that no parting may cross
	// (and that must not lie on the board); nil = none.
	Show     *mesh.Vec
	Progress func(stage string, done, total int)
}

// Standing is how a pattern stands, and what was found on the way.
type Standing struct {
	Up    mesh.Vec
	Pose  Pose
	Known *Known // of the way that a search chose; nil where it was measured more coarsely

	table *table      // of the ways to stand; nil where a search tried more, or the side was given
	found []Direction // by a search
}

// Directions are those that were tried, best first; nil where the side was given.
// What did not decide is judged now: to ask for them costs more than to choose. The
// error is the ctx's.
func (s *Standing) Directions(ctx context.Context) ([]Direction, error) {
	if s.table == nil {
		return s.found, nil
	}
	d, err := s.table.directions(ctx)
	if err != nil {
		return nil, fmt.Errorf("pose: %w", err)
	}
	return d, nil
}

// Known is what was found of a scene as finely as a report asks for it.
type Known struct {
	Undercuts *undercut.Result
	Sections  *strip.Sections // parted as the undercuts are
}

// Pose is how the pattern stands. Lengths mm, areas mm².
type Pose struct {
	Up                  [3]float64 `json:"up"`
	Reason              Chosen     `json:"reason"`
	YawDeg              float64    `json:"yaw_deg"` // turn of rect_mm's long side about up, from the frame's E1
	Height              float64    `json:"height_mm"`
	Rect                [2]float64 `json:"rect_mm"`
	Circle              float64    `json:"circle_mm"`
	BaseContact         float64    `json:"base_contact_mm2"`
	BaseContactFraction float64    `json:"base_contact_fraction"`
}

// Direction is one way up that was tried.
type Direction struct {
	Up      [3]float64 `json:"up"`
	Depth   float64    `json:"undercut_depth_mm"`
	Path    *float64   `json:"undercut_path_mm"`
	Volume  float64    `json:"undercut_volume_mm3"`
	Stretch *float64   `json:"stretch"`
	Score   *float64   `json:"score"` // deepest path, mm; nil = locked
	Reason  Tried      `json:"reason"`
}

// Choose finds which side of the pattern faces up and says why. In a mold that is
// cut open the object stands as it does in the world, on its base if it has one.
// For the others it considers the
// sides the pattern can rest on, the six axes and the file's own up; it prefers
// standing on the open side of a scan, then real, plain contact with the board,
// the plainest side down, then the least deep path, then the least rubber.
// With Search it tries the whole sphere, and the best of all is chosen.
// Directions are judged on a coarse stand-in of some 30 thousand triangles.
//
// The error is about the arguments or the context.
func Choose(ctx context.Context, s *solid.Solid, o Options) (Standing, error) {
	out, err := choose(ctx, s, o)
	if err != nil {
		return Standing{}, fmt.Errorf("pose: %w", err)
	}
	return out, nil
}

func choose(ctx context.Context, s *solid.Solid, o Options) (out Standing, err error) {
	if o, err = o.valid(); err != nil {
		return out, err
	}
	if s == nil {
		return out, errors.New("no solid")
	}
	why := Chosen{Asked: true}
	if o.Up == nil || o.Search {
		p := &pattern{solid: s, o: o}
		if p.body, err = standin.New(ctx, s); err != nil {
			return out, err
		}
		if o.Mold == scene.Cut && !o.Search {
			out.Up, why, err = p.asItStands(ctx)
		} else {
			why, err = out.find(ctx, p)
		}
		if err != nil {
			return out, err
		}
	}
	if o.Up != nil {
		out.Up, why = o.Up.Unit(), Chosen{Asked: true}
	}
	out.Pose, err = measure(ctx, s, out.Up, o.Mold, why)
	return out, err
}

// find tries the ways to stand and takes the best.
func (out *Standing) find(ctx context.Context, p *pattern) (why Chosen, err error) {
	ways, err := candidates(ctx, p)
	if err != nil {
		return why, err
	}
	if !p.o.Search {
		if out.table, why, err = p.best(ctx, ways); err == nil {
			out.Up = out.table.first.up
		}
		return why, err
	}
	if err := p.judge(ctx, ways); err != nil {
		return why, err
	}
	if out.found, out.Known, why, err = searchSphere(ctx, p, ways); err != nil {
		return why, err
	}
	up := out.found[0].Up
	out.Up = mesh.V(up[0], up[1], up[2])
	return why, nil
}

// valid fills in the default and refuses what cannot be.
func (o Options) valid() (Options, error) {
	switch o.Mold {
	case "":
		o.Mold = scene.Block
	case scene.Block, scene.TwoPart, scene.Cut, scene.Blanket, scene.Brushed:
	default:
		return o, fmt.Errorf("unknown kind of mold %q", o.Mold)
	}
	for _, v := range []*mesh.Vec{o.Up, o.Upright, o.FileUp, o.Show} {
		if v != nil && (!v.IsFinite() || v.Unit() == mesh.Vec{}) {
			return o, errors.New("that is not a direction")
		}
	}
	return o, nil
}

// pattern is what is to stand, and what is asked. It does not change.
type pattern struct {
	solid *solid.Solid
	body  *standin.Body
	o     Options
}

// scene is what the directions are judged with.
func (p *pattern) scene() scene.Options {
	return scene.Options{Mold: p.o.Mold, Clay: p.o.Clay, Ignore: p.o.Ignore}
}

func (p *pattern) progress(stage string, done, total int) {
	if p.o.Progress != nil {
		p.o.Progress(stage, done, total)
	}
}
