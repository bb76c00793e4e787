package demold

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"moldtally/mesh"
)

// The natural parting line is where what is seen from above meets what is seen
// from below: it runs round the outline of the pattern's shadow along the pull,
// outside and through each hole, at the height where the surface touches that
// outline. On a plumb wall every height touches it, and on a scan the grain of
// the wall decides which bump does; so the line is not read off the faces but
// drawn like a string: of all lines round the outline the one that is shortest,
// counting what undercut it leaves.

// Weights of that sum, per mm of outline. They are judgements.
const (
	// inward is what it costs that the line runs a cell inside the outline,
	// in lengths of outline: a smooth body keeps its silhouette to a hundredth
	// of a cell, and a line does not climb a wall for the sake of its grain.
	inward = 1.0
	// Farther in than this, in cells, each cell costs only farIn: the teeth of
	// a torn rim do not throw the line from one side of the pattern to the other.
	farFrom, farIn = 2.0, 0.1
	// levelling is what it costs to be as far from the flat parting as the pattern
	// is large: it decides where all else is equal.
	levelling = 0.02
	// lineDepth is how far inside the outline the line may run, in cells.
	lineDepth = 8.0
	// lineSteps is the number of heights per cell that are tried on a wall.
	lineSteps = 2
)

// Where the line jumps from one part of the pattern to another that it passes
// over in the shadow, the step is a break in the line if it is higher than both
// of these; lower ones are steep places. Judgements.
const (
	breakCells = 4.0
	breakShare = 0.01 // of the pattern's size
	breakBack  = 10   // crossings, and cells, over which a line returns to the outline
)

// leastHole is the size of a hole in the shadow, in cells, under which it is
// grain and no opening for the halves to meet in.
const leastHole = 3.0

// Break is a place where the natural parting line steps from one part of the
// pattern to another that hides it along the pull.
type Break struct {
	At     [3]float64 `json:"at_mm"`
	Height float64    `json:"height_mm"`
}

// partingLine finds the natural parting line of a two-part or cut mold. Length
// is that of the lines on the pattern, breaks left out, and flatness how far
// they stray from the flat parting; both are of the lines as they are reported,
// which are simplified to a quarter of the uncertainty.
func partingLine(ctx context.Context, a *analysis) error {
	p := a.rep.Parting
	if p == nil {
		return nil
	}
	o := newOutline(a)
	if err := o.profiles(ctx); err != nil {
		return err
	}
	o.corners()
	p.Line, p.Breaks = [][][3]float64{}, []Break{}
	var lines [][]mesh.Vec
	for _, loop := range o.loops {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		l, b := o.string(loop)
		lines = append(lines, l...)
		p.Breaks = append(p.Breaks, b...)
	}
	slices.SortStableFunc(lines, func(a, b []mesh.Vec) int { return cmp.Compare(lineLength(b), lineLength(a)) })
	slices.SortStableFunc(p.Breaks, func(a, b Break) int { return cmp.Compare(b.Height, a.Height) })
	var length, stray float64
	for _, l := range lines {
		length += lineLength(l)
		out := make([][3]float64, len(l))
		for k, v := range l {
			stray = max(stray, math.Abs(v.Dot(a.u)-a.parting))
			out[k] = v.Array()
		}
		p.Line = append(p.Line, out)
	}
	p.Length, p.Flatness = &length, &stray
	return nil
}

// crossing is where the outline crosses the line between the axes of two
// neighbouring columns, a full one and an empty one.
type crossing struct {
	i, j int32   // the full column
	way  uint8   // to the empty one: 0 = +E1, 1 = +E2, 2 = −E1, 3 = −E2
	face float64 // cosine between that way and the outline's own normal
	out  float64
	node []linePoint
}

// linePoint is a place where the line may pass: height, and how far inside the
// outline the surface is there.
type linePoint struct {
	z, in float64
}

