package demold

import (
	"context"
	"errors"
	"fmt"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/solid"
)

// analysis is one question to one solid: what the parts of Analyze share.
// Heights are p·u in the file's own axes, mm.
type analysis struct {
	s *solid.Solid
	u mesh.Vec
	f *dexel.Field
	o Options

	base, top float64 // heights of the lowest and the highest point of S
	clay      float64 // height of the clay fillet above the base, mm; 0 for two-part and cut
	ignore    float64 // undercuts shallower than this are noise, mm
	size      float64 // the pattern's largest size, mm
	eps       float64 // heights closer than this are one, mm

	rubber *rubberSpace
	cuts   cutCache // what stretch, squeeze, mouth and tunnels share
	rep    *Report

	// parting is the height of the flat parting, for molds that have one.
	parting float64

	// halves are the shadows: one for a block, the upper and the lower half
	// for molds that part.
	halves []*half
}

// half is the undercut of one half of the mold.
type half struct {
	*shadow
	up    mesh.Vec // the way this half lifts off
	res   pathResult
	label []int32 // per gap: region + 1, 0 = none
	first int     // number of the half's first region in the report
}

// clayLine is the height below which clay, not rubber, meets the pattern. For
// molds without a baseboard it is the base itself.
func (a *analysis) clayLine() float64 { return a.base + a.clay }

// onBoard reports whether there is a base plane.
func (a *analysis) onBoard() bool { return a.o.Mold.OnBoard() }

// ClayDefault is the height of the clay fillet for a pattern of the given
// height, mm: 1 % of it, at least 0.5 and at most 3 mm, and never over 5 % of
// it. Common practice, no source.
func ClayDefault(height float64) float64 {
	return min(max(0.01*height, 0.5), 3, 0.05*height)
}

// DefaultIgnore is the depth under which an undercut is surface noise, mm:
// about what a brushed release and the softest skin of rubber forgive. Common
// practice, no source.
const DefaultIgnore = 0.3

// Resolution of the column field. 512 columns over the largest size put a
// depth's error at a fifth of a per cent of it; small footprints get as many
// columns as large ones, because that costs no more.
const (
	cellsOverSize = 512
	autoColumns   = 250_000
	maxColumns    = 6_000_000
)

// Analyze answers how a mold of kind o.Mold, lifted along up, lets go of the
// solid. up need not have length 1. The error is about the arguments or the
// context; whatever is wrong with the pattern is a finding. The result does
// not depend on GOMAXPROCS. Time goes with the triangles once and with the
// columns (about 300 thousand at automatic resolution).
func Analyze(ctx context.Context, s *solid.Solid, up mesh.Vec, o Options) (*Report, error) {
	if s == nil {
		return nil, errors.New("demold: no solid")
	}
	a := o.Kept.take(s, up, o)
	known := a != nil
	if !known {
		var err error
		if a, err = newAnalysis(ctx, s, up, o); err != nil {
			return nil, fmt.Errorf("demold: %w", err)
		}
	}
	steps := []struct {
		name string
		run  func(ctx context.Context, a *analysis) error
		more bool // nothing that a verdict rests on
	}{
		{"undercuts", findUndercuts, false},
		{"tunnels", tunnels, false},
		{"passages", passages, true},
		{"stretch", stretch, false},
		{"squeeze", squeeze, false},
		{"surface", judgeSurface, false},
		{"webs", judgeWebs, true},
		{"thin", findThin, true},
		{"air", findAir, true},
	}
	for n, st := range steps {
		if o.Progress != nil {
			o.Progress("demold: "+st.name, n, len(steps))
		}
		if n == 0 && known || st.more && o.Brief {
			continue
		}
		if err := st.run(ctx, a); err != nil {
			return nil, fmt.Errorf("demold: %s: %w", st.name, err)
		}
	}
	mouth(a)
	if o.Brief {
		return a.rep, nil
	}
	if err := partingLine(ctx, a); err != nil {
		return nil, fmt.Errorf("demold: parting line: %w", err)
	}
	if err := halves(ctx, a); err != nil {
		return nil, fmt.Errorf("demold: halves: %w", err)
	}
	if err := seams(ctx, a); err != nil {
		return nil, fmt.Errorf("demold: seam: %w", err)
	}
	a.tell()
	a.rep.Findings.Sort()
	if o.Progress != nil {
		o.Progress("demold", len(steps), len(steps))
	}
	return a.rep, nil
}

