package solid_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// Closed bodies of known volume are damaged in the ways that files from
// outside are, and the bounds must still hold the volume of the body.
func TestBoundsHoldOnMutilatedMeshes(t *testing.T) {
	const seed = 4711
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	whole := []*mesh.Mesh{
		shape.Sphere(30, 28), shape.Torus(40, 12, 60, 30), shape.FineBox(50, 40, 30, 9),
		shape.Ellipsoid(40, 25, 18, 26), shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: 18, Z: 0}, {R: 20, Z: 6}, {R: 9, Z: 18}, {R: 7, Z: 30}, {R: 22, Z: 45}, {R: 20, Z: 60}, {R: 0, Z: 66}}, 64),
	}
	n := 200
	if testing.Short() {
		n = 25
	}
	held := 0
	var widths []float64
	for k := range n {
		m := whole[k%len(whole)]
		want := shape.Volume(m)
		var what string
		switch k / len(whole) % 5 {
		case 0, 1: // a hole of 0.1 to 5 % of the area
			what = "hole"
			m = holed(r, m, 0.001*math.Pow(50, r.Float64()))
		case 2:
			what = "flipped faces"
			share := 0.2 * r.Float64()
			m = shape.FlipSome(m, func(int) bool { return r.Float64() < share })
		case 3:
			what = "doubled faces"
			var more [][3]int32
			for _, i := range m.Triangles() {
				switch x := r.Float64(); {
				case x < 0.1:
					more = append(more, i)
				case x < 0.2 && k%2 == 0:
					more = append(more, [3]int32{i[0], i[2], i[1]}, i)
				}
			}
			m = shape.WithTriangles(m, more...)
		case 4: // two bodies pushed into each other by a known amount
			what = "pushed together"
			a := shape.FineBox(30, 30, 30, 3)
			d := 2 + 20*r.Float64()
			m = shape.Merge(a, shape.Translate(shape.FineBox(30, 20, 20, 2), mesh.V(30-d, 1, 3)))
			_ = d
			want = 27000 + 12000 - overlap(d)
		}
		sv, err := mesh.Inspect(context.Background(), m, mesh.SurveyOptions{})
		if err != nil {
			t.Fatal(err)
		}
		// The bounds must hold on any columns; on coarse ones they have more to
		// hold. TestDisplaced and TestAccuracyOfUnion have the program's own.
		s, err := solid.From(context.Background(), m, sv, solid.Options{Across: 256})
		if err != nil {
			if errors.Is(err, solid.ErrNothing) {
				t.Errorf("%d, %s: refused", k, what)
				continue
			}
			t.Fatal(err)
		}
		d := s.Displaced
		if float64(d.Low) <= want && want <= float64(d.High) {
			held++
		} else {
			t.Logf("%d, %s: bounds %.6g .. %.6g miss %.6g (value off by %.3g %%)", k, what, d.Low, d.High, want, 100*(float64(d.Value)/want-1))
		}
		widths = append(widths, float64(d.High-d.Low)/want)
	}
	slices.Sort(widths)
	t.Logf("%d of %d inside the bounds; width median %.3g %%, 90 %%: %.3g %%, worst %.3g %%", held, n, 100*widths[len(widths)/2], 100*widths[len(widths)*9/10], 100*widths[len(widths)-1])
	if held < n*195/200 {
		t.Errorf("%d of %d inside the bounds, want at least %d", held, n, n*195/200)
	}
	if w := widths[len(widths)/2]; w > 0.01 {
		t.Errorf("median width %.3g %%, want at most 1 %%", 100*w)
	}
}

// overlap of box [0,30]³ standing as FineBox does with the smaller one.
func overlap(d float64) float64 {
	a := shape.FineBox(30, 30, 30, 3)
	b := shape.Translate(shape.FineBox(30, 20, 20, 2), mesh.V(30-d, 1, 3))
	alo, ahi := a.Bounds()
	blo, bhi := b.Bounds()
	lo, hi := alo.Max(blo), ahi.Min(bhi)
	s := hi.Sub(lo)
	return max(s.X, 0) * max(s.Y, 0) * max(s.Z, 0)
}

// holed removes the faces nearest a random one until a share of the area is
// gone.
func holed(r *rand.Rand, m *mesh.Mesh, share float64) *mesh.Mesh {
	n := m.NumTriangles()
	center := func(t int) mesh.Vec {
		a, b, c := m.Corners(t)
		return a.Add(b).Add(c).Mul(1. / 3)
	}
	c := center(r.IntN(n))
	order := make([]int, n)
	for t := range order {
		order[t] = t
	}
	slices.SortFunc(order, func(a, b int) int {
		da, db := center(a).Sub(c).Len(), center(b).Sub(c).Len()
		if da != db {
			if da < db {
				return -1
			}
			return 1
		}
		return a - b
	})
	total := shape.Area(m)
	var gone []int
	var sum float64
	for _, t := range order {
		a, b, c := m.Corners(t)
		sum += b.Sub(a).Cross(c.Sub(a)).Len() / 2
		gone = append(gone, t)
		if sum >= share*total {
			break
		}
	}
	return shape.WithoutNumbers(m, gone...)
}
