package shape

import (
	"math"
	"testing"

	"moldtally/mesh"
)

func near(got, want, rel float64) bool {
	return math.Abs(got-want) <= rel*math.Max(math.Abs(want), 1e-300)
}

// bodies lists every body with its closed formula for the volume (0 = none
// given) and its genus. Published figures have nine or ten digits.
func bodies() []struct {
	name   string
	m      *mesh.Mesh
	volume float64
	genus  int
} {
	type row = struct {
		name   string
		m      *mesh.Mesh
		volume float64
		genus  int
	}
	return []row{
		{"cube", Cube(10), 1000, 0},
		{"box", Box(3, 4, 5), 60, 0},
		{"fine box", FineBox(3, 4, 5, 4), 60, 0},
		{"sphere", Sphere(30, 24), RevolveVolume(BallProfile(30, 24), 48), 0},
		{"icosphere", Icosphere(30, 2), 0, 0},
		{"ellipsoid", Ellipsoid(30, 20, 10, 20), 6000 * RevolveVolume(BallProfile(1, 20), 40), 0},
		{"torus", Torus(40, 10, 48, 24), RevolveVolume(TorusProfile(40, 10, 24), 48), 1},
		{"cylinder", Cylinder(10, 30, 32), NgonArea(10, 32) * 30, 0},
		{"cone", Cone(20, 60, 64), NgonArea(20, 64) * 20, 0},
		{"cone on its tip", Frustum(0, 20, 60, 64), NgonArea(20, 64) * 20, 0},
		{"frustum", Frustum(50, 40, 100, 36), RevolveVolume(FrustumProfile(50, 40, 100), 36), 0},
		{"square pyramid frustum (T11.14)", Frustum(20*math.Sqrt2, 10*math.Sqrt2, 30, 4), 28000, 0},
		{"hexagonal prism (T11.13)", Prism(Ngon(10, 6), 20), 5196.152423, 0},
		{"mushroom", Mushroom(30, 10, 10, 40, 64), NgonArea(10, 64)*40 + NgonArea(30, 64)*10, 0},
		{"vase", Vase(20, 40, 25, 100, 5, 48), RevolveVolume(VaseProfile(20, 40, 25, 100, 5), 48), 0},
		{"bottle", Bottle(30, 10, 60, 20, 20, 24), RevolveVolume(BottleProfile(30, 10, 60, 20, 20), 24), 0},
		{"waisted", Waisted(20, 10, 40, 24), RevolveVolume(WaistedProfile(20, 10, 40), 24), 0},
		{"square ring", SquareRing(35, 45, 10, 72), (NgonArea(45, 72) - NgonArea(35, 72)) * 10, 1},
		{"cross hole cube", CrossHoleCube(100, 10, 98), 1e6 - 9800, 0},
		{"through hole cube", ThroughHoleCube(100, 10), 1e6 - 1e4, 1},
		{"arch", Arch(80, 20, 60, 20, 40), 80*20*60 - 40*20*40, 0},
		{"table", Table(100, 70, 10, 10), 1e5 + 4*100*60, 0},
		{"T", TShape(60, 10, 20, 40), 400*40 + 60*20*10, 0},
		{"tray", Tray(60, 40, 30, 5), 60*40*30 - 50*30*25, 0},
		{"leaning post", LeaningPost(20, 80, 40), 400 * 80, 0},
		{"dovetail", Dovetail(20, 40, 15, 90), 30 * 15 * 90, 0},
		{"hook", Hook(10, 40, 60, 15, 12), (10*50 + 40*10 + 10*15) * 12, 0},
		{"horn", Horn(60, 12, 24, 20), 0, 0},
		{"mug", Mug(40, 90, 5, 25, 24), 0, 1},
		{"tetrahedron (T11.8)", Tetrahedron(10), 117.851130, 0},
		{"octahedron (T11.10)", Octahedron(10), 471.404521, 0},
		{"icosahedron (T11.12)", Icosahedron(10), 2181.694991, 0},
	}
}

