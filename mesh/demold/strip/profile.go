package strip

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh/demold/scene"
)

// Profile is one part of a pattern as the rubber round it feels it when it is
// drawn straight out: the perimeters of the convex hulls of its sections, evenly
// spaced from the mouth inwards, each the widest of its slice. Below the place
// where it joins other parts, the sections are those of all of them.
type Profile struct {
	Step      float64   // height of a slice, mm
	Perimeter []float64 // mm
}

// mostProfiles bounds how many parts are told. What a part holds goes with the
// square of its size, so the small ones do not count; a judgement.
const mostProfiles = 8

// Profiles are the parts that hold: each narrower somewhere than further in, the
// one whose undercut ring is largest first. Of a pattern that branches every
// branch is one, and the whole another; of two halves, those of both. None where
// nothing has to stretch, or the mold is cut open.
func (s *Sections) Profiles(ctx context.Context) ([]Profile, error) {
	if s.c.Mold == scene.Cut {
		return nil, nil
	}
	sides, err := s.cut(ctx)
	if err != nil {
		return nil, err
	}
	var all []held
	for _, c := range sides {
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("strip: %w", err)
		}
		all = append(all, c.profiles()...)
	}
	slices.SortStableFunc(all, func(a, b held) int { return cmp.Compare(b.ring, a.ring) })
	var out []Profile
	for _, h := range all[:min(len(all), mostProfiles)] {
		out = append(out, h.Profile)
	}
	return out, nil
}

// held is a part that holds: with the largest area of a ring that has to open,
// from a neck to a wider section further in, mm².
type held struct {
	Profile
	ring float64
}

// branch is what hangs together at some level of a sweep from the top, by its
// perimeters at all levels so far; 0 where it has no section.
type branch struct {
	id        int32
	perimeter []float64
	ring      float64
}

// profiles sweeps the sections from the top down and follows each branch to the
// floor.
func (c *side) profiles() (out []held) {
	levels := slices.Clone(c.sections)
	slices.Reverse(levels)
	s := &sweep{levels: levels, t: c.spans, skip: -1, node: c.part, nudge: c.nudge}
	var branches []branch
	s.joins = func(id int32, m *component) {
		if b := (branch{id: id, perimeter: m.perimeters()}); b.holds() {
			branches = append(branches, b)
		}
		if len(branches) > 2*mostProfiles {
			largest(branches)
			branches = branches[:mostProfiles]
		}
	}
	s.to(len(levels)-1, func(k int) {
		for i := range branches {
			b := &branches[i]
			if m := s.components[s.find(b.id)]; m != nil {
				b.perimeter = append(b.perimeter, make([]float64, k+1-len(b.perimeter))...)
				if i := k - m.first; i >= 0 && i < len(m.levels) {
					b.perimeter[k] = m.levels[i].perimeter
				}
			}
		}
	})
	for _, id := range s.ids() {
		branches = append(branches, branch{id: id, perimeter: s.components[id].perimeters()})
	}
	for _, b := range branches {
		if b.holds() {
			out = append(out, held{c.even(levels, b.perimeter), b.ring})
		}
	}
	return out
}

// largest sorts branches by their rings.
func largest(b []branch) {
	slices.SortStableFunc(b, func(a, b branch) int { return cmp.Compare(b.ring, a.ring) })
}

// perimeters are those of a component at every level of the sweep so far.
func (m *component) perimeters() []float64 {
	out := make([]float64, m.first+len(m.levels))
	for k, l := range m.levels {
		out[m.first+k] = l.perimeter
	}
	return out
}

// holds measures the largest ring that has to open as the sweep goes down, and
// reports whether there is one beyond rounding.
func (b *branch) holds() bool {
	widest := 0.0
	b.ring = 0
	for _, p := range b.perimeter {
		if p == 0 {
			continue
		}
		widest = max(widest, p)
		if widest > p*(1+roundingStretch) {
			b.ring = max(b.ring, (widest*widest-p*p)/(4*math.Pi))
		}
	}
	return b.ring > 0
}

// even makes a profile of perimeters at the levels of a sweep from the top.
func (c *side) even(levels []level, perimeter []float64) Profile {
	step := (levels[0].H - c.floor) / levelCount
	out := make([]float64, levelCount)
	for k, p := range perimeter {
		at := int((levels[k].Beside(c.nudge) - c.floor) / step)
		at = min(max(at, 0), levelCount-1)
		out[at] = max(out[at], p)
	}
	for len(out) > 0 && out[len(out)-1] == 0 {
		out = out[:len(out)-1]
	}
	// Where rings and columns disagree for a while, as near a saddle, a part has
	// no section: it is taken as straight from its neighbours'.
	for k := 0; k < len(out); k++ {
		if out[k] > 0 {
			continue
		}
		end := k
		for out[end] == 0 {
			end++
		}
		from := out[end]
		if k > 0 {
			from = out[k-1]
		}
		for i := k; i < end; i++ {
			out[i] = from + (out[end]-from)*float64(i-k+1)/float64(end-k+1)
		}
	}
	return Profile{step, out}
}
