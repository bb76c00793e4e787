package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/casting"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
)

// How rubber is saved. Shares and distances are common practice, no source,
// where nothing else is said.
const (
	fillerShare = 0.25 // of the rubber's volume may be cured scrap; 20 to 30 % is heard
	fillerAway  = 10.0 // mm from the face of the pattern
	fillerPacks = 0.5  // loose chunks fill about half of a room; a judgement
	plugPacks   = 0.6  // a plug that can be built fills of its room; a judgement
	plugAway    = 10.0 // mm at least, and never less than the walls
	worthSaving = 0.02 // a way that saves less of the rubber is not told; a judgement

	// The thinnest walls, mm, that are still planned: small blocks, cut molds and
	// others, keyed halves.
	wallLeastSmall = 6.0
	wallLeast      = 8.0
	wallLeastHalf  = 12.0
	smallPattern   = 50.0 // mm across
	overLeast      = 8.0
)

// savings is what the mold in hand offers for saving rubber. Volumes mm³.
type savings struct {
	fit     *boxfit.Fit
	mold    demold.Mold
	rect    [2]float64 // of the bare outline
	options []boxfit.Option
	filler  float64 // room for cured scrap, farther than fillerAway from the pattern
	plug    float64 // room for a plug
	away    float64 // mm that the plug keeps
	step    *stepped
}

// stepped is a box whose upper part is narrower.
type stepped struct {
	Ledge  float64    // mm above the floor
	Inside [2]float64 // of the upper part
	Saves  float64    // mm³
}

// short is what the shelf lacks for all the molds, g; 0 where it does or where
// nothing was said of it.
func (b *bench) short() float64 {
	have := b.job.Rubber.Have
	if have == nil {
		return 0
	}
	return max(0, b.weighed()*float64(b.molds())-*have)
}

// lacks reports whether the shelf holds less than a volume of rubber, mm³, takes
// before any loss.
func (b *bench) lacks(volume float64) bool {
	have := b.job.Rubber.Have
	return have != nil && *have < volume/1000*b.chosen.Density
}

// shelf reckons what is left on the shelf against what is needed, and what would
// make it do. s may be nil: then nothing is known but the volume.
func (b *bench) shelf(s *savings) {
	have := b.job.Rubber.Have
	if have == nil {
		return
	}
	out := b.plan.Rubber
	short := b.short()
	out.HaveShort = &short
	if short == 0 {
		return
	}
	molds := float64(b.molds())
	one := b.weighed()
	// Grams weighed for a mm³ of rubber, loss and all.
	k := one / max(out.VolumeHigh, out.Volume)
	room := short / molds / k // mm³ to save in each mold
	way := func(what, how string, saved float64) *Way {
		g := min(one, k*saved) * molds
		out.HaveWays = append(out.HaveWays, Way{What: what, Saves: &g, Does: g >= short*(1-1e-9), How: how})
		return &out.HaveWays[len(out.HaveWays)-1]
	}
	if n := int(math.Floor(*have / one)); n >= 1 && molds > 1 {
		out.HaveWays = append(out.HaveWays, Way{What: "fewer molds", How: fmt.Sprintf("it does for %d of the %.0f molds; cast more often out of each", n, molds)})
	}
	if s != nil {
		b.otherContainers(s, k, way)
		b.thinner(s, room, way)
		if st := s.step; st != nil && st.Saves > worthSaving*out.Volume {
			w := way("a stepped box", fmt.Sprintf("from %.0f mm above the floor up, the box is only %.0f by %.0f mm inside, with a ledge round it", st.Ledge, st.Inside[0], st.Inside[1]), st.Saves)
			w.Inside = &[3]float64{st.Inside[0], st.Inside[1], s.fit.FillHeight - st.Ledge}
		}
		if v := plugPacks * s.plug; v > worthSaving*out.Volume {
			want := ""
			if v >= room {
				want = fmt.Sprintf("; %.0f cm³ of it are enough", math.Ceil(room/1000))
			}
			way("a plug", fmt.Sprintf("a sealed block of wood or foam in the thick places, %.0f mm or more from the pattern, fixed so that it does not float: about %.0f cm³ can be built in%s", s.away, v/1000, want), v)
		}
	} else {
		out.HaveWays = append(out.HaveWays, Way{What: "a plug, a smaller or a stepped box", How: fmt.Sprintf("%.0f cm³ less room for rubber; no nearer to the pattern than the walls ought to be thick", math.Ceil(room/1000))})
	}
	filler := fillerShare * out.Volume
	if s != nil {
		filler = min(filler, fillerPacks*s.filler)
	}
	if filler > worthSaving*out.Volume {
		where := fmt.Sprintf("%.0f mm or more from the pattern", fillerAway)
		if s == nil {
			where += ", if it has that much room"
		}
		n := 0.0
		if filler >= room {
			n = math.Ceil(room / 1000)
		} else {
			n = math.Floor(filler / 1000)
		}
		way("cured scrap as filler", fmt.Sprintf("%.0f cm³ of clean cured pieces of the same chemistry (%s), cut to chunks, %s, at most a quarter of the volume; pour first, then press them in", n, b.chosen.Family.Words(), where), filler)
	}
	b.tellShort(short, *have, room)
}

