package estimate

import (
	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Gates that a method has to pass, beside those of its verdict and its stops.
const (
	// mostBlock is what a block may weigh, g, for one pair of hands: common
	// practice, no source.
	mostBlock = 12 * unit.Kilogram
	// lowRelief is the share of its width under which a pattern is a relief: its
	// block grows with the plan and not with the height, and goes by the price.
	// Judgement of this program.
	lowRelief = 0.2
	// largeOriginal is the size, mm, from which an irreplaceable pattern that is weak
	// or porous is brushed and not stood under poured rubber. Judgement of this
	// program.
	largeOriginal = 150.0
	// mostCut is the largest pattern, mm, that is poured all round and cut out:
	// common practice, no source.
	mostCut = 200.0
)

// Gate is a reason why a method is not for a pattern. Which figures it has goes by
// what it is about; the others are 0.
type Gate struct {
	By         GateBy
	Size, Most unit.Length
	Mass       unit.Mass
}

// GateBy is what a method fails by.
type GateBy int

// The gates.
const (
	CoverTooThick   GateBy = iota // the walls that a block this large wants
	BlockTooHeavy                 // a block's rubber
	CutTooLarge                   // a pattern too large to be cut out of rubber
	HarmsOriginal                 // an irreplaceable pattern
	BoxIsAsked                    // a container was given, and a blanket has none
	BrittleUnder                  // a pattern that cannot bear clay against it
	FoamOnThinCoat                // rising foam presses a brushed coat out of shape
	FoamOpensSlit                 // rising foam forces a slit open
	CutLeaves                     // an undercut that no cut up the back frees
	CutLeavesLocked               // rubber that stays locked in though the mold is cut
	NoHardness                    // what lets go is softer than what holds its shape
)

// Stopped is a stop that no answer of the user's settles.
type Stopped struct{ Of finding.Finding }

// ends reports whether a finding ends a method: a stop that no answer of the user's
// settles, be it of this kind of mold or of the job.
func ends(f finding.Finding) bool {
	return f.Severity == finding.Stop && (hangsOnCut(f) || refused(f))
}

// hangsOnCut reports whether a finding is of stripping the mold, which of one that
// is cut open hangs on where.
func hangsOnCut(f finding.Finding) bool { return f.Code == CodeStrain || f.Code == CodeForce }

// gates lists what a method fails by: it does not let go, its rubber does not
// suit, it does not fit, it is not for a pattern of this size or kind.
func (k *known) gates(m *method, work labor.Reckoned) (out []finding.Remark) {
	j := k.job
	fail := func(g Gate) { out = append(out, finding.Remark{Facts: g}) }
	// What a straight cut leaves is no reason: none better was looked for.
	straight := m.way.Mold == demold.Cut && m.close == afar && len(k.neverCut()) > 0
	if !straight && !m.letsGo() {
		out = m.holds()
	}
	for _, f := range m.findings {
		if ends(f) && !(straight && hangsOnCut(f)) {
			out = append(out, finding.Remark{Facts: Stopped{f}})
		}
	}
	l, w := m.pose.Rect[0], m.pose.Rect[1]
	switch m.way.Mold {
	case demold.Block, demold.TwoPart:
		if c := boxfit.CoverWanted(l, w); c > boxfit.CoverMost && !m.relief() {
			fail(Gate{By: CoverTooThick, Size: unit.Length(c), Most: boxfit.CoverMost})
		}
		parts := 1.0
		if m.way.Mold == demold.TwoPart {
			parts = 2
		}
		if g := unit.Mass(m.mix.mix.Mass / parts); g > mostBlock && !m.relief() {
			fail(Gate{By: BlockTooHeavy, Mass: g})
		}
		if m.way.Slit && j.foams() {
			fail(Gate{By: FoamOpensSlit})
		}
	case demold.Cut:
		for _, g := range k.neverCut() {
			fail(g)
		}
	case demold.Brushed:
		if j.foams() {
			fail(Gate{By: FoamOnThinCoat})
		}
	}
	if m.way.clay() && (j.drinks() || m.way.Mold == demold.Blanket && j.pattern != nil && j.pattern.Delicate) {
		fail(Gate{By: BrittleUnder})
	}
	if j.boxed() && m.fit.Kind == boxfit.Mother {
		fail(Gate{By: BoxIsAsked})
	}
	if m.need.Unmet {
		fail(Gate{By: NoHardness})
	}
	weak := j.pattern != nil && (j.pattern.Porous || j.pattern.Delicate)
	if work.Endangers || j.Irreplaceable && weak && k.longest() > largeOriginal && m.way.Mold != demold.Brushed {
		fail(Gate{By: HarmsOriginal})
	}
	return out
}

// neverCut is why the pattern is not cut out of rubber poured all round, wherever
// the cut runs; none = it may be.
func (k *known) neverCut() (out []Gate) {
	if size := k.longest(); size > mostCut+0.5 { // as it is printed
		out = append(out, Gate{By: CutTooLarge, Size: unit.Length(size), Most: mostCut})
	}
	if k.job.foams() {
		out = append(out, Gate{By: FoamOpensSlit})
	}
	return out
}

// holds is why a way does not let go: the reasons of its verdict without where it is
// and what to do about it, and without how a mold is cut that no cut frees.
func (t *trial) holds() (out []finding.Remark) {
	for _, r := range t.verdict.Because {
		switch f := r.Facts.(type) {
		case Near, HalvesLeave, LoosePieces, PoresFilled:
			continue
		case Lets:
			if f == FillOrPlug || f == CloseOpenings || f == GiveFoot {
				continue
			}
		case CutOpen:
			g := Gate{By: CutLeaves, Size: f.Path}
			if f.Left == SeamLeavesLocked {
				g.By = CutLeavesLocked
			}
			if f.Left != 0 {
				out = append(out, finding.Remark{Facts: g})
			}
			continue
		}
		out = append(out, r)
	}
	return out
}

// clay reports whether clay is laid against the pattern: the bed of the first half,
// or what stands in for a poured coat while its shell is built.
func (w Way) clay() bool { return w.Mold == demold.TwoPart || w.Mold == demold.Blanket }

// drinks reports whether a pattern that cannot be replaced takes up the oil or the
// water of the clay that is laid against it, even under a film.
func (j *resolved) drinks() bool {
	return j.Irreplaceable && j.pattern != nil && (j.pattern.Porous || j.pattern.Stain)
}

// relief reports whether the pattern is low for its width.
func (t *trial) relief() bool { return t.pose.Height < lowRelief*t.pose.Rect[1] }

// letsGo reports whether a way comes off by its own verdict.
func (t *trial) letsGo() bool {
	switch a := t.verdict.Answer; t.way.Mold {
	case demold.TwoPart:
		return a == MakeTwoParts
	case demold.Block:
		return a.Whole() && !t.way.Slit || a == SlitIt && t.way.Slit
	case demold.Cut:
		n := t.shape.Strip()
		return a == SlitIt && t.report.Seam != nil && (t.report.Seam.Path != nil || t.report.Loose.Serve()) && n.Value != nil && *n.Value <= rubber.MostComfortable
	default: // a blanket is slit, or made in two halves, as it needs
		return a != Locked && !(a == MakeTwoParts && !t.parts())
	}
}

// parts reports whether two halves let go.
func (t *trial) parts() bool {
	ok, _ := t.judged.parts()
	return ok
}

// foams reports whether rising foam is cast.
func (j *resolved) foams() bool { return j.cast != nil && j.cast.Kind == material.FoamKind }

// resins reports whether a liquid resin is cast, which the by-products of a fresh
// tin-cure mold keep from curing.
func (j *resolved) resins() bool {
	if j.cast == nil {
		return false
	}
	switch j.cast.Kind {
	case material.TwoPart, material.Catalysed, material.ColdCast:
		return true
	}
	return false
}

// heavy reports whether what is cast leans hard on its mold: cement.
func (j *resolved) heavy() bool { return j.cast != nil && j.cast.Kind == material.Cement }
