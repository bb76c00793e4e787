package mesh_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

func inspect(t testing.TB, m *mesh.Mesh) *mesh.Survey {
	t.Helper()
	s, err := mesh.Inspect(context.Background(), m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// within reports |got-want| <= rel·scale.
func within(got, want, rel, scale float64) bool { return math.Abs(got-want) <= rel*math.Abs(scale) }

// klein is a Klein bottle's triangulation on an n×n grid: closed, every edge
// with two triangles, not orientable. Its places in space mean nothing.
func klein(n int32) *mesh.Mesh {
	var vs []mesh.Vec
	for i := range n {
		for j := range n {
			vs = append(vs, mesh.V(float64(i), float64(j), float64(i*j%7)))
		}
	}
	at := func(i, j int32) int32 {
		if i >= n {
			i -= n
			j = n - j
		}
		return i*n + (j%n+n)%n
	}
	var ts [][3]int32
	for i := range n {
		for j := range n {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			ts = append(ts, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return mesh.New(vs, ts)
}

// touchingTips is two tetrahedra that share one vertex.
func touchingTips() *mesh.Mesh {
	vs := []mesh.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -1}, {Z: -1}}
	return mesh.New(vs, [][3]int32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}, {0, 4, 5}, {0, 6, 4}, {0, 5, 6}, {4, 6, 5}})
}

// pinched is a box bent round until two of its corners are one: a closed piece
// joined through edges with one vertex that has two fans. Its genus is that of
// the box, 0.
func pinched() *mesh.Mesh {
	m := shape.FineBox(10, 10, 60, 6)
	vs := slices.Clone(m.Vertices())
	ts := slices.Clone(m.Triangles())
	find := func(v mesh.Vec) int32 { return int32(slices.Index(vs, v)) }
	lo, hi := m.Bounds()
	a, b := find(lo), find(mesh.V(lo.X, lo.Y, hi.Z))
	for i := range ts {
		for k := range 3 {
			if ts[i][k] == b {
				ts[i][k] = a
			}
			if ts[i][k] == int32(len(vs)-1) && b != int32(len(vs)-1) {
				ts[i][k] = b
			}
		}
	}
	vs[b] = vs[len(vs)-1]
	return mesh.New(vs[:len(vs)-1], ts)
}

func TestInspectCounts(t *testing.T) {
	one := func(n int) *int { return &n }
	cube := shape.Cube(10)
	away := func(m *mesh.Mesh, x float64) *mesh.Mesh { return shape.Translate(m, mesh.V(x, 0, 0)) }
	twoOnEdge := func() *mesh.Mesh { // two boxes that share one edge, welded
		return shape.Merge(shape.Box(10, 10, 10), shape.Translate(shape.Box(10, 10, 10), mesh.V(10, 10, 0)))
	}
	type want struct {
		closed, clean                           bool
		boundary, branch, turned, odd, dup, bad int
		pieces                                  int
		holes                                   *int
	}
	tests := []struct {
		name string
		m    *mesh.Mesh
		want want
	}{
		{"cube", cube, want{closed: true, clean: true, pieces: 1, holes: one(0)}},
		{"torus", shape.Torus(40, 10, 32, 16), want{closed: true, clean: true, pieces: 1, holes: one(1)}},
		{"mug", shape.Mug(40, 90, 4, 30, 32), want{closed: true, clean: true, pieces: 1, holes: one(1)}},
		{"through hole", shape.ThroughHoleCube(30, 10), want{closed: true, clean: true, pieces: 1, holes: one(1)}},
		{"two cubes apart", shape.Merge(cube, away(cube, 20)), want{closed: true, clean: true, pieces: 2, holes: one(0)}},
		{"cubes on one edge", twoOnEdge(), want{closed: true, branch: 1, pieces: 1}},
		{"tetrahedra tip to tip", touchingTips(), want{closed: true, clean: true, pieces: 2, holes: one(0)}},
		{"bent until it touches itself", pinched(), want{closed: true, clean: true, pieces: 1, holes: one(0)}},
		{"one triangle missing", shape.WithoutNumbers(cube, 3), want{boundary: 3, odd: 3, pieces: 1}},
		{"closed and open", shape.Merge(shape.Torus(40, 10, 16, 8), away(shape.WithoutNumbers(cube, 0), 100)),
			want{boundary: 3, odd: 3, pieces: 2, holes: one(1)}},
		{"one triangle turned", shape.FlipSome(cube, func(t int) bool { return t == 4 }),
			want{closed: true, turned: 3, pieces: 1, holes: one(0)}},
		{"inward", shape.Flip(cube), want{closed: true, clean: true, pieces: 1, holes: one(0)}},
		{"one triangle twice", shape.WithTriangles(cube, cube.Triangles()[0]), want{branch: 3, odd: 3, dup: 1, pieces: 1}},
		{"double-sided", shape.WithTriangles(cube, shape.Flip(cube).Triangles()...),
			want{closed: true, branch: 18, dup: 12, pieces: 1}},
		{"back to back", mesh.New([]mesh.Vec{{}, {X: 1}, {Y: 1}}, [][3]int32{{0, 1, 2}, {2, 1, 0}}),
			want{closed: true, dup: 1, pieces: 1, holes: one(0)}},
		{"a collapsed triangle more", shape.WithTriangles(cube, [3]int32{0, 0, 1}), want{closed: true, clean: true, bad: 1, pieces: 1, holes: one(0)}},
		{"only a collapsed triangle", mesh.New([]mesh.Vec{{}, {X: 1}}, [][3]int32{{0, 1, 1}}), want{bad: 1}},
		{"nothing at all", mesh.New(nil, nil), want{}},
		{"Klein bottle", klein(6), want{closed: true, turned: 6, pieces: 1}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := inspect(t, tt.m)
			got := want{s.Closed, s.Clean, s.BoundaryEdges, s.NonManifoldEdges, s.TurnedEdges, s.EdgesOdd, s.DuplicateFaces, s.DegenerateFaces, len(s.Pieces), s.ThroughHoles}
			if tt.name == "Klein bottle" {
				got.turned = tt.want.turned // where the seam lies does not matter
			}
			if !reflect.DeepEqual(got, tt.want) {
				t.Errorf("got %+v (holes %v), want %+v (holes %v)", got, deref(got.holes), tt.want, deref(tt.want.holes))
			}
			if err := agree(tt.m, s); err != nil {
				t.Error(err)
			}
		})
	}
}

