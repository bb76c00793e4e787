package estimate

import (
	"math"
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/finding"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

// curveStep is how finely the chart's curves are written, Shore A.
const curveStep = 2.5

// friction is that of rubber on a casting with a little release; dry it is 0.5
// to 1. From memory.
const friction = 0.3

// hardness is the range that would do and how the rubber that was chosen does by
// it; shape is what the mold asks, two what two halves would ask (nil = not looked
// at).
func (j *resolved) hardness(c *rubber.Chosen, r rubber.Range, shape rubber.Shape, two *rubber.Shape) (*Hardness, finding.List) {
	h := &Hardness{Low: r.Low, High: r.High, LowReason: r.LowReason, HighReason: r.HighReason, LowSource: r.LowSource, HighSource: r.HighSource,
		Preferred: r.Preferred, Life: r.Life, Share: r.Share, Wants: []Want{}, Curve: curve(c.Family, r, shape), Opens: []WayOpen{}}
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
	if g := shape.Force(shore); g.N > 0 && r.Needed.Value != nil {
		f := rubber.FitFactor(shore)
		h.OpenForce, h.OpenHow, h.ForceFactor = &g.N, g.How, &f
	}
	return h, append(out, j.strained(c, shore, r, shape)...)
}

// curve is what rubber of each hardness stands, for a chart.
func curve(f material.Family, r rubber.Range, shape rubber.Shape) []Strip {
	out := []Strip{}
	for a := rubber.Softest; a <= rubber.Hardest; a += curveStep {
		comfortable, limit := rubber.Stands(a, f, 0)
		st := Strip{ShoreA: a, Comfortable: comfortable, Allowed: rubber.Allowed(a, f, 0, r.Share), Limit: limit}
		if r.Needed.Value != nil {
			st.Force = new(shape.Force(a).N)
		}
		out = append(out, st)
	}
	return out
}

// misfit is how far, Shore A, a rubber that the user names may lie outside the
// range before it is worth a word: as far as makes of one hardness differ; a
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
	case !auto && r.High != nil && shore > *r.High+misfit:
		m.Firm, m.Bound, m.Why = true, *r.High, r.HighReason
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

// Pulling is what a straight pull meets.
type Pulling struct {
	Friction float64 // with a little release; 0 = nothing is pulled
	Square   bool    // a square shoulder holds it
}

// pullOff writes what a straight pull takes, along a climb of the surface (nil =
// nothing is a neck), for a rubber of Shore A hardness.
func (h *Hardness) pullOff(s rubber.Shape, climb []rubber.Slope, shore float64) {
	if climb == nil {
		return
	}
	if n, ok := s.StraightPull(climb, shore, friction); ok {
		h.PullForce = &n
		h.PullHow.Friction = friction
	} else {
		h.PullHow.Square = true
	}
}

// stretches reports whether a ring of rubber has to stretch to get the mold off.
func stretches(s rubber.Shape) bool { return !s.Slit && s.Stretch != nil && *s.Stretch > 0.02 }

// climb is how steeply the surface of the worst neck grows toward the bulge
// behind it, seen along the pull: of the surface that looks toward the mouth, by
// its area across the pull. Nil where no undercut is a neck.
func (t *trial) climb(surface *solid.Solid) []rubber.Slope {
	r, m, u := t.report, surface.Surface(), t.pose.Up
	neck := slices.IndexFunc(r.Regions, func(g undercut.Region) bool { return g.Kind == undercut.Neck })
	if neck < 0 || len(r.VertexRegion) != len(m.Vertices()) {
		return nil
	}
	id := int32(r.Regions[neck].ID)
	const bins = 90 // degrees
	var area [bins]float64
	total := 0.0
	for k, f := range m.Triangles() {
		// The rim of the bulge itself is no longer under it: one corner does.
		if !surface.Live(k) || r.VertexRegion[f[0]] != id && r.VertexRegion[f[1]] != id && r.VertexRegion[f[2]] != id {
			continue
		}
		a, b, c := m.Corners(k)
		x := b.Sub(a).Cross(c.Sub(a))
		l := x.Len()
		if l == 0 {
			continue
		}
		if !surface.Outward(k) {
			x = x.Neg()
		}
		down := -(x.X*u[0] + x.Y*u[1] + x.Z*u[2])
		if down <= 0 {
			continue
		}
		area[min(bins-1, int(math.Asin(min(1, down/l))*180/math.Pi))] += down
		total += down
	}
	if total == 0 {
		return nil
	}
	var out []rubber.Slope
	for k, a := range area {
		if a > 0 {
			out = append(out, rubber.Slope{Share: a / total, Alpha: (float64(k) + 0.5) * math.Pi / 180})
		}
	}
	return out
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
	case f.Mold == demold.Blanket:
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
