package demold

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
	"moldtally/mesh/grid"
)

// Tunnel is a place where rubber links through the pattern, or, with the board,
// under it. Its passage is the stretch over which a plane across it is closed
// all round by the pattern and the board; its mouths are where that ends. The
// web is the rubber in the least such section: what has to be cut for the mold
// to let go. Lengths mm, areas mm²; nil = no plane across it is closed all
// round, so that there is nothing to measure.
type Tunnel struct {
	ID        int         `json:"id"`
	Region    *int        `json:"region"`       // undercut that its web lies in; nil = none
	Opening   float64     `json:"opening_mm"`   // diameter of the largest ball that passes
	Length    *float64    `json:"length_mm"`    // from mouth to mouth
	WebArea   *float64    `json:"web_area_mm2"` // of the least section
	WebSize   *[2]float64 `json:"web_size_mm"`  // of the least section: its largest extent, and across that
	At        [3]float64  `json:"at_mm"`        // the middle of the passage
	WebAt     [3]float64  `json:"web_at_mm"`    // the middle of the web
	Direction *[3]float64 `json:"direction"`    // along the passage at the web, unit

	web *planeCut // nil where there is none
}

// Webs says what slitting the webs of rubber in the tunnels gains.
type Webs struct {
	CutArea float64    `json:"cut_area_mm2"` // of all the webs
	Uncut   WebFigures `json:"uncut"`
	Slit    WebFigures `json:"slit"`
}

// WebFigures are an undercut's figures, with the webs whole or slit.
type WebFigures struct {
	Path    *float64 `json:"undercut_path_mm"` // nil = it cannot leave
	Volume  float64  `json:"undercut_volume_mm3"`
	Linked  float64  `json:"linked_volume_mm3"` // of that, in undercuts that link through the pattern
	Stretch *float64 `json:"stretch"`
}

// Judgements about passages.
const (
	// passageNodes is the number of cubes along the longest side when tunnels
	// are looked for; where the list comes out short, morePassageNodes once.
	passageNodes, morePassageNodes = 128, 224
	// fewTunnels: no more than that are looked for on the finer cubes, and all
	// along the lines.
	fewTunnels = 6
	// mostWork bounds the measuring: triangles looked at, and about a hundred
	// for each line of a section. It comes to about a second; what is left by
	// then is counted but not listed.
	mostWork = 80_000_000
	// mostCubes bounds the memory and time of that.
	mostCubes = 6_000_000
	// mostListed bounds the list: past it no mold maker cuts webs one by one.
	mostListed = 24
	// leastTilt: planes across a passage are sought within this angle, radians,
	// of the thinned line there, which runs in steps.
	leastTilt = 50 * math.Pi / 180
	// cutRows is the number of lines that a section is measured along while it
	// is sought, cutRowsFine in the end.
	cutRows, cutRowsFine = 192, 1024
)

// passages lists the tunnels that were counted.
func passages(ctx context.Context, a *analysis) error {
	a.rep.TunnelList = []Tunnel{}
	if n := a.rep.Tunnels; n == nil || *n == 0 {
		return nil
	}
	list, err := a.listTunnels(ctx, *a.rep.Tunnels)
	if err != nil {
		return err
	}
	if list != nil {
		a.rep.TunnelList = list
	}
	return nil
}

// nameTunnels writes the number of the undercut that each web lies in; ids are
// the regions' numbers.
func (a *analysis) nameTunnels(ids []int32) {
	for n := range a.rep.TunnelList {
		t := &a.rep.TunnelList[n]
		if label := a.labelAt(t.WebAt); label > 0 {
			id := int(ids[label-1])
			t.Region = &id
		}
	}
}

// labelAt is the label (region + 1) of the undercut at a place of the rubber, 0
// where it is in none.
func (a *analysis) labelAt(at [3]float64) int32 {
	x, y, z := a.Field.Plane(mesh.V(at[0], at[1], at[2]))
	h := a.halfAt(z)
	if h.up != a.Up {
		z = -z
	}
	i, j := int(math.Floor((x-h.f.X0)/h.f.Cell)), int(math.Floor((y-h.f.Y0)/h.f.Cell))
	if i < 0 || j < 0 || i >= h.f.NX || j >= h.f.NY {
		return 0
	}
	k, in := dexel.At(h.f.Column(i, j), z)
	if in || k == len(h.f.Column(i, j)) {
		return 0
	}
	return h.label[h.f.Offset(i, j)+k]
}

