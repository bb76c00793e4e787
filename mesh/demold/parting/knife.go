package parting

import (
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/section"
)

// Cut is where a knife goes that opens a mold poured in one piece all round: it
// follows a plane from the outside to the pattern, along one side, and the mold
// opens like a book about the rubber left on the other side.
type Cut struct {
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
	// Across is how much of the cut runs over the face that was to be spared, mm;
	// what is cut all round, as in a hole, shows nowhere.
	Across float64 `json:"across_face_mm"`
}

// FaceCone is how far from the way it looks the surface of a pattern's face may
// lean, rad. Judgement of this program.
const FaceCone = 40 * math.Pi / 180

// KnifeOptions of Knife.
type KnifeOptions struct {
	Hinge     *mesh.Vec  // a direction of the plane that the hinge follows; nil = the longest way of the outline
	Side      *mesh.Vec  // the way the cut side faces; nil = left to Undercuts
	Undercuts []mesh.Vec // places, the deepest first: the knife goes in on their side
	Face      *mesh.Vec  // the way the face looks that is to be spared, unit; nil = none
	Cell      float64    // what is finer than this does not count, mm
}

// How a cut is laid; judgements.
const (
	// flatEnd is how far an end may stray from flat, in cells.
	flatEnd = 1e-3
	// smallOutline is the part of the largest outline in the plane that another
	// must have to be worth a line of its own.
	smallOutline = 0.05
	// oneSided is how far to one side of the middle an undercut must lie, as a
	// share of the section's width, to say on which side the cut goes.
	oneSided = 0.05
)

// Knife lays the cut in the plane across the scene's pull at a height, but never
// past the pattern's own ends. It is nil where the plane does not meet the
// pattern.
func Knife(ctx context.Context, c *scene.Scene, height float64, o KnifeOptions) (*Cut, error) {
	in := min(c.Field.Cell, (c.Top-c.Base)/4)
	a := flat{c, min(max(height, c.Base+in), c.Top-in)}
	outlines, err := a.outlines(ctx)
	if err != nil || len(outlines) == 0 || lineLength(outlines[0].line) == 0 {
		return nil, err
	}
	k := newKnife(a, outlines[0], o)
	arc := k.side(o)
	cut := &Cut{Normal: a.Up.Array(), Offset: a.height, Side: k.toward.Array(), Hinge: k.hinge.Array(), Line: [][][3]float64{}}
	for _, p := range append([]stretch{arc}, k.others(outlines)...) {
		l := simplify(p.line, o.Cell/4)
		cut.Length += lineLength(l)
		cut.Across += p.across
		cut.Line = append(cut.Line, arrays(l))
	}
	cut.From, cut.To = cut.Line[0][0], cut.Line[0][len(cut.Line[0])-1]
	return cut, nil
}

// knife is a cut while it is laid.
type knife struct {
	main          []mesh.Vec // the largest outline
	largest       ring
	onFace        func(tri int32) bool // is the triangle part of the face that is to be spared?
	length        float64              // of it, mm
	middle        mesh.Vec             // of its length
	e1, e2        mesh.Vec             // the plane
	hinge, toward mesh.Vec             // unit, square to each other
	cell          float64
}

func newKnife(a flat, largest ring, o KnifeOptions) *knife {
	main := largest.line
	k := &knife{main: main, largest: largest, cell: o.Cell}
	k.onFace = func(tri int32) bool {
		return o.Face != nil && tri >= 0 && a.looks(int(tri)).Dot(*o.Face) >= math.Cos(FaceCone)
	}
	k.e1, k.e2 = mesh.Basis(a.Up)
	for n := 1; n < len(main); n++ {
		l := main[n].Sub(main[n-1]).Len()
		k.middle = k.middle.Add(main[n].Add(main[n-1]).Mul(l / 2))
		k.length += l
	}
	k.middle = k.middle.Mul(1 / k.length)
	if o.Hinge != nil {
		k.hinge = *o.Hinge
	} else {
		k.hinge = k.longestWay()
	}
	k.toward = a.Up.Cross(k.hinge).Unit()
	return k
}

func (k *knife) flat(p mesh.Vec) mesh.Vec2 { return mesh.Vec2{X: p.Dot(k.e1), Y: p.Dot(k.e2)} }

// longestWay is the principal axis of the main outline.
func (k *knife) longestWay() mesh.Vec {
	var xx, xy, yy float64
	for n := 1; n < len(k.main); n++ {
		d := k.flat(k.main[n].Add(k.main[n-1]).Mul(0.5).Sub(k.middle))
		l := k.main[n].Sub(k.main[n-1]).Len()
		xx, xy, yy = xx+l*d.X*d.X, xy+l*d.X*d.Y, yy+l*d.Y*d.Y
	}
	sin, cos := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
	return k.e1.Mul(cos).Add(k.e2.Mul(sin)).Unit()
}