// otherContainers lists containers among the options that take less.
func (b *bench) otherContainers(s *savings, k float64, way func(string, string, float64) *Way) {
	seen := 0
	list := slices.Clone(s.options)
	slices.SortStableFunc(list, func(x, y boxfit.Option) int {
		switch {
		case x.Volume < y.Volume:
			return -1
		case x.Volume > y.Volume:
			return 1
		}
		return 0
	})
	for _, o := range list {
		saved := s.fit.Rubber - o.Volume
		if seen == 3 || saved < worthSaving*s.fit.Rubber {
			break
		}
		seen++
		what := "another container: " + o.Container
		if o.Mold != string(s.mold) {
			what = fmt.Sprintf("another mold: %s, %s", o.Mold, o.Container)
		}
		how := fmt.Sprintf("it takes %.0f cm³ of rubber", o.Volume/1000)
		if o.Mold != string(s.mold) {
			how += "; --mold " + o.Mold + " plans it"
		} else {
			how += "; --container " + o.Container + " plans it"
		}
		if o.Container == string(boxfit.Mother) {
			how = fmt.Sprintf("an even coat of %.0f cm³ of rubber under a rigid shell, which takes work and plaster or resin; --mold blanket plans it", o.Volume/1000)
		}
		way(what, how, saved)
	}
}

// leastWall is the thinnest side wall still planned, mm.
func (s *savings) leastWall() float64 {
	switch {
	case s.mold == demold.TwoPart:
		return wallLeastHalf
	case s.mold == demold.Block && max(s.rect[0], s.rect[1]) <= smallPattern:
		return wallLeastSmall
	}
	return wallLeast
}

// thinner finds the side wall that fits what is on the shelf, mm³ to save in
// each mold.
func (b *bench) thinner(s *savings, room float64, way func(string, string, float64) *Way) {
	f := s.fit
	if s.mold == demold.Blanket || f.Own || f.Capacity <= 0 || f.FillHeight <= 0 {
		return
	}
	area := f.Capacity / f.FillHeight
	least := s.leastWall()
	most := f.Wall - least // off each side
	// The area that is left when each side comes in by d.
	var left func(d float64) float64
	switch {
	case f.Kind == boxfit.Box && f.Interior != nil:
		in := *f.Interior
		left = func(d float64) float64 { return (in[0] - 2*d) * (in[1] - 2*d) }
	case f.Diameter != nil && *f.Diameter > 0:
		dia := *f.Diameter
		left = func(d float64) float64 { return area * (1 - 2*d/dia) * (1 - 2*d/dia) }
	}
	if left != nil && most > 0.5 {
		saved := func(d float64) float64 { return (area - left(d)) * f.FillHeight }
		d := most
		if saved(most) >= room {
			// Bisect, then up to the next half millimetre so that it can be built.
			lo, hi := 0.0, most
			for range 60 {
				if m := (lo + hi) / 2; saved(m) >= room {
					hi = m
				} else {
					lo = m
				}
			}
			d = min(most, math.Ceil(2*hi-1e-9)/2)
		}
		wall := f.Wall - d
		if v := saved(d); v > worthSaving*b.plan.Rubber.Volume {
			how := fmt.Sprintf("at least %.1f mm of rubber at the sides instead of %.1f", wall, f.Wall)
			var inside *[3]float64
			switch {
			case f.Kind == boxfit.Box:
				inside = &[3]float64{f.Interior[0] - 2*d, f.Interior[1] - 2*d, f.Interior[2]}
				how += fmt.Sprintf(": a box of %.0f by %.0f mm inside (--inside %.0f,%.0f,%.0f)", inside[0], inside[1], inside[0], inside[1], inside[2])
			default:
				how += fmt.Sprintf(": %.0f mm across inside", *f.Diameter-2*d)
			}
			if wall <= least+0.25 {
				how += "; thinner is no longer planned"
			}
			w := way("thinner sides", how, v)
			w.Inside, w.Wall = inside, &wall
		}
	}
	if spare := f.Over - overLeast; spare > 0.5 {
		if v := area * spare; v > worthSaving*b.plan.Rubber.Volume {
			way("less over the top", fmt.Sprintf("%.0f mm of rubber over the pattern instead of %.0f (--over %.0f)", overLeast, f.Over, overLeast), v)
		}
	}
}

