package picture

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/par"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

// Options says how to draw. The zero value is the default.
type Options struct {
	Width, Height int         // pixels; 0 = 1600 × 1200; at least 400 × 300, at most 8000 a side
	System        unit.System // of the labels; "" = unit.Both
	Progress      func(stage string, done, total int)
}

// Picture sizes, pixels.
const (
	baseWidth, baseHeight = 1600, 1200
	leastWidth            = 400
	leastHeight           = 300
	mostSide              = 8000
)

// Grounds of the views, inks of their own.
var (
	panelHigh = nrgba(0xFFFFFF, 255)
	panelLow  = nrgba(0xF0EEE9, 255)
	// partingInk is a hue that the color scale does not have.
	partingInk = nrgba(0x9C1F5C, 235)
)

// Preview draws a session on one sheet: the pattern from above, from two sides
// and at three quarters, colored by how far rubber there must bend to get out,
// inside its container as glass, with the container's inside measurements, the
// fill line and the way the mold lifts. Undercuts bear the numbers that the sheet
// gives them, and a section to scale goes through the worst one, its depth
// measured; on a tall sheet it stands in the place of the view on the end. A
// parting line that runs up and down a plumb wall is drawn by its mean course.
// Surface that was invented to close the mesh is hatched. A session without
// container or report is drawn without them.
//
// It draws opaque triangles with fauxgl, one view per goroutine, and the glass
// itself, so the same session gives the same bytes on any number of cores. It
// takes about a second for a million triangles and some 20 bytes per sample
// (four samples to a pixel). Cancelling ctx ends it with ctx's error.
func Preview(ctx context.Context, s *estimate.Session, o Options) (*image.NRGBA, error) {
	p, err := newPicture(ctx, s, o)
	if err != nil {
		return nil, err
	}
	// All is opaque, where the two layouts of color agree.
	return &image.NRGBA{Pix: p.Pix, Stride: p.Stride, Rect: p.Rect}, nil
}

// picture is the sheet being drawn.
type picture struct {
	*canvas
	figure.Units
	s        *estimate.Session
	sc       *scene
	panels   []*panel
	key      rect     // where the legend stands
	sec      *section // nil = nothing to cut
	taken    []box    // where words stand
	marks    []mark   // numbers of undercuts that were drawn
	lines    [][]mesh.Vec
	linesAre string
}

func newPicture(ctx context.Context, s *estimate.Session, o Options) (*picture, error) {
	if s == nil || s.Mesh == nil && s.Solid == nil {
		return nil, errors.New("picture: nothing to draw")
	}
	if o.Width == 0 && o.Height == 0 {
		o.Width, o.Height = baseWidth, baseHeight
	}
	if o.Width == 0 {
		o.Width = o.Height * baseWidth / baseHeight
	}
	if o.Height == 0 {
		o.Height = o.Width * baseHeight / baseWidth
	}
	if o.Width < leastWidth || o.Height < leastHeight || o.Width > mostSide || o.Height > mostSide {
		return nil, fmt.Errorf("picture: %d by %d pixels were asked for: at least %d by %d, at most %d a side", o.Width, o.Height, leastWidth, leastHeight, mostSide)
	}
	if o.System != unit.Metric && o.System != unit.US {
		o.System = unit.Both
	}
	if o.Progress == nil {
		o.Progress = func(string, int, int) {}
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("picture: %w", err)
	}
	k := min(float64(o.Width)/baseWidth, float64(o.Height)/baseHeight)
	legendUnit := 1.0
	if o.System == unit.US {
		legendUnit = float64(unit.Inch)
	}
	sc, err := newScene(ctx, s, legendUnit)
	if err != nil {
		return nil, err
	}
	sec, err := newSection(ctx, s, sc)
	if err != nil {
		return nil, err
	}
	p := &picture{canvas: newCanvas(o.Width, o.Height, k), s: s, Units: figure.Units{System: o.System}, sc: sc, sec: sec}
	p.lines, p.linesAre = openingLines(s.Report, sc)
	draw.Draw(p.RGBA, p.Rect, image.NewUniform(render.Paper), image.Point{}, draw.Src)
	p.layout()
	if err := p.views(ctx, o.Progress); err != nil {
		return nil, err
	}
	p.header()
	for _, x := range p.panels {
		p.annotate(x)
	}
	p.legend()
	p.footer()
	return p, nil
}

