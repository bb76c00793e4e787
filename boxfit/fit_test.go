package boxfit

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/dexel"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
	"moldtally/mesh/solid/solidtest"
	"moldtally/mesh/unit"
)

var upZ = mesh.V(0, 0, 1)

func at[T any](v T) *T { return &v }

// sceneOf is a closed mesh as a pattern with its exact volume.
func sceneOf(t testing.TB, m *mesh.Mesh, up mesh.Vec) *scene {
	t.Helper()
	s, err := newScene(context.Background(), m, nil, up)
	if err != nil {
		t.Fatal(err)
	}
	s.displaced = unit.Exactly(unit.Volume(shape.Volume(m)))
	var of *solid.Solid // made when a coat asks for it
	s.columns = func(ctx context.Context, g dexel.Grid) (*dexel.Field, error) {
		if of == nil {
			of = solidtest.Of(t, m)
		}
		return of.Field(ctx, g)
	}
	return s
}

func mustSearch(t testing.TB, s *scene, r Request) (*Fit, []*Fit) {
	t.Helper()
	if err := r.check(); err != nil {
		t.Fatal(err)
	}
	best, others, err := search(context.Background(), s, r)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append([]*Fit{best}, others...) {
		if !f.finite() {
			t.Fatalf("a figure is no number: %+v", f)
		}
	}
	return best, others
}

// The published worked examples of container volumes: part 80 × 50 × 30 with 12
// at the sides and below and 10 above; part ø60 × 100 in NPS 4 pipe.
func TestWorkedVolumes(t *testing.T) {
	f, _ := mustSearch(t, sceneOf(t, shape.Box(80, 50, 30), upZ), Request{
		Mold: demold.Cut, Container: "box", Wall: at(12.0), Over: at(10.0), Under: at(12.0),
	})
	if !near(f.Capacity, 400192, 1e-12) || !near(f.Rubber, 280192, 1e-12) || f.FillHeight != 52 {
		t.Errorf("cut box: capacity %v, rubber %v, fill %v; want 400192, 280192, 52", f.Capacity, f.Rubber, f.FillHeight)
	}
	if in := *f.Interior; !near(in[0], 104, 1e-12) || !near(in[1], 74, 1e-12) || in[2] != 62 {
		t.Errorf("cut box: inside %v, want 104 x 74 x 62", in)
	}
	if f.Thinnest != 10 || f.ThinnestAt[2] != 30 {
		t.Errorf("cut box: thinnest %v at %v, want 10 on top", f.Thinnest, *f.ThinnestAt)
	}

	s := sceneOf(t, shape.Cylinder(30, 100, 256), upZ)
	s.displaced = unit.Exactly(unit.Volume(math.Pi * 900 * 100))
	f, others := mustSearch(t, s, Request{Wall: at(20.0), Over: at(20.0)})
	if f.Kind != Sleeve || f.Stock == nil || *f.Stock != "NPS 4 schedule 40" {
		t.Fatalf("round part: %v %v, want the NPS 4 sleeve", f.Kind, f.Stock)
	}
	area := f.Capacity / f.FillHeight
	if math.Abs(area/100-80.9921) > 5e-5 || math.Abs(f.Rubber/1000-689.1624) > 5e-4 || math.Abs(f.Thinnest-20) > 1e-9 {
		t.Errorf("sleeve: area %v cm², rubber %v cm³, thinnest %v", area/100, f.Rubber/1000, f.Thinnest)
	}
	if side, _ := func() (float64, int) {
		w := sleeveWalls(s.circle, *f.Diameter)
		c, _ := w.clearance(s.hull)
		return c, 0
	}(); math.Abs(side-20.7746) > 5e-5 {
		t.Errorf("sleeve: side cover %v, want 20.7746", side)
	}
	for _, o := range others {
		if o.Kind == Box && o.Rubber < f.Rubber {
			t.Errorf("the box takes less, %v, than the sleeve chosen, %v", o.Rubber, f.Rubber)
		}
	}
	// A square box with the sleeve's own cover takes 38.5 % more.
	f, _ = mustSearch(t, s, Request{Container: "box", Wall: at(20.7746), Over: at(20.0)})
	if !near(f.Rubber/1000, 954.7255, 2e-4) {
		t.Errorf("square box: rubber %v cm³, want 954.7255", f.Rubber/1000)
	}

	// An own box of 6 × 4 × 1½ in holds 36 in³.
	s = sceneOf(t, shape.Box(60, 40, 10), upZ)
	f, _ = mustSearch(t, s, Request{Inside: &[3]float64{6 * 25.4, 4 * 25.4, 38.1}, Over: at(28.1)})
	if !near(f.Capacity, 589934.3, 1e-7) || !near(f.Rubber, 589934.304-24000, 1e-9) {
		t.Errorf("own box: capacity %v, rubber %v", f.Capacity, f.Rubber)
	}
}

