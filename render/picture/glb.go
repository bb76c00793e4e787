package picture

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
)

// GLBOptions says how to write a model. The zero value is the default.
type GLBOptions struct {
	Progress func(stage string, done, total int)
}

// lockedPath stands for a path without end in _PATH_MM, for glTF has no
// infinity.
const lockedPath = -1

// What the numbers of each vertex mean, for whoever opens the file.
const (
	pathMeaning   = "how far rubber at this place must bend to let go, mm; 0 where nothing is undercut, -1 where it is locked"
	regionMeaning = "number of the undercut in regions, 0 for none"
	halfMeaning   = "half of the mold that lets go of this place by a straight pull: 1 upper, 2 lower, 3 either (plumb wall), 4 neither, 0 none"
)

// WriteGLB writes a session as binary glTF 2.0 (Khronos, ISO/IEC 12113:2022,
// recalled, not opened), for a viewer or a client. Its nodes, under one root:
//
//   - "pattern": the solid's surface, wound outward, colored by undercut path
//     as Preview does. Each vertex has its path (_PATH_MM, mm, -1 = locked) and
//     the number of its undercut (_REGION, 0 = none), and in a mold that parts
//     the half that lets go of it (_HALF); the node's extras list the undercuts
//     as the report does.
//   - "patches": faces that were invented to close it.
//   - "container": the container's inside as glass (of a blanket its outside),
//     the measurements in its extras; "fill line": how far the rubber comes.
//   - "parting line": the natural one, of a two-part or cut mold; "seam": where
//     a cut one is cut open.
//
// What a session does not have is left out. Coordinates are meters with Y up,
// as the format wants them: X along the container's length, the origin on its
// axis at its floor, so that a pattern far from its file's origin keeps its
// fineness. The root's extras hold the matrix back to the file's own axes and
// millimeters. Corners are shared and carry no normals: a viewer shows faces as
// they are.
//
// The same session gives the same bytes. It takes some 40 bytes per vertex
// besides the session. Cancelling ctx ends it with ctx's error; what was
// written by then is worthless.
func WriteGLB(ctx context.Context, w io.Writer, s *estimate.Session, o GLBOptions) error {
	if s == nil || s.Mesh == nil && s.Solid == nil {
		return errors.New("picture: nothing to write")
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("picture: %w", err)
	}
	sc, err := newScene(ctx, s, 1)
	if err != nil {
		return err
	}
	g := &glb{ctx: ctx, s: s, sc: sc, progress: o.Progress}
	if g.progress == nil {
		g.progress = func(string, int, int) {}
	}
	if err := g.gather(); err != nil {
		return err
	}
	g.describe()
	return g.write(w)
}

// glb is a document under way.
type glb struct {
	ctx      context.Context
	s        *estimate.Session
	sc       *scene
	progress func(string, int, int)
	verts    []int32 // surface vertices that are written, in order
	place    []int32 // per surface vertex: where it is written, -1 = not
	faces    [2]int  // of the pattern, of the patches

	doc  gltfDoc
	fill []func(b *glbBuffer) error // writes each buffer view
}

