package solid

import (
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// usualRubber turns a volume into grams in a sentence where no rubber has been
// chosen yet: a mold silicone of 1.1 g/cm³ (from memory; mold rubbers lie
// between 1.0 and 1.35).
const usualRubber unit.Density = 1.1

// bottomShare is the size of an opening, as a share of the pattern's longest
// size, from which on it is taken for the side that was never scanned and not
// for a hole in the skin (judgement of this program).
const bottomShare = 0.25

func place(p mesh.Vec) string { return fmt.Sprintf("x %.1f, y %.1f, z %.1f mm", p.X, p.Y, p.Z) }

func cm3(v unit.Volume) string { return fmt.Sprintf("%.4g cm³", v.In(unit.CM3)) }

// facing names the direction an opening faces.
func facing(n mesh.Vec) string {
	a := [3]float64{math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)}
	k := 0
	for d := range 3 {
		if a[d] > a[k] {
			k = d
		}
	}
	sign := "+"
	if [3]float64{n.X, n.Y, n.Z}[k] < 0 {
		sign = "-"
	}
	return sign + string("xyz"[k])
}

// share says how well the displaced volume is known, in volume and in rubber.
func (s *Solid) share() string {
	d := s.Displaced
	half := (d.High - d.Low) / 2
	g := usualRubber.Mass(half)
	return fmt.Sprintf("it displaces %s, between %s and %s: %.2g g of rubber either way (at %.1f g/cm³)",
		cm3(d.Value), cm3(d.Low), cm3(d.High), float64(g), float64(usualRubber))
}

