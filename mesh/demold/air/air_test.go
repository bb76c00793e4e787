package air

import (
	"context"
	"math"
	"reflect"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

var up = mesh.V(0, 0, 1)

func ptr(x float64) *float64 { return &x }

// disc is the area of the regular polygon that stands in for a circle.
func disc(r float64, n int) float64 { return shape.NgonArea(r, n) }

func sceneOf(t testing.TB, m *mesh.Mesh, up mesh.Vec, o scene.Options) *scene.Scene {
	t.Helper()
	c, err := scene.New(context.Background(), solidtest.Rough(t, m), up, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// sides are the halves of the mold, parted half way up.
func sides(c *scene.Scene) []Side {
	if c.OnBoard() {
		return []Side{{Whole, c.Up, c.Field, c.Space(), c.ClayLine()}}
	}
	down, mid, inf := c.Field.UpsideDown(), (c.Base+c.Top)/2, math.Inf(-1)
	return []Side{
		{Upper, c.Up, c.Field, c.Space(), mid},
		{Lower, c.Up.Neg(), down, scene.NewSpace(down, inf, inf, c.Eps, nil), -mid},
	}
}

func findIn(t *testing.T, m *mesh.Mesh, up mesh.Vec, o scene.Options) Result {
	t.Helper()
	c := sceneOf(t, m, up, o)
	r, err := Find(context.Background(), c, Options{Sides: sides(c)})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// castIn is the casting's pour into a closed mold with its pull up.
func castIn(t *testing.T, m *mesh.Mesh, up mesh.Vec, o scene.Options) Pour {
	t.Helper()
	c := sceneOf(t, m, up, o)
	p := castingPour(c, c.Field, nil)
	p.level()
	p.tell()
	if err := p.tilt(context.Background()); err != nil {
		t.Fatal(err)
	}
	return p.rep
}

// bell is a ball cap's hollow looking down on a stem: the air in it is the cap
// of a ball of radius r, half-angle alpha at its middle, less the stem. The stem
// is thin so that the closed forms hold to a fraction of a per cent.
func bell(r, alpha float64, n int) *mesh.Mesh {
	const stem, wall = 0.8, 4
	mid := 60 - r // height of the ball's middle
	p := []shape.RZ{{R: 0, Z: 0}, {R: stem, Z: 0}}
	first := math.Asin(stem / r)
	const m = 96
	for k := range m + 1 {
		t := first + (alpha-first)*float64(k)/m
		p = append(p, shape.RZ{R: r * math.Sin(t), Z: mid + r*math.Cos(t)})
	}
	p = append(p, shape.RZ{R: (r + wall) * math.Sin(alpha), Z: mid + r*math.Cos(alpha)}) // the rim is level
	for k := m; k > 0; k-- {
		t := alpha * float64(k) / m
		p = append(p, shape.RZ{R: (r + wall) * math.Sin(t), Z: mid + (r+wall)*math.Cos(t)})
	}
	p = append(p, shape.RZ{R: 0, Z: mid + r + wall})
	return shape.Revolve(p, n)
}

// capVolume is the volume of a ball's cap: V. h²(3r − h)π/3 with h its height.
func capVolume(r, half float64) float64 {
	h := r * (1 - math.Cos(half))
	return math.Pi * h * h * (3*r - h) / 3
}

func airOf(t *testing.T, r Result, pour Liquid, half Half) Pour {
	t.Helper()
	for _, p := range r.Pours {
		if p.Pour == pour && p.Half == half {
			return p
		}
	}
	t.Fatalf("no %s pour, half %s, in %v", pour, half, r.Pours)
	return Pour{}
}

// TestTraps: cavities that catch air, and bodies that do not.
func TestTraps(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	const n = 128
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	// A bowl upside down on a stem: the cavity above its rim is a cylinder of
	// radius 25 less the stem, 20 deep.
	bowl := shape.Revolve([]shape.RZ{rz(0, 0), rz(5, 0), rz(5, 40), rz(25, 40), rz(25, 20), rz(30, 20), rz(30, 50), rz(0, 50)}, n)
	cavity := 20 * (disc(25, n) - disc(5, n))
	skirt := 20 * (disc(30, n) - disc(25, n))
	hook := shape.Hook(10, 40, 60, 20, 12) // a tip hanging down 20
	tests := []struct {
		name            string
		m               *mesh.Mesh
		up              mesh.Vec
		rubber, casting float64
	}{
		{"overhanging bowl", bowl, up, cavity, skirt},
		// Tipped upside down it stands on its top: the bowl is an open cup
		// then, and the casting's mouth is the top of the bowl.
		{"bowl let go", bowl, up.Neg(), 0, 0},
		{"dome", shape.Revolve([]shape.RZ{rz(0, 0), rz(5, 0), rz(20, 15), rz(0, 30)}, n), up, 0, 0},
		{"ball on a stem", shape.Revolve([]shape.RZ{rz(0, 0), rz(5, 0), rz(5, 20), rz(20, 35), rz(5, 50), rz(0, 50)}, n), up, 0, 0},
		{"hanging tip", hook, up, 0, 10 * 20 * 12},
		{"upright tip", hook, up.Neg(), 0, 0},
		{"cube", shape.Cube(30), up, 0, 0},
		{"table", shape.Table(60, 40, 8, 10), up, 0, 0},
		// Set on its top, its legs are upright: none again.
		{"table turned over", shape.Table(60, 40, 8, 10), up.Neg(), 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := tt.m.Size()
			r := findIn(t, tt.m, tt.up, scene.Options{Clay: ptr(0), Resolution: max(s.X, s.Y, s.Z) / 300})
			var rubber, casting float64
			for _, a := range r.Traps {
				if a.Pour == Rubber {
					rubber += a.Volume
				} else {
					casting += a.Volume
				}
			}
			if math.Abs(rubber-tt.rubber) > 0.02*tt.rubber {
				t.Errorf("rubber: got %g, want %g (%v)", rubber, tt.rubber, r.Traps)
			}
			if math.Abs(casting-tt.casting) > 0.02*tt.casting {
				t.Errorf("casting: got %g, want %g (%v)", casting, tt.casting, r.Traps)
			}
		})
	}
}

// TestAirTilt: a hollow that is a ball's cap lets go of its air when it is
// tipped by the cap's half-angle, since then its highest point is on the rim.
func TestAirTilt(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	for _, deg := range []float64{32, 20} {
		alpha := deg * math.Pi / 180
		r := findIn(t, bell(60, alpha, 128), up, scene.Options{Clay: ptr(0), Ignore: ptr(0), Resolution: 0.3})
		p := airOf(t, r, "rubber", "whole")
		if want := capVolume(60, alpha); math.Abs(p.Caught-want) > 0.02*want {
			t.Errorf("cap of %g°: caught %g, want %g", deg, p.Caught, want)
		}
		if p.Tilt == nil || p.Left != 0 || len(p.Vents) != 0 {
			t.Fatalf("cap of %g°: got %+v, want a tilt that empties it", deg, p)
		}
		if math.Abs(*p.Tilt-deg) > 2 {
			t.Errorf("cap of %g°: tilt %g", deg, *p.Tilt)
		}
		if d := mesh.V(p.Toward[0], p.Toward[1], p.Toward[2]); math.Abs(d.Len()-1) > 1e-9 || math.Abs(d.Dot(up)) > 1e-9 {
			t.Errorf("cap of %g°: toward %v, want a level direction", deg, *p.Toward)
		}
	}
}

// TestAirSpill: an inverted cup, tipped, keeps the air above the level plane
// through the highest point of its rim: of a cylinder of radius r and depth d
// the wedge πr²·r·tan(θ) is gone while 2r·tan(θ) < d; of a ball's cap what is
// left is a cap again, its half-angle less by θ.
func TestAirSpill(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	const r, d, n = 25.0, 40.0, 128
	cup := shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: 0.5, Z: 0}, {R: 0.5, Z: 30 + d}, {R: r, Z: 30 + d}, {R: r, Z: 30}, {R: r + 3, Z: 30}, {R: r + 3, Z: 35 + d}, {R: 0, Z: 35 + d}}, n)
	cap := 40 * math.Pi / 180
	for _, b := range []struct {
		name string
		m    *mesh.Mesh
		left func(theta float64) float64
	}{
		{"cylinder", cup, func(th float64) float64 { return disc(r, n)*d - math.Pi*r*r*r*math.Tan(th) }},
		{"cap", bell(50, cap, n), func(th float64) float64 { return capVolume(50, cap-th) }},
	} {
		c := sceneOf(t, b.m, up, scene.Options{Clay: ptr(0), Ignore: ptr(0), Resolution: 0.3})
		p := rubberPour(c, sides(c)[0])
		p.level()
		for _, deg := range []float64{0, 7, 15, 25} {
			for _, side := range []float64{0, 33, 200} {
				sin, cos := math.Sincos(side * math.Pi / 180)
				k := math.Tan(deg*math.Pi/180) * p.cell
				l := lean{float32(k * cos), float32(k * sin)}
				var got float64
				for _, c := range p.traps(p.settled(p.rest, l), l, 0, true) {
					got += c.volume
				}
				want := b.left(deg * math.Pi / 180)
				if math.Abs(got-want) > 0.02*b.left(0) {
					t.Errorf("%s tipped %g° toward %g°: got %.1f, want %.1f", b.name, deg, side, got, want)
				}
			}
		}
	}
}