// The document, as far as it is used. Minimums and maximums are float64 that a
// float32 holds exactly.
type (
	gltfDoc struct {
		Asset       gltfAsset      `json:"asset"`
		Scene       int            `json:"scene"`
		Scenes      []gltfScene    `json:"scenes"`
		Nodes       []gltfNode     `json:"nodes"`
		Meshes      []gltfMesh     `json:"meshes"`
		Materials   []gltfMaterial `json:"materials"`
		Accessors   []gltfAccessor `json:"accessors"`
		BufferViews []gltfView     `json:"bufferViews"`
		Buffers     []gltfBuffer   `json:"buffers"`
	}
	gltfAsset struct {
		Version   string `json:"version"`
		Generator string `json:"generator"`
	}
	gltfScene struct {
		Name  string `json:"name,omitempty"`
		Nodes []int  `json:"nodes"`
	}
	gltfNode struct {
		Name     string `json:"name"`
		Mesh     *int   `json:"mesh,omitempty"`
		Children []int  `json:"children,omitempty"`
		Extras   any    `json:"extras,omitempty"`
	}
	gltfMesh struct {
		Name       string          `json:"name"`
		Primitives []gltfPrimitive `json:"primitives"`
	}
	gltfPrimitive struct {
		Attributes gltfAttributes `json:"attributes"`
		Indices    *int           `json:"indices,omitempty"`
		Material   int            `json:"material"`
		Mode       int            `json:"mode"`
	}
	gltfAttributes struct {
		Position int  `json:"POSITION"`
		Color    *int `json:"COLOR_0,omitempty"`
		Path     *int `json:"_PATH_MM,omitempty"`
		Region   *int `json:"_REGION,omitempty"`
		Half     *int `json:"_HALF,omitempty"`
	}
	gltfMaterial struct {
		Name        string      `json:"name"`
		PBR         gltfPBR     `json:"pbrMetallicRoughness"`
		Emissive    *[3]float64 `json:"emissiveFactor,omitempty"`
		AlphaMode   string      `json:"alphaMode,omitempty"`
		DoubleSided bool        `json:"doubleSided,omitempty"`
	}
	gltfPBR struct {
		Color     [4]float64 `json:"baseColorFactor"`
		Metallic  float64    `json:"metallicFactor"`
		Roughness float64    `json:"roughnessFactor"`
	}
	gltfAccessor struct {
		View       int       `json:"bufferView"`
		Component  int       `json:"componentType"`
		Normalized bool      `json:"normalized,omitempty"`
		Count      int       `json:"count"`
		Type       string    `json:"type"`
		Min        []float64 `json:"min,omitempty"`
		Max        []float64 `json:"max,omitempty"`
	}
	gltfView struct {
		Buffer int   `json:"buffer"`
		Offset int64 `json:"byteOffset"`
		Length int64 `json:"byteLength"`
		Target int   `json:"target"`
	}
	gltfBuffer struct {
		Length int64 `json:"byteLength"`
	}
)

// Numbers of the format.
const (
	gltfUshort, gltfUint, gltfFloat        = 5123, 5125, 5126
	gltfArrayBuffer, gltfElementBuffer     = 34962, 34963
	gltfLines, gltfLineLoop, gltfTriangles = 1, 2, 4
	glbMagic, glbJSON, glbBin              = 0x46546C67, 0x4E4F534A, 0x004E4942
)

// What nodes carry besides their shape.
type (
	glbRootExtras struct {
		File string `json:"file,omitempty"`
		// Matrix, column by column, from this file's meters to the pattern
		// file's own axes in mm.
		ToPattern [16]float64 `json:"to_pattern_mm"`
		Up        [3]float64  `json:"up"` // in the pattern file's axes
	}
	glbPatternExtras struct {
		Attributes   map[string]string `json:"attributes,omitempty"` // encoding/json sorts it
		Undercut     bool              `json:"undercut_looked_at"`
		UndercutPath *float64          `json:"undercut_path_mm"`
		ScaleTop     *float64          `json:"color_scale_top_mm,omitempty"`
		Regions      []glbRegion       `json:"regions"`
	}
	glbRegion struct {
		ID     int        `json:"id"`
		Kind   string     `json:"kind"`
		Depth  float64    `json:"depth_mm"`
		Path   *float64   `json:"path_mm"` // null = locked
		Locked bool       `json:"locked"`
		Volume float64    `json:"volume_mm3"`
		Area   float64    `json:"area_mm2"`
		At     [3]float64 `json:"at"`    // in this file's meters
		AtMM   [3]float64 `json:"at_mm"` // in the pattern file's axes
	}
	glbContainerExtras struct {
		Kind     boxfit.Kind `json:"kind"`
		Mold     string      `json:"mold"`
		Interior *[3]float64 `json:"interior_mm"`
		Diameter *float64    `json:"diameter_mm"`
		Sides    *int        `json:"sides"`
		Wall     float64     `json:"wall_mm"`
		Over     float64     `json:"over_mm"`
		Under    float64     `json:"under_mm"`
		Fill     float64     `json:"fill_height_mm"`
		Capacity float64     `json:"capacity_mm3"`
	}
	glbFillExtras struct {
		Fill float64 `json:"fill_height_mm"`
	}
	glbPartingExtras struct {
		Kind     string   `json:"kind"`
		Height   float64  `json:"height_mm"`
		Length   *float64 `json:"length_mm"`
		Flatness *float64 `json:"flatness_mm"`
	}
)

