package pose

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/standin"
)

// facet is a triangle of a convex hull.
type facet struct {
	n    mesh.Vec // unit, outward
	area float64
}

// side is several facets that are one.
type side struct {
	up   mesh.Vec
	area float64 // of what would touch the board, mm²
}

// resting returns the up directions of the sides of the convex hull that carry
// the centre of mass, largest side first.
func resting(ctx context.Context, b *standin.Body) ([]mesh.Vec, error) {
	h, err := mesh.Hull3(ctx, b.Mesh.Vertices())
	if errors.Is(err, mesh.ErrFlat) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	// A side is all facets within a degree of its largest; small ones round a
	// rounding belong to none and are too many to try.
	const maxFacets = 400
	near := math.Cos(math.Pi / 180)
	facets := facetsOf(h)
	var sides []side
	for _, f := range facets[:min(len(facets), maxFacets)] {
		if slices.ContainsFunc(sides, func(s side) bool { return s.up.Dot(f.n) <= -near }) {
			continue
		}
		var n mesh.Vec
		for _, g := range facets {
			if g.n.Dot(f.n) >= near {
				n = n.Add(g.n.Mul(g.area))
			}
		}
		up := n.Unit().Neg()
		if area, ok := footing(h.Vertices(), up, roughContact*b.Size, b.Middle); ok {
			sides = append(sides, side{up, area})
		}
	}
	slices.SortStableFunc(sides, func(a, b side) int { return cmp.Compare(b.area, a.area) })
	out := make([]mesh.Vec, len(sides))
	for k, s := range sides {
		out[k] = s.up
	}
	return out, nil
}

// facetsOf lists the facets of a hull, largest first.
func facetsOf(h *mesh.Mesh) []facet {
	facets := make([]facet, 0, h.NumTriangles())
	for t := range h.NumTriangles() {
		a, b, c := h.Corners(t)
		n := b.Sub(a).Cross(c.Sub(a))
		if l := n.Len(); l > 0 {
			facets = append(facets, facet{n.Mul(1 / l), l / 2})
		}
	}
	slices.SortStableFunc(facets, func(a, b facet) int { return cmp.Compare(b.area, a.area) })
	return facets
}

// footing is the area of the hull of the vertices within tol of the lowest with a
// side up, mm², and whether it carries a weight at middle.
func footing(verts []mesh.Vec, up mesh.Vec, tol float64, middle mesh.Vec) (float64, bool) {
	low := math.Inf(1)
	for _, v := range verts {
		low = min(low, v.Dot(up))
	}
	e1, e2 := mesh.Basis(up)
	var foot []mesh.Vec2
	for _, v := range verts {
		if v.Dot(up) <= low+tol {
			foot = append(foot, mesh.Vec2{X: v.Dot(e1), Y: v.Dot(e2)})
		}
	}
	foot = mesh.Hull2(foot)
	if len(foot) < 3 || !holds(foot, mesh.Vec2{X: middle.Dot(e1), Y: middle.Dot(e2)}) {
		return 0, false
	}
	return mesh.AreaOf(foot), true
}

// holds reports whether a counterclockwise convex polygon contains p.
func holds(poly []mesh.Vec2, p mesh.Vec2) bool {
	for i, a := range poly {
		if poly[(i+1)%len(poly)].Sub(a).Cross(p.Sub(a)) < 0 {
			return false
		}
	}
	return true
}
