package demold

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/section"
)

// Seam is where a mold that was poured in one piece all round is cut open. The
// knife follows a plane from the outside to the pattern, along one side, and the
// mold opens like a book about the rubber left on the other side: its two leaves
// swing apart as two halves of a mold lift off, so what is left undercut is
// judged as theirs.
type Seam struct {
	Normal [3]float64 `json:"plane_normal"`    // unit
	Offset float64    `json:"plane_offset_mm"` // of the plane: normal · place
	Side   [3]float64 `json:"side"`            // the way the cut side faces; the hinge is opposite
	Hinge  [3]float64 `json:"hinge_along"`     // unit
	// The cut on the pattern's surface, from its first end to its last; where
	// the plane meets the pattern in more than one place, the largest first.
	From   [3]float64     `json:"from_mm"`
	To     [3]float64     `json:"to_mm"`
	Line   [][][3]float64 `json:"line_mm"`
	Length float64        `json:"length_mm"`

	Opens   []Opened    `json:"opens"`        // undercuts that the cut relieves
	Path    *float64    `json:"left_path_mm"` // deepest undercut that is left; nil = locked
	PathAt  *[3]float64 `json:"left_path_at_mm"`
	Stretch *float64    `json:"left_stretch"` // nil = no finite figure
}

// Opened is an undercut that a seam relieves, and what is left of it.
type Opened struct {
	Region int      `json:"region"`
	Left   *float64 `json:"left_mm"` // nil = locked
}

// How a seam is sought; judgements.
const (
	// seamAngles planes through the pull are tried, evenly spread.
	seamAngles = 12
	// seamColumns is how many columns across the pattern they are tried on.
	seamColumns = 160
	// relieved is the part of an undercut's path up to which it counts as
	// opened.
	relieved = 0.5
	// flatEnd is how far an end may stray from flat, in cells.
	flatEnd = 1e-3
	// seamSmall is the part of the largest outline in the plane that another
	// must have to be worth a line of its own.
	seamSmall = 0.05
	// seamSide is how far to one side of the middle an undercut must lie, as a
	// share of the section's width, to say on which side the cut goes.
	seamSide = 0.05
)

// seams finds the seam of a cut mold: of the flat parting and the planes along
// the pull, the one that leaves the shortest path; within the uncertainty the
// parting, whose figures the report has. The flap is found for every mold that
// opens along a seam.
func seams(ctx context.Context, a *analysis) error {
	if a.OnBoard() {
		return nil
	}
	a.rep.Flap = a.flap()
	if a.Mold != Cut {
		return nil
	}
	best, err := a.otherPlane(ctx)
	if err != nil {
		return err
	}
	at := a
	if best != nil && a.reach()-best.reach() > a.rep.Uncertainty+best.rep.Uncertainty {
		at = best
		a.rep.Flap = best.flap()
	}
	s := &Seam{Normal: at.Up.Array(), Offset: at.cutHeight(), Path: at.rep.UndercutPath, PathAt: at.rep.UndercutPathAt, Stretch: at.rep.Stretch,
		Opens: []Opened{}, Line: [][][3]float64{}}
	if at != a {
		s.Opens = a.relieves(at)
	}
	loops, err := planeLoops(ctx, at)
	if err != nil {
		return err
	}
	if a.drawSeam(loops, at, s) {
		a.rep.Seam = s
	}
	return nil
}

// cutHeight is the height of the knife: the parting, but never past the
// pattern's own ends.
func (a *analysis) cutHeight() float64 {
	in := min(a.Field.Cell, (a.Top-a.Base)/4)
	return min(max(a.parting, a.Base+in), a.Top-in)
}

// reach is the deepest path, +Inf where something is locked.
func (a *analysis) reach() float64 {
	if p := a.rep.UndercutPath; p != nil {
		return *p
	}
	return math.Inf(1)
}