// glbSeamExtras is what the seam carries, in the pattern file's axes.
type glbSeamExtras struct {
	Normal [3]float64 `json:"plane_normal"`
	Offset float64    `json:"plane_offset_mm"`
	Side   [3]float64 `json:"side"`
	Length float64    `json:"length_mm"`
	Left   *float64   `json:"left_path_mm"`
}

const metersPerMM = 0.001

// meters puts a point of the scene (mm, z up) into the file (m, y up).
func meters(p mesh.Vec) [3]float32 {
	return [3]float32{float32(p.X * metersPerMM), float32(p.Z * metersPerMM), float32(-p.Y * metersPerMM)}
}

// used reports whether a triangle of the surface is written.
func (g *glb) used(t int) bool { return g.sc.live(t) && !g.sc.surface.Collapsed(t) }

// gather finds the vertices in use, in their order, so that crumbs that were
// left out do not widen the model's bounds.
func (g *glb) gather() error {
	m := g.sc.surface
	g.place = make([]int32, m.NumVertices())
	for t, tri := range m.Triangles() {
		if err := cancelled(g.ctx, t); err != nil {
			return err
		}
		if !g.used(t) {
			continue
		}
		for _, i := range tri {
			g.place[i] = 1
		}
		if g.sc.patch(t) {
			g.faces[1]++
		} else {
			g.faces[0]++
		}
	}
	n := 0
	for _, u := range g.place {
		n += int(u)
	}
	if n == 0 {
		return errors.New("picture: the pattern has no surface to write")
	}
	g.verts = make([]int32, 0, n)
	for i, u := range g.place {
		g.place[i] = -1
		if u > 0 {
			g.place[i] = int32(len(g.verts))
			g.verts = append(g.verts, int32(i))
		}
	}
	return nil
}

// describe builds the document and lines up what fills its buffer.
func (g *glb) describe() {
	sc, plan := g.sc, g.s.Plan
	d := &g.doc
	d.Asset = gltfAsset{Version: "2.0", Generator: estimate.Tool}
	root := glbRootExtras{Up: sc.ez.Array(), ToPattern: g.back()}
	d.Nodes = []gltfNode{{Name: "mold"}}
	d.Scenes = []gltfScene{{Nodes: []int{0}}}
	if plan != nil {
		if plan.Version != "" {
			d.Asset.Generator += " " + plan.Version
		}
		if plan.Pattern != nil {
			root.File, d.Scenes[0].Name = plan.Pattern.File, plan.Pattern.File
		}
	}
	d.Nodes[0].Extras = root
	g.pattern()
	if v := sc.vessel; v != nil && v.coat > 0 {
		g.blanket()
	} else if v != nil {
		g.vessel()
	}
	if r := g.s.Report; r != nil {
		if p := r.Parting; p != nil {
			g.lines("parting line", glbPartingExtras{p.Kind, p.Height, p.Length, p.Flatness}, p.Line)
		}
		if s := r.Seam; s != nil {
			g.lines("seam", glbSeamExtras{s.Normal, s.Offset, s.Side, s.Length, s.Path}, s.Line)
		}
	}
	if n := len(d.BufferViews); n > 0 {
		last := d.BufferViews[n-1]
		d.Buffers = []gltfBuffer{{last.Offset + last.Length}}
	}
}

// back is the matrix from the file's meters to the pattern's own mm.
func (g *glb) back() [16]float64 {
	const k = 1 / metersPerMM
	x, y, z, o := g.sc.ex.Mul(k), g.sc.ez.Mul(k), g.sc.ey.Mul(-k), g.sc.origin
	return [16]float64{x.X, x.Y, x.Z, 0, y.X, y.Y, y.Z, 0, z.X, z.Y, z.Z, 0, o.X, o.Y, o.Z, 1}
}

// view adds a buffer view that fill writes. Each is a multiple of four bytes
// long, so that all are aligned.
func (g *glb) view(length int64, target int, fill func(b *glbBuffer) error) int {
	d := &g.doc
	var at int64
	if n := len(d.BufferViews); n > 0 {
		at = d.BufferViews[n-1].Offset + d.BufferViews[n-1].Length
	}
	d.BufferViews = append(d.BufferViews, gltfView{0, at, length, target})
	g.fill = append(g.fill, fill)
	return len(d.BufferViews) - 1
}

