package demold

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
	"moldtally/mesh/par"
	"moldtally/mesh/section"
)

// levelCount is the least number of heights at which the pattern is sliced,
// evenly from base to top. A perimeter changes by at most some 6.3 mm per mm of
// height on a 45° slope, so on a body as high as wide a step is under 1 % of
// it; the worst pair is refined after that.
const levelCount = 256

// shelfCount bounds the heights of flat shelves that are sliced besides, just
// below and just above each: there a perimeter jumps.
const shelfCount = 128

// shelfShare is the least area of level surface at one height, as a share of
// the box from above, that makes a shelf.
const shelfShare = 1e-3

// cutCache holds what stretch, squeeze and mouth share: the sections of the
// pattern, or of its two halves, made once.
type cutCache struct {
	once sync.Once
	err  error
	sets []*cutSet
}

// cutSet is the sections of the pattern above the plane it leaves through.
type cutSet struct {
	sl       slicer
	sections []placed // lowest first
	floor    float64  // where the rubber begins: the clay line, the parting, or the base
	outline  float64  // perimeter of the convex outline from above, mm
}

// cutAll slices the pattern once for all questions. Two halves are two sets,
// the lower one seen upside down.
func (a *analysis) cutAll(ctx context.Context) ([]*cutSet, error) {
	c := &a.cuts
	c.once.Do(func() {
		m := a.Solid.Surface()
		add := func(f *dexel.Field, floor, top float64) {
			s := &cutSet{sl: newSlicer(m, a.Solid.Live, a.Solid.Outward, f)}
			c.sets = append(c.sets, s)
			if c.err == nil {
				c.err = s.fill(ctx, floor, top)
			}
		}
		if a.Mold != TwoPart {
			add(a.Field, a.ClayLine(), a.Top)
			return
		}
		mid := a.partingHeight()
		add(a.Field, mid, a.Top)
		add(upsideDown(a.Field), -mid, -a.Base)
	})
	return c.sets, c.err
}

// partingHeight is where two halves part: half way up as long as nothing
// better is known.
func (a *analysis) partingHeight() float64 {
	if a.rep.Parting != nil {
		return a.parting
	}
	return (a.Base + a.Top) / 2
}

// upsideDown is the same field seen along −U.
func upsideDown(f *dexel.Field) *dexel.Field {
	g := f.Grid
	g.U, g.E2 = g.U.Neg(), g.E2.Neg()
	g.Y0 = -(f.Y0 + float64(f.NY)*f.Cell)
	off := make([]int32, 1, f.NX*f.NY+1)
	spans := make([]dexel.Span, 0, f.NumSpans())
	for j := f.NY - 1; j >= 0; j-- {
		for i := range f.NX {
			col := f.Column(i, j)
			for k := len(col) - 1; k >= 0; k-- {
				s := col[k]
				spans = append(spans, dexel.Span{Bottom: -s.Top, Top: -s.Bottom, BottomTri: s.TopTri, TopTri: s.BottomTri})
			}
			off = append(off, int32(len(spans)))
		}
	}
	return dexel.New(g, off, spans)
}

// fill grows the forests and slices at all heights from floor to top.
func (c *cutSet) fill(ctx context.Context, floor, top float64) error {
	c.floor = floor
	var cuts []section.Level
	var err error
	par.Together(
		func() { c.sl.spans = spanForest(c.sl.f, c.sl.Eps) },
		func() { c.sl.gaps = gapForest(c.sl.f, floor) },
		func() { cuts, err = c.choose(ctx, floor, top) },
	)
	if err != nil {
		return err
	}
	c.sections, err = c.sl.slice(ctx, cuts, nil)
	if err != nil {
		return err
	}
	c.outline = c.outlineOf()
	return nil
}

// choose picks the heights: the floor, an even row, and both sides of every
// shelf.
func (c *cutSet) choose(ctx context.Context, base, top float64) ([]section.Level, error) {
	cuts := []section.Level{section.JustAbove(base), section.JustBelow(top)}
	for k := range levelCount {
		cuts = append(cuts, section.JustAbove(base+(float64(k)+0.5)*(top-base)/levelCount))
	}
	shelves, err := c.shelves(ctx, base, top)
	if err != nil {
		return nil, err
	}
	for _, h := range shelves {
		if h > base+c.sl.Eps {
			cuts = append(cuts, section.JustBelow(h))
		}
		if h > base+c.sl.Eps && h < top {
			cuts = append(cuts, section.JustAbove(h))
		}
	}
	slices.SortFunc(cuts, section.Level.Compare)
	return slices.Compact(cuts), nil
}

