package grid_test

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"moldtally/mesh/grid"
)

var ctx = context.Background()

// random returns a small lattice and marks, sparse for some seeds, dense for
// others; every fifth lattice is a plane.
func random(seed uint64, most int) (grid.Size, []bool) {
	r := rand.New(rand.NewPCG(seed, 1))
	n := grid.Size{1 + r.IntN(most), 1 + r.IntN(most), 1 + r.IntN(most)}
	if seed%5 == 0 {
		n[2] = 1
	}
	mark := make([]bool, n.Total())
	share := r.Float64()
	for k := range mark {
		mark[k] = r.Float64() < share*share
	}
	return n, mark
}

// ball is a lattice with a ring round the middle of a full ball taken out:
// something large for benchmarks.
func ball(n int) (grid.Size, []bool) {
	size := grid.Size{n, n, n}
	full := make([]bool, size.Total())
	for k := range full {
		p := size.Node(k)
		x, y, z := float64(2*p[0]-n), float64(2*p[1]-n), float64(2*p[2]-n)
		r := float64(n) * 0.8
		full[k] = x*x+y*y+z*z < r*r && x*x+y*y > r*r/20
	}
	return size, full
}

func TestDistanceAgainstSearch(t *testing.T) {
	for seed := range uint64(120) {
		n, mark := random(seed, 14)
		d := grid.Sources(mark, true)
		if err := grid.Distance(ctx, n, d); err != nil {
			t.Fatal(err)
		}
		for k, got := range d {
			want := int32(grid.Far)
			p := n.Node(k)
			for s, m := range mark {
				if q := n.Node(s); m {
					want = min(want, int32((p[0]-q[0])*(p[0]-q[0])+(p[1]-q[1])*(p[1]-q[1])+(p[2]-q[2])*(p[2]-q[2])))
				}
			}
			if got != want {
				t.Fatalf("seed %d, %v: node %v: squared distance %d, want %d", seed, n, p, got, want)
			}
		}
	}
}

// TestDistanceOfLongRows goes as far as the largest axis.
func TestDistanceOfLongRows(t *testing.T) {
	n := grid.Size{2, 2, 16384}
	d := make([]int32, n.Total())
	for k := range d {
		d[k] = grid.Far
	}
	d[0] = 0
	if err := grid.Distance(ctx, n, d); err != nil {
		t.Fatal(err)
	}
	if got, want := d[n.At(1, 1, 16383)], int32(16383*16383+2); got != want {
		t.Errorf("squared distance %d, want %d", got, want)
	}
}

// slowParts numbers parts by looking at every pair of nodes that touch, until
// nothing changes.
func slowParts(n grid.Size, mark []bool, want bool, near grid.Near) []int {
	part := make([]int, len(mark))
	for k := range part {
		part[k] = k
	}
	for changed := true; changed; {
		changed = false
		for k := range mark {
			for m := range mark {
				if mark[k] == want && mark[m] == want && touch(n.Node(k), n.Node(m), near) && part[m] < part[k] {
					part[k], changed = part[m], true
				}
			}
		}
	}
	number := map[int]int{}
	for k, p := range part {
		if mark[k] != want {
			part[k] = -1
			continue
		}
		if p == k {
			number[k] = len(number)
		}
		part[k] = number[p]
	}
	return part
}

func touch(p, q [3]int, near grid.Near) bool {
	sum, most := 0, 0
	for d := range 3 {
		a := max(p[d]-q[d], q[d]-p[d])
		sum, most = sum+a, max(most, a)
	}
	return sum == 1 || near == grid.Corners && most == 1
}

