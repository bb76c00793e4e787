package mesh

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"moldtally/mesh/par"
)

// ErrFlat is wrapped by Hull3 when all points lie in one plane.
var ErrFlat = errors.New("mesh: the points lie in one plane")

// Hull3 returns the convex hull of the points as a closed mesh, wound outward.
// Every point is on it or inside it, by exact predicates; flat sides come as
// several triangles, and a corner of those may lie inside the side. pts is not
// changed. The same points in the same order give the same mesh.
//
// It is the quickhull of C. B. Barber, D. P. Dobkin & H. Huhdanpaa, "The
// quickhull algorithm for convex hulls", ACM Trans. Math. Software 22 (1996),
// with exact signs in place of widened facets: only faces strictly below a
// point are taken away, so no face ever collapses. Points well inside never
// reach it: see hullFilter.
//
// The error wraps ErrFlat, or ctx's error when it was cancelled.
func Hull3(ctx context.Context, pts []Vec) (*Mesh, error) {
	idx, err := hullFilter(ctx, pts)
	if err != nil {
		return nil, err
	}
	q, err := quickhull(ctx, pts, idx)
	if err != nil {
		return nil, err
	}
	return q.mesh(), nil
}

// hullSample is how many points are tried for the coarse polytope, hullCoarse
// how many corners it may have (each of its facets is asked at each corner of
// the cube map), and hullMinimum how many points there must be for the filter
// to pay.
const (
	hullSample  = 20000
	hullCoarse  = 1000
	hullMinimum = 4 * hullSample
)

// hullMap is the number of cells along an edge of the cube map.
const hullMap = 48

// hullBlock is how many points a worker takes at a time.
const hullBlock = 1 << 16

// hullFilter returns the indices of the points that may be corners of the
// hull; nil means all.
//
// The hull of a sample gives a coarse polytope. Seen from its middle through
// the side x = 1 of a cube, a facet n·q = d is met at 1/x = n·(1,u,v)/d, which
// is linear in (u, v); the polytope's boundary is the greatest of these, which
// is convex, and a convex function is greatest, over a cell, at one of the
// cell's corners. So one number per cell tells for most points that they are
// inside.
func hullFilter(ctx context.Context, pts []Vec) ([]int32, error) {
	if len(pts) < hullMinimum {
		return nil, nil
	}
	q, err := coarseHull(ctx, pts)
	if q == nil || err != nil {
		return nil, err
	}
	mid, planes := q.planes(pts)
	if planes == nil {
		return nil, nil
	}
	cells := cubeMap(planes)
	blocks := (len(pts) + hullBlock - 1) / hullBlock
	kept := make([][]int32, blocks)
	err = par.Each(ctx, blocks, func(b int) {
		var keep []int32
		for i := b * hullBlock; i < min((b+1)*hullBlock, len(pts)); i++ {
			if !cells.inside(pts[i].Sub(mid)) {
				keep = append(keep, int32(i))
			}
		}
		kept[b] = keep
	})
	if err != nil {
		return nil, fmt.Errorf("mesh: convex hull: %w", err)
	}
	return slices.Concat(kept...), nil
}

// coarseHull is the hull of a sample; nil where it is flat, though all the points
// may not be, or where nearly all points are corners, so that nothing is to gain.
func coarseHull(ctx context.Context, pts []Vec) (*quick, error) {
	stride := len(pts) / hullSample
	sample := make([]int32, 0, hullSample+1)
	for i := 0; i < len(pts); i += stride {
		sample = append(sample, int32(i))
	}
	q, err := quickhull(ctx, pts, sample)
	if err == nil {
		corners := q.corners()
		if len(corners) > len(sample)/2 {
			return nil, nil
		}
		if len(corners) > hullCoarse {
			few := make([]int32, 0, hullCoarse)
			for i := range hullCoarse {
				few = append(few, corners[i*len(corners)/hullCoarse])
			}
			q, err = quickhull(ctx, pts, few)
		}
	}
	if errors.Is(err, ErrFlat) {
		return nil, nil
	}
	return q, err
}

