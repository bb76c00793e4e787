package estimate

import (
	"math"

	"moldtally/boxfit"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// curveStep is how finely the chart's curves are written, Shore A.
const curveStep = 2.5

// hardness is the range that would do and how the rubber that was chosen does by
// it; shape is what the mold asks, two what two halves would ask (nil = not looked
// at).
func (j *resolved) hardness(c *rubber.Chosen, r rubber.Range, shape rubber.Shape, two *rubber.Shape) (*Hardness, finding.List) {
	h := &Hardness{Low: r.Low, High: r.High, LowReason: r.LowReason, HighReason: r.HighReason, LowSource: r.LowSource, HighSource: r.HighSource,
		Preferred: r.Preferred, Life: r.Life, Share: r.Share, Wants: []Want{}, Curve: curve(c.Family, r, shape), Opens: []WayOpen{}, Eased: []Eased{}}
	for _, w := range r.Wants {
		toward := Firm
		if w.Soft {
			toward = Soft
		}
		h.Wants = append(h.Wants, Want{toward, w.ShoreA, w.Why, w.Source, w.Won})
	}
	var out finding.List
	if r.Conflict != nil {
		if r.Empty() {
			h.Opens = append(h.Opens, j.ways(shape, two)...)
		}
		out.Add(finding.Finding{Code: CodeHardness, Severity: finding.Caution, Facts: HardnessTold{Conflict: *r.Conflict, Opens: h.Opens}})
	}
	shore, known := c.Hardness()
	if !known {
		return h, out
	}
	if r.Needed.Value != nil {
		h.hold(shape, shore)
	}
	return h, append(out, j.strained(c, shore, r, shape)...)
}

// curve is what rubber of each hardness stands, for a chart.
func curve(f material.Family, r rubber.Range, shape rubber.Shape) []Strip {
	out, hands := []Strip{}, shape.Hands()
	for a := rubber.Softest; a <= rubber.Hardest; a += curveStep {
		comfortable, limit := rubber.Stands(a, f, 0)
		st := Strip{ShoreA: a, Comfortable: comfortable, Allowed: rubber.Allowed(a, f, 0, r.Share), Limit: limit}
		if r.Needed.Value != nil {
			st.Force = new(hands.In(a))
		}
		out = append(out, st)
	}
	return out
}

// misfit is how far, Shore A, a rubber may lie outside the range before it is
// worth a word (too soft only where the user names it): as far as makes of one hardness differ; a
// judgement.
const misfit = 3

// strained judges the rubber that was chosen, of Shore A hardness shore, by what
// the mold asks of it: the worst of strain and hardness.
func (j *resolved) strained(c *rubber.Chosen, shore float64, r rubber.Range, shape rubber.Shape) (out finding.List) {
	elong := 0.0
	if c.Own && c.Elongation != nil {
		elong = c.Elongation.Value
	}
	_, limit := rubber.Stands(shore, c.Family, elong)
	allowed := rubber.Allowed(shore, c.Family, elong, r.Share)
	auto := j.Rubber.Auto()
	o := OverStrained{Name: c.Name, Strain: r.Needed.Value, Why: r.Needed.Why, Stands: limit, Hoop: r.Needed.Hoop, Life: r.Life}
	m := Misfit{Name: c.Name, Shore: shore}
	bound := r.High
	if r.Conflict != nil && r.Conflict.HighShore < *r.High {
		bound = &r.Conflict.HighShore
	}
	hands := shape.Hands()
	switch v := r.Needed.Value; {
	case v == nil && shape.Path == nil:
		// That rubber is locked in is a stop of its own.
	case v == nil && !shape.Slit:
		out.Add(finding.Finding{Code: CodeStrain, Severity: finding.Stop, Facts: o})
	case v != nil && *v > limit:
		o.Never = *v > rubber.MostEver
		out.Add(finding.Finding{Code: CodeStrain, Severity: finding.Stop, Facts: o})
	case v != nil && *v > allowed:
		o.Often, o.Stands = true, allowed
		out.Add(finding.Finding{Code: CodeStrain, Severity: finding.Caution, Facts: o})
	case v != nil && hands.In(shore) > rubber.HandN*rubber.FitFactor(shore):
		// Hands do not, even where the force is as little as it may be.
		at, ok := hands.Most()
		m.Firm, m.Bound = true, at
		m.Why = finding.Remark{Facts: rubber.ByHand{Hand: rubber.HandN, Grip: hands.How, Force: unit.Force(hands.In(shore)), Shore: shore, Factor: rubber.FitFactor(shore), Over: true}}
		if !ok {
			m.Bound = 0
		}
		out.Add(finding.Finding{Code: CodeForce, Severity: finding.Stop, Facts: m})
	case bound != nil && shore > *bound+misfit:
		m.Firm, m.Bound, m.Why = true, *bound, r.HighReason
		out.Add(finding.Finding{Code: CodeForce, Severity: finding.Caution, Facts: m})
	case !auto && r.Low != nil && shore < *r.Low-misfit:
		m.Bound, m.Why = *r.Low, r.LowReason
		out.Add(finding.Finding{Code: CodeHardness, Severity: finding.Caution, Facts: HardnessTold{Misfit: &m}})
	}
	return out
}

// ways lists what opens an empty range.
func (j *resolved) ways(s rubber.Shape, two *rubber.Shape) (out []WayOpen) {
	for _, w := range rubber.Ways(s, j.cast) {
		out = append(out, WayOpen{w.What, w.Low, w.High, w.Opens})
	}
	if two != nil && s.Pieces < 2 {
		if r := rubber.Suggest(*two, j.cast); r.Needed.Value != nil {
			out = append(out, WayOpen{rubber.Opening{By: rubber.ByHalves}, r.AskedLow, r.AskedHigh, !r.Empty()})
		}
	}
	return out
}

// hold writes what hands have to do to get the mold off, out of its container, in
// a rubber of Shore A hardness, and what makes that easier. Of a mold that is to
// be slit it is what it would take unslit.
func (h *Hardness) hold(s rubber.Shape, shore float64) {
	held := s.Held()
	hands := held.Hands()
	f := rubber.FitFactor(shore)
	if hands.OverG > 0 {
		h.HandsForce, h.HandsHow, h.ForceFactor = new(hands.In(shore)), hands.How, &f
	}
	if held.Pull.OverG == 0 {
		return
	}
	in := rubber.Grip{OverG: s.InContainer()}.In(shore)
	h.OpenForce, h.PullForce, h.ForceFactor = new(held.Open.In(shore)), new(held.Pull.In(shore)), &f
	h.PullHow = rubber.Drawing{Friction: rubber.Friction, Off: unit.Force(*h.PullForce), Never: math.IsInf(in, 1), Shell: s.Even}
	if !h.PullHow.Never {
		h.PullIn, h.PullHow.In = &in, unit.Force(in)
	}
	ease := func(by rubber.EaseBy, g rubber.Grip) {
		e := rubber.Easing{By: by, Force: unit.Force(g.In(shore))}
		if by == rubber.EasedByRelease {
			e.Friction = rubber.Slippery
		}
		h.Eased = append(h.Eased, Eased{e, g.In(shore)})
	}
	ease(rubber.EasedByRelease, s.Released())
	if held.Peel != nil {
		h.PullHow.Turned = unit.Force(held.Peel.In(shore))
		ease(rubber.EasedByPeel, *held.Peel)
	}
	ease(rubber.EasedBySlit, held.Rest)
}

// Alone is what a mold does without its container.
type Alone struct {
	By         AloneBy
	Round      bool
	Wall, High unit.Length
	Stands     bool // in some rubber; the softest such Gives
	Gives      unit.Length
}

// AloneBy is what decides about that.
type AloneBy int

// What can decide.
const (
	NotReckoned AloneBy = iota
	MotherCarries
	FoamPressesOut
	WallGives
)

// alone writes what the mold does without its container, and tells of a rubber
// that is too soft for it. head is the height of the casting, mm.
func (j *resolved) alone(h *Hardness, c *rubber.Chosen, f *boxfit.Fit, head float64) (out finding.List) {
	switch {
	case f.Mold.Coated():
		h.AloneReason.By = MotherCarries
		return nil
	case j.cast != nil && j.cast.Pressure != nil:
		h.AloneReason.By = FoamPressesOut
		return nil
	}
	m := rubber.Stand{Height: f.FillHeight, Wall: f.Wall, Head: head, CastSG: 1.1, SG: c.Density}
	switch {
	case f.Interior != nil:
		m.Width = max(f.Interior[0], f.Interior[1])
	case f.Diameter != nil:
		m.Round, m.Width = true, *f.Diameter
	}
	if m.Width <= 0 || m.Height <= 0 || m.Wall <= 0 {
		return nil
	}
	if j.cast != nil {
		m.CastSG = j.cast.SG.Value
	}
	h.AloneReason = Alone{By: WallGives, Round: m.Round, Wall: unit.Length(m.Wall), High: unit.Length(m.Height)}
	b := Bows{Round: m.Round, Wall: unit.Length(f.Wall)}
	if at, ok := m.Softest(); ok {
		w, _ := m.Gives(at)
		h.Alone, b.Softest, h.AloneReason.Stands, h.AloneReason.Gives = &at, &at, true, unit.Length(w)
	}
	shore, known := c.Hardness()
	if !known {
		return nil
	}
	w, small := m.Gives(shore)
	if small && w <= rubber.Tolerance {
		return nil
	}
	b.Shore, b.By, b.Falls = shore, unit.Length(w), !small
	out.Add(finding.Finding{Code: CodeStands, Severity: finding.Note, Facts: b})
	return out
}
