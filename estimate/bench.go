package estimate

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate/casting"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
)

// usualCup is the largest pail that is taken as at hand, ml: a bucket of ten
// litres, which stirs five by hand (common practice, no source).
const usualCup = 10000.0

// bench gathers what a plan's rubber, casting, money and order of work are
// reckoned from. It holds no mesh.
type bench struct {
	job     Job
	shop    Shop
	pattern *material.Pattern // nil = not said
	cast    *material.Casting // nil = not said
	own     *ShopCasting      // what the shop knows of cast
	temp    float64
	plan    *Plan

	faces *[2]float64   // what foam presses on: the lid and the largest side, mm²; nil = unknown
	two   *rubber.Shape // what two halves would ask of the rubber; nil = not looked at

	// Made on the way.
	chosen rubber.Chosen
	mix    rubber.Mix
	pot    *float64
	demold *float64
}

// newBench resolves the names of a job. An unknown one is a *rubber.BadInput.
func newBench(job Job, plan *Plan) (*bench, error) {
	b := &bench{job: job, plan: plan, temp: rubber.StandardTemp}
	if job.Shop != nil {
		b.shop = *job.Shop
	}
	if t := b.shop.Defaults.Temp; t != nil {
		b.temp = *t
	}
	if job.Temp != nil {
		b.temp = *job.Temp
	}
	if math.IsNaN(b.temp) || b.temp < -40 || b.temp > 100 {
		return nil, &rubber.BadInput{Flag: "temp", What: fmt.Sprintf("%g °C is no workshop", b.temp)}
	}
	if n := job.PatternMaterial; n != "" {
		p, ok := material.FindPattern(n)
		if !ok {
			var all []string
			for _, p := range material.Patterns() {
				all = append(all, p.Name)
			}
			return nil, &rubber.BadInput{Flag: "pattern-material", What: fmt.Sprintf("no material is called %q%s", n, meant(n, all))}
		}
		b.pattern = &p
	}
	if n := job.Release; n != "" {
		if _, ok := material.FindRelease(n); !ok {
			var all []string
			for _, r := range material.Releases() {
				all = append(all, r.Name)
			}
			return nil, &rubber.BadInput{Flag: "release", What: fmt.Sprintf("no release or sealer is called %q%s", n, meant(n, all))}
		}
	}
	if n := job.Cast; n != "" {
		c, ok := material.FindCasting(n)
		if !ok {
			var all []string
			for _, c := range material.Castings() {
				all = append(all, c.Name)
			}
			return nil, &rubber.BadInput{Flag: "cast", What: fmt.Sprintf("no casting material is called %q%s", n, meant(n, all))}
		}
		for i := range b.shop.Castings {
			if o := &b.shop.Castings[i]; strings.EqualFold(o.Name, c.Name) {
				b.own = o
				if o.SG != nil {
					c.SG = material.Figure{Value: *o.SG, Source: "shop file"}
				}
				if o.Mix != nil {
					c.Mix = rubber.Ratio{A: o.Mix[0], B: o.Mix[1]}.String()
				}
				if o.Powder != nil && c.PowderRatio != nil {
					c.PowderRatio = &material.Figure{Value: *o.Powder, Source: "shop file"}
					if o.SG == nil {
						c.SG.Value, _ = casting.PowderMix(*o.Powder, c.PowderDensity.Value, casting.ResinSG)
						c.SG.Low, c.SG.High, c.SG.Source = nil, nil, "by the rule of mixtures from the shop file's powder_ratio"
					}
				}
			}
		}
		b.cast = &c
	}
	for _, c := range []struct {
		flag  string
		v     *float64
		least float64
		most  float64
	}{{"pattern-mass", job.PatternMass, 0, 1e9}, {"infill", job.Infill, 0, 100}, {"cast-wall", job.CastWall, 1e-3, 1e5}, {"displaced", job.Displaced, 1e-6, 1e15}} {
		if c.v != nil && !(*c.v >= c.least && *c.v <= c.most) {
			return nil, &rubber.BadInput{Flag: c.flag, What: fmt.Sprintf("%g is out of range", *c.v)}
		}
	}
	if job.Copies < 0 {
		return nil, &rubber.BadInput{Flag: "copies", What: "say how many, 1 or more"}
	}
	q := &b.job.Rubber
	if q.Name == "" {
		q.Name = b.shop.Defaults.Rubber
		// The data sheet's own figures describe the rubber in hand, not the
		// shop's usual one.
		if q.SG != nil || q.In3PerLb != nil || q.Mix != nil || q.SGA != nil || q.SGB != nil {
			q.Name = ""
		}
	}
	if q.Extra == nil {
		q.Extra = b.shop.Defaults.ExtraPct
	}
	if q.WeighTo == nil {
		q.WeighTo = b.shop.Defaults.WeighTo
	}
	b.shop.Additives.fill(q)
	return b, q.Check()
}