// rect is a box of whole pixels.
type rect struct{ x, y, w, h int }

type panelKind int

const (
	quarter panelKind = iota
	above
	side
	end
	across // the section
)

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

// views draws the panels, each on one core; they share nothing, so their order
// does not matter.
func (p *picture) views(ctx context.Context, progress func(string, int, int)) error {
	type job struct {
		panel int
		im    *image.RGBA
		err   error
	}
	images := make([]*image.RGBA, len(p.panels))
	next := 0
	err := par.InOrder(ctx, func(j *job) (bool, error) {
		j.panel = next
		next++
		return j.panel < len(p.panels), nil
	}, func(j *job) { j.im, j.err = p.view(ctx, p.panels[j.panel]) }, func(j *job) error {
		images[j.panel] = j.im
		progress("picture", j.panel+1, len(p.panels))
		return j.err
	})
	if err != nil {
		return err
	}
	for i, x := range p.panels {
		draw.Draw(p.RGBA, image.Rect(x.x, x.y, x.x+x.w, x.y+x.h), images[i], image.Point{}, draw.Src)
	}
	return nil
}

func (p *picture) view(ctx context.Context, x *panel) (*image.RGBA, error) {
	v := newView(p.sc, x.cam, x.w, x.h)
	v.ground()
	if x.kind == across { // the rest is flat
		return v.pixels(), nil
	}
	x.v = v
	v.board()
	if err := v.pattern(ctx); err != nil {
		return nil, err
	}
	v.contours()
	v.hollows(int(30 * p.k))
	if err := v.coat(ctx); err != nil {
		return nil, err
	}
	v.glass()
	v.partingLine(p.lines)
	im := v.pixels()
	v.dc, v.path = nil, nil // only the depth is needed for the labels
	return im, nil
}

// ground fills a view with the panel's own ground, a little darker below.
func (v *view) ground() {
	for y := range v.h {
		t := float64(y) / float64(v.h)
		c := [4]uint8{over(panelHigh.R, panelLow.R, t), over(panelHigh.G, panelLow.G, t), over(panelHigh.B, panelLow.B, t), 255}
		row := v.dc.ColorBuffer.Pix[4*y*v.w : 4*(y+1)*v.w]
		for i := 0; i < len(row); i += 4 {
			copy(row[i:], c[:])
		}
	}
}

// partingLine draws where a two-part or cut mold opens.
func (v *view) partingLine(lines [][]mesh.Vec) {
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			v.edge(line[i-1], line[i], 1.9, partingInk, 0.006*v.reach)
		}
	}
}

func (p *picture) header() {
	plan := p.s.Plan
	title := "Pattern"
	if plan != nil && plan.Pattern != nil {
		title = plan.Pattern.File
	}
	k := p.k
	right := float64(p.Rect.Dx()) - 40*k
	room := right - 40*k
	if plan != nil && plan.Verdict != nil {
		tone := map[render.Tone]color.NRGBA{render.Good: render.GoodInk, render.Care: render.CareInk, render.Bad: render.BadInk}[render.VerdictTone(plan.Verdict.Answer)]
		w := p.width(string(plan.Verdict.Answer), typeface.Bold, 25*k)
		p.round(point{right - w - 44*k, 32 * k}, point{right, 80 * k}, 24*k, tone)
		p.text(string(plan.Verdict.Answer), point{right - 22*k - w, 64.5 * k}, typeface.Bold, 25*k, alignLeft, nrgba(0xFFFFFF, 255))
		room -= w + 70*k
		if n := count(plan.Warnings, finding.Stop); n > 0 {
			p.text(figure.Count(n, "stop", "stops")+" open: read the sheet before you pour", point{right, 106 * k}, typeface.Medium, 17*k, alignRight, render.BadInk)
		}
	}
	p.text(p.fit(title, typeface.Bold, 38*k, room), point{40 * k, 70 * k}, typeface.Bold, 38*k, alignLeft, render.Ink)
	if plan == nil {
		return
	}
	var facts []string
	if q := plan.Pattern; q != nil {
		one := func(l float64) figure.Quantity { return figure.Length(l, render.SizeStep(q.Size)) }
		facts = append(facts, p.Fine(figure.Sizes(q.Size[:], one)))
		if q.DisplacedVolume != nil {
			low, high := *q.DisplacedVolume, *q.DisplacedVolume
			if q.DisplacedLow != nil && q.DisplacedHigh != nil {
				low, high = *q.DisplacedLow, *q.DisplacedHigh
			}
			facts = append(facts, "displaces "+p.Inline(figure.Volume(low, *q.DisplacedVolume, high)))
		}
	}
	if r := plan.Rubber; r != nil {
		facts = append(facts, "rubber "+p.Inline(figure.Volume(r.VolumeLow, r.Volume, r.VolumeHigh)))
	}
	p.text(p.fit(strings.Join(facts, "   ·   "), typeface.Regular, 20*k, right-40*k-360*k), point{40 * k, 106 * k}, typeface.Regular, 20*k, alignLeft, render.SoftInk)
}

