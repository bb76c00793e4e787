package meshfile

import (
	"bytes"
	"io"
	"math"
	"path"
	"strconv"
	"strings"

	"moldtally/mesh"
)

func local(name []byte) []byte {
	if k := bytes.IndexByte(name, ':'); k >= 0 {
		return name[k+1:]
	}
	return name
}

func prefix(name []byte) []byte {
	if k := bytes.IndexByte(name, ':'); k >= 0 {
		return name[:k]
	}
	return nil
}

// modelParser reads one <model>.
type modelParser struct {
	r    *threeReader
	p    *threePart
	x    *xmlScan
	root bool
	core string            // prefix of the core namespace, "" = default
	ns   map[string]string // prefix to namespace, as declared on <model>
	obj  *threeObject
}

// isCore reports whether a tag is the core element w. Prefixes are taken as
// declared on the root element, where 3MF writers declare them.
func (m *modelParser) isCore(name []byte, w string) bool {
	if len(m.core) == 0 {
		return string(name) == w
	}
	return len(name) == len(m.core)+1+len(w) && string(name[:len(m.core)]) == m.core && name[len(m.core)] == ':' && string(name[len(m.core)+1:]) == w
}

func (m *modelParser) parse() error {
	x := m.x
	seen := false
	for {
		err := x.next()
		if err == io.EOF {
			if !seen {
				return errXMLShort
			}
			return nil
		}
		if err != nil {
			return err
		}
		if x.end {
			if m.isCore(x.name, "object") {
				if err := m.endObject(); err != nil {
					return err
				}
			}
			continue
		}
		if !seen {
			seen = true
			if err := m.model(); err != nil {
				return err
			}
			continue
		}
		switch {
		case m.isCore(x.name, "vertex"):
			err = m.vertex()
		case m.isCore(x.name, "triangle"):
			err = m.triangle()
		case m.isCore(x.name, "object"):
			err = m.object()
		case m.isCore(x.name, "component"):
			err = m.component()
		case m.isCore(x.name, "item"):
			if m.root {
				err = m.item()
			}
		case m.ns[string(prefix(x.name))] == nsBeam && string(local(x.name)) == "beamlattice":
			m.r.beams = true
		case m.ns[string(prefix(x.name))] == nsSlice && string(local(x.name)) == "slicestack":
			m.r.slices = true
		}
		if err != nil {
			return err
		}
	}
}

func (m *modelParser) model() error {
	s := m.r.s
	if string(local(m.x.name)) != "model" {
		return s.fail(effGarbled, hintExport, "has a model part that is no 3MF model")
	}
	m.ns = map[string]string{}
	unit, required := "millimeter", ""
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		switch {
		case string(n) == "unit":
			unit = strings.TrimSpace(xmlText(v))
		case string(n) == "requiredextensions":
			required = xmlText(v)
		case string(n) == "xmlns":
			m.ns[""] = xmlText(v)
		case bytes.HasPrefix(n, []byte("xmlns:")) && len(m.ns) < 1000:
			m.ns[string(n[6:])] = xmlText(v)
		}
	}
	m.core = string(prefix(m.x.name))
	if m.root {
		m.r.unit = unit
	}
	for _, p := range strings.Fields(required) {
		switch ns := m.ns[p]; ns {
		case nsCore, nsProduction, nsMaterial, nsSlice, nsBeam, nsSets:
		default:
			if ns == "" {
				ns = p
			}
			// The name stands before the year and month.
			what := strings.TrimRight(ns, "/0123456789")
			if what = path.Base(what); what == "." || what == "/" {
				what = ns
			}
			return s.fail(effNone, "export it without that extension, as plain 3MF with a mesh, or as STL",
				"says that it cannot be understood without an extension that is not read here (%s)", strings.Trim(quote([]byte(what)), `"`))
		}
	}
	return nil
}

func (m *modelParser) object() error {
	s := m.r.s
	if m.r.objects++; m.r.objects > maxObjects {
		return s.fail(effRefused, hintExport, "has more than %s objects", count(maxObjects))
	}
	o := &threeObject{}
	id := int64(-1)
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		if string(n) == "id" {
			k, err := strconv.ParseUint(strings.TrimSpace(xmlText(v)), 10, 32)
			if err != nil {
				return s.fail(effGarbled, hintExport, "has an object whose number is %s", quote(v))
			}
			id = int64(k)
		}
	}
	if id < 0 {
		return s.fail(effGarbled, hintExport, "has an object without a number")
	}
	if m.p.objs[uint32(id)] != nil {
		return s.fail(effGarbled, hintExport, "has two objects with the same number")
	}
	m.p.objs[uint32(id)] = o
	m.p.order = append(m.p.order, uint32(id))
	m.obj = o
	return nil
}

// endObject checks the corners of the object's triangles, which may have been
// written before the vertices.
func (m *modelParser) endObject() error {
	o := m.obj
	m.obj = nil
	if o == nil {
		return nil
	}
	for _, t := range o.tris {
		for _, i := range t {
			if int(i) >= len(o.verts) {
				return m.r.s.fail(effGarbled, hintExport, "has a triangle that names corner %s of an object with %s, counted from 0", count(i), plural(len(o.verts), "corner"))
			}
		}
	}
	return nil
}

