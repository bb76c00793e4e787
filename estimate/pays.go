package estimate

import (
	"moldtally/estimate/labor"
	"moldtally/estimate/material"
)

// Pays is from how many castings on something else than what is offered would pay.
type Pays struct {
	What   PaysBy
	From   int    // castings
	Way    Way    // the other method
	Rubber string // the other rubber
	Family material.Family
	ShoreA *float64 // nil = not known
}

// PaysBy is what would pay.
type PaysBy int

// What would pay.
const (
	OtherMethod PaysBy = iota
	OtherRubber
	SecondMold // one more is needed: a casting costs more there before it costs less again
)

// farthest is how many castings are looked ahead for what would pay. Judgement of
// this program.
const farthest = 500

// pays says from how many castings on another method or rubber would pay, and where
// one more mold is needed; nothing where nothing is cast.
func (k *known) pays(c *choice, r *run) []Pays {
	out := []Pays{}
	if r.cast == nil {
		return out
	}
	now := max(1, k.job.Copies)
	if life := r.cast.life; life > 0 {
		molds := r.needs(now).Molds
		for n := now + 1; n <= now+farthest; n++ {
			if labor.Molds(labor.Made(n, labor.Scrap), life, 0, 0) > molds {
				out = append(out, Pays{What: SecondMold, From: n})
				break
			}
		}
	}
	if way, from := otherMethod(c, now); from > 0 {
		out = append(out, Pays{What: OtherMethod, From: from, Way: way})
	}
	if other, from := k.otherRubber(c, now); from > 0 {
		p := Pays{What: OtherRubber, From: from, Rubber: other.chosen.Name, Family: other.chosen.Family}
		if h, ok := other.chosen.Hardness(); ok {
			p.ShoreA = &h
		}
		out = append(out, p)
	}
	return out
}

// otherMethod is the method that first becomes cheaper than the chosen one as more
// than now are cast; from is 0 where none does. One that is cheaper already was set
// aside for what speaks against it.
func otherMethod(c *choice, now int) (way Way, from int) {
	at := func(m *method, n int) float64 {
		j := m.job
		j.Copies = n
		return labor.Price(j).Total
	}
	var ms []*method
	for _, m := range c.all {
		if m != c.method && len(m.fails) == 0 && m.Total >= c.Total {
			ms = append(ms, m)
		}
	}
	for n := now + 1; n <= now+farthest && len(ms) > 0; n++ {
		best := at(c.method, n)
		for _, m := range ms {
			if x := at(m, n); x < best {
				best, way, from = x, m.way, n
			}
		}
		if from > 0 {
			return way, from
		}
	}
	return way, 0
}

// otherRubber is the rubber that would be chosen for the same mold from some number
// of castings on; from is 0 where it stays the same, or the user fixed it.
func (k *known) otherRubber(c *choice, now int) (other method, from int) {
	if !k.job.Rubber.Auto() {
		return other, 0
	}
	at := func(n int) (string, bool) {
		j := *k.job
		j.Copies = n
		chosen, _, err := j.chooseRubber(c.asked(n), c.way.Mold, 0)
		other.chosen = chosen
		return chosen.Name, err == nil
	}
	if name, ok := at(now); !ok || name != c.chosen.Name {
		return other, 0 // it was chosen by what there is of it as well
	}
	low, high := now, now+farthest
	if name, ok := at(high); !ok || name == c.chosen.Name {
		return other, 0
	}
	for high-low > 1 {
		mid := (low + high) / 2
		if name, ok := at(mid); ok && name == c.chosen.Name {
			low = mid
		} else {
			high = mid
		}
	}
	_, ok := at(high)
	if !ok {
		return other, 0
	}
	return other, high
}
