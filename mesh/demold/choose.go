package demold

import (
	"math"
	"slices"

	"moldtally/mesh/demold/pose"
)

// better compares two directions by score: deepest path (locked last), within
// the uncertainty by undercut volume, then by height, then by what is lost in
// hollows on the board. 0 = equal.
func (t *trial) better(o *trial) int {
	li, lj := math.IsInf(t.path, 1), math.IsInf(o.path, 1)
	tie := max(t.resolved, o.resolved)
	switch {
	case li != lj:
		if lj {
			return 1
		}
		return -1
	case !li && t.path < o.path-tie:
		return 1
	case !li && t.path > o.path+tie:
		return -1
	}
	// Volumes of a coarse field are good to about a cell over the surface; a
	// hundredth of the larger is taken for equal.
	if d, e := t.volume-o.volume, 0.01*max(t.volume, o.volume); d < -e {
		return 1
	} else if d > e {
		return -1
	}
	if d, e := t.height-o.height, 1e-3*max(t.height, o.height); d < -e {
		return 1
	} else if d > e {
		return -1
	}
	// Upside down a hollow is shut by the board: nothing locks, but nothing
	// of it is molded either.
	if d, e := t.pocket-o.pocket, 0.01*max(t.pocket, o.pocket); d < -e {
		return 1
	} else if d > e {
		return -1
	}
	return 0
}

// choose picks the way to stand and says what decided, step by step.
func (st *stand) choose() (*candidate, pose.Chosen) {
	left := st.allowed()
	var why pose.Chosen
	keep := func(ok func(c *candidate) bool, step pose.Step) {
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
	if st.o.Mold.OnBoard() {
		keep(func(c *candidate) bool { return c.open }, pose.OpenSideIsBottom)
		if !left[0].open {
			real := func(c *candidate) bool { return c.contact >= realContact*c.shadow }
			keep(real, pose.RealFlatSide)
			if real(left[0]) {
				best := math.Inf(-1)
				for _, c := range left {
					best = max(best, c.plain(st.p.Area))
				}
				keep(func(c *candidate) bool { return c.plain(st.p.Area) >= best-plainTie }, pose.PlainSideDown)
			}
		}
	}
	// The score is not transitive within its ties: take the one that none
	// beats, in order, then those equal to it.
	best := left[0]
	for _, c := range left[1:] {
		if c.byPath(best) > 0 {
			best = c
		}
	}
	keep(func(c *candidate) bool { return c.byPath(best) >= 0 }, pose.ShortestWayOut)
	least := math.Inf(1)
	for _, c := range left {
		least = min(least, c.pocket)
	}
	keep(func(c *candidate) bool { return c.pocket <= least+lostTie*st.p.Area }, pose.LeastDetailLost)
	least = math.Inf(1)
	for _, c := range left {
		least = min(least, c.rubber)
	}
	keep(func(c *candidate) bool { return c.rubber <= least+rubberTie*math.Abs(least) }, pose.LeastRubber)
	slices.SortStableFunc(left, func(a, b *candidate) int { return a.given - b.given })
	if len(left) > 1 || len(why.Steps) == 0 {
		why.Equal = &left[0].from
	}
	return left[0], why
}

// byPath is better without height and hollows.
func (c *candidate) byPath(o *candidate) int {
	a, b := c.trial, o.trial
	a.height, b.height, a.pocket, b.pocket = 0, 0, 0, 0
	return a.better(&b)
}

// allowed drops the directions that the show side forbids, unless none is left.
func (st *stand) allowed() []*candidate {
	var in []*candidate
	for _, c := range st.cands {
		if st.shows(c.up) {
			in = append(in, c)
		}
	}
	if len(in) == 0 {
		return slices.Clone(st.cands)
	}
	return in
}

// table lists the candidates, the chosen one first, then by score.
func (st *stand) table(first *candidate) []pose.Direction {
	rest := make([]*candidate, 0, len(st.cands))
	for _, c := range st.allowed() {
		if c != first {
			rest = append(rest, c)
		}
	}
	sortTrials(rest, func(c *candidate) *trial { return &c.trial })
	out := []pose.Direction{first.direction(pose.Tried{From: first.from})}
	for _, c := range rest {
		out = append(out, c.direction(pose.Tried{From: c.from}))
	}
	return out
}

// sortTrials sorts best first. Ties within the uncertainty make the comparison
// intransitive, so the best of what is left is taken again and again.
func sortTrials[T any](list []T, of func(T) *trial) {
	for n := range list {
		best := n
		for k := n + 1; k < len(list); k++ {
			if of(list[k]).better(of(list[best])) > 0 {
				best = k
			}
		}
		b := list[best]
		copy(list[n+1:best+1], list[n:best])
		list[n] = b
	}
}

// direction puts a trial into the report's form.
func (t *trial) direction(reason pose.Tried) pose.Direction {
	d := pose.Direction{Up: t.up.Array(), Depth: t.depth, Volume: t.volume, Stretch: t.stretch, Reason: reason}
	if !math.IsInf(t.path, 1) {
		p, q := t.path, t.path
		d.Path, d.Score = &p, &q
	}
	return d
}
