package estimate

import (
	"fmt"
	"math"
	"slices"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
)

// firmEnough is the hardness, Shore A, that a mold must be allowed for the
// verdict to be "comes out" without the word soft: the middle of what shops
// keep in stock. A judgement.
const firmEnough = 29.0

// shapeOf turns a demold report into what rubber has to do. wall is the rubber's
// thickness, longest the pattern's largest size, mm.
func shapeOf(r *demold.Report, mold demold.Mold, wall, longest float64, angular bool) rubber.Shape {
	s := rubber.Shape{Squeeze: r.Squeeze, Mouth: r.Mouth.Perimeter, Wall: wall, Longest: longest, Slit: mold == demold.Cut, Even: mold == demold.Blanket}
	if r.StretchNeck != nil {
		s.Neck = *r.StretchNeck
	}
	if r.TongueRoot != nil {
		s.Root = *r.TongueRoot
	}
	// A mold that is cut open has to let go of what its seam leaves.
	path, opened := r.UndercutPath, func(demold.Region) bool { return false }
	if mold == demold.Cut && r.Seam != nil {
		path = r.Seam.Path
		opened = func(g demold.Region) bool {
			return slices.ContainsFunc(r.Seam.Opens, func(o demold.Opened) bool { return o.Region == g.ID })
		}
	}
	if path != nil {
		p := *path
		// Where every region is surface noise (under --ignore, or less than the
		// columns can tell from nothing) the rubber does not feel it.
		felt := func(g demold.Region) bool { return g.Kind != "minor" }
		if p < 2*r.Uncertainty || len(r.Regions) > 0 && !slices.ContainsFunc(r.Regions, felt) {
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
	}
	first := true
	for _, g := range r.Regions {
		if g.Kind == "minor" || opened(g) {
			continue
		}
		// Deepest first. A slot of volume V with faces of area A on both sides
		// is 2V/A high.
		if !first {
			s.Next = g.Path
			break
		}
		first = false
		s.Pocket = g.Kind == "pocket"
		if g.Area > 0 {
			s.Gap = 2 * g.Volume / g.Area
		}
		s.Next = new(float64) // nothing is left once it is plugged
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

// judged is what a verdict rests on.
type judged struct {
	Mold   demold.Mold
	Chosen bool // the user asked for this kind of mold
	Report *demold.Report
	Shape  rubber.Shape
	Range  rubber.Range
	Two    *demold.Report // the same pattern in two parts, if that was looked at
	Volume float64        // the pattern displaces, mm³; 0 = unknown
}

// Judgements about openings that rubber runs through.
const (
	// webShare: where a two-part mold still traps more than this share of the
	// pattern's volume between ±u and the pattern has openings, one of them lies
	// inside a half, and that half is linked as the block was.
	webShare = 0.005
	// smallTongue is the share of the pattern's longest size under which rubber
	// in a hole is plugged rather than made a core.
	smallTongue = 0.1
	// mostWebs is how many openings a mold maker plugs or cuts one by one.
	mostWebs = 20
)

// parts reports whether two parts let go of the pattern: there is a way out
// everywhere, no deep pocket, and what strain is left is comfortable.
func (j judged) parts() (ok bool, why string) {
	if j.Two == nil || j.Two.UndercutPath == nil {
		return false, ""
	}
	if j.webs(j.Two) {
		return false, ""
	}
	s := shapeOf(j.Two, demold.TwoPart, j.Shape.Wall, j.Shape.Longest, false)
	n := s.Strip()
	if n.Value == nil || *n.Value > rubber.MostComfortable || s.TooDeep() {
		return false, ""
	}
	if *s.Path == 0 {
		return true, "two halves leave nothing undercut"
	}
	return true, fmt.Sprintf("two halves leave undercuts no deeper than %.3g mm", *s.Path)
}

// webs reports whether a half of a two-part mold is linked through the pattern.
func (j judged) webs(r *demold.Report) bool {
	return r.Tunnels != nil && *r.Tunnels > 0 && r.Trapped != nil && j.Volume > 0 && *r.Trapped > webShare*j.Volume
}

// decide answers whether it comes out. The order of the questions is the order
// in which one thing makes the next pointless; the numbers are judgements:
//
//  1. rubber locked in at its own height: only another parting helps;
//  2. rubber linked through the pattern: it must be cut, or parted through the
//     opening;
//  3. a mouth that is next to nothing: no stretch is finite;
//  4. a pocket deeper than half the width of the part: opened, not stripped;
//  5. the strain: what firm rubber stands often comes out; up to 100 % it comes
//     out of soft rubber; a ring that must stretch by 100 to 200 % is slit, past
//     200 % parted; what no slit relieves is parted.
func decide(j judged) Verdict {
	v := Verdict{Because: []string{}}
	say := func(format string, a ...any) { v.Because = append(v.Because, fmt.Sprintf(format, a...)) }
	twoOK, twoWhy := j.parts()
	open := func(answer string) Verdict {
		if answer == MakeTwoParts && !twoOK {
			answer = SlitIt
		}
		if answer == MakeTwoParts && twoWhy != "" {
			say("%s", twoWhy)
		}
		v.Answer = answer
		return v
	}
	n := j.Range.Needed
	if j.Mold == demold.TwoPart {
		switch {
		case j.Shape.Path == nil:
			say("even between two halves rubber is locked in: it needs a third part, a plug, or another parting")
			v.Answer = Locked
		case j.webs(j.Report):
			say("rubber links through the pattern inside a half: cut that web, close the opening with clay, or part it along the opening")
			v.Answer = SlitIt
		case n.Value == nil || *n.Value > rubber.MostComfortable || j.Shape.TooDeep():
			say("two halves alone do not let go: %s", n.Why)
			v.Answer = SlitIt
		case !j.Chosen:
			say("%s", reasonOf(j))
			v.Answer = MakeTwoParts
		default:
			say("each half lifts off: %s", reasonOf(j))
			v.Answer = comesOut(j)
		}
		return v
	}
	if j.Shape.Path == nil {
		say("rubber is locked in: at its own height it has no way out round the pattern")
		if j.Report.UndercutDepthAt != nil {
			p := j.Report.UndercutDepthAt
			say("near %s", place(*p))
		}
		if twoOK {
			return open(MakeTwoParts)
		}
		say("fill the hollow, plug it, or take it off as a part of its own")
		v.Answer = Locked
		return v
	}
	if j.Mold == demold.Cut {
		say("%s", seamWords(j.Report))
		say("%s", n.Why)
		v.Answer = SlitIt
		return v
	}
	if t := j.Report.Tunnels; t != nil && *t > 0 {
		if *t == 1 {
			say("rubber links through the pattern in one place: it cannot be lifted off whole")
		} else {
			say("rubber links through the pattern in %d places: it cannot be lifted off whole", *t)
		}
		if twoOK {
			return open(MakeTwoParts)
		}
		if *t > mostWebs {
			say("no slit frees that many: close the openings in the pattern, or mold it in pieces")
			v.Answer = Locked
			return v
		}
		say("close each opening with clay or wax, or cut the web of rubber in it")
		return open(SlitIt)
	}
	if n.Value == nil {
		say("%s", n.Why)
		if j.Report.StretchClay {
			say("the mouth at the clay line is too small: give the pattern a foot")
		}
		return open(MakeTwoParts)
	}
	if j.Shape.TooDeep() {
		say("a pocket %.3g mm deep holds the rubber: it is opened, not stretched over", *j.Shape.Path)
		return open(MakeTwoParts)
	}
	switch {
	case *n.Value > rubber.MostComfortable && n.Hoop && *n.Value <= rubber.MostEver*1.005: // as facets go
		say("%s; over %.0f %% tears the mold after a few castings", n.Why, 100*rubber.MostComfortable)
		return open(SlitIt)
	case *n.Value > rubber.MostComfortable:
		say("%s, more than any rubber stands", n.Why)
		if n.Hoop {
			return open(MakeTwoParts)
		}
		// No slit relieves what is squeezed inside: the core is the second part.
		where := ""
		if at := j.Report.SqueezeAt; at != nil {
			where = fmt.Sprintf(" (near %s)", place(*at))
		}
		if r := j.Report.TongueRoot; r != nil && *r < smallTongue*j.Shape.Longest {
			say("a slit does not relieve it%s: plug that hole with clay and open it in each casting, or make a core for it", where)
		} else {
			say("a slit does not relieve it%s: make the inside a core of its own", where)
		}
		v.Answer = MakeTwoParts
		return v
	}
	say("%s", reasonOf(j))
	v.Answer = comesOut(j)
	return v
}

func comesOut(j judged) string {
	// What the shape itself asks; a casting that asks for soft rubber is no
	// reason for the pattern not to come out of a firm one. What hands pull is
	// known to a factor only: the range says it, no verdict hangs on it.
	if rubber.Suggest(j.Shape, (*material.Casting)(nil)).Firmest() < firmEnough {
		return ComesOutSoft
	}
	return ComesOut
}

// asOpened returns the shape as the verdict opens the mold: slit, no ring has to
// stretch, and the rubber may be firmer than for a whole one.
func asOpened(s rubber.Shape, answer string) rubber.Shape {
	s.Slit = s.Slit || answer == SlitIt
	return s
}

// reasonOf says in one line why it comes out.
func reasonOf(j judged) string {
	p := *j.Shape.Path
	if p == 0 && *j.Range.Needed.Value <= 0.02 {
		return "nothing is undercut"
	}
	s := j.Range.Needed.Why
	if p > 0 {
		s = fmt.Sprintf("the deepest undercut is %.3g mm by its way out; %s", p, s)
	}
	return s
}

// place words a point of the file's own axes; what rounds to nothing has no
// sign.
func place(p [3]float64) string {
	r := func(v float64) float64 { return math.Round(v*10)/10 + 0 }
	return fmt.Sprintf("x %.1f, y %.1f, z %.1f mm", r(p[0]), r(p[1]), r(p[2]))
}
