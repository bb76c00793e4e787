package estimate

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/unit"
)

// UnitsFrom says where the unit of a file's numbers is had from.
type UnitsFrom string

// Where it is had from.
const (
	UnitsInFile  UnitsFrom = "file"    // the file states it
	UnitsSaid    UnitsFrom = "flag"    // the user says it
	UnitsAssumed UnitsFrom = "assumed" // mm, for lack of better
)

// unitNames are the units that a file's numbers can be in.
var unitNames = map[string]unit.Length{"micron": unit.MM / 1000, "mm": unit.MM, "cm": unit.CM, "m": unit.M, "in": unit.Inch, "ft": unit.Foot}

// ReadAs says in which unit a file's numbers are, and by what they are multiplied
// for the pattern in mm: said is the user's word for the unit ("" = none), factor
// makes the pattern as many times as big (nil = as it is).
func ReadAs(file string, info meshfile.Info, said string, factor *float64) (src Source, scale float64) {
	src = Source{File: file, Format: info.Format, FileUp: info.Up, Resized: 1, Findings: info.Findings}
	switch {
	case said != "":
		src.Units, src.UnitsFrom, scale = said, UnitsSaid, float64(unitNames[said])
	case info.Unit != "":
		src.Units, src.UnitsFrom, scale = info.Unit, UnitsInFile, info.Scale
	default:
		src.Units, src.UnitsFrom, scale = "mm", UnitsAssumed, 1
	}
	if factor != nil {
		src.Resized = *factor
		scale *= *factor
	}
	return src, scale
}

// SizeError is a finished size that a pattern cannot be brought to.
type SizeError struct {
	File   string
	Factor float64 // how many times as big; 0 = the pattern has no height along upright
}

// Error says what is so.
func (e *SizeError) Error() string {
	if e.Factor == 0 {
		return "estimate: no height along upright"
	}
	return "estimate: the size asked for is too large to reckon with"
}

// sized brings a mesh to the finished size that the job asks for. The height is
// along upright, whatever way up the pattern is then molded: a client says how
// tall a thing is where it stands, not in the mold.
func (r *resolved) sized(ctx context.Context, m *mesh.Mesh) (*mesh.Mesh, *resolved, error) {
	var to, from float64
	switch {
	case r.Longest != nil:
		size := m.Size()
		to, from = *r.Longest, max(size.X, size.Y, size.Z)
		if from <= 0 {
			return m, r, nil // of no size at all: the survey says so
		}
	case r.Height != nil:
		top, _ := r.upright()
		h, err := heightOf(ctx, m, top, r.KeepCrumbs)
		if err != nil {
			return nil, nil, err
		}
		if to, from = *r.Height, h; !(from > 0) {
			return nil, nil, &SizeError{File: r.Source.File}
		}
	default:
		return m, r, nil
	}
	out := *r
	out.Source.Resized, out.Source.SizeGiven = to/from, true
	m, err := resized(m, to, from)
	return m, &out, err
}

// resized returns a mesh made to/from times as big: divided last, so that a size
// comes out as the one asked for.
func resized(m *mesh.Mesh, to, from float64) (*mesh.Mesh, error) {
	vs := make([]mesh.Vec, m.NumVertices())
	for i, v := range m.Vertices() {
		vs[i] = mesh.Vec{X: v.X * to / from, Y: v.Y * to / from, Z: v.Z * to / from}
		if !vs[i].IsFinite() {
			return nil, &SizeError{Factor: to / from}
		}
	}
	return mesh.New(vs, m.Triangles()), nil
}

// heightOf is how far a mesh reaches along a direction of length 1, mm. Loose
// crumbs are no part of it unless they are kept.
func heightOf(ctx context.Context, m *mesh.Mesh, top mesh.Vec, keepCrumbs bool) (float64, error) {
	sv, err := mesh.Inspect(ctx, m, mesh.SurveyOptions{})
	if err != nil {
		return 0, fmt.Errorf("estimate: %w", err)
	}
	loose := !keepCrumbs && sv.Crumbs < len(sv.Pieces)
	lo, hi := math.Inf(1), math.Inf(-1)
	for t, p := range sv.PieceOf {
		if p < 0 || loose && sv.Pieces[p].Crumb {
			continue
		}
		a, b, c := m.Corners(t)
		x, y, z := a.Dot(top), b.Dot(top), c.Dot(top)
		lo, hi = min(lo, x, y, z), max(hi, x, y, z)
	}
	return hi - lo, nil
}