// judgeWebs says what slitting the webs gains, and words the tunnels.
func judgeWebs(ctx context.Context, a *analysis) error {
	r := a.rep
	if r.Tunnels == nil || *r.Tunnels == 0 || !a.OnBoard() {
		return nil
	}
	defer a.tellTunnels()
	linked := map[int]bool{} // looked up, never ranged over
	all := len(r.TunnelList) == *r.Tunnels
	area := 0.0
	for _, t := range r.TunnelList {
		if t.Region != nil {
			linked[*t.Region] = true
		}
		if t.WebArea == nil {
			all = false
			continue
		}
		area += *t.WebArea
	}
	if !all {
		return nil
	}
	w := &Webs{CutArea: area}
	w.Uncut = WebFigures{Volume: r.UndercutVolume, Stretch: r.Stretch}
	for _, g := range r.Regions {
		if linked[g.ID] {
			w.Uncut.Linked += g.Volume
		}
	}
	// A slit takes no rubber away and opens no ring that lies round the whole
	// section, so volume and stretch remain.
	w.Slit = WebFigures{Volume: r.UndercutVolume, Stretch: r.Stretch}
	var err error
	if w.Slit.Path, err = a.slitPath(ctx, r.TunnelList); err != nil {
		return err
	}
	r.Webs = w
	return nil
}

// tellTunnels words the tunnels of a mold on a board.
func (a *analysis) tellTunnels() {
	r := a.rep
	n := *r.Tunnels
	where := "at one place"
	if n > 1 {
		where = fmt.Sprintf("at %d places", n)
	}
	summary := "the rubber closes through the pattern " + where + ", as through a handle or under an arch"
	var at *[3]float64
	if len(r.TunnelList) > 0 {
		t := r.TunnelList[0]
		at = &t.WebAt
		what := "the opening"
		if n > 1 {
			what = "the widest"
		}
		summary += "; " + what + " lets a ball of " + mm(t.Opening) + " through"
		if t.Length != nil {
			summary += ", is " + mm(*t.Length) + " long and has a web of " + cm2(*t.WebArea) + " to cut"
		}
	}
	if missing := n - len(r.TunnelList); missing > 0 && len(r.TunnelList) > 0 {
		summary += fmt.Sprintf("; %d smaller or finer ones are counted but not listed", missing)
	} else if missing > 0 {
		summary += "; too fine to say where"
	}
	effect := "a mold in one piece cannot come off there without a cut: it holds the pattern like a ring on a finger"
	slit := "with the web slit"
	if n > 1 {
		slit = "with every web slit"
	}
	switch {
	case r.Webs == nil:
	case r.Webs.Slit.Path != nil:
		effect += "; " + slit + " the rubber still has to bend round " + mm(*r.Webs.Slit.Path)
	default:
		effect += "; a slit alone does not free it, since rubber is locked in besides"
	}
	r.Findings.Add(finding.Finding{Code: finding.Tunnel, Severity: finding.Caution, At: at,
		Summary: summary, Effect: effect,
		Hint: "fill the opening with clay or a plug, slit the web of rubber there, or lay the pattern so that the opening faces up",
	})
}

// cm2 writes an area as it is read at the bench.
func cm2(x float64) string {
	if x < 100 {
		return short(x) + " mm²"
	}
	return short(x/100) + " cm²"
}

// listTunnels finds where the counted tunnels are, widest first; it may find
// fewer than there are.
func (a *analysis) listTunnels(ctx context.Context, count int) ([]Tunnel, error) {
	line := math.Inf(-1)
	if a.OnBoard() {
		line = a.ClayLine()
	}
	few := count <= fewTunnels
	count = min(count, mostListed)
	sl := &planer{s: a.Solid, u: a.Up, line: line}
	var best []Tunnel
	for _, nodes := range [2]int{passageNodes, morePassageNodes} {
		if nodes > passageNodes && (!few || sl.work > mostWork) {
			break
		}
		v, err := newVoxels(ctx, a.Solid, a.Up, line, nodes)
		if err != nil {
			return nil, err
		}
		if len(v.full) > mostCubes && nodes > passageNodes {
			break
		}
		if !a.Solid.Embedded() {
			if err := v.close(ctx, closingBall); err != nil {
				return nil, fmt.Errorf("demold: %w", err)
			}
		}
		found, lines, err := v.loopsOutside(ctx)
		if err != nil {
			return nil, err
		}
		slices.SortStableFunc(found, func(p, q narrows) int { return cmp.Compare(q.d2, p.d2) })
		list, err := a.leastWebs(ctx, sl, v, found, lines, count)
		if err != nil {
			return nil, err
		}
		if len(list) > len(best) || best == nil {
			best = list
		}
		if len(best) >= count {
			break
		}
	}
	slices.SortStableFunc(best, func(p, q Tunnel) int {
		return cmp.Or(cmp.Compare(q.Opening, p.Opening), cmp.Compare(p.At[0], q.At[0]), cmp.Compare(p.At[1], q.At[1]), cmp.Compare(p.At[2], q.At[2]))
	})
	for n := range best {
		best[n].ID = n + 1
	}
	return best, nil
}

