package estimate

import (
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// space is the room that rubber fills: lengths mm, volumes mm³.
type space struct {
	Mold              demold.Mold
	Volume, Low, High float64
	Below             *float64 // of Volume, under the parting plane
	Inside            *[3]float64
	Bore              *float64 // of a sleeve
	Height            float64
	Coat              float64 // thickness of a blanket; 0 = not one
	FirstHalf         float64 // the share of the first of two halves of a coat; 0 = it is in one
	Brushing          float64 // min that one coat takes to brush on, without stirring
}

// spaceOf is the room in a container.
func spaceOf(f *boxfit.Fit) space {
	s := space{Mold: f.Mold, Volume: f.Rubber, Low: f.RubberLow, High: f.RubberHigh, Below: f.RubberBelow, Inside: f.Interior, Bore: f.Diameter, Height: f.FillHeight}
	if f.Mold.Coated() {
		s.Coat = f.Wall
	}
	return s
}

// room is the room in a method's container, how long a coat on this pattern takes, and
// how one in two halves is shared between them: by the surface that each lies on.
func (k *known) room(m *method) space {
	s := spaceOf(m.fit)
	if s.brushed() {
		s.Brushing = k.job.brushing(k.longest())
	}
	if m.coatHalves() {
		s.FirstHalf = 0.5
		if m.two != nil && m.two.Parting != nil && m.two.Parting.Halves != nil {
			h := m.two.Parting.Halves
			if all := h.Lower + h.Upper + h.Either; h.Lower > 0 && h.Upper > 0 {
				s.FirstHalf = (h.Lower + h.Either/2) / all
			}
		}
	}
	return s
}

// brushing is how long a coat takes to brush on a pattern of a largest size, mm, min.
func (j *resolved) brushing(longest float64) float64 {
	class, _ := labor.ClassOf(longest)
	if j.Irreplaceable {
		return labor.Careful * class.Brushing()
	}
	return class.Brushing()
}

// brushed reports whether the room is filled coat by coat, with a brush.
func (s space) brushed() bool { return s.Mold == demold.Brushed }

// portions are what is poured in one go: the whole, or each of two halves.
func (s space) portions() []rubber.Portion {
	k := s.FirstHalf
	if s.Below != nil && s.Mold == demold.TwoPart && s.Volume > 0 {
		k = *s.Below / s.Volume
	}
	if k <= 0 {
		return []rubber.Portion{{Half: rubber.Whole, Volume: s.Volume, High: s.High}}
	}
	return []rubber.Portion{{Half: rubber.First, Volume: k * s.Volume, High: k * s.High}, {Half: rubber.Second, Volume: s.Volume - k*s.Volume, High: (1 - k) * s.High}}
}

// pace is how fast a workshop works: min for stirring and degassing a batch,
// g/min poured.
type pace struct{ stir, degas, pour float64 }

func (w Workshop) pace() pace {
	or := func(v *float64, usual float64) float64 {
		if v != nil {
			return *v
		}
		return usual
	}
	return pace{or(w.Stir, rubber.StirMinutes), or(w.Vacuum, 0), or(w.PourRate, rubber.PourRate)}
}

// usualCup is the largest pail that is taken as at hand, ml: a bucket of ten
// litres, which stirs five by hand (common practice, no source).
const usualCup = 10000.0

// Room round a cup in a vacuum chamber, mm: at its sides, and above and below
// together; a judgement.
const (
	chamberSide = 10.0
	chamberTop  = 20.0
)

// chamberCup is the largest cup, ml, that goes into the vacuum chamber; 0 where
// its size is not known.
func (w Workshop) chamberCup() float64 {
	if w.VacuumBore == nil || w.VacuumHeight == nil {
		return 0
	}
	d, h := *w.VacuumBore-2*chamberSide, *w.VacuumHeight-chamberTop
	if d <= 0 || h <= 0 {
		return 0
	}
	return math.Pi / 4 * d * d * h / 1000
}

// mixing is how the rubber that was chosen is mixed for the room it fills.
type mixing struct {
	chosen      rubber.Chosen
	room        space
	pace        pace
	loss        rubber.Loss // that is allowed for
	mix         rubber.Mix
	pot, demold *float64 // min, at the workshop's temperature; nil = not known
	findings    finding.List
}

// mixFor reckons the batches of a rubber for a room.
func (j *resolved) mixFor(c rubber.Chosen, s space) *mixing {
	m := &mixing{chosen: c, room: s, pace: j.shop.Workshop.pace(), findings: slices.Clone(c.Findings)}
	var pot, demold *float64
	if c.PotLife != nil {
		pot = &c.PotLife.Value
	}
	if c.Demold != nil {
		demold = &c.Demold.Value
	}
	var temps finding.List
	m.pot, m.demold, temps = rubber.Times(pot, demold, c.TempC, j.temp)
	m.findings = append(m.findings, temps...)

	cup, limit, room := usualCup, rubber.ByCup, rubber.HandRoom
	if v := j.shop.Workshop.Cup; v != nil {
		cup = *v
	}
	if m.pace.degas > 0 {
		room = rubber.VacuumRoom
		if v := j.shop.Workshop.chamberCup(); v > 0 && v < cup {
			cup, limit = v, rubber.ByChamber
		}
	}
	weigh, film := rubber.DefaultWeighTo, rubber.UnknownFilm
	m.loss = j.loss(s.brushed())
	if v := j.Rubber.WeighTo; v != nil {
		weigh = *v
	}
	if c.Viscosity != nil {
		film = rubber.Film(c.Viscosity.Value)
	}
	if slices.ContainsFunc(c.Added, func(a rubber.Added) bool { return a.Kind == material.Thickener }) {
		film = rubber.PasteFilm
	}
	m.mix = rubber.Blend(rubber.MixRequest{Family: c.Family, SG: c.Density, Ratio: c.Ratio, ByVolume: c.ByVolume, SGA: c.A, SGB: c.B,
		Added: c.Added, Portions: s.portions(), Extra: m.loss.Share, WeighTo: weigh, Film: film, MaxBatch: m.batchLimit(j.temp), Clock: m.clock(), Coats: m.coats(), First: rubber.FirstCoat(s.Coat), Brushing: s.Brushing,
		MaxCup: cup, CupIs: limit, Room: room})
	m.findings = append(m.findings, m.mix.Findings...)
	return m
}

// coats is how many coats are brushed on; 0 = the rubber is poured.
func (m *mixing) coats() int {
	if !m.room.brushed() {
		return 0
	}
	return rubber.Coats(m.room.Coat)
}

// hands is what stirring and pouring, or brushing, all batches takes, min.
func (m *mixing) hands() (minutes float64) {
	for _, p := range m.mix.Pours {
		for _, b := range p.Batches {
			minutes += m.pace.stir
			if !m.room.brushed() {
				minutes += b.Mass / m.pace.pour
			}
		}
		minutes += float64(m.coats()) * m.room.Brushing
	}
	return minutes
}

// clock is how long a batch takes and stays wet; where nothing of the pot life is
// left to pour in, which is a stop of its own, the pot life is left out.
func (m *mixing) clock() rubber.Clock {
	c := rubber.Clock{Stir: m.pace.stir, Degas: m.pace.degas, Rate: m.pace.pour}
	if m.pot != nil && rubber.PotLimit(*m.pot, c.Stir, c.Degas, c.Rate) > 0 {
		c.Pot = *m.pot
	}
	return c
}

// batchLimit is what can be poured within the pot life, g, 0 = no limit; where
// nothing can, that is a stop.
func (m *mixing) batchLimit(temp float64) float64 {
	if m.pot == nil {
		return 0
	}
	p := m.pace
	if limit := rubber.PotLimit(*m.pot, p.stir, p.degas, p.pour); limit > 0 {
		return limit
	}
	m.findings.Add(finding.Finding{Code: CodePotLife, Severity: finding.Stop,
		Facts: SetsTooSoon{Name: m.chosen.Name, PotLife: *m.pot, Temp: unit.Temperature(temp), Stir: p.stir, Vacuum: p.degas}})
	return 0
}

// weighed is the mass of A and B that goes into the cups for one mold, g,
// without what is stirred in: what is bought as rubber.
func (m *mixing) weighed() float64 {
	if m.mix.PartA != nil {
		return *m.mix.PartA + *m.mix.PartB
	}
	return m.mix.ToMix * (1 - rubber.Shares(m.chosen.Added))
}

// told is the rubber as the plan tells it: what it is, and what is mixed.
func (m *mixing) told(temp float64) *Rubber {
	c, x := &m.chosen, &m.mix
	out := &Rubber{Name: c.Name, Family: c.Family, What: c.What, SG: c.Density, Volume: m.room.Volume, VolumeLow: m.room.Low, VolumeHigh: m.room.High,
		Mass: &x.Mass, MassToMix: &x.ToMix, PartA: x.PartA, PartB: x.PartB, PartAml: x.PartAml, PartBml: x.PartBml, RatioError: x.Error,
		Pours: []Pour{}, Kits: &[]Kit{}, PotLife: m.pot, Demold: m.demold, Reasons: []finding.Remark{},
		MixRatio: c.Ratio.String(), MixBy: rubber.ByWeight, ExtraMass: &x.Extra, ExtraReason: x.ExtraReason,
		ShoreA: value(c.ShoreA), ShoreOO: value(c.ShoreOO), Elongation: value(c.Elongation), HeatLimit: value(c.HeatLimit), Shrinkage: value(c.Shrinkage),
		HaveWays: []Saving{}, BareSG: c.Bare, Additives: []Additive{}, Tear: value(c.Tear), Risks: []Risk{}}
	if out.ExtraReason.Share > 0 {
		out.ExtraReason = m.loss // with where it comes from
	}
	for _, r := range c.Reasons {
		out.Reasons = append(out.Reasons, finding.Remark{Facts: r})
	}
	if c.Family == "" {
		out.Family = material.Unknown
	}
	if c.ByVolume {
		out.MixBy = rubber.ByVolume
	}
	for _, p := range x.Pours {
		pour := Pour{Half: p.Half, Volume: p.Volume, PartA: p.PartA, PartB: p.PartB, Mass: p.ToMix, Extra: p.Extra, People: p.People, Batches: []Batch{}, Additives: p.Added}
		for _, b := range p.Batches {
			pour.Batches = append(pour.Batches, Batch{b.PartA, b.PartB, b.Cup, b.Coat, b.Added})
		}
		out.Pours = append(out.Pours, pour)
	}
	for i, a := range c.Added {
		out.Additives = append(out.Additives, Additive{a.Kind, a.Name, 100 * a.Share, a.Density, x.Added[i]})
	}
	if c.PotLife != nil {
		lo, hi := rubber.PotRange(c.PotLife.Value, c.TempC, temp)
		out.PotLifeLow, out.PotLifeHigh = &lo, &hi
	}
	out.Practice = rubber.Practices(rubber.Bench{Family: c.Family, ByVolume: c.ByVolume, OnePart: c.Ratio.B == 0, Brushed: m.room.brushed(),
		Added: c.Added, Vacuum: m.pace.degas > 0, TempC: temp, Stir: m.pace.stir})
	return out
}

func value(f *material.Figure) *float64 {
	if f == nil {
		return nil
	}
	return &f.Value
}

// largestBatch is the heaviest batch of A and B, g, and the largest cup, ml.
func (m *mixing) largestBatch() (grams, cup float64) {
	for _, p := range m.mix.Pours {
		for _, b := range p.Batches {
			g := b.Mass
			if b.PartA != nil {
				g = *b.PartA + *b.PartB
			}
			grams, cup = max(grams, g), max(cup, b.Cup)
		}
	}
	return grams, cup
}

// bulk tells of batches that warm themselves, and of air too dry for tin-cure.
func (m *mixing) bulk(temp float64) (out finding.List) {
	if grams, _ := m.largestBatch(); !m.room.brushed() {
		out = append(out, rubber.SelfHeat(m.chosen.Family, grams)...)
	}
	if m.chosen.Family == material.Tin && (temp < rubber.StallC || temp > rubber.WarmC) {
		out.Add(finding.Finding{Code: rubber.CodeTemp, Severity: finding.Note, Facts: rubber.Climate{Temp: unit.Temperature(temp), Wrong: rubber.Dry}})
	}
	return out
}

// vacuum is what degassing takes in a workshop, and where the pump falls short;
// nil without a vacuum step.
func (m *mixing) vacuum(w Workshop) (*Vacuum, finding.List) {
	if m.pace.degas <= 0 {
		return nil, nil
	}
	var out finding.List
	v := &Vacuum{Minutes: m.pace.degas, CupRoom: rubber.VacuumRoom}
	if w.Altitude != nil {
		v.Altitude = *w.Altitude
	}
	v.Most = rubber.GaugeMost(v.Altitude)
	v.Wanted = v.Most - rubber.GoodVacuumKPa/rubber.KPaPerInHg
	if w.VacuumBore != nil {
		v.Lid = new(rubber.LidLoad(*w.VacuumBore, v.Altitude))
	}
	if w.Gauge != nil {
		out = v.reached(*w.Gauge)
	}
	if _, cup := m.largestBatch(); w.chamberCup() > 0 && cup > w.chamberCup()*1.01 {
		out.Add(finding.Finding{Code: CodeVacuum, Severity: finding.Caution, Facts: BoilsOver{unit.Volume(cup) * unit.ML, unit.Volume(w.chamberCup()) * unit.ML}})
	}
	return v, out
}

// reached notes what a pump reaches by its gauge, inHg, and judges it.
func (v *Vacuum) reached(gauge float64) (out finding.List) {
	v.Gauge = &gauge
	g := Gauge{Shows: gauge, Most: v.Most, Wanted: v.Wanted, Altitude: v.Altitude}
	tell := func() { out.Add(finding.Finding{Code: CodeGauge, Severity: finding.Caution, Facts: g}) }
	if gauge > v.Most+0.05 {
		tell()
		return out
	}
	p := rubber.Absolute(gauge, v.Altitude)
	v.Pressure = &p
	if p <= 0 {
		return nil
	}
	k := rubber.BubbleTimes(v.Altitude, p)
	v.Bubble = &k
	if p > rubber.GoodVacuumKPa*1.02 {
		g.Left, g.Growth = unit.Pressure(p), k
		tell()
	}
	return out
}

// meets is what to know before this rubber meets the pattern, and its own first
// half.
func (j *resolved) meets(c *rubber.Chosen, mold demold.Mold) (out finding.List) {
	out = append(out, rubber.Cures(j.pattern, c.Family)...)
	for i := range out {
		if m, ok := out[i].Facts.(rubber.Meets); ok && j.Irreplaceable {
			m.Original, m.Gentle = true, j.pattern.Instead
			out[i].Facts = m
		}
	}
	if j.pattern == nil || !j.pattern.Untouchable {
		out = append(out, rubber.Grips(j.pattern, c.Family, j.Irreplaceable)...)
	}
	halves := mold == demold.TwoPart
	if j.release != nil && c.Family != "" {
		out = append(out, rubber.ReleaseChosen(*j.release, j.pattern, c.Family, halves)...)
	}
	if halves {
		out.Add(finding.Finding{Code: CodeSecondHalf, Severity: finding.Caution, Facts: SecondHalf{c.Family.Silicone(), material.Between(material.ReleaseAgent, nil, c.Family)}})
	}
	if s := j.pattern; s != nil && s.SoftensC != nil && s.SoftensC.Value <= softensLow && c.Family == material.Polyurethane {
		lo, hi := s.SoftensC.Range()
		out.Add(finding.Finding{Code: CodeSoftens, Severity: finding.Caution, Facts: Softens{s.What, unit.Temperature(lo), unit.Temperature(hi)}})
	}
	return out
}

// softensLow is the temperature, °C, up to which a pattern that softens is in
// danger from the heat of curing polyurethane; a judgement.
const softensLow = 80

// chambers tells whether the mold fits the vacuum chamber and the pressure pot.
func (w Workshop) chambers(s space) (out finding.List) {
	wide := 0.0
	switch {
	case s.Bore != nil:
		wide = *s.Bore
	case s.Inside != nil:
		wide = math.Hypot(s.Inside[0], s.Inside[1])
	default:
		return nil
	}
	for _, c := range []struct {
		pot          bool
		bore, height *float64
	}{{false, w.VacuumBore, w.VacuumHeight}, {true, w.PressureBore, w.PressureTop}} {
		if c.bore == nil || c.height == nil || wide <= *c.bore && s.Height <= *c.height {
			continue
		}
		out.Add(finding.Finding{Code: CodeChamber, Severity: finding.Note,
			Facts: TooLarge{unit.Length(wide), unit.Length(s.Height), c.pot, unit.Length(*c.bore), unit.Length(*c.height)}})
	}
	return out
}
