package section_test

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/section"
	"moldtally/mesh/shape"
)

// slicerOf cuts along u with heights closer than a hundred-thousandth of the
// size taken as one.
func slicerOf(m *mesh.Mesh, u mesh.Vec) *section.Slicer {
	e1, e2 := mesh.Basis(u)
	s := m.Size()
	return &section.Slicer{Mesh: m, U: u, E1: e1, E2: e2, Eps: mesh.TouchShare * max(s.X, s.Y, s.Z)}
}

// figures are what is compared of a loop.
type figures struct{ area, length, perimeter float64 }

func byArea(a, b figures) int {
	return cmp.Or(cmp.Compare(a.area, b.area), cmp.Compare(a.length, b.length))
}

// slowLoops is the plain way: every triangle, every edge, loops by flooding
// from segment to segment over edges of the same two vertices.
func slowLoops(s *section.Slicer, l section.Level, near mesh.Vec2) []figures {
	type edge [2]int32
	type seg struct {
		a, b   mesh.Vec2 // inside on the left
		ea, eb edge
	}
	var segs []seg
	verts := s.Mesh.Vertices()
	for t, tri := range s.Mesh.Triangles() {
		if s.Live != nil && !s.Live(t) {
			continue
		}
		var g seg
		n := 0
		for k := range 3 {
			i, j := tri[k], tri[(k+1)%3]
			zi, zj := verts[i].Dot(s.U), verts[j].Dot(s.U)
			if l.Below(zi, s.Eps) == l.Below(zj, s.Eps) {
				continue
			}
			n++
			p := verts[i].Add(verts[j].Sub(verts[i]).Mul(min(max((l.H-zi)/(zj-zi), 0), 1)))
			at, e := mesh.Vec2{X: p.Dot(s.E1), Y: p.Dot(s.E2)}, edge{min(i, j), max(i, j)}
			// Going up the edge leaves the inside of a triangle that is wound
			// outward on the left of what ends there.
			if l.Below(zj, s.Eps) == (s.Outward == nil || s.Outward(t)) {
				g.b, g.eb = at, e
			} else {
				g.a, g.ea = at, e
			}
		}
		if n == 2 {
			segs = append(segs, g)
		}
	}
	touching := map[edge][]int{}
	for k, g := range segs {
		touching[g.ea] = append(touching[g.ea], k)
		touching[g.eb] = append(touching[g.eb], k)
	}
	seen := make([]bool, len(segs))
	var out []figures
	for k := range segs {
		if seen[k] {
			continue
		}
		seen[k] = true
		var f figures
		var pts []mesh.Vec2
		for stack := []int{k}; len(stack) > 0; {
			g := segs[stack[len(stack)-1]]
			stack = stack[:len(stack)-1]
			f.area += g.a.Sub(near).Cross(g.b.Sub(near)) / 2
			f.length += g.b.Sub(g.a).Len()
			pts = append(pts, g.a, g.b)
			for _, q := range append(slices.Clone(touching[g.ea]), touching[g.eb]...) {
				if !seen[q] {
					seen[q] = true
					stack = append(stack, q)
				}
			}
		}
		f.perimeter = mesh.PerimeterOf(mesh.Hull2(pts))
		out = append(out, f)
	}
	return out
}

// soup is triangles over shared vertices with no order to them: edges have any
// number of faces, wound both ways.
func soup(r *rand.Rand) *mesh.Mesh {
	var b mesh.Builder
	var p [12]int32
	for k := range p {
		p[k], _ = b.Vertex(mesh.V(float64(r.IntN(5)), float64(r.IntN(5)), float64(r.IntN(4))))
	}
	for range 30 {
		b.Triangle(p[r.IntN(12)], p[r.IntN(12)], p[r.IntN(12)])
	}
	m, err := b.Build(1)
	if err != nil {
		panic(err)
	}
	return m
}

