package parting

import (
	"cmp"
	"moldtally/mesh"
	"slices"
)

// grain is how much longer than its smooth course a line may be before it is
// taken for the grain of a scan; a judgement.
const grain = 1.01

// tidy smooths a line if it is grainy, and drops the points that say nothing.
func tidy(l []mesh.Vec, cell float64) []mesh.Vec {
	tol := cell / 4
	if s := smooth(l); lineLength(simplify(l, tol)) > grain*lineLength(s) {
		l = s
	}
	return simplify(l, tol)
}

// smooth takes out what is shorter than some ten points and leaves the rest
// where it is: every point goes half way to the middle of its neighbours and
// then a little more than half way back (G. Taubin, "A signal processing
// approach to fair surface design", SIGGRAPH 1995).
func smooth(l []mesh.Vec) []mesh.Vec {
	const (
		passes     = 40
		there, out = 0.5, -0.526
	)
	n := len(l)
	if n < 5 {
		return l
	}
	closed := l[0] == l[n-1]
	a, b := slices.Clone(l), make([]mesh.Vec, n)
	for p := range 2 * passes {
		w := there
		if p&1 == 1 {
			w = out
		}
		copy(b, a)
		for k := 1; k < n-1; k++ {
			b[k] = a[k].Add(a[k-1].Add(a[k+1]).Mul(0.5).Sub(a[k]).Mul(w))
		}
		if closed {
			b[0] = a[0].Add(a[n-2].Add(a[1]).Mul(0.5).Sub(a[0]).Mul(w))
			b[n-1] = b[0]
		}
		a, b = b, a
	}
	return a
}

// lineLength is the length of a polyline, mm.
func lineLength(l []mesh.Vec) float64 {
	var s float64
	for k := 1; k < len(l); k++ {
		s += l[k].Sub(l[k-1]).Len()
	}
	return s
}

// longerFirst orders polylines by length.
func longerFirst(a, b []mesh.Vec) int { return cmp.Compare(lineLength(b), lineLength(a)) }

// arrays is a polyline in the report's form.
func arrays(l []mesh.Vec) [][3]float64 {
	out := make([][3]float64, len(l))
	for k, v := range l {
		out[k] = v.Array()
	}
	return out
}

// simplify drops the points that lie within tol of the line without them
// (D. H. Douglas & T. K. Peucker, "Algorithms for the reduction of the number
// of points required to represent a digitized line or its caricature",
// Cartographica 10 (1973)).
func simplify(l []mesh.Vec, tol float64) []mesh.Vec {
	if len(l) < 3 {
		return l
	}
	keep := make([]bool, len(l))
	keep[0], keep[len(l)-1] = true, true
	type span struct{ a, b int }
	stack := []span{{0, len(l) - 1}}
	if l[0] == l[len(l)-1] {
		// A closed line is first split at its farthest point.
		far, at := 0.0, len(l)/2
		for k, v := range l {
			if d := v.Sub(l[0]).Len(); d > far {
				far, at = d, k
			}
		}
		keep[at] = true
		stack = []span{{0, at}, {at, len(l) - 1}}
	}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		a, d := l[s.a], l[s.b].Sub(l[s.a])
		dd := d.Dot(d)
		far, at := tol, -1
		for k := s.a + 1; k < s.b; k++ {
			v := l[k].Sub(a)
			if dd > 0 {
				v = v.Sub(d.Mul(min(max(v.Dot(d)/dd, 0), 1)))
			}
			if x := v.Len(); x > far {
				far, at = x, k
			}
		}
		if at >= 0 {
			keep[at] = true
			stack = append(stack, span{s.a, at}, span{at, s.b})
		}
	}
	out := make([]mesh.Vec, 0, 64)
	for k, v := range l {
		if keep[k] {
			out = append(out, v)
		}
	}
	return out
}
