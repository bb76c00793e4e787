package gen

import (
	"fmt"
	"math"
	"testing"

	"moldtally/mesh/shape"
)

// undercut is what a turned body does to a one-piece mold pulled along +Z.
type undercut struct {
	Depth   float64 // straight way out, which is also the shortest path, mm
	DepthAt float64 // height of the deepest point, mm
	Volume  float64 // space outside the body with body above it, mm³
	Stretch float64 // largest growth of a section's perimeter above a smaller one
	Neck    float64 // height of that smaller one, mm
	Bulge   float64 // and of the larger, mm
}

// revolvedUndercut follows from the profile alone, which must rise throughout
// (level steps are fine) from the axis to the axis: at each height, rubber lies
// between the body and the widest section above. Heights below from (the clay)
// are left out. Sections are regular n-gons, so the way out is by a facet:
// radii differ by cos(π/n) of what they do at the corners; n = 0 gives the
// ideal body.
func revolvedUndercut(profile []shape.RZ, n int, from float64) undercut {
	area, apothem := math.Pi, 1.0
	if n > 0 {
		area, apothem = float64(n)/2*math.Sin(2*math.Pi/float64(n)), math.Cos(math.Pi/float64(n))
	}
	var u undercut
	widest, widestAt := 0.0, 0.0
	look := func(r, z float64) { // a section with the widest one above it known
		if z < from {
			return
		}
		if d := (widest - r) * apothem; d > u.Depth {
			u.Depth, u.DepthAt = d, z
		}
		if r > 0 && widest/r-1 > u.Stretch {
			u.Stretch, u.Neck, u.Bulge = widest/r-1, z, widestAt
		}
	}
	last := len(profile) - 1
	for i := last; i > 0; i-- { // downward
		a, b := profile[i-1], profile[i]
		if a.Z > b.Z {
			panic(fmt.Sprintf("the profile falls after point %d", i-1))
		}
		if b.R > widest {
			widest, widestAt = b.R, b.Z
		}
		if lo := max(a.Z, from); b.Z > lo {
			at := func(z float64) float64 { return a.R + (b.R-a.R)*(z-a.Z)/(b.Z-a.Z) }
			end := lo
			if at(lo) > widest { // below this the body itself is the widest
				end = a.Z + (b.Z-a.Z)*(widest-a.R)/(b.R-a.R)
			}
			r0, r1 := min(at(end), widest), min(at(b.Z), widest)
			u.Volume += area * (b.Z - end) * (widest*widest - (r0*r0+r0*r1+r1*r1)/3)
			look(r1, b.Z)
			look(r0, end)
		}
		if a.R > widest {
			widest, widestAt = a.R, a.Z
		}
		if i > 1 { // not the point where the base meets the axis
			look(a.R, a.Z)
		}
	}
	return u
}

func TestRevolvedUndercut(t *testing.T) {
	n := 64
	c := math.Cos(math.Pi / float64(n))
	for _, x := range []struct {
		name string
		p    []shape.RZ
		n    int
		from float64
		want undercut
	}{
		{"mushroom", shape.MushroomProfile(30, 10, 10, 40), n, 0, undercut{20 * c, 0, (shape.NgonArea(30, n) - shape.NgonArea(10, n)) * 40, 2, 0, 0}},
		{"ideal mushroom", shape.MushroomProfile(30, 10, 10, 40), 0, 0, undercut{20, 0, math.Pi * 800 * 40, 2, 0, 0}},
		{"mushroom in clay", shape.MushroomProfile(30, 10, 10, 40), n, 15, undercut{20 * c, 0, (shape.NgonArea(30, n) - shape.NgonArea(10, n)) * 25, 2, 0, 0}},
		{"cone", shape.FrustumProfile(20, 0, 60), n, 0, undercut{}},
		{"cylinder", shape.FrustumProfile(20, 20, 60), n, 0, undercut{}},
		// Under a cone on its tip: the cylinder less the cone.
		{"flared", shape.FrustumProfile(10, 20, 60), 0, 0, undercut{10, 0, math.Pi*400*60 - math.Pi*60*(100+200+400)/3, 1, 0, 0}},
		// Waisted post, lower half out of the way: above the waist the same as
		// flared; below it down to the height of equal radius, which is the foot.
		{"waisted", shape.WaistedProfile(20, 10, 120), 0, 0, undercut{10, 0, 2 * (math.Pi*400*60 - math.Pi*60*(100+200+400)/3), 1, 0, 0}},
		// A foot of radius 30 under the flare: only part of its slope is shadowed.
		// r falls 30 → 10 over 60; r = 20 at 30.
		{"wide foot", []shape.RZ{{}, {R: 30}, {R: 10, Z: 60}, {R: 20, Z: 120}, {Z: 120}}, 0, 0,
			undercut{10, 0, math.Pi*400*60 - math.Pi*60*(100+200+400)/3 + math.Pi*30*(400-(100+200+400)/3.), 1, 0, 0}},
	} {
		got := revolvedUndercut(x.p, x.n, x.from)
		for name, v := range map[string][2]float64{"depth": {got.Depth, x.want.Depth}, "volume": {got.Volume, x.want.Volume}, "stretch": {got.Stretch, x.want.Stretch}} {
			if math.Abs(v[0]-v[1]) > 1e-9*max(1, v[1]) {
				t.Errorf("%s: %s got %.12g, want %.12g", x.name, name, v[0], v[1])
			}
		}
	}
	if u := revolvedUndercut(shape.WaistedProfile(20, 10, 120), 0, 0); u.Neck != 60 || u.Bulge != 120 || u.DepthAt != 60 {
		t.Errorf("waisted: neck, bulge, deepest got %v %v %v, want 60 120 60", u.Neck, u.Bulge, u.DepthAt)
	}
}
