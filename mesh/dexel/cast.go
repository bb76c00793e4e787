package dexel

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"moldtally/mesh"
	"moldtally/mesh/par"
)

// Crossing is one place where a column's axis passes through the surface.
type Crossing struct {
	Z    float64 // height along the grid's U, mm
	Tri  int32   // the triangle
	Sign int32   // +1 where the axis enters through the triangle's back (going up), -1 where it leaves through its face
}

// Crossings holds, for every column, its crossings sorted by height (equal
// heights by triangle). It is immutable.
type Crossings struct {
	Grid
	off []int32
	hit []Crossing
}

// Column returns the crossings of column (i, j), lowest first. The slice is
// borrowed.
func (c *Crossings) Column(i, j int) []Crossing {
	k := j*c.NX + i
	return c.hit[c.off[k]:c.off[k+1]]
}

// Len is the number of crossings in all columns.
func (c *Crossings) Len() int { return len(c.hit) }

// RowLen is the number of crossings in the columns of row j.
func (c *Crossings) RowLen(j int) int { return int(c.off[(j+1)*c.NX] - c.off[j*c.NX]) }

// Fixed-point lattice of the plane across U: subBits below a cell. 16 bits
// put the snapping error at cell/131072 (half a unit). Coordinates stay below
// 2^29 so that the int64 edge functions (products of two differences, summed)
// cannot overflow; a grid much smaller than the mesh takes fewer bits.
const (
	subBits  = 16
	maxCoord = 1 << 29
	// MaxCells is the largest number of cells along one side of a grid.
	MaxCells = maxCoord >> subBits
)

// Options of a cast.
type Options struct {
	// Skip leaves triangles out; nil takes all.
	Skip func(t int) bool
	// Progress is called as blocks of triangles are done; nil is fine.
	Progress func(stage string, done, total int)
}

// block is the number of triangles between two looks at the context, and the
// unit in which work is shared; results do not depend on it.
const block = 1 << 14

// room is how many hits are given room at once where the first guess was too
// small: lists that grow by copying cost more than the scan.
const room = 1 << 13

type hit struct {
	z    float64
	col  int32
	tri  int32 // bit 31 of sign is kept apart to stay within 24 bytes
	sign int32
}

// Cast scan-converts a mesh into the columns of a grid. Every triangle is
// snapped by its vertices, so neighbours stay neighbours: in a closed mesh
// each column has as many entries as exits. Heights come from the plane of
// the triangle in float64, clamped to the triangle's own range; the plane
// position of a vertex is off by at most Cell/131072.
//
// The time is one pass over the triangles plus the crossings; the memory is
// 8 bytes per vertex and 40 bytes per crossing while it runs, 16 bytes per
// crossing and 4 per column after. The result does not depend on GOMAXPROCS.
func Cast(ctx context.Context, m *mesh.Mesh, g Grid, o Options) (*Crossings, error) {
	if g.NX <= 0 || g.NY <= 0 || g.NX > MaxCells || g.NY > MaxCells || !(g.Cell > 0) {
		return nil, fmt.Errorf("dexel: grid of %d × %d cells of %g mm is out of range", g.NX, g.NY, g.Cell)
	}
	s, err := newScan(ctx, m, g)
	if err != nil {
		return nil, err
	}
	tris := m.Triangles()
	nblocks := (len(tris) + block - 1) / block
	found := make([][][]hit, nblocks)
	var done int
	var mu sync.Mutex
	err = par.Blocks(ctx, len(tris), block, func(from, to int) {
		// About half of a grid's columns meet the pattern, mostly twice.
		found[from/block] = s.triangles(from, to, o.Skip, make([]hit, 0, g.NX*g.NY/nblocks+16))
		if o.Progress != nil {
			mu.Lock()
			done += to - from
			o.Progress("columns", done, len(tris))
			mu.Unlock()
		}
	})
	if err != nil {
		return nil, fmt.Errorf("dexel: %w", err)
	}
	return gather(ctx, g, found)
}

// scan converts triangles to columns: vertices snapped once to fixed point,
// relative to the middle of the grid.
type scan struct {
	m      *mesh.Mesh
	g      Grid
	bits   int     // of a cell's fraction
	fx, fy []int32 // of the vertices, in 2^-bits cells
	ox, oy int64   // of the first column's axis
}