func count(l finding.List, s finding.Severity) int {
	n := 0
	for _, f := range l {
		if f.Severity == s {
			n++
		}
	}
	return n
}

func (p *picture) footer() {
	k := p.k
	y := float64(p.Rect.Dy()) - 28*k
	right := float64(p.Rect.Dx()) - 40*k
	var parts []string
	maker := ""
	if plan := p.s.Plan; plan != nil {
		maker = strings.TrimSpace(plan.Tool + " " + plan.Version)
		if q := plan.Pattern; q != nil {
			u := "units: " + q.Units
			if q.UnitsFrom == estimate.UnitsAssumed {
				u += ", assumed, for the file does not say"
			}
			parts = append(parts, u)
		}
	}
	if p.sc.vessel != nil {
		parts = append(parts, "container measured clear inside")
		if p.System != unit.Metric {
			parts[len(parts)-1] += ", inches to the nearest 1/16"
		}
	}
	parts = append(parts, "seen without perspective; the views from above and the sides share one scale")
	p.text(p.fit(strings.Join(parts, "   ·   "), typeface.Regular, 16*k, right-60*k-p.width(maker, typeface.Regular, 16*k)), point{40 * k, y}, typeface.Regular, 16*k, alignLeft, render.SoftInk)
	p.text(maker, point{right, y}, typeface.Regular, 16*k, alignRight, render.SoftInk)
}

// label is a measure in words, metric above, inches below.
func (p *picture) label(mm float64) (string, string) {
	q := figure.Ruled(mm)
	switch p.System {
	case unit.Metric:
		return q.Metric(), ""
	case unit.US:
		return q.US(), ""
	}
	return q.Metric(), q.US()
}

// tag writes one or two lines on a pale ground, centered at a point.
func (p *picture) tag(at point, one, two string, col color.NRGBA) {
	k := p.k
	w := p.width(one, typeface.Medium, 19*k)
	h := 24 * k
	if two != "" {
		w = max(w, p.width(two, typeface.Regular, 15*k))
		h = 42 * k
	}
	p.take(around(at, w/2+6*k, h/2))
	p.round(point{at.x - w/2 - 6*k, at.y - h/2}, point{at.x + w/2 + 6*k, at.y + h/2}, 5*k, nrgba(0xFDFCFA, 225))
	if two == "" {
		p.text(one, point{at.x, at.y + 6.5*k}, typeface.Medium, 19*k, alignCenter, col)
		return
	}
	p.text(one, point{at.x, at.y - 2*k}, typeface.Medium, 19*k, alignCenter, col)
	p.text(two, point{at.x, at.y + 15*k}, typeface.Regular, 15*k, alignCenter, render.SoftInk)
}

// dimension draws a measure between two points of the sheet, its line moved
// off by a vector, with arrows at both ends and its figure in the middle.
func (p *picture) dimension(a, b, off point, one, two string, col color.NRGBA) {
	k := p.k
	c, d := a.add(off), b.add(off)
	thin := col
	thin.A = 130
	dir := off.mul(1 / max(off.len(), 1e-9))
	p.line(a.add(dir.mul(4*k)), c.add(dir.mul(6*k)), 1.1*k, thin)
	p.line(b.add(dir.mul(4*k)), d.add(dir.mul(6*k)), 1.1*k, thin)
	m := mid(c, d)
	if l := c.sub(d).len(); l > 24*k {
		p.arrow(m, c, 1.4*k, 11*k, col)
		p.arrow(m, d, 1.4*k, 11*k, col)
	} else {
		p.line(c, d, 1.4*k, col)
	}
	// A short line would vanish under its figure: write past its far end, or
	// below it where it lies flat.
	w := max(p.width(one, typeface.Medium, 19*k), p.width(two, typeface.Regular, 15*k))
	run := d.sub(c)
	need := math.Abs(run.x)/max(run.len(), 1e-9)*(w+12*k) + math.Abs(run.y)/max(run.len(), 1e-9)*42*k
	if run.len() < need+34*k {
		if math.Abs(run.y) > math.Abs(run.x) {
			m = d.add(c.towards(d).mul(need/2 + 8*k))
		} else {
			m = m.add(dir.mul(29 * k))
		}
	}
	p.tag(m, one, two, col)
}

