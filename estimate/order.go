package estimate

import (
	"moldtally/estimate/schedule"
	"moldtally/mesh/demold"
)

// schedule is the order of work; nil where the time until the rubber is cured is
// not known. c may be nil: nothing is cast; with is what else is to be done.
func (m *mixing) schedule(temp float64, c *Casting, with chores) *Schedule {
	if m.demold == nil {
		return nil
	}
	r := schedule.Request{Family: m.chosen.Family, Demold: *m.demold, Stir: m.pace.stir, Rate: m.pace.pour, Degas: m.pace.degas, Open: schedule.OpenMinutes,
		Before: with.before, Turned: with.turned, Cured: with.cured, Ready: with.ready}
	for _, p := range m.mix.Pours {
		h := schedule.Pour{Half: p.Half, People: p.People}
		for _, b := range p.Batches {
			h.Batches = append(h.Batches, schedule.Batch{Mass: p.ToMix / float64(len(p.Batches)), A: orNone(b.PartA), B: orNone(b.PartB)})
		}
		r.Pours = append(r.Pours, h)
	}
	if m.room.brushed() {
		// An eighth of the demold time from coat to coat; common practice, no source.
		r.Coats, r.Between = m.coats(), *m.demold/8
	}
	r.Shell = m.room.Mold == demold.Blanket
	if c != nil && c.DemoldAfter != nil {
		r.Casting = *c.DemoldAfter
	}
	s := &Schedule{Steps: []Step{}, Temperature: temp}
	for _, st := range schedule.Order(r) {
		s.Steps = append(s.Steps, Step{What: st.Task, Start: st.Start, End: st.End, Half: st.Half})
	}
	return s
}