// chord is the surface between two heights in the plane of a crossing; x runs
// outward from the axis of the full column, mm.
type chord struct {
	at             int32
	x0, z0, x1, z1 float64
}

// outline is the edge of the shadow with what the surface does beside it.
type outline struct {
	a     *analysis
	cross []crossing
	loops [][]int32 // crossings in order, the full columns on the left
	// ordered by row and column, for crossings along E1, and the other way
	// about for those along E2.
	rows, cols [][]int32
	near       []bool // per column: the outline is close
	// corner is, per crossing, the vertex beyond the chord to the next one, -1
	// for none.
	corner []int32
	square []int32 // per lattice square: crossings whose chord to the next lies in it, two each, -1 = none
	dz     float64
}

func newOutline(a *analysis) *outline {
	f := a.f
	o := &outline{a: a, dz: f.Cell / lineSteps}
	n := f.NX * f.NY
	full := make([]bool, n)
	for j := range f.NY {
		for i := range f.NX {
			full[j*f.NX+i] = len(f.Column(i, j)) > 0
		}
	}
	// Crossings by the lower of their two columns.
	id := [2][]int32{make([]int32, n), make([]int32, n)}
	o.rows, o.cols = make([][]int32, f.NY), make([][]int32, f.NX)
	add := func(axis, i, j, di, dj int) {
		k, l := j*f.NX+i, (j+dj)*f.NX+i+di
		id[axis][k] = -1
		if i+di >= f.NX || j+dj >= f.NY || full[k] == full[l] {
			return
		}
		c := crossing{i: int32(i), j: int32(j), way: uint8(axis)}
		if full[l] {
			c = crossing{i: int32(i + di), j: int32(j + dj), way: uint8(axis + 2)}
		}
		id[axis][k] = int32(len(o.cross))
		o.cross = append(o.cross, c)
	}
	for j := range f.NY {
		for i := range f.NX {
			add(0, i, j, 1, 0)
			add(1, i, j, 0, 1)
		}
	}
	for k, c := range o.cross {
		if c.way&1 == 0 {
			o.rows[c.j] = append(o.rows[c.j], int32(k))
		}
	}
	for k, c := range o.cross {
		if c.way&1 == 1 {
			o.cols[c.i] = append(o.cols[c.i], int32(k)) // rows come in order
		}
	}
	for _, l := range o.rows {
		slices.SortStableFunc(l, func(a, b int32) int { return cmp.Compare(o.cross[a].i, o.cross[b].i) })
	}
	o.trace(full, id)
	reach := int(math.Ceil(lineDepth/facing)) + 2
	o.near = make([]bool, n)
	for _, c := range o.cross {
		for y := max(0, int(c.j)-reach); y <= min(f.NY-1, int(c.j)+reach); y++ {
			for x := max(0, int(c.i)-reach); x <= min(f.NX-1, int(c.i)+reach); x++ {
				o.near[y*f.NX+x] = true
			}
		}
	}
	return o
}

// turns gives, for the corners of a square that are full (lower left 1, lower
// right 2, upper right 4, upper left 8), the side by which the outline leaves
// it (0 below, 1 right, 2 above, 3 left) for the side by which it enters, with
// what is full on its left; 9 = it does not enter there. Squares whose full
// corners lie across from each other hang together by nothing.
var turns = [16][4]uint8{
	{9, 9, 9, 9}, {3, 9, 9, 9}, {9, 0, 9, 9}, {9, 3, 9, 9},
	{9, 9, 1, 9}, {3, 9, 1, 9}, {9, 9, 0, 9}, {9, 9, 3, 9},
	{9, 9, 9, 2}, {2, 9, 9, 9}, {9, 0, 9, 2}, {9, 2, 9, 9},
	{9, 9, 9, 1}, {1, 9, 9, 9}, {9, 9, 9, 0}, {9, 9, 9, 9},
}