// horned is a head on a neck with two horns; curl sends their tips down, else
// they stand up. tip is where one ends; hangs is what of one horn hangs below
// the underside of its bend, summed on a fine lattice without any columns.
func horned(curl bool) (m *mesh.Mesh, tip mesh.Vec, hangs float64) {
	const rad = 4.0
	path := []mesh.Vec{mesh.V(18, 0, 80)}
	if curl {
		for k := range 25 {
			sin, cos := math.Sincos(math.Pi * float64(k) / 24)
			path = append(path, mesh.V(36-12*cos, 0, 84+12*sin))
		}
		path = append(path, mesh.V(48, 0, 60))
	} else {
		path = append(path, mesh.V(26, 0, 84), mesh.V(30, 0, 92), mesh.V(32, 0, 120))
	}
	horn := shape.Tube(path, func(int) float64 { return rad }, 96)
	head := shape.Translate(shape.Sphere(26, 48), mesh.V(0, 0, 74))
	m = shape.Merge(shape.Cylinder(15, 60, 96), head, horn, shape.Map(horn, func(v mesh.Vec) mesh.Vec { return mesh.V(-v.X, -v.Y, v.Z) }))
	tip = path[len(path)-1]
	const h = 0.1
	for x := 36 + h/2; x < 54; x += h {
		for y := -5 + h/2; y < 5; y += h {
			for z := 60 + h/2; z < 92; z += h {
				if d := math.Hypot(math.Hypot(x-36, z-84)-12, y); z > 84 && d < rad || z <= 84 && math.Hypot(x-48, y) < rad {
					hangs += h * h * h
				}
			}
		}
	}
	return m, tip, hangs
}

