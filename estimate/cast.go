package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/estimate/casting"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// shell is the wall of a hollow casting by the true inner offset: its volume,
// mm³, and the edge of the lattice it was found on, mm.
type shell struct{ Volume, Lattice float64 }

// shellOf finds the wall of a hollow casting in a column field; nil where the
// casting is solid, or nothing was measured.
func (j *resolved) shellOf(ctx context.Context, f *dexel.Field) (*shell, error) {
	if j.CastWall == nil || j.cast == nil || f == nil {
		return nil, nil
	}
	v, lattice, err := casting.ShellOf(ctx, f, *j.CastWall)
	if err != nil {
		return nil, fmt.Errorf("estimate: %w", err)
	}
	return &shell{v, lattice}, nil
}

// castingOf is one casting of a pattern of a volume, mm³, and a surface, mm², and
// how many molds of a rubber a run takes; nil where nothing is cast. closed says that the mold is shut all round,
// hard that stripping takes over half of what the rubber stands for long.
func (j *resolved) castingOf(c *rubber.Chosen, volume, area float64, closed, hard bool, hollow *shell) (*Casting, finding.List) {
	if j.cast == nil {
		return nil, nil
	}
	var out finding.List
	q := casting.Job{Material: *j.cast, Volume: volume, Area: area, Closed: closed, Copies: j.Copies, Family: c.Family, Hard: hard}
	if j.CastWall != nil {
		q.Wall = *j.CastWall
		if hollow != nil {
			q.Shell = &hollow.Volume
		}
		out.Add(hollowCasting(q.Wall, hollow))
	}
	if r, err := rubber.ParseRatio(j.cast.Mix); err == nil {
		q.Ratio = [2]float64{r.A, r.B}
	}
	if j.own != nil {
		q.OwnPulls = j.own.Pulls
		if j.own.Face != nil {
			q.Face = *j.own.Face
		}
	}
	if s := c.Shrinkage; s != nil {
		q.Mold = s.Value / 100
	}
	r := casting.Reckon(q)
	step := rubber.DefaultWeighTo
	if w := j.Rubber.WeighTo; w != nil {
		step = *w
	}
	weighUp(&r, q.Ratio, step)
	p := &Casting{Material: j.cast.Name, Volume: r.Volume, Mass: &r.Mass, PartA: r.A, PartB: r.B, Powder: r.Powder, PullsPerMold: r.Pulls, MoldsNeeded: r.Molds,
		MassToMix: &r.ToMix, Sprue: r.Sprue, Water: r.Water, PullsLow: r.Low, PullsHigh: r.High, HottestC: &r.Hottest, Note: j.cast.Note}
	pct := 100 * r.Shrinkage
	p.Shrinkage, p.ResizeTo = &pct, &r.Resize
	after := j.cast.Demold.Value
	lo, hi := j.cast.Demold.Range()
	if j.own != nil && j.own.Demold != nil {
		after = *j.own.Demold
		lo, hi = after, after
	}
	p.DemoldAfter, p.DemoldLow, p.DemoldHigh = &after, &lo, &hi
	if j.cast.Kind == material.ColdCast {
		thick := casting.FaceMM
		if q.Face > 0 {
			thick = q.Face
		}
		p.Face = &ColdFace{Thickness: thick, Area: r.FaceArea, Volume: r.FaceVolume, Resin: r.FaceResin, Powder: r.FacePowder, Backing: r.Backing,
			Dust: r.Dust, DustLow: r.DustLow, DustHigh: r.DustHigh, Share: r.Phi}
		out = append(out, stiffPowder(j.cast, r.Phi)...)
	}
	return p, out
}

