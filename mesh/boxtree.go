package mesh

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh/par"
)

// boxTree finds triangles by place: they are put in the order of a curve that
// fills space (G. M. Morton's, 1966), cut into leaves of a few, and each level
// boxes in four of the one below. It costs 12 bytes per triangle and does not
// depend on the number of cores.
type boxTree struct {
	m     *Mesh
	o     Vec // boxes are kept from here, so that a pattern far off loses nothing
	keys  []uint64
	level [][]box32 // level[0]: leaves
}

// box32 is a box rounded outward.
type box32 struct{ lo, hi [3]float32 }

const (
	leafSize   = 8
	branching  = 4
	codeBits   = 11 // per axis; three axes and a triangle number fill 64 bits
	numberBits = 31
	topBits    = 12 // of the code, that choose a bucket
	buckets    = 1 << topBits
)

func triangleOf(key uint64) int32 { return int32(key & (1<<numberBits - 1)) }

func (b *box32) meets(o *box32) bool {
	return b.lo[0] <= o.hi[0] && o.lo[0] <= b.hi[0] &&
		b.lo[1] <= o.hi[1] && o.lo[1] <= b.hi[1] &&
		b.lo[2] <= o.hi[2] && o.lo[2] <= b.hi[2]
}

func (b *box32) join(o *box32) {
	for k := range 3 {
		if o.lo[k] < b.lo[k] {
			b.lo[k] = o.lo[k]
		}
		if o.hi[k] > b.hi[k] {
			b.hi[k] = o.hi[k]
		}
	}
}

// down32 and up32 round to a float32 that is not above, or not below.
func down32(x float64) float32 {
	f := float32(x)
	if float64(f) > x {
		f = math.Nextafter32(f, float32(math.Inf(-1)))
	}
	return f
}

func up32(x float64) float32 {
	f := float32(x)
	if float64(f) < x {
		f = math.Nextafter32(f, float32(math.Inf(1)))
	}
	return f
}

// box rounds a box outward. Subtracting the origin rounds too, but never
// changes the order of two numbers, so boxes that meet still do.
func (t *boxTree) box(lo, hi Vec) box32 {
	a, b := lo.Sub(t.o), hi.Sub(t.o)
	return box32{
		[3]float32{down32(a.X), down32(a.Y), down32(a.Z)},
		[3]float32{up32(b.X), up32(b.Y), up32(b.Z)},
	}
}

// spread puts two zero bits before each of the 11 bits of x.
func spread(x uint64) uint64 {
	x = (x | x<<16) & 0x00FF0000FF
	x = (x | x<<8) & 0x0F00F00F00F
	x = (x | x<<4) & 0xC30C30C30C3
	x = (x | x<<2) & 0x249249249249
	return x
}

