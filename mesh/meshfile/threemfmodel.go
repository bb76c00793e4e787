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
		return s.fail("3mf.model-kind")
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
			return s.fail("3mf.extension", what)
		}
	}
	return nil
}

func (m *modelParser) object() error {
	s := m.r.s
	if m.r.objects++; m.r.objects > maxObjects {
		return s.fail("3mf.objects-many", maxObjects)
	}
	o := &threeObject{}
	id := int64(-1)
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		if string(n) == "id" {
			k, err := strconv.ParseUint(strings.TrimSpace(xmlText(v)), 10, 32)
			if err != nil {
				return s.fail("3mf.object-number", v)
			}
			id = int64(k)
		}
	}
	if id < 0 {
		return s.fail("3mf.object-unnumbered")
	}
	if m.p.objs[uint32(id)] != nil {
		return s.fail("3mf.object-twice")
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
				return m.r.s.fail("3mf.corner-range", i, len(o.verts))
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
			return m.r.s.fail("3mf.place", v)
		}
		if math.IsNaN(f) || math.IsInf(f, 0) {
			return m.r.s.fail("3mf.place-nan", v)
		}
		c[n[0]-'x'] = f
		got |= 1 << (n[0] - 'x')
	}
	if got != 7 {
		return m.r.s.fail("3mf.no-xyz")
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
			return m.r.s.fail("3mf.corner-number", v)
		}
		t[n[1]-'1'] = int32(k)
		got |= 1 << (n[1] - '1')
	}
	if got != 7 {
		return m.r.s.fail("3mf.corners-few")
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
		return c, s.fail("3mf.parts-many", maxComps)
	}
	for n, v, rest, ok := nextAttr(m.x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
		switch {
		case string(n) == "objectid":
			k, err := strconv.ParseUint(strings.TrimSpace(xmlText(v)), 10, 32)
			if err != nil {
				return c, s.fail("3mf.placed-number", v)
			}
			c.id, has = uint32(k), true
		case string(n) == "transform":
			f := strings.Fields(xmlText(v))
			if len(f) != 12 {
				return c, s.fail("3mf.transform-length", len(f))
			}
			for i, t := range f {
				x, e, ok := number([]byte(t), 0)
				if !ok || e != len(t) || math.IsNaN(x) || math.IsInf(x, 0) {
					return c, s.fail("3mf.transform", t)
				}
				c.m[i] = x
			}
			c.set = c.m != threeIdentity
		case string(local(n)) == "path" && m.ns[string(prefix(n))] == nsProduction && len(prefix(n)) > 0:
			c.part = partName(xmlText(v))
		}
	}
	if !has {
		return c, s.fail("3mf.placed-unnumbered")
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
