package seam_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/seam"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// channel is a bar along Y, 60 wide and 40 high, with a slot in it from its +X
// side: 40 deep, 20 high, and 10 high between the lips at its mouth. Only leaves
// that part along Y let go of it.
func channel() *mesh.Mesh {
	return shape.Blocks([]float64{-30, -10, 25, 30}, []float64{-25, 25}, []float64{0, 10, 15, 25, 30, 40},
		func(i, _, k int) bool { return i == 0 || k == 0 || k == 4 || i == 2 && k != 2 })
}

// undercutsOf finds the undercuts of a mesh along +Z and the surface they hold;
// parting nil = the best.
func undercutsOf(t *testing.T, m *mesh.Mesh, o scene.Options, parting *float64) (*undercut.Result, *undercut.Surface) {
	t.Helper()
	ctx := context.Background()
	c, err := scene.New(ctx, solidtest.Rough(t, m), mesh.V(0, 0, 1), o)
	if err != nil {
		t.Fatal(err)
	}
	u, err := undercut.Find(ctx, c, undercut.Options{Parting: parting})
	if err != nil {
		t.Fatal(err)
	}
	s, err := undercut.OnSurface(ctx, u, undercut.SurfaceOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return u, s
}

func TestSeam(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	y, z := mesh.V(0, 1, 0), mesh.V(0, 0, 1)
	dumbbell := shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: 30, Z: 0}, {R: 30, Z: 10}, {R: 10, Z: 10}, {R: 10, Z: 30}, {R: 30, Z: 30}, {R: 30, Z: 40}, {R: 0, Z: 40}}, 96)
	tests := []struct {
		name   string
		m      *mesh.Mesh
		normal mesh.Vec // of the plane; zero = any along the pull
		side   mesh.Vec // zero = any
		length float64
		opens  int
		left   float64
	}{
		// Two flat ends cut right across, and one side between them.
		{"dumbbell", dumbbell, mesh.Vec{}, mesh.Vec{}, 60 + 10 + 20 + 20 + 20 + 10 + 60, 1, 0},
		// The deepest undercut is in the slot, anywhere along it.
		{"channel", channel(), mesh.V(0, 1, 0), mesh.Vec{}, 60 + 40 + 60, 1, 0},
		{"channel, turned about", shape.Map(channel(), func(v mesh.Vec) mesh.Vec { return mesh.V(-v.X, -v.Y, v.Z) }), mesh.V(0, 1, 0), mesh.Vec{}, 160, 1, 0},
		// The hole runs along X: leaves that part there pull its tongue out.
		{"cube with a cross hole", shape.CrossHoleCube(40, 10, 30), mesh.V(1, 0, 0), mesh.Vec{}, 3 * 40, 1, 0},
		{"ball", shape.Sphere(25, 48), mesh.Vec{}, y, math.Pi * 25, 0, 0},
		// The rubber through the hole is cut too.
		{"ring lying flat", shape.Torus(40, 10, 96, 48), z, mesh.Vec{}, math.Pi*50 + 2*math.Pi*30, 0, 0},
		// What lies inside is no place to cut.
		{"hollow slab", shape.Shells(shape.Box(60, 30, 10), shape.Translate(shape.Box(40, 20, 4), mesh.V(0, 0, 3))), mesh.Vec{}, y, 30 + 10 + 30, 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			u, surface := undercutsOf(t, tt.m, scene.Options{Mold: scene.Cut, Resolution: 1}, nil)
			r, err := seam.Find(context.Background(), u, surface, seam.Options{})
			if err != nil {
				t.Fatal(err)
			}
			s := r.Seam
			if s == nil {
				t.Fatal("no seam")
			}
			n := mesh.V(s.Normal[0], s.Normal[1], s.Normal[2])
			side := mesh.V(s.Side[0], s.Side[1], s.Side[2])
			if want := tt.normal; want != (mesh.Vec{}) && math.Abs(n.Dot(want)) < 0.999999 {
				t.Errorf("plane across %v, want %v", n, want)
			} else if want == (mesh.Vec{}) && math.Abs(n.Z) > 1e-9 {
				t.Errorf("plane across %v, want one along the pull", n)
			}
			if tt.side != (mesh.Vec{}) && side.Dot(tt.side) < 0.999999 {
				t.Errorf("cut on the side %v, want %v", side, tt.side)
			}
			want := tt.length
			if strings.HasPrefix(tt.name, "channel") && (side.X > 0) != strings.HasSuffix(tt.name, "about") {
				want += 100 // into the slot and out again
			}
			if math.Abs(s.Length-want) > 1 {
				t.Errorf("length: got %.2f want %.2f", s.Length, want)
			}
			if len(s.Opens) != tt.opens {
				t.Errorf("opens %v, want %d of %v", s.Opens, tt.opens, surface.Regions)
			}
			if s.Path == nil || math.Abs(*s.Path-tt.left) > 2*u.Scene.Uncertainty {
				t.Errorf("left: got %v want %.2f", s.Path, tt.left)
			}
			for _, l := range s.Line {
				for _, p := range l {
					if d := n.Dot(mesh.V(p[0], p[1], p[2])) - s.Offset; math.Abs(d) > 1e-9 {
						t.Fatalf("the cut leaves its plane by %g mm at %v", d, p)
					}
				}
			}
		})
	}
}

