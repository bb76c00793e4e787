package demold

import (
	"math"
	"testing"

	"moldtally/mesh/demold/undercut"
	"moldtally/mesh/shape"
)

// TestDraftAreas: areas by angle against closed forms. On a ball the angle is
// the latitude, so the areas are those of zones, 2πr²(sin b − sin a); a cone's
// side is one angle.
func TestDraftAreas(t *testing.T) {
	if testing.Short() {
		t.Skip("the short run looks at what runs in parallel, once")
	}
	sin := func(deg float64) float64 { return math.Sin(deg * math.Pi / 180) }
	const r = 25.0
	half := 2 * math.Pi * r * r
	const n = 192
	r1 := 20 - 40*math.Tan(2*math.Pi/180)
	side := (shape.NgonPerimeter(20, n) + shape.NgonPerimeter(r1, n)) / 2 * math.Hypot(40, (20-r1)*math.Cos(math.Pi/n))
	ball := shape.Sphere(r, 180) // strips of one degree
	cone := shape.Frustum(20, r1, 40, n)
	steep := 20 * math.Hypot(50, 20) * math.Pi
	for _, tt := range []struct {
		name string
		got  undercut.Draft
		want undercut.Draft
	}{
		{"ball", analyze(t, ball, up, Options{Clay: ptr(0), Ignore: ptr(0)}).DraftArea, draftOf(half, half*sin(1), half*(sin(3)-sin(1)), half*(1-sin(3)))},
		{"cone of 2°", analyze(t, cone, up, Options{Clay: ptr(0)}).DraftArea, draftOf(0, 0, side, disc(r1, n))},
		{"the same on its tip", analyze(t, cone, up.Neg(), Options{Clay: ptr(0)}).DraftArea, draftOf(side, 0, 0, disc(20, n))},
		{"steep cone", analyze(t, shape.Cone(20, 50, n), up, Options{Clay: ptr(0)}).DraftArea, draftOf(0, 0, 0, steep)},
		// The lowest 10 are in clay.
		{"cone in clay", analyze(t, cone, up, Options{Clay: ptr(10)}).DraftArea, draftOf(0, 0, side*30/40*(20-25*(20-r1)/40)/(20-20*(20-r1)/40), disc(r1, n))},
	} {
		got := [4]float64{tt.got.Under0, tt.got.To1, tt.got.To3, tt.got.OverThree}
		want := [4]float64{tt.want.Under0, tt.want.To1, tt.want.To3, tt.want.OverThree}
		all := want[0] + want[1] + want[2] + want[3]
		for k := range got {
			if math.Abs(got[k]-want[k]) > 0.002*all {
				t.Errorf("%s: got %.1f mm², want %.1f", tt.name, got, want)
				break
			}
		}
	}
}

func draftOf(under0, to1, to3, over float64) undercut.Draft {
	return undercut.Draft{Under0: under0, To1: to1, To3: to3, OverThree: over}
}