func TestBodies(t *testing.T) {
	for _, b := range bodies() {
		t.Run(b.name, func(t *testing.T) {
			if err := Check(b.m); err != nil {
				t.Fatal(err)
			}
			v := Volume(b.m)
			if b.volume != 0 && !near(v, b.volume, 2e-8) {
				t.Errorf("volume: got %.9g, want %.9g", v, b.volume)
			}
			if g := Genus(b.m); g != b.genus {
				t.Errorf("genus: got %d, want %d", g, b.genus)
			}
			// What must not change the body must not change its volume.
			axis, far := mesh.V(1, 2, 3), mesh.V(1e5, -2e5, 3e5)
			for name, moved := range map[string]*mesh.Mesh{
				"turned": Rotate(b.m, axis, 1), "moved": Translate(b.m, far), "mirrored": Mirror(b.m),
				"stood": Stand(b.m, mesh.V(0, 1, 0)), "sheared": Shear(b.m, 0.5), "subdivided": Subdivide(b.m),
			} {
				if err := Check(moved); err != nil {
					t.Errorf("%s: %v", name, err)
				}
				// Moving by 3e5 rounds coordinates at 6e-11.
				if got := Volume(moved); !near(got, v, 1e-8) {
					t.Errorf("%s: volume got %.12g, want %.12g", name, got, v)
				}
			}
			if got := Volume(Scale(b.m, 25.4, 25.4, 25.4)); !near(got, v*16387.064, 1e-12) {
				t.Errorf("in inches: volume got %.12g, want %.12g", got, v*16387.064)
			}
			if got := Volume(Flip(b.m)); got != -v {
				t.Errorf("flipped: volume got %g, want %g", got, -v)
			}
		})
	}
}

// Published figures (the ideal bodies) that the facets approach with the
// square of their number.
func TestRevolveIdeal(t *testing.T) {
	fine := 4000
	for _, c := range []struct {
		name    string
		p       []RZ
		v, area float64
		rel     float64
	}{
		{"T11.1 sphere r30", BallProfile(30, fine), 113097.3355, 11309.7336, 1e-6},
		{"T11.2 torus R40 r10", TorusProfile(40, 10, fine), 78956.8352, 15791.3670, 1e-5},
		{"T11.6 frustum", FrustumProfile(50, 40, 100), 638790.5062, 41295.8838, 3e-8},
		{"T11.7 cone", FrustumProfile(20, 0, 60), 25132.7412, 3973.8353 + math.Pi*400, 1e-8},
		{"T11.16 Pappus", []RZ{{18, 0}, {24, 0}, {18, 9}}, 3392.9201, 0, 3e-8},
		{"T11.17 square ring", []RZ{{35, 0}, {45, 0}, {45, 10}, {35, 10}}, 25132.7412, 10053.0965, 1e-8},
	} {
		if got := RevolveVolume(c.p, 0); !near(got, c.v, c.rel) {
			t.Errorf("%s: ideal volume got %.10g, want %.10g", c.name, got, c.v)
		}
		if got := RevolveVolume(c.p, fine); !near(got, c.v, max(c.rel, 1e-5)) {
			t.Errorf("%s: volume of %d facets got %.10g, want %.10g", c.name, fine, got, c.v)
		}
		if got := RevolveArea(c.p, 0); c.area != 0 && !near(got, c.area, c.rel) {
			t.Errorf("%s: ideal area got %.10g, want %.10g", c.name, got, c.area)
		}
	}
}

func TestRevolveArea(t *testing.T) {
	for _, p := range [][]RZ{BallProfile(30, 12), TorusProfile(40, 10, 9), MushroomProfile(30, 10, 10, 40), VaseProfile(20, 40, 25, 100, 5)} {
		for _, n := range []int{3, 8, 31} {
			if got, want := Area(Revolve(p, n)), RevolveArea(p, n); !near(got, want, 1e-12) {
				t.Errorf("%d points in %d steps: area got %.12g, want %.12g", len(p), n, got, want)
			}
		}
	}
}

func TestCheckFinds(t *testing.T) {
	c := Cube(10)
	for name, m := range map[string]*mesh.Mesh{
		"open":     WithoutNumbers(c, 3),
		"inward":   Flip(c),
		"turned":   FlipSome(c, func(i int) bool { return i == 5 }),
		"doubled":  WithTriangles(c, c.Triangles()[0]),
		"collapse": WithTriangles(c, [3]int32{1, 1, 2}),
		"sheet":    Without(Cylinder(20, 30, 12), func(t int, c mesh.Vec) bool { return c.Z == 30 }),
	} {
		if Check(m) == nil {
			t.Errorf("%s: Check found nothing", name)
		}
	}
	if err := CheckClosed(Shells(Cube(10), Translate(Cube(4), mesh.V(0, 0, 2)))); err != nil {
		t.Errorf("shells: %v", err)
	}
	if got := Volume(Shells(Cube(10), Translate(Cube(4), mesh.V(0, 0, 2)))); got != 1000-64 {
		t.Errorf("shells: volume got %g, want 936", got)
	}
}
