package boxfit

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/par"
)

// riser is how far above the highest point of the shell the rubber stands in
// the funnel and vents of a mother mold, mm (common practice, no source).
const riser = 50

// shellRoom is what a mother mold's own wall and flange take beyond the
// blanket, mm: plaster with fibre runs 12 to 25 mm (common practice, no source).
const shellRoom = 25

// blanket is an even coat under a rigid mother mold: the space within the
// thickness outside the pattern and above the board, filled out below so that
// the mother mold draws along up.
func (p *planner) blanket(ctx context.Context) (*Fit, error) {
	s, t := p.s, p.wall
	volume, area, err := s.dilate(ctx, t)
	if err != nil {
		return nil, err
	}
	w := walls{kind: Mother, center: s.rect.Center, axis: s.rect.Axis}
	f := p.start(&w)
	f.Over, f.Under = t, 0
	f.FillHeight = s.height() + t
	f.Center = s.point(w.center, s.base).Array()
	f.Capacity = volume
	p.rubber(f, 0, s.base)
	f.Thinnest = t
	f.Seam = mesh.PerimeterOf(s.hull) + 2*math.Pi*t
	up := 0.0
	if p.mold == demold.Brushed { // nothing liquid presses
		f.HoldDown, f.HoldDownMargin = new(0.0), new(0.0)
	} else {
		head := f.FillHeight + riser
		f.FloorPressure = headPressure(p.sg, head)
		p.float(f, float64(s.displaced.Value)*s.below(s.base+f.FillHeight))
		up = shellLift(p.sg, area, head, volume)
		f.ShellUplift = &up
	}
	around := 2 * (t + shellRoom + baseMargin)
	f.Boards = append(f.Boards, p.base(s.rect.Length+around, s.rect.Width+around))
	if p.r.LiftExtra > 0 { // else the mother mold's own mass is unknown
		p.lift(f)
	}
	p.judge(f, t, f.FillHeight)
	if up > 0 {
		f.Findings.Add(p.shellLifts(up))
	}
	return f, nil
}

// blanketCells is how many cells a blanket is thick in the height map; the
// dilation of a cube or a ball then comes out within 0.2 % (a test measures it).
const blanketCells = 12

// blanketGrid is the most cells along a side of the height map: 9 MB.
const blanketGrid = 1536

// heightMap holds, over a square grid in the plane, the top of the pattern
// dilated by a ball of radius t.
type heightMap struct {
	s            *scene
	t            float64
	ax, ay       mesh.Vec // the grid's directions in space
	x0, y0, cell float64
	nx, ny       int
	h            []float32 // height above the base; 0 = nothing
	longEdge     float64   // longer edges, and their faces, are drawn
	lean         []lean    // per vertex; nil = draw whole balls
}

// dilate returns the volume between the base plane and the top of S ⊕ ball(t),
// and the area it covers from above, mm³ and mm².
//
// Below that top nothing is left open, so that the outside draws along up; the
// top of the dilation is the highest of a ball round each vertex, a cylinder
// round each edge and each face lifted by t, evaluated at the cells' centres
// without error of its own. The grid is turned by an angle whose tangent is no
// simple fraction, so that a straight wall along the file's axes crosses the
// cells evenly and the sum has no preferred side.
func (s *scene) dilate(ctx context.Context, t float64) (volume, area float64, err error) {
	return s.dilated(ctx, t, s.surface.NumVertices() > leanFrom)
}

// dilated is dilate with the balls round the vertices trimmed to what shows, or
// whole.
func (s *scene) dilated(ctx context.Context, t float64, trimmed bool) (volume, area float64, err error) {
	const turn = 0.5547 // radians; tan = 0.6190…
	g := heightMap{s: s, t: t}
	c, n := math.Cos(turn), math.Sin(turn)
	g.ax = s.e1.Mul(c).Add(s.e2.Mul(n))
	g.ay = s.e2.Mul(c).Sub(s.e1.Mul(n))
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range s.hull {
		x, y := p.X*c+p.Y*n, p.Y*c-p.X*n
		x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
	}
	x0, x1, y0, y1 = x0-t, x1+t, y0-t, y1+t
	g.cell = max(t/blanketCells, max(x1-x0, y1-y0)/(blanketGrid-2))
	g.x0, g.y0 = x0, y0
	g.nx, g.ny = int(math.Ceil((x1-x0)/g.cell))+1, int(math.Ceil((y1-y0)/g.cell))+1
	g.h = make([]float32, g.nx*g.ny)
	// Between the balls of two vertices an edge of two cells sags by less than
	// a three-hundredth of t where t is twelve cells.
	g.longEdge = 2 * g.cell

	if trimmed {
		if err := g.leanings(ctx); err != nil {
			return 0, 0, err
		}
	}

	// Each stripe of rows goes over all of the pattern: the greatest height does not depend on who came first.
	const stripe = 64
	err = par.Blocks(ctx, g.ny, stripe, func(from, to int) { g.draw(ctx, from, to) })
	if err != nil {
		return 0, 0, fmt.Errorf("boxfit: %w", err)
	}
	for j := range g.ny {
		var row float64
		n := 0
		for _, v := range g.h[j*g.nx : (j+1)*g.nx] {
			if v > 0 {
				row += float64(v)
				n++
			}
		}
		volume += row
		area += float64(n)
	}
	return volume * g.cell * g.cell, area * g.cell * g.cell, nil
}

