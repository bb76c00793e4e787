// Package standin makes coarse stand-ins of a solid, for trying many directions
// fast.
package standin

import (
	"context"
	"errors"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/solid"
)

// Body is a coarse stand-in of a solid: its vertices gathered into the cells of a
// lattice, every triangle wound outward. A closed surface stays closed (as a
// chain: what collapses drops out in pairs), so its columns still see as many
// entries as exits.
type Body struct {
	Mesh   *mesh.Mesh
	Blur   float64  // cell of the lattice, mm: what the stand-in cannot tell
	Size   float64  // the pattern's largest size, mm
	Area   float64  // of the surface as it is, mm²
	Middle mesh.Vec // centre of the volume
	Volume float64  // mm³
}

// mostVertices is about how many vertices a stand-in keeps: with some 30 thousand
// triangles a direction costs a few milliseconds.
const mostVertices = 15_000

// block is how many vertices are looked at between two looks at the ctx.
const block = 1 << 15

// New clusters the surface's vertices (J. Rossignac & P. Borrel,
// "Multi-resolution 3D approximations for rendering complex scenes", 1993):
// each cell's vertices become their mean.
func New(ctx context.Context, s *solid.Solid) (*Body, error) {
	src := s.Surface()
	verts := src.Vertices()
	p := &Body{}
	var err error
	if p.Area, err = s.Area(ctx); err != nil {
		return nil, err
	}
	used := make([]uint8, len(verts))
	for t, i := range src.Triangles() {
		if s.Live(t) {
			used[i[0]], used[i[1]], used[i[2]] = 1, 1, 1
		}
	}
	lo := mesh.V(math.Inf(1), math.Inf(1), math.Inf(1))
	hi := lo.Neg()
	n := 0
	for v, u := range used {
		if u != 0 {
			lo, hi = lo.Min(verts[v]), hi.Max(verts[v])
			n++
		}
	}
	if n == 0 {
		return nil, errors.New("the solid has no surface")
	}
	d := hi.Sub(lo)
	p.Size = max(d.X, d.Y, d.Z)
	to := make([]int32, len(verts))
	var mean []mesh.Vec
	if n <= mostVertices {
		for v, u := range used {
			if u != 0 {
				to[v] = int32(len(mean))
				mean = append(mean, verts[v])
			}
		}
	} else {
		p.Blur = p.cellFor(mostVertices)
		if mean, err = gather(ctx, verts, used, lo, p.Blur, to); err != nil {
			return nil, err
		}
	}
	p.Mesh = outward(s, mean, to)
	p.weigh(lo.Add(hi).Mul(0.5))
	return p, nil
}

// cellFor is the lattice's cell for n vertices: a cell of area a holds about one
// vertex of a surface of area n·a.
func (p *Body) cellFor(n int) float64 {
	return max(math.Sqrt(p.Area/float64(n)), p.Size/1024)
}

// outward is the surface over gathered vertices, wound outward.
func outward(s *solid.Solid, mean []mesh.Vec, to []int32) *mesh.Mesh {
	out := make([][3]int32, 0, 2*len(mean)+64)
	for t, i := range s.Surface().Triangles() {
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
	return mesh.New(mean, out)
}

// weigh fills in volume and middle, reckoned about o.
func (p *Body) weigh(o mesh.Vec) {
	var six float64
	var m mesh.Vec
	for t := range p.Mesh.NumTriangles() {
		a, b, c := p.Mesh.Corners(t)
		a, b, c = a.Sub(o), b.Sub(o), c.Sub(o)
		v := a.Dot(b.Cross(c))
		six += v
		m = m.Add(a.Add(b).Add(c).Mul(v))
	}
	p.Volume, p.Middle = six/6, o
	if six > 0 {
		p.Middle = o.Add(m.Mul(1 / (4 * six)))
	}
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
		if v%block == 0 && ctx.Err() != nil {
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

// Coarser is a stand-in for the stand-in with about n vertices: what a single
// look at hundreds of directions needs. Sizes stay those of the pattern.
func (p *Body) Coarser(ctx context.Context, n int) (*Body, error) {
	verts := p.Mesh.Vertices()
	if len(verts) <= n*3/2 {
		return p, nil
	}
	q := *p
	q.Blur = p.cellFor(n)
	used := make([]uint8, len(verts))
	for v := range used {
		used[v] = 1
	}
	lo, _ := p.Mesh.Bounds()
	to := make([]int32, len(verts))
	mean, err := gather(ctx, verts, used, lo, q.Blur, to)
	if err != nil {
		return nil, err
	}
	tris := make([][3]int32, 0, 2*len(mean)+64)
	for _, i := range p.Mesh.Triangles() {
		if a, b, c := to[i[0]], to[i[1]], to[i[2]]; a != b && b != c && c != a {
			tris = append(tris, [3]int32{a, b, c})
		}
	}
	q.Mesh = mesh.New(mean, tris)
	return &q, nil
}

// Scene casts the stand-in along u in about n columns across: solid where the
// windings of all pieces, wound outward, add up to something.
func (p *Body) Scene(ctx context.Context, u mesh.Vec, n int, o scene.Options) (*scene.Scene, error) {
	// The turn keeps walls off the grid's lines: see scene.New.
	g := dexel.GridAlong(p.Mesh, u, p.Size/float64(n), 0.3737, 2, nil)
	cr, err := dexel.Cast(ctx, p.Mesh, g, dexel.Options{})
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
	for _, v := range p.Mesh.Vertices() {
		h := v.Dot(u)
		base, top = min(base, h), max(top, h)
	}
	return scene.Over(dexel.New(g, off, spans), base, top, p.Size, p.Blur, o), nil
}