// choose picks the rubber before the container is known, so that pressures can
// be reckoned with its gravity.
func (b *bench) choose(r rubber.Range, mold demold.Mold) error {
	c, err := rubber.Choose(b.job.Rubber, rubber.Needs{Own: b.shop.Rubbers, Range: r, Pattern: b.pattern, Cast: b.cast,
		Cut: mold == demold.Cut, Brushed: mold == demold.Blanket, AddedSG: b.shop.Additives.densities()})
	if err != nil {
		return err
	}
	b.chosen = c
	return nil
}

// space is the room that rubber fills: volumes in mm³.
type space struct {
	Mold              demold.Mold
	Volume, Low, High float64
	Below             *float64 // of Volume, under the parting plane
	Inside            *[3]float64
	Bore              *float64 // of a sleeve
	Height            float64
	Wall              float64
}

// spaceOf is the room in a container.
func spaceOf(f *boxfit.Fit, mold demold.Mold) space {
	s := space{Mold: mold, Volume: f.Rubber, Low: f.RubberLow, High: f.RubberHigh, Below: f.RubberBelow, Inside: f.Interior, Bore: f.Diameter, Wall: f.Wall, Height: f.FillHeight}
	return s
}

// rubber fills the plan's rubber. v may be nil (no mesh: no hardness is asked).
func (b *bench) rubber(s space, r rubber.Range, shape *rubber.Shape) {
	c, p := &b.chosen, b.plan
	q := b.job.Rubber
	add := p.Warnings.Add
	p.Warnings = append(p.Warnings, c.Findings...)

	// Times at the workshop's temperature.
	var temps finding.List
	var pot, dem *float64
	if c.PotLife != nil {
		pot = &c.PotLife.Value
	}
	if c.Demold != nil {
		dem = &c.Demold.Value
	}
	b.pot, b.demold, temps = rubber.Times(pot, dem, c.TempC, b.temp)
	p.Warnings = append(p.Warnings, temps...)

	// Batches.
	stir, rate, degas, room := rubber.StirMinutes, rubber.PourRate, 0.0, rubber.HandRoom
	cup := usualCup
	w := b.shop.Workshop
	set := func(dst *float64, v *float64) {
		if v != nil {
			*dst = *v
		}
	}
	set(&stir, w.Stir)
	set(&rate, w.PourRate)
	set(&degas, w.Vacuum)
	set(&cup, w.Cup)
	cupWhat := ""
	if degas > 0 {
		room = rubber.VacuumRoom
		if v := b.chamberCup(); v > 0 && v < cup {
			cup, cupWhat = v, "the vacuum chamber"
		}
	}
	limit := 0.0
	if b.pot != nil {
		limit = rubber.PotLimit(*b.pot, stir, degas, rate)
		if limit <= 0 {
			what := fmt.Sprintf("%.3g min of stirring", stir)
			hint := "take a slower rubber, or work in a cooler room (--temp)"
			if degas > 0 {
				what += fmt.Sprintf(" and %.3g min under vacuum", degas)
				hint = "take a slower rubber, leave out the vacuum and pour in a thin high stream, or work in a cooler room"
			}
			add(finding.Finding{Code: finding.RubberPotLife, Severity: finding.Stop,
				Summary: fmt.Sprintf("%s sets after %.3g min at %.3g °C: nothing of that is left to pour in after %s", c.Name, *b.pot, b.temp, what),
				Effect:  "the rubber sets in the cup, or over the pattern without filling its detail",
				Hint:    hint})
			limit = 0
		}
	}

	extra := rubber.DefaultExtra
	if c.BrushOnly {
		extra = rubber.BrushExtra
	}
	if q.Extra != nil {
		extra = *q.Extra / 100
	}
	weigh := rubber.DefaultWeighTo
	if q.WeighTo != nil {
		weigh = *q.WeighTo
	}
	film := rubber.UnknownFilm
	if c.Viscosity != nil {
		film = rubber.Film(c.Viscosity.Value)
	}
	if slices.ContainsFunc(c.Added, func(a rubber.Added) bool { return a.Kind == "thickener" }) {
		film = rubber.PasteFilm
	}
	halves := []rubber.Half{{Name: "whole", Volume: s.Volume, High: s.High}}
	if s.Below != nil && s.Mold == demold.TwoPart && s.Volume > 0 {
		k := *s.Below / s.Volume
		halves = []rubber.Half{{Name: "first", Volume: *s.Below, High: k * s.High}, {Name: "second", Volume: s.Volume - *s.Below, High: (1 - k) * s.High}}
	}
	b.mix = rubber.Blend(rubber.MixRequest{Family: c.Family, SG: c.Density, Ratio: c.Ratio, ByVolume: c.ByVolume, SGA: c.A, SGB: c.B,
		Added: c.Added, Halves: halves, Extra: extra, WeighTo: weigh, Film: film, MaxBatch: limit, MaxCup: cup, CupWhat: cupWhat, Room: room})
	m := &b.mix
	p.Warnings = append(p.Warnings, m.Findings...)

	out := &Rubber{Name: c.Name, Family: string(c.Family), What: c.What, SG: c.Density, Volume: s.Volume, VolumeLow: s.Low, VolumeHigh: s.High,
		Mass: m.Mass, MassToMix: m.ToMix, PartA: m.PartA, PartB: m.PartB, PartAml: m.PartAml, PartBml: m.PartBml, RatioError: m.Error,
		Pours: []Pour{}, Kits: []Kit{}, PotLife: b.pot, Demold: b.demold, Reasons: append([]string{}, c.Reasons...),
		MixRatio: c.Ratio.String(), MixBy: "weight", ExtraMass: m.Extra, ExtraReason: m.ExtraReason,
		ShoreA: value(c.ShoreA), ShoreOO: value(c.ShoreOO), Elongation: value(c.Elongation), HeatLimit: value(c.HeatLimit), Shrinkage: value(c.Shrinkage), Have: q.Have,
		HaveWays: []Way{}, BareSG: c.Bare, Additives: []Additive{}, Tear: value(c.Tear), Practice: []string{}, Risks: []Risk{}}
	if c.Family == "" {
		out.Family = "unknown"
	}
	if c.ByVolume {
		out.MixBy = "volume"
	}
	for _, mp := range m.Pours {
		pour := Pour{Half: mp.Half.Name, Volume: mp.Half.Volume, PartA: mp.PartA, PartB: mp.PartB, Mass: mp.ToMix, Extra: mp.Extra, Batches: []Batch{}, Additives: mp.Added}
		for _, mb := range mp.Batches {
			pour.Batches = append(pour.Batches, Batch{mb.PartA, mb.PartB, mb.Cup, mb.Added})
		}
		out.Pours = append(out.Pours, pour)
	}
	p.Rubber = out
	b.bench(stir, degas, s.Mold)

	if shape != nil {
		b.hardness(out, r, *shape)
	}
	p.Warnings = append(p.Warnings, rubber.Cures(b.pattern, c.Family)...)
	if r, ok := material.FindRelease(b.job.Release); ok && c.Family != "" {
		p.Warnings = append(p.Warnings, rubber.ReleaseChosen(r, b.pattern, c.Family, s.Mold == demold.TwoPart)...)
	}
	silicone := c.Family == material.Platinum || c.Family == material.Tin
	if s.Mold == demold.TwoPart {
		f := finding.Finding{Code: finding.RubberSecondHalf, Severity: finding.Caution,
			Summary: "the second half is poured over the first",
			Effect:  "rubber bonds to fresh rubber: without a release the halves become one block",
			Hint:    "brush release over the whole face and the keys, thin (" + strings.ReplaceAll(strings.Join(material.Between("release", nil, c.Family), ", "), "-", " ") + "); let it dry"}
		if silicone {
			f.Summary = "the second half is poured over the first: silicone on silicone"
			f.Hint += "; no silicone oil spray under silicone"
		}
		add(f)
	}
	b.chamber(s)
	b.irreplaceable(s.Mold)
	if sft := b.softens(); sft != "" && c.Family == material.Polyurethane {
		add(finding.Finding{Code: finding.PatternSoftens, Severity: finding.Caution,
			Summary: sft,
			Effect:  "a fast polyurethane warms itself in bulk and may dent or bend the pattern",
			Hint:    "take a slow rubber, pour in layers, and cure nothing warm"})
	}
	if s.Mold != demold.Blanket && c.Family == material.Latex {
		out.Reasons = append(out.Reasons, "latex shrinks as it dries: every figure here is for a poured rubber")
	}
}

