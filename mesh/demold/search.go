package demold

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"moldtally/mesh"
)

// Sizes of the search. All directions are tried on the stand-in with few
// columns, the best on finer ones, the few best of those on the pattern itself.
const (
	sphereDirections = 800 // over the whole sphere: neighbours some 7° apart
	sphereColumns    = 64  // across the largest size
	sphereKeep       = 12  // shortest paths that end the search over the sphere
	sphereBatch      = 16  // fixed, so that the outcome is the same on any machine
	exactKeep        = 5
	exactColumns     = 256
	tableLength      = 14
)

// refineRoundsOf are the rounds of refining: how many of the best, on how many
// columns, and the circle of directions tried round each, radians.
var refineRoundsOf = []struct {
	keep, columns int
	angle         float64
}{
	{12, trialColumns, 3.5 * math.Pi / 180},
	{8, 128, 1.5 * math.Pi / 180},
}

// halfSphere returns n directions spread evenly over half the sphere, along a
// spiral at the golden angle (Á. González, "Measurement of areas on a sphere
// using Fibonacci and latitude–longitude lattices", Mathematical Geosciences 42
// (2010)).
func halfSphere(n int) []mesh.Vec {
	golden := math.Pi * (3 - math.Sqrt(5))
	out := make([]mesh.Vec, n)
	for k := range out {
		z := (float64(k) + 0.5) / float64(n)
		r := math.Sqrt(1 - z*z)
		s, c := math.Sincos(golden * float64(k))
		out[k] = mesh.V(r*c, r*s, z).Unit()
	}
	return out
}

// shows reports whether the show side allows a direction: no parting crosses
// the face, and it does not lie on the board. The face is the surface that
// looks within 40° of the show direction; a fiftieth of it may do otherwise.
func (st *stand) shows(u mesh.Vec) bool {
	if st.o.Show == nil {
		return true
	}
	d := st.o.Show.Unit()
	cone := math.Cos(40 * math.Pi / 180)
	var all, up, down float64
	for t := range st.p.m.NumTriangles() {
		a, b, c := st.p.m.Corners(t)
		n := b.Sub(a).Cross(c.Sub(a))
		l := n.Len()
		if l == 0 || n.Dot(d) < cone*l {
			continue
		}
		all += l
		switch s := n.Dot(u) / l; {
		case s > plumb:
			up += l
		case s < -plumb:
			down += l
		}
	}
	const stray = 0.02
	if all == 0 {
		return true
	}
	if st.o.Mold.OnBoard() {
		return d.Dot(u) > -cone
	}
	return up >= (1-stray)*all || down >= (1-stray)*all
}

// both judges u and −u on one field: by depth alone on a baseboard, else for
// good (halves part the same way whichever is the upper one).
func (st *stand) both(ctx context.Context, u mesh.Vec) ([2]trial, error) {
	var out [2]trial
	f, base, top, err := st.p.field(ctx, u, sphereColumns)
	if err != nil {
		return out, err
	}
	if !st.o.Mold.OnBoard() {
		out[0], err = st.p.tryField(ctx, f, base, top, st.options())
		out[1] = out[0]
		out[1].up = u.Neg()
		return out, err
	}
	if out[0], err = st.p.tryDepth(ctx, f, base, top, st.options()); err != nil {
		return out, err
	}
	out[1], err = st.p.tryDepth(ctx, upsideDown(f), -top, -base, st.options())
	return out, err
}

// sphere tries directions over the whole sphere and returns those that can be
// among the best. A path is never shorter than the depth; so directions are
// taken in order of depth, and when enough paths are known that are shorter
// than the next depth, the rest can only be worse.
func (st *stand) sphere(ctx context.Context) ([]*tried, error) {
	half := halfSphere(sphereDirections / 2)
	got := make([][2]trial, len(half))
	errs := make([]error, len(half))
	err := blocks(ctx, len(half), 1, func(_, k, _ int) {
		got[k], errs[k] = st.both(ctx, half[k])
	})
	if err == nil {
		err = errors.Join(errs...)
	}
	if err != nil {
		return nil, err
	}
	var all []*tried
	for k := range half {
		for _, t := range got[k] {
			if st.shows(t.up) {
				all = append(all, &tried{trial: t, why: "searched"})
			}
		}
	}
	if !st.o.Mold.OnBoard() {
		return all, nil
	}
	slices.SortStableFunc(all, func(a, b *tried) int { return cmp.Compare(a.depth, b.depth) })
	var paths []float64
	for from := 0; from < len(all); {
		if len(paths) >= sphereKeep {
			slices.Sort(paths)
			if next := all[from]; next.depth > paths[sphereKeep-1]+next.resolved {
				return all[:from], nil
			}
		}
		to := min(from+sphereBatch, len(all))
		batch := all[from:to]
		errs := make([]error, len(batch))
		err := blocks(ctx, len(batch), 1, func(_, k, _ int) {
			f, base, top, err := st.p.field(ctx, batch[k].up, sphereColumns)
			if err == nil {
				batch[k].trial, err = st.p.tryField(ctx, f, base, top, st.options())
			}
			errs[k] = err
		})
		if err == nil {
			err = errors.Join(errs...)
		}
		if err != nil {
			return nil, err
		}
		for _, t := range batch {
			if !math.IsInf(t.path, 1) {
				paths = append(paths, t.path)
			}
		}
		from = to
	}
	return all, nil
}

