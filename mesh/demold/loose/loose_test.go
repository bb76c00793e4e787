package loose_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// well is a square well of 10 mm, 20 mm deep, in the top of a block: its middle and
// its floor are pushed aside by so much, mm.
type well struct{ middle, floor mesh.Vec }

// wells is a block with wells 60 mm apart.
func wells(of ...well) *mesh.Mesh {
	xs := []float64{0}
	for n := range of {
		xs = append(xs, float64(60*n+30), float64(60*n+40))
	}
	xs = append(xs, float64(60*len(of)+10))
	m := shape.Blocks(xs, []float64{0, 45, 55, 100}, []float64{0, 20, 30, 40}, func(i, j, k int) bool {
		return j != 1 || k == 0 || i%2 == 0
	})
	return shape.Map(m, func(p mesh.Vec) mesh.Vec {
		if p.Y < 44 || p.Y > 56 || p.X < 29 || p.X > xs[len(xs)-1]-1 || p.Z < 19 || p.Z > 39 {
			return p
		}
		w := of[int(p.X-30)/60]
		if p.Z < 21 {
			return p.Add(w.floor)
		}
		return p.Add(w.middle)
	})
}

// slanting is a well that leans by 45°: pushed aside as far as it is deep.
func slanting(x, y float64) well { return well{mesh.V(10*x, 10*y, 0), mesh.V(20*x, 20*y, 0)} }

func find(t *testing.T, m *mesh.Mesh, mold scene.Mold) (*undercut.Result, *loose.Result) {
	t.Helper()
	ctx := context.Background()
	c, err := scene.New(ctx, solidtest.Of(t, m), mesh.V(0, 0, 1), scene.Options{Mold: mold, Resolution: 0.8})
	if err != nil {
		t.Fatal(err)
	}
	u, err := undercut.Find(ctx, c, undercut.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := loose.Find(ctx, u, mold != scene.TwoPart)
	if err != nil {
		t.Fatal(err)
	}
	return u, r
}

// A well that leans by 45° sees the sky from its upper 10 mm alone: what is deeper is
// locked, 10 × 10 × 10 mm of it, and up to a web of 0.5 mm more. Along the well
// nothing is in the way.
func TestLeaningWells(t *testing.T) {
	for _, c := range []struct {
		name  string
		wells []well
		draws []mesh.Vec // in any order
		held  int
		serve bool
	}{
		{"straight", []well{{}}, nil, 0, false},
		{"one", []well{slanting(-1, 0)}, []mesh.Vec{mesh.V(1, 0, 1)}, 0, true},
		{"two that lean alike", []well{slanting(-1, 0), slanting(-1, 0)}, []mesh.Vec{mesh.V(1, 0, 1)}, 0, true},
		{"two that lean apart", []well{slanting(-1, 0), slanting(1, 0)}, []mesh.Vec{mesh.V(1, 0, 1), mesh.V(-1, 0, 1)}, 0, true},
		{"three", []well{slanting(-1, 0), slanting(1, 0), slanting(0, -1)}, []mesh.Vec{mesh.V(1, 0, 1), mesh.V(-1, 0, 1), mesh.V(0, 1, 1)}, 0, false},
		{"a knee", []well{{mesh.V(-10, 0, 0), mesh.V(10, 0, 0)}}, nil, 1, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			molds := []scene.Mold{scene.Block}
			if len(c.draws) == 2 {
				molds = append(molds, scene.TwoPart) // whose halves share a well
			}
			for _, mold := range molds {
				u, r := find(t, wells(c.wells...), mold)
				if len(c.draws) == 0 && c.held == 0 {
					if r != nil || r.Serve() || len(u.Locks()) > 0 {
						t.Fatalf("%s: %+v for what has a way out", mold, r)
					}
					continue
				}
				if r == nil || len(r.Pieces) != len(c.draws) || r.Held != c.held || r.Serve() != c.serve {
					t.Fatalf("%s: %+v", mold, r)
				}
				places := 0
				for _, want := range c.draws {
					near := 0
					for _, p := range r.Pieces {
						d := mesh.V(p.Draw[0], p.Draw[1], p.Draw[2])
						if d.Dot(want.Unit()) < math.Cos(12*math.Pi/180) {
							continue
						}
						near++
						places += p.Places
						if v := p.Volume / float64(p.Places); v < 950 || v > 1100 {
							t.Errorf("%s: %.0f mm³ locked in a well, want 1000 to 1050", mold, v)
						}
						if at := p.At; at[2] < 20 || at[2] > 31 {
							t.Errorf("%s: a piece at %.1f", mold, at)
						}
					}
					if near != 1 {
						t.Errorf("%s: %d pieces drawn toward %v: %+v", mold, near, want, r.Pieces)
					}
				}
				if places+r.Held != len(c.wells) {
					t.Errorf("%s: %d places of %d wells", mold, places, len(c.wells))
				}
			}
		})
	}
}

// What no piece draws is a pore in a slab so large that nobody misses it, and is held
// in a small one.
func TestPores(t *testing.T) {
	knee := wells(well{mesh.V(-10, 0, 0), mesh.V(10, 0, 0)})
	slab := shape.Map(knee, func(p mesh.Vec) mesh.Vec {
		away := func(x, low, high float64) float64 {
			switch {
			case x <= low:
				return x - 130
			case x >= high:
				return x + 130
			}
			return x
		}
		return mesh.V(away(p.X, 0, 70), away(p.Y, 0, 100), p.Z)
	})
	if _, r := find(t, knee, scene.Block); r.Serve() || len(r.Pores) > 0 || r.Held != 1 {
		t.Errorf("in a block of 100 mm: %+v", r)
	}
	_, r := find(t, slab, scene.Block)
	if !r.Serve() || len(r.Pores) != 1 || len(r.Pieces) != 0 {
		t.Fatalf("in a slab of 360 mm: %+v", r)
	}
	if p := r.Pores[0]; p.Volume < 950 || p.Volume > 2100 || p.At[2] < 20 || p.At[2] > 31 || p.Size > 36 {
		t.Errorf("the pore is %+v", p)
	}
}
