package demold

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/solid"
)

// StandOptions of Stand. The zero value stands the pattern by itself for a
// block mold.
type StandOptions struct {
	Up     *mesh.Vec // the side that faces up, given by hand; nil = find it
	FileUp *mesh.Vec // the file's declared up, a candidate; nil = none, +Z then breaks ties
	Mold   Mold      // "" = Block
	Clay   *float64  // as in Options, mm
	Ignore *float64  // as in Options, mm
	Search bool      // try directions over the whole sphere
	// Show is the outward direction of the face that no parting may cross
	// (and that must not lie on the board); nil = none.
	Show     *mesh.Vec
	Progress func(stage string, done, total int)
	// Kept, if not nil, keeps what a search has measured of the way up that it
	// chose, for Analyze.
	Kept *Kept
}

// Kept is what Stand has measured already and hands on to Analyze, by the
// options of both. It is good for one analysis. The zero value holds nothing.
type Kept struct{ a *analysis }

// take returns the analysis kept for just this question, or nil, and forgets
// it.
func (k *Kept) take(s *solid.Solid, up mesh.Vec, o Options) *analysis {
	if k == nil || k.a == nil {
		return nil
	}
	a := k.a
	k.a = nil
	same := func(x, y *float64) bool { return x == y || x != nil && y != nil && *x == *y }
	if o.Mold == "" {
		o.Mold = Block
	}
	if a.s != s || a.u != up.Unit() || a.o.Mold != o.Mold || o.Resolution != 0 || o.Parting != nil || !same(a.o.Clay, o.Clay) || !same(a.o.Ignore, o.Ignore) {
		return nil
	}
	a.o = o
	return a
}

// candidate is one way to stand.
type candidate struct {
	trial
	why     string  // where the direction comes from, in words
	rests   bool    // a side the pattern rests on by itself
	open    bool    // stands on the open side of a scan
	given   int     // 0 the file's own up, 1.. in order of the axes, then the rest
	contact float64 // plain surface in the base plane, mm²
	rubber  float64 // what a plain box round it would take, mm³; for ties only
}

// plain is how much of the side that faces the board is plain contact: contact
// as a share of the outline, less the share of all surface that is lost
// in hollows on the board.
func (c *candidate) plain(area float64) float64 {
	if c.shadow <= 0 {
		return 0
	}
	return c.contact/c.shadow - c.pocket/area
}

// Tolerances of the choice. Common practice, no source.
const (
	// realContact is the share of the outline that must lie on the board for
	// the pattern to stand on it: less is a few high spots.
	realContact = 0.05
	// plainTie is how near two plain shares count as equally plain; what
	// lies between is left to the score.
	plainTie = 0.1
	// lostTie is the share of the surface that may be lost without a word.
	lostTie = 1e-3
	// rubberTie is how near two amounts of rubber are equal, relatively.
	rubberTie = 0.01
	// roughContact is the height above the base plane, as a share of the
	// largest size, up to which a face is taken to lie on the board when ways
	// to stand are compared: a scan's flat foot is that rough.
	roughContact = 3e-3
	// fineContact is the same for the contact that is reported.
	fineContact = 5e-4
	// openShare is the least share of the surface that an open side has.
	openShare = 0.02
)

// roughAngle and fineAngle are how far from level a face in contact may lean.
var (
	roughAngle = math.Cos(25 * math.Pi / 180)
	fineAngle  = math.Cos(10 * math.Pi / 180)
)

