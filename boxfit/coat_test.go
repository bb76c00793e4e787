package boxfit

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// The coat of bodies whose outside at a distance is known in closed form. A body
// that is convex has V + S t + M t² + 4π/3 t³ within t (Steiner; M the integral of
// mean curvature); of a prism that stands on the board only the half above its foot
// counts: h (P t + π t²) beside it and A t + P π t²/4 + 2π t³/3 on top.
func TestCoatOfKnownBodies(t *testing.T) {
	pi := math.Pi
	prism := func(a, p, h, t float64) float64 { return h*(p*t+pi*t*t) + a*t + p*pi*t*t/4 + 2*pi*t*t*t/3 }
	lifted := func(m *mesh.Mesh, z float64) *mesh.Mesh {
		return shape.Map(m, func(v mesh.Vec) mesh.Vec { return v.Add(mesh.V(0, 0, z)) })
	}
	// What of a ball of radius r round a centre h above the board is above it.
	cap := func(r, h float64) float64 { return 4*pi/3*r*r*r - pi*(r-h)*(r-h)*(2*r+h)/3 }
	// A tube round a ring: its outside at t is the tube of b + t; below the board
	// lies a segment of its section, by Pappus.
	tube := func(a, b, t float64) float64 {
		r := b + t
		segment := r*r*math.Acos(b/r) - b*math.Sqrt(r*r-b*b)
		return 2 * pi * a * (pi*(r*r-b*b) - segment)
	}
	// A cone on the board: below half the angle at its tip the side carries a coat
	// of S t + (edge) and the tip part of a ball; the rim a quarter and a bit.
	cone := func(r, h, t float64) float64 {
		l := math.Hypot(r, h)
		tilt := math.Atan2(r, h) // of the side's normal, above level
		side := pi * r * l * t
		// About the rim the normals run from level to the side's: part of a ring.
		rim := 2*pi*r*t*t/2*tilt + 2*pi*t*t*t/3*math.Sin(tilt)
		// About the tip: a cap of the ball, less what the side's slab has of it.
		tip := 2 * pi * t * t * t / 3 * (1 - math.Sin(tilt))
		// The slab over a cone widens outward: mean curvature along the side.
		bend := pi * l * math.Cos(tilt) * t * t
		return side + rim + tip + bend
	}
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		t    float64
		want float64
	}{
		{"cube", shape.Cube(50), 8, prism(2500, 200, 50, 8)},
		{"box", shape.Box(80, 50, 30), 8, prism(4000, 260, 30, 8)},
		{"box of small triangles", shape.FineBox(80, 50, 30, 24), 5, prism(4000, 260, 30, 5)},
		{"dense box", shape.FineBox(80, 50, 30, 36), 8, prism(4000, 260, 30, 8)},
		{"large box", shape.Box(400, 260, 300), 9, prism(104000, 1320, 300, 9)},
		{"cylinder", shape.Cylinder(20, 50, 256), 8, prism(pi*400, 40*pi, 50, 8)},
		{"post", shape.Box(6, 6, 200), 10, prism(36, 24, 200, 10)},
		{"dense ball", lifted(shape.Icosphere(12, 5), 12), 5, cap(17, 12) - cap(12, 12)},
		{"ring", lifted(shape.Torus(40, 12, 160, 64), 12), 8, tube(40, 12, 8)},
		{"scan", lifted(shape.Icosphere(60, 5), 60), 7, cap(67, 60) - cap(60, 60)},
		{"large scan", lifted(shape.Icosphere(450, 4), 450), 11, cap(461, 450) - cap(450, 450)},
		{"cone", shape.Cone(20, 60, 512), 8, cone(20, 60, 8)},
	} {
		if testing.Short() && c.m.NumTriangles() > 1000 {
			continue // the short run is for the race detector, which sees as much on few triangles
		}
		for _, turn := range []float64{0, 0.5547}[:2-min(1, c.m.NumTriangles()/13)] {
			s := sceneOf(t, shape.Rotate(c.m, upZ, turn), upZ)
			got, err := s.coat(context.Background(), c.t)
			if err != nil {
				t.Fatal(err)
			}
			if !near(got.volume, c.want, CoatError) {
				t.Errorf("%s turned %v: %.0f, want %.0f (%.2f %%)", c.name, turn, got.volume, c.want, 100*(got.volume/c.want-1))
			}
		}
	}
}

