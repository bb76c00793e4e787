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

// plyHeader parses the header, which is text in all variants.
func (s *source) plyHeader() (elems []plyElem, order binary.ByteOrder, text bool, body int64, line int, err error) {
	bad := func(f Fault, args ...any) ([]plyElem, binary.ByteOrder, bool, int64, int, error) {
		return nil, nil, false, 0, 0, s.at(line, f, args...)
	}
	p := make([]byte, min(s.size, 1<<20))
	if err := s.readAt(p, 0); err != nil {
		return nil, nil, false, 0, 0, err
	}
	i := bom(p)
	form := ""
	for {
		if i >= len(p) {
			return nil, nil, false, 0, 0, s.fail("ply.head-cut")
		}
		line++
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
			if len(f) < 2 {
				return bad("ply.format-missing")
			}
			form = string(f[1])
			switch form {
			case "ascii":
				text, s.info.Format = true, "PLY ascii"
			case "binary_little_endian":
				order, s.info.Format = binary.LittleEndian, "PLY binary little-endian"
			case "binary_big_endian":
				order, s.info.Format = binary.BigEndian, "PLY binary big-endian"
			default:
				return bad("ply.format-unknown", f[1])
			}
		case "element":
			if len(f) < 3 {
				return bad("ply.list-form")
			}
			n, perr := strconv.ParseInt(string(f[2]), 10, 64)
			if perr != nil || n < 0 {
				return bad("ply.list-rows", f[2])
			}
			if len(elems) >= 1000 {
				return bad("ply.lists-many")
			}
			elems = append(elems, plyElem{name: string(f[1]), n: n})
		case "property":
			if len(elems) == 0 {
				return bad("ply.property-first")
			}
			el := &elems[len(elems)-1]
			var pr plyProp
			switch {
			case len(f) >= 5 && string(f[1]) == "list":
				pr = plyProp{name: string(f[4]), count: plyTypes[string(f[2])], typ: plyTypes[string(f[3])]}
				if pr.count == plyNone || pr.typ == plyNone || pr.count >= plyF32 {
					return bad("ply.list-type", f[3], f[2])
				}
			case len(f) >= 3 && string(f[1]) != "list":
				pr = plyProp{name: string(f[2]), typ: plyTypes[string(f[1])]}
				if pr.typ == plyNone {
					return bad("ply.number-type", f[1])
				}
			default:
				return bad("ply.property-form")
			}
			if len(el.props) >= 10000 {
				return bad("ply.properties-many")
			}
			el.props = append(el.props, pr)
		case "end_header":
			if form == "" {
				return bad("ply.no-format")
			}
			return elems, order, text, min(int64(i), s.size), line + 1, nil
		default:
			return bad("ply.head-word", f[0])
		}
	}
}
