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

func crossings(t testing.TB, m *mesh.Mesh) mesh.Crossings {
	t.Helper()
	c, err := mesh.SelfCrossings(context.Background(), m, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// --- the slow twin: polygons cut in fractions ---

type ratVec [3]*big.Rat

func ratOf(v mesh.Vec) (r ratVec) {
	for k, x := range v.Array() {
		r[k] = new(big.Rat).SetFloat64(x)
	}
	return r
}

func (a ratVec) sub(b ratVec) (r ratVec) {
	for k := range 3 {
		r[k] = new(big.Rat).Sub(a[k], b[k])
	}
	return r
}

func (a ratVec) dot(b ratVec) *big.Rat {
	s := new(big.Rat)
	for k := range 3 {
		s.Add(s, new(big.Rat).Mul(a[k], b[k]))
	}
	return s
}

func (a ratVec) cross(b ratVec) (r ratVec) {
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		r[k] = new(big.Rat).Sub(new(big.Rat).Mul(a[i], b[j]), new(big.Rat).Mul(a[j], b[i]))
	}
	return r
}

func (a ratVec) zero() bool { return a[0].Sign() == 0 && a[1].Sign() == 0 && a[2].Sign() == 0 }

// cut keeps the part of a convex polygon where n·(x-o) >= 0.
func cut(poly []ratVec, o, n ratVec) (out []ratVec) {
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		dp, dq := p.sub(o).dot(n), q.sub(o).dot(n)
		if dp.Sign() >= 0 {
			out = append(out, p)
		}
		if dp.Sign()*dq.Sign() < 0 {
			t := new(big.Rat).Quo(dp, new(big.Rat).Sub(dp, dq))
			d := q.sub(p)
			var x ratVec
			for k := range 3 {
				x[k] = new(big.Rat).Add(p[k], new(big.Rat).Mul(t, d[k]))
			}
			out = append(out, x)
		}
	}
	return out
}

func neg(a ratVec) ratVec { return ratVec{new(big.Rat), new(big.Rat), new(big.Rat)}.sub(a) }

// slowCross decides whether triangles s and t of m meet where they should not:
// it cuts one to the other and looks for a corner of the rest that lies
// outside what they share.
func slowCross(m *mesh.Mesh, s, t int) bool {
	a, b := m.Triangles()[s], m.Triangles()[t]
	var shared []ratVec
	for _, i := range a {
		if slices.Contains(b[:], i) {
			shared = append(shared, ratOf(m.Vertices()[i]))
		}
	}
	if len(shared) == 3 {
		return true
	}
	var poly, other []ratVec
	for k := range 3 {
		poly = append(poly, ratOf(m.Vertices()[a[k]]))
		other = append(other, ratOf(m.Vertices()[b[k]]))
	}
	both := func(o, n ratVec) { poly = cut(cut(poly, o, n), o, neg(n)) }
	if n := other[1].sub(other[0]).cross(other[2].sub(other[0])); !n.zero() {
		both(other[0], n)
		for k := range 3 {
			poly = cut(poly, other[k], n.cross(other[(k+1)%3].sub(other[k])))
		}
	} else {
		// Corners on one line: the longest side is all there is.
		p, q := other[0], other[1]
		for _, e := range [][2]ratVec{{other[1], other[2]}, {other[2], other[0]}} {
			if d, f := e[1].sub(e[0]), q.sub(p); d.dot(d).Cmp(f.dot(f)) > 0 {
				p, q = e[0], e[1]
			}
		}
		d := q.sub(p)
		one, nought := big.NewRat(1, 1), new(big.Rat)
		for _, axis := range []ratVec{{one, nought, nought}, {nought, one, nought}, {nought, nought, one}} {
			both(p, d.cross(axis)) // normals to d; they span the plane across it
		}
		poly = cut(cut(poly, p, d), q, neg(d))
	}
	for _, x := range poly {
		switch len(shared) {
		case 0:
			return true
		case 1:
			if !x.sub(shared[0]).zero() {
				return true
			}
		case 2:
			d, e := shared[1].sub(shared[0]), x.sub(shared[0])
			if u := e.dot(d); !d.cross(e).zero() || u.Sign() < 0 || u.Cmp(d.dot(d)) > 0 {
				return true
			}
		}
	}
	return false
}

// slowCrossings counts pair by pair.
func slowCrossings(m *mesh.Mesh) (pairs int, triangles []int32) {
	in := map[int32]bool{}
	for s := range m.NumTriangles() {
		for t := range s {
			if !m.Collapsed(s) && !m.Collapsed(t) && slowCross(m, s, t) {
				pairs++
				in[int32(s)], in[int32(t)] = true, true
			}
		}
	}
	for t := range in {
		triangles = append(triangles, t)
	}
	slices.Sort(triangles)
	return pairs, triangles
}

