package estimate

import (
	"moldtally/estimate/labor"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
)

// schedule is the order of work; nil where the time until the rubber is cured is
// not known. c and w may be nil: nothing is cast, and nothing is known of the mold but
// its volume; with is what else is to be done.
func (m *mixing) schedule(temp float64, c *Casting, w *labor.Work, with chores) *Schedule {
	if m.demold == nil {
		return nil
	}
	r := schedule.Request{Family: m.chosen.Family, Demold: *m.demold, Stir: m.pace.stir, Rate: m.pace.pour, Degas: m.pace.degas,
		Open:   schedule.Chore{Task: schedule.Task{Do: schedule.Open}, Minutes: schedule.OpenMinutes},
		Before: with.before, Turned: with.turned, Coated: with.coated, Cured: with.cured, Ready: with.ready}
	for _, p := range m.mix.Pours {
		h := schedule.Pour{Half: p.Half, People: p.People}
		for _, b := range p.Batches {
			h.Batches = append(h.Batches, schedule.Batch{Mass: b.Mass, A: orNone(b.PartA), B: orNone(b.PartB), Coat: b.Coat})
		}
		r.Pours = append(r.Pours, h)
	}
	if r.Coats = m.coats(); r.Coats > 0 {
		r.Brushing, r.Tacky = m.room.Brushing, rubber.Tacky(*m.demold, orNone(m.pot))
	}
	r.Shell = m.room.Mold == demold.Blanket
	if w != nil {
		r.Open, r.Turning = with.open, w.Takes(labor.Turning)
	}
	if c != nil && c.DemoldAfter != nil {
		r.Casting = *c.DemoldAfter
		if w != nil {
			size, _ := labor.ClassOf(w.Longest)
			round := labor.CastingOf(size, r.Casting)
			r.Trying = w.Takes(labor.Trying) - with.punching()
			r.Casting = max(r.Casting+round.Fill+round.Demold, r.Trying)
		}
	}
	s := &Schedule{Steps: []Step{}, Temperature: temp}
	for _, st := range schedule.Order(r) {
		s.Steps = append(s.Steps, Step{What: st.Task, Start: st.Start, End: st.End, Half: st.Half, Hands: st.Hands})
	}
	return s
}

// CoatAt is the coat that step k begins, as one line tells it, and how many steps it
// is; 0 where it begins none.
func (s *Schedule) CoatAt(k int) (schedule.Coating, int) {
	if t := s.Steps[k].What; t.Do != schedule.Mix || t.Coats == 0 {
		return schedule.Coating{}, 0
	}
	var steps []schedule.Step
	for _, x := range s.Steps[k:] {
		steps = append(steps, schedule.Step{Task: x.What, Half: x.Half, Start: x.Start, End: x.End, Hands: x.Hands})
	}
	return schedule.CoatOf(steps)
}