func (g *glb) accessor(a gltfAccessor) int {
	g.doc.Accessors = append(g.doc.Accessors, a)
	return len(g.doc.Accessors) - 1
}

// points adds a list of places. at must give the same on both calls.
func (g *glb) points(n int, at func(i int) [3]float32) int {
	inf := math.Inf(1)
	lo, hi := []float64{inf, inf, inf}, []float64{-inf, -inf, -inf}
	for i := range n {
		for k, x := range at(i) {
			lo[k], hi[k] = min(lo[k], float64(x)), max(hi[k], float64(x))
		}
	}
	v := g.view(12*int64(n), gltfArrayBuffer, func(b *glbBuffer) error {
		return b.each(n, func(i int) {
			p := at(i)
			b.float(p[0])
			b.float(p[1])
			b.float(p[2])
		})
	})
	return g.accessor(gltfAccessor{View: v, Component: gltfFloat, Count: n, Type: "VEC3", Min: lo, Max: hi})
}

// scalars adds one number per vertex of the surface.
func (g *glb) scalars(of func(v int32) float32) *int {
	n := len(g.verts)
	v := g.view(4*int64(n), gltfArrayBuffer, func(b *glbBuffer) error {
		return b.each(n, func(i int) { b.float(of(g.verts[i])) })
	})
	a := g.accessor(gltfAccessor{View: v, Component: gltfFloat, Count: n, Type: "SCALAR"})
	return &a
}

// indices adds a list of corner numbers.
func (g *glb) indices(list []int32) *int {
	v := g.view(4*int64(len(list)), gltfElementBuffer, func(b *glbBuffer) error {
		return b.each(len(list), func(i int) { b.uint(uint32(list[i])) })
	})
	a := g.accessor(gltfAccessor{View: v, Component: gltfUint, Count: len(list), Type: "SCALAR"})
	return &a
}

// triangles adds the faces of the surface, patches or the rest.
func (g *glb) triangles(patches bool) *int {
	n := g.faces[0]
	if patches {
		n = g.faces[1]
	}
	tris := g.sc.surface.Triangles()
	v := g.view(12*int64(n), gltfElementBuffer, func(b *glbBuffer) error {
		return b.each(len(tris), func(t int) {
			if !g.used(t) || g.sc.patch(t) != patches {
				return
			}
			i := tris[t]
			if g.sc.turned(t) {
				i[1], i[2] = i[2], i[1]
			}
			for _, v := range i {
				b.uint(uint32(g.place[v]))
			}
		})
	})
	a := g.accessor(gltfAccessor{View: v, Component: gltfUint, Count: 3 * n, Type: "SCALAR"})
	return &a
}

func (g *glb) material(m gltfMaterial) int {
	g.doc.Materials = append(g.doc.Materials, m)
	return len(g.doc.Materials) - 1
}

// node adds a node with a mesh of its own under the root.
func (g *glb) node(name string, extras any, prims ...gltfPrimitive) {
	d := &g.doc
	m, n := len(d.Meshes), len(d.Nodes)
	d.Meshes = append(d.Meshes, gltfMesh{name, prims})
	d.Nodes = append(d.Nodes, gltfNode{Name: name, Mesh: &m, Extras: extras})
	d.Nodes[0].Children = append(d.Nodes[0].Children, n)
}

// factor is a color as a material wants it, in linear light.
func factor(c rgb, alpha float64) [4]float64 {
	r := func(x float64) float64 { return math.Round(x*1e4) / 1e4 }
	return [4]float64{r(c.r), r(c.g), r(c.b), alpha}
}

func linearOf(c interface{ RGBA() (r, g, b, a uint32) }) rgb {
	r, g, b, _ := c.RGBA() // of an opaque color
	return rgb{decode(float64(r) / 65535), decode(float64(g) / 65535), decode(float64(b) / 65535)}
}

