package render

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/demold"
)

// How a parting line is tidied for a picture; judgements.
const (
	tidyStep   = 0.004 // of the pattern's size: the grain that is kept
	tidyHalf   = 3     // steps to each side that a mean goes over
	tidyWander = 1.6   // a line this much longer than it is from above goes up and down
	tidyPasses = 3     // what is left of a blot after one mean is gone after these
	tidyMost   = 20000 // steps of a line
)

// tidyLines are the parting lines in the scene, as they are drawn. On a wall
// that is plumb but for the grain of a scan, the line may run anywhere, and the
// true one goes up and down over the whole wall: drawn, it is a blot. There its
// course is drawn instead: its mean along the outline from above. Elsewhere it
// stays where it is.
func tidyLines(r *demold.Report, sc *scene) [][]mesh.Vec {
	if r == nil || r.Parting == nil {
		return nil
	}
	step := tidyStep * sc.hi.Sub(sc.lo).Len()
	var out [][]mesh.Vec
	for _, line := range r.Parting.Line {
		l := make([]mesh.Vec, len(line))
		for i, p := range line {
			l[i] = sc.at(vec(p))
		}
		for range tidyPasses {
			l = tidyLine(l, step)
		}
		if len(l) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// tidyLine draws a line that goes up and down straight; a slope stays as it is.
// Steps are taken along the line seen from above. Of a line too short from above
// to have a course nothing is left.
func tidyLine(l []mesh.Vec, step float64) []mesh.Vec {
	if len(l) < 3 || !(step > 0) {
		return l
	}
	plan := func(a, b mesh.Vec) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }
	var total, full float64
	for i := 1; i < len(l); i++ {
		total += plan(l[i-1], l[i])
		full += l[i].Sub(l[i-1]).Len()
	}
	n := min(int(total/step), tidyMost)
	if n < 2*tidyHalf+1 {
		if full > 2*tidyWander*max(total, step) {
			return nil
		}
		return l
	}
	h := total / float64(n)
	sum, length := make([]mesh.Vec, n), make([]float64, n)
	var s float64
	for i := 1; i < len(l); i++ {
		a, b := l[i-1], l[i]
		d, flat := b.Sub(a).Len(), plan(a, b)
		m := max(1, int(math.Ceil(d/(h/2))))
		for j := range m {
			t := (float64(j) + 0.5) / float64(m)
			k := min(int((s+t*flat)/h), n-1)
			w := d / float64(m)
			sum[k] = sum[k].Add(a.Add(b.Sub(a).Mul(t)).Mul(w))
			length[k] += w
		}
		s += flat
	}
	closed := l[0] == l[len(l)-1]
	at := func(i int) int {
		if closed {
			return (i + n) % n
		}
		return min(max(i, 0), n-1)
	}
	mean := func(i int) mesh.Vec { return sum[i].Mul(1 / max(length[i], 1e-12)) }
	out := make([]mesh.Vec, 0, n+1)
	for i := range n {
		var all mesh.Vec
		var run float64
		for j := i - tidyHalf; j <= i+tidyHalf; j++ {
			all = all.Add(sum[at(j)])
			run += length[at(j)]
		}
		if length[i] == 0 || run == 0 {
			continue
		}
		if run > tidyWander*(2*tidyHalf+1)*h {
			out = append(out, all.Mul(1/run))
		} else {
			out = append(out, mean(i))
		}
	}
	if closed {
		out = append(out, out[0])
	}
	return out
}
