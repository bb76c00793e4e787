package undercut

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh/dexel"
	"moldtally/mesh/disjoint"
)

// shutCell is the rubber of one column that has no way out at one height.
type shutCell struct {
	col  int32 // j*NX + i
	gap  int32 // flat index of its gap
	wide bool  // a disc as wide as a web of rubber fits over it
	// doubt: it has a way out, of a single column at the narrowest, and columns
	// do not tell whether that is a web wide.
	doubt bool
}

// shutSection is all that is shut in at one height, in the order of columns.
type shutSection struct {
	h     float64
	cells []shutCell
}

// shutIn lists the rubber without a way out at height h, of the components
// that a blocked stretch lies in; with doubts, that whose way out is in doubt
// as well.
func (l *level) shutIn(h float64, bs []blockage, doubts bool) shutSection {
	l.classify(l.class, h)
	clear(l.comp)
	out := shutSection{h: h}
	id := int32(0)
	for _, x := range bs {
		if x.lo > h || h >= x.hi {
			continue
		}
		c := x.j*int32(l.nx) + x.i
		if l.class[c] == inShadow && l.comp[c] == 0 {
			id++
			out.cells = l.shutOf(out.cells, c, id, h, doubts)
		}
	}
	out.cells = l.inColumns(out.cells)
	return out
}

// inColumns puts cells, of which no column has two, in the order of their columns.
func (l *level) inColumns(cells []shutCell) []shutCell {
	if len(cells) < 2 {
		return cells
	}
	lo, hi := cells[0].col, cells[0].col
	for _, c := range cells {
		lo, hi = min(lo, c.col), max(hi, c.col)
	}
	if int(hi-lo) > 16*len(cells) { // far apart
		slices.SortFunc(cells, func(a, b shutCell) int { return cmp.Compare(a.col, b.col) })
		return cells
	}
	if l.rank == nil {
		l.rank = make([]int32, len(l.class))
	}
	for n, c := range cells {
		l.rank[c.col] = int32(n + 1)
	}
	out := make([]shutCell, 0, len(cells))
	for c := lo; c <= hi; c++ {
		if n := l.rank[c]; n > 0 {
			out = append(out, cells[n-1])
			l.rank[c] = 0
		}
	}
	return out
}

// shutOf appends what of the component round c has no way out.
func (l *level) shutOf(out []shutCell, c, id int32, h float64, doubts bool) []shutCell {
	exits, box := l.gather(c, id)
	resolved := l.markThin(l.class, box)
	doubt := false
	if exits && !resolved {
		if !doubts || l.s.narrow == 0 {
			return out
		}
		doubt = true
		l.markUnder(l.class, box, leastRadius)
	}
	if !exits && !slices.ContainsFunc(l.cells, l.roomy) {
		return out // below what the field resolves
	}
	if exits {
		if l.seen == nil {
			l.seen = make([]bool, len(l.class))
		}
		for _, e := range l.cells {
			l.seen[e] = false
		}
		l.flood(l.class, l.cells, l.seen)
	}
	for _, e := range l.cells {
		if exits && l.seen[e] {
			continue
		}
		i, j := int(e)%l.nx, int(e)/l.nx
		k, _ := dexel.At(l.s.f.Column(i, j), h)
		wide := resolved && !l.thin[e] || !resolved && l.roomy(e)
		out = append(out, shutCell{e, int32(l.s.f.Offset(i, j) + k), wide, doubt})
	}
	return out
}

// Bounds of a sweep: sections beyond maxSections, thinner slabs than a
// sixteenth of a cell, and slabs whose ends differ by less than a two hundredth
// of the whole or of what a lock must have change no figure (judgement of this
// program).
const (
	maxSections   = 96
	slabsOfCell   = 16
	shareOfVolume = 1. / 200
)