// exactArea is the area in arithmetic of 300 bits, rounded once.
func exactArea(m *mesh.Mesh) float64 {
	num := func(x float64) *big.Float { return new(big.Float).SetPrec(300).SetFloat64(x) }
	op := func(f func(z, x, y *big.Float) *big.Float, x, y *big.Float) *big.Float { return f(num(0), x, y) }
	sub, mul, add := (*big.Float).Sub, (*big.Float).Mul, (*big.Float).Add
	sum := num(0)
	for t := range m.Triangles() {
		a, b, c := m.Corners(t)
		var e [2][3]*big.Float
		for i, v := range []mesh.Vec{b, c} {
			for k := range 3 {
				e[i][k] = op(sub, num(v.Array()[k]), num(a.Array()[k]))
			}
		}
		sq := num(0)
		for k := range 3 {
			x := op(sub, op(mul, e[0][k], e[1][(k+1)%3]), op(mul, e[0][(k+1)%3], e[1][k]))
			sq = op(add, sq, op(mul, x, x))
		}
		sum = op(add, sum, num(0).Sqrt(sq))
	}
	f, _ := sum.Float64()
	return f / 2
}

// TestMeasure compares area and volume with exact arithmetic and closed
// formulas, as is and turned, mirrored, scaled, and a kilometre off.
func TestMeasure(t *testing.T) {
	far := mesh.V(1<<20, -3<<20, 1<<21) // some km, and exact in a float64
	bodies := []struct {
		name         string
		m            *mesh.Mesh
		volume, area float64 // closed formulas; 0 where only exact arithmetic knows
	}{
		{"tetrahedron", shape.Tetrahedron(10), 117.851130, 173.205081},
		{"cube", shape.Cube(10), 1000, 600},
		{"octahedron", shape.Octahedron(10), 471.404521, 346.410162},
		{"icosahedron", shape.Icosahedron(10), 2181.694991, 866.025404},
		{"hexagonal prism", shape.Prism(shape.Ngon(10, 6), 20), 5196.152423, 0},
		{"frustum", shape.Frustum(50, 40, 100, 97), shape.RevolveVolume(shape.FrustumProfile(50, 40, 100), 97), shape.RevolveArea(shape.FrustumProfile(50, 40, 100), 97)},
		{"torus", shape.Torus(40, 10, 61, 37), shape.RevolveVolume(shape.TorusProfile(40, 10, 37), 61), shape.RevolveArea(shape.TorusProfile(40, 10, 37), 61)},
		{"sphere", shape.Sphere(30, 40), shape.RevolveVolume(shape.BallProfile(30, 40), 80), 0},
		{"square ring", shape.SquareRing(35, 45, 10, 91), 0, 0},
		{"mug", shape.Mug(40, 90, 4, 30, 24), 0, 0},
	}
	for _, b := range bodies {
		t.Run(b.name, func(t *testing.T) {
			s := inspect(t, b.m)
			if b.volume != 0 && !within(s.SignedVolume, b.volume, 1e-8, b.volume) {
				t.Errorf("volume: got %.9f, want %.9f", s.SignedVolume, b.volume)
			}
			if b.area != 0 && !within(s.Area, b.area, 1e-8, b.area) {
				t.Errorf("area: got %.9f, want %.9f", s.Area, b.area)
			}
			v, a := shape.Volume(b.m), exactArea(b.m)
			for _, p := range []struct {
				name         string
				m            *mesh.Mesh
				volume, area float64
				rel          float64
			}{
				{"as is", b.m, v, a, 4e-16},
				{"turned", shape.Rotate(b.m, mesh.V(1, 2, 3).Unit(), 0.7), v, a, 1e-14},
				{"mirrored", shape.Mirror(b.m), v, a, 4e-16},
				{"inside out", shape.Flip(b.m), -v, a, 4e-16},
				{"in inches", shape.Scale(b.m, 25.4, 25.4, 25.4), v * 25.4 * 25.4 * 25.4, a * 25.4 * 25.4, 1e-14},
			} {
				s := inspect(t, p.m)
				if !within(s.SignedVolume, p.volume, p.rel, p.volume) {
					t.Errorf("%s: volume: got %.15g, want %.15g, off by %.2g", p.name, s.SignedVolume, p.volume, s.SignedVolume/p.volume-1)
				}
				if !within(s.Area, p.area, p.rel, p.area) {
					t.Errorf("%s: area: got %.15g, want %.15g, off by %.2g", p.name, s.Area, p.area, s.Area/p.area-1)
				}
			}
			// Far off the vertices are rounded to 2^-32 mm, which changes the
			// body; the exact figure of the changed body is the truth, and no
			// digit of it may be lost.
			off := shape.Translate(b.m, far)
			s, v, a = inspect(t, off), shape.Volume(off), exactArea(off)
			if !within(s.SignedVolume, v, 4e-16, v) || !within(s.Area, a, 4e-16, a) {
				t.Errorf("far off: got volume %.17g and area %.17g, want %.17g and %.17g", s.SignedVolume, s.Area, v, a)
			}
		})
	}
}