// trace strings the crossings into loops.
func (o *outline) trace(full []bool, id [2][]int32) {
	f := o.a.f
	done := make([]bool, len(o.cross))
	o.square = make([]int32, 2*f.NX*f.NY)
	for k := range o.square {
		o.square[k] = -1
	}
	code := func(i, j int) int {
		c := 0
		for b, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
			if full[(j+d[1])*f.NX+i+d[0]] {
				c |= 1 << b
			}
		}
		return c
	}
	// side is the crossing on a side of square (i, j).
	side := func(i, j int, s uint8) int32 {
		switch s {
		case 0:
			return id[0][j*f.NX+i]
		case 1:
			return id[1][j*f.NX+i+1]
		case 2:
			return id[0][(j+1)*f.NX+i]
		}
		return id[1][j*f.NX+i]
	}
	for first := range o.cross {
		if done[first] {
			continue
		}
		// The square that it enters: full columns on the left.
		c := o.cross[first]
		i, j, in := int(c.i), int(c.j), uint8(0)
		switch c.way {
		case 0: // the empty column lies right: upward
			in = 0
		case 1: // above: to the left
			i, in = i-1, 1
		case 2: // left: downward
			i, j, in = i-1, j-1, 2
		case 3: // below: to the right
			j, in = j-1, 3
		}
		var loop []int32
		at := int32(first)
		x0, y0, x1, y1 := math.MaxInt, math.MaxInt, 0, 0
		for !done[at] {
			done[at] = true
			loop = append(loop, at)
			x0, y0, x1, y1 = min(x0, i), min(y0, j), max(x1, i), max(y1, j)
			s := 2 * (j*f.NX + i)
			if o.square[s] >= 0 {
				s++
			}
			o.square[s] = at
			out := turns[code(i, j)][in]
			at = side(i, j, out)
			switch out {
			case 0:
				j--
			case 1:
				i++
			case 2:
				j++
			case 3:
				i--
			}
			in = out ^ 2
		}
		least := max(leastHole, o.a.narrow()/f.Cell)
		if float64(max(x1-x0, y1-y0)) >= least {
			o.faces(loop)
			o.loops = append(o.loops, loop)
		}
	}
}

// facing is the least cosine between the plane of a crossing and the outline's
// normal there; one of the two ways has at least √½. A plane that grazes the
// outline sees the teeth of a rim many times as deep as they are.
const facing = 0.6

// faces finds how the crossings of a loop stand to the outline's course over a
// few cells to both sides.
func (o *outline) faces(loop []int32) {
	n := len(loop)
	w := max(1, min(8, n/6))
	at := func(k int) (x, y int) {
		c := &o.cross[loop[(k+n)%n]]
		x, y = 2*int(c.i), 2*int(c.j)
		switch c.way {
		case 0:
			x++
		case 1:
			y++
		case 2:
			x--
		case 3:
			y--
		}
		return x, y
	}
	for k, id := range loop {
		x0, y0 := at(k - w)
		x1, y1 := at(k + w)
		dx, dy := float64(x1-x0), float64(y1-y0)
		c := &o.cross[id]
		if c.way&1 == 0 {
			dx, dy = dy, dx
		}
		if l := math.Hypot(dx, dy); l > 0 {
			c.face = math.Abs(dx) / l
		}
	}
}

// axis gives the position across and along the plane of a crossing: the plane
// stands at across = at; along runs outward from the axis of its full column.
func (o *outline) axis(c *crossing) (at, from, sign float64) {
	x, y := o.a.f.Center(int(c.i), int(c.j))
	sign = 1
	if c.way >= 2 {
		sign = -1
	}
	if c.way&1 == 0 {
		return y, x, sign
	}
	return x, y, sign
}

// point returns the place of a node on a crossing.
func (o *outline) point(c *crossing, n linePoint) mesh.Vec {
	at, from, sign := o.axis(c)
	along := from + sign*(c.out-n.in)
	if c.way&1 == 0 {
		return o.a.f.Point(along, at, n.z)
	}
	return o.a.f.Point(at, along, n.z)
}