// sweep puts sections between those at hand, given in order of height, until
// the volume between them is known. find finds what is shut in at some heights
// of a field of such a cell; least is the volume that a lock must have, mm³.
func sweep(ctx context.Context, at []shutSection, cell, least float64, find func(ctx context.Context, heights []float64) ([]shutSection, error)) ([]shutSection, error) {
	const round = 16
	for len(at) < maxSections {
		worst := splits(at, cell/slabsOfCell, shareOfVolume*least/(cell*cell))
		worst = worst[:min(len(worst), round, maxSections-len(at))]
		if len(worst) == 0 {
			break
		}
		heights := make([]float64, len(worst))
		for n, w := range worst {
			heights[n] = (at[w.lower].h + at[w.lower+1].h) / 2
		}
		more, err := find(ctx, heights)
		if err != nil {
			return nil, err
		}
		at = append(at, more...)
		slices.SortFunc(at, byHeight)
	}
	return at, nil
}

func byHeight(a, b shutSection) int { return cmp.Compare(a.h, b.h) }

// split is a slab between two sections that differ.
type split struct {
	lower int
	doubt float64 // what the difference may amount to, in cells times mm
}

// splits lists the slabs to cut in two, the most doubtful first: none thinner
// than that, mm, nor less doubtful than least.
func splits(at []shutSection, thinnest, least float64) []split {
	var out []split
	whole := 0.0
	for k := range len(at) - 1 {
		d := at[k+1].h - at[k].h
		whole += d * float64(len(at[k].cells)+len(at[k+1].cells)) / 2
		if d < thinnest {
			continue
		}
		if n := differ(at[k].cells, at[k+1].cells); n > 0 {
			out = append(out, split{k, d * float64(n)})
		}
	}
	out = slices.DeleteFunc(out, func(x split) bool { return x.doubt < max(whole*shareOfVolume, least) })
	slices.SortStableFunc(out, func(a, b split) int { return cmp.Compare(b.doubt, a.doubt) })
	return out
}

// differ counts the columns that are in one of two sections only.
func differ(a, b []shutCell) int {
	n := 0
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0].col < b[0].col:
			a = a[1:]
		case a[0].col > b[0].col:
			b = b[1:]
		default:
			a, b = a[1:], b[1:]
			continue
		}
		n++
	}
	return n + len(a) + len(b)
}

// slab is the stretch of heights that section k stands for.
func slab(at []shutSection, k int) (lo, hi float64) {
	return stretchOf(at, k, func(x shutSection) float64 { return x.h })
}

// stretchOf is the stretch of heights that the k-th of some, in order, stands for.
func stretchOf[T any](at []T, k int, height func(T) float64) (lo, hi float64) {
	lo, hi = height(at[k]), height(at[k])
	if k > 0 {
		lo = (height(at[k-1]) + lo) / 2
	}
	if k+1 < len(at) {
		hi = (height(at[k+1]) + hi) / 2
	}
	return lo, hi
}

// shutArea is how much is shut in at a height, mm².
type shutArea struct{ h, area float64 }

// areasOf are the areas of sections.
func (s *shadow) areasOf(at []shutSection) []shutArea {
	out := make([]shutArea, len(at))
	for k, x := range at {
		out[k] = shutArea{x.h, float64(len(x.cells)) * s.f.Cell * s.f.Cell}
	}
	return out
}

// shutAbove is what some areas, in order of height, shut in above a height, mm³.
func shutAbove(at []shutArea, h float64) (v float64) {
	for k, x := range at {
		lo, hi := stretchOf(at, k, func(x shutArea) float64 { return x.h })
		v += max(hi-max(lo, h), 0) * x.area
	}
	return v
}

// shutBody is a connected part of what is shut in. Lengths mm.
type shutBody struct {
	volume    float64
	low, high float64
	wide      bool     // somewhere as wide as a web of rubber
	doubt     bool     // some of it has a way out, if a narrow one is one
	at        shutCell // of its largest section, the middle of the list
	atH       float64
	box       [4]int  // columns i0, j0, i1, j1, of the sections' components
	gaps      []int32 // in order
	sections  []shutSection
}

