package meshfile

import (
	"bytes"
	"encoding/binary"
	"strconv"
)

type plyType uint8

const (
	plyNone plyType = iota
	plyI8
	plyU8
	plyI16
	plyU16
	plyI32
	plyU32
	plyF32
	plyF64
)

var plyTypes = map[string]plyType{
	"char": plyI8, "uchar": plyU8, "short": plyI16, "ushort": plyU16, "int": plyI32, "uint": plyU32, "float": plyF32, "double": plyF64,
	"int8": plyI8, "uint8": plyU8, "int16": plyI16, "uint16": plyU16, "int32": plyI32, "uint32": plyU32, "float32": plyF32, "float64": plyF64,
}

var plySize = [...]int{plyI8: 1, plyU8: 1, plyI16: 2, plyU16: 2, plyI32: 4, plyU32: 4, plyF32: 4, plyF64: 8}

type plyProp struct {
	name  string
	count plyType // of a list, else plyNone
	typ   plyType
}

type plyElem struct {
	name  string
	n     int64
	props []plyProp
}

// plyHead is what the head of a PLY says.
type plyHead struct {
	elems []plyElem
	said  bool             // which format it is
	text  bool             // the body is text
	order binary.ByteOrder // of a binary body
	body  int64            // where the body begins
	line  int              // the line read last; at the end the body's first
}

// plyHeader parses the header, which is text in all variants.
func (s *source) plyHeader() (h plyHead, err error) {
	p := make([]byte, min(s.size, 1<<20))
	if err := s.readAt(p, 0); err != nil {
		return h, err
	}
	for i := bom(p); ; {
		if i >= len(p) {
			return h, s.fail("ply.head-cut")
		}
		h.line++
		e := lineEnd(p, i)
		f := bytes.Fields(p[i:e])
		// "\r\n" is one line end; a lone "\r" is one only if the next byte
		// is not "\n".
		i = e + 1
		if e < len(p) && p[e] == '\r' && i < len(p) && p[i] == '\n' {
			i++
		}
		if len(f) == 0 {
			continue
		}
		switch string(f[0]) {
		case "ply", "comment", "obj_info":
		case "format":
			err = s.plyFormat(&h, f)
		case "element":
			err = s.plyElement(&h, f)
		case "property":
			err = s.plyProperty(&h, f)
		case "end_header":
			if !h.said {
				return h, s.at(h.line, "ply.no-format")
			}
			h.body = min(int64(i), s.size)
			h.line++
			return h, nil
		default:
			err = s.at(h.line, "ply.head-word", f[0])
		}
		if err != nil {
			return h, err
		}
	}
}

// plyFormat takes in a line that says the format.
func (s *source) plyFormat(h *plyHead, f [][]byte) error {
	if len(f) < 2 {
		return s.at(h.line, "ply.format-missing")
	}
	switch string(f[1]) {
	case "ascii":
		h.text, s.info.Format = true, "PLY ascii"
	case "binary_little_endian":
		h.order, s.info.Format = binary.LittleEndian, "PLY binary little-endian"
	case "binary_big_endian":
		h.order, s.info.Format = binary.BigEndian, "PLY binary big-endian"
	default:
		return s.at(h.line, "ply.format-unknown", f[1])
	}
	h.said = true
	return nil
}

// plyElement takes in a line that begins a list.
func (s *source) plyElement(h *plyHead, f [][]byte) error {
	if len(f) < 3 {
		return s.at(h.line, "ply.list-form")
	}
	n, err := strconv.ParseInt(string(f[2]), 10, 64)
	if err != nil || n < 0 {
		return s.at(h.line, "ply.list-rows", f[2])
	}
	if len(h.elems) >= 1000 {
		return s.at(h.line, "ply.lists-many")
	}
	h.elems = append(h.elems, plyElem{name: string(f[1]), n: n})
	return nil
}

// plyProperty takes in a line that says what the rows of the last list hold.
func (s *source) plyProperty(h *plyHead, f [][]byte) error {
	if len(h.elems) == 0 {
		return s.at(h.line, "ply.property-first")
	}
	el := &h.elems[len(h.elems)-1]
	var pr plyProp
	switch {
	case len(f) >= 5 && string(f[1]) == "list":
		pr = plyProp{name: string(f[4]), count: plyTypes[string(f[2])], typ: plyTypes[string(f[3])]}
		if pr.count == plyNone || pr.typ == plyNone || pr.count >= plyF32 {
			return s.at(h.line, "ply.list-type", f[3], f[2])
		}
	case len(f) >= 3 && string(f[1]) != "list":
		pr = plyProp{name: string(f[2]), typ: plyTypes[string(f[1])]}
		if pr.typ == plyNone {
			return s.at(h.line, "ply.number-type", f[1])
		}
	default:
		return s.at(h.line, "ply.property-form")
	}
	if len(el.props) >= 10000 {
		return s.at(h.line, "ply.properties-many")
	}
	el.props = append(el.props, pr)
	return nil
}
