package picture

import (
	"cmp"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/figure"
	"moldtally/render/typeface"
)

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
		if plan.Refused() {
			p.text("not to be done as asked: read the sheet", point{right, 106 * k}, typeface.Medium, 17*k, alignRight, render.BadInk)
		} else if n := count(plan.Warnings, finding.Stop); n > 0 {
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
			parts[len(parts)-1] += ", inches to the next 1/16 up"
		}
	}
	if len(p.marks) > 0 {
		parts = append(parts, "numbers: undercuts, the deepest first")
	}
	const dot = "   ·   "
	room := right - 60*k - p.width(maker, typeface.Regular, 16*k)
	for _, last := range []string{dot + "seen without perspective; the views from above and the sides share one scale", dot + "views from above and the sides at one scale", ""} {
		line := strings.Join(parts, dot) + last
		if p.width(line, typeface.Regular, 16*k) <= room || last == "" {
			p.text(p.fit(line, typeface.Regular, 16*k, room), point{40 * k, y}, typeface.Regular, 16*k, alignLeft, render.SoftInk)
			break
		}
	}
	p.text(maker, point{right, y}, typeface.Regular, 16*k, alignRight, render.SoftInk)
}

// label is a measure in words, metric above, inches below.
func (p *picture) label(mm float64) (string, string) {
	if f := p.s.Fit; f != nil && (f.Own || f.Stock != nil) {
		return p.both(figure.Ruled(mm)) // it is there already
	}
	return p.both(figure.Clear(mm))
}

func (p *picture) both(q figure.Quantity) (string, string) {
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
		if f.Interior != nil && !c.smooth && (c.kind.FourSided() || !ended && len(c.base)%2 == 1) {
			one, two := p.label(f.Interior[1])
			p.dimension(corner(lo.x, lo.y, 0), corner(lo.x, hi.y, 0), leftward, one, two, render.Ink)
		}
	case side:
		one, two := p.both(figure.Marked(c.fill))
		p.dimension(corner(lo.x, 0, 0), corner(lo.x, 0, c.fill), leftward, one, two, fillEdge)
		across(lo.x, hi.x)
		if c.coat > 0 {
			one, _ := p.both(figure.Ruled(c.coat))
			p.small("coat "+one, x.at(mesh.V((lo.x+hi.x)/2, 0, c.fill)).add(point{0, -8 * k}), fillEdge)
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
	words := func(mm float64) (string, string) { return p.both(figure.Length(mm, 0.1)) }
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
	case demold.Blanket, demold.Brushed:
		if x := p.s.Fit.Shell; x != nil && len(x.Pieces) > 1 {
			draw(60, -60, "shell off in "+strconv.Itoa(len(x.Pieces)), "pieces, rubber", "peels this way")
		} else {
			draw(60, -60, "shell, then", "rubber lift", "this way")
		}
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
	onRight := 0
	for _, c := range list {
		onRight += sideOf(c)
	}
	if low > 0 && low+24*k+float64(onRight)*tall*k > float64(x.y+x.h) { // no room under the arrow
		sideOf = func(callout) int { return 0 }
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
