package shape

import (
	"math"

	"moldtally/mesh"
)

// Tetrahedron is regular with the given edge, one face down on z = 0. Volume
// edge³/(6√2).
func Tetrahedron(edge float64) *mesh.Mesh {
	r := edge / math.Sqrt(3)
	h := edge * math.Sqrt(2.0/3)
	a, b, c, d := mesh.Vec{X: r}, mesh.Vec{X: -r / 2, Y: edge / 2}, mesh.Vec{X: -r / 2, Y: -edge / 2}, mesh.Vec{Z: h}
	var s soup
	s.tri(a, c, b)
	s.tri(a, b, d)
	s.tri(b, c, d)
	s.tri(c, a, d)
	return s.mesh()
}

// Octahedron is regular with the given edge, about the origin. Volume
// √2/3·edge³.
func Octahedron(edge float64) *mesh.Mesh {
	return Revolve([]RZ{{0, -edge / math.Sqrt2}, {edge / math.Sqrt2, 0}, {0, edge / math.Sqrt2}}, 4)
}

// Icosahedron is regular with the given edge, about the origin. Volume
// 5(3+√5)/12·edge³.
func Icosahedron(edge float64) *mesh.Mesh {
	g := (1 + math.Sqrt(5)) / 2
	e := edge / 2
	var v [12]mesh.Vec
	for i := range 4 {
		a, b := e, g*e
		if i&1 != 0 {
			a = -a
		}
		if i&2 != 0 {
			b = -b
		}
		v[i], v[4+i], v[8+i] = mesh.Vec{Y: a, Z: b}, mesh.Vec{X: a, Y: b}, mesh.Vec{X: b, Z: a}
	}
	// Every triple of corners one edge apart is a face.
	near := func(a, b mesh.Vec) bool { return math.Abs(a.Sub(b).Len()-edge) < 1e-6*edge }
	var s soup
	for i := range v {
		for j := i + 1; j < 12; j++ {
			for k := j + 1; k < 12; k++ {
				if near(v[i], v[j]) && near(v[j], v[k]) && near(v[k], v[i]) {
					a, b, c := v[i], v[j], v[k]
					if a.Dot(b.Cross(c)) < 0 {
						b, c = c, b
					}
					s.tri(a, b, c)
				}
			}
		}
	}
	return s.mesh()
}

// Icosphere is a ball of radius r about the origin: an icosahedron whose faces
// are cut in four, depth times. Its facets are nearly equal, unlike Sphere's.
func Icosphere(r float64, depth int) *mesh.Mesh {
	m := Icosahedron(1)
	onto := func(v mesh.Vec) mesh.Vec { return v.Unit().Mul(r) }
	m = Map(m, onto)
	for range depth {
		var s soup
		for t := range m.Triangles() {
			a, b, c := m.Corners(t)
			// The midpoint does not depend on the edge's direction.
			ab, bc, ca := onto(a.Add(b)), onto(b.Add(c)), onto(c.Add(a))
			s.tri(a, ab, ca)
			s.tri(b, bc, ab)
			s.tri(c, ca, bc)
			s.tri(ab, bc, ca)
		}
		m = s.mesh()
	}
	return m
}

// Subdivide cuts every triangle into four at its edges' midpoints: the same
// body with four times the triangles.
func Subdivide(m *mesh.Mesh) *mesh.Mesh {
	var s soup
	s.b.Grow(4 * m.NumTriangles())
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		ab, bc, ca := a.Add(b).Mul(0.5), b.Add(c).Mul(0.5), c.Add(a).Mul(0.5)
		s.tri(a, ab, ca)
		s.tri(b, bc, ab)
		s.tri(c, ca, bc)
		s.tri(ab, bc, ca)
	}
	return s.mesh()
}