func (p *picture) annotate(x *panel) {
	k := p.k
	if x.kind == across {
		p.section(x)
	}
	p.text(x.title, point{float64(x.x) + 16*k, float64(x.y) + 30*k}, typeface.Medium, 17*k, alignLeft, render.SoftInk)
	p.take(box{point{float64(x.x), float64(x.y)}, point{float64(x.x) + 24*k + p.width(x.title, typeface.Medium, 17*k), float64(x.y) + 38*k}})
	c := p.sc.vessel
	switch {
	case x.kind == across:
		p.sectionNotes(x)
		return
	case x.kind == quarter:
		p.callouts(x, p.places(), p.lift(x))
	case c != nil:
		p.measures(x, c)
	default:
		p.patternMeasures(x)
	}
	if x.kind == above && p.sec != nil {
		p.trace(x)
	}
	p.numbers(x)
}

// measures puts the container's inside measurements round a view.
func (p *picture) measures(x *panel, c *vessel) {
	k := p.k
	f := p.s.Fit
	lo, hi := c.box()
	down, leftward := point{0, 34 * k}, point{-46 * k, 0}
	name := func(prefix string, mm float64) (string, string) {
		one, two := p.label(mm)
		return prefix + one, two
	}
	corner := func(a, b, z float64) point { return x.at(mesh.V(a, b, z)) }
	across := func(a, b float64) { // the width of a view, as the figures have it
		switch {
		case c.coat > 0: // a blanket has no inside measurement
		case f.Diameter != nil && c.kind == boxfit.Polygon && len(c.base)%2 == 0:
			if x.kind == above {
				one, two := name("flats ", *f.Diameter)
				p.dimension(corner(-*f.Diameter/2, lo.y, 0), corner(*f.Diameter/2, lo.y, 0), down, one, two, render.Ink)
			}
		case f.Diameter != nil && c.smooth:
			if x.kind == above {
				one, two := name("ø ", *f.Diameter)
				p.dimension(corner(a, lo.y, 0), corner(b, lo.y, 0), down, one, two, render.Ink)
			}
		case f.Interior != nil && x.kind == end:
			one, two := p.label(f.Interior[1])
			p.dimension(corner(0, a, 0), corner(0, b, 0), down, one, two, render.Ink)
		case f.Interior != nil:
			one, two := p.label(f.Interior[0])
			p.dimension(corner(a, lo.y, 0), corner(b, lo.y, 0), down, one, two, render.Ink)
		}
	}
	switch x.kind {
	case above:
		across(lo.x, hi.x)
		ended := slices.ContainsFunc(p.panels, func(x *panel) bool { return x.kind == end })
		if f.Interior != nil && !c.smooth && (c.kind == boxfit.Box || !ended && len(c.base)%2 == 1) {
			one, two := p.label(f.Interior[1])
			p.dimension(corner(lo.x, lo.y, 0), corner(lo.x, hi.y, 0), leftward, one, two, render.Ink)
		}
	case side:
		one, two := p.label(c.fill)
		p.dimension(corner(lo.x, 0, 0), corner(lo.x, 0, c.fill), leftward, one, two, fillEdge)
		across(lo.x, hi.x)
		if c.coat > 0 {
			one, _ := p.label(c.coat)
			p.small("blanket "+one, x.at(mesh.V((lo.x+hi.x)/2, 0, c.fill)).add(point{0, -8 * k}), fillEdge)
			break
		}
		a, b := corner(lo.x, 0, c.fill), corner(hi.x, 0, c.fill)
		p.dashed(a, b, 1.6*k, 7*k, 5*k, fillEdge)
		p.small("fill line", mid(a, b).add(point{0, -5 * k}), fillEdge)
		if f.Interior != nil && !p.tallSeen() {
			words, two := p.label(f.Interior[2])
			if two != "" {
				words += " (" + two + ")"
			}
			p.small(words+" high inside", mid(corner(lo.x, 0, c.height), corner(hi.x, 0, c.height)).add(point{0, -9 * k}), render.Ink)
		}
	case end:
		if c.coat > 0 {
			break
		}
		if f.Interior != nil {
			one, two := p.label(f.Interior[2])
			p.dimension(corner(0, lo.y, 0), corner(0, lo.y, c.height), leftward, one, two, render.Ink)
		}
		across(lo.y, hi.y)
		p.dashed(corner(0, lo.y, c.fill), corner(0, hi.y, c.fill), 1.6*k, 7*k, 5*k, fillEdge)
	}
}

