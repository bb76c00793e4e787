package demold

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
	"moldtally/mesh/shape"
)

// flatField is a field whose columns hold the spans that at returns.
func flatField(nx, ny int, cell float64, at func(i, j int) []dexel.Span) *dexel.Field {
	g := dexel.Grid{U: up, E1: mesh.V(1, 0, 0), E2: mesh.V(0, 1, 0), Cell: cell, NX: nx, NY: ny}
	off := make([]int32, 1, nx*ny+1)
	var spans []dexel.Span
	for j := range ny {
		for i := range nx {
			if i > 1 && j > 1 && i < nx-2 && j < ny-2 {
				spans = append(spans, at(i, j)...)
			}
			off = append(off, int32(len(spans)))
		}
	}
	return dexel.New(g, off, spans)
}

// TestNearestAgreesWithSearch holds the pyramid against a look at every column.
func TestNearestAgreesWithSearch(t *testing.T) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 1))
		nx, ny := 5+r.IntN(60), 5+r.IntN(60)
		tops := make([]float32, nx*ny)
		for c := range tops {
			tops[c] = float32(r.IntN(12))
			if r.IntN(20) == 0 {
				tops[c] = float32(math.Inf(-1))
			}
		}
		p := newPyramid(tops, nx, ny)
		for range 200 {
			i, j, z := r.IntN(nx), r.IntN(ny), float32(r.IntN(12))-1
			q := nearest{math.MaxInt64, -1}
			p.nearest(i, j, z, &q)
			want := int64(math.MaxInt64)
			for c, v := range tops {
				if v <= z {
					want = min(want, dist2(i, j, c%nx, c/nx))
				}
			}
			if q.d2 != want {
				t.Fatalf("seed %d: column %d,%d at %g: got %d, want %d", seed, i, j, z, q.d2, want)
			}
		}
	}
}

// TestPathsAgreeWithVisibility holds the ways out of a plane maze against the
// shortest ways by plain Dijkstra over every pair of cells that see each
// other: exact on the grid, and cubic.
func TestPathsAgreeWithVisibility(t *testing.T) {
	const nx, ny = 34, 34
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 3))
		solid := make([]bool, nx*ny)
		for c := range solid {
			i, j := c%nx, c/nx
			solid[c] = i == 2 || j == 2 || i == nx-3 || j == ny-3
		}
		for range 14 {
			x, y, w, h := r.IntN(nx), r.IntN(ny), 1+r.IntN(9), 1+r.IntN(3)
			if r.IntN(2) == 0 {
				w, h = h, w
			}
			for j := y; j < min(y+h, ny); j++ {
				for i := x; i < min(x+w, nx); i++ {
					solid[j*nx+i] = true
				}
			}
		}
		for k := range 4 { // the door
			solid[2*nx+8+k], solid[3*nx+8+k] = false, false
		}
		f := flatField(nx, ny, 1, func(i, j int) []dexel.Span {
			if solid[j*nx+i] {
				return []dexel.Span{{Bottom: 0, Top: 10}}
			}
			return []dexel.Span{{Bottom: 5, Top: 10}}
		})
		sp := scene.NewSpace(f, 0, 0, 1e-6, nil)
		s := newShadow(f, sp, 0, 0, 1e-6)
		if err := s.find(context.Background()); err != nil {
			t.Fatal(err)
		}
		if _, err := s.paths(context.Background(), 0.1, 0); err != nil {
			t.Fatal(err)
		}
		l := newLevel(s, 1)
		l.classify(l.class, 1)
		want := visibilityPaths(l)
		bent := 0
		for c := range want {
			if l.class[c] != cellFree || math.IsInf(want[c], 1) {
				continue
			}
			got := float64(s.path[f.Offset(c%nx, c/nx)])
			if want[c] > float64(s.depth[f.Offset(c%nx, c/nx)])+1 {
				bent++
			}
			// Half resolution may overstate by its cell; nothing understates.
			if got < want[c]-0.51 || got > want[c]+2.5 {
				t.Errorf("seed %d: cell %d,%d: got %.3f, want %.3f", seed, c%nx, c/nx, got, want[c])
			}
		}
		if bent == 0 {
			t.Errorf("seed %d: no way in the maze bends: the test proves nothing", seed)
		}
		// At full resolution the solver itself is within half a cell.
		all := make([]hard, 0, len(want))
		for c := range want {
			if l.class[c] == cellFree {
				all = append(all, hard{gap: int32(f.Offset(c%nx, c/nx)), i: int32(c % nx), j: int32(c / nx), lo: 0, hi: 5})
			}
		}
		for _, v := range newLevel(s, 1).solve(1, all, 0.1, 0, onlyFree) {
			w := want[all[v.hard].j*nx+all[v.hard].i]
			if d := float64(v.d) - w; d < -1e-3 || d > 0.5 {
				t.Errorf("seed %d: cell %d,%d at full resolution: got %.3f, want %.3f", seed, all[v.hard].i, all[v.hard].j, v.d, w)
			}
		}
	}
}

// visibilityPaths is the slow twin of spread.
func visibilityPaths(l *level) []float64 {
	n := l.nx * l.ny
	dist := make([]float64, n)
	done := make([]bool, n)
	for c := range dist {
		dist[c] = math.Inf(1)
		if l.class[c] == cellOpen {
			dist[c] = 0
		}
	}
	for {
		best := -1
		for c := range dist {
			if !done[c] && !math.IsInf(dist[c], 1) && (best < 0 || dist[c] < dist[best]) {
				best = c
			}
		}
		if best < 0 {
			return dist
		}
		done[best] = true
		for c := range dist {
			if done[c] || l.class[c] != cellFree {
				continue
			}
			d := dist[best] + math.Sqrt(float64(dist2(best%l.nx, best/l.nx, c%l.nx, c/l.nx)))
			if d < dist[c] && l.sees(int32(best), int32(c)) {
				dist[c] = d
			}
		}
	}
}