func newScan(ctx context.Context, m *mesh.Mesh, g Grid) (*scan, error) {
	verts := m.Vertices()
	// How far vertices reach beyond the grid decides the sub-cell bits.
	// The vertices are needed twice, so the plane positions are not kept.
	cx, cy := g.X0+0.5*g.Cell*float64(g.NX), g.Y0+0.5*g.Cell*float64(g.NY)
	reach := g.reach(m, cx, cy)
	bits := subBits
	for bits > 0 && reach/g.Cell*float64(int64(1)<<bits) > maxCoord/2-4 {
		bits--
	}
	if bits < 4 {
		return nil, fmt.Errorf("dexel: cells of %g mm are too small for a pattern that reaches %g mm", g.Cell, reach)
	}
	one := int64(1) << bits
	scale := float64(one) / g.Cell

	s := &scan{m: m, g: g, bits: bits, fx: make([]int32, len(verts)), fy: make([]int32, len(verts))}
	err := par.Blocks(ctx, len(verts), block, func(from, to int) {
		for i := from; i < to; i++ {
			v := verts[i]
			s.fx[i] = int32(math.Round((v.Dot(g.E1) - cx) * scale))
			s.fy[i] = int32(math.Round((v.Dot(g.E2) - cy) * scale))
		}
	})
	if err != nil {
		return nil, fmt.Errorf("dexel: %w", err)
	}
	// Column i has its axis at (i+½)·one − NX·one/2 lattice units. Vertices
	// sit on whole units; when NX is odd and bits is 0 the axis might sit on
	// a half unit, but bits ≥ 4 keeps it whole, and ties are settled by the
	// fill rule.
	s.ox = one/2 - int64(g.NX)*one/2
	s.oy = one/2 - int64(g.NY)*one/2
	return s, nil
}

// reach is how far a mesh's bounds lie from a point of the grid's plane, along
// either axis, mm.
func (g Grid) reach(m *mesh.Mesh, cx, cy float64) (reach float64) {
	lo, hi := m.Bounds()
	for k := range 8 {
		p := lo
		if k&1 != 0 {
			p.X = hi.X
		}
		if k&2 != 0 {
			p.Y = hi.Y
		}
		if k&4 != 0 {
			p.Z = hi.Z
		}
		x, y, _ := g.Plane(p)
		reach = max(reach, math.Abs(x-cx), math.Abs(y-cy))
	}
	return reach
}

// triangles returns where the columns meet triangles from to to, in order, as
// one list after another; the first is out, which is empty and has some room.
func (s *scan) triangles(from, to int, skip func(int) bool, out []hit) (full [][]hit) {
	tris, verts := s.m.Triangles(), s.m.Vertices()
	g, bits, fx, fy, ox, oy := s.g, s.bits, s.fx, s.fy, s.ox, s.oy
	for t := from; t < to; t++ {
		i := tris[t]
		x0, x1, x2 := int64(fx[i[0]]), int64(fx[i[1]]), int64(fx[i[2]])
		y0, y1, y2 := int64(fy[i[0]]), int64(fy[i[1]]), int64(fy[i[2]])
		// Columns whose axis lies in the triangle's box.
		c0 := ceilDiv(min(x0, x1, x2)-ox, bits)
		c1 := (max(x0, x1, x2) - ox) >> bits
		if c0 > c1 {
			continue
		}
		r0 := ceilDiv(min(y0, y1, y2)-oy, bits)
		r1 := (max(y0, y1, y2) - oy) >> bits
		if r0 > r1 {
			continue
		}
		c0, r0 = max(c0, 0), max(r0, 0)
		c1, r1 = min(c1, int64(g.NX)-1), min(r1, int64(g.NY)-1)
		if c0 > c1 || r0 > r1 {
			continue
		}
		area := (x1-x0)*(y2-y0) - (x2-x0)*(y1-y0)
		if area == 0 || skip != nil && skip(t) {
			continue
		}
		sign := int32(-1) // faces up: going up, the axis leaves
		a, b, c := i[0], i[1], i[2]
		if area < 0 {
			sign = 1
			area = -area
			b, c = c, b
			x1, x2 = x2, x1
			y1, y2 = y2, y1
		}
		var e [3]edge
		e[0].set(x1, y1, x2, y2) // opposite a
		e[1].set(x2, y2, x0, y0)
		e[2].set(x0, y0, x1, y1)
		za, zb, zc := verts[a].Dot(g.U), verts[b].Dot(g.U), verts[c].Dot(g.U)
		zlo, zhi := min(za, zb, zc), max(za, zb, zc)
		inv := 1 / float64(area)
		for r := r0; r <= r1; r++ {
			py := oy + r<<bits
			// Each edge bounds the run of columns from one side.
			from, to := c0, c1
			for k := range e {
				from, to = e[k].clip(py, ox, bits, from, to)
			}
			for q := from; q <= to; q++ {
				px := ox + q<<bits
				w1 := float64(e[1].at(px, py))
				w2 := float64(e[2].at(px, py))
				z := za + float64((zb-za)*(w1*inv)) + float64((zc-za)*(w2*inv))
				z = min(max(z, zlo), zhi)
				if len(out) == cap(out) {
					full = append(full, out)
					out = make([]hit, 0, room)
				}
				out = append(out, hit{z, int32(r)*int32(g.NX) + int32(q), int32(t), sign})
			}
		}
	}
	return append(full, out)
}

