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
	"moldtally/mesh/solid"
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
		toward := "firm"
		if w.Soft {
			toward = "soft"
		}
		h.Wants = append(h.Wants, Want{toward, w.ShoreA, w.Why, w.Source, w.Won})
	}
	var out finding.List
	if r.Conflict != "" {
		hint := "another kind of mold, a plug for the deepest place, or a thin blanket in a mother mold may bring both together"
		if r.Empty() {
			h.Opens = append(h.Opens, j.ways(shape, two)...)
			if t := openWords(h.Opens); t != "" {
				hint = t
			}
		}
		out.Add(finding.Finding{Code: finding.RubberHardness, Severity: finding.Caution,
			Summary: r.Conflict, Effect: "no rubber does everything that is asked here",
			Hint: hint})
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
			n := shape.Force(a).N
			st.Force = &n
		}
		out = append(out, st)
	}
	return out
}

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
	switch v := r.Needed.Value; {
	case v == nil && shape.Path == nil:
		// That rubber is locked in is a stop of its own.
	case v == nil && !shape.Slit:
		out.Add(finding.Finding{Code: finding.RubberStrain, Severity: finding.Stop,
			Summary: "no stretch of the rubber gets this mold off: " + r.Needed.Why,
			Effect:  "the casting, or the mold, is torn",
			Hint:    "see the verdict: slit it, part it, plug the place, or give the pattern a foot"})
	case v != nil && *v > limit:
		hint := "a softer rubber, a slit, or two parts"
		switch {
		case !r.Needed.Hoop:
			hint = "make the inside a core of its own, or plug its mouth and mold the outside alone"
		case *v > rubber.MostEver:
			hint = "no rubber stands that: a slit, or two parts"
		}
		out.Add(finding.Finding{Code: finding.RubberStrain, Severity: finding.Stop,
			Summary: fmt.Sprintf("stripping strains the rubber by %.0f %%; %s stands %.0f %% at most", 100**v, c.Name, 100*limit),
			Effect:  "the mold tears at its mouth, often at the first casting",
			Hint:    hint})
	case v != nil && *v > allowed:
		until := map[rubber.Life]string{rubber.LongLife: "for a long life", rubber.NormalLife: "for the castings wanted", rubber.FewCastings: "for the few castings wanted"}[r.Life]
		out.Add(finding.Finding{Code: finding.RubberStrain, Severity: finding.Caution,
			Summary: fmt.Sprintf("stripping strains the rubber by %.0f %%; %s stands %.0f %% %s", 100**v, c.Name, 100*allowed, until),
			Effect:  "the mold gives only a few castings before it nicks and tears",
			Hint:    "a softer rubber, or a slit"})
	case !auto && r.High != nil && shore > *r.High+3:
		out.Add(finding.Finding{Code: finding.RubberForce, Severity: finding.Caution,
			Summary: fmt.Sprintf("%s has %.0f A; the job asks for %.0f A or softer: %s", c.Name, shore, *r.High, r.HighReason),
			Effect:  "it is hard to strip, and thin places of the casting break",
			Hint:    "a softer rubber, or thinner sides"})
	case !auto && r.Low != nil && shore < *r.Low-3:
		out.Add(finding.Finding{Code: finding.RubberHardness, Severity: finding.Caution,
			Summary: fmt.Sprintf("%s has %.0f A; the job asks for %.0f A or firmer: %s", c.Name, shore, *r.Low, r.LowReason),
			Effect:  "the mold bulges or sags, and castings come out of true",
			Hint:    "a firmer rubber, or cast in the box or a mother mold"})
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
			out = append(out, WayOpen{"two keyed halves", r.AskedLow, r.AskedHigh, !r.Empty()})
		}
	}
	return out
}

// openWords says what opens an empty range, with the bounds each way gives.
func openWords(ways []WayOpen) string {
	var yes, no []string
	for _, w := range ways {
		if w.Opens {
			yes = append(yes, fmt.Sprintf("%s opens it: %.0f to %.0f A", w.What, w.Low, w.High))
		} else {
			no = append(no, fmt.Sprintf("%s does not: from %.0f A, up to %.0f A", w.What, w.Low, w.High))
		}
	}
	return strings.Join(append(yes, no...), "; ")
}

