package drawing

import (
	"math"
	"strconv"

	"moldtally/boxfit"
)

// ends is the template that the sides of a polygon, or a tube, are set up on: inside and
// outside of the wall, the middle, and where the pattern stands.
func (w *writer) ends() *Figure {
	c, f, g := w.c, w.s.Fit, Figure{}
	g.add(c.sides(0))
	if c.board > 0 {
		g.add(c.sides(c.board))
		if f.Kind == boxfit.Polygon && f.Sides != nil && f.Diameter != nil {
			// The mitres, from corner to corner.
			in, out := polygon(*f.Sides, *f.Diameter/2), polygon(*f.Sides, *f.Diameter/2+c.board)
			for i := range in {
				g.line(Thin, in[i], out[i])
			}
		}
	}
	for _, l := range c.foot {
		g.line(Thin, l...)
	}
	g.loop(Dashed, c.hull...)
	g.cross(Thin, Point{}, 6)
	g.text(8, 2, dimText, Left, "middle")
	if f.Diameter != nil {
		r := *f.Diameter / 2
		what := " across the flats, inside"
		if f.Kind == boxfit.Sleeve {
			what = " bore"
		}
		g.text(8, -4, dimText, Left, w.long(2*r)+what)
	}
	return &g
}

// stands is the template that several patterns are set up on: the inside of the walls,
// where each meets the board, and its number.
func (w *writer) stands() *Figure {
	g := Figure{}
	g.add(w.c.sides(0))
	for _, l := range w.c.foot {
		g.line(Outline, l...)
	}
	w.numbers(&g)
	lo, _ := w.c.reach()
	side := w.c.sides(0)
	_, hi := side.box()
	g.text(lo+3, hi.Y-5, dimText, Left, "inside of the wall")
	return &g
}

// numbers are those of several patterns, each where the middle of its outline stands.
func (w *writer) numbers(g *Figure) {
	corner := Point{}
	if f := w.s.Fit; f.Kind.FourSided() && f.Interior != nil {
		corner = Point{X: f.Interior[0] / 2, Y: f.Interior[1] / 2}
	}
	for i, p := range w.s.Fit.Layout {
		at := Point{X: p.At[0], Y: p.At[1]}.Sub(corner)
		g.cross(Thin, at, 2)
		g.text(at.X, at.Y+1, 4, Left, " "+strconv.Itoa(i+1))
	}
}

// land is the template of the parting: cut out along the pattern, it lies on the clay and
// shows where the land ends at the walls, and where its keys go.
func (w *writer) land() *Figure {
	c, g := w.c, Figure{}
	g.add(c.sides(0))
	for _, l := range c.parting {
		g.line(Outline, l...)
	}
	g.cross(Thin, Point{}, 4)
	g.text(6, 2, dimText, Left, "pattern: cut out")
	lo, _ := c.reach()
	side := c.sides(0)
	foot, hi := side.box()
	g.text(lo+3, hi.Y-5, dimText, Left, "inside of the wall: cut along it")
	g.text(lo+2, -dimText/3, 4, Left, leftSide)
	g.text(0, foot.Y+2, 4, Center, footSide)
	for i, k := range c.fit.Keys {
		at, _ := c.place(k.At)
		r := k.Diameter / 2
		if i == 0 { // the odd one, so that the halves go together one way only
			g.rect(Outline, at.X-r, at.Y-r, 2*r, 2*r)
		} else {
			g.Circles = append(g.Circles, Circle{at, r, Outline})
		}
		g.cross(Thin, at, r+1.5)
		g.text(at.X+r+1, at.Y+1, dimText, Left, strconv.Itoa(i+1))
	}
	if p := c.fit.Sprue; p != nil {
		w.channel(&g, p, "sprue")
	}
	for i := range c.fit.Vents {
		w.channel(&g, &c.fit.Vents[i], "vent")
	}
	return &g
}

// What the two sides are called that keys are measured from.
const (
	leftSide = "L"
	footSide = "F"
)

// place is where a place of the file lies from above, and how high over the floor.
func (c *container) place(at [3]float64) (Point, float64) {
	p, z, x := vec(at).Sub(vec(c.fit.Center)), vec(c.fit.Up), vec(c.fit.LongAxis)
	return Point{X: p.Dot(x), Y: p.Dot(z.Cross(x))}, p.Dot(z)
}

// channelNear is how far from the parting a channel may run to lie in it, in its own
// diameters: it is then halved by the parting. Judgement of this program.
const channelNear = 0.5

// channel draws a sprue or a vent that runs in the parting.
func (w *writer) channel(g *Figure, p *boxfit.Channel, what string) {
	if p.End == nil || w.c.bed == nil {
		return
	}
	a, za := w.c.place(p.At)
	b, zb := w.c.place(*p.End)
	far := channelNear * p.Diameter
	v := b.Sub(a)
	if math.Abs(za-*w.c.bed) > far || math.Abs(zb-*w.c.bed) > far || v.Len() < 1 {
		return
	}
	n := v.Perp().Mul(p.Diameter / 2 / v.Len())
	g.line(Dashed, a.Add(n), b.Add(n))
	g.line(Dashed, a.Sub(n), b.Sub(n))
	mid := a.Add(b).Mul(0.5)
	g.text(mid.X+p.Diameter/2+1.5, mid.Y, dimText, Left, what+" ø "+w.long(p.Diameter))
}

// keys draws how a key is shaped, and lists where they go.
func (w *writer) keys() {
	const title = "Keys to press into the clay"
	keys := w.c.fit.Keys
	d := keys[0].Diameter
	deep := boxfit.KeyDepth(d)
	small := d - 2*deep*math.Tan(boxfit.KeyDraft*math.Pi/180)
	g := Figure{}
	g.line(Outline, Point{X: -d}, Point{X: -d / 2}, Point{X: -small / 2, Y: -deep}, Point{X: small / 2, Y: -deep}, Point{X: d / 2}, Point{X: d})
	g.dim(Point{X: -d / 2}, Point{X: d / 2}, 6, w.mm(d))
	g.dim(Point{X: -small / 2, Y: -deep}, Point{X: small / 2, Y: -deep}, -5, w.mm(small))
	g.dim(Point{X: d}, Point{X: d, Y: -deep}, 6, w.mm(deep))
	note := "true scale, 1 : 1"
	w.page(title, note)
	w.put(&g, 1, 20, 12, 14)
	w.say("Each is a cone with sides that lean by "+strconv.Itoa(int(boxfit.KeyDraft))+"° or more. Number 1 is of another shape, so that the halves go together one way only. From the wall that the template marks "+leftSide+", and from the one marked "+footSide+", to the middle of each:", title, note)
	left, _ := w.c.reach()
	side := w.c.sides(0)
	foot, _ := side.box()
	for i, k := range keys {
		at, _ := w.c.place(k.At)
		w.say(strconv.Itoa(i+1)+": "+w.long(at.X-left)+" and "+w.long(at.Y-foot.Y), title, note)
	}
}
