package estimate

import (
	"moldtally/estimate/material"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
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

// MassFrom is how a pattern's mass was had, or why it is not known.
type MassFrom struct {
	How       MassHow
	Material  string
	Low, High unit.Density // of the material; Low is what is reckoned with
	Solid     float64      // share of a print that is solid
	Infill    float64      // of it, per cent
	Shell     unit.Length
}

// MassHow is a way to have a mass, or a reason not to.
type MassHow int

// The ways, and from NothingGiven on the reasons why it is not known.
const (
	AsWeighed MassHow = iota
	AsSolid
	ByInfill
	NothingGiven
	NoVolume
	DensityVague
	InfillUnknown
)

// PatternMass returns the pattern's mass in grams, and how it was had. It is
// nil where it is not known: it is never guessed, because a pattern taken as
// heavier than it is floats up through the rubber.
func PatternMass(job Job, b Body) (mass *float64, from MassFrom) {
	if job.PatternMass != nil {
		return job.PatternMass, MassFrom{How: AsWeighed}
	}
	m, ok := material.FindPattern(job.PatternMaterial)
	if !ok {
		return nil, MassFrom{How: NothingGiven}
	}
	v := b.Material
	if v == nil {
		v = b.Displaced
	}
	if v == nil || *v <= 0 {
		return nil, MassFrom{How: NoVolume}
	}
	from = MassFrom{How: AsSolid, Material: m.What, Low: unit.Density(m.Density.Value)}
	if lo, hi := m.Density.Range(); hi-lo > vagueDensity {
		from.How, from.Low, from.High = DensityVague, unit.Density(lo), unit.Density(hi)
		return nil, from
	}
	g := *v / 1000 * m.Density.Value
	switch {
	case job.Infill != nil:
		from.How, from.Infill, from.Shell = ByInfill, *job.Infill, shellMM
		from.Solid = material.PrintedFraction(b.Area, *v, shellMM, *job.Infill/100)
		g *= from.Solid
	case m.Printed:
		from.How = InfillUnknown
		return nil, from
	}
	return &g, from
}

// massDoubt complains of a weighed mass that its material cannot have.
func massDoubt(job Job, b Body) (out finding.List) {
	m, ok := material.FindPattern(job.PatternMaterial)
	if job.PatternMass == nil || !ok || b.Displaced == nil || *b.Displaced <= 0 {
		return nil
	}
	_, hi := m.Density.Range()
	if got := *job.PatternMass / (*b.Displaced / 1000); got > 1.15*hi {
		out.Add(finding.Finding{Code: CodeMass, Severity: finding.Caution, Facts: TooHeavy{unit.Mass(*job.PatternMass), unit.Density(got), unit.Density(hi), m.What}})
	}
	return out
}
