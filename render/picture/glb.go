package picture

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold/undercut"
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
// The same session gives the same bytes. It takes some 80 bytes per vertex
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
	step := o.Progress
	if step == nil {
		step = func(string, int, int) {}
	}
	g := &glb{ctx: ctx, s: s, sc: sc}
	if err := g.gather(); err != nil {
		return err
	}
	step("model", 1, 3)
	g.describe()
	step("model", 2, 3)
	if g.err != nil {
		return g.err
	}
	if err := g.write(w); err != nil {
		return err
	}
	step("model", 3, 3)
	return nil
}

// glb is a document under way. The first error stays in err, and then nothing
// more is gathered.
type glb struct {
	ctx   context.Context
	s     *estimate.Session
	sc    *scene
	verts []int32 // surface vertices that are written, in order
	place []int32 // per surface vertex: where it is written, -1 = not
	faces [2]int  // of the pattern, of the patches
	doc   gltf.Document
	err   error
}

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
		ID     int           `json:"id"`
		Kind   undercut.Kind `json:"kind"`
		Depth  float64       `json:"depth_mm"`
		Path   *float64      `json:"path_mm"` // null = locked
		Locked bool          `json:"locked"`
		Volume float64       `json:"volume_mm3"`
		Area   float64       `json:"area_mm2"`
		At     [3]float64    `json:"at"`    // in this file's meters
		AtMM   [3]float64    `json:"at_mm"` // in the pattern file's axes
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

// describe builds the document and its data.
func (g *glb) describe() {
	sc, plan := g.sc, g.s.Plan
	d := &g.doc
	d.Asset = gltf.Asset{Version: "2.0", Generator: estimate.Tool}
	root := glbRootExtras{Up: sc.ez.Array(), ToPattern: g.back()}
	d.Nodes = []*gltf.Node{{Name: "mold"}}
	d.Scene, d.Scenes = gltf.Index(0), []*gltf.Scene{{Nodes: []int{0}}}
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
}

// back is the matrix from the file's meters to the pattern's own mm.
func (g *glb) back() [16]float64 {
	const k = 1 / metersPerMM
	x, y, z, o := g.sc.ex.Mul(k), g.sc.ez.Mul(k), g.sc.ey.Mul(-k), g.sc.origin
	return [16]float64{x.X, x.Y, x.Z, 0, y.X, y.Y, y.Z, 0, z.X, z.Y, z.Z, 0, o.X, o.Y, o.Z, 1}
}

// list gathers n things of a kind, with a look at the context now and then.
func list[T any](g *glb, n int, at func(i int) T) []T {
	out := make([]T, n)
	for i := range out {
		if g.err == nil {
			g.err = cancelled(g.ctx, i)
		}
		if g.err != nil {
			break
		}
		out[i] = at(i)
	}
	return out
}

// points adds places.
func (g *glb) points(n int, at func(i int) [3]float32) int {
	return modeler.WritePosition(&g.doc, list(g, n, at))
}

// scalars adds one number per vertex of the surface.
func (g *glb) scalars(of func(v int32) float32) int {
	return modeler.WriteAccessor(&g.doc, gltf.TargetArrayBuffer, list(g, len(g.verts), func(i int) float32 { return of(g.verts[i]) }))
}

// triangles adds the faces of the surface, patches or the rest.
func (g *glb) triangles(patches bool) *int {
	n := g.faces[0]
	if patches {
		n = g.faces[1]
	}
	corners := make([]uint32, 0, 3*n)
	for t, i := range g.sc.surface.Triangles() {
		if g.err == nil {
			g.err = cancelled(g.ctx, t)
		}
		if g.err != nil {
			break
		}
		if !g.used(t) || g.sc.patch(t) != patches {
			continue
		}
		if g.sc.turned(t) {
			i[1], i[2] = i[2], i[1]
		}
		for _, v := range i {
			corners = append(corners, uint32(g.place[v]))
		}
	}
	return gltf.Index(modeler.WriteIndices(&g.doc, corners))
}

