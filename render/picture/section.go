package picture

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/dexel"
	slicing "moldtally/mesh/section"
	"moldtally/render"
)

// section is an upright cut through the worst undercut, along the shortest way
// out of it. Places in it are (t, z): t mm from the worst place along the cut,
// z as in the scene.
type section struct {
	at   mesh.Vec      // the worst place, in the scene
	e    mesh.Vec      // the way out, level
	segs []cut         // the pattern's outline, solid at its left
	over *boxfit.Slice // a blanket and its shell in the same cut; nil = another container
	down bool          // the place is in the lower half, which lets go downward

	lo, hi point // of the pattern's outline
	// The wall of the container: inside from in.x to in.y, thickness along
	// the cut; no container where in is empty.
	in     point
	wall   point
	height float64 // of the container
	fill   float64
	floor  float64 // z that all stands on

	from, to float64 // t of the undercut's inner and outer end at z
	edge     float64 // z of what overhangs the outer end
	level    float64 // z of the worst place
	parting  *float64
	id       int // of the region, 0 = none
	// figure is the report's own, where it is what is drawn, and what it is
	// called.
	figure *float64
	word   string
}

// cut is a piece of outline with the undercut path at both its ends.
type cut struct {
	a, b   point
	pa, pb float32
}

// newSection cuts the pattern, or returns nil where nothing is worth a cut.
func newSection(ctx context.Context, s *estimate.Session, sc *scene) (*section, error) {
	r := s.Report
	if r == nil || r.UndercutPath != nil && *r.UndercutPath <= 0 {
		return nil, nil
	}
	if len(r.Regions) > 0 && !slices.ContainsFunc(r.Regions, func(g undercut.Region) bool { return g.Kind != undercut.Minor }) {
		return nil, nil
	}
	// The place of the longest path, if that is straight there (or locked):
	// its figure can be drawn. Else the place of the deepest overhang, which is
	// straight by its definition.
	var best *section
	var at *[3]float64
	for _, try := range []struct {
		at     *[3]float64
		path   *float64 // around what stands in the way; nil = straight
		figure *float64
		word   string
	}{{r.UndercutPathAt, r.UndercutPath, r.UndercutPath, "way out"}, {r.UndercutDepthAt, nil, &r.UndercutDepth, "straight out"}} {
		if try.at == nil {
			continue
		}
		x, err := cutThrough(ctx, s, sc, *try.at, try.path, try.figure)
		if err != nil {
			return nil, err
		}
		if x == nil {
			continue
		}
		if f := try.figure; f != nil && math.Abs(x.to-x.from-*f) <= max(3*r.Resolved, 0.03**f) {
			x.figure, x.word = f, try.word
		}
		if best == nil || x.figure != nil {
			best, at = x, try.at
		}
		if x.figure != nil || try.figure == nil {
			break
		}
	}
	if best == nil {
		return nil, nil
	}
	x := best
	near := math.Inf(1)
	for _, g := range render.ShownRegions(r) {
		same := g.Depth >= r.UndercutDepth
		if at == r.UndercutPathAt {
			same = g.Path == nil && r.UndercutPath == nil || g.Path != nil && r.UndercutPath != nil && *g.Path >= *r.UndercutPath
		}
		if !same || g.Kind == undercut.Minor {
			continue
		}
		if d := vec(g.At).Sub(vec(*at)).Len(); d < near {
			near, x.id = d, g.ID
		}
	}
	return x, nil
}

// cutThrough cuts the pattern through a place and the way out there, of length
// path where that is known; nil where nothing overhangs it. figure is what the
// report has of the place, nil = locked.
func cutThrough(ctx context.Context, s *estimate.Session, sc *scene, at [3]float64, path, figure *float64) (*section, error) {
	r := s.Report
	x := &section{at: sc.at(vec(at))}
	x.level = x.at.Z
	if p := r.Parting; p != nil {
		h := sc.lo.Z + p.Height // the report tells it above the pattern's lowest point
		if r.Seam == nil {      // a cut mold opens along its seam instead
			x.parting = &h
		}
		x.down = x.level < h
		// A place on the parting plane may be of either half: it is of the one
		// that explains its figure, or that holds it longer.
		if f := r.Field; f != nil && math.Abs(x.level-h) < f.Cell {
			x.down = false
			up := x.nearestOpen(f, vec(at), path).Len()
			x.down = true
			down := x.nearestOpen(f, vec(at), path).Len()
			x.down = down > up
			if figure != nil {
				x.down = math.Abs(down-*figure) < math.Abs(up-*figure)
			}
		}
	}
	x.e = x.wayOut(r, sc, vec(at), path)
	if err := x.slice(ctx, sc); err != nil || len(x.segs) == 0 {
		return nil, err
	}
	x.container(s.Fit, sc)
	if v := sc.vessel; v != nil && v.coat > 0 {
		o := sc.origin.Add(sc.ex.Mul(x.at.X)).Add(sc.ey.Mul(x.at.Y))
		step := max(sliceStep, s.Fit.FormSize()/sliceSteps)
		var err error
		if x.over, err = s.Fit.Slice(ctx, o, sc.ex.Mul(x.e.X).Add(sc.ey.Mul(x.e.Y)), step); err != nil {
			return nil, err
		}
	}
	x.measure(max(r.Resolution, 1e-3*(x.hi.y-x.lo.y)))
	if x.to <= x.from {
		return nil, nil
	}
	return x, nil
}

