package pose

import (
	"context"
	"math"
	"reflect"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/standin"
	"moldtally/mesh/shape"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid/solidtest"
)

// lettered is a tile 100 by 60 by 10 with bars standing 3 proud of its top
// (or sunk 3 into it) and nothing on its back.
func lettered(sunk bool) *mesh.Mesh {
	xs := []float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100}
	ys := []float64{0, 15, 45, 60}
	bar := func(i, j int) bool { return j == 1 && i%2 == 1 }
	return shape.Blocks(xs, ys, []float64{0, 10, 13}, func(i, j, k int) bool {
		return k == 0 || bar(i, j) != sunk
	})
}

// edged is a plate 100 by 60 by 20 with a hole 40 by 10 through it from edge to edge
// and bars on its top: standing on an edge, the rubber has less far to go.
func edged() *mesh.Mesh {
	return shape.Blocks([]float64{0, 10, 20, 30, 70, 80, 90, 100}, []float64{0, 60}, []float64{0, 5, 15, 20, 25},
		func(i, _, k int) bool { return k < 3 && (i != 3 || k != 1) || k == 3 && i%2 == 1 })
}

// asGoodAsAny is decided where several ways to stand are left.
const asGoodAsAny = "as good as any"

func TestStand(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	z, x, y := mesh.V(0, 0, 1), mesh.V(1, 0, 0), mesh.V(0, 1, 0)
	either := func(u mesh.Vec) []mesh.Vec { return []mesh.Vec{u, u.Neg()} }
	scan := shape.Without(shape.Revolve([]shape.RZ{{}, {R: 20, Z: 0}, {R: 25, Z: 30}, {R: 12, Z: 50}, {R: 18, Z: 65}, {R: 0, Z: 80}}, 64), func(_ int, c mesh.Vec) bool { return c.Z < 0.1 })
	chessman := shape.Revolve([]shape.RZ{{R: 0, Z: 5}, {R: 28, Z: 3}, {R: 30, Z: 0}, {R: 31, Z: 3}, {R: 29, Z: 12}, {R: 12, Z: 25}, {R: 10, Z: 60}, {R: 20, Z: 75}, {R: 14, Z: 95}, {R: 0, Z: 100}}, 64)
	tests := []struct {
		name    string
		m       *mesh.Mesh
		fileUp  *mesh.Vec
		want    []mesh.Vec
		decided any // a rule that must be among the steps, or that none was left; nil = not asked
	}{
		{"tile", lettered(false), nil, []mesh.Vec{z}, PlainSideDown},
		{"tile face down in the file", shape.Stand(lettered(false), z.Neg()), nil, []mesh.Vec{z.Neg()}, PlainSideDown},
		{"tile on its edge in the file", shape.Stand(lettered(false), x), nil, []mesh.Vec{x}, nil},
		{"engraved tile", lettered(true), nil, []mesh.Vec{z}, nil},
		{"engraved tile face down in the file", shape.Stand(lettered(true), z.Neg()), nil, []mesh.Vec{z.Neg()}, nil},
		{"cube", shape.Cube(40), nil, []mesh.Vec{z}, asGoodAsAny},
		{"cube with its own up", shape.Cube(40), &y, []mesh.Vec{y}, asGoodAsAny},
		{"slab on its edge", shape.Box(20, 200, 150), nil, either(x), LargestSideDown},
		{"plate with holes in its edge and bars on its face", edged(), nil, []mesh.Vec{z}, LargestSideDown},
		{"chessman on the rim of a hollow foot", chessman, nil, []mesh.Vec{z}, WideFoot},
		{"chessman lying in the file", shape.Stand(chessman, x), nil, []mesh.Vec{x}, WideFoot},
		{"coin", shape.Cylinder(15, 2, 64), nil, []mesh.Vec{z}, nil},
		{"coin on edge in the file", shape.Stand(shape.Cylinder(15, 2, 64), y), nil, either(y), nil},
		{"cone", shape.Cone(20, 60, 64), nil, []mesh.Vec{z}, RealFlatSide},
		{"cone point down in the file", shape.Stand(shape.Cone(20, 60, 64), z.Neg()), nil, []mesh.Vec{z.Neg()}, RealFlatSide},
		{"mushroom stands on its cap", shape.Mushroom(30, 10, 10, 40, 64), nil, []mesh.Vec{z.Neg()}, PlainSideDown},
		{"bottle", shape.Bottle(30, 12, 50, 20, 30, 64), nil, []mesh.Vec{z}, PlainSideDown},
		{"arch lies on its face", shape.Arch(60, 20, 50, 15, 35), nil, either(y), nil},
		{"mug", shape.Mug(40, 90, 4, 30, 48), nil, []mesh.Vec{z}, nil},
		{"mug on its rim in the file", shape.Stand(shape.Mug(40, 90, 4, 30, 48), z.Neg()), nil, []mesh.Vec{z.Neg()}, nil},
		{"hole upright", shape.CrossHoleCube(100, 20, 98), nil, nil, nil},
		{"scan without a bottom", scan, nil, []mesh.Vec{z}, OpenSideIsBottom},
		{"scan without a bottom, lying", shape.Stand(scan, x), nil, []mesh.Vec{x}, OpenSideIsBottom},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := solidtest.Rough(t, tt.m)
			st, err := Choose(context.Background(), s, Options{FileUp: tt.fileUp})
			if err != nil {
				t.Fatal(err)
			}
			up, why, dirs := st.Up, st.Pose.Reason, tried(t, st)
			ok := tt.want == nil
			for _, w := range tt.want {
				ok = ok || up.Sub(w).Len() < 1e-3
			}
			if !ok {
				t.Errorf("up: got %v want one of %v (%+v)", up, tt.want, why)
				for _, d := range dirs {
					t.Logf("%.3f path %v volume %.4g %+v", d.Up, fmtPtr(d.Path), d.Volume, d.Reason)
				}
			}
			switch want := tt.decided.(type) {
			case Step:
				if !slices.Contains(why.Steps, want) {
					t.Errorf("steps: got %v want %v among them", why.Steps, want)
				}
			case string:
				if why.Equal == nil {
					t.Errorf("got %+v, want several as good as another", why)
				}
			}
			if st.Pose.Up != up.Array() || len(dirs) < 6 || dirs[0].Up != up.Array() {
				t.Errorf("pose.Up %v, first of %d directions %v: want %v", st.Pose.Up, len(dirs), dirs[0].Up, up)
			}
		})
	}
	// The blind hole opens upward, whatever axis that is.
	s := solidtest.Rough(t, shape.CrossHoleCube(100, 20, 98))
	st, err := Choose(context.Background(), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	up, dirs := st.Up, tried(t, st)
	if dirs[0].Path == nil || *dirs[0].Path != 0 {
		t.Errorf("blind hole: up %v has a path, want none", up)
	}
}

