package picture

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/figure"
)

// finialProfile is a turned newel finial: foot, neck, bulb, neck, ball, tip.
func finialProfile() []shape.RZ {
	var p []shape.RZ
	add := func(r, z float64) { p = append(p, shape.RZ{R: r, Z: z}) }
	bump := func(r0, r1, z0, z1, swell float64) {
		const n = 24
		for i := 1; i <= n; i++ {
			t := float64(i) / n
			add(r0+(r1-r0)*t+swell*math.Sin(math.Pi*t), z0+(z1-z0)*t)
		}
	}
	add(0, 0)
	add(36, 0)
	add(36, 8)
	bump(36, 30, 8, 14, 3)
	bump(30, 24, 14, 30, -4)
	bump(24, 20, 30, 86, 19)
	bump(20, 13, 86, 98, -3)
	bump(13, 6, 98, 128, 11)
	bump(6, 0, 128, 142, 1.5)
	p[len(p)-1].R = 0
	return p
}

// turnedPath is the exact path of a body of revolution that stands on its
// foot: how much wider it is anywhere above.
func turnedPath(m *mesh.Mesh, clay float64) (path []float32, deepest float64, at mesh.Vec) {
	// Widest radius above each vertex, by height.
	path = make([]float32, m.NumVertices())
	v := m.Vertices()
	order := map[float64]float64{}
	for _, p := range v {
		order[p.Z] = max(order[p.Z], math.Hypot(p.X, p.Y))
	}
	for i, p := range v {
		r, most := math.Hypot(p.X, p.Y), 0.0
		for z, w := range order {
			if z > p.Z {
				most = max(most, w)
			}
		}
		if d := most - r; d > 0 && p.Z > clay {
			path[i] = float32(d)
			if d > deepest {
				deepest, at = d, p
			}
		}
	}
	return path, deepest, at
}

// finialSession is the finial in a box, with its exact undercut.
func finialSession(t testing.TB) *estimate.Session {
	m := shape.Revolve(finialProfile(), 128)
	s := solidtest.Rough(t, m)
	path, deepest, at := turnedPath(s.Surface(), 1.4)
	p := samplePlan()
	p.Pattern.Size = m.Size().Array()
	p.Demold.UndercutPath, p.Demold.UndercutPathAt = &deepest, ptr(at.Array())
	p.Demold.VertexPath = path
	upper, second := 0, 0.0
	for i, v := range s.Surface().Vertices() {
		if d := float64(path[i]); v.Z > 90 && d > second {
			upper, second = i, d
		}
	}
	p.Demold.Regions = []undercut.Region{
		{ID: 1, Kind: "neck", Depth: deepest, Path: &deepest, At: at.Array()},
		{ID: 2, Kind: "neck", Depth: second, Path: &second, At: s.Surface().Vertices()[upper].Array()},
		{ID: 3, Kind: "minor", Depth: 0.2, Path: ptr(0.2), At: [3]float64{1, 39, 20}},
	}
	f := p.Container
	f.Up, f.LongAxis = [3]float64{0, 0, 1}, [3]float64{1, 0, 0}
	f.ThinnestAt = &[3]float64{38, -3, 11}
	return &estimate.Session{Mesh: m, Solid: s, Report: p.Demold, Fit: f, Plan: p}
}

// archSession is an arch on the board, locked, in a sleeve, with a hole in its
// top that was closed by a patch.
func archSession(t testing.TB) *estimate.Session {
	m := shape.Without(shape.FineBox(90, 40, 60, 12), func(_ int, c mesh.Vec) bool {
		return c.Z > 59.9 && math.Hypot(c.X-20, c.Y) < 12
	})
	s := solidtest.Rough(t, m)
	v := s.Surface().Vertices()
	path := make([]float32, len(v))
	for i, p := range v {
		switch {
		case p.Z < 30 && math.Abs(p.X) < 20:
			path[i] = float32(math.Inf(1))
		case p.Z < 45:
			path[i] = float32(45-p.Z) / 5
		}
	}
	p := samplePlan()
	p.Pattern.File, p.Pattern.UnitsFrom, p.Pattern.Size = "arch.obj", "flag", m.Size().Array()
	p.Verdict = &estimate.Verdict{Answer: estimate.Locked}
	p.Demold.UndercutPath, p.Demold.FreePath, p.Demold.UndercutPathAt = nil, 9, &[3]float64{0, -20, 20}
	p.Demold.VertexPath = path
	f := &boxfit.Fit{Kind: boxfit.Sleeve, Mold: "two-part", Diameter: ptr(118.6), Interior: &[3]float64{118.6, 118.6, 84}, FillHeight: 72, Wall: 10, Over: 12,
		Up: [3]float64{0, 0, 1}, LongAxis: [3]float64{1, 0, 0}, ThinnestAt: &[3]float64{45, -20, 30}, Thinnest: 10.05}
	p.Container = f
	p.Demold.Parting = &demold.Parting{Kind: "flat", Height: 30}
	p.Demold.Regions = []undercut.Region{{ID: 1, Kind: "tunnel", Depth: 20, At: [3]float64{0, -20, 20}}}
	return &estimate.Session{Mesh: m, Solid: s, Report: p.Demold, Fit: f, Plan: p}
}