func TestCoverRule(t *testing.T) {
	for _, c := range []struct{ l, w, want float64 }{
		{40, 40, 8}, {100, 100, 10}, {200, 100, 0.1 * math.Sqrt(20000)}, {300, 300, 25}, {80, 80, 8}, {250, 250, 25},
	} {
		if got := CoverRule(c.l, c.w); got != c.want {
			t.Errorf("CoverRule(%v, %v) = %v, want %v", c.l, c.w, got, c.want)
		}
	}
	f, _ := mustSearch(t, sceneOf(t, shape.Box(200, 100, 50), upZ), Request{Container: "box"})
	want := 0.1 * math.Sqrt(20000)
	if !near(f.Wall, want, 1e-12) || !near(f.Over, want, 1e-12) || f.Under != 0 || !near(f.Thinnest, want, 1e-9) {
		t.Errorf("block: wall %v, over %v, under %v, thinnest %v; want %v, %v, 0, %v", f.Wall, f.Over, f.Under, f.Thinnest, want, want, want)
	}
	f, _ = mustSearch(t, sceneOf(t, shape.Box(200, 100, 50), upZ), Request{Container: "box", Mold: demold.TwoPart})
	if !near(f.Under, want, 1e-12) || !near(f.FillHeight, 50+2*want, 1e-12) {
		t.Errorf("two-part: under %v, fill %v", f.Under, f.FillHeight)
	}
}

// Rubber against random points: in the container, not in the pattern. The
// pattern is asked by counting how often an upward ray crosses its faces.
func TestRubberAgainstRandomPoints(t *testing.T) {
	const seed, n = 21, 20000
	for name, m := range map[string]*mesh.Mesh{
		"mushroom":     shape.Mushroom(30, 15, 10, 40, 24),
		"leaning post": shape.LeaningPost(20, 80, 30),
		"mug":          shape.Mug(40, 90, 5, 25, 24),
	} {
		for _, up := range []mesh.Vec{upZ, mesh.V(1, 2, -2).Unit()} {
			s := sceneOf(t, m, up)
			for _, kind := range []Kind{Box, Sleeve, Polygon} {
				f, _ := mustSearch(t, s, Request{Container: kind, Mold: demold.Cut, Tube: "exact"})
				rnd := rand.New(rand.NewPCG(seed, 0))
				w := wallsOf(t, f, s)
				floor := mesh.V(f.Center[0], f.Center[1], f.Center[2]).Dot(up)
				r := math.Hypot(f.Interior[0], f.Interior[1]) / 2
				hit := 0
				for range n {
					q := mesh.Vec2{X: w.center.X + (2*rnd.Float64()-1)*r, Y: w.center.Y + (2*rnd.Float64()-1)*r}
					h := floor + rnd.Float64()*f.FillHeight
					if c, _ := w.clearance([]mesh.Vec2{q}); c >= 0 && !inside(m, s.point(q, h), up) {
						hit++
					}
				}
				all := 4 * r * r * f.FillHeight
				share := float64(hit) / n
				got, sigma := share*all, all*math.Sqrt(share*(1-share)/n)
				if math.Abs(got-f.Rubber) > 4*sigma {
					t.Errorf("%s, up %v, %s: rubber %.0f, random points say %.0f ± %.0f (seed %d)", name, up, kind, f.Rubber, got, sigma, seed)
				}
			}
		}
	}
}