// TestAirHorns: horns that curl down point up when the mold is turned over, and
// catch air at their tips; upright ones do not. The vents stand at the tips.
func TestAirHorns(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	m, tip, hangs := horned(true)
	r := findIn(t, m, up, scene.Options{Resolution: 0.4})
	p := airOf(t, r, "casting", "whole")
	if p.Up != [3]float64{0, 0, -1} {
		t.Errorf("a block is cast with %v up, want the mouth", p.Up)
	}
	if math.Abs(p.Caught-2*hangs) > 0.02*2*hangs {
		t.Errorf("curled: caught %g, want %g", p.Caught, 2*hangs)
	}
	if n := len(r.Traps); n != 2 {
		t.Fatalf("curled: %d traps, want 2: %v", n, r.Traps)
	}
	for _, a := range r.Traps {
		if d := math.Hypot(math.Abs(a.At[0])-tip.X, a.At[1]); d > 1 || math.Abs(a.At[2]-tip.Z) > 0.3 {
			t.Errorf("curled: vent at %v, want the middle of the tip at ±%v", a.At, tip)
		}
	}
	// The facts name the places.
	found := false
	for _, f := range r.Findings {
		if c, ok := f.Facts.(Caught); ok && f.Code == CodeCasting {
			found = len(c.Vents) == 2 && c.Mouth && math.Abs(c.Vents[0].X+c.Vents[1].X) < 1
		}
	}
	if !found {
		t.Errorf("curled: the findings %+v do not name the tips", r.Findings)
	}
	// No tilt of a mold with a mouth turns a hanging tube over.
	if p.Left < 0.5*p.Caught || len(p.Vents) != 2 {
		t.Errorf("curled: left %g of %g with vents %v, want two vents", p.Left, p.Caught, p.Vents)
	}
	m, _, _ = horned(false)
	if p := airOf(t, findIn(t, m, up, scene.Options{Resolution: 0.4}), "casting", "whole"); p.Caught != 0 || p.Tilt != nil || len(p.Vents) != 0 {
		t.Errorf("upright: got %+v, want no air", p)
	}
}