func value(f *material.Figure) *float64 {
	if f == nil {
		return nil
	}
	return &f.Value
}

// chamber tells whether the mold fits the user's vacuum chamber and pressure pot.
func (b *bench) chamber(s space) {
	w := b.shop.Workshop
	wide := 0.0
	switch {
	case s.Bore != nil:
		wide = *s.Bore
	case s.Inside != nil:
		wide = math.Hypot(s.Inside[0], s.Inside[1])
	default:
		return
	}
	for _, c := range []struct {
		name         string
		bore, height *float64
	}{{"vacuum chamber", w.VacuumBore, w.VacuumHeight}, {"pressure pot", w.PressureBore, w.PressureTop}} {
		if c.bore == nil || c.height == nil || wide <= *c.bore && s.Height <= *c.height {
			continue
		}
		b.plan.Warnings.Add(finding.Finding{Code: finding.RubberChamber, Severity: finding.Note,
			Summary: fmt.Sprintf("the mold is %.0f mm across its corners and %.0f mm high: it does not fit the %s (%.0f by %.0f mm)", wide, s.Height, c.name, *c.bore, *c.height),
			Effect:  "neither the filled box nor later castings can go in",
			Hint:    "vacuum the mixed rubber in its cup and pour it slowly"})
	}
}

func (b *bench) softens() string {
	if b.pattern == nil || b.pattern.SoftensC == nil || b.pattern.SoftensC.Value > 80 {
		return ""
	}
	lo, hi := b.pattern.SoftensC.Range()
	return fmt.Sprintf("%s softens at %.0f to %.0f °C", b.pattern.What, lo, hi)
}

