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

// more reads on, keeping the bytes from x.i on, which move to the front.
func (x *xmlScan) more() bool {
	if x.err != nil {
		return false
	}
	if x.i > 0 {
		copy(x.buf, x.buf[x.i:x.n])
		x.n -= x.i
		x.i = 0
	}
	if x.n == len(x.buf) {
		if len(x.buf) >= maxTag {
			x.err = errXMLLong
			return false
		}
		b := make([]byte, 2*len(x.buf))
		copy(b, x.buf)
		x.buf = b
	}
	for {
		k, err := x.r.Read(x.buf[x.n:])
		x.n += k
		if k > 0 {
			return true
		}
		if err != nil {
			x.err = err
			return false
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
		if err := x.angle(); err != nil {
			return err
		}
		var err error
		switch x.buf[x.i+1] {
		case '?':
			err = x.skip("?>")
		case '!':
			err = x.declaration()
		default:
			return x.tagHere()
		}
		if err != nil {
			return err
		}
	}
}

// angle moves to the next < and sees to it that what follows is read.
func (x *xmlScan) angle() error {
	for {
		if k := bytes.IndexByte(x.buf[x.i:x.n], '<'); k >= 0 {
			x.i += k
			break
		}
		x.i = x.n
		if !x.more() {
			if x.err == io.EOF && len(x.stack) > 0 {
				return errXMLShort
			}
			return x.err
		}
	}
	for x.i+1 >= x.n {
		if !x.more() {
			return x.short()
		}
	}
	return nil
}

// declaration passes over a comment or a section of plain text.
func (x *xmlScan) declaration() error {
	for x.n-x.i < len("<![CDATA[") && x.more() {
	}
	t := x.buf[x.i:x.n]
	switch {
	case bytes.HasPrefix(t, []byte("<!--")):
		x.i += 4
		return x.skip("-->")
	case bytes.HasPrefix(t, []byte("<![CDATA[")):
		return x.skip("]]>")
	case x.err != nil:
		return x.short()
	}
	return errXMLDoc
}

// tagHere reads the tag that begins here to its end, minding quotes.
func (x *xmlScan) tagHere() error {
	quote := byte(0)
	for k := 1; ; {
		t := x.buf[x.i:x.n]
		for ; k < len(t); k++ {
			c := t[k]
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
				x.i += k + 1
				return x.tag(t[1:k])
			case '<':
				return errXML
			}
		}
		if !x.more() {
			return x.short()
		}
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
		if !x.more() {
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