// crowd is a mesh of nonsense triangles over distinct points made by next.
func crowd(r *rand.Rand, points, tris int, next func() mesh.Vec) *mesh.Mesh {
	var vs []mesh.Vec
	for tries := 0; len(vs) < points && tries < 50*points; tries++ {
		if v := next(); !slices.Contains(vs, v) {
			vs = append(vs, v)
		}
	}
	ts := make([][3]int32, tris)
	for i := range ts {
		for k := range 3 {
			ts[i][k] = r.Int32N(int32(len(vs)))
		}
	}
	return mesh.New(vs, ts)
}

func TestSelfCrossingsAgainstSlow(t *testing.T) {
	const seed = 11
	r := rand.New(rand.NewPCG(seed, 0))
	grid := func(n int, unit float64) func() mesh.Vec {
		return func() mesh.Vec {
			return mesh.V(float64(r.IntN(n))*unit, float64(r.IntN(n))*unit, float64(r.IntN(n))*unit)
		}
	}
	nudge := func(x float64) float64 { // a few units in the last place
		for range r.IntN(3) {
			x = math.Nextafter(x, math.Inf(1-2*r.IntN(2)))
		}
		return x
	}
	kinds := []struct {
		name string
		next func() mesh.Vec
	}{
		{"on a line", func() mesh.Vec { return mesh.V(float64(r.IntN(9)), 0, 0) }},
		{"on a slanted line", func() mesh.Vec { k := float64(r.IntN(9)); return mesh.V(k, 2*k, -3*k) }},
		{"in a plane", func() mesh.Vec { return mesh.V(float64(r.IntN(4)), float64(r.IntN(4)), 5) }},
		{"in a slanted plane", func() mesh.Vec {
			x, y := float64(r.IntN(4)), float64(r.IntN(4))
			return mesh.V(x, y, 3*x-2*y)
		}},
		{"coarse grid", grid(3, 1)},
		{"grid", grid(6, 1)},
		{"grid of tenths", grid(4, 0.1)},
		{"anywhere", func() mesh.Vec { return mesh.V(r.Float64(), r.Float64(), r.Float64()) }},
		{"almost in a plane", func() mesh.Vec {
			x, y := float64(r.IntN(4))*0.1, float64(r.IntN(4))*0.1
			return mesh.V(nudge(x), nudge(y), nudge(x+y))
		}},
		{"far off", func() mesh.Vec {
			return mesh.V(nudge(1e9+float64(r.IntN(3))), nudge(1e9), nudge(1e9-float64(r.IntN(3))))
		}},
		{"huge", grid(4, 0x1p1020)},
		{"tiny", grid(4, 5e-324)},
		{"huge and tiny", func() mesh.Vec {
			pick := func() float64 {
				return []float64{0, 5e-324, 1e-300, 1e-150, 1, 1e150, 1e300, -1e300, -1}[r.IntN(9)]
			}
			return mesh.V(pick(), pick(), pick())
		}},
	}
	for _, k := range kinds {
		t.Run(k.name, func(t *testing.T) {
			rounds := 60
			if k.name == "huge and tiny" { // fractions of hundreds of digits
				rounds = 20
			}
			if testing.Short() {
				rounds = 8
			}
			crossed, clear := 0, 0
			for i := range rounds {
				m := crowd(r, 3+r.IntN(9), 2+r.IntN(12), k.next)
				pairs, tris := slowCrossings(m)
				got := crossings(t, m)
				if got.Pairs != pairs || !slices.Equal(got.Triangles, tris) {
					t.Fatalf("seed %d, mesh %d: got %d pairs of %v, want %d of %v\n%v\n%v", seed, i, got.Pairs, got.Triangles, pairs, tris, m.Vertices(), m.Triangles())
				}
				if (got.First != nil) != (pairs > 0) || got.More {
					t.Errorf("mesh %d: first %v, more %t for %d pairs", i, got.First, got.More, pairs)
				}
				n := m.NumTriangles()
				crossed += pairs
				clear += n*(n-1)/2 - pairs
			}
			if crossed == 0 || clear == 0 {
				t.Errorf("%d pairs cross and %d do not: this tests nothing", crossed, clear)
			}
		})
	}
}

