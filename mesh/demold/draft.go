package demold

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// spot says what lies just outside a place on the surface.
type spot struct {
	half *half
	gap  int // flat index, -1 = open or not found
	ok   bool
}

// judgeSurface fills what is read off the triangles: undercut area, draft,
// regions with their areas, and the path at every vertex.
func judgeSurface(ctx context.Context, a *analysis) error {
	all := a.findRegions()
	if err := a.areas(ctx, all); err != nil {
		return err
	}
	ids := a.reportRegions(all)
	a.nameTunnels(ids)
	return a.vertexPaths(ctx, ids)
}

// halfAt is the half of the mold that rubber at height z (along u) belongs to.
func (a *analysis) halfAt(z float64) *half {
	if len(a.halves) == 2 && z < a.parting {
		return a.halves[1]
	}
	return a.halves[0]
}

// outside finds what lies outside the surface at p with outward unit normal n.
// inner is true where S itself lies there: the place does not bound S.
func (a *analysis) outside(p, n mesh.Vec) (s spot, inner bool) {
	for _, step := range [2]float64{0.75, 1.6} {
		q := p.Add(n.Mul(step * a.Field.Cell))
		x, y, z := a.Field.Plane(q)
		h := a.halfAt(z)
		i, j := int(math.Floor((x-h.f.X0)/h.f.Cell)), int(math.Floor((y-h.f.Y0)/h.f.Cell))
		if i < 0 || j < 0 || i >= h.f.NX || j >= h.f.NY {
			return spot{h, -1, true}, false
		}
		if h.up != a.Up {
			z = -z
		}
		col, off := h.f.Column(i, j), h.f.Offset(i, j)
		k := 0
		for k < len(col) && col[k].Top <= z {
			k++
		}
		if k == len(col) {
			return spot{h, -1, true}, false
		}
		if z < col[k].Bottom {
			return spot{h, off + k, true}, false
		}
		// Inside a span. Under a floor steeper than the step the gap may
		// still be the right one.
		if z-col[k].Bottom < step*a.Field.Cell/2 && n.Dot(h.up) < 0 {
			return spot{h, off + k, true}, false
		}
	}
	return spot{a.halfAt(p.Dot(a.Up)), -1, false}, true
}

// tally is what areas adds up, per block of triangles.
type tally struct {
	draft  [4]float64 // under 0, to 1°, to 3°, over
	area   float64
	region []float64
}

// The bins of the draft, degrees. An angle smaller than flatDraft is 0: a
// drawn vertical wall is vertical to about this much after it has been
// through a file of 32-bit numbers.
const flatDraft = 0.05

// areas adds up draft and undercut area over the triangles.
func (a *analysis) areas(ctx context.Context, all []*region) error {
	m := a.Solid.Surface()
	const block = 1 << 13
	nb := (m.NumTriangles() + block - 1) / block
	parts := make([]tally, nb)
	err := par.Each(ctx, nb, func(b int) {
		t := tally{region: make([]float64, len(all))}
		for k := b * block; k < min((b+1)*block, m.NumTriangles()); k++ {
			if a.Solid.Live(k) {
				a.triangle(k, &t)
			}
		}
		parts[b] = t
	})
	if err != nil {
		return err
	}
	var sum tally
	for _, p := range parts {
		sum.area += p.area
		for n := range sum.draft {
			sum.draft[n] += p.draft[n]
		}
		for n, r := range all {
			r.area += p.region[n]
		}
	}
	a.rep.UndercutArea = sum.area
	total := sum.draft[0] + sum.draft[1] + sum.draft[2] + sum.draft[3]
	if total > 0 {
		a.rep.DraftArea = Draft{sum.draft[0], sum.draft[1], sum.draft[2], sum.draft[3]}
		a.rep.Draft = Draft{sum.draft[0] / total, sum.draft[1] / total, sum.draft[2] / total, sum.draft[3] / total}
	}
	return nil
}

// triangle adds one triangle to the tally: clipped at the clay line (for a
// parted mold cut at the parting), then judged in pieces of a few cells.
func (a *analysis) triangle(k int, t *tally) {
	p, q, r := a.Solid.Surface().Corners(k)
	n := q.Sub(p).Cross(r.Sub(p))
	if n.Len() == 0 {
		return
	}
	n = n.Unit()
	if !a.Solid.Outward(k) {
		n = n.Neg()
	}
	line := a.ClayLine()
	if !a.OnBoard() {
		line = a.parting
	}
	z := [3]float64{p.Dot(a.Up), q.Dot(a.Up), r.Dot(a.Up)}
	if a.OnBoard() && max(z[0], z[1], z[2]) <= a.Base+a.Eps {
		return // stands on the board
	}
	v := [3]mesh.Vec{p, q, r}
	side := func(above bool) {
		poly, c := section.Clip(v, z, line, above)
		up := a.Up
		if !above {
			up = up.Neg()
		}
		for e := 2; e < c; e++ {
			a.judge(poly[0], poly[e-1], poly[e], n, n.Dot(up), t, 0)
		}
	}
	side(true)
	if !a.OnBoard() {
		side(false)
	}
}