// wallsOf rebuilds the walls from what a Fit says, as a picture would.
func wallsOf(t *testing.T, f *Fit, s *scene) *walls {
	t.Helper()
	axis := mesh.V(f.LongAxis[0], f.LongAxis[1], f.LongAxis[2])
	w := &walls{kind: f.Kind, center: s.plane(mesh.V(f.Center[0], f.Center[1], f.Center[2])), axis: s.plane(axis)}
	switch f.Kind {
	case Box:
		w.length, w.width = f.Interior[0], f.Interior[1]
	case Sleeve:
		w.radius = *f.Diameter / 2
	case Polygon:
		w.radius, w.sides = *f.Diameter/2, *f.Sides
	}
	return w
}

// inside counts crossings of the ray from p along u.
func inside(m *mesh.Mesh, p, u mesh.Vec) bool {
	// A little askew, so that no edge is met.
	d := u.Add(mesh.V(0.0123, 0.0271, 0.0193)).Unit()
	n := 0
	for k := range m.NumTriangles() {
		a, b, c := m.Corners(k)
		e1, e2 := b.Sub(a), c.Sub(a)
		h := d.Cross(e2)
		det := e1.Dot(h)
		if math.Abs(det) < 1e-14 {
			continue
		}
		s := p.Sub(a)
		x := s.Dot(h) / det
		q := s.Cross(e1)
		y := d.Dot(q) / det
		if x >= 0 && y >= 0 && x+y <= 1 && e2.Dot(q)/det > 0 {
			n++
		}
	}
	return n%2 == 1
}

// The thinnest rubber against the least distance from a dense set of surface
// points to the container's faces.
func TestThinnestInThreeDimensions(t *testing.T) {
	m := shape.Rotate(shape.Mug(40, 90, 5, 25, 32), mesh.V(1, 1, 0).Unit(), 0.4)
	for _, c := range []Request{
		{Mold: demold.Cut, Container: "box", Step: 5},
		{Mold: demold.Cut, Container: "box", Over: at(30.0), Under: at(4.0)},
		{Mold: demold.Block, Container: "sleeve", Over: at(3.0)},
		{Mold: demold.Cut, Container: "polygon", Sides: 7, Over: at(40.0), Under: at(40.0)},
		{Mold: demold.Block, Inside: &[3]float64{150, 160, 200}, Over: at(50.0)},
	} {
		s := sceneOf(t, m, upZ)
		f, _ := mustSearch(t, s, c)
		w := wallsOf(t, f, s)
		floor := s.base - f.Under
		dist := func(p mesh.Vec) float64 {
			d, _ := w.clearance([]mesh.Vec2{s.plane(p)})
			d = min(d, floor+f.FillHeight-p.Dot(upZ))
			if c.Mold != demold.Block {
				d = min(d, p.Dot(upZ)-floor)
			}
			return d
		}
		least := math.Inf(1)
		for _, p := range m.Vertices() {
			least = min(least, dist(p))
		}
		where := mesh.V(f.ThinnestAt[0], f.ThinnestAt[1], f.ThinnestAt[2])
		if math.Abs(f.Thinnest-least) > 1e-6 || math.Abs(dist(where)-least) > 1e-6 {
			t.Errorf("%+v: thinnest %v at %v (there it is %v), the vertices say %v", c, f.Thinnest, where, dist(where), least)
		}
	}
}