// newAnalysis settles frame, heights, clay and field.
func newAnalysis(ctx context.Context, s *solid.Solid, up mesh.Vec, o Options) (*analysis, error) {
	u := up.Unit()
	if !u.IsFinite() || u == (mesh.Vec{}) {
		return nil, errors.New("up is not a direction")
	}
	switch o.Mold {
	case "":
		o.Mold = Block
	case Block, TwoPart, Cut, Blanket:
	default:
		return nil, fmt.Errorf("unknown kind of mold %q", o.Mold)
	}
	a := &analysis{s: s, u: u, o: o, rep: &Report{}, ignore: DefaultIgnore}
	if o.Ignore != nil {
		a.ignore = *o.Ignore
	}
	if !(a.ignore >= 0) || math.IsInf(a.ignore, 0) {
		return nil, errors.New("ignore is not a length")
	}
	lo, hi := mesh.V(math.Inf(1), math.Inf(1), math.Inf(1)), mesh.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	a.base, a.top = math.Inf(1), math.Inf(-1)
	m := s.Surface()
	verts := m.Vertices()
	for t, tri := range m.Triangles() {
		if t&(1<<16-1) == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if !s.Live(t) {
			continue
		}
		for _, i := range tri {
			v := verts[i]
			lo, hi = lo.Min(v), hi.Max(v)
			h := v.Dot(u)
			a.base, a.top = min(a.base, h), max(a.top, h)
		}
	}
	if a.base > a.top {
		return nil, errors.New("the solid has no surface")
	}
	d := hi.Sub(lo)
	a.size = max(d.X, d.Y, d.Z)
	height := a.top - a.base
	// A hollow of a millionth of the height under the base is rounding.
	a.eps = max(1e-6*height, 1e-9*a.size)
	if a.onBoard() {
		a.clay = ClayDefault(height)
		if o.Clay != nil {
			a.clay = *o.Clay
		}
		if !(a.clay >= 0) || a.clay > height {
			return nil, errors.New("the clay is not a height within the pattern")
		}
	}
	g, err := a.grid()
	if err != nil {
		return nil, err
	}
	if a.f, err = s.Field(ctx, g); err != nil {
		return nil, err
	}
	a.rep.Field = a.f
	a.rep.Clay = a.clay
	a.rep.Resolution = g.Cell
	// A depth runs between two places that are each sampled to within a cell;
	// the turned grid meets every edge at all offsets, so the errors do not
	// add up one way.
	a.rep.Uncertainty = g.Cell
	return a, nil
}

// grid chooses cell and turn of the field. The grid is turned against the
// pattern's own walls: over an aligned one a flat wall lies between the same
// two columns all along, and every figure is biased by part of a cell.
func (a *analysis) grid() (dexel.Grid, error) {
	m := a.s.Surface()
	skip := func(t int) bool { return !a.s.Live(t) }
	yaw, w, l := a.turn()
	cell := a.o.Resolution
	if cell < 0 || math.IsNaN(cell) || math.IsInf(cell, 0) {
		return dexel.Grid{}, errors.New("the resolution is not a length")
	}
	if cell == 0 {
		cell = min(a.size/cellsOverSize, math.Sqrt(w*l/autoColumns))
		if !(cell > a.size/16384) {
			cell = a.size / 16384
		}
	}
	if n := (w/cell + 5) * (l/cell + 5); n > maxColumns {
		if a.o.Resolution > 0 {
			return dexel.Grid{}, fmt.Errorf("a resolution of %g mm asks for %.0f million columns; the most is %d million", cell, n/1e6, maxColumns/1_000_000)
		}
		cell *= math.Sqrt(n / maxColumns)
	}
	return dexel.GridAlong(m, a.u, cell, yaw, 2, skip), nil
}

// turn returns the turn of the grid about u and the extents it gives. It is
// the turn of the least rectangle of a coarse search, and from there as far as
// the grid does not grow much.
func (a *analysis) turn() (yaw, w, l float64) {
	e1, e2 := mesh.Basis(a.u)
	verts := a.s.Surface().Vertices()
	tris := a.s.Surface().Triangles()
	stride := max(1, len(tris)/20_000)
	extent := func(t float64) (w, l float64) {
		sin, cos := math.Sincos(t)
		x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
		for n := 0; n < len(tris); n += stride {
			if !a.s.Live(n) {
				continue
			}
			v := verts[tris[n][n%3]]
			p, q := v.Dot(e1), v.Dot(e2)
			x, y := p*cos+q*sin, q*cos-p*sin
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
		}
		return max(x1-x0, 0), max(y1-y0, 0)
	}
	best := math.Inf(1)
	var least float64
	for n := range 18 {
		t := float64(n) * math.Pi / 36
		if w, l := extent(t); w*l < best {
			best, least = w*l, t
		}
	}
	for _, d := range [...]float64{0.3737, 0.2113, 0.1097, 0.0517, 0.0231, 0.0109, 0.0047, 0.0019} {
		if w, l = extent(least + d); w*l <= 1.5*best {
			return least + d, w, l
		}
	}
	w, l = extent(least)
	return least, w, l
}

