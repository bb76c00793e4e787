package pose

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/par"
	"moldtally/mesh/solid"
)

// Contact with the board. Common practice, no source.
const (
	// roughContact is the height above the base plane, as a share of the
	// largest size, up to which a face is taken to lie on the board when ways
	// to stand are compared: a scan's flat foot is that rough.
	roughContact = 3e-3
	// fineContact is the same for the contact that is reported.
	fineContact = 5e-4
)

// roughAngle and fineAngle are how far from level a face in contact may lean.
var (
	roughAngle = math.Cos(25 * math.Pi / 180)
	fineAngle  = math.Cos(10 * math.Pi / 180)
)

// block is how many triangles or vertices are taken between two looks at the
// context.
const block = 1 << 15

// contacts returns, for each way up, the area of the surface in the base plane:
// of the faces that look down to within an angle and lie no higher than tol.
func contacts(ctx context.Context, s *solid.Solid, ups []mesh.Vec, tol, cos float64) ([]float64, error) {
	m := s.Surface()
	verts, tris := m.Vertices(), m.Triangles()
	base, err := bases(ctx, s, ups)
	if err != nil {
		return nil, err
	}
	return overBlocks(ctx, len(tris), make([]float64, len(ups)), func(sum []float64, t int) {
		if !s.Live(t) {
			return
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
	}, func(a, b float64) float64 { return a + b })
}

// bases returns the least height of the surface along each direction.
func bases(ctx context.Context, s *solid.Solid, ups []mesh.Vec) ([]float64, error) {
	m := s.Surface()
	verts := m.Vertices()
	used := make([]bool, len(verts))
	for t, i := range m.Triangles() {
		if s.Live(t) {
			used[i[0]], used[i[1]], used[i[2]] = true, true, true
		}
	}
	none := make([]float64, len(ups))
	for k := range none {
		none[k] = math.Inf(1)
	}
	return overBlocks(ctx, len(verts), none, func(low []float64, v int) {
		if !used[v] {
			return
		}
		for k, u := range ups {
			low[k] = min(low[k], verts[v].Dot(u))
		}
	}, func(a, b float64) float64 { return min(a, b) })
}

// overBlocks gathers figures from 0 to n−1, block by block from what they are of
// nothing, and joins the blocks' in their order.
func overBlocks(ctx context.Context, n int, nothing []float64, gather func(into []float64, k int), join func(a, b float64) float64) ([]float64, error) {
	parts := make([][]float64, (n+block-1)/block)
	err := par.Blocks(ctx, n, block, func(from, to int) {
		into := append([]float64(nil), nothing...)
		for k := from; k < to; k++ {
			gather(into, k)
		}
		parts[from/block] = into
	})
	out := append([]float64(nil), nothing...)
	for _, p := range parts {
		for k, x := range p {
			out[k] = join(out[k], x)
		}
	}
	return out, err
}

// measure measures how the pattern stands with u up. Only on a baseboard is
// there a base plane, and surface that is not molded.
func measure(ctx context.Context, s *solid.Solid, u mesh.Vec, mold scene.Mold, why Chosen) (Pose, error) {
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
		return Pose{}, err
	}
	p := Pose{
		Up: u.Array(), Reason: why, YawDeg: math.Atan2(r.Axis.Y, r.Axis.X) * 180 / math.Pi,
		Height: -low[1] - low[0], Rect: [2]float64{r.Length, r.Width}, Circle: 2 * c.Radius,
	}
	if !mold.OnBoard() {
		return p, nil
	}
	size := m.Size()
	contact, err := contacts(ctx, s, []mesh.Vec{u}, fineContact*max(size.X, size.Y, size.Z), fineAngle)
	if err != nil {
		return Pose{}, err
	}
	area, err := s.Area(ctx)
	if err != nil {
		return Pose{}, err
	}
	if area > 0 {
		p.BaseContact, p.BaseContactFraction = contact[0], contact[0]/area
	}
	return p, nil
}
