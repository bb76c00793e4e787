package words

import (
	"math"
	"slices"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/unit"
)

var verdictRemarks = []saying{
	says(func(v voice, l estimate.Lets) string {
		return map[estimate.Lets]string{
			estimate.NothingUndercut:   "nothing is undercut",
			estimate.HalvesLock:        "even between two halves rubber is locked in: it needs a third part, a plug, or another parting",
			estimate.HalvesLink:        "rubber links through the pattern inside a half: cut that web, close the opening with clay, or part it along the opening",
			estimate.LockedAtItsHeight: "rubber is locked in: at its own height it has no way out round the pattern",
			estimate.FillOrPlug:        "fill the hollow, plug it, or take it off as a part of its own",
			estimate.TooManyLinks:      "no slit frees that many: close the openings in the pattern, or mold it in pieces",
			estimate.CloseOpenings:     "close each opening with clay or wax, or cut the web of rubber in it",
			estimate.SlitEasier:        "in a rubber that is soft enough it would come off whole; slit at the back no ring of it has to stretch",
			estimate.GiveFoot:          "the mouth at the clay line is too small: give the pattern a foot",
		}[l]
	}),
	says(func(v voice, n estimate.Near) string { return "near " + v.place(unsigned(n.At)) }),
	says(func(v voice, h estimate.HalvesLeave) string {
		s := "two halves leave nothing undercut"
		if h.Path > 0 {
			s = "two halves leave undercuts no deeper than " + v.mm(h.Path, sig(3))
		}
		switch {
		case h.Pieces == 1:
			s += ", with a loose piece for what they would lock"
		case h.Pieces > 1:
			s += ", with " + whole(h.Pieces) + " loose pieces for what they would lock"
		}
		if h.AsItStands {
			s += " (--mold two-part)"
		}
		if h.Turned != nil {
			s = "laid with " + v.toward(*h.Turned) + " up instead, " + s
		}
		return s
	}),
	says(func(v voice, l estimate.LoosePieces) string { return v.loosePieces(l.Pieces) }),
	says(func(v voice, f estimate.PoresFilled) string {
		if f.Places == 1 {
			return "a small hole that would lock is filled with wax or clay first"
		}
		return whole(f.Places) + " small holes that would lock are filled with wax or clay first"
	}),
	says(func(v voice, t estimate.TooManyPieces) string {
		return "it would take " + whole(t.Pieces) + " loose pieces to let go of all that is locked, and past " + whole(t.Most) + " a mold is not worth its trouble"
	}),
	says(func(v voice, t estimate.TooManyParts) string {
		parts := "beside the halves it takes "
		if t.Openings > 0 {
			parts += "plugs for " + count(t.Openings, "opening") + " too wide to close with clay"
		}
		switch {
		case t.Others > 0 && t.Openings > 0:
			parts += " and " + whole(t.Others) + " more for what is hollow or locked"
		case t.Others > 0:
			parts += whole(t.Others) + " parts for what is hollow or locked"
		}
		parts += "; past " + whole(t.Most) + " a mold is not worth its trouble"
		if t.Openings > 0 {
			parts += ": fill openings with wax, or make the inside a core of its own that reaches into them"
		}
		return parts
	}),
	says(func(v voice, l estimate.Links) string {
		places := whole(l.Places) + " places"
		if l.Places == 1 {
			places = "one place"
		}
		return "rubber links through the pattern in " + places + ": it cannot be lifted off whole"
	}),
	says(func(v voice, p estimate.DeepPocket) string {
		return "a pocket " + v.mm(p.Deep, sig(3)) + " deep holds the rubber: it is opened, not stretched over"
	}),
	says(func(v voice, l estimate.LetsGo) string {
		s := v.straining(l.Why)
		if l.Path > 0 {
			s = "the deepest undercut is " + v.mm(l.Path, sig(3)) + " by its way out; " + s
		}
		if l.Each {
			s = "each half lifts off: " + s
		}
		return s
	}),
	says(func(v voice, h estimate.HalvesHold) string {
		return "two halves alone do not let go: " + v.straining(h.Why)
	}),
	says(func(v voice, t estimate.TearsSoon) string {
		return v.straining(t.Why) + "; over " + percent(t.Over) + " tears the mold after a few castings"
	}),
	says(func(v voice, b estimate.BeyondRubber) string {
		return v.straining(b.Why) + ", more than any rubber stands"
	}),
	says(func(v voice, b estimate.BeyondHands) string {
		in := " in "
		if b.Softest {
			in = " even in "
		}
		return v.gripping(b.Grip) + " takes " + v.pull(b.Force) + in + "Shore A " + fixed(0)(b.Shore) + ", and a hand pulls about " + v.pull(b.Hand)
	}),
	says(func(v voice, m estimate.MakeCore) string {
		s := "a slit does not relieve it"
		if m.At != nil {
			s += " (near " + v.place(unsigned(*m.At)) + ")"
		}
		if m.Plug {
			return s + ": plug that hole with clay and open it in each casting, or make a core for it"
		}
		return s + ": make the inside a core of its own"
	}),
	says(func(v voice, c estimate.CutOpen) string { return v.cutOpen(c) }),
	says(func(v voice, x estimate.SlitAlong) string { return v.slitAlong(x) }),
	says(func(v voice, _ estimate.LatexShrinks) string {
		return "latex shrinks as it dries: every figure here is for a poured rubber"
	}),
}