// point is the place of a column's axis at a height, in the file's frame.
func (a *analysis) point(f *dexel.Field, i, j int, z float64) *[3]float64 {
	x, y := f.Center(i, j)
	p := f.Point(x, y, z).Array()
	return &p
}

// findUndercuts fills the rubber space and all that follows from the columns:
// volume, depth, path and regions.
func findUndercuts(ctx context.Context, a *analysis) error {
	if !a.onBoard() {
		return a.findParted(ctx)
	}
	a.rubber = newRubberSpace(a.f, a.base, a.clayLine(), a.eps, a.raggedBottom())
	a.rep.Pockets, a.rep.ClayFill = a.rubber.pockets, a.rubber.clayFill
	sh := newShadow(a.f, a.rubber, a.clayLine(), a.base, a.eps)
	h := &half{shadow: sh, up: a.u}
	if err := h.solve(ctx, a); err != nil {
		return err
	}
	a.halves = []*half{h}
	a.sum()
	return nil
}

// rise is how high a dimple may be in which rubber counts as free though the
// section at its height is shut: surface noise, and what the field cannot
// tell apart.
func (a *analysis) rise() float64 { return max(a.ignore, a.f.Cell/2) }

// narrow is the width of a passage that is no way out, mm.
func (a *analysis) narrow() float64 {
	if a.ignore == 0 {
		return 0
	}
	return web
}

func (h *half) solve(ctx context.Context, a *analysis) error {
	if err := h.find(ctx); err != nil {
		return err
	}
	var err error
	h.res, err = h.paths(ctx, a.rise(), a.narrow())
	return err
}

// sum puts the halves' figures together in the report.
func (a *analysis) sum() {
	r := a.rep
	path, locked := 0.0, false
	for _, h := range a.halves {
		r.UndercutVolume += h.volume()
		if d, i, j, k := h.deepest(); d > r.UndercutDepth {
			lo, _, _ := h.piece(h.f.Column(i, j), h.f.Offset(i, j), k)
			r.UndercutDepth, r.UndercutDepthAt = d, a.point(h.f, i, j, lo)
		}
		if h.res.locked && !locked {
			locked = true
			r.UndercutPathAt = a.point(h.f, h.res.lockAt[0], h.res.lockAt[1], h.res.lockH)
		}
		if h.res.deepest > path {
			path = h.res.deepest
			if !locked {
				r.UndercutPathAt = a.point(h.f, h.res.at[0], h.res.at[1], h.res.atH)
			}
		}
		v, open := h.lockedVolume()
		r.LockedVolume += v
		r.FreePath = max(r.FreePath, open)
	}
	if !locked {
		r.UndercutPath = &path
	}
}

// lockedVolume is the volume of the gaps that have rubber without a way out,
// and the deepest path among the others.
func (h *half) lockedVolume() (vol, deepest float64) {
	for j := range h.f.NY {
		var row float64
		for i := range h.f.NX {
			col, off := h.f.Column(i, j), h.f.Offset(i, j)
			for k := range col {
				p := float64(h.path[off+k])
				if math.IsInf(p, 1) {
					lo, hi, _ := h.piece(col, off, k)
					row += hi - lo
				} else {
					deepest = max(deepest, p)
				}
			}
		}
		vol += row
	}
	return vol * h.f.Cell * h.f.Cell, deepest
}

// raggedBottom returns what tells the patches that close an open bottom
// standing on the board: of a connected patch whose rim reaches the clay, the
// triangles that face down. nil where there are none.
func (a *analysis) raggedBottom() func(tri int32) bool {
	m := a.s.Surface()
	n := m.NumTriangles()
	first := n
	for first > 0 && a.s.Patch(first-1) {
		first--
	}
	if first == n {
		return nil
	}
	// Patches that share a vertex are one.
	set := map[int32]int32{} // looked up, never ranged over
	var join disjoint.Sets
	tris, verts := m.Triangles(), m.Vertices()
	for _, t := range tris[first:] {
		for _, v := range t {
			if _, ok := set[v]; !ok {
				set[v] = join.Add()
			}
		}
		join.Join(set[t[0]], set[t[1]])
		join.Join(set[t[0]], set[t[2]])
	}
	low := make([]float64, len(join))
	for k := range low {
		low[k] = math.Inf(1)
	}
	for _, t := range tris[first:] {
		for _, v := range t {
			r := join.Find(set[v])
			low[r] = min(low[r], verts[v].Dot(a.u))
		}
	}
	bottom := make([]bool, n-first)
	for k, t := range tris[first:] {
		bottom[k] = low[join.Find(set[t[0]])] <= a.clayLine()+a.eps
	}
	return func(tri int32) bool { return int(tri) >= first && bottom[int(tri)-first] }
}