// thinWeb is the gap between overhangs that is too narrow for a web of rubber to
// count as a way out, mm: as in the undercut path's definition.
const thinWeb = 0.5

// wayOut is the level direction from the worst place to where it opens; where
// no columns are kept, the way its nearest vertex faces.
func (x *section) wayOut(r *demold.Report, sc *scene, at mesh.Vec, path *float64) mesh.Vec {
	if f := r.Field; f != nil {
		if d := x.nearestOpen(f, at, path); d != (mesh.Vec2{}) {
			w := f.E1.Mul(d.X).Add(f.E2.Mul(d.Y))
			if w = mesh.V(w.Dot(sc.ex), w.Dot(sc.ey), 0); w.Len() > 0.5*f.Cell {
				return w.Unit()
			}
		}
	}
	near, best := -1, math.Inf(1)
	for i, p := range sc.surface.Vertices() {
		if d := p.Sub(at).Len(); d < best {
			near, best = i, d
		}
	}
	n := sc.normals[near]
	d := mesh.V(float64(n[0]), float64(n[1]), 0)
	if sc.inward {
		d = d.Neg()
	}
	if d.Len() < 1e-6 {
		return mesh.V(1, 0, 0)
	}
	return d.Unit()
}

// nearestOpen is the way in the field's plane from a place to the nearest
// column without solid above it (below it, in a lower half), gaps narrower than
// a web of rubber left out. Where a path is given, it is the nearest within that
// length that nothing stands before, if there is one.
func (x *section) nearestOpen(f *dexel.Field, at mesh.Vec, path *float64) mesh.Vec2 {
	px, py, pz := f.Plane(at)
	open := func(i, j int) bool {
		if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
			return true
		}
		col := f.Column(i, j)
		n := len(col)
		return n == 0 || !x.down && col[n-1].Top <= pz || x.down && col[0].Bottom >= pz
	}
	wide := int(math.Ceil(thinWeb / 2 / f.Cell))
	roomy := func(i, j int) bool {
		for dj := -wide; dj <= wide; dj++ {
			for di := -wide; di <= wide; di++ {
				if !open(i+di, j+dj) {
					return false
				}
			}
		}
		return true
	}
	h := pz + 0.25*f.Cell // clear of the surface that the rubber there stands on
	if x.down {
		h = pz - 0.25*f.Cell
	}
	sight := func(d mesh.Vec2) bool {
		n := int(d.Len()/f.Cell) * 2
		for k := 2; k < n; k++ {
			s := float64(k) / float64(n)
			i, j := int(math.Floor((px+s*d.X-f.X0)/f.Cell)), int(math.Floor((py+s*d.Y-f.Y0)/f.Cell))
			if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
				return true
			}
			for _, c := range f.Column(i, j) {
				if c.Bottom < h && h < c.Top {
					return false
				}
			}
		}
		return true
	}
	near, clear := mesh.Vec2{}, mesh.Vec2{}
	least, leastClear := math.Inf(1), 0.0
	if path != nil {
		leastClear = 1.03**path + float64(wide+2)*f.Cell
	}
	for j := -wide - 1; j <= f.NY+wide; j++ {
		for i := -wide - 1; i <= f.NX+wide; i++ {
			cx, cy := f.Center(i, j)
			d := mesh.Vec2{X: cx - px, Y: cy - py}
			l := d.Len()
			if l >= least && l >= leastClear || !open(i, j) || !roomy(i, j) {
				continue
			}
			if l < least {
				least, near = l, d
			}
			if l < leastClear && sight(d) {
				leastClear, clear = l, d
			}
		}
	}
	if clear != (mesh.Vec2{}) {
		return clear
	}
	return near
}

