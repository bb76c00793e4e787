package estimate

import (
	"fmt"
	"math"
	"strings"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// Room round a cup in a vacuum chamber, mm: at its sides, and above and below
// together; a judgement.
const (
	chamberSide = 10.0
	chamberTop  = 20.0
)

// chamberCup is the largest cup, ml, that goes into the user's vacuum chamber;
// 0 where its size is not known.
func (b *bench) chamberCup() float64 {
	w := b.shop.Workshop
	if w.VacuumBore == nil || w.VacuumHeight == nil {
		return 0
	}
	d, h := *w.VacuumBore-2*chamberSide, *w.VacuumHeight-chamberTop
	if d <= 0 || h <= 0 {
		return 0
	}
	return math.Pi / 4 * d * d * h / 1000
}

// bench writes what belongs to the mixing bench: what is stirred in, the range
// of the pot life, the vacuum, and how it is done. stir and degas in minutes.
func (b *bench) bench(stir, degas float64, mold demold.Mold) {
	c, out := &b.chosen, b.plan.Rubber
	add := b.plan.Warnings.Add
	for i, a := range c.Added {
		out.Additives = append(out.Additives, Additive{a.Kind, a.Name, 100 * a.Share, a.Density, b.mix.Added[i]})
	}
	if c.PotLife != nil {
		lo, hi := rubber.PotRange(c.PotLife.Value, c.TempC, b.temp)
		out.PotLifeLow, out.PotLifeHigh = &lo, &hi
	}
	biggest := 0.0
	for _, p := range b.mix.Pours {
		for _, mb := range p.Batches {
			m := p.ToMix / float64(len(p.Batches))
			if mb.PartA != nil {
				m = *mb.PartA + *mb.PartB
			}
			biggest = max(biggest, m)
		}
	}
	if !c.BrushOnly {
		b.plan.Warnings = append(b.plan.Warnings, rubber.SelfHeat(c.Family, biggest)...)
	}
	if c.Family == material.Tin && (b.temp < rubber.StallC || b.temp > 30) {
		add(finding.Finding{Code: finding.RubberTemp, Severity: finding.Note,
			Summary: "tin-cure takes the moisture that it needs out of the air; heated or cold air is often too dry",
			Effect:  "it stays soft inside, or takes days",
			Hint:    "40 to 60 % humidity, a wet cloth in the room, and the mold open to the air"})
	}
	if degas > 0 {
		b.vacuum(degas)
	}
	out.Practice = rubber.Practice(rubber.Bench{Family: c.Family, ByVolume: c.ByVolume, OnePart: c.Ratio.B == 0, Brushed: c.BrushOnly,
		Added: c.Added, Vacuum: degas > 0, TempC: b.temp, Stir: stir})
}

// vacuum writes what degassing takes, and tells where the pump falls short.
func (b *bench) vacuum(minutes float64) {
	w := b.shop.Workshop
	v := &Vacuum{Minutes: minutes, CupRoom: rubber.VacuumRoom}
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
		v.Gauge = w.Gauge
		p := rubber.Absolute(*w.Gauge, v.Altitude)
		v.Pressure = &p
		switch {
		case *w.Gauge > v.Most+0.05:
			v.Pressure = nil
			b.plan.Warnings.Add(finding.Finding{Code: finding.RubberGauge, Severity: finding.Caution,
				Summary: fmt.Sprintf("a gauge cannot show %.1f inHg at %.0f m: the air there is only %.1f inHg heavy", *w.Gauge, v.Altitude, v.Most),
				Effect:  "the gauge or the altitude is wrong, and how deep the vacuum goes is not known",
				Hint:    "see that the gauge stands at zero before pumping; give altitude_m in the shop file"})
		case p > rubber.GoodVacuumKPa*1.02:
			k := rubber.BubbleTimes(v.Altitude, p)
			v.Bubble = &k
			b.plan.Warnings.Add(finding.Finding{Code: finding.RubberGauge, Severity: finding.Caution,
				Summary: fmt.Sprintf("%.1f inHg at %.0f m leaves %.0f Torr in the chamber; 30 Torr or less is wanted, %.1f inHg on a gauge there", *w.Gauge, v.Altitude, p/rubber.KPaPerTorr, v.Wanted),
				Effect:  fmt.Sprintf("bubbles grow only %.0f times and not all of them burst: the smallest stay in the rubber", k),
				Hint:    "look for a leak at the seal and the hoses, or at the pump's oil; else pour in a thin stream from high up"})
		case p > 0:
			k := rubber.BubbleTimes(v.Altitude, p)
			v.Bubble = &k
		}
	}
	b.plan.Rubber.Vacuum = v
	biggest := 0.0
	for _, p := range b.mix.Pours {
		for _, mb := range p.Batches {
			biggest = max(biggest, mb.Cup)
		}
	}
	if room := b.chamberCup(); room > 0 && biggest > room*1.01 {
		b.plan.Warnings.Add(finding.Finding{Code: finding.RubberVacuum, Severity: finding.Caution,
			Summary: fmt.Sprintf("a batch needs a cup of %.0f ml to foam up in; the largest that goes into the chamber holds %.0f ml", biggest, room),
			Effect:  "the rubber boils over into the chamber and its pump",
			Hint:    "a larger chamber, or leave out the vacuum and pour in a thin stream from high up"})
	}
}

