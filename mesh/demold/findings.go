package demold

import (
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what undercuts and pockets do to the pour. The facts of each
// are named in brackets.
const (
	CodeLocked       finding.Code = "demold.locked"         // [Locked]
	CodeLoosePiece   finding.Code = "demold.loose-piece"    // [LoosePiece]
	CodePores        finding.Code = "demold.pores"          // [Pores]
	CodeHole         finding.Code = "demold.gripping-hole"  // [Hole]
	CodeSpeck        finding.Code = "demold.speck"          // [Speck]
	CodeLongWayRound finding.Code = "demold.long-way-round" // [LongWayRound]
	CodeSealedPocket finding.Code = "demold.sealed-pocket"  // [SealedPocket]
	CodeRaggedBottom finding.Code = "demold.ragged-bottom"  // [RaggedBottom]
	CodeBedded       finding.Code = "demold.bedded"         // [Bedded]
	CodeFront        finding.Code = "demold.front-guessed"  // [FrontGuessed]
	CodeAcrossFace   finding.Code = "demold.cut-over-face"  // [AcrossFace]
)

// Locked: rubber has no way out past the pattern at its height.
type Locked struct {
	Volume  unit.Volume
	Rest    unit.Length // the deepest path elsewhere; 0: nothing holds the mold there
	OnBoard bool        // the mold is pulled off a board, and not parted
	Bend    unit.Length // largest size of a place, where all of them can be bent out of the way; 0: they cannot
	Pieces  int         // how many loose pieces would let go of all of it; 0: none do
}

// LoosePiece: rubber has no way out past the pattern at its height, and a loose
// piece takes it.
type LoosePiece struct {
	Places int
	Volume unit.Volume // of rubber that would lock
	Size   unit.Length // of the largest place
	Draw   [3]float64  // the way it is drawn, unit
}

// Pores: rubber has no way out in so many places, all so small against the pattern
// that they are filled before the mold is made.
type Pores struct {
	Places int
	Volume unit.Volume // of rubber that would lock
	Size   unit.Length // of the largest
}

// Hole: rubber in a hole, small against the pattern, has to be squeezed by a share to
// leave it.
type Hole struct {
	Squeeze float64
	Long    unit.Length // of the rubber in it
}

// Speck: rubber has no way out at its height, but so little of it that it does
// not hold the mold.
type Speck struct{ Volume unit.Volume }

// LongWayRound: rubber goes round the pattern much farther than the undercut is
// deep.
type LongWayRound struct{ Path, Depth unit.Length }

// SealedPocket: the pattern stands over a hollow without rubber.
type SealedPocket struct{ Volume unit.Volume }

// RaggedBottom: an open bottom is not level.
type RaggedBottom struct{ Clay unit.Volume } // that fills it

// Bedded: the underside is uneven, and lies in clay up to a line where the outline
// closes.
type Bedded struct {
	Height unit.Length // of that line above the board
	Clay   unit.Volume // under the pattern up to there
}

// FrontGuessed: nothing says which way the pattern looks, and the knife keeps away
// from the side that is taken for its front.
type FrontGuessed struct {
	Front [3]float64 // unit
	Why   seam.FrontFrom
}

// AcrossFace: every cut runs over the face that no parting may cross.
type AcrossFace struct{ Length unit.Length } // of the cut that does

// tellFront says which side the knife keeps away from.
func (x *answers) tellFront(to *finding.List) {
	s := x.seam
	if s == nil {
		return
	}
	if s.Front.From != seam.FrontAsked {
		to.Add(finding.Finding{Code: CodeFront, Severity: finding.Note, Facts: FrontGuessed{s.Front.Looks, s.Front.From}})
	}
	if s.Crosses() {
		to.Add(finding.Finding{Code: CodeAcrossFace, Severity: finding.Caution, At: &s.From, Facts: AcrossFace{unit.Length(s.Across)}})
	}
}

// tellUndercuts adds what the undercuts and pockets mean for the pour.
func (x *answers) tellUndercuts(c *scene.Scene, to *finding.List) {
	add := func(code finding.Code, sev finding.Severity, at *[3]float64, facts any) {
		to.Add(finding.Finding{Code: code, Severity: sev, At: at, Facts: facts})
	}
	u := x.undercuts
	switch locked := u.Path == nil && (x.seam == nil || x.seam.Path == nil); {
	case locked && x.loose.Serve():
		for _, p := range x.loose.Pieces {
			add(CodeLoosePiece, finding.Note, &p.At, LoosePiece{p.Places, unit.Volume(p.Volume), unit.Length(p.Size), p.Draw})
		}
		if pores := x.loose.Pores; len(pores) > 0 {
			f := Pores{Places: len(pores)}
			for _, p := range pores {
				f.Volume, f.Size = f.Volume+unit.Volume(p.Volume), max(f.Size, unit.Length(p.Size))
			}
			add(CodePores, finding.Caution, &pores[0].At, f)
		}
	case locked:
		f := Locked{Volume: unit.Volume(u.Locked), OnBoard: c.OnBoard()}
		if u.FreePath >= c.Noise() {
			f.Rest = unit.Length(u.FreePath)
		}
		sev := finding.Stop
		if f.Bend = unit.Length(u.Bend); x.seam != nil {
			f.Bend = unit.Length(x.seam.Bend)
		}
		if l := x.loose; l != nil && l.Held == 0 {
			f.Pieces = len(l.Pieces)
		}
		if f.Bend > 0 {
			sev = finding.Caution
		}
		add(CodeLocked, sev, x.surface.PathAt, f)
	}
	if u.Path != nil && u.Locked >= leastTold {
		add(CodeSpeck, finding.Note, nil, Speck{unit.Volume(u.Locked)})
	}
	if p := u.Path; p != nil && u.Depth > 0 && *p > 1.3*u.Depth+2*c.Uncertainty && *p >= c.Noise() {
		add(CodeLongWayRound, finding.Note, x.surface.PathAt, LongWayRound{unit.Length(*p), unit.Length(u.Depth)})
	}
	if !c.OnBoard() {
		return
	}
	sp, small := c.Space(), smallHollow*c.Field.Volume()
	if p := sp.Largest; p.Volume > 0 && p.Volume >= small {
		_, hi := sp.Gap(c.Field.Column(p.I, p.J), p.K)
		add(CodeSealedPocket, finding.Caution, scene.Point(c.Field, p.I, p.J, hi), SealedPocket{unit.Volume(p.Volume)})
	}
	if c.Bed > 0 {
		add(CodeBedded, finding.Note, nil, Bedded{unit.Length(c.Bed), unit.Volume(sp.ClayFill)})
	}
	if v := sp.Ragged; v > small {
		add(CodeRaggedBottom, finding.Note, nil, RaggedBottom{unit.Volume(v)})
	}
}

// leastTold is the volume of a speck that is worth a word, mm³. Judgement of
// this program.
const leastTold = 0.1

// smallHollow is the share of the pattern under which a hollow is not worth a
// word. Judgement of this program.
const smallHollow = 1e-4