// profiles cuts the surface near the outline with the plane of each crossing
// and finds where the line may pass.
func (o *outline) profiles(ctx context.Context) error {
	m := o.a.s.Surface()
	const block = 1 << 13
	nb := (m.NumTriangles() + block - 1) / block
	parts := make([][]chord, nb)
	err := rows(ctx, nb, func(b int) {
		var out []chord
		for t := b * block; t < min((b+1)*block, m.NumTriangles()); t++ {
			if o.a.s.Live(t) {
				out = o.cut(t, out)
			}
		}
		parts[b] = out
	})
	if err != nil {
		return err
	}
	off := make([]int32, len(o.cross)+1)
	for _, p := range parts {
		for _, c := range p {
			off[c.at+1]++
		}
	}
	for k := range o.cross {
		off[k+1] += off[k]
	}
	all := make([]chord, off[len(o.cross)])
	next := slices.Clone(off[:len(o.cross)])
	for _, p := range parts {
		for _, c := range p {
			all[next[c.at]] = c
			next[c.at]++
		}
	}
	h := o.a.parting
	lo, hi := int(math.Floor((o.a.base-h)/o.dz)), int(math.Ceil((o.a.top-h)/o.dz))
	const run = 256
	return rows(ctx, (len(o.cross)+run-1)/run, func(b int) {
		far := make([]float64, hi-lo+1)
		for k := b * run; k < min((b+1)*run, len(o.cross)); k++ {
			o.nodes(&o.cross[k], all[off[k]:off[k+1]], far, lo)
		}
	})
}

// cut adds the chords of a triangle.
func (o *outline) cut(t int, out []chord) []chord {
	f := o.a.f
	var x, y, z [3]float64
	p, q, r := o.a.s.Surface().Corners(t)
	for k, v := range [3]mesh.Vec{p, q, r} {
		x[k], y[k], z[k] = f.Plane(v)
	}
	col := func(x float64) int { return int(math.Floor((x - f.X0) / f.Cell)) }
	row := func(y float64) int { return int(math.Floor((y - f.Y0) / f.Cell)) }
	x0, x1 := min(x[0], x[1], x[2]), max(x[0], x[1], x[2])
	y0, y1 := min(y[0], y[1], y[2]), max(y[0], y[1], y[2])
	i0, i1, j0, j1 := max(col(x0), 0), min(col(x1), f.NX-1), max(row(y0), 0), min(row(y1), f.NY-1)
	if (i1-i0+1)*(j1-j0+1) <= 16 {
		hit := false
		for j := j0; j <= j1 && !hit; j++ {
			for i := i0; i <= i1 && !hit; i++ {
				hit = o.near[j*f.NX+i]
			}
		}
		if !hit {
			return out
		}
	}
	for j := j0; j <= j1; j++ {
		_, at := f.Center(0, j)
		if len(o.rows[j]) > 0 && at >= y0 && at <= y1 {
			out = o.slice(o.rows[j], at, x, y, z, out)
		}
	}
	for i := i0; i <= i1; i++ {
		at, _ := f.Center(i, 0)
		if len(o.cols[i]) > 0 && at >= x0 && at <= x1 {
			out = o.slice(o.cols[i], at, y, x, z, out)
		}
	}
	return out
}

