package words

import (
	"math"
	"strings"

	"moldtally/estimate/material"
	"moldtally/estimate/schedule"
	"moldtally/mesh/unit"
	figures "moldtally/render/figure"
)

// tasks has the words of what is always done in the same way.
var tasks = map[schedule.Doing]string{
	schedule.SealPattern: "seal the pattern in two or three thin coats; let each of them dry, and the last through",
	schedule.FixDown:     "fix the pattern to its board and seal its edge with clay",
	schedule.Stand:       "stand the pattern in its container on its base, or on its sprue and pegs, clear of the walls all round",
	schedule.ClearClay:   "open the shell, take out all clay and weigh it; clean pattern and shell",
	schedule.RefitShell:  "brush release on the inside of the shell, set it back over the pattern on its marks, bolt it together and down to the board, seal its edge",
	schedule.BuildBox:    "set the container up round it, seal its seams, mark the fill line",
	schedule.TurnOver:    "open the container and turn the half over, strapped to a board; take off the bed and clean away all clay; the pattern stays seated in its rubber",
	schedule.CloseBox:    "set the container up again round the second half, high enough to cover the pattern; see that flange meets flange",
	schedule.Degas:       "vacuum until it has risen and fallen, and a little longer",
	schedule.Tack:        "wait until it is tacky where you began, no longer sticky",
	schedule.Cure:        "cure: do not open before",
	schedule.Open:        "open the mold, take out the pattern",
	schedule.PeelOff:     "peel the rubber off the pattern, clean it, and lay it back into its shell: it is stored there, bolted shut",
}

// task says what is done in a step of the schedule.
func (v voice) task(t schedule.Task) string {
	switch t.Do {
	case schedule.Mix:
		return v.weighing(t)
	case schedule.TurnOver:
		if t.Coats > 0 {
			return "turn it over in its shell, strapped to a board; take off the bed and clean away all clay; the pattern stays seated in its rubber"
		}
	case schedule.Brush:
		return "brush on " + portion(t)
	case schedule.PourIn:
		return "pour " + portion(t) + " in a thin stream into the lowest corner"
	case schedule.PourThrough:
		return "pour " + portion(t) + " through the spout, slowly, until it shows in every riser"
	case schedule.LayClayBed:
		return "bed the pattern in clay up to its parting line: a shelf " + v.mm(t.Across, upTo(0)) + " wide all round that meets it at a right angle, wiped sharp"
	case schedule.PressKeys:
		return "press " + whole(t.Count) + " keys of " + v.mm(t.Across, upTo(1)) + ", " + v.mm(unit.Length(math.Round(float64(t.Deep))), upTo(0)) + " deep, into that shelf, one of them odd, none close to the pattern, the edge or a rod"
	case schedule.SetSprue:
		return "stand a rod of " + v.mm(halves(t.Across), upTo(1)) + " on the pattern where the sprue goes, out to the wall"
	case schedule.SetVents:
		return "stand " + rods(t.Count) + " of " + v.mm(t.Across, upTo(1)) + " where air has to leave, higher than the sprue"
	case schedule.StandFin:
		return "stand a fin of card or thin sheet on the pattern where the mold is to open, through the rubber but for a thin skin outside: no blade comes near this pattern"
	case schedule.LayClay:
		return "film over the pattern, then an even blanket of clay, " + v.mm(t.Deep, rule) + " thick as the coat will be; fill hollows until every side draws out of the shell by a few degrees"
	case schedule.BuildCase:
		return "build the shell over that clay " + inPieces(t.Count) + ", with a spout at its top and risers at its high places; let it set"
	case schedule.BuildShell:
		return "with the rubber still on the pattern, brush release over it and build the shell " + inPieces(t.Count) + "; let it set"
	case schedule.TakeShellOff:
		if t.Count > 1 {
			return "take out the bolts, open the joints of the shell with wedges and take its pieces off, the top one first"
		}
		return "open the rim of the shell with wedges and lift it off"
	case schedule.SlitOpen:
		long := ""
		if t.Across > 0 {
			long = ", " + v.mm(t.Across, fixed(0)) + " along the pattern"
		}
		return "slit it at the back from the mouth up" + long + ", in a zig-zag that ends in a punched hole short of the crown; " + v.lastCut()
	case schedule.CutOpen:
		return "cut it open along its line, in a zig-zag; " + v.lastCut()
	case schedule.FillPores:
		if t.Count == 1 {
			return "press wax or clay into the small hole that would lock, flush with the surface"
		}
		return "press wax or clay into the " + whole(t.Count) + " small holes that would lock, flush with the surface"
	case schedule.FillLoose:
		if t.Count == 1 {
			return "brush release into the hollow that the loose piece takes, fill it with thickened rubber out to where the mold closes over it, tapered outward and with a step to seat it; let it cure there, trim it, release it"
		}
		return "brush release into the hollows that the " + whole(t.Count) + " loose pieces take, fill each with thickened rubber out to where the mold closes over it, tapered outward and with a step to seat it; let them cure there, trim them, release them"
	case schedule.DrawLoose:
		if t.Count == 1 {
			return "draw the loose piece out of its hollow and set it back into its seat in the mold, as before every casting"
		}
		return "draw the " + whole(t.Count) + " loose pieces out of their hollows, the last that was made first, and set them back into their seats in the mold, as before every casting"
	case schedule.PunchVents:
		vents := whole(t.Count) + " vents"
		if t.Count == 1 {
			vents = "a vent"
		}
		return "punch " + vents + " of " + v.mm(t.Across, upTo(1)) + " where the casting would catch air"
	}
	return v.familyTask(t)
}

