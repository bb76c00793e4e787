package printed

import (
	"context"
	"fmt"
	"math"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/section"
	"moldtally/mesh/solid"
)

// Measures of a parting tray, mm. Judgement of this program.
const (
	trayThick = 4.0  // of its plate
	traySkirt = 4.0  // of the wall that it stands on
	trayRim   = 3.0  // of the one round its opening
	trayDeep  = 12.0 // how far that reaches down
	traySlide = 0.3  // between it and the container's walls
	trayGap   = 0.4  // between it and the pattern: a thread of clay seals it
	trayUnder = 2.5  // that is left under keys and channels
	traySteps = 320  // its lattice, along its longer side
)

// Bed is where two halves part: what a tray has to leave room for. Places are in the
// container's axes, x along its length and y across it from its middle; mm.
type Bed struct {
	Height float64       // of the parting over the container's floor
	Lines  [][]mesh.Vec2 // of the pattern, cut at the parting
	field  *dexel.Field  // of the pattern, along up
	floor  float64       // the container's, as a height of the field
	fit    *boxfit.Fit
}

// BedOf finds where the pattern in a container of two halves parts, at a height over the
// container's floor. The error is ctx's.
func BedOf(ctx context.Context, f *boxfit.Fit, s *solid.Solid, height float64) (*Bed, error) {
	o, x, z := vec(f.Center), vec(f.LongAxis), vec(f.Up)
	y := z.Cross(x)
	b := &Bed{Height: height, floor: o.Dot(z), fit: f}
	eps := 1e-6 * max(1, f.FillHeight)
	sl := &section.Slicer{Mesh: s.Surface(), Live: s.Live, Outward: s.Outward, U: z, E1: x, E2: y, Eps: eps}
	sec, err := sl.At(ctx, section.JustAbove(b.floor+height), nil)
	if err != nil {
		return nil, fmt.Errorf("printed: %w", err)
	}
	at := mesh.Vec2{X: o.Dot(x), Y: o.Dot(y)}
	for _, line := range sec.Lines() {
		var pts []mesh.Vec2
		for _, n := range line {
			pts = append(pts, sec.Places[n].Sub(at))
		}
		b.Lines = append(b.Lines, pts)
	}
	l, w := f.Interior[0], f.Interior[1]
	g := dexel.Grid{U: z, E1: x, E2: y, Cell: trayCell(f), X0: at.X - l/2, Y0: at.Y - w/2}
	g.NX, g.NY = int(math.Ceil(l/g.Cell)), int(math.Ceil(w/g.Cell))
	if b.field, err = s.Field(ctx, g); err != nil {
		return nil, fmt.Errorf("printed: %w", err)
	}
	return b, nil
}

func vec(p [3]float64) mesh.Vec { return mesh.V(p[0], p[1], p[2]) }

func trayCell(f *boxfit.Fit) float64 {
	return max(0.6, max(f.Interior[0], f.Interior[1])/traySteps)
}

// below reports whether pattern lies under the parting at a place.
func (b *Bed) below(x, y float64) bool {
	f := b.field
	o := vec(b.fit.Center)
	i := int(math.Floor((x + o.Dot(f.E1) - f.X0) / f.Cell))
	j := int(math.Floor((y + o.Dot(f.E2) - f.Y0) / f.Cell))
	if i < 0 || j < 0 || i >= f.NX || j >= f.NY {
		return false
	}
	c := f.Column(i, j)
	return len(c) > 0 && c[0].Bottom < b.floor+b.Height
}

// place is where a place of the file lies from above, and how high over the floor.
func (b *Bed) place(at [3]float64) (mesh.Vec2, float64) {
	p, x, z := vec(at).Sub(vec(b.fit.Center)), vec(b.fit.LongAxis), vec(b.fit.Up)
	return mesh.Vec2{X: p.Dot(x), Y: p.Dot(z.Cross(x))}, p.Dot(z)
}