// casting fills the plan's casting; volume mm³, area mm².
// shell is the volume of a hollow casting's wall by the true inner offset, with
// the edge of the lattice it was found on; nil where that was not looked at.
func (b *bench) casting(volume, area float64, mold demold.Mold, up *[3]float64, hard bool, shell *[2]float64) {
	if b.cast == nil {
		return
	}
	c, add := b.cast, b.plan.Warnings.Add
	j := casting.Job{Material: *c, Volume: volume, Area: area, Closed: !mold.OnBoard(), Copies: b.job.Copies, Family: b.chosen.Family, Hard: hard}
	if b.job.CastWall != nil {
		j.Wall = *b.job.CastWall
		f := finding.Finding{Code: finding.CastHollow, Severity: finding.Note,
			Summary: fmt.Sprintf("the hollow casting is reckoned as a wall of %.3g mm all round", j.Wall),
			Effect:  "slush casting leaves thin and thick places, and the mouth may stay open",
			Hint:    "weigh the first hollow casting and mix by that"}
		if shell != nil {
			j.Shell = &shell[0]
		}
		if shell == nil || shell[1] > j.Wall/2 {
			f.Severity = finding.Caution
			f.Effect = "it is a rough figure: edges and corners count double. " + f.Effect
		}
		add(f)
	}
	if r, err := rubber.ParseRatio(c.Mix); err == nil {
		j.Ratio = [2]float64{r.A, r.B}
	}
	if b.own != nil {
		j.OwnPulls = b.own.Pulls
		if b.own.Face != nil {
			j.Face = *b.own.Face
		}
	}
	if s := b.chosen.Shrinkage; s != nil {
		j.Mold = s.Value / 100
	}
	r := casting.Reckon(j)
	step := rubber.DefaultWeighTo
	if w := b.job.Rubber.WeighTo; w != nil {
		step = *w
	}
	switch {
	case r.Water != nil:
		w := rubber.Weigh(*r.Powder+*r.Water, rubber.Ratio{A: *r.Powder, B: *r.Water}, step)
		r.Powder, r.Water = &w.A, &w.B
	case r.Powder != nil:
		g := scaleUp(*r.Powder, step)
		r.Powder = &g
	}
	if r.A != nil {
		// Weighed like rubber: the smaller part follows the larger.
		w := rubber.Weigh(*r.A+*r.B, rubber.Ratio{A: j.Ratio[0], B: j.Ratio[1]}, step)
		r.A, r.B = &w.A, &w.B
	}
	out := &Casting{Material: c.Name, PourUp: up, Volume: r.Volume, Mass: &r.Mass, PartA: r.A, PartB: r.B, Powder: r.Powder, PullsPerMold: r.Pulls, MoldsNeeded: r.Molds,
		MassToMix: &r.ToMix, Sprue: r.Sprue, Water: r.Water, PullsLow: r.Low, PullsHigh: r.High, HottestC: &r.Hottest, Note: c.Note}
	pct := 100 * r.Shrinkage
	out.Shrinkage, out.ResizeTo = &pct, &r.Resize
	lo, hi := c.Demold.Range()
	after := c.Demold.Value
	if b.own != nil && b.own.Demold != nil {
		after = *b.own.Demold
		lo, hi = after, after
	}
	out.DemoldAfter, out.DemoldLow, out.DemoldHigh = &after, &lo, &hi
	if c.Kind == "cold-cast" {
		thick := casting.FaceMM
		if j.Face > 0 {
			thick = j.Face
		}
		out.Face = &ColdFace{Thickness: thick, Area: r.FaceArea, Volume: r.FaceVolume, Resin: r.FaceResin, Powder: r.FacePowder, Backing: r.Backing,
			Dust: r.Dust, DustLow: r.DustLow, DustHigh: r.DustHigh, Share: r.Phi}
		if r.Phi >= casting.PourablePhi {
			most := casting.PourablePhi / (1 - casting.PourablePhi) * c.PowderDensity.Value / casting.ResinSG
			add(finding.Finding{Code: finding.CastStiff, Severity: finding.Caution,
				Summary: fmt.Sprintf("with %.3g parts of powder to one of resin by weight, powder is %.0f %% of the face coat's volume", c.PowderRatio.Value, 100*r.Phi),
				Effect:  "from about 40 % on it is a paste that hardly pours and keeps its bubbles",
				Hint:    fmt.Sprintf("at most %.2g parts of powder to one of resin, or brush the face on as a paste", math.Floor(most*10)/10)})
		}
	}
	out.Foam = b.foam()
	b.plan.Casting = out
}

