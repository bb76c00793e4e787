package demold

import (
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
	sphereDirections = 400 // over the whole sphere: neighbours some 10° apart
	sphereColumns    = 64
	refineKeep       = 6
	exactKeep        = 5
	tableLength      = 14
)

// refineAngles are the circles of directions tried round each of the best.
var refineAngles = []float64{5 * math.Pi / 180, 2 * math.Pi / 180}

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

// both tries u and −u on one field.
func (st *stand) both(ctx context.Context, u mesh.Vec, columns int) ([2]trial, error) {
	var out [2]trial
	f, base, top, err := st.p.field(ctx, u, columns)
	if err != nil {
		return out, err
	}
	if out[0], err = st.p.tryField(ctx, f, base, top, st.options()); err != nil {
		return out, err
	}
	if !st.o.Mold.OnBoard() {
		// Halves part the same way whichever is the upper one.
		out[1] = out[0]
		out[1].up = u.Neg()
		return out, nil
	}
	out[1], err = st.p.tryField(ctx, upsideDown(f), -top, -base, st.options())
	return out, err
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
	// Over the sphere, +u and −u from one field.
	half := halfSphere(sphereDirections / 2)
	got := make([][2]trial, len(half))
	errs := make([]error, len(half))
	err := blocks(ctx, len(half), 1, func(_, k, _ int) {
		got[k], errs[k] = st.both(ctx, half[k], sphereColumns)
	})
	if err == nil {
		err = errors.Join(errs...)
	}
	if err != nil {
		return nil, "", err
	}
	for k := range half {
		for _, t := range got[k] {
			if st.shows(t.up) {
				all = append(all, &tried{t, "searched", false})
			}
		}
	}
	st.progress("search: directions", 1, 3)
	of := func(t *tried) *trial { return &t.trial }
	// order sorts and drops what stands within a degree of a better one.
	near := math.Cos(1 * math.Pi / 180)
	order := func() {
		sortTrials(all, of)
		var kept []*tried
		for _, t := range all {
			if t.cand || !slices.ContainsFunc(kept, func(k *tried) bool { return k.up.Dot(t.up) > near }) {
				kept = append(kept, t)
			}
		}
		all = kept
	}
	order()
	for _, angle := range refineAngles {
		// The best are judged anew on finer columns, with a ring of
		// directions round each.
		var list []*tried
		for _, t := range all[:min(len(all), refineKeep)] {
			list = append(list, t)
			e1, e2 := mesh.Basis(t.up)
			for k := range 6 {
				s, c := math.Sincos(float64(k) * math.Pi / 3)
				side := e1.Mul(c).Add(e2.Mul(s))
				u := t.up.Mul(math.Cos(angle)).Add(side.Mul(math.Sin(angle))).Unit()
				if st.shows(u) {
					n := &tried{trial: trial{up: u}, why: "searched"}
					list = append(list, n)
					all = append(all, n)
				}
			}
		}
		errs := make([]error, len(list))
		err := blocks(ctx, len(list), 1, func(_, k, _ int) {
			f, base, top, err := st.p.field(ctx, list[k].up, trialColumns)
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
	sortTrials(finest, of)
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
	return t, nil
}
