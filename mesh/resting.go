package mesh

import (
	"math"
	"sort"
)

// Side is a flat side of a convex hull: what a body can rest on.
type Side struct {
	Normal Vec     // unit, outward: the body rests with it pointing down
	Offset float64 // the side's plane is p·Normal = Offset, mm
	Area   float64 // mm²
	// Margin is the least distance, in the side's plane, from the point below
	// the centre of mass to the side's rim, mm; negative where that point lies
	// outside, so that the body tips over.
	Margin float64
	Stable bool // Margin > 0
}

// sideFlat is how far the corners of a side may leave its plane, as a share of
// the body's size: 2 µm on 100 mm, above the rounding of any file that states
// five digits, and below what a body on a board would feel.
const sideFlat = 2e-5

// RestingSides joins the facets of a convex hull, as Hull3 returns it, that lie
// in one plane into sides, largest first. centroid is the body's centre of
// mass.
//
// A side grows from its largest facet over neighbours all of whose corners lie
// in that facet's plane to within 2e-5 of the body's size.
func RestingSides(hull *Mesh, centroid Vec) []Side {
	tris := hull.Triangles()
	verts := hull.Vertices()
	n := len(tris)
	if n == 0 {
		return nil
	}
	tol := sideFlat * hull.Size().Len()
	normal := make([]Vec, n) // as long as twice the area
	order := make([]int32, n)
	for k := range tris {
		a, b, c := hull.Corners(k)
		normal[k] = b.Sub(a).Cross(c.Sub(a))
		order[k] = int32(k)
	}
	size := func(k int32) float64 { return normal[k].Dot(normal[k]) }
	sort.SliceStable(order, func(i, j int) bool { return size(order[i]) > size(order[j]) })

	across := facetsAcross(tris)
	taken := make([]bool, n)
	var sides []Side
	var group, corners []int32
	for _, seed := range order {
		if taken[seed] || size(seed) == 0 {
			continue
		}
		u := normal[seed].Unit()
		d := verts[tris[seed][0]].Dot(u)
		group = append(group[:0], seed)
		taken[seed] = true
		sum := Vec{}
		for i := 0; i < len(group); i++ {
			k := group[i]
			sum = sum.Add(normal[k])
			for _, g := range across[k] {
				if g < 0 || taken[g] || normal[g].Dot(u) < 0 {
					continue
				}
				in := true
				for _, v := range tris[g] {
					if math.Abs(verts[v].Dot(u)-d) > tol {
						in = false
					}
				}
				if in {
					taken[g] = true
					group = append(group, g)
				}
			}
		}
		s := Side{Normal: sum.Unit(), Area: sum.Len() / 2}
		e1, e2 := Basis(s.Normal)
		var rim []Vec2
		corners = corners[:0]
		for _, k := range group {
			corners = append(corners, tris[k][:]...)
		}
		s.Offset = math.Inf(-1)
		for _, v := range corners {
			p := verts[v]
			s.Offset = max(s.Offset, p.Dot(s.Normal))
			rim = append(rim, Vec2{p.Dot(e1), p.Dot(e2)})
		}
		s.Margin = marginIn(hull2InPlace(rim), Vec2{centroid.Dot(e1), centroid.Dot(e2)})
		s.Stable = s.Margin > 0
		sides = append(sides, s)
	}
	sort.SliceStable(sides, func(i, j int) bool { return sides[i].Area > sides[j].Area })
	return sides
}

// marginIn is the least distance from p to a convex polygon's edges, negative
// outside.
func marginIn(h []Vec2, p Vec2) float64 {
	if len(h) < 3 {
		return math.Inf(-1)
	}
	m := math.Inf(1)
	for i, a := range h {
		v := h[(i+1)%len(h)].Sub(a)
		m = min(m, v.Cross(p.Sub(a))/v.Len())
	}
	return m
}

// facetsAcross returns, per facet and edge, the facet on the other side; -1
// where there is none. It sorts the edges, so that no map is needed.
func facetsAcross(tris [][3]int32) [][3]int32 {
	type side struct {
		lo, hi, face int32
		edge         int8
	}
	es := make([]side, 0, 3*len(tris))
	out := make([][3]int32, len(tris))
	for k, t := range tris {
		out[k] = [3]int32{-1, -1, -1}
		for i := range 3 {
			a, b := t[i], t[(i+1)%3]
			es = append(es, side{min(a, b), max(a, b), int32(k), int8(i)})
		}
	}
	sort.Slice(es, func(i, j int) bool {
		if es[i].lo != es[j].lo {
			return es[i].lo < es[j].lo
		}
		if es[i].hi != es[j].hi {
			return es[i].hi < es[j].hi
		}
		return es[i].face < es[j].face
	})
	for i := 0; i+1 < len(es); i++ {
		a, b := es[i], es[i+1]
		if a.lo == b.lo && a.hi == b.hi {
			out[a.face][a.edge], out[b.face][b.edge] = b.face, a.face
		}
	}
	return out
}