// castFits judges what is cast against the rubber: heat, chemistry, food,
// pressure.
func (b *bench) castFits() {
	if b.cast == nil {
		return
	}
	c, add := b.cast, b.plan.Warnings.Add
	lo, hi := c.HottestC.Range()
	if lim := b.chosen.HeatLimit; lim != nil {
		switch {
		case c.HottestC.Value > lim.Value:
			add(finding.Finding{Code: finding.CastTooHot, Severity: finding.Stop,
				Summary: fmt.Sprintf("%s reaches %.0f °C (%.0f to %.0f); %s stands %.0f °C", c.What, c.HottestC.Value, lo, hi, b.chosen.Name, lim.Value),
				Effect:  "the mold chars, and hot metal may spit",
				Hint:    "a heat-rated rubber; zinc and hotter metals belong in no rubber mold"})
		case c.HottestC.Value > 0.8*lim.Value:
			add(finding.Finding{Code: finding.CastNearHot, Severity: finding.Caution,
				Summary: fmt.Sprintf("%s reaches %.0f °C (%.0f to %.0f), close to the %.0f °C of %s", c.What, c.HottestC.Value, lo, hi, lim.Value, b.chosen.Name),
				Effect:  "the skin of the mold hardens and cracks early",
				Hint:    "cast in layers or thin, let the mold cool in between, or take a heat-rated rubber"})
		}
	}
	if b.chosen.Family != "" && !slices.Contains(c.Families, b.chosen.Family) && len(c.Families) > 0 {
		var names []string
		for _, f := range c.Families {
			names = append(names, f.Words())
		}
		add(finding.Finding{Code: finding.CastFamily, Severity: finding.Caution,
			Summary: fmt.Sprintf("%s is usually cast in %s, not in %s", c.What, strings.Join(names, " or "), b.chosen.Family.Words()),
			Effect:  "the mold gives fewer castings, or the casting sticks",
			Hint:    "choose a rubber of that chemistry, or count on more molds"})
	}
	if c.Trigger("food") {
		f := finding.Finding{Code: finding.CastNotFood, Severity: finding.Stop,
			Summary: fmt.Sprintf("%s is eaten, and %s is not for food", c.What, b.chosen.Family.Words()),
			Effect:  "residues of the rubber get into food",
			Hint:    "only a platinum-cure silicone whose maker declares food contact, fully cured and post-cured; never a mold that has held resin"}
		if b.chosen.Food {
			f.Severity, f.Summary = finding.Note, fmt.Sprintf("%s is eaten; you say the maker of %s declares food contact", c.What, b.chosen.Name)
		} else if b.chosen.Family == material.Platinum {
			f.Severity, f.Summary = finding.Caution, fmt.Sprintf("%s is eaten: not every platinum-cure silicone is for food", c.What)
		}
		add(f)
	}
	if f := b.foam(); f != nil {
		effect := "the mold swells and the lid lifts"
		hint := "mother mold or box round it, lid clamped, vents at the highest places"
		if f.LidHigh != nil {
			effect = fmt.Sprintf("it lifts the lid with %s to %s N (%s to %s kg) and pushes the largest side out with up to %s N: the mold swells, and a lid that lifts spoils the casting",
				twoDigits(*f.LidLow), twoDigits(*f.LidHigh), twoDigits(*f.LidLow/9.80665), twoDigits(*f.LidHigh/9.80665), twoDigits(*f.SideHigh))
			hint = fmt.Sprintf("keep the container on, and clamp the lid for %s kg, twice the most; vents at the highest places", twoDigits(2**f.LidHigh/9.80665))
		}
		add(finding.Finding{Code: finding.CastPressure, Severity: finding.Caution,
			Summary: fmt.Sprintf("expanding foam presses on the mold with %.3g to %.3g kPa when it is packed by %.0f %%", f.Low, f.High, 100*casting.FoamPack),
			Effect:  effect,
			Hint:    hint})
	}
}

