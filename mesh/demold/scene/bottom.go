package scene

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/solid"
)

func (c *Scene) raggedBottom() func(tri int32) bool {
	if c.Solid == nil {
		return nil
	}
	return Ragged(c.Solid, c.Up, c.ClayLine()+c.Eps)
}

// Ragged returns what tells the patches that close an open bottom standing on the
// board: the triangles of a connected patch whose rim comes down to a height along
// up, that of the clay. nil where there are none.
func Ragged(s *solid.Solid, up mesh.Vec, clay float64) func(tri int32) bool {
	m := s.Surface()
	n := m.NumTriangles()
	first := n
	for first > 0 && s.Patch(first-1) {
		first--
	}
	if first == n {
		return nil
	}
	// Patches that share a vertex are one.
	set := map[int32]int32{} // looked up, never ranged over
	var join disjoint.Sets
	tris, verts := m.Triangles(), m.Vertices()
	for _, t := range tris[first:] {
		for _, v := range t {
			if _, ok := set[v]; !ok {
				set[v] = join.Add()
			}
		}
		join.Join(set[t[0]], set[t[1]])
		join.Join(set[t[0]], set[t[2]])
	}
	low := make([]float64, len(join))
	for k := range low {
		low[k] = math.Inf(1)
	}
	for _, t := range tris[first:] {
		for _, v := range t {
			r := join.Find(set[v])
			low[r] = min(low[r], verts[v].Dot(up))
		}
	}
	bottom := make([]bool, n-first)
	for k, t := range tris[first:] {
		bottom[k] = low[join.Find(set[t[0]])] <= clay
	}
	return func(tri int32) bool { return int(tri) >= first && bottom[int(tri)-first] }
}