// slice cuts the surface with the plane.
func (x *section) slice(ctx context.Context, sc *scene) error {
	m := mesh.V(x.e.Y, -x.e.X, 0)
	normal := sc.ex.Mul(m.X).Add(sc.ey.Mul(m.Y)) // in the file's frame
	off := x.at.Dot(m) + sc.origin.Dot(normal)
	verts := sc.surface.Vertices()
	inf := math.Inf(1)
	x.lo, x.hi = point{inf, inf}, point{-inf, -inf}
	for t := range sc.surface.Triangles() {
		if err := cancelled(ctx, t); err != nil {
			return err
		}
		if !sc.live(t) {
			continue
		}
		if c, ok := x.cutTriangle(sc, t, func(i int32) float64 { return verts[i].Dot(normal) - off }, func(i int32) mesh.Vec { return sc.at(verts[i]) }); ok {
			x.segs = append(x.segs, c)
			x.lo = point{min(x.lo.x, c.a.x, c.b.x), min(x.lo.y, c.a.y, c.b.y)}
			x.hi = point{max(x.hi.x, c.a.x, c.b.x), max(x.hi.y, c.a.y, c.b.y)}
		}
	}
	return nil
}

// cutTriangle cuts a triangle whose corners have the given distances from the
// plane and stand at the given places; ok is false where the plane misses it.
func (x *section) cutTriangle(sc *scene, t int, dist func(i int32) float64, place func(i int32) mesh.Vec) (c cut, ok bool) {
	tri := sc.surface.Triangles()[t]
	var d [3]float64
	var up [3]bool
	for k, i := range tri {
		d[k] = dist(i)
		up[k] = d[k] >= 0
	}
	from, to, ok := slicing.Triangle(tri, d, up, 0, !sc.turned(t))
	if !ok {
		return c, false
	}
	flat := func(p mesh.Vec) point { return point{p.Sub(x.at).Dot(x.e), p.Z} }
	meet := func(p slicing.Point) (point, float32) {
		a, b := flat(place(p.I)), flat(place(p.J))
		if sc.path == nil {
			return a.add(b.sub(a).mul(p.W)), 0
		}
		pu, pv := sc.path[p.I], sc.path[p.J]
		path := pu + (pv-pu)*float32(p.W)
		if math.IsInf(float64(pu), 1) || math.IsInf(float64(pv), 1) {
			path = max(pu, pv)
		}
		return a.add(b.sub(a).mul(p.W)), path
	}
	c.a, c.pa = meet(from)
	c.b, c.pb = meet(to)
	return c, true
}

// container finds where the cut meets the container.
func (x *section) container(f *boxfit.Fit, sc *scene) {
	v := sc.vessel
	if v == nil {
		x.floor = sc.lo.Z
		return
	}
	x.height, x.fill = v.height, v.fill
	if v.coat > 0 {
		return
	}
	thick := 0.0
	for _, b := range f.Boards {
		if b.Part.Role != boxfit.BaseBoard && b.Thickness > 0 {
			thick = b.Thickness
			break
		}
	}
	x.in = point{math.Inf(-1), math.Inf(1)}
	for i, a := range v.base {
		b := v.base[(i+1)%len(v.base)]
		n := mesh.V(b.y-a.y, a.x-b.x, 0).Unit() // out of the container
		slope := n.Dot(x.e)
		if math.Abs(slope) < 1e-9 {
			continue
		}
		t := mesh.V(a.x-x.at.X, a.y-x.at.Y, 0).Dot(n) / slope
		// A wall cut at a slant is that much thicker.
		w := min(thick/math.Abs(slope), 3*thick)
		if slope > 0 && t < x.in.y {
			x.in.y, x.wall.y = t, w
		}
		if slope < 0 && t > x.in.x {
			x.in.x, x.wall.x = t, w
		}
	}
	if !(x.in.x < x.in.y) || math.IsInf(x.in.x, 0) || math.IsInf(x.in.y, 0) {
		x.in, x.wall = point{}, point{}
	}
}