// otherPlane looks at the planes along the pull, coarsely at all of them and
// exactly at the best.
func (a *analysis) otherPlane(ctx context.Context) (*analysis, error) {
	p, err := newProxy(ctx, a.Solid)
	if err != nil {
		return nil, err
	}
	o := Options{Mold: TwoPart, Ignore: a.o.Ignore, Resolution: a.o.Resolution}
	e1, e2 := mesh.Basis(a.Up)
	var best trial
	for k := range seamAngles {
		sin, cos := math.Sincos(math.Pi * float64(k) / seamAngles)
		if 2*k == seamAngles {
			cos = 0 // not a rounding beside it
		}
		f, base, top, err := p.field(ctx, e1.Mul(cos).Add(e2.Mul(sin)), seamColumns)
		if err != nil {
			return nil, err
		}
		t, err := p.tryField(ctx, f, base, top, o)
		if err != nil {
			return nil, err
		}
		if k == 0 || t.path < best.path-t.resolved/2 || t.path < best.path+t.resolved/2 && t.volume < 0.98*best.volume {
			best = t
		}
	}
	if best.path > a.reach()+best.resolved {
		return nil, nil
	}
	x, err := newAnalysis(ctx, a.Solid, best.up, o)
	if err != nil {
		return nil, err
	}
	for _, f := range []func(context.Context, *analysis) error{findUndercuts, stretch, judgeSurface} {
		if err := f(ctx, x); err != nil {
			return nil, err
		}
	}
	return x, nil
}

// relieves lists the undercuts of a that are next to nothing when the mold
// opens as at does.
func (a *analysis) relieves(at *analysis) []Opened {
	out := []Opened{}
	left := make([]float64, len(a.rep.Regions)+1)
	for v, id := range a.rep.VertexRegion {
		left[id] = max(left[id], float64(at.rep.VertexPath[v]))
	}
	for _, r := range a.rep.Regions {
		if r.Kind == "minor" {
			continue
		}
		was := math.Inf(1)
		if r.Path != nil {
			was = *r.Path
		}
		if l := left[r.ID]; l <= max(at.regionFloor(), min(relieved*was, a.Size)) && !math.IsInf(l, 1) {
			out = append(out, Opened{r.ID, &l})
		}
	}
	return out
}

// drawSeam fills in where the knife goes, in the plane that at parts along and
// that meets the pattern in the loops. It reports whether it does.
func (a *analysis) drawSeam(loops [][]mesh.Vec, at *analysis, s *Seam) bool {
	if len(loops) == 0 {
		return false
	}
	n := at.Up
	e1, e2 := mesh.Basis(n)
	flat := func(p mesh.Vec) mesh.Vec2 { return mesh.Vec2{X: p.Dot(e1), Y: p.Dot(e2)} }
	main := loops[0]
	// Middle and longest way of the main outline.
	var mid mesh.Vec
	var total float64
	for k := 1; k < len(main); k++ {
		l := main[k].Sub(main[k-1]).Len()
		mid = mid.Add(main[k].Add(main[k-1]).Mul(l / 2))
		total += l
	}
	if total == 0 {
		return false
	}
	mid = mid.Mul(1 / total)
	hinge := a.Up
	if at == a {
		var xx, xy, yy float64
		for k := 1; k < len(main); k++ {
			d := flat(main[k].Add(main[k-1]).Mul(0.5).Sub(mid))
			l := main[k].Sub(main[k-1]).Len()
			xx, xy, yy = xx+l*d.X*d.X, xy+l*d.X*d.Y, yy+l*d.Y*d.Y
		}
		sin, cos := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
		hinge = e1.Mul(cos).Add(e2.Mul(sin)).Unit()
	}
	side := n.Cross(hinge).Unit()
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range main {
		lo, hi = min(lo, p.Dot(side)), max(hi, p.Dot(side))
	}
	// The side of the deepest undercut; else the shorter cut.
	sign := 0.0
	for _, r := range a.rep.Regions {
		d := mesh.V(r.At[0], r.At[1], r.At[2]).Sub(mid).Dot(side)
		if r.Kind != "minor" && math.Abs(d) > seamSide*(hi-lo) {
			sign = math.Copysign(1, d)
			break
		}
	}
	var arc []mesh.Vec
	if sign == 0 {
		one, two := arcOf(main, hinge, side, flatEnd*a.Field.Cell), arcOf(main, hinge, side.Neg(), flatEnd*a.Field.Cell)
		sign, arc = 1, one
		if lineLength(two) < lineLength(one)-a.Field.Cell {
			sign, arc = -1, two
		}
	}
	side = side.Mul(sign)
	if arc == nil {
		arc = arcOf(main, hinge, side, flatEnd*a.Field.Cell)
	}
	lines := [][]mesh.Vec{arc}
	for _, l := range loops[1:] {
		if lineLength(l) < seamSmall*total {
			continue
		}
		if insideLoop(main, l[0], flat) { // rubber through a hole joins the leaves
			lines = append(lines, l)
			continue
		}
		var c mesh.Vec
		for _, p := range l[1:] {
			c = c.Add(p.Mul(1 / float64(len(l)-1)))
		}
		if c.Sub(mid).Dot(side) > 0 {
			lines = append(lines, l)
		}
	}
	s.Side, s.Hinge = side.Array(), hinge.Array()
	for _, l := range lines {
		l = simplify(l, a.Field.Cell/4)
		s.Length += lineLength(l)
		out := make([][3]float64, len(l))
		for k, p := range l {
			out[k] = p.Array()
		}
		s.Line = append(s.Line, out)
	}
	s.From, s.To = s.Line[0][0], s.Line[0][len(s.Line[0])-1]
	return true
}