// side settles the side that is cut, the one asked for, that of the deepest
// undercut or else the shorter way, and returns the cut round the main outline.
func (k *knife) side(o KnifeOptions) stretch {
	if o.Side != nil {
		k.toward = k.toward.Mul(math.Copysign(1, k.toward.Dot(*o.Side)))
		return k.arc(k.largest, k.toward)
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range k.main {
		lo, hi = min(lo, p.Dot(k.toward)), max(hi, p.Dot(k.toward))
	}
	for _, p := range o.Undercuts {
		if d := p.Sub(k.middle).Dot(k.toward); math.Abs(d) > oneSided*(hi-lo) {
			k.toward = k.toward.Mul(math.Copysign(1, d))
			return k.arc(k.largest, k.toward)
		}
	}
	one, two := k.arc(k.largest, k.toward), k.arc(k.largest, k.toward.Neg())
	if lineLength(two.line) < lineLength(one.line)-k.cell {
		k.toward = k.toward.Neg()
		return two
	}
	return one
}

// others are what is cut of the further outlines, those after the largest: all of
// one that lies on the cut side, the half on that side of one that lies in the
// middle, and all of one inside the largest, where rubber through a hole joins
// the leaves.
func (k *knife) others(outlines []ring) (lines []stretch) {
	reach := func(o ring) (lo, hi float64) {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, p := range o.line {
			lo, hi = min(lo, p.Dot(k.toward)), max(hi, p.Dot(k.toward))
		}
		return lo, hi
	}
	first, last := math.Inf(1), math.Inf(-1)
	for _, o := range outlines {
		lo, hi := reach(o)
		first, last = min(first, lo), max(last, hi)
	}
	middle := (first + last) / 2
	for _, o := range outlines[1:] {
		lo, hi := reach(o)
		switch {
		case lineLength(o.line) < smallOutline*k.length:
		case k.inside(o.line[0]), lo > middle:
			lines = append(lines, stretch{line: o.line})
		case hi > middle:
			lines = append(lines, k.arc(o, k.toward))
		}
	}
	return lines
}

// stretch is a part of an outline.
type stretch struct {
	line   []mesh.Vec
	across float64 // how much of it runs over the face, mm
}

// arc is the part of an outline between its ends along the hinge that faces a
// side. Of an end that is flat all of it is cut.
func (k *knife) arc(o ring, side mesh.Vec) stretch {
	l := o.line
	n := len(l) - 1 // the last point is the first
	end := func(way mesh.Vec) int {
		far := math.Inf(-1)
		for _, p := range l {
			far = max(far, p.Dot(way))
		}
		best := -1
		for m := range n {
			if l[m].Dot(way) >= far-flatEnd*k.cell && (best < 0 || l[m].Sub(l[best]).Dot(side) < 0) {
				best = m
			}
		}
		return best
	}
	from, to := end(k.hinge.Neg()), end(k.hinge)
	walk := func(step int) (out stretch, faces float64) {
		out.line = append(out.line, l[from])
		for m := from; m != to; m = (m + step + n) % n {
			next, seg := (m+step+n)%n, m
			if step < 0 {
				seg = next
			}
			d := l[next].Sub(l[m]).Len()
			faces += d * l[next].Add(l[m]).Dot(side) / 2
			if k.onFace(o.tris[seg]) {
				out.across += d
			}
			out.line = append(out.line, l[next])
		}
		if length := lineLength(out.line); length > 0 {
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

// inside reports whether a point of the plane lies inside the main outline.
func (k *knife) inside(p mesh.Vec) bool {
	q, in := k.flat(p), false
	for n := 1; n < len(k.main); n++ {
		a, b := k.flat(k.main[n-1]), k.flat(k.main[n])
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// ring is a closed line in which S meets a plane; it ends where it begins.
type ring struct {
	line []mesh.Vec
	tris []int32 // per stretch of it: the triangle, −1 = not known
}

// looks is the way a triangle of the surface looks, out of the solid.
func (a flat) looks(tri int) mesh.Vec {
	p, q, r := a.Solid.Surface().Corners(tri)
	n := q.Sub(p).Cross(r.Sub(p)).Unit()
	if !a.Solid.Outward(tri) {
		n = n.Neg()
	}
	return n
}

// outlines are the closed lines in which S meets the plane, the longest first.
func (a flat) outlines(ctx context.Context) ([]ring, error) {
	m := a.Solid.Surface()
	e1, e2 := mesh.Basis(a.Up)
	sl := section.Slicer{Mesh: m, U: a.Up, E1: e1, E2: e2, Live: func(t int) bool { return a.Solid.Live(t) && !a.Solid.Nested(a.Solid.Piece(t)) }}
	sec, err := sl.At(ctx, section.JustBelow(a.height), nil)
	if err != nil {
		return nil, err
	}
	triangle := make(map[[2]int32]int32, len(sec.Segments)) // looked up, never ranged over
	for _, s := range sec.Segments {
		triangle[[2]int32{min(s.A, s.B), max(s.A, s.B)}] = s.Tri
	}
	var loops []ring
	for _, line := range sec.Lines() {
		loop := ring{make([]mesh.Vec, len(line)), make([]int32, len(line)-1)}
		for k, p := range line {
			loop.line[k] = sec.Points[p].In(m.Vertices())
			if k > 0 {
				tri, ok := triangle[[2]int32{min(line[k-1], p), max(line[k-1], p)}]
				if !ok {
					tri = -1
				}
				loop.tris[k-1] = tri
			}
		}
		loop.line[len(line)-1] = loop.line[0]
		if len(line) > 3 && a.bounds(loop.line) {
			loops = append(loops, loop)
		}
	}
	slices.SortStableFunc(loops, func(a, b ring) int { return longerFirst(a.line, b.line) })
	return loops, nil
}

// bounds reports whether a closed line of the plane has S on one side and rubber
// on the other, not S on both as where pieces run into each other.
func (a flat) bounds(l []mesh.Vec) bool {
	const samples = 64
	edge, all := 0, 0
	for k := 1; k < len(l); k += max(1, len(l)/samples) {
		d := l[k].Sub(l[k-1])
		if d == (mesh.Vec{}) {
			continue // the plane passes a vertex
		}
		side := a.Up.Cross(d).Unit().Mul(1.5 * a.Field.Cell)
		m := l[k].Add(l[k-1]).Mul(0.5)
		if a.solidAt(m.Add(side)) != a.solidAt(m.Sub(side)) {
			edge++
		}
		all++
	}
	return 2*edge > all
}

// solidAt reports whether the column that a point stands in is solid there.
func (a flat) solidAt(p mesh.Vec) bool {
	f := a.Field
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