// tallSeen reports whether a view measures the container's height.
func (p *picture) tallSeen() bool {
	for _, x := range p.panels {
		if x.kind == end || x.kind == across && x.enlarged <= 1 && p.sec.in.x < p.sec.in.y {
			return true
		}
	}
	return false
}

// small writes a word centered on the drawing itself, with a pale ground.
func (p *picture) small(s string, at point, col color.NRGBA) {
	k := p.k
	w := p.width(s, typeface.Medium, 15*k)
	p.take(box{point{at.x - w/2 - 4*k, at.y - 14*k}, point{at.x + w/2 + 4*k, at.y + 4*k}})
	p.round(point{at.x - w/2 - 4*k, at.y - 14*k}, point{at.x + w/2 + 4*k, at.y + 4*k}, 4*k, nrgba(0xFDFCFA, 205))
	p.text(s, point{at.x, at.y}, typeface.Medium, 15*k, alignCenter, col)
}

// box is the base's own rectangle.
func (c *vessel) box() (lo, hi point) {
	lo, hi = c.base[0], c.base[0]
	for _, q := range c.base {
		lo, hi = point{min(lo.x, q.x), min(lo.y, q.y)}, point{max(hi.x, q.x), max(hi.y, q.y)}
	}
	return lo, hi
}

// patternMeasures puts the pattern's own size round a view when there is no
// container.
func (p *picture) patternMeasures(x *panel) {
	k := p.k
	lo, hi := p.sc.lo, p.sc.hi
	down, leftward := point{0, 34 * k}, point{-46 * k, 0}
	words := func(mm float64) (string, string) {
		q := figure.Length(mm, 0.1)
		switch p.System {
		case unit.Metric:
			return q.Metric(), ""
		case unit.US:
			return q.US(), ""
		}
		return q.Metric(), q.US()
	}
	size := hi.Sub(lo)
	switch x.kind {
	case above:
		one, two := words(size.X)
		p.dimension(x.at(mesh.V(lo.X, lo.Y, lo.Z)), x.at(mesh.V(hi.X, lo.Y, lo.Z)), down, one, two, render.Ink)
		one, two = words(size.Y)
		p.dimension(x.at(mesh.V(lo.X, lo.Y, lo.Z)), x.at(mesh.V(lo.X, hi.Y, lo.Z)), leftward, one, two, render.Ink)
	case side:
		one, two := words(size.Z)
		p.dimension(x.at(mesh.V(lo.X, lo.Y, lo.Z)), x.at(mesh.V(lo.X, lo.Y, hi.Z)), leftward, one, two, render.Ink)
	}
}

// lift draws the way the mold comes off, and returns how far down its words
// come.
func (p *picture) lift(x *panel) (low float64) {
	mold := demold.Block
	switch {
	case p.s.Fit != nil && p.s.Fit.Mold != "":
		mold = demold.Mold(p.s.Fit.Mold)
	case p.s.Report == nil:
		return 0
	}
	k := p.k
	at := point{float64(x.x+x.w) - 84*k, float64(x.y) + 136*k}
	col := nrgba(0x2B4C7E, 255)
	p.take(around(at, 70*k, 130*k))
	draw := func(from, to float64, words ...string) {
		p.arrow(point{at.x, at.y + from*k}, point{at.x, at.y + to*k}, 9*k, 34*k, col)
		y := at.y + max(from, to)*k + 24*k
		if to > from {
			y = at.y + to*k + 24*k
		}
		for i, w := range words {
			p.text(w, point{at.x, y + float64(i)*20*k}, typeface.Medium, 17*k, alignCenter, col)
			low = y + float64(i)*20*k + 8*k
		}
	}
	switch mold {
	case demold.TwoPart:
		draw(-14, -110)
		draw(14, 110, "halves part", "this way")
	case demold.Cut:
		draw(60, -60, "pattern comes", "out this way,", "mold cut open")
	case demold.Blanket:
		draw(60, -60, "shell, then", "blanket lift", "this way")
	default:
		draw(60, -60, "mold lifts", "this way")
	}
	return low
}