// tray is the bed of the first half, instead of clay: a plate at the parting on a skirt,
// open where the pattern goes through it, with pits that make the keys and grooves that
// the rods of sprue and vents lie in. It is printed on its face, in as many parts as fit.
func (v *vessel) tray(b *Bed, p Printer) ([]Part, error) {
	lo, hi := mesh.Vec2{}, mesh.Vec2{}
	for _, c := range v.outline.corners {
		lo, hi = mesh.Vec2{X: min(lo.X, c.X), Y: min(lo.Y, c.Y)}, mesh.Vec2{X: max(hi.X, c.X), Y: max(hi.Y, c.Y)}
	}
	n, ok := tiles(hi.Sub(lo), p)
	if !ok || p != (Printer{}) && b.Height > p[2] {
		return nil, ErrTooSmall
	}
	step := trayCell(b.fit)
	split := func(lo, hi float64, n int) (cuts, lines []float64) {
		for i := 1; i < n; i++ {
			at := lo + (hi-lo)*float64(i)/float64(n)
			cuts, lines = append(cuts, at), append(lines, at-clear/2, at, at+clear/2)
		}
		return cuts, lines
	}
	cutX, atX := split(lo.X, hi.X, n[0])
	cutY, atY := split(lo.Y, hi.Y, n[1])
	g := newGraph(nodes(lo.X, hi.X, step, atX...), nodes(lo.Y, hi.Y, step, atY...))
	away := b.away(g)
	g.each(func(k int, x, y float64) {
		edge := -traySlide - outsideOf(v.outline.corners, mesh.Vec2{X: x, Y: y})
		g.in[k] = min(edge, away[k]-trayGap)
		for _, c := range cutX {
			g.in[k] = min(g.in[k], math.Abs(x-c)-clear/4)
		}
		for _, c := range cutY {
			g.in[k] = min(g.in[k], math.Abs(y-c)-clear/4)
		}
		g.top[k], g.bottom[k] = b.Height, b.Height-trayThick
		switch {
		case edge < traySkirt:
			g.bottom[k] = 0
		case away[k] < trayGap+trayRim:
			g.bottom[k] = b.Height - trayDeep
		}
	})
	b.press(g)
	for k := range g.bottom {
		g.bottom[k] = max(0, min(g.bottom[k], g.top[k]-trayUnder))
	}
	return g.trayParts(b.Height)
}

// trayParts are the bodies of a tray, each on its face.
func (g *graph) trayParts(high float64) (all []Part, err error) {
	label, size := g.parts()
	for n, count := range size {
		if count < 4 {
			continue
		}
		m, err := g.only(label, n).mesh(func(x, y, z float64) mesh.Vec { return mesh.V(x, -y, high-z) })
		if err != nil {
			return nil, err
		}
		if m, err = laid(m); err != nil {
			return nil, err
		}
		all = append(all, Part{TrayPart, m})
	}
	return all, nil
}

// away is how far nodes are from where the pattern is at the parting or under it, 0
// there, as far as a tray's rim asks.
func (b *Bed) away(g *graph) []float64 {
	const far = trayGap + trayRim + 4
	away := make([]float64, len(g.in))
	under := make([]bool, len(g.in))
	g.each(func(k int, x, y float64) {
		if under[k] = b.below(x, y); !under[k] {
			away[k] = far
		}
	})
	least := func(x, y, d float64, to func(dx, dy float64) float64) {
		g.near(x, y, d, func(k int, dx, dy float64) {
			if !under[k] {
				away[k] = min(away[k], to(dx, dy))
			}
		})
	}
	cell := b.field.Cell
	close := make([]bool, len(g.in)) // to a line, which says where the edge is exactly
	for _, line := range b.Lines {
		for i := 1; i < len(line); i++ {
			p, v := line[i-1], line[i].Sub(line[i-1])
			n := max(1, int(math.Ceil(2*v.Len()/cell)))
			for s := range n {
				q := p.Add(v.Mul((float64(s) + 0.5) / float64(n)))
				least(q.X, q.Y, far, math.Hypot)
				g.near(q.X, q.Y, 2*cell, func(k int, _, _ float64) { close[k] = true })
			}
		}
	}
	nx := len(g.xs)
	for k := range g.in {
		g.ways(k, func(m int) {
			if under[k] != under[m] && !close[k] && !close[m] {
				least((g.xs[k%nx]+g.xs[m%nx])/2, (g.ys[k/nx]+g.ys[m/nx])/2, far, math.Hypot)
			}
		})
	}
	return away
}

// press makes the pits of the keys, the first square, and the grooves of the channels
// that run in the parting.
func (b *Bed) press(g *graph) {
	lean := math.Tan(boxfit.KeyDraft * math.Pi / 180)
	for i, key := range b.fit.Keys {
		p, _ := b.place(key.At)
		r, deep := key.Diameter/2, boxfit.KeyDepth(key.Diameter)
		g.near(p.X, p.Y, 1.5*r, func(k int, dx, dy float64) {
			d := math.Hypot(dx, dy)
			if i == 0 {
				d = max(math.Abs(dx), math.Abs(dy))
			}
			g.top[k] = min(g.top[k], b.Height-min(deep, max(0, (r-d)/lean)))
		})
	}
	groove := func(c *boxfit.Channel) {
		if c.End == nil {
			return
		}
		a, za := b.place(c.At)
		e, ze := b.place(*c.End)
		r, v := c.Diameter/2, e.Sub(a)
		if l := v.Len(); l < 1 || math.Abs(za-b.Height) > r || math.Abs(ze-b.Height) > r {
			return // it does not run in the parting
		}
		v = v.Mul(1 + v.Len()) // and on through the skirt
		g.each(func(k int, x, y float64) {
			q := mesh.Vec2{X: x, Y: y}.Sub(a)
			t := min(1, max(0, q.Dot(v)/v.Dot(v)))
			if d := q.Sub(v.Mul(t)).Len(); d < r {
				g.top[k] = min(g.top[k], b.Height-math.Sqrt(r*r-d*d))
			}
		})
	}
	if c := b.fit.Sprue; c != nil {
		groove(c)
	}
	for i := range b.fit.Vents {
		groove(&b.fit.Vents[i])
	}
}
