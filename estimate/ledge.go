package estimate

import (
	"math"

	"moldtally/boxfit"
	"moldtally/mesh"
	"moldtally/mesh/solid"
)

// stepLevels is how many heights a ledge is tried at; a judgement.
const stepLevels = 64

// stepOf finds the ledge that saves most rubber: above it the box is only as
// wide as what of the pattern is there, with the same walls, and over the rest
// of the pattern the ledge leaves as much rubber as the mold has over its top.
// Triangles are cut at the heights that are tried, so nothing is missed.
func stepOf(s *solid.Solid, fit *boxfit.Fit) *stepped {
	v := func(a [3]float64) mesh.Vec { return mesh.V(a[0], a[1], a[2]) }
	up, a, c := v(fit.Up), v(fit.LongAxis), v(fit.Center)
	e := up.Cross(a)
	over := max(fit.Over, fit.Wall)
	top := fit.FillHeight - fit.Over
	if top <= 0 {
		return nil
	}
	// Per height, the reach of what lies at or above it, before the suffix.
	type reach struct{ x0, x1, y0, y1 float64 }
	none := reach{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	at := make([]reach, stepLevels+1) // at[k]: what lies between level k and k+1, and on k
	for i := range at {
		at[i] = none
	}
	grow := func(k int, x, y float64) {
		r := &at[k]
		r.x0, r.x1, r.y0, r.y1 = min(r.x0, x), max(r.x1, x), min(r.y0, y), max(r.y1, y)
	}
	step := top / stepLevels
	m := s.Surface()
	for t := range m.NumTriangles() {
		if !s.Live(t) {
			continue
		}
		p0, p1, p2 := m.Corners(t)
		var x, y, z [3]float64
		for i, p := range [3]mesh.Vec{p0, p1, p2} {
			d := p.Sub(c)
			x[i], y[i], z[i] = d.Dot(a), d.Dot(e), d.Dot(up)
			grow(min(stepLevels, max(0, int(math.Floor(z[i]/step)))), x[i], y[i])
		}
		for i := range 3 {
			j := (i + 1) % 3
			lo, hi := i, j
			if z[lo] > z[hi] {
				lo, hi = hi, lo
			}
			for k := max(1, int(math.Ceil(z[lo]/step))); k <= stepLevels && float64(k)*step < z[hi]; k++ {
				w := (float64(k)*step - z[lo]) / (z[hi] - z[lo])
				grow(k, x[lo]+w*(x[hi]-x[lo]), y[lo]+w*(y[hi]-y[lo]))
			}
		}
	}
	var best *stepped
	r := none
	full := fit.Interior[0] * fit.Interior[1]
	for k := stepLevels; k >= 1; k-- {
		q := at[k]
		r = reach{min(r.x0, q.x0), max(r.x1, q.x1), min(r.y0, q.y0), max(r.y1, q.y1)}
		ledge := math.Ceil(float64(k)*step + over)
		if r.x1 < r.x0 || ledge >= fit.FillHeight-10 {
			continue // a step of under a centimetre is not worth building
		}
		l, w := math.Ceil(r.x1-r.x0+2*fit.Wall), math.Ceil(r.y1-r.y0+2*fit.Wall)
		l, w = min(l, fit.Interior[0]), min(w, fit.Interior[1])
		if saves := (full - l*w) * (fit.FillHeight - ledge); saves > 0 && (best == nil || saves > best.Saves) {
			best = &stepped{Ledge: ledge, Inside: [2]float64{l, w}, Saves: saves}
		}
	}
	return best
}