// leastWebs measures webs at the loops' narrowest places, and where there are
// several loops all along the lines, for they may run through one room; and
// picks as many as count, of the least area first, so that each closes a
// tunnel more.
func (a *analysis) leastWebs(ctx context.Context, sl *planer, v *voxels, found []narrows, lines []linePlace, count int) ([]Tunnel, error) {
	// Walls thinner than a cube leave holes that are none; they are narrow, and
	// no section of the true surface agrees with them.
	found = found[:min(len(found), 2*count+8)]
	var webs []Tunnel
	missing := make([]bool, len(found))
	for k, n := range found {
		got := false
		for _, p := range n.at {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			t, ok, known := a.passage(sl, v, p, webs, false)
			if ok {
				webs = append(webs, t)
			}
			if got = ok || known; got {
				break
			}
		}
		missing[k] = !got
	}
	if len(found) > 1 && count <= fewTunnels {
		every := max(1, len(lines)/(24*len(found)+24))
		for k := 0; k < len(lines); k += every {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if t, ok, _ := a.passage(sl, v, lines[k], webs, false); ok {
				webs = append(webs, t)
			}
		}
	}
	slices.SortStableFunc(webs, func(p, q Tunnel) int {
		return cmp.Or(cmp.Compare(math.Round(*p.WebArea/(1e-3*a.Size*a.Size)), math.Round(*q.WebArea/(1e-3*a.Size*a.Size))), -cmp.Compare(p.At[0], q.At[0]), -cmp.Compare(p.At[1], q.At[1]), -cmp.Compare(p.At[2], q.At[2]))
	})
	walls := v.newWalls()
	var list []Tunnel
	take := func(t Tunnel) {
		if len(list) < count && walls.add(t.web) {
			list = append(list, t)
		}
	}
	for _, t := range webs {
		take(t)
	}
	for k, n := range found {
		if !missing[k] || len(list) == count {
			continue
		}
		if t, ok, _ := a.passage(sl, v, n.at[0], list, true); ok {
			take(t)
		} else if d := math.Sqrt(float64(n.at[0].d2)); d >= 2.5 && sl.work <= mostWork {
			c := v.middle(n.at[0].at).Array()
			list = append(list, Tunnel{Opening: 2 * d * v.grid.Cell, At: c, WebAt: c})
		}
	}
	return list, nil
}

