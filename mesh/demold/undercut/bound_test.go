package undercut

import (
	"context"
	"math"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/grid"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// boundBodies are bodies with necks, hollows and ways out that are blocked.
func boundBodies() map[string]*mesh.Mesh {
	at := []float64{0, 6, 12, 18, 24, 30, 36, 42}
	wells := shape.Blocks(at, at, []float64{0, 8, 48}, func(i, j, k int) bool { return k == 0 || i%2 == 0 || j%2 == 0 })
	return map[string]*mesh.Mesh{
		"mug":   shape.Mug(40, 90, 4, 30, 48),
		"hook":  shape.Rotate(shape.Hook(12, 40, 60, 25, 10), mesh.V(1, 2, 3).Unit(), 0.7),
		"hole":  shape.CrossHoleCube(100, 12, 98),
		"wells": shape.Stand(wells, mesh.V(0.36, -0.48, 0.8)),
		"horn":  shape.Horn(60, 12, 24, 32),
	}
}

// ways are n directions over half the sphere.
func ways(n int) []mesh.Vec {
	out := make([]mesh.Vec, n)
	for k := range out {
		z := (float64(k) + 0.5) / float64(n)
		sin, cos := math.Sincos(2.4 * float64(k))
		out[k] = mesh.V(math.Sqrt(1-z*z)*cos, math.Sqrt(1-z*z)*sin, z).Unit()
	}
	return out
}

// columns is how many lie across a body here.
const columns = 64

// TestStraightDepths: the quick figures are those that asking every gap gives.
func TestStraightDepths(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	ctx := context.Background()
	for name, m := range boundBodies() {
		p, err := standin.New(ctx, solidtest.Rough(t, m))
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range ways(12) {
			a, err := p.Scene(ctx, u, columns, scene.Options{})
			if err != nil {
				t.Fatal(err)
			}
			f, base, top := a.Field, a.Base, a.Top
			line := a.ClayLine()
			s := newShadow(a, scene.Half{Field: f, Space: scene.NewSpace(f, base, line, a.Eps, nil), Floor: line}, base)
			got := s.straight()
			if least := AtLeast(a); least != got {
				t.Errorf("%s along %.2v: at least %g, straight depth %g", name, u, least, got)
			}
			if err := s.find(ctx); err != nil {
				t.Fatal(err)
			}
			if want, _ := s.deepest(); math.Abs(got-want) > 1e-5*a.Size {
				t.Errorf("%s along %.2v: straight depth %g, want %g", name, u, got, want)
			}
			// At a height, against the distances of all cells.
			all := scene.NewSpace(f, math.Inf(-1), math.Inf(-1), a.Eps, nil)
			s = newShadow(a, scene.Half{Field: f, Space: all, Floor: base}, base)
			fl := newFloors(s, top-base, 64)
			if err := s.find(ctx); err != nil {
				t.Fatal(err)
			}
			if known := newFloors(s, top-base, 64); !slices.Equal(fl.deep, known.deep) {
				t.Errorf("%s along %.2v: the floors' depths differ once all depths are known", name, u)
			}
			for _, q := range []float64{0.1, 0.37, 0.5, 0.81} {
				h := base + q*(top-base)
				want := slowCut(s, h)
				if got := s.cut(h, 0); math.Abs(got-want) > 1e-9*a.Size {
					t.Errorf("%s along %.2v: cut at %.0f %%: got %g want %g", name, u, 100*q, got, want)
				}
				if got := s.cut(h, want/2); math.Abs(got-want) > 1e-9*a.Size {
					t.Errorf("%s along %.2v: cut at %.0f %% from half: got %g want %g", name, u, 100*q, got, want)
				}
				want = 0
				for j := range f.NY {
					for i := range f.NX {
						col, off := f.Column(i, j), f.Offset(i, j)
						for k := 1; k < len(col); k++ {
							if lo, _, ok := s.piece(col, off, k); ok && fl.bin(lo) >= fl.bin(h) {
								want = max(want, float64(s.depth[off+k]))
							}
						}
					}
				}
				if got := fl.above(h); math.Abs(got-want) > 1e-5*a.Size {
					t.Errorf("%s along %.2v: floors above %.0f %%: got %g want %g", name, u, 100*q, got, want)
				}
			}
		}
	}
}

// slowCut measures the way from every cell that a height cuts to every open one.
func slowCut(s *shadow, h float64) float64 {
	l := newLevel(s, 1)
	l.classify(l.class, h)
	d2 := make([]int32, len(l.class))
	for k, c := range l.class {
		d2[k] = grid.Far
		if c == inOpen {
			d2[k] = 0
		}
	}
	new(grid.Envelope).Plane(d2, l.nx, l.ny)
	var most int32
	for k, c := range l.class {
		if c == inShadow {
			most = max(most, d2[k])
		}
	}
	return math.Sqrt(float64(most)) * s.f.Cell
}

// TestWithin: what a limit turns away needs a longer path than the limit,
// and what it lets pass has the figures it has without one.
func TestWithin(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of coarse trials")
	}
	ctx := context.Background()
	for name, m := range boundBodies() {
		p, err := standin.New(ctx, solidtest.Rough(t, m))
		if err != nil {
			t.Fatal(err)
		}
		for _, mold := range []scene.Mold{scene.Block, scene.TwoPart} {
			for _, u := range ways(5) {
				c, err := p.Scene(ctx, u, columns, scene.Options{Mold: mold})
				if err != nil {
					t.Fatal(err)
				}
				all, within, err := Within(ctx, c, math.Inf(1))
				if err != nil || !within {
					t.Fatalf("%s: without a limit: %v, within %v", name, err, within)
				}
				for _, q := range []float64{0.3, 0.9, 1, 1.1, 2} {
					limit := q * all.Path
					if math.IsInf(all.Path, 1) {
						limit = q * p.Size
					}
					got, within, err := Within(ctx, c, limit)
					if err != nil {
						t.Fatal(err)
					}
					if want := all.Path <= limit; within != want {
						t.Errorf("%s, %s along %.2v: path %g, limit %g: within %v", name, mold, u, all.Path, limit, within)
					} else if within && (got != all) {
						t.Errorf("%s, %s along %.2v: got %+v want %+v", name, mold, u, got, all)
					}
				}
				// Find closes in between the levels: no shorter by
				// more than half resolution errs by.
				full, err := Find(ctx, c, Options{})
				if err != nil {
					t.Fatal(err)
				}
				if locked := math.IsInf(all.Path, 1); locked != math.IsInf(full.Reach(), 1) {
					t.Logf("%s, %s along %.2v: locked %v at a glance, path %g in full", name, mold, u, locked, full.Reach())
				} else if !locked && math.Abs(all.Path-full.Reach()) > 6*c.Field.Cell {
					t.Errorf("%s, %s along %.2v: path %g at a glance, %g in full", name, mold, u, all.Path, full.Reach())
				}
			}
		}
	}
}

