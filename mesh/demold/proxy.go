package demold

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/par"
	"moldtally/mesh/solid"
)

// proxy is a coarse stand-in for a solid, for trying many directions fast: its
// vertices gathered into the cells of a lattice, every triangle wound outward.
// A closed surface stays closed (as a chain: what collapses drops out in
// pairs), so its columns still see as many entries as exits.
type proxy struct {
	m    *mesh.Mesh
	cell float64 // of the lattice, mm: what the proxy cannot tell
	size float64 // the pattern's largest size, mm
	area float64 // of the surface as it is, mm²
	com  mesh.Vec
	vol  float64 // mm³
}

// proxyVertices is about how many vertices a proxy keeps: with some 30 thousand
// triangles a direction costs a few milliseconds.
const proxyVertices = 15_000

// sphereVertices is the same for the first look over the whole sphere.
const sphereVertices = 6_000

// newProxy clusters the surface's vertices (J. Rossignac & P. Borrel,
// "Multi-resolution 3D approximations for rendering complex scenes", 1993):
// each cell's vertices become their mean.
func newProxy(ctx context.Context, s *solid.Solid) (*proxy, error) {
	src := s.Surface()
	verts, tris := src.Vertices(), src.Triangles()
	p := &proxy{}
	nb := (len(tris) + sliceBlock - 1) / sliceBlock
	areas := make([]float64, nb)
	used := make([]uint8, len(verts))
	lo := mesh.V(math.Inf(1), math.Inf(1), math.Inf(1))
	hi := lo.Neg()
	err := par.Blocks(ctx, len(tris), sliceBlock, func(from, to int) {
		var sum float64
		for t := from; t < to; t++ {
			if s.Live(t) {
				a, b, c := src.Corners(t)
				sum += b.Sub(a).Cross(c.Sub(a)).Len()
			}
		}
		areas[from/sliceBlock] = sum / 2
	})
	if err != nil {
		return nil, err
	}
	for _, a := range areas {
		p.area += a
	}
	for t, i := range tris {
		if s.Live(t) {
			used[i[0]], used[i[1]], used[i[2]] = 1, 1, 1
		}
	}
	n := 0
	for v, u := range used {
		if u != 0 {
			lo, hi = lo.Min(verts[v]), hi.Max(verts[v])
			n++
		}
	}
	if n == 0 {
		return nil, fmt.Errorf("the solid has no surface")
	}
	d := hi.Sub(lo)
	p.size = max(d.X, d.Y, d.Z)
	to := make([]int32, len(verts))
	var mean []mesh.Vec
	if n <= proxyVertices {
		for v, u := range used {
			if u != 0 {
				to[v] = int32(len(mean))
				mean = append(mean, verts[v])
			}
		}
	} else {
		// A cell of area a holds about one vertex of a surface of area n·a.
		p.cell = max(math.Sqrt(p.area/proxyVertices), p.size/1024)
		var err error
		if mean, err = gather(ctx, verts, used, lo, p.cell, to); err != nil {
			return nil, err
		}
	}
	out := make([][3]int32, 0, 2*len(mean)+64)
	for t, i := range tris {
		if !s.Live(t) {
			continue
		}
		a, b, c := to[i[0]], to[i[1]], to[i[2]]
		if a == b || b == c || c == a {
			continue
		}
		if !s.Outward(t) {
			b, c = c, b
		}
		out = append(out, [3]int32{a, b, c})
	}
	p.m = mesh.New(mean, out)
	// Volume and its centre, about the middle of the box.
	o := lo.Add(hi).Mul(0.5)
	var six float64
	var m mesh.Vec
	for t := range out {
		a, b, c := p.m.Corners(t)
		a, b, c = a.Sub(o), b.Sub(o), c.Sub(o)
		v := a.Dot(b.Cross(c))
		six += v
		m = m.Add(a.Add(b).Add(c).Mul(v))
	}
	p.vol = six / 6
	p.com = o
	if six > 0 {
		p.com = o.Add(m.Mul(1 / (4 * six)))
	}
	return p, nil
}

// gather joins the used vertices that share a cell of a lattice from lo into
// their mean and writes into to which of the means each has become.
func gather(ctx context.Context, verts []mesh.Vec, used []uint8, lo mesh.Vec, cell float64, to []int32) ([]mesh.Vec, error) {
	var mean []mesh.Vec
	inv := 1 / cell
	table := make([]int32, 1<<16)
	var keys []uint64
	var count []float64
	grow := func() {
		bigger := make([]int32, 2*len(table))
		for k, key := range keys {
			h := key * 0x9E3779B97F4A7C15 >> 20 & uint64(len(bigger)-1)
			for bigger[h] != 0 {
				h = (h + 1) & uint64(len(bigger)-1)
			}
			bigger[h] = int32(k + 1)
		}
		table = bigger
	}
	for v, u := range used {
		if u == 0 {
			continue
		}
		if v%sliceBlock == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		q := verts[v].Sub(lo)
		key := uint64(q.X*inv)<<42 | uint64(q.Y*inv)<<21 | uint64(q.Z*inv)
		h := key * 0x9E3779B97F4A7C15 >> 20 & uint64(len(table)-1)
		for table[h] != 0 && keys[table[h]-1] != key {
			h = (h + 1) & uint64(len(table)-1)
		}
		k := table[h]
		if k == 0 {
			keys = append(keys, key)
			mean = append(mean, mesh.Vec{})
			count = append(count, 0)
			k = int32(len(keys))
			table[h] = k
			if 2*len(keys) > len(table) {
				grow()
			}
		}
		mean[k-1] = mean[k-1].Add(q)
		count[k-1]++
		to[v] = k - 1
	}
	for k := range mean {
		mean[k] = mean[k].Mul(1 / count[k]).Add(lo)
	}
	return mean, nil
}

