package gen

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"

	"moldtally/mesh"
)

// The writers here are plain and the generator's own, so that a change of the
// program's writers does not change the samples, and readers are tested
// against something else.

// single rounds the coordinates to what the file will hold, so that figures
// worked out here are those of the file. Equal corners stay welded.
func single(m *mesh.Mesh) *mesh.Mesh {
	var b mesh.Builder
	for t := range m.Triangles() {
		var ix [3]int32
		a, c, d := m.Corners(t)
		for k, v := range []mesh.Vec{a, c, d} {
			i, err := b.Vertex(mesh.Vec{X: float64(float32(v.X)), Y: float64(float32(v.Y)), Z: float64(float32(v.Z))})
			if err != nil {
				panic(err)
			}
			ix[k] = i
		}
		b.Triangle(ix[0], ix[1], ix[2])
	}
	out, err := b.Build(1)
	if err != nil {
		panic(err)
	}
	return out
}

func normal(a, b, c mesh.Vec) mesh.Vec { return b.Sub(a).Cross(c.Sub(a)).Unit() }

// binarySTL follows the common description of the format: an 80 byte header, a
// count, 50 bytes a triangle, little-endian.
func binarySTL(m *mesh.Mesh, header string) []byte {
	var b bytes.Buffer
	h := make([]byte, 80)
	copy(h, header)
	b.Write(h)
	put := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) }
	put(uint32(m.NumTriangles()))
	for t := range m.Triangles() {
		p, q, r := m.Corners(t)
		for _, v := range []mesh.Vec{normal(p, q, r), p, q, r} {
			put([3]float32{float32(v.X), float32(v.Y), float32(v.Z)})
		}
		put(uint16(0))
	}
	return b.Bytes()
}

func asciiSTL(m *mesh.Mesh, name string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "solid %s\n", name)
	for t := range m.Triangles() {
		p, q, r := m.Corners(t)
		n := normal(p, q, r)
		fmt.Fprintf(&b, "facet normal %s\nouter loop\n", vec(n))
		for _, v := range []mesh.Vec{p, q, r} {
			fmt.Fprintf(&b, "vertex %s\n", vec(v))
		}
		b.WriteString("endloop\nendfacet\n")
	}
	fmt.Fprintf(&b, "endsolid %s\n", name)
	return b.Bytes()
}

func vec(v mesh.Vec) string { return num(v.X) + " " + num(v.Y) + " " + num(v.Z) }

// num writes the shortest text that reads back as the same single.
func num(x float64) string { return strconv.FormatFloat(float64(float32(x))+0, 'g', -1, 32) }

// obj writes faces as polygons of the given corners (1-based in the file).
func obj(verts []mesh.Vec, faces [][]int, comment string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s\n", comment)
	for _, v := range verts {
		fmt.Fprintf(&b, "v %s\n", vec(v))
	}
	for _, f := range faces {
		b.WriteByte('f')
		for _, i := range f {
			fmt.Fprintf(&b, " %d", i+1)
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// binaryPLY follows G. Turk, "The PLY polygon file format", 1994.
func binaryPLY(m *mesh.Mesh, comment string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "ply\nformat binary_little_endian 1.0\ncomment %s\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\n"+
		"element face %d\nproperty list uchar int vertex_indices\nend_header\n", comment, m.NumVertices(), m.NumTriangles())
	var w [13]byte
	for _, v := range m.Vertices() {
		for k, x := range v.Array() {
			binary.LittleEndian.PutUint32(w[4*k:], math.Float32bits(float32(x)))
		}
		b.Write(w[:12])
	}
	for _, t := range m.Triangles() {
		w[0] = 3
		for k, i := range t {
			binary.LittleEndian.PutUint32(w[1+4*k:], uint32(i))
		}
		b.Write(w[:])
	}
	return b.Bytes()
}
