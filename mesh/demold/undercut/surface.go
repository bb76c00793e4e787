package undercut

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// SurfaceOptions of OnSurface. The zero value knows of no tunnels.
type SurfaceOptions struct {
	Webs   [][3]float64 // a place in the web of each tunnel that was found
	Linked bool         // there are more tunnels than those
}

// Surface is the pattern's surface with the undercuts that lie on it. Areas mm²,
// lengths mm.
type Surface struct {
	Area      float64     // that undercut rubber lies on
	DraftArea Draft       // of all that rubber lies on, or a pocket
	Regions   []Region    // the deepest first
	PathAt    *[3]float64 // place of the deepest path: of those that mean the same, the first region's
	// VertexPath is, per vertex, how far rubber there must bend to get out, 0 where
	// nothing is undercut, +Inf where it is locked; VertexRegion is the ID of the
	// region that this was read in, 0 where that is 0.
	VertexPath   []float32
	VertexRegion []int32

	rs  *regions
	ids []int32 // of each region, in Regions
}

// RegionAt is the ID of the region that a place of the rubber lies in, 0 where it
// is in none.
func (s *Surface) RegionAt(at [3]float64) int {
	if label := s.rs.labelAt(at); label > 0 {
		return int(s.ids[label-1])
	}
	return 0
}

// Draft is the surface by draft angle, degrees: asin(n·u), as shares or areas.
type Draft struct {
	Under0    float64 `json:"under_0"`
	To1       float64 `json:"0_1"`
	To3       float64 `json:"1_3"`
	OverThree float64 `json:"over_3"`
}

// plus is the sum of two areas.
func (d Draft) plus(e Draft) Draft {
	return Draft{d.Under0 + e.Under0, d.To1 + e.To1, d.To3 + e.To3, d.OverThree + e.OverThree}
}

// Shares of the whole; all 0 where there is none.
func (d Draft) Shares() Draft {
	all := d.Under0 + d.To1 + d.To3 + d.OverThree
	if !(all > 0) {
		return Draft{}
	}
	return Draft{d.Under0 / all, d.To1 / all, d.To3 / all, d.OverThree / all}
}

// OnSurface joins the undercuts into regions and reads off the triangles how much
// surface they hold, its draft, and the path at every vertex. The error is the
// ctx's.
func OnSurface(ctx context.Context, u *Result, o SurfaceOptions) (*Surface, error) {
	rs := findRegions(u)
	sum, err := rs.areas(ctx)
	if err != nil {
		return nil, err
	}
	for n, r := range rs.all {
		r.area = sum.region[n]
	}
	s := &Surface{Area: sum.undercut, DraftArea: sum.draft, rs: rs}
	s.Regions, s.ids = rs.list(o)
	s.PathAt = worstAt(u, s.Regions)
	if s.VertexPath, s.VertexRegion, err = rs.vertices(ctx, s.ids); err != nil {
		return nil, err
	}
	return s, nil
}

// outside finds the half and the gap (its number, -1 = open above) just outside
// the surface at p with outward unit normal n. inner is true where S itself lies
// there: the place does not bound S.
func (r *Result) outside(p, n mesh.Vec) (half, at int, inner bool) {
	cell := r.Scene.Field.Cell
	for _, step := range [2]float64{0.75, 1.6} {
		half, i, j, z, ok := r.columnAt(p.Add(n.Mul(step * cell)))
		if !ok {
			return half, -1, false
		}
		h := r.halves[half]
		col, off := h.f.Column(i, j), h.f.Offset(i, j)
		k := 0
		for k < len(col) && col[k].Top <= z {
			k++
		}
		switch {
		case k == len(col):
			return half, -1, false
		case z < col[k].Bottom:
			return half, off + k, false
		case z-col[k].Bottom < step*cell/2 && n.Dot(h.up) < 0:
			// Inside a span. Under a floor steeper than the step the gap may still
			// be the right one.
			return half, off + k, false
		}
	}
	return 0, -1, true
}

// areaSums is what is added up over the triangles, mm².
type areaSums struct {
	draft    Draft
	undercut float64
	region   []float64
}

// flatDraft is the draft under which a wall is vertical, degrees: a drawn vertical
// wall is vertical to about this much after it has been through a file of 32-bit
// numbers. Judgement of this program.
const flatDraft = 0.05

// surfaceBlock is how many triangles or vertices are taken at a time.
const surfaceBlock = 1 << 13

// areas adds up draft and undercut area over the triangles.
func (rs *regions) areas(ctx context.Context) (areaSums, error) {
	solid := rs.Scene.Solid
	n := solid.Surface().NumTriangles()
	parts := make([]areaSums, (n+surfaceBlock-1)/surfaceBlock)
	err := par.Blocks(ctx, n, surfaceBlock, func(from, to int) {
		a := areaSums{region: make([]float64, len(rs.all))}
		for t := from; t < to; t++ {
			if solid.Live(t) {
				rs.triangle(t, &a)
			}
		}
		parts[from/surfaceBlock] = a
	})
	sum := areaSums{region: make([]float64, len(rs.all))}
	for _, p := range parts {
		sum.undercut += p.undercut
		sum.draft = sum.draft.plus(p.draft)
		for n, x := range p.region {
			sum.region[n] += x
		}
	}
	return sum, err
}

