package demold

import (
	"context"
	"errors"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/solid"
)

// StandOptions of Stand. The zero value stands the pattern by itself for a
// block mold.
type StandOptions struct {
	Up     *mesh.Vec // the side that faces up, given by hand; nil = find it
	FileUp *mesh.Vec // the file's declared up, a candidate; nil = none, +Z then breaks ties
	Mold   Mold      // "" = Block
	Clay   *float64  // as in Options, mm
	Ignore *float64  // as in Options, mm
	Search bool      // try directions over the whole sphere
	// Show is the outward direction of the face that no parting may cross
	// (and that must not lie on the board); nil = none.
	Show     *mesh.Vec
	Progress func(stage string, done, total int)
}

// Tolerances of the choice. Common practice, no source.
const (
	// realContact is the share of the outline that must lie on the board for
	// the pattern to stand on it: less is a few high spots.
	realContact = 0.05
	// plainTie is how near two plain shares count as equally plain; what
	// lies between is left to the score.
	plainTie = 0.1
	// lostTie is the share of the surface that may be lost without a word.
	lostTie = 1e-3
	// rubberTie is how near two amounts of rubber are equal, relatively.
	rubberTie = 0.01
	// roughContact is the height above the base plane, as a share of the
	// largest size, up to which a face is taken to lie on the board when ways
	// to stand are compared: a scan's flat foot is that rough.
	roughContact = 3e-3
	// fineContact is the same for the contact that is reported.
	fineContact = 5e-4
	// openShare is the least share of the surface that an open side has.
	openShare = 0.02
)

// roughAngle and fineAngle are how far from level a face in contact may lean.
var (
	roughAngle = math.Cos(25 * math.Pi / 180)
	fineAngle  = math.Cos(10 * math.Pi / 180)
)

// Standing is how a pattern stands, and what was found on the way.
type Standing struct {
	Up         mesh.Vec
	Pose       *pose.Pose
	Directions []pose.Direction // that were tried, best first; nil where the side was given
	Known      *pose.Known      // of the way that a search chose; nil where it was measured more coarsely
}

// Stand finds which side of the pattern faces up and says why. It considers the
// sides the pattern can rest on, the six axes and the file's own up; it prefers
// standing on the open side of a scan, then real, plain contact with the board,
// the plainest side down, then the least deep path, then the least rubber.
// With Search it tries the whole sphere, and the best of all is chosen.
// Directions are judged on a coarse stand-in of some 30 thousand triangles.
//
// The error is about the arguments or the context.
func Stand(ctx context.Context, s *solid.Solid, o StandOptions) (Standing, error) {
	fail := func(err error) (Standing, error) {
		return Standing{}, fmt.Errorf("demold: standing the pattern: %w", err)
	}
	if s == nil {
		return fail(errors.New("no solid"))
	}
	switch o.Mold {
	case "":
		o.Mold = Block
	case Block, TwoPart, Cut, Blanket:
	default:
		return fail(fmt.Errorf("unknown kind of mold %q", o.Mold))
	}
	for _, v := range []*mesh.Vec{o.Up, o.FileUp, o.Show} {
		if v != nil && (!v.IsFinite() || v.Unit() == mesh.Vec{}) {
			return fail(errors.New("that is not a direction"))
		}
	}
	if o.Up != nil && !o.Search {
		u := o.Up.Unit()
		p, err := measurePose(ctx, s, u, o.Mold, pose.Chosen{Asked: true})
		if err != nil {
			return fail(err)
		}
		return Standing{Up: u, Pose: p}, nil
	}
	p, err := standin.New(ctx, s)
	if err != nil {
		return fail(err)
	}
	st := &stand{s: s, p: p, o: o}
	if err := st.candidates(ctx); err != nil {
		return fail(err)
	}
	if err := st.judge(ctx); err != nil {
		return fail(err)
	}
	var out Standing
	var why pose.Chosen
	if o.Search {
		if out.Directions, why, err = st.search(ctx); err != nil {
			return fail(err)
		}
		up := out.Directions[0].Up
		out.Up, out.Known = mesh.V(up[0], up[1], up[2]), st.found
		if o.Up != nil {
			out.Up, why = o.Up.Unit(), pose.Chosen{Asked: true}
		}
	} else {
		var best *candidate
		best, why = st.choose()
		out.Up, out.Directions = best.up, st.table(best)
	}
	if out.Pose, err = measurePose(ctx, s, out.Up, o.Mold, why); err != nil {
		return fail(err)
	}
	return out, nil
}

// stand is one question of which side is up.
type stand struct {
	s     *solid.Solid
	p     *standin.Body
	o     StandOptions
	cands []*candidate
	found *pose.Known // of the direction that a search chose, as finely as a report
}

func (st *stand) progress(stage string, done, total int) {
	if st.o.Progress != nil {
		st.o.Progress(stage, done, total)
	}
}

// options of the coarse trials.
func (st *stand) options() scene.Options {
	return scene.Options{Mold: st.o.Mold, Clay: st.o.Clay, Ignore: st.o.Ignore}
}