// lean says towards where the faces round a vertex look: the box round the
// horizontal parts of their unit normals, taken upward. The ball round the
// vertex is part of the dilation's outside only there, as the normals of the
// faces round it span all it can show; on a dense mesh that is a few cells of
// several hundred.
type lean struct {
	x0, x1, y0, y1 float32
	up, down       bool // how they look as wound; both = the outline: whole ball
}

// leanFrom is how many vertices make it worth the memory, 20 bytes each.
const leanFrom = 100_000

// leanMost is how far the normals may spread for the box to hold: over wider
// arcs the sphere bulges out of it by more than a cell.
const leanMost = 0.3

// leanings fills lean.
func (g *heightMap) leanings(ctx context.Context) error {
	s := g.s
	g.lean = make([]lean, s.surface.NumVertices())
	for i := range g.lean {
		g.lean[i] = lean{2, -2, 2, -2, false, false}
	}
	for k, tri := range s.surface.Triangles() {
		if k&0xffff == 0 && ctx.Err() != nil {
			return fmt.Errorf("boxfit: %w", ctx.Err())
		}
		if s.skip != nil && s.skip[k] {
			continue
		}
		a, b, c := s.surface.Corners(k)
		n := b.Sub(a).Cross(c.Sub(a)).Unit()
		z := n.Dot(s.up)
		up := z > 1e-3
		down := z < -1e-3
		if !up && !down { // upright, or no face at all: whole balls
			up, down = true, true
		}
		if down {
			n = n.Neg()
		}
		x, y := float32(n.Dot(g.ax)), float32(n.Dot(g.ay))
		for _, v := range tri {
			l := &g.lean[v]
			l.x0, l.x1, l.y0, l.y1 = min(l.x0, x), max(l.x1, x), min(l.y0, y), max(l.y1, y)
			l.up, l.down = l.up || up, l.down || down
		}
	}
	return nil
}

// draw raises rows j0 to j1 to the dilation of the whole pattern.
func (g *heightMap) draw(ctx context.Context, j0, j1 int) {
	s := g.s
	for k, v := range s.surface.Vertices() {
		if s.used == nil || s.used[k] {
			x, y, z := v.Dot(g.ax), v.Dot(g.ay), v.Dot(s.up)-s.base
			x0, x1, y0, y1 := x-g.t, x+g.t, y-g.t, y+g.t
			if g.lean != nil {
				l := &g.lean[k]
				if l.up != l.down && l.x1-l.x0 <= leanMost && l.y1-l.y0 <= leanMost {
					// Room for half of an edge that is not drawn itself.
					m := 0.75 * g.longEdge
					x0, x1 = max(x0, x+g.t*float64(l.x0)-m), min(x1, x+g.t*float64(l.x1)+m)
					y0, y1 = max(y0, y+g.t*float64(l.y0)-m), min(y1, y+g.t*float64(l.y1)+m)
				}
			}
			g.ball(x, y, z, x0, x1, y0, y1, j0, j1)
		}
		if k&0xffff == 0 && ctx.Err() != nil {
			return
		}
	}
	for k := range s.surface.NumTriangles() {
		if k&0xffff == 0 && ctx.Err() != nil {
			return
		}
		if s.skip != nil && s.skip[k] || s.surface.Collapsed(k) {
			continue
		}
		a, b, c := s.surface.Corners(k)
		long := false
		for _, e := range [3][2]mesh.Vec{{a, b}, {b, c}, {c, a}} {
			if e[1].Sub(e[0]).Len() > g.longEdge {
				long = true
				g.rod(e[0], e[1], j0, j1)
			}
		}
		if long {
			g.plate(a, b, c, j0, j1)
		}
	}
}

// rows clips the rows within d of y to j0..j1.
func (g *heightMap) rows(lo, hi float64, j0, j1 int) (int, int) {
	a := int(math.Ceil((lo-g.y0)/g.cell - 0.5))
	b := int(math.Floor((hi-g.y0)/g.cell - 0.5))
	return max(a, j0), min(b, j1-1)
}

// cols clips the columns whose centres lie in lo..hi.
func (g *heightMap) cols(lo, hi float64) (int, int) {
	a := int(math.Ceil((lo-g.x0)/g.cell - 0.5))
	b := int(math.Floor((hi-g.x0)/g.cell - 0.5))
	return max(a, 0), min(b, g.nx-1)
}