// A coat in two halves lies all round: of a box S t + π/4 t² along its edges and a
// ball of t at its corners, of a ball the shell. The two pieces over a ball's outside
// of radius r draw from its middle without filler; parted d higher, what lies outside
// the circle there is filled up to it: π d³/3.
func TestCoatInHalves(t *testing.T) {
	for _, c := range []struct {
		name          string
		m             *mesh.Mesh
		t, at         float64
		want, filling float64
	}{
		{"box", shape.Box(80, 50, 30), 8, 15, 15800*8 + 640*math.Pi*64/4 + 4*math.Pi/3*512, 0},
		{"ball", shape.Icosphere(20, 4), 5, 0, 4 * math.Pi / 3 * (25*25*25 - 20*20*20), 0},
		{"ball parted higher", shape.Icosphere(20, 4), 5, 10, 4 * math.Pi / 3 * (25*25*25 - 20*20*20), math.Pi / 3 * 1000},
	} {
		s := sceneOf(t, c.m, upZ)
		s.parting = &c.at
		f, _, err := search(context.Background(), s, Request{Mold: "brushed", Coat: &c.t})
		if err != nil {
			t.Fatal(err)
		}
		k, err := s.coat(context.Background(), c.t)
		if err != nil {
			t.Fatal(err)
		}
		filled := k.overHalves(c.at).volume // without draft
		if !near(*f.CoatVolume, c.want, 2*CoatError) || math.Abs(filled-c.filling) > 0.03*c.filling+0.002*c.want || *f.FillOut < filled {
			t.Errorf("%s: coat %.0f, filling %.0f, with draft %.0f, want %.0f, %.0f", c.name, *f.CoatVolume, filled, *f.FillOut, c.want, c.filling)
		}
		if p := f.Shell.Pieces; len(p) != 2 || p[0].Draw != [3]float64{0, 0, 1} || p[1].Draw != [3]float64{0, 0, -1} {
			t.Errorf("%s: pieces %+v", c.name, p)
		}
	}
}

// Above the clay line alone: of a prism as much lower, and of what lies higher.
func TestCoatAboveTheClay(t *testing.T) {
	s := sceneOf(t, shape.Box(80, 50, 30), upZ)
	bare, err := s.coat(context.Background(), 8)
	if err != nil {
		t.Fatal(err)
	}
	s.clayHeight = 3
	clay, err := s.coat(context.Background(), 8)
	if err != nil {
		t.Fatal(err)
	}
	if want := bare.volume - 3*(260*8+math.Pi*64); !near(clay.volume, want, CoatError) {
		t.Errorf("over 3 mm of clay %.0f, want %.0f", clay.volume, want)
	}
}

// What no rubber reaches takes no coat: the inside of a mug that stands on its rim.
func TestNoCoatInAPocket(t *testing.T) {
	open := shape.Mug(40, 90, 5, 25, 32)
	up, down := sceneOf(t, open, upZ), sceneOf(t, open, mesh.V(0, 0, -1))
	a, err := up.coat(context.Background(), 5)
	if err != nil {
		t.Fatal(err)
	}
	b, err := down.coat(context.Background(), 5)
	if err != nil {
		t.Fatal(err)
	}
	// At least the walls inside, 5 mm thick on 5/6 of the height.
	if a.volume-b.volume < 0.8*math.Pi*(35*35-30*30)*75 {
		t.Errorf("%.0f with the mouth up, %.0f on the rim", a.volume, b.volume)
	}
}

func BenchmarkCoat(b *testing.B) {
	for name, m := range map[string]*mesh.Mesh{"ball60": shape.Icosphere(60, 7), "ball150": shape.Icosphere(150, 7), "ball450": shape.Icosphere(450, 7)} {
		s := sceneOf(b, m, upZ)
		t := CoatRule("brushed", 2*s.circle.Radius)
		if _, err := s.coat(context.Background(), t); err != nil { // makes the solid
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := s.coat(context.Background(), t); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkBrushed(b *testing.B) {
	s := sceneOf(b, shape.Icosphere(250, 6), upZ)
	for b.Loop() {
		if _, _, err := search(context.Background(), s, Request{Mold: "brushed"}); err != nil {
			b.Fatal(err)
		}
	}
}
