package demold

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
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
		kind               string
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
			r := analyze(t, tt.m, up, Options{Clay: ptr(0)})
			if len(r.Thin) != len(tt.want) {
				t.Fatalf("got %+v, want %+v", r.Thin, tt.want)
			}
			for k, got := range r.Thin {
				w := tt.want[k]
				if got.Kind != w.kind || math.Abs(got.Thickness-w.thick) > 1e-6 {
					t.Errorf("got a %s of %g mm, want a %s of %g", got.Kind, got.Thickness, w.kind, w.thick)
				}
				if math.Abs(got.Area-w.area) > 0.08*w.area || math.Abs(got.Depth-w.depth) > 0.08*w.depth+0.3 {
					t.Errorf("got %g mm², %g deep, want %g and %g", got.Area, got.Depth, w.area, w.depth)
				}
				code := map[string]finding.Code{"web": finding.ThinWeb, "fin": finding.ThinFin}[w.kind]
				if !r.Findings.Has(code) {
					t.Errorf("no finding %s", code)
				}
			}
		})
	}
	// Thickness is asked for, and may be turned off.
	if r := analyze(t, plates, up, Options{Web: ptr(1.4)}); len(r.Thin) != 0 {
		t.Errorf("1.5 is not under 1.4: got %+v", r.Thin)
	}
	if r := analyze(t, plates, up, Options{Web: ptr(0), Fin: ptr(0)}); r.Thin == nil || len(r.Thin) != 0 || r.Findings.Has(finding.ThinWeb) {
		t.Errorf("off: got %+v", r.Thin)
	}
}

func nan() float64 { return math.NaN() }
