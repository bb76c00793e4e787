package section

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/par"
)

// Slicer cuts a surface at heights along U. It is not changed by cutting, and
// may be used from several goroutines.
type Slicer struct {
	Mesh    *mesh.Mesh
	Live    func(t int) bool // does the triangle count? nil = all do
	Outward func(t int) bool // is the triangle wound outward? nil = all are
	U       mesh.Vec         // unit; the heights are along it
	E1, E2  mesh.Vec         // axes of the places in a section, with U right-handed
	Eps     float64          // mm: heights closer than this are one
}

// maxListed bounds the list of (level, triangle) pairs held at a time: 4 bytes
// each.
const maxListed = 4 << 20

// block is how many triangles are looked at between two looks at the context.
const block = 1 << 15

// At makes the section at one level. only lists the triangles to look at, in
// ascending order; nil takes all.
func (s *Slicer) At(ctx context.Context, l Level, only []int32) (*Section, error) {
	out := &Section{}
	err := s.Each(ctx, []Level{l}, only, func(_ int, sec *Section) { *out = *sec })
	if err != nil {
		return nil, err
	}
	out.Level = l
	return out, nil
}

// Each makes the sections at the given levels and hands each to do with its
// number: on several cores at once, in no order. The section is do's for the
// length of the call only. The levels must be in order and fewer than 65535;
// of two whose heights differ by less than twice Eps the upper may miss what
// lies there. only is as for At.
func (s *Slicer) Each(ctx context.Context, levels []Level, only []int32, do func(k int, sec *Section)) error {
	if len(levels) == 0 {
		return nil
	}
	if len(levels) >= math.MaxUint16 {
		return fmt.Errorf("section: %d levels are too many", len(levels))
	}
	p, err := s.prepare(ctx, levels, only)
	if err != nil {
		return err
	}
	var team par.Team[Section]
	for from := 0; from < len(levels); {
		to, sum := from, 0
		for to < len(levels) && (to == from || sum+p.total[to] <= maxListed) {
			sum += p.total[to]
			to++
		}
		list, start, err := p.list(ctx, from, to)
		if err != nil {
			return err
		}
		err = team.Each(ctx, to-from, func(sec *Section, k int) {
			sec.Level = levels[from+k]
			sec.fill(s, list[start[k]:start[k+1]])
			do(from+k, sec)
		})
		if err != nil {
			return fmt.Errorf("section: %w", err)
		}
		from = to
	}
	return nil
}

// Reaching lists the triangles that reach into a range of heights.
func (s *Slicer) Reaching(lo, hi float64) []int32 {
	verts := s.Mesh.Vertices()
	out := []int32{}
	for t, i := range s.Mesh.Triangles() {
		a, b, c := verts[i[0]].Dot(s.U), verts[i[1]].Dot(s.U), verts[i[2]].Dot(s.U)
		if max(a, b, c) >= lo && min(a, b, c) <= hi {
			out = append(out, int32(t))
		}
	}
	return out
}

// stack knows which triangles each level of a stack crosses.
type stack struct {
	*Slicer
	levels []Level
	find   *levelFinder
	only   []int32
	n      int      // triangles looked at
	above  []uint16 // per vertex: the number of levels it lies above; nil = ask find
	counts []int32  // per block of triangles and level: triangles crossed
	total  []int    // per level: triangles crossed
}

