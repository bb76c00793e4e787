package boxfit

import (
	"math"

	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

// Shell is the rigid mother mold over a coat.
type Shell struct {
	Material  ShellMaterial `json:"material"`
	Thickness float64       `json:"thickness_mm"`
	Volume    float64       `json:"volume_mm3"` // of what is built, flanges and feet too
	Mass      float64       `json:"mass_g"`     // set and dry
	Flange    float64       `json:"flange_mm"`  // width of the rim where pieces meet each other or the board
	Draft     float64       `json:"draft_deg"`  // that the coat is filled out to along the draw of each piece, at least
	Pieces    []ShellPiece  `json:"pieces"`
	Bolts     *Bolts        `json:"bolts"` // nil = nothing to bolt
}

// ShellMaterial is what a shell is made of.
type ShellMaterial string

// The materials.
const (
	Plaster  ShellMaterial = "plaster and fibre"
	Laminate ShellMaterial = "glass laminate"
)

// ShellPiece is a piece of a shell: the direction it comes off in, and what it is.
type ShellPiece struct {
	Draw   [3]float64 `json:"draw"`
	Area   float64    `json:"area_mm2"`
	Volume float64    `json:"volume_mm3"`
	Mass   float64    `json:"mass_g"`
}

// Bolts hold the flanges together.
type Bolts struct {
	Count    int     `json:"count"`
	Diameter float64 `json:"diameter_mm"`
	Spacing  float64 `json:"spacing_mm"`
}

// Limits of plaster: copies, mm of height and g a piece; beyond, laminate. Judgement
// of this program.
const (
	plasterCopies = 30
	plasterHigh   = 600
	plasterPiece  = 12e3
)

// Shells by size class: plaster, mm (common practice, no source), plies of glass,
// flanges, bolts and how far apart they stand at most, mm (judgement of this program).
var (
	plasterThick = [...]float64{12, 20, 25, 30}
	plies        = [...]int{3, 4, 5, 7}
	flangeWide   = [...]float64{25, 30, 40, 50}
	boltSize     = [...]float64{6, 6, 8, 10}
	boltApart    = [...]float64{100, 100, 120, 150}
)

const (
	// shellOver and shellRims are what a shell's surface is more than the pattern's,
	// and what flanges and feet take beside. Judgement of this program.
	shellOver = 1.1
	shellRims = 1.15
	// plyThick and plyMass are a ply's thickness, mm, and mass, g/mm²: 450 g/m² of
	// glass at 30 % by weight, 2.56 g/cm³, in resin of 1.2 (from memory):
	// 450/2.56 + 1050/1.2 cm³/m².
	plyThick = (450/2.56 + 1050/1.2) / 1000
	plyMass  = 1500e-6
	// plasterSet is the dry mass of set plaster, g/mm³: of powder at 2.75 g/cm³ with
	// 70 parts of water to 100 (from memory), each gram binding water to 172.17/145.15
	// of it, the ratio of the molar masses of dihydrate and hemihydrate.
	plasterSet = 1e-3 / (1/2.75 + 0.70) * 172.17 / 145.15
)

// ShellVolume is what a shell of a thickness, mm, over a surface, mm², takes with its
// flanges and feet, mm³. Judgement of this program.
func ShellVolume(area, thickness float64) float64 {
	return shellOver * area * thickness * shellRims
}

// ShellMass is the mass of a shell over a surface, mm², set and dry, g: of plaster of
// a thickness, mm, or of so many plies of glass.
func ShellMass(m ShellMaterial, area, thickness float64, plies int) float64 {
	if m == Plaster {
		return ShellVolume(area, thickness) * plasterSet
	}
	return shellOver * area * shellRims * float64(plies) * plyMass
}

// shell is the mother mold over a coat, in the pieces that it was filled out for.
func (p *planner) shell(c *coating, fill *filling) *Shell {
	class := sizeClass(p.largest())
	area := c.met()
	build := func(m ShellMaterial) *Shell {
		x := &Shell{Material: m, Thickness: plasterThick[class], Flange: flangeWide[class], Draft: c.draw * 180 / math.Pi}
		if m == Laminate {
			x.Thickness = float64(plies[class]) * plyThick
		}
		x.Volume, x.Mass = ShellVolume(area, x.Thickness), ShellMass(m, area, x.Thickness, plies[class])
		for k, d := range fill.draws {
			share := fill.shares[k]
			x.Pieces = append(x.Pieces, ShellPiece{d.Array(), share * shellOver * area, share * x.Volume, share * x.Mass})
		}
		return x
	}
	x := build(Plaster)
	heavy := false
	for _, piece := range x.Pieces {
		heavy = heavy || piece.Mass > plasterPiece
	}
	if p.laminate() || heavy {
		x = build(Laminate)
	}
	x.Bolts = p.bolts(x, class)
	return x
}

// laminate reports whether the shell is of glass laminate whatever its pieces weigh.
func (p *planner) laminate() bool {
	return p.r.Copies > plasterCopies || p.s.height() > plasterHigh
}

// met is the surface that the coat lies on, mm²: without what stands on the board or
// in the clay.
func (c *coating) met() (sum float64) {
	s := c.s
	low := c.floor + 1e-6*s.height()
	for k := range s.surface.NumTriangles() {
		if s.skip != nil && s.skip[k] || s.ragged != nil && s.ragged(int32(k)) {
			continue
		}
		a, b, d := s.surface.Corners(k)
		if max(a.Dot(s.up), b.Dot(s.up), d.Dot(s.up)) > low {
			sum += b.Sub(a).Cross(d.Sub(a)).Len() / 2
		}
	}
	return sum
}

// bolts are those of a shell: along the joints, which run up from the board and
// meet on top, and round the foot where liquid rubber lifts the shell.
func (p *planner) bolts(x *Shell, class int) *Bolts {
	s, t := p.s, p.wall
	high, wide := s.height()+t, 2*(s.circle.Radius+t)
	line := 0.0
	if n := len(x.Pieces); n > 1 {
		line = float64(n) * (high + wide/2)
	}
	if p.mold == demold.Blanket {
		line += 2 * math.Pi * (s.circle.Radius + t)
	}
	if line == 0 {
		return nil
	}
	b := &Bolts{Diameter: boltSize[class], Spacing: boltApart[class]}
	if x.Material == Plaster && len(x.Pieces) > 1 {
		load := FlangeLoad(max(p.sg, p.r.CastSG), high, wide)
		b.Spacing = max(boltLeast*b.Diameter, min(b.Spacing, math.Floor(BoltsApart(load, x.Flange, x.Thickness))))
	}
	b.Count = BoltCount(line, b.Spacing)
	return b
}

// boltLeast is how close bolts stand at least, in diameters (judgement of this
// program): a washer is three wide.
const boltLeast = 4

// plasterBears is what a plaster flange may be bent with, MPa: a third of the 2 to 4
// at which plaster breaks (from memory, unverified).
const plasterBears = 1.0

// FlangeLoad is what liquid of a density, g/cm³, that stands high mm in a shell wide
// mm across pushes each of two flanges apart with at the bottom, N/mm: half the
// pressure times the width.
func FlangeLoad(sg, high, wide float64) float64 { return sg * unit.G * high * wide / 2 * 1e-6 }

// FlangeStress is the bending stress, MPa, of a flange of a width and a thickness, mm,
// under a load, N/mm, between bolts apart mm: a beam held at both ends, M = q·s²/12.
func FlangeStress(load, width, thickness, apart float64) float64 {
	return load * apart * apart / (2 * width * thickness * thickness)
}

// BoltsApart is how far apart bolts may stand on a plaster flange, mm.
func BoltsApart(load, width, thickness float64) float64 {
	return math.Sqrt(plasterBears * 2 * width * thickness * thickness / load)
}

// BoltCount is how many bolts a line of a length takes, all mm.
func BoltCount(line, spacing float64) int { return max(2, int(math.Ceil(line/spacing-1e-9))) }