// face is a box 60 wide, 30 deep and 40 high with ribs along Y 5 proud of its +X
// side.
func face() *mesh.Mesh {
	return shape.Blocks([]float64{-15, 15, 20}, []float64{-30, 30}, []float64{0, 5, 10, 15, 20, 25, 30, 35, 40},
		func(i, _, k int) bool { return i == 0 || k%2 == 1 })
}

// upright is the same with its ribs upright: nothing overhangs.
func upright() *mesh.Mesh {
	return shape.Blocks([]float64{-15, 15, 20}, []float64{-30, -25, -20, -10, -5, 5, 10, 20, 25, 30}, []float64{0, 40},
		func(i, j, _ int) bool { return i == 0 || j%2 == 1 })
}

// The knife keeps to the back: of the face that is named, else of the side with
// relief.
func TestFront(t *testing.T) {
	x, y, z := mesh.V(1, 0, 0), mesh.V(0, 1, 0), mesh.V(0, 0, 1)
	for _, tt := range []struct {
		name   string
		m      *mesh.Mesh
		show   *mesh.Vec
		front  mesh.Vec // the knife keeps away from
		normal mesh.Vec // of the plane; zero = along the pull
		from   seam.FrontFrom
	}{
		{"nothing stands out", shape.Sphere(25, 32), nil, y.Neg(), mesh.Vec{}, seam.FrontCustom},
		{"ribs", face(), nil, x, mesh.Vec{}, seam.FrontOverhang},
		{"ribs upright", upright(), nil, x, mesh.Vec{}, seam.FrontRelief},
		{"named", shape.Sphere(25, 32), &x, x, mesh.Vec{}, seam.FrontAsked},
		{"named otherwise", face(), &y, y, mesh.Vec{}, seam.FrontAsked},
		{"it looks up", shape.Sphere(25, 32), &z, z, z, seam.FrontAsked},
	} {
		u, surface := undercutsOf(t, tt.m, scene.Options{Mold: scene.Cut, Resolution: 1}, nil)
		r, err := seam.Find(context.Background(), u, surface, seam.Options{Show: tt.show})
		if err != nil || r.Seam == nil {
			t.Fatalf("%s: %v, %v", tt.name, r.Seam, err)
		}
		s := r.Seam
		if s.Front.From != tt.from || s.Crosses() {
			t.Errorf("%s: front %+v, %g across the face", tt.name, s.Front, s.Across)
		}
		if looks := mesh.V(s.Front.Looks[0], s.Front.Looks[1], s.Front.Looks[2]); looks.Dot(tt.front) < 1-1e-3 {
			t.Errorf("%s: looks %.3f, want %v", tt.name, looks, tt.front)
		}
		if side := mesh.V(s.Side[0], s.Side[1], s.Side[2]); side.Dot(tt.front) > 1e-9 {
			t.Errorf("%s: cut on the side %.3f, in front", tt.name, side)
		}
		if n := mesh.V(s.Normal[0], s.Normal[1], s.Normal[2]); math.Abs(n.Dot(z)) > 1e-9 == (tt.normal == mesh.Vec{}) {
			t.Errorf("%s: plane across %.3f", tt.name, n)
		}
	}
}

