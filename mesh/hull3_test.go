package mesh

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
)

// checkHull fails unless h is closed, convex and holds all points: exactly.
func checkHull(t *testing.T, name string, h *Mesh, pts []Vec) {
	t.Helper()
	edges := map[[2]int32]int{}
	corner := map[Vec]bool{}
	for _, v := range h.Vertices() {
		corner[v] = true
	}
	for k, tri := range h.Triangles() {
		a, b, c := h.Corners(k)
		if onLine(a, b, c) {
			t.Fatalf("%s: a face is no triangle: %v %v %v", name, a, b, c)
		}
		for i := range 3 {
			edges[[2]int32{tri[i], tri[(i+1)%3]}]++
		}
		for _, p := range pts {
			if Orient3(a, b, c, p) > 0 {
				t.Fatalf("%s: %v lies outside face %v %v %v", name, p, a, b, c)
			}
		}
	}
	for e, n := range edges {
		if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
			t.Fatalf("%s: edge %v is used %d times", name, e, n)
		}
	}
	if v, e, f := h.NumVertices(), len(edges)/2, h.NumTriangles(); v-e+f != 2 {
		t.Fatalf("%s: %d corners, %d edges, %d faces: no ball", name, v, e, f)
	}
	given := map[Vec]bool{}
	for _, p := range pts {
		given[Vec{p.X + 0, p.Y + 0, p.Z + 0}] = true
	}
	for v := range corner {
		if !given[v] {
			t.Fatalf("%s: corner %v is none of the points", name, v)
		}
	}
}

func hullVolume(h *Mesh) (volume, area float64) {
	o := h.Vertices()[0]
	for k := range h.NumTriangles() {
		a, b, c := h.Corners(k)
		a, b, c = a.Sub(o), b.Sub(o), c.Sub(o)
		volume += a.Dot(b.Cross(c)) / 6
		area += b.Sub(a).Cross(c.Sub(a)).Len() / 2
	}
	return volume, area
}

