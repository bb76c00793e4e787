package estimate

import (
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
)

// Masses from which lifting is worth a word and a second person, g: half of,
// and the 23 kg of, T. R. Waters et al., "Applications Manual for the Revised
// NIOSH Lifting Equation", 94-110 (1994), for ideal conditions.
const (
	liftNote = 12000.0
	liftTwo  = 23000.0
)

// safety is the safety words for every material in play: short, and always
// deferring to the data sheets. lift is what has to be lifted, g, nil = not known.
func (j *resolved) safety(c *rubber.Chosen, lift *float64, cut bool) []string {
	out := []string{"Read the safety data sheet of each material, and use the gloves, eye protection, ventilation and respirator it names. Local codes and licensed practice apply. This is an estimate, no professional engineering or medical judgement."}
	add := func(s string) { out = append(out, s) }
	cast := func(t material.Trigger) bool { return j.cast != nil && j.cast.Trigger(t) }
	if c.Family == material.Polyurethane || cast(material.Isocyanate) {
		add("Isocyanates (polyurethane rubber, resin, foam) are a leading cause of occupational asthma, through skin as well as air: do not heat, spray or sand uncured material; whoever is sensitized must not work with it. In the EU professional use asks for training. See its safety data sheet.")
	}
	if cast(material.Peroxide) {
		add("Polyester hardener (organic peroxide) blinds: goggles; never let it touch promoter, metal or acetone. See its safety data sheet.")
	}
	if cast(material.Epoxy) {
		add("Epoxy and its hardener sensitize skin, often for life: gloves. See their safety data sheets.")
	}
	if cast(material.Powder) {
		add("Metal powder in air burns and explodes, aluminium worst: no flame or spark, no dry sweeping, a respirator. See its safety data sheet and local rules on combustible dust.")
	}
	if cast(material.Dust) || cast(material.Silica) {
		add("Plaster, cement and filler dust: wet methods or a respirator.")
	}
	if cast(material.Silica) {
		add("Concrete and stone give off crystalline silica when cut or sanded dry: wet methods and a respirator; local limits apply.")
	}
	for _, a := range c.Added {
		if a.Dust {
			add("Fumed silica floats in the air for hours: stir it in slowly, out of draughts, with a respirator.")
		}
	}
	if cast(material.PlasterHeat) {
		add("Setting plaster reaches about 60 °C in bulk: never enclose a hand or any part of a body in it.")
	}
	if j.cast != nil && j.cast.HottestC.Value > 100 || cast(material.Molten) {
		add("Over 100 °C: a drop of water under hot metal, wax or resin bursts into steam. Dry and preheat the mold, cover eyes, hands and skin.")
	} else if cast(material.HotWax) {
		add("Hot wax, soap and sugar burn: keep water away, mind the flash point.")
	}
	if cast(material.Skin) || cast(material.Food) {
		add("Food and skin: only materials whose makers declare them for it; never a mold that has held resin.")
	}
	if w := j.shop.Workshop; w.Vacuum != nil && *w.Vacuum > 0 {
		add("A lid 300 mm across bears 7 kN under vacuum: only a rated chamber, with a guard, vented slowly. Do not vacuum a box over a hollow print.")
	}
	if j.shop.Workshop.PressureBore != nil {
		add("Only a rated pressure pot with its relief valve.")
	}
	if lift != nil && *lift > liftTwo {
		add("Box, rubber and pattern weigh over 23 kg: two people or a hoist.")
	} else if lift != nil && *lift > liftNote {
		add("Box, rubber and pattern weigh over 12 kg: lift close to the body, or with help.")
	}
	if cut {
		add("Knives: cut away from yourself, with a cut-proof glove on the hand that holds.")
	}
	if j.pattern != nil {
		if cure, ok := j.pattern.Against(c.Family); ok && (cure.Seal || cure.Release) {
			add("Solvent-borne sealers and releases are flammable: no flame, and air.")
		}
	}
	return out
}

// notChecked lists what this plan has not looked at, so that silence is never
// read as approval. mesh is false for a pour without one; massHow says why the
// pattern's mass is not known, "" = it is.
func (j *resolved) notChecked(c *rubber.Chosen, cost *Cost, mesh bool, massHow string) []string {
	out := []string{}
	add := func(s string) { out = append(out, s) }
	if j.pattern == nil {
		add("whether the rubber cures against the pattern: its material is not given (--pattern-material)")
	}
	if c.Family == "" {
		add("chemistry, times and heat: nothing but its data sheet's weights is known of this rubber")
	}
	switch {
	case !mesh:
		add("whether the pattern comes out, how thin the rubber gets, and whether air is trapped: there is no mesh")
		add("whether the pattern floats")
	case massHow != "":
		add("whether the pattern floats: its mass is " + massHow)
	}
	if j.cast == nil {
		add("heat, wear and shrinkage of castings: what is cast is not given (--cast)")
	}
	if c.PotLife == nil && c.Family != "" {
		add("pot life: the shop file gives none for this rubber")
	}
	if cost == nil {
		add("cost: no price is given (--price-per-kg, or prices in the shop file)")
	}
	add("the rubber's shelf life, moisture and contamination: test each batch in a cup, and keep the cup")
	return out
}