// A dumbbell on a board is slit up the back: the leaves let go of its waist, and
// what lies below the clay is no rubber. A cone needs no slit.
func TestSlitBlock(t *testing.T) {
	foot := []shape.RZ{{R: 0, Z: 2}, {R: 20, Z: 2}, {R: 20, Z: 0}, {R: 30, Z: 0}, {R: 30, Z: 10}, {R: 10, Z: 10}, {R: 10, Z: 30}, {R: 30, Z: 30}, {R: 30, Z: 40}, {R: 0, Z: 40}}
	u, surface := undercutsOf(t, shape.Revolve(foot, 48), scene.Options{Resolution: 1}, nil)
	r, err := seam.Find(context.Background(), u, surface, seam.Options{})
	if err != nil || r.Seam == nil {
		t.Fatalf("got %v, %v", r.Seam, err)
	}
	if s := r.Seam; s.Path == nil || *s.Path > 2 || len(s.Opens) != 1 || math.Abs(s.Normal[2]) > 1e-9 || s.Side[1] < 0.7 {
		t.Errorf("got %+v, path %v", s.Cut, *s.Path)
	}
	u, surface = undercutsOf(t, shape.Cone(20, 40, 48), scene.Options{Resolution: 1}, nil)
	if r, err = seam.Find(context.Background(), u, surface, seam.Options{}); err != nil || r.Seam != nil || r.Undercuts != u {
		t.Errorf("cone: got %+v, %v", r.Seam, err)
	}
}

