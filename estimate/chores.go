package estimate

import (
	"slices"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/unit"
)

// chores are what is done beside mixing and pouring, each where the order of work
// has it.
type chores struct {
	before, turned, coated, cured, ready []schedule.Chore
	open                                 schedule.Chore
}

// making is what the chores of a mold depend on.
type making struct {
	Fit     *boxfit.Fit
	Work    labor.Work // whose minutes they take
	Family  material.Family
	Outline *float64 // of the parting, mm; nil = not known
	Slit    bool     // the mold is slit, or cut open
	Cast    bool     // something is cast in it
	Length  float64  // of the slit along the pattern, mm; 0 = not known
	Demold  float64  // until the rubber may be opened, min
}

// Shares of the minutes of some tasks, and what rods, punched vents and loose pieces take of
// them, min; all judgements of this program.
const (
	bedShare     = 0.75 // the bed itself, the rest are its keys
	firstBox     = 2.0 / 3
	takenOut     = 0.5 // the clay is; the rest is the shell's refitting
	shellOff     = 0.5 // of opening a mother mold; the rest is the peeling
	rodMinutes   = 5.0
	punchMinutes = 2.0
	drawMinutes  = 5.0 // a loose piece, out of its hollow and back into the mold
)

// chores are what is done for a method beside mixing and pouring.
func (k *known) chores(m *method, slit *seam.Slit) chores {
	with := making{Fit: m.fit, Work: m.work, Family: m.chosen.Family, Slit: m.verdict.Answer == SlitIt, Cast: k.job.cast != nil, Demold: orNone(m.mix.demold)}
	if slit != nil {
		with.Length = slit.Length
	}
	if m.report.Parting != nil {
		with.Outline = m.report.Parting.Length
	}
	return k.job.chores(with)
}

// chores are the order of work of a kind of mold but for what is mixed and poured.
func (j *resolved) chores(m making) (out chores) {
	f := m.Fit
	seal, release := j.coats(m.Family)
	if n := m.Work.Pores; n > 0 {
		add(&out.before, m.Work.Takes(labor.Plugging), schedule.Task{Do: schedule.FillPores, Count: n})
	}
	if seal {
		m.do(&out.before, schedule.SealPattern, labor.Sealing, 1)
		if last := &out.before[len(out.before)-1]; m.Work.Sealer {
			last.Hands = last.Minutes
			last.Minutes += schedule.SealerMinutes
		}
	}
	m.loose(&out)
	out.open = schedule.Chore{Task: schedule.Task{Do: schedule.Open}, Minutes: m.Work.Takes(labor.Demolding)}
	switch {
	case m.halves():
		m.bed(&out)
	case f.Mold == demold.Cut:
		rods := m.rods()
		add(&out.before, m.Work.Takes(labor.Fixing)-minutesOf(rods), schedule.Task{Do: schedule.Stand})
		out.before = append(out.before, rods...)
		m.do(&out.before, schedule.BuildBox, labor.Boxing, 1)
	default:
		m.do(&out.before, schedule.FixDown, labor.Fixing, 1)
		if !f.Mold.Coated() {
			m.do(&out.before, schedule.BuildBox, labor.Boxing, 1)
		}
	}
	if f.Mold == demold.Blanket {
		m.clay(&out.before)
		if m.coatHalves() {
			m.clay(&out.turned)
			m.do(&out.turned, schedule.RefitShell, labor.Clearing, (1-takenOut)*m.share())
		}
	}
	m.opens(&out, j.Irreplaceable)
	if release { // last, on all that the rubber is going to meet
		out.before = append(out.before, schedule.Chore{Task: schedule.Task{Do: schedule.ReleasePattern, Family: m.Family}, Minutes: schedule.ReleaseMinutes, Hands: idle})
	}
	if f.Mold == demold.Blanket { // over the pattern that has had its release
		m.do(&out.before, schedule.RefitShell, labor.Clearing, (1-takenOut)*m.share())
	}
	if n := len(f.Vents); n > 0 && m.Cast && f.Mold.OnBoard() {
		minutes := min(punchMinutes*float64(n), m.Work.Takes(labor.Trying)/2)
		add(&out.ready, minutes, schedule.Task{Do: schedule.PunchVents, Count: n, Across: unit.Length(f.Vents[0].Diameter)})
	}
	return out
}

// loose are the loose pieces: made before all else, drawn once the mold is open.
func (m making) loose(out *chores) {
	n := m.Work.Loose
	if n <= 0 {
		return
	}
	draw := drawMinutes * float64(n)
	hands := max(0, m.Work.Takes(labor.Piecing)-draw)
	out.before = append(out.before, schedule.Chore{Task: schedule.Task{Do: schedule.FillLoose, Count: n}, Minutes: hands + m.Demold, Hands: hands})
	add(&out.ready, draw, schedule.Task{Do: schedule.DrawLoose, Count: n})
}

// idle is the hands of a chore that is all waiting, as for a release to dry.
const idle = schedule.Idle

func add(to *[]schedule.Chore, minutes float64, t schedule.Task) {
	*to = append(*to, schedule.Chore{Task: t, Minutes: max(0, minutes)})
}

// do adds a share of a task that labor counts.
func (m making) do(to *[]schedule.Chore, d schedule.Doing, t labor.Task, share float64) {
	add(to, share*m.Work.Takes(t), schedule.Task{Do: d, Family: m.Family})
}

