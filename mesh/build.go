package mesh

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
)

// Builder welds a stream of vertices and triangles into a Mesh. Vertices that
// are exactly equal become one (-0 equals 0) and are numbered in the order of
// their first appearance. Coordinates are in the file's unit; Build scales
// them to millimetres after welding, so that the counts never depend on the
// unit.
//
// The zero value is ready to use. A Builder is not safe for concurrent use;
// to weld on several cores, fill Blocks concurrently and Append them in order.
type Builder struct {
	verts []Vec
	tris  [][3]int32
	table []int32 // open addressing, index+1 of a vertex, 0 = free
	loose bool    // Vertex was called: some vertices may belong to no triangle
	local []int32 // Append's scratch: a block's vertex number to ours

	touched float64 // keeps the compiler from dropping Append's early loads
}

// ErrNoTriangles is returned by Build when nothing was added.
var ErrNoTriangles = errors.New("mesh: no triangles")

// errManyVertices is returned when vertex numbers would leave int32.
var errManyVertices = errors.New("mesh: more than 2 billion vertices")

// maxVertices keeps vertex indices inside int32 with room for patches.
const maxVertices = 1<<31 - 1<<24

// Grow makes room for n more triangles and, as closed meshes have, half as
// many vertices (a hint; never trust a file's own count beyond what its size
// can hold). Room that is never used costs address space, not memory.
func (b *Builder) Grow(n int) {
	if n <= 0 {
		return
	}
	if n > cap(b.tris)-len(b.tris) {
		b.roomForTriangles(n)
	}
	b.growVerts(n/2 + n/32 + 64)
	b.reserve(len(b.verts) + n/2)
}

// growVerts makes room for n more vertices; beyond the first time by half of
// what there is at least, so that many small steps stay linear.
func (b *Builder) growVerts(n int) {
	if n > cap(b.verts)-len(b.verts) {
		v := make([]Vec, len(b.verts), len(b.verts)+max(n, len(b.verts)/2))
		copy(v, b.verts)
		b.verts = v
	}
}

// reserve makes the table large enough for n vertices at three quarters full,
// where a search still looks at fewer than three slots on average.
func (b *Builder) reserve(n int) {
	size := max(len(b.table), 1024)
	for n > size/4*3 {
		size *= 2
	}
	if size > len(b.table) {
		b.rehash(size)
	}
}

// NumTriangles is the number of triangles added so far.
func (b *Builder) NumTriangles() int { return len(b.tris) }

// NumVertices is the number of distinct vertices added so far, those that no
// triangle uses included.
func (b *Builder) NumVertices() int { return len(b.verts) }

// At returns vertex i, in the file's unit.
func (b *Builder) At(i int32) Vec { return b.verts[i] }

// Corners returns the vertex numbers of triangle t.
func (b *Builder) Corners(t int) [3]int32 { return b.tris[t] }

// Vertex adds a vertex, or finds the equal one, and returns its index. A
// coordinate that is NaN or infinite is an error.
func (b *Builder) Vertex(v Vec) (int32, error) {
	if !v.IsFinite() {
		return 0, fmt.Errorf("mesh: vertex %d has a coordinate that is not a number", len(b.verts)+1)
	}
	v.X, v.Y, v.Z = v.X+0, v.Y+0, v.Z+0 // -0 becomes 0
	if len(b.verts) >= len(b.table)/4*3 {
		b.reserve(len(b.verts) + 1)
	}
	b.loose = true
	return b.insert(v, hashVec(v))
}

