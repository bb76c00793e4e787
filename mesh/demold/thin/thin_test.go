package thin_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/demold/thin"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// TestThin: webs and fins of known thickness, and bodies that have none.
func TestThin(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	// Two plates 1.5 mm apart on a foot: the gap is 40 wide and 30 deep.
	plates := shape.Blocks([]float64{0, 10, 11.5, 21.5}, []float64{0, 40}, []float64{0, 10, 40},
		func(i, j, k int) bool { return k == 0 || i != 1 })
	// A comb of six teeth 3 wide with gaps of 1.2, 25 deep and 10 wide.
	var xs []float64
	for k := range 6 {
		xs = append(xs, 4.2*float64(k), 4.2*float64(k)+3)
	}
	comb := shape.Blocks(xs, []float64{0, 10}, []float64{0, 8, 33}, func(i, j, k int) bool { return k == 0 || i%2 == 0 })
	fin := shape.Blocks([]float64{0, 10, 10.8, 20}, []float64{0, 30}, []float64{0, 10, 18}, func(i, j, k int) bool { return k == 0 || i == 1 })
	// A groove as deep as it is wide, and a rib as high as it is thick.
	groove := shape.Blocks([]float64{0, 10, 11.5, 21.5}, []float64{0, 40}, []float64{0, 10, 11.5},
		func(i, j, k int) bool { return k == 0 || i != 1 })
	wedge := func(deg float64) *mesh.Mesh {
		h := 30.0
		w := h * math.Tan(deg/2*math.Pi/180)
		return shape.Map(shape.Prism([][2]float64{{-w, 0}, {w, 0}, {0, h}}, 40), func(v mesh.Vec) mesh.Vec { return mesh.V(v.X, -v.Z, v.Y) })
	}
	// A V-groove of 40° in a block: its faces do not face each other.
	w := 20 * math.Tan(20*math.Pi/180)
	vee := shape.Map(shape.Prism([][2]float64{{-20, 0}, {20, 0}, {20, 30}, {w, 30}, {0, 10}, {-w, 30}, {-20, 30}}, 40), func(v mesh.Vec) mesh.Vec { return mesh.V(v.X, -v.Z, v.Y) })
	turned := func(m *mesh.Mesh) *mesh.Mesh {
		return shape.Rotate(m, mesh.V(0.2, -0.5, 1).Unit(), 0.7)
	}
	type want struct {
		kind               thin.Kind
		thick, area, depth float64
	}
	var gaps []want
	for range 5 {
		gaps = append(gaps, want{"web", 1.2, 250, 10})
	}
	tests := []struct {
		name string
		m    *mesh.Mesh
		want []want
	}{
		{"cube", shape.Cube(40), nil},
		{"boxes drawn onto each other", shape.Merge(shape.Box(20, 20, 20), shape.Translate(shape.Box(20, 20, 20), mesh.V(20.005, 0, 0))), nil},
		{"sphere", shape.Sphere(30, 64), nil},
		{"small sphere", shape.Merge(shape.Box(60, 60, 5), shape.Translate(shape.Sphere(0.9, 24), mesh.V(0, 0, 5.5))), nil},
		{"two plates", plates, []want{{"web", 1.5, 1200, 30}}},
		{"two plates leaning", turned(plates), []want{{"web", 1.5, 1200, 30}}},
		{"comb", comb, gaps},
		{"fin", fin, []want{{"fin", 0.8, 240, 8}}},
		{"fin leaning", turned(fin), []want{{"fin", 0.8, 240, 8}}},
		{"groove", groove, nil},
		{"blunt wedge", wedge(30), nil},
		{"vee", vee, nil},
		// A knife edge of 8° is thinner than 1 mm over the last 7.15 mm.
		{"knife edge", wedge(8), []want{{"fin", nan(), 40 * 7.15, 7.15}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := find(t, tt.m, thin.Options{})
			if len(r.Places) != len(tt.want) {
				t.Fatalf("got %+v, want %+v", r.Places, tt.want)
			}
			for k, got := range r.Places {
				w := tt.want[k]
				if got.Kind != w.kind || math.Abs(got.Thickness-w.thick) > 1e-6 {
					t.Errorf("got a %s of %g mm, want a %s of %g", got.Kind, got.Thickness, w.kind, w.thick)
				}
				if math.Abs(got.Area-w.area) > 0.08*w.area || math.Abs(got.Depth-w.depth) > 0.08*w.depth+0.3 {
					t.Errorf("got %g mm², %g deep, want %g and %g", got.Area, got.Depth, w.area, w.depth)
				}
				code := map[thin.Kind]finding.Code{thin.Web: thin.CodeWeb, thin.Fin: thin.CodeFin}[w.kind]
				if !r.Findings().Has(code) {
					t.Errorf("no finding %s", code)
				}
			}
		})
	}
	// Thickness is asked for, and may be turned off.
	if r := find(t, plates, thin.Options{Web: ptr(1.4)}); len(r.Places) != 0 {
		t.Errorf("1.5 is not under 1.4: got %+v", r.Places)
	}
	if r := find(t, plates, thin.Options{Web: ptr(0), Fin: ptr(0)}); r.Places == nil || len(r.Places) != 0 || len(r.Findings()) != 0 {
		t.Errorf("off: got %+v", r.Places)
	}
}

// Only what rubber gets to is a web: under the clay line it is clay.
func TestClay(t *testing.T) {
	plates := shape.Blocks([]float64{0, 10, 11.5, 21.5}, []float64{0, 40}, []float64{0, 10, 40},
		func(i, j, k int) bool { return k == 0 || i != 1 })
	if r, err := thin.Find(context.Background(), sceneOf(t, plates, 40), thin.Options{}); err != nil || len(r.Places) != 0 {
		t.Errorf("got %+v, %v, want nothing", r.Places, err)
	}
	if _, err := thin.Find(context.Background(), sceneOf(t, plates, 0), thin.Options{Web: ptr(math.NaN())}); err == nil {
		t.Error("a web that is no length was taken")
	}
}

func nan() float64 { return math.NaN() }

func ptr(x float64) *float64 { return &x }

// sceneOf is a body on a board, with clay so high.
func sceneOf(t *testing.T, m *mesh.Mesh, clay float64) *scene.Scene {
	t.Helper()
	sc, err := scene.New(context.Background(), solidtest.Rough(t, m), mesh.V(0, 0, 1), scene.Options{Clay: &clay})
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

func find(t *testing.T, m *mesh.Mesh, o thin.Options) thin.Result {
	t.Helper()
	r, err := thin.Find(context.Background(), sceneOf(t, m, 0), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