// shelves returns the heights of level faces, largest first cut off at
// shelfCount, and where the pattern has few different heights all of them.
func (c *cutSet) shelves(ctx context.Context, base, top float64) ([]float64, error) {
	const bins = 4096
	type bin struct{ area, h float64 }
	verts, tris := c.sl.Mesh.Vertices(), c.sl.Mesh.Triangles()
	g := &c.sl.f.Grid
	scale := bins / max(top-base, 1e-300)
	flat := (top - base) / bins / 16
	n := len(tris)
	parts := make([]map[int]bin, (n+sliceBlock-1)/sliceBlock)
	err := par.Blocks(ctx, n, sliceBlock, func(from, to int) {
		var part map[int]bin
		for t := from; t < to; t++ {
			i := tris[t]
			p, q := verts[i[0]], verts[i[1]]
			zp, zq := p.Dot(g.U), q.Dot(g.U)
			if math.Abs(zp-zq) > flat {
				continue
			}
			r := verts[i[2]]
			zr := r.Dot(g.U)
			if max(zp, zq, zr)-min(zp, zq, zr) > flat || !c.sl.Live(t) {
				continue
			}
			area := math.Abs(q.Sub(p).Cross(r.Sub(p)).Dot(g.U)) / 2
			if part == nil {
				part = map[int]bin{}
			}
			k := int((max(zp, zq, zr) - base) * scale)
			b := part[k]
			// The height of the largest face stands for the bin.
			b.h = max(b.h, max(zp, zq, zr))
			if b.area == 0 {
				b.h = max(zp, zq, zr)
			}
			b.area += area
			part[k] = b
		}
		parts[from/sliceBlock] = part
	})
	if err != nil {
		return nil, err
	}
	all := make([]bin, bins+1)
	for _, p := range parts {
		for k, b := range p {
			k = min(max(k, 0), bins)
			if all[k].area == 0 || b.h > all[k].h {
				all[k].h = b.h
			}
			all[k].area += b.area
		}
	}
	least := shelfShare * float64(g.NX) * g.Cell * float64(g.NY) * g.Cell
	all = slices.DeleteFunc(all, func(b bin) bool { return b.area < least })
	slices.SortStableFunc(all, func(a, b bin) int {
		switch {
		case a.area > b.area:
			return -1
		case a.area < b.area:
			return 1
		}
		return 0
	})
	out := make([]float64, 0, shelfCount)
	for _, b := range all[:min(len(all), shelfCount)] {
		out = append(out, b.h)
	}
	// A drawn part has few different heights: take them all.
	few := make([]float64, 0, shelfCount+1)
	for _, v := range verts {
		z := v.Dot(g.U)
		k, found := c.known(few, z)
		if found {
			continue
		}
		if len(few) == shelfCount {
			return out, nil
		}
		few = slices.Insert(few, k, z)
	}
	for _, z := range few {
		if z >= base && z <= top && !slices.ContainsFunc(out, func(h float64) bool { return math.Abs(h-z) <= c.sl.Eps }) {
			out = append(out, z)
		}
	}
	return out, nil
}

// known finds a height in a sorted row, to within eps, and where it would go.
func (c *cutSet) known(row []float64, z float64) (int, bool) {
	k, found := slices.BinarySearch(row, z)
	return k, found || k < len(row) && row[k]-z <= c.sl.Eps || k > 0 && z-row[k-1] <= c.sl.Eps
}

// outlineOf is the perimeter of the convex outline from above: of the hull of
// all sections.
func (c *cutSet) outlineOf() float64 {
	var pts []mesh.Vec2
	for _, s := range c.sections {
		for _, r := range s.rings {
			pts = append(pts, r.hull...)
		}
	}
	return mesh.PerimeterOf(section.Hull(pts))
}

// finest is the least perimeter of a neck that is trusted: two cells, or 1 %
// of the outline's.
func (c *cutSet) finest() float64 { return max(2*c.sl.f.Cell, 0.01*c.outline) }

