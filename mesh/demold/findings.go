package demold

import (
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what undercuts and pockets do to the pour. The facts of each
// are named in brackets.
const (
	CodeLocked       finding.Code = "demold.locked"         // [Locked]
	CodeLongWayRound finding.Code = "demold.long-way-round" // [LongWayRound]
	CodeSealedPocket finding.Code = "demold.sealed-pocket"  // [SealedPocket]
	CodeRaggedBottom finding.Code = "demold.ragged-bottom"  // [RaggedBottom]
)

// Locked: rubber has no way out past the pattern at its height.
type Locked struct {
	Volume  unit.Volume
	Rest    unit.Length // the deepest path elsewhere; 0: nothing holds the mold there
	OnBoard bool        // the mold is pulled off a board, and not parted
}

// LongWayRound: rubber goes round the pattern much farther than the undercut is
// deep.
type LongWayRound struct{ Path, Depth unit.Length }

// SealedPocket: the pattern stands over a hollow without rubber.
type SealedPocket struct{ Volume unit.Volume }

// RaggedBottom: an open bottom is not level.
type RaggedBottom struct{ Clay unit.Volume } // that fills it

// find adds what the undercuts and pockets mean for the pour.
func (a *analysis) find() {
	r := a.rep
	add := func(code finding.Code, sev finding.Severity, at *[3]float64, facts any) {
		r.Findings.Add(finding.Finding{Code: code, Severity: sev, At: at, Facts: facts})
	}
	if r.UndercutPath == nil && (r.Seam == nil || r.Seam.Path == nil) {
		f := Locked{Volume: unit.Volume(r.LockedVolume), OnBoard: a.OnBoard()}
		if r.FreePath >= a.regionFloor() {
			f.Rest = unit.Length(r.FreePath)
		}
		add(CodeLocked, finding.Stop, r.UndercutPathAt, f)
	}
	if r.UndercutPath != nil && r.UndercutDepth > 0 && *r.UndercutPath > 1.3*r.UndercutDepth+2*r.Uncertainty && *r.UndercutPath >= a.regionFloor() {
		add(CodeLongWayRound, finding.Note, r.UndercutPathAt, LongWayRound{unit.Length(*r.UndercutPath), unit.Length(r.UndercutDepth)})
	}
	if p := a.Space().Largest; r.Pockets > 0 && p.Volume > 0 && p.Volume >= smallHollow*a.Field.Volume() {
		_, hi := a.Space().Gap(a.Field.Column(p.I, p.J), p.K)
		add(CodeSealedPocket, finding.Caution, scene.Point(a.Field, p.I, p.J, hi), SealedPocket{unit.Volume(p.Volume)})
	}
	if v := a.Space().Ragged; a.OnBoard() && v > smallHollow*a.Field.Volume() {
		add(CodeRaggedBottom, finding.Note, nil, RaggedBottom{unit.Volume(v)})
	}
}

// smallHollow is the share of the pattern under which a hollow is not worth a
// word. Judgement of this program.
const smallHollow = 1e-4
