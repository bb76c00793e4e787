package dexel_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/dexel"
	"moldtally/mesh/shape"
)

func bodies() map[string]*mesh.Mesh {
	return map[string]*mesh.Mesh{
		"cube":       shape.Cube(20),
		"box":        shape.Box(30, 20, 10),
		"ball":       shape.Sphere(15, 24),
		"torus":      shape.Torus(40, 10, 48, 24),
		"cylinder":   shape.Cylinder(10, 30, 32),
		"cross hole": shape.CrossHoleCube(100, 20, 80),
		"arch":       shape.Arch(60, 20, 40, 10, 25),
		"mug":        shape.Mug(40, 80, 5, 25, 32),
	}
}

var directions = []mesh.Vec{
	{X: 0, Y: 0, Z: 1}, {X: 0, Y: 0, Z: -1}, {X: 1, Y: 0, Z: 0}, {X: 0, Y: -1, Z: 0},
	{X: 1. / 3, Y: 2. / 3, Z: 2. / 3}, mesh.V(1, 1, 0).Unit(), mesh.V(-0.3, 0.2, 0.9).Unit(),
}

// Every column of a closed mesh sees as many entries as exits, in alternation
// for a body that does not cross itself, whatever edge or vertex it runs
// through: the grids here are chosen to hit them.
func TestClosedMeshesHaveNoOddColumn(t *testing.T) {
	ctx := context.Background()
	for name, m := range bodies() {
		for _, u := range directions {
			for _, cell := range []float64{1, 0.5, 0.37, 2.5} {
				g := dexel.GridAlong(m, u, cell, 0, 1, nil)
				c, err := dexel.Cast(ctx, m, g, dexel.Options{})
				if err != nil {
					t.Fatal(err)
				}
				for j := range g.NY {
					for i := range g.NX {
						sum := int32(0)
						for _, x := range c.Column(i, j) {
							sum += x.Sign
						}
						if sum != 0 {
							t.Fatalf("%s along %v, cell %g: column %d,%d has winding %d left over", name, u, cell, i, j, sum)
						}
					}
				}
			}
		}
	}
}

// The volume of the columns converges on the exact volume of the polyhedron.
func TestColumnsSumToTheVolume(t *testing.T) {
	ctx := context.Background()
	for name, m := range bodies() {
		want := shape.Volume(m)
		size := m.Size()
		longest := max(size.X, size.Y, size.Z)
		for _, u := range []mesh.Vec{{X: 1. / 3, Y: 2. / 3, Z: 2. / 3}, mesh.V(-0.3, 0.2, 0.9).Unit()} {
			g := dexel.GridAlong(m, u, longest/400, 0.3, 1, nil)
			c, err := dexel.Cast(ctx, m, g, dexel.Options{})
			if err != nil {
				t.Fatal(err)
			}
			var got float64
			for j := range g.NY {
				for i := range g.NX {
					for _, x := range c.Column(i, j) {
						got -= float64(x.Sign) * x.Z
					}
				}
			}
			got *= g.Cell * g.Cell
			if d := math.Abs(got/want - 1); d > 5e-4 {
				t.Errorf("%s along %v: columns sum to %.6g, the body has %.6g (off by %.2g)", name, u, got, want, d)
			}
		}
	}
}

// slowCast is the plain twin: for every column, every triangle, the crossing
// by the signs of exact-enough edge areas on unsnapped coordinates.
func slowCast(m *mesh.Mesh, g dexel.Grid, i, j int) []dexel.Crossing {
	px, py := g.Center(i, j)
	var out []dexel.Crossing
	for t := range m.NumTriangles() {
		a, b, c := m.Corners(t)
		ax, ay, az := g.Plane(a)
		bx, by, bz := g.Plane(b)
		cx, cy, cz := g.Plane(c)
		w0 := (bx-px)*(cy-py) - (cx-px)*(by-py)
		w1 := (cx-px)*(ay-py) - (ax-px)*(cy-py)
		w2 := (ax-px)*(by-py) - (bx-px)*(ay-py)
		switch s := w0 + w1 + w2; {
		case w0 > 0 && w1 > 0 && w2 > 0:
			out = append(out, dexel.Crossing{Z: (w0*az + w1*bz + w2*cz) / s, Tri: int32(t), Sign: -1})
		case w0 < 0 && w1 < 0 && w2 < 0:
			out = append(out, dexel.Crossing{Z: (w0*az + w1*bz + w2*cz) / s, Tri: int32(t), Sign: 1})
		}
	}
	return out
}

