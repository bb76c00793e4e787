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
}

// KnifeOptions of Knife.
type KnifeOptions struct {
	Hinge     *mesh.Vec  // a direction of the plane that the hinge follows; nil = the longest way of the outline
	Undercuts []mesh.Vec // places, the deepest first: the knife goes in on their side
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
	if err != nil || len(outlines) == 0 || lineLength(outlines[0]) == 0 {
		return nil, err
	}
	k := newKnife(a, outlines[0], o)
	arc := k.side(o.Undercuts)
	cut := &Cut{Normal: a.Up.Array(), Offset: a.height, Side: k.toward.Array(), Hinge: k.hinge.Array(), Line: [][][3]float64{}}
	for _, l := range append([][]mesh.Vec{arc}, k.others(outlines[1:])...) {
		l = simplify(l, o.Cell/4)
		cut.Length += lineLength(l)
		cut.Line = append(cut.Line, arrays(l))
	}
	cut.From, cut.To = cut.Line[0][0], cut.Line[0][len(cut.Line[0])-1]
	return cut, nil
}

// knife is a cut while it is laid.
type knife struct {
	main          []mesh.Vec // the largest outline
	length        float64    // of it, mm
	middle        mesh.Vec   // of its length
	e1, e2        mesh.Vec   // the plane
	hinge, toward mesh.Vec   // unit, square to each other
	cell          float64
}

func newKnife(a flat, main []mesh.Vec, o KnifeOptions) *knife {
	k := &knife{main: main, cell: o.Cell}
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

// side settles the side that is cut, that of the deepest undercut or else the
// shorter way, and returns the cut round the main outline.
func (k *knife) side(undercuts []mesh.Vec) []mesh.Vec {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range k.main {
		lo, hi = min(lo, p.Dot(k.toward)), max(hi, p.Dot(k.toward))
	}
	for _, p := range undercuts {
		if d := p.Sub(k.middle).Dot(k.toward); math.Abs(d) > oneSided*(hi-lo) {
			k.toward = k.toward.Mul(math.Copysign(1, d))
			return k.arc(k.toward)
		}
	}
	one, two := k.arc(k.toward), k.arc(k.toward.Neg())
	if lineLength(two) < lineLength(one)-k.cell {
		k.toward = k.toward.Neg()
		return two
	}
	return one
}

// others are the further outlines that are cut: those on the cut side, and
// those inside the main one, where rubber through a hole joins the leaves.
func (k *knife) others(outlines [][]mesh.Vec) (lines [][]mesh.Vec) {
	for _, l := range outlines {
		if lineLength(l) < smallOutline*k.length {
			continue
		}
		if k.inside(l[0]) {
			lines = append(lines, l)
			continue
		}
		var c mesh.Vec
		for _, p := range l[1:] {
			c = c.Add(p.Mul(1 / float64(len(l)-1)))
		}
		if c.Sub(k.middle).Dot(k.toward) > 0 {
			lines = append(lines, l)
		}
	}
	return lines
}

// arc is the part of the main outline between its ends along the hinge that
// faces a side. Of an end that is flat all of it is cut.
func (k *knife) arc(side mesh.Vec) []mesh.Vec {
	l := k.main
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

// outlines are the closed lines in which S meets the plane, the longest first;
// each ends where it begins.
func (a flat) outlines(ctx context.Context) ([][]mesh.Vec, error) {
	m := a.Solid.Surface()
	e1, e2 := mesh.Basis(a.Up)
	sl := section.Slicer{Mesh: m, U: a.Up, E1: e1, E2: e2, Live: func(t int) bool { return a.Solid.Live(t) && !a.Solid.Nested(a.Solid.Piece(t)) }}
	sec, err := sl.At(ctx, section.JustBelow(a.height), nil)
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
	slices.SortStableFunc(loops, longerFirst)
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