// triangle adds one triangle: clipped at the clay line (for a parted mold cut at
// the parting), then judged in pieces of a few cells.
func (rs *regions) triangle(t int, a *areaSums) {
	c := rs.Scene
	p, q, r := c.Solid.Surface().Corners(t)
	n := q.Sub(p).Cross(r.Sub(p))
	if n.Len() == 0 {
		return
	}
	n = n.Unit()
	if !c.Solid.Outward(t) {
		n = n.Neg()
	}
	z := [3]float64{p.Dot(c.Up), q.Dot(c.Up), r.Dot(c.Up)}
	if c.OnBoard() && max(z[0], z[1], z[2]) <= c.Base+c.Eps {
		return // stands on the board
	}
	line, sides := c.ClayLine(), []bool{true}
	if rs.Parting != nil {
		line, sides = *rs.Parting, []bool{true, false}
	}
	for _, above := range sides {
		poly, corners := section.Clip([3]mesh.Vec{p, q, r}, z, line, above)
		up := c.Up
		if !above {
			up = up.Neg()
		}
		for e := 2; e < corners; e++ {
			rs.judge(poly[0], poly[e-1], poly[e], n, n.Dot(up), a, 0)
		}
	}
}

// judge adds a piece of surface with outward normal n, whose cosine to its half's
// way up is c. It halves the longest edge while that is longer than a few cells.
func (rs *regions) judge(p, q, r, n mesh.Vec, c float64, a *areaSums, depth int) {
	lp, lq, lr := r.Sub(q).Len(), p.Sub(r).Len(), q.Sub(p).Len()
	l := max(lp, lq, lr)
	if !(l > 4*rs.Scene.Field.Cell) || depth >= 24 {
		rs.add(p.Add(q).Add(r).Mul(1.0/3), n, c, q.Sub(p).Cross(r.Sub(p)).Len()/2, a)
		return
	}
	switch l {
	case lp:
		m := q.Add(r).Mul(0.5)
		rs.judge(p, q, m, n, c, a, depth+1)
		rs.judge(p, m, r, n, c, a, depth+1)
	case lq:
		m := p.Add(r).Mul(0.5)
		rs.judge(p, q, m, n, c, a, depth+1)
		rs.judge(m, q, r, n, c, a, depth+1)
	default:
		m := p.Add(q).Mul(0.5)
		rs.judge(p, m, r, n, c, a, depth+1)
		rs.judge(m, q, r, n, c, a, depth+1)
	}
}

// add adds an area about p, with outward normal n whose cosine to its half's way
// up is c.
func (rs *regions) add(p, n mesh.Vec, c, area float64, a *areaSums) {
	half, at, inner := rs.outside(p, n)
	if inner {
		return
	}
	h := rs.halves[half]
	sealed := false // in a pocket: no rubber, but S's surface all the same
	if at >= 0 {
		switch h.rubber.Fill[at] {
		case scene.Pocket:
			sealed = true
		case scene.Clay:
			return // clay lies against it
		}
	}
	switch deg := math.Asin(min(max(c, -1), 1)) * 180 / math.Pi; {
	case deg <= -flatDraft:
		a.draft.Under0 += area
	case deg < 1:
		a.draft.To1 += area
	case deg <= 3:
		a.draft.To3 += area
	default:
		a.draft.OverThree += area
	}
	ignore := rs.Scene.Ignore
	if at < 0 {
		// Open above. A face that looks down and yet has nothing above the
		// place beside it is shallower than a cell.
		if c < -1e-9 && ignore == 0 {
			a.undercut += area
		}
		return
	}
	if d := float64(h.depth[at]); !sealed && (d < ignore || d == 0 && c >= -1e-9) {
		return
	}
	a.undercut += area
	if l := rs.label[half][at]; l > 0 {
		a.region[l-1] += area
	}
}

// vertices reads the path of the gap just outside the surface at each vertex, and
// the region it belongs to; ids are the numbers that the regions are listed by.
func (rs *regions) vertices(ctx context.Context, ids []int32) (path []float32, region []int32, err error) {
	normal, err := rs.vertexNormals(ctx)
	if err != nil {
		return nil, nil, err
	}
	c := rs.Scene
	verts := c.Solid.Surface().Vertices()
	path, region = make([]float32, len(verts)), make([]int32, len(verts))
	err = par.Blocks(ctx, len(verts), surfaceBlock, func(from, to int) {
		for v := from; v < to; v++ {
			w := normal[v]
			n := mesh.V(float64(w[0]), float64(w[1]), float64(w[2])).Unit()
			p := verts[v]
			if c.OnBoard() && p.Dot(c.Up) < c.ClayLine()-c.Eps || n == (mesh.Vec{}) {
				continue
			}
			half, at, inner := rs.outside(p, n)
			if inner || at < 0 || float64(rs.halves[half].depth[at]) < c.Ignore {
				continue
			}
			path[v] = rs.halves[half].path[at]
			if l := rs.label[half][at]; l > 0 && path[v] != 0 {
				region[v] = ids[l-1]
			}
		}
	})
	if err != nil {
		return nil, nil, err
	}
	return path, region, nil
}

// vertexNormals are outward at every vertex, of any length: the sum of the
// normals of the triangles round it, each as long as its triangle is large.
func (rs *regions) vertexNormals(ctx context.Context) ([][3]float32, error) {
	solid := rs.Scene.Solid
	m := solid.Surface()
	normal := make([][3]float32, m.NumVertices())
	for t, tri := range m.Triangles() {
		if t&(1<<16-1) == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !solid.Live(t) {
			continue
		}
		p, q, r := m.Corners(t)
		n := q.Sub(p).Cross(r.Sub(p))
		if !solid.Outward(t) {
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
	return normal, nil
}