// planes returns the middle of the hull and, seen from there, its faces as
// planes n·q <= 1, moved out by what rounding may take of any of the points; nil
// for a body too thin to filter safely.
func (q *quick) planes(pts []Vec) (mid Vec, planes []Vec) {
	n := 0.0
	for i := range q.faces {
		if f := &q.faces[i]; f.alive {
			for _, v := range f.v {
				mid = mid.Add(pts[v])
				n++
			}
		}
	}
	mid = mid.Mul(1 / n)
	// The sample's faces hold its points to within bound; all points may lie
	// farther apart, so the bound is taken anew.
	lo, hi := pts[0], pts[0]
	for _, p := range pts {
		lo, hi = lo.Min(p), hi.Max(p)
	}
	size := hi.Sub(lo)
	span := max(size.X, size.Y, size.Z)
	for i := range q.faces {
		f := &q.faces[i]
		if !f.alive {
			continue
		}
		n, bound := facePlane(pts[f.v[0]], pts[f.v[1]], pts[f.v[2]], span)
		d := pts[f.v[0]].Sub(mid).Dot(n)
		if !(d > 1000*bound) {
			return mid, nil
		}
		// (1e-9: far above the rounding of what follows.)
		planes = append(planes, n.Mul(1/(d-2*bound)*(1+1e-9)))
	}
	return mid, planes
}

// cubeCells holds, per cell of the six sides of a cube, the greatest 1/x at
// which the polytope's boundary is met.
type cubeCells [6][hullMap][hullMap]float64

// cubeMap works the cells out from the planes n·q <= 1. All planes are tried
// at all corners: walking from facet to facet could stop on a flat side.
func cubeMap(planes []Vec) *cubeCells {
	var corner [6][hullMap + 1][hullMap + 1]float64
	par.Quick(6*(hullMap+1), func(k int) {
		s, j := k/(hullMap+1), k%(hullMap+1)
		v := 2*float64(j)/hullMap - 1
		var at [hullMap + 1]Vec
		for i := range at {
			at[i] = cubeDir(s, 2*float64(i)/hullMap-1, v)
		}
		for _, p := range planes {
			for i, d := range at {
				corner[s][j][i] = max(corner[s][j][i], p.X*d.X+p.Y*d.Y+p.Z*d.Z)
			}
		}
	})
	c := new(cubeCells)
	for s := range c {
		for j := range c[s] {
			for i := range c[s][j] {
				c[s][j][i] = max(corner[s][j][i], corner[s][j][i+1], corner[s][j+1][i], corner[s][j+1][i+1])
			}
		}
	}
	return c
}

// cubeDir is the point (u, v) of a cube's side; sides go +X -X +Y -Y +Z -Z.
func cubeDir(side int, u, v float64) Vec {
	x := 1.0
	if side&1 == 1 {
		x = -1
	}
	switch side / 2 {
	case 0:
		return Vec{x, u, v}
	case 1:
		return Vec{u, x, v}
	}
	return Vec{u, v, x}
}

// inside reports whether q, from the middle, is inside for sure.
func (c *cubeCells) inside(q Vec) bool {
	ax, ay, az := math.Abs(q.X), math.Abs(q.Y), math.Abs(q.Z)
	var s int
	var x, u, v float64
	switch {
	case ax >= ay && ax >= az:
		s, x, u, v = 0, q.X, q.Y, q.Z
	case ay >= az:
		s, x, u, v = 2, q.Y, q.X, q.Z
	default:
		s, x, u, v = 4, q.Z, q.X, q.Y
	}
	if x < 0 {
		s, x = s+1, -x
	}
	if x == 0 {
		return true // the middle itself
	}
	k := hullMap / (2 * x)
	i := min(hullMap-1, int((u+x)*k))
	j := min(hullMap-1, int((v+x)*k))
	return x*c[s][j][i] < 1
}

