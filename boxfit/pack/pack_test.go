package pack

import (
	"context"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"moldtally/mesh"
)

// disc is a circle of a diameter as a polygon round it.
func disc(d float64) []mesh.Vec2 {
	const n = 96
	out := make([]mesh.Vec2, n)
	for k := range out {
		a := 2 * math.Pi * (float64(k) + 0.5) / n
		r := d / 2 / math.Cos(math.Pi/n)
		out[k] = mesh.Vec2{X: r * math.Cos(a), Y: r * math.Sin(a)}
	}
	return mesh.Hull2(out)
}

func oblong(l, w float64) []mesh.Vec2 {
	return mesh.Hull2([]mesh.Vec2{{}, {X: l}, {X: l, Y: w}, {Y: w}})
}

func mustPack(t *testing.T, r Request) *Layout {
	t.Helper()
	l, err := Pack(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// placed are the outlines as they stand, by the definition of a Place alone.
func placed(r Request, l *Layout) (out [][]mesh.Vec2) {
	for _, p := range l.Places {
		c, s := math.Cos(p.Turn), math.Sin(p.Turn)
		var q []mesh.Vec2
		for _, v := range r.Pieces[p.Piece].Outline {
			q = append(q, mesh.Vec2{X: v.X*c - v.Y*s + p.At.X, Y: v.X*s + v.Y*c + p.At.Y})
		}
		out = append(out, q)
	}
	return out
}

// apart is the distance between two convex polygons by all their corners and sides; 0
// where they overlap.
func apart(a, b []mesh.Vec2) float64 {
	in := func(p mesh.Vec2, q []mesh.Vec2) bool {
		for i, v := range q {
			if q[(i+1)%len(q)].Sub(v).Cross(p.Sub(v)) < 0 {
				return false
			}
		}
		return len(q) > 2
	}
	least := math.Inf(1)
	for range 2 {
		for _, p := range a {
			if in(p, b) {
				return 0
			}
			for i, v := range b {
				d := b[(i+1)%len(b)].Sub(v)
				s := 0.0
				if q := d.Dot(d); q > 0 {
					s = min(1, max(0, p.Sub(v).Dot(d)/q))
				}
				least = min(least, p.Sub(v).Sub(d.Mul(s)).Len())
			}
		}
		a, b = b, a
	}
	for i, p := range a {
		for j, q := range b {
			u, v := a[(i+1)%len(a)], b[(j+1)%len(b)]
			if mesh.Orient2(p, u, q)*mesh.Orient2(p, u, v) < 0 && mesh.Orient2(q, v, p)*mesh.Orient2(q, v, u) < 0 {
				return 0
			}
		}
	}
	return least
}

// checkWalls holds a layout against its request: every outline is there, the wall is
// between all of them and to the sides.
func checkWalls(t *testing.T, r Request, l *Layout) {
	t.Helper()
	const tol = 1e-7
	want := make([]int, len(r.Pieces))
	for _, p := range l.Places {
		want[p.Piece]++
	}
	for i, p := range r.Pieces {
		if want[i] != p.Count {
			t.Errorf("piece %d stands there %d times, not %d", i, want[i], p.Count)
		}
	}
	all := placed(r, l)
	for i, a := range all {
		for _, p := range a {
			side := min(l.Length/2-math.Abs(p.X), l.Width/2-math.Abs(p.Y))
			if l.Radius > 0 {
				side = l.Radius - p.Len()
			}
			if side < r.Wall-tol {
				t.Errorf("outline %d is %v from the side, not %v", i, side, r.Wall)
			}
		}
		for j := range i {
			if d := apart(a, all[j]); d < r.Gap-tol {
				t.Errorf("outlines %d and %d are %v apart, not %v", j, i, d, r.Gap)
			}
		}
	}
	if t.Failed() {
		t.Fatalf("%+v\n%+v", r, l)
	}
}

// TestEqualCircles holds the packer against the least squares and circles known: closed
// forms, of P. G. Szabó et al., "New Approaches to Circle Packing in a Square", 2007,
// and of R. L. Graham et al., "Dense packings of congruent circles in a circle", 1998.
func TestEqualCircles(t *testing.T) {
	for _, c := range []struct {
		n            int
		side, radius float64 // of the square in diameters, of the circle in radii; 0 = not asked
	}{{2, 1.707107, 2}, {3, 1.965926, 1 + 2/math.Sqrt(3)}, {4, 2, 1 + math.Sqrt2}, {5, 2.414214, 2.701302}, {6, 2.664101, 3}, {7, 2.866025, 3},
		{8, 2.931852, 3.304765}, {9, 3, 3.613126}, {12, 3.572479, 4.029602}, {14, 3.866025, 0}, {19, 0, 1 + math.Sqrt2 + math.Sqrt(6)}, {20, 4.489042, 0}} {
		if testing.Short() && c.n > 9 {
			continue
		}
		ps := []Piece{{disc(2), c.n}}
		if c.side > 0 {
			r := Request{Pieces: ps, Ratio: 1}
			l := mustPack(t, r)
			checkWalls(t, r, l)
			if got := max(l.Length, l.Width) / 2; got > 1.01*c.side || got < c.side*(1-1e-6) {
				t.Errorf("%d circles take a square of %v, the least known is %v", c.n, got, c.side)
			}
		}
		if c.radius > 0 {
			r := Request{Pieces: ps, Within: Circle}
			l := mustPack(t, r)
			checkWalls(t, r, l)
			if l.Radius > 1.01*c.radius || l.Radius < c.radius*(1-1e-6) {
				t.Errorf("%d circles take a circle of %v, the least known is %v", c.n, l.Radius, c.radius)
			}
		}
	}
}

// TestCirclesInRectangle: the best of grids and hexagonal rows; 25 as in B. D.
// Lubachevsky, R. Graham, "Dense packings of congruent circles in rectangles with a
// variable aspect ratio", 2003.
func TestCirclesInRectangle(t *testing.T) {
	for n, area := range map[int]float64{4: 4, 10: 10, 11: 10.928203, 14: 13.660254, 25: 24.258330} {
		r := Request{Pieces: []Piece{{disc(1), n}}}
		l := mustPack(t, r)
		checkWalls(t, r, l)
		if l.Area() > 1.05*area || l.Area() < area*(1-1e-6) {
			t.Errorf("%d circles take %v, the least known is %v", n, l.Area(), area)
		}
	}
}

// TestSquares holds the packer against least rectangles of squares 1 to n (R. E. Korf,
// "Optimal rectangle packing: initial results", 2003) and against perfect rectangles:
// 33 by 32 is Z. Moroń's, 1925, the last is of A. J. W. Duijvestijn, "Simple perfect
// squared square of lowest order", 1978.
func TestSquares(t *testing.T) {
	for _, c := range []struct {
		area, over float64
		sides      []float64
	}{
		{9 * 11, 1.05, []float64{6, 5, 4, 3, 2, 1}},
		{14 * 15, 1.05, []float64{8, 7, 6, 5, 4, 3, 2, 1}},
		{23 * 29, 1.05, []float64{12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1}},
		{33 * 32, 1.1, []float64{18, 15, 7, 8, 14, 4, 10, 1, 9}},
		{65 * 47, 1.1, []float64{25, 24, 23, 22, 19, 17, 11, 6, 5, 3}},
		{112 * 112, 1.1, []float64{50, 42, 37, 35, 33, 29, 27, 25, 24, 19, 18, 17, 16, 15, 11, 9, 8, 7, 6, 4, 2}},
	} {
		r := Request{}
		for _, a := range c.sides {
			r.Pieces = append(r.Pieces, Piece{oblong(a, a), 1})
		}
		l := mustPack(t, r)
		checkWalls(t, r, l)
		if l.Area() > c.over*c.area || l.Area() < c.area*(1-1e-6) {
			t.Errorf("%d squares take %v by %v, which is %.3f times the least", len(c.sides), l.Length, l.Width, l.Area()/c.area)
		}
	}
}

// TestSix: six discs of 40 with a web of 8 and walls of 10 stand in a box of no more
// than their grid of 3 by 2 takes.
func TestSix(t *testing.T) {
	r := Request{Pieces: []Piece{{disc(40), 6}}, Gap: 8, Wall: 10}
	l := mustPack(t, r)
	checkWalls(t, r, l)
	if l.Area() > 16848*1.001 {
		t.Errorf("%v by %v is more than 156 by 108", l.Length, l.Width)
	}
	r.Step = 5
	l = mustPack(t, r)
	checkWalls(t, r, l)
	if math.Mod(l.Length, 5) != 0 || math.Mod(l.Width, 5) != 0 || l.Area() > 160*110 {
		t.Errorf("%v by %v are no whole steps of 5 of at most 160 by 110", l.Length, l.Width)
	}
}

// randomSet is a few small outlines of all kinds, flat ones among them.
func randomSet(g *rand.Rand) Request {
	r := Request{Gap: 8 * g.Float64(), Wall: 10 * g.Float64(), Within: Within(g.IntN(2))}
	for range 1 + g.IntN(2) {
		var pts []mesh.Vec2
		size, flat := 5+40*g.Float64(), 0.02+g.Float64()
		for range 3 + g.IntN(6) {
			pts = append(pts, mesh.Vec2{X: size*g.Float64() + 100, Y: flat*size*g.Float64() - 50})
		}
		r.Pieces = append(r.Pieces, Piece{mesh.Hull2(pts), 1 + g.IntN(2)})
	}
	switch g.IntN(6) {
	case 0:
		r.Gap = 0
	case 1:
		r.Step = 5
	case 2:
		r.Pieces[0].Outline = mesh.Hull2([]mesh.Vec2{{X: 3}, {X: 9, Y: 4}}) // a line
	case 3:
		r.Pieces[0].Outline = []mesh.Vec2{{X: 3}} // a point
	}
	return r
}

func TestWallIsKept(t *testing.T) {
	g, n := rand.New(rand.NewPCG(1, 2)), 10_000
	if testing.Short() {
		n = 1000
	}
	for k := range n {
		r := randomSet(g)
		s := newSearch(&r)
		s.hasty = k%2000 != 0
		a, err := s.run(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		checkWalls(t, r, s.layout(a))
	}
}

// TestSameLayout: the same request gives the same layout, to the last bit.
func TestSameLayout(t *testing.T) {
	r := Request{Pieces: []Piece{{oblong(30, 20), 2}, {disc(25), 2}, {mesh.Hull2([]mesh.Vec2{{}, {X: 40}, {X: 10, Y: 30}}), 1}}, Gap: 8, Wall: 10}
	if a, b := mustPack(t, r), mustPack(t, r); !reflect.DeepEqual(a, b) {
		t.Errorf("%+v\n%+v", a, b)
	}
}

func TestBadRequests(t *testing.T) {
	for _, r := range []Request{{}, {Pieces: []Piece{{disc(1), 0}}}, {Pieces: []Piece{{nil, 1}}}, {Pieces: []Piece{{disc(1), Most + 1}}}, {Pieces: []Piece{{disc(1), 1}}, Gap: math.NaN()}, {Pieces: []Piece{{disc(1), 1}}, Wall: -1}} {
		if _, err := Pack(context.Background(), r); err == nil {
			t.Errorf("no error for %+v", r)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Pack(ctx, Request{Pieces: []Piece{{disc(1), 3}}}); err == nil {
		t.Error("no error when cancelled")
	}
}