// twoDigits writes a figure that is known to a factor.
func twoDigits(v float64) string {
	if v <= 0 {
		return "0"
	}
	step := math.Pow(10, math.Floor(math.Log10(v))-1)
	return strconv.FormatFloat(math.Round(v/step)*step, 'f', max(0, -int(math.Floor(math.Log10(step)+0.5))), 64)
}

// scaleUp rounds a mass up to the coarsest of 5, 1, 0.5 and 0.1 g, not above the
// scale's step, that is no more than a hundredth of it.
func scaleUp(g, step float64) float64 {
	at := min(step, 0.1)
	for _, s := range []float64{5, 1, 0.5} {
		if s <= step && s <= g/100 {
			at = s
			break
		}
	}
	return math.Ceil(g/at-1e-9) * at
}

// foam is what expanding foam presses with; nil for what does not expand.
func (b *bench) foam() *Foam {
	if b.cast == nil || b.cast.Pressure == nil {
		return nil
	}
	f := &Foam{Pack: casting.FoamPack}
	f.Low, f.High = b.cast.Pressure.Range()
	if b.faces != nil {
		of := func(kPa, area float64) *float64 { v := kPa * 1e-3 * area; return &v } // kPa·mm² = mN
		f.LidArea = &b.faces[0]
		f.LidLow, f.LidHigh, f.SideHigh = of(f.Low, b.faces[0]), of(f.High, b.faces[0]), of(f.High, b.faces[1])
	}
	return f
}

