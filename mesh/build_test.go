package mesh

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// slowWeld is the twin of Builder and Block: a map, in order.
type slowWeld struct {
	at    map[Vec]int32
	verts []Vec
	tris  [][3]int32
}

func (w *slowWeld) add(c [3]Vec) {
	var t [3]int32
	for i, v := range c {
		for _, p := range []*float64{&v.X, &v.Y, &v.Z} {
			if *p == 0 {
				*p = 0 // no negative zero
			}
		}
		k, ok := w.at[v]
		if !ok {
			k = int32(len(w.verts))
			w.at[v] = k
			w.verts = append(w.verts, v)
		}
		t[i] = k
	}
	w.tris = append(w.tris, t)
}

// soup makes n triangles whose corners come from a pool, so that many meet.
func soup(rng *rand.Rand, n, pool int) [][3]Vec {
	pts := make([]Vec, pool)
	for i := range pts {
		pts[i] = V(float64(float32(rng.NormFloat64())), float64(rng.IntN(3)), float64(float32(rng.Float64()*1e-20)))
		if rng.IntN(4) == 0 {
			pts[i].Y = math.Copysign(0, -1)
		}
	}
	out := make([][3]Vec, n)
	for i := range out {
		// Half near each other as in real files, half anywhere.
		base := i * pool / n
		for c := range 3 {
			if rng.IntN(2) == 0 {
				out[i][c] = pts[(base+rng.IntN(20))%pool]
			} else {
				out[i][c] = pts[rng.IntN(pool)]
			}
		}
	}
	return out
}

func records(tris [][3]Vec) []byte {
	var p []byte
	for _, t := range tris {
		p = append(p, make([]byte, 12)...)
		for _, v := range t {
			for _, f := range v.Array() {
				p = binary.LittleEndian.AppendUint32(p, math.Float32bits(float32(f)))
			}
		}
		p = append(p, 1, 2)
	}
	return p
}

func TestWeldAgainstMap(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 9))
	for _, c := range []struct{ n, pool int }{{1, 3}, {500, 10}, {5000, 2500}, {40000, 20000}, {20000, 60000}} {
		tris := soup(rng, c.n, c.pool)
		for i := range tris { // what a record can hold
			for k := range 3 {
				v := &tris[i][k]
				*v = V(float64(float32(v.X)), float64(float32(v.Y)), float64(float32(v.Z)))
			}
		}
		want := slowWeld{at: map[Vec]int32{}}
		for _, x := range tris {
			want.add(x)
		}
		check := func(how string, b *Builder) {
			t.Helper()
			m, err := b.Build(1)
			if err != nil {
				t.Fatalf("%s: %v", how, err)
			}
			if !slices.Equal(m.Vertices(), want.verts) || !slices.Equal(m.Triangles(), want.tris) {
				t.Errorf("%s, %d triangles over %d points: got %d vertices, want %d, or another order", how, c.n, c.pool, m.NumVertices(), len(want.verts))
			}
			for _, v := range m.Vertices() {
				if math.Signbit(v.X) && v.X == 0 || math.Signbit(v.Y) && v.Y == 0 {
					t.Fatalf("%s: a negative zero stayed", how)
				}
			}
		}
		var one Builder
		for _, x := range tris {
			var k [3]int32
			for i, v := range x {
				var err error
				if k[i], err = one.Vertex(v); err != nil {
					t.Fatal(err)
				}
			}
			one.Triangle(k[0], k[1], k[2])
		}
		check("vertex by vertex", &one)
		raw := records(tris)
		for _, size := range []int{1, 7, 4096} {
			for _, grow := range []int{0, c.n} {
				var b Builder
				b.Grow(grow)
				var k Block
				for lo := 0; lo < c.n; lo += size {
					hi := min(lo+size, c.n)
					k.Reset()
					if (lo/size)%2 == 0 {
						if n := k.AddRecords(raw[50*lo : 50*hi]); n != hi-lo {
							t.Fatalf("added %d of %d records", n, hi-lo)
						}
					} else {
						for _, x := range tris[lo:hi] {
							if !k.Add(x[0], x[1], x[2]) {
								t.Fatal("refused")
							}
						}
					}
					if err := b.Append(&k); err != nil {
						t.Fatal(err)
					}
				}
				check(fmt.Sprintf("blocks of %d, grown to %d", size, grow), &b)
			}
		}
	}
}

func TestBuilderRefusesNotFinite(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		var b Builder
		if _, err := b.Vertex(V(0, bad, 0)); err == nil {
			t.Errorf("Vertex took %v", bad)
		}
		var k Block
		if k.Add(V(0, 0, 0), V(1, 0, 0), V(0, 0, bad)) || k.NumTriangles() != 0 {
			t.Errorf("Add took %v", bad)
		}
		raw := records([][3]Vec{{V(0, 0, 0), V(1, 0, 0), V(0, 1, 0)}, {V(0, 0, 0), V(bad, 0, 0), V(0, 1, 0)}})
		if n := k.AddRecords(raw); n != 1 {
			t.Errorf("AddRecords added %d records, want 1, with %v in the second", n, bad)
		}
	}
}

func TestBuildDropsUnused(t *testing.T) {
	var b Builder
	for i := range 10 {
		if _, err := b.Vertex(V(float64(i), 0, 0)); err != nil {
			t.Fatal(err)
		}
	}
	b.Triangle(9, 3, 4)
	m, err := b.Build(25.4)
	if err != nil {
		t.Fatal(err)
	}
	x, y, z := m.Corners(0)
	if m.NumVertices() != 3 || x != V(9, 0, 0).Mul(25.4) || y != V(3, 0, 0).Mul(25.4) || z != V(4, 0, 0).Mul(25.4) {
		t.Errorf("got %d vertices, corners %v %v %v", m.NumVertices(), x, y, z)
	}
	if _, err := new(Builder).Build(1); err != ErrNoTriangles {
		t.Errorf("empty: got %v", err)
	}
}

// lattice is an ordered surface of about n triangles: each vertex in six.
func lattice(n int) [][3]Vec {
	w := int(math.Sqrt(float64(n) / 2))
	at := func(i, j int) Vec { return V(float64(float32(float64(i)*0.1)), float64(float32(float64(j)*0.1)), 0) }
	var out [][3]Vec
	for i := range w {
		for j := range w {
			out = append(out, [3]Vec{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]Vec{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return out
}

func BenchmarkWeld(b *testing.B) {
	for _, n := range []int{10_000, 100_000, 1_000_000} {
		for _, order := range []string{"ordered", "shuffled"} {
			tris := lattice(n)
			if order == "shuffled" {
				rand.New(rand.NewPCG(1, 1)).Shuffle(len(tris), func(i, j int) { tris[i], tris[j] = tris[j], tris[i] })
			}
			raw := records(tris)
			b.Run(fmt.Sprintf("%d/%s", n, order), func(b *testing.B) {
				b.SetBytes(int64(len(raw)))
				b.ReportAllocs()
				for b.Loop() {
					var w Builder
					var k Block
					w.Grow(len(tris))
					for p := raw; len(p) > 0; {
						q := p[:min(len(p), 4096*RecordSize)]
						p = p[len(q):]
						k.Reset()
						k.AddRecords(q)
						if err := w.Append(&k); err != nil {
							b.Fatal(err)
						}
					}
				}
			})
		}
	}
}
