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

// Way is a kind of mold and a side up, before anything is reckoned.
type Way struct {
	Mold demold.Mold
	Up   Up
}

// trial is how one way lets go of the pattern, before any rubber is chosen.
type trial struct {
	way    Way
	pose   *pose.Pose
	report *demold.Report
	wall   float64 // of rubber, mm: as asked for, or by the rule
	shape  rubber.Shape
}

// try looks how one way demolds, on columns of a width in mm (0 = auto); brief
// for advice alone.
func (k *known) try(ctx context.Context, w Way, resolution float64, brief bool) (*trial, error) {
	pose, rep, err := k.demolds(ctx, w, resolution, brief)
	if err != nil {
		return nil, err
	}
	return k.trial(w, pose, rep), nil
}

// trial is what a demolding asks of the rubber in a kind of mold.
func (k *known) trial(w Way, pose *pose.Pose, rep *demold.Report) *trial {
	t := &trial{way: w, pose: pose, report: rep}
	switch coat := k.job.coat(); {
	case w.Mold.Coated() && coat != nil:
		t.wall = *coat
	case w.Mold.Coated():
		t.wall = boxfit.CoatRule(w.Mold, max(pose.Rect[0], pose.Height))
	case k.job.Wall != nil:
		t.wall = *k.job.Wall
	default:
		t.wall = boxfit.CoverRule(pose.Rect[0], pose.Rect[1])
	}
	t.shape = shapeOf(rep, w.Mold, t.wall, k.longest(), k.angular())
	return t
}

// shapeOf turns a demold report into what rubber has to do. wall is the rubber's
// thickness, longest the pattern's largest size, mm.
func shapeOf(r *demold.Report, mold demold.Mold, wall, longest float64, angular bool) rubber.Shape {
	s := rubber.Shape{Squeeze: r.Squeeze, Mouth: r.Mouth.Perimeter, Wall: wall, Longest: longest, Slit: mold == demold.Cut, Even: mold.Coated()}
	if r.TongueRoot != nil {
		s.Root = *r.TongueRoot
	}
	if r.TongueLength != nil {
		s.Tongue = *r.TongueLength
	}
	// A mold that is cut open has to let go of what its seam leaves.
	path, opened := r.UndercutPath, func(undercut.Region) bool { return false }
	if mold == demold.Cut && r.Seam != nil {
		path = r.Seam.Path
		opened = func(g undercut.Region) bool {
			return slices.ContainsFunc(r.Seam.Opens, func(o seam.Opened) bool { return o.Region == g.ID })
		}
	}
	if path != nil {
		p := *path
		// Where every region is surface noise (under --ignore, or less than the
		// columns can tell from nothing) the rubber does not feel it.
		noticed := func(g undercut.Region) bool { return g.Kind != undercut.Minor }
		if p < 2*r.Uncertainty || len(r.Regions) > 0 && !slices.ContainsFunc(r.Regions, noticed) {
			p = 0
		}
		s.Path = &p
	}
	if r.Stretch != nil {
		v := *r.Stretch
		// A growth of the neck by less than twice the error of its radius.
		if r.StretchNeck != nil && *r.StretchNeck > 0 && v < 2*math.Pi*2*r.Uncertainty / *r.StretchNeck {
			v = 0
		}
		s.Stretch = &v
		if v > 0 {
			s.Profiles = felt(r.Profiles)
		}
	}
	// Deepest first. A slot of volume V with faces of area A on both sides is
	// 2V/A high.
	deep := slices.DeleteFunc(slices.Clone(r.Regions), func(g undercut.Region) bool { return g.Kind == undercut.Minor || opened(g) })
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
		f := rubber.Profile{Step: p.Step, Radius: make([]float64, len(p.Perimeter))}
		for k, l := range p.Perimeter {
			f.Radius[k] = l / (2 * math.Pi)
		}
		out = append(out, f)
	}
	return out
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