// TestSum: terms that cancel to the last bit leave what a sum in 2000 bits
// leaves, rounded once.
func TestSum(t *testing.T) {
	const seed = 9
	r := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		var whole, half mesh.Sum
		exact, size, plain := new(big.Float).SetPrec(2000), 0.0, 0.0
		for k := range 2000 {
			x := (r.Float64() - 0.5) * math.Ldexp(1, r.IntN(60))
			if k%2 == 1 {
				half.Add(x)
			} else {
				whole.Add(x)
			}
			exact.Add(exact, new(big.Float).SetFloat64(x))
			size += math.Abs(x)
			plain += x
		}
		whole.Merge(half)
		want, _ := exact.Float64()
		// Twice the working precision, then one rounding (Neumaier's bound).
		if got := whole.Value(); math.Abs(got-want) > 0x1p-52*math.Abs(want)+2000*2000*0x1p-106*size {
			t.Fatalf("seed %d, sum %d: got %.17g, want %.17g (added plainly %.17g)", seed, i, got, want, plain)
		}
	}
}

// TestMeasureConverges: a body made of ever finer facets comes to the round
// body's closed formula with the square of the facet's size.
func TestMeasureConverges(t *testing.T) {
	bodies := []struct {
		name         string
		make         func(n int) *mesh.Mesh
		volume, area float64
	}{
		{"sphere", func(n int) *mesh.Mesh { return shape.Sphere(30, n) }, 113097.3355, 11309.7336},
		{"torus", func(n int) *mesh.Mesh { return shape.Torus(40, 10, 2*n, n) }, 78956.8352, 15791.3670},
		{"ellipsoid", func(n int) *mesh.Mesh { return shape.Ellipsoid(30, 20, 10, n) }, 25132.7412, 4888.2146},
		{"cone", func(n int) *mesh.Mesh { return shape.Cone(20, 60, n) }, 25132.7412, 3973.8353 + math.Pi*400},
		{"square ring", func(n int) *mesh.Mesh { return shape.SquareRing(35, 45, 10, n) }, 25132.7412, 10053.0965},
	}
	for _, b := range bodies {
		t.Run(b.name, func(t *testing.T) {
			coarse, fine := inspect(t, b.make(24)), inspect(t, b.make(96))
			for _, f := range []struct {
				name              string
				coarse, fine, fit float64
			}{{"volume", coarse.SignedVolume, fine.SignedVolume, b.volume}, {"area", coarse.Area, fine.Area, b.area}} {
				// Four times finer, sixteen times closer; extrapolated, the rest is of fourth order.
				ratio := (f.coarse - f.fit) / (f.fine - f.fit)
				if ratio < 15 || ratio > 17 {
					t.Errorf("%s: error falls by %.2f from 24 to 96 facets, want 16", f.name, ratio)
				}
				if got := f.fine + (f.fine-f.coarse)/15; !within(got, f.fit, 1e-5, f.fit) {
					t.Errorf("%s: extrapolated %.6f, want %.6f", f.name, got, f.fit)
				}
			}
		})
	}
}