// familyTask says what is done in a step that depends on the rubber's family alone.
func (v voice) familyTask(t schedule.Task) string {
	grips := t.Family == material.Polyurethane
	switch t.Do {
	case schedule.ReleasePattern:
		if grips {
			return "brush release over pattern, board and container, for polyurethane grips whatever it touches; let it dry"
		}
		return "brush a thin release over the pattern; let it dry"
	case schedule.BrushRelease:
		if grips {
			return "brush release twice over the first half with its keys and its flange, and again over the pattern; let it dry"
		}
		return "brush release twice over the first half with its keys and its flange; let it dry"
	case schedule.FirstCasting:
		if grips {
			return "brush release into the mold, as before every casting, then the first casting, until it is opened"
		}
		return "first casting, until it is opened"
	case schedule.Rest:
		switch t.Family {
		case material.Platinum:
			return "rest to full strength at room temperature (or a few hours warm, as the data sheet says)"
		case material.Tin:
			return "rest open to the air, so that its by-product leaves; 3 to 7 days before hot or hard use"
		}
		return "rest to full strength, 5 to 7 days before hard use"
	}
	return tasks[t.Do]
}

// weighing says what is weighed and stirred for one cup.
func (v voice) weighing(t schedule.Task) string {
	s := "weigh and stir " + portion(t)
	switch {
	case t.A > 0 && t.B > 0:
		s = "weigh " + v.onScale(t.A) + " of part A and " + v.onScale(t.B) + " of part B for " + portion(t) + ", stir"
	case t.A > 0:
		s = "weigh " + v.onScale(t.A) + " for " + portion(t) + ", stir"
	}
	if t.Second {
		s = "a second person: " + s
	}
	return s + ", pour it over into a second cup and stir again"
}

// coating says in one line what is done for a coat.
func (v voice) coating(c schedule.Coating) string {
	s, of := "coat "+whole(c.Coat)+" of "+whole(c.Coats), ""
	if c.Cups > 1 {
		s += ", in " + whole(c.Cups) + " cups one after the other"
		if c.People > 1 {
			s += ", two people side by side"
		}
		of = " for each"
	}
	switch {
	case c.A > 0 && c.B > 0:
		s += ": " + v.onScale(c.A) + " of part A and " + v.onScale(c.B) + " of part B" + of
	case c.A > 0:
		s += ": " + v.onScale(c.A) + of
	}
	switch {
	case c.Coat > 1 && c.Coat == c.Coats: // what is filled out is in the coats' cups
		return s + "; thicker over edges and high points, and in hollows until every side draws out of the shell by a few degrees (a loose plug where one is deep)"
	case c.Coat > 1:
		return s + "; thicker over edges and high points"
	}
	s += "; stir, pour it over into a second cup and stir again, "
	if c.Degas {
		s += tasks[schedule.Degas] + ", "
	}
	s += "and brush it on thin, into every corner"
	if c.Cups > 1 {
		s += ", before the next cup is stirred"
	}
	return s
}

// onScale writes a mass as a scale shows it.
func (v voice) onScale(m unit.Mass) string {
	q := figures.Weighed(float64(m))
	if v.us {
		return strings.ReplaceAll(q.US(), figures.NBSP, " ")
	}
	return strings.ReplaceAll(q.Metric(), figures.NBSP, " ")
}

// scaleStep writes what a scale steps by: in ounces the step of one that is as fine.
func (v voice) scaleStep(m unit.Mass) string {
	q := figures.ScaleStep(float64(m))
	if v.us {
		return strings.ReplaceAll(q.US(), figures.NBSP, " ")
	}
	return strings.ReplaceAll(q.Metric(), figures.NBSP, " ")
}

// portion is the coat or the batch that a task is about.
func portion(t schedule.Task) string {
	switch {
	case t.Coats > 0 && t.Batches > 0:
		return "cup " + whole(t.Nth) + " of " + whole(t.Batches) + " for coat " + whole(t.Coat) + " of " + whole(t.Coats)
	case t.Coats > 0:
		return "coat " + whole(t.Nth) + " of " + whole(t.Coats)
	case t.Batches > 0:
		return "batch " + whole(t.Nth) + " of " + whole(t.Batches)
	}
	return "the rubber"
}

// inPieces says how many pieces a shell has.
func inPieces(n int) string {
	if n > 1 {
		return "in " + whole(n) + " pieces, release between them"
	}
	return "in one piece"
}

func rods(n int) string {
	if n == 1 {
		return "a rod"
	}
	return whole(n) + " rods"
}

// halves is a length to half a millimetre, as rods are to be had.
func halves(l unit.Length) unit.Length { return unit.Length(math.Round(2*float64(l)) / 2) }

// lastCut says how a knife comes to the pattern.
func (v voice) lastCut() string {
	last := "few millimetres"
	if v.us {
		last = "eighth of an inch"
	}
	return "the last " + last + " straight, held open, so that the blade never meets the pattern"
}
