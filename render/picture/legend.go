package picture

import (
	"image/color"
	"math"

	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// legend explains the colors.
func (p *picture) legend() {
	k := p.k
	r := p.key
	x, y := float64(r.x)+22*k, float64(r.y)+30*k
	for row := r.y; row < r.y+r.h; row++ {
		t := float64(row-r.y) / float64(r.h)
		c := color.NRGBA{over(panelHigh.R, panelLow.R, t), over(panelHigh.G, panelLow.G, t), over(panelHigh.B, panelLow.B, t), 255}
		for col := r.x; col < r.x+r.w; col++ {
			p.blend(col, row, c, 1)
		}
	}
	sc := p.sc
	if sc.path == nil {
		p.text("Undercuts were", point{x, y}, typeface.Medium, 17*k, alignLeft, render.SoftInk)
		p.text("not looked at", point{x, y + 22*k}, typeface.Medium, 17*k, alignLeft, render.SoftInk)
		p.swatches(point{x, y + 70*k})
		return
	}
	p.text("How far rubber must", point{x, y}, typeface.Medium, 17*k, alignLeft, render.Ink)
	p.text("bend to let go", point{x, y + 22*k}, typeface.Medium, 17*k, alignLeft, render.Ink)
	if !sc.undercut {
		p.text("nowhere:", point{x, y + 54*k}, typeface.Regular, 17*k, alignLeft, render.GoodInk)
		p.text("nothing is undercut", point{x, y + 76*k}, typeface.Regular, 17*k, alignLeft, render.GoodInk)
		p.swatches(point{x, y + 116*k})
		return
	}
	unitName := "mm"
	if p.System == unit.US {
		unitName = "in"
	}
	p.text(unitName, point{x, y + 48*k}, typeface.Regular, 15*k, alignLeft, render.SoftInk)
	n := 0
	for _, shown := range []bool{sc.locked, sc.patches, len(p.lines) > 0} {
		if shown {
			n++
		}
	}
	bottom := float64(r.y+r.h) - (34+31*float64(n))*k
	p.scale(x, y+64*k, bottom)
	p.swatches(point{x, bottom + 34*k})
}

// scale draws the ramp from its top to its bottom, its steps, and the deepest
// undercut beside it.
func (p *picture) scale(x, top, bottom float64) {
	sc, k := p.sc, p.k
	height := bottom - top
	barW := 34 * k
	for row := range int(height) {
		col := rampAt(1 - (float64(row)+0.5)/height).encoded()
		for i := range int(barW) {
			p.blend(int(x)+i, int(top)+row, col, 1)
		}
	}
	decimals := max(0, int(math.Ceil(-math.Log10(sc.step/sc.unit)-1e-9)))
	for i := 0; float64(i)*sc.step <= sc.top*(1+1e-9); i++ {
		v := float64(i) * sc.step
		yy := bottom - v/sc.top*height
		p.line(point{x + barW, yy}, point{x + barW + 8*k, yy}, 1.4*k, render.SoftInk)
		p.text(figure.Fixed(v/sc.unit, decimals), point{x + barW + 14*k, yy + 6*k}, typeface.Regular, 17*k, alignLeft, render.Ink)
	}
	d := p.s.Report
	deepest, word := d.FreePath, "else deepest"
	if d.UndercutPath != nil {
		deepest, word = *d.UndercutPath, "deepest"
	}
	if deepest > 0 {
		a := point{x + barW + 62*k, bottom - deepest/sc.top*height}
		p.polygon([]point{a, a.add(point{12 * k, -7 * k}), a.add(point{12 * k, 7 * k})}, render.Ink)
		p.text(word, a.add(point{18 * k, -4 * k}), typeface.Regular, 15*k, alignLeft, render.SoftInk)
		p.text(p.Inline(figure.Length(deepest, figure.LengthStep(d.Uncertainty))), a.add(point{18 * k, 14 * k}), typeface.Medium, 17*k, alignLeft, render.Ink)
	}
}

// swatches explains the colors that are not depths, from a place down.
func (p *picture) swatches(at point) {
	k := p.k
	row := func(fill func(px, py int) rgb, word string) {
		x0, y0, s := int(at.x), int(at.y-15*k), int(22*k)
		for j := range s {
			for i := range s {
				p.blend(x0+i, y0+j, fill(x0+i, y0+j).encoded(), 1)
			}
		}
		p.text(word, point{at.x + 32*k, at.y + 2*k}, typeface.Regular, 16*k, alignLeft, render.Ink)
		at.y += 31 * k
	}
	if p.sc.locked {
		row(func(px, py int) rgb {
			if stripe((px+py)*samples, 14) {
				return lockedDark
			}
			return lockedTint
		}, "locked: no way out")
	}
	if p.sc.patches {
		row(func(px, py int) rgb {
			c := ramp[0].mix(patchTint, 0.35)
			if stripe((px-py)*samples, 12) {
				c = c.mul(0.62)
			}
			return c
		}, "invented to close it")
	}
	if len(p.lines) > 0 {
		p.line(point{at.x, at.y - 4*k}, point{at.x + 22*k, at.y - 4*k}, 3*k, partingInk)
		p.text(p.linesAre, point{at.x + 32*k, at.y + 2*k}, typeface.Regular, 16*k, alignLeft, render.Ink)
	}
}
