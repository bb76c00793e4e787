package meshfile

import (
	"errors"
)

// Error says why a file gives no mesh: facts, which render/words puts in words.
type Error struct {
	File  string // its name, or what stands for it
	Line  int    // of a text, from 1; 0 = the file as a whole
	Fault Fault
	Args  []any // what the words rest on: int64, string (a piece of the file, cut), mesh.Vec or error
	err   error
}

// Fault is what is wrong with a file: where it was met and what, such as
// "ply.no-format". Each has its words in render/words, whose test holds the two
// against each other.
type Fault string

// Error names the file and the fault.
func (e *Error) Error() string { return "meshfile: " + e.File + ": " + string(e.Fault) }

// Unwrap returns the cause, if another package reported one.
func (e *Error) Unwrap() error { return e.err }

// fail makes an Error about the file as a whole.
func (s *source) fail(f Fault, args ...any) *Error { return s.at(0, f, args...) }

// at makes an Error about one line of a text file.
func (s *source) at(line int, f Fault, args ...any) *Error {
	for i, a := range args {
		switch a := a.(type) {
		case int:
			args[i] = int64(a)
		case int32:
			args[i] = int64(a)
		case uint32:
			args[i] = int64(a)
		case []byte:
			args[i] = piece(string(a))
		case string:
			args[i] = piece(a)
		}
	}
	return &Error{File: s.name, Line: line, Fault: f, Args: args}
}

// longestPiece is how much of a file is kept to be shown, in bytes.
const longestPiece = 64

func piece(s string) string { return s[:min(len(s), longestPiece)] }

// input wraps a failure to read the bytes themselves.
func (s *source) input(err error) error {
	var e *Error
	if errors.As(err, &e) {
		return err
	}
	e = s.fail("open.read", cause(err))
	e.err = err
	return e
}

// cause strips the operation and path that os errors carry: the name is
// already said.
func cause(err error) error {
	for {
		u := errors.Unwrap(err)
		if u == nil {
			return err
		}
		err = u
	}
}