func TestAgainstSlowTwin(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	bodies := map[string]*mesh.Mesh{
		"horn":     shape.Horn(60, 12, 24, 32),
		"mug":      shape.Mug(40, 90, 4, 30, 48),
		"vase":     shape.Vase(20, 30, 24, 80, 3, 96),
		"torus":    shape.Torus(40, 10, 64, 32),
		"far":      shape.Translate(shape.Rotate(shape.Table(60, 40, 8, 10), mesh.V(1, 2, 3).Unit(), 0.7), mesh.V(3000, -5000, 1000)),
		"crossing": shape.Merge(shape.Torus(30, 8, 32, 16), shape.Box(70, 10, 30)),
	}
	for k := range 6 {
		bodies[fmt.Sprintf("soup %d", k)] = soup(r)
	}
	for name, m := range bodies {
		for _, u := range []mesh.Vec{mesh.V(0, 0, 1), mesh.V(-2, 1, 2).Unit()} {
			s := slicerOf(m, u)
			s.Live = func(t int) bool { return t%7 != 3 && !m.Collapsed(t) }
			s.Outward = func(t int) bool { return t%5 != 2 }
			if name != "crossing" && len(name) < 6 {
				s.Live, s.Outward = nil, nil
			}
			// At the heights of vertices, and between them.
			var levels []section.Level
			for k := 0; k < m.NumVertices(); k += 1 + m.NumVertices()/9 {
				z := m.Vertices()[k].Dot(u)
				levels = append(levels, section.JustBelow(z), section.JustAbove(z), section.JustAbove(z+1.37))
			}
			slices.SortFunc(levels, section.Level.Compare)
			levels = slices.CompactFunc(levels, func(a, b section.Level) bool { return a == b || a.H != b.H && b.H-a.H <= 2*s.Eps })
			p := m.Vertices()[0]
			near := mesh.Vec2{X: p.Dot(s.E1), Y: p.Dot(s.E2)}
			got := make([][]figures, len(levels))
			err := s.Each(context.Background(), levels, nil, func(k int, sec *section.Section) {
				for n, l := range sec.Loops(near) {
					got[k] = append(got[k], figures{l.Area, l.Length, mesh.PerimeterOf(sec.Hull(n))})
				}
			})
			if err != nil {
				t.Fatal(err)
			}
			for k, l := range levels {
				want := slowLoops(s, l, near)
				slices.SortFunc(want, byArea)
				slices.SortFunc(got[k], byArea)
				if len(got[k]) != len(want) {
					t.Errorf("%s, up %v, level %v: got %d loops want %d", name, u, l, len(got[k]), len(want))
					continue
				}
				size := m.Size().Len()
				var g, w figures
				for n := range want {
					g = figures{g.area + math.Abs(got[k][n].area), g.length + got[k][n].length, g.perimeter + got[k][n].perimeter}
					w = figures{w.area + math.Abs(want[n].area), w.length + want[n].length, w.perimeter + want[n].perimeter}
				}
				if math.Abs(g.area-w.area) > 1e-9*size*size || math.Abs(g.length-w.length) > 1e-9*size || math.Abs(g.perimeter-w.perimeter) > 1e-9*size {
					t.Errorf("%s, up %v, level %v: got %+v want %+v", name, u, l, g, w)
				}
			}
		}
	}
}