// tellShort says what is missing and what would make it do.
func (b *bench) tellShort(short, have, room float64) {
	var does []string
	for _, w := range b.plan.Rubber.HaveWays {
		if w.Does {
			does = append(does, w.What)
		}
	}
	f := finding.Finding{Code: finding.RubberHaveShort, Severity: finding.Caution,
		Summary: fmt.Sprintf("%.0f g on the shelf; the pour takes %.0f g: %.0f g are missing", have, have+short, short),
		Effect:  "the box stays unfilled, or a second pour leaves a seam"}
	switch {
	case len(does) > 0:
		f.Hint = "any one of these makes it do, with its measures under Rubber: " + list(does) + "; or buy the rest"
	case len(b.plan.Rubber.HaveWays) > 0:
		f.Hint = fmt.Sprintf("buy the rest; no one way saves the %.0f cm³, two or more of those listed under Rubber may, together", math.Ceil(room/1000))
	default:
		f.Hint = "buy the rest"
	}
	b.plan.Warnings.Add(f)
}

// list joins words as a sentence does.
func list(s []string) string {
	if len(s) < 2 {
		return fmt.Sprint(s[0])
	}
	out := s[0]
	for _, x := range s[1 : len(s)-1] {
		out += "; " + x
	}
	return out + "; or " + s[len(s)-1]
}

// saves looks at what the mold offers for saving rubber; only where the shelf is
// short.
func (t *tally) saves(ctx context.Context) (*savings, error) {
	b, fit := t.b, t.s.Fit
	s := &savings{fit: fit, mold: t.mold, rect: t.s.Plan.Pose.Rect, options: fit.Options}
	if b.short() == 0 || t.mold == demold.Blanket {
		return s, nil
	}
	s.away = max(plugAway, math.Ceil(fit.Wall))
	if f := t.s.Report.Field; f != nil && (fit.Interior != nil || fit.Diameter != nil) {
		v, _, err := casting.Away(ctx, f, roomOf(fit, f), fillerAway, s.away)
		if err != nil {
			return nil, fmt.Errorf("estimate: %w", err)
		}
		s.filler, s.plug = v[0], v[1]
	}
	if fit.Kind == boxfit.Box && fit.Interior != nil && !fit.Own && t.mold.OnBoard() {
		s.step = stepOf(t.s.Solid, fit)
	}
	return s, nil
}

