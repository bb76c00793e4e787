package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
)

// A pattern on stdin is spooled, because readers need to look at its end
// before its middle: in memory while it is small, else in a passing file.
const (
	spoolMemory = 64 << 20
	spoolLimit  = 16 << 30 // larger than any mesh that is read
)

// spool reads all of r. done must be called in the end. A read that blocks
// does not keep Ctrl-C waiting.
func spool(ctx context.Context, r io.Reader) (data io.ReaderAt, size int64, done func(), err error) {
	type part struct {
		b   []byte
		err error
	}
	parts := make(chan part)
	go func() { // ends with the program at the latest
		for {
			b := make([]byte, 1<<20)
			n, err := io.ReadFull(r, b)
			if err == io.ErrUnexpectedEOF {
				err = io.EOF
			}
			select {
			case parts <- part{b[:n], err}:
			case <-ctx.Done():
				return
			}
			if err != nil {
				return
			}
		}
	}()
	var mem bytes.Buffer
	var file *os.File
	drop := func() {
		if file != nil {
			file.Close()
			os.Remove(file.Name())
		}
	}
	defer func() {
		if err != nil {
			drop()
		}
	}()
	for {
		var p part
		select {
		case <-ctx.Done():
			return nil, 0, nil, fmt.Errorf("reading stdin: %w", ctx.Err())
		case p = <-parts:
		}
		size += int64(len(p.b))
		if size > spoolLimit {
			return nil, 0, nil, &failure{"what comes on stdin is larger than 16 GB", "nothing was read to its end", "save the pattern to a file and name that"}
		}
		if file == nil && size > spoolMemory {
			if file, err = os.CreateTemp("", "moldtally-*"); err != nil {
				return nil, 0, nil, &failure{fmt.Sprintf("what comes on stdin is large and there is no room to keep it: %v", cause(err)), "nothing was read to its end", "save the pattern to a file and name that"}
			}
			if _, err = mem.WriteTo(file); err != nil {
				return nil, 0, nil, cannotWrite(file.Name(), err)
			}
		}
		if file != nil {
			if _, err = file.Write(p.b); err != nil {
				return nil, 0, nil, cannotWrite(file.Name(), err)
			}
		} else {
			mem.Write(p.b)
		}
		if p.err == io.EOF {
			break
		}
		if p.err != nil {
			return nil, 0, nil, &failure{fmt.Sprintf("stdin cannot be read to its end: %v", cause(p.err)), "a part of the pattern is missing, so nothing was worked out", "save the pattern to a file and name that"}
		}
	}
	if file != nil {
		return file, size, drop, nil
	}
	return bytes.NewReader(mem.Bytes()), size, drop, nil
}
