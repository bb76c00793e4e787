package tunnel

import (
	"context"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// block is how many vertices or triangles are taken between two looks at the
// context.
const block = 1 << 15

// euler counts tunnels exactly on a surface that is closed, wound
// consistently and does not cross itself.
//
// X is S joined with the slab below the clay line. S above the line and the
// slab meet in the section A, so that (Mayer–Vietoris) χ(X) = χ(S above) + 1 −
// χ(A); and S above is bounded by the clipped surface F and A, glued along
// circles, so that χ(S above) = ½(χ(F) + χ(A)). Hence χ(X) = 1 + ½(χ(F) −
// χ(A)) and b1 = b0 + b2 − χ(X), where b0 − 1 counts pieces wholly above the
// line and b2 the hollows that S and the slab enclose together.
type euler struct {
	m       *mesh.Mesh
	u       mesh.Vec
	live    func(t int) bool
	piece   func(t int) int
	outward func(t int) bool
	f       *dexel.Field
	line    float64 // −Inf: S alone
	eps     float64
}

func newEuler(sp space) *euler {
	s := sp.Solid
	size := s.Surface().Size()
	return &euler{
		m: s.Surface(), u: sp.Up, live: s.Live, piece: s.Piece, outward: s.Outward,
		f: sp.Field, line: sp.floor, eps: mesh.TouchShare * max(size.X, size.Y, size.Z),
	}
}

// What is remembered of a vertex.
const (
	used  = 1 << iota // of a triangle that counts
	above             // the line
)

// clipped is the surface above the line, as it is counted.
type clipped struct {
	mark                      []uint8
	faces, halfEdges, corners int
	low                       []bool  // per piece: it reaches down to the line
	crossing                  []int32 // triangles that the line cuts
}

// count returns false where the surface turns out not to be what was promised.
func (e *euler) count(ctx context.Context) (int, bool, error) {
	pieces := 0
	for t := range e.m.Triangles() {
		if e.live(t) {
			pieces = max(pieces, e.piece(t)+1)
		}
	}
	if pieces == 0 {
		return 0, false, nil
	}
	hidden := e.hidden(pieces)
	c, err := e.clip(ctx, hidden)
	if err != nil || c.halfEdges%2 != 0 {
		return 0, false, err
	}
	chiF := c.corners - c.halfEdges/2 + c.faces
	floating := 0
	for p := range pieces {
		if !hidden[p] && !c.low[p] {
			floating++
		}
	}
	if math.IsInf(e.line, -1) {
		if chiF%2 != 0 {
			return 0, false, nil
		}
		return max(floating-chiF/2, 0), true, nil
	}
	loops, err := e.loops(ctx, c.crossing)
	if err != nil {
		return 0, false, err
	}
	chiA, holes := 0, 0
	for _, l := range loops {
		switch {
		case !l.Sound:
			return 0, false, nil
		case l.Area > 0:
			chiA++
		default:
			chiA--
			holes++
		}
	}
	hollows := 0
	if holes > 0 {
		hollows = e.hollows(loops, c.mark, hidden)
	}
	if (chiF-chiA)%2 != 0 {
		return 0, false, nil
	}
	chiX := 1 + (chiF-chiA)/2
	n := 1 + floating + hollows - chiX
	return n, n >= 0, nil
}

// clip counts for χ of the clipped surface: whatever has a corner above the line
// counts, edges half for each of their two triangles; what the line adds is
// circles, and those have none.
func (e *euler) clip(ctx context.Context, hidden []bool) (*clipped, error) {
	verts := e.m.Vertices()
	c := &clipped{mark: make([]uint8, len(verts)), low: make([]bool, len(hidden))}
	err := par.Blocks(ctx, len(verts), block, func(from, to int) {
		for v := from; v < to; v++ {
			if verts[v].Dot(e.u) > e.line+e.eps {
				c.mark[v] = above
			}
		}
	})
	if err != nil {
		return nil, err
	}
	for t, i := range e.m.Triangles() {
		if t%block == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !e.live(t) || hidden[e.piece(t)] {
			continue
		}
		up, n := [3]bool{}, 0
		for k, v := range i {
			if up[k] = c.mark[v]&above != 0; up[k] {
				n++
			}
		}
		if n < 3 {
			c.low[e.piece(t)] = true
		}
		if n == 0 {
			continue
		}
		if n < 3 {
			c.crossing = append(c.crossing, int32(t))
		}
		c.faces++
		for k, v := range i {
			if up[k] || up[(k+1)%3] {
				c.halfEdges++
			}
			c.mark[v] |= used
		}
	}
	for _, k := range c.mark {
		if k == used|above {
			c.corners++
		}
	}
	return c, nil
}

// hidden finds the pieces that lie inside another one: S fills them in, so
// their surface bounds nothing. No column starts or ends on such a piece.
func (e *euler) hidden(pieces int) []bool {
	hidden := make([]bool, pieces)
	if pieces == 1 {
		return hidden
	}
	seen := make([]bool, pieces)
	f := e.f
	for j := range f.NY {
		for i := range f.NX {
			for _, s := range f.Column(i, j) {
				if p := e.piece(int(s.BottomTri)); p >= 0 {
					seen[p] = true
				}
				if p := e.piece(int(s.TopTri)); p >= 0 {
					seen[p] = true
				}
			}
		}
	}
	// A piece between the columns is hidden if the columns around it are
	// solid well above and below it.
	asked := make([]bool, pieces)
	for t, i := range e.m.Triangles() {
		if !e.live(t) {
			continue
		}
		p := e.piece(t)
		if seen[p] || asked[p] {
			continue
		}
		asked[p] = true
		x, y, z := f.Plane(e.m.Vertices()[i[0]])
		ci, cj := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
		inside := true
		for dj := -1; dj <= 1; dj++ {
			for di := -1; di <= 1; di++ {
				ni, nj := ci+di, cj+dj
				if ni < 0 || nj < 0 || ni >= f.NX || nj >= f.NY {
					inside = false
					continue
				}
				if _, in := dexel.At(f.Column(ni, nj), z); !in {
					inside = false
				}
			}
		}
		hidden[p] = inside
	}
	return hidden
}

// loop is one closed line of the section at the clay line.
type loop struct {
	section.Loop
	segs  [][2]mesh.Vec2 // S on the left
	above int32          // a vertex of the surface that rises from it
}

// loops cuts the surface at the clay line, given the triangles that cross it.
func (e *euler) loops(ctx context.Context, crossing []int32) ([]loop, error) {
	if len(crossing) == 0 {
		return nil, nil
	}
	sl := section.Slicer{Mesh: e.m, Outward: e.outward, U: e.u, E1: e.f.E1, E2: e.f.E2}
	sec, err := sl.At(ctx, section.JustAbove(e.line+e.eps), crossing)
	if err != nil {
		return nil, err
	}
	near := mesh.Vec2{X: e.f.X0, Y: e.f.Y0}
	out := make([]loop, sec.NumLoops)
	for k, l := range sec.Loops(near) {
		out[k].Loop = l
	}
	for _, g := range sec.Segments {
		l := &out[sec.LoopOf[g.A]]
		l.segs = append(l.segs, [2]mesh.Vec2{sec.Places[g.A].Sub(near), sec.Places[g.B].Sub(near)})
		if l.above = sec.Points[g.A].I; !sec.Below(e.m.Vertices()[l.above].Dot(e.u), 0) {
			l.above = sec.Points[g.A].J
		}
	}
	return out, nil
}

// contains reports whether p lies inside the loop: an odd number of its
// segments cross the ray from p along +x.
func (l *loop) contains(p mesh.Vec2) bool {
	in := false
	for _, s := range l.segs {
		a, b := s[0], s[1]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*((p.Y-a.Y)/(b.Y-a.Y)) {
			in = !in
		}
	}
	return in
}

// hollows counts the spaces that S and the slab enclose together. The regions
// of the line's plane outside S are the open one and one per hole; a connected
// surface rising from several of them has one and the same space on its
// outside, and a space that does not include the open region is shut.
func (e *euler) hollows(loops []loop, mark []uint8, hidden []bool) int {
	verts, tris := e.m.Vertices(), e.m.Triangles()
	join := disjoint.New(len(verts))
	for t, i := range tris {
		if !e.live(t) || hidden[e.piece(t)] {
			continue
		}
		last := int32(-1)
		for _, v := range i {
			if mark[v]&above == 0 {
				continue
			}
			if last >= 0 {
				join.Join(last, v)
			}
			last = v
		}
	}
	// Regions: 0 is the open one, k+1 the hole of loop k.
	region := disjoint.New(len(loops) + 1)
	first := make(map[int32]int32) // looked up, never ranged over
	for k := range loops {
		l := &loops[k]
		r := int32(k + 1)
		if l.Area > 0 {
			r = 0
			least := math.Inf(1)
			for q := range loops {
				o := &loops[q]
				if o.Area < 0 && -o.Area > l.Area && -o.Area < least && o.contains(l.segs[0][0]) {
					r, least = int32(q+1), -o.Area
				}
			}
		}
		s := join.Find(l.above)
		if f, ok := first[s]; ok {
			region.Join(f, r)
		} else {
			first[s] = r
		}
	}
	n := 0
	for k := range loops {
		if loops[k].Area < 0 && region.Find(int32(k+1)) == int32(k+1) {
			n++
		}
	}
	return n
}
