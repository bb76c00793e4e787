package pose

import (
	"cmp"
	"context"
	"math"
	"slices"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/demold/undercut"
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

// sphere lists directions over the whole sphere in the order of their straight
// ways out, which one field tells of a direction and its opposite.
func (s *search) sphere(ctx context.Context, b *standin.Body) ([]*heading, error) {
	half := halfSphere(sphereDirections / 2)
	pairs := make([][2]*heading, len(half))
	var list []*heading
	for k, u := range half {
		for n, v := range [2]mesh.Vec{u, u.Neg()} {
			// Halves part alike whichever is the upper one.
			if (n == 0 || s.o.Mold.OnBoard()) && s.shows(v) {
				pairs[k][n] = s.toward(v)
				list = append(list, pairs[k][n])
			}
		}
	}
	err := each(ctx, len(pairs), func(k int) error {
		this, opposite := pairs[k][0], pairs[k][1]
		if this == nil {
			this, opposite = opposite, nil
		}
		if this == nil {
			return nil
		}
		c, err := b.Scene(ctx, this.up, sphereColumns, s.scene())
		if err != nil {
			return err
		}
		this.least = undercut.AtLeast(c)
		if opposite != nil {
			opposite.least = undercut.AtLeastTurned(c)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(list, func(a, b *heading) int { return cmp.Compare(a.least, b.least) })
	return list, nil
}

// within judges the headings of a list that can be among the best need of it, in
// order, and returns those. A path is never shorter than the straight way out, so
// a list that is sorted by that ends early; and a direction is given up as soon
// as some of its rubber needs a longer path than need others do in all. The
// others' least is raised to that.
func within(ctx context.Context, b *standin.Body, o scene.Options, list []*heading, columns, need int) ([]*heading, error) {
	var done []*heading
	var paths []float64
	slack := b.Size / float64(columns) // what the columns cannot tell
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
		got, in := make([]figures, len(batch)), make([]bool, len(batch))
		err := each(ctx, len(batch), func(k int) error {
			c, err := b.Scene(ctx, batch[k].up, columns, o)
			if err == nil {
				got[k], in[k], err = figuresWithin(ctx, c, limit)
			}
			return err
		})
		if err != nil {
			return nil, err
		}
		for k, h := range batch {
			if !in[k] {
				h.least = max(h.least, limit)
				continue
			}
			h.figures = got[k]
			done = append(done, h)
			if !math.IsInf(h.path, 1) {
				paths = append(paths, h.path)
			}
		}
		from += len(batch)
	}
	return done, nil
}
