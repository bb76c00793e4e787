package demold

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/air"
	"moldtally/mesh/demold/parting"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/tunnel"
	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

func ptr(x float64) *float64 { return &x }

func analyze(t testing.TB, m *mesh.Mesh, up mesh.Vec, o Options) *Report {
	t.Helper()
	r, err := Analyze(context.Background(), solidtest.Rough(t, m), up, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// coarse is the widest cell that still errs by no more than 0.3 % of the
// pattern's largest size.
func coarse(m *mesh.Mesh) float64 { return largest(m) / 334 }

// undercutsOf finds the undercuts of a body, and asks nothing else of it.
func undercutsOf(t testing.TB, m *mesh.Mesh, up mesh.Vec, o scene.Options) *undercut.Result {
	t.Helper()
	c, err := scene.New(context.Background(), solidtest.Rough(t, m), up, o)
	if err != nil {
		t.Fatal(err)
	}
	u, err := undercut.Find(context.Background(), c, undercut.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return u
}

var up = mesh.V(0, 0, 1)

// disc is the area of the regular polygon that stands in for a circle.
func disc(r float64, n int) float64 { return shape.NgonArea(r, n) }

// TestParted: where two halves part, and what they lock.
func TestParted(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	tests := []struct {
		name    string
		m       *mesh.Mesh
		height  float64 // of the parting above the lowest point
		path    float64
		volume  float64
		trapped float64
	}{
		{"sphere", shape.Sphere(25, 48), 25, 0, 0, 0},
		{"torus flat", shape.Torus(40, 10, 128, 96), 10, 0, 0, 0},
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 96), 45, 0, 0, 0},
		{"cube", shape.Cube(40), 20, 0, 0, 0},
		// A groove all round locks one half or the other; the parting in it
		// shares it out and gains nothing, so the largest section, and the lowest of two such.
		{"waisted post", shape.Waisted(30, 20, 36, 96), 0, 10, math.NaN(), math.NaN()},
		{"cross hole", shape.CrossHoleCube(100, 12, 98), 22, 98, 12 * 12 * 98, 12 * 12 * 98},
		// Two flanges on a stem, the lower one smaller: part under the larger
		// and the groove between them stays, part of it on either side.
		{"two flanges", shape.Revolve([]shape.RZ{rz(0, 0), rz(10, 0), rz(10, 10), rz(16, 10), rz(16, 14), rz(10, 14), rz(10, 40), rz(30, 40), rz(30, 50), rz(0, 50)}, 96), 45, 6, math.NaN(), 26 * (disc(16, 96) - disc(10, 96))},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := tt.m.Size()
			size := max(s.X, s.Y, s.Z)
			r := undercutsOf(t, tt.m, up, scene.Options{Mold: TwoPart, Ignore: ptr(0), Resolution: coarse(tt.m)})
			if r.Path == nil {
				t.Fatalf("locked at %v", *r.PathAt)
			}
			if math.Abs(*r.Path-tt.path) > 0.003*size {
				t.Errorf("path: got %g, want %g", *r.Path, tt.path)
			}
			if got := *r.Parting - r.Scene.Base; math.Abs(got-tt.height) > 0.003*size {
				t.Errorf("parting: got %g, want %g", got, tt.height)
			}
			check := func(what string, got, want float64) {
				if !math.IsNaN(want) && math.Abs(got-want) > 0.01*want+1e-4*size*size*size {
					t.Errorf("%s: got %g, want %g", what, got, want)
				}
			}
			check("volume", r.Volume, tt.volume)
			check("trapped", parting.Trapped(r.Scene), tt.trapped)
		})
	}
}

