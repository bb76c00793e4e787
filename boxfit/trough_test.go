package boxfit

import (
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/unit"
)

// rail is a run of three-sided section, 4000 mm² of 100 × 80, lying on its back.
func rail(length float64) *mesh.Mesh {
	return shape.Map(shape.Prism([][2]float64{{0, 0}, {100, 0}, {0, 80}}, length), func(v mesh.Vec) mesh.Vec { return mesh.V(v.Z, v.X, v.Y) })
}

func TestTroughOfARail(t *testing.T) {
	s := sceneOf(t, rail(1200), upZ)
	s.displaced = unit.Exactly(unit.Volume(1200 * 4000))
	f, others := mustSearch(t, s, Request{RubberSG: 1.12, Wall: at(12.0), Over: at(12.0), Board: "mdf-12"})
	if f.Kind != Trough || len(others) != 0 || f.Reason.Why != BecauseLong {
		t.Fatalf("%s with %d others, %+v", f.Kind, len(others), f.Reason)
	}
	if kg := 1.12 * f.Rubber / 1e6; !near(kg, 10.263, 5e-4) {
		t.Errorf("%v kg of rubber, want 10.263", kg)
	}
	// Four lengths of 306 mm between braces.
	if b := f.Brace; b == nil || b.Ribs != 3 || !near(float64(b.Every), 306, 1e-9) || f.BoardBow == nil || !near(*f.BoardBow, wall{306, 102, 92, 1.12, 3.59, 12}.bow(free, 0)*1.5, 1e-9) {
		t.Errorf("brace %+v, bow %v", f.Brace, f.BoardBow)
	}
	want := []Board{
		{Part{Role: TroughSide, Stock: "mdf-12"}, 2, 1248, 102, 12},
		{Part{Role: StopEnd, Stock: "mdf-12"}, 2, 124, 102, 12},
		{Part{Role: TroughBrace, Stock: "mdf-12"}, 6, 102, 60, 12},
		{Part{Role: BaseBoard, Stock: "mdf-12"}, 1, 1308, 268, 12},
	}
	for i, b := range f.Boards {
		w := want[i]
		if b.Part != w.Part || b.Count != w.Count || !near(b.Length, w.Length, 1e-9) || !near(b.Width, w.Width, 1e-9) || b.Thickness != w.Thickness {
			t.Errorf("board %+v, want %+v", b, w)
		}
	}
	// By its section, not by its length.
	for _, l := range []float64{600, 1200, 1600} {
		f, _ := mustSearch(t, sceneOf(t, rail(l), upZ), Request{})
		if f.Kind != Trough || f.Wall != 10 || f.Findings.Has(CodeThick) || f.Findings.Has(CodeRun) != (l > 1500) {
			t.Errorf("run of %v: %s, wall %v, %v", l, f.Kind, f.Wall, f.Findings)
		}
	}
	for name, c := range map[string]struct {
		m *mesh.Mesh
		r Request
	}{
		"short":         {rail(300), Request{}},
		"a box":         {rail(1200), Request{Container: Box}},
		"in two halves": {rail(1200), Request{Mold: demold.TwoPart}},
		"on edge":       {shape.Box(1200, 20, 200), Request{}},
		"a panel":       {shape.Box(1200, 800, 40), Request{}},
	} {
		if f, _ := mustSearch(t, sceneOf(t, c.m, upZ), c.r); f.Kind == Trough {
			t.Errorf("%s: a trough", name)
		}
	}
}

func TestCoverGoesByTheSection(t *testing.T) {
	for _, c := range []struct{ l, w, size float64 }{
		{100, 100, 100}, {80, 50, math.Sqrt(4000)}, {300, 100, math.Sqrt(30000)}, {100, 300, math.Sqrt(30000)},
		{400, 100, 100}, {1200, 100, 100}, {9000, 100, 100}, {100, 0, 0},
	} {
		if got := CoverSize(c.l, c.w); !near(got, c.size, 1e-12) {
			t.Errorf("%v × %v: %v, want %v", c.l, c.w, got, c.size)
		}
	}
	// No step anywhere.
	last := CoverSize(100, 100)
	for l := 100.0; l < 500; l += 0.1 {
		now := CoverSize(l, 100)
		if math.Abs(now-last) > 0.15 {
			t.Fatalf("at %v: %v after %v", l, now, last)
		}
		last = now
	}
}
