package solid

import (
	"math"

	"moldtally/mesh"
)

// dpLimit is the longest loop for which the least-area triangulation is found
// exactly: its time grows with the cube of the length (200: about 1.3 million
// areas).
const dpLimit = 200

// tie is how much better, as a share, a choice must be to be taken over an
// earlier one: more than what rounding can make of equals, so that a pattern
// that is turned or moved is mended the same way.
const tie = 1e-9

// triangulate closes a loop of points with a disc made of its own vertices
// only, wound like the loop. Short loops get the least total area over all
// triangulations (a slit closes to nothing); longer ones are clipped in the
// plane that fits them best, and where that plane folds them, by least area
// ear by ear. Indices are into the loop.
//
// tooth marks corners of the loop at which a single face of the sheet sticks
// out: the patch must not lie on that face, so no face of it may be the
// corner and its two neighbours, unless nothing else is left.
func triangulate(p []mesh.Vec, tooth []bool) [][3]int32 {
	n := len(p)
	switch {
	case n < 3:
		return nil
	case n == 3:
		return [][3]int32{{0, 1, 2}}
	case n <= dpLimit:
		return leastArea(p, tooth)
	}
	if t := clipPlane(p, tooth); t != nil {
		return t
	}
	return clipGreedy(p)
}

func triArea(a, b, c mesh.Vec) float64 { return b.Sub(a).Cross(c.Sub(a)).Len() / 2 }

// patchCost is the area of a face, with a fine on one that has none although
// it is long: along a straight rim such a face would lie on its neighbours.
func patchCost(a, b, c mesh.Vec) float64 {
	area := triArea(a, b, c)
	d := max(b.Sub(a).Dot(b.Sub(a)), c.Sub(b).Dot(c.Sub(b)), a.Sub(c).Dot(a.Sub(c)))
	if area < 1e-6*d {
		area += 0.01 * d
	}
	return area
}

// leastArea is the classical interval recurrence: the best triangulation of
// vertices i..k is the best split at some j between.
func leastArea(p []mesh.Vec, tooth []bool) [][3]int32 {
	n := len(p)
	// What it costs to lie on a face of the sheet: more than any disc.
	var round float64
	for i := range p {
		round += p[(i+1)%n].Sub(p[i]).Len()
	}
	onFace := round * round
	cost := make([]float64, n*n)
	split := make([]int32, n*n)
	for d := 2; d < n; d++ {
		for i := 0; i+d < n; i++ {
			k := i + d
			best, at := math.Inf(1), i+1
			for j := i + 1; j < k; j++ {
				c := cost[i*n+j] + cost[j*n+k] + patchCost(p[i], p[j], p[k])
				if d == 2 && tooth[j] || d == n-1 && (j == 1 && tooth[0] || j == n-2 && tooth[n-1]) {
					c += onFace
				}
				if c < best*(1-tie) {
					best, at = c, j
				}
			}
			cost[i*n+k], split[i*n+k] = best, int32(at)
		}
	}
	var out [][3]int32
	type span struct{ i, k int }
	todo := []span{{0, n - 1}}
	for len(todo) > 0 {
		s := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if s.k-s.i < 2 {
			continue
		}
		j := int(split[s.i*n+s.k])
		out = append(out, [3]int32{int32(s.i), int32(j), int32(s.k)})
		todo = append(todo, span{s.i, j}, span{j, s.k})
	}
	return out
}

// newell is the area vector of a closed polygon: its length is the area
// enclosed when flat, its direction the normal.
func newell(p []mesh.Vec) mesh.Vec {
	var s mesh.Vec
	o := p[0]
	for i := 1; i+1 < len(p); i++ {
		s = s.Add(p[i].Sub(o).Cross(p[i+1].Sub(o)))
	}
	return s.Mul(0.5)
}

// clipPlane clips ears of the loop's projection onto its best plane. It
// returns nil where the projection cannot be clipped cleanly.
func clipPlane(p []mesh.Vec, tooth []bool) [][3]int32 {
	nrm := newell(p).Unit()
	if nrm == (mesh.Vec{}) {
		return nil
	}
	e1, e2 := mesh.Basis(nrm)
	n := len(p)
	xs, ys := make([]float64, n), make([]float64, n)
	for i, v := range p {
		d := v.Sub(p[0])
		xs[i], ys[i] = d.Dot(e1), d.Dot(e2)
	}
	cross := func(a, b, c int) float64 {
		return (xs[b]-xs[a])*(ys[c]-ys[a]) - (xs[c]-xs[a])*(ys[b]-ys[a])
	}
	prev, next := make([]int, n), make([]int, n)
	for i := range n {
		prev[i], next[i] = (i+n-1)%n, (i+1)%n
	}
	reflex := make([]bool, n)
	for i := range n {
		reflex[i] = cross(prev[i], i, next[i]) <= 0
	}
	whole := make([]bool, n) // both neighbours are those of the loop
	for i := range whole {
		whole[i] = true
	}
	ear := func(i int) bool {
		a, c := prev[i], next[i]
		if tooth[i] && whole[i] {
			return false
		}
		if cross(a, i, c) < 0 {
			return false
		}
		for q := next[c]; q != a; q = next[q] {
			if !reflex[q] {
				continue
			}
			if xs[q] == xs[a] && ys[q] == ys[a] || xs[q] == xs[c] && ys[q] == ys[c] || xs[q] == xs[i] && ys[q] == ys[i] {
				continue
			}
			if cross(a, i, q) >= 0 && cross(i, c, q) >= 0 && cross(c, a, q) >= 0 {
				return false
			}
		}
		return true
	}
	var out [][3]int32
	left := n
	i, tries := 0, 0
	for left > 3 {
		if ear(i) {
			a, c := prev[i], next[i]
			out = append(out, [3]int32{int32(a), int32(i), int32(c)})
			next[a], prev[c] = c, a
			whole[a], whole[c] = false, false
			reflex[a] = cross(prev[a], a, next[a]) <= 0
			reflex[c] = cross(prev[c], c, next[c]) <= 0
			left--
			// Step over one, so that ears do not all fan from one corner.
			i = next[c]
			tries = 0
			continue
		}
		i = next[i]
		if tries++; tries > left {
			return nil
		}
	}
	return append(out, [3]int32{int32(prev[i]), int32(i), int32(next[i])})
}

// clipGreedy cuts off the ear of least area until nothing is left: no bound on
// how good, but always a disc.
func clipGreedy(p []mesh.Vec) [][3]int32 {
	n := len(p)
	prev, next := make([]int, n), make([]int, n)
	area := make([]float64, n)
	for i := range n {
		prev[i], next[i] = (i+n-1)%n, (i+1)%n
	}
	for i := range n {
		area[i] = triArea(p[prev[i]], p[i], p[next[i]])
	}
	var out [][3]int32
	alive := make([]bool, n)
	for i := range alive {
		alive[i] = true
	}
	start := 0
	for left := n; left > 3; left-- {
		best := -1
		for i, k := start, 0; k < left; i, k = next[i], k+1 {
			if best < 0 || area[i] < area[best]*(1-tie) {
				best = i
			}
		}
		a, c := prev[best], next[best]
		out = append(out, [3]int32{int32(a), int32(best), int32(c)})
		next[a], prev[c] = c, a
		alive[best] = false
		area[a] = triArea(p[prev[a]], p[a], p[next[a]])
		area[c] = triArea(p[prev[c]], p[c], p[next[c]])
		start = c
	}
	return append(out, [3]int32{int32(prev[start]), int32(start), int32(next[start])})
}