// order fills the plan's schedule. Without a demold time there is none.
func (b *bench) order() {
	if b.demold == nil {
		return
	}
	w := b.shop.Workshop
	r := schedule.Request{Family: b.chosen.Family, Demold: *b.demold, Stir: rubber.StirMinutes, Rate: rubber.PourRate, Open: schedule.OpenMinutes}
	if w.Stir != nil {
		r.Stir = *w.Stir
	}
	if w.PourRate != nil {
		r.Rate = *w.PourRate
	}
	if w.Vacuum != nil {
		r.Degas = *w.Vacuum
	}
	for _, p := range b.mix.Pours {
		h := schedule.Half{Name: p.Half.Name}
		for range p.Batches {
			h.Batches = append(h.Batches, p.ToMix/float64(len(p.Batches)))
		}
		r.Halves = append(r.Halves, h)
	}
	if b.chosen.BrushOnly {
		// Coats of 1 to 2 mm; common practice, no source.
		r.Coats, r.Between = 4, *b.demold/8
	}
	if c := b.plan.Casting; c != nil && c.DemoldAfter != nil {
		r.Casting = *c.DemoldAfter
	}
	s := &Schedule{Steps: []Step{}, Temperature: b.temp}
	for _, st := range schedule.Order(r) {
		s.Steps = append(s.Steps, Step{What: st.What, Start: st.Start, End: st.End, Half: st.Half})
	}
	b.plan.Schedule = s
}

// weighed is the mass of A and B that goes into the cups for one mold, g,
// without what is stirred in: what is bought as rubber.
func (b *bench) weighed() float64 {
	if b.mix.PartA != nil {
		return *b.mix.PartA + *b.mix.PartB
	}
	return b.mix.ToMix * (1 - rubber.Shares(b.chosen.Added))
}

// molds is how many molds the run takes.
func (b *bench) molds() int {
	if c := b.plan.Casting; c != nil && c.MoldsNeeded != nil {
		return *c.MoldsNeeded
	}
	return 1
}