// newBoxTree builds the tree of all triangles but the collapsed and skipped.
func newBoxTree(ctx context.Context, m *Mesh, skip []bool) (*boxTree, error) {
	t := &boxTree{m: m, o: m.localOrigin()}
	size := m.hi.Sub(m.lo)
	cells := float64(1 << codeBits)
	per := func(s float64) float64 {
		if s > 0 {
			return cells / (3 * s)
		}
		return 0
	}
	kx, ky, kz := per(size.X), per(size.Y), per(size.Z)
	cell := func(x float64) uint64 {
		if !(x >= 0) { // also what is not a number, from sizes beyond measure
			return 0
		}
		if x >= cells {
			return 1<<codeBits - 1
		}
		return uint64(x)
	}
	out := func(i int) bool { return m.Collapsed(i) || skip != nil && skip[i] }
	code := func(i int) uint64 {
		a, b, c := m.Corners(i)
		s := a.Sub(m.lo).Add(b.Sub(m.lo)).Add(c.Sub(m.lo))
		return spread(cell(s.X*kx)) | spread(cell(s.Y*ky))<<1 | spread(cell(s.Z*kz))<<2
	}

	// Count per chunk and bucket, then put every key where it belongs, then
	// sort the buckets: one pass, one buffer, and the same order always, as
	// no two keys are equal.
	const chunk = 1 << 16
	chunks := (len(m.tris) + chunk - 1) / chunk
	place := make([][buckets]uint32, chunks)
	const low = 3*codeBits - topBits
	err := par.Each(ctx, chunks, func(c int) {
		for i := c * chunk; i < min(len(m.tris), (c+1)*chunk); i++ {
			if !out(i) {
				place[c][code(i)>>low]++
			}
		}
	})
	if err != nil {
		return nil, err
	}
	var begin [buckets + 1]uint32
	sum := uint32(0)
	for b := range buckets {
		begin[b] = sum
		for c := range place {
			n := place[c][b]
			place[c][b] = sum
			sum += n
		}
	}
	begin[buckets] = sum
	t.keys = make([]uint64, sum)
	err = par.Each(ctx, chunks, func(c int) {
		for i := c * chunk; i < min(len(m.tris), (c+1)*chunk); i++ {
			if !out(i) {
				k := code(i)
				at := &place[c][k>>low]
				t.keys[*at] = k<<numberBits | uint64(i)
				*at++
			}
		}
	})
	if err != nil {
		return nil, err
	}
	err = par.Each(ctx, buckets, func(b int) { slices.Sort(t.keys[begin[b]:begin[b+1]]) })
	if err != nil {
		return nil, err
	}
	return t, t.build(ctx)
}

// build makes the boxes of the sorted leaves, and of all above them.
func (t *boxTree) build(ctx context.Context) error {
	m := t.m
	leaves := (len(t.keys) + leafSize - 1) / leafSize
	t.level = [][]box32{make([]box32, leaves)}
	const block = 1 << 12
	err := par.Blocks(ctx, leaves, block, func(from, to int) {
		var x corners3
		for l := from; l < to; l++ {
			var lo, hi Vec
			for k, key := range t.leaf(l) {
				x.load(m, triangleOf(key))
				if k == 0 {
					lo, hi = x.lo, x.hi
				} else {
					lo, hi = lo.Min(x.lo), hi.Max(x.hi)
				}
			}
			t.level[0][l] = t.box(lo, hi)
		}
	})
	if err != nil {
		return err
	}
	for n := leaves; n > 1; {
		below := t.level[len(t.level)-1]
		n = (n + branching - 1) / branching
		up := make([]box32, n)
		for i := range up {
			up[i] = below[i*branching]
			for j := i*branching + 1; j < min(len(below), (i+1)*branching); j++ {
				up[i].join(&below[j])
			}
		}
		t.level = append(t.level, up)
	}
	return nil
}

func (t *boxTree) leaves() int { return len(t.level[0]) }

// leaf returns the keys of a leaf's triangles.
func (t *boxTree) leaf(l int) []uint64 {
	return t.keys[l*leafSize : min(len(t.keys), (l+1)*leafSize)]
}

// treeNode is a node of the tree: its level and place there.
type treeNode struct{ level, i int32 }

// search calls visit for every leaf from the given one on whose box meets q,
// until it returns false. The order is fixed. stack is scratch space.
func (t *boxTree) search(stack *[]treeNode, q *box32, from int, visit func(leaf int) bool) {
	if from >= t.leaves() {
		return
	}
	s := (*stack)[:0]
	if top := len(t.level) - 1; t.level[top][0].meets(q) {
		s = append(s, treeNode{int32(top), 0})
	}
	for len(s) > 0 {
		n := s[len(s)-1]
		s = s[:len(s)-1]
		if n.level == 0 {
			if !visit(int(n.i)) {
				break
			}
			continue
		}
		below := t.level[n.level-1]
		first := int(n.i) * branching
		// The last leaf under a node must not lie before the first wanted.
		shift := 2 * (uint(n.level) - 1) // branching is 4
		for j := min(len(below), first+branching) - 1; j >= first; j-- {
			if (j+1)<<shift <= from {
				break
			}
			if below[j].meets(q) {
				s = append(s, treeNode{n.level - 1, int32(j)})
			}
		}
	}
	*stack = s[:0]
}
