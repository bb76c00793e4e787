package demold

import (
	"context"
	"errors"
	"fmt"
	"math"

	"moldtally/mesh"
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
	// Kept, if not nil, keeps what a search has measured of the way up that it
	// chose, for Analyze.
	Kept *Kept
}

// Kept is what Stand has measured already and hands on to Analyze, by the
// options of both. It is good for one analysis. The zero value holds nothing.
type Kept struct{ a *analysis }

// take returns the analysis kept for just this question, or nil, and forgets
// it.
func (k *Kept) take(s *solid.Solid, up mesh.Vec, o Options) *analysis {
	if k == nil || k.a == nil {
		return nil
	}
	a := k.a
	k.a = nil
	same := func(x, y *float64) bool { return x == y || x != nil && y != nil && *x == *y }
	if o.Mold == "" {
		o.Mold = Block
	}
	if a.Solid != s || a.Up != up.Unit() || a.Mold != o.Mold || o.Resolution != 0 || o.Parting != nil || !same(a.o.Clay, o.Clay) || !same(a.o.Ignore, o.Ignore) {
		return nil
	}
	a.o = o
	return a
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

// Stand finds which side of the pattern faces up and says why. It considers the
// sides the pattern can rest on, the six axes and the file's own up; it prefers
// standing on the open side of a scan, then real, plain contact with the board,
// the plainest side down, then the least deep path, then the least rubber.
// dirs are the directions that were tried, best first; with Search those over
// the whole sphere, and then the best of all is chosen. Directions are judged on
// a coarse stand-in of some 30 thousand triangles.
//
// The error is about the arguments or the context.
func Stand(ctx context.Context, s *solid.Solid, o StandOptions) (up mesh.Vec, pose *Pose, dirs []Direction, err error) {
	fail := func(err error) (mesh.Vec, *Pose, []Direction, error) {
		return mesh.Vec{}, nil, nil, fmt.Errorf("demold: standing the pattern: %w", err)
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
		p, err := measurePose(ctx, s, u, o.Mold, "as asked")
		if err != nil {
			return fail(err)
		}
		return u, p, nil, nil
	}
	p, err := newProxy(ctx, s)
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
	var reason string
	switch {
	case o.Search:
		if dirs, reason, err = st.search(ctx); err != nil {
			return fail(err)
		}
		up = mesh.V(dirs[0].Up[0], dirs[0].Up[1], dirs[0].Up[2])
		if o.Up != nil {
			up, reason = o.Up.Unit(), "as asked"
		}
	default:
		best, why := st.choose()
		up, reason = best.up, why
		dirs = st.table(best)
	}
	pose, err = measurePose(ctx, s, up, o.Mold, reason)
	if err != nil {
		return fail(err)
	}
	return up, pose, dirs, nil
}

// stand is one question of which side is up.
type stand struct {
	s     *solid.Solid
	p     *proxy
	o     StandOptions
	cands []*candidate
}

func (st *stand) progress(stage string, done, total int) {
	if st.o.Progress != nil {
		st.o.Progress(stage, done, total)
	}
}

// options of the coarse trials.
func (st *stand) options() Options {
	return Options{Mold: st.o.Mold, Clay: st.o.Clay, Ignore: st.o.Ignore}
}
