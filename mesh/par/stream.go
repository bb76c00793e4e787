package par

import (
	"context"
	"errors"
	"io"
)

// InOrder is a pipeline: next fills an item (one goroutine; false at the end),
// work goes on with it (all cores), and take gets it (the caller's goroutine),
// in the order in which next filled them, whatever the number of cores. Items
// are used again, so a few of them are all it holds, and next finds in an item
// what an earlier one left there.
//
// The first error in that order is returned, of next or of take. ctx is looked
// at before each item. InOrder returns only after every goroutine that it
// started has ended.
func InOrder[T any](ctx context.Context, next func(*T) (bool, error), work func(*T), take func(*T) error) error {
	type slot struct {
		v    T
		err  error
		done chan struct{}
	}
	workers := Workers()
	slots := workers + 3 // three wait, filled or finished, so that no core does
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

// Ahead reads a stream on a goroutine of its own, a quarter of a megabyte
// ahead at most, so that unpacking runs beside what is done with it.
type Ahead struct {
	full, free chan []byte
	stop       chan struct{}
	err        error // valid once full is closed
	lent, rest []byte
}

// ReadAhead begins to read. in is called until its first error, which Read
// returns after what came before it. Close must be called in the end.
func ReadAhead(in io.Reader) *Ahead {
	const parts = 4
	a := &Ahead{full: make(chan []byte, parts), free: make(chan []byte, parts), stop: make(chan struct{})}
	for range parts {
		a.free <- make([]byte, 1<<16)
	}
	go func() {
		defer close(a.full)
		for a.err == nil {
			var b []byte
			select {
			case b = <-a.free:
			case <-a.stop:
				return
			}
			n := 0
			b = b[:cap(b)]
			for n < len(b) && a.err == nil {
				var k int
				k, a.err = in.Read(b[n:])
				n += k
			}
			if n > 0 {
				a.full <- b[:n]
			}
		}
	}()
	return a
}

// Read hands out what was read; it may wait.
func (a *Ahead) Read(p []byte) (int, error) {
	if len(a.rest) == 0 {
		if a.lent != nil {
			a.free <- a.lent
			a.lent = nil
		}
		b, ok := <-a.full
		if !ok {
			return 0, a.err
		}
		a.lent, a.rest = b, b
	}
	n := copy(p, a.rest)
	a.rest = a.rest[n:]
	return n, nil
}

// errClosed is what Read says after Close.
var errClosed = errors.New("read after close")

// Close ends the reading and waits until the last call of in has ended. It may
// be called once.
func (a *Ahead) Close() {
	close(a.stop)
	for range a.full { // let it see the stop
	}
	if a.err == nil {
		a.err = errClosed
	}
	a.lent, a.rest = nil, nil
}
