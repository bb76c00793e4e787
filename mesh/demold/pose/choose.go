package pose

import (
	"context"
	"math"
	"slices"
	"sync"
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

// table are the ways to stand that the show side allows, and the best of them.
type table struct {
	*pattern
	mu    sync.Mutex // of what is known of the ways
	ways  []*candidate
	first *candidate
}

// directions lists the ways: the best first, then by their figures.
func (t *table) directions(ctx context.Context) ([]Direction, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if err := t.judge(ctx, t.ways); err != nil {
		return nil, err
	}
	rest := slices.DeleteFunc(slices.Clone(t.ways), func(c *candidate) bool { return c == t.first })
	bestFirst(rest, func(c *candidate) *figures { return &c.figures })
	var out []Direction
	for _, c := range append([]*candidate{t.first}, rest...) {
		out = append(out, c.row(Tried{From: c.from}, nil))
	}
	return out, nil
}

// best judges which of the ways to stand is the best.
func (p *pattern) best(ctx context.Context, ways []*candidate) (*table, Chosen, error) {
	t := &table{pattern: p, ways: p.allowed(ways)}
	var why Chosen
	var err error
	t.first, why, err = decide(t.ways, p.body.Area, p.o.Mold.OnBoard(), func(list []*candidate) error { return p.judge(ctx, list) })
	return t, why, err
}

// decide picks the way to stand and says what decided, step by step. area is that
// of the whole surface, mm²; judge is asked how some of the ways let go, as late and
// of as few as it can be. Its error is the only one.
func decide(ways []*candidate, area float64, board bool, judge func([]*candidate) error) (*candidate, Chosen, error) {
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
	if len(left) > 1 {
		if err := judge(left); err != nil {
			return nil, why, err
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
	return first, why, nil
}