// describe words what was found and mended.
func (s *Solid) describe(crumbs int, first *mesh.Vec) {
	if s.InsideOut > 0 {
		s.Repairs = append(s.Repairs, fmt.Sprintf("%s turned right side out", count(s.InsideOut, "piece")))
	}
	if s.pockets != nil {
		s.Repairs = append(s.Repairs, "a room that the pieces enclose together filled")
	}
	s.describeOpenings()
	if s.Wall > 0 {
		s.Findings.Add(finding.Finding{
			Code: finding.VesselWall, Severity: finding.Caution,
			Summary: fmt.Sprintf("the file has the vessel as a sheet without thickness; a wall of %.2g mm was taken", s.Wall),
			Effect:  "rubber fills the inside; " + s.share(),
			Hint:    "measure the real wall, or give the volume as measured by dunking with --displaced",
		})
	}
	if s.Turned > 0 {
		s.Findings.Add(finding.Finding{
			Code: finding.TurnedFaces, Severity: finding.Note,
			Summary: fmt.Sprintf("%s inside out against its neighbours", countIs(s.Turned, "face")),
			Effect:  "turned; the shape is as it was and no figure suffers",
			Hint:    "nothing to do here; have the file's normals unified if it goes on to a printer",
		})
	}
	if s.InsideOut > 0 {
		s.Findings.Add(finding.Finding{
			Code: finding.InsideOut, Severity: finding.Note,
			Summary: fmt.Sprintf("%s drawn inside out", countIs(s.InsideOut, "piece")),
			Effect:  "taken right side out; the volume is that of the solid it bounds",
			Hint:    "if it was meant as a hollow, it must lie inside another piece",
		})
	}
	if n := s.loose(); n > 1 {
		s.Findings.Add(finding.Finding{
			Code: finding.SeveralPieces, Severity: finding.Note,
			Summary: fmt.Sprintf("the pattern is %d bodies that do not touch each other", n),
			Effect:  "they are planned as they lie, in one mold, with rubber between them",
			Hint:    "if that is no layout of your own making, split the file and plan each body by itself",
		})
	}
	if s.Dropped > 0 {
		s.Findings.Add(finding.Finding{
			Code: finding.DoubleFaces, Severity: finding.Note,
			Summary: fmt.Sprintf("%s drawn twice on the same corners", countIs(s.Dropped, "face")),
			Effect:  "counted once",
			Hint:    "nothing to do here",
		})
	}
	if s.odd != nil {
		s.Findings.Add(finding.Finding{
			Code: finding.OneSided, Severity: finding.Caution,
			Summary: "part of the surface has no inside and outside: it passes through itself like a twisted band",
			Effect:  "inside is taken by counting crossings; " + s.share(),
			Hint:    "look at the picture; have the model repaired where it looks wrong",
		})
	}
	if crumbs > 0 {
		s.Findings.Add(finding.Finding{
			Code: finding.Crumbs, Severity: finding.Note,
			Summary: fmt.Sprintf("%s of loose debris, each under 1 %% of the pattern's size", count(crumbs, "crumb")),
			Effect:  "left out of the base, the outline and the volume",
			Hint:    "if they belong to the pattern, say --keep-crumbs",
		})
	}
	if s.SelfCrossings > 0 {
		f := finding.Finding{
			Code: finding.Crossings, Severity: finding.Note,
			Summary: fmt.Sprintf("faces cross or touch each other in %d places", s.SelfCrossings),
			Effect:  "overlaps count once; " + s.share(),
			Hint:    "nothing to do here if the pattern is made of pieces pushed together; else look near that place",
		}
		if first != nil {
			at := first.Array()
			f.At = &at
			f.Summary += ", the first near " + place(*first)
		}
		s.Findings.Add(f)
	}
	switch {
	case s.SealedVoidVolume > 0 && s.pockets != nil:
		s.Findings.Add(finding.Finding{
			Code: finding.Pockets, Severity: finding.Caution,
			Summary: fmt.Sprintf("the pieces enclose rooms of %s that nothing leads into", cm3(s.SealedVoidVolume)),
			Effect:  "rubber cannot enter them: they count as pattern, and as hollow when it floats",
			Hint:    "if a real gap leads in, widen it in the file or plug it on the pattern; vacuum may burst or flood a sealed hollow",
		})
	case s.SealedVoids > 0:
		s.Findings.Add(finding.Finding{
			Code: finding.SealedVoids, Severity: finding.Caution,
			Summary: fmt.Sprintf("the pattern is hollow: %s of %s in all", count(s.SealedVoids, "sealed void"), cm3(s.SealedVoidVolume)),
			Effect:  fmt.Sprintf("it displaces %s but has material for %s: it floats the more, and air in it swells under vacuum and in warmth", cm3(s.Displaced.Value), cm3(s.Material)),
			Hint:    "weigh the pattern and give --pattern-mass; fill it or seal every pore before the pour",
		})
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

func countIs(n int, what string) string {
	if n == 1 {
		return "1 " + what + " is"
	}
	return fmt.Sprintf("%d %ss are", n, what)
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
		s.Findings.Add(finding.Finding{
			Code: finding.Cracks, Severity: finding.Note,
			Summary: fmt.Sprintf("%s of no width where faces do not share their corners", count(cracks, "crack")),
			Effect:  "zipped; no rubber could enter and no volume changes",
			Hint:    "nothing to do here",
		})
	}
	for _, o := range bottoms {
		at := o.At.Array()
		kind, close := "ragged", "with the least skin that spans the rim"
		if o.Flat {
			kind, close = "flat", "with a flat patch"
		}
		s.Findings.Add(finding.Finding{
			Code: finding.OpenBottom, Severity: finding.Caution,
			Summary: fmt.Sprintf("one side was never scanned: a %s opening %.3g mm across faces %s near %s", kind, o.Diameter, facing(o.Normal), place(o.At)),
			Effect:  fmt.Sprintf("closed %s of %.3g cm²; %s", close, o.Area/100, s.share()),
			Hint:    "stand the pattern on that side and fill a ragged rim with clay down to the baseboard; for an exact figure give the volume as measured by dunking with --displaced",
			At:      &at,
		})
	}
	if len(holes) > 0 {
		o := holes[0]
		at := o.At.Array()
		s.Findings.Add(finding.Finding{
			Code: finding.OpenHoles, Severity: finding.Caution,
			Summary: fmt.Sprintf("%s in the skin, the largest %.3g mm across near %s", count(len(holes), "open hole"), o.Diameter, place(o.At)),
			Effect:  "closed with patches; " + s.share(),
			Hint:    "look at the patches in the picture; close the holes in the file for an exact figure",
			At:      &at,
		})
	}
}
