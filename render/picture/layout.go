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

// Measures of the sheet, and the room for dimensions beside a view.
const (
	sheetMargin, sheetHead, sheetFoot, panelGap = 40.0, 132.0, 66.0, 14.0
	padLeft, padRight                           = 100.0, 34.0
	padTop, padBottom                           = 72.0, 86.0
	keyWidth, keyHeight                         = 236.0, 400.0 // of the legend
	padX, padY                                  = padLeft + padRight, padTop + padBottom
)

// layout places the views: the three-quarter view large, the plan and its two
// elevations at one scale, and the legend.
func (p *picture) layout() {
	lo, hi := p.sc.extent()
	size := hi.Sub(lo)
	size = mesh.V(max(size.X, 1e-9), max(size.Y, 1e-9), max(size.Z, 1e-9))
	W, H := float64(p.Rect.Dx())/p.k, float64(p.Rect.Dy())/p.k
	a := arrangement{p, size, W, W - 2*sheetMargin, H - p.head - sheetFoot}
	var scale float64
	if isFlat(size) {
		scale = a.flat()
	} else {
		scale = a.tall()
	}
	if math.Abs(size.X-size.Y) < 0.01*size.X {
		p.panels[2].title, p.panels[3].title = "One side", "Next side"
	}
	p.placeSection()

	// Move each middle so that the room for dimensions is beside the view.
	middle := lo.Add(hi).Mul(0.5)
	for _, x := range p.panels {
		switch x.kind {
		case across:
			x.enlarged = p.sec.frame(x, p.k)
		case quarter:
			p.frameQuarter(x)
		default:
			x.cam.scale = scale * p.k
			x.cam.center = middle.Sub(x.cam.right.Mul((padLeft - padRight) / 2 / scale)).Sub(x.cam.up.Mul((padBottom - padTop) / 2 / scale))
		}
	}
}

// arrangement places the views of a thing of a size on a sheet.
type arrangement struct {
	*picture
	size         mesh.Vec
	width        float64 // of the sheet
	bodyW, bodyH float64 // of what is left between head and foot
}

// add puts a view on the sheet.
func (a *arrangement) add(kind panelKind, title string, x, y, w, h float64, cam camera) {
	lo, hi := a.sc.extent()
	cam.center = lo.Add(hi).Mul(0.5)
	a.panels = append(a.panels, &panel{kind: kind, title: title, cam: cam, rect: a.pixels(x, y, x+w, y+h)})
}

// pixels is the rectangle between two corners.
func (a *arrangement) pixels(x0, y0, x1, y1 float64) rect {
	return rect{a.px(x0), a.px(y0), a.px(x1) - a.px(x0), a.px(y1) - a.px(y0)}
}

// largest is the largest scale for which fits is true.
func (a *arrangement) largest(fits func(k float64) bool) float64 {
	low, high := 0.0, max(a.bodyW, a.bodyH)/max(a.size.X, a.size.Y, a.size.Z)
	for range 60 {
		if k := (low + high) / 2; fits(k) {
			low = k
		} else {
			high = k
		}
	}
	return low
}

func planCamera() camera { return newCamera(mesh.V(1, 0, 0), mesh.V(0, 1, 0)) }
func longCamera() camera { return newCamera(mesh.V(1, 0, 0), mesh.V(0, 0, 1)) }
func endCamera() camera  { return newCamera(mesh.V(0, 1, 0), mesh.V(0, 0, 1)) }

