package mesh

import "math"

// NearestOn is the place of triangle abc nearest to p; NaN where the triangle has
// no area (C. Ericson, Real-Time Collision Detection, 2005, 5.1.5, from memory).
func NearestOn(p, a, b, c Vec) Vec {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	vc := float64(d1*d4) - float64(d3*d2)
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return a.Add(ab.Mul(d1 / (d1 - d3)))
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	vb := float64(d5*d2) - float64(d1*d6)
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return a.Add(ac.Mul(d2 / (d2 - d6)))
	}
	va := float64(d3*d6) - float64(d5*d4)
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return b.Add(c.Sub(b).Mul((d4 - d3) / ((d4 - d3) + (d5 - d6))))
	}
	l := 1 / (va + vb + vc)
	return a.Add(ab.Mul(vb * l)).Add(ac.Mul(vc * l))
}

// LeastAxis is the direction, of length 1, in which a symmetric matrix is least:
// the eigenvector of its least eigenvalue (C. G. J. Jacobi's rotations, 1846, from
// memory).
func LeastAxis(m [3][3]float64) Vec {
	v := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	for range 12 {
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			p, q := pq[0], pq[1]
			if m[p][q] == 0 {
				continue
			}
			th := 0.5 * math.Atan2(2*m[p][q], m[q][q]-m[p][p])
			s, c := math.Sincos(th)
			for k := range 3 {
				a, b := m[k][p], m[k][q]
				m[k][p], m[k][q] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
			for k := range 3 {
				a, b := m[p][k], m[q][k]
				m[p][k], m[q][k] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
			for k := range 3 {
				a, b := v[k][p], v[k][q]
				v[k][p], v[k][q] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
		}
	}
	k := 0
	for i := 1; i < 3; i++ {
		if m[i][i] < m[k][k] {
			k = i
		}
	}
	return V(v[0][k], v[1][k], v[2][k]).Unit()
}
