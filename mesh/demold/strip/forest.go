package strip

import (
	"math"

	"moldtally/mesh/dexel"
)

// forest remembers, for pieces of columns, when they join while a level sweeps
// past them: the spans of S while it sinks from the top (what hangs together
// above a height), or the gaps of rubber while it rises from the base plane
// (what hangs together below a height). One structure answers for every height
// at once.
//
// Keys fall during a sweep: key = height for a sinking level, key = −height
// for a rising one. It is a union-find by size whose links carry the key at
// which they were made and are never shortened, so a node's root at a key is
// found by climbing only links made before it; the climb is O(log n).
type forest struct {
	f      *dexel.Field
	gaps   bool    // nodes are gaps, not spans
	sign   float64 // +1 for spans, −1 for gaps: key = sign × height
	parent []int32
	link   []float32 // key of the link to parent; −Inf at a root
	wall   int32     // gaps only: stands for the rubber at the container's wall
}

// key turns a height into a key.
func (t *forest) key(h float64) float64 { return t.sign * h }

// root is the node that stands for n's component at key k: the part of the
// body that lies beyond k.
func (t *forest) root(n int32, k float64) int32 {
	kk := float32(k)
	for t.link[n] > kk {
		n = t.parent[n]
	}
	return n
}

// thinSpan: pieces of a column shorter than this many cells belong to a sheet
// so thin that neighbours on a slope may miss each other though the sheet is
// whole; they join across a gap of one cell.
const thinSpan = 2

// spanForest sweeps the spans of S from the top down. Spans of columns side by
// side touch where their height ranges overlap, those of one column where they
// are no farther apart than parts drawn face to face.
func spanForest(f *dexel.Field, touch float64) *forest {
	n := f.NumSpans()
	t := &forest{f: f, sign: 1}
	keys := make([]float32, n)
	for j := 0; j < f.NY; j++ {
		for i := 0; i < f.NX; i++ {
			off := f.Offset(i, j)
			for k, s := range f.Column(i, j) {
				keys[off+k] = float32(s.Top)
			}
		}
	}
	b := newJoiner(t, n)
	thin := thinSpan * f.Cell
	b.sweep(keys, func(i, j, k int, id int32) {
		// A span is met at its top. A neighbour that is there already and
		// touches holds that height.
		own := f.Column(i, j)
		s := own[k]
		if k+1 < len(own) && own[k+1].Bottom-s.Top <= touch {
			b.join(id, id+1, float32(s.Top))
		}
		b.neighbours(i, j, func(ni, nj int) {
			col := f.Column(ni, nj)
			q, in := dexel.At(col, s.Top)
			if !in && q < len(col) && col[q].Bottom-s.Top <= f.Cell &&
				s.Top-s.Bottom < thin && col[q].Top-col[q].Bottom < thin {
				in = true
			}
			if in {
				b.join(id, int32(f.Offset(ni, nj)+q), float32(s.Top))
			}
		})
	})
	return t
}

// What columns show hanging on nothing is their own doing where it is lower than
// chipCells cells and less than chipShare of the whole: a shred of a torn skin that
// no column of its neighbours meets. Judgement of this program.
const (
	chipCells = 3
	chipShare = 1e-3
)

// chips are the roots, at the end of a sweep, of such shreds.
func (t *forest) chips() map[int32]bool {
	type part struct{ low, high, length float64 }
	parts := map[int32]part{} // looked up by the spans, in their order
	var order []int32
	whole := 0.0
	for j := range t.f.NY {
		for i := range t.f.NX {
			off := t.f.Offset(i, j)
			for k, s := range t.f.Column(i, j) {
				root := t.root(int32(off+k), math.Inf(-1))
				p, ok := parts[root]
				if !ok {
					order = append(order, root)
					p = part{s.Bottom, s.Top, 0}
				}
				parts[root] = part{min(p.low, s.Bottom), max(p.high, s.Top), p.length + s.Top - s.Bottom}
				whole += s.Top - s.Bottom
			}
		}
	}
	out := map[int32]bool{}
	for _, root := range order {
		if p := parts[root]; p.high-p.low < chipCells*t.f.Cell && p.length < chipShare*whole {
			out[root] = true
		}
	}
	return out
}

// slitCells is the height, in cells, below which a gap lets nothing through: a
// body that touches the board, or another, along a line between the columns
// still parts the rubber there. So low a gap belongs to its highest neighbour.
const slitCells = 0.5

