package meshfile

import (
	"bytes"
	"errors"
	"io"
	"strconv"
	"unicode/utf8"
)

// xmlScan pulls tags out of a stream of XML, the subset that 3MF packages are
// made of: elements and attributes. Text, comments and processing
// instructions are passed over. A document type is refused, so there are no
// entities to expand but the five of XML and character numbers. It checks
// that tags nest and does no more than that.
type xmlScan struct {
	r    io.Reader
	buf  []byte
	i, n int
	err  error

	name  []byte // of the last tag, with its prefix
	attrs []byte // of the last start tag, raw
	end   bool   // the last tag is an end tag
	empty bool   // the last tag was <a/>: its end tag comes next
	stack [][]byte
	pool  []byte
}

var (
	errXML      = errors.New("not well-formed XML")
	errXMLDoc   = errors.New("XML with a document type")
	errXMLDeep  = errors.New("XML nested too deeply")
	errXMLLong  = errors.New("XML with an endless tag")
	errXMLShort = errors.New("XML that is cut off")
)

// maxTag is the longest tag read, maxDeep the deepest nesting; 3MF needs far
// less of either.
const (
	maxTag  = 1 << 20
	maxDeep = 256
)

func newXML(r io.Reader) *xmlScan { return &xmlScan{r: r, buf: make([]byte, 1<<16)} }

// more reads on, keeping the bytes from keep on; it returns by how much they
// moved.
func (x *xmlScan) more(keep int) (moved int, ok bool) {
	if x.err != nil {
		return 0, false
	}
	if keep > 0 {
		copy(x.buf, x.buf[keep:x.n])
		x.n -= keep
		x.i -= keep
	}
	if x.n == len(x.buf) {
		if len(x.buf) >= maxTag {
			x.err = errXMLLong
			return keep, false
		}
		b := make([]byte, 2*len(x.buf))
		copy(b, x.buf)
		x.buf = b
	}
	for {
		k, err := x.r.Read(x.buf[x.n:])
		x.n += k
		if k > 0 {
			return keep, true
		}
		if err != nil {
			x.err = err
			return keep, false
		}
	}
}

// next moves to the next tag. It returns io.EOF after the root element has
// ended and the stream with it.
func (x *xmlScan) next() error {
	if x.empty {
		x.empty, x.end = false, true
		return nil
	}
	for {
		// To the next <.
		for {
			if k := bytes.IndexByte(x.buf[x.i:x.n], '<'); k >= 0 {
				x.i += k
				break
			}
			x.i = x.n
			if _, ok := x.more(x.n); !ok {
				if x.err == io.EOF && len(x.stack) > 0 {
					return errXMLShort
				}
				return x.err
			}
		}
		// The tag to its end, minding quotes.
		start := x.i
		for start+1 >= x.n {
			m, ok := x.more(start)
			start -= m
			if !ok {
				return x.short()
			}
		}
		switch x.buf[start+1] {
		case '?':
			if err := x.skip("?>"); err != nil {
				return err
			}
			continue
		case '!':
			for x.n-start < 9 {
				m, ok := x.more(start)
				start -= m
				if !ok {
					break
				}
			}
			x.i = start
			t := x.buf[start:x.n]
			switch {
			case bytes.HasPrefix(t, []byte("<!--")):
				x.i += 4
				if err := x.skip("-->"); err != nil {
					return err
				}
			case bytes.HasPrefix(t, []byte("<![CDATA[")):
				if err := x.skip("]]>"); err != nil {
					return err
				}
			case x.err != nil:
				return x.short()
			default:
				return errXMLDoc
			}
			continue
		}
		quote := byte(0)
		k := start + 1
	scan:
		for {
			for ; k < x.n; k++ {
				c := x.buf[k]
				if quote != 0 {
					if c == quote {
						quote = 0
					}
					continue
				}
				switch c {
				case '"', '\'':
					quote = c
				case '>':
					break scan
				case '<':
					return errXML
				}
			}
			m, ok := x.more(start)
			start -= m
			k -= m
			if !ok {
				return x.short()
			}
		}
		t := x.buf[start+1 : k]
		x.i = k + 1
		return x.tag(t)
	}
}

