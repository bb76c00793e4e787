package parting_test

import (
	"context"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// sceneOf is a mesh in a mold of two parts, on columns of a width in mm.
func sceneOf(t testing.TB, m *mesh.Mesh, up mesh.Vec, cell float64) *scene.Scene {
	t.Helper()
	c, err := scene.New(context.Background(), solidtest.Rough(t, m), up, scene.Options{Mold: scene.TwoPart, Resolution: cell})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// line is the parting line near a height.
func line(t testing.TB, c *scene.Scene, height float64) parting.Natural {
	t.Helper()
	p, err := parting.Line(context.Background(), c, height)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPartingLine(t *testing.T) {
	z := mesh.V(0, 0, 1)
	tests := []struct {
		name        string
		m           *mesh.Mesh
		up          mesh.Vec
		length, tol float64
		flat        float64 // how far it strays
		lines       int
		share       float64 // height of the flat parting, of the pattern's
	}{
		// The equator of a ball is the polygon of its facets.
		{"ball", shape.Sphere(25, 32), z, shape.NgonPerimeter(25, 64), 0.2, 0, 1, 0.5},
		{"ball, turned", shape.Stand(shape.Sphere(25, 32), mesh.V(1, 2, 2).Unit()), mesh.V(1, 2, 2).Unit(), shape.NgonPerimeter(25, 64), 0.2, 0, 1, 0.5},
		// Plumb walls part level.
		{"cylinder", shape.Cylinder(20, 60, 64), z, shape.NgonPerimeter(20, 64), 0.2, 0, 1, 0.5},
		{"box", shape.Box(40, 30, 20), z, 140, 0.2, 0, 1, 0.5},
		{"cone", shape.Cone(20, 60, 64), z, shape.NgonPerimeter(20, 64), 0.2, 0, 1, 0},
		// A ring has an outline and a hole.
		{"torus", shape.Torus(40, 10, 96, 48), z, shape.NgonPerimeter(50, 96) + shape.NgonPerimeter(30, 96), 0.6, 0, 2, 0.5},
		{"washer", shape.SquareRing(15, 25, 12, 64), z, shape.NgonPerimeter(25, 64) + shape.NgonPerimeter(15, 64), 0.5, 0, 2, 0.5},
		// What lies under an overhang is no parting: only the cap's rim.
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 64), z, shape.NgonPerimeter(30, 64), 0.3, math.NaN(), 1, 0.5},
		// A tilted disc parts along its rim, which climbs.
		{"tilted ball", shape.Map(shape.Sphere(25, 32), func(v mesh.Vec) mesh.Vec { return mesh.V(v.X, v.Y, v.Z+0.5*v.X) }), z, math.NaN(), 0, 12.5, 1, 0.5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := sceneOf(t, tt.m, tt.up, 0.4)
			p := line(t, c, c.Base+tt.share*(c.Top-c.Base))
			if len(p.Line) != tt.lines || len(p.Breaks) != 0 {
				t.Errorf("lines: got %d want %d; breaks %v", len(p.Line), tt.lines, p.Breaks)
			}
			if !math.IsNaN(tt.length) && math.Abs(*p.Length-tt.length) > tt.tol {
				t.Errorf("length: got %.3f want %.3f", *p.Length, tt.length)
			}
			if !math.IsNaN(tt.flat) && math.Abs(*p.Flatness-tt.flat) > 0.4 {
				t.Errorf("strays: got %.3f want %.3f", *p.Flatness, tt.flat)
			}
			for k, l := range p.Line {
				if l[0] != l[len(l)-1] {
					t.Errorf("line %d is not closed: %v to %v", k, l[0], l[len(l)-1])
				}
			}
		})
	}
}

// curveLength is the length of a closed curve over [0, 2π].
func curveLength(at func(a float64) mesh.Vec) float64 {
	const n = 20000
	var s float64
	for k := range n {
		s += at(2 * math.Pi * float64(k+1) / n).Sub(at(2 * math.Pi * float64(k) / n)).Len()
	}
	return s
}

