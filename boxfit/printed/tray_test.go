package printed

import (
	"math"
	"testing"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
)

// The tray of a ball parted at its middle, by hand: a plate round the hole for it, the
// skirt and the rim; what the pits of the keys take, the bosses under them give back.
func TestTray(t *testing.T) {
	s := solidtest.Of(t, shape.Icosphere(30, 4))
	up := mesh.V(0, 0, 1)
	rep, err := demold.Analyze(t.Context(), s, up, demold.Options{Mold: demold.TwoPart, Parting: new(0.0), Resolution: 1})
	if err != nil {
		t.Fatal(err)
	}
	f, _, err := boxfit.Search(t.Context(), s, up, rep, boxfit.Request{Mold: demold.TwoPart, Container: boxfit.Box})
	if err != nil {
		t.Fatal(err)
	}
	f.PlaceKeys(2*math.Pi*30, 60)
	bed, err := BedOf(t.Context(), f, s, f.Under+rep.Parting.Height)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []Printer{{}, {96, 96, 96}} {
		m, err := For(t.Context(), f, p, 1.1, bed)
		if err != nil {
			t.Fatal(err)
		}
		got, parts := 0.0, 0
		for _, x := range m.Parts {
			if x.Role != TrayPart {
				continue
			}
			parts++
			v := survey(t, x.Mesh)
			got += v.SignedVolume
			if lo, hi := x.Mesh.Bounds(); !v.Clean || len(v.Pieces) != 1 || math.Abs(lo.Z) > 1e-9 || math.Abs(hi.Z-bed.Height) > 1e-9 {
				t.Errorf("part %d: clean %v, %d pieces, from %g to %g", parts, v.Clean, len(v.Pieces), lo.Z, hi.Z)
			}
		}
		if want := 1 + 3*min(1, int(p[0])); parts != want {
			t.Errorf("printer %v: %d parts, want %d", p, parts, want)
		}
		side := func(in float64) float64 { return (f.Interior[0] - 2*in) * (f.Interior[1] - 2*in) }
		round := func(out float64) float64 { return math.Pi * (30 + out) * (30 + out) }
		if len(f.Keys) < 4 {
			t.Errorf("%d keys", len(f.Keys))
		}
		want := (side(traySlide)-round(trayGap))*trayThick + (side(traySlide)-side(traySlide+traySkirt))*(bed.Height-trayThick) +
			(round(trayGap+trayRim)-round(trayGap))*(trayDeep-trayThick)
		if math.Abs(got/want-1) > 0.03 {
			t.Errorf("printer %v: %.0f mm³, by hand %.0f", p, got, want)
		}
	}
}
