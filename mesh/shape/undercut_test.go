package shape

import (
	"math"
	"testing"
)

func TestRevolveUndercut(t *testing.T) {
	n := 64
	c := math.Cos(math.Pi / float64(n))
	for _, x := range []struct {
		name string
		p    []RZ
		n    int
		from float64
		want Undercut
	}{
		{"mushroom", MushroomProfile(30, 10, 10, 40), n, 0, Undercut{20 * c, 0, (NgonArea(30, n) - NgonArea(10, n)) * 40, 2, 0, 0}},
		{"ideal mushroom", MushroomProfile(30, 10, 10, 40), 0, 0, Undercut{20, 0, math.Pi * 800 * 40, 2, 0, 0}},
		{"mushroom in clay", MushroomProfile(30, 10, 10, 40), n, 15, Undercut{20 * c, 0, (NgonArea(30, n) - NgonArea(10, n)) * 25, 2, 0, 0}},
		{"cone", FrustumProfile(20, 0, 60), n, 0, Undercut{}},
		{"cylinder", FrustumProfile(20, 20, 60), n, 0, Undercut{}},
		// Under a cone on its tip: the cylinder less the cone.
		{"flared", FrustumProfile(10, 20, 60), 0, 0, Undercut{10, 0, math.Pi*400*60 - math.Pi*60*(100+200+400)/3, 1, 0, 0}},
		// Waisted post, lower half out of the way: above the waist the same as
		// flared; below it down to the height of equal radius, which is the foot.
		{"waisted", WaistedProfile(20, 10, 120), 0, 0, Undercut{10, 0, 2 * (math.Pi*400*60 - math.Pi*60*(100+200+400)/3), 1, 0, 0}},
		// A foot of radius 30 under the flare: only part of its slope is shadowed.
		// r falls 30 → 10 over 60; r = 20 at 30.
		{"wide foot", []RZ{{0, 0}, {30, 0}, {10, 60}, {20, 120}, {0, 120}}, 0, 0,
			Undercut{10, 0, math.Pi*400*60 - math.Pi*60*(100+200+400)/3 + math.Pi*30*(400-(100+200+400)/3.), 1, 0, 0}},
	} {
		got := RevolveUndercut(x.p, x.n, x.from)
		for name, v := range map[string][2]float64{"depth": {got.Depth, x.want.Depth}, "volume": {got.Volume, x.want.Volume}, "stretch": {got.Stretch, x.want.Stretch}} {
			if math.Abs(v[0]-v[1]) > 1e-9*max(1, v[1]) {
				t.Errorf("%s: %s got %.12g, want %.12g", x.name, name, v[0], v[1])
			}
		}
	}
	if u := RevolveUndercut(WaistedProfile(20, 10, 120), 0, 0); u.Neck != 60 || u.Bulge != 120 || u.DepthAt != 60 {
		t.Errorf("waisted: neck, bulge, deepest got %v %v %v, want 60 120 60", u.Neck, u.Bulge, u.DepthAt)
	}
}
