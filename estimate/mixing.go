package estimate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// space is the room that rubber fills: lengths mm, volumes mm³.
type space struct {
	Mold              demold.Mold
	Volume, Low, High float64
	Below             *float64 // of Volume, under the parting plane
	Inside            *[3]float64
	Bore              *float64 // of a sleeve
	Height            float64
}

// spaceOf is the room in a container.
func spaceOf(f *boxfit.Fit) space {
	return space{Mold: f.Mold, Volume: f.Rubber, Low: f.RubberLow, High: f.RubberHigh, Below: f.RubberBelow, Inside: f.Interior, Bore: f.Diameter, Height: f.FillHeight}
}

// portions are what is poured in one go: the whole, or each of two halves.
func (s space) portions() []rubber.Portion {
	if s.Below == nil || s.Mold != demold.TwoPart || s.Volume <= 0 {
		return []rubber.Portion{{Half: rubber.Whole, Volume: s.Volume, High: s.High}}
	}
	k := *s.Below / s.Volume
	return []rubber.Portion{{Half: rubber.First, Volume: *s.Below, High: k * s.High}, {Half: rubber.Second, Volume: s.Volume - *s.Below, High: (1 - k) * s.High}}
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

	cup, cupWhat, room := usualCup, "", rubber.HandRoom
	if v := j.shop.Workshop.Cup; v != nil {
		cup = *v
	}
	if m.pace.degas > 0 {
		room = rubber.VacuumRoom
		if v := j.shop.Workshop.chamberCup(); v > 0 && v < cup {
			cup, cupWhat = v, "the vacuum chamber"
		}
	}
	extra, weigh, film := rubber.DefaultExtra, rubber.DefaultWeighTo, rubber.UnknownFilm
	if c.BrushOnly {
		extra = rubber.BrushExtra
	}
	if v := j.Rubber.Extra; v != nil {
		extra = *v / 100
	}
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
		Added: c.Added, Portions: s.portions(), Extra: extra, WeighTo: weigh, Film: film, MaxBatch: m.batchLimit(j.temp), MaxCup: cup, CupWhat: cupWhat, Room: room})
	m.findings = append(m.findings, m.mix.Findings...)
	return m
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
	what := fmt.Sprintf("%.3g min of stirring", p.stir)
	hint := "take a slower rubber, or work in a cooler room (--temp)"
	if p.degas > 0 {
		what += fmt.Sprintf(" and %.3g min under vacuum", p.degas)
		hint = "take a slower rubber, leave out the vacuum and pour in a thin high stream, or work in a cooler room"
	}
	m.findings.Add(finding.Finding{Code: finding.RubberPotLife, Severity: finding.Stop,
		Summary: fmt.Sprintf("%s sets after %.3g min at %.3g °C: nothing of that is left to pour in after %s", m.chosen.Name, *m.pot, temp, what),
		Effect:  "the rubber sets in the cup, or over the pattern without filling its detail",
		Hint:    hint})
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
		Mass: x.Mass, MassToMix: x.ToMix, PartA: x.PartA, PartB: x.PartB, PartAml: x.PartAml, PartBml: x.PartBml, RatioError: x.Error,
		Pours: []Pour{}, Kits: []Kit{}, PotLife: m.pot, Demold: m.demold, Reasons: append([]string{}, c.Reasons...),
		MixRatio: c.Ratio.String(), MixBy: rubber.ByWeight, ExtraMass: x.Extra, ExtraReason: x.ExtraReason,
		ShoreA: value(c.ShoreA), ShoreOO: value(c.ShoreOO), Elongation: value(c.Elongation), HeatLimit: value(c.HeatLimit), Shrinkage: value(c.Shrinkage),
		HaveWays: []Saving{}, BareSG: c.Bare, Additives: []Additive{}, Tear: value(c.Tear), Risks: []Risk{}}
	if c.Family == "" {
		out.Family = material.Unknown
	}
	if c.ByVolume {
		out.MixBy = rubber.ByVolume
	}
	for _, p := range x.Pours {
		pour := Pour{Half: p.Half, Volume: p.Volume, PartA: p.PartA, PartB: p.PartB, Mass: p.ToMix, Extra: p.Extra, Batches: []Batch{}, Additives: p.Added}
		for _, b := range p.Batches {
			pour.Batches = append(pour.Batches, Batch{b.PartA, b.PartB, b.Cup, b.Added})
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
	out.Practice = rubber.Practice(rubber.Bench{Family: c.Family, ByVolume: c.ByVolume, OnePart: c.Ratio.B == 0, Brushed: c.BrushOnly,
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
			g := p.ToMix / float64(len(p.Batches))
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
	if grams, _ := m.largestBatch(); !m.chosen.BrushOnly {
		out = append(out, rubber.SelfHeat(m.chosen.Family, grams)...)
	}
	if m.chosen.Family == material.Tin && (temp < rubber.StallC || temp > 30) {
		out.Add(finding.Finding{Code: finding.RubberTemp, Severity: finding.Note,
			Summary: "tin-cure takes the moisture that it needs out of the air; heated or cold air is often too dry",
			Effect:  "it stays soft inside, or takes days",
			Hint:    "40 to 60 % humidity, a wet cloth in the room, and the mold open to the air"})
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
		f := rubber.LidLoad(*w.VacuumBore, v.Altitude)
		v.Lid = &f
	}
	if w.Gauge != nil {
		out = v.reached(*w.Gauge)
	}
	if _, cup := m.largestBatch(); w.chamberCup() > 0 && cup > w.chamberCup()*1.01 {
		out.Add(finding.Finding{Code: finding.RubberVacuum, Severity: finding.Caution,
			Summary: fmt.Sprintf("a batch needs a cup of %.0f ml to foam up in; the largest that goes into the chamber holds %.0f ml", cup, w.chamberCup()),
			Effect:  "the rubber boils over into the chamber and its pump",
			Hint:    "a larger chamber, or leave out the vacuum and pour in a thin stream from high up"})
	}
	return v, out
}

// reached notes what a pump reaches by its gauge, inHg, and judges it.
func (v *Vacuum) reached(gauge float64) (out finding.List) {
	v.Gauge = &gauge
	if gauge > v.Most+0.05 {
		out.Add(finding.Finding{Code: finding.RubberGauge, Severity: finding.Caution,
			Summary: fmt.Sprintf("a gauge cannot show %.1f inHg at %.0f m: the air there is only %.1f inHg heavy", gauge, v.Altitude, v.Most),
			Effect:  "the gauge or the altitude is wrong, and how deep the vacuum goes is not known",
			Hint:    "see that the gauge stands at zero before pumping; give altitude_m in the shop file"})
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
		out.Add(finding.Finding{Code: finding.RubberGauge, Severity: finding.Caution,
			Summary: fmt.Sprintf("%.1f inHg at %.0f m leaves %.0f Torr in the chamber; 30 Torr or less is wanted, %.1f inHg on a gauge there", gauge, v.Altitude, p/rubber.KPaPerTorr, v.Wanted),
			Effect:  fmt.Sprintf("bubbles grow only %.0f times and not all of them burst: the smallest stay in the rubber", k),
			Hint:    "look for a leak at the seal and the hoses, or at the pump's oil; else pour in a thin stream from high up"})
	}
	return out
}

// meets is what to know before this rubber meets the pattern, and its own first
// half.
func (j *resolved) meets(c *rubber.Chosen, mold demold.Mold) (out finding.List) {
	out = append(out, rubber.Cures(j.pattern, c.Family)...)
	halves := mold == demold.TwoPart
	if j.release != nil && c.Family != "" {
		out = append(out, rubber.ReleaseChosen(*j.release, j.pattern, c.Family, halves)...)
	}
	if halves {
		f := finding.Finding{Code: finding.RubberSecondHalf, Severity: finding.Caution,
			Summary: "the second half is poured over the first",
			Effect:  "rubber bonds to fresh rubber: without a release the halves become one block",
			Hint:    "brush release over the whole face and the keys, thin (" + strings.ReplaceAll(strings.Join(material.Between(material.ReleaseAgent, nil, c.Family), ", "), "-", " ") + "); let it dry"}
		if c.Family.Silicone() {
			f.Summary = "the second half is poured over the first: silicone on silicone"
			f.Hint += "; no silicone oil spray under silicone"
		}
		out.Add(f)
	}
	if s := j.pattern; s != nil && s.SoftensC != nil && s.SoftensC.Value <= softensLow && c.Family == material.Polyurethane {
		lo, hi := s.SoftensC.Range()
		out.Add(finding.Finding{Code: finding.PatternSoftens, Severity: finding.Caution,
			Summary: fmt.Sprintf("%s softens at %.0f to %.0f °C", s.What, lo, hi),
			Effect:  "a fast polyurethane warms itself in bulk and may dent or bend the pattern",
			Hint:    "take a slow rubber, pour in layers, and cure nothing warm"})
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
		name         string
		bore, height *float64
	}{{"vacuum chamber", w.VacuumBore, w.VacuumHeight}, {"pressure pot", w.PressureBore, w.PressureTop}} {
		if c.bore == nil || c.height == nil || wide <= *c.bore && s.Height <= *c.height {
			continue
		}
		out.Add(finding.Finding{Code: finding.RubberChamber, Severity: finding.Note,
			Summary: fmt.Sprintf("the mold is %.0f mm across its corners and %.0f mm high: it does not fit the %s (%.0f by %.0f mm)", wide, s.Height, c.name, *c.bore, *c.height),
			Effect:  "neither the filled box nor later castings can go in",
			Hint:    "vacuum the mixed rubber in its cup and pour it slowly"})
	}
	return out
}