// passage measures the tunnel that a place among the cubes lies in, on the true
// surface. ok is false where no plane there is closed all round, known is true
// where that is because one of the webs lies in the same passage. far looks in
// all directions.
func (a *analysis) passage(sl *planer, v *voxels, p linePlace, webs []Tunnel, far bool) (t Tunnel, ok, known bool) {
	if sl.work > mostWork {
		return t, false, false
	}
	cell := v.grid.Cell
	along := v.grid.Point(p.along[0], p.along[1], p.along[2])
	d := math.Sqrt(float64(p.d2)) * cell
	c := v.middle(p.at)
	for _, w := range webs {
		if w.web == nil {
			continue
		}
		q := c.Sub(w.web.o)
		if math.Abs(c.Sub(mesh.V(w.At[0], w.At[1], w.At[2])).Dot(w.web.n)) < *w.Length/2 &&
			w.web.holds(mesh.Vec2{X: q.Dot(w.web.e1), Y: q.Dot(w.web.e2)}, 0) && math.Abs(w.web.n.Dot(along)) > 0.5 {
			return t, false, true
		}
	}
	cut, ok := a.facing(sl, c, along, 4*(d+2*cell))
	if !ok && far {
		cut, ok = a.across(sl, c, along, d, cell)
	}
	if !ok {
		return t, false, false
	}
	if _, r := sl.widest(&cut); math.Abs(r-d) > 2.5*cell+0.1*d {
		return t, false, false // not the place that the cubes found
	}
	cut = sl.squareTo(cut, 0.2, cell/2)
	way := sl.follow(cut, cell)
	if axis := way.axis; axis != (mesh.Vec{}) && math.Abs(axis.Dot(cut.n)) > math.Cos(3*math.Pi/180) {
		// The middles of a straight passage's sections lie on its axis, however
		// the sections lean.
		if axis.Dot(cut.n) < 0 {
			axis = axis.Neg()
		}
		if q, ok := sl.cut(cut.point(cut.seed), axis, 1.2*max(cut.hi.X-cut.lo.X, cut.hi.Y-cut.lo.Y), cutRows); ok && q.near() && q.area < cut.area*1.0005 {
			// A plane that leans leaves the mouths too early.
			if w := sl.follow(q, cell); w.length > way.length {
				way = w
			} else {
				way = sl.follow(cut, cell) // its rows are gone
			}
		}
	}
	web := way.web
	middle, r := sl.widest(&web)
	if r < 0.75*cell || r < 0.3*d || r > d+2*cell || way.length < cell/10 {
		return t, false, false
	}
	dir := web.n
	if k := dir.X + 1e-3*dir.Y + 1e-6*dir.Z; k < 0 {
		dir = dir.Neg()
	}
	da, size, length, area := dir.Array(), web.size(), way.length, web.area
	web.keep()
	return Tunnel{Opening: 2 * r, At: way.middle.Array(), WebAt: web.point(middle).Array(),
		Direction: &da, Length: &length, WebArea: &area, WebSize: &size, web: &web}, true, false
}

// middle is the middle of a cube.
func (v *voxels) middle(at [3]int) mesh.Vec {
	x, y := v.grid.Center(at[0]-voxelPad, at[1]-voxelPad)
	return v.grid.Point(x, y, v.z0+float64(at[2])*v.grid.Cell)
}

// facing looks round from c, roughly square to along, for the nearest places of
// the surface and the slab, and cuts along the plane that fits them best: a
// thin ring is closed only in its own plane.
func (a *analysis) facing(sl *planer, c, along mesh.Vec, reach float64) (planeCut, bool) {
	const sectors = 24
	// try cuts across n as far as it takes to find the cut closed.
	try := func(o, n mesh.Vec) (planeCut, bool) {
		for far := reach; far < 4*a.Size; far *= 3 {
			if cut, ok := sl.cut(o, n, far, cutRows); ok && cut.near() {
				return cut, true
			}
		}
		return planeCut{}, false
	}
	verts, tris := a.Solid.Surface().Vertices(), a.Solid.Surface().Triangles()
	n := along
	var best planeCut
	found := false
	for range 3 {
		e1, e2 := mesh.Basis(n)
		var near [sectors]mesh.Vec
		var dist [sectors]float64
		for k := range dist {
			dist[k] = math.Inf(1)
		}
		see := func(p mesh.Vec) {
			q := p.Sub(c)
			l := q.Len()
			// Of a triangle without area there is no nearest place (NaN).
			if !(l > 0) || !(math.Abs(q.Dot(n)) <= l*math.Sin(leastTilt)) {
				return
			}
			k := int((math.Atan2(q.Dot(e2), q.Dot(e1))/(2*math.Pi) + 1.5) * sectors)
			if k %= sectors; l < dist[k] {
				dist[k], near[k] = l, q
			}
		}
		sl.near(c, reach)
		for _, t := range sl.tris {
			i := tris[t]
			see(nearestOn(c, verts[i[0]], verts[i[1]], verts[i[2]]))
		}
		if !math.IsInf(sl.line, -1) {
			see(c.Sub(a.Up.Mul(c.Dot(a.Up) - sl.line)))
		}
		var m [3][3]float64
		var sum mesh.Vec
		count := 0.0
		for k := range near {
			if dist[k] < reach {
				sum = sum.Add(near[k])
				count++
			}
		}
		if count < 3 {
			break
		}
		mean := sum.Mul(1 / count)
		for k := range near {
			if dist[k] < reach {
				q := near[k].Sub(mean).Array()
				for i := range 3 {
					for j := range 3 {
						m[i][j] += q[i] * q[j]
					}
				}
			}
		}
		next := leastAxis(m)
		if next.Dot(n) < 0 {
			next = next.Neg()
		}
		if next.Dot(along) < math.Cos(leastTilt) {
			break
		}
		n = next
		o := c.Add(n.Mul(mean.Dot(n)))
		if cut, ok := try(o, n); ok && (!found || cut.area < best.area) {
			best, found = cut, true
		}
	}
	if !found {
		best, found = try(c, along)
	}
	return best, found
}

