package meshfile

import (
	"archive/zip"
	"errors"
	"io"
	"path"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

// 3MF core specification 1.3 with the production extension 1.1 (3MF
// Consortium, recalled, not opened). Materials, colours, properties and
// triangle sets do not move the surface and are passed over.

const (
	nsCore       = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	nsProduction = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
	nsMaterial   = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
	nsSlice      = "http://schemas.microsoft.com/3dmanufacturing/slice/2015/07"
	nsBeam       = "http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02"
	nsSets       = "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07"
)

// Limits of the tree of objects; a pattern has a handful.
const (
	maxObjects = 200_000
	maxComps   = 1_000_000
	maxNest    = 64
	maxVisits  = 1_000_000
)

type threeObject struct {
	verts []mesh.Vec
	tris  [][3]int32
	comps []threeComp
	used  bool // some component refers to it
	open  bool // being placed: a second time round is a cycle
}

// threeComp places an object: a component of another or an item of the build.
type threeComp struct {
	part string // "" = the same part
	id   uint32
	m    [12]float64
	set  bool // m is not the identity
}

type threePart struct {
	objs  map[uint32]*threeObject
	order []uint32
	items []threeComp
}

type threeReader struct {
	s       *source
	files   map[string]*zip.File
	parts   map[string]*threePart
	left    int64 // bytes that may still be inflated
	unit    string
	objects int
	comps   int
	visits  int
	copies  int // triangles that may still be placed
	beams   bool
	slices  bool
	welded  []int32
}

// threeUnits gives our name and the millimetres of each unit.
var threeUnits = map[string]struct {
	name string
	mm   float64
}{
	"micron": {"micron", 0.001}, "millimeter": {"mm", 1}, "centimeter": {"cm", 10},
	"inch": {"in", 25.4}, "foot": {"ft", 304.8}, "meter": {"m", 1000},
}

func partName(n string) string {
	return strings.ToLower(path.Clean("/" + strings.ReplaceAll(n, `\`, "/")))
}

// copyLimit is how many triangles instances may make of a file.
func (s *source) copyLimit() int {
	return int(min(int64(s.o.MaxTriangles), 4_000_000+8*s.size))
}

func (s *source) tooManyCopies() *Error {
	if s.copyLimit() == s.o.MaxTriangles {
		return s.tooMany()
	}
	return s.fail("parts.triangles", s.copyLimit())
}

func (s *source) read3MF(z *zip.Reader) error {
	s.info.Format = "3MF"
	r := &threeReader{s: s, files: map[string]*zip.File{}, parts: map[string]*threePart{}, left: s.expandLimit(), copies: s.copyLimit()}
	for _, f := range z.File {
		if n := partName(f.Name); r.files[n] == nil {
			r.files[n] = f
		}
	}
	root, err := r.root(z)
	if err != nil {
		return err
	}
	part, err := r.part(root, true)
	if err != nil {
		return err
	}
	u, ok := threeUnits[r.unit]
	if !ok {
		return s.fail("3mf.unit", r.unit)
	}
	s.info.Unit, s.info.Scale = u.name, u.mm
	up := mesh.V(0, 0, 1)
	s.info.Up = &up

	items := part.items
	if len(items) == 0 {
		// A library of parts: nothing is placed. Take what is not a part of
		// something else.
		for _, id := range part.order {
			if o := part.objs[id]; !o.used {
				items = append(items, threeComp{id: id})
			}
		}
		if len(items) > 0 {
			s.note(CodeUnbuilt, finding.Caution, Unbuilt{s.name})
		}
	}
	for _, it := range items {
		if err := r.place(root, it, [12]float64{}, false, 0); err != nil {
			return err
		}
	}
	if s.b.NumTriangles() == 0 {
		switch {
		case r.beams:
			return s.fail("3mf.lattice")
		case r.slices:
			return s.fail("3mf.slices")
		}
		return s.fail("mesh.empty")
	}
	if r.beams {
		s.noteMissing(UnreadLattice)
	}
	return nil
}

// root finds the part that the package names as its 3D model.
func (r *threeReader) root(z *zip.Reader) (string, error) {
	if f := r.files["/_rels/.rels"]; f != nil {
		rc, err := r.open(f)
		if err != nil {
			return "", err
		}
		defer rc.Close()
		x := newXML(rc)
		for {
			err := x.next()
			if err == io.EOF || errors.Is(err, errXML) || errors.Is(err, errXMLShort) {
				break // a package with a broken list still has its model
			}
			if err != nil {
				return "", r.xmlError(err)
			}
			if x.end || string(local(x.name)) != "Relationship" {
				continue
			}
			var typ, target string
			for n, v, rest, ok := nextAttr(x.attrs); ok; n, v, rest, ok = nextAttr(rest) {
				switch string(n) {
				case "Type":
					typ = xmlText(v)
				case "Target":
					target = xmlText(v)
				}
			}
			if strings.HasSuffix(typ, "/3dmodel") {
				if n := partName(target); r.files[n] != nil {
					return n, nil
				}
				return "", r.s.fail("3mf.model-missing", target)
			}
		}
	}
	if r.files["/3d/3dmodel.model"] != nil {
		return "/3d/3dmodel.model", nil
	}
	for _, f := range z.File { // in the order of the package
		if n := partName(f.Name); path.Ext(n) == ".model" {
			return n, nil
		}
	}
	return "", r.s.fail("3mf.no-model")
}

// part reads one model part, once.
func (r *threeReader) part(name string, root bool) (*threePart, error) {
	if p := r.parts[name]; p != nil {
		return p, nil
	}
	f := r.files[name]
	if f == nil {
		return nil, r.s.fail("3mf.no-part", name)
	}
	in, err := r.open(f)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	text, err := utf8Reader(in)
	if err != nil {
		return nil, r.xmlError(err)
	}
	p := &threePart{objs: map[uint32]*threeObject{}}
	r.parts[name] = p
	m := &modelParser{r: r, p: p, x: newXML(text), root: root}
	if err := m.parse(); err != nil {
		return nil, r.xmlError(err)
	}
	return p, nil
}

var threeIdentity = [12]float64{1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}

// times returns the transform that applies a and then b (row vectors).
func times(a, b [12]float64) (c [12]float64) {
	for r := range 4 {
		for k := range 3 {
			v := float64(a[3*r]*b[k]) + float64(a[3*r+1]*b[3+k]) + float64(a[3*r+2]*b[6+k])
			if r == 3 {
				v += b[9+k]
			}
			c[3*r+k] = v
		}
	}
	return c
}

func apply(m *[12]float64, v mesh.Vec) mesh.Vec {
	return mesh.Vec{
		X: float64(v.X*m[0]) + float64(v.Y*m[3]) + float64(v.Z*m[6]) + m[9],
		Y: float64(v.X*m[1]) + float64(v.Y*m[4]) + float64(v.Z*m[7]) + m[10],
		Z: float64(v.X*m[2]) + float64(v.Y*m[5]) + float64(v.Z*m[8]) + m[11],
	}
}

// mirrors reports whether the transform turns the surface inside out.
func mirrors(m *[12]float64) bool {
	return mesh.V(m[0], m[1], m[2]).Cross(mesh.V(m[3], m[4], m[5])).Dot(mesh.V(m[6], m[7], m[8])) < 0
}

// place adds an object and its components, moved by m if set.
func (r *threeReader) place(from string, c threeComp, m [12]float64, set bool, depth int) error {
	s := r.s
	if c.part == "" {
		c.part = from
	}
	p, err := r.part(c.part, false)
	if err != nil {
		return err
	}
	o := p.objs[c.id]
	if o == nil {
		return s.fail("3mf.no-object", c.id)
	}
	if o.open {
		return s.fail("3mf.circle")
	}
	if depth > maxNest {
		return s.fail("parts.deep", maxNest)
	}
	if r.visits++; r.visits > maxVisits {
		return s.fail("3mf.parts-many", maxVisits)
	}
	if r.visits%256 == 0 {
		if err := s.ctx.Err(); err != nil {
			return err
		}
	}
	if c.set {
		if set {
			m = times(c.m, m)
		} else {
			m, set = c.m, true
		}
	}
	if len(o.tris) > 0 {
		if err := r.add(o, &m, set); err != nil {
			return err
		}
	}
	o.open = true
	defer func() { o.open = false }()
	for _, k := range o.comps {
		if err := r.place(c.part, k, m, set, depth+1); err != nil {
			return err
		}
	}
	return nil
}

func (r *threeReader) add(o *threeObject, m *[12]float64, set bool) error {
	s := r.s
	if len(o.tris) > r.copies {
		return s.tooManyCopies()
	}
	r.copies -= len(o.tris)
	flip := set && mirrors(m)
	r.welded = r.welded[:0]
	s.b.Grow(len(o.tris))
	for i, v := range o.verts {
		if i&8191 == 0 {
			if err := s.ctx.Err(); err != nil {
				return err
			}
		}
		if set {
			v = apply(m, v)
			if !v.IsFinite() {
				return s.fail("3mf.moved-far")
			}
		}
		k, err := s.b.Vertex(v)
		if err != nil {
			return s.fail("mesh.builder", err)
		}
		r.welded = append(r.welded, k)
	}
	for _, t := range o.tris {
		a, b, c := r.welded[t[0]], r.welded[t[1]], r.welded[t[2]]
		if flip {
			b, c = c, b
		}
		s.b.Triangle(a, b, c)
	}
	return nil
}