// tried is a direction of the search and where it came from.
type tried struct {
	trial
	why  string
	cand bool // one of the ways to stand: always in the table
}

// search tries directions over the whole sphere, refines the best and measures
// the few best exactly. The candidates for standing are always among them; the
// table is sorted best first.
func (st *stand) search(ctx context.Context) ([]Direction, string, error) {
	var all []*tried
	own := &tried{st.cands[0].trial, st.cands[0].why, true}
	for _, c := range st.allowed() {
		if c == st.cands[0] {
			all = append(all, own)
			continue
		}
		all = append(all, &tried{c.trial, c.why, true})
	}
	found, err := st.sphere(ctx)
	if err != nil {
		return nil, "", err
	}
	all = append(all, found...)
	st.progress("search: directions", 1, 3)
	// order sorts by the bare path and drops what stands within a degree of a
	// better one. What is a tie is only decided between exact figures: a path
	// on coarse columns is good to more than the columns' worst case.
	near := math.Cos(1 * math.Pi / 180)
	order := func() {
		slices.SortStableFunc(all, func(a, b *tried) int {
			return cmp.Or(cmp.Compare(a.path, b.path), cmp.Compare(a.volume, b.volume), cmp.Compare(a.pocket, b.pocket))
		})
		var kept []*tried
		for _, t := range all {
			if t.cand || !slices.ContainsFunc(kept, func(k *tried) bool { return k.up.Dot(t.up) > near }) {
				kept = append(kept, t)
			}
		}
		all = kept
	}
	order()
	for _, round := range refineRoundsOf {
		// The best are judged anew on finer columns, with a ring of
		// directions round each.
		var list []*tried
		for _, t := range all[:min(len(all), round.keep)] {
			list = append(list, t)
			e1, e2 := mesh.Basis(t.up)
			for k := range 6 {
				s, c := math.Sincos(float64(k) * math.Pi / 3)
				side := e1.Mul(c).Add(e2.Mul(s))
				u := t.up.Mul(math.Cos(round.angle)).Add(side.Mul(math.Sin(round.angle))).Unit()
				if st.shows(u) {
					n := &tried{trial: trial{up: u}, why: "searched"}
					list = append(list, n)
					all = append(all, n)
				}
			}
		}
		errs := make([]error, len(list))
		err := blocks(ctx, len(list), 1, func(_, k, _ int) {
			f, base, top, err := st.p.field(ctx, list[k].up, round.columns)
			if err == nil {
				list[k].trial, err = st.p.tryField(ctx, f, base, top, st.options())
			}
			errs[k] = err
		})
		if err == nil {
			err = errors.Join(errs...)
		}
		if err != nil {
			return nil, "", err
		}
		order()
	}
	st.progress("search: refined", 2, 3)
	// Exactly: the best, and the file's own up to compare with.
	finest := all[:min(len(all), exactKeep)]
	for _, t := range finest {
		if t.trial, err = st.exact(ctx, t.up); err != nil {
			return nil, "", err
		}
	}
	if !slices.Contains(finest, own) {
		if own.trial, err = st.exact(ctx, own.up); err != nil {
			return nil, "", err
		}
	}
	sortTrials(finest, func(t *tried) *trial { return &t.trial })
	st.progress("search", 3, 3)
	var out []Direction
	for k, t := range all {
		if k >= tableLength && !t.cand {
			continue
		}
		out = append(out, t.direction(gain(&t.trial, &own.trial, t.why)))
	}
	return out, "searched over the whole sphere: " + gain(&all[0].trial, &own.trial, all[0].why), nil
}

// gain words what a direction gains over the file's own up.
func gain(t, own *trial, why string) string {
	switch {
	case t.up.Dot(own.up) >= snap:
		return why + ", the file's own up"
	case math.IsInf(t.path, 1) && math.IsInf(own.path, 1):
		return why + ", locked like the file's own up"
	case math.IsInf(t.path, 1):
		return why + ", locked"
	case math.IsInf(own.path, 1):
		return fmt.Sprintf("%s, lets go where the file's own up is locked", why)
	case t.path < own.path-max(t.resolved, own.resolved):
		return fmt.Sprintf("%s, %s less deep than the file's own up", why, mm(own.path-t.path))
	case t.path > own.path+max(t.resolved, own.resolved):
		return fmt.Sprintf("%s, %s deeper than the file's own up", why, mm(t.path-own.path))
	}
	return why + ", as deep as the file's own up"
}

// exact measures a direction on the pattern itself.
func (st *stand) exact(ctx context.Context, u mesh.Vec) (trial, error) {
	o := st.options()
	o.Resolution = st.p.size / exactColumns
	a, err := newAnalysis(ctx, st.s, u, o)
	if err != nil {
		return trial{}, err
	}
	if err := findUndercuts(ctx, a); err != nil {
		return trial{}, err
	}
	t := trial{up: u, depth: a.rep.UndercutDepth, path: math.Inf(1), volume: a.rep.UndercutVolume, height: a.top - a.base, resolved: a.rep.Uncertainty}
	if a.rep.UndercutPath != nil {
		t.path = *a.rep.UndercutPath
	}
	if a.onBoard() {
		t.pocket = a.rubber.pocketSurface()
	}
	if err := stretch(ctx, a); err != nil {
		return trial{}, err
	}
	t.stretch = a.rep.Stretch
	return t, nil
}