// cost fills the plan's cost from prices that are known; with none there is no
// cost. Amounts are exact decimals; each line is rounded to cents.
func (b *bench) cost(fit *boxfit.Fit) error {
	pr := b.shop.Prices
	q := b.job.Rubber
	c := &Cost{Currency: pr.Currency, Lines: []CostLine{}, Rounding: "each line to cents, half up; nothing is converted"}
	if q.Currency != "" {
		c.Currency = q.Currency
	}
	var mold, perPull, sum money.Amount
	molds := b.molds()
	var err error
	line := func(what string, qty float64, unit string, price money.Amount, amount money.Amount) money.Amount {
		amount = amount.Cents()
		c.Lines = append(c.Lines, CostLine{what, qty, unit, price.Float(), amount.Float()})
		sum += amount
		return amount
	}
	times := func(what string, qty float64, unit string, price money.Amount) (a money.Amount) {
		if err != nil || qty == 0 {
			return 0
		}
		if a, err = price.Times(qty); err != nil {
			return 0
		}
		return line(what, qty, unit, price, a)
	}

	// Rubber: by the kilogram, or in kits.
	need := b.weighed() * float64(molds)
	buy := need
	if q.Have != nil {
		buy = max(0, need-*q.Have)
	}
	var rubberCost *money.Amount
	switch {
	case q.PricePerKg != nil:
		var price money.Amount
		if price, err = money.FromFloat(*q.PricePerKg); err != nil {
			return &rubber.BadInput{Flag: "price-per-kg", What: "not a price"}
		}
		a := times("rubber: "+b.chosen.Name, buy/1000, "kg", price)
		rubberCost = &a
	case len(b.chosen.Kits) > 0 && buy > 0:
		buys, total := money.Cheapest(b.chosen.Kits, buy)
		if buys == nil {
			break
		}
		bought := 0.0
		for _, x := range buys {
			bought += float64(x.Count) * x.Kit.SizeG
			b.plan.Rubber.Kits = append(b.plan.Rubber.Kits, Kit{x.Kit.SizeG, x.Count, (x.Kit.Price * money.Amount(x.Count)).Float()})
		}
		left := bought - buy
		b.plan.Rubber.LeftOver = &left
		if pr.ChargeUsed {
			if total, err = total.Times(buy / bought); err != nil {
				return err
			}
			a := line("rubber used of the kits: "+b.chosen.Name, buy/1000, "kg", perKg(total, buy), total)
			rubberCost = &a
		} else {
			var a money.Amount
			for _, x := range buys {
				a += times(fmt.Sprintf("rubber: %s, kit of %g g", b.chosen.Name, x.Kit.SizeG), float64(x.Count), "kits", x.Kit.Price)
			}
			rubberCost = &a
		}
	}
	if err != nil {
		return err
	}
	if rubberCost != nil {
		f := rubberCost.Float()
		b.plan.Rubber.Cost = &f
	}

	for i, a := range b.chosen.Added {
		if price := b.shop.Additives.price(a.Kind); price != nil {
			times(a.Kind+": "+a.Name, b.mix.Added[i]*float64(molds)/1000, "kg", *price)
		}
	}

	// The container.
	if fit != nil {
		for _, bd := range fit.Boards {
			for _, sb := range b.shop.Boards {
				// The cut list calls a piece "long side, mdf-12".
				if label := strings.ToLower(bd.Name); sb.PricePerM2 != nil && strings.HasSuffix(", "+label, ", "+strings.ToLower(sb.Name)) {
					times("board: "+bd.Name, float64(bd.Count)*bd.Length*bd.Width/1e6, "m²", *sb.PricePerM2)
				}
			}
		}
		for _, tb := range b.shop.Tubes {
			if fit.Stock != nil && tb.PricePerM != nil && strings.EqualFold(tb.Name, *fit.Stock) {
				times("tube: "+tb.Name, fit.FillHeight/1000, "m", *tb.PricePerM)
			}
		}
	}
	if pr.Sundries != nil {
		times("cups, gloves, sealer, release", float64(molds), "molds", *pr.Sundries)
	}
	if pr.LaborPerHour != nil {
		pours := float64(max(1, len(b.mix.Pours)) * molds)
		for _, l := range []struct {
			what  string
			hours *float64
			n     float64
		}{{"preparing the pattern", pr.HoursPrepare, 1}, {"building the box", pr.HoursBox, 1}, {"mixing and pouring", pr.HoursPour, pours}, {"opening", pr.HoursOpen, float64(molds)}} {
			if l.hours != nil {
				times("labor: "+l.what, *l.hours*l.n, "h", *pr.LaborPerHour)
			}
		}
	}
	mold = sum

	// The castings.
	if ca := b.plan.Casting; ca != nil {
		copies := float64(max(1, b.job.Copies))
		if b.own != nil && b.own.PricePerKg != nil && ca.MassToMix != nil {
			times("castings: "+ca.Material, copies**ca.MassToMix/1000, "kg", *b.own.PricePerKg)
		}
		if pr.LaborPerHour != nil && pr.HoursPerCasting != nil {
			times("labor: casting", copies**pr.HoursPerCasting, "h", *pr.LaborPerHour)
		}
		perPull = (sum - mold) / money.Amount(max(1, b.job.Copies))
	}
	if err != nil {
		return err
	}
	if len(c.Lines) == 0 {
		return nil
	}
	var over money.Amount
	if pr.OverheadPct != nil {
		if over, err = sum.Percent(*pr.OverheadPct); err != nil {
			return err
		}
	}
	total := sum + over
	if pr.MarginPct != nil {
		if total, err = total.WithMargin(*pr.MarginPct); err != nil {
			return err
		}
	}
	margin := total - sum - over
	if pr.Minimum != nil && total < *pr.Minimum {
		total = pr.Minimum.Cents()
		margin = total - sum - over
	}
	c.Subtotal, c.Overhead, c.Margin, c.Total = sum.Float(), over.Float(), margin.Float(), total.Float()
	if ca := b.plan.Casting; ca != nil && ca.PullsPerMold != nil && *ca.PullsPerMold > 0 {
		// Wear of the mold, material and labor, with overhead, without margin.
		// With a number of copies the molds are worn by those alone.
		n := int64(*ca.PullsPerMold)
		if b.job.Copies > 0 {
			n = int64(b.job.Copies)
		}
		each := mold/money.Amount(n) + perPull
		if pr.OverheadPct != nil {
			o, err := each.Percent(*pr.OverheadPct)
			if err != nil {
				return err
			}
			each += o
		}
		f := each.Cents().Float()
		c.PerCasting = &f
	}
	if c.Offer, err = offer(pr, total, mold, sum-mold, b.job.Copies); err != nil {
		return err
	}
	b.plan.Cost = c
	return nil
}

func perKg(total money.Amount, grams float64) money.Amount {
	a, err := total.Times(1000 / grams)
	if err != nil {
		return 0
	}
	return a
}
