package estimate

import (
	"context"
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
)

// Way is a kind of mold and how it is opened, before anything is reckoned.
type Way struct {
	Mold demold.Mold
	Slit bool // a block that is slit at the back
}

// ways are all that are compared, a block before what is done where it does not
// let go.
var ways = []Way{{Mold: demold.Block}, {Mold: demold.Block, Slit: true}, {Mold: demold.Cut}, {Mold: demold.TwoPart}, {Mold: demold.Blanket}, {Mold: demold.Brushed}}

// pull is the kind of mold that stands for all that are lifted off as this one
// is: what a pattern stands on a board for is looked at once.
func (w Way) pull() demold.Mold {
	if w.Mold.OnBoard() {
		return demold.Block
	}
	return w.Mold
}

// look is how the pattern stands for a pull, and what that does.
type look struct {
	pull   demold.Mold
	pose   *pose.Pose
	report *demold.Report
	close  closeness
}

// trial is how one way lets go of the pattern, before any rubber is chosen.
type trial struct {
	way Way
	*look
	two     *demold.Report // the same pattern in two halves
	wall    float64        // of rubber, mm: as asked for, or by the rule
	shape   rubber.Shape
	judged  judged // what the verdict is about
	verdict Verdict
}

// coarser is how many times as wide as usual the columns of a look are that is
// for comparing alone: it costs a quarter, and a verdict hangs on no resolution.
const coarser = 2

// looks are the pulls that ways ask for, by the mold that stands for each.
type looks map[demold.Mold]*look

// closeness is how closely a pull is looked at.
type closeness int

// The looks: on coarse columns, for comparing; and for the print, with every place.
const (
	afar closeness = iota
	whole
)

// closely looks at a pull.
func (l looks) closely(ctx context.Context, k *known, m demold.Mold, c closeness) error {
	pose, rep, err := k.demolds(ctx, m, k.job.Up, c)
	if err != nil {
		return err
	}
	l[m] = &look{m, pose, rep, c}
	return nil
}

// trial is what a way asks of the rubber, and whether it lets go.
func (k *known) trial(w Way, l looks) *trial {
	t := &trial{way: w, look: l[w.pull()], two: l[demold.TwoPart].report}
	pose := t.pose
	switch coat := k.job.coat(); {
	case w.Mold.Coated() && coat != nil:
		t.wall = *coat
	case w.Mold.Coated():
		t.wall = boxfit.CoatRule(w.Mold, k.longest())
	case k.job.Wall != nil:
		t.wall = *k.job.Wall
	default:
		t.wall = boxfit.CoverRule(pose.Rect[0], pose.Rect[1])
	}
	t.shape = k.shapeOf(t.report, w.Mold, t.wall)
	t.judged = judged{Way: w, Report: t.report, Two: t.two, Shape: t.shape, Volume: float64(k.solid.Displaced.Value)}
	t.verdict = decide(t.judged)
	switch {
	case w.Mold.Coated() && t.verdict.Answer.Whole() && k.job.foams() && rubber.Suggest(t.asked(k.job.Copies), k.job.cast).Empty():
		// Foam asks for a firmer rubber than is peeled off whole: its shell backs a
		// slit.
		t.slitCoat()
	case w.Mold == demold.TwoPart && t.judged.cored():
		// The core is no rubber of the halves, and what they grip beside it is not
		// told apart.
		t.shape.Squeeze, t.shape.Profiles = 0, nil
	case t.coatHalves():
		// It is made lying at the parting, and no pull upward is asked of it.
		t.look = l[demold.TwoPart]
		t.shape = k.shapeOf(t.two, demold.TwoPart, t.wall)
		t.shape.Even = true
	}
	return t
}

// coatHalves reports whether it is a coat in two halves.
func (t *trial) coatHalves() bool {
	return t.way.Mold.Coated() && t.verdict.Answer == MakeTwoParts && t.parts()
}

// onBoard reports whether the mold is made over a pattern that stands on a board.
func (t *trial) onBoard() bool { return t.way.Mold.OnBoard() && !t.coatHalves() }

// slitCoat slits a coat that would be peeled off whole, where a slit lets go, and
// reports whether it does.
func (t *trial) slitCoat() bool {
	v := t.judged.slit()
	if v.Answer != SlitIt {
		return false
	}
	t.judged.Slit, t.verdict = true, v
	return true
}

// asked is what a way asks of the rubber: opened as the verdict says, for the
// castings wanted. How hard a mold may be used depends on those; the verdict is
// the pattern's own.
func (t *trial) asked(copies int) rubber.Shape {
	s := t.shape
	// Slit, no ring has to stretch, and the rubber may be firmer than for a mold
	// that comes off whole.
	s.Slit = s.Slit || t.verdict.Answer == SlitIt
	s.Copies, s.Head = copies, t.pose.Height
	return s
}

