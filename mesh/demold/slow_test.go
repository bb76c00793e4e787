package demold

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// TestTurnedAndMoved: a pattern turned and moved with its pull gives the same
// answers within the uncertainty; a scaled one scales.
func TestTurnedAndMoved(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	m := shape.CrossHoleCube(100, 12, 80)
	o := Options{Clay: ptr(0), Ignore: ptr(0), Brief: true, Resolution: coarse(m)}
	want := analyze(t, m, up, o)
	axis := mesh.V(1, 2, -1).Unit()
	turned := shape.Translate(shape.Rotate(m, axis, 0.7), mesh.V(3000, -1500, 800))
	// The image of +Z under the turn (Rodrigues).
	sin, cos := math.Sincos(0.7)
	z := up.Mul(cos).Add(axis.Cross(up).Mul(sin)).Add(axis.Mul(axis.Dot(up) * (1 - cos)))
	tests := []struct {
		name string
		m    *mesh.Mesh
		u    mesh.Vec
		k    float64
	}{
		{"turned and moved", turned, z, 1},
		{"scaled", shape.Scale(m, 25.4, 25.4, 25.4), up, 25.4},
		{"mirrored", shape.Mirror(m), up, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o.Resolution = tt.k * coarse(m)
			r := analyze(t, tt.m, tt.u, o)
			tol := (want.Uncertainty + r.Uncertainty/tt.k) * 1.5
			if d := math.Abs(r.UndercutDepth/tt.k - want.UndercutDepth); d > tol {
				t.Errorf("depth: got %g, want %g", r.UndercutDepth/tt.k, want.UndercutDepth)
			}
			if d := math.Abs(*r.UndercutPath/tt.k - *want.UndercutPath); d > tol {
				t.Errorf("path: got %g, want %g", *r.UndercutPath/tt.k, *want.UndercutPath)
			}
			if d := math.Abs(r.UndercutVolume/math.Pow(tt.k, 3) - want.UndercutVolume); d > 0.02*want.UndercutVolume {
				t.Errorf("volume: got %g, want %g", r.UndercutVolume/math.Pow(tt.k, 3), want.UndercutVolume)
			}
		})
	}
}

// TestSameOnAnyCores: the same bytes whatever the number of cores.
func TestSameOnAnyCores(t *testing.T) {
	n, molds := 32, []Mold{Block, Cut} // which parts in halves, too
	if testing.Short() {               // for the race detector, which makes it ten times as slow
		n, molds = 24, []Mold{TwoPart}
	}
	for _, mold := range molds {
		// A handle to link through and a hollow, one beside the other; or a groove.
		m := shape.Waisted(30, 20, 37, n)
		if mold == Block {
			m = shape.Merge(shape.Mug(40, 90, 4, 30, n), shape.Translate(shape.Vase(20, 30, 24, 80, 3, n), mesh.V(100, 0, 0)))
		}
		s := solidtest.Of(t, m)
		var first []byte
		for _, p := range []int{1, 3} {
			old := runtime.GOMAXPROCS(p)
			r, err := Analyze(context.Background(), s, mesh.V(0.02, 0.01, 1), Options{Mold: mold, Resolution: 48.0 / float64(n)})
			runtime.GOMAXPROCS(old)
			if err != nil {
				t.Fatal(err)
			}
			// What JSON leaves out counts too; infinite paths are made plain.
			vp := make([]uint32, len(r.VertexPath))
			for v, x := range r.VertexPath {
				vp[v] = math.Float32bits(x)
			}
			b, err := json.Marshal([]any{r, r.Findings, vp, r.VertexRegion, r.VertexHalf})
			if err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = b
			} else if !bytes.Equal(first, b) {
				t.Errorf("%s: %d cores give another report", mold, p)
			}
		}
	}
}

// TestRefusals: arguments that cannot be, and a cancelled context.
func TestRefusals(t *testing.T) {
	s := solidtest.Of(t, shape.Cube(20))
	if r, err := Analyze(context.Background(), s, up, Options{Clay: ptr(21)}); err == nil || r != nil {
		t.Errorf("clay above the pattern: got %v, %v, want an error", r, err)
	}
	if _, err := Analyze(context.Background(), nil, up, Options{}); err == nil {
		t.Error("no solid: got no error")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Analyze(ctx, s, up, Options{}); err == nil {
		t.Error("cancelled: got no error")
	}
}