// hullFace is a triangle of the growing hull.
type hullFace struct {
	v       [3]int32 // corners, counterclockwise from outside
	adj     [3]int32 // face across the edge v[i] → v[i+1]
	first   int32    // its points: head of a list through quick.next, -1 = none
	far     int32    // the one farthest out
	farDist float64
	n       Vec     // normal, not unit
	bound   float64 // n·(p - v[0]) beyond ±bound has the right sign
	seen    int32   // round in which it was found visible or not
	vis     bool
	alive   bool
}

type quick struct {
	pts   []Vec
	span  float64 // of all points, along an axis
	next  []int32 // by position in the list of points
	idx   []int32 // which points; nil = all
	faces []hullFace
	spare []int32
	round int32
}

// facePlane returns the normal (b-a)×(c-a) and a bound on the error of
// n·(p-a), for points that differ by at most span along each axis: the error
// of the plain determinant (see Orient3) is at most orient3Err times the sum
// of its products' sizes.
func facePlane(a, b, c Vec, span float64) (Vec, float64) {
	b, c = b.Sub(a), c.Sub(a)
	x1, x2 := float64(b.Y*c.Z), float64(b.Z*c.Y)
	y1, y2 := float64(b.Z*c.X), float64(b.X*c.Z)
	z1, z2 := float64(b.X*c.Y), float64(b.Y*c.X)
	sum := math.Abs(x1) + math.Abs(x2) + math.Abs(y1) + math.Abs(y2) + math.Abs(z1) + math.Abs(z2)
	return Vec{x1 - x2, y1 - y2, z1 - z2}, 2*orient3Err*(sum+6*minorFloor)*span + detFloor
}

// point returns the point at a position in the list.
func (q *quick) point(k int32) Vec {
	if q.idx == nil {
		return q.pts[k]
	}
	return q.pts[q.idx[k]]
}

// id returns the index into pts of a position in the list.
func (q *quick) id(k int32) int32 {
	if q.idx == nil {
		return k
	}
	return q.idx[k]
}

// above returns how far p lies above a face (in units of its normal), exact in
// sign; 0 or less means not above.
func (q *quick) above(f *hullFace, p Vec) float64 {
	d := p.Sub(q.pts[f.v[0]]).Dot(f.n)
	if d > f.bound {
		return d
	}
	if d < -f.bound {
		return d
	}
	if Orient3(q.pts[f.v[0]], q.pts[f.v[1]], q.pts[f.v[2]], p) > 0 {
		return max(d, math.SmallestNonzeroFloat64)
	}
	return -1
}

// quickhull builds the hull of the points idx (nil = all).
func quickhull(ctx context.Context, pts []Vec, idx []int32) (*quick, error) {
	q := &quick{pts: pts, idx: idx}
	n := len(pts)
	if idx != nil {
		n = len(idx)
	}
	if n == 0 {
		return nil, fmt.Errorf("mesh: convex hull of no points: %w", ErrFlat)
	}
	if n > math.MaxInt32 || len(pts) > math.MaxInt32 {
		return nil, errors.New("mesh: convex hull of more than 2 billion points")
	}
	lo, hi := q.point(0), q.point(0)
	for k := range n {
		p := q.point(int32(k))
		lo, hi = lo.Min(p), hi.Max(p)
	}
	size := hi.Sub(lo)
	if !size.IsFinite() {
		return nil, errors.New("mesh: convex hull: a coordinate is not a number or too large")
	}
	q.span = max(size.X, size.Y, size.Z)
	if err := q.simplex(int32(n)); err != nil {
		return nil, err
	}
	q.next = make([]int32, n)
	var work []int32
	for k := range int32(n) {
		q.hand(k, []int32{0, 1, 2, 3})
	}
	for f := range int32(4) {
		work = append(work, f)
	}
	var horizon []hullEdge
	var stack []hullWalk
	var fresh, seen []int32
	for step := 0; len(work) > 0; step++ {
		if step&0xfff == 0 && ctx.Err() != nil {
			return nil, fmt.Errorf("mesh: convex hull: %w", ctx.Err())
		}
		f := work[len(work)-1]
		if !q.faces[f].alive || q.faces[f].first < 0 {
			work = work[:len(work)-1]
			continue
		}
		top := q.faces[f].far
		p := q.point(top)
		horizon, seen, stack = q.see(f, p, horizon[:0], seen[:0], stack[:0])
		fresh = q.fan(q.id(top), horizon, fresh[:0])
		for _, g := range seen {
			for k := q.faces[g].first; k >= 0; {
				next := q.next[k]
				if k != top {
					q.hand(k, fresh)
				}
				k = next
			}
			q.faces[g].first = -1
			q.faces[g].alive = false
			q.spare = append(q.spare, g)
		}
		for _, g := range fresh {
			if q.faces[g].first >= 0 {
				work = append(work, g)
			}
		}
	}
	return q, nil
}

