package picture

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/render"
	"moldtally/render/figure"
)

func sectionOf(t *testing.T, s *estimate.Session) (*section, *scene) {
	t.Helper()
	sc, err := newScene(context.Background(), s, 1)
	if err != nil {
		t.Fatal(err)
	}
	x, err := newSection(context.Background(), s, sc)
	if err != nil {
		t.Fatal(err)
	}
	return x, sc
}

// area is what an outline encloses, by its corners.
func (x *section) area() float64 {
	var a float64
	for _, c := range x.segs {
		a += c.a.x*c.b.y - c.b.x*c.a.y
	}
	return a / 2
}

// sampled is the area of solid by the upright lines that the picture is filled
// from.
func (x *section) sampled(n int) float64 {
	step := (x.hi.x - x.lo.x) / float64(n)
	var a float64
	for _, u := range uprights(x.segs, x.lo.x+step/2, step, n) {
		in, _ := spans(u)
		for _, s := range in {
			a += (s[1] - s[0]) * step
		}
	}
	return a
}

// Cuts through bodies of revolution hold the axis: outline, area and depth are
// in closed form. Standing anywhere, up any way, wound any way.
func TestSection(t *testing.T) {
	if testing.Short() {
		t.Skip("whole jobs and pictures take minutes under the race detector")
	}
	const n = 96
	mushroom := shape.Mushroom(30, 10, 10, 40, n)
	tilt := func(m *mesh.Mesh) *mesh.Mesh { return shape.Rotate(m, mesh.V(1, 0, 0), -math.Pi/2) } // up is +y
	for _, c := range []struct {
		name        string
		m           *mesh.Mesh
		up          mesh.Vec
		depth, area float64
	}{
		{"mushroom", mushroom, mesh.V(0, 0, 1), 20, 60*10 + 20*40},
		{"inside out and far off", shape.Translate(shape.Flip(mushroom), mesh.V(4000, 500, -900)), mesh.V(0, 0, 1), 20, 60*10 + 20*40},
		{"lying in its file", tilt(mushroom), mesh.V(0, 1, 0), 20, 60*10 + 20*40},
		{"waisted", shape.Waisted(30, 18, 60, n), mesh.V(0, 0, 1), 12, (60 + 36) / 2 * 60},
		// Two that overlap count once: by the lines, not by the outline.
		{"two in one", shape.Merge(mushroom, shape.Cylinder(6, 45, n)), mesh.V(0, 0, 1), 20, 60*10 + 20*40},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := tallied(t, c.m, estimate.Job{Mold: "block", Clay: ptr(0.0), Resolution: 0.5, Up: estimate.Up{Dir: c.up}, Source: estimate.Source{Units: "mm"}})
			x, sc := sectionOf(t, s)
			if x == nil {
				t.Fatal("no section")
			}
			// A polygon of n sides stands for the circle.
			round := 1 - math.Cos(math.Pi/n)
			if got := x.to - x.from; math.Abs(got-c.depth) > 30*round+2*s.Report.Uncertainty {
				t.Errorf("depth %.3f, want %.3f", got, c.depth)
			}
			if got := x.sampled(4000); math.Abs(got/c.area-1) > 0.004 {
				t.Errorf("area by lines %.2f, want %.2f", got, c.area)
			}
			if got := x.area(); c.name != "two in one" && math.Abs(got/c.area-1) > 0.004 {
				t.Errorf("area by outline %.2f, want %.2f", got, c.area)
			}
			if x.figure == nil || *x.figure != *s.Report.UndercutPath {
				t.Errorf("the depth drawn is not the report's path")
			}
			if x.id != 1 || x.down {
				t.Errorf("region %d, down %v", x.id, x.down)
			}
			// The container's walls stand where the fit has them.
			if w := x.in.y - x.in.x; sc.vessel != nil && (w < 0.999*math.Min(s.Fit.Interior[0], s.Fit.Interior[1]) || // a tube is drawn in facets
				w > math.Hypot(s.Fit.Interior[0], s.Fit.Interior[1])+1e-6) {
				t.Errorf("container %.2f wide, inside %v", w, *s.Fit.Interior)
			}
		})
	}
}

