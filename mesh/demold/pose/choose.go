package pose

import (
	"math"
	"slices"
)

// Tolerances of the choice. Common practice, no source.
const (
	// realContact is the share of the outline that must lie on the board for
	// the pattern to stand on it: less is a few high spots.
	realContact = 0.05
	// plainTie is how near two plain shares count as equally plain; what
	// lies between is left to the score.
	plainTie = 0.1
	// sideTie is the share of the largest contact from which a side counts as large:
	// a plate lies on its back and does not stand on its edge.
	sideTie = 0.5
	// lostTie is the share of the surface that may be lost without a word.
	lostTie = 1e-3
	// rubberTie is how near two amounts of rubber are equal, relatively.
	rubberTie = 0.01
)

// best judges which of the ways to stand is the best, and lists those that the
// show side allows: that one first, then by their figures.
func (p *pattern) best(ways []*candidate) ([]Direction, Chosen) {
	ways = p.allowed(ways)
	first, why := decide(ways, p.body.Area, p.o.Mold.OnBoard())
	rest := slices.DeleteFunc(slices.Clone(ways), func(c *candidate) bool { return c == first })
	bestFirst(rest, func(c *candidate) *figures { return &c.figures })
	var out []Direction
	for _, c := range append([]*candidate{first}, rest...) {
		out = append(out, c.row(Tried{From: c.from}, nil))
	}
	return out, why
}

// decide picks the way to stand and says what decided, step by step. area is that
// of the whole surface, mm².
func decide(ways []*candidate, area float64, board bool) (*candidate, Chosen) {
	left := ways
	var why Chosen
	keep := func(step Step, ok func(c *candidate) bool) {
		var in []*candidate
		for _, c := range left {
			if ok(c) {
				in = append(in, c)
			}
		}
		if len(in) > 0 && len(in) < len(left) {
			left = in
			why.Steps = append(why.Steps, step)
		}
	}
	least := func(of func(c *candidate) float64) float64 {
		x := math.Inf(1)
		for _, c := range left {
			x = min(x, of(c))
		}
		return x
	}
	if board {
		keep(OpenSideIsBottom, func(c *candidate) bool { return c.open })
	}
	if board && !left[0].open {
		step := WideFoot
		if slices.ContainsFunc(left, (*candidate).flat) {
			step = RealFlatSide
		}
		keep(step, (*candidate).based)
		if left[0].based() {
			plainest := -least(func(c *candidate) float64 { return -c.plain(area) })
			keep(PlainSideDown, func(c *candidate) bool { return c.plain(area) >= plainest-plainTie })
			largest := -least(func(c *candidate) float64 { return -c.contact })
			keep(LargestSideDown, func(c *candidate) bool { return c.contact >= largest*sideTie })
		}
	}
	// The order is not transitive within its ties: take the one that none
	// beats, in order, then those equal to it.
	best := left[0]
	for _, c := range left[1:] {
		if c.shorter(&best.figures) > 0 {
			best = c
		}
	}
	keep(ShortestWayOut, func(c *candidate) bool { return c.shorter(&best.figures) >= 0 })
	lost := least(func(c *candidate) float64 { return c.pocket })
	keep(LeastDetailLost, func(c *candidate) bool { return c.pocket <= lost+lostTie*area })
	rubber := least(func(c *candidate) float64 { return c.rubber })
	keep(LeastRubber, func(c *candidate) bool { return c.rubber <= rubber+rubberTie*math.Abs(rubber) })
	first := slices.MinFunc(left, func(a, b *candidate) int { return a.rank - b.rank })
	if len(left) > 1 || len(why.Steps) == 0 {
		why.Equal = &first.from
	}
	return first, why
}