// pattern adds the surface.
func (g *glb) pattern() {
	sc, rep := g.sc, g.s.Report
	verts := sc.surface.Vertices()
	at := gltfAttributes{Position: g.points(len(g.verts), func(i int) [3]float32 { return meters(sc.at(verts[g.verts[i]])) })}
	extras := glbPatternExtras{Regions: []glbRegion{}}
	skin, patch := neutral, ramp[0].mix(patchTint, 0.35)
	if sc.path != nil {
		// The colors are at the vertices; a patch is told by a tint over them.
		skin, patch = rgb{1, 1, 1}, patchShade
		n := len(g.verts)
		v := g.view(8*int64(n), gltfArrayBuffer, func(b *glbBuffer) error {
			return b.each(n, func(i int) {
				c := lockedTint
				if p := float64(sc.path[g.verts[i]]); !math.IsInf(p, 1) {
					c = rampAt(p / sc.top)
				}
				for _, x := range [4]float64{c.r, c.g, c.b, 1} {
					b.ushort(uint16(x*65535 + 0.5))
				}
			})
		})
		a := g.accessor(gltfAccessor{View: v, Component: gltfUshort, Normalized: true, Count: n, Type: "VEC4"})
		at.Color = &a
		at.Path = g.scalars(func(v int32) float32 {
			if p := sc.path[v]; !math.IsInf(float64(p), 1) {
				return p
			}
			return lockedPath
		})
		extras.Attributes = map[string]string{"_PATH_MM": pathMeaning}
		extras.ScaleTop = &sc.top
		if len(rep.VertexRegion) >= len(sc.path) {
			at.Region = g.scalars(func(v int32) float32 { return float32(rep.VertexRegion[v]) })
			extras.Attributes["_REGION"] = regionMeaning
		}
		if len(rep.VertexHalf) >= len(sc.path) {
			at.Half = g.scalars(func(v int32) float32 { return float32(rep.VertexHalf[v]) })
			extras.Attributes["_HALF"] = halfMeaning
		}
	}
	if rep != nil {
		extras.Undercut, extras.UndercutPath = true, rep.UndercutPath
		for _, r := range rep.Regions {
			extras.Regions = append(extras.Regions, g.region(r))
		}
	}
	add := func(name string, patches bool, c rgb, extras any) {
		mat := g.material(gltfMaterial{Name: name, PBR: gltfPBR{factor(c, 1), 0, 0.9}, DoubleSided: true})
		g.node(name, extras, gltfPrimitive{at, g.triangles(patches), mat, gltfTriangles})
	}
	if g.faces[0] > 0 {
		add("pattern", false, skin, extras)
	}
	if g.faces[1] > 0 {
		name, x := "patches", any(nil)
		if g.faces[0] == 0 { // all of it was invented
			name, x = "pattern", extras
		}
		add(name, true, patch, x)
	}
}

// patchShade darkens what was invented, towards the picture's tint of it.
var patchShade = rgb{0.62, 0.50, 0.66}

func (g *glb) region(r demold.Region) glbRegion {
	p := meters(g.sc.at(vec(r.At)))
	return glbRegion{ID: r.ID, Kind: r.Kind, Depth: r.Depth, Path: r.Path, Locked: r.Path == nil, Volume: r.Volume, Area: r.Area,
		At: [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}, AtMM: r.At}
}

func (g *glb) glass() int {
	return g.material(gltfMaterial{Name: "glass", PBR: gltfPBR{factor(linearOf(glassTint), 0.16), 0, 0.1}, AlphaMode: "BLEND", DoubleSided: true})
}

// ink is the material of a line: it shines by itself, for a line takes no
// light.
func (g *glb) ink(name string, c rgb) int {
	f := factor(c, 1)
	return g.material(gltfMaterial{Name: name, PBR: gltfPBR{[4]float64{0, 0, 0, 1}, 0, 1}, Emissive: &[3]float64{f[0], f[1], f[2]}})
}

func (g *glb) containerExtras() glbContainerExtras {
	f := g.s.Fit
	return glbContainerExtras{f.Kind, string(f.Mold), f.Interior, f.Diameter, f.Sides, f.Wall, f.Over, f.Under, f.FillHeight, f.Capacity}
}

// vessel adds walls and floor of the container, inside, and the fill line.
func (g *glb) vessel() {
	c := g.sc.vessel
	n := len(c.base)
	floor, rim := c.ring(0), c.ring(c.height)
	list := make([]int32, 0, 9*n)
	for i := range n {
		a, b := int32(i), int32((i+1)%n)
		list = append(list, a, b, b+int32(n), a, b+int32(n), a+int32(n))
		if i > 0 && i+1 < n {
			list = append(list, 0, b, a)
		}
	}
	at := gltfAttributes{Position: g.points(2*n, func(i int) [3]float32 {
		if i < n {
			return meters(floor[i])
		}
		return meters(rim[i-n])
	})}
	g.node("container", g.containerExtras(), gltfPrimitive{at, g.indices(list), g.glass(), gltfTriangles})
	line := c.ring(c.fill)
	at = gltfAttributes{Position: g.points(n, func(i int) [3]float32 { return meters(line[i]) })}
	g.node("fill line", glbFillExtras{c.fill}, gltfPrimitive{Attributes: at, Material: g.ink("fill line", linearOf(fillEdge)), Mode: gltfLineLoop})
}