// prepare counts, per level and block of triangles, so that the lists can be
// filled in parallel and still come out in the order of the triangles.
func (s *Slicer) prepare(ctx context.Context, levels []Level, only []int32) (*stack, error) {
	p := &stack{Slicer: s, levels: levels, find: newLevelFinder(levels, s.Eps), only: only, n: len(only)}
	if only == nil {
		p.n = s.Mesh.NumTriangles()
		verts := s.Mesh.Vertices()
		p.above = make([]uint16, len(verts))
		err := par.Blocks(ctx, len(verts), block, func(from, to int) {
			for v := from; v < to; v++ {
				p.above[v] = p.find.below(verts[v].Dot(s.U))
			}
		})
		if err != nil {
			return nil, fmt.Errorf("section: %w", err)
		}
	}
	nb, nl := (p.n+block-1)/block, len(levels)
	p.counts = make([]int32, nb*nl)
	err := par.Blocks(ctx, p.n, block, func(from, to int) {
		c := p.counts[from/block*nl:][:nl]
		for q := from; q < to; q++ {
			lo, hi := p.reach(p.tri(q))
			if lo == hi || !p.live(p.tri(q)) {
				continue
			}
			for k := lo; k < hi; k++ {
				c[k]++
			}
		}
	})
	if err != nil {
		return nil, fmt.Errorf("section: %w", err)
	}
	p.total = make([]int, nl)
	for b := range nb {
		for k := range nl {
			p.total[k] += int(p.counts[b*nl+k])
		}
	}
	return p, nil
}

func (p *stack) tri(q int) int {
	if p.only != nil {
		return int(p.only[q])
	}
	return q
}

func (p *stack) live(t int) bool { return p.Live == nil || p.Live(t) }

// reach tells the levels that cross a triangle: lo to hi−1.
func (p *stack) reach(t int) (lo, hi uint16) {
	i := p.Mesh.Triangles()[t]
	if p.above != nil {
		a, b, c := p.above[i[0]], p.above[i[1]], p.above[i[2]]
		return min(a, b, c), max(a, b, c)
	}
	v := p.Mesh.Vertices()
	a, b, c := p.find.below(v[i[0]].Dot(p.U)), p.find.below(v[i[1]].Dot(p.U)), p.find.below(v[i[2]].Dot(p.U))
	return min(a, b, c), max(a, b, c)
}

// list gives the triangles that levels from to to−1 cross: those of level k
// stand from start[k−from] on.
func (p *stack) list(ctx context.Context, from, to int) (list, start []int32, err error) {
	nl, width := len(p.levels), to-from
	start = make([]int32, width+1)
	for k := range width {
		start[k+1] = start[k] + int32(p.total[from+k])
	}
	list = make([]int32, start[width])
	// Where each block writes.
	nb := (p.n + block - 1) / block
	next := make([]int32, nb*width)
	at := slices.Clone(start[:width])
	for b := range nb {
		for k := range width {
			next[b*width+k] = at[k]
			at[k] += p.counts[b*nl+from+k]
		}
	}
	err = par.Blocks(ctx, p.n, block, func(lo, hi int) {
		w := next[lo/block*width:][:width]
		for q := lo; q < hi; q++ {
			t := p.tri(q)
			a, b := p.reach(t)
			a, b = max(a, uint16(from)), min(b, uint16(to))
			if a >= b || !p.live(t) {
				continue
			}
			for k := int(a) - from; k < int(b)-from; k++ {
				list[w[k]] = int32(t)
				w[k]++
			}
		}
	})
	if err != nil {
		return nil, nil, fmt.Errorf("section: %w", err)
	}
	return list, start, nil
}

// levelFinder finds how many of a sorted row of levels lie below a height.
type levelFinder struct {
	levels []Level
	eps    float64
	lo     float64
	scale  float64
	first  []uint16 // per slab of equal height: levels surely below it
}

func newLevelFinder(levels []Level, eps float64) *levelFinder {
	const slabs = 4096
	l := &levelFinder{levels: levels, eps: eps, lo: levels[0].H - 2*eps, first: make([]uint16, slabs)}
	if d := levels[len(levels)-1].H + 2*eps - l.lo; d > 0 {
		l.scale = slabs / d
	}
	k := 0
	for b := range l.first {
		// One slab of slack swallows the rounding of below.
		for k < len(levels) && (levels[k].H+eps-l.lo)*l.scale < float64(b-1) {
			k++
		}
		l.first[b] = uint16(k)
	}
	return l
}

func (l *levelFinder) below(z float64) uint16 {
	if z < l.lo {
		return 0
	}
	b := min((z-l.lo)*l.scale, float64(len(l.first)-1))
	k := int(l.first[int(b)])
	for k < len(l.levels) && l.levels[k].Below(z, l.eps) {
		k++
	}
	return uint16(k)
}
