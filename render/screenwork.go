package render

import (
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/material"
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// originalLine is the first of what guards a pattern that cannot be replaced; "" for
// one that can.
func (w *wording) originalLine() string {
	r := w.plan.Rubber
	if r == nil || len(r.Risks) == 0 || w.plan.Refused() {
		return ""
	}
	s := "it cannot be replaced: " + w.say(r.Risks[0].Guard)
	if n := len(r.Risks) - 1; n > 0 {
		s = strconv.Itoa(n) + " more steps could harm it (--full); " + s
	}
	return s
}

// timeLine is how long the mix may be poured and when the mold is opened.
func (w *wording) timeLine() string {
	r := w.plan.Rubber
	if r == nil || w.plan.Refused() {
		return ""
	}
	var parts []string
	if r.PotLife != nil {
		from := *r.PotLife
		if r.PotLifeLow != nil { // warmth does not do the same to all rubbers
			from = *r.PotLifeLow
		}
		do := "pour within "
		if w.brushed() {
			do = "brush each cup out within "
		}
		parts = append(parts, do+figure.Duration(from)+" of stirring")
	}
	if r.Demold != nil {
		parts = append(parts, "open after "+figure.Duration(*r.Demold))
	}
	s := strings.Join(parts, "; ")
	if t := w.plan.Schedule; s != "" && t != nil && t.Temperature != 0 {
		s += "; at " + figure.Temperature(t.Temperature, w.System)
	}
	return s
}

// weight words a force, N, as the mass that weighs as much.
func (w *wording) weight(n float64) string {
	g := n / unit.G * 1000
	return w.Fine(figure.Load(g))
}

// holdLine says what holds the pattern down, and the shell.
func (w *wording) holdLine() string {
	c := w.plan.Container
	if c == nil || w.plan.Refused() {
		return ""
	}
	s := w.holdPattern(c)
	if c.ShellUplift != nil && *c.ShellUplift > 0 {
		s = figure.Join("; ", s, "the shell with "+w.weight(boxfit.MarginScrews**c.ShellUplift)+", bolted, clamped or weighted")
	}
	return s
}

func (w *wording) holdPattern(c *boxfit.Fit) string {
	switch {
	case c.Mold == demold.Brushed:
		return "nothing: brushed coats press on nothing"
	case c.HoldDown == nil:
		for _, f := range w.plan.Warnings {
			if x, ok := f.Facts.(boxfit.MayFloat); ok {
				return w.Fine(figure.Load(float64(x.Load))) + " at the worst: the pattern's own mass is not known"
			}
		}
		if c.Fixed {
			return "fixed, as you say; what that must bear is not known, for the pattern's mass is not"
		}
		if c.Mold.OnBoard() {
			return "nothing to speak of: the clay round its edge holds the pattern"
		}
		return "nothing to speak of: it floats by less than " + w.weight(boxfit.ClayHolds)
	case *c.HoldDown <= 0 && c.Mold == demold.Cut:
		return "nothing: it sinks; it stands on its base, or on a rod and pegs"
	case *c.HoldDown <= 0:
		return "nothing: it sinks; " + w.sinks(c)
	}
	f := *c.HoldDown
	if c.HoldDownMargin != nil {
		f = *c.HoldDownMargin
	}
	switch {
	case c.Fixed:
		return w.weight(f) + " with margin; fixed, as you say"
	case f < boxfit.ClayHolds && c.Mold.OnBoard():
		return w.weight(f) + " with margin: the clay round its edge holds that"
	}
	return w.weight(f) + " on a bridge, or a screw that bears as much: twice what it floats by"
}

// releaseLine says where sealer and release are brushed on.
func (w *wording) releaseLine() string {
	s := w.plan.Schedule
	if s == nil || w.plan.Refused() {
		return ""
	}
	const ask = "say what it is made of (--pattern-material)"
	var parts []string
	done := map[schedule.Doing]bool{}
	for _, x := range s.Steps {
		if done[x.What.Do] {
			continue
		}
		done[x.What.Do] = true
		grips := x.What.Family == material.Polyurethane
		switch x.What.Do {
		case schedule.SealPattern:
			parts = append(parts, "first seal the pattern in two or three thin coats")
		case schedule.ReleasePattern:
			if grips {
				parts = append(parts, "over pattern, board and container, for polyurethane grips whatever it touches")
			} else {
				parts = append(parts, "a thin coat on the pattern")
			}
		case schedule.BrushRelease:
			parts = append(parts, "twice over the first half, its keys and its flange, before the second pour")
		}
	}
	for _, n := range w.plan.NotChecked {
		if n.What == estimate.CureUnknown && len(parts) == 0 {
			return "depends on the pattern: " + ask
		} else if n.What == estimate.CureUnknown {
			return strings.Join(parts, "; ") + "; for the pattern " + ask
		}
	}
	if len(parts) == 0 {
		return "none on this pattern"
	}
	return strings.Join(parts, "; ")
}

// costLine is what the mold costs, and what is not in that.
func (w *wording) costLine() string {
	c := w.plan.Cost
	if w.plan.Refused() {
		return ""
	}
	if c == nil || c.Total == nil {
		for _, n := range w.plan.NotChecked {
			if n.What == estimate.NoPrices {
				return "not priced: no price is known (--price-per-kg, or your shop file)"
			}
		}
		return ""
	}
	s := inMoney(c.Total, c.Currency)
	if c.Tax != nil {
		s += " before tax"
	}
	if len(c.Without) > 0 {
		s += "; without " + words.Lacking(c.Without)
	}
	if c.Days != nil {
		s += "; " + figure.Count(*c.Days, "working day", "working days")
	}
	return s
}

// safetyLine defers to the sheets, and counts the cautions.
func (w *wording) safetyLine() string {
	if len(w.plan.Cautions) == 0 || w.plan.Refused() {
		return ""
	}
	s := "gloves, goggles, air as the safety data sheets say"
	if n := len(w.plan.Cautions) - 1; n > 0 {
		s += "; " + strconv.Itoa(n) + " more: --full"
	}
	return s
}

// choiceLines say why this kind of mold, and what the next best would change.
func (w *wording) choiceLines() (why, next string) {
	if g := w.plan.Gang; g != nil && !w.plan.Refused() {
		return w.togetherLine(g), ""
	}
	c := w.plan.Choice
	if c == nil || w.plan.Refused() {
		return "", ""
	}
	x, ok := c.Facts.(estimate.Weighed)
	if !ok {
		return w.say(*c), ""
	}
	if x.Second != nil {
		next = w.say(estimate.NextBest{First: x.First, Second: *x.Second})
	}
	x.Second = nil
	return w.say(x), next
}

// moreLine says where the rest is.
func (w *wording) moreLine(short bool) string {
	s, places := "--full prints all of it", "; places are as the large view of --png shows"
	if short {
		s, places = "--full prints all, findings whole", "; places: the large view of --png"
	}
	if w.plan.Pattern == nil {
		return s
	}
	if o, ok := w.seen.(*onlooker); ok && *o.told {
		s += places
	}
	return s
}