func TestConnectAgainstSlow(t *testing.T) {
	for seed := range uint64(60) {
		n, mark := random(seed, 7)
		for _, near := range [2]grid.Near{grid.Faces, grid.Corners} {
			for _, want := range [2]bool{false, true} {
				p, slow := grid.Connect(n, mark, want, near), slowParts(n, mark, want, near)
				if got, want := p.Count(), slices.Max(slow)+1; got != want {
					t.Fatalf("seed %d, %v: %d parts, want %d", seed, n, got, want)
				}
				for k, w := range slow {
					if got := p.Of(k); got != w {
						t.Fatalf("seed %d, %v: node %v is of part %d, want %d", seed, n, n.Node(k), got, w)
					}
				}
				each, next := make([]int, len(mark)), 0
				for k := range each {
					each[k] = -1
				}
				p.Each(func(part, from, to int) {
					if from < next || to <= from {
						t.Fatalf("seed %d: a run from %d to %d after %d", seed, from, to, next)
					}
					for next = from; next < to; next++ {
						each[next] = part
					}
				})
				if !slices.Equal(each, slow) {
					t.Fatalf("seed %d, %v: runs %v, want %v", seed, n, each, slow)
				}
				marked, count := p.Mark(len(mark) - 1)
				for k, m := range marked {
					if w := slow[len(mark)-1] >= 0 && slow[k] == slow[len(mark)-1]; m != w {
						t.Fatalf("seed %d: mark of node %d is %v, want %v", seed, k, m, w)
					}
					if m {
						count--
					}
				}
				if count != 0 {
					t.Fatalf("seed %d: count off by %d", seed, count)
				}
			}
		}
	}
}

// slowBetti counts every corner, edge, face and cube of a body by itself, on a
// lattice twice as fine: places with odd coordinates all round are cubes.
func slowBetti(n grid.Size, full []bool) int {
	fine := grid.Size{2*n[0] + 1, 2*n[1] + 1, 2*n[2] + 1}
	cells := make([]bool, fine.Total())
	for k, f := range full {
		if !f {
			continue
		}
		p := n.Node(k)
		for m := range 27 {
			cells[fine.At(2*p[0]+m%3, 2*p[1]+m/3%3, 2*p[2]+m/9)] = true
		}
	}
	chi := 0
	for k, c := range cells {
		if p := fine.Node(k); c {
			chi += 1 - 2*((p[0]+p[1]+p[2])%2)
		}
	}
	padded := grid.Size{n[0] + 2, n[1] + 2, n[2] + 2}
	in := make([]bool, padded.Total())
	for k, f := range full {
		p := n.Node(k)
		in[padded.At(p[0]+1, p[1]+1, p[2]+1)] = f
	}
	return slices.Max(slowParts(n, full, true, grid.Corners)) + 1 + slices.Max(slowParts(padded, in, false, grid.Faces)) - chi
}

func TestBettiAgainstSlow(t *testing.T) {
	for seed := range uint64(60) {
		n, full := random(seed, 6)
		got, err := grid.Betti(ctx, n, full)
		if err != nil {
			t.Fatal(err)
		}
		if want := slowBetti(n, full); got != want {
			t.Fatalf("seed %d, %v: %d tunnels, want %d", seed, n, got, want)
		}
	}
}

// slowThin shuts one cube after the other until none may go, looking at the whole
// lattice each time: whether a cube may go is read from what its loss does to
// parts, tunnels and hollows.
func slowThin(n grid.Size, open []bool) {
	figures := func() [3]int {
		shut := make([]bool, len(open))
		for k := range open {
			shut[k] = !open[k]
		}
		b, _ := grid.Betti(ctx, n, shut)
		return [3]int{b, grid.Connect(n, open, true, grid.Faces).Count(), grid.Connect(n, open, false, grid.Corners).Count()}
	}
	for changed := true; changed; {
		changed = false
		for k := range open {
			if !open[k] {
				continue
			}
			was := figures()
			open[k] = false
			if figures() == was {
				changed = true
			} else {
				open[k] = true
			}
		}
	}
}

// TestThinKeepsTheFigures: what is left has as many parts, tunnels and hollows
// as before, and no cube could go yet.
func TestThinKeepsTheFigures(t *testing.T) {
	for seed := range uint64(40) {
		n, open := random(seed, 7)
		for k := range open {
			open[k] = open[k] != (seed%2 == 0) && !n.OnRim(n.Node(k))
		}
		order := make([]int32, len(open))
		for k := range order {
			order[k] = int32(k*7%11) % 5
		}
		tunnels := func() int {
			shut := make([]bool, len(open))
			for k := range open {
				shut[k] = !open[k]
			}
			b, err := grid.Betti(ctx, n, shut)
			if err != nil {
				t.Fatal(err)
			}
			return b
		}
		figures := func() [3]int {
			return [3]int{tunnels(), grid.Connect(n, open, true, grid.Faces).Count(), grid.Connect(n, open, false, grid.Corners).Count()}
		}
		was := figures()
		if err := grid.Thin(ctx, n, open, order); err != nil {
			t.Fatal(err)
		}
		if got := figures(); got != was {
			t.Fatalf("seed %d, %v: tunnels, parts and shut parts %v, want %v", seed, n, got, was)
		}
		left := slices.Clone(open)
		slowThin(n, left)
		if !slices.Equal(left, open) {
			t.Errorf("seed %d, %v: cubes were left that could go", seed, n)
		}
	}
}