// irreplaceable guards an original: what each step could do to it, in the order
// of the work.
func (b *bench) irreplaceable(mold demold.Mold) {
	if !b.job.Irreplaceable {
		return
	}
	p, f := b.pattern, b.chosen.Family
	risks := []Risk{}
	step := func(name, risk, guard string) { risks = append(risks, Risk{name, risk, guard}) }
	silicone := f == material.Platinum || f == material.Tin
	var cure material.Cure
	if p != nil {
		cure, _ = p.Against(f)
	}

	// Before.
	step("before anything", "a failed pour can cost the original", "photograph and measure it; consider a scan and a print to mold from instead; ask whoever it belongs to")
	// Fixing it to the board.
	risk := "clay, glue or screws mark its underside; oil of clay creeps into it"
	if p != nil && (p.Stain || p.Porous) {
		risk = fmt.Sprintf("clay oil and glue creep into %s and stay", p.What)
	}
	step("fixing it down", risk, "set it on film or foil; hold it from above with a padded bar instead of glue")
	// Sealing.
	switch {
	case p == nil:
		step("sealing", "its material is not known here; a sealer may darken it, dissolve old paint, and not come off again", "try the sealer on a hidden spot and take it off again, before the whole")
	case cure.Seal || p.Porous:
		step("sealing", fmt.Sprintf("%s needs a sealer, which may darken it and may not come off", p.What), "one that can be taken off again, such as wax or methyl cellulose; try it and take it off on a hidden spot")
	case p.Delicate:
		step("sealing", fmt.Sprintf("moisture, sealer or solvent may harm %s", p.What), "try each on a hidden spot and wait a day")
	}
	// Release and rubber.
	switch {
	case silicone && (p == nil || p.Stain || p.Porous):
		what := "porous stone, plaster, wood and bone take"
		if p != nil {
			what = fmt.Sprintf("%s takes", p.What)
		}
		step("release and rubber", what+" up oil from silicone and from petroleum jelly: a stain that stays", "seal it first; no petroleum jelly or silicone oil on it; a patch of cured rubber left on a hidden spot for a day shows the stain")
	case f == material.Polyurethane:
		step("release and rubber", "polyurethane grips whatever it gets into, and takes the face along", "sealer and release, twice; silicone is the gentler rubber for an original")
	default:
		step("release and rubber", "a face on which the rubber does not cure stays sticky, and the solvents that clean it off harm it", "patch test on a hidden spot, left for the full demold time")
	}
	if p != nil && cure.No {
		risks[len(risks)-1] = Risk{"release and rubber", fmt.Sprintf("%s does not cure against %s: liquid rubber stays on it", f.Words(), p.What), "another chemistry; see the stop"}
	}
	// Vacuum and heat.
	if w := b.shop.Workshop; w.Vacuum != nil && *w.Vacuum > 0 {
		step("vacuum", "air in a hollow or porous original swells, lifts its skin and foams the rubber", "vacuum the rubber in its cup, never with the original in it")
	}
	heat := "heat drives oil in deeper, softens wax and glue and opens old repairs"
	if p != nil && p.SoftensC != nil {
		heat = fmt.Sprintf("it softens at %.0f °C, and oil creeps in deeper when warm", p.SoftensC.Value)
	}
	step("cure", heat, "let it cure at room temperature, and no longer than it needs: open it as soon as the cup is firm")
	// Taking it out.
	peel := "peeling pulls: thin parts break, paint, gilding and old repairs lift off"
	if n := b.plan.Demold; n != nil && n.Stretch != nil && *n.Stretch > 0.05 {
		peel += fmt.Sprintf("; here the rubber has to stretch by %.0f %%", 100**n.Stretch)
	}
	guard := "a softer rubber; peel slowly from one edge, low and back on itself; support thin parts"
	switch mold {
	case demold.TwoPart:
		guard = "open the halves evenly, without levers"
	case demold.Cut:
		guard = "no knife toward the original: cut against a wire or strip laid on it before the pour, or make it in two parts"
		peel = "the knife scratches it; " + peel
	}
	step("taking it out", peel, guard)
	step("afterwards", "oil goes on creeping, and a release left on it gathers dust", "clean it at once as its keeper says, and look at it again after a week")
	b.plan.Rubber.Risks = risks
	var short []string
	for _, s := range risks[1:] {
		short = append(short, s.Step)
	}
	b.plan.Warnings.Add(finding.Finding{Code: finding.PatternIrreplaceable, Severity: finding.Caution,
		Summary: "the pattern cannot be replaced, and each step can harm it: " + strings.Join(short, ", "),
		Effect:  "a failed pour can cost the original",
		Hint:    "read what each step could do to it, at the head of this sheet, before anything else"})
}