func TestHull3HoldsAllPoints(t *testing.T) {
	const seed = 31
	rnd := rand.New(rand.NewPCG(seed, 0))
	norm := func() Vec { return V(rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()) }
	kinds := map[string]func() Vec{
		"cloud":  norm,
		"ball":   func() Vec { return norm().Unit().Mul(50) },
		"grid":   func() Vec { return V(float64(rnd.IntN(5)), float64(rnd.IntN(5)), float64(rnd.IntN(5))).Mul(0.1) },
		"far":    func() Vec { return norm().Unit().Add(V(1e7, -1e7, 3e6)) },
		"disc":   func() Vec { p := norm(); return V(p.X, p.Y, 1e-13*p.Z) },
		"needle": func() Vec { p := norm(); return V(p.X, 1e-9*p.Y+p.X, 1e-9*p.Z-p.X) },
		"prism": func() Vec {
			a := 2 * math.Pi * float64(rnd.IntN(24)) / 24
			return V(10*math.Cos(a), 10*math.Sin(a), float64(rnd.IntN(3)))
		},
		"tilted grid": func() Vec {
			x, y, z := float64(rnd.IntN(6)), float64(rnd.IntN(6)), float64(rnd.IntN(6))
			return V(0.36*x+0.48*y-0.8*z, -0.8*x+0.6*y, 0.48*x+0.64*y+0.6*z)
		},
		"twice": func() Vec { p := norm(); return V(math.Round(p.X), math.Round(p.Y), -math.Round(p.Z)) },
	}
	for name, kind := range kinds {
		for n := range 40 {
			pts := make([]Vec, 4+rnd.IntN(120))
			for i := range pts {
				pts[i] = kind()
			}
			h, err := Hull3(context.Background(), pts)
			if errors.Is(err, ErrFlat) {
				// Rare with few points on a grid: then it must be true.
				for _, p := range pts {
					if !onLine(pts[0], pts[1], pts[2]) && Orient3(pts[0], pts[1], pts[2], p) != 0 {
						t.Fatalf("%s, seed %d, case %d: said to be flat", name, seed, n)
					}
				}
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			checkHull(t, name, h, pts)
		}
	}
}

func TestHull3ClosedFigures(t *testing.T) {
	phi := (1 + math.Sqrt(5)) / 2
	var cube, octa, icosa, block []Vec
	for _, x := range []float64{-1, 1} {
		octa = append(octa, V(x, 0, 0), V(0, x, 0), V(0, 0, x))
		for _, y := range []float64{-1, 1} {
			icosa = append(icosa, V(0, x, y*phi), V(x, y*phi, 0), V(x*phi, 0, y))
			for _, z := range []float64{-1, 1} {
				cube = append(cube, V(x, y, z))
			}
		}
	}
	for i := range 11 {
		for j := range 11 {
			for k := range 11 {
				block = append(block, V(float64(i)*8, float64(j)*5, float64(k)*3))
			}
		}
	}
	for _, c := range []struct {
		name      string
		pts       []Vec
		vol, area float64
	}{
		{"cube", cube, 8, 24},
		{"octahedron", octa, 4.0 / 3, 4 * math.Sqrt(3)},
		{"icosahedron, edge 2", icosa, 8 * 2.181694991, 4 * 8.66025404},
		{"block of a grid", block, 120000, 15800},
		{"tetrahedron", []Vec{{}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, 1.0 / 6, 1.5 + math.Sqrt(3)/2},
	} {
		h, err := Hull3(context.Background(), c.pts)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		checkHull(t, c.name, h, c.pts)
		if v, a := hullVolume(h); !near(v, c.vol, 1e-9) || !near(a, c.area, 1e-8) {
			t.Errorf("%s: volume %v, area %v, want %v, %v", c.name, v, a, c.vol, c.area)
		}
	}
	for name, pts := range map[string][]Vec{
		"nothing": nil,
		"a point": {{1, 2, 3}, {1, 2, 3}},
		"a line":  {{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {3, 3, 3}},
		"a plane": {{0, 0, 0}, {1, 0, 1}, {0, 1, 1}, {1, 1, 2}, {5, 7, 12}},
	} {
		if _, err := Hull3(context.Background(), pts); !errors.Is(err, ErrFlat) {
			t.Errorf("%s: %v, want ErrFlat", name, err)
		}
	}
	if _, err := Hull3(context.Background(), []Vec{{math.NaN(), 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}); err == nil {
		t.Error("a coordinate that is no number passed")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Hull3(ctx, cube); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// The filter must change nothing: same corners as without it, by a check of
// all points against all faces of the filtered hull, and equal volume.
func TestHull3FilterChangesNothing(t *testing.T) {
	for _, kind := range []string{"ball", "drum", "block"} {
		pts := append([]Vec(nil), cloud(100000, kind).Vertices()...)
		lo, hi := New(pts, nil).Bounds()
		mid := lo.Add(hi).Mul(0.5)
		for i := range pts {
			if i%7 != 0 { // most points are inside, some only just
				pts[i] = mid.Add(pts[i].Sub(mid).Mul(1 - float64(i%101)/150))
			}
		}
		// A few spikes that no sample is likely to meet.
		pts = append(pts, V(400, 400, 400), V(-33.3, 1, 2), V(7, 8, -300))
		idx, err := hullFilter(context.Background(), pts)
		if err != nil || idx == nil {
			t.Fatalf("%s: not filtered: %v", kind, err)
		}
		q, err := quickhull(context.Background(), pts, nil)
		if err != nil {
			t.Fatal(err)
		}
		plain := q.mesh()
		h, err := Hull3(context.Background(), pts)
		if err != nil {
			t.Fatal(err)
		}
		v0, a0 := hullVolume(plain)
		v1, a1 := hullVolume(h)
		if !near(v1, v0, 1e-12) || !near(a1, a0, 1e-12) {
			t.Errorf("%s: volume %v and area %v, without the filter %v and %v", kind, v1, a1, v0, a0)
		}
		on := map[Vec]bool{}
		for _, v := range h.Vertices() {
			on[v] = true
		}
		missing := 0
		for _, v := range plain.Vertices() {
			if !on[v] {
				missing++
			}
		}
		if kind != "block" && missing > 0 { // a flat side may keep other inner corners
			t.Errorf("%s: %d corners are missing", kind, missing)
		}
		old := runtime.GOMAXPROCS(1)
		one, err := Hull3(context.Background(), pts)
		runtime.GOMAXPROCS(old)
		if err != nil || one.NumTriangles() != h.NumTriangles() {
			t.Fatalf("%s: the hull depends on the number of cores: %v", kind, err)
		}
		for i, tri := range one.Triangles() {
			if tri != h.Triangles()[i] {
				t.Fatalf("%s: face %d depends on the number of cores", kind, i)
			}
		}
		t.Logf("%s: %.1f %% of the points stay, hull has %d corners", kind, 100*float64(len(idx))/float64(len(pts)), h.NumVertices())
	}
}

func BenchmarkHull3(b *testing.B) {
	for _, c := range []struct {
		name string
		n    int
		kind string
	}{{"ball-500k", 500_000, "ball"}, {"block-5M", 5_000_000, "block"}, {"dome-5M", 5_000_000, "dome"}} {
		b.Run(c.name, func(b *testing.B) {
			var pts []Vec
			if c.kind == "dome" { // one point in twenty on the hull
				rnd := rand.New(rand.NewPCG(9, 9))
				for i := range c.n {
					p := V(rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()).Unit().Mul(70)
					if i%20 != 0 {
						p = p.Mul(math.Cbrt(rnd.Float64()) * 0.98)
					}
					pts = append(pts, p)
				}
			} else {
				pts = cloud(c.n, c.kind).Vertices()
			}
			b.ReportAllocs()
			b.ResetTimer()
			for b.Loop() {
				if _, err := Hull3(context.Background(), pts); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