func TestPolygon(t *testing.T) {
	const seed = 22
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := 3; n <= MaxSides; n++ {
		for range 6 {
			var pts []mesh.Vec2
			for range 12 {
				pts = append(pts, mesh.Vec2{X: 500 + rnd.NormFloat64()*40, Y: rnd.NormFloat64() * 25})
			}
			h := mesh.Hull2(pts)
			w := polygonWalls(h, n, 10, 0)
			if c, _ := w.clearance(h); math.Abs(c-10) > 1e-6 {
				t.Errorf("%d sides: clearance %v, want 10", n, c)
			}
			// Never worse than round the least circle, nor better than the
			// outline's own area.
			k := mesh.MinCircle(h)
			if round := (k.Radius + 10) * (1 + 1e-9); w.radius > round {
				t.Errorf("%d sides: apothem %v, round the circle %v would do", n, w.radius, round)
			}
			if w.area() < mesh.AreaOf(h) {
				t.Errorf("%d sides: smaller than the outline", n)
			}
			if n == 4 { // a square: half the larger width at the best turn
				best := math.Inf(1)
				for i := range 20000 {
					a := math.Pi / 2 * float64(i) / 20000
					d := mesh.Vec2{X: math.Cos(a), Y: math.Sin(a)}
					ext := func(d mesh.Vec2) float64 {
						lo, hi := math.Inf(1), math.Inf(-1)
						for _, p := range h {
							lo, hi = min(lo, p.Dot(d)), max(hi, p.Dot(d))
						}
						return hi - lo
					}
					best = min(best, max(ext(d), ext(d.Perp()))/2)
				}
				if w.radius-10 > best+0.01 || w.radius-10 < best-0.01 {
					t.Errorf("square: half side %v, a scan finds %v", w.radius-10, best)
				}
			}
		}
	}
	// Support by angle against all corners.
	for range 200 {
		var pts []mesh.Vec2
		for range 3 + rnd.IntN(20) {
			pts = append(pts, mesh.Vec2{X: float64(rnd.IntN(9)) - 4, Y: float64(rnd.IntN(9)) - 4})
		}
		h := mesh.Hull2(pts)
		if len(h) < 2 {
			continue
		}
		sup := newSupport(h)
		for i := range 48 {
			a := math.Pi / 24 * float64(i)
			d := mesh.Vec2{X: math.Cos(a), Y: math.Sin(a)}
			want := math.Inf(-1)
			for _, p := range h {
				want = max(want, p.Dot(d))
			}
			if got := sup.at(a, d); math.Abs(got-want) > 1e-12 {
				t.Fatalf("support of %v at %v: %v, want %v", h, a, got, want)
			}
		}
	}
	// A hexagon's own hexagon.
	var hex []mesh.Vec2
	for i := range 6 {
		a := 0.3 + math.Pi/3*float64(i)
		hex = append(hex, mesh.Vec2{X: 20 * math.Cos(a), Y: 20 * math.Sin(a)})
	}
	w := polygonWalls(mesh.Hull2(hex), 6, 0, 0)
	if !near(w.area(), 600*math.Sqrt(3), 1e-6) || !near(w.side(), 20, 1e-6) || !near(w.perimeter(), 120, 1e-6) {
		t.Errorf("hexagon: area %v, side %v", w.area(), w.side())
	}
	f, _ := mustSearch(t, sceneOf(t, shape.Cylinder(50, 40, 96), upZ), Request{Container: "polygon", Step: 10})
	if k := polygonSide(f) / 10; math.Abs(k-math.Round(k)) > 1e-6 {
		t.Errorf("sides of %v are no whole steps of 10", polygonSide(f))
	}
	if *f.Sides < 5 || *f.Sides > 12 {
		t.Errorf("%d sides", *f.Sides)
	}
}

func polygonSide(f *Fit) float64 {
	return *f.Diameter * math.Tan(math.Pi/float64(*f.Sides))
}

