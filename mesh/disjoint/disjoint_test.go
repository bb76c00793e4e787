package disjoint_test

import (
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"moldtally/mesh/disjoint"
)

// slowSets is the twin: every member carries the smallest member of its set,
// and a join goes through all of them.
type slowSets []int32

func (s slowSets) join(x, y int32) bool {
	a, b := min(s[x], s[y]), max(s[x], s[y])
	for k, r := range s {
		if r == b {
			s[k] = a
		}
	}
	return a != b
}

func pairs(n, joins int, seed uint64) [][2]int32 {
	r := rand.New(rand.NewPCG(seed, 1))
	out := make([][2]int32, joins)
	for k := range out {
		out[k] = [2]int32{r.Int32N(int32(n)), r.Int32N(int32(n))}
	}
	return out
}

func TestSetsAgainstSlow(t *testing.T) {
	for seed := range uint64(40) {
		n := 1 + int(seed)*5
		fast, slow := disjoint.New(n), slowSets(disjoint.New(n))
		for _, p := range pairs(n, n/2+int(seed), seed) {
			if got, want := fast.Join(p[0], p[1]), slow.join(p[0], p[1]); got != want {
				t.Fatalf("seed %d: joining %v: apart %v, want %v", seed, p, got, want)
			}
		}
		roots := map[int32]int32{}
		for x := range int32(n) {
			if got := fast.Find(x); got != slow[x] {
				t.Fatalf("seed %d: root of %d is %d, want the smallest member %d", seed, x, got, slow[x])
			}
			if slow[x] == x {
				roots[x] = int32(len(roots))
			}
		}
		if got := fast.Number(); got != len(roots) {
			t.Errorf("seed %d: numbered %d sets, want %d", seed, got, len(roots))
		}
		for x := range n {
			if fast[x] != roots[slow[x]] {
				t.Fatalf("seed %d: member %d is in set %d, want %d", seed, x, fast[x], roots[slow[x]])
			}
		}
	}
}

func TestAdd(t *testing.T) {
	var s disjoint.Sets
	if a, b := s.Add(), s.Add(); a != 0 || b != 1 || !s.Join(b, a) || s.Find(1) != 0 {
		t.Errorf("added %d and %d, root of 1 is %d", a, b, s.Find(1))
	}
}

// TestShared joins from four goroutines: the roots are those of one.
func TestShared(t *testing.T) {
	const n = 20_000
	ps := pairs(n, n, 7)
	want := disjoint.New(n)
	for _, p := range ps {
		want.Join(p[0], p[1])
	}
	got := disjoint.Shared(disjoint.New(n))
	var wg sync.WaitGroup
	for part := range slices.Chunk(ps, n/4) {
		wg.Go(func() {
			for _, p := range part {
				got.Join(p[0], p[1])
			}
		})
	}
	wg.Wait()
	for x := range int32(n) {
		if got.Find(x) != want.Find(x) {
			t.Fatalf("root of %d is %d, want %d", x, got.Find(x), want.Find(x))
		}
	}
}

func BenchmarkSets(b *testing.B) {
	const n = 200_000
	ps := pairs(n, n, 3)
	for b.Loop() {
		s := disjoint.New(n)
		for _, p := range ps {
			s.Join(p[0], p[1])
		}
	}
}

func BenchmarkShared(b *testing.B) {
	const n = 200_000
	ps := pairs(n, n, 3)
	for b.Loop() {
		s := disjoint.Shared(disjoint.New(n))
		for _, p := range ps {
			s.Join(p[0], p[1])
		}
	}
}
