package picture

import (
	"image"
	"image/color"
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/render"
)

// extent is what the section shows when it is not enlarged.
func (x *section) extent() (lo, hi point) {
	lo, hi = x.lo, x.hi
	if x.over != nil {
		a, b := reached(x.over)
		lo, hi = point{min(lo.x, a.x), min(lo.y, a.y)}, point{max(hi.x, b.x), max(hi.y, b.y)}
	}
	if x.in.x < x.in.y {
		lo = point{min(lo.x, x.in.x-x.wall.x), min(lo.y, 0)}
		hi = point{max(hi.x, x.in.y+x.wall.y), max(hi.y, x.height)}
	}
	return lo, hi
}

// frame places the section in its panel: whole where its depth can be seen
// then, else enlarged round the worst place. It returns how much it is
// enlarged.
func (x *section) frame(n *panel, k float64) float64 {
	const (
		padLeft, padRight = 100.0, 40.0
		padTop, padBottom = 72.0, 46.0
		seen, shown       = 34.0, 62.0 // pixels of depth: enough, and when enlarged
		most              = 40.0       // times; past that a wall is a blank
	)
	lo, hi := x.extent()
	size := hi.sub(lo)
	w, h := float64(n.w)-(padLeft+padRight)*k, float64(n.h)-(padTop+padBottom)*k
	whole := min(w/max(size.x, 1e-9), h/max(size.y, 1e-9))
	whole = max(whole, 1e-9)
	depth := x.to - x.from
	place := func(t, z float64) mesh.Vec {
		p := x.at.Add(x.e.Mul(t))
		p.Z = z
		return p
	}
	n.cam.scale, n.cam.center = whole, place((lo.x+hi.x)/2-(padLeft-padRight)/2*k/whole, (lo.y+hi.y)/2-(padBottom-padTop)/2*k/whole)
	if n.whole || depth*whole >= seen*k || depth <= 0 {
		return 1
	}
	big := min(shown*k/depth, most*whole)
	half := 0.22 * float64(n.h) / big
	z := x.level + min(max((x.edge-x.level)/2, -half), half)
	z = max(z+25*k/big, x.floor+(float64(n.h)/2-40*k)/big) // little is shown of the board
	n.cam.scale, n.cam.center = big, place((x.from+x.to)/2, z)
	return big / whole
}

// section draws the cut.
func (p *picture) section(n *panel) {
	x, k := p.sec, p.k
	saved := p.clip
	p.clip = image.Rect(n.x, n.y, n.x+n.w, n.y+n.h).Intersect(saved)
	if n.enlarged > 1 {
		f := n.detail(k)
		p.clip = image.Rect(f.x, f.y, f.x+f.w, f.y+f.h).Intersect(saved)
	}
	place := func(t, z float64) point {
		q := x.at.Add(x.e.Mul(t))
		q.Z = z
		return n.at(q)
	}
	box := func(t0, z0, t1, z1 float64, c color.NRGBA) {
		a, b := place(t0, z1), place(t1, z0)
		p.polygon([]point{a, {b.x, a.y}, b, {a.x, b.y}}, c)
	}
	boxed := x.in.x < x.in.y
	far := 4 * (math.Abs(x.lo.x) + math.Abs(x.hi.x) + math.Abs(x.in.x) + math.Abs(x.in.y))
	if p.onBoard() {
		lo, hi := x.extent()
		m := 0.045 * (hi.x - lo.x)
		if n.enlarged > 1 {
			m = far
		}
		box(lo.x-m, x.floor-0.03*(hi.y-lo.y), hi.x+m, x.floor, boardFront)
	}
	p.cutFaces(n, boxed)
	if boxed {
		line := func(t, w float64, outer float64) {
			if w > 0 {
				box(min(t, t+outer*w), 0, max(t, t+outer*w), x.height, wallFill)
			}
			p.line(place(t, 0), place(t, x.height), 2*k, glassEdge)
			if w > 0 {
				p.line(place(t+outer*w, 0), place(t+outer*w, x.height), 1.2*k, glassEdge)
				p.line(place(t, x.height), place(t+outer*w, x.height), 1.2*k, glassEdge)
			}
		}
		line(x.in.x, x.wall.x, -1)
		line(x.in.y, x.wall.y, 1)
		p.line(place(x.in.x, 0), place(x.in.y, 0), 1.4*k, glassEdge)
		p.dashed(place(x.in.x, x.fill), place(x.in.y, x.fill), 1.4*k, 7*k, 5*k, fillEdge)
	}
	if x.parting != nil {
		t0, t1 := x.lo.x, x.hi.x
		if boxed {
			t0, t1 = x.in.x, x.in.y
		}
		p.dashed(place(t0, *x.parting), place(t1, *x.parting), 1.6*k, 11*k, 5*k, partingInk)
	}
	p.outlines(n, place)
	p.clip = saved
	if n.enlarged > 1 {
		f := n.detail(k)
		a, b := point{float64(f.x), float64(f.y)}, point{float64(f.x + f.w), float64(f.y + f.h)}
		for _, e := range [][2]point{{a, {b.x, a.y}}, {{b.x, a.y}, b}, {b, {a.x, b.y}}, {{a.x, b.y}, a}} {
			p.line(e[0], e[1], 1.2*k, render.FaintInk)
		}
	}
}

// detail is the part of a section's panel that an enlarged one fills.
func (x *panel) detail(k float64) rect {
	m, top := int(14*k), int(64*k)
	return rect{x.x + m, x.y + top, max(x.w-2*m, 1), max(x.h-top-m, 1)}
}