// leastAxis is the direction in which a symmetric matrix is least (Jacobi's
// rotations).
func leastAxis(m [3][3]float64) mesh.Vec {
	v := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range 12 {
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			p, q := pq[0], pq[1]
			if m[p][q] == 0 {
				continue
			}
			th := 0.5 * math.Atan2(2*m[p][q], m[q][q]-m[p][p])
			s, c := math.Sincos(th)
			for k := range 3 {
				a, b := m[k][p], m[k][q]
				m[k][p], m[k][q] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
			for k := range 3 {
				a, b := m[p][k], m[q][k]
				m[p][k], m[q][k] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
			for k := range 3 {
				a, b := v[k][p], v[k][q]
				v[k][p], v[k][q] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
		}
	}
	k := 0
	for i := 1; i < 3; i++ {
		if m[i][i] < m[k][k] {
			k = i
		}
	}
	return mesh.V(v[0][k], v[1][k], v[2][k]).Unit()
}

// nearestOn is the place of a triangle nearest to p (Ericson's regions).
func nearestOn(p, a, b, c mesh.Vec) mesh.Vec {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := float64(d1*d4) - float64(d3*d2)
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return a.Add(ab.Mul(d1 / (d1 - d3)))
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := float64(d5*d2) - float64(d1*d6)
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return a.Add(ac.Mul(d2 / (d2 - d6)))
	}
	va := float64(d3*d6) - float64(d5*d4)
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return b.Add(c.Sub(b).Mul((d4 - d3) / ((d4 - d3) + (d5 - d6))))
	}
	l := 1 / (va + vb + vc)
	return a.Add(ab.Mul(vb * l)).Add(ac.Mul(vc * l))
}

// near reports whether the cut is closed all round and holds the place asked
// for.
func (c *planeCut) near() bool { return c.shut && c.off <= 1.5*c.step }

// across tries planes through c within leastTilt of square to along; d is
// about the room there. Of those whose part at c is closed all round the least
// area wins.
func (a *analysis) across(sl *planer, c, along mesh.Vec, d, cell float64) (best planeCut, ok bool) {
	normals := []mesh.Vec{along}
	e1, e2 := mesh.Basis(along)
	for ring := 1; ring <= 4; ring++ {
		st, ct := math.Sincos(leastTilt * float64(ring) / 4)
		for k := range 6 * ring {
			s, co := math.Sincos(2 * math.Pi * float64(k) / float64(6*ring))
			normals = append(normals, along.Mul(ct).Add(e1.Mul(st*co)).Add(e2.Mul(st*s)))
		}
	}
	for reach := 4 * (d + 2*cell); reach < 4*a.Size; reach *= 3 {
		for _, n := range normals {
			if cut, found := sl.cut(c, n, reach, cutRows); found && cut.near() && (!ok || cut.area < best.area) {
				best, ok = cut, true
			}
		}
		if ok {
			break
		}
	}
	return best, ok
}

// squareTo tilts and shifts a cut until its area is least: tilt radians and
// shift mm are the first steps.
func (sl *planer) squareTo(c planeCut, tilt, shift float64) planeCut {
	first := tilt
	for tilt > 0.002 {
		better := false
		o := c.point(c.seed)
		reach := 1.2*max(c.hi.X-c.lo.X, c.hi.Y-c.lo.Y) + 2*shift
		st, ct := math.Sincos(tilt)
		for k := range 4 {
			t := [4]mesh.Vec{c.e1, c.e1.Neg(), c.e2, c.e2.Neg()}[k]
			if q, ok := sl.cut(o, c.n.Mul(ct).Add(t.Mul(st)), reach, cutRows); ok && q.near() && q.area < c.area*(1-1e-5) {
				c, better = q, true
				break
			}
		}
		if shift > 0 {
			for _, s := range [2]float64{1, -1} {
				o := c.point(c.seed).Add(c.n.Mul(s * shift * max(tilt/first, 0.02)))
				if q, ok := sl.cut(o, c.n, reach, cutRows); ok && q.near() && q.area < c.area*(1-1e-5) {
					c, better = q, true
				}
			}
		}
		if !better {
			tilt /= 2
		}
	}
	return c
}

