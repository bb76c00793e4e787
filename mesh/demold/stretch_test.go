package demold

import (
	"context"
	"math"
	"strings"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
)

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
				c := bodyCuts(t, m, u, 150, tt.clay)
				got, err := c.stretch(context.Background())
				if err != nil {
					t.Fatal(err)
				}
				if got.null != tt.unknown {
					t.Fatalf("u %v: unknown %v, want %v (%+v)", u, got.null, tt.unknown, got)
				}
				if !tt.unknown && math.Abs(got.value-tt.want) > tt.tol+1e-7 {
					t.Errorf("u %v: stretch got %.6f want %.6f (%+v)", u, got.value, tt.want, got)
				}
				if got.value > 1e-9 || got.null {
					if got.last != tt.atClay {
						t.Errorf("u %v: neck at the clay line: got %v want %v", u, got.last, tt.atClay)
					}
					if tt.neckAt > 0 && math.Abs(got.at.Dot(u)-(c.floor-tt.clay)-tt.neckAt) > 0.01 {
						t.Errorf("u %v: neck at height %.4f want %.4f", u, got.at.Dot(u)-(c.floor-tt.clay), tt.neckAt)
					}
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
			r := analyze(t, tt.m, mesh.V(0, 0, 1), Options{Clay: none, Resolution: 0.4})
			if r.Stretch == nil {
				t.Fatalf("stretch: got unknown want %.4f", tt.want)
			}
			if math.Abs(*r.Stretch-tt.want) > 0.02 {
				t.Errorf("stretch: got %.4f want %.4f", *r.Stretch, tt.want)
			}
			if at := mesh.V(r.StretchAt[0], r.StretchAt[1], r.StretchAt[2]); at.Sub(tt.at).Len() > 3 {
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
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	z := mesh.V(0, 0, 1)
	waisted := shape.Waisted(30, 20, 40, 96)
	for _, tt := range []struct {
		name    string
		m       *mesh.Mesh
		mold    Mold
		parting *float64
		want    float64
	}{
		{"at the waist", waisted, TwoPart, ptr(20), 0.5},
		// Above the waist the upper half only widens upward to 30 over 25, the
		// lower half passes the waist.
		{"above the waist", waisted, TwoPart, ptr(30), 0.5},
		{"at the rim", waisted, TwoPart, ptr(40), 0.5},
		{"ball at its equator", shape.Sphere(25, 48), TwoPart, ptr(0), 0},
		{"ball by itself", shape.Sphere(25, 48), TwoPart, nil, 0},
		// Parted at 15 below the middle the upper half closes on a circle of
		// radius 20.
		{"ball below its equator", shape.Sphere(25, 96), TwoPart, ptr(-15), 0.25},
		{"cut open", waisted, Cut, nil, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := analyze(t, tt.m, z, Options{Mold: tt.mold, Parting: tt.parting, Resolution: 0.4})
			if r.Stretch == nil {
				t.Fatalf("stretch: got unknown want %.4f (%v)", tt.want, r.Findings)
			}
			if math.Abs(*r.Stretch-tt.want) > 5e-3 {
				t.Errorf("stretch: got %.5f want %.5f", *r.Stretch, tt.want)
			}
			if r.StretchClay {
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
		says string
	}{
		{"ball on a wire", wire, finding.FineNeck, finding.Stop, "a neck only"},
		{"loose part", hanging, finding.FineNeck, finding.Stop, "hangs free"},
		{"ball on the board", shape.Translate(shape.Sphere(25, 48), mesh.V(0, 0, 25)), finding.FineNeck, finding.Stop, "barely touches the board"},
		{"back draft", shape.Frustum(20, 30, 40, 96), finding.SmallMouth, finding.Caution, "narrowest where it meets the board"},
		{"arch", shape.Arch(60, 20, 50, 15, 35), finding.Tunnel, finding.Caution, "at one place"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := analyze(t, tt.m, mesh.V(0, 0, 1), Options{Clay: none, Resolution: 0.5})
			for _, f := range r.Findings {
				if f.Code == tt.code {
					if f.Severity != tt.sev || !strings.Contains(f.Summary, tt.says) {
						t.Errorf("got %s %q want %s with %q", f.Severity, f.Summary, tt.sev, tt.says)
					}
					if f.Effect == "" || f.Hint == "" {
						t.Error("says neither what it does nor what to do")
					}
					if tt.code == finding.FineNeck && (r.Stretch != nil || f.At == nil) {
						t.Errorf("stretch %v and place %v: want unknown and a place", fmtPtr(r.Stretch), f.At)
					}
					return
				}
			}
			t.Errorf("no finding %s in %v", tt.code, r.Findings)
		})
	}
	// Sound bodies say nothing of the kind.
	for _, m := range []*mesh.Mesh{shape.Cone(20, 60, 64), shape.Box(40, 30, 20), shape.LeaningPost(20, 60, 45)} {
		r := analyze(t, m, mesh.V(0, 0, 1), Options{Clay: none, Resolution: 0.5})
		for _, c := range []finding.Code{finding.FineNeck, finding.SmallMouth, finding.Tunnel} {
			if r.Findings.Has(c) {
				t.Errorf("a sound body has finding %s", c)
			}
		}
	}
}
