package gen

import (
	"math"
	"sync"

	"moldtally/mesh"
	"moldtally/mesh/disjoint"
	"moldtally/mesh/shape"
)

// heronCell is the lattice the figure is meshed on, mm.
const heronCell = 2.1

// bend is a limb along a smooth path: cut so finely that its joints do not show.
type bend struct {
	p      []mesh.Vec
	r      []float64
	lo, hi mesh.Vec   // box round all of it
	mid    []mesh.Vec // of each part
	reach  []float64  // a part's from there
}

// through lays a path through points with a radius each (cubic splines of
// E. Catmull and R. Rom, 1974).
func through(n int, pts ...[4]float64) bend {
	get := func(i int) [4]float64 { return pts[min(max(i, 0), len(pts)-1)] }
	var b bend
	for i := range len(pts) - 1 {
		for s := range n {
			t := float64(s) / float64(n)
			var q [4]float64
			for c := range 4 {
				a, b, d, e := get(i - 1)[c], get(i)[c], get(i + 1)[c], get(i + 2)[c]
				q[c] = 0.5 * (2*b + (d-a)*t + (2*a-5*b+4*d-e)*t*t + (3*b-a-3*d+e)*t*t*t)
			}
			b.p, b.r = append(b.p, mesh.V(q[0], q[1], q[2])), append(b.r, q[3])
		}
	}
	last := pts[len(pts)-1]
	b.p, b.r = append(b.p, mesh.V(last[0], last[1], last[2])), append(b.r, last[3])
	b.lo, b.hi = b.p[0], b.p[0]
	for i, p := range b.p {
		e := mesh.V(b.r[i], b.r[i], b.r[i])
		b.lo, b.hi = b.lo.Min(p.Sub(e)), b.hi.Max(p.Add(e))
	}
	for i := range len(b.p) - 1 {
		b.mid = append(b.mid, b.p[i].Add(b.p[i+1]).Mul(0.5))
		b.reach = append(b.reach, b.p[i+1].Sub(b.p[i]).Len()/2+max(b.r[i], b.r[i+1]))
	}
	return b
}

// onto blends the limb into a body whose value at p is d. Where the limb's box
// is farther than d + k, it cannot change d, and is not worked out.
func (b bend) onto(d, k float64, p mesh.Vec) float64 {
	out := b.lo.Sub(p).Max(p.Sub(b.hi)).Max(mesh.Vec{})
	if out.Len() >= d+k {
		return d
	}
	return blend(d, b.at(p, d+2*k), k)
}

// at is the limb's value at p, or most where that is less. Parts too far off to
// give less are not worked out.
func (b bend) at(p mesh.Vec, most float64) float64 {
	d := most
	for i, m := range b.mid {
		if far := d + b.reach[i]; far < 0 || p.Sub(m).Dot(p.Sub(m)) >= far*far {
			continue
		}
		d = min(d, limb(p, b.p[i], b.p[i+1], b.r[i], b.r[i+1]))
	}
	return d
}

// The figure's parts: x, y, z and radius.
var (
	bodyPath  = through(6, [4]float64{-62, 0, 65, 3.2}, [4]float64{-42, 0, 76, 9}, [4]float64{-10, 0, 89, 20}, [4]float64{16, 0, 100, 17})
	neckPath  = through(8, [4]float64{14, 0, 99, 16}, [4]float64{33, 0, 114, 10.5}, [4]float64{34, 0, 129, 8}, [4]float64{23, 0, 141, 6.8}, [4]float64{17, 0, 153, 6.3}, [4]float64{22, 0, 163.5, 6.8}, [4]float64{32, 0, 166, 7})
	plumePath = through(5, [4]float64{34, 0, 118, 6}, [4]float64{39, 0, 106, 6}, [4]float64{36, 0, 92, 4.5}, [4]float64{27, 0, 79, 2.6})
	crestPath = through(5, [4]float64{29, 0, 169, 4.2}, [4]float64{14, 0, 171.5, 3.4}, [4]float64{0, 0, 168, 2.6}, [4]float64{-12, 0, 160, 2})
	reedPaths = []bend{
		through(5, [4]float64{-12, 8, 8, 4.4}, [4]float64{-19, 12, 32, 3.5}, [4]float64{-30, 19, 54, 2.2}),
		through(5, [4]float64{-11, -9, 8, 4.4}, [4]float64{-16, -16, 36, 3.5}, [4]float64{-24, -26, 62, 2.2}),
		through(5, [4]float64{8, 10, 8, 4.4}, [4]float64{12, 15, 28, 3.5}, [4]float64{21, 21, 48, 2.2}),
		through(5, [4]float64{9, -8, 8, 4.4}, [4]float64{16, -13, 32, 3.5}, [4]float64{28, -17, 56, 2.2}),
	}
)