// size is the least rectangle that holds the cut: length and width.
func (c *planeCut) size() [2]float64 {
	var pts []mesh.Vec2
	for _, s := range c.segs {
		for _, p := range [2]mesh.Vec2{s.a, s.b} {
			if c.holds(p, 1.01*c.step) {
				pts = append(pts, p)
			}
		}
	}
	for r, row := range c.rows {
		y := c.y0 + float64((float64(r)+0.5)*c.step)
		for _, g := range row.gaps {
			if g.mark {
				pts = append(pts, mesh.Vec2{X: g.lo, Y: y}, mesh.Vec2{X: g.hi, Y: y})
			}
		}
	}
	h := mesh.Hull2(pts)
	if len(h) < 3 {
		return [2]float64{}
	}
	r := mesh.MinRect(h)
	return [2]float64{max(r.Length, r.Width), min(r.Length, r.Width)}
}

// way is a passage from mouth to mouth.
type way struct {
	web    planeCut
	middle mesh.Vec
	length float64
	axis   mesh.Vec // from the middles of two sections; 0 = too short to tell
}

// station is a section of a passage; s is how far along it is.
type station struct {
	s         float64
	n         mesh.Vec
	seed, mid mesh.Vec
	area      float64
}

// follow goes along a passage both ways from a cut until the plane across is no
// longer closed all round. Where the middle of the sections strays from the
// plane's normal the plane is turned after it.
func (sl *planer) follow(c planeCut, cell float64) way {
	size := max(c.hi.X-c.lo.X, c.hi.Y-c.lo.Y)
	step := min(cell, size/8)
	run := func(sign float64) []station {
		var out []station
		at := c
		from := c.point(c.center)
		n := c.n.Mul(sign)
		s := 0.0
		aim, aimS := from, 0.0 // where the plane was last turned
		h := step
		const most = 4000
		turns := 0
		for range most {
			seed := at.point(at.seed)
			reach := 1.2 * (max(at.hi.X-at.lo.X, at.hi.Y-at.lo.Y) + 4*h)
			next, ok := sl.cut(seed.Add(n.Mul(h)), n, reach, cutRows)
			if ok && !next.shut {
				// It may only have grown past the reach.
				next, ok = sl.cut(seed.Add(n.Mul(h)), n, 3*reach, 2*cutRows)
			}
			bad := !ok || !next.near() || next.area > 3*at.area
			if bad {
				if h > 1e-4*max(step, size/100) {
					h /= 2
					continue
				}
				// It may end at a wall, and go on round a corner.
				if turns == mostTurns {
					break
				}
				if next, ok = sl.corner(at, n, step, 2*c.area); !ok {
					break
				}
				turns++
				n, h = next.n, step
				aim, aimS = next.point(next.center), s+h
			}
			s += h
			mid := next.point(next.center)
			out = append(out, station{s, n, next.point(next.seed), mid, next.area})
			at = next
			if h < step {
				// Close to the mouth: halve on, never grow again.
				continue
			}
			if s-aimS >= 3*step {
				t := mid.Sub(aim)
				if l := t.Len(); l > 0 && t.Dot(n) < l*math.Cos(15*math.Pi/180) {
					n = n.Mul(0.6).Add(t.Mul(0.4 / l)).Unit()
					if q, ok := sl.cut(at.point(at.seed), n, reach, cutRows); ok && q.shut {
						at = q
						mid = at.point(at.center)
					}
				}
				aim, aimS = mid, s
			}
		}
		return out
	}
	ahead, back := run(1), run(-1)
	all := make([]station, 0, len(ahead)+len(back)+1)
	for k := len(back) - 1; k >= 0; k-- {
		b := back[k]
		b.s, b.n = -b.s, b.n.Neg()
		all = append(all, b)
	}
	all = append(all, station{0, c.n, c.point(c.seed), c.point(c.center), c.area})
	all = append(all, ahead...)
	first, last := all[0].s, all[len(all)-1].s
	half := (first + last) / 2
	// The web: the least section, or, where many are as small, the one nearest
	// the middle.
	least := math.Inf(1)
	for _, t := range all {
		least = min(least, t.area)
	}
	pick := func(ok func(station) bool) station {
		best := station{s: math.Inf(1)}
		for _, t := range all {
			if ok(t) && math.Abs(t.s-half) < math.Abs(best.s-half) {
				best = t
			}
		}
		return best
	}
	// get cuts at a station again, finely; where that does not close, at the
	// section that all began with.
	get := func(t station, at float64) planeCut {
		t.seed = t.seed.Add(t.n.Mul(at - t.s))
		for _, t := range [2]station{t, {n: c.n, seed: c.point(c.seed)}} {
			for reach := 1.2 * size; reach < 20*size; reach *= 2 {
				q, ok := sl.cut(t.seed, t.n, reach, cutRows)
				if !ok {
					break
				}
				if q.shut {
					coarse := q
					if sl.finer(&q, reach, cutRowsFine) && q.shut {
						return q
					}
					return coarse
				}
			}
		}
		return planeCut{n: c.n}
	}
	m := pick(func(station) bool { return true })
	middle := m.mid.Add(m.n.Mul(half - m.s))
	w := pick(func(t station) bool { return t.area <= 1.005*least })
	at := w.s
	if w.s == m.s {
		at = half
	}
	// The last cut owns the rows.
	var axis mesh.Vec
	if q := len(all) / 4; q > 0 {
		axis = all[len(all)-1-q].mid.Sub(all[q].mid)
		if axis.Len() > step {
			axis = axis.Unit()
		} else {
			axis = mesh.Vec{}
		}
	}
	return way{web: get(w, at), middle: middle, length: last - first, axis: axis}
}

