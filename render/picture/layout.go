package picture

import (
	"math"
	"strconv"

	"moldtally/mesh"
)

// rect is a box of whole pixels.
type rect struct{ x, y, w, h int }

const (
	quarter panelKind = iota
	above
	side
	end
	across // the section
)

type panelKind int

// panel is a view with its place on the sheet.
type panel struct {
	kind  panelKind
	title string
	rect
	cam      camera
	v        *view
	whole    bool    // a section is not enlarged
	enlarged float64 // how many times it is
}

// at is where a scene point stands on the sheet.
func (x *panel) at(p mesh.Vec) point {
	q := x.cam.project(p)
	return point{q.x + float64(x.x) + float64(x.w)/2, q.y + float64(x.y) + float64(x.h)/2}
}

func (p *picture) px(x float64) int { return int(math.Round(x * p.k)) }

// layout places the views: the three-quarter view large, the plan and its two
// elevations at one scale, and the legend.
func (p *picture) layout() {
	const (
		margin, head, foot, gap = 40.0, 132.0, 66.0, 14.0
		padLeft, padRight       = 100.0, 34.0 // room for a dimension beside a view
		padTop, padBottom       = 72.0, 86.0
		keyWidth, keyHeight     = 236.0, 400.0
	)
	W, H := float64(p.Rect.Dx())/p.k, float64(p.Rect.Dy())/p.k
	lo, hi := p.sc.extent()
	size := hi.Sub(lo)
	l, w, h := max(size.X, 1e-9), max(size.Y, 1e-9), max(size.Z, 1e-9)

	bodyW, bodyH := W-2*margin, H-head-foot
	padX, padY := padLeft+padRight, padTop+padBottom
	flat := h < 0.4*max(l, w)

	middle := lo.Add(hi).Mul(0.5)
	add := func(kind panelKind, title string, x, y, w, h float64, cam camera) {
		cam.center = middle
		n := &panel{kind: kind, title: title, rect: rect{p.px(x), p.px(y), p.px(x+w) - p.px(x), p.px(y+h) - p.px(y)}, cam: cam}
		p.panels = append(p.panels, n)
	}
	// The largest scale for which fits is true.
	largest := func(fits func(k float64) bool) float64 {
		low, high := 0.0, max(bodyW, bodyH)/max(l, w, h)
		for range 60 {
			if k := (low + high) / 2; fits(k) {
				low = k
			} else {
				high = k
			}
		}
		return low
	}
	var scale float64
	plan, long, short := newCamera(mesh.V(1, 0, 0), mesh.V(0, 1, 0)), newCamera(mesh.V(1, 0, 0), mesh.V(0, 0, 1)), newCamera(mesh.V(0, 1, 0), mesh.V(0, 0, 1))
	if flat {
		// A flat thing: three quarters and plan above, elevations and legend
		// below. It is looked into, not along.
		const keyHigh = 300.0
		rows := func(k float64) (r1, r2 float64) { return max(w*k+padY, 0.55*bodyH), max(h*k+padY, keyHigh) }
		scale = largest(func(k float64) bool {
			r1, r2 := rows(k)
			return l*k+padX <= 0.46*bodyW && (l+w)*k+2*padX+2*gap+keyWidth <= bodyW && r1+gap+r2 <= bodyH
		})
		c := l*scale + padX
		_, r2 := rows(scale)
		r1 := bodyH - gap - r2
		bigW := bodyW - gap - c
		y2 := head + r1 + gap
		cEnd := w*scale + padX
		spare := bodyW - 2*gap - c - cEnd - keyWidth
		cSide, cEnd := c+spare*0.3, cEnd+spare*0.3
		add(quarter, "Three quarters", margin, head, bigW, r1, orbit(p.sc.bestAzimuth(36), 36))
		add(above, "From above", margin+bigW+gap, head, c, r1, plan)
		add(side, "Long side", margin, y2, cSide, r2, long)
		add(end, "End", margin+cSide+gap, y2, cEnd, r2, short)
		kx := margin + cSide + cEnd + 2*gap
		p.key = rect{p.px(kx), p.px(y2), p.px(W-margin) - p.px(kx), p.px(y2+r2) - p.px(y2)}
	} else {
		// Three quarters at the left; plan, elevations and legend in a square
		// at the right: columns hold length and width, rows width and height.
		bigW := math.Round((bodyW - gap) * 0.54)
		areaW, areaH := bodyW-gap-bigW, bodyH
		col := func(k float64) (c1, spare float64) {
			c1, c2 := l*k+padX, max(w*k+padX, keyWidth)
			spare = areaW - gap - c1 - c2
			return c1 + spare*l/(l+w), spare
		}
		row := func(k float64) (r1, spare float64) {
			r1, r2 := max(w*k+padY, keyHeight), h*k+padY
			spare = areaH - gap - r1 - r2
			return r1 + spare*w/(w+h), spare
		}
		scale = largest(func(k float64) bool {
			_, spareX := col(k)
			_, spareY := row(k)
			return spareX >= 0 && spareY >= 0
		})
		c1, _ := col(scale)
		r1, _ := row(scale)
		bx := margin + bigW + gap
		add(quarter, "Three quarters", margin, head, bigW, bodyH, orbit(p.sc.bestAzimuth(24), 24))
		add(above, "From above", bx, head, c1, r1, plan)
		add(side, "Long side", bx, head+r1+gap, c1, areaH-gap-r1, long)
		add(end, "End", bx+c1+gap, head+r1+gap, areaW-gap-c1, areaH-gap-r1, short)
		p.key = rect{p.px(bx + c1 + gap), p.px(head), p.px(W-margin) - p.px(bx+c1+gap), p.px(head+r1) - p.px(head)}
	}
	if math.Abs(l-w) < 0.01*l {
		p.panels[2].title, p.panels[3].title = "One side", "Next side"
	}
	p.placeSection(gap)

	// Move each middle so that the room for dimensions is beside the view.
	for _, x := range p.panels {
		if x.kind == across {
			x.enlarged = p.sec.frame(x, p.k)
			continue
		}
		if x.kind == quarter {
			bLo, bHi := p.sc.boardBox()
			x.cam.center = bLo.Add(bHi).Mul(0.5)
			vw, vh := x.cam.span(bLo, bHi)
			x.cam.scale = min((float64(x.w)-170*p.k)/vw, (float64(x.h)-150*p.k)/vh)
			x.cam.center = x.cam.center.Add(x.cam.right.Mul(30 * p.k / x.cam.scale)).Add(x.cam.up.Mul(10 * p.k / x.cam.scale))
			continue
		}
		x.cam.scale = scale * p.k
		x.cam.center = x.cam.center.Sub(x.cam.right.Mul((padLeft - padRight) / 2 / scale)).Sub(x.cam.up.Mul((padBottom - padTop) / 2 / scale))
	}
}

