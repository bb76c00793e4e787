package solid_test

import (
	"context"
	"math"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid"
	"moldtally/mesh/unit"
)

func TestDrains(t *testing.T) {
	// A can with a bore of radius r from its hollow through the bottom.
	can := func(r float64) *mesh.Mesh {
		return shape.Revolve([]shape.RZ{{R: 0, Z: 75}, {R: 25, Z: 75}, {R: 25, Z: 5}, {R: r, Z: 5}, {R: r, Z: 0}, {R: 30, Z: 0}, {R: 30, Z: 80}, {R: 0, Z: 80}}, 48)
	}
	hollow := shape.RevolveVolume([]shape.RZ{{R: 0, Z: 5}, {R: 25, Z: 5}, {R: 25, Z: 75}, {R: 0, Z: 75}}, 48)
	for _, c := range []struct {
		r    float64
		want int
	}{{1, 1}, {15, 0}} {
		s := from(t, can(c.r))
		got, err := s.Drains(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != c.want {
			t.Errorf("bore %g mm: %d drains %+v, want %d", 2*c.r, len(got), got, c.want)
			continue
		}
		for _, d := range got {
			if v := float64(d.Volume); math.Abs(v/hollow-1) > 0.15 {
				t.Errorf("cavity of %.4g mm³, want about %.4g", v, hollow)
			}
			if d.At.Z > 8 || math.Hypot(d.At.X, d.At.Y) > 4 {
				t.Errorf("the way in is at %v, want at the bottom's middle", d.At)
			}
			if math.Abs(d.Width-2*c.r) > 2*d.Cell {
				t.Errorf("the way in is %.3g mm wide, want %g within two cells of %.2g", d.Width, 2*c.r, d.Cell)
			}
		}
	}
	for _, m := range []*mesh.Mesh{shape.Cube(20), shape.Torus(40, 10, 48, 24), shape.Mug(40, 80, 5, 25, 48)} {
		if got, _ := from(t, m).Drains(context.Background()); len(got) != 0 {
			t.Errorf("a body without drains has %+v", got)
		}
	}
}

// Eight hollows that are alike are told once, with all their places; one that is half
// as large, or whose hole is thrice as wide, by itself.
func TestDrainsAlike(t *testing.T) {
	var drains []solid.Drain
	for k := range 8 {
		drains = append(drains, solid.Drain{At: mesh.V(float64(10*k), 0, 0), Width: 3, Volume: unit.Volume(1000 - 20*k), Cell: 0.5})
	}
	drains = append(drains, solid.Drain{Width: 9, Volume: 840, Cell: 0.5}, solid.Drain{Width: 3, Volume: 400, Cell: 0.5})
	got := solid.DrainFindings(drains)
	if len(got) != 3 {
		t.Fatalf("%d findings, want 3: %v", len(got), got)
	}
	if h := got[0].Facts.(solid.Hollows); len(h.Ways) != 8 || h.All != 7440 || h.Ways[7].X != 70 || h.Volume != 1000 {
		t.Errorf("the eight are told as %+v", h)
	}
}