// walls are webs among the cubes.
type walls struct {
	v    *voxels
	open []bool // the space outside, webs and all
	free []bool // of that, what no web has closed
}

func (v *voxels) newWalls() *walls {
	open := v.openSpace()
	return &walls{v: v, open: open, free: slices.Clone(open)}
}

// add closes a web if it is a new one: most of it is open yet, and with it and
// the others closed the space outside still hangs together. For as long as it
// does, each web closes one tunnel more.
func (w *walls) add(c *planeCut) bool {
	v, g := w.v, &w.v.grid
	var wall []int
	fresh := 0
	lo, hi := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}, [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for k := range 4 {
		q := mesh.Vec2{X: c.lo.X, Y: c.lo.Y}
		if k&1 != 0 {
			q.X = c.hi.X
		}
		if k&2 != 0 {
			q.Y = c.hi.Y
		}
		x, y, z := g.Plane(c.point(q))
		for d, p := range [3]float64{(x - g.X0) / g.Cell, (y - g.Y0) / g.Cell, (z - v.z0) / g.Cell} {
			if d < 2 {
				p += voxelPad
			}
			lo[d], hi[d] = min(lo[d], p), max(hi[d], p)
		}
	}
	from, to := [3]int{}, [3]int{}
	for d := range 3 {
		from[d], to[d] = max(int(lo[d])-2, 0), min(int(hi[d])+2, v.n[d]-1)
	}
	for z := from[2]; z <= to[2]; z++ {
		for y := from[1]; y <= to[1]; y++ {
			for x := from[0]; x <= to[0]; x++ {
				k := v.n.At(x, y, z)
				if !w.open[k] {
					continue
				}
				p := v.middle([3]int{x, y, z}).Sub(c.o)
				// Half a cube's diagonal: nothing slips through between faces.
				if math.Abs(p.Dot(c.n)) > 0.87*g.Cell || !c.holds(mesh.Vec2{X: p.Dot(c.e1), Y: p.Dot(c.e2)}, g.Cell) {
					continue
				}
				wall = append(wall, k)
				if w.free[k] {
					fresh++
				}
			}
		}
	}
	if 2*fresh < len(wall) || len(wall) == 0 {
		return false
	}
	undo := make([]int, 0, fresh)
	for _, k := range wall {
		if w.free[k] {
			w.free[k] = false
			undo = append(undo, k)
		}
	}
	if w.apart() > 8+len(wall)/4 {
		for _, k := range undo {
			w.free[k] = true
		}
		return false
	}
	return true
}

// apart counts the free cubes that the walls cut off.
func (w *walls) apart() int {
	parts := grid.Connect(w.v.n, w.free, true, grid.Faces)
	reached := parts.Of(len(w.free) - 1)
	n := 0
	parts.Each(func(p, from, to int) {
		if p != reached {
			n += to - from
		}
	})
	return n
}

// mostTurns is how often a passage is followed round a corner either way.
const mostTurns = 16

