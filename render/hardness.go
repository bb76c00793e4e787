package render

import (
	"slices"
	"strings"

	"moldtally/estimate"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
)

func (w *wording) hardness() Section {
	sec := Section{Key: "hardness", Title: "Soft or firm"}
	if w.plan.Rubber == nil || w.plan.Rubber.Hardness == nil {
		return sec
	}
	h := w.plan.Rubber.Hardness
	sec.add(wouldDo(h))
	if h.HighReason.Facts != nil {
		sec.add(Row{Label: "No firmer, because", Value: w.say(h.HighReason), Note: from(w.say(h.HighSource))})
	}
	if h.LowReason.Facts != nil {
		sec.add(Row{Label: "No softer, because", Value: w.say(h.LowReason), Note: from(w.say(h.LowSource))})
	}
	if h.Life != "" {
		sec.add(Row{Label: "Planned for", Value: map[rubber.Life]string{rubber.LongLife: "a long life", rubber.NormalLife: "some dozen castings", rubber.FewCastings: "a few castings"}[h.Life],
			Note: "up to " + figure.Trimmed(100*h.Share, 0) + figure.NBSP + "% of its elongation at break, or by the limits below where that is not known"})
	}
	sec.add(w.hands(h)...)
	switch {
	case h.Alone != nil:
		sec.add(Row{Label: "To stand by itself", Value: shoreA(*h.Alone) + " or firmer", Note: w.say(h.AloneReason)})
	case h.AloneReason.By != estimate.NotReckoned:
		sec.add(Row{Label: "To stand by itself", Value: "keep it in its container", Note: w.say(h.AloneReason)})
	}
	sec.Chart = w.strainChart()
	if len(h.Opens) > 0 {
		sec.Tables = append(sec.Tables, w.opens(h))
	}
	if len(h.Wants) > 0 {
		sec.Tables = append(sec.Tables, w.wants(h))
	}
	return sec
}

func shoreA(a float64) string {
	return "Shore" + figure.NBSP + "A" + figure.NBSP + figure.Trimmed(a, 0)
}

// wouldDo is the range of hardnesses and which of them to look at first.
func wouldDo(h *estimate.Hardness) Row {
	r := Row{Label: "Would do"}
	switch low, high := h.Low, h.High; {
	case low != nil && high != nil && *low > *high:
		r.Value, r.Note, r.Tone = "no hardness", "it must be at least Shore A "+figure.Trimmed(*low, 0)+" and at most "+figure.Trimmed(*high, 0), Bad
		return r
	case low != nil && high != nil:
		r.Value = shoreA(*low)
		if to := figure.Trimmed(*high, 0); to != figure.Trimmed(*low, 0) {
			r.Value += " to " + to
		}
	case low != nil:
		r.Value = shoreA(*low) + " or firmer"
	case high != nil:
		r.Value = shoreA(*high) + " or softer"
	default:
		r.Value = "any"
	}
	if h.Preferred > 0 {
		r.Note = "look first at " + figure.Trimmed(h.Preferred, 0)
	}
	return r
}

// opens is what would bring the bounds together where no hardness does.
func (w *wording) opens(h *estimate.Hardness) Table {
	t := Table{Caption: "What brings soft and firm together", Columns: []Column{{Title: "with", Wrap: true}, {Title: "at least", Right: true}, {Title: "at most", Right: true}, {Title: ""}}}
	for _, x := range h.Opens {
		does := "does not"
		if x.Opens {
			does = "does"
		}
		t.Rows = append(t.Rows, []string{w.say(x.What), "A" + figure.NBSP + figure.Trimmed(x.Low, 0), "A" + figure.NBSP + figure.Trimmed(x.High, 0), does})
	}
	return t
}

// wants is what asks for soft or firm, and what of it counts.
func (w *wording) wants(h *estimate.Hardness) Table {
	t := Table{Caption: "What asks for soft or firm", Columns: []Column{{Title: "asks for"}, {Title: "why", Wrap: true}, {Title: ""}}, Note: w.sources(h.Wants)}
	for _, x := range h.Wants {
		won := "overruled"
		if x.Won {
			won = "counts"
		}
		ask := string(x.Toward)
		if x.ShoreA > 0 {
			ask += ", A" + figure.NBSP + figure.Trimmed(x.ShoreA, 0)
		}
		t.Rows = append(t.Rows, []string{ask, w.say(x.Why), won})
	}
	return t
}

