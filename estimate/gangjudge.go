package estimate

import (
	"math"

	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// Codes of what is told of patterns that share a mold.
const (
	CodeAlone  finding.Code = "gang.own-mold" // [OwnMold]
	CodeUnlike finding.Code = "gang.unlike"   // [Unlike]
)

// OwnMold: a pattern that cannot share a mold with others, and why.
type OwnMold struct {
	Why  Apart
	File string // of the one that its rubber does not suit
	// The hardness that it asks for, and what the other does, Shore A.
	Low, High, OtherLow, OtherHigh float64
}

// Apart is why a pattern wants a mold of its own.
type Apart int

// The reasons.
const (
	WantsSlit      Apart = iota // its mold has to be slit open
	WantsHalves                 // or made in two parts
	LetsGoNever                 // no block lets go of it
	IsOriginal                  // it cannot be replaced
	WantsOtherSoft              // no one hardness serves it and another
)

// Unlike: patterns that share a mold and would do better apart. Which figures it has
// goes by what it is about; the others are 0.
type Unlike struct {
	By          UnlikeBy
	File        string
	Low, High   unit.Length
	Mass, Most  unit.Mass
	Minutes, Of float64 // of pouring, and of pot life
}

// UnlikeBy is what speaks against sharing.
type UnlikeBy int

// What can speak against it.
const (
	UnlikeHeights   UnlikeBy = iota // the low ones lie under much rubber
	UnlikeUndercuts                 // some have to be bent off, others not
	LargeToShare                    // a pattern that is no small part
	HeavyToShare                    // rubber for more than one pair of hands
	SlowToShare                     // the pour takes long for the pot life
)

// Limits of what is poured together: common practice, no source.
const (
	likeHeights  = 0.2   // the lowest is lower than the tallest by this share at most
	largestParts = 150.0 // mm
	halfPot      = 0.5   // of the pot life, for pouring
)

// doubts is what speaks against pouring the patterns together: what makes it a no,
// and what is to be thought over.
func (g *gathered) doubts(k *known, m *method) (out finding.List) {
	for _, p := range g.parts {
		if why, apart := p.apart(); apart {
			out.Add(finding.Finding{Code: CodeAlone, Severity: finding.Stop, Of: p.job.Source.File, Facts: OwnMold{Why: why}})
		}
	}
	out = append(out, g.disagree()...)
	unlike := func(u Unlike) { out.Add(finding.Finding{Code: CodeUnlike, Severity: finding.Caution, Facts: u}) }
	low, high := math.Inf(1), 0.0
	easy, bent := "", ""
	for _, p := range g.parts {
		low, high = min(low, p.trial.pose.Height), max(high, p.trial.pose.Height)
		if path := p.trial.shape.Path; path != nil && *path > 0 {
			bent = p.job.Source.File
		} else {
			easy = p.job.Source.File
		}
		if l := p.longest(); l > largestParts+0.5 {
			unlike(Unlike{By: LargeToShare, File: p.job.Source.File, High: unit.Length(l), Low: largestParts})
		}
	}
	if low < (1-likeHeights)*high {
		unlike(Unlike{By: UnlikeHeights, Low: unit.Length(low), High: unit.Length(high)})
	}
	if easy != "" && bent != "" {
		unlike(Unlike{By: UnlikeUndercuts, File: bent})
	}
	if mass := unit.Mass(m.mix.mix.Mass); mass > mostBlock {
		unlike(Unlike{By: HeavyToShare, Mass: mass, Most: mostBlock})
	}
	if pot, pour := m.mix.pot, m.mix.weighed()/m.mix.pace.pour; pot != nil && m.mix.pace.pour > 0 && pour > halfPot**pot {
		unlike(Unlike{By: SlowToShare, Minutes: pour, Of: *pot})
	}
	return out
}

// apart is why a pattern cannot share a mold, if it cannot.
func (p *part) apart() (Apart, bool) {
	switch {
	case p.job.Irreplaceable:
		return IsOriginal, true
	case p.trial.letsGo():
		return 0, false
	case p.trial.verdict.Answer == SlitIt:
		return WantsSlit, true
	case p.trial.verdict.Answer == MakeTwoParts:
		return WantsHalves, true
	}
	return LetsGoNever, true
}

// isApart reports whether a pattern wants a mold of its own, whatever the others want.
func (p *part) isApart() bool {
	_, apart := p.apart()
	return apart
}

// disagree tells of two patterns of which one asks for softer rubber than the other
// may have.
func (g *gathered) disagree() (out finding.List) {
	for i, p := range g.parts {
		for _, q := range g.parts[i+1:] {
			a, b := p.asked(), q.asked()
			if p.isApart() || q.isApart() || a.Empty() || b.Empty() || max(a.AskedLow, b.AskedLow) <= min(a.AskedHigh, b.AskedHigh) {
				continue
			}
			out.Add(finding.Finding{Code: CodeAlone, Severity: finding.Stop, Of: p.job.Source.File,
				Facts: OwnMold{WantsOtherSoft, q.job.Source.File, a.AskedLow, a.AskedHigh, b.AskedLow, b.AskedHigh}})
		}
	}
	return out
}
