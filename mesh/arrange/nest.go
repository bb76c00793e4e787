package arrange

import (
	"cmp"
	"context"
	"slices"

	"moldtally/mesh"
)

// hull is the boundary of one part of the surface.
type hull struct {
	part   int32
	tris   [][3]int32
	lo, hi mesh.Vec
	probe  mesh.Vec // in the middle of its largest face
}

// hulls sorts the boundary by parts.
func (c *cells) hulls(tris [][3]int32, parts []int32) []hull {
	var hs []hull
	number := make(map[int32]int) // looked up, never ranged over
	largest := map[int32]float64{}
	for k, i := range tris {
		n, ok := number[parts[k]]
		if !ok {
			n = len(hs)
			number[parts[k]] = n
			p, _ := c.place(i[0])
			hs = append(hs, hull{part: parts[k], lo: p, hi: p})
		}
		h := &hs[n]
		h.tris = append(h.tris, i)
		var p [3]mesh.Vec
		for k, v := range i {
			p[k], _ = c.place(v)
			h.lo, h.hi = h.lo.Min(p[k]), h.hi.Max(p[k])
		}
		if area := p[1].Sub(p[0]).Cross(p[2].Sub(p[0])).Len(); area > largest[h.part] || len(h.tris) == 1 {
			largest[h.part] = area
			h.probe = p[0].Add(p[1]).Add(p[2]).Mul(1. / 3)
		}
	}
	return hs
}

// within marks the parts (by root) that lie inside another: parts have no side in
// common, so one lies inside as a whole or not at all.
func (c *cells) within(ctx context.Context, tris [][3]int32, parts []int32) (map[int32]bool, error) {
	inner := map[int32]bool{} // looked up, never ranged over
	if len(tris) == 0 || !slices.ContainsFunc(parts, func(p int32) bool { return p != parts[0] }) {
		return inner, nil
	}
	hs := c.hulls(tris, parts)
	order := make([]int, len(hs))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(hs[a].lo.X, hs[b].lo.X) })
	var active []*hull
	for n, k := range order {
		h := &hs[k]
		// Those that begin at the same x as well.
		for _, l := range order[n+1:] {
			if hs[l].lo.X > h.lo.X {
				break
			}
			if c.inside(h, &hs[l]) {
				inner[h.part] = true
			}
		}
		keep := active[:0]
		for _, o := range active {
			if o.hi.X < h.lo.X {
				continue
			}
			keep = append(keep, o)
			if !inner[h.part] && c.inside(h, o) {
				inner[h.part] = true
			}
		}
		active = append(keep, h)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return inner, nil
}

// inside reports whether part h lies inside part o.
func (c *cells) inside(h, o *hull) bool {
	if h.lo.X < o.lo.X || h.lo.Y < o.lo.Y || h.lo.Z < o.lo.Z || h.hi.X > o.hi.X || h.hi.Y > o.hi.Y || h.hi.Z > o.hi.Z {
		return false
	}
	wound := 0
	for _, i := range o.tris {
		a, _ := c.place(i[0])
		b, _ := c.place(i[1])
		d, _ := c.place(i[2])
		wound += passes(h.probe, a, b, d)
	}
	return wound != 0
}

// passes tells how a ray from p along +z goes through a triangle: 1 from behind
// to the front of it, -1 from the front, 0 not at all. Where the ray meets a side
// it is taken to run a hair beside it, always on the same hand.
func passes(p, a, b, c mesh.Vec) int {
	if a.X < p.X && b.X < p.X && c.X < p.X || a.X > p.X && b.X > p.X && c.X > p.X ||
		a.Y < p.Y && b.Y < p.Y && c.Y < p.Y || a.Y > p.Y && b.Y > p.Y && c.Y > p.Y ||
		a.Z < p.Z && b.Z < p.Z && c.Z < p.Z {
		return 0
	}
	hand := func(a, b mesh.Vec) int {
		if s := mesh.Orient2(mesh.Vec2{X: a.X, Y: a.Y}, mesh.Vec2{X: b.X, Y: b.Y}, mesh.Vec2{X: p.X, Y: p.Y}); s != 0 {
			return s
		}
		// A hair along x, and far less along y.
		if d := cmp.Compare(a.Y, b.Y); d != 0 {
			return d
		}
		return cmp.Compare(b.X, a.X)
	}
	s := hand(a, b)
	if s == 0 || hand(b, c) != s || hand(c, a) != s {
		return 0
	}
	if mesh.Orient3(a, b, c, p) == -s {
		return s
	}
	return 0
}