// A vertical shear keeps what is seen edge-on: the equator of a ball goes where
// the shear takes it.
func TestPartingLineOfShearedBalls(t *testing.T) {
	const R = 25.0
	z := mesh.V(0, 0, 1)
	for _, tt := range []struct {
		name  string
		shear func(x, y float64) float64 // of a ball of radius 1
	}{
		{"leaning", func(x, _ float64) float64 { return 0.5 * R * x }},
		{"steep", func(x, y float64) float64 { return R * (1.2*x + 0.9*y) }},
		{"wavy rim", func(x, y float64) float64 { return 4 * (3*x*x*y - y*y*y) }}, // 4 sin 3φ on the rim
		{"saddle", func(x, y float64) float64 { return 8 * (x*x - y*y) }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := shape.Map(shape.Sphere(1, 96), func(v mesh.Vec) mesh.Vec {
				return mesh.V(R*v.X, R*v.Y, R*v.Z+tt.shear(v.X, v.Y))
			})
			const cell = 0.3
			p := line(t, sceneOf(t, m, z, cell), 0)
			rim := func(a float64) mesh.Vec {
				sin, cos := math.Sincos(a)
				return mesh.V(R*cos, R*sin, tt.shear(cos, sin))
			}
			if want := curveLength(rim); math.Abs(*p.Length/want-1) > 0.002 || len(p.Line) != 1 || len(p.Breaks) != 0 {
				t.Errorf("length: got %.3f in %d lines with %d breaks, want %.3f in one", *p.Length, len(p.Line), len(p.Breaks), want)
			}
			stray := 0.0
			for k := range 3600 {
				stray = max(stray, math.Abs(rim(float64(k)*math.Pi/1800).Z))
			}
			if math.Abs(*p.Flatness-stray) > cell {
				t.Errorf("strays: got %.3f want %.3f", *p.Flatness, stray)
			}
			for _, q := range p.Line[0] {
				// Facets lie inside the ball.
				w := rim(math.Atan2(q[1], q[0]))
				if d := mesh.V(q[0], q[1], q[2]).Sub(w).Len(); d > 1.5*cell {
					t.Fatalf("the line passes %.2v, %.2g mm from the rim at %.2v", q, d, w)
				}
			}
			if n := len(p.Line[0]); n > 400 {
				t.Errorf("a line of %d points is not simplified", n)
			}
		})
	}
}

// A tilted ellipsoid parts where its normal is square to the pull, an ellipse
// in a plane of its own.
func TestPartingLineOfATiltedEllipsoid(t *testing.T) {
	const a, b, c = 30.0, 20.0, 12.0
	u := mesh.V(1, 2, 2).Unit()
	m := shape.Ellipsoid(a, b, c, 128)
	// n·u = 0 with x = (a p, b q, c r), |(p, q, r)| = 1: (p, q, r) square to w.
	w := mesh.V(u.X/a, u.Y/b, u.Z/c).Unit()
	e, f := mesh.Basis(w)
	rim := func(s float64) mesh.Vec {
		sin, cos := math.Sincos(s)
		v := e.Mul(cos).Add(f.Mul(sin))
		return mesh.V(a*v.X, b*v.Y, c*v.Z)
	}
	var stray float64
	for k := range 3600 {
		stray = max(stray, math.Abs(rim(float64(k)*math.Pi/1800).Dot(u)))
	}
	const cell = 0.2
	p := line(t, sceneOf(t, m, u, cell), 0)
	if want := curveLength(rim); math.Abs(*p.Length/want-1) > 0.005 {
		t.Errorf("length: got %.3f want %.3f", *p.Length, want)
	}
	if math.Abs(*p.Flatness-stray) > 2*cell {
		t.Errorf("strays: got %.3f want %.3f", *p.Flatness, stray)
	}
}