// slice cuts a triangle with the plane across = at and gives the piece to the
// crossings of that plane that it comes near.
func (o *outline) slice(list []int32, at float64, along, across, z [3]float64, out []chord) []chord {
	var sx, sz [2]float64
	n := 0
	for e := range 3 {
		a, b := e, (e+1)%3
		if (across[a] < at) == (across[b] < at) {
			continue
		}
		if across[a] > across[b] { // from the lower end, so that neighbours agree
			a, b = b, a
		}
		t := (at - across[a]) / (across[b] - across[a])
		sx[n], sz[n] = along[a]+t*(along[b]-along[a]), z[a]+t*(z[b]-z[a])
		n++
	}
	if n < 2 {
		return out
	}
	cell := o.a.f.Cell
	lo, hi := min(sx[0], sx[1])-(lineDepth/facing+1)*cell, max(sx[0], sx[1])+(lineDepth/facing+1)*cell
	from := func(k int32) float64 {
		_, x, _ := o.axis(&o.cross[k])
		return x
	}
	for k := sort.Search(len(list), func(k int) bool { return from(list[k]) >= lo }); k < len(list); k++ {
		c := &o.cross[list[k]]
		_, x, sign := o.axis(c)
		if x > hi {
			break
		}
		u, v := sign*(sx[0]-x), sign*(sx[1]-x)
		if max(u, v) < -lineDepth/facing*cell || min(u, v) > cell {
			continue
		}
		out = append(out, chord{list[k], u, sz[0], v, sz[1]})
	}
	return out
}

// nodes finds where the line may pass a crossing: the outermost surface at each
// height that comes near the outline. far is scratch, one per height.
func (o *outline) nodes(c *crossing, list []chord, far []float64, lo int) {
	cell, h := o.a.f.Cell, o.a.parting
	none := math.Inf(-1)
	for k := range far {
		far[k] = none
	}
	out := none
	for _, s := range list {
		out = max(out, min(max(s.x0, s.x1), cell))
		z0, z1, x0, x1 := s.z0, s.z1, s.x0, s.x1
		if z0 > z1 {
			z0, z1, x0, x1 = z1, z0, x1, x0
		}
		for k := int(math.Ceil((z0 - h) / o.dz)); ; k++ {
			z := h + float64(k)*o.dz
			if z > z1 || k-lo >= len(far) {
				break
			}
			x := x0
			if z1 > z0 {
				x += (x1 - x0) * (z - z0) / (z1 - z0)
			}
			far[k-lo] = max(far[k-lo], min(x, cell))
		}
	}
	if out < 0 { // rounding: the column is full, so the edge is between
		col := o.a.f.Column(int(c.i), int(c.j))
		best := math.Inf(1)
		for _, s := range col {
			if z := min(max(h, s.Bottom), s.Top); math.Abs(z-h) < math.Abs(best-h) {
				best = z
			}
		}
		c.out = cell / 2
		c.node = []linePoint{{best, 0}}
		return
	}
	c.out = out
	for k, x := range far {
		if in := out - x; in*max(c.face, facing) <= lineDepth*cell {
			c.node = append(c.node, linePoint{h + float64(lo+k)*o.dz, max(0, in)})
		}
	}
	// The outermost places themselves: of a plumb wall its two rims.
	first, last := math.Inf(1), math.Inf(-1)
	for _, s := range list {
		for _, e := range [2][2]float64{{s.x0, s.z0}, {s.x1, s.z1}} {
			if min(e[0], cell) >= out-1e-6*cell {
				first, last = min(first, e[1]), max(last, e[1])
			}
		}
	}
	c.node = append(c.node, linePoint{first, 0})
	if last > first {
		c.node = append(c.node, linePoint{last, 0})
	}
	slices.SortStableFunc(c.node, func(a, b linePoint) int { return cmp.Compare(a.z, b.z) })
}

