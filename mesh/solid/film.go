package solid

import (
	"math"

	"moldtally/mesh"
)

// film turns a disc made of rim vertices only into a soap film on that rim:
// the least-area disc, to the fineness of the rim's own edges. The scheme is
// the one of P. Liepa, "Filling holes in meshes", Symposium on Geometry
// Processing (2003), recalled, with the fairing replaced by area descent:
// faces larger than the rim's spacing are split at their middle, edges are
// swapped towards Delaunay, and inner vertices move to where their cotangent
// weights balance, which is where the area has no slope (U. Pinkall and
// K. Polthier, "Computing discrete minimal surfaces", Exp. Math. 2 (1993) 15,
// recalled).
//
// p[:rim] stay as they are; new vertices are appended. tooth is as in
// triangulate.
func film(p []mesh.Vec, tris [][3]int32, tooth []bool) ([]mesh.Vec, [][3]int32) {
	rim := len(p)
	// Wanted edge length per vertex: the mean of its two rim edges.
	want := make([]float64, rim, 2*rim)
	for i := range rim {
		a, b := p[(i+rim-1)%rim], p[(i+1)%rim]
		want[i] = (p[i].Sub(a).Len() + p[i].Sub(b).Len()) / 2
	}
	const maxVerts = 20000
	for range 12 {
		split := false
		n := len(tris)
		for t := range n {
			if len(p) >= maxVerts {
				break
			}
			i := tris[t]
			c := p[i[0]].Add(p[i[1]]).Add(p[i[2]]).Mul(1. / 3)
			w := (want[i[0]] + want[i[1]] + want[i[2]]) / 3
			far := true
			for k := range 3 {
				// Liepa's density test, alpha = √2.
				if d := math.Sqrt2 * c.Sub(p[i[k]]).Len(); d <= w || d <= want[i[k]] {
					far = false
				}
			}
			if !far {
				continue
			}
			v := int32(len(p))
			p = append(p, c)
			want = append(want, w)
			tris[t] = [3]int32{i[0], i[1], v}
			tris = append(tris, [3]int32{i[1], i[2], v}, [3]int32{i[2], i[0], v})
			split = true
		}
		swapEdges(p, tris, tooth)
		relax(p, rim, tris, 4)
		if !split {
			break
		}
	}
	for range 6 {
		relax(p, rim, tris, 15)
		swapEdges(p, tris, tooth)
	}
	relax(p, rim, tris, 15)
	return p, tris
}

type side struct {
	tri, far int32 // a face and its corner across from the edge
}

// sides lists, per edge, the faces on it.
func sides(tris [][3]int32) map[[2]int32][]side {
	m := make(map[[2]int32][]side, 2*len(tris))
	for t, i := range tris {
		for k := range 3 {
			a, b := i[k], i[(k+1)%3]
			e := [2]int32{min(a, b), max(a, b)}
			m[e] = append(m[e], side{int32(t), i[(k+2)%3]})
		}
	}
	return m
}

// swapEdges swaps the edges whose opposite angles add up to more than π, in
// the order of faces, until few are left.
func swapEdges(p []mesh.Vec, tris [][3]int32, tooth []bool) {
	for range 6 {
		m := sides(tris)
		touched := make([]bool, len(tris))
		swapped := 0
		for t := range tris {
			for k := range 3 {
				i := tris[t]
				a, b := i[k], i[(k+1)%3]
				s := m[[2]int32{min(a, b), max(a, b)}]
				if touched[t] || len(s) != 2 || touched[s[0].tri] || touched[s[1].tri] {
					continue
				}
				c, d := s[0].far, s[1].far
				if c == d {
					continue
				}
				if _, there := m[[2]int32{min(c, d), max(c, d)}]; there {
					continue
				}
				if onTooth(tooth, a, c, d) || onTooth(tooth, c, b, d) {
					continue
				}
				if angle(p[c], p[a], p[b])+angle(p[d], p[a], p[b]) <= math.Pi+1e-9 {
					continue
				}
				// t has a→b with far corner x; the other has b→a with y.
				x, y := c, d
				if int(s[0].tri) != t {
					x, y = d, c
				}
				o := s[0].tri
				if int(o) == t {
					o = s[1].tri
				}
				tris[t] = [3]int32{a, y, x}
				tris[o] = [3]int32{y, b, x}
				touched[t], touched[o] = true, true
				swapped++
				break
			}
		}
		if swapped == 0 {
			return
		}
	}
}

// onTooth reports whether three vertices are a corner of the rim that a face of
// the sheet sticks out at, and its two neighbours.
func onTooth(tooth []bool, a, b, c int32) bool {
	n := int32(len(tooth))
	v := [3]int32{a, b, c}
	for k, t := range v {
		x, y := v[(k+1)%3], v[(k+2)%3]
		if t < n && tooth[t] && x < n && y < n {
			before, after := (t+n-1)%n, (t+1)%n
			if x == before && y == after || x == after && y == before {
				return true
			}
		}
	}
	return false
}

// angle at o between a and b.
func angle(o, a, b mesh.Vec) float64 {
	u, v := a.Sub(o), b.Sub(o)
	return math.Atan2(u.Cross(v).Len(), u.Dot(v))
}

// relax moves inner vertices to the balance of their cotangent weights, some
// sweeps of Gauss-Seidel.
func relax(p []mesh.Vec, rim int, tris [][3]int32, sweeps int) {
	if len(p) == rim {
		return
	}
	byVert := make([][]side, len(p)) // tri index and corner position
	for t, i := range tris {
		for k := range int32(3) {
			if v := i[k]; int(v) >= rim {
				byVert[v] = append(byVert[v], side{int32(t), k})
			}
		}
	}
	for range sweeps {
		for v := rim; v < len(p); v++ {
			var sum mesh.Vec
			var total float64
			for _, s := range byVert[v] {
				i := tris[s.tri]
				a, b := i[(s.far+1)%3], i[(s.far+2)%3]
				// The cotangent at b weighs the edge to a, and the other way.
				wa, wb := cot(p[b], p[v], p[a]), cot(p[a], p[v], p[b])
				sum = sum.Add(p[a].Mul(wa)).Add(p[b].Mul(wb))
				total += wa + wb
			}
			if total > 0 {
				p[v] = sum.Mul(1 / total)
			}
		}
	}
}

// cot is the cotangent of the angle at o, held positive and finite so that
// every step is an average.
func cot(o, a, b mesh.Vec) float64 {
	u, v := a.Sub(o), b.Sub(o)
	s := u.Cross(v).Len()
	c := u.Dot(v)
	return max(0.01, min(100, c/max(s, 1e-300)))
}