func TestCutList(t *testing.T) {
	f, _ := mustSearch(t, sceneOf(t, shape.Box(80, 50, 30), upZ), Request{Container: "box", Wall: at(12.0), Over: at(12.0), Step: 5})
	// 104 × 74 → 105 × 75; filled to 42, rim 55; board 16.
	want := []Board{
		{Part{LongSide, "melamine-16", 0}, 2, 105 + 32, 55, 16},
		{Part{ShortSide, "melamine-16", 0}, 2, 75, 55, 16},
		{Part{BaseBoard, "melamine-16", 0}, 1, 105 + 32 + 60, 75 + 32 + 60, 16},
	}
	for i, b := range f.Boards {
		w := want[i]
		if b.Part != w.Part || b.Count != w.Count || math.Abs(b.Length-w.Length)+math.Abs(b.Width-w.Width)+math.Abs(b.Thickness-w.Thickness) > 1e-9 {
			t.Errorf("board %d: %+v, want %+v", i, b, w)
		}
	}
	if want := 2*(105+75.0) + 4*42; math.Abs(f.Seam-want) > 1e-9 {
		t.Errorf("seam %v, want %v", f.Seam, want)
	}
	// The actual thickness of the board named counts.
	f, _ = mustSearch(t, sceneOf(t, shape.Box(80, 50, 30), upZ), Request{Container: "box", Wall: at(12.0), Board: "plywood-1/2in"})
	if b := f.Boards[0]; b.Thickness != 11.906 || math.Abs(b.Length-(104+2*11.906)) > 1e-9 {
		t.Errorf("plywood: %+v", b)
	}
	f, _ = mustSearch(t, sceneOf(t, shape.Box(80, 50, 30), upZ), Request{Container: "polygon", Sides: 8, Wall: at(12.0)})
	side, half := f.Boards[0], math.Pi/8
	if side.Count != 8 || math.Abs(side.Length-(polygonSide(f)+2*16*math.Tan(half))) > 1e-9 || side.Part != (Part{PolygonSide, "melamine-16", 8}) {
		t.Errorf("octagon: %+v", side)
	}
}

func TestOwnContainer(t *testing.T) {
	bar := sceneOf(t, shape.Box(90, 10, 20), upZ)
	// Only across: at 45° the outline is (90+10)/√2 wide both ways.
	f, others := mustSearch(t, bar, Request{Inside: &[3]float64{75, 75, 60}})
	gap := (75 - 100/math.Sqrt2) / 2
	if !f.Own || !near(f.Wall, gap, 1e-9) || !near(f.Thinnest, gap, 1e-9) || f.Findings.Has(CodeSmall) {
		t.Errorf("bar across: wall %v, thinnest %v, want %v; %v", f.Wall, f.Thinnest, gap, f.Findings)
	}
	if w, _ := f.Findings.Worst(); !f.Findings.Has(CodeThin) || w != finding.Stop {
		t.Errorf("2 mm of rubber must stop the pour: %v", f.Findings)
	}
	if f.FillHeight != 28 || f.Interior[2] != 60 || len(f.Boards) != 0 || len(others) != 3 {
		t.Errorf("fill %v of %v, boards %v, %d others", f.FillHeight, f.Interior[2], f.Boards, len(others))
	}
	f, _ = mustSearch(t, bar, Request{Inside: &[3]float64{60, 60, 15}})
	if !f.Findings.Has(CodeSmall) || f.Thinnest != 0 {
		t.Errorf("a bar of 90 in 60 x 60: %v, thinnest %v", f.Findings, f.Thinnest)
	}
	for _, x := range f.Findings {
		if got, ok := x.Facts.(TooSmall); x.Code == CodeSmall && (!ok || math.Abs(float64(got.Height)-5) > 1e-9 || got.Need != (Inside{Length: 106, Width: 26, Height: 28})) {
			t.Errorf("does not say what lacks: %+v", x)
		}
	}
	// Too shallow for what was asked above: as much as there is.
	f, _ = mustSearch(t, bar, Request{Inside: &[3]float64{120, 60, 24}})
	if f.Over != 4 || f.FillHeight != 24 || f.Thinnest != 4 || !f.Findings.Has(CodeThin) {
		t.Errorf("shallow box: over %v, fill %v, %v", f.Over, f.FillHeight, f.Findings)
	}
	// Cut mold in a shallow box: over and under share the room.
	f, _ = mustSearch(t, bar, Request{Mold: demold.Cut, Over: at(10.0), Under: at(5.0), Inside: &[3]float64{120, 60, 29}})
	if math.Abs(f.Over-6) > 1e-9 || math.Abs(f.Under-3) > 1e-9 {
		t.Errorf("shared room: over %v, under %v, want 6 and 3", f.Over, f.Under)
	}
	f, _ = mustSearch(t, bar, Request{InsideTube: &[2]float64{110, 40}})
	r := math.Hypot(45, 5)
	if !near(f.Wall, 55-r, 1e-9) || !near(f.Capacity, math.Pi*55*55*28, 1e-12) || f.Stock != nil {
		t.Errorf("own tube: wall %v, capacity %v", f.Wall, f.Capacity)
	}
	f, _ = mustSearch(t, bar, Request{InsideTube: &[2]float64{80, 40}})
	if !f.Findings.Has(CodeSmall) {
		t.Error("a bar of 90 fits no tube of 80")
	}
	// Good room: nothing to say about it.
	f, _ = mustSearch(t, bar, Request{Inside: &[3]float64{120, 60, 60}, PatternMass: at(500.0)})
	if len(f.Findings) != 0 {
		t.Errorf("a roomy box: %v", f.Findings)
	}
}