// TestMeasureOpen: an open or turned surface is measured about the file's own
// origin, also where the mesh lies far from it.
func TestMeasureOpen(t *testing.T) {
	for _, d := range []mesh.Vec{{}, {X: 5, Y: -7, Z: 11}, {X: 1 << 20, Y: 1 << 19, Z: -1 << 20}} {
		m := shape.Translate(shape.Torus(40, 10, 24, 12), d)
		for name, m := range map[string]*mesh.Mesh{
			"open":   shape.WithoutNumbers(m, 5, 17, 18),
			"turned": shape.FlipSome(m, func(t int) bool { return t%7 == 0 }),
		} {
			s, want := inspect(t, m), shape.Volume(m)
			if scale := s.Area * (d.Len() + 100); !within(s.SignedVolume, want, 1e-15, scale) {
				t.Errorf("%s at %v: got %.12f, want %.12f", name, d, s.SignedVolume, want)
			}
		}
	}
}

func TestInspectTooLarge(t *testing.T) {
	for _, k := range []float64{1e150, 1e308} {
		_, err := mesh.Inspect(context.Background(), shape.Scale(shape.Cube(1), k, k, k), mesh.SurveyOptions{})
		if !errors.Is(err, mesh.ErrTooLarge) {
			t.Errorf("cube of %g mm: got %v, want ErrTooLarge", k, err)
		}
	}
}

func TestInspectCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if s, err := mesh.Inspect(ctx, shape.Cube(1), mesh.SurveyOptions{}); !errors.Is(err, context.Canceled) || s != nil {
		t.Errorf("got %v, %v, want nothing and context.Canceled", s, err)
	}
}

// TestInspectSameBits: one core and many give the same survey, and the mesh is
// left as it was.
func TestInspectSameBits(t *testing.T) {
	var parts []*mesh.Mesh
	for i := range 40 {
		parts = append(parts, shape.Translate(shape.Torus(40, 10+float64(i)/7, 40, 20), mesh.V(float64(i)*37.1, 3, 4)))
	}
	m := shape.Merge(parts...)
	r := rand.New(rand.NewPCG(1, 1))
	ts := slices.Clone(m.Triangles())
	r.Shuffle(len(ts), func(i, j int) { ts[i], ts[j] = ts[j], ts[i] })
	m = mesh.New(m.Vertices(), ts[:len(ts)-100])
	vs, ts := slices.Clone(m.Vertices()), slices.Clone(m.Triangles())
	old := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(old)
	want := inspect(t, m)
	for _, n := range []int{2, 3, 8} {
		runtime.GOMAXPROCS(n)
		if got := inspect(t, m); !reflect.DeepEqual(got, want) {
			t.Errorf("%d cores: the survey differs from one core's", n)
		}
	}
	if !slices.Equal(vs, m.Vertices()) || !slices.Equal(ts, m.Triangles()) {
		t.Error("Inspect changed the mesh")
	}
}

func TestProgress(t *testing.T) {
	last := -1
	_, err := mesh.Inspect(context.Background(), shape.Cube(1), mesh.SurveyOptions{Progress: func(stage string, done, total int) {
		if stage == "" || done < last || done > total {
			t.Errorf("progress %q %d of %d after %d", stage, done, total, last)
		}
		last = done
	}})
	if err != nil || last < 1 {
		t.Errorf("got %v, last step %d", err, last)
	}
}

func BenchmarkInspect(b *testing.B) {
	for _, n := range []int{64, 256, 1024} {
		m := shape.Torus(40, 10, 2*n, n)
		b.Run(fmt.Sprint(m.NumTriangles()), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				inspect(b, m)
			}
		})
	}
}