// Stand finds which side of the pattern faces up and says why. It considers the
// sides the pattern can rest on, the six axes and the file's own up; it prefers
// standing on the open side of a scan, then real, plain contact with the board,
// the plainest side down, then the least deep path, then the least rubber.
// dirs are the directions that were tried, best first; with Search those over
// the whole sphere, and then the best of all is chosen. Directions are judged on
// a coarse stand-in of some 30 thousand triangles.
//
// The error is about the arguments or the context.
func Stand(ctx context.Context, s *solid.Solid, o StandOptions) (up mesh.Vec, pose *Pose, dirs []Direction, err error) {
	fail := func(err error) (mesh.Vec, *Pose, []Direction, error) {
		return mesh.Vec{}, nil, nil, fmt.Errorf("demold: standing the pattern: %w", err)
	}
	if s == nil {
		return fail(errors.New("no solid"))
	}
	switch o.Mold {
	case "":
		o.Mold = Block
	case Block, TwoPart, Cut, Blanket:
	default:
		return fail(fmt.Errorf("unknown kind of mold %q", o.Mold))
	}
	for _, v := range []*mesh.Vec{o.Up, o.FileUp, o.Show} {
		if v != nil && (!v.IsFinite() || v.Unit() == mesh.Vec{}) {
			return fail(errors.New("that is not a direction"))
		}
	}
	if o.Up != nil && !o.Search {
		u := o.Up.Unit()
		p, err := measurePose(ctx, s, u, o.Mold, "as asked")
		if err != nil {
			return fail(err)
		}
		return u, p, nil, nil
	}
	p, err := newProxy(ctx, s)
	if err != nil {
		return fail(err)
	}
	st := &stand{s: s, p: p, o: o}
	if err := st.candidates(ctx); err != nil {
		return fail(err)
	}
	if err := st.judge(ctx); err != nil {
		return fail(err)
	}
	var reason string
	switch {
	case o.Search:
		if dirs, reason, err = st.search(ctx); err != nil {
			return fail(err)
		}
		up = mesh.V(dirs[0].Up[0], dirs[0].Up[1], dirs[0].Up[2])
		if o.Up != nil {
			up, reason = o.Up.Unit(), "as asked"
		}
	default:
		best, why := st.choose()
		up, reason = best.up, why
		dirs = st.table(best)
	}
	pose, err = measurePose(ctx, s, up, o.Mold, reason)
	if err != nil {
		return fail(err)
	}
	return up, pose, dirs, nil
}

// stand is one question of which side is up.
type stand struct {
	s     *solid.Solid
	p     *proxy
	o     StandOptions
	cands []*candidate
}

func (st *stand) progress(stage string, done, total int) {
	if st.o.Progress != nil {
		st.o.Progress(stage, done, total)
	}
}

// options of the coarse trials.
func (st *stand) options() Options {
	return Options{Mold: st.o.Mold, Clay: st.o.Clay, Ignore: st.o.Ignore}
}

// snap is the angle within which a direction is taken to be one already there.
var snap = math.Cos(0.1 * math.Pi / 180)

// add takes in a direction unless it is there already.
func (st *stand) add(u mesh.Vec, why string) *candidate {
	for _, c := range st.cands {
		if c.up.Dot(u) >= snap {
			return c
		}
	}
	c := &candidate{trial: trial{up: u}, why: why, given: len(st.cands)}
	st.cands = append(st.cands, c)
	return c
}

// maxResting bounds the resting sides that are tried; the largest go first.
const maxResting = 12

// candidates lists the directions: the file's own up, the axes, the sides the
// pattern rests on, the open sides of a scan.
func (st *stand) candidates(ctx context.Context) error {
	first := mesh.V(0, 0, 1)
	why := "the file's up (+z)"
	if st.o.FileUp != nil {
		first = st.o.FileUp.Unit()
		why = "the file's own up"
	}
	st.add(first, why)
	for _, a := range []struct {
		u    mesh.Vec
		name string
	}{
		{mesh.V(0, 0, 1), "+z"}, {mesh.V(0, 0, -1), "-z"}, {mesh.V(0, 1, 0), "+y"},
		{mesh.V(0, -1, 0), "-y"}, {mesh.V(1, 0, 0), "+x"}, {mesh.V(-1, 0, 0), "-x"},
	} {
		st.add(a.u, a.name+" up")
	}
	for k, op := range st.s.Openings {
		if k == 3 || !st.o.Mold.OnBoard() || op.Area < openShare*st.p.area {
			break
		}
		u := op.Normal.Neg()
		if u.Dot(first) < -math.Sqrt2/2 {
			continue // the top of a vessel: open or closed is another question
		}
		if !u.IsFinite() || u == (mesh.Vec{}) {
			continue
		}
		st.add(u.Unit(), "its open side down").open = true
	}
	sides, err := st.resting(ctx)
	if err != nil {
		return err
	}
	for k, u := range sides {
		if k == maxResting {
			break
		}
		st.add(u, "a side it rests on").rests = true
	}
	return nil
}