// corners finds, for each stretch of outline between two crossings, the vertex
// that stands out farthest beyond it: there the outline has a corner.
func (o *outline) corners() {
	a, f := o.a, o.a.f
	o.corner = make([]int32, len(o.cross))
	for k := range o.corner {
		o.corner[k] = -1
	}
	next := make([]int32, len(o.cross))
	for _, l := range o.loops {
		for k, c := range l {
			next[c] = l[(k+1)%len(l)]
		}
	}
	flat := func(k int32) mesh.Vec2 {
		p := o.point(&o.cross[k], linePoint{})
		return mesh.Vec2{X: p.Dot(f.E1), Y: p.Dot(f.E2)}
	}
	out := make([]float64, len(o.cross))
	verts := a.s.Surface().Vertices()
	for t, tri := range a.s.Surface().Triangles() {
		if !a.s.Live(t) {
			continue
		}
		for _, v := range tri {
			x, y, _ := f.Plane(verts[v])
			i, j := int(math.Floor((x-f.X0)/f.Cell-0.5)), int(math.Floor((y-f.Y0)/f.Cell-0.5))
			if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
				continue
			}
			for _, k := range o.square[2*(j*f.NX+i) : 2*(j*f.NX+i)+2] {
				if k < 0 {
					continue
				}
				p, q := flat(k), flat(next[k])
				d, e := q.Sub(p), mesh.Vec2{X: x - p.X, Y: y - p.Y}
				l := d.Len()
				if l == 0 {
					continue
				}
				// The shadow is on the left.
				if s := (d.Y*e.X - d.X*e.Y) / l; s > 0.05*f.Cell && s > out[k]*(1+1e-9) {
					out[k], o.corner[k] = s, v
				}
			}
		}
	}
}

// string draws the line round a loop.
func (o *outline) string(whole []int32) (lines [][]mesh.Vec, breaks []Break) {
	a, f := o.a, o.a.f
	// The crossings whose planes face the outline, and the corners between one
	// of them and the next.
	var loop, corner []int32
	for _, id := range whole {
		if o.cross[id].face >= facing {
			loop, corner = append(loop, id), append(corner, -1)
		}
		if k := len(corner) - 1; k >= 0 && o.corner[id] >= 0 {
			corner[k] = o.corner[id]
		}
	}
	if len(loop) < 3 {
		loop = whole
		corner = corner[:0]
		for _, id := range whole {
			corner = append(corner, o.corner[id])
		}
	}
	n := len(loop)
	at := func(k int) *crossing { return &o.cross[loop[k%n]] }
	flat := func(k int) mesh.Vec2 {
		p := o.point(at(k), linePoint{})
		return mesh.Vec2{X: p.Dot(f.E1), Y: p.Dot(f.E2)}
	}
	step := make([]float64, n) // of outline, to the next crossing
	for k := range n {
		step[k] = flat(k + 1).Sub(flat(k)).Len()
	}
	// Twice round from where there is least choice: the second half of the
	// first round and the first of the second know nothing of the ends.
	start := 0
	for k := range n {
		if len(at(k).node) < len(at(start).node) {
			start = k
		}
	}
	from := make([][]int32, 2*n)
	var cost, last []float64
	for k := range 2 * n {
		c := at(start + k)
		before, after := step[(start+k+n-1)%n], step[(start+k)%n]
		cost = make([]float64, len(c.node))
		from[k] = make([]int32, len(c.node))
		if k > 0 {
			strung(at(start+k-1).node, last, c.node, cost, from[k], before, 8*o.dz)
		}
		for m, nd := range c.node {
			cost[m] += (inwardCost(nd.in*c.face/f.Cell) + levelling/a.size*math.Abs(nd.z-a.parting)) * (before + after) / 2
		}
		last = cost
	}
	best := int32(0)
	for m := range last {
		if last[m] < last[best] {
			best = int32(m)
		}
	}
	chosen := make([]int32, n)
	for k := 2*n - 1; k > 0; k-- {
		if k >= n/2 && k < n/2+n {
			chosen[k%n] = best
		}
		best = from[k][best]
	}
	// Points in order, and where the line breaks.
	least := max(breakCells*f.Cell, breakShare*a.size)
	nodeAt := func(k int) linePoint { return at(start + k).node[chosen[k%n]] }
	isBreak := func(k int) bool {
		c, d := nodeAt(k), nodeAt(k+1)
		return math.Abs(c.z-d.z) > least && !o.covered(at(start+k), at(start+k+1), c.z, d.z)
	}
	// Close to a break the string has cut the corner to make the step lower:
	// there the line goes back to the outline.
	steps := make([]bool, n)
	for k := range n {
		steps[k] = isBreak(k)
	}
	for k, s := range steps {
		for d := 0; s && d < min(breakBack, n/4); d++ {
			for _, m := range [2]int{(k - d + n) % n, (k + 1 + d) % n} {
				c := at(start + m)
				was := c.node[chosen[m]]
				for x, nd := range c.node {
					if math.Abs(nd.z-was.z) < breakBack*f.Cell && nd.in < c.node[chosen[m]].in {
						chosen[m] = int32(x)
					}
				}
			}
		}
	}
	pts := make([]mesh.Vec, 0, n+16)
	var cuts []int // indices into pts after which the line breaks
	for k := range n {
		c, d := nodeAt(k), nodeAt(k+1)
		pts = append(pts, o.point(at(start+k), c))
		if isBreak(k) {
			cuts = append(cuts, len(pts)-1)
			p := o.point(at(start+k), linePoint{(c.z + d.z) / 2, 0})
			breaks = append(breaks, Break{p.Array(), math.Abs(c.z - d.z)})
			continue
		}
		if v := corner[(start+k)%n]; v >= 0 && c.in < 0.05*f.Cell && d.in < 0.05*f.Cell {
			x, y, z := f.Plane(a.s.Surface().Vertices()[v])
			if lo, hi := min(c.z, d.z)-f.Cell, max(c.z, d.z)+f.Cell; z < lo || z > hi {
				z = (c.z + d.z) / 2
			}
			pts = append(pts, f.Point(x, y, z))
		}
	}
	if len(cuts) == 0 {
		return [][]mesh.Vec{tidy(append(pts, pts[0]), f.Cell)}, nil
	}
	for k, c := range cuts {
		e := cuts[(k+1)%len(cuts)]
		var l []mesh.Vec
		for m := (c + 1) % len(pts); ; m = (m + 1) % len(pts) {
			l = append(l, pts[m])
			if m == e {
				break
			}
		}
		if len(l) > 1 {
			lines = append(lines, tidy(l, f.Cell))
		}
	}
	return lines, breaks
}