// lock reports whether a body is more than a speck: a web wide, higher than
// noise, and larger than least, mm³.
func (b *shutBody) lock(high, least float64) bool {
	return b.wide && b.high-b.low >= high && b.volume > least
}

// shutBodies joins the sections' cells to bodies, the largest first: side by
// side at one height, and one above the other in one gap.
func (s *shadow) shutBodies(at []shutSection) []shutBody {
	first := make([]int32, len(at)+1)
	for k := range at {
		first[k+1] = first[k] + int32(len(at[k].cells))
	}
	sets := disjoint.New(int(first[len(at)]))
	for k := range at {
		s.joinBeside(sets, first[k], at[k].cells)
		if k > 0 {
			joinAbove(sets, first[k-1], at[k-1].cells, first[k], at[k].cells)
		}
	}
	count := sets.Number()
	bodies := make([]shutBody, count)
	for n := range bodies {
		bodies[n] = shutBody{low: math.Inf(1), high: math.Inf(-1), box: [4]int{s.f.NX, s.f.NY, -1, -1}}
	}
	for k := range at {
		lo, hi := slab(at, k)
		for n, c := range at[k].cells {
			bodies[sets[first[k]+int32(n)]].add(c, at[k].h, lo, hi, s.f.NX)
		}
	}
	for n := range bodies {
		b := &bodies[n]
		b.volume *= s.f.Cell * s.f.Cell
		b.finish()
	}
	slices.SortStableFunc(bodies, func(a, b shutBody) int { return cmp.Compare(b.volume, a.volume) })
	return bodies
}

// add takes in a cell of the section at h, which stands for lo to hi. The
// volume is in cells times mm until all are in.
func (b *shutBody) add(c shutCell, h, lo, hi float64, nx int) {
	b.volume += hi - lo
	b.low, b.high = min(b.low, lo), max(b.high, hi)
	b.wide, b.doubt = b.wide || c.wide, b.doubt || c.doubt
	i, j := int(c.col)%nx, int(c.col)/nx
	b.box = [4]int{min(b.box[0], i), min(b.box[1], j), max(b.box[2], i), max(b.box[3], j)}
	b.gaps = append(b.gaps, c.gap)
	if n := len(b.sections); n == 0 || b.sections[n-1].h != h {
		b.sections = append(b.sections, shutSection{h: h})
	}
	last := &b.sections[len(b.sections)-1]
	last.cells = append(last.cells, c)
}

func (b *shutBody) finish() {
	slices.Sort(b.gaps)
	b.gaps = slices.Compact(b.gaps)
	most := 0
	for k := range b.sections {
		if len(b.sections[k].cells) > len(b.sections[most].cells) {
			most = k
		}
	}
	x := b.sections[most]
	b.at, b.atH = x.cells[len(x.cells)/2], x.h
}

// joinBeside joins the cells of one section that touch, by a side or a corner.
func (s *shadow) joinBeside(sets disjoint.Sets, first int32, cells []shutCell) {
	nx := int32(s.f.NX)
	// The three cells of the row before, and the one before in the row: each
	// runs through the list once.
	for _, d := range [4]int32{1, nx - 1, nx, nx + 1} {
		m := 0
		for n := range cells {
			for m < n && cells[m].col < cells[n].col-d {
				m++
			}
			if cells[m].col == cells[n].col-d {
				sets.Join(first+int32(m), first+int32(n))
			}
		}
	}
}

// joinAbove joins the cells of two sections that lie in one gap.
func joinAbove(sets disjoint.Sets, fa int32, a []shutCell, fb int32, b []shutCell) {
	m := 0
	for n := range b {
		for m < len(a) && a[m].col < b[n].col {
			m++
		}
		if m < len(a) && a[m].gap == b[n].gap {
			sets.Join(fa+int32(m), fb+int32(n))
		}
	}
}