// hand gives a point to the first of the faces that it lies above, if any.
func (q *quick) hand(k int32, to []int32) {
	p := q.point(k)
	for _, g := range to {
		f := &q.faces[g]
		if d := q.above(f, p); d > 0 {
			q.next[k] = f.first
			f.first = k
			// Ties go to the lower index, so that the order in which lists
			// were handed on does not matter.
			if f.far < 0 || d > f.farDist || d == f.farDist && k < f.far {
				f.far, f.farDist = k, d
			}
			return
		}
	}
}

// add makes a face.
func (q *quick) add(a, b, c int32) int32 {
	f := hullFace{v: [3]int32{a, b, c}, first: -1, far: -1, alive: true, seen: -1}
	f.n, f.bound = facePlane(q.pts[a], q.pts[b], q.pts[c], q.span)
	if n := len(q.spare); n > 0 {
		k := q.spare[n-1]
		q.spare = q.spare[:n-1]
		q.faces[k] = f
		return k
	}
	q.faces = append(q.faces, f)
	return int32(len(q.faces) - 1)
}

// hullEdge is an edge of the horizon: a → b, as the face that goes has it, and
// the face beyond it that stays.
type hullEdge struct {
	a, b, beyond int32
}

// hullWalk is a face on the walk round the visible ones: the next edge to
// cross and how many are left.
type hullWalk struct {
	face int32
	edge int8
	left int8
}

// see walks over the faces that p lies above, starting from one, and returns
// the edges round them in order. From outside a convex body they are a disc:
// round each corner the faces below p follow each other, as their normals make
// a convex cone.
func (q *quick) see(start int32, p Vec, horizon []hullEdge, seen []int32, stack []hullWalk) ([]hullEdge, []int32, []hullWalk) {
	q.round++
	q.faces[start].seen, q.faces[start].vis = q.round, true
	seen = append(seen, start)
	stack = append(stack, hullWalk{start, 0, 3})
	for len(stack) > 0 {
		w := &stack[len(stack)-1]
		if w.left == 0 {
			stack = stack[:len(stack)-1]
			continue
		}
		f, e := w.face, w.edge
		w.edge, w.left = (e+1)%3, w.left-1
		g := q.faces[f].adj[e]
		t := &q.faces[g]
		if t.seen != q.round {
			t.seen, t.vis = q.round, q.above(t, p) > 0
			if t.vis {
				seen = append(seen, g)
				// Go on from the edge after the one come through.
				b := q.faces[f].v[(e+1)%3]
				k := int8(0)
				for t.v[k] != b {
					k++
				}
				stack = append(stack, hullWalk{g, (k + 1) % 3, 2})
				continue
			}
		}
		if !t.vis {
			v := &q.faces[f].v
			horizon = append(horizon, hullEdge{v[e], v[(e+1)%3], g})
		}
	}
	return horizon, seen, stack
}

// fan joins the horizon to a point.
func (q *quick) fan(p int32, horizon []hullEdge, fresh []int32) []int32 {
	for _, e := range horizon {
		k := q.add(e.a, e.b, p)
		f := &q.faces[k]
		f.adj[0] = e.beyond
		g := &q.faces[e.beyond]
		for i := range 3 {
			if g.v[i] == e.b && g.v[(i+1)%3] == e.a {
				g.adj[i] = k
			}
		}
		fresh = append(fresh, k)
	}
	for i, k := range fresh {
		q.faces[k].adj[1] = fresh[(i+1)%len(fresh)]
		q.faces[k].adj[2] = fresh[(i+len(fresh)-1)%len(fresh)]
	}
	return fresh
}