// A coat has its mother mold, whatever box stands about; and what does not fit says
// so by itself.
func TestOwnContainerOfACoatAndTooSmall(t *testing.T) {
	s := sceneOf(t, shape.Box(80, 50, 30), upZ)
	for _, m := range []demold.Mold{demold.Blanket, demold.Brushed} {
		with, _ := mustSearch(t, s, Request{Mold: m, Inside: &[3]float64{100, 100, 100}})
		without, _ := mustSearch(t, s, Request{Mold: m})
		if with.Kind != Mother || with.Rubber != without.Rubber || with.Own {
			t.Errorf("%s: %s of %v mm³, %v without a box", m, with.Kind, with.Rubber, without.Rubber)
		}
	}
	for _, c := range []struct {
		r    Request
		fits bool
	}{
		{Request{Inside: &[3]float64{100, 70, 50}}, true},
		{Request{Inside: &[3]float64{80, 50, 30}}, true}, // a skin, which is a stop of its own
		{Request{Inside: &[3]float64{79, 70, 50}}, false},
		{Request{Inside: &[3]float64{100, 70, 29}}, false},
		{Request{InsideTube: &[2]float64{100, 50}}, true},
		{Request{InsideTube: &[2]float64{94, 50}}, false},
	} {
		if f, _ := mustSearch(t, s, c.r); f.Fits() != c.fits || f.Findings.Has(CodeSmall) == c.fits || f.Findings.Has(CodeFloatUnknown) && !c.fits {
			t.Errorf("%v %v: fits %v, %v", c.r.Inside, c.r.InsideTube, f.Fits(), f.Findings)
		}
	}
}