// blanket adds the outside of a blanket: the surface moved outward by its
// thickness.
func (g *glb) blanket() {
	at := gltfAttributes{Position: g.points(len(g.verts), func(i int) [3]float32 {
		p, _ := g.sc.coated(g.verts[i])
		return meters(p)
	})}
	glass := g.glass()
	var prims []gltfPrimitive
	// The faces are the pattern's.
	for _, m := range g.doc.Meshes {
		prims = append(prims, gltfPrimitive{at, m.Primitives[0].Indices, glass, gltfTriangles})
	}
	g.node("container", g.containerExtras(), prims...)
}

// lines adds what the mold opens along.
func (g *glb) lines(name string, extras any, lines [][][3]float64) {
	var pts []mesh.Vec
	var list []int32
	for _, line := range lines {
		for i, q := range line {
			if i > 0 {
				list = append(list, int32(len(pts)-1), int32(len(pts)))
			}
			pts = append(pts, vec(q))
		}
	}
	if len(list) == 0 {
		return
	}
	at := gltfAttributes{Position: g.points(len(pts), func(i int) [3]float32 { return meters(g.sc.at(pts[i])) })}
	ink := partingInk
	ink.A = 255
	g.node(name, extras, gltfPrimitive{at, g.indices(list), g.ink(name, linearOf(ink)), gltfLines})
}

// glbMost is the largest file that the format's 32-bit lengths allow.
const glbMost = math.MaxUint32

// write puts it all out: head, document, data.
func (g *glb) write(w io.Writer) error {
	var js bytes.Buffer
	e := json.NewEncoder(&js)
	e.SetEscapeHTML(false)
	if err := e.Encode(&g.doc); err != nil {
		return fmt.Errorf("picture: %w", err)
	}
	doc := bytes.TrimSuffix(js.Bytes(), []byte("\n"))
	for len(doc)%4 != 0 {
		doc = append(doc, ' ')
	}
	data := g.doc.Buffers[0].Length
	total := 12 + 8 + int64(len(doc)) + 8 + data
	if total > glbMost {
		return fmt.Errorf("picture: the model would take %d bytes, the format holds %d", total, int64(glbMost))
	}
	b := &glbBuffer{w: bufio.NewWriterSize(w, 1<<16), ctx: g.ctx}
	for _, x := range []uint32{glbMagic, 2, uint32(total), uint32(len(doc)), glbJSON} {
		b.uint(x)
	}
	b.write(doc)
	b.uint(uint32(data))
	b.uint(glbBin)
	for i, f := range g.fill {
		if err := f(b); err != nil {
			return err
		}
		g.progress("model", i+1, len(g.fill))
	}
	if err := b.w.Flush(); err != nil {
		return fmt.Errorf("picture: %w", err)
	}
	return nil
}

// glbBuffer writes numbers, least byte first. bufio keeps the first error.
type glbBuffer struct {
	w   *bufio.Writer
	ctx context.Context
	raw [4]byte
}

func (b *glbBuffer) write(p []byte) { _, _ = b.w.Write(p) }

func (b *glbBuffer) uint(x uint32) {
	binary.LittleEndian.PutUint32(b.raw[:], x)
	b.write(b.raw[:])
}

func (b *glbBuffer) ushort(x uint16) {
	binary.LittleEndian.PutUint16(b.raw[:], x)
	b.write(b.raw[:2])
}

func (b *glbBuffer) float(x float32) { b.uint(math.Float32bits(x)) }

// each calls fn for 0 … n-1, with a look at the context now and then.
func (b *glbBuffer) each(n int, fn func(i int)) error {
	for i := range n {
		if err := cancelled(b.ctx, i); err != nil {
			return err
		}
		fn(i)
	}
	return nil
}
