package estimate

import (
	"slices"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
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
	// narrowOpening is how wide, mm, an opening may be that is closed with clay and
	// opened again in the casting; a wider one takes a plug.
	narrowOpening = 8.0
	// mostPlugs is how many parts more than two halves are made for openings, for
	// what is hollow and for what locks: past four parts in all a coat under a shell
	// is less work.
	mostPlugs = loose.Most
	// mostWebs is how many openings a mold maker plugs or cuts one by one.
	mostWebs = 20
)

// judged is what a verdict rests on.
type judged struct {
	Way
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
func (j judged) parts() (ok bool, why HalvesLeave) {
	if j.Two == nil || j.Two.Locks() || j.webs(j.Two) {
		return false, why
	}
	s := shapeOf(j.Two, demold.TwoPart, j.Shape.Wall, j.Shape.Longest, false)
	n := s.Strip()
	if n.Value == nil || *n.Value > rubber.MostComfortable || s.TooDeep() {
		return false, why
	}
	if _, ok := beyondHands(s); ok {
		return false, why
	}
	return true, HalvesLeave{Path: unit.Length(*s.Path), Pieces: len(freed(j.Two).Pieces)}
}

// freed is what loose pieces and filled holes do for a mold that would lock, or could
// not be stripped; empty where it locks all the same, or there are none.
func freed(r *demold.Report) (out loose.Result) {
	if r == nil {
		return out
	}
	if r.Loose.Serve() {
		out = *r.Loose
	}
	if r.Plugged() {
		out.Pores = append(slices.Clone(out.Pores), loose.Pore{At: *r.SqueezeAt, Size: *r.TongueLength})
	}
	return out
}

// freed is what is left to loose pieces, or filled, of a mold that is opened as an
// answer says.
func (j judged) freed(a Answer) loose.Result {
	switch {
	case a == Locked:
		return loose.Result{}
	case a == MakeTwoParts && j.Mold.Coated():
		return freed(j.Two)
	case a == MakeTwoParts && j.Mold != demold.TwoPart:
		return loose.Result{} // it is made another way
	}
	return freed(j.Report)
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
//     200 % parted; what no slit relieves is parted;
//  6. hands: what they do not get off even in the softest rubber is slit.
//
// What loose pieces take is no rubber of the mold, nor is what is filled first; they lock
// nothing.
func decide(j judged) Verdict {
	v := j.bare()
	f := j.freed(v.Answer)
	if len(f.Pores) > 0 {
		v.Because = append([]finding.Remark{{Facts: PoresFilled{len(f.Pores)}}}, v.Because...)
	}
	if len(f.Pieces) > 0 {
		v.Because = append([]finding.Remark{{Facts: LoosePieces{f.Pieces}}}, v.Because...)
	}
	return v
}

// bare is the verdict without what is said of loose pieces and pores.
func (j judged) bare() Verdict {
	switch {
	case j.Mold == demold.TwoPart:
		return j.inHalves()
	case j.Slit:
		return j.slit()
	case j.Mold.Coated():
		return j.coat()
	}
	return j.inOnePiece()
}

// inOnePiece judges a mold in one piece as it stands, and what would do where it
// does not let go.
func (j judged) inOnePiece() Verdict {
	switch {
	case j.Shape.Path == nil:
		return j.locked()
	case j.Mold == demold.Cut:
		return because(SlitIt, cutOpen(j.Report), j.strain().Why)
	case j.Report.Tunnels != nil && *j.Report.Tunnels > 0:
		return j.linked(*j.Report.Tunnels)
	}
	return j.stripped()
}

// slit judges a mold that is slit at the back, from its mouth up: as one that is
// not, but that one that lets go whole may be slit all the same. It needs a mouth
// to start from; what no ring of rubber comes near to passing hangs in a slit as
// well, and rubber that fills a wide opening is no slit's business, while a narrow
// one is closed with clay.
func (j judged) slit() Verdict {
	j.Two = nil
	v := j.inOnePiece()
	n := j.Shape.Strip()
	switch {
	case v.Answer.Whole():
		v.Answer, v.Because = SlitIt, append([]finding.Remark{{Facts: SlitEasier}}, v.Because...)
	case v.Answer != SlitIt:
	case j.Shape.Stretch == nil:
		v.Answer = MakeTwoParts
	case j.Mold.Coated(): // slit, it opens like a coat, and leaves wide openings open
	case n.Hoop && n.Value != nil && *n.Value > rubber.MostEver*1.005, j.wide() > 0: // as facets go
		v.Answer = MakeTwoParts
	}
	return v
}

// wide is how many openings of the pattern are too wide to be closed with clay and
// opened again in the casting.
func (j judged) wide() (n int) {
	r := j.Report
	if r.Tunnels == nil || *r.Tunnels == 0 {
		return 0
	}
	if len(r.TunnelList) == 0 {
		return *r.Tunnels // too many to be looked at
	}
	for _, p := range r.TunnelList {
		if p.Opening > narrowOpening {
			n++
		}
	}
	return n
}

// coat judges an even coat under a mother mold: peeled off whole, slit at the
// back, or made in two halves, whichever does first.
func (j judged) coat() Verdict {
	if v := j.inOnePiece(); v.Answer.Whole() {
		return v
	}
	if v := j.slit(); v.Answer == SlitIt {
		return v
	}
	return j.inOnePiece()
}

func because(a Answer, reasons ...any) Verdict {
	v := Verdict{Answer: a}
	for _, r := range reasons {
		v.Because = append(v.Because, finding.Remark{Facts: r})
	}
	return v
}

// opened is a mold that is opened to let go: in two parts, where two halves do,
// else by a slit. A coat is slit: open up the back it swings aside as no block does,
// and its shell, in pieces of its own, holds the slit shut.
func (j judged) opened(reasons ...any) Verdict {
	if ok, why := j.parts(); ok && !j.Mold.Coated() {
		return because(MakeTwoParts, append(reasons, why)...)
	}
	return because(SlitIt, reasons...)
}

// inHalves judges keyed halves.
func (j judged) inHalves() Verdict {
	n := j.Shape.Strip()
	switch {
	case j.Shape.Path == nil:
		return because(Locked, append([]any{HalvesLock}, tooMany(j.Report)...)...)
	case j.webs(j.Report) && j.plugs() > mostPlugs:
		return because(SlitIt, TooManyParts{j.wide(), j.plugs() - j.wide(), mostPlugs})
	case j.plugs() > mostPlugs:
		return because(SlitIt, TooManyParts{0, j.plugs(), mostPlugs})
	case j.webs(j.Report):
		return because(MakeTwoParts, HalvesLink)
	case j.cored():
		return because(MakeTwoParts, HalvesHold{j.strain().Why}, j.core())
	case n.Value == nil || *n.Value > rubber.MostComfortable || j.Shape.TooDeep():
		return because(SlitIt, HalvesHold{j.strain().Why})
	}
	if why, ok := beyondHands(j.Shape); ok {
		return because(SlitIt, why)
	}
	return because(MakeTwoParts, j.letsGo(true))
}

// cored reports whether halves let go but for what is squeezed inside the pattern,
// which a core of its own then fills.
func (j judged) cored() bool {
	if s := j.Shape.Strip(); s.Value != nil && *s.Value <= rubber.MostComfortable {
		return false
	}
	s := j.Shape
	s.Squeeze = 0
	n := s.Strip()
	return n.Value != nil && *n.Value <= rubber.MostComfortable && !s.TooDeep()
}

// plugs is how many parts two halves need beside them: loose pieces, plugs in
// openings, a core.
func (j judged) plugs() (n int) {
	if j.Mold != demold.TwoPart {
		return 0
	}
	n = len(freed(j.Report).Pieces)
	if j.webs(j.Report) {
		n += max(1, j.wide())
	}
	if j.cored() {
		n++
	}
	return n
}

// made is what is made beside halves, or beside a mold in one piece, that is opened
// as an answer says: parts that are bedded and poured as halves are, and small loose
// pieces. More parts than are made are not reckoned: such a mold fails.
func (j judged) made(a Answer) (parts, small int) {
	pieces := j.freed(a).Pieces
	for _, p := range pieces {
		if p.Size <= loose.Large*j.Shape.Longest {
			small++
		}
	}
	if j.Mold != demold.TwoPart {
		return 0, len(pieces)
	}
	return min(max(j.plugs()-small, 0), mostPlugs), small
}

// locked judges a mold in one piece that has no way out at its own height.
func (j judged) locked() Verdict {
	reasons := []any{LockedAtItsHeight}
	if p := j.Report.UndercutDepthAt; p != nil {
		reasons = append(reasons, Near{mesh.V(p[0], p[1], p[2])})
	}
	if ok, why := j.parts(); ok {
		return because(MakeTwoParts, append(reasons, why)...)
	}
	return because(Locked, append(append(reasons, tooMany(j.Report)...), FillOrPlug)...)
}

// tooMany says how many loose pieces a mold would take that locks, where they let
// go of all of it.
func tooMany(r *demold.Report) []any {
	if l := r.Loose; l != nil && l.Held == 0 {
		return []any{TooManyPieces{len(l.Pieces), loose.Most}}
	}
	return nil
}

// linked judges a mold in one piece whose rubber runs through n openings.
func (j judged) linked(n int) Verdict {
	why := Links{n}
	if ok, parts := j.parts(); ok && !j.Mold.Coated() {
		return because(MakeTwoParts, why, parts)
	}
	if n > mostWebs {
		return because(Locked, why, TooManyLinks)
	}
	return because(SlitIt, why, CloseOpenings)
}

// stripped judges a mold in one piece by the strain of stripping it.
func (j judged) stripped() Verdict {
	n, told := j.Shape.Strip(), j.strain().Why
	switch {
	case n.Value == nil && j.Report.StretchClay:
		return j.opened(told, GiveFoot)
	case n.Value == nil:
		return j.opened(told)
	case j.Shape.TooDeep():
		return j.opened(DeepPocket{unit.Length(*j.Shape.Path)})
	case *n.Value <= rubber.MostComfortable:
		if why, ok := beyondHands(j.Shape); ok {
			return j.unhanded(why)
		}
		return because(j.comesOut(), j.letsGo(false))
	case n.Hoop && *n.Value <= rubber.MostEver*1.005: // as facets go
		return because(SlitIt, TearsSoon{told, rubber.MostComfortable})
	case n.Hoop:
		return j.opened(BeyondRubber{told})
	}
	// No slit relieves what is squeezed inside: the core is the second part.
	return because(MakeTwoParts, BeyondRubber{told}, j.core())
}

// core is what becomes of the inside of a pattern that no rubber leaves.
func (j judged) core() MakeCore {
	r := j.Report.TongueRoot
	do := MakeCore{Plug: r != nil && *r < smallTongue*j.Shape.Longest}
	if p := j.Report.SqueezeAt; p != nil {
		do.At = new(mesh.V(p[0], p[1], p[2]))
	}
	return do
}

// beyondHands reports whether hands do not get the mold off a shape even in the
// softest rubber.
func beyondHands(s rubber.Shape) (BeyondHands, bool) {
	g := s.Hands()
	at, ok := g.Most()
	return BeyondHands{Grip: g.How, Force: unit.Force(g.In(at)), Shore: at, Hand: rubber.HandN, Softest: true}, !ok
}

// inHand adds to the verdict on a mold that comes off whole what hands meet in the
// rubber that was chosen: it may be harder than they get off, and the container
// may have to come off first.
func (v *Verdict) inHand(r *Rubber) {
	h := r.Hardness
	if !v.Answer.Whole() {
		return
	}
	if h.HandsForce != nil && *h.HandsForce > rubber.HandN {
		at := rubber.SofterThan
		if r.ShoreA != nil {
			at = *r.ShoreA
		}
		v.Answer = ComesOutSoft
		v.Because = append(v.Because, finding.Remark{Facts: BeyondHands{Grip: h.HandsHow, Force: unit.Force(*h.HandsForce), Shore: at, Hand: rubber.HandN}})
	}
	if d := h.PullHow; d.Never || max(d.In, d.Off) > rubber.HandN {
		v.Because = append(v.Because, finding.Remark{Facts: d})
	}
}

// unhanded judges a mold in one piece that rubber would let go of, but hands do
// not: a slit relieves a ring, a core a tongue.
func (j judged) unhanded(why BeyondHands) Verdict {
	switch why.Grip.By {
	case rubber.DrawingTongue:
		return because(MakeTwoParts, why, j.core())
	case rubber.SwingingLip:
		return j.opened(why)
	}
	return because(SlitIt, why)
}

// comesOut says whether soft rubber is needed for it.
func (j judged) comesOut() Answer {
	// What the shape itself asks; a casting that asks for soft rubber is no
	// reason for the pattern not to come out of a firm one.
	if rubber.Suggest(j.Shape, (*material.Casting)(nil)).AskedHigh < firmEnough {
		return ComesOutSoft
	}
	return ComesOut
}

// letsGo is why a mold, or each half of it, comes off.
func (j judged) letsGo(each bool) LetsGo {
	p := *j.Shape.Path
	if p == 0 && *j.Shape.Strip().Value <= 0.02 {
		return LetsGo{Each: each}
	}
	return LetsGo{unit.Length(p), j.strain().Why, each}
}

// cutOpen says where a mold in one piece is cut open, what that frees and what is
// left.
func cutOpen(r *demold.Report) CutOpen {
	s := r.Seam
	c := CutOpen{Seam: s}
	switch {
	case s == nil:
	case s.Path == nil && s.Bend == 0 && r.Loose.Serve():
		if r.Loose.Rest >= 2*r.Uncertainty {
			c.Left, c.Path = SeamLeavesPath, unit.Length(r.Loose.Rest)
		}
	case s.Path == nil && s.Bend == 0:
		c.Left = SeamLeavesLocked
	case s.Path != nil && *s.Path >= 2*r.Resolved:
		c.Left, c.Path = SeamLeavesPath, unit.Length(*s.Path)
	}
	return c
}