// pullOff writes what a straight pull takes, along a climb of the surface (nil =
// nothing is a neck), for a rubber of Shore A hardness.
func (h *Hardness) pullOff(s rubber.Shape, climb []rubber.Slope, shore float64) {
	if climb == nil {
		return
	}
	if n, ok := s.StraightPull(climb, shore, friction); ok {
		h.PullForce = &n
		h.PullHow = fmt.Sprintf("at a friction of %.1f, with a little release; two to three times that dry", friction)
	} else {
		h.PullHow = "a square shoulder holds it: no straight pull gets it off; peel it back from the mouth, or slit it"
	}
}

// stretches reports whether a ring of rubber has to stretch to get the mold off.
func stretches(s rubber.Shape) bool { return !s.Slit && s.Stretch != nil && *s.Stretch > 0.02 }

// climb is how steeply the surface of the worst neck grows toward the bulge
// behind it, seen along the pull: of the surface that looks toward the mouth, by
// its area across the pull. Nil where no undercut is a neck.
func (t *trial) climb(surface *solid.Solid) []rubber.Slope {
	r, m, u := t.report, surface.Surface(), t.pose.Up
	neck := slices.IndexFunc(r.Regions, func(g demold.Region) bool { return g.Kind == "neck" })
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

// alone writes what the mold does without its container, and tells of a rubber
// that is too soft for it.
func (j *resolved) alone(h *Hardness, c *rubber.Chosen, f *boxfit.Fit, head float64) (out finding.List) {
	switch {
	case f.Mold == demold.Blanket:
		h.AloneReason = "its mother mold carries it"
		return nil
	case j.cast != nil && j.cast.Pressure != nil:
		h.AloneReason = "expanding foam presses it out of shape: cast in the container or a mother mold"
		return nil
	}
	m := rubber.Stand{Height: f.FillHeight, Wall: f.Wall, Head: head, CastSG: 1.1, SG: c.Density}
	wall := "the longest wall of this mold"
	switch {
	case f.Interior != nil:
		m.Width = max(f.Interior[0], f.Interior[1])
	case f.Diameter != nil:
		m.Round, m.Width, wall = true, *f.Diameter, "the round wall of this mold"
	}
	if m.Width <= 0 || m.Height <= 0 || m.Wall <= 0 {
		return nil
	}
	if j.cast != nil {
		m.CastSG = j.cast.SG.Value
	}
	firm := "no mold rubber would hold it to half a millimetre"
	if at, ok := m.Softest(); ok {
		h.Alone = &at
		w, _ := m.Gives(at)
		h.AloneReason = fmt.Sprintf("%s, %.0f mm thick and %.0f mm high, then gives way by %.1f mm under the casting", wall, m.Wall, m.Height, w)
		firm = fmt.Sprintf("half a millimetre would ask for %.0f A or firmer, or thicker walls", at)
	} else {
		h.AloneReason = fmt.Sprintf("%s, %.0f mm thick and %.0f mm high, gives way by more than %.1f mm in any mold rubber", wall, m.Wall, m.Height, rubber.Tolerance)
	}
	shore, known := c.Hardness()
	if !known {
		return nil
	}
	w, small := m.Gives(shore)
	if small && w <= rubber.Tolerance {
		return nil
	}
	how := fmt.Sprintf("would bow out about %.1f mm", w)
	if !small {
		how = "would not stand"
	}
	out.Add(finding.Finding{Code: finding.RubberStands, Severity: finding.Note,
		Summary: fmt.Sprintf("without its container %s, %.0f mm thick in %.0f A rubber, %s under the casting; %s", wall, f.Wall, shore, how, firm),
		Effect:  "castings come out swollen",
		Hint:    "keep the container, cut to fit, and cast with the mold in it; or put boards and bands round it"})
	return out
}