// hands are the rows of what hands have to do, and what makes it easier.
func (w *wording) hands(h *estimate.Hardness) (rows []Row) {
	times := ""
	if h.ForceFactor != nil {
		times = ", good to ×/÷" + figure.NBSP + figure.Trimmed(*h.ForceFactor, 1)
	}
	if h.HandsForce != nil {
		row := w.force("Hands pull", *h.HandsForce, w.say(h.HandsHow)+times)
		if *h.HandsForce > rubber.HandN {
			row.Tone = Care
		}
		rows = append(rows, row)
	}
	if h.PullForce == nil {
		return rows
	}
	unslit := ""
	if v := w.plan.Verdict; v != nil && v.Answer == estimate.SlitIt {
		unslit = "before it is slit"
	}
	rows = append(rows, w.force("Opened evenly", *h.OpenForce, figure.Join("; ", unslit, "each hand, mouth and neck to the bulge"+times)),
		w.force("Pulled straight off", *h.PullForce, figure.Join("; ", unslit, "out of its container, with a little release (friction "+figure.Trimmed(h.PullHow.Friction, 1)+")"+times)))
	label, first := "In its container", ""
	if h.PullHow.Matters() {
		first = "take it out of that first"
	}
	if h.PullHow.Shell {
		label = "In its mother mold"
	}
	if h.PullIn != nil {
		rows = append(rows, w.force(label, *h.PullIn, first))
	} else {
		rows = append(rows, Row{Label: label, Value: "no room", Note: first})
	}
	for _, e := range h.Eased {
		if e.Force == 0 {
			rows = append(rows, Row{Label: "Easier", Value: "nothing holds", Note: w.say(e.How)})
			continue
		}
		rows = append(rows, w.force("Easier", e.Force, w.say(e.How)))
	}
	return rows
}

func from(source string) string {
	if source == "" {
		return ""
	}
	return "source: " + source
}

// sources lists where bounds come from, each once.
func (w *wording) sources(list []estimate.Want) string {
	var out []string
	for _, x := range list {
		if s := w.say(x.Source); s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "sources: " + strings.Join(out, "; ")
}

// strainChart is strain and force against hardness; nil where a plan has too
// little for it.
func (w *wording) strainChart() *Chart {
	r := w.plan.Rubber
	h := r.Hardness
	if len(h.Curve) < 2 {
		return nil
	}
	first, last := h.Curve[0].ShoreA, h.Curve[len(h.Curve)-1].ShoreA
	c := &Chart{Caption: "What rubber stands, and what stripping asks for", X: Axis{"Shore A", first, last, 10}}
	if first < 10 && first > 0 {
		c.X.Low = 0
	}
	var long, few, planned, force Curve
	most := 0.0
	pull, hand := 1.0, figure.Force(rubber.HandN) // forces are drawn in the unit that is read
	name := hand.Unit
	if w.System == unit.US {
		pull, name = float64(unit.LbForce), hand.USUnit
	}
	for _, s := range h.Curve {
		add := func(k *Curve, y float64) { k.X, k.Y = append(k.X, s.ShoreA), append(k.Y, y) }
		add(&long, 100*s.Comfortable)
		add(&few, 100*s.Limit)
		add(&planned, 100*s.Allowed)
		most = max(most, 100*s.Limit)
		if s.Force != nil {
			add(&force, *s.Force/pull)
		}
	}
	long.Label, few.Label, few.Dashed = "for a long life", "for a few castings", true
	planned.Label, planned.Strong = "for some dozen", true
	long.Short, few.Short, planned.Short, force.Short = "long life", "a few", "dozens", "it takes"
	long.Strong, few.Strong = h.Life != rubber.NormalLife && h.Life != rubber.FewCastings, h.Life == rubber.FewCastings
	strain := Panel{Curves: []Curve{long, few}}
	if h.Life == rubber.NormalLife {
		strain.Curves = []Curve{long, planned, few}
	}
	if n := r.Needed; n != nil && *n < leastNeed {
		c.Note = "nothing has to stretch or bend here"
	} else if n != nil {
		need := 100 * *n
		most = max(most, min(need*1.1, 1.5*most))
		strain.Levels = append(strain.Levels, Level{need, "stripping asks for " + figure.Fixed(need, 0) + figure.NBSP + "%", Bad})
	} else {
		c.Note = "no stretch has a figure here: " + firstOf(w.say(h.HighReason))
	}
	top, step := figure.NiceScale(most)
	strain.Y = Axis{"strain, %", 0, top, step}
	c.Panels = append(c.Panels, strain)
	if len(force.Y) > 1 && force.Y[len(force.Y)-1] > 1 {
		top, step := figure.NiceScale(min(force.Y[len(force.Y)-1], 3*rubber.HandN/pull))
		p := Panel{Y: Axis{"it takes, " + name, 0, top, step}}
		force.Strong = true
		p.Curves = []Curve{force}
		if top > rubber.HandN/pull {
			p.Levels = []Level{{rubber.HandN / pull, "hands pull about " + w.Inline(hand), Care}}
		}
		c.Panels = append(c.Panels, p)
	}
	if h.Low != nil && h.High != nil && *h.Low <= *h.High {
		c.Band, c.BandIs = &[2]float64{*h.Low, *h.High}, "would do: "+figure.Trimmed(*h.Low, 0)+" to "+figure.Trimmed(*h.High, 0)+figure.NBSP+"A"
	}
	if at := r.ShoreA; at != nil && *at >= c.X.Low && *at <= c.X.High {
		c.Mark, c.MarkIs = at, r.Name
	}
	return c
}

// firstOf is a text up to its first semicolon.
func firstOf(s string) string {
	s, _, _ = strings.Cut(s, ";")
	return s
}
