package estimate

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/casting"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
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

// SavingKind is a way to take less rubber.
type SavingKind struct {
	By SavingBy
	// Another container, of the same kind of mold or of another.
	Mold      demold.Mold
	Container boxfit.Kind
	OtherMold bool
}

// SavingBy is one of the ways.
type SavingBy int

// The ways.
const (
	FewerMolds SavingBy = iota
	LessRoom            // a plug, a smaller or a stepped box, for a pour without a mesh
	Other
	ThinnerSides
	LessOver
	SteppedBox
	Plug
	Scrap
)

// SavingHow is what to build for it; what does not apply is zero.
type SavingHow struct {
	Kind                  SavingKind
	Molds, Does           int         // of so many molds it does for some
	Volume                unit.Volume // of rubber that is taken, saved, or of what is built in
	Enough                unit.Volume // of a plug
	Wall, Was             unit.Length
	Least                 bool        // thinner is no longer planned
	Length, Width, Height unit.Length // inside
	Diameter, Ledge, Away unit.Length
	Family                material.Family // of the scrap
	Unsure                bool            // whether it has that much room
}

// savings is what the mold in hand offers for saving rubber. Volumes mm³.
type savings struct {
	fit     *boxfit.Fit
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

// short is what the shelf lacks for all the molds of a run, g; 0 where it does or
// where nothing was said of it. c may be nil: nothing is cast.
func (j *resolved) short(m *mixing, c *Casting) float64 {
	have := j.left(&m.chosen)
	if have == nil {
		return 0
	}
	return max(0, m.weighed()*float64(moldsOf(c))-*have)
}

// left is what is on the shelf of a rubber, g: what the user says of it, or the
// shop file; nil = nothing was said.
func (j *resolved) left(c *rubber.Chosen) *float64 {
	if j.Rubber.Have != nil {
		return j.Rubber.Have
	}
	return c.Stock.Left
}

// lack is what the shelf is short of, in the terms of one mold.
type lack struct {
	short float64 // g, for all molds
	molds float64
	one   float64 // g that one mold takes, weighed
	perMM float64 // g weighed for a mm³ of rubber, loss and all
	ways  []Saving
}

// room is the rubber, mm³, to save in each mold.
func (l *lack) room() float64 { return l.short / l.molds / l.perMM }

// way adds a way that saves a volume of rubber, mm³, in each mold.
func (l *lack) way(how SavingHow, saved float64) *Saving {
	g := min(l.one, l.perMM*saved) * l.molds
	w := saving(how)
	w.Saves, w.Does = &g, g >= l.short*(1-1e-9)
	l.ways = append(l.ways, w)
	return &l.ways[len(l.ways)-1]
}

func saving(how SavingHow) Saving { return Saving{What: how.Kind, How: how} }

// wholeCM3 rounds a volume, mm³, up to whole cm³.
func wholeCM3(v float64) unit.Volume { return unit.Volume(math.Ceil(v/1000)) * unit.CM3 }

// shelf reckons what is left on the shelf against what is needed, and what would
// make it do. s may be nil: then nothing is known but the volume.
func (j *resolved) shelf(out *Rubber, m *mixing, c *Casting, s *savings) (told finding.List) {
	have := j.left(&m.chosen)
	if have == nil {
		return nil
	}
	l := &lack{short: j.short(m, c), molds: float64(moldsOf(c)), one: m.weighed()}
	out.HaveShort = &l.short
	if l.short == 0 {
		return nil
	}
	l.perMM = l.one / max(out.VolumeHigh, out.Volume)
	if n := int(math.Floor(*have / l.one)); n >= 1 && l.molds > 1 {
		l.ways = append(l.ways, saving(SavingHow{Kind: SavingKind{By: FewerMolds}, Molds: int(l.molds), Does: n}))
	}
	if s != nil {
		l.otherContainers(s)
		l.thinnerSides(s)
		l.lessOver(s)
		l.steppedBox(s)
		l.plug(s)
	} else {
		l.ways = append(l.ways, saving(SavingHow{Kind: SavingKind{By: LessRoom}, Volume: wholeCM3(l.room())}))
	}
	l.scrap(s, out.Volume, m.chosen.Family)
	out.HaveWays = l.ways
	told.Add(l.tell(*have))
	return told
}

// steppedBox adds a box whose upper part is narrower.
func (l *lack) steppedBox(s *savings) {
	if st := s.step; st != nil && st.Saves > worthSaving*s.fit.Rubber {
		w := l.way(SavingHow{Kind: SavingKind{By: SteppedBox}, Ledge: unit.Length(st.Ledge), Length: unit.Length(st.Inside[0]), Width: unit.Length(st.Inside[1])}, st.Saves)
		w.Inside = &[3]float64{st.Inside[0], st.Inside[1], s.fit.FillHeight - st.Ledge}
	}
}

// plug adds a block that is built in where rubber is thick.
func (l *lack) plug(s *savings) {
	v := plugPacks * s.plug
	if v <= worthSaving*s.fit.Rubber {
		return
	}
	how := SavingHow{Kind: SavingKind{By: Plug}, Away: unit.Length(s.away), Volume: unit.Volume(v)}
	if v >= l.room() {
		how.Enough = wholeCM3(l.room())
	}
	l.way(how, v)
}

// scrap adds cured rubber as filler in a mold that takes a volume, mm³; s may be
// nil.
func (l *lack) scrap(s *savings, volume float64, f material.Family) {
	filler := fillerShare * volume
	how := SavingHow{Kind: SavingKind{By: Scrap}, Away: fillerAway, Family: f, Unsure: s == nil}
	if s != nil {
		filler = min(filler, fillerPacks*s.filler)
	}
	if filler <= worthSaving*volume {
		return
	}
	how.Volume = unit.Volume(math.Floor(filler/1000)) * unit.CM3
	if filler >= l.room() {
		how.Volume = wholeCM3(l.room())
	}
	l.way(how, filler)
}

// otherContainers adds containers among the options that take less.
func (l *lack) otherContainers(s *savings) {
	list := slices.Clone(s.options)
	slices.SortStableFunc(list, func(x, y boxfit.Option) int { return cmp.Compare(x.Volume, y.Volume) })
	for _, o := range list[:min(len(list), 3)] {
		saved := s.fit.Rubber - o.Volume
		if saved < worthSaving*s.fit.Rubber {
			break
		}
		l.way(SavingHow{Kind: SavingKind{Other, o.Mold, o.Container, o.Mold != s.fit.Mold}, Volume: unit.Volume(o.Volume)}, saved)
	}
}

// leastWall is the thinnest side wall still planned, mm.
func (s *savings) leastWall() float64 {
	switch {
	case s.fit.Mold == demold.TwoPart:
		return wallLeastHalf
	case s.fit.Mold == demold.Block && max(s.rect[0], s.rect[1]) <= smallPattern:
		return wallLeastSmall
	}
	return wallLeast
}

// thinnable reports whether a container is one whose sides can come in.
func thinnable(f *boxfit.Fit) bool {
	return !f.Mold.Coated() && !f.Own && f.Capacity > 0 && f.FillHeight > 0
}

// thinnerSides adds the side wall that fits what is on the shelf.
func (l *lack) thinnerSides(s *savings) {
	f := s.fit
	if !thinnable(f) {
		return
	}
	area, least := f.Capacity/f.FillHeight, s.leastWall()
	most := f.Wall - least // off each side
	// The area that is left when each side comes in by d.
	var left func(d float64) float64
	switch {
	case f.Kind.FourSided() && f.Interior != nil:
		in := *f.Interior
		left = func(d float64) float64 { return (in[0] - 2*d) * (in[1] - 2*d) }
	case f.Diameter != nil && *f.Diameter > 0:
		dia := *f.Diameter
		left = func(d float64) float64 { return area * (1 - 2*d/dia) * (1 - 2*d/dia) }
	}
	if left == nil || most <= 0.5 {
		return
	}
	saved := func(d float64) float64 { return (area - left(d)) * f.FillHeight }
	d := most
	if saved(most) >= l.room() {
		// Bisect, then up to the next half millimetre so that it can be built.
		lo, hi := 0.0, most
		for range 60 {
			if m := (lo + hi) / 2; saved(m) >= l.room() {
				hi = m
			} else {
				lo = m
			}
		}
		d = min(most, math.Ceil(2*hi-1e-9)/2)
	}
	v, wall := saved(d), f.Wall-d
	if v <= worthSaving*f.Rubber {
		return
	}
	how := SavingHow{Kind: SavingKind{By: ThinnerSides}, Wall: unit.Length(wall), Was: unit.Length(f.Wall), Least: wall <= least+0.25}
	var inside *[3]float64
	if f.Kind.FourSided() {
		inside = &[3]float64{f.Interior[0] - 2*d, f.Interior[1] - 2*d, f.Interior[2]}
		how.Length, how.Width, how.Height = unit.Length(inside[0]), unit.Length(inside[1]), unit.Length(inside[2])
	} else {
		how.Diameter = unit.Length(*f.Diameter - 2*d)
	}
	w := l.way(how, v)
	w.Inside, w.Wall = inside, &wall
}

// lessOver adds less rubber over the pattern.
func (l *lack) lessOver(s *savings) {
	f := s.fit
	if !thinnable(f) || f.Over-overLeast <= 0.5 {
		return
	}
	if v := f.Capacity / f.FillHeight * (f.Over - overLeast); v > worthSaving*f.Rubber {
		l.way(SavingHow{Kind: SavingKind{By: LessOver}, Wall: overLeast, Was: unit.Length(f.Over)}, v)
	}
}

// tell says what is missing of what is on the shelf, g, and what would make it do.
func (l *lack) tell(have float64) finding.Finding {
	f := Short{Have: unit.Mass(have), Short: unit.Mass(l.short), Other: len(l.ways) > 0, Room: wholeCM3(l.room())}
	for _, w := range l.ways {
		if w.Does {
			f.Does = append(f.Does, w.What)
		}
	}
	return finding.Finding{Code: CodeShort, Severity: finding.Caution, Facts: f}
}

// saves looks at what a mold offers for saving rubber, where the shelf is short by
// some grams.
func (k *known) saves(ctx context.Context, m *method, short float64) (*savings, error) {
	fit := m.fit
	s := &savings{fit: fit, rect: m.pose.Rect, options: fit.Options}
	if short == 0 || fit.Mold.Coated() {
		return s, nil
	}
	s.away = max(plugAway, math.Ceil(fit.Wall))
	if f := m.report.Field; f != nil && (fit.Interior != nil || fit.Diameter != nil) {
		v, _, err := casting.Away(ctx, f, roomOf(fit, f), fillerAway, s.away)
		if err != nil {
			return nil, fmt.Errorf("estimate: %w", err)
		}
		s.filler, s.plug = v[0], v[1]
	}
	if fit.Kind.FourSided() && fit.Interior != nil && !fit.Own && fit.Mold.OnBoard() {
		s.step = stepOf(k.solid, fit)
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
	case fit.Kind.FourSided() && fit.Interior != nil:
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