// entry is the section of one component at one level.
type entry struct {
	hull      []mesh.Vec2
	perimeter float64
}

// member is a component during a sweep: its whole sections at all levels swept
// so far, from its first on.
type member struct {
	id     int32   // any node of it
	first  int     // the level it was first met at
	levels []entry // levels[k-first]; an empty hull where it was not met
	widest int     // the level with the largest perimeter
}

func (m *member) most() float64 { return m.levels[m.widest-m.first].perimeter }

// take merges the levels of o into m.
func (m *member) take(o *member) {
	if o.first < m.first {
		*m, *o = *o, *m
	}
	for k, e := range o.levels {
		m.set(o.first+k, e)
	}
}

// set adds a section at level k.
func (m *member) set(k int, e entry) {
	for m.first+len(m.levels) <= k {
		m.levels = append(m.levels, entry{})
	}
	q := &m.levels[k-m.first]
	switch {
	case len(e.hull) == 0:
		return
	case len(q.hull) == 0:
		*q = e
	default:
		q.hull = section.Coarse(section.Hull(slices.Concat(q.hull, e.hull)))
		q.perimeter = max(mesh.PerimeterOf(q.hull), q.perimeter, e.perimeter)
	}
	if q.perimeter > m.most() {
		m.widest = k
	}
}

// pinch is a pair of levels of one component: a narrow one and a wider one
// that has to pass it.
type pinch struct {
	level, wide  int // indices into the swept sections
	neck, bulge  float64
	id           int32 // a node of the component
	unresolvable bool  // the neck is finer than can be trusted
}

func (p *pinch) ratio() float64 { return p.bulge / p.neck }

// missed is how many cells of height a component may go without a section
// before it counts as ended there: columns and rings may disagree for a while
// near a saddle.
const missed = 3

// sweeper finds, in sections given in the order of a sweep, the component
// whose earlier sections are widest beside its present one.
type sweeper struct {
	secs    []placed
	t       *forest
	node    func(r *ring) int32 // the ring's root in t, -1 = not to be counted
	skip    int32               // a node whose component is left out; -1 = none
	finest  float64             // necks below it are not trusted, mm
	least   float64             // bulges below it do not count, mm
	nudge   float64
	dsu     map[int32]int32 // joined roots
	members map[int32]*member
	stopAt  int // last level to sweep; -1 = all

	worst pinch // largest trusted ratio
	doubt pinch // largest bulge over a neck too fine to trust
}

func (s *sweeper) find(n int32) int32 {
	for {
		p, ok := s.dsu[n]
		if !ok || p == n {
			return n
		}
		n = p
	}
}

// unite joins the components of nodes x and y.
func (s *sweeper) unite(x, y int32) {
	x, y = s.find(x), s.find(y)
	if x == y {
		return
	}
	mx, my := s.members[x], s.members[y]
	switch {
	case mx == nil && my != nil, mx != nil && my != nil && len(my.levels) > len(mx.levels):
		x, y, mx, my = y, x, my, mx
	}
	s.dsu[y] = x
	if my != nil {
		mx.take(my)
		delete(s.members, y)
	}
}

// keyAt is the key of a level: just beyond its cut.
func (s *sweeper) keyAt(l section.Level) float64 {
	return s.t.key(l.Beside(s.nudge))
}

// run sweeps. judge says whether a neck at a level counts.
func (s *sweeper) run(judge func(k int) bool) {
	s.dsu = map[int32]int32{}
	s.members = map[int32]*member{}
	var ids []int32
	for k := range s.secs {
		if s.stopAt >= 0 && k > s.stopAt {
			return
		}
		sec := &s.secs[k]
		key := s.keyAt(sec.Level)
		// Components that have grown together since the last level.
		ids = ids[:0]
		for id := range s.members {
			ids = append(ids, id)
		}
		slices.Sort(ids)
		for _, id := range ids {
			if s.find(id) == id {
				s.unite(s.t.root(id, key), id)
			}
		}
		skip := int32(-1)
		if s.skip >= 0 {
			skip = s.find(s.t.root(s.skip, key))
			delete(s.members, skip)
		}
		for r := range sec.rings {
			g := &sec.rings[r]
			n := s.node(g)
			if n < 0 {
				continue
			}
			if s.t.gaps {
				if s.find(n) == skip {
					continue
				}
			} else {
				for _, o := range g.also {
					s.unite(n, o)
				}
			}
			n = s.find(n)
			m := s.members[n]
			if m == nil {
				m = &member{id: n, first: k, levels: []entry{{}}, widest: k}
				s.members[n] = m
			}
			m.set(k, entry{g.hull, g.perimeter})
		}
		if !judge(k) {
			continue
		}
		ids = ids[:0]
		for id := range s.members {
			ids = append(ids, id)
		}
		slices.Sort(ids)
		for _, id := range ids {
			s.judge(k, id, s.members[id])
		}
	}
}