// loosePieces says what would lock, and how the pieces that take it are drawn.
func (v voice) loosePieces(pieces []loose.Piece) string {
	out := ""
	for n, p := range pieces {
		switch {
		case n > 0:
			out += ", and another for "
		default:
			out = "what would lock is left to a loose piece of rubber, made first: for "
		}
		hollow := "the hollow near " + v.place(unsigned(mesh.V(p.At[0], p.At[1], p.At[2])))
		if p.Places > 1 {
			hollow = whole(p.Places) + " hollows, the largest near " + v.place(unsigned(mesh.V(p.At[0], p.At[1], p.At[2])))
		}
		out += hollow + ", drawn toward " + v.side(p.Draw)
	}
	return out + ", once the mold is off"
}

// slitAlong says where a mold over a board is slit.
func (v voice) slitAlong(x estimate.SlitAlong) string {
	s, out := x.Slit, "slit it"
	if x.Fin {
		out = "leave it open along a fin"
	}
	out += " up its " + v.toward(s.Side) + " side, "
	if v.seen == nil {
		out += "along the plane square to " + toward(s.Normal) + ", from " + near(s.From) + " to " + near(s.To) + " mm: "
	}
	return out + v.mm(unit.Length(s.Length), fixed(0)) + " along the pattern, ending " + v.mm(unit.Length(s.Rise), fixed(0)) + " above the mouth" + opening(s.Opens)
}

// near writes a place to the millimetre.
func near(p [3]float64) string {
	for k := range p {
		p[k] = math.Round(p[k]) + 0 // no −0
	}
	return at(p, fixed(0))
}

// opening says which undercuts a cut lets go of.
func opening(of []seam.Opened) (out string) {
	var ids []int
	for _, o := range of {
		ids = append(ids, o.Region)
	}
	slices.Sort(ids)
	const listed = 6
	switch len(ids) {
	case 0:
	case 1:
		out = "; that lets go of undercut " + whole(ids[0])
	default:
		out = "; that lets go of undercuts " + whole(ids[0])
		for _, id := range ids[1:min(len(ids), listed)] {
			out += ", " + whole(id)
		}
		if n := len(ids) - listed; n > 0 {
			out += " and " + whole(n) + " more"
		}
	}
	return out
}

// cutOpen says where a mold in one piece is cut open.
func (v voice) cutOpen(c estimate.CutOpen) string {
	s := c.Seam
	if s == nil {
		return "a mold in one piece all round is cut open along a zig-zag line"
	}
	out := "cut it open along its " + v.toward(s.Side) + " side, in a zig-zag along the plane square to " + toward(s.Normal) + ", from " + near(s.From) + " to " + near(s.To) + " mm: " +
		v.mm(unit.Length(s.Length), fixed(0)) + " of cut along the pattern; the other side is the hinge"
	out += opening(s.Opens)
	switch c.Left {
	case estimate.SeamLeavesLocked:
		return out + "; some rubber stays locked all the same: fill that place or give it a plug"
	case estimate.SeamLeavesPath:
		return out + "; undercuts of " + v.mm(c.Path, sig(3)) + " are left"
	}
	return out + "; nothing is left undercut"
}

// asAxis is the cosine from which on a direction is spoken of as an axis: no bench
// tells one degree from none. Judgement of this program.
const asAxis = 0.99985

// side writes the side that something is drawn to.
func (v voice) side(d [3]float64) string {
	if v.seen != nil {
		return "the " + v.seen.Side(d)
	}
	return Side(mesh.V(d[0], d[1], d[2]))
}

// toward writes a direction as it is seen, or in the file's own axes.
func (v voice) toward(d [3]float64) string {
	if v.seen != nil {
		return v.seen.Side(d)
	}
	return toward(d)
}

// toward writes a direction of the file's own axes.
func toward(d [3]float64) string {
	for i, name := range []string{"x", "y", "z"} {
		if math.Abs(d[i]) > asAxis {
			if d[i] > 0 {
				return "+" + name
			}
			return "-" + name
		}
	}
	r := func(v float64) string { return sig(-1)(math.Round(v*1000)/1000 + 0) } // no −0
	return "(" + r(d[0]) + ", " + r(d[1]) + ", " + r(d[2]) + ")"
}

// unsigned rounds a place to tenths of a millimetre; what rounds to nothing has no
// sign.
func unsigned(p mesh.Vec) mesh.Vec {
	r := func(v float64) float64 { return math.Round(v*10)/10 + 0 }
	return mesh.V(r(p.X), r(p.Y), r(p.Z))
}
