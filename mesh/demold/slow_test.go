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
)

// TestTurnedAndMoved: a pattern turned and moved with its pull gives the same
// answers within the uncertainty; a scaled one scales.
func TestTurnedAndMoved(t *testing.T) {
	m := shape.CrossHoleCube(100, 12, 80)
	o := Options{Clay: ptr(0), Ignore: ptr(0)}
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
	m := shape.Merge(shape.Torus(40, 10, 64, 48), shape.Translate(shape.Mushroom(12, 8, 4, 20, 48), mesh.V(40, 0, 5)))
	s := solidOf(t, m)
	for _, mold := range []Mold{Block, TwoPart} {
		var first []byte
		for _, p := range []int{1, 2, 5} {
			old := runtime.GOMAXPROCS(p)
			r, err := Analyze(context.Background(), s, mesh.V(0.2, 0.1, 1), Options{Mold: mold})
			runtime.GOMAXPROCS(old)
			if err != nil {
				t.Fatal(err)
			}
			// What JSON leaves out counts too; infinite paths are made plain.
			vp := make([]uint32, len(r.VertexPath))
			for v, x := range r.VertexPath {
				vp[v] = math.Float32bits(x)
			}
			b, err := json.Marshal([]any{r, r.Findings, vp})
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
	s := solidOf(t, shape.Cube(20))
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
