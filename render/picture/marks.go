package picture

import (
	"image"
	"image/color"
	"math"
	"strconv"

	"moldtally/mesh"
	"moldtally/mesh/demold/undercut"
	"moldtally/render"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// box is a place on the sheet that is taken.
type box struct{ lo, hi point }

func (b box) meets(o box) bool {
	return b.lo.x < o.hi.x && o.lo.x < b.hi.x && b.lo.y < o.hi.y && o.lo.y < b.hi.y
}

func around(at point, rx, ry float64) box {
	return box{point{at.x - rx, at.y - ry}, point{at.x + rx, at.y + ry}}
}

func (p *picture) take(b box) { p.taken = append(p.taken, b) }

// free reports whether nothing stands in a box and it lies inside a panel.
func (p *picture) free(b box, r rect) bool {
	if b.lo.x < float64(r.x) || b.lo.y < float64(r.y) || b.hi.x > float64(r.x+r.w) || b.hi.y > float64(r.y+r.h) {
		return false
	}
	for _, t := range p.taken {
		if t.meets(b) {
			return false
		}
	}
	return true
}

// mark is an undercut's number on a view.
type mark struct {
	id    int
	place box
	panel *panel
	seen  bool
}

// numbersShown is how many undercuts are numbered on a view; the sheet lists
// more.
const numbersShown = 6

// numbers marks the undercuts on a view with the numbers that the report gives
// them: full where the place is seen, hollow where something hides it. On the
// views from above and the sides only what is seen is marked. A number that
// would cover another or a label is set beside its place with a line to it, or
// left out where there is no room.
func (p *picture) numbers(x *panel) {
	r := p.s.Report
	if r == nil {
		return
	}
	k := p.k
	radius := 11.5 * k
	n := 0
	for _, g := range render.ShownRegions(r) {
		if g.Kind == undercut.Minor {
			continue
		}
		if n++; n > numbersShown {
			break
		}
		at := p.sc.at(vec(g.At))
		seen := x.v == nil || x.v.seen(at, 0.012*x.v.reach)
		if !seen && x.kind != quarter {
			continue
		}
		q := x.at(at)
		if to, ok := p.beside(q, radius, x.rect); ok {
			if d := to.sub(q).len(); d > radius {
				dir := to.towards(q)
				p.line(to.add(dir.mul(radius)), q, 3*k, nrgba(0xFFFFFF, 220))
				p.line(to.add(dir.mul(radius)), q, 1.3*k, render.Ink)
				p.ring(q, 2*k, 2*k, render.Ink)
			}
			p.disc(to, strconv.Itoa(g.ID), regionInk(g), seen)
			p.marks = append(p.marks, mark{g.ID, around(to, radius, radius), x, seen})
			p.take(around(to, radius+2*k, radius+2*k))
		}
	}
}

// beside finds room for a disc at a place or as near to it as can be.
func (p *picture) beside(q point, radius float64, r rect) (point, bool) {
	for _, away := range []float64{0, 2.4, 3.4, 4.6, 6} {
		for i := range 12 {
			s, c := math.Sincos(2*math.Pi*float64(i)/12 + math.Pi/4)
			to := q.add(point{c, -s}.mul(away * radius))
			if p.free(around(to, radius+2*p.k, radius+2*p.k), r) {
				return to, true
			}
			if away == 0 {
				break
			}
		}
	}
	return point{}, false
}

func regionInk(g undercut.Region) color.NRGBA {
	if g.Path == nil {
		return render.BadInk
	}
	return render.Ink
}

// disc draws a number in a disc, full or hollow.
func (p *picture) disc(at point, word string, col color.NRGBA, full bool) {
	k := p.k
	r := 10 * k
	white := nrgba(0xFFFFFF, 255)
	p.round(point{at.x - r - 2*k, at.y - r - 2*k}, point{at.x + r + 2*k, at.y + r + 2*k}, r+2*k, nrgba(0xFFFFFF, 230))
	px := 15.0
	if len(word) > 1 {
		px = 12
	}
	ink := white
	if full {
		p.round(point{at.x - r, at.y - r}, point{at.x + r, at.y + r}, r, col)
	} else {
		p.ring(at, r-0.8*k, 1.7*k, col)
		ink = col
	}
	p.text(word, point{at.x, at.y + 0.36*px*k}, typeface.Bold, px*k, alignCenter, ink)
}

// sectionLetter names the section and the line on the plan where it was cut.
const sectionLetter = "A"

// trace draws on the view from above where the section was cut: a line of long
// and short dashes between two letters, whose arrows point as the section
// looks.
func (p *picture) trace(x *panel) {
	c, k := p.sec, p.k
	lo, hi := c.lo, c.hi
	along := func(t float64) point { return x.at(c.at.Add(c.e.Mul(t))) }
	a, b := along(lo.x), along(hi.x)
	dir := a.towards(b)
	a, b = a.sub(dir.mul(3*k)), b.add(dir.mul(3*k))
	thin := render.Ink
	thin.A = 150
	for s, n := 0.0, b.sub(a).len(); s < n; s += 23 * k {
		p.line(a.add(dir.mul(s)), a.add(dir.mul(min(s+13*k, n))), 1.1*k, thin)
		if s+20*k < n {
			p.line(a.add(dir.mul(s+17*k)), a.add(dir.mul(s+19*k)), 1.1*k, thin)
		}
	}
	look := mesh.V(-c.e.Y, c.e.X, 0) // the section looks against right × up
	q := x.at(c.at.Add(look)).sub(x.at(c.at))
	q = q.mul(1 / max(q.len(), 1e-9))
	for _, e := range []struct {
		at  point
		out float64
	}{{a, -1}, {b, 1}} {
		end := e.at.add(dir.mul(e.out * 9 * k))
		p.line(e.at, end, 2.6*k, render.Ink)
		p.arrow(end, end.add(q.mul(15*k)), 1.6*k, 8*k, render.Ink)
		p.take(around(mid(end, end.add(q.mul(15*k))), 8*k, 8*k))
		for _, to := range []point{end.add(q.mul(28 * k)), end.sub(q.mul(14 * k)), end.add(dir.mul(e.out * 14 * k)), e.at.sub(dir.mul(e.out * 18 * k)).sub(q.mul(14 * k))} {
			if b := around(to, 7*k, 9*k); p.free(b, x.rect) {
				p.text(sectionLetter, point{to.x, to.y + 6*k}, typeface.Bold, 17*k, alignCenter, render.Ink)
				p.take(b)
				break
			}
		}
	}
}

// sectionNotes puts words and measures on the section.
func (p *picture) sectionNotes(n *panel) {
	x, k := p.sec, p.k
	place := func(t, z float64) point {
		q := x.at.Add(x.e.Mul(t))
		q.Z = z
		return n.at(q)
	}
	if n.enlarged > 1 {
		p.text("enlarged, to scale", point{float64(n.x) + 16*k, float64(n.y) + 50*k}, typeface.Regular, 15*k, alignLeft, render.SoftInk)
	} else if f := p.s.Fit; x.in.x < x.in.y && f.Interior != nil {
		one, two := p.label(f.Interior[2])
		p.dimension(place(x.in.x-x.wall.x, 0), place(x.in.x-x.wall.x, x.height), point{-40 * k, 0}, one, two, render.Ink)
	}
	if n.whole { // the depth is on the enlarged one
		q := place((x.from+x.to)/2, x.level)
		p.ring(q, 9*k, 5*k, nrgba(0xFFFFFF, 200))
		p.ring(q, 9*k, 1.8*k, render.Ink)
		return
	}
	room := n.rect
	if n.enlarged > 1 {
		room = n.detail(k)
	}
	saved := p.clip
	p.clip = image.Rect(room.x, room.y, room.x+room.w, room.y+room.h).Intersect(saved)
	defer func() { p.clip = saved }()

	m, end, away := p.depthMeasure(place)
	number := place(x.from, x.level).sub(point{15 * k, 0})
	p.depthWords(room, number, m, end, away)
	if x.id > 0 {
		p.disc(number, strconv.Itoa(x.id), p.depthInk(), true)
	}
}

// depthInk is red for what no way leads out of.
func (p *picture) depthInk() color.NRGBA {
	if p.s.Report.UndercutPath == nil {
		return render.BadInk
	}
	return render.Ink
}

// depthMeasure draws the depth, from the surface to where it opens, its line
// between the place and what overhangs it. It returns the line's middle, its
// end, and the way from the overhang: down the sheet or up.
func (p *picture) depthMeasure(place func(t, z float64) point) (middle, end point, away float64) {
	x, k := p.sec, p.k
	a, b := place(x.from, x.level), place(x.to, x.level)
	edge := place(x.to, x.edge)
	off := (edge.y - a.y) / 2
	if math.Abs(off) > 46*k {
		off = math.Copysign(46*k, off)
	}
	if math.Abs(off) < 12*k { // the overhang is at hand: the rubber is at its other side
		off = 22 * k
		if x.down {
			off = -off
		}
	}
	c, d := point{a.x, a.y + off}, point{b.x, b.y + off}
	thin := render.Ink
	thin.A = 150
	if math.Abs(off) > 3*k {
		p.line(a, c.add(point{0, math.Copysign(5*k, off)}), 1.1*k, thin)
	}
	p.dashed(edge, point{d.x, d.y + math.Copysign(7*k, d.y-edge.y)}, 1.2*k, 5*k, 3*k, render.Ink)
	m := mid(c, d)
	p.line(c, d, 4.5*k, nrgba(0xFFFFFF, 215))
	if d.sub(c).len() > 26*k {
		p.arrow(m, c, 1.8*k, 10*k, render.Ink)
		p.arrow(m, d, 1.8*k, 10*k, render.Ink)
	} else {
		p.line(c, d, 1.8*k, render.Ink)
	}
	return m, d, d.y - edge.y
}

// depthWords says the depth: beside its measure where there is room, else at
// the side away from the overhang, else over it; never on the number.
func (p *picture) depthWords(room rect, number, m, end point, away float64) {
	x, k, r := p.sec, p.k, p.s.Report
	step := figure.LengthStep(r.Uncertainty)
	one, two := p.Inline(figure.Length(x.to-x.from, step)), ""
	switch {
	case x.figure != nil:
		one, two = p.Inline(figure.Length(*x.figure, step)), x.word
	case r.UndercutPath == nil:
		two = "straight out, but locked"
	default:
		two = "straight; " + p.Inline(figure.Length(*r.UndercutPath, step)) + " round"
	}
	w := max(p.width(one, typeface.Medium, 17*k), p.width(two, typeface.Regular, 15*k))
	left, right := float64(room.x)+10*k+w/2, float64(room.x+room.w)-10*k-w/2
	top, bottom := float64(room.y)+24*k, float64(room.y+room.h)-28*k
	away = math.Copysign(38*k, away)
	var at point
	for i, q := range []point{{end.x + 12*k + w/2, end.y}, {m.x, end.y + away}, {m.x, end.y - away}, {m.x, end.y - 2*away}} {
		at = point{max(min(q.x, right), left), max(min(q.y, bottom), top)}
		if i == 0 && at != q {
			continue
		}
		if b := around(at, w/2+6*k, 24*k); math.Abs(at.y-q.y) < 6*k && (x.id == 0 || !b.meets(around(number, 12*k, 12*k))) {
			break
		}
	}
	p.round(point{at.x - w/2 - 6*k, at.y - 19*k}, point{at.x + w/2 + 6*k, at.y + 23*k}, 5*k, nrgba(0xFDFCFA, 235))
	p.text(one, point{at.x, at.y - 2*k}, typeface.Medium, 17*k, alignCenter, p.depthInk())
	p.text(two, point{at.x, at.y + 16*k}, typeface.Regular, 15*k, alignCenter, render.SoftInk)
}