// coarser is a stand-in for the stand-in with about n vertices: what a single
// look at hundreds of directions needs. Sizes stay those of the pattern.
func (p *proxy) coarser(ctx context.Context, n int) (*proxy, error) {
	verts := p.m.Vertices()
	if len(verts) <= n*3/2 {
		return p, nil
	}
	q := *p
	q.cell = max(math.Sqrt(p.area/float64(n)), p.size/1024)
	used := make([]uint8, len(verts))
	for v := range used {
		used[v] = 1
	}
	lo, _ := p.m.Bounds()
	to := make([]int32, len(verts))
	mean, err := gather(ctx, verts, used, lo, q.cell, to)
	if err != nil {
		return nil, err
	}
	tris := make([][3]int32, 0, 2*len(mean)+64)
	for _, i := range p.m.Triangles() {
		if a, b, c := to[i[0]], to[i[1]], to[i[2]]; a != b && b != c && c != a {
			tris = append(tris, [3]int32{a, b, c})
		}
	}
	q.m = mesh.New(mean, tris)
	return &q, nil
}

// scene casts the proxy along u in about n columns across: solid where the
// windings of all pieces, wound outward, add up to something.
func (p *proxy) scene(ctx context.Context, u mesh.Vec, n int, o scene.Options) (*scene.Scene, error) {
	// The turn keeps walls off the grid's lines: see analysis.grid.
	g := dexel.GridAlong(p.m, u, p.size/float64(n), 0.3737, 2, nil)
	cr, err := dexel.Cast(ctx, p.m, g, dexel.Options{})
	if err != nil {
		return nil, err
	}
	off := make([]int32, 1, g.NX*g.NY+1)
	spans := make([]dexel.Span, 0, cr.Len()/2+1)
	for j := range g.NY {
		for i := range g.NX {
			w := int32(0)
			for _, c := range cr.Column(i, j) {
				before := w
				w += c.Sign
				switch {
				case before == 0:
					spans = append(spans, dexel.Span{Bottom: c.Z, BottomTri: c.Tri})
				case w == 0:
					s := &spans[len(spans)-1]
					if s.Top, s.TopTri = c.Z, c.Tri; s.Top <= s.Bottom {
						spans = spans[:len(spans)-1]
					}
				}
			}
			if w != 0 {
				spans = spans[:len(spans)-1]
			}
			off = append(off, int32(len(spans)))
		}
	}
	base, top := math.Inf(1), math.Inf(-1)
	for _, v := range p.m.Vertices() {
		h := v.Dot(u)
		base, top = min(base, h), max(top, h)
	}
	return scene.Over(dexel.New(g, off, spans), base, top, p.size, p.cell, o), nil
}

// trial is the coarse look at one direction.
type trial struct {
	up       mesh.Vec
	depth    float64
	path     float64 // +Inf = locked
	volume   float64
	height   float64
	pocket   float64  // surface of the hollows that the board shuts, mm²
	shadow   float64  // area of the outline from above, mm²
	resolved float64  // how far path is certain, mm
	stretch  *float64 // nil = not asked, or unknown
}

// trialOf is what the undercuts of a scene come to.
func trialOf(u *Undercuts) trial {
	c := u.Scene
	t := trial{up: c.Up, depth: u.Depth, path: u.reach(), volume: u.Volume, height: c.Top - c.Base, resolved: c.Uncertainty}
	if c.OnBoard() {
		t.pocket = c.Space().PocketSurface()
	}
	return t
}

// try judges a direction on about n columns across.
func (p *proxy) try(ctx context.Context, u mesh.Vec, n int, o scene.Options) (trial, error) {
	c, err := p.scene(ctx, u, n, o)
	if err != nil {
		return trial{}, err
	}
	found, err := FindUndercuts(ctx, c, nil)
	if err != nil {
		return trial{}, err
	}
	t := trialOf(found)
	for j := range c.Field.NY {
		for i := range c.Field.NX {
			if len(c.Field.Column(i, j)) > 0 {
				t.shadow++
			}
		}
	}
	t.shadow *= c.Field.Cell * c.Field.Cell
	return t, nil
}

// tryWithin judges a direction as long as its path may be within
// a limit, mm: as soon as some of the rubber needs a longer one, or has no way
// out where another is sought, it gives up and reports false. A limit of +Inf
// judges all. The figures are those of the levels alone, without closing in
// between them.
func tryWithin(ctx context.Context, c *scene.Scene, limit float64) (trial, bool, error) {
	t := trial{up: c.Up, height: c.Top - c.Base, resolved: c.Uncertainty}
	if !c.OnBoard() {
		within, err := partedWithin(ctx, c, &t, limit)
		return t, within, err
	}
	s := newShadow(c.Field, c.Space(), c.ClayLine(), c.Base, c.Eps)
	if t.path = s.straight(); t.path > limit {
		return t, false, nil
	}
	t.depth = t.path
	err := s.find(ctx)
	if err != nil {
		return t, false, err
	}
	hs, err := s.blocked(ctx)
	if err != nil {
		return t, false, err
	}
	if len(hs) > 0 {
		levels := newQuickLevels(s, hs, c)
		for _, h := range spreadOut(s.levels(hs)) {
			if err := ctx.Err(); err != nil {
				return t, false, err
			}
			t.path = max(t.path, levels.deepest(h))
			if math.IsInf(t.path, 1) {
				break
			}
			if t.path > limit {
				return t, false, nil
			}
		}
	}
	if t.path > limit {
		return t, false, nil
	}
	t.volume = s.volume()
	t.pocket = c.Space().PocketSurface()
	return t, true, nil
}
