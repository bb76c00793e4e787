package boxfit

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/unit"
)

// scene is a pattern as it stands in the container: all that a container needs
// to know of it. Plane positions are on mesh.Basis(up), heights along up from
// the file's origin, mm.
type scene struct {
	up, e1, e2 mesh.Vec
	surface    *mesh.Mesh
	skip       []bool // triangles that are not pattern; nil = none
	used       []bool // vertices of the others; nil = all

	hull      []mesh.Vec2 // convex outline from above
	rect      mesh.Rect   // least rectangle of the bare outline
	circle    mesh.Circle // least circle of the bare outline
	base, top float64

	displaced unit.Bounded[unit.Volume]
	pockets   float64                 // mm³ that rubber cannot reach
	clay      float64                 // mm³ of clay
	share     func(h float64) float64 // share of the pattern's volume below height h
	parting   *float64                // height of the parting plane

	// columns are what a coat is reckoned over; clayHeight is how far the clay
	// reaches above the base, mm.
	columns    func(context.Context, dexel.Grid) (*dexel.Field, error)
	clayHeight float64
	ragged     func(tri int32) bool // what closes an open bottom on the board, and has clay under it; nil = none
}

// newScene measures the pattern: the triangles of the surface that are not
// skipped.
func newScene(ctx context.Context, surface *mesh.Mesh, skip []bool, up mesh.Vec) (*scene, error) {
	if l := up.Len(); math.Abs(l-1) > 1e-9 {
		return nil, fmt.Errorf("boxfit: up is no unit vector but %v long", l)
	}
	s := &scene{up: up, surface: surface, skip: skip}
	s.e1, s.e2 = mesh.Basis(up)
	if skip != nil {
		s.used = make([]bool, surface.NumVertices())
		for t, tri := range surface.Triangles() {
			if t&0xffff == 0 && ctx.Err() != nil {
				return nil, fmt.Errorf("boxfit: %w", ctx.Err())
			}
			if !skip[t] {
				s.used[tri[0]], s.used[tri[1]], s.used[tri[2]] = true, true, true
			}
		}
	}
	s.hull = mesh.OutlinePoints(surface, skip, up)
	if len(s.hull) == 0 {
		return nil, fmt.Errorf("boxfit: the pattern has no surface")
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("boxfit: %w", err)
	}
	s.rect = mesh.MinRect(s.hull)
	s.circle = mesh.MinCircle(s.hull)
	s.base, s.top = math.Inf(1), math.Inf(-1)
	for k, p := range surface.Vertices() {
		if s.used == nil || s.used[k] {
			h := p.Dot(up)
			s.base, s.top = min(s.base, h), max(s.top, h)
		}
	}
	return s, nil
}

// middle is the center of the outline's area: of a rectangle round what has three arms
// the center lies beside it.
func (s *scene) middle() mesh.Vec2 {
	var sum mesh.Vec2
	area := 0.0
	for k, a := range s.hull {
		b := s.hull[(k+1)%len(s.hull)]
		o := s.hull[0]
		w := a.Sub(o).Cross(b.Sub(o))
		area += w
		sum = sum.Add(a.Add(b).Add(o).Mul(w / 3))
	}
	if area == 0 {
		return s.rect.Center
	}
	return sum.Mul(1 / area)
}

// height is how tall the pattern stands, mm.
func (s *scene) height() float64 { return s.top - s.base }

// below returns the share of the pattern's volume below height h.
func (s *scene) below(h float64) float64 {
	switch {
	case h >= s.top:
		return 1
	case h <= s.base:
		return 0
	case s.share == nil:
		return (h - s.base) / (s.top - s.base)
	}
	return min(1, max(0, s.share(h)))
}

// extreme returns the pattern's vertex at which f is largest; the first of
// equals.
func (s *scene) extreme(f func(mesh.Vec) float64) mesh.Vec {
	best, at := math.Inf(-1), mesh.Vec{}
	for k, p := range s.surface.Vertices() {
		if s.used != nil && !s.used[k] {
			continue
		}
		if v := f(p); v > best {
			best, at = v, p
		}
	}
	return at
}

// plane returns the plane position of a point.
func (s *scene) plane(p mesh.Vec) mesh.Vec2 { return mesh.Vec2{X: p.Dot(s.e1), Y: p.Dot(s.e2)} }

// point returns the point of the file's frame at a plane position and height.
func (s *scene) point(p mesh.Vec2, h float64) mesh.Vec {
	return s.e1.Mul(p.X).Add(s.e2.Mul(p.Y)).Add(s.up.Mul(h))
}

// dir returns the direction of the file's frame along a plane direction.
func (s *scene) dir(d mesh.Vec2) mesh.Vec { return s.e1.Mul(d.X).Add(s.e2.Mul(d.Y)) }