// flat arranges a flat thing: three quarters and plan above, elevations and
// legend below. It is looked into, not along.
func (a *arrangement) flat() (scale float64) {
	const keyHigh = 300.0
	l, w, h := a.size.X, a.size.Y, a.size.Z
	rows := func(k float64) (r1, r2 float64) { return max(w*k+padY, 0.55*a.bodyH), max(h*k+padY, keyHigh) }
	scale = a.largest(func(k float64) bool {
		r1, r2 := rows(k)
		return l*k+padX <= 0.46*a.bodyW && (l+w)*k+2*padX+2*panelGap+keyWidth <= a.bodyW && r1+panelGap+r2 <= a.bodyH
	})
	c := l*scale + padX
	_, r2 := rows(scale)
	r1 := a.bodyH - panelGap - r2
	bigW := a.bodyW - panelGap - c
	y2 := a.head + r1 + panelGap
	cEnd := w*scale + padX
	spare := a.bodyW - 2*panelGap - c - cEnd - keyWidth
	cSide, cEnd := c+spare*0.3, cEnd+spare*0.3
	a.add(quarter, "Three quarters", sheetMargin, a.head, bigW, r1, orbit(a.sc.bestAzimuth(flatElevation), flatElevation))
	a.add(above, "From above", sheetMargin+bigW+panelGap, a.head, c, r1, planCamera())
	a.add(side, "Long side", sheetMargin, y2, cSide, r2, longCamera())
	a.add(end, "End", sheetMargin+cSide+panelGap, y2, cEnd, r2, endCamera())
	a.key = a.pixels(sheetMargin+cSide+cEnd+2*panelGap, y2, a.width-sheetMargin, y2+r2)
	return scale
}

// tall arranges any other thing: three quarters at the left; plan, elevations
// and legend in a square at the right: columns hold length and width, rows
// width and height.
func (a *arrangement) tall() (scale float64) {
	l, w, h := a.size.X, a.size.Y, a.size.Z
	bigW := math.Round((a.bodyW - panelGap) * 0.54)
	areaW, areaH := a.bodyW-panelGap-bigW, a.bodyH
	col := func(k float64) (c1, spare float64) {
		c1, c2 := l*k+padX, max(w*k+padX, keyWidth)
		spare = areaW - panelGap - c1 - c2
		return c1 + spare*l/(l+w), spare
	}
	row := func(k float64) (r1, spare float64) {
		r1, r2 := max(w*k+padY, keyHeight), h*k+padY
		spare = areaH - panelGap - r1 - r2
		return r1 + spare*w/(w+h), spare
	}
	scale = a.largest(func(k float64) bool {
		_, spareX := col(k)
		_, spareY := row(k)
		return spareX >= 0 && spareY >= 0
	})
	c1, _ := col(scale)
	r1, _ := row(scale)
	bx := sheetMargin + bigW + panelGap
	a.add(quarter, "Three quarters", sheetMargin, a.head, bigW, a.bodyH, orbit(a.sc.bestAzimuth(tallElevation), tallElevation))
	a.add(above, "From above", bx, a.head, c1, r1, planCamera())
	a.add(side, "Long side", bx, a.head+r1+panelGap, c1, areaH-panelGap-r1, longCamera())
	a.add(end, "End", bx+c1+panelGap, a.head+r1+panelGap, areaW-panelGap-c1, areaH-panelGap-r1, endCamera())
	a.key = a.pixels(bx+c1+panelGap, a.head, a.width-sheetMargin, a.head+r1)
	return scale
}

// placeSection gives the section room: under the three-quarter view where that
// is wide and leaves some, else in place of the view on the end, which shows
// least that the others do not.
func (p *picture) placeSection() {
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
	if spare := float64(big.h) - need - panelGap*p.k; spare >= least*p.k {
		h := int(math.Round(min(spare, 0.5*float64(big.h))))
		n.rect = rect{big.x, big.y + big.h - h, big.w, h}
		big.h -= h + p.px(panelGap)
		p.panels = append(p.panels, n)
		if p.sec.frame(n, p.k) > 1 { // the whole at the left, the place at the right
			d := *n
			n.whole = true
			n.w = int(math.Round(0.58*float64(big.w))) - p.px(panelGap)
			d.x, d.w = n.x+n.w+p.px(panelGap), big.w-n.w-p.px(panelGap)
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
