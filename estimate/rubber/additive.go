package rubber

import (
	"math"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
)

// MostAdditive is the largest share of one additive that is taken at all: more
// is another material; a judgement.
const MostAdditive = 0.4

// Added is one additive of a mix.
type Added struct {
	material.Additive
	Share   float64 // of the finished mix by weight, 0.03 = 3 %
	Density float64 // g/cm³, the user's own where given
	Own     bool    // Density is the user's
}

// StirIn resolves the additives that a request asks for into a rubber of one
// chemistry, and tells what each does. own are the user's densities by kind.
func StirIn(q Request, f material.Family, brushed bool, own map[material.AdditiveKind]float64) (list []Added, out finding.List) {
	for _, k := range material.AdditiveKinds {
		pct := q.additive(k)
		if pct == nil || *pct == 0 {
			continue
		}
		a, known := material.AdditiveFor(k, f)
		x := Added{Additive: a, Share: *pct / 100, Density: a.SG.Value}
		if d, ok := own[k]; ok {
			x.Density, x.Own = d, true
		}
		list = append(list, x)
		lo, hi := a.Share.Range()
		tell := func(l AdditiveLevel, severity finding.Severity) {
			out.Add(finding.Finding{Code: CodeAdditive, Severity: severity, Facts: StirredIn{k, f, *pct, lo, hi, a.Most.Value, l, a.Beyond, a.Mind}})
		}
		switch {
		case *pct > a.Most.Value:
			tell(TooMuch, finding.Caution)
		case *pct > hi:
			tell(AboveUsual, finding.Caution)
		case k == material.Pigment && f == material.Platinum:
			tell(MayPoison, finding.Caution)
		default:
			tell(Usual, finding.Note)
		}
		if !known {
			tell(UnknownMatch, finding.Caution)
		}
		if k == material.Thickener && !brushed {
			tell(NotPoured, finding.Caution)
		}
	}
	return list, out
}

func (q Request) additive(kind material.AdditiveKind) *float64 {
	switch kind {
	case material.Pigment:
		return q.Pigment
	case material.Thinner:
		return q.Thinner
	}
	return q.Thickener
}

// Shares is the sum of the additives' shares.
func Shares(list []Added) float64 {
	s := 0.0
	for _, a := range list {
		s += a.Share
	}
	return s
}

// WithAdditives returns the density of a mix of rubber (g/cm³) and additives,
// volumes taken to add up: 1/ρ = Σ w/ρ.
func WithAdditives(sg float64, list []Added) float64 {
	v := (1 - Shares(list)) / sg
	for _, a := range list {
		v += a.Share / a.Density
	}
	return 1 / v
}

// Softened is the share of hardness and of tear strength that is left.
func Softened(list []Added) float64 {
	left := 1.0
	for _, a := range list {
		left *= 1 - min(1, a.Share*a.Hardness.Value)
	}
	return left
}

// dose rounds an additive's grams up to the coarsest of 5, 1, 0.5 and 0.1 g,
// not above step, that adds no more than a hundredth; 0.1 g (or the finer
// scale's own step) where none does.
func dose(grams, step float64) float64 {
	if !(step > 0) {
		step = DefaultWeighTo
	}
	fine := min(fineStep, step)
	for _, c := range []float64{5, 1, 0.5, fine} {
		if c > step*(1+1e-12) {
			continue
		}
		if r := clean(math.Ceil(grams/c-1e-9), c); r <= grams*(1+ratioAim) || c == fine {
			return r
		}
	}
	return grams
}