func TestCastAgreesWithSlowTwin(t *testing.T) {
	seed := uint64(20261125)
	r := rand.New(rand.NewPCG(seed, 1))
	t.Logf("seed %d", seed)
	ctx := context.Background()
	for range 40 {
		var b mesh.Builder
		for range 30 {
			var k [3]int32
			for q := range k {
				k[q], _ = b.Vertex(mesh.V(r.NormFloat64()*10, r.NormFloat64()*10, r.NormFloat64()*10))
			}
			b.Triangle(k[0], k[1], k[2])
		}
		m, err := b.Build(1)
		if err != nil {
			t.Fatal(err)
		}
		u := mesh.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).Unit()
		g := dexel.GridAlong(m, u, 0.8, 0, 1, nil)
		c, err := dexel.Cast(ctx, m, g, dexel.Options{})
		if err != nil {
			t.Fatal(err)
		}
		miss := 0
		for j := range g.NY {
			for i := range g.NX {
				want := map[int32]dexel.Crossing{}
				for _, x := range slowCast(m, g, i, j) {
					want[x.Tri] = x
				}
				got := c.Column(i, j)
				if len(got) != len(want) {
					miss++ // an axis within a sub-cell of an edge
					continue
				}
				for k, x := range got {
					y, ok := want[x.Tri]
					if !ok || y.Sign != x.Sign {
						miss++
					} else if math.Abs(x.Z-y.Z) > 0.01 {
						t.Errorf("column %d,%d triangle %d: height %g, slow twin %g", i, j, x.Tri, x.Z, y.Z)
					}
					if k > 0 && got[k-1].Z > x.Z {
						t.Errorf("column %d,%d is not sorted", i, j)
					}
				}
			}
		}
		if miss > 2 {
			t.Errorf("%d columns differ from the slow twin", miss)
		}
	}
}

func TestCastDoesNotDependOnCores(t *testing.T) {
	m := shape.Torus(40, 10, 300, 150)
	g := dexel.GridAlong(m, mesh.V(0.2, 0.3, 0.9).Unit(), 0.3, 0, 1, nil)
	sum := func(n int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(n))
		c, err := dexel.Cast(context.Background(), m, g, dexel.Options{})
		if err != nil {
			t.Fatal(err)
		}
		h := uint64(14695981039346656037)
		for j := range g.NY {
			for i := range g.NX {
				for _, x := range c.Column(i, j) {
					h = (h ^ math.Float64bits(x.Z)) * 1099511628211
					h = (h ^ uint64(x.Tri)) * 1099511628211
				}
			}
		}
		return fmt.Sprint(c.Len(), h)
	}
	one := sum(1)
	for _, n := range []int{2, 5} {
		if got := sum(n); got != one {
			t.Errorf("GOMAXPROCS %d gives %s, 1 gives %s", n, got, one)
		}
	}
}

// A window far smaller than the pattern takes fewer sub-cell bits but still
// sees closed columns.
func TestWindowInsideALargePattern(t *testing.T) {
	m := shape.Translate(shape.Sphere(100, 40), mesh.V(1e4, -2e4, 3e4))
	c := mesh.V(1e4, -2e4, 3e4)
	e1, e2 := mesh.Basis(mesh.V(0, 0, 1))
	g := dexel.Grid{U: mesh.V(0, 0, 1), E1: e1, E2: e2, X0: c.X + 80, Y0: c.Y - 3, Cell: 0.02, NX: 300, NY: 300}
	x, err := dexel.Cast(context.Background(), m, g, dexel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for j := range g.NY {
		for i := range g.NX {
			if n := len(x.Column(i, j)); n != 2 {
				t.Fatalf("column %d,%d has %d crossings, want 2", i, j, n)
			}
		}
	}
}

func TestCancelledCast(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	m := shape.Sphere(10, 50)
	if _, err := dexel.Cast(ctx, m, dexel.GridAlong(m, mesh.V(0, 0, 1), 0.5, 0, 1, nil), dexel.Options{}); err == nil {
		t.Error("a cancelled cast returned no error")
	}
}

func BenchmarkCast(b *testing.B) {
	for _, n := range []int{50, 200, 700} {
		m := shape.Torus(40, 10, 2*n, n)
		g := dexel.GridAlong(m, mesh.V(0.1, 0.2, 0.95).Unit(), 100./512, 0, 2, nil)
		b.Run(fmt.Sprintf("triangles=%d", m.NumTriangles()), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := dexel.Cast(context.Background(), m, g, dexel.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
