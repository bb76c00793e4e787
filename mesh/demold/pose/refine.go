package pose

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
)

// refiningRound is a round of refining: how many of the best, on how many
// columns, how many shortest paths end the round, and the circle of directions
// tried round each, radians.
type refiningRound struct {
	keep, columns, need int
	angle               float64
}

var refiningRounds = []refiningRound{
	{8, candidateColumns, 6, 3.5 * math.Pi / 180},
	{5, 128, exactKeep, 1.5 * math.Pi / 180},
}

// order sorts by the bare path and drops what stands within a degree of a better
// one. What is a tie is only decided between exact figures: a path on coarse
// columns is good to more than the columns' worst case.
func (s *search) order() {
	near := math.Cos(1 * math.Pi / 180)
	slices.SortStableFunc(s.all, func(a, b *heading) int {
		return cmp.Or(cmp.Compare(a.path, b.path), cmp.Compare(a.volume, b.volume), cmp.Compare(a.pocket, b.pocket))
	})
	var kept []*heading
	for _, h := range s.all {
		if h.stands || !slices.ContainsFunc(kept, func(k *heading) bool { return s.same(k.up, h.up, near) }) {
			kept = append(kept, h)
		}
	}
	s.all = kept
}

// lead puts n in front, by turns the one with the shortest path and the one with
// the least undercut of those whose path is a tie on the columns.
func (s *search) lead(n int) {
	if len(s.all) == 0 {
		return
	}
	most := s.all[0].path + s.body.Size/float64(s.columns)
	byVolume := slices.DeleteFunc(slices.Clone(s.all), func(h *heading) bool { return h.path > most })
	slices.SortStableFunc(byVolume, func(a, b *heading) int { return cmp.Compare(a.volume, b.volume) })
	front := make([]*heading, 0, len(s.all))
	take := func(list []*heading) {
		for _, h := range list {
			if len(front) < n && !slices.Contains(front, h) {
				front = append(front, h)
				return
			}
		}
	}
	for range n {
		take(s.all)
		take(byVolume)
	}
	for _, h := range s.all {
		if !slices.Contains(front[:min(n, len(front))], h) {
			front = append(front, h)
		}
	}
	s.all = front
}

// refine judges the best anew on finer columns, with a ring of directions round
// each.
func (s *search) refine(ctx context.Context, round refiningRound) error {
	s.lead(round.keep)
	s.columns = round.columns
	list, best := s.rings(round)
	done, err := within(ctx, s.body, s.scene(), list, round.columns, round.need)
	if err != nil {
		return err
	}
	for k, h := range list {
		switch seen := slices.Contains(done, h); {
		case k >= best && seen:
			s.all = append(s.all, h)
		case k < best && !seen: // finer columns show that it is no better than this
			h.path = max(h.path, h.least)
		}
	}
	s.order()
	return nil
}

// rings lists the best directions and six round each of them; best is how many
// come first.
func (s *search) rings(round refiningRound) (list []*heading, best int) {
	apart := math.Cos(round.angle / 3)
	add := func(h *heading) bool {
		if slices.ContainsFunc(list, func(k *heading) bool { return s.same(k.up, h.up, apart) }) {
			return false
		}
		list = append(list, h)
		return true
	}
	for _, h := range s.all {
		if best < round.keep && add(h) {
			best++
		}
	}
	for _, h := range slices.Clone(list) {
		e1, e2 := mesh.Basis(h.up)
		for k := range 6 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 3)
			side := e1.Mul(cos).Add(e2.Mul(sin))
			u := h.up.Mul(math.Cos(round.angle)).Add(side.Mul(math.Sin(round.angle))).Unit()
			if s.shows(u) {
				add(s.toward(u))
			}
		}
	}
	return list, best
}
