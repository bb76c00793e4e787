package meshfile

import (
	"context"
	"runtime"
)

// inOrder runs a pipeline over reused slots: next fills a slot (one goroutine,
// returns false at the end), work processes it (several goroutines), take
// consumes it (the caller's goroutine), in the order in which next filled
// them. Whatever the number of cores, take sees the same sequence; the first
// error in that sequence is returned. It returns only after every goroutine
// it started has ended.
func inOrder[T any](ctx context.Context, next func(*T) (bool, error), work func(*T), take func(*T) error) error {
	type slot struct {
		v    T
		err  error
		done chan struct{}
	}
	workers := min(runtime.GOMAXPROCS(0), 8)
	slots := workers + 3
	ctx, stop := context.WithCancel(ctx)
	free := make(chan *slot, slots)
	jobs := make(chan *slot, slots)
	order := make(chan *slot, slots)
	for range slots {
		free <- &slot{done: make(chan struct{}, 1)}
	}
	ended := make(chan struct{}, workers+1)
	defer func() {
		stop()
		for range workers + 1 {
			<-ended
		}
	}()
	go func() {
		defer func() { close(jobs); close(order); ended <- struct{}{} }()
		for {
			var s *slot
			select {
			case s = <-free:
			case <-ctx.Done():
				return
			}
			if ctx.Err() != nil {
				return
			}
			more, err := next(&s.v)
			s.err = err
			if err != nil {
				s.done <- struct{}{}
				order <- s
				return
			}
			if !more {
				return
			}
			order <- s
			jobs <- s
		}
	}()
	for range workers {
		go func() {
			defer func() { ended <- struct{}{} }()
			for s := range jobs {
				if ctx.Err() == nil {
					work(&s.v)
				}
				s.done <- struct{}{}
			}
		}()
	}
	for s := range order {
		<-s.done
		if s.err != nil {
			return s.err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := take(&s.v); err != nil {
			return err
		}
		free <- s
	}
	return ctx.Err()
}
