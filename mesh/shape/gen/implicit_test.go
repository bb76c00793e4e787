package gen

import (
	"math"

	"moldtally/mesh"
	"moldtally/mesh/shape"
)

// field is negative inside a body, and roughly the distance to its skin.
type field func(p mesh.Vec) float64

// blend is the smooth union of two bodies: within k of each other their skins
// flow together (a quadratic fillet).
func blend(a, b, k float64) float64 {
	h := max(k-math.Abs(a-b), 0) / k
	return min(a, b) - h*h*k/4
}

// limb is a capsule whose radius runs from ra at a to rb at b.
func limb(p, a, b mesh.Vec, ra, rb float64) float64 {
	ab := b.Sub(a)
	t := min(max(p.Sub(a).Dot(ab)/ab.Dot(ab), 0), 1)
	return p.Sub(a.Add(ab.Mul(t))).Len() - (ra + (rb-ra)*t)
}

// egg is an ellipsoid about c whose long axis is turned by pitch (radians,
// nose up) in the x-z plane and by yaw about z. The value is scaled to be near
// the distance close to the skin.
func egg(p, c, r mesh.Vec, pitch, yaw float64) float64 {
	q := p.Sub(c)
	s, o := math.Sincos(yaw)
	q = mesh.Vec{X: q.X*o + q.Y*s, Y: q.Y*o - q.X*s, Z: q.Z}
	s, o = math.Sincos(pitch)
	q = mesh.Vec{X: q.X*o + q.Z*s, Y: q.Y, Z: q.Z*o - q.X*s}
	k0 := mesh.Vec{X: q.X / r.X, Y: q.Y / r.Y, Z: q.Z / r.Z}.Len()
	k1 := mesh.Vec{X: q.X / (r.X * r.X), Y: q.Y / (r.Y * r.Y), Z: q.Z / (r.Z * r.Z)}.Len()
	if k1 == 0 {
		return -min(r.X, r.Y, r.Z)
	}
	return k0 * (k0 - 1) / k1
}

// grid meshes where f is negative by marching tetrahedra: each cube of a
// lattice is cut into six tetrahedra about one diagonal, the same way in every
// cube, so that neighbours agree on every face and the surface is closed as
// long as f is positive at the lattice's border (A. Doi and A. Koide, 1991).
func grid(f field, lo, hi mesh.Vec, h float64) *mesh.Mesh {
	nx, ny, nz := int(math.Ceil((hi.X-lo.X)/h))+1, int(math.Ceil((hi.Y-lo.Y)/h))+1, int(math.Ceil((hi.Z-lo.Z)/h))+1
	pos := func(i, j, k int) mesh.Vec {
		return mesh.Vec{X: lo.X + float64(i)*h, Y: lo.Y + float64(j)*h, Z: lo.Z + float64(k)*h}
	}
	val := make([]float64, nx*ny*nz)
	for k := range nz {
		for j := range ny {
			for i := range nx {
				v := f(pos(i, j, k))
				// Keep crossings off the lattice points, so that no edge
				// becomes tiny.
				if least := 0.06 * h; math.Abs(v) < least {
					v = math.Copysign(least, v)
				}
				val[(k*ny+j)*nx+i] = v
			}
		}
	}
	var verts []mesh.Vec
	var tris [][3]int32
	on := map[[2]int]int32{}
	cross := func(a, b int) int32 {
		if a > b {
			a, b = b, a
		}
		if v, ok := on[[2]int{a, b}]; ok {
			return v
		}
		at := func(n int) mesh.Vec { return pos(n%nx, n/nx%ny, n/(nx*ny)) }
		t := val[a] / (val[a] - val[b])
		verts = append(verts, at(a).Add(at(b).Sub(at(a)).Mul(t)))
		on[[2]int{a, b}] = int32(len(verts) - 1)
		return int32(len(verts) - 1)
	}
	// The six ways along the axes from one corner of a cube to the opposite.
	ways := [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}
	odd := [6]bool{false, true, true, false, false, true}
	step := [3]int{1, nx, nx * ny}
	for k := range nz - 1 {
		for j := range ny - 1 {
			for i := range nx - 1 {
				o := (k*ny+j)*nx + i
				for w, way := range ways {
					t := [4]int{o, 0, 0, 0}
					for s := range 3 {
						t[s+1] = t[s] + step[way[s]]
					}
					if odd[w] {
						t[1], t[2] = t[2], t[1]
					}
					tris = tetra(t, val, cross, tris)
				}
			}
		}
	}
	return mesh.New(verts, tris)
}