// roomOf is a container's inside up to the fill line in the frame of a field.
func roomOf(fit *boxfit.Fit, f *dexel.Field) casting.Room {
	v := func(a [3]float64) mesh.Vec { return mesh.V(a[0], a[1], a[2]) }
	cx, cy, cz := f.Plane(v(fit.Center))
	ax, ay, _ := f.Plane(v(fit.LongAxis))
	if l := math.Hypot(ax, ay); l > 0 {
		ax, ay = ax/l, ay/l
	} else {
		ax, ay = 1, 0
	}
	var half float64
	var inside func(x, y float64) bool
	switch {
	case fit.Kind == boxfit.Box && fit.Interior != nil:
		a, c := fit.Interior[0]/2, fit.Interior[1]/2
		half = math.Hypot(a, c)
		inside = func(x, y float64) bool {
			x, y = x-cx, y-cy
			return math.Abs(x*ax+y*ay) <= a && math.Abs(y*ax-x*ay) <= c
		}
	default:
		// A polygon counts as the circle inside it.
		half = *fit.Diameter / 2
		inside = func(x, y float64) bool { return math.Hypot(x-cx, y-cy) <= half }
	}
	return casting.Room{X0: cx - half, X1: cx + half, Y0: cy - half, Y1: cy + half, Z0: cz, Z1: cz + fit.FillHeight, Inside: inside}
}

// stepLevels is how many heights a ledge is tried at; a judgement.
const stepLevels = 64

// stepOf finds the ledge that saves most rubber: above it the box is only as
// wide as what of the pattern is there, with the same walls, and over the rest
// of the pattern the ledge leaves as much rubber as the mold has over its top.
// Triangles are cut at the heights that are tried, so nothing is missed.
func stepOf(s *solid.Solid, fit *boxfit.Fit) *stepped {
	v := func(a [3]float64) mesh.Vec { return mesh.V(a[0], a[1], a[2]) }
	up, a, c := v(fit.Up), v(fit.LongAxis), v(fit.Center)
	e := up.Cross(a)
	over := max(fit.Over, fit.Wall)
	top := fit.FillHeight - fit.Over
	if top <= 0 {
		return nil
	}
	// Per height, the reach of what lies at or above it, before the suffix.
	type reach struct{ x0, x1, y0, y1 float64 }
	none := reach{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	at := make([]reach, stepLevels+1) // at[k]: what lies between level k and k+1, and on k
	for i := range at {
		at[i] = none
	}
	grow := func(k int, x, y float64) {
		r := &at[k]
		r.x0, r.x1, r.y0, r.y1 = min(r.x0, x), max(r.x1, x), min(r.y0, y), max(r.y1, y)
	}
	step := top / stepLevels
	m := s.Surface()
	for t := range m.NumTriangles() {
		if !s.Live(t) {
			continue
		}
		p0, p1, p2 := m.Corners(t)
		var x, y, z [3]float64
		for i, p := range [3]mesh.Vec{p0, p1, p2} {
			d := p.Sub(c)
			x[i], y[i], z[i] = d.Dot(a), d.Dot(e), d.Dot(up)
			grow(min(stepLevels, max(0, int(math.Floor(z[i]/step)))), x[i], y[i])
		}
		for i := range 3 {
			j := (i + 1) % 3
			lo, hi := i, j
			if z[lo] > z[hi] {
				lo, hi = hi, lo
			}
			for k := max(1, int(math.Ceil(z[lo]/step))); k <= stepLevels && float64(k)*step < z[hi]; k++ {
				w := (float64(k)*step - z[lo]) / (z[hi] - z[lo])
				grow(k, x[lo]+w*(x[hi]-x[lo]), y[lo]+w*(y[hi]-y[lo]))
			}
		}
	}
	var best *stepped
	r := none
	full := fit.Interior[0] * fit.Interior[1]
	for k := stepLevels; k >= 1; k-- {
		q := at[k]
		r = reach{min(r.x0, q.x0), max(r.x1, q.x1), min(r.y0, q.y0), max(r.y1, q.y1)}
		ledge := math.Ceil(float64(k)*step + over)
		if r.x1 < r.x0 || ledge >= fit.FillHeight-10 {
			continue // a step of under a centimetre is not worth building
		}
		l, w := math.Ceil(r.x1-r.x0+2*fit.Wall), math.Ceil(r.y1-r.y0+2*fit.Wall)
		l, w = min(l, fit.Interior[0]), min(w, fit.Interior[1])
		if saves := (full - l*w) * (fit.FillHeight - ledge); saves > 0 && (best == nil || saves > best.Saves) {
			best = &stepped{Ledge: ledge, Inside: [2]float64{l, w}, Saves: saves}
		}
	}
	return best
}
