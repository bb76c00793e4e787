package demold

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/par"
)

// candidate is one way to stand.
type candidate struct {
	trial
	from    pose.Origin
	rests   bool    // a side the pattern rests on by itself
	open    bool    // stands on the open side of a scan
	given   int     // 0 the file's own up, 1.. in order of the axes, then the rest
	contact float64 // plain surface in the base plane, mm²
	rubber  float64 // what a plain box round it would take, mm³; for ties only
}

// plain is how much of the side that faces the board is plain contact: contact
// as a share of the outline, less the share of all surface that is lost
// in hollows on the board.
func (c *candidate) plain(area float64) float64 {
	if c.shadow <= 0 {
		return 0
	}
	return c.contact/c.shadow - c.pocket/area
}

// maxResting bounds the resting sides that are tried; the largest go first.
const maxResting = 12

// candidates lists the directions: the file's own up, the axes, the sides the
// pattern rests on, the open sides of a scan.
func (st *stand) candidates(ctx context.Context) error {
	first := mesh.V(0, 0, 1)
	from := pose.AssumedUp
	if st.o.FileUp != nil {
		first = st.o.FileUp.Unit()
		from = pose.FileUp
	}
	st.add(first, from)
	for _, a := range []struct {
		u    mesh.Vec
		from pose.Origin
	}{
		{mesh.V(0, 0, 1), pose.PlusZ}, {mesh.V(0, 0, -1), pose.MinusZ}, {mesh.V(0, 1, 0), pose.PlusY},
		{mesh.V(0, -1, 0), pose.MinusY}, {mesh.V(1, 0, 0), pose.PlusX}, {mesh.V(-1, 0, 0), pose.MinusX},
	} {
		st.add(a.u, a.from)
	}
	for k, op := range st.s.Openings {
		if k == 3 || !st.o.Mold.OnBoard() || op.Area < openShare*st.p.Area {
			break
		}
		u := op.Normal.Neg()
		if u.Dot(first) < -math.Sqrt2/2 {
			continue // it would stand on its mouth: whether that is open is another question
		}
		if !u.IsFinite() || u == (mesh.Vec{}) {
			continue
		}
		st.add(u.Unit(), pose.OpenSideDown).open = true
	}
	sides, err := st.resting(ctx)
	if err != nil {
		return err
	}
	for k, u := range sides {
		if k == maxResting {
			break
		}
		st.add(u, pose.Resting).rests = true
	}
	return nil
}

// facet is a triangle of a convex hull, and side several of them that are one.
type facet struct {
	n    mesh.Vec // unit, outward
	area float64
}

type side struct {
	up   mesh.Vec
	area float64 // of what would touch the board, mm²
}

// resting returns the up directions of the sides of the convex hull that carry
// the centre of mass, largest side first.
func (st *stand) resting(ctx context.Context) ([]mesh.Vec, error) {
	h, err := mesh.Hull3(ctx, st.p.Mesh.Vertices())
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
		if area, ok := st.footing(h.Vertices(), up); ok {
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

// footing is the area of the hull of the lowest vertices with a side up, mm²,
// and whether it carries the centre of mass.
func (st *stand) footing(verts []mesh.Vec, up mesh.Vec) (float64, bool) {
	low := math.Inf(1)
	for _, v := range verts {
		low = min(low, v.Dot(up))
	}
	e1, e2 := mesh.Basis(up)
	var foot []mesh.Vec2
	for _, v := range verts {
		if v.Dot(up) <= low+roughContact*st.p.Size {
			foot = append(foot, mesh.Vec2{X: v.Dot(e1), Y: v.Dot(e2)})
		}
	}
	foot = mesh.Hull2(foot)
	if len(foot) < 3 || !holds(foot, mesh.Vec2{X: st.p.Middle.Dot(e1), Y: st.p.Middle.Dot(e2)}) {
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

// add takes in a direction unless it is there already.
func (st *stand) add(u mesh.Vec, from pose.Origin) *candidate {
	for _, c := range st.cands {
		if c.up.Dot(u) >= snap {
			return c
		}
	}
	c := &candidate{trial: trial{up: u}, from: from, given: len(st.cands)}
	st.cands = append(st.cands, c)
	return c
}

// snap is the angle within which a direction is taken to be one already there.
var snap = math.Cos(0.1 * math.Pi / 180)

// trialColumns is how many columns lie across the largest size in a coarse
// trial: a depth is good to about 1 % of the size.
const trialColumns = 96

// judge tries every candidate.
func (st *stand) judge(ctx context.Context) error {
	errs := make([]error, len(st.cands))
	err := par.Each(ctx, len(st.cands), func(k int) {
		c := st.cands[k]
		c.trial, errs[k] = tryOn(ctx, st.p, c.up, trialColumns, st.options())
	})
	if err == nil {
		err = errors.Join(errs...)
	}
	if err != nil {
		return err
	}
	if st.o.Mold.OnBoard() {
		ups := make([]mesh.Vec, len(st.cands))
		for k, c := range st.cands {
			ups[k] = c.up
		}
		got, err := contacts(ctx, st.s, ups, roughContact*st.p.Size, roughAngle)
		if err != nil {
			return err
		}
		for k, c := range st.cands {
			c.contact = got[k]
		}
	}
	for _, c := range st.cands {
		hull := mesh.OutlinePoints(st.p.Mesh, nil, c.up)
		// Rubber all round as it is commonly planned: a tenth of the size, at
		// least 6 and at most 25 mm. Common practice, no source; for ties only.
		wall := min(max(st.p.Size/10, 6), 25)
		r := mesh.MinRectGrown(hull, wall, 0)
		h := c.height + wall
		if !st.o.Mold.OnBoard() {
			h += wall
		}
		c.rubber = r.Length*r.Width*h - st.p.Volume
	}
	return nil
}
