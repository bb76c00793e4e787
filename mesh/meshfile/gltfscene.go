package meshfile

import (
	"math"
	"strings"

	"github.com/qmuntal/gltf"

	"moldtally/mesh"
	"moldtally/mesh/finding"
)

var glIdentity = [16]float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1}

func (r *glReader) scenes() error {
	d, s := r.doc, r.s
	var roots []int
	switch {
	case d.Scene != nil && *d.Scene >= 0 && *d.Scene < len(d.Scenes) && d.Scenes[*d.Scene] != nil:
		roots = d.Scenes[*d.Scene].Nodes
		if len(d.Scenes) > 1 {
			s.note(CodeScenes, finding.Caution, Scenes{s.name, len(d.Scenes)})
		}
	case d.Scene != nil:
		return s.fail("gltf.no-scene")
	case len(d.Scenes) > 0:
		for _, sc := range d.Scenes {
			if sc != nil {
				roots = append(roots, sc.Nodes...)
			}
		}
	default:
		child := make([]bool, len(d.Nodes))
		for _, n := range d.Nodes {
			if n == nil {
				continue
			}
			for _, c := range n.Children {
				if c >= 0 && c < len(child) {
					child[c] = true
				}
			}
		}
		for i := range d.Nodes {
			if !child[i] {
				roots = append(roots, i)
			}
		}
		if len(d.Nodes) == 0 { // meshes without a scene
			for i := range d.Meshes {
				if err := r.mesh(i, glIdentity, false); err != nil {
					return err
				}
			}
		}
	}
	top := map[int]bool{} // a root named by several scenes counts once
	for _, n := range roots {
		if top[n] {
			continue
		}
		top[n] = true
		if err := r.node(n, glIdentity, false, 0); err != nil {
			return err
		}
	}
	if len(roots) == 0 && len(d.Nodes) > 0 && d.Scene == nil && len(d.Scenes) == 0 {
		return s.fail("gltf.circle")
	}
	return nil
}

// node places the mesh of node n and its children; m maps to the scene.
func (r *glReader) node(n int, m [16]float64, set bool, depth int) error {
	d, s := r.doc, r.s
	if n < 0 || n >= len(d.Nodes) || d.Nodes[n] == nil {
		return s.fail("gltf.no-part")
	}
	if r.seen[n] {
		return s.fail("gltf.part-twice")
	}
	r.seen[n] = true
	if depth > glMaxDepth {
		return s.fail("parts.deep", glMaxDepth)
	}
	nd := d.Nodes[n]
	if nd.Name == "container" && strings.HasPrefix(d.Asset.Generator, ownGenerator) {
		return nil
	}
	l := nd.MatrixOrDefault()
	if l == glIdentity {
		l = trs(nd.Translation, nd.RotationOrDefault(), nd.ScaleOrDefault())
	}
	if l != glIdentity {
		if set {
			m = times4(m, l)
		} else {
			m, set = l, true
		}
	}
	if nd.Mesh != nil {
		if nd.Skin != nil || len(nd.Weights) > 0 {
			r.posed = true
		}
		if _, ok := nd.Extensions["EXT_mesh_gpu_instancing"]; ok {
			r.inst = true
		}
		if err := r.mesh(*nd.Mesh, m, set); err != nil {
			return err
		}
	}
	for _, c := range nd.Children {
		if err := r.node(c, m, set, depth+1); err != nil {
			return err
		}
	}
	return nil
}

// trs builds a column-major matrix from translation, rotation (unit
// quaternion x, y, z, w) and scale.
func trs(t [3]float64, q [4]float64, s [3]float64) [16]float64 {
	x, y, z, w := q[0], q[1], q[2], q[3]
	// Exporters round quaternions; one that is a little off scales the part.
	if l := math.Sqrt(float64(x*x) + float64(y*y) + float64(z*z) + float64(w*w)); l > 0 && math.Abs(l-1) > 1e-9 {
		x, y, z, w = x/l, y/l, z/l, w/l
	}
	return [16]float64{
		s[0] * (1 - 2*(float64(y*y)+float64(z*z))), s[0] * 2 * (float64(x*y) + float64(z*w)), s[0] * 2 * (float64(x*z) - float64(y*w)), 0,
		s[1] * 2 * (float64(x*y) - float64(z*w)), s[1] * (1 - 2*(float64(x*x)+float64(z*z))), s[1] * 2 * (float64(y*z) + float64(x*w)), 0,
		s[2] * 2 * (float64(x*z) + float64(y*w)), s[2] * 2 * (float64(y*z) - float64(x*w)), s[2] * (1 - 2*(float64(x*x)+float64(y*y))), 0,
		t[0], t[1], t[2], 1,
	}
}

// times4 returns a times b, column-major.
func times4(a, b [16]float64) (c [16]float64) {
	for col := range 4 {
		for row := range 4 {
			v := 0.0
			for k := range 4 {
				v += float64(a[4*k+row] * b[4*col+k])
			}
			c[4*col+row] = v
		}
	}
	return c
}