// judge compares a component's section at level k with its widest.
func (s *sweeper) judge(k int, id int32, m *member) {
	bulge := m.most()
	var neck float64
	met := false
	if i := k - m.first; i < len(m.levels) {
		neck = m.levels[i].perimeter
		met = len(m.levels[i].hull) > 0 // a point has a hull, but no perimeter
	}
	if !met {
		last := m.first + len(m.levels) - 1
		if math.Abs(s.secs[last].H-s.secs[k].H) < missed*s.t.f.Cell {
			return
		}
	}
	if bulge <= neck || bulge < s.least {
		return
	}
	p := pinch{level: k, wide: m.widest, neck: neck, bulge: bulge, id: id}
	// A neck below what can be trusted makes the answer unknown, unless its
	// bulge is as small: then it is the tip of something that fine.
	if neck < s.finest || neck == 0 {
		p.unresolvable = true
		if bulge > s.doubt.bulge && (bulge > 1.25*s.finest || neck < 0.8*s.finest) {
			s.doubt = p
		}
		return
	}
	if s.worst.neck == 0 || p.ratio() > s.worst.ratio()*(1+1e-9) { // of equals the one met first
		s.worst = p
	}
}

// refined is the outcome of refining a pinch.
type refined struct {
	neck, bulge   float64
	neckCut       section.Level
	bulgeCut      section.Level
	neckHull      []mesh.Vec2
	atFirst, null bool // the neck is the sweep's last level; too fine to tell
}

// refineSteps is into how many parts an interval of height is cut in each
// round of refining, and refineRounds how many rounds there are: together a
// pair of heights is found to 1/16³ of the first step.
const (
	refineSteps  = 16
	refineRounds = 3
)

// refine moves the two heights of a pinch to where the perimeters are extreme.
// The sections are those of the sweep, in its order.
func (c *cutSet) refine(ctx context.Context, s *sweeper, p pinch) (refined, error) {
	secs := s.secs
	out := refined{
		neck: p.neck, bulge: p.bulge,
		neckCut: secs[p.level].Level, bulgeCut: secs[p.wide].Level,
		atFirst: p.level == len(secs)-1,
	}
	// A component's node from before the neck, so that it is followed down to
	// any height near it.
	interval := func(k int) (float64, float64) {
		a, b := secs[max(k-1, 0)].H, secs[min(k+1, len(secs)-1)].H
		return min(a, b), max(a, b)
	}
	perimeter := func(sec *placed, root int32, key float64) ([]mesh.Vec2, float64) {
		var pts []mesh.Vec2
		var one float64
		rings := 0
		for r := range sec.rings {
			n := s.node(&sec.rings[r])
			if n < 0 || s.t.root(n, key) != root && s.find(n) != s.find(root) {
				continue
			}
			pts = append(pts, sec.rings[r].hull...)
			one = sec.rings[r].perimeter
			rings++
		}
		switch rings {
		case 0:
			return nil, 0
		case 1:
			return pts, one
		}
		h := section.Hull(pts)
		return h, max(mesh.PerimeterOf(h), one)
	}
	// The forest's root of the component at the neck; rings there tell.
	root := p.id
	search := func(lo, hi float64, least bool) error {
		only := c.sl.Reaching(lo, hi)
		for range refineRounds {
			got, err := c.sl.slice(ctx, c.between(lo, hi, refineSteps, only), only)
			if err != nil {
				return err
			}
			best := -1
			for k := range got {
				sec := &got[k]
				key := s.keyAt(out.neckCut)
				if least {
					key = s.keyAt(sec.Level)
				}
				h, per := perimeter(sec, s.t.root(root, key), key)
				if per == 0 {
					continue
				}
				if least {
					if per < out.neck*(1-1e-9) {
						out.neck, out.neckCut, out.neckHull, best = per, sec.Level, h, k
					}
				} else if per > out.bulge*(1+1e-9) {
					out.bulge, out.bulgeCut, best = per, sec.Level, k
				}
			}
			step := (hi - lo) / refineSteps
			at := out.bulgeCut.H
			if least {
				at = out.neckCut.H
			}
			if best < 0 && step <= 0 {
				break
			}
			lo, hi = max(lo, at-step), min(hi, at+step)
		}
		return nil
	}
	lo, hi := interval(p.level)
	if err := search(lo, hi, true); err != nil {
		return out, err
	}
	lo, hi = interval(p.wide)
	if err := search(lo, hi, false); err != nil {
		return out, err
	}
	if out.neckHull == nil {
		h := out.neckCut.H
		got, err := c.sl.slice(ctx, []section.Level{out.neckCut}, c.sl.Reaching(h-c.sl.Eps, h+c.sl.Eps))
		if err != nil {
			return out, err
		}
		key := s.keyAt(out.neckCut)
		out.neckHull, _ = perimeter(&got[0], s.t.root(root, key), key)
	}
	out.null = out.neck < s.finest
	return out, nil
}