// weighUp rounds what one casting takes to weights that a scale of a step shows:
// parts like rubber, the smaller follows the larger.
func weighUp(r *casting.Result, mix [2]float64, step float64) {
	switch {
	case r.Water != nil:
		w := rubber.Weigh(*r.Powder+*r.Water, rubber.Ratio{A: *r.Powder, B: *r.Water}, step)
		r.Powder, r.Water = &w.A, &w.B
	case r.Powder != nil:
		g := scaleUp(*r.Powder, step)
		r.Powder = &g
	}
	if r.A != nil {
		w := rubber.Weigh(*r.A+*r.B, rubber.Ratio{A: mix[0], B: mix[1]}, step)
		r.A, r.B = &w.A, &w.B
	}
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

// hollowCasting says how a hollow casting is reckoned.
func hollowCasting(wall float64, hollow *shell) finding.Finding {
	f := finding.Finding{Code: finding.CastHollow, Severity: finding.Note,
		Summary: fmt.Sprintf("the hollow casting is reckoned as a wall of %.3g mm all round", wall),
		Effect:  "slush casting leaves thin and thick places, and the mouth may stay open",
		Hint:    "weigh the first hollow casting and mix by that"}
	if hollow == nil || hollow.Lattice > wall/2 {
		f.Severity = finding.Caution
		f.Effect = "it is a rough figure: edges and corners count double. " + f.Effect
	}
	return f
}

// stiffPowder tells of a cold-cast face with so much powder, phi of its volume,
// that it hardly pours.
func stiffPowder(c *material.Casting, phi float64) (out finding.List) {
	if phi < casting.PourablePhi {
		return nil
	}
	most := casting.PourablePhi / (1 - casting.PourablePhi) * c.PowderDensity.Value / casting.ResinSG
	out.Add(finding.Finding{Code: finding.CastStiff, Severity: finding.Caution,
		Summary: fmt.Sprintf("with %.3g parts of powder to one of resin by weight, powder is %.0f %% of the face coat's volume", c.PowderRatio.Value, 100*phi),
		Effect:  "from about 40 % on it is a paste that hardly pours and keeps its bubbles",
		Hint:    fmt.Sprintf("at most %.2g parts of powder to one of resin, or brush the face on as a paste", math.Floor(most*10)/10)})
	return out
}

// faces are what expanding foam presses on, mm²: the lid, or the other half, and
// the largest side.
type faces struct{ Lid, Side float64 }

// foam is what expanding foam presses with; nil for what does not expand, or
// where nothing is cast. on may be nil: not known.
func (j *resolved) foam(on *faces) *Foam {
	if j.cast == nil || j.cast.Pressure == nil {
		return nil
	}
	f := &Foam{Pack: casting.FoamPack}
	f.Low, f.High = j.cast.Pressure.Range()
	if on != nil {
		of := func(kPa, area float64) *float64 { v := kPa * 1e-3 * area; return &v } // kPa·mm² = mN
		f.LidArea = &on.Lid
		f.LidLow, f.LidHigh, f.SideHigh = of(f.Low, on.Lid), of(f.High, on.Lid), of(f.High, on.Side)
	}
	return f
}

// suits judges what is cast against the rubber: heat, chemistry, food, and what
// foam presses with (nil = no foam).
func (j *resolved) suits(c *rubber.Chosen, foam *Foam) (out finding.List) {
	if j.cast == nil {
		return nil
	}
	out = append(heat(j.cast, c), chemistry(j.cast, c)...)
	if foam != nil {
		out.Add(pressure(foam))
	}
	return out
}

// nearHeat is the share of a rubber's heat limit from which its skin ages early;
// a judgement.
const nearHeat = 0.8

// heat tells of a casting that is hotter than the rubber stands, or nearly.
func heat(m *material.Casting, c *rubber.Chosen) (out finding.List) {
	if c.HeatLimit == nil {
		return nil
	}
	lo, hi := m.HottestC.Range()
	switch lim := c.HeatLimit.Value; {
	case m.HottestC.Value > lim:
		out.Add(finding.Finding{Code: finding.CastTooHot, Severity: finding.Stop,
			Summary: fmt.Sprintf("%s reaches %.0f °C (%.0f to %.0f); %s stands %.0f °C", m.What, m.HottestC.Value, lo, hi, c.Name, lim),
			Effect:  "the mold chars, and hot metal may spit",
			Hint:    "a heat-rated rubber; zinc and hotter metals belong in no rubber mold"})
	case m.HottestC.Value > nearHeat*lim:
		out.Add(finding.Finding{Code: finding.CastNearHot, Severity: finding.Caution,
			Summary: fmt.Sprintf("%s reaches %.0f °C (%.0f to %.0f), close to the %.0f °C of %s", m.What, m.HottestC.Value, lo, hi, lim, c.Name),
			Effect:  "the skin of the mold hardens and cracks early",
			Hint:    "cast in layers or thin, let the mold cool in between, or take a heat-rated rubber"})
	}
	return out
}

// chemistry tells of a casting in a rubber that does not suit it, and of food.
func chemistry(m *material.Casting, c *rubber.Chosen) (out finding.List) {
	if c.Family != "" && !slices.Contains(m.Families, c.Family) && len(m.Families) > 0 {
		var names []string
		for _, f := range m.Families {
			names = append(names, f.Words())
		}
		out.Add(finding.Finding{Code: finding.CastFamily, Severity: finding.Caution,
			Summary: fmt.Sprintf("%s is usually cast in %s, not in %s", m.What, strings.Join(names, " or "), c.Family.Words()),
			Effect:  "the mold gives fewer castings, or the casting sticks",
			Hint:    "choose a rubber of that chemistry, or count on more molds"})
	}
	if m.Trigger(material.Food) {
		f := finding.Finding{Code: finding.CastNotFood, Severity: finding.Stop,
			Summary: fmt.Sprintf("%s is eaten, and %s is not for food", m.What, c.Family.Words()),
			Effect:  "residues of the rubber get into food",
			Hint:    "only a platinum-cure silicone whose maker declares food contact, fully cured and post-cured; never a mold that has held resin"}
		if c.Food {
			f.Severity, f.Summary = finding.Note, fmt.Sprintf("%s is eaten; you say the maker of %s declares food contact", m.What, c.Name)
		} else if c.Family == material.Platinum {
			f.Severity, f.Summary = finding.Caution, fmt.Sprintf("%s is eaten: not every platinum-cure silicone is for food", m.What)
		}
		out.Add(f)
	}
	return out
}

// pressure tells what foam does to its mold.
func pressure(f *Foam) finding.Finding {
	out := finding.Finding{Code: finding.CastPressure, Severity: finding.Caution,
		Summary: fmt.Sprintf("expanding foam presses on the mold with %.3g to %.3g kPa when it is packed by %.0f %%", f.Low, f.High, 100*casting.FoamPack),
		Effect:  "the mold swells and the lid lifts",
		Hint:    "mother mold or box round it, lid clamped, vents at the highest places"}
	if f.LidHigh != nil {
		kgf := float64(unit.KgForce)
		out.Effect = fmt.Sprintf("it lifts the lid with %s to %s N (%s to %s kg) and pushes the largest side out with up to %s N: the mold swells, and a lid that lifts spoils the casting",
			twoDigits(*f.LidLow), twoDigits(*f.LidHigh), twoDigits(*f.LidLow/kgf), twoDigits(*f.LidHigh/kgf), twoDigits(*f.SideHigh))
		out.Hint = fmt.Sprintf("keep the container on, and clamp the lid for %s kg, twice the most; vents at the highest places", twoDigits(2**f.LidHigh/kgf))
	}
	return out
}

// twoDigits writes a figure that is known to a factor.
func twoDigits(v float64) string {
	if v <= 0 {
		return "0"
	}
	step := math.Pow(10, math.Floor(math.Log10(v))-1)
	return strconv.FormatFloat(math.Round(v/step)*step, 'f', max(0, -int(math.Floor(math.Log10(step)+0.5))), 64)
}
