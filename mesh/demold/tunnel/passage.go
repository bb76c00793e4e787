package tunnel

import (
	"math"

	"moldtally/mesh"
)

// rows is the number of lines that a cross-section is measured along while it
// is sought, rowsFine in the end (judgement of this program).
const rows, rowsFine = 192, 1024

// passage measures the tunnel that a place among the cubes lies in, on the true
// surface. ok is false where no plane there is closed all round, known is true
// where that is because one of the webs lies in the same passage. far looks in
// all directions.
func (sl *cutter) passage(v *cubes, p linePlace, webs []Passage, far bool) (t Passage, ok, known bool) {
	if sl.work > mostWork {
		return t, false, false
	}
	cell := v.grid.Cell
	along := v.grid.Point(p.along[0], p.along[1], p.along[2])
	d := math.Sqrt(float64(p.d2)) * cell
	c := v.middle(p.at)
	for _, w := range webs {
		if w.runsThrough(c, along) {
			return t, false, true
		}
	}
	cut, ok := sl.facing(c, along, 4*(d+2*cell))
	if !ok && far {
		cut, ok = sl.across(c, along, d, cell)
	}
	if !ok {
		return t, false, false
	}
	if _, r := sl.widest(&cut); math.Abs(r-d) > 2.5*cell+0.1*d {
		return t, false, false // not the place that the cubes found
	}
	way := sl.course(sl.squareTo(cut, 0.2, cell/2), cell)
	web := way.web
	middle, r := sl.widest(&web)
	if r < 0.75*cell || r < 0.3*d || r > d+2*cell || way.length < cell/10 {
		return t, false, false
	}
	dir := web.n
	if k := dir.X + 1e-3*dir.Y + 1e-6*dir.Z; k < 0 {
		dir = dir.Neg()
	}
	da, size, length, area := dir.Array(), web.size(), way.length, web.area
	web.keep()
	return Passage{Opening: 2 * r, At: way.middle.Array(), WebAt: web.point(middle).Array(),
		Direction: &da, Length: &length, WebArea: &area, WebSize: &size, web: &web}, true, false
}

// runsThrough reports whether a line that runs along a direction at c is that of
// the passage: c lies between its mouths and in its web, seen along it.
func (p *Passage) runsThrough(c, along mesh.Vec) bool {
	w := p.web
	if w == nil {
		return false
	}
	q := c.Sub(w.o)
	return math.Abs(c.Sub(mesh.V(p.At[0], p.At[1], p.At[2])).Dot(w.n)) < *p.Length/2 &&
		w.holds(mesh.Vec2{X: q.Dot(w.e1), Y: q.Dot(w.e2)}, 0) && math.Abs(w.n.Dot(along)) > 0.5
}

// course follows the passage from a cross-section, and again along its axis
// where that runs nearly square to the section: the middles of a straight
// passage's sections lie on its axis, however the sections lean, and a plane
// that leans leaves the mouths too early.
func (sl *cutter) course(cut crossSection, cell float64) course {
	way := sl.follow(cut, cell)
	axis := way.axis
	if axis == (mesh.Vec{}) || !(math.Abs(axis.Dot(cut.n)) > math.Cos(3*math.Pi/180)) {
		return way
	}
	if axis.Dot(cut.n) < 0 {
		axis = axis.Neg()
	}
	q, ok := sl.cut(cut.point(cut.seed), axis, 1.2*max(cut.hi.X-cut.lo.X, cut.hi.Y-cut.lo.Y), rows)
	if !ok || !q.near() || !(q.area < cut.area*1.0005) {
		return way
	}
	if w := sl.follow(q, cell); w.length > way.length {
		return w
	}
	return sl.follow(cut, cell) // its rows are gone
}
