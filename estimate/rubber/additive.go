package rubber

import (
	"fmt"
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
		what := fmt.Sprintf("%.3g %% of %s in %s", *pct, k, f.Words())
		usual := fmt.Sprintf("%.3g to %.3g %% is usual", lo, hi)
		switch {
		case *pct > a.Most.Value:
			out.Add(finding.Finding{Code: finding.RubberAdditive, Severity: finding.Caution,
				Summary: fmt.Sprintf("%s; %s, and %.3g %% the most", what, usual, a.Most.Value),
				Effect:  a.Beyond,
				Hint:    "take less, or another rubber; mix a test cup first and pull at it; " + a.Mind})
		case *pct > hi:
			out.Add(finding.Finding{Code: finding.RubberAdditive, Severity: finding.Caution,
				Summary: what + "; " + usual,
				Effect:  "the rubber is still sound, but this is more than it is made for",
				Hint:    "mix a test cup first; " + a.Mind})
		case k == material.Pigment && f == material.Platinum:
			out.Add(finding.Finding{Code: finding.RubberAdditive, Severity: finding.Caution,
				Summary: fmt.Sprintf("%s; %s. One with sulfur, amine or tin in it stops platinum-cure", what, usual),
				Effect:  "the whole mold stays soft or liquid, not only its face",
				Hint:    "take a pigment made for platinum-cure, and cure a coloured cup before the mold is poured"})
		default:
			out.Add(finding.Finding{Code: finding.RubberAdditive, Severity: finding.Note,
				Summary: what + "; " + usual,
				Effect:  additiveDoes(k, *pct),
				Hint:    a.Mind})
		}
		if !known {
			out.Add(finding.Finding{Code: finding.RubberAdditive, Severity: finding.Caution,
				Summary: fmt.Sprintf("which %s goes into a rubber of unknown chemistry is not known here", k),
				Effect:  "the wrong one stops the cure, or does not mix",
				Hint:    "only what the data sheet of the rubber names"})
		}
		if k == material.Thickener && !brushed {
			out.Add(finding.Finding{Code: finding.RubberAdditive, Severity: finding.Caution,
				Summary: "thickened rubber is for brushing; this mold is poured",
				Effect:  "it no longer runs into detail, holds its air, and more of it stays in the cup",
				Hint:    "leave the thickener out, or brush it on (--mold blanket)"})
		}
	}
	return list, out
}

func additiveDoes(kind material.AdditiveKind, pct float64) string {
	switch kind {
	case material.Thinner:
		return fmt.Sprintf("it pours thinner; hardness and tear fall about in proportion, by %.3g %%", pct)
	case material.Thickener:
		return "it no longer runs down a standing face"
	}
	return "it colours the rubber, so that streaks show where it is not yet mixed"
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
