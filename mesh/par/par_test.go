package par_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/iotest"

	"moldtally/mesh/par"
)

// onCores runs a test on one core to eight.
func onCores(t *testing.T, test func(t *testing.T, cores int)) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, n := range []int{1, 2, 3, 8} {
		runtime.GOMAXPROCS(n)
		test(t, n)
	}
}

// blocksSlow is what Blocks promises to come to.
func blocksSlow(n, size int, do func(from, to int)) {
	for from := 0; from < n; from += size {
		do(from, min(from+size, n))
	}
}

// Each index is done once, in the same blocks as by the slow twin, and what is
// summed in the order of blocks has the same bits.
func TestBlocks(t *testing.T) {
	ctx := context.Background()
	onCores(t, func(t *testing.T, cores int) {
		for _, n := range []int{0, 1, 6, 7, 8, 1000} {
			const size = 7
			sums := func(loop func(do func(from, to int))) []float64 {
				out := make([]float64, (n+size-1)/size)
				loop(func(from, to int) {
					for k := from; k < to; k++ {
						out[from/size] += math.Sqrt(float64(k))
					}
				})
				return out
			}
			want := sums(func(do func(from, to int)) { blocksSlow(n, size, do) })
			var team par.Team[[]float64]
			for name, got := range map[string][]float64{
				"Blocks": sums(func(do func(from, to int)) {
					if err := par.Blocks(ctx, n, size, do); err != nil {
						t.Error(err)
					}
				}),
				"Quick": sums(func(do func(from, to int)) {
					par.Quick((n+size-1)/size, func(b int) { do(b*size, min(n, (b+1)*size)) })
				}),
				"Team": sums(func(do func(from, to int)) {
					if err := team.Blocks(ctx, n, size, func(_ *[]float64, from, to int) { do(from, to) }); err != nil {
						t.Error(err)
					}
				}),
			} {
				if !slices.Equal(got, want) {
					t.Errorf("%s of %d on %d cores: got %v, want %v", name, n, cores, got, want)
				}
			}
		}
	})
}

// The scratch of a call is its own, and lasts.
func TestTeam(t *testing.T) {
	onCores(t, func(t *testing.T, cores int) {
		type scratch struct{ busy, calls int }
		var team par.Team[scratch]
		for range 3 {
			err := team.Each(context.Background(), 500, func(s *scratch, k int) {
				s.busy++
				runtime.Gosched()
				if s.busy != 1 {
					t.Error("two calls have one scratch")
				}
				s.busy--
				s.calls++
			})
			if err != nil {
				t.Fatal(err)
			}
		}
		calls := 0
		for _, s := range team.Scratch() {
			calls += s.calls
		}
		if calls != 1500 || len(team.Scratch()) > cores {
			t.Errorf("%d cores: %d calls with %d scratches, want 1500", cores, calls, len(team.Scratch()))
		}
	})
}

// A cancelled loop begins nothing more.
func TestCancel(t *testing.T) {
	onCores(t, func(t *testing.T, cores int) {
		ctx, cancel := context.WithCancel(context.Background())
		var begun atomic.Int64
		err := par.Each(ctx, 10_000, func(k int) {
			begun.Add(1)
			if k == 20 {
				cancel()
			}
			<-waits(k, ctx)
		})
		if !errors.Is(err, context.Canceled) {
			t.Errorf("got %v, want context.Canceled", err)
		}
		if n := begun.Load(); n > int64(21+cores) {
			t.Errorf("%d cores: %d calls begun, the ctx was cancelled in the 21st", cores, n)
		}
		if err := par.Each(ctx, 1, func(int) { t.Error("begun under a cancelled ctx") }); err == nil {
			t.Error("no error from a cancelled ctx")
		}
	})
}

// waits is closed at once up to the call that cancels, then when ctx is.
func waits(k int, ctx context.Context) <-chan struct{} {
	if k >= 20 {
		return ctx.Done()
	}
	c := make(chan struct{})
	close(c)
	return c
}

func TestTogether(t *testing.T) {
	onCores(t, func(t *testing.T, _ int) {
		var a, b int
		par.Together(func() { a = 1 }, func() { b = 2 })
		if a != 1 || b != 2 {
			t.Errorf("got %d and %d, want 1 and 2", a, b)
		}
	})
}

func TestInOrder(t *testing.T) {
	wrong, full := errors.New("wrong"), errors.New("full")
	onCores(t, func(t *testing.T, _ int) {
		run := func(ctx context.Context, n, bad, stop int) ([]int, error) {
			var got []int
			at := 0
			err := par.InOrder(ctx, func(v *int) (bool, error) {
				if at == bad {
					return false, wrong
				}
				*v = at
				at++
				return at <= n, nil
			}, func(v *int) { *v *= *v }, func(v *int) error {
				if len(got) == stop {
					return full
				}
				got = append(got, *v)
				return nil
			})
			return got, err
		}
		got, err := run(context.Background(), 300, -1, -1)
		if err != nil || len(got) != 300 {
			t.Fatalf("got %d, %v, want 300", len(got), err)
		}
		for k, v := range got {
			if v != k*k {
				t.Fatalf("item %d: got %d, want %d", k, v, k*k)
			}
		}
		if got, err := run(context.Background(), 300, 50, -1); err != wrong || len(got) != 50 {
			t.Errorf("got %d, %v, want 50 and the error of next", len(got), err)
		}
		if got, err := run(context.Background(), 300, 50, 20); err != full || len(got) != 20 {
			t.Errorf("got %d, %v, want 20 and the error of take", len(got), err)
		}
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		if got, err := run(ctx, 300, -1, -1); !errors.Is(err, context.Canceled) || got != nil {
			t.Errorf("got %d, %v, want nothing and context.Canceled", len(got), err)
		}
	})
}

func TestReadAhead(t *testing.T) {
	text := strings.Repeat("a stream of half a megabyte and more ", 20_000)
	broken := errors.New("broken")
	for name, in := range map[string]io.Reader{
		"whole":   strings.NewReader(text),
		"by half": iotest.HalfReader(strings.NewReader(text)),
		"broken":  io.MultiReader(strings.NewReader(text), iotest.ErrReader(broken)),
	} {
		a := par.ReadAhead(in)
		got, err := io.ReadAll(a)
		if !bytes.Equal(got, []byte(text)) {
			t.Errorf("%s: got %d bytes, want %d", name, len(got), len(text))
		}
		if want := map[bool]error{true: broken}[name == "broken"]; err != want {
			t.Errorf("%s: got %v, want %v", name, err, want)
		}
		a.Close()
	}
	a := par.ReadAhead(strings.NewReader(text))
	if _, err := io.ReadFull(a, make([]byte, 10)); err != nil {
		t.Fatal(err)
	}
	a.Close() // with most of it unread
	if n, err := a.Read(make([]byte, 10)); n != 0 || err == nil {
		t.Errorf("after Close: got %d, %v, want an error", n, err)
	}
}

// BenchmarkEach is what handing out costs: calls that do next to nothing.
func BenchmarkEach(b *testing.B) {
	sums := make([]float64, 1<<10)
	for b.Loop() {
		par.Quick(len(sums), func(k int) {
			for i := range 100 {
				sums[k] += float64(i)
			}
		})
	}
}
