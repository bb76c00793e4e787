package main

import (
	"context"
	"runtime"
	"sync"

	"moldtally/estimate"
	"moldtally/render"
)

// mostAtOnce is how many patterns are in work at a time. Each uses all cores where it
// can; what it cannot is filled by the others, and memory holds a few large meshes.
// Judgement of this program.
const mostAtOnce = 4

// result is what came of one pattern.
type result struct {
	entry   render.Entry
	picture []byte // that a paper of all patterns bears; nil = none
	err     error
}

// each works on patterns, several at a time, and hands what came of them to take in
// their order: what is told does not depend on which was done first. take returning
// false, or an error of it, ends the work on the rest.
func (a *app) each(ctx context.Context, patterns []string, s *settings, stage estimate.Stage, files [][]wanted, take func(i int, r result) (bool, error)) error {
	ctx, cancel := context.WithCancel(ctx)
	var working sync.WaitGroup
	defer func() {
		cancel()
		working.Wait() // none is left in the midst of writing its files
	}()
	stop := a.startProgress()
	defer stop()
	a.count(len(patterns))
	results := make([]chan result, len(patterns))
	for i := range results {
		results[i] = make(chan result, 1)
	}
	next := make(chan int)
	for range min(len(patterns), mostAtOnce, runtime.GOMAXPROCS(0)) {
		working.Go(func() {
			for i := range next {
				r := a.entry(ctx, patterns[i], s, stage, files[i])
				a.countOne()
				results[i] <- r
			}
		})
	}
	go func() {
		defer close(next)
		for i := range patterns {
			select {
			case next <- i:
			case <-ctx.Done():
				return
			}
		}
	}()
	for i := range patterns {
		var r result
		select {
		case r = <-results[i]:
		case <-ctx.Done():
			return ctx.Err()
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if more, err := take(i, r); err != nil || !more {
			return err
		}
	}
	return nil
}