// strung finds for each node the cheapest one to come from: what it cost so far
// and the length of the step. Steps of more than near in height count by their
// height alone, so that the work goes with the number of nodes. Nodes are in
// order of height.
func strung(prev []linePoint, so []float64, cur []linePoint, cost []float64, from []int32, run, near float64) {
	lo, hi := 0, 0 // prev[lo:hi] is near
	below, above := math.Inf(1), make([]float64, len(prev)+1)
	belowAt, aboveAt := int32(0), make([]int32, len(prev)+1)
	above[len(prev)] = math.Inf(1)
	for k := len(prev) - 1; k >= 0; k-- {
		above[k], aboveAt[k] = above[k+1], aboveAt[k+1]
		if v := so[k] + prev[k].z; v <= above[k] {
			above[k], aboveAt[k] = v, int32(k)
		}
	}
	for m, c := range cur {
		for lo < len(prev) && prev[lo].z < c.z-near {
			if v := so[lo] - prev[lo].z; v < below {
				below, belowAt = v, int32(lo)
			}
			lo++
		}
		for hi < len(prev) && prev[hi].z <= c.z+near {
			hi++
		}
		best, at := below+c.z, belowAt
		if v := above[hi] - c.z; v < best {
			best, at = v, aboveAt[hi]
		}
		for k := lo; k < hi; k++ {
			dz := c.z - prev[k].z
			if v := so[k] + math.Sqrt(float64(run*run)+float64(dz*dz)); v < best {
				best, at = v, int32(k)
			}
		}
		cost[m], from[m] = best, at
	}
}

// inwardCost is what it costs, per length of outline, that the line runs the
// given number of cells inside it.
func inwardCost(cells float64) float64 {
	return inward*min(cells, farFrom) + farIn*max(cells-farFrom, 0)
}