func TestOrient3AgainstSlow(t *testing.T) {
	const seed = 3
	r := rand.New(rand.NewPCG(seed, 0))
	values := []float64{0, 1, -1, 0.1, 0.2, 0.3, 1e9, 1e9 + 1e-6, 1e300, -1e300, 1e-300, 5e-324, 0x1p-288, 0x1p-289, 0x1p300, math.MaxFloat64, 1 + 0x1p-52}
	pick := func() float64 {
		x := values[r.IntN(len(values))]
		if r.IntN(4) == 0 {
			x = math.Nextafter(x, 1)
		}
		return x
	}
	zero := 0
	rounds := 8000
	if testing.Short() {
		rounds = 2000
	}
	for i := range rounds {
		var v [4]mesh.Vec
		for k := range v {
			v[k] = mesh.V(pick(), pick(), pick())
		}
		if i%3 == 0 { // in one plane, but for rounding
			v[3] = v[0].Add(v[1].Sub(v[0]).Mul(0.3)).Add(v[2].Sub(v[0]).Mul(0.7))
			if !v[3].IsFinite() {
				continue
			}
		}
		if i%7 == 0 { // exactly in one plane
			for k := range 3 {
				v[k] = mesh.V(float64(r.IntN(99))*0.25, float64(r.IntN(99))*0x1p-30, float64(r.IntN(99))*0x1p200)
			}
			v[3] = v[0].Add(v[1].Sub(v[0]).Mul(2)).Sub(v[2].Sub(v[0]))
		}
		a := ratOf(v[0])
		want := ratOf(v[1]).sub(a).cross(ratOf(v[2]).sub(a)).dot(ratOf(v[3]).sub(a)).Sign()
		if want == 0 {
			zero++
		}
		for _, c := range []struct {
			p    [4]int
			sign int
		}{{[4]int{0, 1, 2, 3}, 1}, {[4]int{1, 2, 0, 3}, 1}, {[4]int{1, 0, 2, 3}, -1}, {[4]int{3, 2, 1, 0}, 1}, {[4]int{0, 1, 3, 2}, -1}} {
			if got := mesh.Orient3(v[c.p[0]], v[c.p[1]], v[c.p[2]], v[c.p[3]]); got != c.sign*want {
				t.Fatalf("seed %d, case %d, order %v: got %d, want %d for %v", seed, i, c.p, got, c.sign*want, v)
			}
		}
	}
	if zero < rounds/16 {
		t.Errorf("only %d cases in one plane: this tests little", zero)
	}
}

func TestSelfCrossings(t *testing.T) {
	cube := shape.Cube(10)
	at := func(m *mesh.Mesh, x, y, z float64) *mesh.Mesh { return shape.Translate(m, mesh.V(x, y, z)) }
	ball := shape.Icosphere(10, 3)
	for _, tt := range []struct {
		name    string
		m       *mesh.Mesh
		crosses bool
	}{
		{"nothing at all", mesh.New(nil, nil), false},
		{"only a collapsed triangle", mesh.New([]mesh.Vec{{}, {X: 1}}, [][3]int32{{0, 1, 1}}), false},
		{"cube", cube, false},
		{"ball", ball, false},
		{"mug", shape.Mug(40, 90, 4, 30, 48), false},
		{"horn", shape.Horn(40, 5, 60, 24), false},
		{"ball a long way off", at(ball, 1e9, -1e9, 1e8), false},
		{"needles", shape.Scale(shape.Sphere(1, 60), 1e-9, 1, 1e6), false},
		{"open", shape.WithoutNumbers(ball, 1, 2, 3), false},
		{"nested", shape.Shells(shape.Sphere(20, 20), shape.Sphere(10, 20)), false},
		{"a hair apart", shape.Merge(cube, at(cube, math.Nextafter(10, 11), 0, 0)), false},
		{"face to face, unequal", shape.Merge(cube, at(cube, 10, 1, 1)), true},
		{"corner on face", shape.Merge(cube, mesh.New([]mesh.Vec{{Z: 10}, {X: 1, Z: 12}, {Y: 1, Z: 12}, {X: -1, Y: -1, Z: 12}}, [][3]int32{{0, 2, 1}, {0, 3, 2}, {0, 1, 3}, {1, 2, 3}})), true},
		{"balls pushed into each other", shape.Merge(ball, at(ball, 15, 0, 0)), true},
		{"tips that touch at a welded vertex", touchingTips(), false},
		{"double-sided", shape.WithTriangles(cube, shape.Flip(cube).Triangles()...), true},
		{"folded back", mesh.New([]mesh.Vec{{}, {X: 1}, {X: 0.3, Y: 1}, {X: 0.6, Y: 2}}, [][3]int32{{0, 1, 2}, {1, 0, 3}}), true},
		{"folded almost back", mesh.New([]mesh.Vec{{}, {X: 1}, {X: 0.3, Y: 1}, {X: 0.6, Y: 2, Z: 5e-324}}, [][3]int32{{0, 1, 2}, {1, 0, 3}}), false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := crossings(t, tt.m)
			if (c.Pairs > 0) != tt.crosses || (c.First != nil) != tt.crosses {
				t.Errorf("got %d pairs, first at %v, want crossing: %t", c.Pairs, c.First, tt.crosses)
			}
		})
	}
}

