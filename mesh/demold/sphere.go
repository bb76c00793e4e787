package demold

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/par"
)

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
	for t := range st.p.Mesh.NumTriangles() {
		a, b, c := st.p.Mesh.Corners(t)
		n := b.Sub(a).Cross(c.Sub(a))
		l := n.Len()
		if l == 0 || n.Dot(d) < cone*l {
			continue
		}
		all += l
		switch s := n.Dot(u) / l; {
		case s > parting.Plumb:
			up += l
		case s < -parting.Plumb:
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

// tried is a direction of the search and where it came from.
type tried struct {
	trial
	from  pose.Origin
	cand  bool    // one of the ways to stand: always in the table
	least float64 // its path cannot be shorter than this on the columns it was seen on, mm
}

// same reports whether two directions ask the same question: halves part the
// same way whichever is the upper one.
func (st *stand) same(u, v mesh.Vec, cos float64) bool {
	d := u.Dot(v)
	return d > cos || !st.o.Mold.OnBoard() && d < -cos
}

// straight fills in the least that the paths of t and, where there is one, of
// its opposite can be, from one field.
func (st *stand) straight(ctx context.Context, p *standin.Body, t, opposite *tried) error {
	c, err := p.Scene(ctx, t.up, sphereColumns, st.options())
	if err != nil {
		return err
	}
	t.least = undercut.AtLeast(c)
	if opposite != nil {
		opposite.least = undercut.AtLeastTurned(c)
	}
	return nil
}

// sphere lists directions over the whole sphere in the order of their straight
// ways out.
func (st *stand) sphere(ctx context.Context, p *standin.Body) ([]*tried, error) {
	half := halfSphere(sphereDirections / 2)
	pairs := make([][2]*tried, len(half))
	errs := make([]error, len(half))
	for k, u := range half {
		if st.shows(u) {
			pairs[k][0] = st.searched(u)
		}
		if st.o.Mold.OnBoard() && st.shows(u.Neg()) {
			pairs[k][1] = st.searched(u.Neg())
		}
	}
	err := par.Each(ctx, len(pairs), func(k int) {
		switch q := pairs[k]; {
		case q[0] != nil:
			errs[k] = st.straight(ctx, p, q[0], q[1])
		case q[1] != nil:
			errs[k] = st.straight(ctx, p, q[1], nil)
		}
	})
	if err == nil {
		err = errors.Join(errs...)
	}
	if err != nil {
		return nil, err
	}
	var list []*tried
	for _, q := range pairs {
		for _, t := range q {
			if t != nil {
				list = append(list, t)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b *tried) int { return cmp.Compare(a.least, b.least) })
	return list, nil
}

// searched is a direction yet to be judged. Of halves, which part alike either
// way, the one nearer the file's own up is the upper.
func (st *stand) searched(u mesh.Vec) *tried {
	if !st.o.Mold.OnBoard() && u.Dot(st.cands[0].up) < 0 {
		u = u.Neg()
	}
	return &tried{trial: trial{up: u, path: math.Inf(1)}, from: pose.Searched}
}

// solve judges the directions of a list that can be among the best need of it,
// in order, and returns those. A path is never shorter than the straight way
// out, so a list that is sorted by that ends early; and a direction is given up
// as soon as some of its rubber needs a longer path than need others do in all.
// The others' least is raised to that.
func (st *stand) solve(ctx context.Context, p *standin.Body, list []*tried, columns, need int) ([]*tried, error) {
	var done []*tried
	var paths []float64
	slack := p.Size / float64(columns) // what the columns cannot tell
	for from := 0; from < len(list); {
		limit := math.Inf(1)
		if len(paths) >= need {
			slices.Sort(paths)
			limit = paths[need-1] + slack
			if list[from].least > limit {
				break
			}
		}
		batch := list[from:min(from+searchBatch, len(list))]
		errs := make([]error, len(batch))
		got := make([]trial, len(batch))
		within := make([]bool, len(batch))
		err := par.Each(ctx, len(batch), func(k int) {
			c, err := p.Scene(ctx, batch[k].up, columns, st.options())
			if err == nil {
				got[k], within[k], err = tryWithin(ctx, c, limit)
			}
			errs[k] = err
		})
		if err == nil {
			err = errors.Join(errs...)
		}
		if err != nil {
			return nil, err
		}
		for k, t := range batch {
			if !within[k] {
				t.least = max(t.least, limit)
				continue
			}
			t.trial = got[k]
			done = append(done, t)
			if !math.IsInf(t.path, 1) {
				paths = append(paths, t.path)
			}
		}
		from += len(batch)
	}
	return done, nil
}
