package picture

import (
	"image"
	"image/color"
	"math"

	"moldtally/render/typeface"
)

// canvas is an opaque picture with the few shapes that a drawing of a mold
// needs, each with exact coverage at its edges. Positions are pixels, y down;
// everything scales by k, so a picture of any size looks the same.
type canvas struct {
	*image.RGBA
	k     float64
	words []string        // all that was written, in order
	clip  image.Rectangle // nothing is drawn outside
}

func newCanvas(w, h int, k float64) *canvas {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	return &canvas{m, k, nil, m.Rect}
}

type point struct{ x, y float64 }

func (p point) add(q point) point     { return point{p.x + q.x, p.y + q.y} }
func (p point) sub(q point) point     { return point{p.x - q.x, p.y - q.y} }
func (p point) mul(k float64) point   { return point{p.x * k, p.y * k} }
func (p point) len() float64          { return math.Hypot(p.x, p.y) }
func (p point) dot(q point) float64   { return p.x*q.x + p.y*q.y }
func (p point) towards(q point) point { d := q.sub(p); return d.mul(1 / max(d.len(), 1e-9)) }
func (p point) left() point           { return point{p.y, -p.x} }
func mid(p, q point) point            { return point{(p.x + q.x) / 2, (p.y + q.y) / 2} }
func nrgba(v uint32, a uint8) color.NRGBA {
	return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), a}
}

// blend puts color c over pixel (x, y) with the given coverage.
func (c *canvas) blend(x, y int, col color.NRGBA, cover float64) {
	if x < c.clip.Min.X || y < c.clip.Min.Y || x >= c.clip.Max.X || y >= c.clip.Max.Y || cover <= 0 {
		return
	}
	a := min(cover, 1) * float64(col.A) / 255
	i := y*c.Stride + 4*x
	p := c.Pix[i : i+4 : i+4]
	p[0] = over(p[0], col.R, a)
	p[1] = over(p[1], col.G, a)
	p[2] = over(p[2], col.B, a)
	p[3] = 255
}

func over(dst, src uint8, a float64) uint8 {
	return uint8(float64(dst) + (float64(src)-float64(dst))*a + 0.5)
}

// shape fills every pixel of a box by the signed distance to a shape's edge
// (negative inside).
func (c *canvas) shape(lo, hi point, col color.NRGBA, dist func(p point) float64) {
	x0, y0 := int(math.Floor(lo.x-1)), int(math.Floor(lo.y-1))
	x1, y1 := int(math.Ceil(hi.x+1)), int(math.Ceil(hi.y+1))
	x0, y0 = max(x0, c.clip.Min.X), max(y0, c.clip.Min.Y)
	x1, y1 = min(x1, c.clip.Max.X-1), min(y1, c.clip.Max.Y-1)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			d := dist(point{float64(x) + 0.5, float64(y) + 0.5})
			if d < 0.5 {
				c.blend(x, y, col, 0.5-d)
			}
		}
	}
}

// line draws a straight line of the given width.
func (c *canvas) line(a, b point, width float64, col color.NRGBA) {
	r := width / 2
	d := b.sub(a)
	l2 := max(d.dot(d), 1e-12)
	lo := point{min(a.x, b.x) - r, min(a.y, b.y) - r}
	hi := point{max(a.x, b.x) + r, max(a.y, b.y) + r}
	c.shape(lo, hi, col, func(p point) float64 {
		t := min(max(p.sub(a).dot(d)/l2, 0), 1)
		return p.sub(a.add(d.mul(t))).len() - r
	})
}

// dashed draws a line in dashes.
func (c *canvas) dashed(a, b point, width, dash, gap float64, col color.NRGBA) {
	l := b.sub(a).len()
	dir := a.towards(b)
	for s := 0.0; s < l; s += dash + gap {
		c.line(a.add(dir.mul(s)), a.add(dir.mul(min(s+dash, l))), width, col)
	}
}

// polygon fills a convex polygon, whichever way it runs.
func (c *canvas) polygon(pts []point, col color.NRGBA) {
	lo, hi := pts[0], pts[0]
	area := 0.0
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		area += p.x*q.y - p.y*q.x
		lo, hi = point{min(lo.x, p.x), min(lo.y, p.y)}, point{max(hi.x, p.x), max(hi.y, p.y)}
	}
	sign := 1.0
	if area < 0 {
		sign = -1
	}
	c.shape(lo, hi, col, func(p point) float64 {
		d := math.Inf(-1)
		for i, a := range pts {
			b := pts[(i+1)%len(pts)]
			e := a.towards(b)
			v := p.sub(a)
			d = max(d, -sign*(e.x*v.y-e.y*v.x))
		}
		return d
	})
}

// round fills a rectangle with round corners.
func (c *canvas) round(lo, hi point, r float64, col color.NRGBA) {
	m := mid(lo, hi)
	half := point{(hi.x-lo.x)/2 - r, (hi.y-lo.y)/2 - r}
	c.shape(lo, hi, col, func(p point) float64 {
		q := point{math.Abs(p.x-m.x) - half.x, math.Abs(p.y-m.y) - half.y}
		return point{max(q.x, 0), max(q.y, 0)}.len() + min(max(q.x, q.y), 0) - r
	})
}

// ring draws a circle.
func (c *canvas) ring(at point, r, width float64, col color.NRGBA) {
	e := r + width
	c.shape(point{at.x - e, at.y - e}, point{at.x + e, at.y + e}, col, func(p point) float64 {
		return math.Abs(p.sub(at).len()-r) - width/2
	})
}

// arrow draws a shaft with a head at b.
func (c *canvas) arrow(a, b point, width, head float64, col color.NRGBA) {
	dir := a.towards(b)
	back := b.sub(dir.mul(head))
	side := dir.left().mul(head * 0.42)
	c.line(a, back, width, col)
	c.polygon([]point{b, back.add(side), back.sub(side)}, col)
}

// align places text against a point.
type align int

const (
	alignLeft align = iota
	alignCenter
	alignRight
)

// width of a text in pixels.
func (c *canvas) width(s string, w typeface.Face, px float64) float64 {
	return w.Width(s) * px
}

// text sets one line with its baseline at p.
func (c *canvas) text(s string, p point, w typeface.Face, px float64, al align, col color.NRGBA) {
	c.words = append(c.words, s)
	switch al {
	case alignCenter:
		p.x -= w.Width(s) * px / 2
	case alignRight:
		p.x -= w.Width(s) * px
	}
	for _, r := range s {
		g := w.Glyph(r)
		c.mask(g.Mask(p.x, p.y, px), col)
		p.x += g.Advance * px
	}
}

// mask fills what a mask covers.
func (c *canvas) mask(m *image.Alpha, col color.NRGBA) {
	if m == nil {
		return
	}
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			if a := m.Pix[y*m.Stride+x]; a > 0 {
				c.blend(m.Rect.Min.X+x, m.Rect.Min.Y+y, col, float64(a)/255)
			}
		}
	}
}

// fit shortens a text to at most max pixels, its middle replaced by dots.
func (c *canvas) fit(s string, w typeface.Face, px, most float64) string {
	if c.width(s, w, px) <= most {
		return s
	}
	r := []rune(s)
	for n := len(r) - 1; n > 2; n-- {
		t := string(r[:(n+1)/2]) + "…" + string(r[len(r)-n/2:])
		if c.width(t, w, px) <= most {
			return t
		}
	}
	return "…"
}