// TestAirShut: a mold without a mouth is fed at its highest place; every other
// peak needs a vent, unless tipping joins them.
func TestAirShut(t *testing.T) {
	if testing.Short() {
		t.Skip("two whole analyses; the full run has them")
	}
	// An H on its feet: uprights 100 and 80 high, the bar between 40 and 60.
	h := shape.Blocks([]float64{0, 20, 60, 80}, []float64{0, 20}, []float64{0, 10, 40, 60, 90, 100}, func(i, j, k int) bool {
		return i == 0 || k == 2 || i == 2 && k >= 1 && k <= 3
	})
	p := castIn(t, h, up, scene.Options{Mold: scene.TwoPart, Resolution: 0.4})
	if want := 20.0 * 20 * 30; math.Abs(p.Caught-want) > 0.02*want {
		t.Errorf("H: caught %g, want %g", p.Caught, want)
	}
	if p.SprueAt == nil || math.Hypot(p.SprueAt[0]-10, p.SprueAt[1]-10) > 1 || math.Abs(math.Abs(p.SprueAt[2]-50)-50) > 0.1 {
		t.Errorf("H: sprue at %v, want the middle of the long upright's end", p.SprueAt)
	}
	if p.Tilt != nil || len(p.Vents) != 1 || math.Hypot(p.Vents[0][0]-70, p.Vents[0][1]-10) > 1 || math.Abs(math.Abs(p.Vents[0][2]-50)-40) > 0.1 {
		t.Errorf("H: got %+v, want one vent on the short upright's end and no tilt", p)
	}
	// Two ridges, 60 and 58 high, a valley of 50 between; the same below. Raised
	// by atan(8/30) on the high ridge's side the valley drains to it.
	ridges := shape.Prism([][2]float64{{0, -60}, {30, -50}, {60, -58}, {60, 58}, {30, 50}, {0, 60}}, 20)
	p = castIn(t, ridges, mesh.V(0, 1, 0), scene.Options{Mold: scene.TwoPart, Ignore: ptr(0), Resolution: 0.4})
	if want := 30.0 * 8 / 2 * 20; math.Abs(p.Caught-want) > 0.02*want {
		t.Errorf("ridges: caught %g, want %g", p.Caught, want)
	}
	if want := math.Atan(8.0/30) * 180 / math.Pi; p.Tilt == nil || math.Abs(*p.Tilt-want) > 2 || p.Left != 0 || len(p.Vents) != 0 {
		t.Errorf("ridges: got %+v, want a tilt of %.1f°", p, want)
	} else if p.Toward[0] < 0.8 {
		t.Errorf("ridges: tipped toward %v, want +X", *p.Toward)
	}
	if p.SprueAt == nil || p.SprueAt[0] > 1 || math.Abs(math.Abs(p.SprueAt[1])-60) > 0.5 {
		t.Errorf("ridges: sprue at %v, want the high ridge", p.SprueAt)
	}
}

