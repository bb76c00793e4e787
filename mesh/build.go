package mesh

import (
	"errors"
	"fmt"
	"math"
)

// Builder welds a stream of vertices and triangles into a Mesh. Vertices that
// are exactly equal become one (-0 equals 0). Coordinates are in the file's
// unit; Build scales them to millimetres after welding, so that the counts
// never depend on the unit.
//
// The zero value is ready to use. A Builder is not safe for concurrent use.
type Builder struct {
	verts []Vec
	tris  [][3]int32
	table []int32 // open addressing, index+1 of a vertex, 0 = free
}

// ErrNoTriangles is returned by Build when nothing was added.
var ErrNoTriangles = errors.New("mesh: no triangles")

// maxVertices keeps vertex indices inside int32 with room for patches.
const maxVertices = 1<<31 - 1<<24

// Grow makes room for n more triangles (a hint; never trust a file's own count
// beyond what its size can hold).
func (b *Builder) Grow(n int) {
	if n > cap(b.tris)-len(b.tris) {
		t := make([][3]int32, len(b.tris), len(b.tris)+n)
		copy(t, b.tris)
		b.tris = t
	}
}

// NumTriangles is the number of triangles added so far.
func (b *Builder) NumTriangles() int { return len(b.tris) }

// Vertex adds a vertex, or finds the equal one, and returns its index. A
// coordinate that is NaN or infinite is an error.
func (b *Builder) Vertex(v Vec) (int32, error) {
	if !v.IsFinite() {
		return 0, fmt.Errorf("mesh: vertex %d has a coordinate that is not a number", len(b.verts)+1)
	}
	v.X, v.Y, v.Z = v.X+0, v.Y+0, v.Z+0 // -0 becomes 0
	if len(b.table) == 0 {
		b.table = make([]int32, 1024)
	} else if 2*len(b.verts) >= len(b.table) {
		b.rehash()
	}
	mask := uint64(len(b.table) - 1)
	for h := hashVec(v) & mask; ; h = (h + 1) & mask {
		k := b.table[h]
		if k == 0 {
			if len(b.verts) >= maxVertices {
				return 0, errors.New("mesh: more than 2 billion vertices")
			}
			b.verts = append(b.verts, v)
			b.table[h] = int32(len(b.verts))
			return int32(len(b.verts) - 1), nil
		}
		if b.verts[k-1] == v {
			return k - 1, nil
		}
	}
}

// Triangle adds a triangle over three vertices that Vertex returned.
func (b *Builder) Triangle(i, j, k int32) { b.tris = append(b.tris, [3]int32{i, j, k}) }

func (b *Builder) rehash() {
	t := make([]int32, 2*len(b.table))
	mask := uint64(len(t) - 1)
	for i, v := range b.verts {
		h := hashVec(v) & mask
		for t[h] != 0 {
			h = (h + 1) & mask
		}
		t[h] = int32(i + 1)
	}
	b.table = t
}

func hashVec(v Vec) uint64 {
	h := math.Float64bits(v.X)*0x9E3779B97F4A7C15 ^ math.Float64bits(v.Y)*0xC2B2AE3D27D4EB4F ^ math.Float64bits(v.Z)*0x165667B19E3779F9
	h ^= h >> 32
	h *= 0xD6E8FEB86659FD93
	return h ^ h>>29
}

// Build returns the mesh with every coordinate multiplied by scale (mm per
// file unit). Vertices that no triangle uses are dropped. The Builder must not
// be used afterwards.
func (b *Builder) Build(scale float64) (*Mesh, error) {
	b.table = nil
	if len(b.tris) == 0 {
		return nil, ErrNoTriangles
	}
	used := make([]bool, len(b.verts))
	for _, t := range b.tris {
		used[t[0]], used[t[1]], used[t[2]] = true, true, true
	}
	n := 0
	for _, u := range used {
		if u {
			n++
		}
	}
	if n < len(b.verts) {
		to := make([]int32, len(b.verts))
		k := int32(0)
		for i, u := range used {
			if u {
				to[i] = k
				b.verts[k] = b.verts[i]
				k++
			}
		}
		b.verts = b.verts[:k]
		for i, t := range b.tris {
			b.tris[i] = [3]int32{to[t[0]], to[t[1]], to[t[2]]}
		}
	}
	if scale != 1 {
		for i, v := range b.verts {
			b.verts[i] = v.Mul(scale)
			if !b.verts[i].IsFinite() {
				return nil, errors.New("mesh: a coordinate is too large")
			}
		}
	}
	return New(b.verts, b.tris), nil
}
