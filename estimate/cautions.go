package estimate

import (
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
)

// Masses from which lifting is worth a word and a second person: half of, and
// the 23 kg of, T. R. Waters et al., "Applications Manual for the Revised NIOSH
// Lifting Equation", 94-110 (1994), for ideal conditions.
const (
	LiftNoteMass = 12 * unit.Kilogram
	LiftTwoMass  = 23 * unit.Kilogram
)

// Safety is a caution: short, and always deferring to the data sheets.
type Safety int

// The cautions, in the order in which they are told.
const (
	ReadSheets Safety = iota
	Isocyanates
	Peroxides
	Epoxies
	MetalPowder
	Dusts
	SilicaDust
	FumedSilica
	HotPlaster
	SteamBursts // over the boiling point of water
	HotWaxes
	FoodAndSkin
	VacuumLid
	PressurePot
	LiftTwo
	LiftClose
	Knives
	Solvents
)

// safety is the cautions for every material in play. lift is what has to be
// lifted, g, nil = not known.
func (j *resolved) safety(c *rubber.Chosen, lift *float64, cut bool) []Safety {
	out := []Safety{ReadSheets}
	say := func(s Safety, in bool) {
		if in {
			out = append(out, s)
		}
	}
	cast := func(t material.Trigger) bool { return j.cast != nil && j.cast.Trigger(t) }
	say(Isocyanates, c.Family == material.Polyurethane || cast(material.Isocyanate))
	say(Peroxides, cast(material.Peroxide))
	say(Epoxies, cast(material.Epoxy))
	say(MetalPowder, cast(material.Powder))
	say(Dusts, cast(material.Dust) || cast(material.Silica))
	say(SilicaDust, cast(material.Silica))
	for _, a := range c.Added {
		say(FumedSilica, a.Dust)
	}
	say(HotPlaster, cast(material.PlasterHeat))
	steam := j.cast != nil && j.cast.HottestC.Value > 100 || cast(material.Molten)
	say(SteamBursts, steam)
	say(HotWaxes, !steam && cast(material.HotWax))
	say(FoodAndSkin, cast(material.Skin) || cast(material.Food))
	w := j.shop.Workshop
	say(VacuumLid, w.Vacuum != nil && *w.Vacuum > 0)
	say(PressurePot, w.PressureBore != nil)
	two := lift != nil && unit.Mass(*lift) > LiftTwoMass
	say(LiftTwo, two)
	say(LiftClose, !two && lift != nil && unit.Mass(*lift) > LiftNoteMass)
	say(Knives, cut)
	if j.pattern != nil {
		cure, ok := j.pattern.Against(c.Family)
		say(Solvents, ok && (cure.Seal || cure.Release))
	}
	return out
}

// NotChecked is something that a plan has not looked at, so that silence is never
// read as approval.
type NotChecked struct {
	What Unchecked
	Mass *MassFrom // why the pattern's mass is not known; nil = there is no mesh
}

// Unchecked is what was not looked at.
type Unchecked int

// What can be left out.
const (
	OnlyFile      Unchecked = iota // all but the file
	OnlyDemolding                  // all but how it comes out
	CureUnknown
	RubberUnknown
	NoMesh
	FloatUnknown
	CastUnknown
	PotLifeUnknown
	NoPrices
	EachBatch // shelf life, moisture and contamination
)

// notChecked lists what this plan has not looked at. mesh is false for a pour
// without one; mass says why the pattern's is not known, nil = it is.
func (j *resolved) notChecked(c *rubber.Chosen, cost *Cost, mesh bool, mass *MassFrom) (out []NotChecked) {
	say := func(u Unchecked, in bool) {
		if in {
			out = append(out, NotChecked{What: u})
		}
	}
	say(CureUnknown, j.pattern == nil)
	say(RubberUnknown, c.Family == "")
	say(NoMesh, !mesh)
	if !mesh || mass != nil {
		out = append(out, NotChecked{FloatUnknown, mass})
	}
	say(CastUnknown, j.cast == nil)
	say(PotLifeUnknown, c.PotLife == nil && c.Family != "")
	say(NoPrices, cost == nil)
	say(EachBatch, true)
	return out
}