// blanketSession is a leaning horn under a blanket.
func blanketSession(t testing.TB) *estimate.Session {
	m := shape.Stand(shape.Bottle(30, 12, 50, 20, 30, 96), mesh.V(0, 0, 1))
	s := solidtest.Rough(t, m)
	path, _, at := turnedPath(s.Surface(), 1)
	p := samplePlan()
	p.Pattern.File, p.Verdict.Answer = "bottle.ply", estimate.ComesOut
	p.Warnings = nil
	p.Demold.VertexPath, p.Demold.UndercutPathAt, p.Demold.UndercutPath = path, ptr(at.Array()), ptr(0.0)
	p.Demold.Regions = nil
	p.Container = &boxfit.Fit{Kind: boxfit.Mother, Mold: "blanket", FillHeight: 109, Wall: 9, Up: [3]float64{0, 0, 1}, LongAxis: [3]float64{1, 0, 0}}
	return &estimate.Session{Mesh: m, Solid: s, Report: p.Demold, Fit: p.Container, Plan: p}
}

// tileSession is a wide flat tile with nothing undercut, in a six-sided wall,
// its up along +y.
func tileSession(t testing.TB) *estimate.Session {
	m := shape.Rotate(shape.Merge(shape.FineBox(160, 110, 12, 6), shape.Translate(shape.Frustum(30, 24, 8, 64), mesh.V(20, 5, 12))), mesh.V(1, 0, 0), -math.Pi/2)
	s := solidtest.Rough(t, m)
	p := samplePlan()
	p.Pattern.File, p.Verdict.Answer = "a tile with a very long name indeed, as clients like to send them, version 12 final.3mf", estimate.ComesOut
	p.Warnings = nil
	p.Pose.Up = [3]float64{0, 1, 0}
	p.Demold.VertexPath = make([]float32, s.Surface().NumVertices())
	p.Demold.UndercutPath, p.Demold.UndercutDepth, p.Demold.UndercutPathAt = ptr(0.0), 0, nil
	p.Demold.Regions = nil
	p.Container = &boxfit.Fit{Kind: boxfit.Polygon, Mold: "block", Sides: ptr(6), Diameter: ptr(215.0), Interior: &[3]float64{215, 215, 40}, FillHeight: 32, Wall: 10, Up: [3]float64{0, 1, 0}, LongAxis: [3]float64{1, 0, 0}}
	return &estimate.Session{Mesh: m, Solid: s, Report: p.Demold, Fit: p.Container, Plan: p}
}

func drawPicture(t testing.TB, s *estimate.Session, o Options) *image.NRGBA {
	t.Helper()
	m, err := Preview(context.Background(), s, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Golden pictures are small; a channel may be off by this much, and this share
// of pixels by more, for another processor may round a coverage the other way.
const (
	channelTolerance = 6
	pixelShare       = 0.002
)

func goldenPicture(t *testing.T, name string, got *image.NRGBA) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		var b bytes.Buffer
		if err := WritePNG(&b, got); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	m, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	if m.Bounds() != got.Bounds() {
		t.Fatalf("%s is %v, got %v", name, m.Bounds(), got.Bounds())
	}
	off := 0
	b := got.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := m.At(x, y).RGBA()
			c := got.NRGBAAt(x, y)
			for _, d := range []int{int(r>>8) - int(c.R), int(g>>8) - int(c.G), int(bl>>8) - int(c.B)} {
				if d < -channelTolerance || d > channelTolerance {
					off++
					break
				}
			}
		}
	}
	if share := float64(off) / float64(b.Dx()*b.Dy()); share > pixelShare {
		t.Errorf("%s: %.2f %% of the pixels differ by more than %d, allowed %.2f %%", name, 100*share, channelTolerance, 100*pixelShare)
	}
}