// insert needs a finite v without negative zeros and a free slot in the table.
func (b *Builder) insert(v Vec, h uint64) (int32, error) {
	mask := uint64(len(b.table) - 1)
	for h &= mask; ; h = (h + 1) & mask {
		k := b.table[h]
		if k == 0 {
			if len(b.verts) >= maxVertices {
				return 0, errManyVertices
			}
			if len(b.verts) == cap(b.verts) {
				b.growVerts(len(b.verts) + 1024)
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
func (b *Builder) Triangle(i, j, k int32) {
	b.roomForTriangles(1)
	b.tris = append(b.tris, [3]int32{i, j, k})
}

// roomForTriangles grows by half at least, where append would grow a large
// slice by a quarter at a time and copy it over and over.
func (b *Builder) roomForTriangles(n int) {
	if len(b.tris)+n > cap(b.tris) {
		t := make([][3]int32, len(b.tris), len(b.tris)+max(n, len(b.tris)/2, 1024))
		copy(t, b.tris)
		b.tris = t
	}
}

// Append adds the triangles of a block, whose vertices are welded with all
// that came before. The block may be reset and filled again afterwards.
func (b *Builder) Append(k *Block) error {
	b.reserve(len(b.verts) + len(k.verts))
	if cap(b.local) < len(k.verts) {
		b.local = make([]int32, len(k.verts)+len(k.verts)/2)
	}
	local := b.local[:len(k.verts)]
	mask := uint64(len(b.table) - 1)
	// A group at a time: first touch every slot of the table, then every
	// vertex found there, and only then decide. The memory system then
	// serves many misses at once instead of one after the other.
	const group = 64
	var slot [group]int32
	var sink float64
	for lo := 0; lo < len(local); lo += group {
		hi := min(lo+group, len(local))
		hs := k.hash[lo:hi]
		for i, h := range hs {
			slot[i] = b.table[h&mask]
		}
		for _, s := range slot[:len(hs)] {
			if s != 0 {
				sink += b.verts[s-1].X
			}
		}
		for i, h := range hs {
			v := k.verts[lo+i]
			if s := slot[i]; s != 0 && b.verts[s-1] == v {
				local[lo+i] = s - 1
				continue
			}
			n, err := b.insert(v, h)
			if err != nil {
				return err
			}
			local[lo+i] = n
		}
	}
	b.touched = sink
	b.roomForTriangles(len(k.tris))
	n := len(b.tris)
	b.tris = b.tris[:n+len(k.tris)]
	out := b.tris[n:]
	for i, t := range k.tris {
		out[i] = [3]int32{local[t[0]], local[t[1]], local[t[2]]}
	}
	return nil
}

func (b *Builder) rehash(size int) {
	t := make([]int32, size)
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

// Seeds of the hash, drawn once per process so that no file can be made whose
// vertices all fall into one slot. They decide only where in the table a
// vertex is kept, never its number.
var seed0, seed1, seed2, seed3 = rand.Uint64(), rand.Uint64(), rand.Uint64(), rand.Uint64() | 1

// hashVec folds the three coordinates with two 64 by 64 bit multiplications.
func hashVec(v Vec) uint64 {
	hi, lo := bits.Mul64(math.Float64bits(v.X)^seed0, math.Float64bits(v.Y)^seed1)
	hi, lo = bits.Mul64(hi^lo^math.Float64bits(v.Z)^seed2, seed3)
	return hi ^ lo
}

// Block is a run of triangles welded among themselves. It is the share of the
// weld that cores can do apart: in a file whose neighbouring triangles stand
// together, five of six corners are settled inside a block of a few thousand
// triangles, from cache. Numbers stay those of first appearance, so they do
// not depend on how many cores took part, nor on the size of the blocks.
//
// The zero value is ready to use.
type Block struct {
	verts []Vec
	hash  []uint64
	tris  [][3]int32
	table []int32
}

// Reset empties the block and keeps its memory.
func (k *Block) Reset() {
	k.verts, k.hash, k.tris = k.verts[:0], k.hash[:0], k.tris[:0]
	clear(k.table)
}

// NumTriangles is the number of triangles in the block.
func (k *Block) NumTriangles() int { return len(k.tris) }

func (k *Block) vertex(v Vec) int32 {
	if 2*len(k.verts) >= len(k.table) {
		k.rehash()
	}
	hash := hashVec(v)
	mask := uint64(len(k.table) - 1)
	for h := hash & mask; ; h = (h + 1) & mask {
		s := k.table[h]
		if s == 0 {
			k.verts = append(k.verts, v)
			k.hash = append(k.hash, hash)
			k.table[h] = int32(len(k.verts))
			return int32(len(k.verts) - 1)
		}
		if k.verts[s-1] == v {
			return s - 1
		}
	}
}

func (k *Block) rehash() {
	k.table = make([]int32, max(8192, 2*len(k.table)))
	mask := uint64(len(k.table) - 1)
	for i, hash := range k.hash {
		h := hash & mask
		for k.table[h] != 0 {
			h = (h + 1) & mask
		}
		k.table[h] = int32(i + 1)
	}
}

// Add adds one triangle and reports false if a coordinate is NaN or infinite.
func (k *Block) Add(p, q, r Vec) bool {
	if !p.IsFinite() || !q.IsFinite() || !r.IsFinite() {
		return false
	}
	k.tris = append(k.tris, [3]int32{
		k.vertex(Vec{p.X + 0, p.Y + 0, p.Z + 0}), // +0: -0 becomes 0
		k.vertex(Vec{q.X + 0, q.Y + 0, q.Z + 0}),
		k.vertex(Vec{r.X + 0, r.Y + 0, r.Z + 0}),
	})
	return true
}

// RecordSize is the size of one triangle record in bytes for AddRecords.
const RecordSize = 50

// AddRecords adds triangles in the layout of binary STL: records of 50 bytes,
// a normal (not looked at), three corners of three little-endian float32, two
// bytes for any purpose. Bytes after the last whole record are not looked at.
// It returns the number of records added; fewer than there are means that the
// next one has a coordinate that is NaN or infinite.
func (k *Block) AddRecords(p []byte) int {
	n := len(p) / RecordSize
	for i := range n {
		r := p[i*RecordSize : i*RecordSize+RecordSize : i*RecordSize+RecordSize]
		var t [3]int32
		for c := range t {
			o := 12 + 12*c
			x := binary.LittleEndian.Uint32(r[o:])
			y := binary.LittleEndian.Uint32(r[o+4:])
			z := binary.LittleEndian.Uint32(r[o+8:])
			const exp = 0x7f800000
			if x&exp == exp || y&exp == exp || z&exp == exp {
				return i
			}
			t[c] = k.vertex(Vec{
				float64(math.Float32frombits(x)) + 0,
				float64(math.Float32frombits(y)) + 0,
				float64(math.Float32frombits(z)) + 0,
			})
		}
		k.tris = append(k.tris, t)
	}
	return n
}

// Build returns the mesh with every coordinate multiplied by scale (mm per
// file unit). Vertices that no triangle uses are dropped. The Builder must not
// be used afterwards.
func (b *Builder) Build(scale float64) (*Mesh, error) {
	b.table, b.local = nil, nil
	if len(b.tris) == 0 {
		return nil, ErrNoTriangles
	}
	if b.loose {
		b.dropUnused()
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

func (b *Builder) dropUnused() {
	used := make([]uint64, (len(b.verts)+63)/64)
	for _, t := range b.tris {
		for _, i := range t {
			used[i>>6] |= 1 << (i & 63)
		}
	}
	n := 0
	for _, u := range used {
		n += bits.OnesCount64(u)
	}
	if n == len(b.verts) {
		return
	}
	to := make([]int32, len(b.verts))
	k := int32(0)
	for i := range b.verts {
		if used[i>>6]>>(i&63)&1 != 0 {
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