func (r *glReader) mesh(i int, m [16]float64, set bool) error {
	d, s := r.doc, r.s
	if i < 0 || i >= len(d.Meshes) || d.Meshes[i] == nil {
		return s.fail("gltf.no-mesh")
	}
	if len(d.Meshes[i].Weights) > 0 {
		r.posed = true
	}
	flip := false
	if set {
		// glTF takes nodes for affine; so do we.
		flip = mesh.V(m[0], m[1], m[2]).Cross(mesh.V(m[4], m[5], m[6])).Dot(mesh.V(m[8], m[9], m[10])) < 0
	}
	for _, p := range d.Meshes[i].Primitives {
		if p == nil {
			continue
		}
		if err := s.ctx.Err(); err != nil {
			return err
		}
		if r.visits++; r.visits > glMaxPlaced {
			return s.fail("parts.repeated", glMaxPlaced)
		}
		if err := r.primitive(p, &m, set, flip); err != nil {
			return err
		}
	}
	return nil
}

// primitive adds the surface of a primitive, moved by m if set.
func (r *glReader) primitive(p *gltf.Primitive, m *[16]float64, set, flip bool) error {
	s := r.s
	a, tris, err := r.surface(p)
	if a == nil || err != nil {
		return err
	}
	if tris > r.copies {
		return s.tooManyCopies()
	}
	r.copies -= tris
	s.b.Grow(tris)
	if err := r.weld(a, m, set); err != nil {
		return err
	}
	t := glTriangles{b: s.b, mode: p.Mode, flip: flip}
	if p.Indices == nil {
		for _, i := range r.welded {
			t.corner(i)
		}
		return nil
	}
	list, err := r.corners(r.doc.Accessors[*p.Indices])
	if err != nil {
		return err
	}
	for _, i := range list {
		if int64(i) >= int64(len(r.welded)) {
			return s.fail("gltf.corner-range", i, len(r.welded))
		}
		t.corner(r.welded[i])
	}
	return nil
}

// surface returns the places of a primitive's corners and how many triangles it
// makes, nil where it has none. All its accessors are checked, so that no corner
// goes to the Builder before.
func (r *glReader) surface(p *gltf.Primitive) (a *gltf.Accessor, tris int, err error) {
	pos, ok := p.Attributes[gltf.POSITION]
	if !ok {
		return nil, 0, nil // the specification lets such a primitive be passed over
	}
	if a, err = r.accessor(pos); err != nil {
		return nil, 0, err
	}
	if a.Type != gltf.AccessorVec3 {
		return nil, 0, r.s.fail("gltf.corner-kind")
	}
	if _, ok := p.Extensions["KHR_draco_mesh_compression"]; ok && a.BufferView == nil {
		return nil, 0, r.s.compressed("Draco")
	}
	switch p.Mode {
	case gltf.PrimitiveTriangles, gltf.PrimitiveTriangleStrip, gltf.PrimitiveTriangleFan:
	default:
		r.strays++
		r.points += a.Count
		return nil, 0, nil
	}
	n := a.Count
	if p.Indices != nil {
		ia, err := r.accessor(*p.Indices)
		if err != nil {
			return nil, 0, err
		}
		if ia.Type != gltf.AccessorScalar || ia.ComponentType == gltf.ComponentFloat || ia.ComponentType == gltf.ComponentByte || ia.ComponentType == gltf.ComponentShort {
			return nil, 0, r.s.fail("gltf.index-kind")
		}
		n = ia.Count
	}
	if p.Mode == gltf.PrimitiveTriangles {
		return a, n / 3, nil
	}
	return a, max(0, n-2), nil
}

// weld adds corners, moved by m if set, and notes which vertices they are.
func (r *glReader) weld(a *gltf.Accessor, m *[16]float64, set bool) error {
	if cap(r.welded) < a.Count {
		r.welded = make([]int32, 0, a.Count)
	}
	w := r.welded[:0]
	err := r.places(a, func(v mesh.Vec) error {
		if set {
			v = apply4(m, v)
		}
		if !v.IsFinite() {
			return r.s.fail("gltf.place-nan")
		}
		k, err := r.s.b.Vertex(v)
		if err != nil {
			return r.s.fail("mesh.builder", err)
		}
		w = append(w, k)
		return nil
	})
	r.welded = w
	return err
}

// glTriangles makes triangles of corners one by one, as the mode says.
type glTriangles struct {
	b    *mesh.Builder
	mode gltf.PrimitiveMode
	flip bool
	last [3]int32
	n    int
}

func (t *glTriangles) corner(i int32) {
	k := t.n
	t.n++
	switch t.mode {
	case gltf.PrimitiveTriangles:
		t.last[k%3] = i
		if k%3 == 2 {
			t.add(t.last[0], t.last[1], t.last[2], t.flip)
		}
	case gltf.PrimitiveTriangleStrip:
		if k >= 2 {
			t.add(t.last[0], t.last[1], i, t.flip != (k%2 == 1))
		}
		t.last[0], t.last[1] = t.last[1], i
	default:
		if k == 0 {
			t.last[0] = i
		}
		if k >= 2 {
			t.add(t.last[0], t.last[1], i, t.flip)
		}
		t.last[1] = i
	}
}

func (t *glTriangles) add(a, b, c int32, flip bool) {
	if flip {
		b, c = c, b
	}
	t.b.Triangle(a, b, c)
}

func apply4(m *[16]float64, v mesh.Vec) mesh.Vec {
	return mesh.Vec{
		X: float64(m[0]*v.X) + float64(m[4]*v.Y) + float64(m[8]*v.Z) + m[12],
		Y: float64(m[1]*v.X) + float64(m[5]*v.Y) + float64(m[9]*v.Z) + m[13],
		Z: float64(m[2]*v.X) + float64(m[6]*v.Y) + float64(m[10]*v.Z) + m[14],
	}
}