// placeSection gives the section room: under the three-quarter view where that
// is wide and leaves some, else in place of the view on the end, which shows
// least that the others do not.
func (p *picture) placeSection(gap float64) {
	if p.sec == nil {
		return
	}
	n := &panel{kind: across, title: "Section " + sectionLetter + "-" + sectionLetter, cam: newCamera(p.sec.e, mesh.V(0, 0, 1))}
	through := ""
	if p.sec.id > 0 {
		through = ", through " + strconv.Itoa(p.sec.id)
	}
	const least = 330 // pixels of height worth giving
	big := p.panels[0]
	lo, hi := p.sc.boardBox()
	vw, vh := big.cam.span(lo, hi)
	need := 0.88*(float64(big.w)-170*p.k)/vw*vh + 150*p.k // a little smaller is worth it
	if spare := float64(big.h) - need - gap*p.k; spare >= least*p.k {
		h := int(math.Round(min(spare, 0.5*float64(big.h))))
		n.rect = rect{big.x, big.y + big.h - h, big.w, h}
		big.h -= h + p.px(gap)
		p.panels = append(p.panels, n)
		if p.sec.frame(n, p.k) > 1 { // the whole at the left, the place at the right
			d := *n
			n.whole = true
			n.w = int(math.Round(0.58*float64(big.w))) - p.px(gap)
			d.x, d.w = n.x+n.w+p.px(gap), big.w-n.w-p.px(gap)
			d.title += through
			p.panels = append(p.panels, &d)
			return
		}
		n.title += through
		return
	}
	n.title += through
	n.rect = p.panels[3].rect
	p.panels[3] = n
}