// gapForest sweeps the space outside S upward from the floor of the rubber: the
// clay line, or the parting. Gap k of a column lies below span k, the last one
// above them all; nodes are numbered column by column, one more per column
// than spans. Gaps of columns side by side join at the higher of their floors,
// if both are open there. The space at the grid's border is the container's
// wall.
func gapForest(f *dexel.Field, base float64) *forest {
	cols := f.NX * f.NY
	n := f.NumSpans() + cols
	t := &forest{f: f, gaps: true, sign: -1, wall: int32(n)}
	keys := make([]float32, n+1)
	floorOf := func(col []dexel.Span, k int) float64 {
		if k == 0 {
			return base
		}
		return max(base, col[k-1].Top)
	}
	id := 0
	for j := 0; j < f.NY; j++ {
		for i := 0; i < f.NX; i++ {
			col := f.Column(i, j)
			for k := 0; k <= len(col); k++ {
				keys[id] = float32(-floorOf(col, k))
				id++
			}
		}
	}
	keys[n] = float32(-base)
	slit := slitCells * f.Cell
	b := newJoiner(t, n+1)
	b.sweep(keys, func(i, j, k int, id int32) {
		col := f.Column(i, j)
		floor, ceil := floorOf(col, k), math.Inf(1)
		if k < len(col) {
			if ceil = col[k].Bottom; ceil <= floor {
				return // nothing between the span and the floor
			}
		}
		if i == 0 || j == 0 || i == f.NX-1 || j == f.NY-1 {
			b.join(id, t.wall, float32(-floor))
		}
		best, highest := int32(-1), ceil
		b.neighbours(i, j, func(ni, nj int) {
			nc := f.Column(ni, nj)
			q := 0
			for q < len(nc) && nc[q].Bottom <= floor {
				q++
			}
			// Gap q is the first whose ceiling is above the floor.
			lo, hi := floorOf(nc, q), math.Inf(1)
			if lo > floor {
				return
			}
			if q < len(nc) {
				hi = nc[q].Bottom
			}
			n := int32(f.Offset(ni, nj) + nj*f.NX + ni + q)
			switch {
			case ceil-floor > slit:
				if hi-lo > slit {
					b.join(id, n, float32(-floor))
				}
			case hi > highest:
				best, highest = n, hi
			}
		})
		if best >= 0 {
			b.join(id, best, float32(-floor))
		}
	})
	return t
}

// joiner builds a forest.
type joiner struct {
	t     *forest
	short []int32 // like parent, with paths halved
	size  []int32
	colOf []int32 // per node: its column
}

func newJoiner(t *forest, n int) *joiner {
	b := &joiner{t: t, short: make([]int32, n), size: make([]int32, n)}
	t.parent = make([]int32, n)
	t.link = make([]float32, n)
	for i := range b.short {
		b.short[i], t.parent[i] = int32(i), int32(i)
		b.size[i] = 1
		t.link[i] = float32(math.Inf(-1))
	}
	return b
}

func (b *joiner) find(n int32) int32 {
	for b.short[n] != n {
		b.short[n] = b.short[b.short[n]]
		n = b.short[n]
	}
	return n
}

func (b *joiner) join(x, y int32, key float32) {
	x, y = b.find(x), b.find(y)
	if x == y {
		return
	}
	if b.size[x] > b.size[y] || b.size[x] == b.size[y] && x < y {
		x, y = y, x
	}
	b.short[x], b.t.parent[x], b.t.link[x] = y, y, key
	b.size[y] += b.size[x]
}

func (b *joiner) neighbours(i, j int, do func(i, j int)) {
	if i > 0 {
		do(i-1, j)
	}
	if i < b.t.f.NX-1 {
		do(i+1, j)
	}
	if j > 0 {
		do(i, j-1)
	}
	if j < b.t.f.NY-1 {
		do(i, j+1)
	}
}

// sweep visits the nodes of columns by falling key, equal keys by number.
func (b *joiner) sweep(keys []float32, visit func(i, j, k int, id int32)) {
	f := b.t.f
	b.colOf = make([]int32, len(keys))
	for c := 0; c < f.NX*f.NY; c++ {
		i, j := c%f.NX, c/f.NX
		lo, n := f.Offset(i, j), len(f.Column(i, j))
		if b.t.gaps {
			lo += c
			n++
		}
		for k := lo; k < lo+n; k++ {
			b.colOf[k] = int32(c)
		}
	}
	for _, id := range fallingOrder(keys) {
		if id == b.t.wall && b.t.gaps {
			continue
		}
		c := int(b.colOf[id])
		i, j := c%f.NX, c/f.NX
		first := f.Offset(i, j)
		if b.t.gaps {
			first += c
		}
		visit(i, j, int(id)-first, id)
	}
}

// fallingOrder sorts indices by falling key with a stable radix sort over the
// bits of the floats.
func fallingOrder(keys []float32) []int32 {
	n := len(keys)
	bits := make([]uint32, n)
	for i, k := range keys {
		u := math.Float32bits(k)
		if u>>31 != 0 {
			u = ^u
		} else {
			u |= 1 << 31
		}
		bits[i] = ^u // falling
	}
	a, b := make([]int32, n), make([]int32, n)
	for i := range a {
		a[i] = int32(i)
	}
	const width = 11
	for shift := 0; shift < 33; shift += width {
		var count [1<<width + 1]int32
		for _, u := range bits {
			count[u>>shift&(1<<width-1)+1]++
		}
		for k := 1; k <= 1<<width; k++ {
			count[k] += count[k-1]
		}
		for _, i := range a {
			d := bits[i] >> shift & (1<<width - 1)
			b[count[d]] = i
			count[d]++
		}
		a, b = b, a
	}
	return a
}