// covered reports whether the surface itself leads from one height to the other
// at one of two crossings: most heights between are on it.
func (o *outline) covered(c, d *crossing, z0, z1 float64) bool {
	if z0 > z1 {
		z0, z1 = z1, z0
	}
	want := (z1 - z0) / o.dz / 2
	for _, x := range [2]*crossing{c, d} {
		n := 0.0
		for _, nd := range x.node {
			if nd.z > z0 && nd.z < z1 {
				n++
			}
		}
		if n > want {
			return true
		}
	}
	return false
}

// grain is how much longer than its smooth course a line may be before it is
// taken for the grain of a scan; a judgement.
const grain = 1.01

// tidy smooths a line if it is grainy, and drops the points that say nothing.
func tidy(l []mesh.Vec, cell float64) []mesh.Vec {
	tol := cell / 4
	if s := smooth(l); lineLength(simplify(l, tol)) > grain*lineLength(s) {
		l = s
	}
	return simplify(l, tol)
}

// smooth takes out what is shorter than some ten points and leaves the rest
// where it is: every point goes half way to the middle of its neighbours and
// then a little more than half way back (G. Taubin, "A signal processing
// approach to fair surface design", SIGGRAPH 1995).
func smooth(l []mesh.Vec) []mesh.Vec {
	const (
		passes     = 40
		there, out = 0.5, -0.526
	)
	n := len(l)
	if n < 5 {
		return l
	}
	closed := l[0] == l[n-1]
	a, b := slices.Clone(l), make([]mesh.Vec, n)
	for p := range 2 * passes {
		w := there
		if p&1 == 1 {
			w = out
		}
		copy(b, a)
		for k := 1; k < n-1; k++ {
			b[k] = a[k].Add(a[k-1].Add(a[k+1]).Mul(0.5).Sub(a[k]).Mul(w))
		}
		if closed {
			b[0] = a[0].Add(a[n-2].Add(a[1]).Mul(0.5).Sub(a[0]).Mul(w))
			b[n-1] = b[0]
		}
		a, b = b, a
	}
	return a
}

// lineLength is the length of a polyline, mm.
func lineLength(l []mesh.Vec) float64 {
	var s float64
	for k := 1; k < len(l); k++ {
		s += l[k].Sub(l[k-1]).Len()
	}
	return s
}

// simplify drops the points that lie within tol of the line without them
// (D. H. Douglas & T. K. Peucker, "Algorithms for the reduction of the number
// of points required to represent a digitized line or its caricature",
// Cartographica 10 (1973)).
func simplify(l []mesh.Vec, tol float64) []mesh.Vec {
	if len(l) < 3 {
		return l
	}
	keep := make([]bool, len(l))
	keep[0], keep[len(l)-1] = true, true
	type span struct{ a, b int }
	stack := []span{{0, len(l) - 1}}
	if l[0] == l[len(l)-1] {
		// A closed line is first split at its farthest point.
		far, at := 0.0, len(l)/2
		for k, v := range l {
			if d := v.Sub(l[0]).Len(); d > far {
				far, at = d, k
			}
		}
		keep[at] = true
		stack = []span{{0, at}, {at, len(l) - 1}}
	}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		a, d := l[s.a], l[s.b].Sub(l[s.a])
		dd := d.Dot(d)
		far, at := tol, -1
		for k := s.a + 1; k < s.b; k++ {
			v := l[k].Sub(a)
			if dd > 0 {
				v = v.Sub(d.Mul(min(max(v.Dot(d)/dd, 0), 1)))
			}
			if x := v.Len(); x > far {
				far, at = x, k
			}
		}
		if at >= 0 {
			keep[at] = true
			stack = append(stack, span{s.a, at}, span{at, s.b})
		}
	}
	out := make([]mesh.Vec, 0, 64)
	for k, v := range l {
		if keep[k] {
			out = append(out, v)
		}
	}
	return out
}
