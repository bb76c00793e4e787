package picture

import (
	"context"
	"image"
	"strconv"

	"moldtally/estimate"
	"moldtally/render"
)

// Bench sizes, pixels: small, so that words and numbers are large on a page.
const benchWidth, benchHeight, benchScale = 1080, 800, 1.6

// Bench draws the three-quarter view alone, its words large enough to be read on a
// third of a page, and marks places of the file, mm, with their numbers from 1: those
// of the findings of a bench sheet. A nil place bears none. It is deterministic as
// Preview is; cancelling ctx ends it with ctx's error.
func Bench(ctx context.Context, s *estimate.Session, o Options, places []*[3]float64) (*image.NRGBA, error) {
	o.Width, o.Height = benchWidth, benchHeight
	o.bench = true
	p, err := prepare(ctx, s, o)
	if err != nil {
		return nil, err
	}
	if err := p.views(ctx, func(string, int, int) {}); err != nil {
		return nil, err
	}
	x := p.panels[0]
	p.callouts(x, p.places(), p.lift(x))
	p.findings(x, places)
	return &image.NRGBA{Pix: p.Pix, Stride: p.Stride, Rect: p.Rect}, nil
}

// layoutBench gives the three-quarter view all the room.
func (p *picture) layoutBench() {
	lo, hi := p.sc.extent()
	size := hi.Sub(lo)
	elevation := quarterElevation(size)
	x := &panel{kind: quarter, cam: orbit(p.sc.bestAzimuth(elevation), elevation), rect: rect{0, 0, p.Rect.Dx(), p.Rect.Dy()}}
	p.panels = []*panel{x}
	p.frameQuarter(x)
}

// frameQuarter sets the scale of a three-quarter view so that it holds all that is
// drawn, with room for words.
func (p *picture) frameQuarter(x *panel) {
	bLo, bHi := p.sc.boardBox()
	x.cam.center = bLo.Add(bHi).Mul(0.5)
	vw, vh := x.cam.span(bLo, bHi)
	x.cam.scale = min((float64(x.w)-170*p.k)/vw, (float64(x.h)-150*p.k)/vh)
	x.cam.center = x.cam.center.Add(x.cam.right.Mul(30 * p.k / x.cam.scale)).Add(x.cam.up.Mul(10 * p.k / x.cam.scale))
}

// findings marks places with the numbers of the findings that tell them: full where
// the place is seen, hollow where something hides it.
func (p *picture) findings(x *panel, places []*[3]float64) {
	k := p.k
	radius := 15 * k
	for i, at := range places {
		if at == nil {
			continue
		}
		place := p.sc.at(vec(*at))
		q := x.at(place)
		to, ok := p.beside(q, radius, x.rect)
		if !ok {
			to = q
		}
		if d := to.sub(q).len(); d > radius {
			dir := to.towards(q)
			p.line(to.add(dir.mul(radius)), q, 3.4*k, nrgba(0xFFFFFF, 220))
			p.line(to.add(dir.mul(radius)), q, 1.6*k, render.CareInk)
			p.ring(q, 2.5*k, 2.5*k, render.CareInk)
		}
		p.disc(to, strconv.Itoa(i+1), render.CareInk, x.v == nil || x.v.seen(place, 0.012*x.v.reach))
		p.take(around(to, radius, radius))
	}
}
