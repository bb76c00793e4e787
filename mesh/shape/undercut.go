package shape

import (
	"fmt"
	"math"
)

// Undercut is what a turned body does to a one-piece mold pulled along +Z.
type Undercut struct {
	Depth   float64 // straight way out, which is also the shortest path, mm
	DepthAt float64 // height of the deepest point, mm
	Volume  float64 // space outside the body with body above it, mm³
	Stretch float64 // largest growth of a section's perimeter above a smaller one
	Neck    float64 // height of that smaller one, mm
	Bulge   float64 // and of the larger, mm
}

// RevolveUndercut follows from the profile alone, which must rise throughout
// (level steps are fine) from the axis to the axis: at each height, rubber lies
// between the body and the widest section above. Heights below from (the clay)
// are left out. Sections are regular n-gons, so the way out is by a facet:
// radii differ by cos(π/n) of what they do at the corners; n = 0 gives the
// ideal body.
func RevolveUndercut(profile []RZ, n int, from float64) Undercut {
	area, apothem := math.Pi, 1.0
	if n > 0 {
		area, apothem = float64(n)/2*math.Sin(2*math.Pi/float64(n)), math.Cos(math.Pi/float64(n))
	}
	var u Undercut
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
			panic(fmt.Sprintf("shape: the profile falls after point %d", i-1))
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