// judge adds a piece of surface with outward normal n, whose cosine to its
// half's way up is c.
func (a *analysis) judge(p, q, r, n mesh.Vec, c float64, t *tally, depth int) {
	// Halve the longest edge while it is longer than a few cells.
	lp, lq, lr := r.Sub(q).Len(), p.Sub(r).Len(), q.Sub(p).Len()
	if l := max(lp, lq, lr); l > 4*a.Field.Cell && depth < 24 {
		switch l {
		case lp:
			m := q.Add(r).Mul(0.5)
			a.judge(p, q, m, n, c, t, depth+1)
			a.judge(p, m, r, n, c, t, depth+1)
		case lq:
			m := p.Add(r).Mul(0.5)
			a.judge(p, q, m, n, c, t, depth+1)
			a.judge(m, q, r, n, c, t, depth+1)
		default:
			m := p.Add(q).Mul(0.5)
			a.judge(p, m, r, n, c, t, depth+1)
			a.judge(m, q, r, n, c, t, depth+1)
		}
		return
	}
	area := q.Sub(p).Cross(r.Sub(p)).Len() / 2
	s, inner := a.outside(p.Add(q).Add(r).Mul(1.0/3), n)
	if inner {
		return
	}
	sealed := false // in a pocket: no rubber, but S's surface all the same
	if s.gap >= 0 {
		switch s.half.rubber.Fill[s.gap] {
		case scene.Pocket:
			sealed = true
		case scene.Clay:
			return // clay lies against it
		}
	}
	switch deg := math.Asin(min(max(c, -1), 1)) * 180 / math.Pi; {
	case deg <= -flatDraft:
		t.draft[0] += area
	case deg < 1:
		t.draft[1] += area
	case deg <= 3:
		t.draft[2] += area
	default:
		t.draft[3] += area
	}
	if s.gap < 0 {
		// Open above. A face that looks down and yet has nothing above the
		// place beside it is shallower than a cell.
		if c < -1e-9 && a.Ignore == 0 {
			t.area += area
		}
		return
	}
	if d := float64(s.half.depth[s.gap]); !sealed && (d < a.Ignore || d == 0 && c >= -1e-9) {
		return
	}
	t.area += area
	if l := s.half.label[s.gap]; l > 0 {
		t.region[l-1] += area
	}
}

// vertexPaths fills the report's VertexPath and VertexRegion: the path of the
// gap just outside the surface at each vertex and the region it belongs to. ids
// holds the reported number of each region.
func (a *analysis) vertexPaths(ctx context.Context, ids []int32) error {
	m := a.Solid.Surface()
	nv := m.NumVertices()
	normal := make([][3]float32, nv)
	verts := m.Vertices()
	for k, tri := range m.Triangles() {
		if k&(1<<16-1) == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if !a.Solid.Live(k) {
			continue
		}
		p := verts[tri[0]]
		n := verts[tri[1]].Sub(p).Cross(verts[tri[2]].Sub(p))
		if !a.Solid.Outward(k) {
			n = n.Neg()
		}
		x, y, z := float32(n.X), float32(n.Y), float32(n.Z)
		for _, v := range tri {
			w := &normal[v]
			w[0] += x
			w[1] += y
			w[2] += z
		}
	}
	out, region := make([]float32, nv), make([]int32, nv)
	const block = 1 << 13
	err := par.Each(ctx, (nv+block-1)/block, func(b int) {
		for v := b * block; v < min((b+1)*block, nv); v++ {
			w := normal[v]
			n := mesh.V(float64(w[0]), float64(w[1]), float64(w[2])).Unit()
			p := verts[v]
			if a.OnBoard() && p.Dot(a.Up) < a.ClayLine()-a.Eps || n == (mesh.Vec{}) {
				continue
			}
			if s, inner := a.outside(p, n); !inner && s.gap >= 0 && float64(s.half.depth[s.gap]) >= a.Ignore {
				if out[v] = s.half.path[s.gap]; out[v] == 0 {
					continue
				}
				if l := s.half.label[s.gap]; l > 0 {
					region[v] = ids[l-1]
				}
			}
		}
	})
	if err != nil {
		return err
	}
	a.rep.VertexPath, a.rep.VertexRegion = out, region
	return nil
}