// halves reports whether the mold is made half by half, against a bed of clay.
func (m making) halves() bool { return m.Fit.Mold == demold.TwoPart || m.coatHalves() }

// coatHalves reports whether those are halves of a coat.
func (m making) coatHalves() bool {
	return m.Work.Method == labor.BrushedHalves || m.Work.Method == labor.PouredHalves
}

// bed is what comes before the first of two halves.
func (m making) bed(out *chores) {
	flange, bedding, rods := m.Fit.Wall, m.Work.Takes(labor.Bedding), m.rods() // the bed goes out to the walls
	if m.Fit.Mold.Coated() {
		flange = boxfit.FlangeOf(flange)
		if s := m.Fit.Shell; s != nil {
			flange = max(flange, s.Flange)
		}
	}
	add(&out.before, m.Work.Takes(labor.Fixing)+bedShare*bedding-minutesOf(rods), schedule.Task{Do: schedule.LayClayBed, Across: unit.Length(flange)})
	keys := boxfit.KeysFor(orNone(m.Outline), flange, m.Work.Longest)
	if n := len(m.Fit.Keys); n > 0 {
		keys.Count = n // as many as there is room for
	}
	add(&out.before, (1-bedShare)*bedding, schedule.Task{Do: schedule.PressKeys, Count: keys.Count, Across: unit.Length(keys.Diameter), Deep: unit.Length(keys.Depth)})
	out.before = append(out.before, rods...)
	if !m.Fit.Mold.Coated() {
		m.do(&out.before, schedule.BuildBox, labor.Boxing, firstBox)
		m.do(&out.turned, schedule.CloseBox, labor.Boxing, 1-firstBox)
	}
}

// clay is the clay that holds the place of a poured coat, and the shell over it.
func (m making) clay(to *[]schedule.Chore) {
	m.do(to, schedule.LayClay, labor.Claying, m.share())
	(*to)[len(*to)-1].Task.Deep = unit.Length(m.Fit.Wall)
	*to = append(*to, m.shell(schedule.BuildCase))
	m.do(to, schedule.ClearClay, labor.Clearing, takenOut*m.share())
}

// share is the share of a coat that is made at a time.
func (m making) share() float64 {
	if m.coatHalves() {
		return 0.5
	}
	return 1
}

// shell is the building of a mother mold, or of its part over one half of a coat,
// until it stands by itself.
func (m making) shell(d schedule.Doing) schedule.Chore {
	hands, pieces := m.Work.Takes(labor.Shelling), shellPieces(m.Fit)
	if m.coatHalves() {
		hands, pieces = hands/2, (pieces+1)/2
	}
	return schedule.Chore{Task: schedule.Task{Do: d, Count: pieces}, Minutes: max(schedule.MotherMinutes, hands), Hands: hands}
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
func (m making) rods() (out []schedule.Chore) {
	if s := m.Fit.Sprue; s != nil {
		add(&out, rodMinutes, schedule.Task{Do: schedule.SetSprue, Across: unit.Length(s.Diameter)})
	}
	if n := len(m.Fit.Vents); n > 0 {
		add(&out, rodMinutes, schedule.Task{Do: schedule.SetVents, Count: n, Across: unit.Length(m.Fit.Vents[0].Diameter)})
	}
	return out
}

// minutesOf is how long some chores take, min.
func minutesOf(list []schedule.Chore) (minutes float64) {
	for _, c := range list {
		minutes += c.Minutes
	}
	return minutes
}

// opens is how a mold that does not come off whole is opened: with a knife, or,
// where that may not come near the pattern, along a fin that stands in the pour. A
// coat first loses its shell.
func (m making) opens(out *chores, original bool) {
	if m.Fit.Mold.Coated() {
		opening := m.Work.Takes(labor.Demolding)
		if m.Fit.Mold == demold.Brushed {
			out.coated = append(out.coated, m.shell(schedule.BuildShell))
		}
		add(&out.cured, shellOff*opening, schedule.Task{Do: schedule.TakeShellOff, Count: shellPieces(m.Fit)})
		out.open = schedule.Chore{Task: schedule.Task{Do: schedule.PeelOff}, Minutes: (1 - shellOff) * opening}
	}
	cutting := m.Work.Takes(labor.Cutting)
	if cutting == 0 { // a kind that is usually not cut
		size, _ := labor.ClassOf(m.Work.Longest)
		cutting = labor.Cutting.Of(size)
	}
	switch {
	case !m.Slit:
	case original:
		add(&out.before, cutting, schedule.Task{Do: schedule.StandFin, Across: unit.Length(m.Length)})
	case m.Fit.Mold.OnBoard():
		add(&out.cured, cutting, schedule.Task{Do: schedule.SlitOpen, Across: unit.Length(m.Length)})
	default:
		add(&out.cured, cutting, schedule.Task{Do: schedule.CutOpen})
	}
}

// shellPieces is how many pieces a mother mold has; two where that is not known.
func shellPieces(f *boxfit.Fit) int {
	if f.Shell == nil || len(f.Shell.Pieces) == 0 {
		return 2
	}
	return len(f.Shell.Pieces)
}

// punching is how long the vents of the open mold take, min.
func (c chores) punching() float64 {
	return minutesOf(slices.DeleteFunc(slices.Clone(c.ready), func(x schedule.Chore) bool { return x.Task.Do != schedule.PunchVents }))
}

func orNone(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}
