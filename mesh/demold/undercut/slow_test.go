package undercut

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"moldtally/mesh"
	"moldtally/mesh/demold/scene"
	"moldtally/mesh/dexel"
)

// flatField is a field whose columns hold the spans that at returns.
func flatField(nx, ny int, cell float64, at func(i, j int) []dexel.Span) *dexel.Field {
	g := dexel.Grid{U: mesh.V(0, 0, 1), E1: mesh.V(1, 0, 0), E2: mesh.V(0, 1, 0), Cell: cell, NX: nx, NY: ny}
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
			q := nearest{d2: math.MaxInt64, at: -1}
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
		s := newShadow(&scene.Scene{Field: f, Eps: 1e-6}, scene.Half{Field: f, Space: scene.NewSpace(f, 0, 0, 1e-6, nil)}, 0)
		s.rise = 0.1
		if err := s.find(context.Background()); err != nil {
			t.Fatal(err)
		}
		if _, err := s.paths(context.Background(), toReport); err != nil {
			t.Fatal(err)
		}
		l := newLevel(s, 1)
		l.classify(l.class, 1)
		want := visibilityPaths(l)
		bent := 0
		for c := range want {
			if l.class[c] != inShadow || math.IsInf(want[c], 1) {
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
		all := make([]blockage, 0, len(want))
		for c := range want {
			if l.class[c] == inShadow {
				all = append(all, blockage{gap: int32(f.Offset(c%nx, c/nx)), i: int32(c % nx), j: int32(c / nx), lo: 0, hi: 5})
			}
		}
		for _, v := range newLevel(s, 1).solve(1, all, askFree) {
			w := want[all[v.blockage].j*nx+all[v.blockage].i]
			if d := float64(v.d) - w; d < -1e-3 || d > 0.5 {
				t.Errorf("seed %d: cell %d,%d at full resolution: got %.3f, want %.3f", seed, all[v.blockage].i, all[v.blockage].j, v.d, w)
			}
		}
	}
}

// visibilityPaths is the slow twin of shortestWays.
func visibilityPaths(l *level) []float64 {
	n := l.nx * l.ny
	dist := make([]float64, n)
	done := make([]bool, n)
	for c := range dist {
		dist[c] = math.Inf(1)
		if l.class[c] == inOpen {
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
			if done[c] || l.class[c] != inShadow {
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