// resting returns the up directions of the sides of the convex hull that carry
// the centre of mass, largest side first.
func (st *stand) resting(ctx context.Context) ([]mesh.Vec, error) {
	h, err := mesh.Hull3(ctx, st.p.m.Vertices())
	if errors.Is(err, mesh.ErrFlat) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	type facet struct {
		n    mesh.Vec
		area float64
	}
	facets := make([]facet, 0, h.NumTriangles())
	for t := range h.NumTriangles() {
		a, b, c := h.Corners(t)
		n := b.Sub(a).Cross(c.Sub(a))
		if l := n.Len(); l > 0 {
			facets = append(facets, facet{n.Mul(1 / l), l / 2})
		}
	}
	slices.SortStableFunc(facets, func(a, b facet) int {
		switch {
		case a.area > b.area:
			return -1
		case a.area < b.area:
			return 1
		}
		return 0
	})
	// A side is all facets within a degree of its largest; small ones round a
	// rounding belong to none and are too many to try.
	const maxFacets = 400
	near := math.Cos(math.Pi / 180)
	tol := roughContact * st.p.size
	type side struct {
		up   mesh.Vec
		area float64
	}
	var sides []side
	for k, f := range facets {
		if k == maxFacets {
			break
		}
		if slices.ContainsFunc(sides, func(s side) bool { return s.up.Dot(f.n) <= -near }) {
			continue
		}
		var n mesh.Vec
		for _, g := range facets {
			if g.n.Dot(f.n) >= near {
				n = n.Add(g.n.Mul(g.area))
			}
		}
		n = n.Unit()
		up := n.Neg()
		e1, e2 := mesh.Basis(up)
		low := math.Inf(1)
		for _, v := range h.Vertices() {
			low = min(low, v.Dot(up))
		}
		var foot []mesh.Vec2
		for _, v := range h.Vertices() {
			if v.Dot(up) <= low+tol {
				foot = append(foot, mesh.Vec2{X: v.Dot(e1), Y: v.Dot(e2)})
			}
		}
		foot = mesh.Hull2(foot)
		if len(foot) < 3 || !holds(foot, mesh.Vec2{X: st.p.com.Dot(e1), Y: st.p.com.Dot(e2)}) {
			continue
		}
		sides = append(sides, side{up, mesh.AreaOf(foot)})
	}
	slices.SortStableFunc(sides, func(a, b side) int {
		switch {
		case a.area > b.area:
			return -1
		case a.area < b.area:
			return 1
		}
		return 0
	})
	out := make([]mesh.Vec, len(sides))
	for k, s := range sides {
		out[k] = s.up
	}
	return out, nil
}

// holds reports whether a counterclockwise convex polygon contains p.
func holds(poly []mesh.Vec2, p mesh.Vec2) bool {
	for i, a := range poly {
		if poly[(i+1)%len(poly)].Sub(a).Cross(p.Sub(a)) < 0 {
			return false
		}
	}
	return true
}

// trialColumns is how many columns lie across the largest size in a coarse
// trial: a depth is good to about 1 % of the size.
const trialColumns = 96

// judge tries every candidate.
func (st *stand) judge(ctx context.Context) error {
	errs := make([]error, len(st.cands))
	err := blocks(ctx, len(st.cands), 1, func(_, k, _ int) {
		c := st.cands[k]
		f, base, top, err := st.p.field(ctx, c.up, trialColumns)
		if err == nil {
			c.trial, err = st.p.tryField(ctx, f, base, top, st.options())
		}
		errs[k] = err
	})
	if err == nil {
		err = errors.Join(errs...)
	}
	if err != nil {
		return err
	}
	if st.o.Mold.OnBoard() {
		ups := make([]mesh.Vec, len(st.cands))
		for k, c := range st.cands {
			ups[k] = c.up
		}
		got, err := contacts(ctx, st.s, ups, roughContact*st.p.size, roughAngle)
		if err != nil {
			return err
		}
		for k, c := range st.cands {
			c.contact = got[k]
		}
	}
	for _, c := range st.cands {
		hull := mesh.OutlinePoints(st.p.m, nil, c.up)
		// Rubber all round as it is commonly planned: a tenth of the size, at
		// least 6 and at most 25 mm. Common practice, no source; for ties only.
		wall := min(max(st.p.size/10, 6), 25)
		r := mesh.MinRectGrown(hull, wall, 0)
		h := c.height + wall
		if !st.o.Mold.OnBoard() {
			h += wall
		}
		c.rubber = r.Length*r.Width*h - st.p.vol
	}
	return nil
}

// contacts returns, for each way up, the area of the surface in the base plane:
// of the faces that look down to within an angle and lie no higher than tol.
func contacts(ctx context.Context, s *solid.Solid, ups []mesh.Vec, tol, cos float64) ([]float64, error) {
	m := s.Surface()
	verts, tris := m.Vertices(), m.Triangles()
	base, err := bases(ctx, s, ups)
	if err != nil {
		return nil, err
	}
	nb := (len(tris) + sliceBlock - 1) / sliceBlock
	part := make([][]float64, nb)
	err = blocks(ctx, len(tris), sliceBlock, func(_, from, to int) {
		sum := make([]float64, len(ups))
		for t := from; t < to; t++ {
			if !s.Live(t) {
				continue
			}
			i := tris[t]
			a, b, c := verts[i[0]], verts[i[1]], verts[i[2]]
			for k, u := range ups {
				limit := base[k] + tol
				if a.Dot(u) > limit || b.Dot(u) > limit || c.Dot(u) > limit {
					continue
				}
				n := b.Sub(a).Cross(c.Sub(a))
				if !s.Outward(t) {
					n = n.Neg()
				}
				if l := n.Len(); -n.Dot(u) >= cos*l {
					sum[k] += l / 2
				}
			}
		}
		part[from/sliceBlock] = sum
	})
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(ups))
	for _, p := range part {
		for k, x := range p {
			out[k] += x
		}
	}
	return out, nil
}

