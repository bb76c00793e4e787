// Package par runs loops on all cores. It holds the only go statements below
// the command line.
//
// What a loop writes must belong to one index (or block) alone, or must come
// out the same in any order, as sums of whole numbers and greatest values do.
// Then the bytes are the same for any number of cores: blocks are fixed by the
// caller and not by the cores, and what is to be summed is kept per block and
// summed in the order of blocks afterwards (or by InOrder as it comes).
//
// Indices are handed out in ascending order. A loop that takes a ctx looks at
// it before each index (or block): once it is cancelled, those that run are
// ended and no other is begun. So a cancelled loop returns after the longest
// single call of do, and what it wrote is in part missing; the error is that
// of the ctx, bare, for the caller to wrap. A loop returns only when every
// goroutine of it has ended. Calls of do must not panic.
package par

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// Workers is how many calls of do run at once at most. No figure may depend on
// it: it is for work that is shared out rather than cut up.
func Workers() int { return runtime.GOMAXPROCS(0) }

// Each calls do for 0 to n−1.
func Each(ctx context.Context, n int, do func(k int)) error {
	return run(ctx, n, func(_, k int) { do(k) })
}

// Quick is Each for loops that end within some milliseconds, so that nobody
// needs to cancel them.
func Quick(n int, do func(k int)) { _ = Each(context.Background(), n, do) }

// Blocks calls do for the blocks of size indices, the last maybe shorter, that
// make up 0 to n−1: from, but not to, belongs to the block.
func Blocks(ctx context.Context, n, size int, do func(from, to int)) error {
	return Each(ctx, (n+size-1)/size, func(b int) { do(b*size, min((b+1)*size, n)) })
}

// Together runs a few tasks beside each other and returns when all have ended.
func Together(tasks ...func()) { Quick(len(tasks), func(k int) { tasks[k]() }) }

// Team runs loops whose calls need scratch: each call has one S to itself,
// which was left as it is by an earlier call of this loop or one before. The
// zero Team is ready, and every S begins as its zero value. A Team runs one
// loop at a time.
type Team[S any] struct{ scratch []*S }

// Each is the function Each with scratch.
func (t *Team[S]) Each(ctx context.Context, n int, do func(s *S, k int)) error {
	for len(t.scratch) < min(Workers(), n) {
		t.scratch = append(t.scratch, new(S))
	}
	return run(ctx, n, func(w, k int) { do(t.scratch[w], k) })
}

// Blocks is the function Blocks with scratch.
func (t *Team[S]) Blocks(ctx context.Context, n, size int, do func(s *S, from, to int)) error {
	return t.Each(ctx, (n+size-1)/size, func(s *S, b int) { do(s, b*size, min((b+1)*size, n)) })
}

// Scratch is what the loops left: a different number of S on a different
// number of cores, so only good for sums that come out the same in any order.
func (t *Team[S]) Scratch() []*S { return t.scratch }

// run tells do the worker besides: 0 to min(Workers(), n)−1. The caller's own
// goroutine is the first of them.
func run(ctx context.Context, n int, do func(worker, k int)) error {
	var next atomic.Int64
	work := func(w int) {
		for ctx.Err() == nil {
			k := int(next.Add(1)) - 1
			if k >= n {
				return
			}
			do(w, k)
		}
	}
	var wg sync.WaitGroup
	for w := 1; w < min(Workers(), n); w++ {
		wg.Go(func() { work(w) })
	}
	work(0)
	wg.Wait()
	return ctx.Err()
}