// TestKnown: sections with closed figures.
func TestKnown(t *testing.T) {
	z := mesh.V(0, 0, 1)
	ngon := func(n int) float64 { return float64(n) * math.Sin(2*math.Pi/float64(n)) / 2 }
	for _, tt := range []struct {
		name  string
		m     *mesh.Mesh
		level section.Level
		areas []float64 // by loop, the outer one first
	}{
		{"cone half way up", shape.Cone(20, 60, 64), section.JustAbove(30), []float64{100 * ngon(64)}},
		{"cone at its tip", shape.Cone(20, 60, 64), section.JustBelow(60), []float64{0}},
		{"over the tip", shape.Cone(20, 60, 64), section.JustAbove(60), nil},
		{"torus at its middle", shape.Torus(40, 10, 64, 32), section.JustAbove(0), []float64{2500 * ngon(64), -900 * ngon(64)}},
		{"box at its foot", shape.Box(4, 3, 2), section.JustAbove(0), []float64{12}},
		{"under its foot", shape.Box(4, 3, 2), section.JustBelow(0), nil},
		{"under its lid", shape.Box(4, 3, 2), section.JustBelow(2), []float64{12}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := slicerOf(tt.m, z)
			sec, err := s.At(context.Background(), tt.level, nil)
			if err != nil {
				t.Fatal(err)
			}
			loops := sec.Loops(mesh.Vec2{})
			slices.SortFunc(loops, func(a, b section.Loop) int { return cmp.Compare(b.Area, a.Area) })
			if len(loops) != len(tt.areas) {
				t.Fatalf("got %d loops want %d", len(loops), len(tt.areas))
			}
			for k, l := range loops {
				if !l.Sound || math.Abs(l.Area-tt.areas[k]) > 1e-9*(1+math.Abs(tt.areas[k])) {
					t.Errorf("loop %d: got %+v want area %g, sound", k, l, tt.areas[k])
				}
			}
			for _, line := range sec.Lines() {
				if line[0] != line[len(line)-1] {
					t.Errorf("a line of a closed surface is open: %v", line)
				}
			}
			near := s.Reaching(tt.level.H-s.Eps, tt.level.H+s.Eps)
			again, err := s.At(context.Background(), tt.level, near)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(again.Points, sec.Points) || !reflect.DeepEqual(again.Segments, sec.Segments) {
				t.Errorf("the %d triangles that reach there do not give the same section", len(near))
			}
			for p, at := range sec.Points {
				q := at.In(tt.m.Vertices())
				if d := math.Hypot(q.Dot(s.E1)-sec.Places[p].X, q.Dot(s.E2)-sec.Places[p].Y); d > 1e-12 || math.Abs(q.Z-tt.level.H) > 1e-12+s.Eps {
					t.Fatalf("point %d: %v and %v", p, q, sec.Places[p])
				}
			}
		})
	}
}