func TestPreviewGolden(t *testing.T) {
	if testing.Short() {
		t.Skip("whole pictures take minutes under the race detector; TestPreviewSameBytes draws one")
	}
	small := Options{Width: 800, Height: 600}
	goldenPicture(t, "finial.png", drawPicture(t, finialSession(t), small))
	goldenPicture(t, "arch.png", drawPicture(t, archSession(t), small))
	goldenPicture(t, "tile.png", drawPicture(t, tileSession(t), small))
}

// Set SHOW to a folder to look at full-size pictures.
func TestShow(t *testing.T) {
	dir := os.Getenv("SHOW")
	if dir == "" {
		t.Skip("SHOW names no folder")
	}
	for name, s := range map[string]*estimate.Session{"finial": finialSession(t), "arch": archSession(t), "blanket": blanketSession(t), "tile": tileSession(t), "bare": {Mesh: shape.Torus(40, 12, 96, 48)}} {
		f, err := os.Create(filepath.Join(dir, name+".png"))
		if err != nil {
			t.Fatal(err)
		}
		if err := WritePNG(f, drawPicture(t, s, Options{})); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
}

func TestPreviewSameBytes(t *testing.T) {
	sessions := []*estimate.Session{finialSession(t)}
	if !testing.Short() {
		sessions = append(sessions, tallied(t, shape.Mushroom(30, 10, 10, 40, 64), estimate.Job{Mold: "block", Up: upright(), Resolution: 0.6}))
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for _, s := range sessions {
		runtime.GOMAXPROCS(1)
		one := drawPicture(t, s, Options{Width: 480})
		for _, n := range []int{2, 5} {
			runtime.GOMAXPROCS(n)
			if got := drawPicture(t, s, Options{Width: 480}); !bytes.Equal(got.Pix, one.Pix) {
				t.Errorf("%d cores give other bytes than one", n)
			}
		}
	}
}

func TestPreviewRefuses(t *testing.T) {
	s := finialSession(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Preview(ctx, s, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: got %v", err)
	}
	for _, o := range []Options{{Width: 10, Height: 10}, {Width: 100000, Height: 1000}, {Width: -1, Height: 600}} {
		if _, err := Preview(context.Background(), s, o); err == nil {
			t.Errorf("%+v was drawn", o)
		}
	}
	if _, err := Preview(context.Background(), &estimate.Session{}, Options{}); err == nil {
		t.Error("drew nothing without an error")
	}
}

// Every figure on the picture is the JSON's, rounded.
func TestLabelsAreTheFigures(t *testing.T) {
	if testing.Short() {
		t.Skip("whole pictures take minutes under the race detector; TestPreviewSameBytes draws one")
	}
	s := finialSession(t)
	p, err := newPicture(context.Background(), s, Options{Width: 640})
	if err != nil {
		t.Fatal(err)
	}
	words := strings.Join(p.words, "\n")
	f, d, q := s.Plan.Container, s.Plan.Demold, s.Plan.Pattern
	for _, want := range []string{
		figure.Clear(f.Interior[0]).Metric(), figure.Clear(f.Interior[0]).US(),
		figure.Clear(f.Interior[2]).Metric(), figure.Clear(f.Interior[2]).US(),
		figure.Marked(f.FillHeight).Metric(), figure.Marked(f.FillHeight).US(),
		figure.Fixed(*d.UndercutPath, 1) + figure.NBSP + "mm", figure.Fixed(f.Thinnest, 1) + figure.NBSP + "mm",
		"displaces 412" + figure.NBSP + "cm³", "rubber 1289" + figure.NBSP + "cm³", q.File, string(s.Plan.Verdict.Answer),
		"units: mm, assumed", "mold lifts", "1" + figure.NBSP + "stop open", "moldtally 0.1.0",
	} {
		if !strings.Contains(words, want) {
			t.Errorf("nowhere on the picture: %q in\n%s", want, words)
		}
	}
	for _, system := range []unit.System{unit.Metric, unit.US} {
		p, err := newPicture(context.Background(), s, Options{Width: 640, System: system})
		if err != nil {
			t.Fatal(err)
		}
		words := strings.Join(p.words, "\n")
		if metric := strings.Contains(words, "105"+figure.NBSP+"mm"); metric != (system == unit.Metric) {
			t.Errorf("%s: millimetres %v", system, metric)
		}
		if mark := map[unit.System]string{unit.Metric: "15", unit.US: "0.6"}[system]; !slices.Contains(p.words, mark) {
			t.Errorf("%s: the legend has no mark %s", system, mark)
		}
		if us := strings.Contains(words, figure.Clear(f.Interior[0]).US()); us != (system == unit.US) {
			t.Errorf("%s: inches %v", system, us)
		}
	}
}

// Whatever is missing, odd or flat, something is drawn.
func TestPreviewOfAnything(t *testing.T) {
	if testing.Short() {
		t.Skip("whole pictures take minutes under the race detector; TestPreviewSameBytes draws one")
	}
	flat := shape.Map(shape.FineBox(100, 60, 1, 4), func(p mesh.Vec) mesh.Vec { return mesh.Vec{X: p.X, Y: p.Y} })
	far := shape.Translate(shape.Cube(20), mesh.V(1e7, -1e7, 1e7))
	for name, s := range map[string]*estimate.Session{
		"flat": {Mesh: flat}, "far": {Mesh: far, Plan: &estimate.Plan{}},
		"inside out": {Mesh: shape.Flip(shape.Cube(20)), Report: &demold.Report{}},
		"no sizes":   {Mesh: shape.Cube(20), Fit: &boxfit.Fit{Kind: boxfit.Box}},
		"odd sides":  {Mesh: shape.Cube(20), Fit: &boxfit.Fit{Kind: boxfit.Polygon, Sides: ptr(5), Diameter: ptr(60.0), Up: [3]float64{0, 0, 1}, FillHeight: 30}},
		"tile":       tileSession(t), "blanket": blanketSession(t), "arch": archSession(t),
	} {
		for _, o := range []Options{{Width: 400, Height: 300}, {Width: 900, Height: 300}, {Width: 400, Height: 900}} {
			if m := drawPicture(t, s, o); m.Rect.Dx() != o.Width || m.Rect.Dy() != o.Height {
				t.Errorf("%s: %v", name, m.Rect)
			}
		}
	}
}

// The pattern must be where the camera says: the middle of the top of a cube
// shows the cube's color, a corner of the view the ground.
func TestViewColors(t *testing.T) {
	m := shape.FineBox(40, 40, 40, 4)
	path := make([]float32, m.NumVertices())
	for i := range path {
		path[i] = 10
	}
	p, err := newPicture(context.Background(), &estimate.Session{Mesh: m, Report: &demold.Report{UndercutPath: ptr(10.0), VertexPath: path}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	top := p.panels[1]
	q := top.at(mesh.V(3, 5, 40))
	got := p.RGBAAt(int(q.x), int(q.y))
	// Light falls on the top from the left front: a known share of the color.
	key := mesh.V(-0.45, 0.62, 0.64).Unit()
	light := ambient + keyLight*key.Z
	c := rampAt(1).mul(light)
	for i, want := range []float64{c.r, c.g, c.b} {
		g := []uint8{got.R, got.G, got.B}[i]
		if w := 255 * encode(want); math.Abs(float64(g)-w) > 3 {
			t.Errorf("channel %d of the top is %d, want %.0f", i, g, w)
		}
	}
}

func TestRamp(t *testing.T) {
	var steps []float64
	for i := 1; i < rampSize; i++ {
		l0, a0, b0 := toOklab(ramp[i-1])
		l1, a1, b1 := toOklab(ramp[i])
		if l1 >= l0 {
			t.Errorf("lightness does not fall at %d", i)
		}
		gray := func(c rgb) float64 { return 0.2126*c.r + 0.7152*c.g + 0.0722*c.b } // luminance, ITU-R BT.709
		if gray(ramp[i]) >= gray(ramp[i-1]) {
			t.Errorf("a gray copy does not darken at %d", i)
		}
		steps = append(steps, math.Sqrt(sq(l1-l0)+sq(a1-a0)+sq(b1-b0)))
	}
	lo, hi := slices.Min(steps), slices.Max(steps)
	if hi > 1.1*lo {
		t.Errorf("perceived steps run from %.5f to %.5f: not even", lo, hi)
	}
	for _, c := range []rgb{{1, 1, 1}, {0.2, 0.5, 0.1}, {0, 0, 1}} { // the two matrices are each other's inverse
		back := fromOklab(toOklab(c))
		if math.Abs(back.r-c.r)+math.Abs(back.g-c.g)+math.Abs(back.b-c.b) > 1e-6 {
			t.Errorf("%v comes back as %v", c, back)
		}
	}
	// The published check value of the color space: white is lightness 1.
	if l, a, b := toOklab(rgb{1, 1, 1}); math.Abs(l-1)+math.Abs(a)+math.Abs(b) > 1e-5 {
		t.Errorf("white is %v %v %v", l, a, b)
	}
}

func TestCanvasCoverage(t *testing.T) {
	sum := func(draw func(c *canvas)) float64 {
		c := newCanvas(100, 100, 1)
		draw(c)
		n := 0
		for i := 0; i < len(c.Pix); i += 4 {
			n += int(c.Pix[i])
		}
		return float64(n) / 255
	}
	white := nrgba(0xFFFFFF, 255)
	for _, c := range []struct {
		name string
		got  float64
		want float64
	}{
		{"rectangle", sum(func(c *canvas) { c.polygon([]point{{10.3, 20}, {60.8, 20}, {60.8, 45}, {10.3, 45}}, white) }), 50.5 * 25},
		{"triangle", sum(func(c *canvas) { c.polygon([]point{{10, 10}, {10, 70}, {80, 40}}, white) }), 2100},
		{"ring", sum(func(c *canvas) { c.ring(point{50, 50}, 30, 4, white) }), 2 * math.Pi * 30 * 4},
		{"line", sum(func(c *canvas) { c.line(point{20, 20}, point{80, 65}, 6, white) }), 75*6 + math.Pi*9},
		{"round", sum(func(c *canvas) { c.round(point{10, 10}, point{90, 60}, 12, white) }), 80*50 - (4-math.Pi)*144},
	} {
		if math.Abs(c.got/c.want-1) > 0.01 {
			t.Errorf("%s covers %.1f pixels, want %.1f", c.name, c.got, c.want)
		}
	}
}

func BenchmarkPreview(b *testing.B) {
	s := &estimate.Session{Mesh: shape.Sphere(50, 500)}
	path := make([]float32, s.Mesh.NumVertices())
	s.Report = &demold.Report{VertexPath: path, UndercutPath: ptr(0.0)}
	b.ReportMetric(float64(s.Mesh.NumTriangles()), "triangles")
	b.ReportAllocs()
	for b.Loop() {
		drawPicture(b, s, Options{})
	}
}

func BenchmarkWritePNG(b *testing.B) {
	m := drawPicture(b, finialSession(b), Options{})
	for b.Loop() {
		if err := WritePNG(io.Discard, m); err != nil {
			b.Fatal(err)
		}
	}
}

// toOklab is fromOklab turned round.
func toOklab(c rgb) (L, A, B float64) {
	l := math.Cbrt(0.4122214708*c.r + 0.5363325363*c.g + 0.0514459929*c.b)
	m := math.Cbrt(0.2119034982*c.r + 0.6806995451*c.g + 0.1073969566*c.b)
	s := math.Cbrt(0.0883024619*c.r + 0.2817188376*c.g + 0.6299787005*c.b)
	return 0.2104542553*l + 0.7936177850*m - 0.0040720468*s,
		1.9779984951*l - 2.4285922050*m + 0.4505937099*s,
		0.0259040371*l + 0.7827717662*m - 0.8086757660*s
}

// The picture of a bench sheet marks each finding that has a place with its number.
func TestBenchMarksPlaces(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a picture")
	}
	s := finialSession(t)
	im, err := Bench(context.Background(), s, Options{System: unit.Metric}, nil)
	if err != nil {
		t.Fatal(err)
	}
	marked, err := Bench(context.Background(), s, Options{System: unit.Metric}, []*[3]float64{nil, {20, 3, 61}})
	if err != nil {
		t.Fatal(err)
	}
	if im.Bounds() != marked.Bounds() || im.Bounds().Dx() != benchWidth {
		t.Errorf("it is %v large", marked.Bounds())
	}
	care := 0
	for y := range benchHeight {
		for x := range benchWidth {
			if c := marked.NRGBAAt(x, y); c == render.CareInk {
				care++
			}
		}
	}
	if care < 100 {
		t.Errorf("%d pixels are of a mark", care)
	}
	v, err := Viewpoint(context.Background(), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if side := v.Side([3]float64{0, 0, 1}); side != "top" {
		t.Errorf("up is the %s", side)
	}
}

// Set SHOW to a folder to have models to look at.
func TestShowGLB(t *testing.T) {
	dir := os.Getenv("SHOW")
	if dir == "" {
		t.Skip("SHOW names no folder")
	}
	for name, s := range glbSessions(t) {
		if err := os.WriteFile(filepath.Join(dir, name+".glb"), glbOf(t, s), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