// A two-part mold: the lower half is held by what is under the place.
func TestSectionOfHalves(t *testing.T) {
	if testing.Short() {
		t.Skip("whole jobs and pictures take minutes under the race detector")
	}
	// A spool on its side has its neck right and left of the axis; upright in
	// two parts, both halves hold nothing; an hourglass of unequal ends does.
	m := shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: 12, Z: 0}, {R: 12, Z: 10}, {R: 30, Z: 10}, {R: 30, Z: 16}, {R: 20, Z: 16}, {R: 20, Z: 30}, {R: 34, Z: 30}, {R: 34, Z: 40}, {R: 0, Z: 40}}, 96)
	s := tallied(t, m, estimate.Job{Mold: "two-part", Up: upright(), Resolution: 1, Source: estimate.Source{Units: "mm"}})
	x, sc := sectionOf(t, s)
	if x == nil {
		t.Fatal("no section")
	}
	if want := sc.at(mesh.V(0, 0, s.Report.Parting.Height)).Z; x.parting == nil || math.Abs(*x.parting-want) > 1e-9 {
		t.Fatalf("parting %v, want %g", x.parting, want)
	}
	if x.down != (x.level < *x.parting) && math.Abs(x.level-*x.parting) > s.Report.Resolution {
		t.Errorf("place at %g, parting at %g, down %v", x.level, *x.parting, x.down)
	}
	if got := x.to - x.from; math.Abs(got-*s.Report.UndercutPath) > 3*s.Report.Uncertainty+0.1 {
		t.Errorf("depth %.2f, the report's path is %.2f", got, *s.Report.UndercutPath)
	}
}

func TestNoSection(t *testing.T) {
	if testing.Short() {
		t.Skip("whole jobs and pictures take minutes under the race detector")
	}
	path := make([]float32, 8)
	cube := shape.Cube(20)
	at := ptr([3]float64{10, 0, 5})
	for name, s := range map[string]*estimate.Session{
		"no report":     {Mesh: cube},
		"no undercut":   {Mesh: cube, Report: &demold.Report{UndercutPath: ptr(0.0), VertexPath: path}},
		"no place":      {Mesh: cube, Report: &demold.Report{UndercutPath: ptr(1.0), VertexPath: path}},
		"only noise":    {Mesh: cube, Report: &demold.Report{UndercutPath: ptr(0.2), UndercutPathAt: at, VertexPath: path, Regions: []undercut.Region{{ID: 1, Kind: "minor", Path: ptr(0.2)}}}},
		"nothing above": {Mesh: cube, Report: &demold.Report{UndercutPath: ptr(1.0), UndercutPathAt: ptr([3]float64{500, 0, 5}), VertexPath: path}},
	} {
		if x, _ := sectionOf(t, s); x != nil {
			t.Errorf("%s: cut at %v", name, x.at)
		}
		drawPicture(t, s, Options{Width: 400}) // and it is drawn without one
	}
}

// Spans by winding: overlaps once, a shell inside another is solid, an open
// sheet says so.
func TestSpans(t *testing.T) {
	for _, c := range []struct {
		name string
		in   []crossing
		want [][2]float64
		ok   bool
	}{
		{"one", []crossing{{1, 1}, {4, -1}}, [][2]float64{{1, 4}}, true},
		{"two", []crossing{{6, 1}, {1, 1}, {9, -1}, {4, -1}}, [][2]float64{{1, 4}, {6, 9}}, true},
		{"overlapping", []crossing{{1, 1}, {3, 1}, {4, -1}, {6, -1}}, [][2]float64{{1, 6}}, true},
		{"touching", []crossing{{1, 1}, {4, -1}, {4, 1}, {6, -1}}, [][2]float64{{1, 6}}, true},
		{"nested", []crossing{{1, 1}, {2, 1}, {3, -1}, {6, -1}}, [][2]float64{{1, 6}}, true},
		{"inside out", []crossing{{1, -1}, {4, 1}}, [][2]float64{{1, 4}}, true},
		{"open", []crossing{{1, 1}}, nil, false},
		{"none", nil, nil, true},
	} {
		got, ok := spans(c.in)
		if ok != c.ok || ok && !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v %v, want %v %v", c.name, got, ok, c.want, c.ok)
		}
	}
}

// The section's words are the report's figures, and its number the table's.
func TestSectionWords(t *testing.T) {
	if testing.Short() {
		t.Skip("whole jobs and pictures take minutes under the race detector")
	}
	s := tallied(t, shape.Mushroom(30, 10, 10, 40, 64), estimate.Job{Mold: "block", Up: upright(), Resolution: 0.8, Source: estimate.Source{Units: "mm", File: "m.stl"}})
	p, err := newPicture(context.Background(), s, Options{Width: 1000})
	if err != nil {
		t.Fatal(err)
	}
	words := strings.Join(p.words, "\n")
	for _, want := range []string{"Section A-A, through 1", p.Inline(figure.Length(*s.Report.UndercutPath, figure.LengthStep(s.Report.Uncertainty))), "way out"} {
		if !strings.Contains(words, want) {
			t.Errorf("nowhere on the picture: %q in\n%s", want, words)
		}
	}
}