func TestInterleaved(t *testing.T) {
	for n := range 41 {
		zs := make([]float64, n)
		for k := range zs {
			zs[k] = float64(k)
		}
		got := interleaved(zs)
		if n >= 4 && math.Abs(got[0]-got[1]) < float64(n)/4 {
			t.Errorf("%d heights: the first two are %v", n, got[:2])
		}
		slices.Sort(got)
		if !slices.Equal(got, zs) {
			t.Errorf("%d heights: got %v", n, got)
		}
	}
}

// TestAtLeastTurned: upside down on the same columns is as deep as the pattern
// turned over and cast anew, to within the columns of both.
func TestAtLeastTurned(t *testing.T) {
	ctx := context.Background()
	for name, m := range boundBodies() {
		p, err := standin.New(ctx, solidtest.Rough(t, m))
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range ways(6) {
			a, err := p.Scene(ctx, u, columns, scene.Options{})
			if err != nil {
				t.Fatal(err)
			}
			b, err := p.Scene(ctx, u.Neg(), columns, scene.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if got, want := AtLeastTurned(a), AtLeast(b); math.Abs(got-want) > a.Field.Cell+b.Field.Cell {
				t.Errorf("%s along %.2v: %g, cast anew %g", name, u, got, want)
			}
		}
	}
}