// shapeOf is shapeOf of what is known; what rings of rubber feel of a report is reckoned
// once.
func (k *known) shapeOf(r *demold.Report, mold demold.Mold, wall float64) rubber.Shape {
	s := shapeOf(r, mold, wall, k.longest(), k.angular())
	if len(s.Profiles) > 0 {
		s.Profiles = k.feels(r.Profiles, s.Profiles)
	}
	return s
}

// shapeOf turns a demold report into what rubber has to do. wall is the rubber's
// thickness, longest the pattern's largest size, mm.
func shapeOf(r *demold.Report, mold demold.Mold, wall, longest float64, angular bool) rubber.Shape {
	s := rubber.Shape{Squeeze: r.Squeeze, Mouth: r.Mouth.Perimeter, Wall: wall, Longest: longest, Slit: mold == demold.Cut, Even: mold.Coated()}
	switch {
	case r.Plugged():
		s.Squeeze = r.SqueezeRest
	default:
		if r.TongueRoot != nil {
			s.Root = *r.TongueRoot
		}
		if r.TongueLength != nil {
			s.Tongue = *r.TongueLength
		}
	}
	// A mold that is cut open has to let go of what its seam leaves.
	path, bend, opened := r.UndercutPath, r.LockedBend, func(undercut.Region) bool { return false }
	if mold == demold.Cut && r.Seam != nil {
		path, bend = r.Seam.Path, r.Seam.Bend
		opened = func(g undercut.Region) bool {
			return slices.ContainsFunc(r.Seam.Opens, func(o seam.Opened) bool { return o.Region == g.ID })
		}
	}
	locks := func(undercut.Region) bool { return false }
	switch {
	case path != nil:
	case bend > 0:
		// What locks is so small that it can be bent out of the way.
		path = new(max(r.FreePath, bend))
	case r.Loose.Serve():
		// What locks is no rubber of the mold.
		path, locks = &r.Loose.Rest, func(g undercut.Region) bool { return g.Path == nil }
	}
	if path != nil {
		p := *path
		// Where every region is surface noise (under --ignore, or less than the
		// columns can tell from nothing) the rubber does not feel it.
		noticed := func(g undercut.Region) bool { return g.Kind != undercut.Minor }
		if p < 2*r.Resolved || len(r.Regions) > 0 && !slices.ContainsFunc(r.Regions, noticed) {
			p = 0
		}
		s.Path = &p
	}
	if r.Stretch != nil {
		v := *r.Stretch
		// A growth of the neck by less than twice the error of its radius.
		if r.StretchNeck != nil && *r.StretchNeck > 0 && v < 2*math.Pi*2*r.Resolved / *r.StretchNeck {
			v = 0
		}
		s.Stretch = &v
		if v > 0 {
			s.Profiles = felt(r.Profiles)
		}
	}
	// Deepest first. A slot of volume V with faces of area A on both sides is
	// 2V/A high.
	deep := slices.DeleteFunc(slices.Clone(r.Regions), func(g undercut.Region) bool { return g.Kind == undercut.Minor || opened(g) || locks(g) })
	if len(deep) > 0 {
		s.Pocket = deep[0].Kind == undercut.Pocket
		if deep[0].Area > 0 {
			s.Gap = 2 * deep[0].Volume / deep[0].Area
		}
		s.Next = new(float64) // nothing is left once it is plugged
	}
	if len(deep) > 1 {
		s.Next = deep[1].Path
	}
	if f := r.Flap; f != nil && !mold.OnBoard() {
		s.Flap, s.Gap = true, f.Height
	}
	if mold == demold.TwoPart {
		s.Pieces = 2
	}
	s.Angular = angular && s.Path != nil && *s.Path == 0
	return s
}

// felt is what rings of rubber feel of parts of the pattern: round sections with
// perimeters as long.
func felt(parts []strip.Profile) (out []rubber.Profile) {
	for _, p := range parts {
		radius := make([]float64, len(p.Perimeter))
		for k, l := range p.Perimeter {
			radius[k] = l / (2 * math.Pi)
		}
		out = append(out, rubber.NewProfile(p.Step, radius))
	}
	return out
}

// beside is how thick, mm, rubber is beside a pattern in its container: up to the
// container, or to the next pattern.
func (k *known) beside(f *boxfit.Fit, at *pose.Pose) float64 {
	if c := clearance(f, at); k.gang == nil || c < k.gang.web {
		return c
	}
	return k.gang.web
}

// clearance is how thick, mm, a container leaves the rubber beside the pattern, on
// average of its two sides; 0 where that is not known.
func clearance(f *boxfit.Fit, at *pose.Pose) float64 {
	switch {
	case f == nil:
		return 0
	case f.Mold.Coated():
		return f.Wall
	case f.Diameter != nil:
		return max(f.Thinnest, (*f.Diameter-at.Circle)/2)
	case f.Interior != nil:
		return max(f.Thinnest, (f.Interior[0]+f.Interior[1]-at.Rect[0]-at.Rect[1])/4)
	}
	return 0
}
