package estimate

import (
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

// Safety is a caution: short, and always deferring to the data sheets.
type Safety int

// The cautions, in the order in which they are told.
const (
	ReadSheets Safety = iota
	Isocyanates
	TinCatalyst
	LatexAllergy
	Peroxides
	Epoxies
	WetCement
	MetalPowder
	Dusts
	SilicaDust
	FumedSilica
	HotPlaster
	SteamBursts // over the boiling point of water
	HeatingPots
	HotVinyl
	FoodAndSkin
	VacuumLid
	PressurePot
	Bevels
	CuttingPipe
	LiftHoist
	LiftThree
	LiftTwo
	LiftClose
	TurningOver
	Knives
	OpeningShell
	Solvents
)

// work is what a method has people do, for its cautions.
type work struct {
	Chosen *rubber.Chosen
	Mold   demold.Mold
	Fit    *boxfit.Fit // nil for a pour without a mesh
	Lift   *float64    // what has to be lifted, g; nil = not known
	Knife  bool        // the mold is cut open
}

// safety is the cautions for every material and every step in play.
func (j *resolved) safety(w work) []Safety {
	out := []Safety{ReadSheets}
	for _, list := range [][]hazard{j.hazardsOf(w.Chosen), j.hazardsOfCasting(), j.hazardsOfWork(w)} {
		for _, t := range list {
			if t.in {
				out = append(out, t.say)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// hazard is a caution, and whether it is in play.
type hazard struct {
	say Safety
	in  bool
}

// hazardsOf are those of a rubber and of what is put between it and the pattern.
func (j *resolved) hazardsOf(c *rubber.Chosen) []hazard {
	coated := c.Family == material.Polyurethane // its release is brushed on, always
	if j.pattern != nil {
		cure, ok := j.pattern.Against(c.Family)
		coated = coated || ok && (cure.Seal || cure.Release)
	}
	out := []hazard{
		{Isocyanates, c.Family == material.Polyurethane},
		{TinCatalyst, c.Family == material.Tin},
		{LatexAllergy, c.Family == material.Latex},
		{Solvents, coated},
	}
	for _, a := range c.Added {
		out = append(out, hazard{FumedSilica, a.Dust})
	}
	return out
}

// hazardsOfCasting are those of what is cast.
func (j *resolved) hazardsOfCasting() []hazard {
	c := j.cast
	if c == nil {
		return nil
	}
	steam := c.HottestC.Value > 100 || c.Trigger(material.Molten)
	return []hazard{
		{Isocyanates, c.Trigger(material.Isocyanate)},
		{Peroxides, c.Trigger(material.Peroxide)},
		{Epoxies, c.Trigger(material.Epoxy)},
		{WetCement, c.Kind == material.Cement},
		{MetalPowder, c.Trigger(material.Powder)},
		{Dusts, c.Trigger(material.Dust) || c.Trigger(material.Silica)},
		{SilicaDust, c.Trigger(material.Silica)},
		{HotPlaster, c.Trigger(material.PlasterHeat)},
		{SteamBursts, steam},
		{HeatingPots, c.Trigger(material.HotWax)},
		{HotVinyl, c.Trigger(material.Fumes)},
		{FoodAndSkin, c.Trigger(material.Skin) || c.Trigger(material.Food)},
	}
}

// hazardsOfWork are those of the workshop, of the container, of lifting and turning
// what is full, and of opening the mold.
func (j *resolved) hazardsOfWork(w work) []hazard {
	shop := j.shop.Workshop
	out := []hazard{
		{VacuumLid, shop.Vacuum != nil && *shop.Vacuum > 0},
		{PressurePot, shop.PressureBore != nil},
		{Knives, w.Knife},
	}
	heavy := w.Lift != nil && unit.Mass(*w.Lift) > boxfit.LiftNote
	if heavy {
		out = append(out, hazard{[...]Safety{LiftHoist, LiftClose, LiftTwo, LiftThree}[boxfit.Hands(unit.Mass(*w.Lift))], true})
	}
	if f := w.Fit; f != nil {
		shell := f.Kind == boxfit.Mother
		out = append(out,
			hazard{Bevels, f.Kind == boxfit.Polygon},
			hazard{CuttingPipe, f.Kind == boxfit.Sleeve && f.Stock != nil && !f.Own},
			hazard{TurningOver, heavy && (w.Mold == demold.TwoPart || shell)},
			hazard{OpeningShell, shell},
			hazard{Dusts, shell},
			hazard{HotPlaster, shell && !laminated(f)},
			hazard{Peroxides, laminated(f)},
			hazard{Epoxies, laminated(f)})
	}
	return out
}

// laminated reports whether a shell is of glass fiber in resin, polyester or epoxy.
func laminated(f *boxfit.Fit) bool { return f.Shell != nil && f.Shell.Material == boxfit.Laminate }

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
	OnlyFile       Unchecked = iota // all but the file
	OnlyDemolding                   // all but how it comes out
	OnlyContainers                  // the pattern's material and mass, castings, money
	CureUnknown
	RubberUnknown
	NoMesh
	FloatUnknown
	WallsUnknown // of the user's own container
	CastUnknown
	PotLifeUnknown
	NoPrices
	EachBatch // shelf life, moisture and contamination
)

// notChecked lists what this plan has not looked at. fit is nil for a pour without
// a mesh; mass says why the pattern's is not known, nil = it is.
func (j *resolved) notChecked(c *rubber.Chosen, cost *Cost, fit *boxfit.Fit, mass *MassFrom) (out []NotChecked) {
	say := func(u Unchecked, in bool) {
		if in {
			out = append(out, NotChecked{What: u})
		}
	}
	held := j.Parts.StopAfter == ThroughContainer && fit != nil
	say(OnlyContainers, held)
	say(CureUnknown, j.pattern == nil && !held)
	say(RubberUnknown, c.Family == "")
	say(NoMesh, fit == nil)
	if (fit == nil || mass != nil) && !held {
		out = append(out, NotChecked{FloatUnknown, mass})
	}
	say(WallsUnknown, fit != nil && fit.Own && j.Board == "")
	say(CastUnknown, j.cast == nil && !held)
	say(PotLifeUnknown, c.PotLife == nil && c.Family != "")
	say(NoPrices, cost == nil && !held)
	say(EachBatch, true)
	return out
}