// arcOf is the part of a closed line between its ends along the hinge that
// faces the given side. Of an end that is flat to within tie all of it is cut.
func arcOf(l []mesh.Vec, hinge, side mesh.Vec, tie float64) []mesh.Vec {
	n := len(l) - 1 // the last point is the first
	end := func(way mesh.Vec) int {
		far := math.Inf(-1)
		for _, p := range l {
			far = max(far, p.Dot(way))
		}
		best := -1
		for k := range n {
			if l[k].Dot(way) >= far-tie && (best < 0 || l[k].Sub(l[best]).Dot(side) < 0) {
				best = k
			}
		}
		return best
	}
	from, to := end(hinge.Neg()), end(hinge)
	walk := func(step int) (out []mesh.Vec, faces float64) {
		for k := from; ; k = (k + step + n) % n {
			out = append(out, l[k])
			if len(out) > 1 {
				d := out[len(out)-1].Sub(out[len(out)-2])
				faces += d.Len() * out[len(out)-1].Add(out[len(out)-2]).Dot(side) / 2
			}
			if k == to {
				break
			}
		}
		if length := lineLength(out); length > 0 {
			faces /= length
		}
		return out, faces
	}
	one, x := walk(1)
	two, y := walk(-1)
	if y > x {
		return two
	}
	return one
}

// insideLoop reports whether a point of the plane lies inside a closed line.
func insideLoop(l []mesh.Vec, p mesh.Vec, flat func(mesh.Vec) mesh.Vec2) bool {
	q, in := flat(p), false
	for k := 1; k < len(l); k++ {
		a, b := flat(l[k-1]), flat(l[k])
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// bounds reports whether a closed line of the parting plane has S on one side
// and rubber on the other, not S on both as where pieces run into each other.
func (a *analysis) bounds(l []mesh.Vec) bool {
	f := a.Field
	solid := func(p mesh.Vec) bool {
		x, y, z := f.Plane(p)
		i, j := int(math.Floor((x-f.X0)/f.Cell)), int(math.Floor((y-f.Y0)/f.Cell))
		if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
			return false
		}
		for _, s := range f.Column(i, j) {
			if s.Bottom <= z && z <= s.Top {
				return true
			}
		}
		return false
	}
	const samples = 64
	edge, all := 0, 0
	for k := 1; k < len(l); k += max(1, len(l)/samples) {
		d := l[k].Sub(l[k-1])
		side := a.Up.Cross(d).Unit().Mul(1.5 * f.Cell)
		m := l[k].Add(l[k-1]).Mul(0.5)
		if solid(m.Add(side)) != solid(m.Sub(side)) {
			edge++
		}
		all++
	}
	return 2*edge > all
}

// planeLoops are the closed lines in which S meets the parting plane of an
// analysis, the longest first; each ends where it begins.
func planeLoops(ctx context.Context, a *analysis) ([][]mesh.Vec, error) {
	m := a.Solid.Surface()
	e1, e2 := mesh.Basis(a.Up)
	sl := section.Slicer{Mesh: m, U: a.Up, E1: e1, E2: e2, Live: func(t int) bool { return a.Solid.Live(t) && !a.Solid.Nested(a.Solid.Piece(t)) }}
	sec, err := sl.At(ctx, section.JustBelow(a.cutHeight()), nil)
	if err != nil {
		return nil, err
	}
	var loops [][]mesh.Vec
	for _, line := range sec.Lines() {
		loop := make([]mesh.Vec, len(line))
		for k, p := range line {
			loop[k] = sec.Points[p].In(m.Vertices())
		}
		loop[len(loop)-1] = loop[0]
		if len(loop) > 3 && a.bounds(loop) {
			loops = append(loops, loop)
		}
	}
	slices.SortStableFunc(loops, func(a, b []mesh.Vec) int { return cmp.Compare(lineLength(b), lineLength(a)) })
	return loops, nil
}
