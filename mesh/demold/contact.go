package demold

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/par"
	"moldtally/mesh/solid"
)

// sliceBlock is how many triangles are taken between two looks at the context.
const sliceBlock = 1 << 15

// contacts returns, for each way up, the area of the surface in the base plane:
// of the faces that look down to within an angle and lie no higher than tol.
func contacts(ctx context.Context, s *solid.Solid, ups []mesh.Vec, tol, cos float64) ([]float64, error) {
	m := s.Surface()
	verts, tris := m.Vertices(), m.Triangles()
	base, err := bases(ctx, s, ups)
	if err != nil {
		return nil, err
	}
	nb := (len(tris) + sliceBlock - 1) / sliceBlock
	part := make([][]float64, nb)
	err = par.Blocks(ctx, len(tris), sliceBlock, func(from, to int) {
		sum := make([]float64, len(ups))
		for t := from; t < to; t++ {
			if !s.Live(t) {
				continue
			}
			i := tris[t]
			a, b, c := verts[i[0]], verts[i[1]], verts[i[2]]
			for k, u := range ups {
				limit := base[k] + tol
				if a.Dot(u) > limit || b.Dot(u) > limit || c.Dot(u) > limit {
					continue
				}
				n := b.Sub(a).Cross(c.Sub(a))
				if !s.Outward(t) {
					n = n.Neg()
				}
				if l := n.Len(); -n.Dot(u) >= cos*l {
					sum[k] += l / 2
				}
			}
		}
		part[from/sliceBlock] = sum
	})
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(ups))
	for _, p := range part {
		for k, x := range p {
			out[k] += x
		}
	}
	return out, nil
}

// bases returns the least height of the surface along each direction.
func bases(ctx context.Context, s *solid.Solid, ups []mesh.Vec) ([]float64, error) {
	m := s.Surface()
	verts, tris := m.Vertices(), m.Triangles()
	all := true
	for t := range tris {
		if !s.Live(t) {
			all = false
			break
		}
	}
	out := make([]float64, len(ups))
	for k := range out {
		out[k] = math.Inf(1)
	}
	n := len(verts)
	if !all {
		n = len(tris)
	}
	nb := (n + sliceBlock - 1) / sliceBlock
	part := make([][]float64, nb)
	err := par.Blocks(ctx, n, sliceBlock, func(from, to int) {
		low := make([]float64, len(ups))
		for k := range low {
			low[k] = math.Inf(1)
		}
		for q := from; q < to; q++ {
			if all {
				for k, u := range ups {
					low[k] = min(low[k], verts[q].Dot(u))
				}
				continue
			}
			if !s.Live(q) {
				continue
			}
			for _, v := range tris[q] {
				for k, u := range ups {
					low[k] = min(low[k], verts[v].Dot(u))
				}
			}
		}
		part[from/sliceBlock] = low
	})
	if err != nil {
		return nil, err
	}
	for _, p := range part {
		for k, x := range p {
			out[k] = min(out[k], x)
		}
	}
	return out, nil
}

// measurePose measures how the pattern stands with u up. Only on a baseboard is
// there a base plane, and surface that is not molded.
func measurePose(ctx context.Context, s *solid.Solid, u mesh.Vec, mold Mold, why pose.Chosen) (*pose.Pose, error) {
	m := s.Surface()
	var skip []bool
	for t := range m.NumTriangles() {
		if !s.Live(t) {
			if skip == nil {
				skip = make([]bool, m.NumTriangles())
			}
			skip[t] = true
		}
	}
	hull := mesh.OutlinePoints(m, skip, u)
	r, c := mesh.MinRect(hull), mesh.MinCircle(hull)
	low, err := bases(ctx, s, []mesh.Vec{u, u.Neg()})
	if err != nil {
		return nil, err
	}
	size := m.Size()
	contact, err := contacts(ctx, s, []mesh.Vec{u}, fineContact*max(size.X, size.Y, size.Z), fineAngle)
	if err != nil {
		return nil, err
	}
	nb := (m.NumTriangles() + sliceBlock - 1) / sliceBlock
	part := make([]float64, nb)
	err = par.Blocks(ctx, m.NumTriangles(), sliceBlock, func(from, to int) {
		for t := from; t < to; t++ {
			if s.Live(t) {
				a, b, c := m.Corners(t)
				part[from/sliceBlock] += b.Sub(a).Cross(c.Sub(a)).Len() / 2
			}
		}
	})
	if err != nil {
		return nil, err
	}
	var area float64
	for _, x := range part {
		area += x
	}
	p := &pose.Pose{
		Up: u.Array(), Reason: why, YawDeg: math.Atan2(r.Axis.Y, r.Axis.X) * 180 / math.Pi,
		Height: -low[1] - low[0], Rect: [2]float64{r.Length, r.Width}, Circle: 2 * c.Radius,
	}
	if mold.OnBoard() && area > 0 {
		p.BaseContact = contact[0]
		p.BaseContactFraction = contact[0] / area
	}
	return p, nil
}