// bases returns the least height of the surface along each direction.
func bases(ctx context.Context, s *solid.Solid, ups []mesh.Vec) ([]float64, error) {
	m := s.Surface()
	verts, tris := m.Vertices(), m.Triangles()
	all := true
	for t := range tris {
		if !s.Live(t) {
			all = false
			break
		}
	}
	out := make([]float64, len(ups))
	for k := range out {
		out[k] = math.Inf(1)
	}
	n := len(verts)
	if !all {
		n = len(tris)
	}
	nb := (n + sliceBlock - 1) / sliceBlock
	part := make([][]float64, nb)
	err := blocks(ctx, n, sliceBlock, func(_, from, to int) {
		low := make([]float64, len(ups))
		for k := range low {
			low[k] = math.Inf(1)
		}
		for q := from; q < to; q++ {
			if all {
				for k, u := range ups {
					low[k] = min(low[k], verts[q].Dot(u))
				}
				continue
			}
			if !s.Live(q) {
				continue
			}
			for _, v := range tris[q] {
				for k, u := range ups {
					low[k] = min(low[k], verts[v].Dot(u))
				}
			}
		}
		part[from/sliceBlock] = low
	})
	if err != nil {
		return nil, err
	}
	for _, p := range part {
		for k, x := range p {
			out[k] = min(out[k], x)
		}
	}
	return out, nil
}

// better compares two directions by score: deepest path (locked last), within
// the uncertainty by undercut volume, then by height, then by what is lost in
// hollows on the board. 0 = equal.
func (t *trial) better(o *trial) int {
	li, lj := math.IsInf(t.path, 1), math.IsInf(o.path, 1)
	tie := max(t.resolved, o.resolved)
	switch {
	case li != lj:
		if lj {
			return 1
		}
		return -1
	case !li && t.path < o.path-tie:
		return 1
	case !li && t.path > o.path+tie:
		return -1
	}
	// Volumes of a coarse field are good to about a cell over the surface; a
	// hundredth of the larger is taken for equal.
	if d, e := t.volume-o.volume, 0.01*max(t.volume, o.volume); d < -e {
		return 1
	} else if d > e {
		return -1
	}
	if d, e := t.height-o.height, 1e-3*max(t.height, o.height); d < -e {
		return 1
	} else if d > e {
		return -1
	}
	// Upside down a hollow is shut by the board: nothing locks, but nothing
	// of it is molded either.
	if d, e := t.pocket-o.pocket, 0.01*max(t.pocket, o.pocket); d < -e {
		return 1
	} else if d > e {
		return -1
	}
	return 0
}

// choose picks the way to stand and says in words what decided, step by step.
func (st *stand) choose() (*candidate, string) {
	left := st.allowed()
	var why []string
	keep := func(ok func(c *candidate) bool, reason string) {
		var in []*candidate
		for _, c := range left {
			if ok(c) {
				in = append(in, c)
			}
		}
		if len(in) > 0 && len(in) < len(left) {
			left = in
			why = append(why, reason)
		}
	}
	if st.o.Mold.OnBoard() {
		keep(func(c *candidate) bool { return c.open }, "the open side of the scan is its bottom")
		if !left[0].open {
			real := func(c *candidate) bool { return c.contact >= realContact*c.shadow }
			keep(real, "it stands on a real, flat side")
			if real(left[0]) {
				best := math.Inf(-1)
				for _, c := range left {
					best = max(best, c.plain(st.p.area))
				}
				keep(func(c *candidate) bool { return c.plain(st.p.area) >= best-plainTie }, "a plain side is down")
			}
		}
	}
	// The score is not transitive within its ties: take the one that none
	// beats, in order, then those equal to it.
	best := left[0]
	for _, c := range left[1:] {
		if c.byPath(best) > 0 {
			best = c
		}
	}
	keep(func(c *candidate) bool { return c.byPath(best) >= 0 }, "the rubber has the shortest way out")
	least := math.Inf(1)
	for _, c := range left {
		least = min(least, c.pocket)
	}
	keep(func(c *candidate) bool { return c.pocket <= least+lostTie*st.p.area }, "the least detail is lost on the board")
	least = math.Inf(1)
	for _, c := range left {
		least = min(least, c.rubber)
	}
	keep(func(c *candidate) bool { return c.rubber <= least+rubberTie*math.Abs(least) }, "it takes the least rubber")
	slices.SortStableFunc(left, func(a, b *candidate) int { return a.given - b.given })
	if len(left) > 1 || len(why) == 0 {
		why = append(why, left[0].why+" is as good as any")
	}
	return left[0], strings.Join(why, "; of those ways, ")
}

