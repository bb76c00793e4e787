package arrange_test

import (
	"context"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/arrange"
	"moldtally/mesh/shape"
)

// checkBalanced fails where an edge of the written boundary has not as many faces
// one way as the other.
func checkBalanced(t testing.TB, m *mesh.Mesh) {
	t.Helper()
	run := map[[2]int32]int{}
	for _, i := range m.Triangles() {
		for k := range 3 {
			a, b := i[k], i[(k+1)%3]
			run[[2]int32{a, b}]++
			run[[2]int32{b, a}]--
		}
	}
	for e, n := range run {
		if n != 0 {
			t.Fatalf("edge %v: %d faces more one way than the other", e, n)
		}
	}
}

// rand with a seed of its own for each test, which is logged.
func seeded(t testing.TB, seed uint64) *rand.Rand {
	t.Helper()
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

// A block is a box of whole numbers, lo below hi.
type block struct{ lo, hi [3]int }

// mesh draws the block, its diagonals and windings at random.
func (b block) mesh(r *rand.Rand) *mesh.Mesh {
	var v []mesh.Vec
	for k := range 8 {
		var p [3]float64
		for d := range 3 {
			p[d] = float64(b.lo[d])
			if k>>d&1 == 1 {
				p[d] = float64(b.hi[d])
			}
		}
		v = append(v, mesh.V(p[0], p[1], p[2]))
	}
	var tris [][3]int32
	for _, q := range [][4]int32{{0, 1, 3, 2}, {4, 6, 7, 5}, {0, 4, 5, 1}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 5, 7, 3}} {
		if r.IntN(2) == 0 {
			q = [4]int32{q[1], q[2], q[3], q[0]}
		}
		tris = append(tris, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	for k := range tris {
		if r.IntN(4) == 0 {
			tris[k][0], tris[k][1] = tris[k][1], tris[k][0]
		}
	}
	return mesh.New(v, tris)
}

// filled is the volume of the union of blocks and of the rooms that they shut
// off, by cells of size 1 flooded from outside.
func filled(bs []block, n int) int {
	at := func(x, y, z int) int { return (z*(n+2)+y)*(n+2) + x }
	in := make([]int8, (n+2)*(n+2)*(n+2))
	for _, b := range bs {
		for z := b.lo[2]; z < b.hi[2]; z++ {
			for y := b.lo[1]; y < b.hi[1]; y++ {
				for x := b.lo[0]; x < b.hi[0]; x++ {
					in[at(x+1, y+1, z+1)] = 1
				}
			}
		}
	}
	todo := [][3]int{{0, 0, 0}}
	in[0] = 2
	out := 1
	for len(todo) > 0 {
		c := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for d := range 3 {
			for _, s := range [2]int{-1, 1} {
				e := c
				e[d] += s
				if e[d] < 0 || e[d] > n+1 || in[at(e[0], e[1], e[2])] != 0 {
					continue
				}
				in[at(e[0], e[1], e[2])] = 2
				out++
				todo = append(todo, e)
			}
		}
	}
	return len(in) - out
}

// Blocks on a lattice of whole numbers overlap, touch, nest and lie on each other
// in every way there is; a shear by whole numbers sets them aslant without
// rounding anything.
func TestBlocks(t *testing.T) {
	r := seeded(t, 20)
	rounds := 160
	if testing.Short() {
		rounds = 60
	}
	for round := range rounds {
		n := 3 + r.IntN(5)
		var bs []block
		var ms []*mesh.Mesh
		for range 1 + r.IntN(9) {
			var b block
			for d := range 3 {
				x, y := r.IntN(n+1), r.IntN(n+1)
				for x == y {
					y = r.IntN(n + 1)
				}
				b.lo[d], b.hi[d] = min(x, y), max(x, y)
			}
			bs = append(bs, b)
			ms = append(ms, b.mesh(r))
		}
		m := shape.Merge(ms...)
		if round%2 == 1 {
			m = shape.Map(m, func(v mesh.Vec) mesh.Vec {
				return mesh.V(v.X+2*v.Y-v.Z+1000, v.Y+3*v.Z, v.Z+5*(v.Y+3*v.Z))
			})
		}
		want := float64(filled(bs, n))
		got := outer(t, m)
		if math.Abs(got.Volume-want) > 1e-9*want {
			t.Fatalf("round %d: %.12g, want %g: %v", round, got.Volume, want, bs)
		}
		w, err := got.Mesh()
		if err != nil {
			t.Fatal(err)
		}
		checkBalanced(t, w)
		if v := shape.Volume(w); math.Abs(v-want) > 1e-9*want {
			t.Fatalf("round %d: written %.12g, want %g", round, v, want)
		}
		x, err := mesh.SelfCrossings(context.Background(), w, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		if x.Pairs > 0 && round%2 == 0 {
			t.Fatalf("round %d: %d crossings left", round, x.Pairs)
		}
	}
}

// ratVec is a place known exactly.
type ratVec [3]*big.Rat

func (a ratVec) minus(b ratVec) (c ratVec) {
	for k := range c {
		c[k] = new(big.Rat).Sub(a[k], b[k])
	}
	return c
}

func det(a, b, c ratVec) *big.Rat {
	s := new(big.Rat)
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		p := new(big.Rat).Mul(b[i], c[j])
		p.Sub(p, new(big.Rat).Mul(b[j], c[i]))
		s.Add(s, p.Mul(p, a[k]))
	}
	return s
}

// A tet is four corners; positive.
type tet [4]ratVec

func (q tet) volume() *big.Rat {
	v := det(q[1].minus(q[0]), q[2].minus(q[0]), q[3].minus(q[0]))
	return v.Mul(v.Abs(v), big.NewRat(1, 6))
}

// clip is the part of some tetrahedra on the inner side of the plane abc, as seen
// from d.
func clip(qs []tet, a, b, c, d ratVec) []tet {
	side := func(p ratVec) *big.Rat { return det(b.minus(a), c.minus(a), p.minus(a)) }
	inner := side(d).Sign()
	var out []tet
	for _, q := range qs {
		var in, no []ratVec
		for _, p := range q {
			if side(p).Sign()*inner > 0 {
				in = append(in, p)
			} else {
				no = append(no, p)
			}
		}
		cut := func(p, q ratVec) (x ratVec) {
			sp, sq := side(p), side(q)
			f := new(big.Rat).Quo(sp, new(big.Rat).Sub(sp, sq))
			for k := range 3 {
				x[k] = new(big.Rat).Add(p[k], new(big.Rat).Mul(f, new(big.Rat).Sub(q[k], p[k])))
			}
			return x
		}
		prism := func(a, b, c, d, e, f ratVec) { // abc and def, a over d
			out = append(out, tet{a, b, c, d}, tet{b, c, d, e}, tet{c, d, e, f})
		}
		switch len(in) {
		case 4:
			out = append(out, q)
		case 1:
			out = append(out, tet{in[0], cut(in[0], no[0]), cut(in[0], no[1]), cut(in[0], no[2])})
		case 3:
			prism(in[0], in[1], in[2], cut(in[0], no[0]), cut(in[1], no[0]), cut(in[2], no[0]))
		case 2:
			prism(in[0], cut(in[0], no[0]), cut(in[0], no[1]), in[1], cut(in[1], no[0]), cut(in[1], no[1]))
		}
	}
	return out
}

// common is the volume that tetrahedra have in common.
func common(qs ...tet) *big.Rat {
	part := []tet{qs[0]}
	for _, q := range qs[1:] {
		for k := range 4 {
			part = clip(part, q[k], q[(k+1)%4], q[(k+2)%4], q[(k+3)%4])
		}
	}
	v := new(big.Rat)
	for _, p := range part {
		v.Add(v, p.volume())
	}
	return v
}

// Up to three tetrahedra leave no room between them, so what they displace is by
// inclusion and exclusion.
func TestTetrahedra(t *testing.T) {
	r := seeded(t, 7)
	rounds := 100
	if testing.Short() {
		rounds = 50
	}
	for round := range rounds {
		span := []int{3, 5, 40, 1 << 24}[r.IntN(4)]
		var qs []tet
		var ms []*mesh.Mesh
		for len(qs) < 2+r.IntN(2) {
			var q tet
			var v []mesh.Vec
			for k := range q {
				var p [3]float64
				for d := range 3 {
					p[d] = float64(r.IntN(span + 1))
					q[k][d] = new(big.Rat).SetFloat64(p[d])
				}
				v = append(v, mesh.V(p[0], p[1], p[2]))
			}
			if q.volume().Sign() == 0 {
				continue
			}
			qs = append(qs, q)
			ms = append(ms, mesh.New(v, [][3]int32{{0, 1, 2}, {0, 3, 1}, {1, 3, 2}, {2, 3, 0}}))
		}
		sum := new(big.Rat)
		for k := range qs {
			sum.Add(sum, qs[k].volume())
			for l := range k {
				sum.Sub(sum, common(qs[k], qs[l]))
				for m := range l {
					sum.Add(sum, common(qs[k], qs[l], qs[m]))
				}
			}
		}
		want, _ := sum.Float64()
		got := outer(t, shape.Merge(ms...))
		if math.Abs(got.Volume-want) > 1e-12*want {
			t.Errorf("round %d, span %d: %.17g, want %.17g", round, span, got.Volume, want)
		}
		w, err := got.Mesh()
		if err != nil {
			t.Fatal(err)
		}
		checkBalanced(t, w)
	}
}

// soup makes triangles of bytes: corners on a small lattice, some of them shifted
// by the last bits of a number, so that much is degenerate, level or nearly so.
func soup(data []byte) *mesh.Mesh {
	var b mesh.Builder
	var at []int32
	next := func() (x byte) {
		if len(data) > 0 {
			x, data = data[0], data[1:]
		}
		return x
	}
	for len(data) > 0 && len(at) < 3*40 {
		var p [3]float64
		for d := range 3 {
			c := next()
			p[d] = float64(c & 7)
			if p[d] == 0 && c>>3 != 5 {
				continue // bits of zero are no neighbours
			}
			switch c >> 3 {
			case 1:
				p[d] = math.Nextafter(p[d], 100)
			case 2:
				p[d] += 1e-7
			case 3:
				p[d] *= 1.0 / 3
			case 4:
				p[d] = math.Float64frombits(math.Float64bits(p[d]) ^ uint64(next()))
			case 5:
				p[d] = -p[d] * 1e-12
			case 6:
				p[d] *= 1e5
			}
		}
		v, err := b.Vertex(mesh.V(p[0], p[1], p[2]))
		if err != nil {
			v = 0
			if len(at) == 0 {
				continue
			}
		}
		at = append(at, v)
	}
	for k := 0; k+2 < len(at); k += 3 {
		b.Triangle(at[k], at[k+1], at[k+2])
	}
	m, err := b.Build(1)
	if err != nil {
		return nil
	}
	return m
}

// checkSoup arranges any triangles: what comes out is closed, and the same
// volume whatever the order of the faces, their windings and the names of the
// axes.
func checkSoup(t testing.TB, m *mesh.Mesh) {
	r := outer(t, m)
	if !r.Empty() {
		w, err := r.Mesh()
		if err != nil {
			t.Fatal(err)
		}
		checkBalanced(t, w)
	}
	turned := shape.Map(shape.Flip(m), func(v mesh.Vec) mesh.Vec { return mesh.V(v.Y, v.Z, v.X) })
	tris := slices.Clone(turned.Triangles())
	slices.Reverse(tris)
	q := outer(t, mesh.New(turned.Vertices(), tris))
	size := m.Size()
	longest := max(size.X, size.Y, size.Z)
	if math.Abs(q.Volume-r.Volume) > 1e-9*r.Volume+1e-15*longest*longest*longest {
		t.Fatalf("%.17g mm³, with the axes named anew %.17g", r.Volume, q.Volume)
	}
	if r.Volume < 0 {
		t.Fatalf("%g mm³", r.Volume)
	}
}

func TestSoup(t *testing.T) {
	r := seeded(t, 3)
	rounds := 150
	if testing.Short() {
		rounds = 20
	}
	for range rounds {
		data := make([]byte, 9+r.IntN(9*16))
		mask := byte([]int{7, 63, 15}[r.IntN(3)])
		for k := range data {
			data[k] = byte(r.IntN(256)) & mask
		}
		if m := soup(data); m != nil {
			checkSoup(t, m)
		}
	}
}

func FuzzOuter(f *testing.F) {
	r := rand.New(rand.NewPCG(1, 0))
	for n := 4; n < 32; n += 3 {
		data := make([]byte, 9*n)
		for k := range data {
			data[k] = byte(r.IntN(64))
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if m := soup(data); m != nil {
			checkSoup(t, m)
		}
	})
}

func BenchmarkOuter(b *testing.B) {
	ball := shape.Sphere(20, 40)
	m := shape.Merge(ball, shape.Translate(ball, mesh.V(7, 8, 9)), shape.Translate(ball, mesh.V(-11, 5, 3)))
	ctx := context.Background()
	_, pairs, err := mesh.CrossingPairs(ctx, m, nil, arrange.MostPairs, nil)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(pairs)), "pairs")
	for b.Loop() {
		if _, err := arrange.Outer(ctx, m, nil, pairs, arrange.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
