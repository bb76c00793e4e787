package solid

import (
	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// bottomShare is the size of an opening, as a share of the pattern's longest
// size, from which on it is taken for the side that was never scanned and not
// for a hole in the skin (judgement of this program).
const bottomShare = 0.25

// describe tells what was found and mended.
func (s *Solid) describe(crumbs int, first *mesh.Vec) {
	if s.InsideOut > 0 {
		s.mended(TurnedOut{s.InsideOut})
	}
	if s.together {
		s.mended(FilledRoom{})
	}
	s.describeOpenings()
	if s.Wall > 0 {
		s.found(CodeVesselWall, finding.Caution, nil, VesselWall{unit.Length(s.Wall), s.doubt()})
	}
	if s.Turned > 0 {
		s.found(CodeTurned, finding.Note, nil, TurnedFaces{s.Turned})
	}
	if s.InsideOut > 0 {
		s.found(CodeInsideOut, finding.Note, nil, InsideOut{s.InsideOut})
	}
	if n := s.loose(); n > 1 {
		s.found(CodePieces, finding.Note, nil, Bodies{n})
	}
	if s.Dropped > 0 {
		s.found(CodeDoubles, finding.Note, nil, Doubles{s.Dropped})
	}
	if s.odd != nil {
		s.found(CodeOneSided, finding.Caution, nil, OneSided{s.doubt()})
	}
	if crumbs > 0 {
		s.found(CodeCrumbs, finding.Note, nil, Crumbs{crumbs})
	}
	if s.SelfCrossings > 0 {
		s.found(CodeCrossings, finding.Note, first, Crossings{s.SelfCrossings, first, s.doubt()})
	}
	switch {
	case s.SealedVoidVolume > 0 && s.together:
		s.found(CodePockets, finding.Caution, nil, Pockets{s.SealedVoidVolume})
	case s.SealedVoids > 0:
		s.found(CodeVoids, finding.Caution, nil, Voids{s.SealedVoids, s.SealedVoidVolume, s.Displaced.Value, s.Material})
	}
}

// loose is the number of bodies apart from each other, where that is certain:
// on a surface that nowhere meets itself.
func (s *Solid) loose() int {
	if !s.embedded {
		return 1
	}
	n := 0
	seen := make([]bool, s.pieces)
	for _, p := range s.piece {
		if p >= 0 && !seen[p] {
			seen[p] = true
			if s.within[p] < 0 {
				n++
			}
		}
	}
	return n
}

// Large reports whether an opening is so wide that it is a side of the pattern
// that was never scanned, or a vessel's mouth, and not a hole in the skin.
func (s *Solid) Large(o Opening) bool {
	size := s.src.Size()
	return o.Diameter >= bottomShare*max(size.X, size.Y, size.Z)
}

// describeOpenings tells a side that was never scanned from holes in the skin
// and from cracks.
func (s *Solid) describeOpenings() {
	var bottoms, holes []Opening
	cracks := 0
	for _, o := range s.Openings {
		switch {
		case o.slit():
			cracks++
		case s.Large(o):
			bottoms = append(bottoms, o)
		default:
			holes = append(holes, o)
		}
	}
	if cracks > 0 {
		s.found(CodeCracks, finding.Note, nil, Cracks{cracks})
	}
	for _, o := range bottoms {
		s.found(CodeBottom, finding.Caution, &o.At, Bottom{o.Flat, unit.Length(o.Diameter), o.Normal, o.At, unit.Area(o.Area), s.doubt()})
	}
	if len(holes) > 0 {
		o := holes[0]
		s.found(CodeHoles, finding.Caution, &o.At, Holes{len(holes), unit.Length(o.Diameter), o.At, s.doubt()})
	}
}
