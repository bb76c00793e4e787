package estimate

import (
	"math"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/demold/undercut"
)

// flapWall is how thick the rubber is, mm, where a flap bends: from the edge that
// it has to clear straight out to the container's wall, never less than the
// thinnest rubber. Zero where that is not known.
func flapWall(f *boxfit.Fit, fl *undercut.Flap) float64 {
	if f == nil || fl == nil {
		return 0
	}
	vec := func(a [3]float64) mesh.Vec { return mesh.V(a[0], a[1], a[2]) }
	up, long := vec(f.Up), vec(f.LongAxis)
	out := vec(fl.Out)
	p := vec(fl.At).Add(out.Mul(fl.Swing)).Sub(vec(f.Center))
	least := math.Inf(1)
	// slab is the way along out to the pair of walls across an axis.
	slab := func(axis mesh.Vec, lo, hi float64) {
		x, d := p.Dot(axis), out.Dot(axis)
		switch {
		case d > 1e-9:
			least = min(least, (hi-x)/d)
		case d < -1e-9:
			least = min(least, (lo-x)/d)
		}
	}
	slab(up, 0, f.FillHeight)
	across := up.Cross(long)
	switch {
	case f.Interior != nil && f.Diameter == nil:
		slab(long, -f.Interior[0]/2, f.Interior[0]/2)
		slab(across, -f.Interior[1]/2, f.Interior[1]/2)
	case f.Diameter != nil: // a polygon is taken as the tube between its flats
		r := *f.Diameter / 2
		x, y, dx, dy := p.Dot(long), p.Dot(across), out.Dot(long), out.Dot(across)
		if a := dx*dx + dy*dy; a > 1e-18 {
			b, c := x*dx+y*dy, x*x+y*y-r*r
			if q := b*b - a*c; q >= 0 {
				least = min(least, (math.Sqrt(q)-b)/a)
			}
		}
	default:
		return 0
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return max(least, f.Thinnest)
}
