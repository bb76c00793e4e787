package meshfile

import (
	"bytes"
	"io"
	"math"
	"strconv"
	"unsafe"
)

// textBlock is how much text one step of the pipeline parses, and maxLine the
// longest line (with its continuations) that is still taken for one.
const (
	textBlock = 1 << 18
	maxLine   = 1 << 24
)

// blocks cuts a text into pieces that end where split says.
type blocks struct {
	s    *source
	off  int64
	rest []byte                // read but not yet handed out
	last func(p []byte) int    // length of the longest prefix that may be cut off, 0 = none
	long func(have int) *Error // no place to cut within maxLine
}

// next fills p with the next piece and returns it, or io.EOF.
func (k *blocks) next(p []byte) ([]byte, error) {
	p = append(p[:0], k.rest...)
	k.rest = k.rest[:0]
	for {
		n := len(p)
		want := textBlock
		if n >= textBlock {
			want = n // a long line: double what we hold
		}
		want = int(min(int64(want), k.s.size-k.off))
		if want == 0 {
			if len(p) == 0 {
				return nil, io.EOF
			}
			return p, nil
		}
		if cap(p) < n+want {
			q := make([]byte, n, n+want)
			copy(q, p)
			p = q
		}
		p = p[:n+want]
		if err := k.s.readAt(p[n:], k.off); err != nil {
			return nil, err
		}
		k.off += int64(want)
		if k.off == k.s.size {
			return p, nil
		}
		if cut := k.last(p); cut > 0 {
			k.rest = append(k.rest[:0], p[cut:]...)
			return p[:cut], nil
		}
		if len(p) > maxLine {
			return nil, k.long(len(p))
		}
	}
}

// lastLine cuts after the last line end whose line is not continued on the
// next by a backslash.
func lastLine(p []byte) int {
	for {
		i := bytes.LastIndexByte(p, '\n')
		if i < 0 {
			// Old files end their lines with a carriage return only.
			j := bytes.LastIndexByte(p, '\r')
			if j >= 0 && j < len(p)-1 {
				return j + 1
			}
			return 0
		}
		if !continued(p[:i]) {
			return i + 1
		}
		p = p[:i]
	}
}

func continued(line []byte) bool {
	if n := len(line); n > 0 && line[n-1] == '\r' {
		line = line[:n-1]
	}
	return len(line) > 0 && line[len(line)-1] == '\\'
}

func isSpace(c byte) bool { return c == ' ' || c-'\t' <= '\r'-'\t' }

// lines counts the line ends in p: \n, \r\n or a lone \r.
func lines(p []byte) int {
	n := bytes.Count(p, []byte{'\n'})
	if n == 0 {
		return bytes.Count(p, []byte{'\r'})
	}
	return n
}

// pow10 holds the powers of ten that float64 holds exactly.
var pow10 = [23]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// number reads the decimal number at p[i:], which must end at white space or
// at the end of p, and returns the position after it. The result is the
// float64 nearest to the text: up to 15 digits and a power of ten up to 22
// are one exact product or quotient (Clinger 1990), the rest is left to
// strconv. ok is false if there is no number; a number beyond float64 comes
// back as an infinity, words like nan as a NaN.
func number(p []byte, i int) (v float64, end int, ok bool) {
	start := i
	n := len(p)
	neg := false
	if i < n && (p[i] == '-' || p[i] == '+') {
		neg = p[i] == '-'
		i++
	}
	var m uint64
	first := i
	for i < n && p[i]-'0' <= 9 {
		m = m*10 + uint64(p[i]-'0')
		i++
	}
	digits := i - first
	e := 0
	if i < n && p[i] == '.' {
		i++
		dot := i
		for i < n && p[i]-'0' <= 9 {
			m = m*10 + uint64(p[i]-'0')
			i++
		}
		e = dot - i
		digits += i - dot
	}
	if digits == 0 {
		return word(p, start)
	}
	if i < n && p[i]|0x20 == 'e' {
		i++
		minus := false
		if i < n && (p[i] == '-' || p[i] == '+') {
			minus = p[i] == '-'
			i++
		}
		x, from := 0, i
		for i < n && p[i]-'0' <= 9 {
			if x < 100000 {
				x = x*10 + int(p[i]-'0')
			}
			i++
		}
		if i == from {
			return 0, start, false
		}
		if minus {
			x = -x
		}
		e += x
	}
	if i < n && !isSpace(p[i]) {
		return 0, start, false
	}
	// With 19 digits or fewer (leading zeros included) m did not overflow.
	if digits <= 19 && m < 1<<53 {
		f := float64(m)
		switch {
		case e == 0:
		case e > 0 && e <= 22:
			f *= pow10[e]
		case e < 0 && e >= -22:
			f /= pow10[-e]
		default:
			return slow(p[start:i], i)
		}
		if neg {
			f = -f
		}
		return f, i, true
	}
	return slow(p[start:i], i)
}

func slow(t []byte, end int) (float64, int, bool) {
	// The string lives only for the call; strconv copies it into an error.
	f, _ := strconv.ParseFloat(unsafe.String(&t[0], len(t)), 64)
	return f, end, true // out of range comes back as an infinity
}

// word reads nan, inf and their kin, so that they are told from garbage.
func word(p []byte, i int) (float64, int, bool) {
	j := i
	for j < len(p) && !isSpace(p[j]) {
		j++
	}
	t := bytes.ToLower(bytes.TrimLeft(p[i:j], "+-"))
	for _, w := range []string{"nan", "inf", "infinity", "nan(ind)", "1.#qnan", "1.#inf", "1.#ind"} {
		if string(t) == w {
			return math.NaN(), j, true
		}
	}
	return 0, i, false
}

// skipSpace returns the position of the next byte that is not white space.
func skipSpace(p []byte, i int) int {
	for i < len(p) && isSpace(p[i]) {
		i++
	}
	return i
}

// skipBlank is skipSpace within a line.
func skipBlank(p []byte, i int) int {
	for i < len(p) && (p[i] == ' ' || p[i] == '\t' || p[i] == '\v' || p[i] == '\f') {
		i++
	}
	return i
}

// token returns the end of the token at p[i:].
func token(p []byte, i int) int {
	for i < len(p) && !isSpace(p[i]) {
		i++
	}
	return i
}

// lineEnd returns the end of the line that p[i] stands in.
func lineEnd(p []byte, i int) int {
	for i < len(p) && p[i] != '\n' && p[i] != '\r' {
		i++
	}
	return i
}

// isWord reports whether t is the lower-case word w in any case.
func isWord(t []byte, w string) bool {
	if len(t) != len(w) {
		return false
	}
	for i := range t {
		c := t[i]
		if c-'A' <= 'Z'-'A' {
			c |= 0x20
		}
		if c != w[i] {
			return false
		}
	}
	return true
}
