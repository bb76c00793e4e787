package estimate

import (
	"fmt"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
)

// shellMM is the wall of a filament print where the user has not weighed it:
// three lines of a 0.4 mm nozzle; common practice, no source.
const shellMM = 1.2

// vagueDensity is how far apart the ends of a material's density, g/cm³, may lie
// for a mass to be reckoned from it at all; a judgement.
const vagueDensity = 0.6

// Body is what the pattern's mass is reckoned from: volume of its material and
// displaced volume, mm³, and surface, mm². A nil volume is unknown.
type Body struct {
	Material, Displaced *float64
	Area                float64
}

// PatternMass returns the pattern's mass in grams, and how it was had. It is
// nil where it is not known: it is never guessed, because a pattern taken as
// heavier than it is floats up through the rubber.
func PatternMass(job Job, b Body) (mass *float64, how string) {
	if job.PatternMass != nil {
		return job.PatternMass, "as weighed"
	}
	if job.PatternMaterial == "" {
		return nil, "not known: neither its mass (--pattern-mass) nor its material is given"
	}
	m, ok := material.FindPattern(job.PatternMaterial)
	if !ok {
		return nil, fmt.Sprintf("not known: no material is called %q", job.PatternMaterial)
	}
	v := b.Material
	if v == nil {
		v = b.Displaced
	}
	if v == nil || *v <= 0 {
		return nil, "not known: the mesh encloses no volume"
	}
	if lo, hi := m.Density.Range(); hi-lo > vagueDensity {
		return nil, fmt.Sprintf("not known: %s weighs anything from %g to %g g/cm³; weigh it", m.What, lo, hi)
	}
	g := *v / 1000 * m.Density.Value
	how = fmt.Sprintf("%s at %g g/cm³", m.What, m.Density.Value)
	switch {
	case job.Infill != nil:
		f := material.PrintedFraction(b.Area, *v, shellMM, *job.Infill/100)
		g *= f
		how += fmt.Sprintf(", %.0f %% solid by %g %% infill and a shell of %g mm", 100*f, *job.Infill, shellMM)
	case m.Printed:
		return nil, fmt.Sprintf("not known: a print weighs what its infill makes it; give --infill, or weigh it (%s)", m.What)
	default:
		how += ", solid"
	}
	return &g, how
}

// massDoubt complains of a weighed mass that its material cannot have.
func massDoubt(job Job, b Body) (out finding.List) {
	m, ok := material.FindPattern(job.PatternMaterial)
	if job.PatternMass == nil || !ok || b.Displaced == nil || *b.Displaced <= 0 {
		return nil
	}
	_, hi := m.Density.Range()
	if got := *job.PatternMass / (*b.Displaced / 1000); got > 1.15*hi {
		out.Add(finding.Finding{Code: finding.PatternMassDoubt, Severity: finding.Caution,
			Summary: fmt.Sprintf("%.0f g over the pattern's volume is %.2f g/cm³, heavier than %s (%.3g at most)", *job.PatternMass, got, m.What, hi),
			Effect:  "either the unit of the file or the mass is wrong, and with it the hold-down or the rubber",
			Hint:    "check --units against a measured length, and weigh the pattern again"})
	}
	return out
}