// byPath is better without height and hollows.
func (c *candidate) byPath(o *candidate) int {
	a, b := c.trial, o.trial
	a.height, b.height, a.pocket, b.pocket = 0, 0, 0, 0
	return a.better(&b)
}

// allowed drops the directions that the show side forbids, unless none is left.
func (st *stand) allowed() []*candidate {
	var in []*candidate
	for _, c := range st.cands {
		if st.shows(c.up) {
			in = append(in, c)
		}
	}
	if len(in) == 0 {
		return slices.Clone(st.cands)
	}
	return in
}

// direction puts a trial into the report's form.
func (t *trial) direction(reason string) Direction {
	d := Direction{Up: t.up.Array(), Depth: t.depth, Volume: t.volume, Stretch: t.stretch, Reason: reason}
	if !math.IsInf(t.path, 1) {
		p, q := t.path, t.path
		d.Path, d.Score = &p, &q
	}
	return d
}

// table lists the candidates, the chosen one first, then by score.
func (st *stand) table(first *candidate) []Direction {
	rest := make([]*candidate, 0, len(st.cands))
	for _, c := range st.allowed() {
		if c != first {
			rest = append(rest, c)
		}
	}
	sortTrials(rest, func(c *candidate) *trial { return &c.trial })
	out := []Direction{first.direction(first.why)}
	for _, c := range rest {
		out = append(out, c.direction(c.why))
	}
	return out
}

// sortTrials sorts best first. Ties within the uncertainty make the comparison
// intransitive, so the best of what is left is taken again and again.
func sortTrials[T any](list []T, of func(T) *trial) {
	for n := range list {
		best := n
		for k := n + 1; k < len(list); k++ {
			if of(list[k]).better(of(list[best])) > 0 {
				best = k
			}
		}
		b := list[best]
		copy(list[n+1:best+1], list[n:best])
		list[n] = b
	}
}

// measurePose measures how the pattern stands with u up. Only on a baseboard is
// there a base plane, and surface that is not molded.
func measurePose(ctx context.Context, s *solid.Solid, u mesh.Vec, mold Mold, reason string) (*Pose, error) {
	m := s.Surface()
	var skip []bool
	for t := range m.NumTriangles() {
		if !s.Live(t) {
			if skip == nil {
				skip = make([]bool, m.NumTriangles())
			}
			skip[t] = true
		}
	}
	hull := mesh.OutlinePoints(m, skip, u)
	r, c := mesh.MinRect(hull), mesh.MinCircle(hull)
	low, err := bases(ctx, s, []mesh.Vec{u, u.Neg()})
	if err != nil {
		return nil, err
	}
	size := m.Size()
	contact, err := contacts(ctx, s, []mesh.Vec{u}, fineContact*max(size.X, size.Y, size.Z), fineAngle)
	if err != nil {
		return nil, err
	}
	nb := (m.NumTriangles() + sliceBlock - 1) / sliceBlock
	part := make([]float64, nb)
	err = blocks(ctx, m.NumTriangles(), sliceBlock, func(_, from, to int) {
		for t := from; t < to; t++ {
			if s.Live(t) {
				a, b, c := m.Corners(t)
				part[from/sliceBlock] += b.Sub(a).Cross(c.Sub(a)).Len() / 2
			}
		}
	})
	if err != nil {
		return nil, err
	}
	var area float64
	for _, x := range part {
		area += x
	}
	p := &Pose{
		Up: u.Array(), Reason: reason, YawDeg: math.Atan2(r.Axis.Y, r.Axis.X) * 180 / math.Pi,
		Height: -low[1] - low[0], Rect: [2]float64{r.Length, r.Width}, Circle: 2 * c.Radius,
	}
	if mold.OnBoard() && area > 0 {
		p.BaseContact = contact[0]
		p.BaseContactFraction = contact[0] / area
	}
	return p, nil
}