// simplex starts the hull with a tetrahedron, as large as a few passes find.
func (q *quick) simplex(n int32) error {
	flat := func(what string) error {
		return fmt.Errorf("mesh: convex hull: all points lie %s: %w", what, ErrFlat)
	}
	pick := func(f func(p Vec) float64) int32 {
		best, at := math.Inf(-1), int32(0)
		for k := range n {
			if v := f(q.point(k)); v > best {
				best, at = v, k
			}
		}
		return at
	}
	o := q.point(0)
	ia := pick(func(p Vec) float64 { v := p.Sub(o); return v.Dot(v) })
	a := q.point(ia)
	ib := pick(func(p Vec) float64 { v := p.Sub(a); return v.Dot(v) })
	b := q.point(ib)
	if a == b {
		return flat("in one place")
	}
	ic := pick(func(p Vec) float64 { v := b.Sub(a).Cross(p.Sub(a)); return v.Dot(v) })
	if onLine(a, b, q.point(ic)) {
		ic = pick(func(p Vec) float64 {
			if onLine(a, b, p) {
				return 0
			}
			return 1
		})
		if onLine(a, b, q.point(ic)) {
			return flat("on one line")
		}
	}
	c := q.point(ic)
	normal := b.Sub(a).Cross(c.Sub(a))
	id := pick(func(p Vec) float64 { return math.Abs(p.Sub(a).Dot(normal)) })
	side := Orient3(a, b, c, q.point(id))
	if side == 0 {
		id = pick(func(p Vec) float64 { return math.Abs(float64(Orient3(a, b, c, p))) })
		if side = Orient3(a, b, c, q.point(id)); side == 0 {
			return flat("in one plane")
		}
	}
	va, vb, vc, vd := q.id(ia), q.id(ib), q.id(ic), q.id(id)
	if side > 0 { // d must be below a, b, c
		vb, vc = vc, vb
	}
	q.add(va, vb, vc)
	q.add(va, vd, vb)
	q.add(vb, vd, vc)
	q.add(vc, vd, va)
	q.faces[0].adj = [3]int32{1, 2, 3}
	q.faces[1].adj = [3]int32{3, 2, 0}
	q.faces[2].adj = [3]int32{1, 3, 0}
	q.faces[3].adj = [3]int32{2, 1, 0}
	return nil
}

// corners returns the indices of the hull's corners, in order.
func (q *quick) corners() []int32 {
	var used []int32
	for i := range q.faces {
		if f := &q.faces[i]; f.alive {
			used = append(used, f.v[:]...)
		}
	}
	slices.Sort(used)
	return slices.Compact(used)
}

// mesh returns the hull with its corners in the order of the points.
func (q *quick) mesh() *Mesh {
	used := q.corners()
	n := len(used)
	tris := make([][3]int32, 0, len(q.faces)-len(q.spare))
	for i := range q.faces {
		if f := &q.faces[i]; f.alive {
			tris = append(tris, f.v)
		}
	}
	verts := make([]Vec, n)
	for i, v := range used {
		p := q.pts[v]
		verts[i] = Vec{p.X + 0, p.Y + 0, p.Z + 0} // -0 becomes 0
	}
	at := func(v int32) int32 {
		return int32(sort.Search(n, func(i int) bool { return used[i] >= v }))
	}
	for i, t := range tris {
		t = [3]int32{at(t[0]), at(t[1]), at(t[2])}
		// The least corner first: the triangle reads the same however it was
		// come by.
		for t[0] > t[1] || t[0] > t[2] {
			t = [3]int32{t[1], t[2], t[0]}
		}
		tris[i] = t
	}
	sort.Slice(tris, func(i, j int) bool {
		a, b := tris[i], tris[j]
		if a[0] != b[0] {
			return a[0] < b[0]
		}
		if a[1] != b[1] {
			return a[1] < b[1]
		}
		return a[2] < b[2]
	})
	return New(verts, tris)
}