// heronField is the figure for the top of the newel: a heron with its neck drawn
// in, standing in reeds on a mound. Neck, beak, breast plume, wings and tail
// overhang. It looks along +X and stands on z = 0.
func heronField(p mesh.Vec) float64 {
	v := mesh.V
	// Both sides alike but for the reeds.
	m := v(p.X, math.Abs(p.Y), p.Z)

	d := neckPath.onto(bodyPath.at(m, math.Inf(1)), 9, m)

	// The folded wing: a shell over the flank with three rows of feathers.
	w := egg(m, v(-14, 15, 89), v(39, 7.5, 15.5), 0.36, 0.16)
	along := (m.X+14)*math.Cos(0.36) + (m.Z-89)*math.Sin(0.36) // −39 at the tip
	across := (m.Z-89)*math.Cos(0.36) - (m.X+14)*math.Sin(0.36)
	rows := 0.55 * math.Sin((along+0.9*math.Abs(across))*2*math.Pi/8.5) * smooth(14, 2, along) * smooth(-40, -30, along)
	w += rows
	tip := limb(m, v(-34, 11, 80), v(-58, 5, 68), 6, 2.4)
	w = blend(w, tip, 5)
	d = blend(d, w, 4)

	// Breast plume, crest, beak, eye.
	d = plumePath.onto(d, 5, m)
	d = crestPath.onto(d, 4, m)
	d = blend(d, limb(m, v(34, 0, 166), v(70, 0, 157), 5.4, 2), 5)
	d = blend(d, m.Sub(v(34.5, 5, 168.6)).Len()-3.4, 1.4)

	// The stand: legs and reeds run together into one stem, so that there is
	// nothing to see through.
	d = blend(d, limb(m, v(0, 4.5, 74), v(2, 4.5, 8), 5.5, 4.2), 7)
	stem := limb(p, v(-3, 0, 4), v(-5, 1, 56), 13, 7.5)
	stem += 0.8 * math.Cos(7*math.Atan2(p.Y, p.X+4)) * smooth(8, 20, p.Z) // ribbed
	d = blend(d, stem, 5)
	for _, r := range reedPaths {
		d = r.onto(d, 4, p)
	}

	// The mound, with a little swell, cut off flat.
	swell := 1.1*math.Sin(p.X/9+0.4)*math.Cos(p.Y/8) + 0.6*math.Sin((p.X+p.Y)/5)
	d = blend(d, egg(p, v(-3, 0, -4), v(47, 36, 19), 0, 0)+swell*smooth(0, 6, p.Z), 6)
	return d
}

// heron is the figure's mesh, made once.
var heron = sync.OnceValue(heronMesh)

func heronMesh() *mesh.Mesh {
	flat := func(p mesh.Vec) float64 { return max(heronField(p), -p.Z) }
	// Half a cell below the ground, so that the base plane falls between two
	// layers and is met exactly.
	lo, hi := mesh.V(-78, -48, -heronCell/2), mesh.V(82, 48, 186)
	lo.X, lo.Y = lo.X-0.37, lo.Y-0.11 // no lattice plane on the plane of symmetry
	m := grid(flat, lo.Sub(mesh.V(0, 0, heronCell)), hi, heronCell)
	// What the ground plane makes is level but for rounding.
	m = shape.Map(m, func(p mesh.Vec) mesh.Vec {
		if math.Abs(p.Z) < 1e-9 {
			p.Z = 0
		}
		return p
	})
	return rounded(relax(m, heronField, 12))
}

