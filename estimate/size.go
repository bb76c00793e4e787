package estimate

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/meshfile"
	"moldtally/mesh/solid"
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
	Factor float64 // how many times as big; 0 = the pattern has no height along up
}

// Error says what is so.
func (e *SizeError) Error() string {
	if e.Factor == 0 {
		return "estimate: no height along up"
	}
	return "estimate: the size asked for is too large to reckon with"
}

// sized brings a mesh to the finished size that the job asks for. The height is
// along up: where the side up is left open the pattern is first stood up as it
// is, and that side is returned.
func (r *resolved) sized(ctx context.Context, m *mesh.Mesh, o Options) (*mesh.Mesh, *resolved, *mesh.Vec, error) {
	var to, from float64
	var stood *mesh.Vec
	switch {
	case r.Longest != nil:
		size := m.Size()
		to, from = *r.Longest, max(size.X, size.Y, size.Z)
		if from <= 0 {
			return m, r, nil, nil // of no size at all: the survey says so
		}
	case r.Height != nil:
		k, err := know(ctx, m, r, o)
		if err != nil {
			return nil, nil, nil, err
		}
		to = *r.Height
		if r.Up.Held() {
			from = heightOf(k.solid, r.Up.Dir)
		} else {
			c, err := k.choose(ctx)
			if err != nil {
				return nil, nil, nil, err
			}
			up := c.up()
			stood, from = &up, c.pose.Height
		}
		if !(from > 0) {
			return nil, nil, nil, &SizeError{File: r.Source.File}
		}
	default:
		return m, r, nil, nil
	}
	out := *r
	out.Source.Resized, out.Source.SizeGiven = to/from, true
	m, err := resized(m, to, from)
	return m, &out, stood, err
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

// heightOf is how far a solid reaches along up; loose crumbs are no part of it.
func heightOf(s *solid.Solid, up mesh.Vec) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	m := s.Surface()
	for t := range m.NumTriangles() {
		if !s.Live(t) {
			continue
		}
		a, b, c := m.Corners(t)
		x, y, z := a.Dot(up), b.Dot(up), c.Dot(up)
		lo, hi = min(lo, x, y, z), max(hi, x, y, z)
	}
	return hi - lo
}