// between returns the cuts to try from lo to hi: an even row, and both sides of
// the heights of the triangles' corners where there are few.
func (c *cutSet) between(lo, hi float64, n int, only []int32) []section.Level {
	cuts := make([]section.Level, 0, 4*n)
	for k := 0; k <= n; k++ {
		cuts = append(cuts, section.JustAbove(lo+(hi-lo)*float64(k)/float64(n)))
	}
	verts, tris := c.sl.Mesh.Vertices(), c.sl.Mesh.Triangles()
	var hs []float64
collect:
	for _, t := range only {
		for _, v := range tris[t] {
			z := verts[v].Dot(c.sl.f.U)
			if z < lo || z > hi {
				continue
			}
			if k, found := c.known(hs, z); !found {
				if len(hs) == 2*n {
					hs = nil
					break collect
				}
				hs = slices.Insert(hs, k, z)
			}
		}
	}
	for _, z := range hs {
		cuts = append(cuts, section.JustBelow(z), section.JustAbove(z))
	}
	slices.SortFunc(cuts, section.Level.Compare)
	return slices.Compact(cuts)
}

// strain is a stretch and where it happens.
type strain struct {
	value       float64
	neck, bulge float64 // perimeters, mm
	at          mesh.Vec
	null        bool // a neck too fine to tell
	last        bool // the neck is the last level of the sweep: the clay line, the parting
}

// stretch sweeps the sections from the top down to the floor.
func (c *cutSet) stretch(ctx context.Context) (strain, error) {
	secs := slices.Clone(c.sections)
	slices.Reverse(secs)
	s := &sweeper{
		secs: secs, t: c.sl.spans, skip: -1, stopAt: -1,
		node:   func(r *ring) int32 { return r.span },
		finest: c.finest(), least: c.finest(), nudge: c.sl.nudge,
	}
	s.run(func(int) bool { return true })
	g := &c.sl.f.Grid
	place := func(k int, id int32) mesh.Vec {
		// The middle of what hangs together there, or of the narrowing itself.
		m := s.members[s.find(id)]
		if m != nil && k-m.first < len(m.levels) && len(m.levels[k-m.first].hull) > 0 {
			p := section.Center(m.levels[k-m.first].hull)
			return g.Point(p.X, p.Y, secs[k].H)
		}
		if m != nil {
			p := section.Center(m.levels[m.widest-m.first].hull)
			return g.Point(p.X, p.Y, secs[k].H)
		}
		return g.Point(0, 0, secs[k].H)
	}
	if s.doubt.bulge > 0 {
		return strain{
			null: true, neck: s.doubt.neck, bulge: s.doubt.bulge,
			at: place(s.doubt.level, s.doubt.id), last: s.doubt.level == len(secs)-1,
		}, nil
	}
	if s.worst.neck == 0 {
		return strain{}, nil
	}
	s.stopAt = s.worst.level
	worst := s.worst
	s.run(func(int) bool { return false })
	r, err := c.refine(ctx, s, worst)
	if err != nil {
		return strain{}, err
	}
	if len(r.neckHull) == 0 {
		return strain{value: r.bulge/r.neck - 1, neck: r.neck, bulge: r.bulge, at: place(worst.level, worst.id), last: r.atFirst}, nil
	}
	p := section.Center(r.neckHull)
	return strain{
		value: r.bulge/r.neck - 1, neck: r.neck, bulge: r.bulge,
		at: g.Point(p.X, p.Y, r.neckCut.H), null: r.null, last: r.atFirst && r.neckCut.H <= c.floor+2*c.sl.Eps,
	}, nil
}

