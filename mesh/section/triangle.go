package section

import "moldtally/mesh"

// Point is the point in which a plane meets an edge of a mesh: W of the way
// from vertex I to vertex J, I < J, 0 <= W <= 1.
type Point struct {
	I, J int32
	W    float64
}

// In is the place of the point, given the mesh's vertices.
func (p Point) In(verts []mesh.Vec) mesh.Vec {
	a := verts[p.I]
	return a.Add(verts[p.J].Sub(a).Mul(p.W))
}

// Triangle cuts a triangle with corners of the given indices and heights with
// the plane of height h. up tells the corners that count as above it. Seen from
// above, the segment runs with the inside on its left if the triangle is wound
// outward. ok is false where all corners lie on one side.
func Triangle(corners [3]int32, z [3]float64, up [3]bool, h float64, outward bool) (from, to Point, ok bool) {
	k, ok := lone(up)
	if !ok {
		return Point{}, Point{}, false
	}
	from, to = onEdge(corners, z, h, k, (k+1)%3), onEdge(corners, z, h, k, (k+2)%3)
	if up[k] != outward {
		from, to = to, from
	}
	return from, to, true
}

func onEdge(corners [3]int32, z [3]float64, h float64, a, b int) Point {
	if corners[a] > corners[b] {
		a, b = b, a
	}
	return Point{corners[a], corners[b], weight(h, z[a], z[b])}
}

// lone is the corner alone on its side. Seen from outside, a triangle runs
// counterclockwise, so with its lone corner up the segment from the edge after
// that corner to the edge before it has the inside on its left.
func lone(up [3]bool) (k int, ok bool) {
	switch {
	case up[0] == up[1]:
		return 2, up[1] != up[2]
	case up[0] == up[2]:
		return 1, true
	}
	return 0, true
}

// weight is how far along a rise or fall from a to b the height h lies. A
// height that a tolerance puts outside is taken to the nearer end.
func weight(h, a, b float64) float64 { return min(max((h-a)/(b-a), 0), 1) }

// Clip returns the part of a triangle whose heights are at least h (above) or
// less (not above): a convex polygon of n corners, wound like the triangle, none
// where n is 0. New corners are reckoned from the lower end of their edge, so
// that neighbours agree, and both parts of a triangle.
func Clip(v [3]mesh.Vec, z [3]float64, h float64, above bool) (poly [4]mesh.Vec, n int) {
	for a := range 3 {
		b := (a + 1) % 3
		in, next := (z[a] >= h) == above, (z[b] >= h) == above
		if in {
			poly[n] = v[a]
			n++
		}
		if in != next {
			lo, hi := a, b
			if z[lo] > z[hi] {
				lo, hi = hi, lo
			}
			poly[n] = v[lo].Add(v[hi].Sub(v[lo]).Mul(weight(h, z[lo], z[hi])))
			n++
		}
	}
	return poly, n
}