// slowClimb is climb by sweeping over all nodes until nothing changes.
func slowClimb(v *cavity, l lean) []float32 {
	escape := make([]float32, len(v.lo))
	for n := range escape {
		escape[n] = float32(math.Inf(-1))
	}
	for _, p := range v.free(l) {
		escape[p.n] = v.hi[p.n] + l.at(p.i, p.j)
	}
	for changed := true; changed; {
		changed = false
		v.each(func(p place) {
			up := l.at(p.i, p.j)
			v.around(p.i, p.j, l, func(x, y int32, _ float32) {
				q, to := v.column(x, y)
				for ; q < to; q++ {
					if max(v.lo[q], v.lo[p.n]) >= min(v.hi[q], v.hi[p.n]) {
						continue
					}
					if e := min(v.hi[p.n]+up, escape[q]); e > escape[p.n] && e >= v.lo[p.n]+up-v.eps {
						escape[p.n], changed = e, true
					}
				}
			})
		})
	}
	v.each(func(p place) { escape[p.n] = max(escape[p.n]-l.at(p.i, p.j), v.lo[p.n]) })
	return escape
}

// TestAirClimb: the fast flood gives the slow one's bits, level and leaning.
func TestAirClimb(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	curled, _, _ := horned(true)
	for _, m := range []*mesh.Mesh{curled, solidtest.Sample(t, "heron.ply"), shape.Table(60, 40, 8, 10)} {
		for _, mold := range []scene.Mold{scene.Block, scene.TwoPart} {
			size := m.Size()
			c := sceneOf(t, m, mesh.V(0.1, 0.2, 1), scene.Options{Mold: mold, Resolution: max(size.X, size.Y, size.Z) / 70})
			pours := []*pour{castingPour(c, c.Field, nil), castingPour(c, c.Field.UpsideDown(), nil)}
			if mold == scene.Block {
				mouth := -c.ClayLine()
				pours[1] = castingPour(c, c.Field.UpsideDown(), &mouth)
			}
			for _, s := range sides(c) {
				pours = append(pours, rubberPour(c, s))
			}
			for n, p := range pours {
				for _, deg := range []float64{0, 17, 44} {
					k := float32(math.Tan(deg*math.Pi/180) * p.cell)
					l := lean{0.8 * k, -0.6 * k}
					got, want := p.climb(l, p.free(l)), slowClimb(p.cavity, l)
					p.each(func(g place) {
						if got[g.n] != want[g.n] {
							t.Fatalf("%s, pour %d tipped %g°, column %d %d: got %v, want %v", mold, n, deg, g.i, g.j, got[g.n], want[g.n])
						}
					})
				}
			}
		}
	}
}

// TestAirSame: any number of cores gives the same answer, and a cancel ends it.
func TestAirSame(t *testing.T) {
	c := sceneOf(t, bell(50, 0.6, 32), up, scene.Options{Resolution: 1})
	run := func(ctx context.Context, cores int) (Result, error) {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		return Find(ctx, c, Options{})
	}
	one, err := run(context.Background(), 1)
	if err != nil {
		t.Fatal(err)
	}
	if three, _ := run(context.Background(), 3); !reflect.DeepEqual(one, three) {
		t.Errorf("one core: %v, three: %v", one, three)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := run(ctx, 2); err == nil {
		t.Error("went on after the cancel")
	}
}

func BenchmarkAir(b *testing.B) {
	c := sceneOf(b, bell(50, 0.6, 256), up, scene.Options{})
	c.Space()
	for b.Loop() {
		if _, err := Find(context.Background(), c, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