func (g *glb) material(name string, m gltf.Material, pbr gltf.PBRMetallicRoughness) *int {
	m.Name, m.PBRMetallicRoughness = name, &pbr
	g.doc.Materials = append(g.doc.Materials, &m)
	return gltf.Index(len(g.doc.Materials) - 1)
}

// node adds a node with a mesh of its own under the root.
func (g *glb) node(name string, extras any, prims ...*gltf.Primitive) {
	d := &g.doc
	d.Nodes[0].Children = append(d.Nodes[0].Children, len(d.Nodes))
	d.Nodes = append(d.Nodes, &gltf.Node{Name: name, Mesh: gltf.Index(len(d.Meshes)), Extras: extras})
	d.Meshes = append(d.Meshes, &gltf.Mesh{Name: name, Primitives: prims})
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
	at := gltf.PrimitiveAttributes{gltf.POSITION: g.points(len(g.verts), func(i int) [3]float32 { return meters(sc.at(verts[g.verts[i]])) })}
	extras := glbPatternExtras{Regions: []glbRegion{}}
	skin, patch := neutral, ramp[0].mix(patchTint, 0.35)
	if sc.path != nil {
		// The colors are at the vertices; a patch is told by a tint over them.
		skin, patch = rgb{1, 1, 1}, patchShade
		extras.ScaleTop = &sc.top
		extras.Attributes = g.figures(at)
	}
	if rep != nil {
		extras.Undercut, extras.UndercutPath = true, rep.UndercutPath
		for _, r := range rep.Regions {
			extras.Regions = append(extras.Regions, g.region(r))
		}
	}
	add := func(name string, patches bool, c rgb, extras any) {
		mat := g.material(name, gltf.Material{DoubleSided: true}, shade(factor(c, 1), 0.9))
		g.node(name, extras, &gltf.Primitive{Attributes: at, Indices: g.triangles(patches), Material: mat})
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

// figures adds what is known at each vertex, its color first, and returns what
// the numbers mean.
func (g *glb) figures(at gltf.PrimitiveAttributes) map[string]string {
	sc, rep := g.sc, g.s.Report
	at[gltf.COLOR_0] = modeler.WriteColor(&g.doc, list(g, len(g.verts), func(i int) (out [4]uint16) {
		c := lockedTint
		if p := float64(sc.path[g.verts[i]]); !math.IsInf(p, 1) {
			c = rampAt(p / sc.top)
		}
		for k, x := range [4]float64{c.r, c.g, c.b, 1} {
			out[k] = uint16(x*65535 + 0.5)
		}
		return out
	}))
	at["_PATH_MM"] = g.scalars(func(v int32) float32 {
		if p := sc.path[v]; !math.IsInf(float64(p), 1) {
			return p
		}
		return lockedPath
	})
	means := map[string]string{"_PATH_MM": pathMeaning}
	if len(rep.VertexRegion) >= len(sc.path) {
		at["_REGION"] = g.scalars(func(v int32) float32 { return float32(rep.VertexRegion[v]) })
		means["_REGION"] = regionMeaning
	}
	if len(rep.VertexHalf) >= len(sc.path) {
		at["_HALF"] = g.scalars(func(v int32) float32 { return float32(rep.VertexHalf[v]) })
		means["_HALF"] = halfMeaning
	}
	return means
}

// patchShade darkens what was invented, towards the picture's tint of it.
var patchShade = rgb{0.62, 0.50, 0.66}

func (g *glb) region(r undercut.Region) glbRegion {
	p := meters(g.sc.at(vec(r.At)))
	return glbRegion{ID: r.ID, Kind: r.Kind, Depth: r.Depth, Path: r.Path, Locked: r.Path == nil, Volume: r.Volume, Area: r.Area,
		At: [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}, AtMM: r.At}
}

// shade is a material's color and roughness; nothing here is a metal.
func shade(c [4]float64, roughness float64) gltf.PBRMetallicRoughness {
	return gltf.PBRMetallicRoughness{BaseColorFactor: &c, MetallicFactor: gltf.Float(0), RoughnessFactor: gltf.Float(roughness)}
}

func (g *glb) glass() *int {
	return g.material("glass", gltf.Material{AlphaMode: gltf.AlphaBlend, DoubleSided: true}, shade(factor(linearOf(glassTint), 0.16), 0.1))
}

// ink is the material of a line: it shines by itself, for a line takes no
// light.
func (g *glb) ink(name string, c rgb) *int {
	f := factor(c, 1)
	return g.material(name, gltf.Material{EmissiveFactor: [3]float64{f[0], f[1], f[2]}}, shade([4]float64{0, 0, 0, 1}, 1))
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
	corners := make([]uint32, 0, 9*n)
	for i := range n {
		a, b := uint32(i), uint32((i+1)%n)
		corners = append(corners, a, b, b+uint32(n), a, b+uint32(n), a+uint32(n))
		if i > 0 && i+1 < n {
			corners = append(corners, 0, b, a)
		}
	}
	at := gltf.PrimitiveAttributes{gltf.POSITION: g.points(2*n, func(i int) [3]float32 {
		if i < n {
			return meters(floor[i])
		}
		return meters(rim[i-n])
	})}
	g.node("container", g.containerExtras(), &gltf.Primitive{Attributes: at, Indices: gltf.Index(modeler.WriteIndices(&g.doc, corners)), Material: g.glass()})
	line := c.ring(c.fill)
	at = gltf.PrimitiveAttributes{gltf.POSITION: g.points(n, func(i int) [3]float32 { return meters(line[i]) })}
	g.node("fill line", glbFillExtras{c.fill}, &gltf.Primitive{Attributes: at, Material: g.ink("fill line", linearOf(fillEdge)), Mode: gltf.PrimitiveLineLoop})
}

// blanket adds the outside of a blanket: the surface moved outward by its
// thickness.
func (g *glb) blanket() {
	at := gltf.PrimitiveAttributes{gltf.POSITION: g.points(len(g.verts), func(i int) [3]float32 {
		p, _ := g.sc.coated(g.verts[i])
		return meters(p)
	})}
	glass := g.glass()
	var prims []*gltf.Primitive
	// The faces are the pattern's.
	for _, m := range g.doc.Meshes {
		prims = append(prims, &gltf.Primitive{Attributes: at, Indices: m.Primitives[0].Indices, Material: glass})
	}
	g.node("container", g.containerExtras(), prims...)
}

// lines adds what the mold opens along.
func (g *glb) lines(name string, extras any, lines [][][3]float64) {
	var pts []mesh.Vec
	var ends []uint32
	for _, line := range lines {
		for i, q := range line {
			if i > 0 {
				ends = append(ends, uint32(len(pts)-1), uint32(len(pts)))
			}
			pts = append(pts, vec(q))
		}
	}
	if len(ends) == 0 {
		return
	}
	at := gltf.PrimitiveAttributes{gltf.POSITION: g.points(len(pts), func(i int) [3]float32 { return meters(g.sc.at(pts[i])) })}
	ink := partingInk
	ink.A = 255
	g.node(name, extras, &gltf.Primitive{Attributes: at, Indices: gltf.Index(modeler.WriteIndices(&g.doc, ends)), Material: g.ink(name, linearOf(ink)), Mode: gltf.PrimitiveLines})
}

// glbMost is the most data that the format's 32-bit lengths allow, with 16 MB
// left for the description.
const glbMost = math.MaxUint32 - 1<<24

// write puts it all out.
func (g *glb) write(w io.Writer) error {
	if n := g.doc.Buffers[0].ByteLength; int64(n) > glbMost {
		return fmt.Errorf("picture: the model would take %d bytes, the format holds %d", n, int64(glbMost))
	}
	b := bufio.NewWriterSize(w, 1<<16) // keeps the first error
	if err := gltf.NewEncoder(b).Encode(&g.doc); err != nil {
		return fmt.Errorf("picture: %w", err)
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("picture: %w", err)
	}
	return nil
}
