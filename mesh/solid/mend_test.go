package solid_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
)

// build makes a mesh from a soup of triangles.
func build(t *testing.T, soup ...[3]mesh.Vec) *mesh.Mesh {
	t.Helper()
	var b mesh.Builder
	for _, f := range soup {
		var i [3]int32
		for k, v := range f {
			n, err := b.Vertex(v)
			if err != nil {
				t.Fatal(err)
			}
			i[k] = n
		}
		b.Triangle(i[0], i[1], i[2])
	}
	m, err := b.Build(1)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// patchwork is a cube whose six sides are each cut into squares of their own
// fineness, so that no side shares more than its corners with the next, with
// every coordinate shaken by up to shake.
func patchwork(t *testing.T, a, shake float64) *mesh.Mesh {
	var soup [][3]mesh.Vec
	seed := uint64(1)
	rnd := func() float64 { // a small generator of its own: the shape must not change
		seed = seed*6364136223846793005 + 1442695040888963407
		return (float64(seed>>40)/float64(1<<24) - 0.5) * 2 * shake
	}
	side := func(o, u, v mesh.Vec, n int) {
		p := make([][]mesh.Vec, n+1)
		for i := range p {
			for j := 0; j <= n; j++ {
				q := o.Add(u.Mul(float64(i) / float64(n))).Add(v.Mul(float64(j) / float64(n)))
				p[i] = append(p[i], q.Add(mesh.V(rnd(), rnd(), rnd())))
			}
		}
		for i := range n {
			for j := range n {
				soup = append(soup, [3]mesh.Vec{p[i][j], p[i+1][j], p[i+1][j+1]}, [3]mesh.Vec{p[i][j], p[i+1][j+1], p[i][j+1]})
			}
		}
	}
	x, y, z := mesh.V(a, 0, 0), mesh.V(0, a, 0), mesh.V(0, 0, a)
	o := mesh.Vec{}
	side(o, y, x, 3)
	side(z, x, y, 5)
	side(o, x, z, 4)
	side(y, z, x, 7)
	side(o, z, y, 6)
	side(x, y, z, 2)
	return build(t, soup...)
}

func TestCracksAreZipped(t *testing.T) {
	for _, shake := range []float64{0, 1e-5, 5e-4} {
		m := patchwork(t, 20, shake)
		s := from(t, m)
		d := s.Displaced
		tol := 1e-5 + 6*shake/20
		if got := float64(d.Value); math.Abs(got/8000-1) > tol {
			t.Errorf("shaken by %g mm: displaces %.8g mm³, want 8000 within %g; %v", shake, got, tol, s.Repairs)
		}
		if d.Low == d.High {
			t.Errorf("shaken by %g mm: a mended figure claims to be exact", shake)
		}
		for _, o := range s.Openings {
			if o.Area > 0.01 {
				t.Errorf("shaken by %g mm: a hole of %g mm² was left", shake, o.Area)
			}
		}
	}
}

// Where more than two faces meet on an edge, what each pair encloses decides.
func TestEdgesWithMoreThanTwoFaces(t *testing.T) {
	cube := shape.Cube(10)
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		want float64
	}{
		{"two cubes share an edge", shape.Merge(cube, at(cube, 10, 10, 0)), 2000},
		{"one of them inside out", shape.Merge(cube, shape.Flip(at(cube, 10, 10, 0))), 2000},
		{"four round an edge", shape.Merge(cube, at(cube, 10, 10, 0), at(cube, 10, 0, 0), at(cube, 0, 10, 0)), 4000},
		{"stacked with a whole face in common", shape.Merge(cube, at(cube, 0, 0, 10)), 2000},
		{"stacked three high", shape.Merge(cube, at(cube, 0, 0, 10), at(cube, 0, 0, 20)), 3000},
		{"a fin on an edge", shape.WithTriangles(cube, finOn(cube)), 1000},
	} {
		s := from(t, c.m)
		if got := float64(s.Displaced.Value); math.Abs(got/c.want-1) > 1e-3 {
			t.Errorf("%s: displaces %.6g mm³, want %g; %v", c.name, got, c.want, s.Repairs)
		}
		if d := s.Displaced; float64(d.Low) > c.want || float64(d.High) < c.want {
			t.Errorf("%s: bounds %.6g .. %.6g do not hold %g", c.name, d.Low, d.High, c.want)
		}
	}
}

// finOn is one more face on an edge of the cube, across the body.
func finOn(m *mesh.Mesh) [3]int32 {
	t := m.Triangles()[0]
	// A vertex that is not on the first face.
	for v := int32(0); ; v++ {
		if v != t[0] && v != t[1] && v != t[2] {
			return [3]int32{t[0], t[1], v}
		}
	}
}

func TestFlatSheetSurroundsNothing(t *testing.T) {
	quad := func(z float64) [][3]mesh.Vec {
		return [][3]mesh.Vec{{mesh.V(0, 0, z), mesh.V(9, 0, z), mesh.V(9, 9, z)}, {mesh.V(0, 0, z), mesh.V(9, 9, z), mesh.V(0, 9, z)}}
	}
	m := build(t, quad(1)...)
	if _, err := tryFrom(m); err == nil {
		t.Error("a flat sheet has a displaced volume")
	}
	if _, err := tryFrom(shape.WithTriangles(m, shape.Flip(m).Triangles()...)); err == nil {
		t.Error("a flat double-sided sheet has a displaced volume")
	}
}

// A bowl drawn as a sheet is closed with a lid, or a vessel with a wall that
// rubber fills.
func TestOpening(t *testing.T) {
	var prof []shape.RZ
	for k := 0; k <= 24; k++ { // the lower half of a ball, as a sheet
		a := math.Pi / 2 * float64(k) / 24
		prof = append(prof, shape.RZ{R: 30 * math.Sin(a), Z: 30 - 30*math.Cos(a)})
	}
	closed := shape.Revolve(append(prof, shape.RZ{R: 0, Z: 30}), 48)
	sheet := shape.Without(closed, func(_ int, c mesh.Vec) bool { return c.Z > 29.999 })
	whole := shape.Volume(closed)
	area := shape.Area(sheet)
	for _, m := range []*mesh.Mesh{sheet, shape.Flip(sheet)} {
		s := from(t, m)
		if got := float64(s.Displaced.Value); math.Abs(got/whole-1) > 1e-6 {
			t.Errorf("closed: displaces %.6g mm³, want %.6g", got, whole)
		}
		sv, err := mesh.Inspect(context.Background(), m, mesh.SurveyOptions{})
		if err != nil {
			t.Fatal(err)
		}
		v, err := solid.From(context.Background(), m, sv, solid.Options{Opening: "open"})
		if err != nil {
			t.Fatal(err)
		}
		want := area * v.Wall * (1 - v.Wall/30) // a ball's shell, to first order
		if got := float64(v.Displaced.Value); math.Abs(got/want-1) > 0.01 || v.Wall == 0 {
			t.Errorf("open: displaces %.6g mm³ with a wall of %g mm, want %.6g", got, v.Wall, want)
		}
		if v.Displaced.Low >= v.Displaced.Value || v.Displaced.High <= v.Displaced.Value {
			t.Errorf("open: bounds %v claim to be exact", v.Displaced)
		}
	}
}