// callout is a place on the drawing with words about it.
type callout struct {
	at       mesh.Vec
	col      color.NRGBA
	one, two string
	rise     float64 // how far above its place the words want to stand, pixels
}

// callouts writes at the panel's near edge, with a line to the place. What
// stands on the same side is spread so that it does not cover each other; at the
// right all stands below low, where that leaves room.
func (p *picture) callouts(x *panel, list []callout, low float64) {
	k := p.k
	white := nrgba(0xFFFFFF, 230)
	const tall = 52
	// On each side the words stand in the order of their places, so that no
	// lines cross, as near as can be to where each wants to be.
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b callout) int { return cmp.Compare(x.at(a.at).y, x.at(b.at).y) })
	sideOf := func(c callout) int {
		if x.at(c.at).x > float64(x.x)+float64(x.w)/2 {
			return 1
		}
		return 0
	}
	var heights [2][]float64
	for _, c := range list {
		y := min(max(x.at(c.at).y-c.rise*k, float64(x.y)+70*k), float64(x.y+x.h)-50*k)
		if least := low + 24*k; sideOf(c) == 1 && least+tall*k < float64(x.y+x.h)-50*k {
			y = max(y, least)
		}
		heights[sideOf(c)] = append(heights[sideOf(c)], y)
	}
	for _, h := range heights {
		slices.Sort(h)
		for i := 1; i < len(h); i++ {
			h[i] = max(h[i], h[i-1]+tall*k)
		}
	}
	for _, c := range list {
		q := x.at(c.at)
		if x.v != nil && !x.v.seen(c.at, 0.012*x.v.reach) {
			c.two = figure.Join(", ", c.two, "far side")
		}
		w := max(p.width(c.one, typeface.Medium, 18*k), p.width(c.two, typeface.Regular, 15*k))
		s := sideOf(c)
		y := heights[s][0]
		heights[s] = heights[s][1:]
		to, al, textX := point{float64(x.x) + 20*k + w, y}, alignRight, float64(x.x)+14*k+w
		boxLo := float64(x.x) + 8*k
		if s == 1 {
			to.x, al, textX = float64(x.x+x.w)-20*k-w, alignLeft, float64(x.x+x.w)-14*k-w
			boxLo = to.x
		}
		dir := q.towards(to)
		p.line(q.add(dir.mul(9*k)), to, 3.4*k, white)
		p.ring(q, 8*k, 5*k, white)
		p.line(q.add(dir.mul(9*k)), to, 1.5*k, c.col)
		p.ring(q, 8*k, 2.2*k, c.col)
		p.take(box{point{boxLo, to.y - 20*k}, point{boxLo + w + 12*k, to.y + 25*k}})
		p.round(point{boxLo, to.y - 20*k}, point{boxLo + w + 12*k, to.y + 25*k}, 5*k, nrgba(0xFDFCFA, 235))
		p.text(c.one, point{textX, to.y - 2*k}, typeface.Medium, 18*k, al, c.col)
		p.text(c.two, point{textX, to.y + 17*k}, typeface.Regular, 15*k, al, render.SoftInk)
	}
}