func TestFindings(t *testing.T) {
	has := func(f *Fit, c finding.Code) finding.Severity {
		for _, x := range f.Findings {
			if x.Code == c {
				return x.Severity
			}
		}
		return -1
	}
	small := sceneOf(t, shape.Box(80, 50, 30), upZ)
	tall := sceneOf(t, shape.Box(80, 50, 320), upZ)
	big := sceneOf(t, shape.Box(400, 400, 50), upZ)
	for _, c := range []struct {
		name string
		s    *scene
		r    Request
		code finding.Code
		want finding.Severity
	}{
		{"light pattern floats", small, Request{PatternMass: at(20.0)}, CodeFloat, finding.Caution},
		{"heavy one does not", small, Request{PatternMass: at(400.0)}, CodeFloat, -1},
		{"unknown mass", small, Request{}, CodeFloatUnknown, finding.Caution},
		{"known mass", small, Request{PatternMass: at(20.0)}, CodeFloatUnknown, -1},
		{"tall head", tall, Request{}, CodeHead, finding.Caution},
		{"low head", small, Request{}, CodeHead, -1},
		{"thick wall", small, Request{Wall: at(30.0)}, CodeThick, finding.Caution},
		{"large pattern", big, Request{Container: "box"}, CodeThick, finding.Note},
		{"thin wall asked for", small, Request{Wall: at(4.0)}, CodeThin, finding.Caution},
		{"usual wall", small, Request{}, CodeThin, -1},
		{"no tube so wide", big, Request{Container: "sleeve"}, CodeTube, finding.Caution},
		{"made to measure", big, Request{Container: "sleeve", Tube: "exact"}, CodeTube, -1},
		{"heavy box", big, Request{Container: "box", PatternMass: at(14e3)}, CodeHeavy, finding.Caution},
		{"light box", small, Request{PatternMass: at(300.0)}, CodeHeavy, -1},
		{"between", small, Request{PatternMass: at(13e3)}, CodeHeavy, finding.Note},
		{"dunked volume beyond belief", small, Request{Displaced: at(unit.Exactly(unit.Volume(5e6)))}, CodeVolume, -1},
	} {
		f, _ := mustSearch(t, c.s, c.r)
		if got := has(f, c.code); got != c.want {
			t.Errorf("%s: %s is %v, want %v (%v)", c.name, c.code, got, c.want, f.Findings)
		}
	}
	// The sealed foot is told as the best case, and as no more.
	f, _ := mustSearch(t, small, Request{PatternMass: at(20.0), Contact: 4000})
	if len(f.Findings) == 0 || f.Findings[0].Facts.(Floats).Sealed != FootHolds {
		t.Errorf("no word of the sealed foot: %v", f.Findings)
	}
	full := sceneOf(t, shape.Box(80, 50, 30), upZ)
	full.displaced = unit.Exactly(unit.Volume(5e6))
	if f, _ := mustSearch(t, full, Request{}); has(f, CodeVolume) != finding.Stop || f.Rubber != 0 {
		t.Errorf("more pattern than container: %v, rubber %v", f.Findings, f.Rubber)
	}
}

func TestRequestRefused(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for i, r := range []Request{
		{Mold: "glove"}, {Container: "barrel"}, {Tube: "wide"}, {Sides: 2}, {Sides: 13}, {Step: -1}, {Step: nan}, {RubberSG: inf},
		{Inside: &[3]float64{1, 2, 0}}, {Inside: &[3]float64{1, nan, 2}}, {InsideTube: &[2]float64{-1, 2}},
		{Inside: &[3]float64{1, 1, 1}, InsideTube: &[2]float64{1, 1}}, {Wall: at(-1.0)}, {Over: at(nan)}, {Under: at(inf)},
		{Mold: demold.Blanket, Coat: at(0.0)}, {PatternMass: at(-1.0)}, {LiftExtra: -1},
		{Displaced: &unit.Bounded[unit.Volume]{Low: 3, Value: 2, High: 4}},
	} {
		if err := r.check(); !errors.As(err, new(*BadRequest)) {
			t.Errorf("case %d: %+v passed: %v", i, r, err)
		}
	}
	if _, _, err := search(context.Background(), sceneOf(t, shape.Cube(10), upZ), Request{Board: "cheese"}); err == nil {
		t.Error("an unknown board passed")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, mold := range []demold.Mold{demold.Block, demold.Blanket} {
		if _, _, err := search(ctx, sceneOf(t, shape.Cube(10), upZ), Request{Mold: mold}); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: cancelled, got %v", mold, err)
		}
	}
}

func TestSameForAnyNumberOfCores(t *testing.T) {
	s := sceneOf(t, shape.Mug(40, 90, 5, 25, 64), mesh.V(0.6, 0, 0.8))
	old := runtime.GOMAXPROCS(1)
	a, _ := mustSearch(t, s, Request{Mold: demold.Blanket})
	runtime.GOMAXPROCS(4)
	b, _ := mustSearch(t, s, Request{Mold: demold.Blanket})
	runtime.GOMAXPROCS(old)
	if a.Capacity != b.Capacity || *a.CoatVolume != *b.CoatVolume || *a.FillOut != *b.FillOut || a.Shell.Pieces[0] != b.Shell.Pieces[0] {
		t.Errorf("one core says %v, four say %v", a.Capacity, b.Capacity)
	}
}

