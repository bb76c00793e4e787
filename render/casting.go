package render

import (
	"math"
	"strconv"

	"moldtally/estimate"
	"moldtally/render/figure"
)

func (w *wording) casting() Section {
	sec := Section{Key: "casting", Title: "Casting"}
	c := w.plan.Casting
	if c == nil {
		return sec
	}
	up := ""
	if c.PourUp != nil {
		up = "poured with " + figure.Direction(*c.PourUp) + " up"
	}
	sec.add(Row{Label: "Material", Value: c.Material, Note: figure.Join("; ", up, c.Note)})
	of := "one"
	if c.Cavities > 1 {
		of = "all " + strconv.Itoa(c.Cavities)
	}
	sec.add(w.row("Volume of "+of, figure.Exactly(c.Volume), ""))
	if c.Mass != nil {
		sec.add(w.row("Mass of "+of, figure.Mass(*c.Mass, *c.Mass, *c.Mass), ""))
	}
	if c.MassToMix != nil {
		note := ""
		if c.Sprue > 0 {
			note = "with about " + w.Inline(figure.About(figure.Volume, c.Sprue, withinSprue)) + " for sprue and vents, and what stays in the cup"
		}
		sec.add(w.row("Mix for "+of, figure.Mass(*c.MassToMix, *c.MassToMix, *c.MassToMix), note))
	}
	for _, x := range []struct {
		label string
		g     *float64
	}{{"Part A", c.PartA}, {"Part B", c.PartB}, {"Powder", c.Powder}, {"Water", c.Water}} {
		if x.g != nil {
			sec.add(w.scale(x.label, *x.g, ""))
		}
	}
	if f := c.Face; f != nil {
		g := func(v float64) string { return w.Inline(figure.About(figure.Mass, v, withinCoat)) }
		sec.add(
			Row{Label: "First, dry powder", Value: g(f.Dust), Note: "dusted on thinly with a soft brush; " + g(f.DustLow) + " to " + g(f.DustHigh) + " by the face"},
			Row{Label: "Then a face coat", Value: g(f.Resin) + " of resin, " + g(f.Powder) + " of powder", Note: w.Inline(figure.Short(f.Thickness)) + " over " + w.Inline(figure.Area(f.Area)) + "; powder is " + figure.Trimmed(100*f.Share, 0) + figure.NBSP + "% of its volume"})
		if f.Backing > 0.5 {
			sec.add(Row{Label: "Then back it with", Value: g(f.Backing) + " of plain resin", Note: "before the face is hard"})
		}
	}
	if f := c.Foam; f != nil {
		sec.add(w.row("Presses with", figure.PressureRange(f.Low, f.High), "packed "+figure.Trimmed(100*f.Pack, 0)+figure.NBSP+"% over its free rise"))
		if f.LidHigh != nil {
			sec.add(w.force("Clamp its lid for", 2**f.LidHigh, "twice the most that lifts it"))
		}
	}
	if c.DemoldAfter != nil {
		r := Row{Label: "Take it out after", Value: figure.Duration(*c.DemoldAfter)}
		if c.DemoldLow != nil && c.DemoldHigh != nil && *c.DemoldLow < *c.DemoldHigh {
			r.Note = "usually " + figure.Duration(*c.DemoldLow) + " to " + figure.Duration(*c.DemoldHigh) + ", from memory; its data sheet wins"
		}
		sec.add(r)
	}
	if c.HottestC != nil {
		sec.add(Row{Label: "Gets as hot as", Value: figure.Temperature(*c.HottestC, w.System), Note: "the most it usually reaches"})
	}
	if c.Shrinkage != nil {
		sec.add(Row{Label: "Shrinks", Value: figure.Trimmed(*c.Shrinkage, 2), Unit: "%", Note: "in length, rubber and casting together"})
	}
	if c.ResizeTo != nil && math.Abs(*c.ResizeTo-1) > 5e-5 {
		sec.add(Row{Label: "For a true size", Value: figure.Trimmed(*c.ResizeTo, 4), Note: "times as big a pattern"})
	}
	per := "Castings per mold"
	if c.Cavities > 1 {
		per = "Pours per mold"
	}
	sec.add(lasts(c, per)...)
	if c.MoldsNeeded != nil {
		sec.add(Row{Label: "Molds needed", Value: strconv.Itoa(*c.MoldsNeeded), Note: "if each gives the fewest"})
	}
	return sec
}

// lasts is how many castings, or pours of several, a mold gives, and whose figure
// that is.
func lasts(c *estimate.Casting, label string) []Row {
	const typical = "typical; depends on release, heat and care"
	switch {
	case c.PullsPerMold == nil:
		return nil
	case c.PullsLow == nil || c.PullsHigh == nil:
		return []Row{{Label: label, Value: "about " + strconv.Itoa(*c.PullsPerMold), Note: typical}}
	case c.OwnMolds > 0 && c.PullsUsual != nil:
		return []Row{{Label: label, Value: figure.Span(*c.PullsLow, *c.PullsHigh), Note: "from " + figure.Count(c.OwnMolds, "mold", "molds") + " of yours, instead of the usual " + strconv.Itoa(*c.PullsUsual)}}
	}
	return []Row{{Label: label, Value: figure.Span(*c.PullsLow, *c.PullsHigh), Note: typical}}
}
