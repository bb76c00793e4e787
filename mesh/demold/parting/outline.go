package parting

import (
	"cmp"
	"math"
	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"slices"
)

// crossing is where the outline crosses the line between the axes of two
// neighbouring columns, a full one and an empty one.
type crossing struct {
	i, j int32   // the full column
	way  uint8   // to the empty one: 0 = +E1, 1 = +E2, 2 = −E1, 3 = −E2
	face float64 // cosine between that way and the outline's own normal
	out  float64
	node []linePoint
}

// outline is the edge of the shadow with what the surface does beside it.
type outline struct {
	a     flat
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

func newOutline(a flat) *outline {
	f := a.Field
	o := &outline{a: a, dz: f.Cell / lineSteps, rows: make([][]int32, f.NY), cols: make([][]int32, f.NX)}
	l := newSquares(f)
	for j := range f.NY {
		for i := range f.NX {
			o.add(l, 0, i, j)
			o.add(l, 1, i, j)
		}
	}
	for k, c := range o.cross {
		if c.way&1 == 0 {
			o.rows[c.j] = append(o.rows[c.j], int32(k))
		} else {
			o.cols[c.i] = append(o.cols[c.i], int32(k)) // rows come in order
		}
	}
	for _, l := range o.rows {
		slices.SortStableFunc(l, func(a, b int32) int { return cmp.Compare(o.cross[a].i, o.cross[b].i) })
	}
	o.trace(l)
	o.markNear()
	return o
}

// add adds the crossing between column (i, j) and the next along an axis, if one
// of them is full and the other empty.
func (o *outline) add(l *squares, axis uint8, i, j int) {
	x, y := i+1-int(axis), j+int(axis)
	k := j*l.nx + i
	l.id[axis][k] = -1
	if x >= l.nx || y >= l.ny || l.full[k] == l.full[y*l.nx+x] {
		return
	}
	c := crossing{i: int32(i), j: int32(j), way: axis}
	if !l.full[k] {
		c = crossing{i: int32(x), j: int32(y), way: axis + 2}
	}
	l.id[axis][k] = int32(len(o.cross))
	o.cross = append(o.cross, c)
}

// markNear marks the columns that the line may come near.
func (o *outline) markNear() {
	f := o.a.Field
	reach := int(math.Ceil(lineDepth/facing)) + 2
	o.near = make([]bool, f.NX*f.NY)
	for _, c := range o.cross {
		for y := max(0, int(c.j)-reach); y <= min(f.NY-1, int(c.j)+reach); y++ {
			for x := max(0, int(c.i)-reach); x <= min(f.NX-1, int(c.i)+reach); x++ {
				o.near[y*f.NX+x] = true
			}
		}
	}
}

// squares is the lattice whose corners are the columns' axes.
type squares struct {
	nx, ny int
	full   []bool     // per column
	id     [2][]int32 // per column: the crossing between it and the next along E1 and E2, -1 = none
}

func newSquares(f *dexel.Field) *squares {
	n := f.NX * f.NY
	l := &squares{nx: f.NX, ny: f.NY, full: make([]bool, n), id: [2][]int32{make([]int32, n), make([]int32, n)}}
	for j := range f.NY {
		for i := range f.NX {
			l.full[j*f.NX+i] = len(f.Column(i, j)) > 0
		}
	}
	return l
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

// leave is the side by which the outline leaves square (i, j).
func (l *squares) leave(i, j int, in uint8) uint8 {
	c := 0
	for b, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
		if l.full[(j+d[1])*l.nx+i+d[0]] {
			c |= 1 << b
		}
	}
	return turns[c][in]
}

// side is the crossing on a side of square (i, j).
func (l *squares) side(i, j int, s uint8) int32 {
	switch s {
	case 0:
		return l.id[0][j*l.nx+i]
	case 1:
		return l.id[1][j*l.nx+i+1]
	case 2:
		return l.id[0][(j+1)*l.nx+i]
	}
	return l.id[1][j*l.nx+i]
}

// beyond is the square on the other side of a side of square (i, j).
func beyond(i, j int, s uint8) (x, y int) {
	switch s {
	case 0:
		return i, j - 1
	case 1:
		return i + 1, j
	case 2:
		return i, j + 1
	}
	return i - 1, j
}

// trace joins the crossings into loops.
func (o *outline) trace(l *squares) {
	done := make([]bool, len(o.cross))
	o.square = make([]int32, 2*l.nx*l.ny)
	for k := range o.square {
		o.square[k] = -1
	}
	least := max(leastHole, o.a.Narrow()/o.a.Field.Cell)
	for first := range o.cross {
		if done[first] {
			continue
		}
		// The square that it enters, with full columns on the left: upward where
		// the empty column lies right, and so on round.
		c := o.cross[first]
		i, j, in := int(c.i), int(c.j), c.way
		switch c.way {
		case 1:
			i--
		case 2:
			i, j = i-1, j-1
		case 3:
			j--
		}
		var loop []int32
		at := int32(first)
		x0, y0, x1, y1 := math.MaxInt, math.MaxInt, 0, 0
		for !done[at] {
			done[at] = true
			loop = append(loop, at)
			x0, y0, x1, y1 = min(x0, i), min(y0, j), max(x1, i), max(y1, j)
			s := 2 * (j*l.nx + i)
			if o.square[s] >= 0 {
				s++
			}
			o.square[s] = at
			out := l.leave(i, j, in)
			at = l.side(i, j, out)
			i, j = beyond(i, j, out)
			in = out ^ 2
		}
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
	x, y := o.a.Field.Center(int(c.i), int(c.j))
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
		return o.a.Field.Point(along, at, n.z)
	}
	return o.a.Field.Point(at, along, n.z)
}

// flat is where a crossing meets the outline, in the field's plane.
func (o *outline) flat(c *crossing) mesh.Vec2 {
	p := o.point(c, linePoint{})
	return mesh.Vec2{X: p.Dot(o.a.Field.E1), Y: p.Dot(o.a.Field.E2)}
}

// corners finds, for each stretch of outline between two crossings, the vertex
// that stands out farthest beyond it: there the outline has a corner.
func (o *outline) corners() {
	a, f := o.a, o.a.Field
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
	out := make([]float64, len(o.cross))
	verts := a.Solid.Surface().Vertices()
	for t, tri := range a.Solid.Surface().Triangles() {
		if !a.Solid.Live(t) {
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
				p, q := o.flat(&o.cross[k]), o.flat(&o.cross[next[k]])
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