// tetra adds the triangles that part the negative from the positive corners of
// a positively turned tetrahedron, seen from the positive side.
func tetra(t [4]int, val []float64, cross func(a, b int) int32, tris [][3]int32) [][3]int32 {
	var in, out []int
	for i, n := range t {
		if val[n] < 0 {
			in = append(in, i)
		} else {
			out = append(out, i)
		}
	}
	add := func(flip bool, a, b, c int32) {
		if flip {
			b, c = c, b
		}
		tris = append(tris, [3]int32{a, b, c})
	}
	// Parity of the order (in…, out…) against the tetrahedron's own.
	order := append(append([]int{}, in...), out...)
	even := true
	for i := range order {
		for j := range i {
			if order[j] > order[i] {
				even = !even
			}
		}
	}
	p := func(a, b int) int32 { return cross(t[a], t[b]) }
	switch len(in) {
	case 1:
		add(!even, p(in[0], out[0]), p(in[0], out[1]), p(in[0], out[2]))
	case 2:
		a, b, c, d := p(in[0], out[0]), p(in[0], out[1]), p(in[1], out[1]), p(in[1], out[0])
		add(!even, a, b, c)
		add(!even, a, c, d)
	case 3:
		add(!even, p(in[0], out[0]), p(in[1], out[0]), p(in[2], out[0]))
	}
	return tris
}

// relax evens the triangles out: each vertex goes towards the middle of its
// neighbours and back onto the skin of f along its slope. What lies in the
// plane z = 0 stays in it; its rim goes onto the line where the skin meets the
// plane, so that the edge of the base is sharp.
func relax(m *mesh.Mesh, f field, rounds int) *mesh.Mesh {
	v := append([]mesh.Vec(nil), m.Vertices()...)
	const (
		skin = iota
		base
		rim
	)
	kind := make([]int, len(v))
	for i, p := range v {
		if p.Z == 0 {
			kind[i] = base
		}
	}
	for _, t := range m.Triangles() {
		if kind[t[0]] == skin || kind[t[1]] == skin || kind[t[2]] == skin {
			for _, i := range t {
				if kind[i] == base {
					kind[i] = rim
				}
			}
		}
	}
	slope := func(q mesh.Vec) mesh.Vec {
		const e = 1e-3
		return mesh.Vec{
			X: f(mesh.Vec{X: q.X + e, Y: q.Y, Z: q.Z}) - f(mesh.Vec{X: q.X - e, Y: q.Y, Z: q.Z}),
			Y: f(mesh.Vec{X: q.X, Y: q.Y + e, Z: q.Z}) - f(mesh.Vec{X: q.X, Y: q.Y - e, Z: q.Z}),
			Z: f(mesh.Vec{X: q.X, Y: q.Y, Z: q.Z + e}) - f(mesh.Vec{X: q.X, Y: q.Y, Z: q.Z - e}),
		}.Mul(1 / (2 * e))
	}
	for range rounds {
		sum, n := make([]mesh.Vec, len(v)), make([]float64, len(v))
		for _, t := range m.Triangles() {
			for k := range 3 {
				a, b := t[k], t[(k+1)%3]
				if kind[a] == rim && kind[b] != rim { // a rim evens out along itself
					continue
				}
				sum[a], n[a] = sum[a].Add(v[b]), n[a]+1
			}
		}
		next := make([]mesh.Vec, len(v))
		for i, p := range v {
			q := p
			if n[i] > 0 {
				q = p.Add(sum[i].Mul(1 / n[i]).Sub(p).Mul(0.6))
			}
			switch kind[i] {
			case base:
				q.Z = 0
			case rim, skin:
				for range 3 {
					g := slope(q)
					if kind[i] == rim {
						g.Z, q.Z = 0, 0
					}
					if s := g.Dot(g); s > 0.05 {
						q = q.Sub(g.Mul(min(max(f(q)/s, -0.6), 0.6)))
					}
				}
				if kind[i] == skin && q.Z < 0.2 {
					q.Z = 0.2
				}
			}
			next[i] = q
		}
		v = next
	}
	return mesh.New(v, m.Triangles())
}

// rounded puts the coordinates on a grid of a thousandth of a millimetre.
func rounded(m *mesh.Mesh) *mesh.Mesh {
	return single(shape.Map(m, func(p mesh.Vec) mesh.Vec {
		return mesh.Vec{X: math.Round(p.X*1000) / 1000, Y: math.Round(p.Y*1000) / 1000, Z: math.Round(p.Z*1000) / 1000}
	}))
}
