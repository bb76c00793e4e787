package strip_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// none is no clay: bodies with closed results stand on the bare board.
var none = ptr(0)

func ptr(x float64) *float64 { return &x }

func sceneOf(t testing.TB, m *mesh.Mesh, up mesh.Vec, o scene.Options) *scene.Scene {
	t.Helper()
	c, err := scene.New(context.Background(), solidtest.Rough(t, m), up, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func stretchOf(t testing.TB, m *mesh.Mesh, o scene.Options, p strip.Options) strip.Stretch {
	t.Helper()
	r, err := strip.Of(sceneOf(t, m, mesh.V(0, 0, 1), o), p).Stretch(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// cutSphere is a ball of radius r cut by a plane h below its centre, standing
// on the cut; a ring of the facets lies in the cut.
func cutSphere(r, h float64, n int) *mesh.Mesh {
	var p []shape.RZ
	a0 := -math.Asin(h / r)
	p = append(p, shape.RZ{})
	for k := 0; k <= n; k++ {
		a := a0 + (math.Pi/2-a0)*float64(k)/float64(n)
		q := shape.RZ{R: r * math.Cos(a), Z: h + r*math.Sin(a)}
		if k == 0 {
			q.Z = 0
		}
		if k == n {
			q.R = 0
		}
		p = append(p, q)
	}
	return shape.Revolve(p, 4*n)
}

// turned revolves a profile given as radius, height, radius, height …
func turned(rz ...float64) *mesh.Mesh {
	p := make([]shape.RZ, 0, len(rz)/2)
	for k := 0; k < len(rz); k += 2 {
		p = append(p, shape.RZ{R: rz[k], Z: rz[k+1]})
	}
	return shape.Revolve(p, 96)
}

func TestStretch(t *testing.T) {
	tests := []struct {
		name    string
		m       *mesh.Mesh
		clay    float64
		want    float64
		tol     float64
		neckAt  float64 // height of the neck; NaN = not asked
		atClay  bool
		unknown bool
	}{
		// Published closed results: hoop strain is the ratio of perimeters.
		{name: "mushroom", m: shape.Mushroom(30, 10, 10, 40, 96), want: 2, tol: 1e-9, neckAt: math.NaN()},
		{name: "cut sphere", m: cutSphere(25, 15, 48), want: 0.25, tol: 2e-3, neckAt: 0, atClay: true},
		{name: "dumbbell", m: turned(0, 0, 30, 0, 30, 10, 18, 10, 18, 40, 30, 40, 30, 50, 0, 50), want: 30.0/18 - 1, tol: 1e-9, neckAt: math.NaN()},
		{name: "double cone", m: shape.Waisted(30, 20, 37, 96), want: 0.5, tol: 1e-9, neckAt: 18.5},
		{name: "square head", m: shape.Blocks([]float64{-20, -10, 10, 20}, []float64{-20, -10, 10, 20}, []float64{0, 30, 45},
			func(i, j, k int) bool { return k == 1 || i == 1 && j == 1 }), want: 1, tol: 1e-9, neckAt: math.NaN()},
		{name: "back draft", m: shape.Frustum(20, 20+40*math.Tan(5*math.Pi/180), 40, 96), want: 0.174977, tol: 1e-6, neckAt: 0, atClay: true},
		{name: "cone", m: shape.Cone(20, 60, 96), want: 0, tol: 0},
		{name: "cylinder", m: shape.Cylinder(20, 60, 96), want: 0, tol: 1e-12, neckAt: math.NaN(), atClay: true},
		{name: "leaning post", m: shape.LeaningPost(20, 60, 45), want: 0, tol: 1e-12, neckAt: math.NaN()},
		{name: "arch", m: shape.Arch(60, 20, 50, 15, 35), want: 0, tol: 1e-12, neckAt: math.NaN()},
		{name: "table", m: shape.Table(60, 40, 8, 10), want: 0, tol: 1e-12, neckAt: math.NaN()},
		// A beam 80 by 20 over a post 20 by 20.
		{name: "t", m: shape.TShape(80, 10, 20, 40), want: 200.0/80 - 1, tol: 1e-9, neckAt: math.NaN()},
		{name: "whole sphere", m: cutSphere(25, 24.9995, 48), unknown: true, atClay: true},
		{name: "ball on a wire", m: turned(0, 0, 20, 0, 20, 5, 0.1, 5, 0.1, 40, 10, 40, 10, 55, 0, 55), unknown: true},
		{name: "thin flange", m: turned(0, 0, 10, 0, 10, 30.01, 15, 30.01, 15, 30.03, 10, 30.03, 10, 70, 0, 70), want: 0.5, tol: 1e-9, neckAt: math.NaN()},
		{name: "with clay", m: shape.Frustum(20, 30, 40, 96), clay: 4, want: 30.0/21 - 1, tol: 1e-9, neckAt: 4, atClay: true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, u := range []mesh.Vec{mesh.V(0, 0, 1), mesh.V(1, 2, 2).Unit()} {
				m := tt.m
				if u != mesh.V(0, 0, 1) {
					m = shape.Stand(m, u)
				}
				size := m.Size()
				c := sceneOf(t, m, u, scene.Options{Clay: &tt.clay, Resolution: max(size.X, size.Y, size.Z) / 150})
				got, err := strip.Of(c, strip.Options{}).Stretch(context.Background())
				if err != nil {
					t.Fatal(err)
				}
				if (got.Value == nil) != tt.unknown || got.Findings.Has(strip.CodeNeck) != tt.unknown {
					t.Fatalf("u %v: got %+v, want unknown: %v", u, got, tt.unknown)
				}
				if !tt.unknown && math.Abs(*got.Value-tt.want) > tt.tol+1e-7 {
					t.Errorf("u %v: stretch got %.6f want %.6f (%+v)", u, *got.Value, tt.want, got)
				}
				if got.At == nil {
					continue
				}
				if got.Clay != tt.atClay {
					t.Errorf("u %v: neck at the clay line: got %v want %v", u, got.Clay, tt.atClay)
				}
				if h := mesh.V(got.At[0], got.At[1], got.At[2]).Dot(u) - c.Base; tt.neckAt > 0 && math.Abs(h-tt.neckAt) > 0.01 {
					t.Errorf("u %v: neck at height %.4f want %.4f", u, h, tt.neckAt)
				}
			}
		})
	}
}

// TestStretchPieces: pieces that overlap are one body, and each branch of a
// body is judged by itself.
func TestStretchPieces(t *testing.T) {
	plate := shape.Box(120, 40, 10)
	post := func(m *mesh.Mesh, x float64) *mesh.Mesh { return shape.Translate(m, mesh.V(x, 0, 9)) }
	tests := []struct {
		name string
		m    *mesh.Mesh
		want float64
		at   mesh.Vec
	}{
		// Two waisted posts: 12 over 6 at the left, 12 over 8 at the right;
		// taken together the two would need next to nothing.
		{"two posts", shape.Merge(plate, post(shape.Waisted(12, 6, 40, 48), -30), post(shape.Waisted(12, 8, 40, 48), 30)), 1, mesh.V(-30, 0, 29)},
		// Bridged at the top they are one: the hull of both waists is what
		// the ring closes round, and it hardly grows.
		{"bridged", shape.Merge(plate, post(shape.Waisted(12, 6, 40, 48), -30), post(shape.Waisted(12, 8, 40, 48), 30),
			shape.Translate(shape.Box(60, 4, 5), mesh.V(0, 0, 45))),
			belt(12, 12, 60)/belt(6, 8, 60) - 1, mesh.V(0, 0, 29)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := stretchOf(t, tt.m, scene.Options{Clay: none, Resolution: 0.4}, strip.Options{})
			if r.Value == nil {
				t.Fatalf("stretch: got unknown want %.4f", tt.want)
			}
			if math.Abs(*r.Value-tt.want) > 0.02 {
				t.Errorf("stretch: got %.4f want %.4f", *r.Value, tt.want)
			}
			if at := mesh.V(r.At[0], r.At[1], r.At[2]); at.Sub(tt.at).Len() > 3 {
				t.Errorf("at: got %v want %v", at, tt.at)
			}
		})
	}
}

// belt is the length of a belt round two wheels of radii a and b, d apart.
func belt(a, b, d float64) float64 {
	return 2*math.Sqrt(d*d-(b-a)*(b-a)) + math.Pi*(a+b) + 2*(b-a)*math.Asin((b-a)/d)
}

// TestStretchParted: each half leaves through the parting; a mold that is cut
// open has no closed ring.
func TestStretchParted(t *testing.T) {
	waisted := shape.Waisted(30, 20, 40, 96)
	for _, tt := range []struct {
		name    string
		m       *mesh.Mesh
		mold    scene.Mold
		parting *float64
		want    float64
	}{
		{"at the waist", waisted, scene.TwoPart, ptr(20), 0.5},
		// Above the waist the upper half only widens upward to 30 over 25, the
		// lower half passes the waist.
		{"above the waist", waisted, scene.TwoPart, ptr(30), 0.5},
		{"at the rim", waisted, scene.TwoPart, ptr(40), 0.5},
		{"ball at its equator", shape.Sphere(25, 48), scene.TwoPart, ptr(0), 0},
		{"ball by itself", shape.Sphere(25, 48), scene.TwoPart, nil, 0},
		// Parted at 15 below the middle the upper half closes on a circle of
		// radius 20.
		{"ball below its equator", shape.Sphere(25, 96), scene.TwoPart, ptr(-15), 0.25},
		{"cut open", waisted, scene.Cut, nil, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := stretchOf(t, tt.m, scene.Options{Mold: tt.mold, Resolution: 0.4}, strip.Options{Parting: tt.parting})
			if r.Value == nil {
				t.Fatalf("stretch: got unknown want %.4f (%v)", tt.want, r.Findings)
			}
			if math.Abs(*r.Value-tt.want) > 5e-3 {
				t.Errorf("stretch: got %.5f want %.5f", *r.Value, tt.want)
			}
			if r.Clay {
				t.Error("there is no clay line")
			}
		})
	}
}

// TestStretchFindings: what cannot be told stops the job and says why.
func TestStretchFindings(t *testing.T) {
	wire := turned(0, 0, 20, 0, 20, 5, 0.1, 5, 0.1, 40, 10, 40, 10, 55, 0, 55)
	hanging := shape.Merge(shape.Box(40, 40, 10), shape.Translate(shape.Box(15, 15, 15), mesh.V(0, 0, 30)))
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		code finding.Code
		sev  finding.Severity
		is   func(facts any) bool
	}{
		{"ball on a wire", wire, strip.CodeNeck, finding.Stop, func(f any) bool { n := f.(strip.Neck); return n.Neck > 0 && !n.Clay && n.Bulge > n.Neck }},
		{"loose part", hanging, strip.CodeNeck, finding.Stop, func(f any) bool { return f.(strip.Neck).Neck == 0 }},
		{"ball on the board", shape.Translate(shape.Sphere(25, 48), mesh.V(0, 0, 25)), strip.CodeNeck, finding.Stop, func(f any) bool { return f.(strip.Neck).Clay }},
		{"back draft", shape.Frustum(20, 30, 40, 96), strip.CodeMouth, finding.Caution, func(f any) bool { return math.Abs(f.(strip.NarrowMouth).Stretch-0.5) < 1e-3 }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := stretchOf(t, tt.m, scene.Options{Clay: none, Resolution: 0.5}, strip.Options{})
			for _, f := range r.Findings {
				if f.Code == tt.code {
					if f.Severity != tt.sev || !tt.is(f.Facts) {
						t.Errorf("got %s %+v want %s", f.Severity, f.Facts, tt.sev)
					}
					if tt.code == strip.CodeNeck && (r.Value != nil || f.At == nil) {
						t.Errorf("stretch %v and place %v: want unknown and a place", r.Value, f.At)
					}
					return
				}
			}
			t.Errorf("no finding %s in %v", tt.code, r.Findings)
		})
	}
	// Sound bodies say nothing of the kind.
	for _, m := range []*mesh.Mesh{shape.Cone(20, 60, 64), shape.Box(40, 30, 20), shape.LeaningPost(20, 60, 45)} {
		if r := stretchOf(t, m, scene.Options{Clay: none, Resolution: 0.5}, strip.Options{}); len(r.Findings) > 0 {
			t.Errorf("a sound body has findings: %v", r.Findings)
		}
	}
}