// gather sorts the hits into columns.
func gather(ctx context.Context, g Grid, found [][][]hit) (*Crossings, error) {
	n := g.NX * g.NY
	off := make([]int32, n+1)
	total := 0
	lists := slices.Concat(found...)
	for _, b := range lists {
		total += len(b)
		for k := range b {
			off[b[k].col+1]++
		}
	}
	if total > math.MaxInt32 {
		return nil, fmt.Errorf("dexel: %d crossings are too many; use larger cells", total)
	}
	for k := 0; k < n; k++ {
		off[k+1] += off[k]
	}
	next := slices.Clone(off[:n])
	all := make([]Crossing, total)
	for _, b := range lists {
		for k := range b {
			h := &b[k]
			all[next[h.col]] = Crossing{h.z, h.tri, h.sign}
			next[h.col]++
		}
	}
	c := &Crossings{g, off, all}
	err := par.Blocks(ctx, g.NY, 16, func(from, to int) {
		for k := from * g.NX; k < to*g.NX; k++ {
			sortColumn(all[off[k]:off[k+1]])
		}
	})
	if err != nil {
		return nil, fmt.Errorf("dexel: %w", err)
	}
	return c, nil
}

// sortColumn orders by height, then by triangle. Blocks were gathered in the
// order of triangles, so the input depends on nothing else either.
func sortColumn(s []Crossing) {
	if len(s) > 48 {
		slices.SortFunc(s, func(a, b Crossing) int {
			switch {
			case a.Z < b.Z:
				return -1
			case a.Z > b.Z:
				return 1
			}
			return int(a.Tri) - int(b.Tri)
		})
		return
	}
	for i := 1; i < len(s); i++ {
		for j := i; j > 0 && (s[j].Z < s[j-1].Z || s[j].Z == s[j-1].Z && s[j].Tri < s[j-1].Tri); j-- {
			s[j], s[j-1] = s[j-1], s[j]
		}
	}
}

// edge is the edge function of one side of a counter-clockwise triangle:
// positive inside. Points on the line belong to the triangle only if the side
// is a left or a top one, so that of two triangles that share a side exactly
// one owns the line.
type edge struct {
	x, y   int64
	dx, dy int64
	own    int64 // 0 owns its line, 1 does not: inside where value >= own
}

func (e *edge) set(x0, y0, x1, y1 int64) {
	e.x, e.y = x0, y0
	e.dx, e.dy = x1-x0, y1-y0
	e.own = 1
	if e.dy < 0 || e.dy == 0 && e.dx < 0 {
		e.own = 0
	}
}

// at is the value at a point: twice the signed area with the side.
func (e *edge) at(px, py int64) int64 {
	return e.dx*(py-e.y) - e.dy*(px-e.x)
}

// clip narrows a run of columns in the row at py to those inside the side.
func (e *edge) clip(py, ox int64, bits int, from, to int64) (int64, int64) {
	// value(q) = k - dy·(q<<bits) >= own
	k := e.dx*(py-e.y) - e.dy*(ox-e.x) - e.own
	switch {
	case e.dy == 0:
		if k < 0 {
			return 1, 0
		}
	case e.dy > 0: // q <= k / (dy<<bits)
		to = min(to, floorDiv(k, e.dy<<bits))
	default: // q >= -k / (-dy<<bits)
		from = max(from, -floorDiv(k, -e.dy<<bits))
	}
	return from, to
}

func floorDiv(a, b int64) int64 { // b > 0
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

func ceilDiv(a int64, bits int) int64 { return -(-a >> bits) }

// GridAlong returns a grid across the unit vector u that covers every vertex
// of m that some unskipped triangle uses, with margin empty cells on every
// side. cell is enlarged where the grid would pass MaxCells on a side. yaw
// turns the grid about u, radians; 0 keeps mesh.Basis.
func GridAlong(m *mesh.Mesh, u mesh.Vec, cell, yaw float64, margin int, skip func(t int) bool) Grid {
	e1, e2 := mesh.Basis(u)
	if yaw != 0 {
		s, c := math.Sincos(yaw)
		e1, e2 = e1.Mul(c).Add(e2.Mul(s)), e2.Mul(c).Sub(e1.Mul(s))
	}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	verts := m.Vertices()
	grow := func(v mesh.Vec) {
		x, y := v.Dot(e1), v.Dot(e2)
		x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
	}
	if skip == nil {
		for _, v := range verts {
			grow(v)
		}
	} else {
		for t, i := range m.Triangles() {
			if !skip(t) {
				grow(verts[i[0]])
				grow(verts[i[1]])
				grow(verts[i[2]])
			}
		}
	}
	if x0 > x1 {
		x0, y0, x1, y1 = 0, 0, 0, 0
	}
	cell = max(cell, max(x1-x0, y1-y0)/float64(MaxCells-2*margin-2))
	if !(cell > 0) {
		cell = 1
	}
	g := Grid{U: u, E1: e1, E2: e2, Cell: cell}
	g.NX = int((x1-x0)/cell) + 1 + 2*margin
	g.NY = int((y1-y0)/cell) + 1 + 2*margin
	// Centre the pattern, so that a symmetric one is sampled symmetrically.
	g.X0 = (x0+x1)/2 - float64(g.NX)*cell/2
	g.Y0 = (y0+y1)/2 - float64(g.NY)*cell/2
	return g
}