// places are what the three-quarter view points at: the deepest undercut and
// the thinnest rubber.
func (p *picture) places() []callout {
	var list []callout
	if r := p.s.Report; r != nil && r.UndercutPathAt != nil {
		c := callout{at: p.sc.at(vec(*r.UndercutPathAt)), rise: 60}
		switch {
		case r.UndercutPath == nil:
			c.col, c.one, c.two = render.BadInk, "locked", "no way out here"
			list = append(list, c)
		case *r.UndercutPath > 0:
			c.col, c.one, c.two = render.Ink, p.Inline(figure.Length(*r.UndercutPath, figure.LengthStep(r.Uncertainty))), "deepest undercut"
			list = append(list, c)
		}
	}
	if f := p.s.Fit; f != nil && f.ThinnestAt != nil && f.Thinnest > 0 {
		list = append(list, callout{p.sc.at(vec(*f.ThinnestAt)), glassEdge, p.Inline(figure.Length(f.Thinnest, 0.1)), "thinnest rubber", -80})
	}
	return list
}

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
	parted := len(p.lines) > 0
	swatches := func(y float64) {
		row := func(fill func(px, py int) rgb, word string) {
			x0, y0, s := int(x), int(y-15*k), int(22*k)
			for j := range s {
				for i := range s {
					c := fill(x0+i, y0+j)
					p.blend(x0+i, y0+j, color.NRGBA{encodeByte(float32(c.r)), encodeByte(float32(c.g)), encodeByte(float32(c.b)), 255}, 1)
				}
			}
			p.text(word, point{x + 32*k, y + 2*k}, typeface.Regular, 16*k, alignLeft, render.Ink)
			y += 31 * k
		}
		if sc.locked {
			row(func(px, py int) rgb {
				if stripe((px+py)*samples, 14) {
					return lockedDark
				}
				return lockedTint
			}, "locked: no way out")
		}
		if sc.patches {
			row(func(px, py int) rgb {
				c := ramp[0].mix(patchTint, 0.35)
				if stripe((px-py)*samples, 12) {
					c = c.mul(0.62)
				}
				return c
			}, "invented to close it")
		}
		if parted {
			p.line(point{x, y - 4*k}, point{x + 22*k, y - 4*k}, 3*k, partingInk)
			p.text(p.linesAre, point{x + 32*k, y + 2*k}, typeface.Regular, 16*k, alignLeft, render.Ink)
		}
	}
	if sc.path == nil {
		p.text("Undercuts were", point{x, y}, typeface.Medium, 17*k, alignLeft, render.SoftInk)
		p.text("not looked at", point{x, y + 22*k}, typeface.Medium, 17*k, alignLeft, render.SoftInk)
		swatches(y + 70*k)
		return
	}
	p.text("How far rubber must", point{x, y}, typeface.Medium, 17*k, alignLeft, render.Ink)
	p.text("bend to let go", point{x, y + 22*k}, typeface.Medium, 17*k, alignLeft, render.Ink)
	unitName := "mm"
	if p.System == unit.US {
		unitName = "in"
	}
	if !sc.undercut {
		p.text("nowhere:", point{x, y + 54*k}, typeface.Regular, 17*k, alignLeft, render.GoodInk)
		p.text("nothing is undercut", point{x, y + 76*k}, typeface.Regular, 17*k, alignLeft, render.GoodInk)
		swatches(y + 116*k)
		return
	}
	p.text(unitName, point{x, y + 48*k}, typeface.Regular, 15*k, alignLeft, render.SoftInk)
	n := 0
	if sc.locked {
		n++
	}
	if sc.patches {
		n++
	}
	if parted {
		n++
	}
	top, bottom := y+64*k, float64(r.y+r.h)-(34+31*float64(n))*k
	height := bottom - top
	barW := 34 * k
	for row := 0; row < int(height); row++ {
		c := rampAt(1 - (float64(row)+0.5)/height)
		col := color.NRGBA{encodeByte(float32(c.r)), encodeByte(float32(c.g)), encodeByte(float32(c.b)), 255}
		for i := range int(barW) {
			p.blend(int(x)+i, int(top)+row, col, 1)
		}
	}
	decimals := max(0, int(math.Ceil(-math.Log10(sc.step/sc.unit)-1e-9)))
	for i := 0; ; i++ {
		v := float64(i) * sc.step
		if v > sc.top*(1+1e-9) {
			break
		}
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
		yy := bottom - deepest/sc.top*height
		a := point{x + barW + 62*k, yy}
		p.polygon([]point{a, a.add(point{12 * k, -7 * k}), a.add(point{12 * k, 7 * k})}, render.Ink)
		p.text(word, a.add(point{18 * k, -4 * k}), typeface.Regular, 15*k, alignLeft, render.SoftInk)
		p.text(p.Inline(figure.Length(deepest, figure.LengthStep(d.Uncertainty))), a.add(point{18 * k, 14 * k}), typeface.Medium, 17*k, alignLeft, render.Ink)
	}
	swatches(bottom + 34*k)
}
