package meshfile

import (
	"encoding/binary"
	"io"
	"math"
)

// plyIn reads the values of the body one after the other.
type plyIn interface {
	float(t plyType) (float64, error)
	whole(t plyType) (int64, error)
	list(t plyType, n int64, into []int64) ([]int64, error)
	skip(t plyType, n int64) error
}

// plyText is the body of a text PLY.
type plyText struct{ w *words }

func (t *plyText) float(plyType) (float64, error) { return t.w.float("text.wants-number") }
func (t *plyText) whole(plyType) (int64, error)   { return t.w.whole("text.wants-whole") }
func (t *plyText) skip(_ plyType, n int64) error {
	for range n {
		if !t.w.ready() {
			return t.w.short()
		}
		t.w.i = token(t.w.buf, t.w.i)
	}
	return nil
}

func (t *plyText) list(_ plyType, n int64, into []int64) ([]int64, error) {
	for range n {
		v, err := t.w.whole("text.wants-corner")
		if err != nil {
			return into, err
		}
		into = append(into, v)
	}
	return into, nil
}

// plyBinary is the body of a binary PLY, read in large blocks.
type plyBinary struct {
	s     *source
	off   int64 // of the byte after buf
	buf   []byte
	i     int
	order binary.ByteOrder
}

func (b *plyBinary) pos() int64  { return b.off - int64(len(b.buf)-b.i) }
func (b *plyBinary) left() int64 { return b.s.size - b.pos() }

// need returns the next n bytes.
func (b *plyBinary) need(n int) ([]byte, error) {
	if n <= len(b.buf)-b.i {
		p := b.buf[b.i : b.i+n]
		b.i += n
		return p, nil
	}
	if int64(n) > b.left() {
		return nil, io.ErrUnexpectedEOF
	}
	rest := len(b.buf) - b.i
	size := max(textBlock, n)
	size = int(min(int64(size), int64(rest)+b.s.size-b.off))
	p := b.buf
	if cap(p) < size {
		p = make([]byte, size)
	}
	p = p[:size]
	copy(p, b.buf[b.i:])
	if err := b.s.readAt(p[rest:], b.off); err != nil {
		return nil, err
	}
	b.off += int64(size - rest)
	b.buf, b.i = p, n
	b.s.progress(b.off)
	return p[:n], nil
}

func (b *plyBinary) decode(p []byte, t plyType) float64 {
	switch t {
	case plyF32:
		return float64(math.Float32frombits(b.order.Uint32(p)))
	case plyF64:
		return math.Float64frombits(b.order.Uint64(p))
	}
	return float64(b.decodeWhole(p, t))
}

func (b *plyBinary) decodeWhole(p []byte, t plyType) int64 {
	switch t {
	case plyI8:
		return int64(int8(p[0]))
	case plyU8:
		return int64(p[0])
	case plyI16:
		return int64(int16(b.order.Uint16(p)))
	case plyU16:
		return int64(b.order.Uint16(p))
	case plyI32:
		return int64(int32(b.order.Uint32(p)))
	}
	return int64(b.order.Uint32(p))
}

func (b *plyBinary) float(t plyType) (float64, error) {
	p, err := b.need(plySize[t])
	if err != nil {
		return 0, err
	}
	return b.decode(p, t), nil
}

func (b *plyBinary) whole(t plyType) (int64, error) {
	p, err := b.need(plySize[t])
	if err != nil {
		return 0, err
	}
	return b.decodeWhole(p, t), nil
}

func (b *plyBinary) list(t plyType, n int64, into []int64) ([]int64, error) {
	w := plySize[t]
	if n > b.left()/int64(w) {
		return into, io.ErrUnexpectedEOF
	}
	for n > 0 {
		// In parts, so that a long list needs no buffer of its own length.
		k := min(n, 1<<14)
		p, err := b.need(int(k) * w)
		if err != nil {
			return into, err
		}
		for ; len(p) > 0; p = p[w:] {
			into = append(into, b.decodeWhole(p, t))
		}
		n -= k
	}
	return into, nil
}

func (b *plyBinary) skip(t plyType, n int64) error {
	bytes := n * int64(plySize[t])
	if bytes > b.left() {
		return io.ErrUnexpectedEOF
	}
	if bytes <= int64(len(b.buf)-b.i) {
		b.i += int(bytes)
		return nil
	}
	at := b.pos() + bytes
	b.off, b.buf, b.i = at, b.buf[:0], 0
	return nil
}