// comfortable is the stretch that even a hard rubber takes without thinking;
// below it a small mouth is not worth a word. From memory, no source.
const comfortable = 0.15

// roundingStretch is what rounding alone may make of a straight wall.
const roundingStretch = 1e-6

// stretch finds how far a closed ring of rubber must stretch to pass over the
// pattern. For a mold on a baseboard the pattern leaves through the clay line;
// for two halves each lets go through the parting; a mold that is cut open has
// no closed ring.
func stretch(ctx context.Context, a *analysis) error {
	zero := 0.0
	if a.Mold == Cut {
		a.rep.Stretch = &zero
		return nil
	}
	sets, err := a.cutAll(ctx)
	if err != nil {
		return err
	}
	var worst strain
	for k, c := range sets {
		w, err := c.stretch(ctx)
		if err != nil {
			return err
		}
		if k == 0 || w.null && !worst.null || w.null == worst.null && w.value > worst.value {
			worst = w
		}
	}
	at := worst.at.Array()
	if worst.null {
		a.rep.StretchClay = a.OnBoard() && worst.last
		a.rep.StretchAt = &at
		a.rep.Findings.Add(a.fineNeck(worst))
		return nil
	}
	a.rep.Stretch = &worst.value
	if worst.value <= roundingStretch {
		a.rep.Stretch = &zero
		return nil
	}
	a.rep.StretchAt = &at
	a.rep.StretchNeck, a.rep.StretchBulge = &worst.neck, &worst.bulge
	a.rep.StretchClay = a.OnBoard() && worst.last
	if a.rep.StretchClay && worst.value > comfortable {
		a.rep.Findings.Add(finding.Finding{
			Code: finding.SmallMouth, Severity: finding.Caution,
			Summary: fmt.Sprintf("the pattern is narrowest where it meets the board: it measures %s round at the clay line and %s round further up", mm(worst.neck), mm(worst.bulge)),
			Effect:  fmt.Sprintf("the mouth of the mold is too small: it must stretch by %.0f %% for every casting", 100*worst.value),
			Hint:    "give the pattern a foot as wide as its body, or stand it on another side",
			At:      &at,
		})
	}
	return nil
}

// fineNeck words a neck that no figure can be given for.
func (a *analysis) fineNeck(w strain) finding.Finding {
	at := w.at.Array()
	f := finding.Finding{Code: finding.FineNeck, Severity: finding.Stop, At: &at}
	if a.OnBoard() && w.last {
		f.Summary = fmt.Sprintf("the pattern barely touches the board: it measures %s round at the clay line and %s round further up", mm(w.neck), mm(w.bulge))
		f.Effect = "the mouth of the mold is too small: the rubber closes round the pattern and cannot stretch over it"
		f.Hint = "give the pattern a foot, stand it on another side, or raise the clay with --clay"
		return f
	}
	if w.neck == 0 {
		f.Summary = fmt.Sprintf("a part %s round hangs free: nothing joins it to what is below", mm(w.bulge))
		f.Effect = "the rubber closes round it and holds it fast"
		f.Hint = "join it to the pattern, mold it by itself, or cut the mold open there"
		return f
	}
	f.Summary = fmt.Sprintf("a neck only %s round carries a part %s round", mm(w.neck), mm(w.bulge))
	f.Effect = "how far the rubber must stretch there cannot be told; the neck or the rubber will break"
	f.Hint = "thicken the neck, mold that part by itself, or cut the mold open there"
	return f
}