// corner looks for the way on where a passage that ran along n ends at a wall:
// a plane a step on, leaning, that is closed all round and not much larger.
func (sl *planer) corner(at planeCut, n mesh.Vec, step, most float64) (best planeCut, ok bool) {
	e1, e2 := mesh.Basis(n)
	reach := 1.2 * (max(at.hi.X-at.lo.X, at.hi.Y-at.lo.Y) + 4*step)
	for tilt := 10.0; tilt <= 60 && !ok; tilt += 10 {
		st, ct := math.Sincos(tilt * math.Pi / 180)
		for k := range 16 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 16)
			m := n.Mul(ct).Add(e1.Mul(st * c)).Add(e2.Mul(st * s))
			if q, found := sl.cut(at.point(at.seed).Add(m.Mul(step)), m, reach, cutRows); found && q.near() && q.area < most && (!ok || q.area < best.area) {
				best, ok = q, true
			}
		}
	}
	return best, ok
}

// slitPath is the deepest path that is left when the webs are cut through:
// rubber on either side of a web has to leave by its own mouth, so the web
// stands in the way like the pattern itself. nil = locked.
func (a *analysis) slitPath(ctx context.Context, list []Tunnel) (*float64, error) {
	f := a.walled(list)
	r := scene.NewSpace(f, a.Base, a.ClayLine(), a.Eps, a.RaggedBottom())
	h := &half{shadow: newShadow(f, r, a.ClayLine(), a.Base, a.Eps), up: a.Up}
	if err := h.solve(ctx, a.Scene); err != nil {
		return nil, err
	}
	if h.res.locked {
		return nil, nil
	}
	return &h.res.deepest, nil
}

// walled is the field with the webs filled in, a wall two columns thick.
func (a *analysis) walled(list []Tunnel) *dexel.Field {
	f := a.Field
	off := make([]int32, 1, f.NX*f.NY+1)
	spans := make([]dexel.Span, 0, f.NumSpans()+f.NX)
	thick := 0.75 * f.Cell // to either side
	for j := range f.NY {
		for i := range f.NX {
			first := len(spans)
			spans = append(spans, f.Column(i, j)...)
			x, y := f.Center(i, j)
			for _, t := range list {
				w := t.web
				if w == nil || math.Abs(w.n.Dot(a.Up)) > 0.7 {
					continue
				}
				spans = w.wall(spans, first, f, x, y, thick, a.ClayLine())
			}
			off = append(off, int32(len(spans)))
		}
	}
	return dexel.New(f.Grid, off, spans)
}

// wall adds to the spans of a column, from first on, what of the web's wall
// crosses it.
func (c *planeCut) wall(spans []dexel.Span, first int, f *dexel.Field, x, y, thick, floor float64) []dexel.Span {
	// Heights at which the column is within thick of the plane: a slope.
	p := f.Point(x, y, 0)
	d, slope := p.Sub(c.o).Dot(c.n), f.U.Dot(c.n) // distance = d + z·slope
	zlo, zhi := math.Inf(-1), math.Inf(1)
	if math.Abs(slope) < 1e-9 {
		if math.Abs(d) > thick {
			return spans
		}
	} else {
		zlo, zhi = (-thick-d)/slope, (thick-d)/slope
		if zlo > zhi {
			zlo, zhi = zhi, zlo
		}
	}
	// Only gaps that lie in the web are filled.
	for k := first; k < len(spans); k++ {
		lo, hi := floor, spans[k].Bottom
		if k > first {
			lo = max(lo, spans[k-1].Top)
		}
		lo, hi = max(lo, zlo), min(hi, zhi)
		if hi <= lo {
			continue
		}
		q := p.Add(f.U.Mul((lo + hi) / 2)).Sub(c.o)
		if !c.holds(mesh.Vec2{X: q.Dot(c.e1), Y: q.Dot(c.e2)}, 1.5*f.Cell) {
			continue
		}
		spans = slices.Insert(spans, k, dexel.Span{Bottom: lo, Top: hi, BottomTri: spans[k].BottomTri, TopTri: spans[k].BottomTri})
		k++
		if spans[k].Bottom <= spans[k-1].Top {
			spans[k].Bottom = spans[k-1].Bottom
			spans = slices.Delete(spans, k-1, k)
			k--
		}
		if k > first && spans[k].Bottom <= spans[k-1].Top {
			spans[k].Bottom, spans[k].BottomTri = spans[k-1].Bottom, spans[k-1].BottomTri
			spans = slices.Delete(spans, k-1, k)
			k--
		}
	}
	return spans
}