// A body turned in space with its up turned along gives the same container.
func TestTurnedInSpace(t *testing.T) {
	axis := mesh.V(1, -2, 0.5).Unit()
	m := shape.Mug(40, 90, 5, 25, 32)
	turned := shape.Rotate(m, axis, 1.1)
	// Rodrigues' formula.
	tip := upZ.Mul(math.Cos(1.1)).Add(axis.Cross(upZ).Mul(math.Sin(1.1))).Add(axis.Mul(axis.Dot(upZ) * (1 - math.Cos(1.1))))
	for _, kind := range []Kind{Box, Sleeve, Polygon} {
		a, _ := mustSearch(t, sceneOf(t, m, upZ), Request{Container: kind, Tube: "exact"})
		b, _ := mustSearch(t, sceneOf(t, turned, tip.Unit()), Request{Container: kind, Tube: "exact"})
		if !near(a.Capacity, b.Capacity, 1e-6) || !near(a.Rubber, b.Rubber, 1e-6) || !near(a.Thinnest, b.Thinnest, 1e-9) {
			t.Errorf("%s: %v and %v, turned %v and %v", kind, a.Capacity, a.Rubber, b.Capacity, b.Rubber)
		}
	}
	skip := make([]bool, m.NumTriangles())
	for i := range skip {
		skip[i] = i%2 == 0
	}
	if s, err := newScene(context.Background(), m, skip, upZ); err != nil || s.height() <= 0 {
		t.Errorf("half the faces: %v, %v", s, err)
	}
	for i := range skip {
		skip[i] = true
	}
	if _, err := newScene(context.Background(), m, skip, upZ); err == nil {
		t.Error("no faces at all passed")
	}
	if _, err := newScene(context.Background(), m, nil, mesh.V(0, 0, 2)); err == nil {
		t.Error("an up two long passed")
	}
}

func TestOptionsCheapestFirst(t *testing.T) {
	best, others := mustSearch(t, sceneOf(t, shape.Box(80, 50, 30), upZ), Request{RubberSG: 1.1})
	if len(best.Options) != 3 || len(others) != 2 {
		t.Fatalf("%d options, %d others", len(best.Options), len(others))
	}
	last := 0.0
	for _, o := range best.Options {
		if o.Volume < last || !near(*o.Mass, o.Volume*1.1/1000, 1e-12) || o.Mold != "block" || o.Cost != nil {
			t.Errorf("option %+v after %v", o, last)
		}
		last = o.Volume
	}
	if best.Reason == nil || !best.finite() {
		t.Errorf("no reason: %+v", best)
	}
	// Asked for is chosen, even where it takes more.
	for _, k := range []Kind{Box, Sleeve, Polygon} {
		if f, _ := mustSearch(t, sceneOf(t, shape.Box(80, 50, 30), upZ), Request{Container: k}); f.Kind != k {
			t.Errorf("asked for %s, got %s", k, f.Kind)
		}
	}
}

func BenchmarkSearch(b *testing.B) {
	s := sceneOf(b, shape.Icosphere(60, 6), upZ)
	for b.Loop() {
		if _, _, err := search(context.Background(), s, Request{}); err != nil {
			b.Fatal(err)
		}
	}
}

// Over a ceiling rose of 700 mm, 60 high, stand 15 mm of rubber, with 25 at its sides;
// over a small tile, and over what is no relief, as much as at the sides.
func TestOverARelief(t *testing.T) {
	for _, c := range []struct{ l, w, h, side, over float64 }{{700, 700, 60, 25, 15}, {120, 100, 10, 10.954, 10.954}, {400, 400, 100, 25, 25}} {
		f, _ := mustSearch(t, sceneOf(t, shape.Box(c.l, c.w, c.h), upZ), Request{Container: Box})
		if math.Abs(f.Wall-c.side) > 1e-3 || math.Abs(f.Over-c.over) > 1e-3 {
			t.Errorf("%v × %v × %v: %g mm at the sides and %g over it, want %g and %g", c.l, c.w, c.h, f.Wall, f.Over, c.side, c.over)
		}
	}
}
