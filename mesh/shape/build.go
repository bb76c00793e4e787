package shape

import (
	"fmt"
	"math"

	"moldtally/mesh"
)

// soup collects corners and triangles and welds them.
type soup struct {
	b mesh.Builder
}

func (s *soup) vertex(v mesh.Vec) int32 {
	i, err := s.b.Vertex(v)
	if err != nil {
		panic("shape: " + err.Error())
	}
	return i
}

// tri adds a triangle, leaving out one that welding has collapsed.
func (s *soup) tri(a, b, c mesh.Vec) {
	i, j, k := s.vertex(a), s.vertex(b), s.vertex(c)
	if i != j && j != k && k != i {
		s.b.Triangle(i, j, k)
	}
}

func (s *soup) quad(a, b, c, d mesh.Vec) {
	s.tri(a, b, c)
	s.tri(a, c, d)
}

func (s *soup) mesh() *mesh.Mesh {
	m, err := s.b.Build(1)
	if err != nil {
		panic("shape: " + err.Error())
	}
	return m
}

// Map returns m with every vertex moved by f and welded anew. Triangles keep
// their order; f must not mirror (see Mirror).
func Map(m *mesh.Mesh, f func(mesh.Vec) mesh.Vec) *mesh.Mesh {
	var s soup
	vs := m.Vertices()
	to := make([]int32, len(vs))
	for i, v := range vs {
		to[i] = s.vertex(f(v))
	}
	s.b.Grow(m.NumTriangles())
	for _, t := range m.Triangles() {
		s.b.Triangle(to[t[0]], to[t[1]], to[t[2]])
	}
	return s.mesh()
}

// Translate moves m by d.
func Translate(m *mesh.Mesh, d mesh.Vec) *mesh.Mesh {
	return Map(m, func(v mesh.Vec) mesh.Vec { return v.Add(d) })
}

// Scale multiplies the coordinates by x, y and z, all positive.
func Scale(m *mesh.Mesh, x, y, z float64) *mesh.Mesh {
	if !(x > 0 && y > 0 && z > 0) {
		panic(fmt.Sprintf("shape: scale %v %v %v", x, y, z))
	}
	return Map(m, func(v mesh.Vec) mesh.Vec { return mesh.Vec{X: v.X * x, Y: v.Y * y, Z: v.Z * z} })
}

// Rotate turns m about an axis through the origin by an angle in radians, by
// the right-hand rule.
func Rotate(m *mesh.Mesh, axis mesh.Vec, angle float64) *mesh.Mesh {
	u := axis.Unit()
	s, c := math.Sincos(angle)
	return Map(m, func(v mesh.Vec) mesh.Vec {
		// Rodrigues' formula.
		return v.Mul(c).Add(u.Cross(v).Mul(s)).Add(u.Mul(u.Dot(v) * (1 - c)))
	})
}

// Stand turns m so that its +Z becomes u, exactly for the six axis directions
// (coordinates are only exchanged and negated), and is a rotation in every
// case.
func Stand(m *mesh.Mesh, u mesh.Vec) *mesh.Mesh {
	u = u.Unit()
	e1, e2 := mesh.Basis(u)
	return Map(m, func(v mesh.Vec) mesh.Vec { return e1.Mul(v.X).Add(e2.Mul(v.Y)).Add(u.Mul(v.Z)) })
}

// Shear moves each point by k·z in x: heights and volume stay.
func Shear(m *mesh.Mesh, k float64) *mesh.Mesh {
	return Map(m, func(v mesh.Vec) mesh.Vec { return mesh.Vec{X: v.X + k*v.Z, Y: v.Y, Z: v.Z} })
}

// Flip reverses the winding of every triangle: the body turned inside out.
func Flip(m *mesh.Mesh) *mesh.Mesh {
	ts := make([][3]int32, m.NumTriangles())
	for i, t := range m.Triangles() {
		ts[i] = [3]int32{t[0], t[2], t[1]}
	}
	return mesh.New(append([]mesh.Vec(nil), m.Vertices()...), ts)
}

// FlipSome reverses the winding of the triangles that f picks.
func FlipSome(m *mesh.Mesh, f func(t int) bool) *mesh.Mesh {
	ts := append([][3]int32(nil), m.Triangles()...)
	for i, t := range ts {
		if f(i) {
			ts[i] = [3]int32{t[0], t[2], t[1]}
		}
	}
	return mesh.New(append([]mesh.Vec(nil), m.Vertices()...), ts)
}

// Mirror reflects m in the plane x = 0 and keeps it wound outward.
func Mirror(m *mesh.Mesh) *mesh.Mesh {
	return Flip(Map(m, func(v mesh.Vec) mesh.Vec { return mesh.Vec{X: -v.X, Y: v.Y, Z: v.Z} }))
}

// Merge puts meshes into one; equal vertices become one vertex, nothing is cut
// or united.
func Merge(ms ...*mesh.Mesh) *mesh.Mesh {
	var s soup
	for _, m := range ms {
		vs := m.Vertices()
		to := make([]int32, len(vs))
		for i, v := range vs {
			to[i] = s.vertex(v)
		}
		for _, t := range m.Triangles() {
			s.b.Triangle(to[t[0]], to[t[1]], to[t[2]])
		}
	}
	return s.mesh()
}

// Without returns m less the triangles that drop picks, given their number and
// centre: an open mesh.
func Without(m *mesh.Mesh, drop func(t int, center mesh.Vec) bool) *mesh.Mesh {
	var s soup
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		if !drop(t, a.Add(b).Add(c).Mul(1.0/3)) {
			s.b.Triangle(s.vertex(a), s.vertex(b), s.vertex(c))
		}
	}
	return s.mesh()
}

// WithoutNumbers returns m less the triangles of these numbers.
func WithoutNumbers(m *mesh.Mesh, ts ...int) *mesh.Mesh {
	gone := map[int]bool{}
	for _, t := range ts {
		gone[t] = true
	}
	return Without(m, func(t int, _ mesh.Vec) bool { return gone[t] })
}

// WithTriangles returns m with triangles over its own vertices added, for
// doubled and branching faces.
func WithTriangles(m *mesh.Mesh, ts ...[3]int32) *mesh.Mesh {
	return mesh.New(append([]mesh.Vec(nil), m.Vertices()...), append(append([][3]int32(nil), m.Triangles()...), ts...))
}

// Shells is a body with a sealed void: the outer skin, and the inner one wound
// against it. The inner must lie inside the outer.
func Shells(outer, inner *mesh.Mesh) *mesh.Mesh { return Merge(outer, Flip(inner)) }