// TestClay: what is undercut over what the clay covers, fills and seals.
func TestClay(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	const n = 192
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	// A bell standing on its rim, with a hair under part of it is the case of
	// every printed pattern; here the rim is whole.
	bell := shape.Revolve([]shape.RZ{rz(0, 30), rz(15, 30), rz(15, 0), rz(20, 0), rz(20, 40), rz(0, 40)}, n)
	foot := shape.Revolve([]shape.RZ{rz(0, 2), rz(15, 2), rz(15, 0), rz(20, 0), rz(20, 40), rz(0, 40)}, n)
	// A bell whose rim has a mouse hole 0.4 mm high: clay seals it.
	rim := shape.Blocks([]float64{-20, -15, 15, 20}, []float64{-20, -15, -2, 2, 15, 20}, []float64{0, 0.4, 30, 40},
		func(i, j, k int) bool {
			hole := k <= 1 && i == 1 && j >= 1 && j <= 3
			mouse := k == 0 && i == 2 && j == 2
			return !hole && !mouse
		})
	tests := []struct {
		name                string
		m                   *mesh.Mesh
		clay, depth, volume float64
	}{
		{"bell without clay", bell, 0, 0, 0},
		{"bell with clay", bell, 1, 0, 0},
		{"foot ring", foot, 1, 0, 0},
		{"mouse hole without clay", rim, 0, 20, 30*30*30 + 4*5*0.4},
		{"mouse hole with clay", rim, 1, 0, 0},
		{"mushroom in clay", shape.Mushroom(30, 10, 10, 40, n), 2, 20, 38 * (disc(30, n) - disc(10, n))},
		// Clay fills the undercut of a low bevel altogether.
		{"bevelled foot", shape.Revolve([]shape.RZ{rz(0, 0), rz(19, 0), rz(20, 1), rz(20, 20), rz(0, 20)}, n), 1, 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := undercutsOf(t, tt.m, up, scene.Options{Clay: &tt.clay, Ignore: ptr(0), Resolution: coarse(tt.m)})
			check := func(what string, got, want, tol float64) {
				if math.Abs(got-want) > tol {
					t.Errorf("%s: got %g, want %g within %g", what, got, want, tol)
				}
			}
			check("depth", r.Depth, tt.depth, 0.2)
			check("volume", r.Volume, tt.volume, 0.01*tt.volume)
		})
	}
}

// TestWeb: a chamber whose way out is a slot.
func TestWeb(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	chamber := func(slot float64) *mesh.Mesh {
		return shape.Blocks([]float64{0, 10, 20, 30, 40}, []float64{0, 15, 20 - slot/2, 20 + slot/2, 25, 40}, []float64{0, 10, 20, 30},
			func(i, j, k int) bool {
				room := k == 1 && (i == 1 || i == 2) && j >= 1 && j <= 3
				way := k == 1 && i == 3 && j == 2
				return !room && !way
			})
	}
	tests := []struct {
		name   string
		slot   float64
		ignore float64
		path   float64 // -1 = locked
	}{
		{"narrow", 0.3, 0.3, -1},
		{"narrow, nothing ignored", 0.3, 0, 10 + math.Hypot(20, 5-0.15)},
		{"wide", 0.9, 0.3, 10 + math.Hypot(20, 5-0.45)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := undercutsOf(t, chamber(tt.slot), up, scene.Options{Clay: ptr(0), Ignore: &tt.ignore})
			switch {
			case tt.path < 0:
				if r.Path != nil {
					t.Errorf("path: got %g, want locked", *r.Path)
				}
				if math.Abs(r.Locked-20*10*10) > 20 {
					t.Errorf("locked volume: got %g, want 2000", r.Locked)
				}
			case r.Path == nil:
				t.Errorf("path: got locked at %v, want %g", *r.PathAt, tt.path)
			case math.Abs(*r.Path-tt.path) > 0.003*40:
				t.Errorf("path: got %g, want %g", *r.Path, tt.path)
			}
		})
	}
}

// TestDimples: a shallow hollow in an underside is surface, a deep one locks.
func TestDimples(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	body := func(deep float64) *mesh.Mesh {
		return shape.Blocks([]float64{0, 20, 40, 50, 60}, []float64{0, 10, 20, 30}, []float64{0, 20, 20 + deep, 40},
			func(i, j, k int) bool { return k >= 1 && !(k == 1 && i == 2 && j == 1) || i == 0 })
	}
	for _, tt := range []struct {
		deep   float64
		locked bool
	}{{0.2, false}, {3, true}} {
		r := undercutsOf(t, body(tt.deep), up, scene.Options{Clay: ptr(0), Resolution: 0.18})
		if got := r.Path == nil; got != tt.locked {
			t.Errorf("hollow %g deep: got locked %v, want %v", tt.deep, got, tt.locked)
		}
	}
}