// noise is a number in [-1, 1) that depends on its arguments alone.
func noise(i, seed uint64) float64 {
	x := i*0x9E3779B97F4A7C15 + seed*0xD1B54A32D192ED03
	x ^= x >> 30
	x *= 0xBF58476D1CE4E5B9
	x ^= x >> 27
	x *= 0x94D049BB133111EB
	x ^= x >> 31
	return float64(x>>11)/float64(1<<52) - 1
}

// scanShift is where the scanner put its origin.
var scanShift = mesh.Vec{X: 212.5, Y: -87.25, Z: 34}

// scanHoles are the places that the scanner did not see: centre and radius.
var scanHoles = []struct {
	at mesh.Vec
	r  float64
}{
	{mesh.V(-16, 0, 68), 8},  // under the belly
	{mesh.V(27, 0, 138), 5},  // in the crook of the neck
	{mesh.V(-8, -34, 11), 5}, // on the mound
}

// heronScan is the figure as a hand scanner brings it: shaken along its
// normals, no bottom, holes where nothing was seen, and loose debris.
func heronScan(m *mesh.Mesh) (scan *mesh.Mesh, crumbs int) {
	vs := m.Vertices()
	nrm := make([]mesh.Vec, len(vs))
	for t, ix := range m.Triangles() {
		a, b, c := m.Corners(t)
		n := b.Sub(a).Cross(c.Sub(a))
		for _, i := range ix {
			nrm[i] = nrm[i].Add(n)
		}
	}
	moved := make([]mesh.Vec, len(vs))
	for i, p := range vs {
		ripple := 0.08 * math.Sin(p.X/7+1) * math.Sin(p.Y/6+2) * math.Sin(p.Z/8)
		moved[i] = p.Add(nrm[i].Unit().Mul(ripple + 0.06*noise(uint64(i), 1)))
	}
	keep := func(t int) bool {
		a, b, c := m.Corners(t)
		p := a.Add(b).Add(c).Mul(1.0 / 3)
		// The rims are ragged, but no triangle is left alone inside.
		if p.Z < 1.3+0.9*math.Sin(p.X*0.7)*math.Cos(p.Y*0.6+p.X*0.2) {
			return false
		}
		for _, hole := range scanHoles {
			if p.Sub(hole.at).Len() < hole.r+0.7*math.Sin(1.3*(p.X+p.Y+p.Z)) {
				return false
			}
		}
		return true
	}
	var ts [][3]int32
	for t, ix := range m.Triangles() {
		if keep(t) {
			ts = append(ts, ix)
		}
	}
	ts = largest(ts, len(vs))
	body := shape.Map(mesh.New(moved, ts), func(p mesh.Vec) mesh.Vec { return p })
	parts := []*mesh.Mesh{body}
	for _, c := range []mesh.Vec{mesh.V(52, 18, 61), mesh.V(-40, -31, 47), mesh.V(47, -6, 140), mesh.V(6, 30, 30)} {
		parts = append(parts, shape.Translate(shape.Tetrahedron(0.8), c))
	}
	return rounded(shape.Translate(shape.Merge(parts...), scanShift)), len(parts) - 1
}

// largest keeps the triangles of the largest set joined through edges. It also
// drops what hangs on by a corner alone.
func largest(ts [][3]int32, nv int) [][3]int32 {
	owner := map[[2]int32]int32{}
	set := disjoint.New(len(ts))
	for t, ix := range ts {
		for k := range 3 {
			a, b := min(ix[k], ix[(k+1)%3]), max(ix[k], ix[(k+1)%3])
			if o, ok := owner[[2]int32{a, b}]; ok {
				set.Join(int32(t), o)
			} else {
				owner[[2]int32{a, b}] = int32(t)
			}
		}
	}
	sets := set.Number()
	size := make([]int, sets)
	best := int32(0)
	for _, n := range set {
		size[n]++
		if size[n] > size[best] {
			best = n
		}
	}
	var out [][3]int32
	for t, ix := range ts {
		if set[t] == best {
			out = append(out, ix)
		}
	}
	return out
}
