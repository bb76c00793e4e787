package boxfit

import (
	"context"
	"errors"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/shape/real"
	"moldtally/mesh/solid"
	"moldtally/mesh/solid/solidtest"
	"moldtally/mesh/unit"
)

// through runs a mesh through survey, solid and demolding.
func through(t testing.TB, m *mesh.Mesh, up mesh.Vec, mold demold.Mold) (*solid.Solid, *demold.Report) {
	t.Helper()
	s := solidtest.Of(t, m)
	rep, err := demold.Analyze(context.Background(), s, up, demold.Options{Mold: mold, Resolution: 2})
	if err != nil {
		t.Fatal(err)
	}
	return s, rep
}

func TestSearchOfSolids(t *testing.T) {
	// A sealed hollow takes no rubber: the shell displaces all of its outside.
	inner := shape.Map(shape.Cube(60), func(v mesh.Vec) mesh.Vec { return v.Add(mesh.V(0, 0, 20)) })
	for _, c := range []struct {
		name string
		m    *mesh.Mesh
		mold demold.Mold
		s    float64 // mm³ displaced
	}{
		{"cube", shape.Cube(100), demold.Block, 1e6},
		{"mushroom", shape.Mushroom(30, 15, 10, 40, 48), demold.Block, -1},
		{"hollow cube", shape.Shells(shape.Cube(100), inner), demold.Cut, 1e6},
		{"arch in two parts", shape.Arch(80, 20, 60, 20, 30), demold.TwoPart, -1},
	} {
		if testing.Short() && c.mold != demold.TwoPart {
			continue // the short run is for the race detector: one that parts has all there is
		}
		s, rep := through(t, c.m, upZ, c.mold)
		want := c.s
		if want < 0 {
			want = shape.Volume(c.m)
		}
		f, _, err := Search(context.Background(), s, upZ.Mul(3), rep, Request{Mold: c.mold, Container: "box"})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if got := f.Capacity - f.Rubber - rep.Pockets - rep.ClayFill; !near(got, want, 1e-9) {
			t.Errorf("%s: the pattern takes %v of the container, want %v", c.name, got, want)
		}
		if rep.Parting != nil && !c.mold.OnBoard() {
			if f.RubberBelow == nil || *f.RubberBelow <= 0 || *f.RubberBelow >= f.Rubber {
				t.Errorf("%s: the lower half takes %v of %v", c.name, f.RubberBelow, f.Rubber)
			}
		} else if f.RubberBelow != nil {
			t.Errorf("%s: a lower half where there is none", c.name)
		}
		// The dunked volume wins.
		f, _, err = Search(context.Background(), s, upZ, rep, Request{Mold: c.mold, Container: "box", Displaced: &unit.Bounded[unit.Volume]{Low: 100, Value: 120, High: 150}})
		if err != nil || !near(f.Capacity-f.Rubber-rep.Pockets-rep.ClayFill, 120, 1e-6) || f.RubberHigh <= f.Rubber || f.RubberLow >= f.Rubber {
			t.Errorf("%s: dunked: rubber %v (%v to %v), %v", c.name, f.Rubber, f.RubberLow, f.RubberHigh, err)
		}
	}
	s, rep := through(t, shape.Cube(100), upZ, demold.Block)
	if _, _, err := Search(context.Background(), s, mesh.Vec{}, rep, Request{}); !errors.As(err, new(*BadRequest)) {
		t.Errorf("no direction: %v", err)
	}
	// Half a cube sticks out of its box: what is in it is half the cube.
	f, _, err := Search(context.Background(), s, upZ, rep, Request{Inside: &[3]float64{130, 120, 50}})
	if err != nil || !f.Findings.Has(CodeSmall) || math.Abs(f.Rubber-(130*120-100*100)*50) > 2000 {
		t.Errorf("half sunk cube: %v, rubber %v", err, f.Rubber)
	}
}

// Real scans and assemblies, where they stand beside the repository: the box
// with no wall is their least rectangle, the sleeve with none their least
// circle.
func TestSearchOfRealMeshes(t *testing.T) {
	if testing.Short() {
		t.Skip("whole files; TestSearchOfSolids has made bodies")
	}
	type figures struct {
		File    string
		Figures struct {
			Rect   struct{ Value float64 } `json:"min_rect_xy_area"`
			Circle struct{ Value float64 } `json:"min_circle_xy"`
		}
	}
	const unchecked = "least containers of real meshes"
	ctx := context.Background()
	tried := 0
	for _, m := range real.Figures[figures](t, unchecked) {
		switch m.File {
		case "mug.obj", "skull.obj", "x_carriage_cavities.stl", "heart_gears.3mf", "spider_degenerate.stl":
		default:
			continue
		}
		s := solidtest.Of(t, solidtest.Read(t, real.File(t, unchecked, m.File)))
		tried++
		zero := 0.0
		f, _, err := Search(ctx, s, upZ, nil, Request{Container: "box", Wall: &zero, Over: &zero})
		if err != nil {
			t.Fatal(err)
		}
		if want := m.Figures.Rect.Value; !near(f.Interior[0]*f.Interior[1], want, 1e-9) {
			t.Errorf("%s: box %v, least rectangle %v", m.File, f.Interior[0]*f.Interior[1], want)
		}
		f, _, err = Search(ctx, s, upZ, nil, Request{Container: "sleeve", Tube: "exact", Wall: &zero, Over: &zero})
		if err != nil {
			t.Fatal(err)
		}
		if want := m.Figures.Circle.Value; !near(*f.Diameter/2, want, 1e-9) {
			t.Errorf("%s: sleeve %v, least circle %v", m.File, *f.Diameter/2, want)
		}
		for _, k := range []demold.Mold{demold.Block, demold.Cut, demold.Blanket} {
			f, others, err := Search(ctx, s, upZ, nil, Request{Mold: k})
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range append(others, f) {
				if !f.finite() || f.Rubber < 0 || f.Thinnest <= 0 {
					t.Errorf("%s, %s %s: %+v", m.File, k, f.Kind, f)
				}
			}
		}
	}
	if tried < 5 {
		t.Errorf("only %d meshes were tried", tried)
	}
}

// finite reports whether all figures of a fit are numbers.
func (f *Fit) finite() bool {
	for _, v := range []float64{f.Wall, f.Over, f.Under, f.FillHeight, f.Capacity, f.Thinnest, f.Seam, f.FloorPressure, f.WallForce, f.Rubber, f.RubberLow, f.RubberHigh} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