// TestAnyCores: the same bytes, points and all.
func TestAnyCores(t *testing.T) {
	m := shape.Vase(20, 30, 24, 80, 3, 512)
	s := slicerOf(m, mesh.V(-2, 1, 2).Unit())
	var levels []section.Level
	for k := range 97 {
		levels = append(levels, section.JustAbove(-20+float64(k)))
	}
	run := func(cores int) []string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
		out := make([]string, len(levels))
		err := s.Each(context.Background(), levels, nil, func(k int, sec *section.Section) {
			out[k] = fmt.Sprint(sec.Points, sec.Places, sec.Segments, sec.LoopOf)
		})
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	if one, four := run(1), run(4); !slices.Equal(one, four) {
		t.Error("one core and four differ")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := s.Each(ctx, levels, nil, func(int, *section.Section) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
}

// TestTriangle: both faces of an edge find the same bits, the inside lies on
// the left, and the two parts of a triangle make up the whole.
func TestTriangle(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	vec := func() mesh.Vec { return mesh.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()) }
	for range 2000 {
		verts := []mesh.Vec{vec(), vec(), vec(), vec()}
		h := r.NormFloat64() / 4
		cut := func(i [3]int32) (section.Point, section.Point, bool) {
			var z [3]float64
			var up [3]bool
			for k, v := range i {
				z[k] = verts[v].Z
				up[k] = z[k] >= h
			}
			return section.Triangle(i, z, up, h, true)
		}
		a, b, ok := cut([3]int32{0, 1, 2})
		c, d, ok2 := cut([3]int32{2, 1, 3}) // its neighbour
		if ok && ok2 && (verts[1].Z >= h) != (verts[2].Z >= h) {
			if x := (section.Point{I: 1, J: 2, W: a.W}); a == x && d != x || a != x && (b.I != 1 || b.J != 2 || c != b) {
				t.Fatalf("%v %v and %v %v share no point", a, b, c, d)
			}
		}
		p, q, o := verts[0], verts[1], verts[2]
		n := q.Sub(p).Cross(o.Sub(p))
		if ok {
			// The outward normal lies to the right of the segment.
			e := b.In(verts).Sub(a.In(verts))
			if right := mesh.V(e.Y, -e.X, 0); right.Dot(n) < -1e-9 {
				t.Fatalf("the inside of %v lies on the right of %v", verts[:3], e)
			}
		}
		var area float64
		for _, above := range [2]bool{true, false} {
			poly, k := section.Clip([3]mesh.Vec{p, q, o}, [3]float64{p.Z, q.Z, o.Z}, h, above)
			for e := 2; e < k; e++ {
				area += poly[e-1].Sub(poly[0]).Cross(poly[e].Sub(poly[0])).Dot(n.Unit()) / 2
			}
			for e := range k {
				if d := poly[e].Z - h; above && d < -1e-12 || !above && d > 1e-12 {
					t.Fatalf("a corner of the part lies %g on the wrong side", d)
				}
			}
		}
		if math.Abs(area-n.Len()/2) > 1e-12 {
			t.Fatalf("the parts have %g mm², the triangle %g", area, n.Len()/2)
		}
	}
}

func TestHulls(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for n := range 300 {
		p := make([]mesh.Vec2, 1+r.IntN(200))
		for k := range p {
			p[k] = mesh.Vec2{X: r.NormFloat64(), Y: r.NormFloat64()}
			if n%3 == 0 { // many on one line, many twice
				p[k] = mesh.Vec2{X: float64(r.IntN(5)), Y: float64(r.IntN(3))}
			}
		}
		want := mesh.PerimeterOf(mesh.Hull2(p))
		if got := mesh.PerimeterOf(section.Hull(p)); math.Abs(got-want) > 1e-12 {
			t.Fatalf("hull of %v: got %g want %g", p, got, want)
		}
	}
	if h := section.Hull(slices.Repeat([]mesh.Vec2{{X: 3, Y: 4}}, 100)); len(h) == 0 || h[0] != (mesh.Vec2{X: 3, Y: 4}) {
		t.Errorf("hull of one point, many times: got %v", h)
	}
	circle := make([]mesh.Vec2, 5000)
	for k := range circle {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 5000)
		circle[k] = mesh.Vec2{X: 3 + cos, Y: sin}
	}
	c := section.Coarse(circle)
	if got := mesh.PerimeterOf(c); len(c) > 300 || got < 2*math.Pi*(1-1e-4) {
		t.Errorf("a coarse circle has %d corners and is %g round", len(c), got)
	}
	if got := section.Center(c); got.Sub(mesh.Vec2{X: 3}).Len() > 1e-3 {
		t.Errorf("its center is %v", got)
	}
	if got := section.Center([]mesh.Vec2{{X: 1}, {X: 3}}); got != (mesh.Vec2{X: 2}) {
		t.Errorf("center of a line: got %v", got)
	}
}

func BenchmarkStack(b *testing.B) {
	for _, n := range []int{64, 256, 1024} {
		m := shape.Vase(20, 30, 24, 80, 3, n)
		s := slicerOf(m, mesh.V(0, 0, 1))
		var levels []section.Level
		for k := range 256 {
			levels = append(levels, section.JustAbove((float64(k)+0.5)*80/256))
		}
		b.Run(fmt.Sprintf("%d triangles", m.NumTriangles()), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				err := s.Each(context.Background(), levels, nil, func(_ int, sec *section.Section) {
					sec.Loops(mesh.Vec2{})
					for k := range sec.NumLoops {
						sec.Hull(k)
					}
				})
				if err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