// measure finds, at the worst place's height, the solid that the undercut
// begins at and where it opens, exactly from the outline. cell is how far the
// place may stand off the surface.
func (x *section) measure(cell float64) {
	z := x.level
	over := 0.25 * cell // clear of the surface that the rubber there stands on
	if x.down {
		over = -over
	}
	z += over
	// What stands over that height, seen along t.
	type stretch struct{ a, b, za, zb float64 }
	var shade []stretch
	solid := math.Inf(-1)
	for _, c := range x.segs {
		a, b := c.a, c.b
		if (a.y <= z) != (b.y <= z) {
			m := a.add(b.sub(a).mul((z - a.y) / (b.y - a.y)))
			if m.x <= cell && m.x > solid {
				solid = m.x
			}
			if (a.y > z) != x.down {
				b = m
			} else {
				a = m
			}
		} else if (a.y > z) == x.down {
			continue
		}
		if a.x > b.x {
			a, b = b, a
		}
		shade = append(shade, stretch{a.x, b.x, a.y, b.y})
	}
	slices.SortFunc(shade, func(p, q stretch) int {
		return cmp.Or(cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b), cmp.Compare(p.za, q.za))
	})
	if solid < -1.5*cell {
		solid = 0
	}
	x.from, x.to, x.edge = solid, math.Inf(-1), z
	end := math.Inf(-1)
	for _, s := range shade {
		if s.a > end+thinWeb && end > 0.5*cell {
			break // the shade over the place has ended
		}
		end = max(end, s.b)
	}
	// What overhangs the end: of all that reaches it, the nearest in height.
	gap := math.Inf(1)
	for _, s := range shade {
		for _, q := range []point{{s.a, s.za}, {s.b, s.zb}} {
			if d := math.Abs(q.y - z); math.Abs(q.x-end) <= 1e-6*max(1, math.Abs(end)) && d < gap {
				gap, x.edge = d, q.y
			}
		}
	}
	if end > 0 {
		x.to = end
	}
}

// spans are the stretches of solid at t, by winding; ok is false where the
// outline does not close there.
func spans(crossings []crossing) (out [][2]float64, ok bool) {
	slices.SortFunc(crossings, func(a, b crossing) int { return cmp.Or(cmp.Compare(a.z, b.z), cmp.Compare(b.way, a.way)) })
	w := 0
	var from float64
	for _, c := range crossings {
		before := w
		w += c.way
		switch {
		case before == 0 && w != 0:
			from = c.z
		case before != 0 && w == 0:
			out = append(out, [2]float64{from, c.z})
		}
	}
	return out, w == 0
}

// column are the stretches of solid at t by the columns that the figures were
// read from: for sheets that part space and close nothing.
func (x *section) column(f *dexel.Field, sc *scene, t float64) (out [][2]float64) {
	p := x.at.Add(x.e.Mul(t))
	px, py, _ := f.Plane(sc.origin.Add(sc.ex.Mul(p.X)).Add(sc.ey.Mul(p.Y)))
	i, j := int(math.Floor((px-f.X0)/f.Cell)), int(math.Floor((py-f.Y0)/f.Cell))
	if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
		return nil
	}
	floor := sc.origin.Dot(f.U)
	for _, s := range f.Column(i, j) {
		out = append(out, [2]float64{s.Bottom - floor, s.Top - floor})
	}
	return out
}

// crossing is where the outline passes an upright line: into the solid (1) or
// out of it (-1), going up.
type crossing struct {
	z   float64
	way int
}

// uprights sorts the crossings of an outline by upright lines at t0, t0+step, …
func uprights(segs []cut, t0, step float64, n int) [][]crossing {
	out := make([][]crossing, n)
	for _, c := range segs {
		a, b, way := c.a, c.b, 1
		if a.x > b.x {
			a, b, way = b, a, -1
		}
		// Lines with a.x <= t < b.x.
		first := max(0, int(math.Ceil((a.x-t0)/step)))
		for i := first; i < n; i++ {
			t := t0 + float64(i)*step
			if t >= b.x {
				break
			}
			out[i] = append(out[i], crossing{a.y + (b.y-a.y)*(t-a.x)/(b.x-a.x), way})
		}
	}
	return out
}

// Colors of the section.
var (
	cutFill    = nrgba(0xEFE6D6, 255)
	cutHatch   = nrgba(0x8C7F6A, 255)
	rubberPale = nrgba(0xF3DFC3, 255)
	rubberDeep = nrgba(0xE0A868, 255)
	wallFill   = nrgba(0xC9D3D3, 255)
	fillingInk = nrgba(0xD9C7E0, 255) // what fills a coat out
)

// subColumns is how many upright lines sample a pixel of the section; up and
// down its cover is exact.
const subColumns = 4
