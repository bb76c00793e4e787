package estimate

import (
	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
	"moldtally/mesh/unit"
)

// chores are what is done beside mixing and pouring, each where the order of work
// has it.
type chores struct{ before, turned, cured, ready []schedule.Chore }

// making is what the chores of a mold depend on.
type making struct {
	Fit     *boxfit.Fit
	Family  material.Family
	Longest float64  // the pattern's largest size, mm
	Outline *float64 // of the parting, mm; nil = not known
	Slit    bool     // the mold is slit, or cut open
	Cast    bool     // something is cast in it
}

// Shares of the minutes of a bed, and what rods and punched vents take, min; all
// judgements of this program.
const (
	bedShare     = 0.75 // the bed itself, the rest are its keys
	rodMinutes   = 5.0
	punchMinutes = 2.0
)

// chores are what is done for a method beside mixing and pouring.
func (k *known) chores(m *method) chores {
	with := making{Fit: m.fit, Family: m.chosen.Family, Longest: k.longest(), Slit: m.verdict.Answer == SlitIt, Cast: k.job.cast != nil}
	if m.report.Parting != nil {
		with.Outline = m.report.Parting.Length
	}
	return k.job.chores(with)
}

// chores are the order of work of a kind of mold but for what is mixed and poured.
func (j *resolved) chores(m making) (out chores) {
	class, _ := labor.ClassOf(m.Longest)
	takes := func(t labor.Task) float64 {
		if j.Irreplaceable {
			return labor.Careful * t.Of(class)
		}
		return t.Of(class)
	}
	add := func(to *[]schedule.Chore, minutes float64, t schedule.Task) {
		*to = append(*to, schedule.Chore{Task: t, Minutes: minutes})
	}
	do := func(to *[]schedule.Chore, d schedule.Doing, t labor.Task, share float64) {
		add(to, share*takes(t), schedule.Task{Do: d, Family: m.Family})
	}
	seal, release := j.coats(m.Family)
	if seal {
		do(&out.before, schedule.SealPattern, labor.Sealing, 1)
	}
	switch f := m.Fit; f.Mold {
	case demold.TwoPart:
		flange := f.Wall // the bed goes out to the walls
		add(&out.before, bedShare*takes(labor.Bedding), schedule.Task{Do: schedule.LayClayBed, Across: unit.Length(flange)})
		keys := boxfit.KeysFor(orNone(m.Outline), flange, m.Longest)
		add(&out.before, (1-bedShare)*takes(labor.Bedding), schedule.Task{Do: schedule.PressKeys, Count: keys.Count, Across: unit.Length(keys.Diameter), Deep: unit.Length(keys.Depth)})
		m.rods(&out, add)
		do(&out.before, schedule.BuildBox, labor.Boxing, 1)
		do(&out.turned, schedule.CloseBox, labor.Boxing, 0.5)
	case demold.Cut:
		do(&out.before, schedule.Stand, labor.Fixing, 1.5)
		m.rods(&out, add)
		do(&out.before, schedule.BuildBox, labor.Boxing, 1)
	case demold.Blanket:
		do(&out.before, schedule.FixDown, labor.Fixing, 1)
		add(&out.before, takes(labor.Claying), schedule.Task{Do: schedule.LayClay, Deep: unit.Length(f.Wall)})
		pieces := shellPieces(f)
		add(&out.before, max(schedule.MotherMinutes, float64(pieces)*takes(labor.Shelling)), schedule.Task{Do: schedule.BuildCase, Count: pieces})
		do(&out.before, schedule.ClearClay, labor.Clearing, 1)
	case demold.Brushed:
		do(&out.before, schedule.FixDown, labor.Fixing, 1)
	default:
		do(&out.before, schedule.FixDown, labor.Fixing, 1)
		do(&out.before, schedule.BuildBox, labor.Boxing, 1)
	}
	m.opens(&out, j.Irreplaceable, do)
	if release { // last, on all that the rubber is going to meet
		add(&out.before, schedule.ReleaseMinutes, schedule.Task{Do: schedule.ReleasePattern, Family: m.Family})
	}
	if n := len(m.Fit.Vents); n > 0 && m.Cast && m.Fit.Mold.OnBoard() {
		add(&out.ready, punchMinutes*float64(n), schedule.Task{Do: schedule.PunchVents, Count: n, Across: unit.Length(m.Fit.Vents[0].Diameter)})
	}
	return out
}

// coats tells whether a pattern is sealed and whether a release is brushed on it,
// under a family of rubber: polyurethane always asks for one.
func (j *resolved) coats(f material.Family) (seal, release bool) {
	release = f == material.Polyurethane
	if j.pattern != nil {
		cure, known := j.pattern.Against(f)
		seal, release = known && cure.Seal, release || known && cure.Release
	}
	return seal, release
}

// rods stand where a mold without a mouth is filled and where air leaves it.
func (m making) rods(out *chores, add func(*[]schedule.Chore, float64, schedule.Task)) {
	if s := m.Fit.Sprue; s != nil {
		add(&out.before, rodMinutes, schedule.Task{Do: schedule.SetSprue, Across: unit.Length(s.Diameter)})
	}
	if n := len(m.Fit.Vents); n > 0 {
		add(&out.before, rodMinutes, schedule.Task{Do: schedule.SetVents, Count: n, Across: unit.Length(m.Fit.Vents[0].Diameter)})
	}
}

// opens is how a mold that does not come off whole is opened: with a knife, or,
// where that may not come near the pattern, along a fin that stands in the pour.
func (m making) opens(out *chores, original bool, do func(*[]schedule.Chore, schedule.Doing, labor.Task, float64)) {
	share := 1.0
	if m.Fit.Mold == demold.Cut {
		share = 2
	}
	switch {
	case !m.Slit:
	case original:
		do(&out.before, schedule.StandFin, labor.Cutting, share)
	case m.Fit.Mold.OnBoard():
		do(&out.cured, schedule.SlitOpen, labor.Cutting, share)
	default:
		do(&out.cured, schedule.CutOpen, labor.Cutting, share)
	}
}

// shellPieces is how many pieces a mother mold has; two where that is not known.
func shellPieces(f *boxfit.Fit) int {
	if f.Shell == nil || len(f.Shell.Pieces) == 0 {
		return 2
	}
	return len(f.Shell.Pieces)
}

func orNone(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}
