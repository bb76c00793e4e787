package scene_test

import (
	"context"
	"math"
	"slices"
	"sync"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

var up = mesh.V(0, 0, 1)

func of(t testing.TB, m *mesh.Mesh, u mesh.Vec, o scene.Options) *scene.Scene {
	t.Helper()
	c, err := scene.New(context.Background(), solidtest.Rough(t, m), u, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestHeights: a box of 60 × 40 × 30, moved, along each of its axes and of the
// body's diagonal, on a board and off it.
func TestHeights(t *testing.T) {
	s := solidtest.Rough(t, shape.Translate(shape.Box(60, 40, 30), mesh.V(7, -3, 100))) // about x and y, from z on
	third := math.Sqrt(3)
	two := 2.0
	for _, tt := range []struct {
		name            string
		up              mesh.Vec
		o               scene.Options
		base, top, clay float64
	}{
		{"z", mesh.V(0, 0, 5), scene.Options{}, 100, 130, 0.5},
		{"x", mesh.V(1, 0, 0), scene.Options{}, -23, 37, 0.6},
		{"y down, clay given", mesh.V(0, -1, 0), scene.Options{Clay: &two}, -17, 23, 2},
		{"blanket", up, scene.Options{Mold: scene.Blanket}, 100, 130, 0.5},
		{"in two", up, scene.Options{Mold: scene.TwoPart, Clay: &two}, 100, 130, 0},
		{"diagonal", mesh.V(1, 1, 1), scene.Options{Mold: scene.Cut}, (7 - 30 - 3 - 20 + 100) / third, (7 + 30 - 3 + 20 + 130) / third, 0},
	} {
		tt.o.Resolution = 1
		c, err := scene.New(context.Background(), s, tt.up, tt.o)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range []struct {
			what      string
			got, want float64
		}{
			{"base", c.Base, tt.base}, {"top", c.Top, tt.top}, {"clay", c.Clay, tt.clay}, {"clay line", c.ClayLine(), tt.base + tt.clay},
			{"size", c.Size, 60}, {"length of up", c.Up.Len(), 1}, {"ignore", c.Ignore, scene.DefaultIgnore}, {"noise", c.Noise(), 2},
		} {
			if math.Abs(x.got-x.want) > 1e-9 {
				t.Errorf("%s: %s: got %g, want %g", tt.name, x.what, x.got, x.want)
			}
		}
		if got, want := c.Field.Volume(), 60*40*30.0; math.Abs(got-want) > 0.02*want {
			t.Errorf("%s: columns of %g mm³, want %g", tt.name, got, want)
		}
		if board := tt.clay > 0; c.OnBoard() != board {
			t.Errorf("%s: on a board: got %v, want %v", tt.name, c.OnBoard(), board)
		}
	}
	for _, tt := range []struct{ height, want float64 }{{1000, 3}, {200, 2}, {40, 0.5}, {8, 0.4}, {0, 0}} {
		if got := scene.ClayDefault(tt.height); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("clay of a pattern %g high: got %g, want %g", tt.height, got, tt.want)
		}
	}
}

// rim is a box 40 square and 40 high with a hollow 30 square and 30 high from
// below; mouse is a hole 4 wide and 0.4 high through its rim.
func rim(mouse bool) *mesh.Mesh {
	return shape.Blocks([]float64{-20, -15, 15, 20}, []float64{-20, -15, -2, 2, 15, 20}, []float64{0, 0.4, 30, 40},
		func(i, j, k int) bool {
			hollow := k <= 1 && i == 1 && j >= 1 && j <= 3
			return !hollow && !(mouse && k == 0 && i == 2 && j == 2)
		})
}

// slant is a cylinder 40 high and 40 wide whose foot rises from the board to 8.
func slant(open bool) *mesh.Mesh {
	m := shape.Map(shape.Cylinder(20, 40, 96), func(p mesh.Vec) mesh.Vec {
		if p.Z == 0 {
			p.Z = 4 + p.X*4/20
		}
		return p
	})
	if !open {
		return m
	}
	return shape.Without(m, func(_ int, c mesh.Vec) bool { return math.Abs(c.Z-4-c.X*4/20) < 1e-9 })
}

// TestSpace: what rubber does not reach, what clay fills, and the surface that is
// lost, mm³ and mm².
func TestSpace(t *testing.T) {
	t.Parallel()
	const n = 96
	area := func(r float64) float64 { return shape.NgonArea(r, n) }
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	for _, tt := range []struct {
		name                          string
		m                             *mesh.Mesh
		clay                          float64
		pockets, fill, ragged, hidden float64
	}{
		{"rim without clay", rim(false), 0, 27000, 0, 0, 900 + 120*30},
		{"rim with clay", rim(false), 1, 27000, 0, 0, 900 + 120*30},
		{"mouse hole without clay", rim(true), 0, 0, 0, 0, 0},
		{"mouse hole in clay", rim(true), 1, 900 * 29, 900 + 20*0.4, 0, 900 + 120*30},
		{"mushroom in clay", shape.Mushroom(30, 10, 10, 40, n), 2, 0, 2 * (area(30) - area(10)), 0, 0},
		// Clay fills the undercut of a low bevel altogether.
		{"bevelled foot", shape.Revolve([]shape.RZ{rz(0, 0), rz(19, 0), rz(20, 1), rz(20, 20), rz(0, 20)}, n), 1,
			0, area(1) * (400 - (20*20*20-19*19*19)/3.0), 0, 0},
		{"legs", shape.Table(60, 40, 8, 10), 2, 0, 2 * (60*60 - 4*10*10), 0, 0},
		{"slant, open", slant(true), 0.5, 0, area(20) * 4, area(20) * 4, 0},
	} {
		c := of(t, tt.m, up, scene.Options{Clay: &tt.clay, Resolution: 0.25})
		s := c.Space()
		for _, x := range []struct {
			what           string
			got, want, tol float64
		}{
			{"pockets", s.Pockets, tt.pockets, 0.01}, {"largest", s.Largest.Volume, tt.pockets, 0.04}, {"clay", s.ClayFill, tt.fill, 0.03},
			{"ragged", s.Ragged, tt.ragged, 0.01}, {"hidden surface", s.PocketSurface(), tt.hidden, 0.35},
		} {
			if math.Abs(x.got-x.want) > x.tol*x.want+1e-9 {
				t.Errorf("%s: %s: got %g, want %g", tt.name, x.what, x.got, x.want)
			}
		}
		if (c.RaggedBottom() != nil) != (tt.ragged > 0) {
			t.Errorf("%s: has a ragged bottom: %v", tt.name, c.RaggedBottom() != nil)
		}
	}
	// Without a board all round is rubber, and a closed foot is no bottom.
	c := of(t, rim(true), up, scene.Options{Mold: scene.TwoPart, Resolution: 1})
	if s := c.Space(); s.Pockets != 0 || slices.ContainsFunc(s.Fill, func(f scene.Fill) bool { return f != scene.Rubber }) {
		t.Errorf("off a board: pockets %g, filled with %v", s.Pockets, s.Fill)
	}
	if of(t, slant(false), up, scene.Options{Resolution: 1}).RaggedBottom() != nil {
		t.Error("a closed slant has a ragged bottom")
	}
}

// TestReached: the flood in a hurry finds the same rubber.
func TestReached(t *testing.T) {
	for _, mouse := range []bool{false, true} {
		c := of(t, rim(mouse), up, scene.Options{Resolution: 0.5})
		quick := scene.Reached(c.Field, c.Base, c.ClayLine(), c.Eps)
		for g, f := range c.Space().Fill {
			if (f == scene.Rubber) != (quick.Fill[g] == scene.Rubber) {
				t.Fatalf("mouse hole %v: gap %d is %v, in a hurry %v", mouse, g, f, quick.Fill[g])
			}
		}
	}
}

// TestHalves: the lower half has the upper one's columns upside down, under the
// same numbers.
func TestHalves(t *testing.T) {
	c := of(t, shape.Mushroom(30, 10, 10, 40, 48), mesh.V(1, 2, 3), scene.Options{Mold: scene.TwoPart, Resolution: 1})
	h := c.Halves(17)
	if len(h) != 2 || h[0].Floor != 17 || h[1].Floor != -17 || h[0].Up != c.Up || h[1].Up != c.Up.Neg() || h[1].Field.U != c.Up.Neg() {
		t.Fatalf("got %+v", h)
	}
	for j := range c.Field.NY {
		for i := range c.Field.NX {
			a, b := h[0].Field.Column(i, j), slices.Clone(h[1].Field.Column(i, j))
			slices.Reverse(b)
			if !slices.EqualFunc(a, b, func(p, q dexel.Span) bool {
				return p.Bottom == -q.Top && p.Top == -q.Bottom && p.BottomTri == q.TopTri && p.TopTri == q.BottomTri
			}) {
				t.Fatalf("column %d, %d: %v, from below %v", i, j, a, b)
			}
			if p, q := scene.Point(h[0].Field, i, j, 5), scene.Point(h[1].Field, i, j, -5); mesh.V(p[0]-q[0], p[1]-q[1], p[2]-q[2]).Len() > 1e-9 {
				t.Fatalf("column %d, %d: %v, from below %v", i, j, p, q)
			}
		}
	}
	if b := of(t, shape.Cube(10), up, scene.Options{Resolution: 1}); len(b.Halves(3)) != 1 || b.Halves(3)[0].Floor != b.ClayLine() {
		t.Errorf("on a board: got %+v", b.Halves(3))
	}
}

// TestOver: noise over a stand-in is what the stand-in blurs, and clay is no
// higher than the body.
func TestOver(t *testing.T) {
	c := of(t, shape.Cube(10), up, scene.Options{Resolution: 1})
	clay := 25.0
	o := scene.Over(c.Field, c.Base, c.Top, c.Size, 0.7, scene.Options{Clay: &clay})
	if o.Clay != 10 || o.Ignore != 0.7 || math.Abs(o.Uncertainty-1.7) > 1e-12 || o.Mold != scene.Block || clay != 25 {
		t.Errorf("got %+v", o)
	}
}

// TestAnswers: a scene answers for its own arguments alone.
func TestAnswers(t *testing.T) {
	s := solidtest.Rough(t, shape.Cube(10))
	x, y := 1.0, 1.0
	c, err := scene.New(context.Background(), s, mesh.V(0, 0, 2), scene.Options{Clay: &x, Resolution: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range []scene.Options{{Clay: &y, Resolution: 1}, {Mold: scene.Block, Clay: &x, Resolution: 1}} {
		if !c.Answers(s, up, o) {
			t.Errorf("%+v: not answered", o)
		}
	}
	z := 2.0
	for _, o := range []scene.Options{{Resolution: 1}, {Clay: &z, Resolution: 1}, {Clay: &x}, {Clay: &x, Ignore: &y, Resolution: 1}, {Mold: scene.Blanket, Clay: &x, Resolution: 1}} {
		if c.Answers(s, up, o) {
			t.Errorf("%+v: answered", o)
		}
	}
	if c.Answers(s, up.Neg(), c.Asked()) || c.Answers(solidtest.Rough(t, shape.Cube(10)), up, c.Asked()) {
		t.Error("answers for another side up, or another solid")
	}
}

// TestShared: what is worked out on demand is the same for all that ask at once.
func TestShared(t *testing.T) {
	for _, mold := range []scene.Mold{scene.Block, scene.TwoPart} {
		c := of(t, slant(true), up, scene.Options{Mold: mold, Resolution: 1})
		type got struct {
			space  *scene.Space
			lower  *dexel.Field
			bottom bool
		}
		all := make([]got, 8)
		var wg sync.WaitGroup
		for k := range all {
			wg.Go(func() {
				h := c.Halves(20)
				all[k] = got{c.Space(), h[len(h)-1].Field, c.RaggedBottom() != nil}
			})
		}
		wg.Wait()
		for k, g := range all {
			if g != all[0] {
				t.Errorf("%s: the %dth asker got %+v, the first %+v", mold, k, g, all[0])
			}
		}
		// In other columns all is worked out anew, and the first scene stays.
		if d := c.In(c.Field); d.Space() == all[0].space || c.Space() != all[0].space {
			t.Errorf("%s: scenes in two fields share one space", mold)
		}
	}
}

// TestRefuses: arguments that cannot be, and a cancelled context.
func TestRefuses(t *testing.T) {
	s := solidtest.Rough(t, shape.Cube(20))
	x := func(v float64) *float64 { return &v }
	for _, tt := range []struct {
		name string
		up   mesh.Vec
		o    scene.Options
	}{
		{"no direction", mesh.Vec{}, scene.Options{}},
		{"no number", mesh.V(math.NaN(), 0, 0), scene.Options{}},
		{"unknown mold", up, scene.Options{Mold: "sand"}},
		{"clay above the pattern", up, scene.Options{Clay: x(21)}},
		{"negative clay", up, scene.Options{Clay: x(-1)}},
		{"negative ignore", up, scene.Options{Ignore: x(-1)}},
		{"too fine", up, scene.Options{Resolution: 1e-4}},
		{"negative resolution", up, scene.Options{Resolution: -1}},
	} {
		if c, err := scene.New(context.Background(), s, tt.up, tt.o); err == nil || c != nil {
			t.Errorf("%s: got %v, %v, want an error", tt.name, c, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := scene.New(ctx, s, up, scene.Options{}); err == nil {
		t.Error("cancelled: got no error")
	}
}