func (g *heightMap) raise(k int, z float64) {
	if v := float32(z); v > g.h[k] {
		g.h[k] = v
	}
}

// ball raises the map to a ball round a point, within x0..x1 and y0..y1; z is
// above the base.
func (g *heightMap) ball(x, y, z, x0, x1, y0, y1 float64, j0, j1 int) {
	a, b := g.rows(y0, y1, j0, j1)
	for j := a; j <= b; j++ {
		dy := g.y0 + (float64(j)+0.5)*g.cell - y
		r2 := g.t*g.t - dy*dy
		if r2 < 0 {
			continue
		}
		r := math.Sqrt(r2)
		i0, i1 := g.cols(max(x0, x-r), min(x1, x+r))
		dx := g.x0 + (float64(i0)+0.5)*g.cell - x
		for k := j*g.nx + i0; k <= j*g.nx+i1; k++ {
			g.raise(k, z+math.Sqrt(max(0, r2-dx*dx)))
			dx += g.cell
		}
	}
}

// rod raises the map to a cylinder round an edge, between its end planes; the
// balls at its ends do the rest.
func (g *heightMap) rod(p, q mesh.Vec, j0, j1 int) {
	px, py, pz := p.Dot(g.ax), p.Dot(g.ay), p.Dot(g.s.up)-g.s.base
	dx, dy, dz := q.Dot(g.ax)-px, q.Dot(g.ay)-py, q.Dot(g.s.up)-g.s.base-pz
	l := math.Hypot(dx, dy)
	if l < 1e-9 {
		return // upright: the upper ball covers it
	}
	ex, ey, m := dx/l, dy/l, dz/l
	slope := math.Sqrt(1 + m*m)
	a, b := g.rows(min(py, py+dy)-g.t, max(py, py+dy)+g.t, j0, j1)
	for j := a; j <= b; j++ {
		y := g.y0 + (float64(j)+0.5)*g.cell - py
		lo, hi := min(0, dx)-g.t, max(0, dx)+g.t
		if math.Abs(ey) > 1e-9 { // |across| <= t, across = y·ex - x·ey
			u, v := (y*ex-g.t)/ey, (y*ex+g.t)/ey
			lo, hi = max(lo, min(u, v)), min(hi, max(u, v))
		}
		i0, i1 := g.cols(px+lo, px+hi)
		for i := i0; i <= i1; i++ {
			x := g.x0 + (float64(i)+0.5)*g.cell - px
			across := y*ex - x*ey
			r2 := g.t*g.t - across*across
			if r2 < 0 {
				continue
			}
			// Highest over the edge of z + √(r² - (along-σ)²).
			along, r := x*ex+y*ey, math.Sqrt(r2)
			if at := along + r*m/slope; at < 0 || at > l {
				continue
			}
			g.raise(j*g.nx+i, pz+m*along+r*slope)
		}
	}
}

// plate raises the map to a face lifted by t along its upward normal.
func (g *heightMap) plate(a, b, c mesh.Vec, j0, j1 int) {
	n := b.Sub(a).Cross(c.Sub(a)).Unit()
	nz := n.Dot(g.s.up)
	if nz < 0 {
		n, nz = n.Neg(), -nz
	}
	if nz < 1e-6 {
		return // upright: the rods round its edges do
	}
	n = n.Mul(g.t)
	var x, y, z [3]float64
	for i, v := range [3]mesh.Vec{a.Add(n), b.Add(n), c.Add(n)} {
		x[i], y[i], z[i] = v.Dot(g.ax), v.Dot(g.ay), v.Dot(g.s.up)-g.s.base
	}
	det := (x[1]-x[0])*(y[2]-y[0]) - (x[2]-x[0])*(y[1]-y[0])
	if det == 0 {
		return
	}
	zx := ((z[1]-z[0])*(y[2]-y[0]) - (z[2]-z[0])*(y[1]-y[0])) / det
	zy := ((x[1]-x[0])*(z[2]-z[0]) - (x[2]-x[0])*(z[1]-z[0])) / det
	p, q := g.rows(min(y[0], y[1], y[2]), max(y[0], y[1], y[2]), j0, j1)
	for j := p; j <= q; j++ {
		v := g.y0 + (float64(j)+0.5)*g.cell
		lo, hi := math.Inf(1), math.Inf(-1)
		for i := range 3 {
			k := (i + 1) % 3
			if y[i] == y[k] || v < min(y[i], y[k]) || v > max(y[i], y[k]) {
				continue
			}
			u := x[i] + (x[k]-x[i])*(v-y[i])/(y[k]-y[i])
			lo, hi = min(lo, u), max(hi, u)
		}
		if lo > hi {
			continue
		}
		i0, i1 := g.cols(lo, hi)
		for i := i0; i <= i1; i++ {
			u := g.x0 + (float64(i)+0.5)*g.cell
			g.raise(j*g.nx+i, z[0]+zx*(u-x[0])+zy*(v-y[0]))
		}
	}
}