// TestInsert holds the joining of blocked heights against a bitmap: nothing
// that was put in is lost.
func TestInsert(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 4))
		var buf [8][2]float64
		var bits [100]bool
		n := 0
		for range 30 {
			lo := r.IntN(98)
			hi := lo + 1 + r.IntN(min(4, 99-lo))
			for b := lo; b < hi; b++ {
				bits[b] = true
			}
			n = insert(buf[:], n, float64(lo), float64(hi), 1e-9)
			for k := range n {
				if buf[k][0] >= buf[k][1] || k > 0 && buf[k][0] <= buf[k-1][1] {
					t.Fatalf("seed %d: intervals out of order: %v", seed, buf[:n])
				}
			}
			for b, in := range bits {
				if !in {
					continue
				}
				held := false
				for _, x := range buf[:n] {
					held = held || x[0] <= float64(b) && float64(b+1) <= x[1]
				}
				if !held {
					t.Fatalf("seed %d: %d is lost from %v", seed, b, buf[:n])
				}
			}
		}
	}
}

// TestTurnedAndMoved: a pattern turned and moved with its pull gives the same
// answers within the uncertainty; a scaled one scales.
func TestTurnedAndMoved(t *testing.T) {
	m := shape.CrossHoleCube(100, 12, 80)
	o := Options{Clay: ptr(0), Ignore: ptr(0)}
	want := analyze(t, m, up, o)
	axis := mesh.V(1, 2, -1).Unit()
	turned := shape.Translate(shape.Rotate(m, axis, 0.7), mesh.V(3000, -1500, 800))
	// The image of +Z under the turn (Rodrigues).
	sin, cos := math.Sincos(0.7)
	z := up.Mul(cos).Add(axis.Cross(up).Mul(sin)).Add(axis.Mul(axis.Dot(up) * (1 - cos)))
	tests := []struct {
		name string
		m    *mesh.Mesh
		u    mesh.Vec
		k    float64
	}{
		{"turned and moved", turned, z, 1},
		{"scaled", shape.Scale(m, 25.4, 25.4, 25.4), up, 25.4},
		{"mirrored", shape.Mirror(m), up, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := analyze(t, tt.m, tt.u, o)
			tol := (want.Uncertainty + r.Uncertainty/tt.k) * 1.5
			if d := math.Abs(r.UndercutDepth/tt.k - want.UndercutDepth); d > tol {
				t.Errorf("depth: got %g, want %g", r.UndercutDepth/tt.k, want.UndercutDepth)
			}
			if d := math.Abs(*r.UndercutPath/tt.k - *want.UndercutPath); d > tol {
				t.Errorf("path: got %g, want %g", *r.UndercutPath/tt.k, *want.UndercutPath)
			}
			if d := math.Abs(r.UndercutVolume/math.Pow(tt.k, 3) - want.UndercutVolume); d > 0.02*want.UndercutVolume {
				t.Errorf("volume: got %g, want %g", r.UndercutVolume/math.Pow(tt.k, 3), want.UndercutVolume)
			}
		})
	}
}

// TestSameOnAnyCores: the same bytes whatever the number of cores.
func TestSameOnAnyCores(t *testing.T) {
	m := shape.Merge(shape.Torus(40, 10, 64, 48), shape.Translate(shape.Mushroom(12, 8, 4, 20, 48), mesh.V(40, 0, 5)))
	s := solidOf(t, m)
	for _, mold := range []Mold{Block, TwoPart} {
		var first []byte
		for _, p := range []int{1, 2, 5} {
			old := runtime.GOMAXPROCS(p)
			r, err := Analyze(context.Background(), s, mesh.V(0.2, 0.1, 1), Options{Mold: mold})
			runtime.GOMAXPROCS(old)
			if err != nil {
				t.Fatal(err)
			}
			// What JSON leaves out counts too; infinite paths are made plain.
			vp := make([]uint32, len(r.VertexPath))
			for v, x := range r.VertexPath {
				vp[v] = math.Float32bits(x)
			}
			b, err := json.Marshal([]any{r, r.Findings, vp})
			if err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = b
			} else if !bytes.Equal(first, b) {
				t.Errorf("%s: %d cores give another report", mold, p)
			}
		}
	}
}

// TestRefusals: arguments that cannot be, and a cancelled context.
func TestRefusals(t *testing.T) {
	s := solidOf(t, shape.Cube(20))
	tests := []struct {
		name string
		u    mesh.Vec
		o    Options
	}{
		{"no direction", mesh.Vec{}, Options{}},
		{"no number", mesh.V(math.NaN(), 0, 0), Options{}},
		{"unknown mold", up, Options{Mold: "sand"}},
		{"clay above the pattern", up, Options{Clay: ptr(21)}},
		{"negative clay", up, Options{Clay: ptr(-1)}},
		{"negative ignore", up, Options{Ignore: ptr(-1)}},
		{"too fine", up, Options{Resolution: 1e-4}},
		{"negative resolution", up, Options{Resolution: -1}},
	}
	for _, tt := range tests {
		if r, err := Analyze(context.Background(), s, tt.u, tt.o); err == nil || r != nil {
			t.Errorf("%s: got %v, %v, want an error", tt.name, r, err)
		}
	}
	if _, err := Analyze(context.Background(), nil, up, Options{}); err == nil {
		t.Error("no solid: got no error")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Analyze(ctx, s, up, Options{}); err == nil {
		t.Error("cancelled: got no error")
	}
}
