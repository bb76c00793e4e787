package printed

import (
	"errors"
	"math"
	"testing"

	"moldtally/boxfit"
	"moldtally/mesh"
)

func survey(t *testing.T, m *mesh.Mesh) *mesh.Survey {
	t.Helper()
	v, err := mesh.Inspect(t.Context(), m, mesh.SurveyOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func boxOf(l, w, h, fill float64) *boxfit.Fit {
	return &boxfit.Fit{Kind: boxfit.Box, Interior: &[3]float64{l, w, h}, FillHeight: fill, Capacity: l * w * fill}
}

func tubeOf(bore, h, fill float64) *boxfit.Fit {
	return &boxfit.Fit{Kind: boxfit.Sleeve, Interior: &[3]float64{bore, bore, h}, Diameter: &bore, FillHeight: fill, Capacity: math.Pi / 4 * bore * bore * fill}
}

func prismOf(n int, across, h, fill float64) *boxfit.Fit {
	a := float64(n) / 4 * across * across * math.Tan(math.Pi/float64(n))
	return &boxfit.Fit{Kind: boxfit.Polygon, Interior: &[3]float64{across, across, h}, Diameter: &across, Sides: &n, FillHeight: fill, Capacity: a * fill}
}

// Every part is closed, one piece, lies on the bed and fits the printer; together
// they hold what was planned.
func TestParts(t *testing.T) {
	for name, c := range map[string]struct {
		f     *boxfit.Fit
		p     Printer
		parts int
	}{
		"box":             {boxOf(120, 80, 60, 50), Printer{}, 3},
		"low box":         {boxOf(60, 60, 22, 15), Printer{}, 3},
		"long box":        {boxOf(400, 100, 80, 70), Printer{220, 220, 250}, 0},
		"tall box":        {boxOf(150, 150, 400, 390), Printer{250, 210, 210}, 0},
		"hexagon":         {prismOf(6, 110, 150, 140), Printer{}, 3},
		"octagon":         {prismOf(8, 300, 150, 140), Printer{256, 256, 256}, 0},
		"tube":            {tubeOf(100, 120, 110), Printer{}, 3},
		"wide tube":       {tubeOf(350, 120, 110), Printer{220, 220, 250}, 0},
		"narrow tube":     {tubeOf(25, 40, 30), Printer{180, 180, 180}, 3},
		"tube in levels":  {tubeOf(90, 420, 410), Printer{200, 200, 180}, 7},
		"trough":          {&boxfit.Fit{Kind: boxfit.Trough, Interior: &[3]float64{600, 60, 70}, FillHeight: 60, Capacity: 600 * 60 * 60}, Printer{220, 220, 250}, 0},
		"odd small sizes": {boxOf(33.3, 31.7, 41.9, 30.1), Printer{120, 120, 120}, 3},
	} {
		m, err := For(t.Context(), c.f, c.p, 1.1, nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if math.Abs(m.Capacity/c.f.Capacity-1) > 1e-9 {
			t.Errorf("%s holds %g, planned %g", name, m.Capacity, c.f.Capacity)
		}
		if c.parts > 0 && len(m.Parts) != c.parts || len(m.Parts) < 3 {
			t.Errorf("%s: %d parts, want %d", name, len(m.Parts), c.parts)
		}
		if !m.fits(c.p) {
			t.Errorf("%s does not fit the printer", name)
		}
		for i, p := range m.Parts {
			v := survey(t, p.Mesh)
			if !v.Clean || v.DegenerateFaces > 0 || len(v.Pieces) != 1 || v.SignedVolume <= 0 {
				t.Errorf("%s, part %d: %d pieces, clean %v, %d collapsed, %g mm³", name, i, len(v.Pieces), v.Clean, v.DegenerateFaces, v.SignedVolume)
			}
			if lo, _ := p.Mesh.Bounds(); math.Abs(lo.Z) > 1e-9 {
				t.Errorf("%s, part %d lies at %g", name, i, lo.Z)
			}
		}
		laid, err := m.Laid()
		if err != nil {
			t.Fatal(err)
		}
		plate, err := Joined(laid)
		if err != nil {
			t.Fatal(err)
		}
		if v := survey(t, plate); len(v.Pieces) != len(m.Parts) || !v.Clean {
			t.Errorf("%s: the plate has %d pieces of %d parts", name, len(v.Pieces), len(m.Parts))
		}
	}
}

// The walls before they are cut: what a box of boards with mitred corners takes, and
// flanges, feet and slots by hand.
func TestVolumeByHand(t *testing.T) {
	m, err := For(t.Context(), boxOf(120, 80, 60, 50), Printer{}, 1.1, nil)
	if err != nil {
		t.Fatal(err)
	}
	got := 0.0
	for _, p := range m.Parts {
		if p.Role == WallPart {
			got += survey(t, p.Mesh).SignedVolume
		}
	}
	w := m.Wall
	frame := func(out float64) float64 { return (120+2*out)*(80+2*out) - 120*80 }
	foot := (frame(w+flangeWide) - frame(w)) * flangeThick
	flanges := 2 * 2 * flangeWide * flangeThick * (60 - flangeThick) // beside the foot's own height
	gaps := 2 * clear * (w*60 + flangeWide*flangeThick)
	if w != 3 {
		t.Errorf("the wall is %g thick", w)
	}
	// The bolts: the feet's and the flanges' slots, each slotDeep long.
	width := boltSize + boltRoom
	feet := len(along(0, 60, flangeThick+2*boltSize))*4 + len(along(0, 80, flangeThick+2*boltSize))*2
	up := len(along(flangeThick, 60, 2*boltSize))
	slots := float64(feet)*width*slotDeep*flangeThick + float64(2*2*up)*width*slotDeep*flangeThick
	if m.Bolts != feet+2*up {
		t.Errorf("%d bolts, by hand %d", m.Bolts, feet+2*up)
	}
	if want := frame(w)*60 + foot + flanges - gaps - slots; math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the walls take %g mm³, by hand %g", got, want)
	}
}

func TestNothingIsMade(t *testing.T) {
	if _, err := For(t.Context(), &boxfit.Fit{Kind: boxfit.Mother}, Printer{}, 1.1, nil); !errors.Is(err, ErrShape) {
		t.Errorf("a mother mold: %v", err)
	}
	if _, err := For(t.Context(), boxOf(2000, 2000, 500, 400), Printer{100, 100, 100}, 1.1, nil); !errors.Is(err, ErrTooSmall) {
		t.Errorf("a huge box on a small printer: %v", err)
	}
}

func BenchmarkFor(b *testing.B) {
	for b.Loop() {
		if _, err := For(b.Context(), tubeOf(350, 120, 110), Printer{220, 220, 250}, 1.1, nil); err != nil {
			b.Fatal(err)
		}
	}
}
