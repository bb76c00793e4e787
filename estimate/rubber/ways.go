package rubber

import (
	"math"

	"moldtally/estimate/material"
	"moldtally/mesh/unit"
)

// Stand is a mold out of its container.
type Stand struct {
	Round         bool
	Width, Height float64 // of the longest wall between its corners; of a round one its bore; mm
	Wall          float64
	Head          float64 // height of the casting
	CastSG, SG    float64 // of the casting and of the rubber, g/cm³
}

// Gives is how far, mm, the mold gives way under the casting when it stands by
// itself, in rubber of a hardness; false where it cannot stand at all: it gives
// more than the theory of small bending allows, or its wall is so high that it
// folds under its own weight.
func (m Stand) Gives(shoreA float64) (float64, bool) {
	e := young(min(95, max(5, shoreA)))
	if m.Round {
		a := max(m.Width/2-m.Wall, m.Width/20)
		return RoundBow(e, a, m.Width/2, m.Head, m.CastSG)
	}
	w, ok := BoxWallBow(e, m.Width, m.Height, m.Wall, m.CastSG)
	return w, ok && m.Height <= BucklingHeight(e, m.Wall, m.SG)
}

// Softest returns the softest rubber of which the mold stands by itself within
// Tolerance; false where none does.
func (m Stand) Softest() (float64, bool) {
	for at := Softest; at <= Hardest; at++ {
		if w, ok := m.Gives(at); ok && w <= Tolerance {
			return at, true
		}
	}
	return 0, false
}

// Way is one way to make room where no rubber does all that is asked.
type Way struct {
	What      Opening
	Low, High float64 // the bounds it gives, Shore A
	Opens     bool    // some rubber then does all that is asked
}

const (
	// coatMM is an even blanket of three to five brushed coats; common practice.
	coatMM = 8.0
	// thinnestMM is the thinnest side of a block that is poured at all; common
	// practice.
	thinnestMM = 6.0
)

// Ways lists what would bring soft and firm together, with the bounds that each
// gives: a slit, a plug in the deepest pocket, thinner sides, a blanket in a
// mother mold. Only ways that move a bound are listed.
func Ways(s Shape, cast *material.Casting) []Way {
	was := Suggest(s, cast)
	var out []Way
	try := func(t Shape, what Opening) {
		if r := Suggest(t, cast); r.AskedLow < was.AskedLow || r.AskedHigh > was.AskedHigh {
			out = append(out, Way{what, r.AskedLow, r.AskedHigh, !r.Empty()})
		}
	}
	if !s.Slit && s.Pieces < 2 { // halves are open as they are
		t := s
		t.Slit = true
		try(t, Opening{By: BySlit})
	}
	if s.Pocket && s.Next != nil {
		t := s
		t.Path, t.Gap, t.Pocket = s.Next, 0, false
		try(t, Opening{By: ByPlug})
	}
	if s.Squeeze > 0 {
		t := s
		t.Squeeze = 0
		try(t, Opening{By: ByCore})
	}
	if !s.Even {
		// Thinner sides: the thickest that does, else the thinnest.
		t := s
		t.Beside = 0
		for t.Wall = math.Ceil(s.wall() - 1); t.Wall > thinnestMM; t.Wall-- {
			if !Suggest(t, cast).Empty() {
				break
			}
		}
		if t.Wall >= thinnestMM {
			try(t, Opening{By: ByThinSides, Thick: unit.Length(t.Wall), Was: unit.Length(s.wall())})
		}
		t = s
		t.Even, t.Wall, t.Beside, t.Angular = true, min(coatMM, s.wall()), 0, false
		try(t, Opening{By: ByBlanket, Thick: unit.Length(t.Wall)})
	}
	return out
}