func TestSelfCrossingsSkip(t *testing.T) {
	ball := shape.Icosphere(10, 3)
	m := shape.Merge(ball, shape.Translate(ball, mesh.V(15, 0, 0)))
	all := crossings(t, m)
	skip := make([]bool, m.NumTriangles())
	for _, i := range all.Triangles {
		skip[i] = true
	}
	c, err := mesh.SelfCrossings(context.Background(), m, skip, nil)
	if err != nil || c.Pairs != 0 {
		t.Errorf("without the triangles involved: got %d pairs, %v, want none", c.Pairs, err)
	}
	lo, hi := 0.0, 15.0 // the balls meet in a ring about x = 7.5, near it
	if all.First == nil || all.First.X < lo || all.First.X > hi || math.Abs(math.Hypot(all.First.Y, all.First.Z)-math.Sqrt(100-56.25)) > 2 {
		t.Errorf("first at %v, want near the ring where the balls meet", all.First)
	}
}

// TestSelfCrossingsBounded: a heap of triangles upon each other stops at the
// limit, and says the same for any number of cores.
func TestSelfCrossingsBounded(t *testing.T) {
	ts := make([][3]int32, 3200) // 5.1 million pairs
	for i := range ts {
		ts[i] = [3]int32{0, 1, 2}
	}
	heap := mesh.New([]mesh.Vec{{}, {X: 1}, {Y: 1}}, ts)
	old := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(old)
	want := crossings(t, heap)
	if !want.More || want.Pairs != 5_000_000 || want.First == nil {
		t.Errorf("got %d pairs, more %t, first %v, want 5000000 and more", want.Pairs, want.More, want.First)
	}
	ball := shape.Icosphere(10, 4)
	balls := shape.Merge(ball, shape.Translate(ball, mesh.V(15, 0, 0)), shape.Translate(ball, mesh.V(0, 11, 0)))
	some := crossings(t, balls)
	for _, n := range []int{2, 3, 8} {
		runtime.GOMAXPROCS(n)
		if got := crossings(t, heap); !reflect.DeepEqual(got, want) {
			t.Errorf("%d cores: got %+v, want %+v", n, got, want)
		}
		if got := crossings(t, balls); !reflect.DeepEqual(got, some) || some.Pairs == 0 {
			t.Errorf("%d cores: got %d pairs first at %v, want %d first at %v", n, got.Pairs, got.First, some.Pairs, some.First)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := mesh.SelfCrossings(ctx, heap, nil, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
}

func FuzzSelfCrossings(f *testing.F) {
	f.Add([]byte{0, 0, 0, 9, 0, 0, 0, 9, 0, 3, 3, 1, 3, 3, 200, 9, 9, 9}, uint8(0))
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21}, uint8(77))
	scale := []float64{1, 0.1, 1e300, 5e-324, 0x1p-290, 1e-160, 1e9 + 0.1}
	f.Fuzz(func(t *testing.T, data []byte, how uint8) {
		unit := scale[int(how)%len(scale)]
		far := float64(how>>6) * 1e6 * min(unit, 1)
		var vs []mesh.Vec
		for ; len(data) >= 3 && len(vs) < 12; data = data[3:] {
			at := func(b byte) float64 { return float64(int8(b)/16)*unit + far }
			if v := mesh.V(at(data[0]), at(data[1]), at(data[2])); !slices.Contains(vs, v) {
				vs = append(vs, v)
			}
		}
		if len(vs) < 3 {
			return
		}
		var ts [][3]int32
		for i := range vs {
			for j := range i {
				if k := (i*7 + j*3 + int(how)) % len(vs); k != i && k != j && len(ts) < 12 {
					ts = append(ts, [3]int32{int32(i), int32(j), int32(k)})
				}
			}
		}
		m := mesh.New(vs, ts)
		want, tris := slowCrossings(m)
		if got := crossings(t, m); got.Pairs != want || !slices.Equal(got.Triangles, tris) {
			t.Errorf("got %d pairs of %v, want %d of %v\n%v\n%v", got.Pairs, got.Triangles, want, tris, vs, ts)
		}
	})
}

// BenchmarkSelfCrossingsFan is a turned cylinder whose ends are fans of slivers
// in a plane: every pair of them meets in the middle.
func BenchmarkSelfCrossingsFan(b *testing.B) {
	m := shape.Rotate(shape.Cylinder(50, 100, 2000), mesh.V(1, 2, 3).Unit(), 0.7)
	for b.Loop() {
		if c := crossings(b, m); c.Pairs != 0 {
			b.Fatal(c.Pairs)
		}
	}
}

func BenchmarkSelfCrossings(b *testing.B) {
	for _, n := range []int{64, 256, 512} {
		m := shape.Torus(40, 10, 2*n, n)
		b.Run(fmt.Sprint(m.NumTriangles()), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if c := crossings(b, m); c.Pairs != 0 {
					b.Fatal(c.Pairs)
				}
			}
		})
	}
}