func (m *modelParser) vertex() error {
	o := m.obj
	if o == nil {
		return nil
	}
	var c [3]float64
	got := 0
	p := m.x.attrs
	for {
		n, v, rest, ok := nextAttr(p)
		if !ok {
			break
		}
		p = rest
		if len(n) != 1 || n[0] < 'x' || n[0] > 'z' {
			continue
		}
		i := skipSpace(v, 0)
		f, e, ok := number(v, i)
		if !ok || skipSpace(v, e) != len(v) {
			hint := hintExport
			if bytes.IndexByte(v, ',') >= 0 {
				hint = "it was written with decimal commas: " + hintExport + ", or with the system set to decimal points"
			}
			return m.r.s.fail(effGarbled, hint, "has a corner whose place is %s instead of a number", quote(v))
		}
		if math.IsNaN(f) || math.IsInf(f, 0) {
			return m.r.s.fail(effGarbled, hintExport, "has a corner whose place is not a number (%s)", quote(v))
		}
		c[n[0]-'x'] = f
		got |= 1 << (n[0] - 'x')
	}
	if got != 7 {
		return m.r.s.fail(effGarbled, hintExport, "has a corner without x, y and z")
	}
	if len(o.verts) >= math.MaxInt32/2 {
		return m.r.s.tooMany()
	}
	if len(o.verts) == cap(o.verts) {
		o.verts = append(make([]mesh.Vec, 0, max(64, 2*len(o.verts))), o.verts...)
	}
	o.verts = append(o.verts, mesh.Vec{X: c[0], Y: c[1], Z: c[2]})
	return nil
}

func (m *modelParser) triangle() error {
	o := m.obj
	if o == nil {
		return nil
	}
	var t [3]int32
	got := 0
	p := m.x.attrs
	for {
		n, v, rest, ok := nextAttr(p)
		if !ok {
			break
		}
		p = rest
		if len(n) != 2 || n[0] != 'v' || n[1] < '1' || n[1] > '3' {
			continue
		}
		k, good := int64(0), false
		for _, d := range bytes.TrimSpace(v) {
			if d-'0' > 9 || k > math.MaxInt32 {
				good = false
				break
			}
			k, good = k*10+int64(d-'0'), true
		}
		if !good || k >= math.MaxInt32 {
			return m.r.s.fail(effGarbled, hintExport, "has a triangle that names its corner %s", quote(v))
		}
		t[n[1]-'1'] = int32(k)
		got |= 1 << (n[1] - '1')
	}
	if got != 7 {
		return m.r.s.fail(effGarbled, hintExport, "has a triangle with fewer than three corners")
	}
	if len(o.tris) >= m.r.s.o.MaxTriangles {
		return m.r.s.tooMany()
	}
	if len(o.tris) == cap(o.tris) {
		o.tris = append(make([][3]int32, 0, max(64, 2*len(o.tris))), o.tris...)
	}
	o.tris = append(o.tris, t)
	return nil
}

func (m *modelParser) ref() (threeComp, error) {
	s := m.r.s
	c := threeComp{}
	has := false
	if m.r.comps++; m.r.comps > maxComps {
		return c, s.fail(effRefused, hintExport, "places more than %s parts", count(maxComps))
	}
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		switch {
		case string(n) == "objectid":
			k, err := strconv.ParseUint(strings.TrimSpace(xmlText(v)), 10, 32)
			if err != nil {
				return c, s.fail(effGarbled, hintExport, "places an object whose number is %s", quote(v))
			}
			c.id, has = uint32(k), true
		case string(n) == "transform":
			f := strings.Fields(xmlText(v))
			if len(f) != 12 {
				return c, s.fail(effGarbled, hintExport, "places an object by %d numbers instead of 12", len(f))
			}
			for i, t := range f {
				x, e, ok := number([]byte(t), 0)
				if !ok || e != len(t) || math.IsNaN(x) || math.IsInf(x, 0) {
					return c, s.fail(effGarbled, hintExport, "places an object by %s instead of a number", quote([]byte(t)))
				}
				c.m[i] = x
			}
			c.set = c.m != threeIdentity
		case string(local(n)) == "path" && m.ns[string(prefix(n))] == nsProduction && len(prefix(n)) > 0:
			c.part = partName(xmlText(v))
		}
	}
	if !has {
		return c, s.fail(effGarbled, hintExport, "places an object without saying which")
	}
	return c, nil
}

func (m *modelParser) component() error {
	if m.obj == nil {
		return nil
	}
	c, err := m.ref()
	if err != nil {
		return err
	}
	m.obj.comps = append(m.obj.comps, c)
	return nil
}

func (m *modelParser) item() error {
	c, err := m.ref()
	if err != nil {
		return err
	}
	m.p.items = append(m.p.items, c)
	return nil
}
