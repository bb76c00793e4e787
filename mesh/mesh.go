package mesh

// Mesh is any set of triangles over welded vertices: closed or not, wound
// consistently or not. It makes no promise beyond: every coordinate is finite,
// every index is in range, and no two vertices are equal (-0 equals 0).
// Triangles keep the order of the file. Triangles with two equal corners stay
// in the list (they count as read); whoever measures must skip them.
//
// A Mesh is immutable and safe for concurrent use. Coordinates are millimetres
// in the file's own axes.
type Mesh struct {
	verts []Vec
	tris  [][3]int32
	lo    Vec
	hi    Vec
}

// New returns a mesh over the given vertices and triangles, which it takes
// over: the caller must not change them afterwards. The vertices must already
// be distinct and finite and the indices in range; use a Builder for data that
// comes from outside.
func New(verts []Vec, tris [][3]int32) *Mesh {
	m := &Mesh{verts: verts, tris: tris}
	if len(verts) > 0 {
		m.lo, m.hi = verts[0], verts[0]
		for _, v := range verts[1:] {
			m.lo, m.hi = m.lo.Min(v), m.hi.Max(v)
		}
	}
	return m
}

// NumTriangles is the number of triangles as read, collapsed ones included.
func (m *Mesh) NumTriangles() int { return len(m.tris) }

// NumVertices is the number of distinct vertices.
func (m *Mesh) NumVertices() int { return len(m.verts) }

// Vertices returns the vertices. The slice is borrowed: read it only.
func (m *Mesh) Vertices() []Vec { return m.verts }

// Triangles returns the corner indices. The slice is borrowed: read it only.
func (m *Mesh) Triangles() [][3]int32 { return m.tris }

// Corners returns the three corners of triangle t.
func (m *Mesh) Corners(t int) (a, b, c Vec) {
	i := m.tris[t]
	return m.verts[i[0]], m.verts[i[1]], m.verts[i[2]]
}

// Collapsed reports whether triangle t has two equal corners.
func (m *Mesh) Collapsed(t int) bool {
	i := m.tris[t]
	return i[0] == i[1] || i[1] == i[2] || i[2] == i[0]
}

// Bounds returns the corners of the axis-aligned box around all vertices, mm.
func (m *Mesh) Bounds() (lo, hi Vec) { return m.lo, m.hi }

// Size returns the edge lengths of that box, mm.
func (m *Mesh) Size() Vec { return m.hi.Sub(m.lo) }