// tried are the directions that were tried.
func tried(t testing.TB, st Standing) []Direction {
	t.Helper()
	d, err := st.Directions(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Judging only what decides chooses as judging all does, by the same steps.
func TestChoosesByNeed(t *testing.T) {
	ctx := context.Background()
	for _, m := range []*mesh.Mesh{shape.CrossHoleCube(100, 20, 98), shape.Horn(60, 12, 24, 32), shape.Cone(20, 60, 32)} {
		for _, mold := range []scene.Mold{scene.Block, scene.TwoPart} {
			p := &pattern{solid: solidtest.Rough(t, m), o: Options{Mold: mold}}
			var err error
			if p.body, err = standin.New(ctx, p.solid); err != nil {
				t.Fatal(err)
			}
			ways, err := candidates(ctx, p)
			if err != nil {
				t.Fatal(err)
			}
			byNeed, why, err := p.best(ctx, ways)
			if err != nil {
				t.Fatal(err)
			}
			if err := p.judge(ctx, ways); err != nil {
				t.Fatal(err)
			}
			first, all, err := decide(byNeed.ways, p.body.Area, mold.OnBoard(), func([]*candidate) error { return nil })
			if err != nil || first != byNeed.first || !reflect.DeepEqual(why, all) {
				t.Errorf("%s: by need %v, %+v; of all %v, %+v; %v", mold, byNeed.first.up, why, first.up, all, err)
			}
		}
	}
}

// In a mold that is cut open the object stands as it does in the world.
func TestStandsAsInTheWorld(t *testing.T) {
	x, y, z := mesh.V(1, 0, 0), mesh.V(0, 1, 0), mesh.V(0, 0, 1)
	lying := shape.Stand(shape.Cone(20, 60, 32), x)
	for _, tt := range []struct {
		name    string
		m       *mesh.Mesh
		o       Options
		want    mesh.Vec
		decided Step
	}{
		{"on its base", lying, Options{}, x, StandsOnBase},
		{"as said", lying, Options{Upright: &z, FileUp: &y}, z, StandsUpright},
		{"as the file states", lying, Options{FileUp: &y}, y, StandsUpright},
		{"without a base", shape.Sphere(20, 24), Options{}, z, StandsUpright},
		{"a slab on its edge", shape.Box(20, 200, 150), Options{}, z, StandsOnBase},
	} {
		tt.o.Mold = scene.Cut
		st, err := Choose(context.Background(), solidtest.Of(t, tt.m), tt.o)
		if err != nil {
			t.Fatal(err)
		}
		if st.Up.Sub(tt.want).Len() > 1e-3 || !slices.Equal(st.Pose.Reason.Steps, []Step{tt.decided}) {
			t.Errorf("%s: got %v, %+v", tt.name, st.Up, st.Pose.Reason)
		}
	}
}

func fmtPtr(p *float64) any {
	if p == nil {
		return "locked"
	}
	return *p
}

func TestPoseMeasures(t *testing.T) {
	// A box 50 by 30 by 20 turned 25° about z, far from the origin, with up
	// given by hand.
	m := shape.Translate(shape.Rotate(shape.Box(50, 30, 20), mesh.V(0, 0, 1), 25*math.Pi/180), mesh.V(1000, -2000, 500))
	z := mesh.V(0, 0, 2)
	st, err := Choose(context.Background(), solidtest.Rough(t, m), Options{Up: &z})
	if err != nil {
		t.Fatal(err)
	}
	up, p := st.Up, &st.Pose
	near := func(what string, got, want, tol float64) {
		if math.Abs(got-want) > tol {
			t.Errorf("%s: got %.9g want %.9g", what, got, want)
		}
	}
	if up != mesh.V(0, 0, 1) || !p.Reason.Asked {
		t.Errorf("got up %v, reason %+v", up, p.Reason)
	}
	near("length", p.Rect[0], 50, 1e-6)
	near("width", p.Rect[1], 30, 1e-6)
	near("circle", p.Circle, math.Hypot(50, 30), 1e-6)
	near("height", p.Height, 20, 1e-9)
	near("yaw", p.YawDeg, 25, 1e-6)
	near("contact", p.BaseContact, 1500, 1e-6)
	near("share", p.BaseContactFraction, 1500.0/(2*(1500+1000+600)), 1e-9)

	if _, err := Choose(context.Background(), nil, Options{}); err == nil {
		t.Error("no solid: want an error")
	}
	var none mesh.Vec
	if _, err := Choose(context.Background(), solidtest.Rough(t, m), Options{Up: &none}); err == nil {
		t.Error("zero up: want an error")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Choose(ctx, solidtest.Rough(t, m), Options{}); err == nil {
		t.Error("cancelled: want an error")
	}
}

// TestStandReal: real patterns stand as anyone would stand them.
func TestStandReal(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	for _, tt := range []struct {
		file string
		up   mesh.Vec // to within 5°
	}{
		{"mug.obj", mesh.V(0, 1, 0)},
		{"bust_open_bottom.obj", mesh.V(0, 1, 0)},
		{"lion_statue_holes.obj", mesh.V(0, 1, 0)},
		{"x_carriage_cavities.stl", mesh.V(0, 0, 1)},
	} {
		t.Run(tt.file, func(t *testing.T) {
			st, err := Choose(context.Background(), solidtest.Rough(t, solidtest.Read(t, real.File(t, "which way up real patterns stand", tt.file))), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if up := st.Up; up.Dot(tt.up) < math.Cos(5*math.Pi/180) {
				t.Errorf("up: got %v want %v (%+v)", up, tt.up, st.Pose.Reason)
			}
		})
	}
}

// BenchmarkChoose stands up a turned body with a deep groove, 200 thousand
// triangles.
func BenchmarkChoose(b *testing.B) {
	s := solidtest.Rough(b, shape.Waisted(30, 20, 37, 50_000))
	for _, search := range []bool{false, true} {
		b.Run(map[bool]string{false: "sides", true: "sphere"}[search], func(b *testing.B) {
			for b.Loop() {
				if _, err := Choose(context.Background(), s, Options{Search: search}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