// A slit ends 5 mm past the last ring that has to stretch too far: a dumbbell's waist
// of 10 mm radius, under a head of 30, ends 30 mm up. Along the pattern that is up the
// foot, in to the waist, up it, out under the head and 5 mm up that. It stops a wall
// below the crown, goes up where nothing holds just as well, and no cut runs where
// the face looks.
func TestSlitLine(t *testing.T) {
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	dumbbell := shape.Revolve([]shape.RZ{rz(0, 0), rz(30, 0), rz(30, 10), rz(10, 10), rz(10, 30), rz(30, 30), rz(30, 50), rz(0, 50)}, 48)
	for _, tt := range []struct {
		name   string
		m      *mesh.Mesh
		show   *mesh.Vec
		wall   float64
		side   mesh.Vec
		top    float64 // height of its end
		length float64 // without what the clay hides
	}{
		{"dumbbell", dumbbell, new(mesh.V(1, 0, 0)), 8, mesh.V(-1, 0, 0), 35, 10 + 20 + 20 + 20 + 5},
		{"under a thick crown", dumbbell, new(mesh.V(0, -1, 0)), 18, mesh.V(0, 1, 0), 32, 10 + 20 + 20 + 20 + 2},
		{"cone", shape.Cone(20, 40, 48), new(mesh.V(0, -1, 0)), 8, mesh.V(0, 1, 0), 32, 32 * math.Hypot(20, 40) / 40},
	} {
		u, surface := undercutsOf(t, tt.m, scene.Options{Resolution: 0.5}, nil)
		profiles, err := strip.Of(u.Scene, strip.Options{}).Profiles(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		s, err := seam.UpTheBack(context.Background(), u, surface, seam.SlitOptions{Show: tt.show, Profiles: profiles, Strain: 0.5, Wall: tt.wall})
		if err != nil || s == nil {
			t.Fatalf("%s: %v, %v", tt.name, s, err)
		}
		clay := u.Scene.ClayLine()
		if math.Abs(s.From[2]-clay) > 0.01 || math.Abs(s.To[2]-tt.top) > 0.6 || math.Abs(s.Rise-(tt.top-clay)) > 0.6 || math.Abs(s.Length-(tt.length-clay)) > 0.02*tt.length+0.6 {
			t.Errorf("%s: from %.1f to %.1f, %.1f mm up, %.1f long; want %.1f up to %.1f, %.1f long", tt.name, s.From, s.To, s.Rise, s.Length, clay, tt.top, tt.length-clay)
		}
		if d := mesh.V(s.Side[0], s.Side[1], s.Side[2]).Dot(tt.side); d < 0.7 {
			t.Errorf("%s: faces %.2f, want %v", tt.name, s.Side, tt.side)
		}
		if d := mesh.V(s.From[0], s.From[1], 0).Unit().Dot(tt.side); d < 0.7 {
			t.Errorf("%s: begins at %.1f, not on its side", tt.name, s.From)
		}
	}
}

// A slit goes past the undercuts that are deepest, though no ring there has to stretch:
// a blind hole whose floor is 50 mm up, over a waist that ends at 15.
func TestSlitPastAHole(t *testing.T) {
	m := shape.Blocks([]float64{0, 10, 40, 50, 60}, []float64{0, 10, 20, 40, 50, 60}, []float64{0, 5, 15, 50, 60, 80}, func(i, j, k int) bool {
		switch k {
		case 1:
			return i > 0 && i < 3 && j > 0 && j < 4
		case 3:
			return i < 2 || j != 2
		}
		return true
	})
	u, surface := undercutsOf(t, m, scene.Options{Resolution: 0.8}, nil)
	profiles, err := strip.Of(u.Scene, strip.Options{}).Profiles(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	s, err := seam.UpTheBack(context.Background(), u, surface, seam.SlitOptions{Profiles: profiles, Strain: 0.3, Wall: 8})
	if err != nil || s == nil {
		t.Fatal(s, err)
	}
	if want := 55 - u.Scene.ClayLine(); math.Abs(s.Rise-want) > 1 {
		t.Errorf("it ends %.1f mm above the mouth, want %.1f", s.Rise, want)
	}
}

// A flap that lets go of a ball parted below its equator bends to the ball's own
// radius: the arc through the equator, standing there, and the parting.
func TestFlap(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	z := mesh.V(0, 0, 1)
	for _, tt := range []struct {
		name          string
		m             *mesh.Mesh
		parting       float64
		height, swing float64
	}{
		{"ball", shape.Sphere(25, 96), -10, 10, 25 - math.Sqrt(25*25-100)},
		{"ball, deep", shape.Sphere(25, 96), -20, 20, 10},
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 96), 5, 35, 20},
		{"channel", channel(), 10, 20, 25},
	} {
		t.Run(tt.name, func(t *testing.T) {
			u, _ := undercutsOf(t, tt.m, scene.Options{Mold: scene.TwoPart, Resolution: 0.2}, &tt.parting)
			f := u.Flap()
			if f == nil {
				t.Fatal("no flap")
			}
			if math.Abs(f.Height-tt.height) > 0.5 || math.Abs(f.Swing-tt.swing) > 0.4 {
				t.Errorf("got %.2f high, swings %.2f; want %.2f and %.2f", f.Height, f.Swing, tt.height, tt.swing)
			}
			if o := mesh.V(f.Out[0], f.Out[1], f.Out[2]); math.Abs(o.Dot(z)) > 1e-9 || math.Abs(o.Len()-1) > 1e-9 {
				t.Errorf("swings toward %v", o)
			}
		})
	}
	if u, _ := undercutsOf(t, shape.Sphere(25, 48), scene.Options{Mold: scene.TwoPart, Resolution: 0.5}, new(float64)); u.Flap() != nil {
		t.Errorf("parted at its equator: flap %+v", u.Flap())
	}
}