// On a plumb wall the line is level, and a scan's grain does not make it long.
func TestPartingLineOfARoughWall(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 7))
	var profile []shape.RZ
	profile = append(profile, shape.RZ{R: 0, Z: 0})
	for k := range 61 {
		profile = append(profile, shape.RZ{R: 20, Z: float64(k)})
	}
	profile = append(profile, shape.RZ{R: 0, Z: 60})
	for _, grain := range []float64{0, 0.1, 0.2} {
		m := shape.Map(shape.Revolve(profile, 128), func(v mesh.Vec) mesh.Vec {
			d := mesh.V(rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()).Mul(grain / math.Sqrt(3))
			return v.Add(d)
		})
		p := line(t, sceneOf(t, m, mesh.V(0, 0, 1), 0.3), 30)
		if want := 2 * math.Pi * 20; *p.Length < 0.995*want || *p.Length > want*(1+grain+0.001) {
			t.Errorf("grain %.1f mm: length got %.2f, the wall is %.2f round", grain, *p.Length, want)
		}
		if len(p.Line) != 1 || len(p.Breaks) != 0 {
			t.Errorf("grain %.1f mm: %d lines, %d breaks, want one line", grain, len(p.Line), len(p.Breaks))
		}
		if grain == 0 && *p.Flatness > 1e-9 {
			t.Errorf("a plumb wall parts %g mm off the flat parting", *p.Flatness)
		}
	}
}

// Two balls of which one hides part of the other: two arcs, and a step from one
// to the other where their outlines cross.
func TestPartingLineBreaks(t *testing.T) {
	const R, apart, rise = 20.0, 25.0, 60.0
	m := shape.Merge(shape.Sphere(R, 64), shape.Translate(shape.Sphere(R, 64), mesh.V(apart, 0, rise)))
	p := line(t, sceneOf(t, m, mesh.V(0, 0, 1), 0.3), rise/2)
	if len(p.Line) != 2 || len(p.Breaks) != 2 {
		t.Fatalf("%d lines and %d breaks, want 2 and 2", len(p.Line), len(p.Breaks))
	}
	hidden := 2 * math.Acos(apart/2/R)
	if want := 2 * R * (2*math.Pi - hidden); math.Abs(*p.Length/want-1) > 0.005 {
		t.Errorf("length: got %.2f want %.2f", *p.Length, want)
	}
	y := math.Sqrt(R*R - apart*apart/4)
	for _, b := range p.Breaks {
		if math.Abs(b.Height-rise) > 0.6 || math.Abs(b.At[0]-apart/2) > 1 || math.Abs(math.Abs(b.At[1])-y) > 1 || math.Abs(b.At[2]-rise/2) > 1 {
			t.Errorf("break of %.2f mm at %.2f, want %.0f mm at %.2f, ±%.2f, %.0f", b.Height, b.At, rise, apart/2, y, rise/2)
		}
	}
}

func TestSameOnAnyCores(t *testing.T) {
	c := sceneOf(t, shape.Merge(shape.Mug(40, 90, 4, 30, 96), shape.Translate(shape.Vase(20, 30, 24, 80, 3, 96), mesh.V(120, 0, 0))), mesh.V(0, 0, 1), 0.7)
	run := func(cores int) []any {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		h, of, err := parting.InHalves(context.Background(), c, 40)
		if err != nil {
			t.Fatal(err)
		}
		return []any{line(t, c, 40), h, of}
	}
	if !reflect.DeepEqual(run(1), run(3)) {
		t.Error("one core and three give different answers")
	}
}

// The line of a body of 130 thousand triangles.
func BenchmarkLine(b *testing.B) {
	c := sceneOf(b, shape.Torus(60, 20, 256, 256), mesh.V(1, 2, 2), 0)
	for b.Loop() {
		line(b, c, (c.Base+c.Top)/2)
	}
}