// Numbers are the report's, cover no label and not each other, and stand inside
// their view; those that something hides are hollow.
func TestMarks(t *testing.T) {
	if testing.Short() {
		t.Skip("whole jobs and pictures take minutes under the race detector")
	}
	var caps []*mesh.Mesh
	for i := range 5 { // a row of mushrooms, so close that their numbers jostle
		caps = append(caps, shape.Translate(shape.Mushroom(3+float64(i), 2, 2, 8, 24), mesh.V(12.5*float64(i), 0, 0)))
	}
	caps = append(caps, shape.Translate(shape.Box(1, 60, 14), mesh.V(-8, 0, 0)))
	row := tallied(t, shape.Merge(caps...), estimate.Job{Mold: "block", Up: upright(), Resolution: 0.8, Source: estimate.Source{Units: "mm"}})
	for name, s := range map[string]*estimate.Session{"finial": finialSession(t), "row": row} {
		for _, width := range []int{640, 1600} {
			p, err := newPicture(context.Background(), s, Options{Width: width})
			if err != nil {
				t.Fatal(err)
			}
			if len(p.marks) == 0 {
				t.Fatalf("%s: no numbers", name)
			}
			shown := render.ShownRegions(s.Report)
			for i, m := range p.marks {
				if !slices.ContainsFunc(shown, func(r undercut.Region) bool { return r.ID == m.id && r.Kind != "minor" }) {
					t.Errorf("%s: number %d is not in the table", name, m.id)
				}
				if !m.seen && m.panel.kind != quarter {
					t.Errorf("%s: a hidden number on %s", name, m.panel.title)
				}
				for _, o := range p.marks[:i] {
					if m.place.meets(o.place) {
						t.Errorf("%s, %d wide: numbers %d and %d cover each other on %s", name, width, m.id, o.id, m.panel.title)
					}
				}
				met := 0
				for _, b := range p.taken {
					if b.meets(m.place) {
						met++
					}
				}
				if met != 1 { // its own
					t.Errorf("%s, %d wide: number %d covers %d labels on %s", name, width, m.id, met-1, m.panel.title)
				}
				r := m.panel.rect
				if m.place.lo.x < float64(r.x) || m.place.lo.y < float64(r.y) || m.place.hi.x > float64(r.x+r.w) || m.place.hi.y > float64(r.y+r.h) {
					t.Errorf("%s: number %d stands outside %s", name, m.id, m.panel.title)
				}
			}
		}
	}
}

// A mold that is cut open is drawn with its seam, one in two parts with its
// parting line; the model has both.
func TestOpeningLines(t *testing.T) {
	m := shape.Revolve([]shape.RZ{{R: 0, Z: 0}, {R: 30, Z: 0}, {R: 30, Z: 10}, {R: 10, Z: 10}, {R: 10, Z: 30}, {R: 30, Z: 30}, {R: 30, Z: 40}, {R: 0, Z: 40}}, 64)
	s := tallied(t, m, estimate.Job{Up: upright(), Mold: "cut", Resolution: 1.2, Source: estimate.Source{File: "reel.stl", Units: "mm"}})
	sc, err := newScene(context.Background(), s, 1)
	if err != nil {
		t.Fatal(err)
	}
	lines, word := openingLines(s.Report, sc)
	if word != "cut open here" || len(lines) != 1 {
		t.Fatalf("%d lines, %q", len(lines), word)
	}
	var length float64
	for k := 1; k < len(lines[0]); k++ {
		length += lines[0][k].Sub(lines[0][k-1]).Len()
	}
	if want := 200.0; math.Abs(length-want) > 1 || math.Abs(length-s.Report.Seam.Length) > 1e-6 {
		t.Errorf("the seam is drawn %.2f long, the report has %.2f, want %.0f", length, s.Report.Seam.Length, want)
	}
	r := readBack(t, glbOf(t, s))
	var x struct {
		Length float64    `json:"length_mm"`
		Normal [3]float64 `json:"plane_normal"`
	}
	if r.extras("seam", &x); x.Length != s.Report.Seam.Length || x.Normal != s.Report.Seam.Normal {
		t.Errorf("the model's seam: %+v", x)
	}
	r.node("parting line")
	if lines, word := openingLines(partedSession(t).Report, sc); word != "parting line" || len(lines) != 1 {
		t.Errorf("in two parts: %d lines, %q", len(lines), word)
	}
}

func BenchmarkSection(b *testing.B) {
	m := shape.Sphere(50, 500) // on the board, undercut below its middle
	s := &estimate.Session{Mesh: m, Report: &demold.Report{UndercutPath: ptr(40.0), UndercutPathAt: ptr([3]float64{30, 0, -40}), Resolution: 0.3, VertexPath: make([]float32, m.NumVertices())}}
	sc, err := newScene(context.Background(), s, 1)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(m.NumTriangles()), "triangles")
	for b.Loop() {
		if x, err := newSection(context.Background(), s, sc); err != nil || x == nil {
			b.Fatal(x, err)
		}
	}
}