// TestFloodAgainstReach floods lattices with many walls by words of 64 nodes, and
// one node at a time; and again with some nodes walled off.
func TestFloodAgainstReach(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 3))
		w := grid.Walled{Size: grid.Size{64 * (1 + r.IntN(2)), 1 + r.IntN(6), 1 + r.IntN(6)}}
		for d := range w.Wall {
			w.Wall[d] = make(grid.Bits, w.Total()/64)
			for k := range w.Total() {
				if r.IntN(100) < 45-int(seed)%2*20 {
					w.Wall[d].Set(k)
				}
			}
		}
		off := make(grid.Bits, w.Total()/64)
		for k := 1; k < w.Total() && seed%2 == 1; k++ {
			if r.IntN(100) < 20 {
				off.Set(k)
			}
		}
		flood, err := w.Around(off).Flood(ctx)
		if err != nil {
			t.Fatal(err)
		}
		seen := make([]bool, w.Total())
		seen[0] = true
		list := w.Reach([]int32{0}, func(k int) bool {
			was := seen[k] || off.Has(k)
			seen[k] = seen[k] || !was
			return !was
		})
		n := 0
		for k, s := range seen {
			if flood.Has(k) != s {
				t.Fatalf("seed %d, %v: node %v flooded %v, want %v", seed, w.Size, w.Node(k), flood.Has(k), s)
			}
			if s {
				n++
			}
		}
		if len(list) != n {
			t.Errorf("seed %d: %d nodes listed, want %d", seed, len(list), n)
		}
	}
}

func TestCancelled(t *testing.T) {
	gone, cancel := context.WithCancel(ctx)
	cancel()
	n, full := ball(20)
	if err := grid.Distance(gone, n, grid.Sources(full, true)); err == nil {
		t.Error("a distance transform went on")
	}
	if _, err := grid.Betti(gone, n, full); err == nil {
		t.Error("counting tunnels went on")
	}
	if err := grid.Thin(gone, n, full, make([]int32, len(full))); err == nil {
		t.Error("thinning went on")
	}
	w := grid.Walled{Size: grid.Size{64, 2, 2}}
	if _, err := w.Flood(gone); err == nil {
		t.Error("a flood went on")
	}
}

func BenchmarkDistance(b *testing.B) {
	n, full := ball(160)
	for b.Loop() {
		if err := grid.Distance(ctx, n, grid.Sources(full, true)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkConnect(b *testing.B) {
	n, full := ball(160)
	for b.Loop() {
		grid.Connect(n, full, false, grid.Faces)
	}
}

func BenchmarkBetti(b *testing.B) {
	n, full := ball(160)
	for b.Loop() {
		if got, err := grid.Betti(ctx, n, full); err != nil || got != 1 {
			b.Fatal(got, err)
		}
	}
}

func BenchmarkThin(b *testing.B) {
	n, full := ball(96)
	order := grid.Sources(full, true)
	if err := grid.Distance(ctx, n, order); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		open := make([]bool, len(full))
		for k := range open {
			open[k] = !full[k]
		}
		if err := grid.Thin(ctx, n, open, order); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFlood(b *testing.B) {
	w := grid.Walled{Size: grid.Size{192, 160, 160}}
	for d := range w.Wall {
		w.Wall[d] = make(grid.Bits, w.Total()/64)
	}
	for y := 8; y < 160; y += 16 { // walls along a serpentine
		for z := range 160 {
			for x := range 180 {
				w.Wall[1].Set(w.At(x+12*(y/16%2), y, z))
			}
		}
	}
	for b.Loop() {
		if _, err := w.Flood(ctx); err != nil {
			b.Fatal(err)
		}
	}
}
