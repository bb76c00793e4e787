package boxfit

// hoop is how a round tube bears the liquid in it: by tension round its wall, with
// no bow. Formulas of thick-walled cylinders under inner pressure, published: G.
// Lamé, in S. Timoshenko & J. N. Goodier, "Theory of Elasticity", 3rd ed. 1970,
// section 28 (recalled).
type hoop struct {
	pressure     float64 // of the liquid at the tube's foot, MPa
	inner, outer float64 // radii, mm
}

// Rigid plastic of which stock tubes are made: modulus in tension, MPa, and
// Poisson's ratio, which serves for softer plastics too (from memory, unverified).
const (
	tubeE       = 3000
	tubePoisson = 0.38
)

// thin is the stress round the wall, MPa, as if it were even: p·D/(2t), D the bore.
func (h hoop) thin() float64 { return h.pressure * h.inner / (h.outer - h.inner) }

// thick is the stress round the wall at its inner and its outer face, MPa.
func (h hoop) thick() (inside, outside float64) {
	a2, b2 := h.inner*h.inner, h.outer*h.outer
	return h.pressure * (a2 + b2) / (b2 - a2), h.pressure * 2 * a2 / (b2 - a2)
}

// growth is how much the inner radius grows, mm, for a modulus in MPa.
func (h hoop) growth(e, poisson float64) float64 {
	inside, _ := h.thick()
	return h.pressure * h.inner / e * (inside/h.pressure + poisson)
}

// bands is what straps round a tube that is slit along its length carry in all, N,
// head the depth of liquid and bore its width, mm: ρgh²D/4, half of what pushes the
// halves apart, as a band crosses the slit once and holds twice.
func bands(sg, head, bore float64) float64 { return wallForce(sg, head, bore) / 2 }

// hoop works out how a tube bears the pour; where its wall is not known nothing is
// said of that.
func (p *planner) hoop(f *Fit, w *walls) {
	if w.kind != Sleeve || f.FloorPressure <= 0 {
		return
	}
	if !f.Own {
		head, _ := p.poured(f)
		f.Bands = new(bands(p.sg, head, 2*w.radius))
	}
	if w.thick <= 0 {
		return
	}
	h := hoop{f.FloorPressure / 1000, w.radius, w.radius + w.thick}
	f.Hoop, f.TubeGrowth = new(h.thin()), new(2*h.growth(w.elastic, tubePoisson))
}
