// Package printed makes the container of a pour as bodies to print: the walls in
// pieces that are bolted together by flanges and come off the rubber, and the floor
// that they stand on, in as few parts as a printer takes.
//
// Inside walls are straight, so that the container holds what was planned to a part
// in a thousand; flanges, slots and feet are outside. Every part is closed and one
// piece, and lies as it is printed, without overhangs but under the flanges between
// levels. Bolts go through slots that are open at the flange's edge: they need no
// drilling, and the walls come off with nuts that are only loosened. The joints are
// not tight by themselves; clay, wax or grease goes between them.
package printed

import (
	"context"
	"errors"
	"fmt"
	"math"

	"moldtally/boxfit"
	"moldtally/mesh"
)

// Measures, mm. Judgement of this program, after common practice for bolted
// shells: a bolt's middle lies two of its diameters inside the edge.
const (
	floorThick  = 4.0
	flangeThick = 5.0
	flangeWide  = 24.0
	boltSize    = 6.0
	boltRoom    = 0.8 // wider a slot is than its bolt
	slotDeep    = flangeWide - 8
	boltsApart  = 80.0
	clear       = 0.2 // between two flanges, all in all; printers are true to that
	footprint   = 8.0 // the floor goes beyond the flanges
	sideRound   = 4.0 // of the polygon that stands for a circle
	partsApart  = 10.0
	mostParts   = 64
)

// Printer is how large a part may be, mm: length and width of the bed, and height.
// The zero value prints anything.
type Printer [3]float64

// Role is what a part is in its container.
type Role int

// The roles.
const (
	WallPart Role = iota
	FloorPart
	ShellPart // a piece of a mother mold
	TrayPart  // what the first of two halves is poured on, instead of clay
)

// Part is a body to print, as it lies on the bed: its lowest point at height 0.
type Part struct {
	Role Role
	Mesh *mesh.Mesh
}

// Made is a container in parts.
type Made struct {
	Parts    []Part
	Wall     float64 // thickness of the walls, mm
	Capacity float64 // what it holds to the fill line once it is bolted together, mm³
	Bolts    int     // of BoltSize with nuts and two washers each
	BoltSize float64 // mm
	Bow      float64 // of the widest wall under the pour, mm
	Bows     bool    // further than a flat-sided mold may

	// Of a mother mold: the buttons that hold its blanket, and the rubber that they
	// take beside it, mm³; the bore of its pour hole, mm, 0 = none; and how many risers
	// there are.
	Buttons      int
	ButtonVolume float64
	Spout        float64
	Risers       int
}

// Errors of For, for a caller to word.
var (
	ErrTooSmall = errors.New("printed: the printer is too small for this container")
	ErrShape    = errors.New("printed: no bodies are made for this kind of container")
)

// For makes the container of a fit for a printer. sg is the liquid rubber's specific
// gravity, for the thickness of the walls; bed is where two halves part, nil for what is
// no two halves or has a tray of its own.
func For(ctx context.Context, f *boxfit.Fit, p Printer, sg float64, bed *Bed) (*Made, error) {
	if f.Kind == boxfit.Mother && f.Shell != nil {
		return motherMold(ctx, f, p)
	}
	o, err := inside(f)
	if err != nil {
		return nil, err
	}
	v := vessel{outline: o, height: f.Interior[2], fill: f.FillHeight, flat: f.Kind != boxfit.Sleeve}
	widest := 0.0
	for i := range o.corners {
		widest = max(widest, length(o.side(i)))
	}
	if f.Kind == boxfit.Sleeve {
		widest = 0
	}
	v.wall, v.bow, v.bows = boxfit.PrintedWall(max(f.Interior[0], f.Interior[1], f.Interior[2]), widest, v.height, v.fill, sg)
	lo, hi := v.plate()
	floor, ok := tiles(hi.Sub(lo), p)
	if !ok || p != (Printer{}) && p[2] < 4*flangeThick {
		return nil, ErrTooSmall
	}
	made, err := v.pieces(p, floor)
	if err != nil || bed == nil {
		return made, err
	}
	tray, err := v.tray(bed, p)
	if err != nil {
		return nil, err
	}
	made.Parts = append(made.Parts, tray...)
	return made, nil
}

// pieces are walls and floor in the fewest pieces that fit.
func (v *vessel) pieces(p Printer, floor [2]int) (*Made, error) {
	levels := v.levels(p[2])
	for n := 2; n*(len(levels)+1) <= mostParts; n += 2 {
		round, ok := v.cutRound(n)
		if !ok {
			break
		}
		made, err := v.make(cuts{round, levels, floor})
		if err != nil || made.fits(p) {
			return made, err
		}
	}
	return nil, ErrTooSmall
}

// inside is the inside of a container from above.
func inside(f *boxfit.Fit) (*outline, error) {
	switch {
	case f.Interior == nil:
	case f.Kind.FourSided():
		return rectangle(f.Interior[0], f.Interior[1]), nil
	case f.Kind == boxfit.Polygon && f.Diameter != nil && f.Sides != nil:
		return regular(*f.Sides, *f.Diameter/2, false), nil
	case f.Kind == boxfit.Sleeve && f.Diameter != nil:
		n := max(24, 4*int(math.Ceil(math.Pi**f.Diameter/sideRound/4)))
		return regular(n, *f.Diameter/2, true), nil
	}
	return nil, fmt.Errorf("%w: %s", ErrShape, f.Kind)
}

// fits reports whether every part fits a printer, turned a quarter if need be.
func (m *Made) fits(p Printer) bool {
	if p == (Printer{}) {
		return true
	}
	for _, x := range m.Parts {
		s := x.Mesh.Size()
		if s.Z > p[2] || max(s.X, s.Y) > max(p[0], p[1]) || min(s.X, s.Y) > min(p[0], p[1]) {
			return false
		}
	}
	return true
}

// Laid are the parts side by side along x, as they are printed.
func (m *Made) Laid() ([]*mesh.Mesh, error) {
	var all []*mesh.Mesh
	x := 0.0
	for _, p := range m.Parts {
		lo, hi := p.Mesh.Bounds()
		var b mesh.Builder
		if err := add(&b, p.Mesh, mesh.Vec{X: x - lo.X, Y: -lo.Y, Z: -lo.Z}); err != nil {
			return nil, err
		}
		moved, err := b.Build(1)
		if err != nil {
			return nil, err
		}
		all = append(all, moved)
		x += hi.X - lo.X + partsApart
	}
	return all, nil
}

// Joined are bodies as one mesh.
func Joined(bodies []*mesh.Mesh) (*mesh.Mesh, error) {
	var b mesh.Builder
	for _, m := range bodies {
		if err := add(&b, m, mesh.Vec{}); err != nil {
			return nil, err
		}
	}
	return b.Build(1)
}

// add copies a mesh into a builder, moved.
func add(b *mesh.Builder, m *mesh.Mesh, by mesh.Vec) error {
	to := make([]int32, m.NumVertices())
	for i, v := range m.Vertices() {
		n, err := b.Vertex(v.Add(by))
		if err != nil {
			return err
		}
		to[i] = n
	}
	for _, t := range m.Triangles() {
		b.Triangle(to[t[0]], to[t[1]], to[t[2]])
	}
	return nil
}
