package meshfile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Error says why a file gives no mesh, in the three parts shown to the user:
// what is so, what that does to the job, what to do.
type Error struct {
	Summary string // names the file
	Effect  string
	Hint    string
	TooMany bool // there are more triangles than Options allow
	err     error
}

// Error returns the summary.
func (e *Error) Error() string { return e.Summary }

// Unwrap returns the cause, if another package reported one.
func (e *Error) Unwrap() error { return e.err }

// What an unreadable file does to the job; the same few sentences everywhere.
const (
	effNone    = "without a surface there is no volume, so no rubber can be worked out"
	effPart    = "a part of the surface is missing, so any volume worked out from the rest would be wrong"
	effGarbled = "the surface cannot be trusted, so nothing was worked out from it"
	effRefused = "nothing was read, to keep this machine usable"

	hintAgain   = "copy or download the file again; if it is the same, export it anew from the program it was made in"
	hintExport  = "export it anew from the program it was made in, as binary STL or 3MF"
	hintFormats = "export the pattern as STL, OBJ, PLY, OFF, 3MF or glTF"
	hintCut     = "copy or download the file again: the transfer probably stopped early; if it is the same, export it anew"
)

// fail makes an Error. The summary is about the file: it is prefixed by its name.
func (s *source) fail(effect, hint, format string, args ...any) *Error {
	return &Error{Summary: s.name + " " + fmt.Sprintf(format, args...), Effect: effect, Hint: hint}
}

// at makes an Error about one place of a text file.
func (s *source) at(line int, effect, hint, format string, args ...any) *Error {
	return &Error{Summary: fmt.Sprintf("%s, line %s: ", s.name, count(line)) + fmt.Sprintf(format, args...), Effect: effect, Hint: hint}
}

// input wraps a failure to read the bytes themselves.
func (s *source) input(err error) error {
	var e *Error
	if errors.As(err, &e) {
		return err
	}
	return &Error{
		Summary: fmt.Sprintf("%s cannot be read to its end: %v", s.name, cause(err)),
		Effect:  effPart, Hint: "check the disk, stick or network folder it lies on, and copy the file again", err: err,
	}
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

// quote makes a piece of the file safe to show: short, one line, printable.
func quote(b []byte) string {
	cut := false
	if len(b) > 24 {
		b, cut = b[:24], true
	}
	s := strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == 0xfffd || r == '"' {
			return '?'
		}
		return r
	}, string(b))
	if cut {
		s += "…"
	}
	return `"` + s + `"`
}

// count prints a whole number with spaces between thousands.
func count[T ~int | ~int32 | ~int64 | ~uint32 | ~uint64](n T) string {
	s := strconv.FormatInt(int64(n), 10)
	if n < 0 || len(s) < 5 {
		return s
	}
	var b strings.Builder
	for i, c := range s {
		if i > 0 && (len(s)-i)%3 == 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(c)
	}
	return b.String()
}

// plural returns "1 triangle", "2 triangles".
func plural[T ~int | ~int32 | ~int64 | ~uint32 | ~uint64](n T, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return count(n) + " " + what + "s"
}

// bytesize prints a size in words.
func bytesize(n int64) string {
	switch {
	case n < 10_000:
		return plural(n, "byte")
	case n < 10_000_000:
		return count(n/1000) + " kB"
	}
	return count(n/1_000_000) + " MB"
}
