package picture

import (
	"math"

	"moldtally/boxfit"
)

// sliceSteps is in how many steps a blanket's section is had along its longer side, and
// sliceStep how fine at most, mm.
const (
	sliceSteps = 400.0
	sliceStep  = 0.4
)

// plumb are the stretches of the upright line at t in which a field of a slice is above
// 0, and another, where one is given, is not.
func plumb(s *boxfit.Slice, of, not []float64, t float64) (out [][2]float64) {
	a := (t - s.X0) / s.Step
	i := int(math.Floor(a))
	if i < 0 || i+1 >= s.NX {
		return nil
	}
	a -= float64(i)
	mix := func(f []float64, j int) float64 {
		k := j*s.NX + i
		return f[k] + (f[k+1]-f[k])*a
	}
	value := func(j int) float64 {
		v := mix(of, j)
		if not != nil {
			v = min(v, -mix(not, j))
		}
		return v
	}
	from, last := s.Z0, value(0)
	for j := 1; j < s.NZ; j++ {
		v := value(j)
		if (v > 0) != (last > 0) {
			z := s.Z0 + (float64(j-1)+last/(last-v))*s.Step
			if v > 0 {
				from = z
			} else {
				out = append(out, [2]float64{from, z})
			}
		}
		last = v
	}
	return out
}

// reached is the box of a slice that its shell lies in.
func reached(s *boxfit.Slice) (lo, hi point) {
	lo, hi = point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for j := range s.NZ {
		for i := range s.NX {
			if s.Shell[j*s.NX+i] > 0 {
				x, z := s.X0+float64(i)*s.Step, s.Z0+float64(j)*s.Step
				lo, hi = point{min(lo.x, x), min(lo.y, z)}, point{max(hi.x, x), max(hi.y, z)}
			}
		}
	}
	return lo, hi
}
