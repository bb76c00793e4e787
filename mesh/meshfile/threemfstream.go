package meshfile

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"unicode/utf16"

	"moldtally/mesh/par"
)

// threeStream inflates a part within the budget of the whole file, and ahead
// of its reader on a core of its own.
type threeStream struct {
	r     *threeReader
	in    io.ReadCloser
	ahead *par.Ahead
	done  float64 // bytes handed out, of size as the package says
	size  float64
}

func (r *threeReader) open(f *zip.File) (*threeStream, error) {
	if f.Flags&1 != 0 {
		return nil, r.s.fail("3mf.locked")
	}
	in, err := f.Open()
	if err != nil {
		return nil, r.s.fail("3mf.packing")
	}
	return &threeStream{r: r, in: in, ahead: par.ReadAhead(&budget{in, r.left, func() error { return r.s.bomb() }}), size: float64(f.UncompressedSize64) + 1}, nil
}

// budget reads so many bytes and then fails with over.
type budget struct {
	in   io.Reader
	left int64
	over func() error
}

func (b *budget) Read(p []byte) (int, error) {
	n, err := b.in.Read(p)
	b.left -= int64(n)
	if b.left < 0 {
		return 0, b.over()
	}
	return n, err
}

func (t *threeStream) Read(p []byte) (int, error) {
	if err := t.r.s.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := t.ahead.Read(p)
	t.r.left -= int64(n)
	t.done += float64(n)
	t.r.s.progress(int64(float64(t.r.s.size) * min(1, t.done/t.size)))
	return n, err
}

// Close ends the inflating; it may be called once.
func (t *threeStream) Close() {
	t.ahead.Close()
	t.in.Close()
}

// xmlError words an error from below; those already worded pass.
func (r *threeReader) xmlError(err error) error {
	var e *Error
	s := r.s
	switch {
	case errors.As(err, &e):
		return err
	case s.ctx.Err() != nil:
		return s.ctx.Err()
	case errors.Is(err, errXMLShort), errors.Is(err, io.ErrUnexpectedEOF):
		return s.fail("3mf.cut")
	case errors.Is(err, errXMLDoc):
		return s.fail("3mf.doctype")
	case errors.Is(err, errXMLDeep), errors.Is(err, errXMLLong):
		return s.fail("3mf.stretched")
	case errors.Is(err, errXML):
		return s.fail("3mf.malformed")
	case errors.Is(err, zip.ErrChecksum):
		return s.fail("3mf.checksum")
	}
	return s.fail("archive.damaged")
}

// utf8Reader turns UTF-16, which 3MF allows, into UTF-8.
func utf8Reader(r io.Reader) (io.Reader, error) {
	var b [2]byte
	n, err := io.ReadFull(r, b[:])
	if err != nil && n == 0 {
		if err == io.EOF {
			err = errXMLShort
		}
		return nil, err
	}
	switch string(b[:n]) {
	case "\xff\xfe":
		return &wide{r: r}, nil
	case "\xfe\xff":
		return &wide{r: r, big: true}, nil
	}
	return io.MultiReader(bytes.NewReader(b[:n]), r), nil
}

type wide struct {
	r    io.Reader
	big  bool
	raw  []byte
	out  []byte
	high rune // half of a surrogate pair
}

func (w *wide) Read(p []byte) (int, error) {
	for len(w.out) == 0 {
		if w.raw == nil {
			w.raw = make([]byte, 4096)
		}
		n, err := io.ReadFull(w.r, w.raw)
		for i := 0; i+1 < n; i += 2 {
			u := rune(w.raw[i]) | rune(w.raw[i+1])<<8
			if w.big {
				u = rune(w.raw[i])<<8 | rune(w.raw[i+1])
			}
			if utf16.IsSurrogate(u) {
				if w.high != 0 {
					w.out = append(w.out, string(utf16.DecodeRune(w.high, u))...)
					w.high = 0
				} else {
					w.high = u
				}
				continue
			}
			w.high = 0
			w.out = append(w.out, string(u)...)
		}
		if len(w.out) == 0 && err != nil {
			if err == io.ErrUnexpectedEOF {
				err = io.EOF
			}
			return 0, err
		}
	}
	n := copy(p, w.out)
	w.out = w.out[n:]
	return n, nil
}
