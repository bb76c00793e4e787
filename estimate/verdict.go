package estimate

import (
	"fmt"
	"math"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
)

// Answer is what a verdict says in a few words.
type Answer string

// The answers.
const (
	ComesOut     Answer = "comes out"
	ComesOutSoft Answer = "comes out in soft rubber"
	SlitIt       Answer = "slit it"
	MakeTwoParts Answer = "make it in two parts"
	Locked       Answer = "locked"
)

// Whole reports whether the mold comes off in one piece, as it is.
func (a Answer) Whole() bool { return a == ComesOut || a == ComesOutSoft }

// firmEnough is the hardness, Shore A, that a mold must be allowed for the
// verdict to be "comes out" without the word soft: the middle of what shops
// keep in stock. A judgement.
const firmEnough = 29.0

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

// judged is what a verdict rests on.
type judged struct {
	Mold   demold.Mold
	Chosen bool // the user asked for this kind of mold
	Report *demold.Report
	Shape  rubber.Shape
	Two    *demold.Report // the same pattern in two parts, if that was looked at
	Volume float64        // the pattern displaces, mm³; 0 = unknown
	// Lip is how thick, mm, the container leaves the rubber where a flap bends:
	// what is told of the strain goes by it. 0 = not known; then by Shape.
	Lip float64
}

// strain is what stripping asks of the rubber, as it is told.
func (j judged) strain() rubber.Strain {
	s := j.Shape
	if j.Lip > 0 {
		s.There = j.Lip
	}
	return s.Strip()
}

// parts reports whether two parts let go of the pattern: there is a way out
// everywhere, no deep pocket, and what strain is left is comfortable.
func (j judged) parts() (ok bool, why string) {
	if j.Two == nil || j.Two.UndercutPath == nil || j.webs(j.Two) {
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
	switch {
	case j.Mold == demold.TwoPart:
		return j.inHalves()
	case j.Shape.Path == nil:
		return j.locked()
	case j.Mold == demold.Cut:
		return because(SlitIt, seamWords(j.Report), j.strain().Why)
	case j.Report.Tunnels != nil && *j.Report.Tunnels > 0:
		return j.linked(*j.Report.Tunnels)
	}
	return j.stripped()
}

func because(a Answer, reasons ...string) Verdict { return Verdict{Answer: a, Because: reasons} }

// opened is a mold that is opened to let go: in two parts, where two halves do,
// else by a slit.
func (j judged) opened(reasons ...string) Verdict {
	if ok, why := j.parts(); ok {
		return because(MakeTwoParts, append(reasons, why)...)
	}
	return because(SlitIt, reasons...)
}

// inHalves judges keyed halves.
func (j judged) inHalves() Verdict {
	n := j.Shape.Strip()
	switch {
	case j.Shape.Path == nil:
		return because(Locked, "even between two halves rubber is locked in: it needs a third part, a plug, or another parting")
	case j.webs(j.Report):
		return because(SlitIt, "rubber links through the pattern inside a half: cut that web, close the opening with clay, or part it along the opening")
	case n.Value == nil || *n.Value > rubber.MostComfortable || j.Shape.TooDeep():
		return because(SlitIt, "two halves alone do not let go: "+j.strain().Why)
	case !j.Chosen:
		return because(MakeTwoParts, j.letsGo())
	}
	return because(j.comesOut(), "each half lifts off: "+j.letsGo())
}

// locked judges a mold in one piece that has no way out at its own height.
func (j judged) locked() Verdict {
	reasons := []string{"rubber is locked in: at its own height it has no way out round the pattern"}
	if p := j.Report.UndercutDepthAt; p != nil {
		reasons = append(reasons, "near "+place(*p))
	}
	if ok, why := j.parts(); ok {
		return because(MakeTwoParts, append(reasons, why)...)
	}
	return because(Locked, append(reasons, "fill the hollow, plug it, or take it off as a part of its own")...)
}

// linked judges a mold in one piece whose rubber runs through n openings.
func (j judged) linked(n int) Verdict {
	why := fmt.Sprintf("rubber links through the pattern in %d places: it cannot be lifted off whole", n)
	if n == 1 {
		why = "rubber links through the pattern in one place: it cannot be lifted off whole"
	}
	if ok, parts := j.parts(); ok {
		return because(MakeTwoParts, why, parts)
	}
	if n > mostWebs {
		return because(Locked, why, "no slit frees that many: close the openings in the pattern, or mold it in pieces")
	}
	return because(SlitIt, why, "close each opening with clay or wax, or cut the web of rubber in it")
}

// stripped judges a mold in one piece by the strain of stripping it.
func (j judged) stripped() Verdict {
	n, told := j.Shape.Strip(), j.strain().Why
	switch {
	case n.Value == nil && j.Report.StretchClay:
		return j.opened(told, "the mouth at the clay line is too small: give the pattern a foot")
	case n.Value == nil:
		return j.opened(told)
	case j.Shape.TooDeep():
		return j.opened(fmt.Sprintf("a pocket %.3g mm deep holds the rubber: it is opened, not stretched over", *j.Shape.Path))
	case *n.Value <= rubber.MostComfortable:
		return because(j.comesOut(), j.letsGo())
	case n.Hoop && *n.Value <= rubber.MostEver*1.005: // as facets go
		return because(SlitIt, fmt.Sprintf("%s; over %.0f %% tears the mold after a few castings", told, 100*rubber.MostComfortable))
	case n.Hoop:
		return j.opened(told + ", more than any rubber stands")
	}
	// No slit relieves what is squeezed inside: the core is the second part.
	where := ""
	if at := j.Report.SqueezeAt; at != nil {
		where = fmt.Sprintf(" (near %s)", place(*at))
	}
	do := fmt.Sprintf("a slit does not relieve it%s: make the inside a core of its own", where)
	if r := j.Report.TongueRoot; r != nil && *r < smallTongue*j.Shape.Longest {
		do = fmt.Sprintf("a slit does not relieve it%s: plug that hole with clay and open it in each casting, or make a core for it", where)
	}
	return because(MakeTwoParts, told+", more than any rubber stands", do)
}

// comesOut says whether soft rubber is needed for it.
func (j judged) comesOut() Answer {
	// What the shape itself asks; a casting that asks for soft rubber is no
	// reason for the pattern not to come out of a firm one. What hands pull is
	// known to a factor only: the range says it, no verdict hangs on it.
	if rubber.Suggest(j.Shape, (*material.Casting)(nil)).Firmest() < firmEnough {
		return ComesOutSoft
	}
	return ComesOut
}

// letsGo says in one line why it comes out.
func (j judged) letsGo() string {
	p := *j.Shape.Path
	if p == 0 && *j.Shape.Strip().Value <= 0.02 {
		return "nothing is undercut"
	}
	why := j.strain().Why
	if p > 0 {
		return fmt.Sprintf("the deepest undercut is %.3g mm by its way out; %s", p, why)
	}
	return why
}

// place words a point of the file's own axes; what rounds to nothing has no
// sign.
func place(p [3]float64) string {
	r := func(v float64) float64 { return math.Round(v*10)/10 + 0 }
	return fmt.Sprintf("x %.1f, y %.1f, z %.1f mm", r(p[0]), r(p[1]), r(p[2]))
}