// TestOpenBottom: clay fills a ragged open bottom down to the board; it is
// neither an undercut nor a pocket.
func TestOpenBottom(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	// A cylinder cut slantwise below and left open: its rim runs from the
	// board up to 8 mm, so half of 8 mm on average is filled.
	cut := shape.Map(shape.Cylinder(20, 40, 96), func(p mesh.Vec) mesh.Vec {
		if p.Z == 0 {
			p.Z = 4 + p.X*4/20
		}
		return p
	})
	open := shape.Without(cut, func(_ int, c mesh.Vec) bool { return math.Abs(c.Z-4-c.X*4/20) < 1e-9 })
	o := Options{Ignore: ptr(0), Resolution: coarse(cut)}
	r := analyze(t, open, up, o)
	want := disc(20, 96) * 4
	if math.Abs(r.ClayFill-want) > 0.01*want {
		t.Errorf("clay: got %g, want %g", r.ClayFill, want)
	}
	if r.UndercutDepth != 0 || r.Pockets != 0 {
		t.Errorf("depth and pockets: got %g and %g, want none", r.UndercutDepth, r.Pockets)
	}
	if !r.Findings.Has(CodeRaggedBottom) {
		t.Errorf("findings: got %v, want %s", r.Findings, CodeRaggedBottom)
	}
	// Closed, the same slant is an undercut.
	if c := analyze(t, cut, up, o); c.UndercutDepth < 1 || c.Findings.Has(CodeRaggedBottom) {
		t.Errorf("closed: got depth %g, want an undercut", c.UndercutDepth)
	}
}

// TestFindings: each stop and caution stands where it should, and nowhere else.
func TestFindings(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	rz := func(r, z float64) shape.RZ { return shape.RZ{R: r, Z: z} }
	bowl := shape.Revolve([]shape.RZ{rz(0, 0), rz(5, 0), rz(5, 40), rz(25, 40), rz(25, 20), rz(30, 20), rz(30, 50), rz(0, 50)}, 96)
	bell := shape.Revolve([]shape.RZ{rz(0, 30), rz(15, 30), rz(15, 0), rz(20, 0), rz(20, 40), rz(0, 40)}, 96)
	mine := []finding.Code{CodeLocked, CodeLongWayRound, CodeSealedPocket, CodeRaggedBottom, air.CodeRubber, air.CodeCasting}
	tests := []struct {
		name string
		m    *mesh.Mesh
		want []finding.Code
	}{
		{"cube", shape.Cube(30), nil},
		{"mushroom", shape.Mushroom(30, 10, 10, 40, 96), nil},
		{"bowl hung on a stem", bowl, []finding.Code{CodeLocked, air.CodeRubber, air.CodeCasting}},
		{"bell on its rim", bell, []finding.Code{CodeSealedPocket}},
		{"blind cross hole", shape.CrossHoleCube(100, 12, 98), []finding.Code{CodeLongWayRound}},
	}
	for _, tt := range tests {
		r := analyze(t, tt.m, up, Options{Resolution: coarse(tt.m)})
		for _, c := range mine {
			want := false
			for _, w := range tt.want {
				want = want || w == c
			}
			if got := r.Findings.Has(c); got != want {
				t.Errorf("%s: %s: got %v, want %v", tt.name, c, got, want)
			}
		}
		for _, f := range r.Findings {
			if f.Facts == nil {
				t.Errorf("%s: %s has no facts", tt.name, f.Code)
			}
		}
	}
}

// TestTunnelFound: rubber closes through an arch, which is told of at its web,
// and through no sound body.
func TestTunnelFound(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	o := Options{Clay: ptr(0), Resolution: 0.5}
	told := false
	for _, f := range analyze(t, shape.Arch(60, 20, 50, 15, 35), up, o).Findings {
		if x, ok := f.Facts.(tunnel.Through); ok {
			told = true
			if f.Code != tunnel.CodeThrough || f.Severity != finding.Caution || f.At == nil || x.Count != 1 || x.Listed != 1 || x.Web == nil || x.Slit == nil || x.Slit.Locked {
				t.Errorf("got %+v with %+v", f, x)
			}
		}
	}
	if !told {
		t.Error("no word of the arch")
	}
	for _, m := range []*mesh.Mesh{shape.Cone(20, 60, 64), shape.LeaningPost(20, 60, 45)} {
		if r := analyze(t, m, up, o); r.Findings.Has(tunnel.CodeThrough) {
			t.Errorf("a sound body has a tunnel: %v", r.Findings)
		}
	}
}