// onBoard reports whether the pattern stands on a board in its mold.
func (p *picture) onBoard() bool {
	if f := p.s.Fit; f != nil && f.Mold != "" {
		return demold.Mold(f.Mold).OnBoard()
	}
	return p.s.Report == nil || p.s.Report.Parting == nil
}

// cutFaces fills solid and rubber.
func (p *picture) cutFaces(n *panel, boxed bool) {
	x, k := p.sec, p.k
	w, h := n.w, n.h
	scale := n.cam.scale
	left := n.at(x.at).x - float64(n.x) // where t is 0, pixels from the panel's left
	step := 1 / (subColumns * scale)
	t0 := (0.5/subColumns - left) / scale
	solid := uprights(x.segs, t0, step, w*subColumns)
	row := func(z float64) float64 { // pixels from the panel's top
		q := x.at
		q.Z = z
		return n.at(q).y - float64(n.y)
	}
	const layers = 5
	cover := make([]float32, layers*h) // solid, rubber, rubber under an overhang, what fills a coat out, shell
	add := func(layer int, z0, z1 float64) {
		a, b := max(row(z1), 0), min(row(z0), float64(h))
		for y := int(a); y < h && float64(y) < b; y++ {
			cover[layer*h+y] += float32(min(b, float64(y+1)) - max(a, float64(y)))
		}
	}
	field := p.s.Report.Field
	period := max(int(math.Round(9*k)), 3)
	for col := range w {
		clear(cover)
		for sub := range subColumns {
			i := col*subColumns + sub
			t := t0 + float64(i)*step
			in, ok := spans(solid[i])
			if !ok && field != nil {
				in = x.column(field, p.sc, t)
			}
			for _, s := range in {
				add(0, s[0], s[1])
			}
			var room [][2]float64 // where rubber can be
			switch {
			case x.over != nil:
				room = plumb(x.over, x.over.Coat, nil, t)
				for _, s := range plumb(x.over, x.over.Filled, x.over.Coat, t) {
					add(3, s[0], s[1])
				}
				for _, s := range plumb(x.over, x.over.Shell, nil, t) {
					add(4, s[0], s[1])
				}
			case boxed && t > x.in.x && t < x.in.y:
				room = [][2]float64{{0, x.fill}}
			}
			for _, r := range room {
				at := r[0]
				for j := 0; j <= len(in); j++ {
					end := r[1]
					if j < len(in) {
						end = min(end, in[j][0])
					}
					if end > at {
						p.rubber(add, in, at, end)
					}
					if j < len(in) {
						at = max(at, in[j][1])
					}
				}
			}
		}
		p.cutColumn(n, col, cover, period)
	}
}

// cutColumn blends the layers of a column of pixels of a panel, as far as each covers
// them; solid is hatched, every so many pixels.
func (p *picture) cutColumn(n *panel, col int, cover []float32, period int) {
	h := n.h
	inks := [...]struct {
		layer int
		ink   color.NRGBA
	}{{1, rubberPale}, {2, rubberDeep}, {3, fillingInk}, {4, wallFill}}
	for y := range h {
		px, py := n.x+col, n.y+y
		for _, l := range inks {
			if c := cover[l.layer*h+y]; c > 0 {
				p.blend(px, py, l.ink, float64(c)/subColumns)
			}
		}
		if c := cover[y]; c > 0 {
			ink := cutFill
			if ((px+py)%period+period)%period < max(1, period/7) {
				ink = cutHatch
			}
			p.blend(px, py, ink, float64(c)/subColumns)
		}
	}
}

// rubber adds a stretch of rubber: deep where solid holds it, over it in an
// upper half, under it in a lower one.
func (p *picture) rubber(add func(layer int, z0, z1 float64), in [][2]float64, z0, z1 float64) {
	x := p.sec
	piece := func(a, b float64, down bool) {
		if b <= a {
			return
		}
		held := false
		for _, s := range in {
			held = held || !down && s[0] >= b-1e-9 || down && s[1] <= a+1e-9
		}
		if held {
			add(2, a, b)
		} else {
			add(1, a, b)
		}
	}
	if x.parting == nil {
		piece(z0, z1, false)
		return
	}
	piece(z0, min(z1, *x.parting), true)
	piece(max(z0, *x.parting), z1, false)
}

// outlines draws the pattern's outline, along it what is undercut in the colors
// of the scale.
func (p *picture) outlines(n *panel, place func(t, z float64) point) {
	x, k := p.sec, p.k
	bounds := [4]float64{float64(n.x) - 8, float64(n.y) - 8, float64(n.x+n.w) + 8, float64(n.y+n.h) + 8}
	draw := func(c cut, width float64, ink color.NRGBA) {
		a, b := place(c.a.x, c.a.y), place(c.b.x, c.b.y)
		if max(a.x, b.x) < bounds[0] || max(a.y, b.y) < bounds[1] || min(a.x, b.x) > bounds[2] || min(a.y, b.y) > bounds[3] {
			return
		}
		p.line(a, b, width, ink)
	}
	for _, c := range x.segs {
		path := float64(max(c.pa, c.pb))
		if path <= 0 {
			continue
		}
		col := lockedTint
		if !math.IsInf(path, 1) {
			path = float64(c.pa+c.pb) / 2
			col = rampAt(path / p.sc.top)
		}
		draw(c, 6*k, col.encoded())
	}
	for _, c := range x.segs {
		draw(c, 1.5*k, render.Ink)
	}
}
