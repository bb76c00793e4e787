package demold

import (
	"context"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// tunnels counts what rubber would link through: the first Betti number of S
// and, on a baseboard, the slab below the clay line. Where the surface is
// known to be sound the count is exact, by Euler's characteristic of the
// surface above the clay line; elsewhere it is that of the body closed with a
// small ball (closedTunnels).
func tunnels(ctx context.Context, a *analysis) error {
	n, err := a.countTunnels(ctx)
	if err != nil {
		return err
	}
	a.rep.Tunnels = &n
	return nil
}

// countTunnels counts exactly where it can.
func (a *analysis) countTunnels(ctx context.Context) (int, error) {
	line := math.Inf(-1)
	if a.OnBoard() {
		line = a.ClayLine()
	}
	if a.Solid.Embedded() {
		size := a.Solid.Surface().Size()
		e := &eulerCount{
			m: a.Solid.Surface(), u: a.Up, live: a.Solid.Live, piece: a.Solid.Piece, outward: a.Solid.Outward,
			f: a.Field, line: line, eps: mesh.TouchShare * max(size.X, size.Y, size.Z),
		}
		if n, ok, err := e.count(ctx); err != nil || ok {
			return n, err
		}
	}
	return closedTunnels(ctx, a.Solid, a.Up, line)
}

// eulerCount counts tunnels exactly on a surface that is closed, wound
// consistently and does not cross itself.
//
// X is S joined with the slab below the clay line. S above the line and the
// slab meet in the section A, so that (Mayer–Vietoris) χ(X) = χ(S above) + 1 −
// χ(A); and S above is bounded by the clipped surface F and A, glued along
// circles, so that χ(S above) = ½(χ(F) + χ(A)). Hence χ(X) = 1 + ½(χ(F) −
// χ(A)) and b1 = b0 + b2 − χ(X), where b0 − 1 counts pieces wholly above the
// line and b2 the hollows that S and the slab enclose together.
type eulerCount struct {
	m       *mesh.Mesh
	u       mesh.Vec
	live    func(t int) bool
	piece   func(t int) int
	outward func(t int) bool
	f       *dexel.Field
	line    float64 // −Inf: S alone
	eps     float64
}

// count returns false where the surface turns out not to be what was promised.
func (e *eulerCount) count(ctx context.Context) (int, bool, error) {
	verts, tris := e.m.Vertices(), e.m.Triangles()
	pieces := 0
	for t := range tris {
		if e.live(t) {
			pieces = max(pieces, e.piece(t)+1)
		}
	}
	if pieces == 0 {
		return 0, false, nil
	}
	hidden := e.hidden(pieces)
	const used, above = 1, 2
	mark := make([]uint8, len(verts))
	err := par.Blocks(ctx, len(verts), sliceBlock, func(from, to int) {
		for v := from; v < to; v++ {
			if verts[v].Dot(e.u) > e.line+e.eps {
				mark[v] = above
			}
		}
	})
	if err != nil {
		return 0, false, err
	}
	// χ of the clipped surface: whatever has a corner above the line counts,
	// edges half for each of their two triangles; what the line adds is
	// circles, and those have none.
	var faces, halfEdges, corners int
	low := make([]bool, pieces) // reaches down to the line
	var crossing []int32
	for t, i := range tris {
		if t%sliceBlock == 0 && ctx.Err() != nil {
			return 0, false, fmt.Errorf("demold: %w", ctx.Err())
		}
		if !e.live(t) {
			continue
		}
		p := e.piece(t)
		if hidden[p] {
			continue
		}
		a, b, c := mark[i[0]]&above != 0, mark[i[1]]&above != 0, mark[i[2]]&above != 0
		if !a || !b || !c {
			low[p] = true
			if !a && !b && !c {
				continue
			}
			crossing = append(crossing, int32(t))
		}
		faces++
		if a || b {
			halfEdges++
		}
		if b || c {
			halfEdges++
		}
		if c || a {
			halfEdges++
		}
		mark[i[0]] |= used
		mark[i[1]] |= used
		mark[i[2]] |= used
	}
	if halfEdges%2 != 0 {
		return 0, false, nil
	}
	for _, k := range mark {
		if k == used|above {
			corners++
		}
	}
	chiF := corners - halfEdges/2 + faces
	floating := 0
	for p := range pieces {
		if !hidden[p] && !low[p] {
			floating++
		}
	}
	if math.IsInf(e.line, -1) {
		if chiF%2 != 0 {
			return 0, false, nil
		}
		return max(floating-chiF/2, 0), true, nil
	}
	loops, err := e.loops(ctx, crossing)
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
		hollows = e.hollows(loops, mark, hidden)
	}
	if (chiF-chiA)%2 != 0 {
		return 0, false, nil
	}
	chiX := 1 + (chiF-chiA)/2
	n := 1 + floating + hollows - chiX
	return n, n >= 0, nil
}

// hidden finds the pieces that lie inside another one: S fills them in, so
// their surface bounds nothing. No column starts or ends on such a piece.
func (e *eulerCount) hidden(pieces int) []bool {
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
func (e *eulerCount) loops(ctx context.Context, crossing []int32) ([]loop, error) {
	if len(crossing) == 0 {
		return nil, nil
	}
	sl := section.Slicer{Mesh: e.m, Outward: e.outward, U: e.u, E1: e.f.E1, E2: e.f.E2}
	sec, err := sl.At(ctx, section.JustAbove(e.line+e.eps), crossing)
	if err != nil {
		return nil, fmt.Errorf("demold: %w", err)
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
func (e *eulerCount) hollows(loops []loop, mark []uint8, hidden []bool) int {
	verts, tris := e.m.Vertices(), e.m.Triangles()
	join := disjoint.New(len(verts))
	for t, i := range tris {
		if !e.live(t) || hidden[e.piece(t)] {
			continue
		}
		last := int32(-1)
		for _, v := range i {
			if mark[v]&2 == 0 {
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
