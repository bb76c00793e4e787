package words

import (
	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh/unit"
)

// cautions has the words of what must not be forgotten, where they hold no figures.
var cautions = map[estimate.Safety]string{
	estimate.ReadSheets:   "Read the safety data sheet of each material, and use the gloves, eye protection, ventilation and respirator it names. Local codes and licensed practice apply. This is an estimate, no professional engineering or medical judgement.",
	estimate.Isocyanates:  "Isocyanates (polyurethane rubber, resin, foam) are a leading cause of occupational asthma, through skin as well as air: do not heat, spray or sand uncured material; whoever is sensitized must not work with it. In the EU professional use asks for training. See its safety data sheet.",
	estimate.TinCatalyst:  "The catalyst of tin-cure silicone is an organotin: it goes through the skin and can harm the immune system and the unborn. Nitrile gloves, and air; in the EU the stronger ones are not for the general public. See its safety data sheet.",
	estimate.LatexAllergy: "Natural latex makes some people allergic, rarely with shock: nobody who reacts to latex gloves works with it. Liquid latex gives off ammonia: air. See its safety data sheet.",
	estimate.Peroxides:    "Polyester hardener (organic peroxide) blinds: goggles; never let it touch promoter, metal or acetone. See its safety data sheet.",
	estimate.Epoxies:      "Epoxy and its hardener sensitize skin, often for life: gloves. See their safety data sheets.",
	estimate.WetCement:    "Wet cement is strongly alkaline: held against the skin, in a glove or under a knee, it burns deep and heals slowly, and its chromate sensitizes. Waterproof gloves, goggles, no kneeling in it; wash at once. See its safety data sheet.",
	estimate.MetalPowder:  "Metal powder in air burns and explodes, aluminium worst: no flame or spark, no dry sweeping, a respirator. See its safety data sheet and local rules on combustible dust.",
	estimate.Dusts:        "Plaster, cement and filler dust: wet methods or a respirator.",
	estimate.SilicaDust:   "Concrete and stone give off crystalline silica when cut or sanded dry: wet methods and a respirator; local limits apply.",
	estimate.FumedSilica:  "Fumed silica floats in the air for hours: stir it in slowly, out of draughts, with a respirator.",
	estimate.HeatingPots:  "Hot wax, soap, sugar and vinyl burn skin: melt them in a water bath or a pot with a thermostat, well below the flash point, and never leave it. A wax fire is put out with the lid, never with water.",
	estimate.HotVinyl:     "Vinyl that is too hot gives off acrid fumes: turn the heat off and leave the room until it is aired. See its safety data sheet.",
	estimate.FoodAndSkin:  "Food and skin: only materials whose makers declare them for it; never a mold that has held resin.",
	estimate.PressurePot:  "Only a rated pressure pot with its relief valve.",
	estimate.Bevels:       "Sawing bevels: tilt the blade away from the fence, riving knife and guard on, push stick in hand; dust extraction or a respirator, for board dust harms the lungs.",
	estimate.CuttingPipe:  "Cutting or slitting pipe: lay it in a V-shaped cradle and clamp it, never freehand; eye protection.",
	estimate.TurningOver:  "A filled mold is turned on a board, strapped to it, never held by its flange; clear the way first, and keep feet and hands from under it.",
	estimate.Knives:       "Knives: cut away from yourself, with a cut-proof glove on the hand that holds.",
	estimate.OpeningShell: "Open a shell with wedges at its notches, not with a hammer on a chisel; goggles against splinters, and long sleeves where it holds glass fiber.",
	estimate.Solvents:     "Solvent-borne sealers and releases are flammable, some even in the cold: air, and no flame, spark, hot plate or fresh hot metal near them; let them dry fully before a shell is closed over them. See their safety data sheets.",
}

// safety words a caution.
func (v voice) safety(c estimate.Safety) string {
	switch c {
	case estimate.HotPlaster:
		return "Setting plaster reaches about " + v.celsius(60, fixed(0)) + " in bulk: never enclose a hand or any part of a body in it."
	case estimate.SteamBursts:
		return "Over " + v.celsius(100, fixed(0)) + ": a drop of water under hot metal, wax or resin bursts into steam. Dry and preheat the mold, cover eyes, hands and skin."
	case estimate.VacuumLid:
		lid := "300 mm across bears 7 kN (730 kg)"
		if v.us {
			lid = "12 in across bears 1600 lb"
		}
		return "A lid " + lid + " under vacuum: only a rated chamber, with a guard, vented slowly. Do not vacuum a box over a hollow print."
	case estimate.LiftClose:
		return v.lifted(boxfit.LiftNote, 1)
	case estimate.LiftTwo:
		return v.lifted(boxfit.LiftCeiling, 2)
	case estimate.LiftThree:
		return v.lifted(boxfit.MostForTwo, 3)
	case estimate.LiftHoist:
		return v.lifted(boxfit.MostForThree, 0)
	}
	return cautions[c]
}

// lifted says what to do about a container that weighs more than a mass, with as
// many people as it takes; 0 = it takes a hoist.
func (v voice) lifted(over unit.Mass, hands int) string {
	return "Box, rubber and pattern weigh over " + v.kilograms(over, upTo(1)) + ": " + v.lifting(hands) + "."
}

// lifting says how it is lifted.
func (v voice) lifting(hands int) string {
	switch hands {
	case 1:
		return "lift close to the body, without turning the trunk, or ask for help; at arm's length over a bench " + v.kilograms(boxfit.AcrossBench(), fixed(0)) + " is the most for one"
	case 2:
		return "two people, who together lift two thirds of what they lift one by one, or a hoist; follow local rules for lifting"
	case 3:
		return "three people, who together lift half of what they lift one by one, or better a hoist; follow local rules for lifting"
	}
	return "a hoist or a lifting table, whatever help there is; follow local rules for lifting"
}