func (x *xmlScan) short() error {
	if x.err == io.EOF {
		return errXMLShort
	}
	return x.err
}

func (x *xmlScan) tag(t []byte) error {
	if len(t) == 0 {
		return errXML
	}
	if t[0] == '/' {
		name := bytes.TrimRight(t[1:], " \t\r\n")
		d := len(x.stack)
		if d == 0 || !bytes.Equal(x.stack[d-1], name) {
			return errXML
		}
		x.name, x.end, x.attrs = name, true, nil
		x.pool = x.pool[:len(x.pool)-len(name)]
		x.stack = x.stack[:d-1]
		return nil
	}
	x.end = false
	if t[len(t)-1] == '/' {
		x.empty = true
		t = t[:len(t)-1]
	}
	e := 0
	for e < len(t) && !isSpace(t[e]) {
		e++
	}
	if e == 0 {
		return errXML
	}
	x.name, x.attrs = t[:e], t[e:]
	if !x.empty {
		if len(x.stack) >= maxDeep {
			return errXMLDeep
		}
		// Names live in one pool; it is copied, not moved, when it grows, so
		// that the slices on the stack stay good.
		x.pool = append(x.pool, x.name...)
		x.stack = append(x.stack, x.pool[len(x.pool)-e:])
	}
	return nil
}

// skip passes over everything up to and including mark.
func (x *xmlScan) skip(mark string) error {
	for {
		if k := bytes.Index(x.buf[x.i:x.n], []byte(mark)); k >= 0 {
			x.i += k + len(mark)
			return nil
		}
		x.i = max(x.i, x.n-len(mark)+1)
		if _, ok := x.more(x.i); !ok {
			return x.short()
		}
	}
}

// attr is one attribute; next cuts it off the front of raw attributes. The
// value still holds its entities.
func nextAttr(p []byte) (name, value, rest []byte, ok bool) {
	i := 0
	for i < len(p) && isSpace(p[i]) {
		i++
	}
	s := i
	for i < len(p) && p[i] != '=' && !isSpace(p[i]) {
		i++
	}
	name = p[s:i]
	for i < len(p) && isSpace(p[i]) {
		i++
	}
	if len(name) == 0 || i >= len(p) || p[i] != '=' {
		return nil, nil, nil, false
	}
	i++
	for i < len(p) && isSpace(p[i]) {
		i++
	}
	if i >= len(p) || p[i] != '"' && p[i] != '\'' {
		return nil, nil, nil, false
	}
	q := p[i]
	i++
	k := bytes.IndexByte(p[i:], q)
	if k < 0 {
		return nil, nil, nil, false
	}
	return name, p[i : i+k], p[i+k+1:], true
}

// xmlText resolves the entities of an attribute value.
func xmlText(v []byte) string {
	if bytes.IndexByte(v, '&') < 0 {
		return string(v)
	}
	var out []byte
	for len(v) > 0 {
		k := bytes.IndexByte(v, '&')
		if k < 0 {
			out = append(out, v...)
			break
		}
		out = append(out, v[:k]...)
		v = v[k:]
		e := bytes.IndexByte(v, ';')
		if e < 0 {
			out = append(out, v...)
			break
		}
		switch ent := string(v[1:e]); ent {
		case "lt":
			out = append(out, '<')
		case "gt":
			out = append(out, '>')
		case "amp":
			out = append(out, '&')
		case "quot":
			out = append(out, '"')
		case "apos":
			out = append(out, '\'')
		default:
			base, digits := 10, ent
			if len(ent) > 1 && ent[0] == '#' {
				digits = ent[1:]
				if digits[0] == 'x' {
					base, digits = 16, digits[1:]
				}
				if n, err := strconv.ParseUint(digits, base, 21); err == nil {
					out = utf8.AppendRune(out, rune(n))
				}
			}
		}
		v = v[e+1:]
	}
	return string(out)
}
